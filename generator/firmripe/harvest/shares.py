"""Shares: what was picked, divided among households by the rule of the place, grade by grade and to the last gram."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from firmripe.harvest.grades import SHARED
from firmripe.harvest.lots import Lot
from firmripe.holding.place import Share
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import NOTHING, Grade, Weight, total


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """What one household is due of a grade: its exact part, the whole boxes in it, and what is over in kilograms."""

    name: str
    weight: Weight
    boxes: int
    over: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Division:
    """A grade divided: all `dues`, and `rest` that belongs to nobody by the rule."""

    cultivar: str
    grade: Grade
    whole: Weight
    dues: tuple[Due, ...]
    rest: Weight


def divide(whole: Weight, shares: Iterable[Share], box_kg: Fraction | None) -> tuple[tuple[Due, ...], Weight]:
    """Divide a weight; the dues and the rest add up to it exactly.

    Boxes are counted in the middle of the weight; a household's boxes and what is over add up to its part.
    """
    dues = []
    left = Fraction(1)
    for share in shares:
        weight = whole.times(share.part)
        left -= share.part
        boxes = int(weight.middle // box_kg) if box_kg else 0
        over = weight.middle - boxes * box_kg if box_kg else weight.middle
        dues.append(Due(name=share.name, weight=weight, boxes=boxes, over=over))
    return tuple(dues), whole.times(left)


def divisions(lots: Mapping[Bearing, Lot], shares: tuple[Share, ...], box: Weight | None) -> tuple[Division, ...]:
    """Divide what has been picked and weighed this season, by cultivar and grade."""
    picked: dict[tuple[str, int], list[Weight]] = {}
    grades = list(Grade)
    for lot in lots.values():
        for batch in lot.batches:
            if batch.picked_noted and batch.weight is not None and batch.grade in SHARED:
                picked.setdefault((batch.limb.name, grades.index(batch.grade)), []).append(batch.weight)
    found = []
    for (cultivar, at), weights in sorted(picked.items()):
        whole = total(weights)
        dues, rest = divide(whole, shares, box.middle if box else None)
        found.append(Division(cultivar=cultivar, grade=grades[at], whole=whole, dues=dues, rest=rest))
    return tuple(found) if shares else ()


def account(found: Iterable[Division]) -> dict[str, Weight]:
    """Return what each household is due over all cultivars and grades."""
    sums: dict[str, Weight] = {}
    for division in found:
        for due in division.dues:
            sums[due.name] = sums.get(due.name, NOTHING) + due.weight
    return sums
