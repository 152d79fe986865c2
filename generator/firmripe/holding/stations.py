"""Weather stations with their usual temperatures: what the warmth of a ground is worked out from."""

from __future__ import annotations

import numpy as np
from msgspec import Struct, field
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MONTHS = 12
VALUES = 2 * MONTHS
"""Values of a climate: the usual lowest temperature of each month from January on, then the usual highest."""


class StationError(Struct, frozen=True, kw_only=True, eq=False):
    """How far an estimate between stations misses, found by leaving each station out in turn.

    `scale` are the coefficients of the logarithm of the size: a constant, then one each for what
    `season.interpolating` measures of the stations around. `covariance` (24 x 24, °C²) is that of the errors over their
    size, with midwinter's month first: January in the north, July in the south.
    """

    scale: Floats = field(default_factory=lambda: np.zeros(4))
    covariance: Floats = field(default_factory=lambda: np.eye(VALUES))


class Stations(Struct, frozen=True, kw_only=True, eq=False):
    """Stations and their usual temperatures over one period of years (`period`, as 1991-2020), from `sources` by key.

    Latitude in degrees north, longitude in degrees east, height in metres above the sea; `usual_c` has a row of 24
    values (°C) for each. Without any station nothing is known of a ground's warmth.
    """

    period: str = ""
    sources: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    latitude: Floats = field(default_factory=lambda: np.zeros(0))
    longitude: Floats = field(default_factory=lambda: np.zeros(0))
    height_m: Floats = field(default_factory=lambda: np.zeros(0))
    usual_c: Floats = field(default_factory=lambda: np.zeros((0, VALUES)))
    error: StationError = field(default_factory=StationError)

    def __len__(self) -> int:
        return len(self.names)

    def without(self, left_out: int) -> Stations:
        """Return the stations without one of them, by its place in the list."""
        kept = np.delete(np.arange(len(self)), left_out)
        return Stations(
            period=self.period,
            sources=self.sources,
            names=tuple(self.names[at] for at in kept),
            latitude=self.latitude[kept],
            longitude=self.longitude[kept],
            height_m=self.height_m[kept],
            usual_c=self.usual_c[kept],
            error=self.error,
        )
