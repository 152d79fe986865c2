"""What stands against a date or has moved it: another day that was noted, a spray's label, a freeze to come."""

from __future__ import annotations

from datetime import date
from enum import Enum, auto

from msgspec import Struct

from firmripe.remark import Remark


class Clash(Remark, Struct, frozen=True):
    """What stands against a date or has moved it: each thing with what to do about it, one after another."""

    things: tuple[Remark, ...]

    def with_another(self, thing: Remark) -> Clash:
        """Return it with one thing more."""
        return Clash((*self.things, thing))

    @property
    def openly(self) -> Clash:
        """The same for those whom sprays don't concern."""
        return Clash(tuple(thing.openly if isinstance(thing, SprayLabel) else thing for thing in self.things))

    @property
    def is_of_a_label(self) -> bool:
        """Whether it tells of a spray's label."""
        return any(isinstance(thing, SprayLabel) and thing.is_told for thing in self.things)


class RecordsSay(Remark, Struct, frozen=True):
    """A day is fixed by hand, and another was noted."""

    day: date


class SprayLabel(Remark, Struct, frozen=True):
    """No picking before a day, by a spray's label; that it is by a label `is_told` to the household alone."""

    open_from: date
    is_told: bool = True

    @property
    def openly(self) -> SprayLabel:
        """The same without a word of sprays."""
        return SprayLabel(self.open_from, is_told=False)


class FreezeForecast(Remark, Struct, frozen=True):
    """So cold (°C) a night is forecast, by the day on which it ends."""

    low_c: float
    night_to: date


class InAFreeze(Enum):
    """What to do about fruit that hangs while a freeze is forecast.

    What may not be picked yet stays; what does not ripen off the tree and is not ripe is covered, if it can be; all
    else is picked before that night.
    """

    STAYS = auto()
    COVER = auto()
    PICK = auto()


class FreezeClash(Remark, Struct, frozen=True):
    """A freeze is forecast while fruit hangs; `last` is the last day to pick it, `short_d` days before its window."""

    coming: FreezeForecast
    what_to_do: InAFreeze
    last: date
    short_d: int
