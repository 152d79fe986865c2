"""Every way that fruit could go: a supply, on a day it is usable, in a session, for a want; and how much at most."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from functools import cached_property

from msgspec import Struct

from firmripe.kitchen.fit.means import Demand, Means, Pot, Product, Session, Supply, Use

CLOSE = 1e-6
"""Amounts (kg, hours, units) nearer to each other than this count as equal."""

LATER = 0.001
"""What one session later takes off a day's worth, so that of days as good as each other the earlier is chosen. J."""


class Way(Struct, frozen=True, eq=False):
    """Fruit of a supply, used as said, in a session, for wants that can each take all of it.

    `worth` is that of its use, less for later sessions.
    """

    wants: tuple[Demand, ...]
    session: Session
    supply: Supply
    use: Use
    worth: float

    @property
    def want(self) -> Demand:
        """The first of its wants, and the only one where the way is chosen."""
        return self.wants[0]


class PotChoice(Struct, frozen=True):
    """A pot that a product can be made in, in a session: the minutes of one load, and the loads at most."""

    pot: Pot
    holds: int
    minutes: float
    most: int


class Chosen(Struct, frozen=True):
    """What of each way, want and pot a plan takes: kg by way (each for one want), units by want and session, loads.

    Loads are told by session, product and pot.
    """

    kg: dict[Way, float]
    made: dict[tuple[str, str], int]
    met: dict[str, int]
    loads: dict[tuple[str, str, str], int]


