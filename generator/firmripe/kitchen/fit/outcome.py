"""A kitchen plan as it came out: what is put up when, from which fruit, why then, and what is not met."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from enum import Enum

from msgspec import Struct

WASTE, SESSIONS, PEAK = "waste least", "fewest sessions", "near the peak"
"""The goals that follow the wants; the goal of a want has the want's name."""


class Binds(Enum):
    """What keeps fruit from being put up in another session."""

    NOT_MADE_THERE = "not made in that kitchen"
    POT_AWAY = "the pot is away"
    POTS_FULL = "the pots are full"
    HANDS_FULL = "the hands are full"
    NO_SPACE = "no space for the fruit until then"
    FARTHER_FROM_PEAK = "the fruit is farther from its peak"
    ANOTHER_SESSION = "it would take another session"
    SAME = "it would do as well, and is later or comes later by name"
    WHOLE_PLAN = "the plan as a whole would be worse"


class Otherwise(Struct, frozen=True, kw_only=True):
    """Another session on which the same fruit is usable, its worth there, and what binds."""

    session: str
    day: date
    worth: float
    binds: Binds


class Taken(Struct, frozen=True, kw_only=True):
    """Fruit of one supply for one product in one session, and the day from which it lies warm for it."""

    supply: str
    kg: float
    out: date
    worth: float


class PotLoads(Struct, frozen=True, kw_only=True):
    """So many loads in one pot, `units` in all of them; only the last can be smaller than the pot holds."""

    pot: str
    loads: int
    units: int
    minutes_per_load: float


class Assigned(Struct, frozen=True, kw_only=True):
    """One product assigned to a session. `wants` says how many units are for which want; the rest fill the last load.

    `worth` is that of its fruit by weight; `otherwise` are the other sessions on which some of its fruit is usable.
    """

    session: str
    day: date
    kitchen: str
    product: str
    units: int
    wants: Mapping[str, int]
    pot_loads: tuple[PotLoads, ...]
    taken: tuple[Taken, ...]
    kg: float
    hands_hours: float
    worth: float
    otherwise: tuple[Otherwise, ...]


class Goal(Struct, frozen=True, kw_only=True):
    """One of the plan's goals in their order: what it came to, and the best it could be at all.

    `value` and `bound` are counted so that more is better (waste and sessions are negative).
    """

    name: str
    value: float
    bound: float

    @property
    def gap(self) -> float:
        """How far the plan may lie from the best, as a part of it: 0 where it is the best."""
        part = (self.bound - self.value) / max(1.0, abs(self.bound))
        return part if part > 1e-5 else 0.0


class Fit(Struct, frozen=True, kw_only=True):
    """The plan: units `met` and `unmet` by want, kg `wasted` by supply.

    A want of as many as can be had is never unmet. `ran_out` says that the clock ended the search.
    `sessions` are the names of those that are used, by date.
    """

    assigned: tuple[Assigned, ...]
    met: Mapping[str, int]
    unmet: Mapping[str, int]
    wasted: Mapping[str, float]
    sessions: tuple[str, ...]
    goals: tuple[Goal, ...]
    ran_out: bool = False

    @property
    def gap(self) -> float:
        """The widest gap of any goal."""
        return max((goal.gap for goal in self.goals), default=0.0)


class Lack(Enum):
    """What can be short."""

    POT_AWAY = "pot away"
    POT = "pot"
    HANDS = "hands"
    HOURS = "hours"
    STOCK = "stock"
    SESSION = "session"
    SPACE = "space"
    FRUIT = "fruit"


class Remedy(Struct, frozen=True, kw_only=True):
    """One thing more, the smallest amount of it that gives its full gain, and the units that each want gains by it.

    `name` is the pot's, session's, thing's or space's, the kitchen's for a new session, the product's for fruit.
    `amount` is in hands, hours, things or kg; 1 for a pot or a session. `day` is the pot's or the session's.
    A gain below 0 is what a want farther down the order gives up for one before it.
    """

    lack: Lack
    name: str
    amount: float
    gains: Mapping[str, int]
    day: date | None = None
