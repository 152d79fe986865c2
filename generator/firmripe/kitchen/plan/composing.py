"""The kitchen plan of a season: wants, fruit, days and pots brought together, fitted, and told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import date, timedelta
from fractions import Fraction
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.lots import Batch, Lot
from firmripe.holding.holding import Holding
from firmripe.holding.jar import Jar
from firmripe.holding.kitchen import KitchenWant
from firmripe.holding.preserve import PutUp
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Weight
from firmripe.kitchen.admitting import may_be_canned
from firmripe.kitchen.fit.best import fit
from firmripe.kitchen.fit.means import Demand, Means
from firmripe.kitchen.fit.outcome import Assigned, Fit, Remedy
from firmripe.kitchen.fit.relaxing import relax
from firmripe.kitchen.fit.solving import NoSolverError
from firmripe.kitchen.pantry import stock_left
from firmripe.kitchen.plan.because import AmountNotPrinted, Helps, whys
from firmripe.kitchen.plan.kitchen_plan import (
    FruitUsed,
    KitchenPlan,
    KitchenSession,
    KitchenTakeOut,
    Making,
    PotUsed,
    StoveCard,
    WantMet,
)
from firmripe.kitchen.plan.sittings import Sitting, pot_name, pots, session_of, sittings
from firmripe.kitchen.plan.spaces import lying_for, spaces_for
from firmripe.kitchen.plan.timetable import Run, timetable
from firmripe.kitchen.plan.unmet import Unmet
from firmripe.kitchen.plan.usable import fruit_for, name_of
from firmripe.kitchen.plan.wanted import (
    FREEZER_L,
    WantedWare,
    holds,
    jars_of,
    made_so_far,
    product_of,
    published_for,
    supplies_of,
    ware_for,
)
from firmripe.kitchen.tables.amounts import LIDS, acid_for, jars_from, lids_for, loads, shorts, syrup_for
from firmripe.kitchen.tables.pot_times import seals
from firmripe.kitchen.tables.processes import Minutes
from firmripe.lately import Lately
from firmripe.season.season import Season

MOST_REMEDIES = 4
"""So many things that would help are told of for each want, the greatest gain first."""
BUY_AHEAD_D = 7
"""Jars and lids are to be bought so many days before the first session that needs them. J."""
LEAST_KG = 0.05
"""Less fruit (kg) than this is the solver's rounding."""
SMALL_GAP = 1e-4
"""A gap below this is the solver's rounding."""
TRIES = 6
"""So often a plan is fitted anew where a session would run past its end by the clock; then that session is left out.

Each time it is shorter by twice as much more as the time before.
"""
HALVINGS = 3
"""So often it is tried whether they need be shorter by half of the last step alone. J."""
WHOLE_DAY_H = 24.0
"""Hours that leave nothing of a session."""

_fits: Lately[Means, Fit] = Lately(TRIES + HALVINGS, "fit")
_helping: Lately[tuple[Means, Fit], tuple[Remedy, ...]] = Lately(name="remedies")
"""What was fitted last; where the clock ended the search, it is searched anew."""


def plan_kitchen(
    season: Season, lots: Mapping[Bearing, Lot], unanswered: AbstractSet[Bearing] = frozenset()
) -> KitchenPlan | None:
    """Return the kitchen plan of a season; None where the household tells of no wants or of no days for them.

    Of crops that are `unanswered` the last good day to pick is over, and nobody noted that they were picked.
    """
    if not season.holding.place.kitchen_means.is_planned:
        return None
    return _Planning(season, lots, unanswered).plan()


class _Tried(Struct, frozen=True):
    """A plan that was fitted to some means, with its sessions by the clock."""

    means: Means
    fitted: Fit
    sessions: tuple[KitchenSession, ...]

    @property
    def over_hours(self) -> dict[str, float]:
        """By how much its sessions run past their ends, by name; those that don't are not told."""
        tables = {session.name: session.timetable for session in self.sessions}
        return {name: table.over_min / 60 for name, table in tables.items() if table.over_min}

    @property
    def goals(self) -> tuple[float, ...]:
        """What its goals came to, in their order."""
        return tuple(goal.value for goal in self.fitted.goals)


