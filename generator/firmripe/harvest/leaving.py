"""What was noted as leaving the store: each line taken from the fruit it can be of, and no weight taken twice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from firmripe.harvest.grades import STORED, graded
from firmripe.harvest.lots import Goes, Out
from firmripe.harvest.passes import Picking
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.filling import is_meant_in, makes
from firmripe.holding.fruit import Cultivar
from firmripe.holding.holding import Holding
from firmripe.holding.jar import parse_made
from firmripe.holding.place import Share
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import NOTHING, Grade, Weight
from firmripe.problems import Unreadable
from firmripe.season.verdicts import LONGEST_IN_STORE_D

FRESH_D: Final = 21
"""Fruit that came out so many days before is no longer what is given away, sold or put into jars. J."""
GOES: Final = {
    Happening.TAKEN_OUT: Goes.TABLE,
    Happening.LOST: Goes.LOST,
    Happening.SHARED: Goes.SHARED,
    Happening.SOLD: Goes.SOLD,
    Happening.USED_UP: Goes.USED,
    Happening.JARS: Goes.JARS,
}
_NOT_TAKEN_FROM: Final = frozenset({Grade.WINDFALLS, Grade.CULLS})
"""Grades that a line is of only if it names them."""


class Left(Struct, frozen=True, kw_only=True):
    """What is left of a batch after all that was noted (None: not known), and what has left it."""

    weight: Weight | None
    outs: tuple[Out, ...]


class _Pool(Struct):
    """A batch that lines take from. What is not stored is out from the day it is picked."""

    grade: Grade
    picked: date
    noted: bool
    left: Weight | None
    outs: list[Out] = field(default_factory=list)


def left_of(
    pickings: Sequence[Picking],
    shares: dict[Grade, Fraction],
    leavings: Iterable[tuple[Record, Weight | None]],
    houses: Sequence[Share] = (),
) -> Mapping[tuple[int, Grade], Left]:
    """Return what is left of each batch of a lot, by picking and grade, and what left it by the lines, oldest first.

    What is taken out comes from the earliest picking first. What is gone is first of what had come out by then and is
    still fresh, then of what lies in the cold. A line for taking out without a weight stands for all of a batch; one
    that says `used up`, for all that is out, or else for all there is; any other says nothing of how much. A line that
    names one of the `houses` is of its part.
    """
    pools: dict[tuple[int, Grade], _Pool] = {}
    for picking in pickings:
        for grade, weight in graded(picking, shares):
            day = picking.day.likely
            pool = _Pool(grade=grade, picked=day, noted=picking.noted, left=weight)
            if grade not in STORED:
                pool.left, pool.outs = NOTHING, [Out(day=day, weight=weight, noted=picking.noted)]
            pools[picking.number, grade] = pool
    for record, weight in leavings:
        asked = None if weight is None else weight.middle
        mine = _that_it_can_be_of([pool for pool in pools.values() if _was_there(pool, record)], record)
        if record.what is Happening.TAKEN_OUT:
            _take_out(mine or [*pools.values()][:1], record.day, asked, house_named(houses, record.note))
        elif record.what is Happening.USED_UP or asked is not None:
            _use(mine, record, asked, house_named(houses, record.note))
    return {key: Left(weight=pool.left, outs=tuple(pool.outs)) for key, pool in pools.items()}


def _was_there(pool: _Pool, record: Record) -> bool:
    """Say whether a batch was picked by the day of a line; what is lost before a noted pick is lost on the tree."""
    return pool.picked <= record.day and (pool.noted or record.what is not Happening.LOST)


def _that_it_can_be_of(pools: list[_Pool], record: Record) -> list[_Pool]:
    """Return the batches a line can be of: those of the grades that it names first, culls only if it names them."""
    named = {part.grade for part in record.parts}
    allowed = [pool for pool in pools if pool.grade in named or pool.grade not in _NOT_TAKEN_FROM]
    return sorted(allowed, key=lambda pool: pool.grade not in named)


def house_named(houses: Iterable[Share], note: str) -> str:
    """Return the house that a note names; the longest name where one is part of another, nothing where none is."""
    named = [house.name for house in houses if house.is_named_in(note)]
    return max(named, key=len) if named else ""


def _take_out(pools: Sequence[_Pool], day: date, asked: Fraction | None, house: str) -> None:
    for pool in pools:
        if pool.grade not in STORED or pool.left == NOTHING:
            continue
        part, pool.left = parted(pool.left, asked)
        pool.outs.append(Out(day=day, weight=part, noted=True, house=house))
        if asked is None or part is None or part.middle >= asked:
            return
        asked -= part.middle


def _use(pools: Sequence[_Pool], record: Record, asked: Fraction | None, house: str) -> None:
    to = GOES[record.what]
    rest = _use_what_is_out(pools, record, asked, house)
    if rest == 0 or (asked is None and rest is not None):
        return
    for pool in pools:
        if pool.left == NOTHING or (pool.left is None and asked is not None):
            continue
        part, pool.left = parted(pool.left, rest)
        pool.outs.append(Out(day=record.day, weight=part, noted=True, to=to, used=record.day, gone=True, house=house))
        if rest is not None and part is not None:
            rest -= min(rest, part.middle)
            if rest == 0:
                return


def _use_what_is_out(pools: Sequence[_Pool], record: Record, asked: Fraction | None, house: str) -> Fraction | None:
    """Mark what came out by then as gone, the oldest first; return what of a weight is still asked for.

    What came out for another house than the one that the line names is left alone. Without a weight it returns 0 where
    something was out, and None where nothing was.
    """
    to, any_age = GOES[record.what], record.what is Happening.USED_UP
    since = date.min if any_age else record.day - timedelta(days=FRESH_D)
    order = [
        (out.day, at, pool)
        for pool in pools
        for at, out in enumerate(pool.outs)
        if not out.gone and since <= out.day <= record.day and (not house or out.house in {"", house})
    ]
    found = Fraction(0) if order and asked is None else asked
    for _, at, pool in sorted(order, key=lambda one: (one[0], one[1])):
        if asked is not None and (not found or pool.outs[at].weight is None):
            continue
        out = pool.outs[at]
        part, rest = parted(out.weight, found if asked is not None else None)
        pool.outs[at] = replace(out, weight=part, to=to, used=record.day, gone=True, house=house or out.house)
        if rest != NOTHING:
            pool.outs.append(replace(out, weight=rest))
        if found and part is not None:
            found -= min(found, part.middle)
    return found


def parted(whole: Weight | None, asked: Fraction | None) -> tuple[Weight | None, Weight | None]:
    """Part a weight into what is asked for of it and the rest; together they are the whole again."""
    if asked is None:
        return whole, NOTHING
    if whole is None:
        return Weight.of(asked), None
    if asked >= whole.low:
        share = min(Fraction(1), asked / whole.middle) if whole.middle else Fraction(1)
        return whole.times(share), whole.times(1 - share)
    return Weight.of(asked), whole.less(Weight.of(asked))


def leavings_of(
    holding: Holding, bearing: Bearing, limb: Cultivar, records: Iterable[Record]
) -> list[tuple[Record, Weight | None]]:
    """Return the lines about a bearing's fruit that leaves the store, each with what it weighs here.

    A line of a tree of several kinds, or several crops, that says no more is parted equally among those that had been
    picked by then; where none was noted, among all.
    """
    containers = containers_of(limb.traits, holding.place)
    found = []
    for record in records:
        if record.what not in GOES or not record.tree:
            continue
        meant = _meant_by(holding, record)
        if bearing not in meant:
            continue
        weight = _in_jars(holding, limb, record) if record.what is Happening.JARS else weigh(record.parts, containers)
        found.append((record, weight.times(Fraction(1, len(meant))) if weight is not None else None))
    return found


def _meant_by(holding: Holding, record: Record) -> list[Bearing]:
    """Return whose fruit a line can be of: that of the crops it may speak of which were picked before, or of all."""
    told = [one for one in holding.tree(record.tree).bearings if record.is_about(*one)]
    if len(told) < 2:
        return told
    oldest = record.day - timedelta(days=LONGEST_IN_STORE_D)
    picks = [r for r in holding.noted(record.tree) if r.what in PICKINGS and oldest <= r.day <= record.day]
    return [one for one in told if any(pick.is_about(*one) for pick in picks)] or told


def _in_jars(holding: Holding, limb: Cultivar, record: Record) -> Weight | None:
    """Return the fruit in noted jars, by the preserve that the line names, else by the first of its fruit.

    None where nothing is printed for it.
    """
    try:
        made = parse_made(record.amount)
    except Unreadable:
        return None
    if made.fruit is not None:
        return made.fruit
    jars = made.jars
    keys = {limb.key, record.tree, limb.fruit.key if limb.fruit else ""}
    kinds = [preserve for preserve in holding.preserves if keys & preserve.subjects]
    kinds.sort(key=lambda one: (not is_meant_in(holding, one, record.note), one.key))
    each = next((load for kind in kinds if (load := makes(kind, jars.jar, keys)) is not None), None)
    return Weight.of(each.middle_kg * jars.count) if each else None
