"""What is to be minded of picked fruit, said once among jobs: with the first of them that is still to come."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from msgspec.structs import replace

from firmripe.calendar.because import Held, InStore
from firmripe.calendar.entry import Entry
from firmripe.holding.tree import Bearing


def minded_once(entries: Iterable[Entry], today: date) -> tuple[Entry, ...]:
    """Return entries in their order, of which the first for some fruit alone tells what is to be minded of it.

    Those to come go before those that are past, and the earliest first.
    """
    found = list(entries)
    told: set[tuple[Bearing, Held]] = set()
    for at in sorted(range(len(found)), key=lambda at: (found[at].days[-1] < today, first_to_come(found[at], today))):
        entry = found[at]
        held = tuple(one for one in entry.held if not isinstance(one, InStore) or _is_new(entry, one, told))
        told.update((bearing, one) for one in held for bearing in entry.bearings)
        found[at] = replace(entry, held=held)
    return tuple(found)


def minded_on(entry: Entry, day: date, today: date) -> Entry:
    """Return an entry as it stands on one of its days: what is to be minded is told on the first that is to come."""
    if day == first_to_come(entry, today) or not entry.held:
        return entry
    return replace(entry, held=tuple(one for one in entry.held if not isinstance(one, InStore)))


def first_to_come(entry: Entry, today: date) -> date:
    """Return the first day of an entry from today on, or its first where all are past."""
    return next((day for day in entry.days if day >= today), entry.days[0])


def _is_new(entry: Entry, one: Held, told: set[tuple[Bearing, Held]]) -> bool:
    return any((bearing, one) not in told for bearing in entry.bearings)
