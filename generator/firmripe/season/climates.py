"""Climates of grounds: from the household's own weather, what it states, the stations around, or latitude and zone.

In order of trust: the household's own weather of three years and more, set against what else is known; the usual
temperatures it states; the stations around; latitude, height and zone alone, by a regression over all stations of that
half of the earth. All stand for one period of years, that of the stations.
"""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct

from firmripe.days import Hemisphere
from firmripe.holding.place import Ground, Place, UsualTemperatures
from firmripe.holding.stations import MONTHS, VALUES, Floats, Stations
from firmripe.holding.weather import Weather
from firmripe.season.climate import (
    AUTUMN,
    SPRING,
    SUMMER,
    WINTER,
    AllStations,
    Climate,
    NearStations,
    Stated,
    Warmth,
    WinterByZone,
)
from firmripe.season.interpolating import between_stations, error_covariance, from_midwinter
from firmripe.season.own_years import with_own_years
from firmripe.units import HardinessZone, celsius

FARTHEST_KM = 500.0
"""Where no station is nearer, those around say little, and all of the half are asked (our judgement)."""
FALL_C_PER_M = 0.005
"""What an unknown height is worth, °C a metre: the middle of the usual fall of lowest and highest."""

ZONE_LOW_C, ZONE_SLOPE, ZONE_SPREAD_C = 6.7, 0.74, 1.8
"""The usual low of midwinter's month (°C) is the first and the slope times the zone's middle (°C), give or take.

Worked out over 77 places of the shelf, of which 24 have their zone from the printed map and the rest from memory,
against what the stations around them say; a test works it out again.
"""
FAR_OFF = 3.0
"""So many standard deviations between a zone and its ground are believed as they are (our judgement)."""
OLD_MAP_COLDER_C = 1.4
"""The map of 2023 is 2.5 °F warmer over the states than that of 2012, for the same gardens (USDA, 2023)."""
FALL_C_PER_DEGREE = 0.7
"""What a degree of latitude is worth beyond the last stations, °C: spring's mean over those within (D)."""
STATED_SD_C, STATED_MONTH_SD_C = 0.6, 0.3
"""How far stated temperatures may be off the ground's own: all together, and each month by itself (our judgement:
they come from a station near by, or from another period of years)."""
_OLD_MAPS = frozenset({"1990", "2012"})
_ZONE_STEP_C = 5 / 1.8


class HalfZone(Struct, frozen=True, kw_only=True):
    """How much warmer the seasons are on grounds half a hardiness zone warmer, each with its standard error (°C).

    It is what holds on the mean of many grounds; how far one ground lies off is what the doubt of `by_zone` says.
    """

    winter: Warmth
    spring: Warmth
    summer: Warmth
    autumn: Warmth


