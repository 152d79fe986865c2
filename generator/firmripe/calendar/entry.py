"""What comes out of the plan for a calendar: a job on its days, and what has no day."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.because import Held
from firmripe.calendar.reentry import Waiting
from firmripe.days import Rhythm, Span
from firmripe.holding.task import Stage, Task
from firmripe.holding.tree import Bearing
from firmripe.remark import Remark
from firmripe.season.estimate import Reach

_NOTED = frozenset({Stage.FULL_BLOOM, Stage.PICK, Stage.LEAF_FALL})
"""Stages whose day is that of a record."""


class Entry(Struct, frozen=True, kw_only=True):
    """A task on its day or days.

    `span` runs from its first to its last day; `days` are the days it stands on (each repeat, or the first alone).
    `subject` is the key or tag it is for, empty for the whole place, and `name` what that is called by, None for the
    place; `crop` one of several crops. `reach` is how early or late its first day may come. `rough` and `seen` speak of
    the date it hangs on. `held` is what stands against it or has moved a day of it: a spray's label, a freeze, a want
    unmet. `waiting` are those of its trees that are left out for now, where others are free. On the days `closed` of
    its span nobody may go to any of its trees. `lasting` is what it is known by where its subject names a day, or has
    several of it. A job that comes with each picking of a crop has `pickings`, the numbers of those on its days, `of`
    so many; one with a rhythm comes back `every` so often. `house` is the one whose part of the fruit it is about.
    """

    task: Task
    subject: str
    name: Remark | None
    crop: str
    season: int
    span: Span
    days: tuple[date, ...]
    bearings: tuple[Bearing, ...]
    reach: Reach
    rough: bool = False
    seen: bool = False
    held: tuple[Held, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    closed: frozenset[date] = frozenset()
    lasting: str = ""
    pickings: tuple[int, ...] = ()
    of: int = 0
    every: Rhythm | None = None
    house: str = ""

    @property
    def is_noted(self) -> bool:
        """Whether its own day is one that was seen and noted, and not only counted from one."""
        when = self.task.when
        return self.seen and when.stage in _NOTED and not when.days and not when.months

    @property
    def follows(self) -> bool:
        """Whether it is about a picking that follows another one."""
        return bool(self.pickings) and self.pickings[0] > 1

    @property
    def stretches(self) -> tuple[Span, ...]:
        """Its span without the days on which nobody may go to its trees, in order; it stands on a day of the first."""
        return tuple(self.span.without(self.closed))

    def on(self, days: tuple[date, ...]) -> Entry:
        """Return it on other days, in order; its span reaches from the first of them to its own end, or theirs.

        Each day has the picking of the last of its own that is not after it.
        """
        if days == self.days:
            return self
        pickings = self.pickings
        if len(pickings) == len(self.days) > 1:
            pickings = tuple(pickings[max(0, bisect_right(self.days, day) - 1)] for day in days)
        span = Span(first=days[0], last=max(days[-1], self.span.last))
        reach = replace(self.reach, likely=days[0], latest=max(days[0], self.reach.latest))
        return replace(self, days=days, span=span, reach=reach, pickings=pickings)

    def with_held(self, *held: Held) -> Entry:
        """Return it with more that stands against it, each once."""
        return replace(self, held=tuple(dict.fromkeys([*self.held, *held])))

    def opened(self, trees: AbstractSet[str]) -> Entry:
        """Return it without a word of sprays, people, houses and wants, and of other trees than these."""
        held = tuple(told for one in self.held if (told := one.opened()) is not None)
        waiting = tuple(replace(one, wait=one.wait.opened()) for one in self.waiting if one.tree in trees)
        lasting = self.lasting.removeprefix(f"{self.subject}/{self.house}").lstrip("/") if self.house else self.lasting
        lasting = f"{self.subject}/{lasting}" if self.house and lasting else lasting
        return replace(self, held=held, waiting=waiting, lasting=lasting, house="")

    @property
    def identity(self) -> str:
        """What the entry is, whatever its date: task, subject, crop and season."""
        return "|".join((self.task.key, self.lasting or self.subject, self.crop, str(self.season)))


class Undated(Struct, frozen=True, kw_only=True):
    """What could not be dated, and why; `jobs` hang on it, `wanted` says that it is fruit wanted on a day."""

    what: Remark
    reason: Remark
    remedy: Remark | None = None
    jobs: tuple[Task, ...] = ()
    wanted: bool = False


class Calendar(Struct, frozen=True, kw_only=True, dict=True):
    """All entries, by first day and topic, and all that has no date."""

    entries: tuple[Entry, ...]
    undated: tuple[Undated, ...]

    @cached_property
    def _days_by_task(self) -> dict[str, dict[Bearing, list[date]]]:
        return {}

    def days_of(self, task: str, bearing: Bearing) -> Sequence[date]:
        """Return the days of a task for a bearing, entry after entry; all entries are gone through once for a task."""
        if task not in self._days_by_task:
            found: dict[Bearing, list[date]] = {}
            for entry in self.entries:
                if entry.task.key == task:
                    for one in entry.bearings:
                        found.setdefault(one, []).extend(entry.days)
            self._days_by_task[task] = found
        return self._days_by_task[task].get(bearing, ())

    def with_others(self, others: Iterable[Entry]) -> Calendar:
        """Return it with entries of another season among its own."""
        return replace(self, entries=in_order([*self.entries, *others]))


def in_order(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return entries by first day, topic and identity."""
    return tuple(sorted(entries, key=lambda e: (e.span.first, e.task.topic.value, e.identity)))
