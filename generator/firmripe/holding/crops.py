"""Lines over the turn of a season, each in the season of the crop that it is of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Final

from msgspec.structs import replace

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.place import Place
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Tree

CONTINUES_D, CROP_LASTS_D = 45, 180
"""A picking so many days after one of last season, and not called a first one, goes on with that crop, as long as the
crop's first lies not farther back than the second. J: longer than pickings lie apart, and than any harvest lasts."""
TURN_D = 60
"""A crop that was picked, or was to be, so near to the end of its season may be late and come in the next. J."""

BARE_D: Final = 60
"""So long after midwinter no crop hangs that is still to grow: what is lost then was picked. J: before March nothing
that rests in winter has set fruit, and what fruit never rests of has a season that begins on another day."""
UNKNOWN_KEEPING_D: Final = 60.0
"""So long fruit keeps of which nobody knows how long (J). Households keep some for up to twice as long as is told."""
_BLOOMS = frozenset({Happening.FIRST_BLOOM, Happening.FULL_BLOOM, Happening.PETAL_FALL})
_OF_PICKED_FRUIT = frozenset({Happening.LOST, Happening.SHARED})
"""What is told of a season's fruit, by what was lost of it and who had it, also when the next season has begun."""

Crop = tuple[str, str]
"""The key of a cultivar and the name of a crop, both empty where a line names none."""


def of_their_crops(records: Iterable[Record], trees: Iterable[Tree], place: Place) -> tuple[Record, ...]:
    """Return records, oldest first, with pickings over the turn of a season in the season that their crop is of.

    So is what was shared of it, and what was lost of it in store. What is in its season already stays there.
    """
    lines = list(records)
    tags = {tree.tag: tree for tree in trees}
    blooms: dict[tuple[str, int], date] = {}
    for record in lines:
        if record.what in _BLOOMS:
            blooms[record.tree, record.season] = record.day
    found = []
    of_trees: dict[str, dict[Crop, tuple[Record, Record]]] = {}
    latest: Record | None = None
    for record in lines:
        told, crops = record, of_trees.setdefault(record.tree, {})
        if record.what in PICKINGS:
            first, before = crops.get((record.cultivar, record.crop), (None, None))
            if first and before and _goes_on(first, before, record):
                told = replace(record, season=before.season)
            elif _is_late(first, record, place.working_year, _fixed(record, tags.get(record.tree))):
                told = replace(record, season=record.season - 1)
            is_same = before is not None and before.season == told.season and record.what is not Happening.FIRST_PICK
            crops[record.cultivar, record.crop] = (first if first and is_same else told), told
            latest = told
        elif record.what in _OF_PICKED_FRUIT:
            last = _last_picked(record, crops) if record.tree else latest
            bloom = blooms.get((record.tree, record.season))
            if last is not None and _was_picked(record, last, place, tags.get(record.tree), bloom):
                told = replace(record, season=last.season)
        found.append(told)
    return tuple(found)


def _fixed(record: Record, tree: Tree | None) -> list[date]:
    """Return the days on which the pick of a record's crop was fixed by hand."""
    pins = tree.pins if tree is not None else ()
    return [pin.day for pin in pins if pin.event is Event.PICK and pin.crop in {"", record.crop}]


def _keeps_d(record: Record, tree: Tree | None) -> float:
    """Return how many days the fruit of a record's tree, or limb, keeps at most."""
    limbs = tree.limbs if tree is not None else ()
    told = (limb.traits.keeps for limb in limbs if record.cultivar in {"", limb.key})
    return max((figure.value.high for figure in told if figure is not None), default=UNKNOWN_KEEPING_D)


def _last_picked(record: Record, crops: Mapping[Crop, tuple[Record, Record]]) -> Record | None:
    """Return the last picking of a tree's crops that a line can speak of; what one of the two leaves open may be it."""
    named = record.cultivar, record.crop
    picked = (
        last
        for crop, (_first, last) in crops.items()
        if all(one == other or not (one and other) for one, other in zip(named, crop, strict=True))
    )
    return max(picked, key=lambda one: one.day, default=None)


def _was_picked(record: Record, last: Record, place: Place, tree: Tree | None, bloom: date | None) -> bool:
    """Say whether a line is of fruit that was picked in the season before, of which `last` is the last picking.

    What was lost may have hung: it was picked if it may lie so long, and nothing of its season's crop can have hung by
    then, in winter or before a noted `bloom`.
    """
    if last.season != record.season - 1 or record.what is Happening.SHARED:
        return last.season == record.season - 1
    year = place.working_year(record.season)
    is_winter = year.begins is None and (record.day - year.midwinter).days < BARE_D
    may_lie = (record.day - last.day).days <= 2 * _keeps_d(record, tree)
    return may_lie and (is_winter or (bloom is not None and record.day < bloom))


def _goes_on(first: Record, before: Record, record: Record) -> bool:
    if record.what is Happening.FIRST_PICK or before.what is Happening.LAST_PICK or before.season != record.season - 1:
        return False
    return (record.day - before.day).days <= CONTINUES_D and (record.day - first.day).days <= CROP_LASTS_D


def _is_late(first: Record | None, record: Record, season: Callable[[int], WorkingYear], fixed: Iterable[date]) -> bool:
    """Say whether a picking early in a season is the one that the season before is still without."""
    before, now = season(record.season - 1), season(record.season)
    if (first is not None and first.season >= before.year) or (record.day - now.first).days > TURN_D:
        return False
    days = [day for day in fixed if day in before and (before.last - day).days <= TURN_D]
    is_usual = first is not None and (season(first.season).last - first.day).days <= TURN_D
    return bool(days) or is_usual
