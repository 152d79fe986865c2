"""Heat and chill: from temperatures to degree-days, chill, and the day on which a sum is reached.

Arithmetic on values that are handed in; no file is read and no clock is asked.
Temperatures are °C and heat sums C-days; `degree_days_f` and `degree_days_c` change the unit of a sum.
A threshold is worth something only with the method, base and start that it was fitted with,
so these travel together in a `HeatCount`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import Enum
from types import MappingProxyType
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from firmripe.days import MonthDay, WorkingYear

FloatArray: TypeAlias = NDArray[np.float64]

F_DAYS_PER_C_DAY: Final = 1.8
COLDEST_C: Final = -90.0
WARMEST_C: Final = 60.0
"""No weather station has read beyond these two (from memory); most summer days in °F given as °C are."""
FEWEST_YEARS: Final = 3
"""Fewer own years are not enough to fit a threshold (our judgement)."""


class Method(Enum):
    """How a day's heat is taken from its lowest and highest temperature."""

    SIMPLE = "simple"
    MODIFIED = "modified"
    SINE = "sine"
    TRIANGLE = "triangle"


class Cutoff(Enum):
    """What happens above the upper temperature.

    None: heat goes on counting. Horizontal: it counts no faster than at the upper temperature.
    Intermediate: it slows as fast as it rose. Vertical: it stops.
    """

    NONE = "none"
    HORIZONTAL = "horizontal"
    VERTICAL = "vertical"
    INTERMEDIATE = "intermediate"


CUTOFFS: Final[Mapping[Method, frozenset[Cutoff]]] = MappingProxyType(
    {
        Method.SIMPLE: frozenset({Cutoff.NONE, Cutoff.HORIZONTAL}),
        Method.MODIFIED: frozenset({Cutoff.NONE, Cutoff.HORIZONTAL}),
        Method.SINE: frozenset(Cutoff),
        Method.TRIANGLE: frozenset(Cutoff),
    }
)
"""The cutoffs that go with each method: an average can't say for how much of a day it was too hot."""


@dataclass(frozen=True, slots=True)
class NotReached:
    """A sum that did not come to its threshold, and why."""

    reason: str


@dataclass(frozen=True, slots=True)
class NotFitted:
    """A threshold that can't be fitted to these years, and why."""

    reason: str


# Degree-days
# -----------


def degree_days(  # noqa: PLR0913 - what a heat sum means takes all six
    tmin_c: ArrayLike,
    tmax_c: ArrayLike,
    *,
    base_c: float,
    upper_c: float | None = None,
    method: Method = Method.SINE,
    cutoff: Cutoff = Cutoff.NONE,
) -> FloatArray:
    """Return each day's heat above a base, in C-days.

    `tmin_c` and `tmax_c` are the days' lowest and highest temperatures in °C, `base_c` and `upper_c` °C.
    An upper temperature goes with a cutoff, and a cutoff with an upper temperature.
    Heat is never below 0, except by the intermediate cutoff on a day far above the upper temperature.
    The corn growers' degree-day is `MODIFIED`, base 10 °C, upper 30 °C (50 and 86 °F), horizontal cutoff.

    Raises ValueError if the two differ in length, a value is missing or beyond `COLDEST_C` to `WARMEST_C`,
    a lowest temperature is above the highest, or the upper temperature and cutoff do not fit (see `CUTOFFS`).

    Sources: simple average, J. Nugent, Michigan State University; modified average, Iowa State University,
    Agronomy 541; sine, Baskerville and Emin 1969, Ecology 50:514-517; triangle, Sevacherian et al. 1977;
    horizontal cutoff, Oregon State University, integrated plant protection centre. The vertical and the
    intermediate cutoff are worked out from these.
    """
    low, high = _days(tmin_c, tmax_c)
    _check_cutoff(base_c=base_c, upper_c=upper_c, method=method, cutoff=cutoff)
    above = _ABOVE[method]
    heat = above(low, high, base_c)
    if upper_c is None:
        return heat
    too_hot = above(low, high, upper_c)
    if cutoff is Cutoff.INTERMEDIATE:
        return heat - 2 * too_hot
    if cutoff is Cutoff.VERTICAL:
        too_hot = too_hot + (upper_c - base_c) * _SHARE_ABOVE[method](low, high, upper_c)
    return np.maximum(heat - too_hot, 0.0)