class _Planning:
    def __init__(self, season: Season, lots: Mapping[Bearing, Lot], unanswered: AbstractSet[Bearing]) -> None:
        self._season = season
        self._lots = lots
        self._holding: Holding = season.holding
        means = season.holding.place.kitchen_means
        self._means = replace(means, stock=stock_left(season.holding, means.stock, season.year.year, season.as_of))
        self._sittings = {one.name: one for one in sittings(season.holding, season.year, season.as_of)}
        days = sorted({sitting.day for sitting in self._sittings.values()})
        fruit = fruit_for(season.holding.place, lots, days, season.as_of, unanswered)
        self._unweighed, self._waiting = fruit.unweighed, fruit.waiting
        self._lines, self._unplanned = self._read_wants()
        self._wares = {line.ware.name: line.ware for line in self._lines}
        self._fruits = {fruit.supply.name: fruit for fruit in fruit.usable}
        self._canners = {pot_name(canner): canner for canner in self._means.canners}
        self._unmet = Unmet(season, lots, self._fruits, fruit.waiting, tuple(self._sittings.values()))
        self._kitchens = {kitchen.name: kitchen for kitchen in self._holding.place.kitchens}

    def plan(self) -> KitchenPlan:
        """Fit the plan and tell it; where no solver is, tell what it would have to meet."""
        try:
            return self._fitted()
        except NoSolverError:
            unmet = {line.name: line.units or 0 for line in self._lines}
            nothing = Fit(assigned=(), met={}, unmet=unmet, wasted={}, sessions=(), goals=())
            return replace(self._told(nothing, (), ()), is_searched=False)

    def _fitted(self) -> KitchenPlan:
        """Fit the plan, anew where a session would run over, and tell it."""
        too_little, shorter = dict[str, float](), dict[str, float]()
        for tries in range(1, TRIES + 1 + len(self._sittings)):
            tried = self._tried(shorter)
            if not (over := tried.over_hours):
                break
            more = {name: WHOLE_DAY_H if tries >= TRIES else hours * 2 ** (tries - 1) for name, hours in over.items()}
            too_little, shorter = shorter, self._shortened(shorter, more)
        for _ in range(HALVINGS if shorter else 0):
            halfway = {name: (too_little.get(name, 0.0) + hours) / 2 for name, hours in shorter.items()}
            other = self._tried(halfway)
            if other.over_hours or other.goals < tried.goals:
                too_little = halfway
            else:
                shorter, tried = halfway, other
        means, fitted = tried.means, tried.fitted
        helping = _helping.made_of((means, fitted), partial(relax, means, fitted), keep=lambda _: not fitted.ran_out)
        return self._told(fitted, tried.sessions, helping)

    def _tried(self, shorter: Mapping[str, float]) -> _Tried:
        means = self._solver_means(shorter)
        fitted = _fits.made_of(means, partial(fit, means), keep=lambda found: not found.ran_out)
        return _Tried(means, fitted, self._sessions(fitted))

    def _shortened(self, shorter: Mapping[str, float], more: Mapping[str, float]) -> dict[str, float]:
        """Return by how much sessions are shorter where some are so by more: those alike are, too.

        Else the plan would run over on one day after another. A session that is left out is so alone.
        """
        found = {name: shorter.get(name, 0.0) + hours for name, hours in more.items()}
        kinds = {self._sittings[name].kind: hours for name, hours in sorted(found.items(), key=lambda one: one[1])}
        for name, sitting in self._sittings.items():
            hours = kinds.get(sitting.kind, 0.0)
            if name not in found and hours < WHOLE_DAY_H:
                found[name] = max(shorter.get(name, 0.0), hours)
        return {name: hours for name, hours in {**shorter, **found}.items() if hours}

    # From the household's words to the solver's

    def _read_wants(self) -> tuple[tuple[WantedWare, ...], tuple[WantMet, ...]]:
        lines: list[WantedWare] = []
        without: list[WantMet] = []
        wants = self._means.wants
        made = made_so_far(self._holding, wants, self._season.year.year, self._season.as_of)
        for number, want in enumerate(wants, start=1):
            ware = ware_for(self._holding, want, self._season.as_of)
            if isinstance(ware, AmountNotPrinted):
                without.append(_not_planned(want, ware))
            else:
                lines.append(WantedWare(want, f"{number:02d} {ware.name}", ware, made[number - 1]))
        return tuple(lines), tuple(without)

    def _solver_means(self, shorter: Mapping[str, float]) -> Means:
        fruits = list(self._fruits.values())
        wares = list(self._wares.values())
        days = {use.day for fruit in fruits for use in fruit.supply.uses}
        used = [sitting for sitting in self._sittings.values() if sitting.day in days]
        return Means(
            supplies=tuple(fruit.supply for fruit in fruits),
            products=tuple(product_of(self._holding, ware, fruits) for ware in wares),
            pots=pots(self._means.canners, wares, [sitting.day for sitting in used], self._season.year),
            sessions=tuple(session_of(self._holding, sitting, wares, shorter) for sitting in used),
            wants=tuple(
                Demand(
                    name=line.name,
                    product=line.ware.name,
                    units=line.units,
                    rank=rank,
                    supplies=supplies_of(line, self._fruits),
                )
                for rank, line in enumerate(self._lines)
            ),
            stock=self._stock(),
            spaces=spaces_for(self._holding.place, fruits),
            lying=lying_for(self._holding.place, self._lots, fruits),
        )

    def _stock(self) -> dict[str, float]:
        """Return what limits the plan: room in the freezer, and jars and lids only where no more will be bought."""
        stock = self._means.stock
        found: dict[str, float] = {}
        if stock.freezer_l is not None:
            found[FREEZER_L] = stock.freezer_l
        if not stock.can_buy:
            jars = [ware.jar for ware in self._wares.values() if ware.jar] if stock.jars is not None else []
            for jar in (*jars, *(jar.of_any_mouth for jar in jars)):
                found[jars_of(jar)] = float(sum(n for held, n in stock.jars_told if held.may_be(jar)))
            if stock.lids is not None:
                untold = stock.lids - sum(stock.lids_of.values())
                mouths = {ware.jar.mouth for ware in self._wares.values() if ware.jar and ware.jar.mouth}
                fitting = {mouth: stock.lids_of.get(mouth, 0) + untold for mouth in mouths}
                found |= {lids_for(mouth): float(n) for mouth, n in fitting.items() if n < stock.lids}
                found[LIDS] = float(stock.lids)
        return found

    # From the solver's plan to people's

    def _sessions(self, fitted: Fit) -> tuple[KitchenSession, ...]:
        found = []
        for name in fitted.sessions:
            sitting = self._sittings[name]
            assigned = [one for one in fitted.assigned if one.session == name]
            makings = tuple(self._making(one, sitting) for one in assigned)
            clock = timetable(sitting.day, (sitting.start, sitting.last), sitting.hands, _runs(makings))
            found.append(
                KitchenSession(
                    name=name,
                    day=sitting.day,
                    kitchen=sitting.kitchen,
                    hands=sitting.hands,
                    start=sitting.start,
                    last=sitting.last,
                    makings=makings,
                    timetable=clock,
                    seals=seals(clock.first_out, clock.jars_out) if clock.first_out and clock.jars_out else None,
                )
            )
        return tuple(found)

    def _making(self, one: Assigned, sitting: Sitting) -> Making:
        ware = self._wares[one.product]
        used = []
        for pot in one.pot_loads:
            canner = self._canners[pot.pot]
            found = published_for(self._holding, ware, sitting.kitchen, canner)
            sizes = loads(pot.units, holds(canner, ware) or pot.units)
            used.append(PotUsed(canner=canner, loads=sizes, published=found if isinstance(found, Minutes) else None))
        acid = next((pot.published.acid for pot in used if pot.published and pot.published.acid), "")
        return Making(
            ware=ware,
            units=one.units,
            range=jars_from(ware.preserve, self._weight_of(one), ware.jar),
            pots=tuple(used),
            fruit=tuple(
                FruitUsed(
                    batch=self._fruits[taken.supply].batch,
                    kg=taken.kg,
                    out=taken.out,
                    worth=taken.worth,
                    cold=self._fruits[taken.supply].cold,
                )
                for taken in one.taken
                if taken.kg >= LEAST_KG
            ),
            acids=acid_for(acid, one.units),
            syrup=syrup_for(self._holding.processes, ware.preserve.liquid, ware.jar, one.units) if ware.jar else None,
            why=tuple(whys(one)),
        )

    def _weight_of(self, one: Assigned) -> Weight:
        """Return the fruit of a product as a range: as much of each batch's own range as is used of its middle."""
        low = high = Fraction(0)
        for taken in one.taken:
            batch = self._fruits[taken.supply].batch
            kg = Fraction(round(taken.kg * 1000), 1000)
            part = kg / batch.weight.middle if batch.weight and batch.weight.middle else Fraction(0)
            low += batch.weight.low * part if batch.weight else kg
            high += batch.weight.high * part if batch.weight else kg
        return Weight(low=low, high=high)

    def _told(self, fitted: Fit, sessions: tuple[KitchenSession, ...], remedies: Sequence[Remedy]) -> KitchenPlan:
        needed: Counter[Jar] = Counter()
        for session in sessions:
            for making in session.makings:
                if making.ware.jar is not None and making.ware.preserve.method is PutUp.CANNER:
                    needed[making.ware.jar] += making.units
        first = min((session.day for session in sessions if session.is_canning), default=None)
        stock = self._means.stock
        return KitchenPlan(
            sessions=sessions,
            take_outs=tuple(self._take_outs(sessions)),
            wants=self._wants(fitted, remedies),
            cards=tuple(self._cards()),
            shorts=shorts(needed, stock),
            buy_by=max(self._season.as_of, first - timedelta(days=BUY_AHEAD_D)) if first else None,
            wasted=tuple((self._fruits[name].batch, kg) for name, kg in sorted(fitted.wasted.items())),
            unweighed=self._unweighed,
            waiting=self._waiting,
            weights=tuple(
                (bearing, float(sum(batch.weight.middle for batch in lot.batches if batch.weight)))
                for bearing, lot in self._lots.items()
            ),
            gap=fitted.gap if fitted.gap > SMALL_GAP else 0.0,
            ran_out=fitted.ran_out,
        )

    def _take_outs(self, sessions: Sequence[KitchenSession]) -> list[KitchenTakeOut]:
        found: dict[tuple[date, str, str], tuple[FruitUsed, float, KitchenSession]] = {}
        for session in sessions:
            for making in session.makings:
                for used in making.fruit:
                    in_cold = used.cold and used.out > used.batch.picked.likely
                    if not in_cold or used.out < self._season.as_of:
                        continue
                    if any(out.noted and out.day == used.out for out in used.batch.outs):
                        continue
                    key = used.out, name_of(used.batch), session.name
                    kg = found[key][1] if key in found else 0.0
                    found[key] = used, kg + used.kg, session
        return [
            KitchenTakeOut(
                day=day,
                batch=used.batch,
                kg=kg,
                cold=used.cold,
                session=session,
                whole=_is_all(used.batch, kg),
            )
            for (day, _name, _session), (used, kg, session) in sorted(found.items(), key=lambda item: item[0])
        ]

    def _wants(self, fitted: Fit, remedies: Sequence[Remedy]) -> tuple[WantMet, ...]:
        by_want = {
            line.name: tuple(self._helps(remedy, line) for remedy in remedies if remedy.gains.get(line.name, 0) > 0)[
                :MOST_REMEDIES
            ]
            for line in self._lines
        }
        lines = [
            WantMet(
                want=line.want,
                of=line.ware,
                made=line.made,
                planned=fitted.met.get(line.name, 0),
                short=fitted.unmet.get(line.name, 0),
                reasons=self._unmet.reasons(line) if line.name in fitted.unmet else (),
                remedies=by_want[line.name],
            )
            for line in self._lines
        ]
        order = {id(want): number for number, want in enumerate(self._means.wants)}
        return tuple(sorted([*lines, *self._unplanned], key=lambda met: order[id(met.want)]))

    def _helps(self, remedy: Remedy, line: WantedWare) -> Helps:
        sitting = self._sittings.get(remedy.name)
        return Helps(
            remedy=remedy,
            ware=line.ware,
            more=remedy.gains[line.name],
            day=sitting.day if sitting else remedy.day,
            kitchen=sitting.kitchen.name if sitting else "",
        )

    def _cards(self) -> list[StoveCard]:
        found = []
        for ware in self._wares.values():
            wanted = {line.want.cultivar for line in self._lines if line.ware.name == ware.name}
            if not any(may_be_canned(self._holding, ware.preserve, cultivar) for cultivar in wanted):
                continue
            for kitchen in self._kitchens.values():
                printed = tuple(
                    (canner, answer)
                    for canner in self._means.canners
                    if canner.kitchen == kitchen.name
                    and holds(canner, ware)
                    and (answer := published_for(self._holding, ware, kitchen, canner)) is not None
                )
                if printed:
                    found.append(StoveCard(ware=ware, kitchen=kitchen, pots=printed))
        return found


def _not_planned(want: KitchenWant, why: AmountNotPrinted) -> WantMet:
    return WantMet(want=want, of=why.preserve, made=0, planned=0, short=want.count or 0, reasons=(why,), remedies=())


def _runs(makings: Sequence[Making]) -> list[Run]:
    """Return the loads of a session for its timetable."""
    found = []
    for making in makings:
        if not making.pots:
            found.append(Run(ware=making.ware, units=(making.units,)))
        found += [
            Run(ware=making.ware, units=pot.loads, published=pot.published, canner=pot.canner) for pot in making.pots
        ]
    return found


def _is_all(batch: Batch, kg: float) -> bool:
    return batch.weight is not None and kg >= float(batch.weight.middle) - 0.05
