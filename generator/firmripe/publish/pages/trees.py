"""The page of all trees, with the cultivars and fruits that grow on them."""

from __future__ import annotations

from firmripe.problems import in_order
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.orchard import TreePart, TreeRow, parts_of, rows_of
from firmripe.publish.views import Link, View


class TreesPage(View, frozen=True, kw_only=True):
    """All trees part by part, cultivars and fruits; `rows` are the plan that is told, `beside` what is not in it."""

    parts: tuple[TreePart, ...]
    rows: tuple[TreeRow, ...]
    beside: tuple[TreePart, ...]
    cultivars: tuple[Link, ...]
    fruits: tuple[Link, ...]


def trees_page(context: PageContext) -> TreesPage:
    """Return the page that lists trees, cultivars and fruits."""
    parts = parts_of(context.plan, lambda tag: context.link(tag, context.paths.tree(tag)))
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
    )