class Ways:
    """The means in an order of their own (wants by rank, sessions by day, all else by name), and what they allow."""

    def __init__(self, means: Means) -> None:
        self.wants = tuple(sorted(means.wants, key=lambda want: (want.rank, want.name)))
        self.sessions = tuple(sorted(means.sessions, key=lambda session: (session.day, session.name)))
        self.supplies = tuple(sorted(means.supplies, key=lambda supply: supply.name))
        self.pots = tuple(sorted(means.pots, key=lambda pot: pot.name))
        self.products = {product.name: product for product in sorted(means.products, key=lambda product: product.name)}
        self.stock: Mapping[str, float] = {thing: means.stock[thing] for thing in sorted(means.stock)}
        self.spaces: Mapping[str, float] = {space: means.spaces[space] for space in sorted(means.spaces)}
        self.lying = means.lying
        self._pots_for = {
            (session.name, product.name): tuple(self._pots_of(session, product))
            for session in self.sessions
            for product in self.products.values()
        }

    @cached_property
    def all(self) -> tuple[Way, ...]:
        """All ways, in the order of wants, sessions and supplies."""
        return tuple(
            Way(made, session, supply, use, worth - number * LATER)
            for alike in self._alike()
            for number, session in enumerate(self.sessions)
            if (made := tuple(want for want in alike if self.is_made(session, self.product(want))))
            for supply in self.supplies
            if supply.kg > CLOSE and self.takes(made[0], supply)
            for use, worth in self.uses(supply, session.day, self.product(made[0]))
        )

    def _alike(self) -> Iterable[tuple[Demand, ...]]:
        """Return the wants by the fruit they can be met from and how ripe they ask it to be."""
        alike: dict[tuple[str, frozenset[str]], list[Demand]] = {}
        for want in self.wants:
            taken = frozenset(supply.name for supply in self.supplies if self.takes(want, supply))
            alike.setdefault((self.product(want).ripeness, taken), []).append(want)
        return map(tuple, alike.values())

    def product(self, want: Demand) -> Product:
        """Return the product that is wanted."""
        return self.products[want.product]

    def takes(self, want: Demand, supply: Supply) -> bool:
        """Say whether a want can be met from a supply."""
        return supply.name in self.product(want).takes and (want.supplies is None or supply.name in want.supplies)

    def uses(self, supply: Supply, day: date, product: Product) -> list[tuple[Use, float]]:
        """Return how a supply can be used on a day for a product, with its worth, the best first.

        Only the best where no space limits it, otherwise every take-out.
        """
        told = ((use, use.worth_as(product.ripeness)) for use in supply.uses if use.day == day)
        uses = sorted(((u, worth) for u, worth in told if worth is not None), key=lambda one: (-one[1], one[0].out))
        if supply.cold in self.spaces or supply.counter in self.spaces:
            return [one for n, one in enumerate(uses) if one[0].out not in {other.out for other, _ in uses[:n]}]
        return uses[:1]

    def free(self, space: str, day: date) -> float:
        """Return the weight (kg) that a space has room for on a day beside what lies there anyway."""
        lying = sum(one.kg for one in self.lying if one.space == space and one.first <= day <= one.last)
        return max(0.0, self.spaces[space] - lying)

    def is_made(self, session: Session, product: Product) -> bool:
        """Say whether a product can be made in a session at all."""
        return product.name in session.minutes and (not product.in_pot or bool(self.pots_for(session, product)))

    def pots_for(self, session: Session, product: Product) -> tuple[PotChoice, ...]:
        """Return the pots for a product in a session."""
        return self._pots_for[session.name, product.name]

    def _pots_of(self, session: Session, product: Product) -> Iterable[PotChoice]:
        kinds = session.minutes.get(product.name, {})
        for pot in self.pots if product.in_pot else ():
            holds = pot.holds.get(product.jar, 0)
            if pot.kitchen != session.kitchen or session.day in pot.away or pot.kind not in kinds or not holds:
                continue
            minutes = kinds[pot.kind]
            hours = session.hours - pot.first_boil_hours
            if hours < -CLOSE:
                continue
            most = math.floor(hours * 60 / minutes + CLOSE) if minutes else math.ceil(self._most_units(product) / holds)
            if most:
                yield PotChoice(pot, holds, minutes, most)

    def _most_units(self, product: Product) -> int:
        """Return the units that all fruit would give."""
        kg = sum(supply.kg for supply in self.supplies if supply.name in product.takes)
        return math.floor(kg / product.kg_per_unit + CLOSE)

    def surplus(self, product: Product) -> int:
        """Return the units by which whole loads may go beyond what is wanted: one less than the largest load."""
        if product.part_loads or not product.in_pot:
            return 0
        return max((choice.holds for s in self.sessions for choice in self.pots_for(s, product)), default=1) - 1

    def most_wanted(self, want: Demand) -> int:
        """Return the units of a want that fruit and stock could give at the very most."""
        product = self.product(want)
        kg = sum(supply.kg for supply in self.supplies if self.takes(want, supply))
        most = [math.floor(kg / product.kg_per_unit + CLOSE)]
        most += [
            math.floor(self.stock[thing] / amount + CLOSE)
            for thing, amount in product.needs.items()
            if amount and thing in self.stock
        ]
        return min([*most, want.units] if want.units is not None else most)

    def most_made(self, want: Demand, session: Session) -> int:
        """Return the units for a want that one session could make at the very most."""
        product = self.product(want)
        kg = sum(s.kg for s in self.supplies if self.takes(want, s) and self.uses(s, session.day, product))
        most = [math.floor(kg / product.kg_per_unit + CLOSE), self._most_units(product)]
        if want.units is not None:
            most.append(want.units + self.surplus(product))
        if product.hands_hours_per_unit:
            most.append(math.floor(session.hands_hours / product.hands_hours_per_unit + CLOSE))
        if product.in_pot:
            most.append(sum(choice.holds * choice.most for choice in self.pots_for(session, product)))
        return min(most)


def spans(way: Way, space: str) -> Iterable[tuple[date, date]]:
    """Return the first and last day of each time that fruit on a way needs room in a space that isn't kept for it."""
    since = max(way.supply.since, way.supply.room_from or way.supply.since)
    if way.supply.cold == space and since < way.use.out:
        yield since, way.use.out - timedelta(days=1)
    if way.supply.counter == space:
        yield way.use.out, way.use.day
