"""The season's table: bloom, pick and ready of each crop."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from functools import partial

from msgspec.structs import replace

from firmripe.holding.fruit import Event
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.publish.pages.by_kind import MOST_TAGS, by_kind, reach_of, trees_link
from firmripe.publish.pages.by_row import MOST_LINES, RowPart
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.dated import Dated, date_of, stage_view
from firmripe.publish.views import Link, View
from firmripe.season.estimate import Estimate, NoDate
from firmripe.wording import words_of


class Row(View, frozen=True, kw_only=True):
    """A line of the season's table."""

    tree: Link
    cultivar: Link
    crop: str
    where: str
    bloom: Dated | None
    pick: Dated | None
    ready: Dated | None
    why_not: str


def season_rows(context: PageContext, bearings: Iterable[Bearing]) -> tuple[Row, ...]:
    """Return the season's table for some bearings; a crop's line stands on its kind's page and on its fruit's."""
    return tuple(context.once(("row", bearing), partial(_row, context, bearing)) for bearing in bearings)


def _row(context: PageContext, bearing: Bearing) -> Row:
    tongue = context.tongue
    tree, limb = context.holding.tree(bearing.tree), context.holding.limb(bearing)
    pick = context.season.of(bearing, Event.PICK)
    ready = context.plan.days_of(bearing).get(Stage.READY)
    return Row(
        tree=context.link(tree.tag, context.paths.tree(tree.tag)),
        cultivar=context.link(limb.name, context.paths.cultivar(limb.key)),
        crop=tongue.term(bearing.crop),
        where=tree.place,
        bloom=date_of(context, bearing, Event.FULL_BLOOM, tongue.say("Full bloom")),
        pick=date_of(context, bearing, Event.PICK, tongue.say("Pick")),
        ready=stage_view(tongue, tongue.say("Ready"), ready, context.season.as_of) if ready else None,
        why_not=words_of(pick.reason, tongue) if isinstance(pick, NoDate) else "",
    )


def kind_rows(context: PageContext, bearings: Iterable[Bearing]) -> tuple[Row, ...]:
    """Return the season's table with one line for all trees of a kind: their days from the earliest to the latest."""
    return tuple(_kind_row(context, members) for members in by_kind(bearings).values())


def rows_of_cultivar(context: PageContext, bearings: Sequence[Bearing]) -> tuple[Row, ...]:
    """Return the season's table of a cultivar: tree by tree, or of very many with one line for each row they stand in.

    That leads to the page of the row, which lists its trees.
    """
    if len(bearings) <= MOST_LINES or not context.rows:
        return season_rows(context, bearings)
    of_trees: dict[str, list[Bearing]] = {}
    for bearing in bearings:
        of_trees.setdefault(bearing.tree, []).append(bearing)
    return tuple(
        replace(row, tree=_row_link(context, part, row.tree))
        for part in context.rows
        for row in kind_rows(context, (bearing for tree in part.trees for bearing in of_trees.get(tree.tag, ())))
    )


def _row_link(context: PageContext, part: RowPart, trees: Link) -> Link:
    text = context.tongue.say("{tags}: {trees}", tags=part.tags(context.tongue), trees=trees.text)
    return context.link(text, context.paths.row(part.first))


def _kind_row(context: PageContext, bearings: Sequence[Bearing]) -> Row:
    tongue, limb = context.tongue, context.holding.limb(bearings[0])
    first = season_rows(context, bearings[:1])[0]
    picks = (context.season.of(bearing, Event.PICK) for bearing in bearings)
    places = list(dict.fromkeys(place for one in bearings if (place := context.holding.tree(one.tree).place)))
    ready = [reach for bearing in bearings if (reach := context.plan.days_of(bearing).get(Stage.READY))]
    pick = _kind_date(context, bearings, Event.PICK, tongue.say("Pick"))
    return replace(
        first,
        tree=trees_link(context, limb, (bearing.tree for bearing in bearings)),
        where=", ".join(places) if len(places) <= MOST_TAGS else "",
        bloom=_kind_date(context, bearings, Event.FULL_BLOOM, tongue.say("Full bloom")),
        pick=pick,
        ready=stage_view(tongue, tongue.say("Ready"), reach_of(ready), context.season.as_of) if ready else None,
        why_not=""
        if pick
        else "; ".join(dict.fromkeys(words_of(none.reason, tongue) for none in picks if isinstance(none, NoDate))),
    )


def _kind_date(context: PageContext, bearings: Iterable[Bearing], event: Event, label: str) -> Dated | None:
    """Return an event on all trees that have a date for it, with the basis that most of these dates rest on."""
    found = [dated for one in bearings if isinstance(dated := context.season.of(one, event), Estimate)]
    if not found:
        return None
    view = stage_view(context.tongue, label, reach_of([dated.reach for dated in found]), context.season.as_of)
    basis = Counter(dated.basis for dated in found).most_common(1)[0][0]
    return replace(view, basis=context.tongue.term(basis.value), rough=any(dated.rough for dated in found))
