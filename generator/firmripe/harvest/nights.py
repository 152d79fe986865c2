"""Cold nights shortly before the pick, which start some pears ripening on the tree."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from firmripe.harvest.because import ColdNights
from firmripe.holding.fruit import Traits
from firmripe.holding.weather import Weather

BEFORE_PICK_D = 30
"""Days before the pick in which cold nights do it (Oregon State FS 241, R)."""


def second_cold_night(traits: Traits, weather: Weather, pick: date) -> date | None:
    """Return the first day that ended two nights running at the published cold, in the last days before a pick.

    None where no such cold is published for the kind, or no such nights were read.
    """
    if traits.cold_nights is None:
        return None
    limit = traits.cold_nights.value.high
    since = pick - timedelta(days=BEFORE_PICK_D)
    nights = [(day, low) for day, low in zip(weather.days, weather.tmin_c, strict=True) if since <= day < pick]
    for (before, first), (day, second) in pairwise(nights):
        if day - before == timedelta(days=1) and first <= limit + 0.05 and second <= limit + 0.05:
            return day
    return None


def cold_nights(traits: Traits, weather: Weather, pick: date) -> ColdNights | None:
    """Return that fruit may be ripening on the tree already; None where nothing speaks for it."""
    day = second_cold_night(traits, weather, pick)
    if day is None or traits.cold_nights is None:
        return None
    return ColdNights(limit=traits.cold_nights, day=day)
