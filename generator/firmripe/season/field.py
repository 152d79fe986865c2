"""What is seen on the tree before the pick: firmness readings, and fruit on the ground."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
from msgspec import Struct

from firmripe.holding.fruit import Drop
from firmripe.holding.record import Happening, Record
from firmripe.holding.task import Stage
from firmripe.season.because import NotFalling, OutOfTime
from firmripe.season.estimate import Reach
from firmripe.units import Interval

READING_N = 3.0
"""Spread of one firmness reading in newtons (about 0.7 lbf). J."""

FALL_N_PER_DAY, FALL_SPREAD = -0.57, 0.25
"""How firmness falls before harvest, N a day: Gem pear 54.7 to 42.7 N over 21 days (Journal of the American Pomological
Society, January 2016; D). Its spread over cultivars and years is J."""

LINE_LEAST_D = 1.5
"""The least spread of a date carried along a firmness line. J."""

SLOWEST_FALL = -0.05
"""N a day: a line flatter than this reaches no target in the season. J."""

PREHARVEST_D = 28.0
"""Sound fruit that falls within so many days before the pick says that it is near, where its fruit prints no other
time (M: four weeks)."""
LOOKED_AT = timedelta(days=28)
"""So long after fruit fell out of its time there is something to look at under its tree. J."""

SOFTENED_D = 2.0
"""Fruit that hangs below its target is due: it counts as having come down to it at most so many days before the first
reading, so that the window still holds the day of reading. J."""


class FirmnessLine(Struct, frozen=True):
    """Where a fitted line reaches its target: the season day, its spread (days), and the fall in N a day."""

    day: float
    spread_d: float
    fall_n_per_day: float


def firmness_line(readings: Sequence[tuple[float, float]], target: Interval) -> FirmnessLine | NotFalling:
    """Carry readings (season day, newtons) forward to a target (newtons).

    A line is fitted with the usual fall as prior knowledge, so that one reading gives a wide answer and each further
    one lets the tree speak more for itself. Readings below the target mean now: it was reached at most `SOFTENED_D`
    before the first of them, the surer the softer the fruit. Raises ValueError without a reading.
    """
    if not readings:
        raise ValueError("there is no reading to carry forward")
    days, values = np.array(readings, dtype=np.float64).T
    middle, level = float(days.mean()), float(values.mean())
    about = days - middle
    weight, first = float(about @ about), float(about.min())
    is_soft = float(values[about == about.max()].mean()) < target.low
    if not is_soft and weight > 0 and float(about @ values) >= 0:
        return NotFalling(len(readings), too_slowly=False)
    precision = weight / READING_N**2 + 1 / FALL_SPREAD**2
    fall = (float(about @ values) / READING_N**2 + FALL_N_PER_DAY / FALL_SPREAD**2) / precision
    if fall > SLOWEST_FALL:
        if not is_soft:
            return NotFalling(len(readings), too_slowly=True)
        fall = FALL_N_PER_DAY
    ahead = (target.middle - level) / fall
    surer = SOFTENED_D / max(SOFTENED_D, first - ahead)
    ahead = max(ahead, first - SOFTENED_D)
    of_level = READING_N**2 / len(readings)
    of_target = (target.high - target.low) ** 2 / 12
    variance = (of_level + of_target + ahead**2 / precision) / fall**2
    return FirmnessLine(day=middle + ahead, spread_d=max(LINE_LEAST_D, surer * variance**0.5), fall_n_per_day=fall)


def before_the_pick(drops: Sequence[Drop]) -> Interval:
    """Return how many days before the pick sound fruit falls: what is printed of the fruit, or else four weeks."""
    for drop in drops:
        if drop.period and drop.period.stage is Stage.PICK and drop.period.before:
            return Interval(low=drop.period.low, high=drop.period.high)
    return Interval(low=0.0, high=PREHARVEST_D)


def is_expected(day: date, drops: Sequence[Drop], stages: dict[Stage, Reach]) -> bool:
    """Say whether fruit falls on this day as it usually does. True where nothing is known to compare with."""
    known = [drop.period for drop in drops if drop.period and drop.period.stage in stages]
    if not known:
        return True
    for period in known:
        reach = stages[period.stage]
        sign = -1 if period.before else 1
        ends = sorted((sign * period.low, sign * period.high))
        first = reach.earliest + timedelta(days=round(ends[0]))
        last = reach.latest + timedelta(days=round(ends[1]))
        if first <= day <= last:
            return True
    return False


def question_about(record: Record, drops: Sequence[Drop], stages: dict[Stage, Reach]) -> OutOfTime | None:
    """Return what to ask about fruit that fell out of its time, with the usual causes; None where it is in time."""
    if record.what is not Happening.DROP or is_expected(record.day, drops, stages):
        return None
    return OutOfTime(record.day, tuple(drop.text for drop in drops if drop.period is None), record.cultivar)
