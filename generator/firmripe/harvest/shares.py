"""Shares: what was picked, divided among households by the rule of the place, grade by grade and to the last gram.

Full boxes are handed out whole; what that gives a house over its part, or leaves it short, is told and evened out with
the next grade.
"""

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
    """What one household is due of a grade: its exact part, and the whole boxes it is given.

    `over` is what those boxes weigh beyond its part (kg), below 0 where it is short. Without boxes it has its part.
    """

    name: str
    weight: Weight
    boxes: int = 0
    over: Fraction = Fraction(0)

    def __add__(self, other: Due) -> Due:
        return Due(
            name=self.name,
            weight=self.weight + other.weight,
            boxes=self.boxes + other.boxes,
            over=self.over + other.over,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Division:
    """A grade divided: all `dues`, `rest` that belongs to nobody by the rule, and `loose` (kg), less than a box.

    What is loose makes up for what houses are short: all they have over is as much less than all they are short.
    """

    cultivar: str
    grade: Grade
    whole: Weight
    dues: tuple[Due, ...]
    rest: Weight
    loose: Fraction = Fraction(0)


def divide(
    whole: Weight, shares: Iterable[Share], box_kg: Fraction | None, owed: Mapping[str, Fraction] | None = None
) -> tuple[tuple[Due, ...], Weight]:
    """Divide a weight; the dues and the rest add up to it exactly.

    Boxes are counted in the middle of the weight, as many as are full of what is shared. Each house is given those
    that lie within its part; the others go to whoever is then shortest, with what it is `owed` from before (kg). Where
    a part fills no box, fruit is weighed out and no box given.
    """
    parts = {share.name: whole.times(share.part) for share in shares}
    rest = whole.times(1 - sum((share.part for share in shares), Fraction(0)))
    shared = sum((part.middle for part in parts.values()), Fraction(0))
    if not box_kg or any(part.middle < box_kg for part in parts.values()):
        return tuple(Due(name=name, weight=part) for name, part in parts.items()), rest
    boxes = {name: int(part.middle // box_kg) for name, part in parts.items()}
    for _box in range(int(shared // box_kg) - sum(boxes.values())):
        short = {n: part.middle + (owed or {}).get(n, 0) - boxes[n] * box_kg for n, part in parts.items()}
        boxes[max(short, key=lambda name: short[name])] += 1
    dues = (Due(name=n, weight=p, boxes=boxes[n], over=boxes[n] * box_kg - p.middle) for n, p in parts.items())
    return tuple(dues), rest


def divisions(lots: Mapping[Bearing, Lot], shares: tuple[Share, ...], box: Weight | None) -> tuple[Division, ...]:
    """Divide what has been picked and weighed this season, by cultivar and grade."""
    picked: dict[tuple[str, int], list[Weight]] = {}
    grades = list(Grade)
    for lot in lots.values():
        for batch in lot.batches:
            if batch.picked_noted and batch.weight is not None and batch.grade in SHARED:
                picked.setdefault((batch.limb.name, grades.index(batch.grade)), []).append(batch.weight)
    found = []
    owed = {share.name: Fraction(0) for share in shares}
    for (cultivar, at), weights in sorted(picked.items()):
        whole = total(weights)
        dues, rest = divide(whole, shares, box.middle if box else None, owed)
        owed = {due.name: owed[due.name] - due.over for due in dues}
        loose = -sum((due.over for due in dues), Fraction(0))
        found.append(Division(cultivar=cultivar, grade=grades[at], whole=whole, dues=dues, rest=rest, loose=loose))
    return tuple(found) if shares else ()


def account(found: Iterable[Division]) -> dict[str, Due]:
    """Return what each household is due over all cultivars and grades."""
    sums: dict[str, Due] = {}
    for division in found:
        for due in division.dues:
            sums[due.name] = sums.get(due.name, Due(name=due.name, weight=NOTHING)) + due
    return sums
