"""Times of pots: how long one load keeps its pot, and when lids can be tested."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec import Struct

from firmripe.holding.kitchen import Canner, PotKind
from firmripe.units import Interval

TO_BOIL_MIN = Interval(low=20, high=30)
"""From loading to a full boil (AIB 539, Guide 1, p. 1-17, R). For a steam canner the same is taken (J)."""
REST_MIN = 5
"""Heat off, lid off, before the jars come out (AIB 539, Guide 1, R)."""
TO_VENT_MIN, VENT_MIN, PRESS_MIN, COOL_MIN = Interval(low=12, high=15), 10, 5, Interval(low=20, high=60)
"""A pressure canner: to steam, venting, to pressure, and cooling by itself (AIB 539, Guide 1, R)."""
FIRST_WATER_MIN = 30
"""From cold water to the first load, while the first fruit is cut. J: 20 to 30 minutes, up to 90 on a weak burner."""
CHANGE_MIN = 10
"""Lifting one load out and setting the next in. J."""


def cycle(minutes: int, kind: PotKind = PotKind.BOILING_WATER, to_boil: Interval | None = None) -> Interval:
    """Return the minutes for which one load keeps its pot: to the boil, the process, the rest.

    `to_boil` are the household's own minutes to the boil, or to steam; the process is never touched by them.
    """
    if kind is PotKind.PRESSURE:
        fixed = VENT_MIN + PRESS_MIN + minutes
        before = to_boil or TO_VENT_MIN
        return Interval(low=before.low + fixed + COOL_MIN.low, high=before.high + fixed + COOL_MIN.high)
    before = to_boil or TO_BOIL_MIN
    return Interval(low=before.low + minutes + REST_MIN, high=before.high + minutes + REST_MIN)


def pot_minutes(minutes: int, canner: Canner) -> float:
    """Return the minutes to plan for one load: the middle of its cycle, and the change to the next."""
    return cycle(minutes, canner.kind, canner.to_boil_min).middle + CHANGE_MIN


def first_boil(canner: Canner) -> float:
    """Return the minutes from cold water to a pot's first load."""
    return canner.first_boil_min.middle if canner.first_boil_min else float(FIRST_WATER_MIN)


class Seals(Struct, frozen=True, kw_only=True):
    """When lids can be tested, and until when a jar that failed can be done again (AIB 539, Guide 1, R)."""

    first: datetime
    last: datetime
    again_until: datetime


def seals(first_out: datetime, last_out: datetime) -> Seals:
    """Return the hours of the seal test: jars cool undisturbed 12 to 24 hours; a failed one is done within 24.

    All loads can be tested once the last has cooled; of several the first is the first whose hours are over.
    """
    day_later = first_out + timedelta(hours=24)
    return Seals(first=min(last_out + timedelta(hours=12), day_later), last=day_later, again_until=day_later)
