"""Why a want is not met as a whole: no fruit that may become it, no pot for its jar, no minutes at a height."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from firmripe.harvest.because import FruitOf
from firmripe.harvest.lots import Batch, Lot
from firmripe.holding.holding import Holding
from firmripe.holding.kitchen import PotKind
from firmripe.holding.preserve import PutUp
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.kitchen.plan.because import (
    BatchNotReady,
    NoDayLeft,
    NoDryer,
    NoFruit,
    NoPotHolds,
    NotInPot,
    PicksNotNoted,
    PotAway,
)
from firmripe.kitchen.plan.sittings import Sitting, is_here
from firmripe.kitchen.plan.usable import KitchenFruit
from firmripe.kitchen.plan.wanted import (
    WantedWare,
    holds,
    is_weighed_in,
    may_become,
    not_for,
    published_for,
    supplies_of,
)
from firmripe.kitchen.tables.processes import Minutes
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.kitchen.tables.ware import Ware
from firmripe.remark import Remark
from firmripe.season.season import Season


class Unmet:
    """What stands against wants, given the fruit (by the names of its supplies) and the kitchen days that there are.

    The `waiting` batches are those of which nobody noted that they are picked, though they should be.
    """

    def __init__(
        self,
        season: Season,
        lots: Mapping[Bearing, Lot],
        fruits: Mapping[str, KitchenFruit],
        waiting: Sequence[Batch],
        sittings: Sequence[Sitting],
    ) -> None:
        self._year = season.year
        self._holding: Holding = season.holding
        self._lots = lots
        self._fruits = fruits
        self._waiting = waiting
        self._sittings = sittings
        self._canners = season.holding.place.kitchen_means.canners
        self._kitchens = {kitchen.name: kitchen for kitchen in season.holding.place.kitchens}

    def reasons(self, line: WantedWare) -> tuple[Remark, ...]:
        """Return what stands against a want as a whole: no fruit, no pot for the jar, no minutes at a height."""
        found: list[Remark] = [*self._not_noted(line)] if self._sittings else [NoDayLeft()]
        allowed = [may_become(self._holding, line.ware, fruit.batch) for fruit in self._fruits.values()]
        named = supplies_of(line, self._fruits)
        if named is not None:
            allowed = [name in named and ok for name, ok in zip(self._fruits, allowed, strict=True)]
        if not any(allowed):
            found += self._no_fruit(line) or ([] if found else [NoFruit()])
        if line.ware.preserve.method is PutUp.CANNER:
            found += self._no_pot(line.ware)
        if line.ware.preserve.method is PutUp.DRYER and not any(holds(c, line.ware) for c in self._canners):
            found.append(NoDryer())
        return tuple(_each_once(found))

    def _no_fruit(self, line: WantedWare) -> list[Remark]:
        """Return why no fruit is there for a want: it must not become that, has no day, or no kitchen day meets it."""
        found: list[Remark] = []
        for batch in (batch for lot in self._lots.values() for batch in lot.batches):
            is_wanted = line.want.cultivar in {"", batch.limb.key}
            if not is_wanted or not is_weighed_in(self._holding, line.ware, batch):
                continue
            refused = not_for(self._holding, line.ware, batch)
            undated = batch.undated.get(Stage.READY)
            if refused is not None:
                found.append(refused)
            elif undated:
                found.append(BatchNotReady(batch=batch, why=undated))
        return found

    def _not_noted(self, line: WantedWare) -> Iterator[PicksNotNoted]:
        """Yield that what it would be made of waits for the answer whether it was picked."""
        fruit = [
            FruitOf.on(batch.limb, batch.bearing.tree)
            for batch in self._waiting
            if line.want.cultivar in {"", batch.limb.key} and may_become(self._holding, line.ware, batch)
        ]
        if fruit:
            yield PicksNotNoted(fruit=tuple(dict.fromkeys(fruit)))

    def _no_pot(self, ware: Ware) -> list[Remark]:
        found: list[Remark] = []
        fitting = [canner for canner in self._canners if holds(canner, ware)]
        if not fitting and ware.jar is not None:
            unprinted = list(self._unprinted_jar(ware))
            found += unprinted or [NoPotHolds(jar=ware.jar)]
        for canner in fitting:
            kitchen = self._kitchens[canner.kitchen]
            printed = published_for(self._holding, ware, kitchen, canner)
            if printed is not None and not isinstance(printed, Minutes):
                found.append(NotInPot(pot=canner.name, kitchen=kitchen.name, why=printed))
            elif self._sittings and not any(is_here(canner, s.day, self._year) for s in self._sittings):
                found.append(PotAway(pot=canner.name))
        return found

    def _unprinted_jar(self, ware: Ware) -> Iterator[NotInPot]:
        """Yield why a jar goes into none of the pots, whatever they hold: nothing is printed for its size."""
        for canner in self._canners:
            printed = published_for(self._holding, ware, self._kitchens[canner.kitchen], canner)
            if canner.kind is not PotKind.DRYER and isinstance(printed, NoMinutes):
                yield NotInPot(why=printed)


def _each_once(remarks: Sequence[Remark]) -> Iterator[Remark]:
    """Yield remarks without repeating any; they are compared, since what they are about has no hash."""
    for number, remark in enumerate(remarks):
        if remark not in remarks[:number]:
            yield remark
