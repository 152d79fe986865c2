"""Shares: what was picked, divided among households by the rule of the place, grade by grade and to the last gram.

Full boxes are handed out whole; what that gives a house over its part, or leaves it short, is told and evened out with
the next grade.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.grades import SHARED
from firmripe.harvest.lots import Batch, Goes, Lot
from firmripe.holding.place import Share
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import NOTHING, Grade, Weight, total


class Due(Struct, frozen=True, kw_only=True):
    """What one household is due of a grade: its exact part, and the whole boxes it is given.

    `over` is what those boxes weigh beyond its part (kg), below 0 where it is short. Without boxes it has its part.
    `goes` tells where that part goes by the rows of the plan of leaving (kg), empty where a weight is not known: it is
    as much in all as its part, or as the house has had beyond it.
    """

    name: str
    weight: Weight
    boxes: int = 0
    over: Fraction = Fraction(0)
    goes: tuple[tuple[Goes, Fraction], ...] = ()

    def __add__(self, other: Due) -> Due:
        return Due(
            name=self.name,
            weight=self.weight + other.weight,
            boxes=self.boxes + other.boxes,
            over=self.over + other.over,
            goes=tuple(_added(dict(self.goes), dict(other.goes)).items()),
        )


class Division(Struct, frozen=True, kw_only=True):
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


def divisions(
    lots: Mapping[Bearing, Lot], shares: tuple[Share, ...], box: Weight | None, today: date
) -> tuple[Division, ...]:
    """Divide what has been picked and weighed this season, by cultivar and grade, as known today."""
    picked: dict[tuple[str, int], list[Batch]] = {}
    grades = list(Grade)
    for lot in lots.values():
        for batch in lot.batches:
            if batch.picked_noted and batch.weight is not None and batch.grade in SHARED:
                picked.setdefault((batch.limb.name, grades.index(batch.grade)), []).append(batch)
    found = []
    owed = {share.name: Fraction(0) for share in shares}
    for (cultivar, at), batches in sorted(picked.items(), key=lambda one: one[0]):
        whole = total([batch.weight for batch in batches if batch.weight is not None])
        dues, rest = divide(whole, shares, box.middle if box else None, owed)
        owed = {due.name: owed[due.name] - due.over for due in dues}
        loose = -sum((due.over for due in dues), Fraction(0))
        goes = goes_by_house(batches, shares, today)
        dues = tuple(replace(due, goes=tuple(goes.get(due.name, {}).items())) for due in dues)
        found.append(Division(cultivar=cultivar, grade=grades[at], whole=whole, dues=dues, rest=rest, loose=loose))
    return tuple(found) if shares else ()


def goes_by_house(
    batches: Sequence[Batch], shares: Sequence[Share], today: date = date.min
) -> dict[str, dict[Goes, Fraction]]:
    """Return where the fruit of each house goes by the rows of the plan of leaving (kg); nothing where one is unknown.

    What was noted for a house is of its part; every other row, be it for the table, a wanted day or the kitchen, is of
    all houses by what they have still to come. What was for the table and is past its last day today is untold. What
    the rule gives to nobody stands under no name. All of it together weighs what the batches weigh.
    """
    found: dict[str, dict[Goes, Fraction]] = {}
    for batch in batches:
        if any(out.weight is None for out in batch.outs):
            return {}
        parts = _still_due(batch, shares)
        for out in batch.outs:
            kg = out.weight.middle if out.weight is not None else Fraction(0)
            to = Goes.UNTOLD if batch.is_untold(out, today) else out.to
            for house, part in ({out.house: Fraction(1)} if out.house in parts and out.house else parts).items():
                if part * kg:
                    found[house] = _added(found.get(house, {}), {to: part * kg})
    return found


def house_parts(batch: Batch, weight: Weight, shares: Sequence[Share]) -> tuple[tuple[str, Weight], ...]:
    """Return each house's part of so much of a batch that is still to leave, in the order of the shares.

    There is none of a batch that is one house's, since it was put away so, nor of fruit that is not shared.
    """
    if batch.house or batch.grade not in SHARED or not shares:
        return ()
    parts = _still_due(batch, shares)
    return tuple((share.name, weight.times(parts[share.name])) for share in shares if parts[share.name])


def _still_due(batch: Batch, shares: Iterable[Share]) -> dict[str, Fraction]:
    """Return the part of each house, and of nobody, in what of a batch was noted for none."""
    rule = {share.name: share.part for share in shares}
    rule[""] = 1 - sum(rule.values(), Fraction(0))
    if batch.house:
        return {house: Fraction(int(house == batch.house)) for house in rule}
    weights = [(out.house, out.weight.middle) for out in batch.outs if out.weight is not None]
    whole = sum((kg for _house, kg in weights), Fraction(0))
    had = {house: sum((kg for name, kg in weights if name == house and house), Fraction(0)) for house in rule}
    still = {house: max(Fraction(0), part * whole - had[house]) for house, part in rule.items()}
    left = sum(still.values(), Fraction(0))
    return {house: kg / left for house, kg in still.items()} if left else rule


def _added(one: Mapping[Goes, Fraction], other: Mapping[Goes, Fraction]) -> dict[Goes, Fraction]:
    """Add up what goes where, in the order of where it can go."""
    return {to: one.get(to, Fraction(0)) + other.get(to, Fraction(0)) for to in Goes if to in one or to in other}


def account(found: Iterable[Division]) -> dict[str, Due]:
    """Return what each household is due over all cultivars and grades."""
    sums: dict[str, Due] = {}
    for division in found:
        for due in division.dues:
            sums[due.name] = sums.get(due.name, Due(name=due.name, weight=NOTHING)) + due
    return sums
