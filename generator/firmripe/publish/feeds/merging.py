"""Which jobs are one appointment in a calendar, so that a phone rings no more often than somebody has to act.

Jobs of one task fall together on a day, and those that may well be done a little early within a week, on the first of
its days. A deadline soon after what it ends stands in that, not by itself, and so does fruit that is ready when it is
picked, and what the kitchen makes of it. What one person alone has to do, or other
hands, is kept apart, so that every calendar takes an appointment whole or not at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, timedelta
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.entry import Entry
from firmripe.holding.hands import hands_of
from firmripe.holding.holding import Holding
from firmripe.holding.task import Anchor, Each, Stage, Topic
from firmripe.holding.tree import Bearing
from firmripe.tongue import Tongue
from firmripe.wording.names import name_of

ENDS = {Stage.LATEST_PICK: Stage.PICK, Stage.USE_BY: Stage.READY}
"""The stages that are deadlines, and what each of them ends."""
_NOT_TOO_EARLY = frozenset({Stage.EARLIEST_PICK, Stage.KEEP_UNTIL, *ENDS})
"""Stages whose jobs lose nothing when they are done some days before."""
_OF_A_SESSION = frozenset({Stage.CANNING_DAY, Stage.KITCHEN_DAY})
SOON_D = 7
"""A deadline that comes so soon after what it ends needs no reminder of its own (our judgement)."""
AT_ONCE_D = 1
"""What comes so few days after the job that tells of it needs no reminder of its own (our judgement)."""


class Merged(Struct, frozen=True, kw_only=True, dict=True):
    """Jobs of one task that are one appointment, by day and name, and the `deadlines` that are told in it.

    Beside deadlines that is fruit which is ready as it is picked, and what the kitchen makes of it.

    The one that is first by identity lends it its own, so that it stays the same when the days of others move.
    """

    entries: tuple[Entry, ...]
    deadlines: tuple[Entry, ...] = ()

    @property
    def bearings(self) -> Iterator[Bearing]:
        """What its jobs are about."""
        return (bearing for entry in self.entries for bearing in entry.bearings)

    @cached_property
    def lead(self) -> Entry:
        """The one whose identity it has."""
        return min(self.entries, key=lambda entry: entry.identity)

    @property
    def days(self) -> tuple[date, ...]:
        """The days on which it may stand, in order: every turn of a repeating job, or the first of each job's."""
        if self.repeats:
            return self.entries[0].days
        return tuple(sorted({entry.span.first for entry in self.entries}))

    @property
    def repeats(self) -> bool:
        """Whether it is one job that comes back."""
        return len(self.entries) == 1 and self.entries[0].every is not None and len(self.entries[0].days) > 1


def merged(entries: Iterable[Entry], holding: Holding, stands: Callable[[Merged], bool]) -> tuple[Merged, ...]:
    """Return jobs as appointments, in the order of their first days.

    A deadline is told in the job that it ends where that `stands` in the calendar, and by itself where it doesn't.
    """
    tongue = holding.place.tongue
    ends: list[Entry] = []
    jobs: list[Entry] = []
    for entry in entries:
        (ends if _is_deadline(entry) else jobs).append(entry)
    elsewhere = _told_elsewhere(jobs, holding, stands)
    together = _together((entry for entry in jobs if entry.identity not in elsewhere), holding)
    begins_of = [(entry, one) for one in together for entry in one.entries]
    whole = {entry.identity: one for entry, one in begins_of}
    told: dict[str, list[Entry]] = {}
    for beside, job in elsewhere.values():
        begins_of.append((beside, whole[job.identity]))
        told.setdefault(whole[job.identity].lead.identity, []).append(beside)
    # Of several pickings the last is what a deadline ends.
    begins_of.sort(key=lambda pair: _in_order(tongue, pair[0]))
    begun = {of: pair for pair in begins_of for of in _may_end(pair[0], holding)}
    alone = []
    for end in ends:
        stage = end.task.when.stage
        begin, begins = begun.get(_about(end, ENDS[stage] if stage else None, holding), (None, None))
        if begin is not None and begins is not None and stands(begins) and _is_soon(end, begin):
            told.setdefault(begins.lead.identity, []).append(end)
        else:
            alone.append(end)
    found = [
        replace(one, deadlines=tuple(sorted(told.get(one.lead.identity, ()), key=lambda one: _in_order(tongue, one))))
        for one in (*together, *_together(alone, holding))
    ]
    return tuple(sorted(found, key=lambda one: (one.days[0], one.lead.identity)))


