"""The household's own weather as a witness of its usual warmth: a few years, set against what is known without them.

Each own year is a draw from the ground's climate, so the mean of a few is off by their scatter, most of it month by
month, whereas stations err about a ground all year alike. Weighing the two as they err keeps the stations' course of
the year and moves it to the household's own level: the correction that a station's neighbours would be given.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import numpy as np

from firmripe.days import Hemisphere
from firmripe.holding.stations import MONTHS, VALUES, Floats
from firmripe.holding.weather import Weather
from firmripe.season.climate import Climate, OwnYears
from firmripe.season.interpolating import from_midwinter

FEWEST_YEARS = 3
"""So many years of every month are asked for before own weather counts."""
FEWEST_DAYS = 25
"""A month with fewer days is left out (our judgement)."""
YEARS_DIFFER_C = (2.4, 2.3, 1.8, 1.2, 1.3, 1.1, 1.2, 1.1, 1.2, 1.4, 1.6, 2.5)
"""How far a month's mean differs from year to year, from midwinter's month on (standard deviation, °C).

Worked out from twelve years at Petersham, Massachusetts (1990-2001), smoothed a little; four years each at Seattle and
New York agree. The household's own scatter moves all twelve up or down together.
"""
_SCATTER_DEGREES = 24
"""What these are worth beside the household's own years, in degrees of freedom (our judgement: two years)."""
NEIGHBOURS_AGREE, LOW_AND_HIGH_AGREE = 0.3, 0.85
"""Correlations of one year's months that follow each other, and of lowest and highest of one month (the same)."""
THERMOMETER_C = 0.5
"""How far a household's thermometer may be off all year round (our judgement: sun, walls, cold hollows)."""
WARMING_C, WARMING_SPREAD_C = 0.02, 0.01
"""How much warmer it gets a year. Between the middles of 1991-2020 and 2003-2021 (6.5 years) 66 stations in Britain and
Japan warmed by 0.2 °C; between those of 1981-2010 and 2003-2021 (16.5 years) the Canadian border did by 0.23."""


def with_own_years(climate: Climate, weather: Weather) -> Climate:
    """Return a climate moved to the household's own weather, or as it is where that is too short."""
    months = _monthly(weather)
    fewest = min((len(months[month]) for month in range(1, MONTHS + 1)), default=0)
    if fewest < FEWEST_YEARS:
        return climate
    counts = np.array([len(months[month]) for month in range(1, MONTHS + 1)], float)
    means = np.array([np.mean(list(months[month].values()), axis=0) for month in range(1, MONTHS + 1)])
    years = [year for month in months.values() for year in month]
    later = float(np.mean(years)) - _middle_year(climate.period)
    observed = means.T.ravel() - WARMING_C * later
    noise = _noise(climate.half, counts, months) + THERMOMETER_C**2 + (WARMING_SPREAD_C * later) ** 2
    return climate.updated(np.eye(VALUES), observed, noise, OwnYears(years=fewest, first=min(years), last=max(years)))


def _monthly(weather: Weather) -> Mapping[int, dict[int, Floats]]:
    """Return the mean lowest and highest temperature of each month that has enough days, by month and year."""
    days: defaultdict[tuple[int, int], list[tuple[float, float]]] = defaultdict(list)
    for day, low, high in zip(weather.days, weather.tmin_c, weather.tmax_c, strict=True):
        days[day.month, day.year].append((low, high))
    found: dict[int, dict[int, Floats]] = {month: {} for month in range(1, MONTHS + 1)}
    for (month, year), temps in days.items():
        if len(temps) >= FEWEST_DAYS:
            found[month][year] = np.mean(temps, axis=0)
    return found


def _noise(half: Hemisphere, counts: Floats, months: Mapping[int, dict[int, Floats]]) -> Floats:
    """Return the covariance (°C²) of the means of so many years about the usual values."""
    order = from_midwinter(half)[:MONTHS]
    differ = np.empty(MONTHS)
    differ[order] = YEARS_DIFFER_C
    squares, degrees = float(_SCATTER_DEGREES), float(_SCATTER_DEGREES)
    for month, by_year in months.items():
        of_means = np.array(list(by_year.values())).mean(axis=1)
        squares += float(((of_means - of_means.mean()) ** 2).sum()) / differ[month - 1] ** 2
        degrees += len(of_means) - 1
    spread = differ * np.sqrt(squares / degrees / counts)
    gap = np.abs(np.subtract.outer(np.arange(MONTHS), np.arange(MONTHS)))
    agree = NEIGHBOURS_AGREE ** np.minimum(gap, MONTHS - gap)
    of_months = agree * np.outer(spread, spread)
    noise: Floats = np.kron(np.array([[1.0, LOW_AND_HIGH_AGREE], [LOW_AND_HIGH_AGREE, 1.0]]), of_months)
    return noise


def _middle_year(period: str) -> float:
    """Return the middle of a period written as 1991-2020; of a period that is not known, its usual one."""
    first, _, last = period.partition("-")
    return (int(first) + int(last)) / 2 if first.isdecimal() and last.isdecimal() else 2005.5
