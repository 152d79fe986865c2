"""The kitchen plan: sessions with their loads, take-outs, what must be bought, and what can't be met and why."""

from __future__ import annotations

from datetime import date, time

from msgspec import Struct

from firmripe.harvest.lots import Batch
from firmripe.holding.kitchen import Canner, Kitchen, KitchenWant
from firmripe.holding.preserve import Preserve
from firmripe.holding.tree import Bearing
from firmripe.kitchen.plan.timetable import Timetable
from firmripe.kitchen.tables.amounts import Cups, Dose, JarRange, Short
from firmripe.kitchen.tables.pot_times import Seals
from firmripe.kitchen.tables.processes import Minutes
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.kitchen.tables.ware import Ware
from firmripe.remark import Remark


class FruitUsed(Struct, frozen=True, kw_only=True):
    """Fruit of a batch (kg) for one product, and the day from which it lies warm for it.

    `cold` names the space it is held in until then, empty where there is none.
    """

    batch: Batch
    kg: float
    out: date
    worth: float
    cold: str


class PotUsed(Struct, frozen=True, kw_only=True):
    """A pot with the units of each of its loads, and what is printed for it at its kitchen's height."""

    canner: Canner
    loads: tuple[int, ...]
    published: Minutes | None


class Making(Struct, frozen=True, kw_only=True):
    """One product in one session. `range` is what its fruit may really make, `why` why it is on that day."""

    ware: Ware
    units: int
    range: JarRange | None
    pots: tuple[PotUsed, ...]
    fruit: tuple[FruitUsed, ...]
    acids: tuple[Dose, ...]
    syrup: Cups | None
    why: tuple[Remark, ...]


class KitchenSession(Struct, frozen=True, kw_only=True):
    """People, pot, lids and fruit together: what is made in one kitchen on one day.

    `seals` is None where nothing goes into jars.
    """

    name: str
    day: date
    kitchen: Kitchen
    hands: int
    start: time
    last: time
    makings: tuple[Making, ...]
    timetable: Timetable
    seals: Seals | None

    @property
    def is_canning(self) -> bool:
        """Whether jars are processed."""
        return any(pot.published for making in self.makings for pot in making.pots)


class KitchenTakeOut(Struct, frozen=True, kw_only=True):
    """Fruit that leaves a cold space on a day, to be ready for a session; `whole` where it is all of its batch."""

    day: date
    batch: Batch
    kg: float
    cold: str
    session: KitchenSession
    whole: bool


class WantMet(Struct, frozen=True, kw_only=True):
    """A want, how much of it is planned, what is short, why, and what would meet it.

    `of` is the ware that is wanted, or its preserve alone where it can't be reckoned. `made` is what the records say
    was made already, `short` 0 for as many as can be.
    """

    want: KitchenWant
    of: Ware | Preserve
    made: int
    planned: int
    short: int
    reasons: tuple[Remark, ...]
    remedies: tuple[Remark, ...]


class StoveCard(Struct, frozen=True, kw_only=True):
    """A preserve in one jar on one kitchen's stoves: what is printed for each of its pots, or why there is nothing."""

    ware: Ware
    kitchen: Kitchen
    pots: tuple[tuple[Canner, Minutes | NoMinutes], ...]


class KitchenPlan(Struct, frozen=True, kw_only=True):
    """What the kitchens do this season.

    `shorts` is what the sessions need of jars and lids, to be bought by `buy_by`. `wasted` says how much fruit (kg) of
    which batch no want takes, `weights` what each bearing has in all. Nothing is made of the `waiting` batches: nobody
    noted that they are picked, though the last good day for it is over. `gap` is how far the plan may lie from the
    best, as a part of it; 0 is the best. `ran_out` says that the clock ended the search, and another machine may find
    more.
    `is_searched` is untrue where a computer has no solver: then no day is chosen.
    """

    sessions: tuple[KitchenSession, ...]
    take_outs: tuple[KitchenTakeOut, ...]
    wants: tuple[WantMet, ...]
    cards: tuple[StoveCard, ...]
    shorts: tuple[Short, ...]
    buy_by: date | None
    wasted: tuple[tuple[Batch, float], ...]
    unweighed: tuple[Batch, ...]
    waiting: tuple[Batch, ...]
    weights: tuple[tuple[Bearing, float], ...]
    gap: float
    ran_out: bool = False
    is_searched: bool = True
