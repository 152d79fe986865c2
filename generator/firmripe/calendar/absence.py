"""Days on which nobody of those who do a job is here: it waits for one of them while it has time, and says so.

What wins where several things stand against a day: a spray's label first, then a tree taken out, then a freeze to
come, then who is here. So a job never moves out of its own days for want of hands, nor onto a day that is closed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from firmripe.calendar.entry import Entry, together
from firmripe.calendar.hands import hands_of
from firmripe.holding.holding import Holding
from firmripe.holding.place import Person
from firmripe.holding.task import Stage
from firmripe.saying import _
from firmripe.words import week_day

_ALONE = frozenset({None, Stage.FULL_BLOOM, Stage.PETAL_FALL, Stage.LEAF_FALL, Stage.LAST_FROST, Stage.FIRST_FROST})
"""What a job may hang on whose day nothing else is counted from."""


def with_hands(entry: Entry, holding: Holding, since: date) -> Entry:
    """Return a job on days on which one at least of those who do it is here, as far as its own days allow.

    Days before `since` are over and stay; a job with a rhythm keeps it, and so does one that others are counted from,
    the pick and what follows it: fruit does not wait. Where no day will do, the day stays and it is said that a hand is
    missing.
    """
    hands = hands_of(entry.task, entry.bearings, holding).people
    people = [person for person in holding.place.people if person.name in hands]
    lacking = [day for day in entry.days if day >= since and _all_away(people, day)]
    if not lacking:
        return entry
    first = lacking[0]
    stays = entry.task.every is not None or len(entry.days) > 1 or entry.task.when.stage not in _ALONE
    better = None if stays else _first_with_hands(entry, people, first)
    names = ", ".join(sorted(person.name for person in people))
    if better is None:
        days = ", ".join(week_day(day) for day in lacking)
        told = _("Away on {days}: {people}. Another hand is wanted then.", days=days, people=names)
        return replace(entry, held=together([entry.held, told]))
    told = _("Put off from {day}; away then: {people}.", day=week_day(first), people=names)
    return replace(entry.on((better,)), held=together([entry.held, told]))


def _first_with_hands(entry: Entry, people: Iterable[Person], day: date) -> date | None:
    while day in entry.span:
        if day not in entry.closed and not _all_away(people, day):
            return day
        day += timedelta(days=1)
    return None


def _all_away(people: Iterable[Person], day: date) -> bool:
    found = list(people)
    return bool(found) and all(person.is_away(day) for person in found)
