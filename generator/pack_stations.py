"""The weather stations that ship, packed from the open tables they come from.

`python generator/pack_stations.py US_NORMALS.csv WORLD_MEANS.csv content/reference/stations.bin` writes the file anew:
the usual temperatures brought to one period of years, and the error of an estimate between stations, found by leaving
each station out in turn. `tests/data/SOURCES.md` says what the tables are and where they come from.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable
from pathlib import Path

import numpy as np
from msgspec.structs import replace

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "generator"))

from firmripe.days import Hemisphere  # noqa: E402
from firmripe.holding.stations import MONTHS, Floats, StationError, Stations  # noqa: E402
from firmripe.reading.stations import packed, unpacked  # noqa: E402
from firmripe.season.interpolating import Around, between_stations, from_midwinter  # noqa: E402

PERIOD = "1991-2020"
SOURCES = ("noaa-normals", "dwd-climat")
US_TO_PERIOD_C = 0.1
"""What turns the normals of 1981-2010 of the United States into 1991-2020.

Canadian stations within 200 km of three of the United States, in 2003-2021, are 0.23 °C (standard error 0.16) warmer
than these say: 0.014 °C a year between the middles of the two periods, so 0.14 in ten years; rounded to what the tables
hold.
"""
WORLD_TO_PERIOD_C = -0.2
"""What turns the means of 2003-2021 elsewhere into 1991-2020.

Thirteen stations of the United Kingdom and 53 of Japan, of which both are known, were 0.2 °C warmer in the later years.
"""
MOST_POLAR, MOST_EQUATORIAL, HIGHEST_M = 62.0, 20.0, 2500.0
"""Between these latitudes, and not above this height, stations tell of the error where fruit trees grow."""


def stations_of(paths: Iterable[tuple[Path, float]]) -> Stations:
    """Return the stations of tables, each with what is added to its temperatures (°C), sorted by where they lie.

    The error is not known yet.
    """
    rows = []
    for path, shift in paths:
        with path.open(encoding="utf-8", newline="") as file:
            rows += [(row, shift) for row in csv.DictReader(file)]
    rows.sort(key=lambda item: (float(item[0]["latitude"]) // 2, float(item[0]["longitude"]), item[0]["station"]))
    columns = [f"{kind}_{month:02d}_c" for kind in ("tmin", "tmax") for month in range(1, MONTHS + 1)]
    return Stations(
        period=PERIOD,
        sources=SOURCES,
        names=tuple(_name(row) for row, _ in rows),
        latitude=np.array([float(row["latitude"]) for row, _ in rows]),
        longitude=np.array([float(row["longitude"]) for row, _ in rows]),
        height_m=np.array([float(row["elevation_m"]) for row, _ in rows]),
        usual_c=np.array([[float(row[column]) + shift for column in columns] for row, shift in rows]),
    )


def with_error(stations: Stations) -> Stations:
    """Return the stations with the error of an estimate between them."""
    errors, apart = [], []
    for at in _orchard_stations(stations):
        around = _left_out(stations, at)
        half = Hemisphere.NORTH if stations.latitude[at] > 0 else Hemisphere.SOUTH
        errors.append((around.usual_c - stations.usual_c[at])[from_midwinter(half)])
        apart.append(around.apart)
    missed, features = np.array(errors), np.array(apart)
    scale = _fitted_scale(missed, features)
    relative = missed / np.exp(features @ scale)[:, None]
    error = StationError(scale=scale, covariance=relative.T @ relative / len(relative))
    return replace(stations, error=error)


def _left_out(stations: Stations, at: int) -> Around:
    position = float(stations.latitude[at]), float(stations.longitude[at]), float(stations.height_m[at])
    return between_stations(stations.without(at), *position)


def _orchard_stations(stations: Stations) -> list[int]:
    away = np.abs(stations.latitude)
    fit = (away >= MOST_EQUATORIAL) & (away <= MOST_POLAR) & (stations.height_m <= HIGHEST_M)
    return [int(at) for at in np.flatnonzero(fit)]


def _fitted_scale(missed: Floats, features: Floats) -> Floats:
    """Return the coefficients of the logarithm of the error's size: a regression, its constant set without bias.

    The size is the root of the mean square over the twelve monthly means (°C).
    """
    of_means = (missed[:, :MONTHS] + missed[:, MONTHS:]) / 2
    size = np.sqrt((of_means**2).mean(axis=1))
    scale = np.linalg.lstsq(features, np.log(size + 0.05), rcond=None)[0]
    relative = size / np.exp(features @ scale)
    scale[0] += np.log(np.sqrt((relative**2).mean()))
    return np.round(scale, 3)


def _name(row: dict[str, str]) -> str:
    """Return a station's name as people write it, with its state or country."""
    name = row["name"] if row.get("country") else row["name"].title()
    return f"{' '.join(name.split())}, {row.get('country') or row['state']}"


def main() -> None:
    """Pack the tables that are named on the command line."""
    us, world, to = (Path(argument) for argument in sys.argv[1:])
    # rounded to what the file holds before the error is worked out, so that the error is that of the file
    stations = unpacked(packed(stations_of([(us, US_TO_PERIOD_C), (world, WORLD_TO_PERIOD_C)])))
    to.write_bytes(packed(with_error(stations)))


if __name__ == "__main__":
    main()
