"""On which day an anchor of a task lies: of a bearing, of the place, or of the calendar."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from typing import Final

from dateutil.relativedelta import relativedelta

from firmripe.calendar.because import NoSuchDay, NotTold
from firmripe.calendar.names import OfLimb, StageOf
from firmripe.calendar.pickings import AFTER_THE_PICK, PICKING, due, is_after_the_pick
from firmripe.days import WorkingYear
from firmripe.harvest.lots import Lot, lies_until
from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening
from firmripe.holding.task import OF_THE_KITCHEN, Anchor, Each, Stage, Task, Topic
from firmripe.holding.tree import Bearing
from firmripe.remark import Remark
from firmripe.season.estimate import Basis, Estimate, NoDate, Reach
from firmripe.season.season import Season
from firmripe.season.spreads import PETAL_FALL_AFTER_D
from firmripe.season.usual import usual_of

OF_THE_PICK: Final = PICKING | (AFTER_THE_PICK - {Stage.TAKE_OUT_WANTED, Stage.WANTED} - OF_THE_KITCHEN)
OF_THE_PLACE: Final = frozenset({Stage.LAST_FROST, Stage.FIRST_FROST})
_ENDS: Final = frozenset({Stage.EARLIEST_PICK, Stage.LATEST_PICK})
"""Stages that are looked out for until the crop is picked, as far as is noted."""
_NO_NEWS = frozenset({Stage.FULL_BLOOM, Stage.PETAL_FALL, Stage.LEAF_FALL})
"""Stages without a date that nobody misses a job for: of a bloom it is told elsewhere, and leaves are seen to fall."""
_PICKING_FROM, _LEAVES_FALL_FROM = 165, 273
"""Season days from which a day of the calendar moves with warmth as picking does, and as the fall of leaves (our
judgement: mid-June and October in the north)."""
_EVENTS = {
    Stage.FULL_BLOOM: Event.FULL_BLOOM,
    Stage.PETAL_FALL: Event.FULL_BLOOM,
    **dict.fromkeys(OF_THE_PICK, Event.PICK),
    Stage.LEAF_FALL: Event.LEAF_FALL,
}
"""The event of a bearing that the day of a stage is reckoned from."""


class Anchoring:
    """The days of anchors in a season. What has no day is `missing`, with the tasks that lack it."""

    def __init__(self, season: Season, lots: Mapping[Bearing, Lot]) -> None:
        self._season = season
        self._holding = season.holding
        self._lots = lots
        self._known: dict[tuple[Stage, bool], dict[Bearing, Reach | NoDate]] = {}
        self.missing: dict[tuple[StageOf, Remark], dict[str, Task]] = {}

    def reaches(self, anchor: Anchor, bearings: Iterable[Bearing], task: Task) -> list[Reach]:
        """Return when a job comes for each of some bearings; what lacks a date or is over has none."""
        if anchor.stage is None or anchor.stage in OF_THE_PLACE:
            of_place = self._of_the_place(anchor, task)
            return [of_place] if of_place else []
        found: list[Reach] = []
        over: list[Reach] = []
        lacking: list[tuple[Bearing, NoDate]] = []
        for bearing, reach, is_over in self._each(anchor, bearings, task):
            if isinstance(reach, NoDate):
                lacking.append((bearing, reach))
            else:
                (over if is_over else found).append(reach)
        if found and task.each is Each.PLACE:
            found += over  # what is done once for all before the first pick comes no second time before the next
        if not found and anchor.stage not in _NO_NEWS:
            for bearing, no_date in lacking:
                if self._season.bears(bearing):
                    of = OfLimb(limb=self._holding.limb(bearing).name, tree=bearing.tree)
                    self._lacks(StageOf(stage=anchor.stage, of=of), no_date.reason, task)
        return found

    def reaches_of(self, anchor: Anchor, bearings: Iterable[Bearing], task: Task) -> dict[Bearing, Reach]:
        """Return when a job comes for each of some bearings by itself, without those that lack a date or are over."""
        if anchor.stage is None or anchor.stage in OF_THE_PLACE:
            of_place = self._of_the_place(anchor, task)
            return dict.fromkeys(bearings, of_place) if of_place else {}
        each = self._each(anchor, bearings, task)
        return {bearing: reach for bearing, reach, is_over in each if isinstance(reach, Reach) and not is_over}

    def end_in_the_calendar(self, task: Task, until: Anchor, first: date) -> date:
        """Return the last day of a job that ends on a day of the calendar, by its first.

        It is that of the year after where its own year's lies before the first: of a stretch of the calendar always, of
        a job that hangs on a stage where it is half a year and more, since a late spring may overtake its last day.
        """
        year = self._season.year
        this = self._of_the_calendar(until, task, year).likely
        if task.when.day is not None:
            begins, ends = (_plain_day(anchor, year) for anchor in (task.when, until))
            is_next = ends < begins
        else:
            is_next = this + relativedelta(months=6) <= first
        return self._of_the_calendar(until, task, year.named(year.year + 1)).likely if is_next else this

    def pick(self, bearing: Bearing) -> Estimate | None:
        """Return the date of a bearing's pick; None where it has none."""
        return self._season.picks.get(bearing)

    def is_rough(self, anchor: Anchor, bearings: Iterable[Bearing]) -> bool:
        """Say whether the date of any of some bearings that an anchor hangs on is rough."""
        return any(dated is not None and dated.rough for dated in self._hung_on(anchor, bearings))

    def is_seen(self, anchor: Anchor, bearings: Iterable[Bearing]) -> bool:
        """Say whether what an anchor hangs on was seen and noted of all of some bearings."""
        return anchor.stage in _EVENTS and all(
            dated is not None and dated.basis is Basis.RECORDED for dated in self._hung_on(anchor, bearings)
        )

    def _each(
        self, anchor: Anchor, bearings: Iterable[Bearing], task: Task
    ) -> Iterator[tuple[Bearing, Reach | NoDate, bool]]:
        """Yield when a job comes for each of some bearings, or why nobody knows, and whether it is over."""
        stage = anchor.stage or Stage.PICK
        until_nothing_lies = anchor is task.until and stage is Stage.KEEP_UNTIL and task.each is Each.PLACE
        before = stage is Stage.PICK and anchor is task.when and not is_after_the_pick(anchor, task.topic)
        ends = anchor.stage in _ENDS and max(anchor.months, anchor.days) <= 0
        follows = task.topic is Topic.STORE and is_after_the_pick(anchor, task.topic)
        known = self._known.setdefault((stage, before), {})
        for bearing in bearings:
            day: Reach | NoDate | None = self._lies_until(bearing) if until_nothing_lies else None
            if day is None:
                if bearing not in known:
                    known[bearing] = self._of_bearing(stage, bearing, before=before)
                day = known[bearing]
            if isinstance(day, NoDate):
                yield bearing, day, False
                continue
            reach = moved(day, anchor)
            is_over = ends and self._is_over(anchor, bearing)
            yield bearing, self._not_before_the_pick(reach, bearing) if follows else reach, is_over

    def _lies_until(self, bearing: Bearing) -> Reach | None:
        """Return the last day on which fruit of a bearing lies in store; None where there is none, or nobody knows."""
        lot = self._lots.get(bearing)
        return lies_until(lot) if lot is not None else None

    def _not_before_the_pick(self, reach: Reach, bearing: Bearing) -> Reach:
        """Return a day of work with stored fruit on no day on which that still hangs."""
        lot = self._lots.get(bearing)
        if lot is None:
            return reach
        picked = lot.days[Stage.PICK]
        return Reach(
            earliest=max(reach.earliest, picked.earliest),
            likely=max(reach.likely, picked.likely),
            latest=max(reach.latest, picked.latest),
        )

    def _lacks(self, what: StageOf, reason: Remark, task: Task) -> None:
        """Note that a day is missing, and for which task."""
        self.missing.setdefault((what, reason), {})[task.key] = task

    def _of_the_place(self, anchor: Anchor, task: Task) -> Reach | None:
        place, year = self._holding.place, self._season.year
        if anchor.day is not None:
            return self._of_the_calendar(anchor, task, year)
        stage = anchor.stage or Stage.FIRST_FROST
        frost = place.last_frost if stage is Stage.LAST_FROST else place.first_frost
        if frost is None:
            self._lacks(StageOf(stage=stage), NotTold(), task)
            return None
        first, last = (year.place_day(day, place.hemisphere) for day in (frost.first, frost.last))
        if last < first:
            last = year.named(year.year + 1).place_day(frost.last, place.hemisphere)
        return moved(Reach(earliest=first, likely=first + (last - first) / 2, latest=last), anchor)

    def _of_the_calendar(self, anchor: Anchor, task: Task, year: WorkingYear) -> Reach:
        """Return a day of the calendar in a season, as its zone's warmth moves it."""
        ground, day = self._holding.place.ground, _plain_day(anchor, year)
        if task.zone and ground.zone:
            event = _event_about(year.day_number(day))
            day += timedelta(days=round(usual_of(self._holding, year).between_zones(event, task.zone, ground.zone)))
        return moved(Reach.on(day), anchor)

    def _of_bearing(self, stage: Stage, bearing: Bearing, *, before: bool) -> Reach | NoDate:
        if stage in OF_THE_PICK:
            return self._after_pick(stage, bearing, before=before)
        if stage is Stage.PETAL_FALL and (noted := self._noted_petal_fall(bearing)) is not None:
            return noted
        dated = self._season.of(bearing, _EVENTS[stage])
        if isinstance(dated, NoDate):
            return dated
        after = PETAL_FALL_AFTER_D
        return dated.reach.after(after, after, after) if stage is Stage.PETAL_FALL else dated.reach

    def _after_pick(self, stage: Stage, bearing: Bearing, *, before: bool) -> Reach | NoDate:
        """Return a day of the pick or after it; what is done `before` it stays on its day while fruit hangs."""
        pick = self._season.of(bearing, Event.PICK)
        if isinstance(pick, NoDate):
            return pick
        lot = self._lots[bearing]
        last = max([pick.latest, *(picking.day.latest for picking in lot.pickings[1:])])
        ends = {Stage.EARLIEST_PICK: pick.earliest, Stage.LATEST_PICK: last}
        if stage in ends:
            return Reach(earliest=ends[stage], likely=ends[stage], latest=ends[stage])
        if stage is Stage.PICK and before:
            return due(lot.pickings[0], pick)
        return lot.days.get(stage) or NoDate(reason=lot.undated.get(stage, NoSuchDay(stage=stage)))

    def _noted_petal_fall(self, bearing: Bearing) -> Reach | None:
        for record in self._holding.noted(bearing.tree):
            if (
                record.what is Happening.PETAL_FALL
                and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
                and record.season == self._season.year.year
                and record.day <= self._season.as_of
            ):
                return Reach(earliest=record.day, likely=record.day, latest=record.day)
        return None

    def _is_over(self, anchor: Anchor, bearing: Bearing) -> bool:
        """Say whether looking out for the pick is over: for the first when it is noted, for the last when all are."""
        pick = self.pick(bearing)
        if pick is None or not pick.is_over:
            return False
        return anchor.stage is Stage.EARLIEST_PICK or all(picking.noted for picking in self._lots[bearing].pickings)

    def _hung_on(self, anchor: Anchor, bearings: Iterable[Bearing]) -> Iterator[Estimate | None]:
        """Yield the date of each bearing that an anchor hangs on; nothing for a day of the calendar or the place."""
        event = _EVENTS.get(anchor.stage) if anchor.stage else None
        if event is Event.PICK:
            yield from map(self.pick, bearings)
        elif event is not None:
            for bearing in bearings:
                dated = self._season.of(bearing, event)
                yield dated if isinstance(dated, Estimate) else None


def waits_for_all(anchor: Anchor) -> bool:
    """Say whether a job comes after the last pick of them all."""
    return anchor.stage is Stage.LATEST_PICK and max(anchor.months, anchor.days) > 0


def _plain_day(anchor: Anchor, year: WorkingYear) -> date:
    """Return the day of the calendar that an anchor names in a season. Raises ValueError where it names none."""
    if anchor.day is None:
        raise ValueError(f"{anchor.text} is no day of the calendar")
    return year.place_day(anchor.day, anchor.written_for)


def moved(reach: Reach, anchor: Anchor) -> Reach:
    """Return a day moved by the months and days that an anchor lies off its stage."""
    if not anchor.months and not anchor.days:
        return reach
    step = relativedelta(months=anchor.months, days=anchor.days) if anchor.months else timedelta(days=anchor.days)
    return Reach(earliest=reach.earliest + step, likely=reach.likely + step, latest=reach.latest + step)


def _event_about(season_day: float) -> Event:
    """Return the event that moves with warmth as days of that time of the season do."""
    if season_day < _PICKING_FROM:
        return Event.FULL_BLOOM
    return Event.PICK if season_day < _LEAVES_FALL_FROM else Event.LEAF_FALL
