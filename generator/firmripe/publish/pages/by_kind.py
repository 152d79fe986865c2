"""Trees of one kind told together, where an orchard has too many to tell of each on the pages that tell of all."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from statistics import median_low
from typing import Final

from msgspec.structs import replace

from firmripe.harvest.because import FruitOf
from firmripe.harvest.lots import Batch
from firmripe.holding.fruit import Cultivar
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import together
from firmripe.publish.pages.batches import BatchLine, batch_in_words
from firmripe.publish.pages.context import PageContext
from firmripe.publish.views import Link
from firmripe.season.estimate import Reach
from firmripe.wording.harvest import fruits_words

MOST_TAGS: Final = 24
"""Of more trees a line says how many they are: nobody reads more tags in a row. J."""
MANY_TREES, FEW_TAGS = 400, 4
"""Of more trees than these in all a line names few: a month's page grows with them by a third of 150 kB. J."""
Kind = tuple[str, str]
"""A cultivar by its key, and the crop of it, empty where it bears one."""


def by_kind(bearings: Iterable[Bearing]) -> dict[Kind, list[Bearing]]:
    """Return the bearings of each kind, both in the order in which they come."""
    found: dict[Kind, list[Bearing]] = {}
    for bearing in bearings:
        found.setdefault((bearing.cultivar, bearing.crop), []).append(bearing)
    return found


def told_together(context: PageContext, bearings: Iterable[Bearing]) -> Iterable[list[Bearing]]:
    """Return the bearings that a page tells of in one line: each by itself, or all of a kind where trees are many."""
    return by_kind(bearings).values() if context.is_by_kind else ([bearing] for bearing in bearings)


def trees_link(context: PageContext, limb: Cultivar, tags: Iterable[str]) -> Link:
    """Return how many trees of a kind these are, leading to its page; a single one by its tag, leading to its own."""
    told = list(dict.fromkeys(tags))
    if len(told) == 1:
        return context.link(told[0], context.paths.tree(told[0]))
    return context.link(context.tongue.plural("{n} tree", "{n} trees", len(told)), context.paths.cultivar(limb.key))


def tags_words(context: PageContext, tags: Iterable[str]) -> str:
    """Return the tags of trees in walking order, or how many they are where a line can't name them all."""
    told = sorted(dict.fromkeys(tags), key=lambda tag: context.walk.get(tag, 0))
    if len(told) > (FEW_TAGS if len(context.holding.trees) > MANY_TREES else MOST_TAGS):
        return context.tongue.plural("{n} tree", "{n} trees", len(told))
    return ", ".join(told)


def tags_link(context: PageContext, limb: Cultivar, tags: Iterable[str]) -> Link:
    """Return the same of trees of a kind, leading to its page, or to a single one's own."""
    told = list(dict.fromkeys(tags))
    path = context.paths.tree(told[0]) if len(told) == 1 else context.paths.cultivar(limb.key)
    return context.link(tags_words(context, told), path)


def reach_of(reaches: Sequence[Reach]) -> Reach:
    """Return the days of several trees as one: from the earliest of all to the latest, likely on their middle day."""
    return Reach(
        earliest=min(reach.earliest for reach in reaches),
        likely=median_low(reach.likely for reach in reaches),
        latest=max(reach.latest for reach in reaches),
    )


def fruit_told(context: PageContext, fruit: Iterable[FruitOf]) -> str:
    """Say whose fruit it is: each kind once, with the tags of its trees, or how many they are where trees are many."""
    if not context.is_by_kind:
        return fruits_words(fruit)
    kinds: dict[FruitOf, list[str]] = {}
    for one in fruit:
        kinds.setdefault(replace(one, tree=""), []).extend([one.tree] if one.tree else [])
    return fruits_words(replace(one, tree=tags_words(context, tags)) for one, tags in kinds.items())


def alike(batches: Iterable[Batch], told: Callable[[Batch], Hashable]) -> list[tuple[Batch, list[str]]]:
    """Return batches of a kind as one, with the tags of their trees, where all but the weight is told alike.

    `told` is what a page tells of a batch whose weights nobody knows. The one that stands for several weighs as much as
    they do, whole and part by part.
    """
    found: dict[Hashable, list[Batch]] = {}
    for batch in batches:
        of = batch.limb.key, batch.bearing.crop, len(batch.outs), told(_unweighed(batch))
        found.setdefault(of, []).append(batch)
    return [(_one_of(members), [batch.bearing.tree for batch in members]) for members in found.values()]


def lines_together(context: PageContext, parts: Iterable[Batch]) -> tuple[BatchLine, ...]:
    """Return a line for each part of a batch, or where trees are many one for those of a kind that are told alike."""
    if not context.is_by_kind:
        return tuple(batch_in_words(context, part) for part in parts)
    nowhere = Link(text="", href="")
    told = alike(parts, lambda part: replace(batch_in_words(context, part), tree=nowhere))
    return tuple(
        replace(batch_in_words(context, part), tree=tags_link(context, part.limb, tags)) for part, tags in told
    )


def _unweighed(batch: Batch) -> Batch:
    return replace(batch, weight=None, outs=tuple(replace(out, weight=None) for out in batch.outs))


def _one_of(batches: Sequence[Batch]) -> Batch:
    """Return the first of some batches with the weight of all."""
    first = batches[0]
    if len(batches) == 1:
        return first
    outs = tuple(
        replace(out, weight=together(batch.outs[at].weight for batch in batches)) for at, out in enumerate(first.outs)
    )
    return replace(first, weight=together(batch.weight for batch in batches), outs=outs)
