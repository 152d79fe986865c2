"""The pickings of one crop: those that were noted, then those still planned, which share what is left."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.crop import Crop, Unweighed, records_of
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Cultivar
from firmripe.holding.picking_days import picking_days
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Grade, Weight, together, total
from firmripe.season.estimate import Basis, Estimate, Reach
from firmripe.season.freezing import freeze_ahead
from firmripe.season.labels import free_of_labels, hanging_until
from firmripe.season.season import Season


class _Past(Struct, frozen=True):
    """The days of picking of former seasons, and `telling` of those that tell how often: of the others one is noted."""

    days: Mapping[int, Sequence[date]]
    telling: Mapping[int, Sequence[date]]


class Picking(Struct, frozen=True, kw_only=True):
    """One picking of a crop: `number` from 1, `weight` None where nothing is known of it.

    `graded` holds what was weighed of each grade; it is empty where nobody sorted. `due` is the day it was noted on or
    planned for; one that is due and not noted yet can't be before the day of knowledge, so its `day` is not either.
    """

    number: int
    day: Reach
    due: date
    weight: Weight | None
    graded: tuple[tuple[Grade, Weight], ...] = ()
    noted: bool = False


def pickings(
    season: Season, limb: Cultivar, bearing: Bearing, pick: Estimate, crop: Crop | Unweighed
) -> tuple[Picking, ...]:
    """Return the pickings of a crop in order.

    Planned ones share what is left of the crop. The household's own days of picking are a fact. Without them, where a
    first pick was noted, at least one more is planned, unless nothing tells how many days apart pickings are. A later
    one is dropped where the next would be due and nobody noted it; the first is asked after instead. A day fixed by
    hand is that of the first, unless others were noted by then.
    """
    lines = [r for r in records_of(season, bearing) if r.what in PICKINGS]
    now = [record for record in lines if record.season == season.year.year]
    past = _past(lines, season.year.year)
    noted = [_noted(season, limb, number, lines) for number, lines in enumerate(_by_day(now).values(), start=1)]
    if noted and pick.basis is Basis.PINNED and all(pick.likely < later.day.likely for later in noted[1:]):
        noted[0] = replace(noted[0], day=pick.reach, due=pick.likely)
    own = picking_days(season.holding, bearing, season.year)
    if _is_over(now, on_own_days=bool(own)) or _rest_is_lost(season, bearing):
        return tuple(noted)
    days = _own_days(own, noted, pick) if own else _days_apart(limb, past, noted, pick)
    until = hanging_until(season.year, max([pick.latest, *(day.latest for day in days)]))
    free = free_of_labels(season.holding.about(bearing.tree), bearing, season.as_of, until) or date.min
    if own and noted:
        days = [day for day in days if day.likely >= max(free, season.as_of)]
    planned = _joined(_not_before(picking, free) for picking in _planned(noted, days, crop))
    open_ones = [picking for picking in planned if not noted or picking.day.latest >= season.as_of]
    ahead = _ahead_of_a_freeze(season, limb, bearing, pick, open_ones)
    left = ahead if own else _still_hanging(ahead, season.as_of)
    return (*noted, *(replace(one, number=number) for number, one in enumerate(left, start=len(noted) + 1)))


def usual_without_days(season: Season, limb: Cultivar, bearing: Bearing) -> int:
    """Return how many pickings are usual where nothing tells how many days lie between them; otherwise 0.

    Then the first alone can be planned, and each later one waits until somebody notes it or tells the days.
    """
    lines = [r for r in records_of(season, bearing) if r.what in PICKINGS]
    past = _past(lines, season.year.year)
    many = _how_many(limb, past)
    told = picking_days(season.holding, bearing, season.year) or _how_far_apart(limb, past)
    return 0 if told or many == 1 else many


def more_is_to_come(season: Season, bearing: Bearing) -> bool:
    """Say whether what was noted this season is the first of several pickings, and the last is not noted or lost."""
    kinds = {r.what for r in records_of(season, bearing) if r.what in PICKINGS and r.season == season.year.year}
    return Happening.FIRST_PICK in kinds and Happening.LAST_PICK not in kinds and not _rest_is_lost(season, bearing)


def has_no_next_day(season: Season, bearing: Bearing, found: Iterable[Picking]) -> bool:
    """Say whether more hangs after the pickings of a crop, and nothing tells when the next comes."""
    return all(picking.noted for picking in found) and more_is_to_come(season, bearing)


def _not_before(picking: Picking, day: date) -> Picking:
    return replace(picking, day=picking.day.not_before(day), due=max(picking.due, day))


def _joined(planned: Iterable[Picking]) -> list[Picking]:
    """Return planned pickings of which those that a spray's label moves onto one day are one: by then all is ripe."""
    found: list[Picking] = []
    for one in planned:
        last = found[-1] if found else None
        if last is None or last.day.likely < one.day.likely:
            found.append(one)
        else:
            latest = max(last.day.latest, one.day.latest)
            found[-1] = replace(last, day=replace(last.day, latest=latest), weight=together([last.weight, one.weight]))
    return found