def degree_days_f(c_days: float) -> float:
    """Convert a heat sum from C-days to F-days: a factor of 1.8 and no offset."""
    return c_days * F_DAYS_PER_C_DAY


def degree_days_c(f_days: float) -> float:
    """Convert a heat sum from F-days to C-days."""
    return f_days / F_DAYS_PER_C_DAY


def _check_cutoff(*, base_c: float, upper_c: float | None, method: Method, cutoff: Cutoff) -> None:
    if cutoff not in CUTOFFS[method]:
        known = " or ".join(sorted(known.value for known in CUTOFFS[method]))
        raise ValueError(f"the {method.value} method takes the cutoff {known}, not {cutoff.value}")
    if not math.isfinite(base_c):
        raise ValueError(f"the base temperature {base_c} is not a number")
    if upper_c is None:
        if cutoff is not Cutoff.NONE:
            raise ValueError(f"the {cutoff.value} cutoff needs an upper temperature")
        return
    if cutoff is Cutoff.NONE:
        raise ValueError(f"the upper temperature {upper_c:g} °C does nothing without a cutoff")
    if not base_c < upper_c < math.inf:
        raise ValueError(f"the upper temperature {upper_c:g} °C is not above the base {base_c:g} °C")


def _simple_above(low: FloatArray, high: FloatArray, limit: float) -> FloatArray:
    return np.maximum((low + high) / 2 - limit, 0.0)


def _modified_above(low: FloatArray, high: FloatArray, limit: float) -> FloatArray:
    return (np.maximum(low - limit, 0.0) + np.maximum(high - limit, 0.0)) / 2


def _sine_above(low: FloatArray, high: FloatArray, limit: float) -> FloatArray:
    mean, amplitude = (low + high) / 2, (high - low) / 2
    sine = _sine_at(low, high, limit)
    height = amplitude * np.sqrt(1 - sine**2)
    return np.maximum(((mean - limit) * (np.pi / 2 - np.arcsin(sine)) + height) / np.pi, 0.0)


def _sine_share_above(low: FloatArray, high: FloatArray, limit: float) -> FloatArray:
    return 0.5 - np.arcsin(_sine_at(low, high, limit)) / np.pi


def _sine_at(low: FloatArray, high: FloatArray, limit: float) -> FloatArray:
    """Return the sine of the angle at which the day passes the limit: 1 if it stays below, -1 if above."""
    mean, amplitude = (low + high) / 2, (high - low) / 2
    steady_day = np.where(mean > limit, -1.0, 1.0)
    return np.divide(np.clip(limit - mean, -amplitude, amplitude), amplitude, out=steady_day, where=amplitude > 0)


def _triangle_above(low: FloatArray, high: FloatArray, limit: float) -> FloatArray:
    top = np.clip(high - limit, 0.0, high - low)
    return _triangle_share_above(low, high, limit) * top / 2 + np.maximum(low - limit, 0.0)


def _triangle_share_above(low: FloatArray, high: FloatArray, limit: float) -> FloatArray:
    swing = high - low
    steady_day = np.where(low > limit, 1.0, 0.0)
    return np.divide(np.clip(high - limit, 0.0, swing), swing, out=steady_day, where=swing > 0)


_Above: TypeAlias = Callable[[FloatArray, FloatArray, float], FloatArray]

_ABOVE: Final[Mapping[Method, _Above]] = {
    Method.SIMPLE: _simple_above,
    Method.MODIFIED: _modified_above,
    Method.SINE: _sine_above,
    Method.TRIANGLE: _triangle_above,
}
_SHARE_ABOVE: Final[Mapping[Method, _Above]] = {
    Method.SINE: _sine_share_above,
    Method.TRIANGLE: _triangle_share_above,
}


# Hours
# -----


