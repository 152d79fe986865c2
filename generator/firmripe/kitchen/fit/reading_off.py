"""Tells a chosen plan as people can read it: each load with its fruit, its pots and why it is on that day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec.structs import replace

from firmripe.kitchen.fit.means import Product, Session, Use
from firmripe.kitchen.fit.outcome import PEAK, SESSIONS, WASTE, Assigned, Binds, Fit, Goal, Otherwise, PotLoads, Taken
from firmripe.kitchen.fit.ways import CLOSE, Chosen, PotChoice, Way, Ways, spans


def fit_of(ways: Ways, chosen: Chosen, bounds: Sequence[float] | None = None) -> Fit:
    """Return a plan as people can read it.

    `bounds` are those of the goals in their order, None where the plan is the best.
    """
    reading = _Reading(ways, chosen)
    used = {supply.name: 0.0 for supply in ways.supplies}
    for way, kg in chosen.kg.items():
        used[way.supply.name] += kg
    wasted = {s.name: round(max(0.0, s.kg - s.spare_kg - used[s.name]), 6) for s in ways.supplies}
    values: list[tuple[str, float]] = [
        *((want.name, float(chosen.met[want.name])) for want in ways.wants),
        (WASTE, -sum(wasted.values())),
        (SESSIONS, -float(len(reading.held))),
        (PEAK, sum(kg * way.worth for way, kg in chosen.kg.items())),
    ]
    best = bounds or [value for _, value in values]
    return Fit(
        assigned=tuple(reading.assigned()),
        met=chosen.met,
        unmet={
            want.name: short
            for want in ways.wants
            if want.units is not None and (short := want.units - chosen.met[want.name]) > 0
        },
        wasted={name: kg for name, kg in wasted.items() if kg > 1e-4},
        sessions=tuple(session.name for session in ways.sessions if session.name in reading.held),
        goals=tuple(
            Goal(name=name, value=value, bound=max(value, bound))
            for (name, value), bound in zip(values, best, strict=True)
        ),
    )


class _Reading:
    """A chosen plan with what is left of hands and pots in each session."""

    def __init__(self, ways: Ways, chosen: Chosen) -> None:
        self.ways = ways
        self.chosen = chosen
        self.held = {session for _, session in chosen.made}
        self.products = {want.name: ways.product(want) for want in ways.wants}
        self._hands: dict[str, float] = defaultdict(float)
        for (want, session), units in chosen.made.items():
            self._hands[session] += units * self.products[want].hands_hours_per_unit

    def assigned(self) -> Iterable[Assigned]:
        """Tell what each session makes of each product."""
        left = dict(self.chosen.met)
        for session in self.ways.sessions:
            for product in self.ways.products.values():
                made = {
                    want.name: units
                    for want in self.ways.wants
                    if want.product == product.name and (units := self.chosen.made.get((want.name, session.name), 0))
                }
                if not made:
                    continue
                wants = {want: min(units, left[want]) for want, units in made.items()}
                for want, units in wants.items():
                    left[want] -= units
                yield self._assigned_to(session, product, sum(made.values()), wants)

    def _assigned_to(self, session: Session, product: Product, units: int, wants: dict[str, int]) -> Assigned:
        fruit = {
            way: kg for way, kg in self.chosen.kg.items() if way.session is session and way.want.product == product.name
        }
        kg = sum(fruit.values())
        return Assigned(
            session=session.name,
            day=session.day,
            kitchen=session.kitchen,
            product=product.name,
            units=units,
            wants=wants,
            pot_loads=tuple(self._pot_loads(session, product, units)),
            taken=tuple(self._taken(fruit)),
            kg=round(kg, 6),
            hands_hours=units * product.hands_hours_per_unit,
            worth=sum(kg * self._worth(way) for way, kg in fruit.items()) / kg if kg else 0.0,
            otherwise=tuple(self._otherwise(session, product, fruit)),
        )

    def _pot_loads(self, session: Session, product: Product, units: int) -> Iterable[PotLoads]:
        """Tell the loads of each pot: all are full but the last of one pot, and none is idle."""
        choices = [
            (choice, loads)
            for choice in self.ways.pots_for(session, product)
            if (loads := self.chosen.loads.get((session.name, product.name, choice.pot.name), 0))
        ]
        missing = sum(choice.holds * loads for choice, loads in choices) - units
        needed: list[tuple[PotChoice, int]] = []
        for choice, loads in sorted(choices, key=lambda entry: (-entry[0].holds, entry[0].pot.name)):
            idle = min(loads, missing // choice.holds)
            missing -= idle * choice.holds
            if loads > idle:
                needed.append((choice, loads - idle))
        for choice, loads in needed:
            yield PotLoads(
                pot=choice.pot.name,
                loads=loads,
                units=choice.holds * loads - (missing if choice is needed[-1][0] else 0),
                minutes_per_load=choice.minutes,
            )

    def _otherwise(self, session: Session, product: Product, fruit: Mapping[Way, float]) -> Iterable[Otherwise]:
        """Tell of each other session on which some of the fruit is usable what keeps it from there."""
        for other in self.ways.sessions:
            ripe = [
                (way, kg, *uses[0])
                for way, kg in fruit.items()
                if (uses := self.ways.uses(way.supply, other.day, product))
            ]
            if other is session or not ripe:
                continue
            kg = sum(kg for _, kg, _, _ in ripe)
            worth = sum(kg * there for _, kg, _, there in ripe) / kg
            here = sum(kg * self._worth(way) for way, kg, _, _ in ripe) / kg
            binds = (
                self._forbids(other, product)
                or self._is_far(worth, here)
                or self._is_full(other, product)
                or (Binds.NO_SPACE if not any(self._has_space(way, use) for way, _, use, _ in ripe) else None)
                or (Binds.SAME if worth < here + CLOSE else Binds.WHOLE_PLAN)
            )
            yield Otherwise(session=other.name, day=other.day, worth=worth, binds=binds)

    def _forbids(self, session: Session, product: Product) -> Binds | None:
        """Say whether the product can't be made in a session at all."""
        if product.name not in session.minutes:
            return Binds.NOT_MADE_THERE
        if self.ways.is_made(session, product):
            return None
        kinds = session.minutes[product.name]
        pots = [pot for pot in self.ways.pots if pot.kitchen == session.kitchen and pot.kind in kinds]
        fitting = [pot for pot in pots if pot.holds.get(product.jar, 0)]
        if not fitting:
            return Binds.NOT_MADE_THERE
        return Binds.POT_AWAY if all(session.day in pot.away for pot in fitting) else Binds.POTS_FULL

    def _is_far(self, worth: float, here: float) -> Binds | None:
        return Binds.FARTHER_FROM_PEAK if worth < here - CLOSE else None

    def _is_full(self, session: Session, product: Product) -> Binds | None:
        """Say whether a session has no room for one unit more, or is not held."""
        if session.name not in self.held:
            return Binds.ANOTHER_SESSION
        if self._hands[session.name] + product.hands_hours_per_unit > session.hands_hours + CLOSE:
            return Binds.HANDS_FULL
        if product.in_pot and not any(
            self._has_time(session, choice) for choice in self.ways.pots_for(session, product)
        ):
            return Binds.POTS_FULL
        return None

    def _has_time(self, session: Session, choice: PotChoice) -> bool:
        """Say whether a pot has time for one load more."""
        taken = sum(
            loads * other.minutes
            for (name, product, pot), loads in self.chosen.loads.items()
            if name == session.name and pot == choice.pot.name
            for other in self.ways.pots_for(session, self.ways.products[product])
            if other.pot is choice.pot
        )
        return taken + choice.minutes <= 60 * (session.hours - choice.pot.first_boil_hours) + CLOSE

    def _has_space(self, way: Way, use: Use) -> bool:
        """Say whether one unit's fruit, gone from its own way, has space on a way to another day."""
        unit = self.ways.product(way.want).kg_per_unit
        moved = replace(way, use=use)
        for space in self.ways.spaces:
            lying = [(kg, span) for one, kg in self.chosen.kg.items() for span in spans(one, space)]
            starts = {start for _, (start, _) in lying} | {o.first for o in self.ways.lying if o.space == space}
            for first, last in spans(moved, space):
                for day in {first, *(start for start in starts if first <= start <= last)}:
                    there = sum(kg for kg, (start, end) in lying if start <= day <= end)
                    own = unit if any(start <= day <= end for start, end in spans(way, space)) else 0.0
                    if there + unit - own > self.ways.free(space, day) + CLOSE:
                        return False
        return True

    def _taken(self, fruit: Mapping[Way, float]) -> Iterable[Taken]:
        """Add up what several wants take of one supply's take-out."""
        kg: dict[tuple[str, date], float] = defaultdict(float)
        worth = {}
        for way, amount in fruit.items():
            key = (way.supply.name, way.use.out)
            kg[key] += amount
            worth[key] = self._worth(way)
        for (supply, out), amount in sorted(kg.items()):
            yield Taken(supply=supply, kg=round(amount, 6), out=out, worth=worth[supply, out])

    def _worth(self, way: Way) -> float:
        """Return what fruit on a way is worth for its product."""
        return way.use.worth_as(self.ways.product(way.want).ripeness) or 0.0
