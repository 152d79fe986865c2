"""Days on which nobody can do a job: all who do it are away, or nobody gets to the trees. It waits while it has time.

What wins where several things stand against a day: a spray's label first, then a tree taken out, then a freeze to
come, then who is here and can get there. So a job never moves out of its own days for want of hands, nor onto a day
that is closed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from firmripe.calendar.entry import Entry, together
from firmripe.holding.hands import hands_of
from firmripe.holding.holding import Holding
from firmripe.holding.place import Person
from firmripe.holding.task import Stage, Topic
from firmripe.saying import _
from firmripe.words import week_day

_ALONE = frozenset({None, Stage.FULL_BLOOM, Stage.PETAL_FALL, Stage.LEAF_FALL, Stage.LAST_FROST, Stage.FIRST_FROST})
"""What a job may hang on whose day nothing else is counted from."""
_LOOK_BACK_D = 7
"""A job that can't wait is asked for on a day before, up to so many. J."""


def with_hands(entry: Entry, holding: Holding, since: date) -> Entry:
    """Return a job on days on which somebody who does it is here and gets there, as far as its own days allow.

    Days before `since` are over and stay; a job with a rhythm keeps it, and so does one that others are counted from,
    the pick and what follows it: fruit does not wait. Where no day will do, the day stays and it is said what is
    missing. Who is away stands against any job, a place cut off against those among the trees.
    """
    against = _Against(entry, holding)
    lacking = [day for day in entry.days if day >= since and against.is_against(day)]
    if not lacking:
        return entry
    first = lacking[0]
    stays = entry.task.every is not None or len(entry.days) > 1 or entry.task.when.stage not in _ALONE
    better = None if stays else against.first_free(first)
    if better is not None:
        return replace(entry.on((better,)), held=together([entry.held, against.put_off(first)]))
    return replace(entry, held=together([entry.held, *against.lacking(lacking, since)]))


class _Against:
    """What stands against a job's days for want of people."""

    def __init__(self, entry: Entry, holding: Holding) -> None:
        hands = hands_of(entry.task, entry.bearings, holding).people
        self._entry = entry
        self._people = [person for person in holding.place.people if person.name in hands]
        self._place = holding.place if entry.task.topic is Topic.ORCHARD else None

    def is_against(self, day: date) -> bool:
        return self._is_cut_off(day) or _all_away(self._people, day)

    def first_free(self, day: date) -> date | None:
        while day in self._entry.span:
            if day not in self._entry.closed and not self.is_against(day):
                return day
            day += timedelta(days=1)
        return None

    def put_off(self, day: date) -> str:
        """Say from which day a job was put off, and why."""
        if self._is_cut_off(day):
            why = self._because([day])
            if not why:
                return _("Put off from {day}: nobody gets there then.", day=week_day(day))
            return _("Put off from {day}: nobody gets there then ({why}).", day=week_day(day), why=why)
        return _("Put off from {day}; away then: {people}.", day=week_day(day), people=self._names)

    def lacking(self, days: Sequence[date], since: date) -> Iterator[str]:
        """Say on which days a hand is missing, and on which nobody gets there, with the day before that would do."""
        away = [day for day in days if not self._is_cut_off(day)]
        shut = [day for day in days if self._is_cut_off(day)]
        if shut:
            why = self._because(shut)
            told = _("Nobody gets there on {days}.", days=_days(shut))
            yield _("Nobody gets there on {days}: {why}.", days=_days(shut), why=why) if why else told
            before = self._day_before(shut[0], since)
            if before is not None and self._entry.task.every is None:
                yield _("The nearest day before is {day}.", day=week_day(before))
        if away:
            yield _("Away on {days}: {people}. Another hand is wanted then.", days=_days(away), people=self._names)

    def _day_before(self, day: date, since: date) -> date | None:
        for back in range(1, _LOOK_BACK_D + 1):
            earlier = day - timedelta(days=back)
            if earlier < since:
                return None
            if not self.is_against(earlier) and earlier not in self._entry.closed:
                return earlier
        return None

    def _is_cut_off(self, day: date) -> bool:
        return self._place is not None and self._place.cut_off_on(day) is not None

    def _because(self, days: Iterable[date]) -> str:
        told = [self._place.cut_off_on(day) for day in days] if self._place else []
        return ", ".join(dict.fromkeys(one.because for one in told if one and one.because))

    @property
    def _names(self) -> str:
        return ", ".join(sorted(person.name for person in self._people))


def _days(days: Iterable[date]) -> str:
    return ", ".join(week_day(day) for day in days)


def _all_away(people: Iterable[Person], day: date) -> bool:
    found = list(people)
    return bool(found) and all(person.is_away(day) for person in found)
