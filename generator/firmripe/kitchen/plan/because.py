"""What the kitchen plan remarks: why something is made on its day, why a want is not met, and what would meet it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from msgspec import Struct

from firmripe.harvest.because import FruitOf
from firmripe.harvest.lots import Batch
from firmripe.holding.jar import Jar
from firmripe.holding.preserve import Preserve
from firmripe.kitchen.fit.outcome import Assigned, Binds, Remedy
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.kitchen.tables.ware import Ware
from firmripe.remark import Remark

MOST_OTHERS = 3
"""So many other days are told of for each load."""


# Why something is made on its day


class NearBest(Remark, Struct, frozen=True, kw_only=True):
    """How near its best the fruit is on the day: `worth` is 1 at its best, and less past it."""

    day: date
    worth: float


class OnlyDay(Remark, Struct, frozen=True, kw_only=True):
    """No other kitchen day falls while the fruit is good."""


class NotOn(Remark, Struct, frozen=True, kw_only=True):
    """What keeps it from other days."""

    days: tuple[date, ...]
    binds: Binds


def whys(one: Assigned) -> Iterator[NearBest | OnlyDay | NotOn]:
    """Yield why a product is made on its day and not on another, the nearest others first."""
    others = sorted(one.otherwise, key=lambda other: (abs((other.day - one.day).days), other.session))
    yield NearBest(day=one.day, worth=one.worth)
    if not others:
        yield OnlyDay()
    bound: dict[Binds, dict[date, None]] = {}
    for other in others[:MOST_OTHERS]:
        bound.setdefault(other.binds, {})[other.day] = None
    for binds, days in bound.items():
        yield NotOn(days=tuple(sorted(days)), binds=binds)


# Why a want is not met


class AmountNotPrinted(Remark, Struct, frozen=True, kw_only=True):
    """How much fruit makes a jar of a preserve (a pound dried without `jar`) is not printed."""

    preserve: Preserve
    jar: Jar | None


class NotForJars(Remark, Struct, frozen=True, kw_only=True):
    """Fruit of a cultivar, by its name, must not go into jars."""

    cultivar: str
    why: NoMinutes


class BatchNotReady(Remark, Struct, frozen=True, kw_only=True):
    """A batch has no day on which it is ready."""

    batch: Batch
    why: Remark


class PicksNotNoted(Remark, Struct, frozen=True, kw_only=True):
    """Its fruit should be picked by now, and nobody noted whether it was."""

    fruit: tuple[FruitOf, ...]


class NoFruit(Remark, Struct, frozen=True, kw_only=True):
    """No fruit for it whose weight is known is good on any kitchen day that is left."""


class NoDryer(Remark, Struct, frozen=True, kw_only=True):
    """No dryer is told of."""


class NoPotHolds(Remark, Struct, frozen=True, kw_only=True):
    """No canner says that it holds the jar."""

    jar: Jar


class NotInPot(Remark, Struct, frozen=True, kw_only=True):
    """Why there are no minutes in a pot of a kitchen, by their names; in none at all where both are empty."""

    pot: str = ""
    kitchen: str = ""
    why: NoMinutes


class NoDayLeft(Remark, Struct, frozen=True, kw_only=True):
    """No kitchen day is left in the season."""


class PotAway(Remark, Struct, frozen=True, kw_only=True):
    """A pot is away on all kitchen days that are left."""

    pot: str


# What would meet it


class Helps(Remark, Struct, frozen=True, kw_only=True):
    """A remedy, and how many more of a ware it gives. `day` and `kitchen` say where it is needed, if that is known."""

    remedy: Remedy
    ware: Ware
    more: int
    day: date | None
    kitchen: str


# What the store hears of it


class ForSession(Remark, Struct, frozen=True, kw_only=True):
    """Fruit is for a session in a kitchen, by its name."""

    kitchen: str
    day: date
