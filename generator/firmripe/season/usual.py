"""The usual days of one ground, with the unknowns that their errors are made of."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import timedelta

import numpy as np
from msgspec import Struct

from firmripe.days import WorkingYear
from firmripe.holding.figures import Mark
from firmripe.holding.fruit import Cultivar, Event, Window
from firmripe.holding.holding import Holding
from firmripe.holding.place import Place
from firmripe.holding.stations import Floats, Stations
from firmripe.holding.weather import Weather
from firmripe.lately import Lately
from firmripe.season import spreads
from firmripe.season.carrying import Carrying, Prediction, Spot, spot_of
from firmripe.season.climate import AllStations, Climate, OwnYears
from firmripe.season.climates import Climates
from firmripe.season.printed import Printed, PrintedItem, table_of
from firmripe.units import HardinessZone

_LEAST_OWN_D = 0.01
"""What a day always has to itself (days), so that two that are told alike make no singular system."""


class UsualDay(Struct, frozen=True, kw_only=True):
    """What is to be expected of an item on the ground.

    `day` is a day of the table's year, `kin` the unknowns of its error (see `Prior`). `windows` are the rows of the
    windows printed of it or of its fruit, each with its share, `printed_day` their mean and `warmth_there_c` the mean
    of their early springs, springs, summers and autumns (None where there are none).
    """

    day: float
    kin: tuple[tuple[str, float], ...]
    windows: tuple[tuple[int, float], ...]
    printed_day: float | None
    warmth_there_c: tuple[float, float, float, float] | None
    by_warmth_d: float


class Usual:
    """Usual days of one ground; each is worked out once. The order in which they are asked for changes nothing."""

    def __init__(self, carrying: Carrying, place: Place, climates: Climates, weather: Weather) -> None:
        self._carrying = carrying
        self._place = place
        self._climates = climates
        self._half = place.hemisphere
        self._climate = climate = climates.of_place(place, weather)
        self._spot = None if climate is None else spot_of(climate, place.ground)
        self._no_winter = 0.0 if climate is None else without_winter(climate)
        self._known: dict[PrintedItem, UsualDay | None] = {}
        self._spots: dict[HardinessZone, Spot | None] = {}
        self._told: list[Prediction] = []
        self._factor: list[Floats] = []

    @classmethod
    def at(cls, place: Place, cultivars: Mapping[str, Cultivar], climates: Climates, weather: Weather) -> Usual:
        """Work out the usual days of a place; its own dates for its own ground are left out, being no one else's."""
        table = tuple(table_of(cultivars, lambda window: not is_of_this_ground(window, place)))
        carrying = _carried.made_of((climates.stations, table), lambda: Carrying(table, climates))
        return cls(carrying, place, climates, weather)

    def knowing(self, weather: Weather) -> Usual:
        """Return the usual days of the same ground by another record of its weather."""
        return Usual(self._carrying, self._place, self._climates, weather)

    @property
    def climate(self) -> Climate | None:
        """The ground's usual warmth, None where nothing tells of it."""
        return self._climate

    @property
    def is_rough(self) -> bool:
        """Whether the zone alone, or nothing, tells of the ground's warmth, or no winter sets its trees their year."""
        if self._climate is None or self.has_no_winter:
            return True
        basis = self._climate.basis
        by_zone = isinstance(basis[0], AllStations) and not basis[0].height
        return by_zone and not any(isinstance(by, OwnYears) for by in basis)

    @property
    def has_no_winter(self) -> bool:
        """Whether winter is too mild here to tell trees when to bloom."""
        return self._no_winter > 0

    def row(self, at: int) -> Printed:
        """Return what is printed in a row of the table."""
        return self._carrying.table[at]

    def of(self, item: PrintedItem) -> UsualDay | None:
        """Return what is to be expected of an item; None where nothing that is printed tells of it."""
        if item not in self._known:
            self._known[item] = self._work_out(item)
        return self._known[item]

    def between_zones(self, event: Event, there: HardinessZone, here: HardinessZone) -> float:
        """Return how many days later an event comes on ground of one zone than on that of another, on the mean of many.

        It is what the zones' usual warmth is worth over all stations of that half of the earth; 0 without stations.
        """
        spot_there, spot_here = self._spot_of(there), self._spot_of(here)
        if spot_there is None or spot_here is None:
            return 0.0
        slopes = self._carrying.slopes(PrintedItem(event=event, fruit="", cultivar=""))
        return float(slopes @ (spot_here.warmth_c - spot_there.warmth_c))

    def _spot_of(self, zone: HardinessZone) -> Spot | None:
        """Return a ground of a zone, of which nothing else is known; None without stations."""
        if zone not in self._spots:
            climate = self._climates.by_zone(zone, self._half)
            self._spots[zone] = None if climate is None else spot_of(climate)
        return self._spots[zone]

    def within_zone_d(self, event: Event, zone: HardinessZone) -> float:
        """Return how far an event on one ground of a zone lies from the mean of all (standard deviation, days)."""
        spot = spot_of(self._climates.by_zone(zone, self._half))
        slopes = self._carrying.slopes(PrintedItem(event=event, fruit="", cultivar=""))
        return math.sqrt(float(slopes @ spot.covariance @ slopes))

    def _work_out(self, item: PrintedItem) -> UsualDay | None:
        windows = tuple(self._carrying.windows_for(item))
        spots = [(self._carrying.spots[at], share) for at, share in windows]
        spot = self._spot or _between(spots)
        told = self._carrying.predict(item, spot)
        if told is None:
            return None
        kin = self._kin(told)
        if self._spot is None:
            kin = (*kin, ("where this is", spreads.PLACE_UNKNOWN_D))
        if self.has_no_winter:
            kin = (*kin, ("no winter here", spreads.NO_WINTER_D * self._no_winter))
        return UsualDay(
            day=told.day,
            kin=kin,
            windows=windows,
            printed_day=sum(self.row(at).day * share for at, share in windows) if windows else None,
            warmth_there_c=_mean_warmth(spots),
            by_warmth_d=sum(float(told.slopes @ (spot.warmth_c - s.warmth_c)) * share for s, share in spots),
        )

    def _kin(self, told: Prediction) -> tuple[tuple[str, float], ...]:
        """Part the error of one more day: what it shares with those told before, and what it has to itself.

        Numbered as they are asked for; together they make the covariance of all (a Cholesky factor, row by row).
        """
        row = np.zeros(len(self._told) + 1)
        *shared, rest = self._carrying.between_each(told, [*self._told, told]).tolist()
        for at, factor in enumerate(self._factor):
            # No part is larger than what is left of the whole: rounding, over a day that has next to nothing to
            # itself, would else make one out of nothing.
            bound = math.sqrt(max(rest, 0.0))
            row[at] = min(bound, max(-bound, (shared[at] - float(row[:at] @ factor[:at])) / factor[at]))
            rest -= row[at] ** 2
        row[-1] = math.sqrt(max(rest, _LEAST_OWN_D**2))
        self._told.append(told)
        self._factor.append(row)
        return tuple((f"usual day {at}", float(moved)) for at, moved in enumerate(row))


