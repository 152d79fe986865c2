"""Re-entry times of sprays: which days are closed, which in part, and how that is said."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from firmripe.holding.record import Record
from firmripe.words import week_day

EVENING_H = 17
"""A spray whose hour is not told was done by this one. J."""


def re_entry_words(spray: Record) -> str:
    """Say by which day or hour a spray's label lets people in."""
    hours = f"{spray.re_entry_h:g} hour{'' if spray.re_entry_h == 1 else 's'}"
    if spray.open_again is not None:
        until = f"before {spray.open_again:%H:%M} on {week_day(spray.open_again.date())}, {hours} after it"
    elif spray.re_entry_d:
        until = f"for {hours} after it, and not before {week_day(spray.day + timedelta(days=spray.re_entry_d))}"
    else:
        until = f"for {hours} after it"
    return f"Sprayed on {week_day(spray.day)}: by its label nobody goes in {until}. The label is the law."


def days_half_closed(spray: Record) -> list[date]:
    """Return the days on a part of which a spray keeps people out: the one on which its time ends.

    Where the hour of the spray is not told, its time may end on any day up to what an evening's spray would give.
    """
    if spray.open_again is not None:
        ends = (spray.open_again.date() - spray.day).days
    else:
        ends = int((EVENING_H + spray.re_entry_h) // 24)
    return [spray.day + timedelta(days=day) for day in range(spray.re_entry_d, ends + 1)]


def first_open(closed: Mapping[date, Record], day: date) -> date:
    """Return the day itself, or the first one after it that is not closed."""
    while day in closed:
        day += timedelta(days=1)
    return day
