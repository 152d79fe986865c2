"""Trees of one kind told together, where an orchard has too many to tell of each on the pages that tell of all."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from statistics import median_low

from msgspec.structs import replace

from firmripe.harvest.lots import Batch
from firmripe.holding.fruit import Cultivar
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import together
from firmripe.publish.pages.context import PageContext
from firmripe.publish.views import Link
from firmripe.season.estimate import Reach

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


def tags_link(context: PageContext, limb: Cultivar, tags: Iterable[str]) -> Link:
    """Return the tags of trees of a kind in walking order, leading to its page, or to a single one's own."""
    told = sorted(dict.fromkeys(tags), key=context.walk.__getitem__)
    path = context.paths.tree(told[0]) if len(told) == 1 else context.paths.cultivar(limb.key)
    return context.link(", ".join(told), path)


def reach_of(reaches: Sequence[Reach]) -> Reach:
    """Return the days of several trees as one: from the earliest of all to the latest, likely on their middle day."""
    return Reach(
        earliest=min(reach.earliest for reach in reaches),
        likely=median_low(reach.likely for reach in reaches),
        latest=max(reach.latest for reach in reaches),
    )


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
