"""The page of all trees, with the cultivars and fruits that grow on them, and of many trees the pages of their rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import Final

from firmripe.problems import in_order
from firmripe.publish.pages.by_row import RowPart
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.orchard import STATES, TreeMark, TreePart, TreeRow, only_of, parts_of, rows_of
from firmripe.publish.views import Link, View
from firmripe.tongue import Tongue


class StateCount(View, frozen=True, kw_only=True):
    """How many trees of some rows are at a state: now, look or picked."""

    state: str
    words: str


class RowLine(View, frozen=True, kw_only=True):
    """Rows that have a page of their own: their tags from the first to the last, their names, and how far they are.

    `clashes` are what stands against picks there, each thing once.
    """

    page: Link
    rows: tuple[str, ...]
    trees: str
    states: tuple[StateCount, ...]
    clashes: tuple[str, ...]


class TreesPage(View, frozen=True, kw_only=True):
    """All trees part by part, cultivars and fruits; `rows` are the plan that is told, `beside` what is not in it.

    Of an orchard with too many trees for one page `index` leads to those of its rows, and the parts are empty.
    """

    parts: tuple[TreePart, ...]
    rows: tuple[TreeRow, ...]
    beside: tuple[TreePart, ...]
    cultivars: tuple[Link, ...]
    fruits: tuple[Link, ...]
    index: tuple[RowLine, ...] = ()


class RowPage(View, frozen=True, kw_only=True):
    """Some rows of an orchard with many trees, told as the page of all trees tells those of one with few."""

    title: str
    parts: tuple[TreePart, ...]
    rows: tuple[TreeRow, ...]
    beside: tuple[TreePart, ...]
    all: Link
    before: Link | None
    after: Link | None


class Orchard:
    """Makes the pages of all trees and of their rows."""

    def __init__(self, context: PageContext, below: PageContext) -> None:
        self._top, self._below = context, below

    @cached_property
    def _parts(self) -> tuple[TreePart, ...]:
        """The parts with links from the pages of rows, or from that of all trees where there are none."""
        context = self._below if self._top.rows else self._top
        return parts_of(context.plan, lambda tag: context.link(tag, context.paths.tree(tag)))

    def trees(self) -> TreesPage:
        """Return the page that lists trees, or their rows, and cultivars and fruits."""
        context = self._top
        parts = () if context.rows else self._parts
        rows, beside = rows_of(context.plan, parts)
        return TreesPage(
            parts=parts,
            rows=rows,
            beside=beside,
            cultivars=tuple(context.link(limb.name, context.paths.cultivar(limb.key)) for limb in context.grown),
            fruits=tuple(
                context.link(context.tongue.term(fruit.name), context.paths.fruit(fruit.key))
                for fruit in sorted(context.grown_fruits, key=lambda f: in_order(context.tongue.term(f.name)))
            ),
            index=tuple(self._line(part) for part in context.rows),
        )

    def rows(self) -> Iterator[tuple[str, RowPage]]:
        """Yield the page of each part of an orchard with many trees, with where it lies."""
        context = self._below
        links = [context.link(part.tags(context.tongue), context.paths.row(part.first)) for part in context.rows]
        for at, part in enumerate(context.rows):
            parts = only_of(self._parts, {tree.tag for tree in part.trees})
            rows, beside = rows_of(context.plan, parts)
            yield (
                context.paths.row(part.first),
                RowPage(
                    title=context.tongue.say("Trees {tags}", tags=links[at].text),
                    parts=parts,
                    rows=rows,
                    beside=beside,
                    all=context.link(context.tongue.say("All trees"), "trees.html"),
                    before=links[at - 1] if at else None,
                    after=links[at + 1] if at + 1 < len(links) else None,
                ),
            )

    @cached_property
    def _marks(self) -> Mapping[str, TreeMark]:
        return {mark.tree.text: mark for part in self._parts for mark in part.trees}

    def _line(self, part: RowPart) -> RowLine:
        tongue = self._top.tongue
        marks = [self._marks[tree.tag] for tree in part.trees]
        counts = Counter(mark.state for mark in marks)
        return RowLine(
            page=self._top.link(part.tags(tongue), self._top.paths.row(part.first)),
            rows=part.rows,
            trees=tongue.plural("{n} tree", "{n} trees", len(part.trees)),
            states=tuple(
                StateCount(state=state, words=_SAID[state](tongue, counts[state]))
                for state in STATES
                if counts[state] and state in _SAID
            ),
            clashes=tuple(dict.fromkeys(clash for mark in marks for clash in mark.clashes)),
        )


_SAID: Final[Mapping[str, Callable[[Tongue, int], str]]] = {
    "now": lambda tongue, n: tongue.plural("{n} to pick now", "{n} to pick now", n),
    "look": lambda tongue, n: tongue.plural("{n} to look at now", "{n} to look at now", n),
    "picked": lambda tongue, n: tongue.plural("{n} picked", "{n} picked", n),
}
"""How many trees of some rows are so far. Those of which nothing is to be done now are not counted."""