def _told_elsewhere(
    jobs: Sequence[Entry], holding: Holding, stands: Callable[[Merged], bool]
) -> dict[str, tuple[Entry, Entry]]:
    """Return the jobs with ripe fruit that another tells of, by identity, each with that one.

    Fruit that is ready as it is picked is told of by its pick, with what the kitchen makes of it; what is made of other
    fruit by the job that says that it is ready.
    """
    standing = [entry for one in _together(jobs, holding) if stands(one) for entry in one.entries]
    found: dict[str, tuple[Entry, Entry]] = {}
    for topics, by, stage in (
        ({Topic.STORE, Topic.KITCHEN}, Topic.ORCHARD, Stage.PICK),
        ({Topic.KITCHEN}, Topic.STORE, Stage.READY),
    ):
        tell: dict[tuple[object, ...], list[Entry]] = {}
        for entry in standing:
            if entry.task.topic is by and _is_once_a_tree(entry, stage) and entry.identity not in found:
                tell.setdefault((*_of_what(entry), _whose(entry, holding)), []).append(entry)
        for entry in jobs:
            if entry.task.topic in topics and _is_once_a_tree(entry, Stage.READY) and entry.identity not in found:
                those = tell.get((*_of_what(entry), _whose(entry, holding)), [])
                near = (one for one in those if 0 <= (entry.span.first - one.span.first).days <= AT_ONCE_D)
                job = max(near, key=lambda one: _in_order(holding.place.tongue, one), default=None)
                if job is not None:
                    found[entry.identity] = (entry, job)
    return found


def _is_once_a_tree(entry: Entry, stage: Stage | None) -> bool:
    """Say whether it is a job of each tree on the day of a stage itself, once."""
    task = entry.task
    return stage is task.when.stage and _is_plain(task.when) and task.every is None and task.each is Each.TREE


def _together(jobs: Iterable[Entry], holding: Holding) -> list[Merged]:
    groups: dict[tuple[object, ...], list[Entry]] = {}
    for entry in jobs:
        groups.setdefault(_group(entry, holding), []).append(entry)
    return [
        Merged(entries=tuple(sorted(members, key=lambda one: _in_order(holding.place.tongue, one))))
        for members in groups.values()
    ]


def _in_order(tongue: Tongue, entry: Entry) -> tuple[date, str, str]:
    return entry.span.first, name_of(tongue, entry), entry.identity


def _is_deadline(entry: Entry) -> bool:
    task = entry.task
    return task.when.stage in ENDS and _is_plain(task.when) and task.until is None and task.every is None


def _may_end(entry: Entry, holding: Holding) -> Iterator[tuple[object, ...]]:
    """Yield what a deadline of a job would be about; nothing where it is none that a deadline ends."""
    stage = entry.task.when.stage
    if stage in ENDS.values() and _is_once_a_tree(entry, stage):
        yield _about(entry, stage, holding)


def _about(entry: Entry, stage: Stage | None, holding: Holding) -> tuple[object, ...]:
    return stage, *_of_what(entry), entry.task.topic, _whose(entry, holding, entry.days)


def _of_what(entry: Entry) -> tuple[str, str, int, str]:
    return entry.subject, entry.crop, entry.season, entry.house


def _is_soon(end: Entry, begin: Entry) -> bool:
    last = begin.days[-1] if begin.every is not None else begin.span.first
    return timedelta(0) <= end.span.first - last <= timedelta(days=SOON_D)


def _is_plain(anchor: Anchor) -> bool:
    return not (anchor.days or anchor.months)


def _group(entry: Entry, holding: Holding) -> tuple[object, ...]:
    task, first = entry.task, entry.span.first
    if entry.every is not None or task.when.stage in _OF_A_SESSION:
        return (entry.identity,)
    before = task.when.stage is Stage.PICK and task.when.days < 0
    if task.when.stage in _NOT_TOO_EARLY or before:
        first -= timedelta(days=(first.weekday() - holding.place.week_starts) % 7)
    return (task.key, entry.season, first, _whose(entry, holding, entry.days))


def _whose(entry: Entry, holding: Holding, days: Iterable[date] = ()) -> tuple[str, frozenset[str]]:
    """Return whose job it is: of whom is there on one of these days, of all where none is given."""
    return entry.task.only_for, hands_of(entry.task, entry.bearings, holding, days, entry.house).people
