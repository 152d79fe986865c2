"""What has no date: one by one, or for all trees of a kind together where these are many."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator

from msgspec.structs import replace

from firmripe.calendar.entry import Undated
from firmripe.calendar.names import OfLimb, StageOf
from firmripe.publish.pages.by_kind import tags_words
from firmripe.publish.pages.context import PageContext
from firmripe.remark import Remark
from firmripe.season.because import EventOf
from firmripe.wording import words_of


def undated_together(context: PageContext, why: Callable[[Undated], Hashable]) -> Iterator[tuple[str, Undated]]:
    """Yield what has no date in words, with the first for which that is so: `why` says what must be the same of all."""
    for item, tags in alike(context.plan.calendar.undated, why if context.is_by_kind else id):
        yield words_of(on_trees(item.what, tags_words(context, tags)), context.tongue), item


def alike(undated: Iterable[Undated], why: Callable[[Undated], Hashable]) -> Iterator[tuple[Undated, list[str]]]:
    """Yield what has no date, the trees of a kind together for which `why` is the same: the first, and all their tags.

    What is on no tree stands alone, without a tag.
    """
    found: dict[Hashable, list[Undated]] = {}
    for at, item in enumerate(undated):
        found.setdefault((on_trees(item.what, ""), why(item)) if _tag_of(item) else at, []).append(item)
    for items in found.values():
        yield items[0], [tag for item in items if (tag := _tag_of(item))]


def _tag_of(item: Undated) -> str:
    """Return the tag of the tree it is on that has no date; empty where it is on none."""
    named = item.what.of if isinstance(item.what, StageOf) else item.what
    return named.tree if isinstance(named, OfLimb | EventOf) else ""


def on_trees(what: Remark, tags: str) -> Remark:
    """Return the same of trees with other tags."""
    if isinstance(what, StageOf):
        return replace(what, of=replace(what.of, tree=tags)) if what.of else what
    return replace(what, tree=tags) if isinstance(what, OfLimb | EventOf) else what