def _still_hanging(planned: Sequence[Picking], today: date) -> list[Picking]:
    """Return planned pickings with none in the past as long as the window of the first is open: they follow on it."""
    late = (today - planned[0].day.likely).days if planned else 0
    if late <= 0 or planned[0].day.latest < today:
        return list(planned)
    first = replace(planned[0], day=planned[0].day.not_before(today))
    wait = timedelta(days=late)
    return [first, *(replace(one, day=one.day.after(late, late, late), due=one.due + wait) for one in planned[1:])]


def _ahead_of_a_freeze(
    season: Season, limb: Cultivar, bearing: Bearing, pick: Estimate, planned: list[Picking]
) -> list[Picking]:
    """Put pickings planned for later into one on the last day before a freeze, where the pick is drawn forward too.

    Not where a spray's label forbids it: the label stands above the freeze.
    """
    freeze = freeze_ahead(season.holding, season.as_of, bearing.tree, limb.traits)
    if freeze is None or (pick.not_after is None and not pick.is_past):
        return planned
    until = hanging_until(season.year, max([pick.latest, *(picking.day.latest for picking in planned)]))
    free = free_of_labels(season.holding.about(bearing.tree), bearing, season.as_of, until)
    if free is not None and free > freeze.last:
        return planned
    late = [picking for picking in planned if picking.day.likely >= freeze.last]
    if not late:
        return planned
    last = min(late[0].day.earliest, freeze.last), freeze.last
    whole = Picking(
        number=late[0].number,
        day=Reach(earliest=last[0], likely=last[1], latest=last[1]),
        due=last[1],
        weight=together(picking.weight for picking in late),
    )
    return [*(picking for picking in planned if picking.day.likely < freeze.last), whole]


def _own_days(own: Sequence[date], noted: Sequence[Picking], pick: Estimate) -> list[Reach]:
    """Return the days still to come of the household's own; the pick's own day goes first, whatever has moved it."""
    if noted:
        return [_on(day) for day in own if day > noted[-1].day.likely]
    return [pick.reach, *(_on(day) for day in own if day > pick.likely)]


def _days_apart(limb: Cultivar, past: _Past, noted: Sequence[Picking], pick: Estimate) -> list[Reach]:
    """Return the days of the pickings to come, as far apart as is usual; one that follows waits until the next."""
    many, apart = _how_many(limb, past), _how_far_apart(limb, past)
    if noted:
        many = max(1, many - len(noted)) if apart else 0
    elif not apart:
        many = 1
    steps = [math.ceil(apart * (step + (1 if noted else 0))) for step in range(many)]
    if noted:
        return [noted[-1].day.after(after, after, after + math.ceil(apart)) for after in steps]
    return [pick.reach.after(after, after, after) for after in steps]


