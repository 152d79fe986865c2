"""What has no date: one by one, or for all trees of a kind together where these are many."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator

from msgspec.structs import replace

from firmripe.calendar.entry import Undated
from firmripe.calendar.names import OfLimb, StageOf
from firmripe.publish.pages.by_kind import tags_words
from firmripe.publish.pages.context import PageContext
from firmripe.remark import Remark
from firmripe.wording import words_of


def undated_together(context: PageContext, why: Callable[[Undated], Hashable]) -> Iterator[tuple[str, Undated]]:
    """Yield what has no date in words, with the first for which that is so: `why` says what must be the same of all."""
    found: dict[tuple[Hashable, Hashable], list[Undated]] = {}
    for at, item in enumerate(context.plan.calendar.undated):
        is_of_kind = context.is_by_kind and _limb_of(item.what) is not None
        of = _on_trees(item.what, "") if is_of_kind else at
        found.setdefault((of, why(item)), []).append(item)
    for items in found.values():
        tags = [limb.tree for item in items if (limb := _limb_of(item.what))]
        yield words_of(_on_trees(items[0].what, tags_words(context, tags)), context.tongue), items[0]


def _limb_of(what: Remark) -> OfLimb | None:
    """Return on which tree it is that has no date; None where it is not on one."""
    if isinstance(what, StageOf):
        return what.of
    return what if isinstance(what, OfLimb) else None


def _on_trees(what: Remark, tags: str) -> Remark:
    """Return the same of trees with other tags."""
    if isinstance(what, StageOf) and what.of is not None:
        return replace(what, of=replace(what.of, tree=tags))
    return replace(what, tree=tags) if isinstance(what, OfLimb) else what
