"""The usual warmth of a ground: lowest and highest temperature of each month, how sure they are, and who says so.

A climate is 24 numbers with a Gaussian doubt, so each further thing that is known (the zone as winter's end, the
household's own years) is taken in by one rule, and shrinks the doubt.
"""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import Hemisphere
from firmripe.holding.stations import MONTHS, Floats
from firmripe.season.interpolating import from_midwinter
from firmripe.units import HardinessZone

WINTER, SPRING, SUMMER, AUTUMN = (11, 0, 1), (2, 3, 4), (5, 6, 7), (8, 9, 10)
EARLY_SPRING = SPRING[:2]
"""Months by their distance from midwinter's: spring is March to May in the north, September to November else; early
spring is the first two of these."""


class NearStations(Struct, frozen=True, kw_only=True):
    """The stations around a position were asked: how many, the nearest one and how far off it is (km).

    `height_m` is the ground's height, or that of the stations where it is not known (`height_known`).
    """

    stations: int
    nearest: str
    nearest_km: float
    height_m: float
    height_known: bool


class AllStations(Struct, frozen=True, kw_only=True):
    """A regression over all stations of a half of the earth was asked; which of these it was given."""

    stations: int
    latitude: bool
    height: bool


class WinterByZone(Struct, frozen=True, kw_only=True):
    """The hardiness zone told the cold end of winter: `usual_low_c` of midwinter's month (°C)."""

    zone: HardinessZone
    usual_low_c: float


class Stated(Struct, frozen=True, kw_only=True):
    """The household states the usual temperatures."""


class OwnYears(Struct, frozen=True, kw_only=True):
    """The household's own weather: how many years of each month at least, and the first and last year with any."""

    years: int
    first: int
    last: int


Basis = NearStations | AllStations | WinterByZone | Stated | OwnYears


class Warmth(Struct, frozen=True, kw_only=True):
    """A temperature and its standard deviation, °C."""

    mean_c: float
    sd_c: float


class Climate(Struct, frozen=True, kw_only=True, eq=False):
    """Usual temperatures of a ground (°C), by calendar month from January on.

    `usual_c` are the usual lowest temperature of each month, then the usual highest (24 values), `covariance` is that
    of their error (24 x 24, °C²). `half` is the half of the earth, `basis` who says so, the first being what the
    others were set against. `period` is the years it stands for.
    """

    usual_c: Floats
    covariance: Floats
    half: Hemisphere
    basis: tuple[Basis, ...]
    period: str = ""

    @property
    def low_c(self) -> Floats:
        """Usual lowest temperature of each month (12 values)."""
        return self.usual_c[:MONTHS]

    @property
    def high_c(self) -> Floats:
        """Usual highest temperature of each month (12 values)."""
        return self.usual_c[MONTHS:]

    @property
    def mean_c(self) -> Floats:
        """Usual mean temperature of each month (12 values): the middle of lowest and highest."""
        middle: Floats = (self.low_c + self.high_c) / 2
        return middle

    @property
    def sd_c(self) -> Floats:
        """Standard deviation of each month's mean (12 values)."""
        return np.sqrt(np.diag(self.mean_covariance))

    @property
    def low_sd_c(self) -> Floats:
        """Standard deviation of each month's usual lowest temperature (12 values)."""
        return np.sqrt(np.diag(self.covariance)[:MONTHS])

    @property
    def mean_covariance(self) -> Floats:
        """Covariance of the error of the twelve means (12 x 12, °C²): neighbouring months err together."""
        return _TO_MEANS @ self.covariance @ _TO_MEANS.T

    def over(self, months: tuple[int, ...]) -> Warmth:
        """Return the mean over months that are counted from midwinter's, which is 0, as in SPRING."""
        chosen = np.zeros(MONTHS)
        chosen[[from_midwinter(self.half)[month % MONTHS] for month in months]] = 1 / len(months)
        variance = float(chosen @ self.mean_covariance @ chosen)
        return Warmth(mean_c=float(chosen @ self.mean_c), sd_c=math.sqrt(variance))

    def early_spring_mean(self) -> float:
        """Return the usual mean of the first two months of spring (°C)."""
        return self.over(EARLY_SPRING).mean_c

    def spring_mean(self) -> float:
        """Return the usual mean of spring's three months (°C)."""
        return self.over(SPRING).mean_c

    def summer_mean(self) -> float:
        """Return the usual mean of summer's three months (°C)."""
        return self.over(SUMMER).mean_c

    def autumn_mean(self) -> float:
        """Return the usual mean of autumn's three months (°C)."""
        return self.over(AUTUMN).mean_c

    def updated(self, terms: Floats, values: Floats, noise: Floats, by: Basis) -> Climate:
        """Return the climate after something more is known: `terms` times the 24 values are `values` (°C).

        `terms` has a row for each value, `noise` is the covariance of their error (°C²).
        """
        shared = self.covariance @ terms.T
        gain = np.linalg.solve(terms @ shared + noise, shared.T).T
        covariance = self.covariance - gain @ shared.T
        return replace(
            self,
            usual_c=self.usual_c + gain @ (values - terms @ self.usual_c),
            covariance=(covariance + covariance.T) / 2,
            basis=(*self.basis, by),
        )


_TO_MEANS: Floats = np.hstack((np.eye(MONTHS), np.eye(MONTHS))) / 2
