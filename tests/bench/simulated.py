"""Springs made up to judge forecasts with: weather with a memory, and blooms by several laws that are known.

None of the laws is one of the ways in which the season model counts. Everything comes from one seed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from typing import Final

import numpy as np

from firmripe.holding.weather import Weather
from firmripe.season.heat import FloatArray, chill_portions, hourly_from_daily

YEAR_D: Final = 365
FIRST_YEAR: Final = 1990


class Climate(Enum):
    """Yearly mean (°C), half the swing from winter to summer, half the day's swing, usual season day of bloom."""

    COLD = (7.5, 13.5, 6.0, 125)
    RHINE = (10.0, 8.8, 4.5, 108)
    MILD = (11.5, 6.8, 5.5, 95)


class Law(Enum):
    """What makes a tree bloom: hours of growth, warmth above a soft limit, or hours of growth once it had its chill."""

    HOURS = "growing degree hours from midwinter"
    SOFT = "a smooth curve of warmth from the middle of February"
    CHILL = "growing degree hours from 45 chill portions on"


@dataclass(frozen=True, slots=True)
class Home:
    """A household's weather, from the autumn before its first season, and the season day of bloom by year."""

    climate: Climate
    law: Law
    weather: Weather
    days: dict[int, int]


def homes(climate: Climate, law: Law, *, years: int, count: int, seed: int) -> Iterator[Home]:
    """Yield some households, their blooms noted with an error of two days."""
    lot = np.random.default_rng(seed)
    low, high = _weather(climate, years, count, lot)
    first = date(FIRST_YEAR - 1, 10, 1)
    spring = np.arange(years) * YEAR_D
    for home in range(count):
        rows = spring[:, None] + np.arange(YEAR_D)
        bloom = _bloom(climate, law, low[home][rows], high[home][rows])
        seen = np.round(bloom + lot.normal(0, 2, years)).astype(int)
        # The calendar's leap days fall between seasons here: each season keeps its own 365 days.
        days = [date(FIRST_YEAR + y - 1, 10, 1) + timedelta(days=d) for y in range(years) for d in range(YEAR_D)]
        read = dict(zip(days, zip(low[home].tolist(), high[home].tolist(), strict=True), strict=True))
        assert days[0] == first
        yield Home(climate, law, Weather.of(read), {FIRST_YEAR + y: int(day) for y, day in enumerate(seen)})


def _weather(climate: Climate, years: int, count: int, lot: np.random.Generator) -> tuple[FloatArray, FloatArray]:
    mean, swing, daily, _ = climate.value
    length = years * YEAR_D
    season = np.cos(2 * np.pi * (np.arange(length) - 92 - 18) / YEAR_D)
    noise = _with_memory(0.75, 3.0, (count, length), lot) + _with_memory(0.95, 1.2, (count, length), lot)
    middle = mean - swing * season + noise * (1 + 0.25 * season)
    half = daily * (1 - 0.3 * season) * np.exp(lot.normal(0, 0.3, (count, length)))
    return np.round(middle - half, 1), np.round(middle + half, 1)


def _with_memory(kept: float, spread: float, shape: tuple[int, int], lot: np.random.Generator) -> FloatArray:
    fresh = lot.normal(0, spread, shape)
    for day in range(1, shape[1]):
        fresh[:, day] = kept * fresh[:, day - 1] + np.sqrt(1 - kept**2) * fresh[:, day]
    return fresh


def _bloom(climate: Climate, law: Law, low: FloatArray, high: FloatArray) -> FloatArray:
    """Return the season day on which each season's sum comes to what makes the usual day the middle one."""
    hours = hourly_from_daily(low, high)
    grown = _softly(hours) if law is Law.SOFT else _growth(hours)
    daily = grown.reshape(*low.shape, 24).sum(axis=2)
    if law is Law.CHILL:
        chill = np.cumsum(chill_portions(hours).reshape(*low.shape, 24).sum(axis=2), axis=1)
        daily = np.where(chill >= 45, daily, 0.0)
    else:
        daily[:, : 92 + (0 if law is Law.HOURS else 45)] = 0.0
    sums = np.cumsum(daily, axis=1)
    need = np.median(sums[:, 92 + climate.value[3]])
    found: FloatArray = (sums < need).sum(axis=1) - 92.0
    return found


def _growth(hours: FloatArray) -> FloatArray:
    """Growing degree hours (Anderson, Richardson and Kesner 1986): base 4, optimum 25, critical 36 °C."""
    up, down = (np.clip(hours, 4, 25) - 4) / 21, (np.clip(hours, 25, 36) - 25) / 11
    return np.where(hours <= 25, 10.5 * (1 - np.cos(np.pi * up)), 21 * (1 - np.sin(np.pi / 2 * down)))


def _softly(hours: FloatArray) -> FloatArray:
    return 1 / (1 + np.exp(-0.25 * (hours - 12)))