def hourly_from_daily(tmin_c: ArrayLike, tmax_c: ArrayLike, *, warmest_hour: float = 15.0) -> FloatArray:
    """Return 24 temperatures a day, hours 0 to 23, in °C, on a cosine through each day's lowest and highest.

    Each day stands alone, so there is a step at midnight. The day is warmest at 15 h (our judgement) and
    coldest twelve hours from then.
    Raises ValueError as `degree_days` does, and for a warmest hour outside 0 to 24.
    """
    low, high = _days(tmin_c, tmax_c)
    if not 0 <= warmest_hour <= 24:
        raise ValueError(f"the warmest hour {warmest_hour:g} is not between 0 and 24")
    wave = np.cos(2 * np.pi * (np.arange(24) - warmest_hour) / 24)
    mean, amplitude = (low + high) / 2, (high - low) / 2
    hours: FloatArray = (mean[:, np.newaxis] + amplitude[:, np.newaxis] * wave).ravel()
    return hours


def daily_totals(hourly: ArrayLike) -> FloatArray:
    """Add up hourly values, first hour 0, into one total a day.

    Raises ValueError if the hours are not whole days or one is missing.
    """
    values = _series(hourly, "hourly values")
    if values.size % 24:
        raise ValueError(f"{values.size} hours are not whole days")
    totals: FloatArray = values.reshape(-1, 24).sum(axis=1)
    return totals


def growing_degree_hours(
    temp_c: ArrayLike, *, base_c: float = 4.0, optimum_c: float = 25.0, critical_c: float = 36.0
) -> FloatArray:
    """Return each hour's growing degree hours: 0 up to the base, most at the optimum, 0 from the critical on.

    `temp_c` and the three cardinal temperatures are °C; one hour gives at most `optimum_c - base_c`.
    Peach fruit has its own three, 7.5, 26 and 38.5 °C (Marra, Inglese, DeJong and Johnson 2002).
    Raises ValueError if a temperature is missing or beyond the range, or the three are out of order.
    Source: the asymmetric curve of Anderson, Richardson and Kesner 1986.
    """
    temps = _temperatures(temp_c, "hourly temperatures")
    if not base_c < optimum_c < critical_c:
        raise ValueError(f"base {base_c:g}, optimum {optimum_c:g} and critical {critical_c:g} °C are out of order")
    span = optimum_c - base_c
    way_up = (np.clip(temps, base_c, optimum_c) - base_c) / span
    way_down = (np.clip(temps, optimum_c, critical_c) - optimum_c) / (critical_c - optimum_c)
    rising = span / 2 * (1 + np.cos(np.pi + np.pi * way_up))
    falling = span * (1 + np.cos(np.pi / 2 + np.pi / 2 * way_down))
    return np.where(temps <= optimum_c, rising, falling)


# Chill
# -----

_UTAH_UP_TO_C: Final = np.array([1.4, 2.4, 9.1, 12.4, 15.9, 18.0])
_UTAH_UNITS: Final = np.array([0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0])


def utah_chill_units(temp_c: ArrayLike) -> FloatArray:
    """Return each hour's Utah chill units, from -1 to 1; warm hours take away.

    Raises ValueError if a temperature (°C) is missing or beyond the range.
    Source: Richardson et al. 1974, with the class limits tabulated in °C; those in °F differ by up to 0.1 °C.
    """
    temps = _temperatures(temp_c, "hourly temperatures")
    units: FloatArray = _UTAH_UNITS[np.searchsorted(_UTAH_UP_TO_C, temps, side="left")]
    return units


def chill_hours(temp_c: ArrayLike, *, lowest_c: float = 0.0, highest_c: float = 7.2) -> FloatArray:
    """Return 1 for each hour from the lowest to the highest temperature, both included, and 0 for the others.

    The defaults are 32 to 45 °F; the wider old form counts every hour up to 45 °F: `lowest_c=-math.inf`.
    Raises ValueError if a temperature (°C) is missing or beyond the range, or the limits are out of order.
    """
    temps = _temperatures(temp_c, "hourly temperatures")
    if not lowest_c <= highest_c:
        raise ValueError(f"chill hours can't run from {lowest_c:g} to {highest_c:g} °C")
    return np.where((temps >= lowest_c) & (temps <= highest_c), 1.0, 0.0)


