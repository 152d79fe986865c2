"""Days on which nobody can do a job: all who do it are away, or nobody gets to the trees. It waits while it has time.

What wins where several things stand against a day: a spray's label first, then a tree taken out, then a freeze to
come, then who is here and can get there. So a job never moves out of its own days for want of hands, nor onto a day
that is closed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta

from firmripe.calendar.because import Away, DayBefore, Held, NoAccessThen, PutOff
from firmripe.calendar.entry import Entry
from firmripe.holding.hands import hands_of
from firmripe.holding.holding import Holding
from firmripe.holding.place import Person
from firmripe.holding.task import Stage, Topic

_ALONE = frozenset({None, Stage.FULL_BLOOM, Stage.PETAL_FALL, Stage.LEAF_FALL, Stage.LAST_FROST, Stage.FIRST_FROST})
"""What a job may hang on whose day nothing else is counted from."""
_LOOK_BACK_D = 7
"""A job that can't wait is asked for on a day before, up to so many. J."""


def with_hands(entry: Entry, holding: Holding, since: date) -> Entry:
    """Return a job on days on which somebody who does it is here and gets there, as far as its own days allow.

    Days before `since` are over and stay; a job with a rhythm keeps it, and so does one that others are counted from,
    the pick and what follows it: fruit does not wait. Where no day will do, the day stays and it is said what is
    missing. Who is away stands against any job, days without access against those among the trees.
    """
    if not holding.place.people and not holding.place.no_access:
        return entry
    against = _Against(entry, holding)
    lacking = [day for day in entry.days if day >= since and against.is_against(day)]
    if not lacking:
        return entry
    first = lacking[0]
    stays = entry.task.every is not None or len(entry.days) > 1 or entry.task.when.stage not in _ALONE
    better = None if stays else against.first_free(first)
    if better is not None:
        return entry.on((better,)).with_held(PutOff(day=first, lacking=against.lacking_on([first])))
    return entry.with_held(*against.lacking(lacking, since))


class _Against:
    """What stands against a job's days for want of people."""

    def __init__(self, entry: Entry, holding: Holding) -> None:
        hands = hands_of(entry.task, entry.bearings, holding, house=entry.house).people
        self._entry = entry
        self._people = [person for person in holding.place.people if person.name in hands]
        self._place = holding.place if entry.task.topic is Topic.ORCHARD else None

    def is_against(self, day: date) -> bool:
        return self._has_no_access(day) or _all_away(self._people, day)

    def first_free(self, day: date) -> date | None:
        while day in self._entry.span:
            if day not in self._entry.closed and not self.is_against(day):
                return day
            day += timedelta(days=1)
        return None

    def lacking_on(self, days: Sequence[date]) -> Away | NoAccessThen:
        """Return what stands against days that are all of one kind."""
        if self._has_no_access(days[0]):
            return NoAccessThen(days=tuple(days), because=self._because(days))
        return Away(days=tuple(days), people=tuple(sorted(person.name for person in self._people)))

    def lacking(self, days: Sequence[date], since: date) -> Iterator[Held]:
        """Yield on which days nobody gets there, with the day before that would do, and on which a hand is missing."""
        away = [day for day in days if not self._has_no_access(day)]
        shut = [day for day in days if self._has_no_access(day)]
        if shut:
            yield self.lacking_on(shut)
            before = self._day_before(shut[0], since)
            if before is not None and self._entry.task.every is None:
                yield DayBefore(day=before)
        if away:
            yield self.lacking_on(away)

    def _day_before(self, day: date, since: date) -> date | None:
        for back in range(1, _LOOK_BACK_D + 1):
            earlier = day - timedelta(days=back)
            if earlier < since:
                return None
            if not self.is_against(earlier) and earlier not in self._entry.closed:
                return earlier
        return None

    def _has_no_access(self, day: date) -> bool:
        return self._place is not None and self._place.no_access_on(day) is not None

    def _because(self, days: Iterable[date]) -> tuple[str, ...]:
        told = [self._place.no_access_on(day) for day in days] if self._place else []
        return tuple(dict.fromkeys(one.because for one in told if one and one.because))


def _all_away(people: Iterable[Person], day: date) -> bool:
    found = list(people)
    return bool(found) and all(person.is_away(day) for person in found)
