"""The first page: today, the days that come, what is ripe and what is asked."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from datetime import timedelta

from msgspec.structs import replace

from firmripe.days import Span
from firmripe.harvest.lots import lying_parts
from firmripe.publish.hazards import together
from firmripe.publish.markdown import to_html
from firmripe.publish.pages.asks import Ask, Question, asked_once, asks_of_fruit, asks_of_picks, questions_about
from firmripe.publish.pages.batches import BatchLine, ripe_parts, still_to_ripen
from firmripe.publish.pages.by_kind import lines_together
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.days import (
    Folded,
    Period,
    all_weeks,
    day_block,
    day_blocks,
    folded,
    going_on_in,
    stretch_of,
    this_and_next,
)
from firmripe.publish.pages.season_table import Row, kind_rows, season_rows
from firmripe.publish.pages.tree import TreePage, tree_page
from firmripe.publish.pages.undated import undated_together
from firmripe.publish.views import DayBlock, Hazard, Item, Link, Quote, View
from firmripe.tongue import Tongue
from firmripe.wording import words_of
from firmripe.words import week_day

_SHOWN_ASKS = 2
"""So many questions stand open on the first page, and all that there is time for. J."""


class FrontPage(View, frozen=True, kw_only=True):
    """The first page.

    `soon` is the day it is made with the seven after it; the same days stand in `today`, `tomorrow` and `later`, and
    what goes on all the while in `going_on`, without what `asks` ask after. `again` are hazards of both days. `stored`
    is what came over from last season and is not all out and ripe yet, `stored_names` its cultivars.
    So many `asks` as `shown` must stand open; `folded_tags` are the trees of the others, each once.
    """

    asks: tuple[Ask, ...]
    shown: int
    folded_tags: tuple[str, ...]
    today: DayBlock
    tomorrow: DayBlock
    again: tuple[Hazard, ...]
    later: tuple[Folded, ...]
    going_on: tuple[Item, ...]
    minded: tuple[Hazard, ...]
    ripe: tuple[BatchLine, ...]
    stored: tuple[BatchLine, ...]
    stored_names: str
    soon: Period
    weeks: tuple[Link, ...]
    rows: tuple[Row, ...]
    questions: tuple[tuple[Link, Question], ...]
    undated: tuple[str, ...]
    tree: TreePage | None
    unsafe: tuple[Quote, ...]
    text: str


def front_page(context: PageContext) -> FrontPage:
    """Return the first page: the day it is made and the seven after it, ways to whole weeks, and the season."""
    tongue, today = context.tongue, context.season.as_of
    soon = Span(first=today, last=today + timedelta(days=7))
    blocks = {block.iso: block for block in day_blocks(context, context.plan.calendar.entries, soon, to_do=True)}
    empty = {day.isoformat(): day_block(context, day, ()) for day in (today, today + timedelta(days=1))}
    now, next_day = (blocks.pop(iso, block) for iso, block in empty.items())
    asked = context.unnoted
    pressing = asks_of_picks(context, (one for one in asked if not one[0].rests))
    loud = asked_once((*pressing, *asks_of_fruit(context)))
    asks = (*loud, *asked_once(asks_of_picks(context, (one for one in asked if one[0].rests))))
    minded = [*(h for ask in asks for h in ask.hazards), *(h for item in now.items for h in item.hazards)]
    now = replace(now, hazards=together(tongue, minded))
    told = {text for hazard in now.hazards for text in hazard.texts}
    going_on = going_on_in(context, soon, but=[entry for _asked, entry in asked])
    shown = max(min(_SHOWN_ASKS, len(loud)), sum(ask.open for ask in asks))
    return FrontPage(
        asks=asks,
        shown=shown,
        folded_tags=_tags_of(asks[shown:]),
        today=now,
        tomorrow=replace(next_day, hazards=tuple(h for h in next_day.hazards if not told.issuperset(h.texts))),
        again=tuple(hazard for hazard in next_day.hazards if told.issuperset(hazard.texts)),
        later=tuple(_apart(folded(tongue, block), told) for block in blocks.values()),
        going_on=going_on,
        minded=together(tongue, (hazard for item in going_on for hazard in item.hazards)),
        ripe=_ripe(context),
        stored=(stored := _stored(context)),
        stored_names=", ".join(dict.fromkeys(line.cultivar.text for line in stored)),
        soon=stretch_of(context, soon, tongue.say("{day} and the next seven days", day=week_day(tongue, today))),
        weeks=tuple(_weeks(context)),
        rows=(kind_rows if context.is_by_kind else season_rows)(context, context.season.bearings),
        questions=_questions(context),
        undated=tuple(
            f"{what}: {words_of(item.reason, tongue)}"
            for what, item in undated_together(context, lambda item: words_of(item.reason, tongue))
        ),
        tree=tree_page(context, context.holding.trees[0]) if len(context.holding.trees) == 1 else None,
        unsafe=context.unsafe((), context.holding.place.text),
        text=to_html(context.holding.place.text),
    )


def _weeks(context: PageContext) -> Iterator[Link]:
    """Yield ways to this week and the next, where weeks have pages and these have one."""
    for week, title in [] if context.paths.folded else this_and_next(context):
        if week in all_weeks(context):
            yield context.link(title, context.paths.week(week.first))


def _tags_of(asks: Iterable[Ask]) -> tuple[str, ...]:
    """Return the tags of the trees that questions are about, each once."""
    links = (link for ask in asks for link in (ask.tree, *(tree for tree, _note in ask.more)))
    return tuple(dict.fromkeys(link.text for link in links))


def _questions(context: PageContext) -> tuple[tuple[Link, Question], ...]:
    """Return what is to be looked into, each with the way to its tree; of very many trees the same is told of one."""
    tongue = context.tongue
    found: dict[Hashable, list[tuple[Link, Question]]] = {}
    for tree in sorted(context.holding.trees, key=lambda tree: tree.tag):
        link = context.link(tongue.say("Tree {tag}", tag=tree.tag), context.paths.tree(tree.tag))
        for at, question in enumerate(questions_about(context, tree)):
            found.setdefault(question.text if context.rows else (tree.tag, at), []).append((link, question))
    return tuple((_with_more(tongue, link, len(rest)), question) for (link, question), *rest in found.values())


def _with_more(tongue: Tongue, tree: Link, more: int) -> Link:
    if not more:
        return tree
    others = tongue.plural("and {n} more tree", "and {n} more trees", more)
    return replace(tree, text=tongue.say("{tree} {others}", tree=tree.text, others=others))


def _apart(later: Folded, told: set[str]) -> Folded:
    """Return a later day with those hazards apart that today tells whole."""
    new = tuple(hazard for hazard in later.day.hazards if not told.issuperset(hazard.texts))
    again = tuple(hazard for hazard in later.day.hazards if told.issuperset(hazard.texts))
    return replace(later, day=replace(later.day, hazards=new), again=again)


def _ripe(context: PageContext) -> tuple[BatchLine, ...]:
    """Return what is picked and ready to eat by now, in the order of eating."""
    today = context.season.as_of
    here = [b for b in (*context.plan.store.carried, *context.plan.store.batches) if b.picked_noted]
    return lines_together(context, (part for batch in here for part in ripe_parts(batch, today)))


def _stored(context: PageContext) -> tuple[BatchLine, ...]:
    """Return what lies in store from the season before, beside what of it is ripe, in the order of eating."""
    today = context.season.as_of
    parts = (part for batch in context.plan.store.carried for part in lying_parts(batch, today))
    return lines_together(context, (part for part in parts if still_to_ripen(part, today)))
