"""Re-entry times of sprays: which days are closed, which in part, and how that is said."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from firmripe.holding.record import Record
from firmripe.saying import _, n_
from firmripe.words import week_day

EVENING_H = 17
"""A spray whose hour is not told was done by this one. J."""


def re_entry_words(spray: Record) -> str:
    """Say by which day or hour a spray's label lets people in."""
    hours = n_("{n:g} hour", "{n:g} hours", spray.re_entry_h)
    if spray.open_again is not None:
        until = _(
            "before {time} on {day}, {hours} after it",
            time=f"{spray.open_again:%H:%M}",
            day=week_day(spray.open_again.date()),
            hours=hours,
        )
    elif spray.re_entry_d:
        until = _(
            "for {hours} after it, and not before {day}",
            hours=hours,
            day=week_day(spray.day + timedelta(days=spray.re_entry_d)),
        )
    else:
        until = _("for {hours} after it", hours=hours)
    return _(
        "Sprayed on {day}: by its label nobody goes in {until}. The label is the law.",
        day=week_day(spray.day),
        until=until,
    )


def closed_words(spray: Record) -> str:
    """Say until when nobody goes in, without a word of why."""
    if spray.open_again is not None:
        hour, day = f"{spray.open_again:%H:%M}", week_day(spray.open_again.date())
        return _("Nobody goes in before {hour} on {day}.", hour=hour, day=day)
    if spray.re_entry_d:
        return _("Nobody goes in before {day}.", day=week_day(spray.day + timedelta(days=spray.re_entry_d)))
    return _("Nobody goes in on {day} until we say so.", day=week_day(spray.day))


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
