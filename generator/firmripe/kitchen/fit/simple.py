"""The plan that needs no search: nothing usable at all, or one lot on one day for one product and one pot."""

from __future__ import annotations

import math

from firmripe.kitchen.fit.ways import CLOSE, Chosen, Way, Ways


def simple(ways: Ways) -> Chosen | None:
    """Return the plan where it is plain, otherwise None."""
    nothing = {want.name: 0 for want in ways.wants}
    if not ways.all:
        return Chosen(kg={}, made={}, met=nothing, loads={})
    way = ways.all[0]
    one = len(ways.all) == 1 and len(ways.wants) == 1
    if not one or way.supply.cold in ways.spaces or way.supply.counter in ways.spaces:
        return None
    product, choices = ways.product(way.want), ways.pots_for(way.session, ways.product(way.want))
    if len(choices) > 1:
        return None
    most = min(ways.most_made(way.want, way.session), _stock(ways, way))
    if product.in_pot and not product.part_loads:
        most -= most % choices[0].holds
    loads: dict[tuple[str, str, str], int] = {}
    for choice in choices:
        if most:
            loads[way.session.name, product.name, choice.pot.name] = math.ceil(most / choice.holds)
    return Chosen(
        kg={way: round(most * product.kg_per_unit, 6)} if most else {},
        made={(way.want.name, way.session.name): most} if most else {},
        met={way.want.name: min(most, ways.most_wanted(way.want))},
        loads=loads,
    )


def _stock(ways: Ways, way: Way) -> int:
    """Return the units that the stock is enough for."""
    needs = ways.product(way.want).needs
    return min(
        (
            math.floor(ways.stock[thing] / amount + CLOSE)
            for thing, amount in needs.items()
            if amount and thing in ways.stock
        ),
        default=ways.most_made(way.want, way.session),
    )