class Climates:
    """The climates of grounds by the `stations` that ship. Each is worked out once."""

    def __init__(self, stations: Stations) -> None:
        self.stations = stations
        self._background = {half: _Background.of(stations, half) for half in Hemisphere} if len(stations) else {}
        self._known: dict[tuple[Ground, Hemisphere], Climate | None] = {}

    def of(self, ground: Ground, half: Hemisphere = Hemisphere.NORTH) -> Climate | None:
        """Return the usual warmth of a ground, or None where neither position nor zone tells of it.

        `half` counts where the latitude is not known.
        """
        if ground.latitude is not None:
            half = Hemisphere.SOUTH if ground.latitude < 0 else Hemisphere.NORTH
        key = (ground, half)
        if key not in self._known:
            self._known[key] = self._work_out(ground, half)
        return self._known[key]

    def of_place(self, place: Place, weather: Weather) -> Climate | None:
        """Return the usual warmth of the household's own ground by all that it tells, be it its weather alone."""
        climate = self.of(place.ground, place.hemisphere)
        if place.usual_temperatures is not None:
            climate = stated(place.usual_temperatures, place.hemisphere, self.stations.period)
        if climate is not None:
            return with_own_years(climate, weather)
        if not self._background:
            return None
        anywhere = self._background[place.hemisphere].at(place.ground, self.stations.period)
        found = with_own_years(anywhere, weather)
        return None if found is anywhere else found

    def by_zone(self, zone: HardinessZone, half: Hemisphere = Hemisphere.NORTH) -> Climate | None:
        """Return the usual warmth of grounds of which the zone alone is known; its error is that of the ground."""
        return self.of(Ground(zone=zone), half)

    def half_zone(self, half: Hemisphere = Hemisphere.NORTH) -> HalfZone | None:
        """Return what half a zone is worth in warmth over all stations of a half; None without stations."""
        return self._background[half].half_zone() if self._background else None

    def _work_out(self, ground: Ground, half: Hemisphere) -> Climate | None:
        if not self._background or (ground.latitude is None and ground.zone is None):
            return None
        climate = self._between(ground, half) or self._background[half].at(ground, self.stations.period)
        return climate if ground.zone is None else sharpened(climate, ground.zone, ground.zone_map)

    def _between(self, ground: Ground, half: Hemisphere) -> Climate | None:
        if ground.latitude is None or ground.longitude is None:
            return None
        around = between_stations(self.stations, ground.latitude, ground.longitude, ground.elevation_m)
        if around.nearest_km > FARTHEST_KM:
            return None
        covariance = error_covariance(self.stations, around, half)
        height_known = ground.elevation_m is not None
        if not height_known:
            covariance = covariance + (FALL_C_PER_M * around.spread_m) ** 2
        basis = NearStations(
            stations=around.stations,
            nearest=around.nearest,
            nearest_km=around.nearest_km,
            height_m=around.height_m,
            height_known=height_known,
        )
        return Climate(
            usual_c=around.usual_c,
            covariance=covariance,
            half=half,
            basis=(basis,),
            period=self.stations.period,
        )


def sharpened(climate: Climate, zone: HardinessZone, zone_map: str = "") -> Climate:
    """Return a climate with its winter's end told by the zone: the usual low of midwinter's month."""
    coldest_c = celsius((zone.lowest_f + zone.highest_f) / 2) + (OLD_MAP_COLDER_C if zone_map in _OLD_MAPS else 0.0)
    width = celsius(zone.highest_f) - celsius(zone.lowest_f) - _ZONE_STEP_C  # a whole zone says less than a half
    spread = math.hypot(ZONE_SPREAD_C, ZONE_SLOPE * width / math.sqrt(12))
    low = ZONE_LOW_C + ZONE_SLOPE * coldest_c
    coldest = from_midwinter(climate.half)[0]
    gap = abs(low - float(climate.usual_c[coldest]))
    # A zone far from what the ground can have is a slip of the pen: the further off, the less it says.
    spread = math.hypot(spread, max(0.0, gap - FAR_OFF * math.hypot(spread, float(climate.low_sd_c[coldest]))))
    terms = np.zeros((1, VALUES))
    terms[0, coldest] = 1.0
    by = WinterByZone(zone=zone, usual_low_c=low)
    return climate.updated(terms, np.array([low]), np.array([[spread**2]]), by)


def stated(temperatures: UsualTemperatures, half: Hemisphere, period: str = "") -> Climate:
    """Return the climate that a household states: it stands as it is, with the doubt of numbers read elsewhere."""
    usual = np.array([*temperatures.low_c, *temperatures.high_c])
    covariance = (
        np.full((VALUES, VALUES), STATED_SD_C**2 - STATED_MONTH_SD_C**2) + np.eye(VALUES) * STATED_MONTH_SD_C**2
    )
    return Climate(usual_c=usual, covariance=covariance, half=half, basis=(Stated(),), period=period)


_MOST_POLAR, _MOST_EQUATORIAL, _HIGHEST_M = 62.0, 15.0, 3000.0
_LEAST_SUMMER_C, _COLDEST_WINTER_C, _MILDEST_WINTER_C = 13.0, -32.0, 14.0
"""Which stations stand where fruit trees of the shelf grow: by latitude, height, the mean of the warmest month and the
usual low of midwinter's (our judgement, wide)."""


