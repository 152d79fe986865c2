"""From the season, its lots and the tasks to dated entries, each of which knows why it stands on its day."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from dateutil.relativedelta import relativedelta

from firmripe.days import Span
from firmripe.harvest.lots import Lot
from firmripe.holding.fruit import Cultivar, Event, Ripens
from firmripe.holding.holding import Holding
from firmripe.holding.preserve import PutUp
from firmripe.holding.record import Happening, Record
from firmripe.holding.task import Anchor, Condition, Each, Stage, Task, Topic
from firmripe.holding.tree import Bearing, Tree
from firmripe.season.estimate import Basis, Estimate, NoDate, Reach
from firmripe.season.season import Season
from firmripe.season.spreads import MOST_HALF_ZONES, PER_HALF_ZONE_D, PETAL_FALL_AFTER_D
from firmripe.words import week_day

_OF_THE_PICK = frozenset(
    {
        Stage.EARLIEST_PICK,
        Stage.PICK,
        Stage.LATEST_PICK,
        Stage.CONDITIONED,
        Stage.TAKE_OUT,
        Stage.READY,
        Stage.USE_BY,
        Stage.KEEP_UNTIL,
    }
)
_OF_THE_PLACE = frozenset({Stage.LAST_FROST, Stage.FIRST_FROST})
_EVENTS = {
    Stage.FULL_BLOOM: Event.FULL_BLOOM,
    Stage.PETAL_FALL: Event.FULL_BLOOM,
    **dict.fromkeys(_OF_THE_PICK, Event.PICK),
    Stage.LEAF_FALL: Event.LEAF_FALL,
}
"""The event of a bearing that the day of a stage is reckoned from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A task on its day or days.

    `span` runs from its first to its last day; `days` are the days it stands on (each repeat, or the first alone).
    `subject` is the key or tag it is for and `name` what that is called, both empty for the whole place; `crop` one
    of several crops. `reach` is how early or late its first day may come. `rough` and `seen` speak of the date it
    hangs on. `held` says which spray's label keeps people out and has moved a day of it.
    """

    task: Task
    subject: str
    name: str
    crop: str
    season: int
    span: Span
    days: tuple[date, ...]
    bearings: tuple[Bearing, ...]
    reach: Reach
    rough: bool = False
    seen: bool = False
    held: str = ""

    @property
    def title(self) -> str:
        """The task, and what it is for."""
        return f"{self.task.name}: {self.name}" if self.name else self.task.name

    @property
    def identity(self) -> str:
        """What the entry is, whatever its date: task, subject, crop and season."""
        return "|".join((self.task.key, self.subject, self.crop, str(self.season)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Undated:
    """What could not be dated, and why."""

    what: str
    reason: str
    remedy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """All entries, by first day and title, and all that has no date."""

    entries: tuple[Entry, ...]
    undated: tuple[Undated, ...]


def expand(season: Season, lots: Mapping[Bearing, Lot]) -> Calendar:
    """Hang every task on the season."""
    expansion = _Expansion(season, lots)
    for task in season.holding.tasks:
        expansion.add(task)
    entries = sorted(expansion.entries, key=lambda e: (e.span.first, e.task.topic.value, e.title, e.identity))
    return Calendar(entries=tuple(entries), undated=_what_has_no_date(season, expansion.missing))


@dataclass(frozen=True, slots=True)
class _Group:
    """The bearings that one entry is for, and what they are called together."""

    subject: str
    name: str
    crop: str
    bearings: tuple[Bearing, ...]


class _Expansion:
    def __init__(self, season: Season, lots: Mapping[Bearing, Lot]) -> None:
        self._season = season
        self._holding: Holding = season.holding
        self._lots = lots
        self._trees = {tree.tag: tree for tree in season.holding.trees}
        self.entries: list[Entry] = []
        self.missing: dict[tuple[str, str], set[str]] = {}

    def add(self, task: Task) -> None:
        anchors = [anchor for anchor in (task.when, task.until) if anchor is not None]
        stages = {anchor.stage for anchor in anchors if anchor.stage}
        bearings = [b for b in self._season.bearings if self._is_for(task, b) and self._is_due(task, b)]
        if not bearings:
            return
        for group in self._groups(task, bearings, of_the_pick=bool(stages & _OF_THE_PICK)):
            self._add_group(task, group)

    def _add_group(self, task: Task, group: _Group) -> None:
        firsts = self._reaches(task.when, group, task)
        if not firsts:
            return
        first = min(reach.likely for reach in firsts)
        last = first
        if task.until is not None:
            lasts = [reach.likely for reach in self._reaches(task.until, group, task)]
            if task.until.day is not None:
                lasts = [_over_new_year(first, day) for day in lasts]
            last = max([first, *lasts])
        span = Span(first=first, last=last)
        self._put(
            Entry(
                task=task,
                subject=group.subject,
                name=group.name,
                crop=group.crop,
                season=self._season.year.year,
                span=span,
                days=tuple(task.every.days_in(span)) if task.every else (first,),
                bearings=group.bearings,
                reach=Reach(
                    earliest=min(reach.earliest for reach in firsts),
                    likely=first,
                    latest=max([first, *(reach.latest for reach in firsts)]),
                ),
                rough=any(self._is_rough(task.when, bearing) for bearing in group.bearings),
                seen=all(self._is_seen(task.when, bearing) for bearing in group.bearings),
            )
        )

    def _put(self, entry: Entry) -> None:
        """Add an entry, its days moved past the re-entry times of sprays where people would have to go in."""
        closed = self._closed(entry) if entry.task.topic is Topic.ORCHARD else {}
        if any(day in closed for day in entry.days):
            moved = tuple(sorted({_past(closed, day) for day in entry.days}))
            spray = next(closed[day] for day in entry.days if day in closed)
            held = (
                f"Sprayed on {week_day(spray.day)}: by its label nobody goes in before "
                f"{week_day(spray.day + timedelta(days=spray.re_entry_d))}. The label is the law."
            )
            reach = replace(entry.reach, likely=moved[0], latest=max(moved[0], entry.reach.latest))
            span = Span(first=moved[0], last=max(moved[-1], entry.span.last))
            entry = replace(entry, days=moved, span=span, reach=reach, held=held)
        self.entries.append(entry)

    def _closed(self, entry: Entry) -> dict[date, Record]:
        """Return the days on which a spray keeps people out, each with the spray.

        A job of the whole place waits only for a spray of the whole place.
        """
        tags = {bearing.tree for bearing in entry.bearings} if entry.subject else set()
        return {
            record.day + timedelta(days=day): record
            for record in self._holding.records
            if record.what is Happening.SPRAY and record.day <= self._season.as_of and record.tree in {"", *tags}
            for day in range(record.re_entry_d)
        }

    # Which bearings, and in which groups

    def _limb(self, bearing: Bearing) -> Cultivar:
        return next(limb for limb in self._trees[bearing.tree].limbs if limb.key == bearing.cultivar)

    def _is_for(self, task: Task, bearing: Bearing) -> bool:
        if not task.subjects:
            return True
        fruit = self._limb(bearing).fruit
        keys = {bearing.tree, bearing.cultivar, fruit.key if fruit else ""}
        return bool(keys & task.subjects)

    def _is_due(self, task: Task, bearing: Bearing) -> bool:
        limb = self._limb(bearing)
        ripens = limb.traits.ripens_off_the_tree
        lot = self._lots.get(bearing)
        tests: dict[Condition, Callable[[], bool]] = {
            Condition.BEARS: lambda: self._season.bears(bearing),
            Condition.RIPENS_OFF: lambda: ripens is not None and ripens.value is not Ripens.NO,
            Condition.RIPENS_ON: lambda: ripens is not None and ripens.value is Ripens.NO,
            Condition.NEEDS_COLD: lambda: lot is not None and lot.needs_cold,
            Condition.CAN_BE_PUT_UP: lambda: bool(self._ways(limb)),
            Condition.CAN_BE_CANNED: lambda: PutUp.CANNER in self._ways(limb),
        }
        return all(tests[condition]() for condition in task.only_if)

    def _ways(self, limb: Cultivar) -> set[PutUp]:
        """Return the ways in which a cultivar can be put up."""
        keys = {limb.key, limb.fruit.key if limb.fruit else limb.key}
        return {preserve.method for preserve in self._holding.preserves if preserve.subjects & keys}

    def _groups(self, task: Task, bearings: list[Bearing], *, of_the_pick: bool) -> Iterable[_Group]:
        grouped: dict[tuple[str, str, str], list[Bearing]] = {}
        for bearing in bearings:
            grouped.setdefault(self._group_of(task, bearing, of_the_pick=of_the_pick), []).append(bearing)
        for (subject, crop, name), members in grouped.items():
            yield _Group(subject, name, crop, tuple(members))

    def _group_of(self, task: Task, bearing: Bearing, *, of_the_pick: bool) -> tuple[str, str, str]:
        """Return the subject, the crop and the name of the group that a bearing falls into."""
        tree, limb = self._trees[bearing.tree], self._limb(bearing)
        crop = bearing.crop if of_the_pick else ""
        of_crop = f", {crop} crop" if crop else ""
        if task.each is Each.PLACE:
            return "", "", ""
        if task.each is Each.FRUIT:
            name = limb.fruit.name if limb.fruit else limb.name
            return limb.fruit.key if limb.fruit else limb.key, crop, name + of_crop
        if task.each is Each.CULTIVAR:
            return limb.key, crop, limb.name + of_crop
        if len(tree.limbs) == 1:
            return tree.tag, crop, f"{limb.name} ({tree.tag}){of_crop}"
        if of_the_pick:
            return f"{tree.tag}/{limb.key}", crop, f"{limb.name} ({tree.tag}){of_crop}"
        return tree.tag, "", f"tree {tree.tag}"

    # On which day

    def _reaches(self, anchor: Anchor, group: _Group, task: Task) -> list[Reach]:
        if anchor.stage is None or anchor.stage in _OF_THE_PLACE:
            of_place = self._of_the_place(anchor, task)
            return [of_place] if of_place else []
        found: list[Reach] = []
        lacking: list[tuple[Bearing, NoDate]] = []
        for bearing in group.bearings:
            reach = self._of_bearing(anchor.stage, bearing)
            if isinstance(reach, NoDate):
                lacking.append((bearing, reach))
            elif not self._is_over(anchor, bearing):
                found.append(_moved(reach, anchor))
        if not found and anchor.stage not in {Stage.FULL_BLOOM, Stage.PETAL_FALL}:
            for bearing, reach in lacking:
                if self._season.bears(bearing) or anchor.stage is Stage.LEAF_FALL:
                    of = f" of {self._limb(bearing).name} ({bearing.tree})"
                    what = anchor.stage.value + ("" if anchor.stage is Stage.LEAF_FALL else of)
                    self._lacks(what, reach.reason, task)
        return found

    def _lacks(self, what: str, reason: str, task: Task) -> None:
        """Note that a day is missing, and for which task; one that is for one person alone is not named."""
        self.missing.setdefault((what, reason), set()).add("a job of one person" if task.only_for else task.name)

    def _of_the_place(self, anchor: Anchor, task: Task) -> Reach | None:
        place, year = self._holding.place, self._season.year
        if anchor.day is not None:
            day = year.place_day(anchor.day, anchor.written_for)
            if task.zone and place.ground.zone:
                colder = task.zone.half_zones - place.ground.zone.half_zones
                colder = max(-MOST_HALF_ZONES, min(MOST_HALF_ZONES, colder))
                day += timedelta(days=round(PER_HALF_ZONE_D * colder))
            return _moved(Reach(earliest=day, likely=day, latest=day), anchor)
        frost = place.last_frost if anchor.stage is Stage.LAST_FROST else place.first_frost
        if frost is None or anchor.stage is None:
            word = anchor.stage.value if anchor.stage else ""
            self._lacks(word, "place.md does not say when it is", task)
            return None
        first = year.place_day(frost.first, place.hemisphere)
        last = _over_new_year(first, year.place_day(frost.last, place.hemisphere))
        return _moved(Reach(earliest=first, likely=first + (last - first) / 2, latest=last), anchor)

    def _of_bearing(self, stage: Stage, bearing: Bearing) -> Reach | NoDate:
        if stage in _OF_THE_PICK:
            return self._after_pick(stage, bearing)
        if stage is Stage.PETAL_FALL and (noted := self._noted_petal_fall(bearing)) is not None:
            return noted
        dated = self._season.of(bearing, _EVENTS[stage])
        if isinstance(dated, NoDate):
            return dated
        after = PETAL_FALL_AFTER_D if stage is Stage.PETAL_FALL else 0
        return dated.reach.after(after, after, after)

    def _after_pick(self, stage: Stage, bearing: Bearing) -> Reach | NoDate:
        pick = self._season.of(bearing, Event.PICK)
        if isinstance(pick, NoDate):
            return pick
        ends = {Stage.EARLIEST_PICK: pick.earliest, Stage.LATEST_PICK: pick.latest}
        if stage in ends:
            return Reach(earliest=ends[stage], likely=ends[stage], latest=ends[stage])
        lot = self._lots[bearing]
        return lot.days.get(stage) or NoDate(reason=lot.undated.get(stage, f"it has no day called {stage.value}"))

    def _noted_petal_fall(self, bearing: Bearing) -> Reach | None:
        for record in self._holding.records:
            if (
                record.what is Happening.PETAL_FALL
                and record.tree == bearing.tree
                and record.is_about(bearing.tree, bearing.cultivar, "")
                and record.season == self._season.year.year
                and record.day <= self._season.as_of
            ):
                return Reach(earliest=record.day, likely=record.day, latest=record.day)
        return None

    def _pick(self, bearing: Bearing) -> Estimate | None:
        pick = self._season.of(bearing, Event.PICK)
        return pick if isinstance(pick, Estimate) else None

    def _is_over(self, anchor: Anchor, bearing: Bearing) -> bool:
        """Say whether looking out for the pick is over, because it has been seen and noted."""
        pick = self._pick(bearing)
        looked_for = anchor.stage in {Stage.EARLIEST_PICK, Stage.LATEST_PICK} and max(anchor.months, anchor.days) <= 0
        return looked_for and pick is not None and pick.basis is Basis.RECORDED

    def _hangs_on(self, anchor: Anchor, bearing: Bearing) -> Estimate | None:
        """Return the date of the bearing that an anchor hangs on; None for a day of the calendar or the place."""
        event = _EVENTS.get(anchor.stage) if anchor.stage else None
        dated = self._season.of(bearing, event) if event else None
        return dated if isinstance(dated, Estimate) else None

    def _is_rough(self, anchor: Anchor, bearing: Bearing) -> bool:
        dated = self._hangs_on(anchor, bearing)
        return dated is not None and dated.rough

    def _is_seen(self, anchor: Anchor, bearing: Bearing) -> bool:
        dated = self._hangs_on(anchor, bearing)
        return dated is not None and dated.basis is Basis.RECORDED


def _past(closed: Mapping[date, Record], day: date) -> date:
    """Return the day itself, or the first one after it that is not closed."""
    while day in closed:
        day += timedelta(days=1)
    return day


def _over_new_year(first: date, last: date) -> date:
    """Return the last day of a stretch of the calendar: one half a year and more before its first is next year's."""
    return last + relativedelta(years=1) if last + relativedelta(months=6) <= first else last


def _moved(reach: Reach, anchor: Anchor) -> Reach:
    step = relativedelta(months=anchor.months, days=anchor.days)
    return Reach(earliest=reach.earliest + step, likely=reach.likely + step, latest=reach.latest + step)


def _what_has_no_date(season: Season, missing: Mapping[tuple[str, str], set[str]]) -> tuple[Undated, ...]:
    found = []
    trees: dict[str, Tree] = {tree.tag: tree for tree in season.holding.trees}
    for happens, dated in sorted(season.dates.items()):
        if isinstance(dated, NoDate) and happens.event is not Event.LEAF_FALL:
            tree = trees[happens.bearing.tree]
            limb = next(limb for limb in tree.limbs if limb.key == happens.bearing.cultivar)
            crop = f", {happens.bearing.crop} crop" if happens.bearing.crop else ""
            what = f"{happens.event_name} of {limb.name} ({tree.tag}){crop}"
            found.append(Undated(what=what, reason=dated.reason, remedy=dated.remedy))
    for (what, reason), tasks in sorted(missing.items()):
        found.append(Undated(what=what, reason=f"{reason} (so no day for: {', '.join(sorted(tasks))})"))
    return tuple(found)
