"""Heat and chill: from temperatures to degree-days and chill portions, of many springs at once.

Arithmetic on arrays that are handed in; no file is read and no clock is asked.
Temperatures are °C and heat sums C-days; `degree_days_f` changes the unit of a sum.
"""

from __future__ import annotations

from typing import Final, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray: TypeAlias = NDArray[np.float64]

F_DAYS_PER_C_DAY: Final = 1.8
COLDEST_C: Final = -90.0
WARMEST_C: Final = 60.0
"""No weather station has read beyond these two (from memory); most summer days in °F given as °C are."""


def degree_days(tmin_c: ArrayLike, tmax_c: ArrayLike, *, base_c: float) -> FloatArray:
    """Return each day's heat above a base, in C-days, by the sine through its lowest and highest temperature (°C).

    Raises ValueError if the two differ in shape, a value is missing or beyond `COLDEST_C` to `WARMEST_C`, a lowest
    temperature is above the highest, or the base is not a number.
    Source: Baskerville and Emin 1969, Ecology 50:514-517.
    """
    low, high = _days(tmin_c, tmax_c)
    if not np.isfinite(base_c):
        raise ValueError(f"the base temperature {base_c} is not a number")
    mean, amplitude = (low + high) / 2, (high - low) / 2
    steady_day = np.where(mean > base_c, -1.0, 1.0)
    off = np.clip(base_c - mean, -amplitude, amplitude)
    sine = np.divide(off, amplitude, out=steady_day, where=amplitude > 0)
    height = amplitude * np.sqrt(1 - sine**2)
    heat: FloatArray = np.maximum(((mean - base_c) * (np.pi / 2 - np.arcsin(sine)) + height) / np.pi, 0.0)
    return heat


def degree_days_f(c_days: float) -> float:
    """Convert a heat sum from C-days to F-days: a factor of 1.8 and no offset."""
    return c_days * F_DAYS_PER_C_DAY


def hourly_from_daily(tmin_c: ArrayLike, tmax_c: ArrayLike) -> FloatArray:
    """Return 24 temperatures a day (°C), hours 0 to 23, along the last axis, on a cosine through lowest and highest.

    Each day stands alone, so there is a step at midnight. The day is warmest at 15 h and coldest at 3 h (our
    judgement). Raises ValueError as `degree_days` does.
    """
    low, high = _days(tmin_c, tmax_c)
    wave = np.cos(2 * np.pi * (np.arange(24) - 15) / 24)
    hours = ((low + high) / 2)[..., np.newaxis] + ((high - low) / 2)[..., np.newaxis] * wave
    flat: FloatArray = hours.reshape(*low.shape[:-1], -1)
    return flat


# Constants of the dynamic model as tabulated since 2009: K, but for the rates (1/h) and the slope (1/K).
_E0_K: Final = 4153.5
_E1_K: Final = 12888.8
_A0: Final = 139500.0
_A1: Final = 2.567e18
_SLOPE: Final = 1.6
_TRANSITION_K: Final = 277.0
_KELVIN_AT_0_C: Final = 273.0


def chill_portions(temp_c: ArrayLike) -> FloatArray:
    """Return the chill portions banked in each hour; the last axis is hours, the others are winters side by side.

    The first hour is where gathering starts, so nothing is gathered in it (as the model is commonly run).
    Warmth undoes what is still being gathered, never a banked portion, so add hours up only in their order.
    Raises ValueError if a temperature is missing or beyond the range.
    Source: the dynamic model of Fishman, Erez and Couvillon 1987.
    """
    kelvin = np.moveaxis(_temperatures(temp_c, "hourly temperatures"), -1, 0) + _KELVIN_AT_0_C
    sigmoid = np.exp(_SLOPE * _TRANSITION_K * (kelvin - _TRANSITION_K) / kelvin)
    banked_share = sigmoid / (1 + sigmoid)
    limit = _A0 / _A1 * np.exp((_E1_K - _E0_K) / kelvin)
    kept = np.exp(-_A1 * np.exp(-_E1_K / kelvin))
    portions = np.zeros_like(kelvin)
    gathered = np.zeros(kelvin.shape[1:])
    for hour in range(1, len(kelvin)):
        gathered = limit[hour] - (limit[hour] - gathered) * kept[hour]
        portions[hour] = np.where(gathered >= 1, gathered * banked_share[hour], 0.0)
        gathered = gathered - portions[hour]
    return np.moveaxis(portions, 0, -1)


def _temperatures(temp_c: ArrayLike, what: str) -> FloatArray:
    temps = np.asarray(temp_c, dtype=np.float64)
    if not temps.ndim:
        raise ValueError(f"{what} are one number, not a series")
    if not np.isfinite(temps).all():
        missing = np.flatnonzero(~np.isfinite(temps))[0]
        raise ValueError(f"{what}: value {missing} (from 0) is missing or not a number")
    beyond = np.flatnonzero((temps < COLDEST_C) | (temps > WARMEST_C))
    if beyond.size:
        raise ValueError(
            f"{what}: value {beyond[0]} (from 0), {temps.flat[beyond[0]]:g}, is not between "
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
        raise ValueError(
            f"day {day} (from 0): the lowest temperature {low.flat[day]:g} is above the highest {high.flat[day]:g}"
        )
    return low, high
