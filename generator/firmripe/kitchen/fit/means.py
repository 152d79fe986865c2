"""The means of a kitchen plan: fruit, products, pots, sessions and stock, and what is wanted of them.

All are plain values: weights in kilograms, hours as floats, and a thing that is not told of does not limit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date

from msgspec import Struct, field


class Use(Struct, frozen=True, kw_only=True):
    """A day on which fruit can be used. `worth` is 1 at the peak and falls to 0 at the edges of what is usable.

    `out` is the day from which it lies warm for it: its take-out from the cold, or its pick if it never was there.
    `worths` says it anew for products that ask for a ripeness of their own; None where it is not as they ask.
    """

    day: date
    worth: float
    out: date
    worths: Mapping[str, float | None] = field(default_factory=dict)

    def worth_as(self, ripeness: str) -> float | None:
        """Return what it is worth for a product that asks for a ripeness; None where it is too ripe for it."""
        return self.worths.get(ripeness, self.worth)


class Supply(Struct, frozen=True, kw_only=True):
    """Fruit of one lot that ripens as one. A day without a use is one on which it is not usable.

    It lies in the space `cold` from `since` until the day before it is out, and then in `counter` until it is used;
    a name that is empty, or not among the spaces, does not limit. Before `room_from` its room in the cold is kept
    for it, put up or not. `spare_kg` of it is eaten anyway, and not lost.
    """

    name: str
    kg: float
    uses: tuple[Use, ...]
    since: date
    cold: str = ""
    counter: str = ""
    spare_kg: float = 0.0
    room_from: date | None = None


class Lying(Struct, frozen=True, kw_only=True):
    """Other fruit (kg), which lies in a space from a first to a last day whatever is planned."""

    space: str
    first: date
    last: date
    kg: float


class Product(Struct, frozen=True, kw_only=True):
    """What fruit can be made into, by the published figures of one load: weight, units (jars, bags) and hands' hours.

    `needs` is what one unit takes of the stock ("quart jar": 1, "freezer litre": 1.2).
    With `in_pot` each load takes its whole time in a pot that holds its `jar`; without, only hands count.
    With `part_loads` the last load may be smaller, at the same time; without, every load is whole.
    `ripeness` names how ripe it asks its fruit to be, as uses tell it.
    """

    name: str
    takes: frozenset[str]
    kg_per_load: float
    units_per_load: int
    hands_hours_per_load: float
    in_pot: bool = True
    jar: str = ""
    needs: Mapping[str, float] = field(default_factory=dict)
    part_loads: bool = True
    ripeness: str = ""

    @property
    def kg_per_unit(self) -> float:
        """Fruit in one jar or bag (kg)."""
        return self.kg_per_load / self.units_per_load

    @property
    def hands_hours_per_unit(self) -> float:
        """Work in one jar or bag (hours of one pair of hands)."""
        return self.hands_hours_per_load / self.units_per_load


class Pot(Struct, frozen=True, kw_only=True):
    """A pot (or a dryer) that stands in one kitchen; one that travels is two, each away when the other is not.

    `holds` gives the units of one load by jar; `first_boil_hours` is lost once in each session.
    """

    name: str
    kind: str
    kitchen: str
    holds: Mapping[str, int]
    away: frozenset[date] = frozenset()
    first_boil_hours: float = 0.0


class Session(Struct, frozen=True, kw_only=True):
    """Hours in one kitchen on one day. `hands_hours` are those of all hands together, `hours` those by the clock.

    `minutes` gives, by product and kind of pot, how long a load keeps the pot at this kitchen's height, filling and
    emptying included. What is not named can't be made there; a product that needs no pot has no kinds.
    """

    name: str
    day: date
    kitchen: str
    hands_hours: float
    hours: float
    minutes: Mapping[str, Mapping[str, float]]


class Demand(Struct, frozen=True, kw_only=True):
    """So many units of a product, or as many as can be had where `units` is None. The lowest rank comes first.

    `supplies` are those it may come from, None for all that the product takes.
    """

    name: str
    product: str
    units: int | None
    rank: int
    supplies: frozenset[str] | None = None


class Means(Struct, frozen=True, kw_only=True):
    """All that a plan can draw on. `stock` is what there is of a thing, `spaces` the weight (kg) that a space holds.

    `lying` is other fruit in those spaces; where it fills one beyond what that holds, nothing more fits.

    Raises ValueError for names that are doubled or unknown, and for amounts that are negative or not finite.
    """

    supplies: tuple[Supply, ...]
    products: tuple[Product, ...]
    pots: tuple[Pot, ...]
    sessions: tuple[Session, ...]
    wants: tuple[Demand, ...]
    stock: Mapping[str, float] = field(default_factory=dict)
    spaces: Mapping[str, float] = field(default_factory=dict)
    lying: tuple[Lying, ...] = ()

    def __post_init__(self) -> None:
        for things in (self.supplies, self.products, self.pots, self.sessions, self.wants):
            names = [thing.name for thing in things]
            if len(set(names)) < len(names):
                raise ValueError(f"a name is there twice: {', '.join(sorted(names))}")
        unknown = {want.product for want in self.wants} - {product.name for product in self.products}
        if unknown:
            raise ValueError(f"wanted, but not among the products: {', '.join(sorted(unknown))}")
        if not all(math.isfinite(amount) and amount >= 0 for amount in self._amounts()):
            raise ValueError("an amount is negative or not a number")
        if not all(p.kg_per_load > 0 and p.units_per_load > 0 for p in self.products):
            raise ValueError("a load needs fruit and gives units")
        kept = [use for supply in self.supplies for use in supply.uses if not supply.since <= use.out <= use.day]
        if kept:
            raise ValueError(f"fruit is used on {kept[0].day} before it is out, or out before it is picked")

    def _amounts(self) -> Iterable[float]:
        yield from self.stock.values()
        yield from self.spaces.values()
        yield from (other.kg for other in self.lying)
        for supply in self.supplies:
            yield from (supply.kg, supply.spare_kg, *(use.worth for use in supply.uses))
            yield from (worth for use in supply.uses for worth in use.worths.values() if worth is not None)
        for product in self.products:
            yield from (product.hands_hours_per_load, *product.needs.values())
        for pot in self.pots:
            yield from (pot.first_boil_hours, *pot.holds.values())
        for session in self.sessions:
            yield from (session.hands_hours, session.hours)
            yield from (minutes for kinds in session.minutes.values() for minutes in kinds.values())
        yield from (want.units for want in self.wants if want.units is not None)
