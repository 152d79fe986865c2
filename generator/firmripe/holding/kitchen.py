"""The kitchen: where fruit is put up, in which pots, on which days, from which stock, and what is wanted."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time
from enum import Enum

from msgspec import Struct, field

from firmripe.days import Stretch
from firmripe.holding.jar import Jar, JarSize, parse_jar
from firmripe.holding.process import Gauge
from firmripe.problems import Where
from firmripe.units import Interval


class Kitchen(Struct, frozen=True, kw_only=True):
    """Where fruit is put up. Its height decides canning times, so it stands apart from the orchard's."""

    name: str
    elevation_m: float | None = None


LATEST_END = time(21)
"""Nobody should still be at the stove later. J: tired by nine."""


class PotKind(Enum):
    """What a pot is; a dryer counts as one, as it holds a load for its time."""

    BOILING_WATER = "boiling water"
    STEAM = "steam"
    PRESSURE = "pressure"
    DRYER = "dryer"


class Canner(Struct, frozen=True, kw_only=True):
    """A pot of the household's, or a borrowed one: how many jars of a size one load is, and where it stands.

    `dries_kg` is the fresh fruit that a dryer takes, `gauge` a pressure canner's. It is here only during `here`,
    where that is told, and never during `away`. `first_boil_min` are the minutes from cold water to its first load,
    `to_boil_min` those from each load to its full boil, where the household has timed them.
    """

    name: str
    kind: PotKind
    kitchen: str
    holds: Mapping[JarSize, int] = field(default_factory=dict)
    dries_kg: float = 0.0
    gauge: Gauge | None = None
    here: tuple[Stretch, ...] = ()
    away: tuple[Stretch, ...] = ()
    first_boil_min: Interval | None = None
    to_boil_min: Interval | None = None
    where: Where


class KitchenDay(Struct, frozen=True, kw_only=True):
    """Days on which people can put fruit up: days of the week (0 is Monday), or dates; how long, and how many.

    `during` limits days of the week to a part of the year, `off` takes days out.
    """

    kitchen: str
    weekdays: frozenset[int] = frozenset()
    dates: tuple[date, ...] = ()
    during: tuple[Stretch, ...] = ()
    off: tuple[Stretch, ...] = ()
    start: time
    hours: float
    hands: int
    where: Where


class Stock(Struct, frozen=True, kw_only=True):
    """What is in the cupboard: jars by name, lids, and room in the freezer (litres). None where it is not told.

    `lids` are all lids, `lids_of` those of them whose width is told, by width; the others fit any jar.
    `can_buy` says that jars and lids can be bought; otherwise they limit the plan.
    """

    jars: Mapping[str, int] | None = None
    lids: int | None = None
    lids_of: Mapping[str, int] = field(default_factory=dict)
    freezer_l: float | None = None
    can_buy: bool = True

    @property
    def jars_told(self) -> tuple[tuple[Jar, int], ...]:
        """The jars, and how many of each; none where they are not told."""
        return tuple((parse_jar(name), number) for name, number in (self.jars or {}).items())


class KitchenWant(Struct, frozen=True, kw_only=True):
    """So much of a preserve, as the household wrote it; the earlier in the list, the more it is wanted.

    `jar` is None for dried fruit, which is counted in pounds. `count` is None for as much as can be had.
    `cultivar` limits it to one, by its key.
    """

    preserve: str
    cultivar: str = ""
    jar: Jar | None = None
    count: int | None = None
    where: Where


class KitchenMeans(Struct, frozen=True, kw_only=True):
    """All that a household tells of its kitchens."""

    kitchens: tuple[Kitchen, ...] = ()
    canners: tuple[Canner, ...] = ()
    days: tuple[KitchenDay, ...] = ()
    stock: Stock = field(default_factory=Stock)
    wants: tuple[KitchenWant, ...] = ()

    @property
    def is_planned(self) -> bool:
        """Whether there is enough for a kitchen plan: something wanted, and a day for it."""
        return bool(self.wants and self.days)

    @property
    def dries(self) -> bool:
        """Whether fruit is dried here: a dryer is told of, or something dried is wanted."""
        return any(pot.kind is PotKind.DRYER for pot in self.canners) or any(want.jar is None for want in self.wants)
