"""The orchard parted by row, where it has more trees than one page can list: the same parts on every page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Final, TypeVar

from msgspec import Struct

from firmripe.holding.tree import Tree
from firmripe.tongue import Tongue

T = TypeVar("T")

MOST_LINES: Final = 150
"""A page lists so many trees or crops at most, one a line; of more it lists the rows they stand in.

A line of the longest such list, a kind's season, weighs 0.7 kB, so that these are two thirds of the 150 kB that a phone
takes on a slow line, and leave a third for longer names, other languages and what else the page tells. J.
"""
MOST_OF_PART: Final = 60
"""With so many codes a sheet of labels weighs some 100 kB, and no row of a household's orchard is longer. J."""


class RowPart(Struct, frozen=True, kw_only=True):
    """Trees that are listed on a page of their own, in walking order: some whole rows, or a piece of a longer one."""

    trees: tuple[Tree, ...]

    @property
    def first(self) -> str:
        """The tag of its first tree, by which its page is named."""
        return self.trees[0].tag

    @property
    def rows(self) -> tuple[str, ...]:
        """The names of its rows, as far as they have any, each once."""
        return tuple(dict.fromkeys(tree.part for tree in self.trees if tree.part))

    def tags(self, tongue: Tongue) -> str:
        """Return its first tag and its last in words."""
        if len(self.trees) == 1:
            return self.first
        return tongue.say("{first} to {last}", first=self.first, last=self.trees[-1].tag)


def in_rows(trees: Iterable[Tree]) -> tuple[RowPart, ...]:
    """Part trees in walking order: whole rows together while they are few enough, and a longer row in pieces."""
    rows = [tuple(row) for _, row in groupby(trees, key=lambda tree: tree.part)]
    pieces = (row[at : at + MOST_OF_PART] for row in rows for at in range(0, len(row), MOST_OF_PART))
    return tuple(RowPart(trees=tuple(part)) for part in few_together(pieces, MOST_OF_PART))


def few_together(pieces: Iterable[Sequence[T]], most: int) -> list[list[T]]:
    """Return pieces in their order, as many together as come to no more lines than a page takes; none is parted."""
    found: list[list[T]] = []
    for piece in pieces:
        if found and len(found[-1]) + len(piece) <= most:
            found[-1] += piece
        else:
            found.append([*piece])
    return found


def row_parts(trees: Sequence[Tree]) -> tuple[RowPart, ...]:
    """Return the parts of an orchard whose trees and crops are too many for one page; none where one is enough."""
    lines = max(len(trees), sum(len(tree.bearings) for tree in trees))
    parts = in_rows(trees) if lines > MOST_LINES else ()
    return parts if len(parts) > 1 else ()
