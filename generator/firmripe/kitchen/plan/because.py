"""What the kitchen plan remarks: why something is made on its day, why a want is not met, and what would meet it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

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


@dataclass(frozen=True, slots=True, kw_only=True)
class NearBest(Remark):
    """How near its best the fruit is on the day: `worth` is 1 at its best, and less past it."""

    day: date
    worth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OnlyDay(Remark):
    """No other kitchen day falls while the fruit is good."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotOn(Remark):
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
        yield NotOn(days=tuple(days), binds=binds)


# Why a want is not met


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountNotPrinted(Remark):
    """How much fruit makes a jar of a preserve (a pound dried without `jar`) is not printed."""

    preserve: Preserve
    jar: Jar | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotForJars(Remark):
    """Fruit of a cultivar, by its name, must not go into jars."""

    cultivar: str
    why: NoMinutes


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchNotReady(Remark):
    """A batch has no day on which it is ready."""

    batch: Batch
    why: Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class PicksNotNoted(Remark):
    """Its fruit should be picked by now, and nobody noted whether it was."""

    fruit: tuple[FruitOf, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NoFruit(Remark):
    """No fruit for it whose weight is known is good on any kitchen day that is left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoDryer(Remark):
    """No dryer is told of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPotHolds(Remark):
    """No canner says that it holds the jar."""

    jar: Jar


@dataclass(frozen=True, slots=True, kw_only=True)
class NotInPot(Remark):
    """Why there are no minutes in a pot of a kitchen, by their names; in none at all where both are empty."""

    pot: str = ""
    kitchen: str = ""
    why: NoMinutes


@dataclass(frozen=True, slots=True, kw_only=True)
class PotAway(Remark):
    """A pot is away on all kitchen days."""

    pot: str


# What would meet it


@dataclass(frozen=True, slots=True, kw_only=True)
class Helps(Remark):
    """A remedy, and how many more of a ware it gives. `day` and `kitchen` say where it is needed, if that is known."""

    remedy: Remedy
    ware: Ware
    more: int
    day: date | None
    kitchen: str


# What the store hears of it


@dataclass(frozen=True, slots=True, kw_only=True)
class ForSession(Remark):
    """Fruit is for a session in a kitchen, by its name."""

    kitchen: str
    day: date