# Constants of the dynamic model as tabulated since 2009: K, but for the rates (1/h) and the slope (1/K).
_E0_K: Final = 4153.5
_E1_K: Final = 12888.8
_A0: Final = 139500.0
_A1: Final = 2.567e18
_SLOPE: Final = 1.6
_TRANSITION_K: Final = 277.0
_KELVIN_AT_0_C: Final = 273.0


def chill_portions(temp_c: ArrayLike) -> FloatArray:
    """Return the chill portions banked in each hour.

    The first hour is where gathering starts, so nothing is gathered in it (as the model is commonly run).
    Warmth undoes what is still being gathered, never a banked portion, so add hours up only in their order.
    Raises ValueError if a temperature (°C) is missing or beyond the range.
    Source: the dynamic model of Fishman, Erez and Couvillon 1987.
    """
    kelvin = _temperatures(temp_c, "hourly temperatures") + _KELVIN_AT_0_C
    sigmoid = np.exp(_SLOPE * _TRANSITION_K * (kelvin - _TRANSITION_K) / kelvin)
    banked_share = sigmoid / (1 + sigmoid)
    limit = _A0 / _A1 * np.exp((_E1_K - _E0_K) / kelvin)
    kept = np.exp(-_A1 * np.exp(-_E1_K / kelvin))
    portions = np.zeros_like(kelvin)
    gathered = 0.0
    for hour in range(1, kelvin.size):
        gathered = limit[hour] - (limit[hour] - gathered) * kept[hour]
        if gathered >= 1:
            portions[hour] = gathered * banked_share[hour]
            gathered -= portions[hour]
    return portions


# The day a sum is reached
# ------------------------


def day_reached(daily: ArrayLike, threshold: float) -> int | NotReached:
    """Return the index, from 0, of the first day whose running sum comes to the threshold.

    A sum within a billionth of the threshold has reached it, so that a change of unit can't move the day.
    Raises ValueError if a value is missing or the threshold is not above 0.
    """
    values = _series(daily, "daily values")
    if not 0 < threshold < math.inf:
        raise ValueError(f"the threshold {threshold:g} is not above 0")
    sums = np.cumsum(values)
    reached = np.flatnonzero(sums >= threshold * (1 - 1e-9))
    if reached.size:
        return int(reached[0])
    total = float(sums[-1]) if sums.size else 0.0
    return NotReached(f"the sum came to {total:.1f} of {threshold:.1f} in {values.size} days")