class _Background(Struct, frozen=True, kw_only=True, eq=False):
    """Stations of one half of the earth where fruit trees grow: latitude away from the equator, height (km), values.

    `block` tells which stations lie in one part of the earth, of 10 degrees of latitude and 20 of longitude: what is
    off at one of them is off at its neighbours too.
    """

    half: Hemisphere
    block: Floats
    away: Floats
    height_km: Floats
    usual_c: Floats

    @classmethod
    def of(cls, stations: Stations, half: Hemisphere) -> _Background:
        """Choose the stations of a half."""
        away = np.abs(stations.latitude)
        means = (stations.usual_c[:, :MONTHS] + stations.usual_c[:, MONTHS:]) / 2
        winter = stations.usual_c[:, from_midwinter(half)[0]]
        fit = (
            ((stations.latitude < 0) == (half is Hemisphere.SOUTH))
            & (away >= _MOST_EQUATORIAL)
            & (away <= _MOST_POLAR)
            & (stations.height_m <= _HIGHEST_M)
            & (means.max(axis=1) >= _LEAST_SUMMER_C)
            & (winter >= _COLDEST_WINTER_C)
            & (winter <= _MILDEST_WINTER_C)
        )
        return cls(
            half=half,
            block=(away[fit] // 10) * 100 + stations.longitude[fit] // 20,
            away=away[fit],
            height_km=stations.height_m[fit] / 1000,
            usual_c=stations.usual_c[fit],
        )

    def at(self, ground: Ground, period: str) -> Climate:
        """Return what latitude and height, as far as they are known, say by regression over all of these stations.

        Beyond the latitudes of nearly all of them it says what it says at their end, with more doubt for each degree.
        """
        terms, here = [np.ones(len(self.away))], [1.0]
        beyond = 0.0
        if ground.latitude is not None:
            away = float(np.clip(abs(ground.latitude), *np.quantile(self.away, (0.02, 0.98))))
            beyond = abs(ground.latitude) - away
            for power in (1, 2, 3):
                terms.append(((self.away - 40) / 10) ** power)
                here.append(((away - 40) / 10) ** power)
            if ground.elevation_m is not None:
                terms.append(self.height_km)
                here.append(ground.elevation_m / 1000)
        table = np.column_stack(terms)
        found = np.linalg.lstsq(table, self.usual_c, rcond=None)[0]
        rest = self.usual_c - table @ found
        basis = AllStations(
            stations=len(self.away),
            latitude=ground.latitude is not None,
            height=ground.latitude is not None and ground.elevation_m is not None,
        )
        return Climate(
            usual_c=np.array(here) @ found,
            covariance=rest.T @ rest / (len(rest) - len(here)) + (FALL_C_PER_DEGREE * beyond) ** 2,
            half=self.half,
            basis=(basis,),
            period=period,
        )

    def half_zone(self) -> HalfZone:
        """Return the slope of each season's mean on winter's low, for half a zone; a part of the earth is one draw."""
        order = from_midwinter(self.half)
        winter = self.usual_c[:, order[0]] - self.usual_c[:, order[0]].mean()
        means = (self.usual_c[:, :MONTHS] + self.usual_c[:, MONTHS:])[:, order[:MONTHS]] / 2
        squares = float(winter @ winter)
        told = squares / (squares + len(winter) * ZONE_SPREAD_C**2)  # a zone tells winter's low with an error
        low_c = ZONE_SLOPE * _ZONE_STEP_C * told
        found = []
        for months in (WINTER, SPRING, SUMMER, AUTUMN):
            season = means[:, list(months)].mean(axis=1)
            slope = float(winter @ (season - season.mean())) / squares
            rest = winter * (season - season.mean() - slope * winter)
            by_block = [float(rest[self.block == block].sum()) for block in np.unique(self.block)]
            error = math.sqrt(sum(part**2 for part in by_block)) / squares
            found.append(Warmth(mean_c=low_c * slope, sd_c=low_c * error))
        return HalfZone(winter=found[0], spring=found[1], summer=found[2], autumn=found[3])
