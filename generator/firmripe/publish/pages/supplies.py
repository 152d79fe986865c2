"""The sheet of supplies: what has to be in the kitchen before its first session."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction

from firmripe.kitchen.plan.kitchen_plan import (
    KitchenPlan,
)
from firmripe.kitchen.tables.amounts import LIDS
from firmripe.plan import Plan
from firmripe.publish.views import View
from firmripe.tongue import Tongue
from firmripe.wording.measures import mixed, spoons
from firmripe.words import in_own_units, long_day


class SupplyLine(View, frozen=True, kw_only=True):
    """A thing that the sessions need."""

    thing: str
    needed: str
    spare: str
    there: str
    to_buy: str


class SuppliesSheet(View, frozen=True, kw_only=True):
    """What has to be there before the first session."""

    iso: str
    buy_by: str
    rows: tuple[SupplyLine, ...]
    stores: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]


def supplies_sheet(plan: Plan, kitchen: KitchenPlan) -> SuppliesSheet:
    """Return what has to be there before the first session."""
    tongue = plan.holding.place.tongue
    return SuppliesSheet(
        iso=kitchen.buy_by.isoformat() if kitchen.buy_by else "",
        buy_by=long_day(tongue, kitchen.buy_by) if kitchen.buy_by else "",
        rows=tuple(
            SupplyLine(
                thing=_thing(tongue, short.thing),
                needed=str(short.needed),
                spare=str(short.spare) if short.spare else "",
                there=tongue.say("not told") if short.there is None else str(short.there),
                to_buy=str(short.to_buy),
            )
            for short in kitchen.shorts
        ),
        stores=tuple(_stores(tongue, kitchen)),
        cautions=tuple(
            in_own_units(tongue, tongue.term(figure.text)) for figure in plan.holding.processes.cautions[:1]
        ),
    )


def _thing(tongue: Tongue, thing: str) -> str:
    return tongue.term(thing) if thing.endswith(LIDS) else tongue.say("{size} jars", size=tongue.term(thing))


def _stores(tongue: Tongue, plan: KitchenPlan) -> Iterator[tuple[str, str]]:
    """Yield sugar and acid for all sessions together."""
    sugar = Fraction(0)
    acids: dict[str, Fraction] = defaultdict(Fraction)
    for session in plan.sessions:
        for making in session.makings:
            if making.syrup is not None:
                sugar += making.syrup.sugar
            for dose in making.acids[:1]:
                acids[dose.what] += dose.teaspoons
    if sugar:
        cups = tongue.say("{number} cups", number=mixed(sugar))
        yield tongue.say("sugar for syrup, where syrup is wanted"), in_own_units(tongue, cups)
    for what, teaspoons in sorted(acids.items()):
        yield tongue.term(what), spoons(tongue, teaspoons)
