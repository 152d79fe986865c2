"""Cold, counter and room: what fruit needs after the pick, as published, and where it fails."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from msgspec import Struct

from firmripe.days import DayCount
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import LATE_D, Ripens, Traits, Treatment

SAME_C = 0.05
"""Temperatures nearer than this (°C) are the same, one written in °F and one in °C."""


class Cold(Struct, frozen=True, kw_only=True):
    """Days needed in the cold, the figure for fruit at first maturity, and what it fell to by `days_past`."""

    days: DayCount
    figure: Figure[DayCount]
    late: Figure[DayCount] | None = None
    days_past: int = 0


def conditioning_for(traits: Traits, space_c: float | None) -> Figure[DayCount] | None:
    """Return the cold days that hold for a space of this temperature (°C); None where none are known or needed.

    Fruit in a colder place needs longer, so of the published temperatures the nearest one at or below the space's
    is taken, never a shorter one from above; for a space colder than all, or unknown, the coldest.
    """
    known = [figure for figure in traits.conditioning if figure.value.high > 0]
    if not known:
        return None
    return _at_or_below(known, space_c)


def _at_or_below(known: Sequence[Figure[DayCount]], at_c: float | None) -> Figure[DayCount]:
    """Return the figure of the nearest temperature at or below one, else of the lowest; the longer of two there."""
    at: dict[float, Figure[DayCount]] = {}
    for figure in known:
        if figure.at_c:
            other = at.setdefault(figure.at_c.middle, figure)
            at[figure.at_c.middle] = max(other, figure, key=lambda f: (f.value.middle, f.value.high))
    if not at:
        return max(known, key=lambda f: (f.value.middle, f.value.high))
    if at_c is None:
        return at[min(at)]
    return at[max((t for t in at if t <= at_c + SAME_C), default=min(at))]


def counter_for(traits: Traits, room_c: float | None) -> Figure[DayCount] | None:
    """Return the counter days that hold in a room of this temperature (°C); None where none are known.

    Of figures for several temperatures the nearest at or below the room's is taken: in the cooler it takes longer.
    Days that are told for no temperature, such as the household's own, hold for every room.
    """
    usual = traits.counter
    if usual is None or usual.at_c is None or not traits.counter_by_room or room_c is None:
        return usual
    if usual.at_c.low - SAME_C <= room_c <= usual.at_c.high + SAME_C:
        return usual
    return _at_or_below([usual, *traits.counter_by_room], room_c)


def cold_for(traits: Traits, space_c: float | None, days_past: int = 0, *, early: bool = False) -> Cold | None:
    """Return the cold needed by fruit picked so many days past first maturity; None where none is.

    The need falls in a straight line from first maturity to `LATE_D` days later and stays there (Sugar and Einhorn
    2012, at 31 F). Where no figure for late fruit is published at a temperature, the need stays as it is: longer.
    `early` fruit, picked before it was mature, needs what is published for it, if that is longer.
    """
    figure = conditioning_for(traits, space_c)
    if early and traits.conditioning_early:
        longer = _at_or_below(traits.conditioning_early, space_c)
        if figure is None or longer.value.middle > figure.value.middle:
            return Cold(days=longer.value, figure=longer)
    if figure is None:
        return None
    late = next((f for f in traits.conditioning_late if _same_place(f, figure)), None)
    if late is None or days_past <= 0:
        return Cold(days=figure.value, figure=figure)
    gone = min(days_past, LATE_D) / LATE_D
    days = DayCount(
        low=figure.value.low + (late.value.low - figure.value.low) * gone,
        high=figure.value.high + (late.value.high - figure.value.high) * gone,
    )
    return Cold(days=days, figure=figure, late=late, days_past=days_past) if days.high > 0 else None


def _same_place(one: Figure[DayCount], other: Figure[DayCount]) -> bool:
    if one.at_c is None or other.at_c is None:
        return one.at_c is other.at_c
    return abs(one.at_c.middle - other.at_c.middle) < SAME_C


def ripens_after_picking(traits: Traits) -> bool:
    """Say whether there is anything to wait for once the fruit is picked."""
    ripens = traits.ripens_off_the_tree
    at_once = traits.counter is not None and traits.counter.value.high == 0
    return not (ripens is not None and ripens.value is Ripens.NO) and not at_once


class Room(Enum):
    """What a room's warmth does to ripening."""

    GOOD = "good"
    POOR = "poor"
    FAILS = "fails"


def room_verdict(traits: Traits, room_c: float) -> Room:
    """Say whether fruit ripens in a room of this temperature (°C), by the published limits of its kind."""
    if traits.too_warm is not None and room_c >= traits.too_warm.value.low - SAME_C:
        return Room.FAILS
    if traits.ripens_poorly_above is not None and room_c >= traits.ripens_poorly_above.value.low - SAME_C:
        return Room.POOR
    return Room.GOOD


def treatments_for(traits: Traits, stored_d: int) -> tuple[Treatment, ...]:
    """Return the treatments that still work on fruit stored so many days."""
    return tuple(t for t in traits.treatments if t.stored_at_most is None or stored_d <= t.stored_at_most.high)


def chilled(traits: Traits, space_c: float, days: float, *, ripe: bool) -> bool:
    """Say whether so many days at a temperature (°C) harm the fruit."""
    return any(figure.value.harms(space_c, days, ripe=ripe) for figure in traits.chilling)
