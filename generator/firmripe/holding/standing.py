"""Which trees and limbs stand: what the records say of those that were taken out, and of what they leave behind."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction

from msgspec.structs import replace

from firmripe.holding.record import LEAVINGS, PICKINGS, Happening, Record
from firmripe.holding.tree import Tree
from firmripe.problems import Where

OFF_THE_TREE = LEAVINGS | {Happening.STORED, Happening.READY, Happening.VERDICT, Happening.LEFT}
"""What is said of fruit that was picked: no sign that a tree stands."""
_BEARS = PICKINGS | {Happening.SET, Happening.THINNED, Happening.LIGHT_CROP, Happening.PART_CROP, Happening.HEAVY_CROP}
"""What shows that a tree is old enough to bear."""


def removed_on(records: Iterable[Record], cultivar: str) -> date | None:
    """Return when a limb was taken out, alone or with its tree, from the tree's lines; None where it stands.

    A later line means that another stands there: for a tree any line of it, for a limb one that names it. Lines of
    the whole place and of fruit already picked are no such line.
    """
    lines = list(records)
    if all(record.what is not Happening.REMOVED for record in lines):
        return None
    own = [record for record in lines if record.tree and record.what not in OFF_THE_TREE]
    with_tree = _last_removal(own, "")
    alone = _last_removal([record for record in own if record.cultivar == cultivar], cultivar) if cultivar else None
    return min((day for day in (with_tree, alone) if day is not None), default=None)


def _last_removal(lines: Sequence[Record], cultivar: str) -> date | None:
    removed = [record.day for record in lines if is_removal(record, cultivar)]
    if not removed or max(removed) < max(record.day for record in lines):
        return None
    return max(removed)


def is_removal(record: Record, cultivar: str = "") -> bool:
    """Say whether a line takes out a whole tree, or, with a cultivar, that limb of it alone."""
    return record.what is Happening.REMOVED and record.cultivar == cultivar


def gone_by(trees: Iterable[Tree], records: Iterable[Record], as_of: date) -> Mapping[tuple[str, str], date]:
    """Return when each limb that stands no more on a day was taken out, by the tree's tag and the limb's key."""
    known = [record for record in records if record.tree and record.day <= as_of]
    lines: dict[str, list[Record]] = {record.tree: [] for record in known if record.what is Happening.REMOVED}
    for record in known if lines else ():
        if record.tree in lines:
            lines[record.tree].append(record)
    return {
        (tree.tag, limb.key): day
        for tree in trees
        if tree.tag in lines
        for limb in tree.limbs
        if (day := removed_on(lines[tree.tag], limb.key)) is not None
    }


def of_standing_trees(records: Iterable[Record], trees: Iterable[Tree]) -> list[Record]:
    """Return records, oldest first, of which a line for a row or a range is only of trees that stood on its day.

    What its amount gave to the others is theirs. A tree that was removed stands again from the year that its note says
    it was planted in, or from a line that names it, or the limb, alone.
    """
    found = list(records)
    counts = {tree.tag: tree for tree in trees}
    removed = [record for record in found if record.what is Happening.REMOVED]
    if not removed or not any(record.of_many for record in found):
        return found
    alone: dict[str, list[Record]] = {}
    for record in found:
        if not record.of_many and record.what not in OFF_THE_TREE:
            alone.setdefault(record.tree, []).append(record)
    lines: dict[Where, list[Record]] = {}
    for record in found:
        if record.of_many:
            lines.setdefault(record.where, []).append(record)
    whole: dict[Where, Fraction] = {}
    gone: set[int] = set()
    for where, of_line in lines.items():
        stand = [record for record in of_line if _stood(record, counts.get(record.tree), alone.get(record.tree, ()))]
        gone.update(id(record) for record in of_line if not any(record is one for one in stand))
        most, left = (sum(counts[record.tree].count for record in some) for some in (of_line, stand))
        whole[where] = Fraction(most, left) if left else Fraction(1)
    return [
        _with_more(record, whole[record.where]) if record.of_many else record
        for record in found
        if id(record) not in gone
    ]


def _stood(record: Record, tree: Tree | None, alone: Iterable[Record]) -> bool:
    """Say whether a tree, or the limb that a line names, stood on its day, by the lines that are of it alone."""
    own = [one for one in alone if one.day <= record.day and one.cultivar in {"", record.cultivar}]
    taken = [one.day for one in own if one.what is Happening.REMOVED and one.day < record.day]
    if not taken:
        return True
    if tree is not None and tree.planted is not None and max(taken).year <= tree.planted <= record.day.year:
        return True
    return any(one.day > max(taken) and one.what is not Happening.REMOVED for one in own)


def _with_more(record: Record, times: Fraction) -> Record:
    parts = tuple(replace(part, low=part.low * times, high=part.high * times) for part in record.parts)
    return replace(record, parts=parts)


def bore_in(records: Iterable[Record], season: int) -> list[Record]:
    """Return the lines without what happened to each tree or limb after it bore in a season and was then taken out.

    So fruit in store keeps its tree, and a new tree in the same place does not date it. Lines of fruit stay.
    """
    lines = list(records)
    picked: dict[str, list[Record]] = {}
    for record in lines:
        if record.season == season and record.what in PICKINGS:
            picked.setdefault(record.tree, []).append(record)
    gone: dict[tuple[str, str], date] = {}
    for record in lines:
        if record.what is Happening.REMOVED and any(
            pick.day <= record.day and record.cultivar in {"", pick.cultivar} for pick in picked.get(record.tree, ())
        ):
            taken = record.tree, record.cultivar
            gone[taken] = min(gone.get(taken, record.day), record.day)
    if not gone:
        return lines
    return [
        record
        for record in lines
        if record.what in OFF_THE_TREE
        or all(record.day < gone.get((record.tree, cultivar), date.max) for cultivar in {"", record.cultivar})
    ]


def of_those_that_stand(records: Iterable[Record]) -> tuple[Record, ...]:
    """Return the lines without what a tree did before another was planted in its place, or a limb before another.

    A removal that nothing follows stays, with all before it: that tree is gone, and no other has come.
    """
    lines = tuple(records)
    if all(record.what is not Happening.REMOVED for record in lines):
        return lines
    last: dict[tuple[str, str], date] = {}
    gone: dict[tuple[str, str], date] = {}
    for record in lines:
        if record.what not in OFF_THE_TREE:
            for named in {(record.tree, ""), (record.tree, record.cultivar)}:
                last[named] = max(last.get(named, record.day), record.day)
        if record.what is Happening.REMOVED and record.tree:
            named = record.tree, record.cultivar
            gone[named] = max(gone.get(named, record.day), record.day)
    replaced = {named: day for named, day in gone.items() if last[named] > day}
    return tuple(
        record
        for record in lines
        if all(record.day > replaced.get((record.tree, cultivar), date.min) for cultivar in {"", record.cultivar})
    )


def of_the_tree_of(records: Sequence[Record], season: int) -> list[Record]:
    """Return the lines about the tree that bears in a season, from all of those about trees in one place."""
    lines = bore_in(records, season)
    removed = max((record.day for record in lines if is_removal(record)), default=None)
    return [record for record in lines if removed is None or record.day > removed]


YOUNG_YEARS = 2
"""Up to so many years after it was planted a tree may not bear yet. J: most bear from the third year or later, berries
and some on dwarf roots sooner."""


def may_be_too_young(tree: Tree, records: Iterable[Record], year: int) -> bool:
    """Say whether a tree may not bear yet in a season: it was planted lately, and nothing says that it does.

    `records` are its own lines, none of another that stood in its place.
    """
    if tree.planted is None or tree.bears_from is not None or tree.crop is not None:
        return False
    return year <= tree.planted + YOUNG_YEARS and not any(record.what in _BEARS for record in records)


SETTLED_YEARS = 5
"""So many years after it was planted a tree's bark and roots look after themselves. J: grass, mowers and mice harm it
less as it ages, by Utah State University Extension, which names no year."""


def may_be_unsettled(tree: Tree, year: int) -> bool:
    """Say whether a tree may want what young trees do in a season: nothing tells that it is older."""
    return tree.planted is None or year <= tree.planted + SETTLED_YEARS
