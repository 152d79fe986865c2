"""The season's table: bloom, pick and ready of each crop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from firmripe.holding.fruit import Event
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.dated import Dated, date_of, stage_view
from firmripe.publish.views import Link, View
from firmripe.season.estimate import NoDate
from firmripe.wording import words_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Row(View):
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
    """Return the season's table for some bearings."""
    tongue = context.tongue
    found = []
    for bearing in bearings:
        tree, limb = context.holding.tree(bearing.tree), context.holding.limb(bearing)
        pick = context.season.of(bearing, Event.PICK)
        lot = context.plan.lots.get(bearing)
        ready = lot.days.get(Stage.READY) if lot else None
        found.append(
            Row(
                tree=context.link(tree.tag, context.paths.tree(tree.tag)),
                cultivar=context.link(limb.name, context.paths.cultivar(limb.key)),
                crop=tongue.term(bearing.crop),
                where=tree.place,
                bloom=date_of(context, bearing, Event.FULL_BLOOM, tongue.say("Full bloom")),
                pick=date_of(context, bearing, Event.PICK, tongue.say("Pick")),
                ready=stage_view(tongue, tongue.say("Ready"), ready, context.season.as_of) if ready else None,
                why_not=words_of(pick.reason, tongue) if isinstance(pick, NoDate) else "",
            )
        )
    return tuple(found)