def _planned(noted: Sequence[Picking], days: Sequence[Reach], crop: Crop | Unweighed) -> Iterator[Picking]:
    left: Weight | None = None
    if isinstance(crop, Crop):
        left = crop.weight.less(total([picking.weight for picking in noted if picking.weight is not None]))
    for number, day in enumerate(days, start=len(noted) + 1):
        share = left.times(Fraction(1, len(days))) if left is not None else None
        yield Picking(number=number, day=day, due=day.likely, weight=share)


def _on(day: date) -> Reach:
    return Reach(earliest=day, likely=day, latest=day)


def _noted(season: Season, limb: Cultivar, number: int, lines: Sequence[Record]) -> Picking:
    """Return the picking of a day, whether one line tells of it or several: one for each grade, or by each who picked.

    What it weighs is known where each of them is.
    """
    containers = containers_of(limb.traits, season.holding.place)
    weight = together(weigh(line.parts, containers) for line in lines)
    parts = [part for line in lines for part in line.parts]
    graded: dict[Grade, Weight] = {}
    if weight is not None and any(part.grade for part in parts):
        for part in parts:
            of_part = part.weight(containers)
            if of_part is not None:
                grade = part.grade or Grade.UNSORTED
                graded[grade] = total([graded.get(grade, Weight.of(0)), of_part])
    day = lines[0].day
    return Picking(number=number, day=_on(day), due=day, weight=weight, graded=tuple(graded.items()), noted=True)


def _by_day(records: Iterable[Record]) -> dict[date, list[Record]]:
    found: dict[date, list[Record]] = {}
    for record in records:
        found.setdefault(record.day, []).append(record)
    return found


def _days_by_season(records: Iterable[Record]) -> dict[int, list[date]]:
    """Return the days of picking of each season, in order, each once."""
    found: dict[int, set[date]] = {}
    for record in records:
        found.setdefault(record.season, set()).add(record.day)
    return {season: sorted(days) for season, days in found.items()}


def _past(records: Iterable[Record], year: int) -> _Past:
    """Return the days of picking of the seasons before one."""
    by_season: dict[int, list[Record]] = {}
    for record in records:
        if record.season < year:
            by_season.setdefault(record.season, []).append(record)
    days = _days_by_season(record for lines in by_season.values() for record in lines)
    telling = {at for at, lines in by_season.items() if len(days[at]) > 1 or _is_over(lines, on_own_days=False)}
    return _Past(days=days, telling={at: days[at] for at in days if at in telling})


def _is_over(records: Sequence[Record], *, on_own_days: bool) -> bool:
    """Say whether all is picked: a last pick is noted, or a single one that was not called the first.

    On the household's own days of picking any of them may be called a pick, and the last one alone ends them.
    """
    kinds = {record.what for record in records}
    called_all = bool(kinds) and Happening.FIRST_PICK not in kinds and not on_own_days
    return Happening.LAST_PICK in kinds or called_all


def _rest_is_lost(season: Season, bearing: Bearing) -> bool:
    """Say whether what hung on the tree was noted as lost; with an amount it is a part of it, or what was picked."""
    this = (record for record in records_of(season, bearing) if record.season == season.year.year)
    return any(record.what is Happening.LOST and not record.amount for record in this)


def _how_many(limb: Cultivar, past: _Past) -> int:
    """Return how often this is picked: the own mean rounded, else what is printed, else once.

    A season of which a first pick alone is noted does not tell.
    """
    if past.telling:
        return max(1, round(sum(len(days) for days in past.telling.values()) / len(past.telling)))
    return max(1, round(limb.traits.passes.value.middle)) if limb.traits.passes else 1


def _how_far_apart(limb: Cultivar, past: _Past) -> float:
    """Return the days between pickings: the own mean, else what is printed, else 0 for not known."""
    gaps = [later - earlier for days in past.days.values() for earlier, later in pairwise(days)]
    if gaps:
        return sum(gaps, timedelta()).days / len(gaps)
    return limb.traits.pass_interval.value.middle if limb.traits.pass_interval else 0.0
