"""What a task asks of a bearing before it is due (its `only if`)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import timedelta
from typing import Final

from firmripe.harvest.lots import Lot
from firmripe.harvest.passes import has_no_next_day, more_is_to_come
from firmripe.holding.fruit import Ripens
from firmripe.holding.preserve import PutUp
from firmripe.holding.standing import may_be_unsettled
from firmripe.holding.task import Condition, Task
from firmripe.holding.tree import Bearing
from firmripe.kitchen.admitting import ways_to_put_up
from firmripe.season.estimate import Basis
from firmripe.season.season import Season

_WINTER_FRUIT_UNTIL, _FROSTS_FROM = 105, 244
"""What is picked until mid-April hangs through the frosts before; no frost comes before September. J."""
FROST_NEAR_D: Final = 14
"""So many days before the first frost fruit is looked at that hangs late. J."""


class Conditions:
    """The conditions of tasks, asked of the bearings of a season."""

    def __init__(self, season: Season, lots: Mapping[Bearing, Lot]) -> None:
        self._season = season
        self._holding = season.holding
        self._lots = lots
        self._tests = self._conditions()
        self._met: dict[frozenset[Condition], frozenset[Bearing]] = {}

    def met(self, task: Task) -> frozenset[Bearing]:
        """Return the bearings that meet all conditions of a task; they are looked for once for all tasks alike."""
        if task.only_if not in self._met:
            asked = [test for condition, test in self._tests.items() if condition in task.only_if]
            met = (bearing for bearing in self._season.bearings if all(test(bearing) for test in asked))
            self._met[task.only_if] = frozenset(met)
        return self._met[task.only_if]

    def _conditions(self) -> dict[Condition, Callable[[Bearing], bool]]:
        """Return what each condition of a task asks of a bearing, what is soon answered first."""
        year, means = self._season.year.year, self._holding.place.kitchen_means
        return {
            Condition.BEARS: self._season.bears,
            Condition.RIPENS_OFF: lambda of: self._ripens_off(of) not in {None, Ripens.NO},
            Condition.RIPENS_ON: lambda of: self._ripens_off(of) is Ripens.NO,
            Condition.NEEDS_COLD: lambda of: of in self._lots and self._lots[of].needs_cold,
            Condition.NOT_FIXED: lambda of: not self._is_fixed(of),
            Condition.NO_KITCHEN_PLAN: lambda _: not means.is_planned,
            Condition.DRIES: lambda _: means.dries,
            Condition.NEWLY_PLANTED: lambda of: self._holding.tree(of.tree).planted == year,
            Condition.YOUNG: lambda of: may_be_unsettled(self._holding.tree(of.tree), year),
            Condition.HANGS_LATE: self._hangs_late,
            Condition.MORE_HANGS: self._more_hangs,
            Condition.CAN_BE_PUT_UP: lambda of: bool(ways_to_put_up(self._holding, of)),
            Condition.CAN_BE_CANNED: lambda of: PutUp.CANNER in ways_to_put_up(self._holding, of),
            Condition.CANNOT_BE_CANNED: lambda of: PutUp.CANNER not in ways_to_put_up(self._holding, of),
        }

    def _ripens_off(self, bearing: Bearing) -> Ripens | None:
        """Return whether fruit of a bearing goes on ripening off the tree; None where that is not told."""
        ripens = self._holding.limb(bearing).traits.ripens_off_the_tree
        return ripens.value if ripens is not None else None

    def _more_hangs(self, bearing: Bearing) -> bool:
        """Say whether more of a crop is to be picked, and nothing tells when the next picking comes."""
        lot = self._lots.get(bearing)
        return lot is not None and has_no_next_day(self._season, bearing, lot.pickings)

    def _hangs_late(self, bearing: Bearing) -> bool:
        """Say whether fruit of a bearing may still hang when the first frost is near, of this crop or the next.

        Where nobody knows when it is picked it may; what was all picked, or is before autumn, does not.
        """
        lot, year, place = self._lots.get(bearing), self._season.year, self._holding.place
        if lot is None:
            return True
        last = max(picking.day.latest for picking in lot.pickings)
        if year.day_number(last) < _WINTER_FRUIT_UNTIL:
            return True
        if all(picking.noted for picking in lot.pickings) and not more_is_to_come(self._season, bearing):
            return False
        if place.first_frost is None:
            return max(year.day_number(picking.due) for picking in lot.pickings) >= _FROSTS_FROM
        return last >= year.place_day(place.first_frost.first, place.hemisphere) - timedelta(days=FROST_NEAR_D)

    def _is_fixed(self, bearing: Bearing) -> bool:
        """Say whether its only picking has a day that the household fixed."""
        pick, lot = self._season.picks.get(bearing), self._lots.get(bearing)
        return pick is not None and pick.basis is Basis.PINNED and (lot is None or len(lot.pickings) == 1)
