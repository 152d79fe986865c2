"""Which trees stand: what the records say of trees that were taken out, and of what they leave behind."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from firmripe.holding.record import PICKINGS, Happening, Record

OFF_THE_TREE = frozenset(
    {
        *(Happening.STORED, Happening.TAKEN_OUT, Happening.READY, Happening.VERDICT, Happening.JARS, Happening.LOST),
        Happening.SHARED,
    }
)
"""What is said of fruit that was picked: no sign that a tree stands."""


def removed_on(records: Iterable[Record]) -> date | None:
    """Return when a tree was taken out, from its lines; None where it stands, or another stands in its place.

    A later line means that another stands there. Lines of the whole place and of fruit already picked are no such line.
    """
    own = [record for record in records if record.tree and record.what not in OFF_THE_TREE]
    removed = [record.day for record in own if record.what is Happening.REMOVED]
    if not removed or max(removed) < max(record.day for record in own):
        return None
    return max(removed)


def gone_by(records: Iterable[Record], as_of: date) -> dict[str, date]:
    """Return when each tree that stands no more on a day was taken out, by tag."""
    lines: dict[str, list[Record]] = {}
    for record in records:
        if record.day <= as_of and record.tree:
            lines.setdefault(record.tree, []).append(record)
    return {tag: day for tag, of_tree in lines.items() if (day := removed_on(of_tree)) is not None}


def bore_in(records: Iterable[Record], season: int) -> list[Record]:
    """Return the lines without what happened to each tree after it bore in a season and was then taken out.

    So fruit in store keeps its tree, and a new tree in the same place does not date it. Lines of fruit stay.
    """
    lines = list(records)
    picked: dict[str, date] = {}
    for record in lines:
        if record.what in PICKINGS and record.season == season:
            picked[record.tree] = min(picked.get(record.tree, record.day), record.day)
    gone: dict[str, date] = {}
    for record in lines:
        if record.what is Happening.REMOVED and record.day >= picked.get(record.tree, date.max):
            gone[record.tree] = min(gone.get(record.tree, record.day), record.day)
    return [r for r in lines if r.tree not in gone or r.day < gone[r.tree] or r.what in OFF_THE_TREE]


def of_the_tree_of(records: Sequence[Record], season: int) -> list[Record]:
    """Return the lines about the tree that bears in a season, from all of those about trees in one place."""
    lines = bore_in(records, season)
    removed = max((record.day for record in lines if record.what is Happening.REMOVED), default=None)
    return [record for record in lines if removed is None or record.day > removed]
