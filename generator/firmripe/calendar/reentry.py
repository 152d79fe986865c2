"""Re-entry times of sprays: which days are closed, and which trees wait."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from datetime import date, timedelta

from msgspec import Struct

from firmripe.calendar.because import Closed, NoPicking, Sprayed
from firmripe.holding.record import Record


class Waiting(Struct, frozen=True, kw_only=True):
    """A tree that a job for several trees leaves out for now, and what it waits for.

    Either nobody may go to it before the re-entry time of a spray is over, or no fruit of it may be picked yet, as days
    to harvest run.
    """

    tree: str
    wait: Sprayed | Closed | NoPicking


def sprayed(spray: Record) -> Sprayed:
    """Return until when a spray's label lets nobody in."""
    return Sprayed(spray=spray, until=open_from(spray))


def open_from(spray: Record) -> date:
    """Return the first day on which people may work among the trees again."""
    return spray.day + timedelta(days=spray.re_entry_d)


def days_closed(spray: Record) -> list[date]:
    """Return the days on which a spray lets nobody have a job among its trees."""
    return [spray.day + timedelta(days=day) for day in range(spray.re_entry_d)]


def days_touched(spray: Record) -> list[date]:
    """Return the days on a part of which a spray keeps people out: those closed, and one it ends on before work."""
    closed = days_closed(spray)
    ends = spray.open_again.date() if spray.open_again is not None else spray.day
    return closed if ends < open_from(spray) else [*closed, ends]


def first_open(closed: AbstractSet[date], day: date) -> date:
    """Return the day itself, or the first one after it that is not closed."""
    while day in closed:
        day += timedelta(days=1)
    return day
