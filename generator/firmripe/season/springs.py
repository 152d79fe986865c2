"""The weather laid out by season: one row a season, one column a day, from the autumn before it on.

Sums over many springs are then one step for all of them.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import cached_property, lru_cache
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from firmripe.days import Hemisphere, WorkingYear
from firmripe.holding.weather import Weather
from firmripe.season.heat import FloatArray, chill_portions, degree_days, hourly_from_daily

AUTUMN_D: Final = 92
"""Each row begins so many days before its season, on 1 October (south 31 March): chill is gathered from there on. J."""
DAYS: Final = AUTUMN_D + 366
"""How many days a row holds, to the end of the season."""
CHILL_DAYS: Final = AUTUMN_D + 120
"""Chill is gathered up to the end of April (south: of October). J."""


class Sums(Struct, frozen=True):
    """Running sums up to the evening before each day: one column more than days. A day without weather adds nothing."""

    day: FloatArray
    before: FloatArray

    @classmethod
    def of(cls, daily: FloatArray) -> Sums:
        """Add up the days of each row."""
        day = np.where(np.isnan(daily), 0.0, daily)
        return cls(day, np.concatenate([np.zeros((len(day), 1)), np.cumsum(day, axis=1)], axis=1))


class Springs(Struct, frozen=True, eq=False, dict=True):
    """Lowest and highest temperature (°C) by season and day; NaN where there is none.

    Row 0 is the season `first_year`, the last row (`blank`) has no weather at all; column `AUTUMN_D` is the first day
    of each season. Sums of heat by base, and of chill, are worked out when first asked for.
    """

    hemisphere: Hemisphere
    first_year: int
    tmin_c: FloatArray
    tmax_c: FloatArray

    def __post_init__(self) -> None:
        for table in (self.tmin_c, self.tmax_c):
            table.setflags(write=False)

    @cached_property
    def missing(self) -> NDArray[np.intp]:
        """How many days are without weather before each column."""
        gone = np.isnan(self.tmin_c)
        before = np.concatenate([np.zeros((len(gone), 1), dtype=np.intp), np.cumsum(gone, axis=1)], axis=1)
        before.setflags(write=False)
        return before

    @cached_property
    def _heat(self) -> dict[float, Sums]:
        return {}

    @cached_property
    def _heats(self) -> dict[tuple[float, ...], Sums]:
        return {}

    @property
    def years(self) -> range:
        """The seasons, in order."""
        return range(self.first_year, self.first_year + self.blank)

    @property
    def blank(self) -> int:
        """The row of a season of which nothing is known."""
        return len(self.tmin_c) - 1

    def row(self, season: WorkingYear) -> int | None:
        """Return the row of a season; None where it has none."""
        return season.year - self.first_year if season.year in self.years else None

    def has(self, row: int, first: int, end: int) -> bool:
        """Say whether a row has the weather of every day from a column to before another."""
        inside = 0 <= first <= end <= DAYS
        return bool(inside and self.missing[row, end] == self.missing[row, first])

    def has_days(self, season: WorkingYear, first: date, last: date) -> bool:
        """Say whether there is weather of every day of a season from one to another, both included."""
        row = self.row(season)
        return row is not None and self.has(row, column(season, first), column(season, last) + 1)

    def heat(self, base_c: float) -> Sums:
        """Return the heat above a base, in C-days."""
        if base_c not in self._heat:
            known = np.isfinite(self.tmin_c)
            heat = np.full(self.tmin_c.shape, np.nan)
            heat[known] = degree_days(self.tmin_c[known], self.tmax_c[known], base_c=base_c)
            self._heat[base_c] = Sums.of(heat)
        return self._heat[base_c]

    def heats(self, bases_c: tuple[float, ...]) -> Sums:
        """Return the heat above several bases in one table, the rows of each base below those of the one before."""
        if bases_c not in self._heats:
            each = [self.heat(base_c) for base_c in bases_c]
            self._heats[bases_c] = Sums(
                *(np.concatenate(part) for part in zip(*((h.day, h.before) for h in each), strict=True))
            )
        return self._heats[bases_c]

    @cached_property
    def chill(self) -> Sums:
        """The chill portions banked since the first day of each row."""
        low, high = (np.nan_to_num(table[:, :CHILL_DAYS]) for table in (self.tmin_c, self.tmax_c))
        daily = np.zeros(self.tmin_c.shape)
        daily[:, :CHILL_DAYS] = chill_portions(hourly_from_daily(low, high)).reshape(*low.shape, 24).sum(axis=2)
        return Sums.of(daily)


def column(season: WorkingYear, day: date) -> int:
    """Return the column of a day in its season's row; it may lie outside."""
    return season.day_number(day) + AUTUMN_D


@lru_cache(maxsize=4)
def springs_of(weather: Weather, hemisphere: Hemisphere) -> Springs:
    """Lay a record of weather out by season, the one that follows its last autumn included.

    The whole record is the key under which the answer is kept, so that no other record can get it.
    """
    if not weather.days:
        return Springs(hemisphere, 0, np.full((1, DAYS), np.nan), np.full((1, DAYS), np.nan))
    first = WorkingYear.of(weather.days[0], hemisphere).year
    last = WorkingYear.of(weather.days[-1] + timedelta(days=AUTUMN_D), hemisphere).year
    low, high = (np.full((last - first + 2, DAYS), np.nan) for _ in range(2))
    ordinals = np.array([day.toordinal() for day in weather.days])
    for row, year in enumerate(range(first, last + 1)):
        begins = WorkingYear(year=year, hemisphere=hemisphere).first.toordinal() - AUTUMN_D
        of_row = slice(*np.searchsorted(ordinals, [begins, begins + DAYS]))
        at = ordinals[of_row] - begins
        low[row, at], high[row, at] = weather.tmin_c[of_row], weather.tmax_c[of_row]
    return Springs(hemisphere, first, low, high)
