"""The household's spaces as the plan draws on them: what each holds, and the other fruit that lies there anyway."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from firmripe.harvest.lots import Lot, loads_of, room_loads_of
from firmripe.harvest.spaces import Load, capacity
from firmripe.holding.place import Place, Space
from firmripe.holding.tree import Bearing
from firmripe.kitchen.fit.means import Lying
from firmripe.kitchen.plan.usable import KitchenFruit


def spaces_for(place: Place, fruits: Sequence[KitchenFruit]) -> dict[str, float]:
    """Return the weight (kg) that each space holds of the fruit that may lie there for the kitchen.

    Where boxes of several fruits differ in weight, the lightest counts; a space whose size is not told is left out.
    """
    found = {}
    for space in place.spaces:
        held = [kg for fruit in fruits if _may_lie(fruit, space) and (kg := capacity(space, fruit.batch.limb, place))]
        if held:
            found[space.name] = float(min(held))
    return found


def _may_lie(fruit: KitchenFruit, space: Space) -> bool:
    return space.name in {fruit.supply.cold, fruit.supply.counter}


def lying_for(place: Place, lots: Mapping[Bearing, Lot], fruits: Sequence[KitchenFruit]) -> tuple[Lying, ...]:
    """Return the fruit that lies in each space whatever the kitchen does.

    In the cold that is all fruit, until the day it would be taken out without a kitchen plan. In the rooms it is what
    ripens there for the table: fruit that was taken out already, winter fruit, and what no kitchen day can use.
    """
    drawn_on = {id(fruit.batch) for fruit in fruits}
    loads: list[Load] = []
    for batch in (batch for lot in lots.values() for batch in lot.batches):
        loads += loads_of(batch)
        noted = {out.day for out in batch.outs if out.noted}
        goes_at_once = len(batch.outs) - len(noted) <= 1
        ripening = room_loads_of(batch)
        if id(batch) in drawn_on and goes_at_once:
            ripening = [load for load in ripening if load.first in noted]
        loads += ripening
    return tuple(_weighed(place, loads))


def _weighed(place: Place, loads: Iterable[Load]) -> Iterable[Lying]:
    spaces = {space.name for space in place.spaces if space.capacity is not None}
    for load in loads:
        kg = load.weight.middle if load.weight is not None else Fraction(0)
        if load.space in spaces and kg and load.first <= load.last:
            yield Lying(space=load.space, first=load.first, last=load.last, kg=float(kg))