@dataclass(frozen=True, slots=True, eq=False)
class DailyTemperatures:
    """Lowest and highest temperatures in °C of consecutive days, from `first` on, without a gap.

    The arrays are copied and can't be written to. Raises ValueError as `degree_days` does, and without a day.
    """

    first: date
    tmin_c: FloatArray
    tmax_c: FloatArray

    def __post_init__(self) -> None:
        low, high = (np.array(days) for days in _days(self.tmin_c, self.tmax_c))
        if not low.size:
            raise ValueError("a record of temperatures holds at least one day")
        for name, values in (("tmin_c", low), ("tmax_c", high)):
            values.setflags(write=False)
            object.__setattr__(self, name, values)

    @property
    def last(self) -> date:
        """The last day of the record."""
        return self.first + timedelta(days=self.tmin_c.size - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatCount:
    """How heat is counted: above which base (°C), by which method and cutoff, from which day of the year on.

    The day of the start is counted. It lies in the working year, which begins at midwinter: 1 January, in
    the south 1 July of the year before.
    Raises ValueError if the upper temperature and cutoff do not fit (see `CUTOFFS`).
    """

    base_c: float
    start: MonthDay
    method: Method = Method.SINE
    cutoff: Cutoff = Cutoff.NONE
    upper_c: float | None = None

    def __post_init__(self) -> None:
        _check_cutoff(base_c=self.base_c, upper_c=self.upper_c, method=self.method, cutoff=self.cutoff)

    def start_in(self, season: WorkingYear) -> date:
        """Return the day on which the count starts in a season."""
        return season.place_day(self.start, season.hemisphere)

    def daily_heat(self, record: DailyTemperatures, season: WorkingYear) -> FloatArray | NotReached:
        """Return the heat of each day in C-days, from the start to the end of the record or of the season.

        Where the record does not hold the start, the sum can't be known.
        """
        start = self.start_in(season)
        if not record.first <= start <= record.last:
            return NotReached(f"the temperatures run from {record.first} to {record.last}, the count starts {start}")
        days = slice((start - record.first).days, (min(season.last, record.last) - record.first).days + 1)
        return degree_days(
            record.tmin_c[days],
            record.tmax_c[days],
            base_c=self.base_c,
            upper_c=self.upper_c,
            method=self.method,
            cutoff=self.cutoff,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatModel:
    """An event that comes when the heat counted from a start reaches a threshold, in C-days above 0."""

    count: HeatCount
    threshold_c_days: float

    def __post_init__(self) -> None:
        if not 0 < self.threshold_c_days < math.inf:
            raise ValueError(f"the threshold {self.threshold_c_days:g} is not above 0")

    def date_reached(self, record: DailyTemperatures, season: WorkingYear) -> date | NotReached:
        """Return the day on which the event comes in a season: the first whose sum is at the threshold."""
        heat = self.count.daily_heat(record, season)
        if isinstance(heat, NotReached):
            return heat
        day = day_reached(heat, self.threshold_c_days)
        return day if isinstance(day, NotReached) else self.count.start_in(season) + timedelta(days=day)


# Fitting to own years
# --------------------

Records: TypeAlias = Mapping[WorkingYear, DailyTemperatures]
NotedDates: TypeAlias = Mapping[WorkingYear, Sequence[date]]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatFit:
    """A heat model fitted to own years, and how far off it would have been in each, foretold from the others.

    `errors_days` holds for each season used the day foretold less the mean day noted, or why there is none.
    `calendar_errors_days` holds for the same seasons the mean day of the others less the mean day noted.
    `left_out` says why a season with noted dates could not be used.
    At least `FEWEST_YEARS` seasons have an error.
    """

    model: HeatModel
    errors_days: Mapping[WorkingYear, float | NotReached]
    calendar_errors_days: Mapping[WorkingYear, float]
    left_out: Mapping[WorkingYear, str]

    @property
    def foretold(self) -> Mapping[WorkingYear, float]:
        """The errors, in days, of the seasons in which the threshold of the others was reached."""
        return {season: error for season, error in self.errors_days.items() if isinstance(error, float)}

    @property
    def rmse_days(self) -> float:
        """Root mean square of the errors of the seasons foretold, in days."""
        return _rmse(self.foretold.values())

    @property
    def mean_error_days(self) -> float:
        """Mean of the errors of the seasons foretold, in days: above 0 the model runs late.

        Expect about half a day, since the day on which a threshold is passed is counted as a whole.
        """
        errors = self.foretold.values()
        return sum(errors) / len(errors)

    @property
    def calendar_rmse_days(self) -> float:
        """Root mean square of the mean date's errors in the same seasons, in days."""
        return _rmse(self.calendar_errors_days[season] for season in self.foretold)


def fit_threshold(count: HeatCount, records: Records, noted: NotedDates) -> HeatFit | NotFitted:
    """Fit the heat threshold of an event to own years: the mean of the sums up to the days noted, included.

    `records` and `noted` are by season. Several dates in a season, one a tree, count as one season:
    their sums are averaged, and the error is taken from their mean day.
    The errors are those of a forecast: each season is foretold with the threshold of the others only.
    With fewer than `FEWEST_YEARS` seasons to use or to foretell nothing is fitted.
    """
    seasons, left_out = _usable(count, records, noted)
    if len(seasons) < FEWEST_YEARS:
        return NotFitted(_too_few(len(seasons), FEWEST_YEARS, left_out))
    errors = {one.season: _error_without(seasons, one) for one in seasons}
    return _fit(count, seasons, errors, left_out)


def choose_count(candidates: Sequence[HeatCount], records: Records, noted: NotedDates) -> HeatFit | NotFitted:
    """Choose among ways of counting by how well they foretell own years, and fit the chosen one's threshold.

    Chosen is the smallest leave-one-out error; of equals, the first. A candidate that can use fewer of the
    seasons than another is set aside, and one that leaves more of them unforetold comes behind.
    The errors are honest about the choosing: for each season the choice too is made from the others only,
    so one season more than `FEWEST_YEARS` is needed.
    Raises ValueError without a candidate.
    """
    if not candidates:
        raise ValueError("there is nothing to choose from")
    used = {count: _usable(count, records, noted) for count in candidates}
    fullest, left_out = max(used.values(), key=lambda found: len(found[0]))
    kept = {one.season for one in fullest}
    if len(kept) <= FEWEST_YEARS:
        return NotFitted(_too_few(len(kept), FEWEST_YEARS + 1, left_out))
    pools = {count: seasons for count, (seasons, _) in used.items() if {one.season for one in seasons} == kept}
    errors: dict[WorkingYear, float | NotReached] = {}
    for season in (one.season for one in fullest):
        others = {count: [one for one in pool if one.season != season] for count, pool in pools.items()}
        count = min(others, key=lambda count: _rank(others[count]))
        target = next(one for one in pools[count] if one.season == season)
        errors[season] = _error_without(pools[count], target)
    count = min(pools, key=lambda count: _rank(pools[count]))
    return _fit(count, pools[count], errors, left_out)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Season:
    """One season as one way of counting sees it: heat by day from the start on, and the event noted.

    `event_day` is the mean day noted, counted from the start; `event_sum` the mean sum up to those days.
    """

    season: WorkingYear
    start: date
    heat: FloatArray
    event_day: float
    event_sum: float


def _season(
    count: HeatCount, season: WorkingYear, record: DailyTemperatures | None, dates: Sequence[date]
) -> _Season | str:
    """Return the season for fitting, or why it can't be used."""
    if not dates:
        return "no date was noted"
    if record is None:
        return "there are no temperatures"
    heat = count.daily_heat(record, season)
    if isinstance(heat, NotReached):
        return heat.reason
    start = count.start_in(season)
    end = start + timedelta(days=heat.size - 1)
    if min(dates) < start or max(dates) > end:
        return f"noted from {min(dates)} to {max(dates)}, counted from {start} to {end}"
    days = [(day - start).days for day in dates]
    event_sum = float(np.cumsum(heat)[days].mean())
    if event_sum <= 0:
        return f"no heat was counted from {start} to the date noted"
    return _Season(season=season, start=start, heat=heat, event_day=sum(days) / len(days), event_sum=event_sum)


def _usable(count: HeatCount, records: Records, noted: NotedDates) -> tuple[list[_Season], dict[WorkingYear, str]]:
    seasons: list[_Season] = []
    left_out: dict[WorkingYear, str] = {}
    for season in sorted(noted, key=lambda season: season.year):
        found = _season(count, season, records.get(season), noted[season])
        if isinstance(found, str):
            left_out[season] = found
        else:
            seasons.append(found)
    return seasons, left_out


def _error_without(seasons: Sequence[_Season], target: _Season) -> float | NotReached:
    """Return by how many days the other seasons' threshold misses the target: above 0, it comes late."""
    sums = [one.event_sum for one in seasons if one is not target]
    day = day_reached(target.heat, sum(sums) / len(sums))
    return day if isinstance(day, NotReached) else day - target.event_day


def _rank(seasons: Sequence[_Season]) -> tuple[int, float]:
    """Return what a way of counting is judged by: the seasons it can't foretell, then its error in days."""
    errors = [_error_without(seasons, one) for one in seasons]
    foretold = [error for error in errors if isinstance(error, float)]
    return len(errors) - len(foretold), _rmse(foretold) if foretold else math.inf


def _fit(
    count: HeatCount,
    seasons: Sequence[_Season],
    errors: Mapping[WorkingYear, float | NotReached],
    left_out: Mapping[WorkingYear, str],
) -> HeatFit | NotFitted:
    days = {one.season: one.season.day_number(one.start) + one.event_day for one in seasons}
    calendar_errors = {season: (sum(days.values()) - day) / (len(days) - 1) - day for season, day in days.items()}
    fit = HeatFit(
        model=HeatModel(count=count, threshold_c_days=sum(one.event_sum for one in seasons) / len(seasons)),
        errors_days=MappingProxyType(dict(errors)),
        calendar_errors_days=MappingProxyType(calendar_errors),
        left_out=MappingProxyType(dict(left_out)),
    )
    missed = len(fit.errors_days) - len(fit.foretold)
    if len(fit.foretold) < FEWEST_YEARS:
        return NotFitted(f"in {missed} of {len(errors)} seasons the sum of the others was not reached")
    return fit


def _too_few(found: int, needed: int, left_out: Mapping[WorkingYear, str]) -> str:
    reasons = "".join(f"; {season.year}: {reason}" for season, reason in left_out.items())
    return f"{found} usable seasons of the {needed} needed{reasons}"


def _rmse(errors: Iterable[float]) -> float:
    squares = [error**2 for error in errors]
    return math.sqrt(sum(squares) / len(squares))


# Published straight-line rules
# -----------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class LinearRule:
    """A published rule that is a straight line: so many days at a reference measure, more or less beside it.

    `gives` says what the days are and `measure` what goes in, with its unit; `source` is author and year.
    """

    gives: str
    measure: str
    days_at_reference: float
    reference: float
    days_per_unit: float
    source: str

    def days(self, measure: float) -> float:
        """Return the days that the rule gives for a measure. Raises ValueError if it is not a number."""
        if not math.isfinite(measure):
            raise ValueError(f"{self.measure}: {measure} is not a number")
        return self.days_at_reference + self.days_per_unit * (measure - self.reference)


RED_DELICIOUS_DAYS_FROM_BLOOM: Final = LinearRule(
    gives="days from full bloom (80 % open) to the first picking for storage, Red Delicious apple",
    measure="mean of the lowest temperatures of the first 15 days after bloom, °C",
    days_at_reference=143.0,
    reference=10.0,
    days_per_unit=-F_DAYS_PER_C_DAY,
    source="Beaudry et al. 1993 (Michigan), in Virginia Tech 2012 and 2013: 1 day for each °F under 50",
)
REDHAVEN_MICHIGAN: Final = LinearRule(
    gives="day of the year on which Redhaven peach is picked in Michigan, 1 January being 1",
    measure="heat above 10 °C (sine) from 1 January to 3 June, C-days",
    days_at_reference=234.9,
    reference=0.0,
    days_per_unit=-0.0386 * F_DAYS_PER_C_DAY,
    source="Michigan State University Extension 2011 and 2016, r² 0.752",
)
REDHAVEN_MICHIGAN_2006: Final = replace(
    REDHAVEN_MICHIGAN,
    days_at_reference=236.78,
    days_per_unit=-0.0428 * F_DAYS_PER_C_DAY,
    source="Michigan State University Extension 2006, the rule's earlier form",
)


# What may come in
# ----------------


def _series(values: ArrayLike, what: str) -> FloatArray:
    series = np.asarray(values, dtype=np.float64)
    if series.ndim != 1:
        raise ValueError(f"{what} have {series.ndim} dimensions, not one")
    missing = np.flatnonzero(~np.isfinite(series))
    if missing.size:
        raise ValueError(f"{what}: value {missing[0]} (from 0) is missing or not a number")
    return series


def _temperatures(temp_c: ArrayLike, what: str) -> FloatArray:
    temps = _series(temp_c, what)
    beyond = np.flatnonzero((temps < COLDEST_C) | (temps > WARMEST_C))
    if beyond.size:
        raise ValueError(
            f"{what}: value {beyond[0]} (from 0), {temps[beyond[0]]:g}, is not between "
            f"{COLDEST_C:g} and {WARMEST_C:g} °C; is it in °F?"
        )
    return temps


def _days(tmin_c: ArrayLike, tmax_c: ArrayLike) -> tuple[FloatArray, FloatArray]:
    low, high = _temperatures(tmin_c, "lowest temperatures"), _temperatures(tmax_c, "highest temperatures")
    if low.shape != high.shape:
        raise ValueError(f"{low.size} lowest temperatures do not go with {high.size} highest")
    crossed = np.flatnonzero(low > high)
    if crossed.size:
        day = crossed[0]
        raise ValueError(f"day {day} (from 0): the lowest temperature {low[day]:g} is above the highest {high[day]:g}")
    return low, high