def _between(spots: list[tuple[Spot, float]]) -> Spot:
    """Return a ground as warm as those that a date is printed for, on the mean."""
    if not spots:
        return spot_of(None)
    return Spot(
        warmth_c=np.sum([spot.warmth_c * share for spot, share in spots], axis=0),
        usual_c=np.sum([spot.usual_c * share for spot, share in spots], axis=0),
        covariance=np.zeros_like(spots[0][0].covariance),
        at=np.zeros(3),
    )


def _mean_warmth(spots: list[tuple[Spot, float]]) -> tuple[float, float, float, float] | None:
    """Return the mean early spring, spring, summer and autumn (°C) of grounds, each by its share."""
    if not spots:
        return None
    early, spring, summer, autumn = np.sum([spot.usual_c * share for spot, share in spots], axis=0).tolist()
    return early, spring, summer, autumn


_COLDEST_C = (16.0, 19.0)
"""Mean of the coldest month (°C) from which on winter tells trees less, and from which on nothing. The mildest ground
that dates are printed for is Orlando's, at 14.4."""
_RANGE_C = (7.0, 4.0)
"""The same for how far the warmest month lies above the coldest (°C). The least on a ground that dates are printed for
is southern Tasmania's, at 8.6."""


def without_winter(climate: Climate) -> float:
    """Say how little winter there is to tell trees when to bloom, from 0 (as on all printed grounds) to 1 (none)."""
    months = climate.usual_c.reshape(2, 12).mean(axis=0)
    coldest, reach = float(months.min()), float(months.max() - months.min())
    parts = [(said - first) / (last - first) for said, (first, last) in ((coldest, _COLDEST_C), (reach, _RANGE_C))]
    return min(1.0, max(0.0, *parts))


def is_of_this_ground(window: Window, place: Place) -> bool:
    """Say whether a window is the household's own word for its own ground."""
    return window.cited.mark is Mark.OWN and window.place_name == place.name


_carried: Lately[tuple[Stations, tuple[Printed, ...]], Carrying] = Lately()
"""The last regression: nearly all households have the shelf's table and no other."""
_kept: list[tuple[tuple[object, ...], list[tuple[Weather, Usual]]]] = []


def usual_of(holding: Holding, year: WorkingYear) -> Usual:
    """Return the usual days of a holding's ground, by its weather as known when a season begins.

    That season's own weather says what it is like and not what is usual, and one that is played again must not know it.
    The last ones are kept for as long as it is asked of the same notes: every season that is played again wants them,
    and so does the site, of a plan that was put together anew.
    """
    made_of = (holding.place, holding.cultivars, holding.stations)
    for parts, kept in _kept:
        if all(one is other or one == other for one, other in zip(parts, made_of, strict=True)):
            usuals = kept
            break
    else:
        usuals = []
        _kept[:] = [(made_of, usuals)]
    weather = holding.weather.until(year.first - timedelta(days=1))
    for known, usual in usuals:
        if known == weather:
            return usual
    if usuals:
        usual = usuals[0][1].knowing(weather)
    else:
        usual = Usual.at(holding.place, holding.cultivars, Climates(holding.stations), weather)
    usuals.append((weather, usual))
    return usual
