"""The pickings of one crop: those that were noted, then those still planned, which share what is left."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

from firmripe.harvest.crop import Crop, Unweighed, records_of
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Cultivar
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Grade, Weight, total
from firmripe.season.estimate import Basis, Estimate, Reach
from firmripe.season.freezing import freeze_ahead
from firmripe.season.labels import free_of_labels, hanging_until
from firmripe.season.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class Picking:
    """One picking of a crop: `number` from 1, `weight` None where nothing is known of it.

    `graded` holds what was weighed of each grade; it is empty where nobody sorted.
    """

    number: int
    day: Reach
    weight: Weight | None
    graded: tuple[tuple[Grade, Weight], ...] = ()
    noted: bool = False


def pickings(
    season: Season, limb: Cultivar, bearing: Bearing, pick: Estimate, crop: Crop | Unweighed
) -> tuple[Picking, ...]:
    """Return the pickings of a crop in order.

    Planned ones share what is left of the crop. Where a first pick was noted, at least one more is planned, unless
    nothing tells how many days apart pickings are; a planned one whose days passed without a note is dropped.
    """
    lines = [r for r in records_of(season, bearing) if r.what in PICKINGS]
    now = [record for record in lines if record.season == season.year.year]
    past = _by_season([record for record in lines if record.season < season.year.year])
    noted = [_noted(season, limb, number + 1, record) for number, record in enumerate(now)]
    if noted and pick.basis is Basis.PINNED:
        noted[0] = Picking(
            number=1, day=pick.reach, weight=noted[0].weight, graded=noted[0].graded, noted=noted[0].noted
        )
    if _is_over(now):
        return tuple(noted)
    many, apart = _how_many(limb, past), _how_far_apart(limb, past)
    if noted:
        many = max(1, many - len(noted)) if apart else 0
    elif not apart:
        many = 1
    planned = list(_planned(noted, many, apart, pick, crop))
    until = hanging_until(season.year, max([pick.latest, *(picking.day.latest for picking in planned)]))
    free = free_of_labels(season.holding.about(bearing.tree), bearing, season.as_of, until) or date.min
    planned = [replace(picking, day=picking.day.not_before(free)) for picking in planned]
    open_ones = [picking for picking in planned if not noted or picking.day.latest >= season.as_of]
    return (*noted, *_ahead_of_a_freeze(season, limb, bearing, pick, open_ones))


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
    weights = [picking.weight for picking in late if picking.weight is not None]
    last = min(late[0].day.earliest, freeze.last), freeze.last
    whole = Picking(
        number=late[0].number,
        day=Reach(earliest=last[0], likely=last[1], latest=last[1]),
        weight=total(weights) if len(weights) == len(late) else None,
    )
    return [*(picking for picking in planned if picking.day.likely < freeze.last), whole]


def _planned(
    noted: list[Picking], many: int, apart: float, pick: Estimate, crop: Crop | Unweighed
) -> tuple[Picking, ...]:
    if not many:
        return ()
    left: Weight | None = None
    if isinstance(crop, Crop):
        left = crop.weight.less(total([picking.weight for picking in noted if picking.weight is not None]))
    found = []
    for step in range(many):
        after = math.ceil(apart * (step + (1 if noted else 0)))
        day = (noted[-1].day if noted else pick.reach).after(after, after, after)
        share = left.times(Fraction(1, many)) if left is not None else None
        found.append(Picking(number=len(noted) + step + 1, day=day, weight=share))
    return tuple(found)


def _noted(season: Season, limb: Cultivar, number: int, record: Record) -> Picking:
    containers = containers_of(limb.traits, season.holding.place)
    weight = weigh(record.parts, containers)
    graded: dict[Grade, Weight] = {}
    if weight is not None and any(part.grade for part in record.parts):
        for part in record.parts:
            of_part = part.weight(containers)
            if of_part is not None:
                grade = part.grade or Grade.UNSORTED
                graded[grade] = total([graded.get(grade, Weight.of(0)), of_part])
    day = Reach(earliest=record.day, likely=record.day, latest=record.day)
    return Picking(number=number, day=day, weight=weight, graded=tuple(graded.items()), noted=True)


def _by_season(records: list[Record]) -> dict[int, list[Record]]:
    found: dict[int, list[Record]] = {}
    for record in records:
        found.setdefault(record.season, []).append(record)
    return found


def _is_over(records: list[Record]) -> bool:
    """Say whether all is picked: a last pick is noted, or a single one that was not called the first."""
    kinds = {record.what for record in records}
    return Happening.LAST_PICK in kinds or (bool(kinds) and Happening.FIRST_PICK not in kinds)


def _how_many(limb: Cultivar, past: dict[int, list[Record]]) -> int:
    """Return how often this is picked: the own mean rounded, else what is printed, else once."""
    if past:
        return max(1, round(sum(len(lines) for lines in past.values()) / len(past)))
    return max(1, round(limb.traits.passes.value.middle)) if limb.traits.passes else 1


def _how_far_apart(limb: Cultivar, past: dict[int, list[Record]]) -> float:
    """Return the days between pickings: the own mean, else what is printed, else 0 for not known."""
    gaps = [later.day - earlier.day for lines in past.values() for earlier, later in pairwise(lines)]
    if gaps:
        return sum(gaps, timedelta()).days / len(gaps)
    return limb.traits.pass_interval.value.middle if limb.traits.pass_interval else 0.0
