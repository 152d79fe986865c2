"""How long picked fruit keeps where it lies: a published limit holds at its own temperature, and never beyond.

A warmer place takes from it by a published rule where there is one. Where there is none no day is given: what is
printed for a cold room says nothing of a cellar. A colder place never makes it longer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from firmripe.days import DayCount
from firmripe.harvest.spaces import COLD_C
from firmripe.holding.figures import Figure, Mark
from firmripe.holding.fruit import Cultivar
from firmripe.holding.place import Space
from firmripe.season.estimate import Reach

ROOM_C = 5 / 9 + 0.05
"""A place so much (°C) warmer than a limit was printed for is still like it: one °F, as refrigerators are told. J."""
REFRIGERATOR_C = 5.0
"""A limit whose source names no temperature is taken for a refrigerator's, and no warmer place's (°C). J."""
MOST_D = 400
"""No fruit is followed longer than this (days)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Fruit keeps until then, by a figure; `warmer` is the rule that shortened it, where one did."""

    until: Reach
    figure: Figure[DayCount]
    warmer: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NotTold:
    """Nothing is printed for where it lies: `space_c` is how warm that is (None: nobody has said), on `day`."""

    figure: Figure[DayCount]
    space_c: float | None
    day: date


def limit_at(limb: Cultivar, space_c: float) -> tuple[DayCount, Figure[DayCount], bool] | None:
    """Return how many days a cultivar keeps at a temperature (°C), by which figure, and whether a rule shortened it.

    The cultivar's own figure goes first, then its fruit's, whichever is printed for a place as warm; it is never longer
    than the cultivar's own. A household's own days hold for its own rooms.
    """
    own, fruit = limb.traits.keeps, limb.fruit.traits.keeps if limb.fruit else None
    if own is None:
        return None
    for figure in (own, fruit):
        if figure is not None and _is_printed_for(figure, space_c):
            return _least(figure.value, own.value), figure, False
    rule = limb.traits.keeps_warmer
    if rule is not None and rule.at_c is not None and space_c <= rule.at_c.high + ROOM_C:
        shorter = DayCount(low=own.value.low / rule.value.high, high=own.value.high / rule.value.low)
        return shorter, own, True
    return None


def _is_printed_for(figure: Figure[DayCount], space_c: float) -> bool:
    if figure.at_c is None:
        warmest = COLD_C if figure.cited.mark is Mark.OWN else REFRIGERATOR_C
        return space_c <= warmest + ROOM_C
    return space_c <= figure.at_c.high + ROOM_C


def _least(one: DayCount, other: DayCount) -> DayCount:
    return DayCount(low=min(one.low, other.low), high=min(one.high, other.high))


def kept_until(limb: Cultivar, picked: Reach, space: Space) -> Kept | NotTold | None:
    """Return until when fruit picked then keeps in a space; None where no limit is known at all.

    Each day uses up its part of the life that it would have at the temperature of that day.
    """
    own = limb.traits.keeps
    if own is None:
        return None
    least = _used_up(limb, picked.earliest, space, lambda limit: limit.low)
    usual = _used_up(limb, picked.likely, space, lambda limit: limit.middle)
    most = _used_up(limb, picked.latest, space, lambda limit: limit.high)
    for day in (least, usual, most):
        if isinstance(day, NotTold):
            return day
    first = space.at(picked.likely)
    found = limit_at(limb, first) if first is not None else None
    if not isinstance(least, date) or not isinstance(usual, date) or not isinstance(most, date) or found is None:
        return None
    return Kept(until=Reach(earliest=least, likely=usual, latest=most), figure=found[1], warmer=found[2])


def _used_up(limb: Cultivar, since: date, space: Space, part: Callable[[DayCount], float]) -> date | NotTold:
    """Return the day on which the life of fruit that lies in a space since a day is used up."""
    used, day = 0.0, since
    while used < 1 - 1e-9 and (day - since).days < MOST_D:
        at = space.at(day)
        found = limit_at(limb, at) if at is not None else None
        if found is None:
            own = limb.traits.keeps
            if own is None:
                break
            return NotTold(figure=own, space_c=at, day=day)
        used += 1 / max(part(found[0]), 1e-9)
        day += timedelta(days=1)
    return day
