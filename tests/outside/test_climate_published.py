"""The usual warmth of grounds against weather stations that it was not given.

`us_monthly_normals_1981_2010_check.csv` holds 300 stations of NOAA's U.S. Climate Normals that do not ship; elsewhere a
station is left out and estimated from the others. What the errors may be was measured with a plain weighted regression
before this one was written (RMSE of the check stations' monthly means 0.83 °C, of their March-May means 0.74; March-May
of left-out stations in Germany 0.45, France 0.6, Italy 0.9, Japan 1.3).
"""

from __future__ import annotations

import csv
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from firmripe.days import Hemisphere
from firmripe.holding.place import Ground
from firmripe.holding.stations import MONTHS, Floats, Stations
from firmripe.problems import FaultyNotes, Problems
from firmripe.reading.folder import SHELF_NOTES, read_folder
from firmripe.reading.place import read_places, read_sources
from firmripe.reading.stations import FILE, packed, read_stations, unpacked
from firmripe.season import climates as rules
from firmripe.season.climate import SPRING, Climate
from firmripe.season.climates import Climates
from firmripe.season.interpolating import between_stations, error_covariance
from firmripe.shipped import shelf_folder
from firmripe.units import celsius

ROOT = Path(__file__).resolve().parent.parent.parent
DATA = ROOT / "tests" / "data"
US, WORLD = DATA / "us_monthly_normals_1981_2010.csv", DATA / "world_monthly_means_2003_2021.csv"
US_TO_PERIOD_C, WORLD_TO_PERIOD_C = 0.1, -0.2  # as the pages of sources say
EIGHTY = 1.2816  # standard deviations of a central 80 %
STEP = 4  # every fourth station of a large group is left out in turn


@pytest.fixture(scope="module")
def stations() -> Stations:
    """Return the stations that ship."""
    return read_stations(shelf_folder(), Problems())


def means(usual: Floats) -> Floats:
    """Return the twelve monthly means of 24 values."""
    middle: Floats = (usual[..., :MONTHS] + usual[..., MONTHS:]) / 2
    return middle


def rmse(errors: Floats) -> float:
    """Return the root of the mean square."""
    return float(np.sqrt((errors**2).mean()))


def table(path: Path) -> tuple[Floats, Floats]:
    """Return latitude, longitude and height of a table's stations, and their 24 values."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    columns = [f"{kind}_{month:02d}_c" for kind in ("tmin", "tmax") for month in range(1, 13)]
    return (
        np.array([[float(row[key]) for key in ("latitude", "longitude", "elevation_m")] for row in rows]),
        np.array([[float(row[column]) for column in columns] for row in rows]),
    )


def left_out(stations: Stations, at: int) -> Climate:
    """Return the climate at a station from the others."""
    here = float(stations.latitude[at]), float(stations.longitude[at]), float(stations.height_m[at])
    half = Hemisphere.SOUTH if here[0] < 0 else Hemisphere.NORTH
    others = stations.without(at)
    around = between_stations(others, *here)
    return Climate(
        usual_c=around.usual_c, covariance=error_covariance(others, around, half), half=half, basis=(), period=""
    )


def of_country(stations: Stations, country: str) -> list[int]:
    """Return the stations of a country with a neighbour in reach, islands far out at sea not counted."""
    named = [at for at, name in enumerate(stations.names) if name.endswith(f", {country}")]
    return [at for at in named if neighbour_km(stations, at) < rules.FARTHEST_KM]


def neighbour_km(stations: Stations, at: int) -> float:
    """Return how far off a station's nearest neighbour lies."""
    here = float(stations.latitude[at]), float(stations.longitude[at]), float(stations.height_m[at])
    return between_stations(stations.without(at), *here).nearest_km


def spring_errors(stations: Stations, chosen: list[int]) -> tuple[Floats, Floats]:
    """Return by how much spring's mean misses at left-out stations, and how much it said it might."""
    missed, said = [], []
    for at in chosen:
        climate = left_out(stations, at)
        spring = climate.over(SPRING)
        here = Climate(
            usual_c=stations.usual_c[at], covariance=climate.covariance, half=climate.half, basis=(), period=""
        )
        missed.append(spring.mean_c - here.spring_mean())
        said.append(spring.sd_c)
    return np.array(missed), np.array(said)


def test_the_check_stations_are_met_within_the_error_of_the_plain_regression(stations: Stations) -> None:
    """300 stations of the United States that do not ship: monthly means within 0.83 °C, spring within 0.745."""
    places, usual = table(DATA / "us_monthly_normals_1981_2010_check.csv")
    climates = Climates(stations)
    found = [climates.of(Ground(latitude=lat, longitude=lon, elevation_m=up)) for lat, lon, up in places.tolist()]
    errors = np.array([one.mean_c for one in found if one]) - means(usual + US_TO_PERIOD_C)
    inside = np.abs(errors) <= EIGHTY * np.array([one.sd_c for one in found if one])

    assert len(errors) == 300
    assert rmse(errors) <= 0.83
    assert rmse(errors[:, 2:5].mean(axis=1)) <= 0.745
    assert 0.75 <= inside.mean() <= 0.88


@pytest.mark.parametrize(
    ("country", "most"), [("Germany", 0.45), ("France", 0.6), ("Italy", 0.9), ("Japan", 1.3), ("Spain", 0.7)]
)
def test_left_out_stations_of_a_country(stations: Stations, country: str, most: float) -> None:
    """Spring's mean, each station from its neighbours."""
    chosen = of_country(stations, country)
    missed, _ = spring_errors(stations, chosen)

    assert len(missed) >= 30
    assert rmse(missed) <= most


@pytest.mark.parametrize("where", ["United States", "western United States", "elsewhere north", "south"])
def test_eighty_per_cent_of_left_out_stations_lie_within_their_eighty_per_cent(stations: Stations, where: str) -> None:
    """What is said of the error holds, also among mountains and by the sea."""
    away = np.abs(stations.latitude)
    us = np.array([len(name.rpartition(", ")[2]) == 2 for name in stations.names])
    orchards = (away > 20) & (away < 62) & (stations.height_m < 2500)
    group = {
        "United States": us,
        "western United States": us & (stations.longitude < -105),
        "elsewhere north": ~us & (stations.latitude > 0),
        "south": stations.latitude < 0,
    }[where]
    chosen = np.flatnonzero(group & orchards)
    missed, said = spring_errors(stations, chosen[:: STEP if len(chosen) > 300 else 1].tolist())

    assert len(missed) >= 100
    assert 0.75 <= (np.abs(missed) <= EIGHTY * said).mean() <= 0.88
    assert rmse(missed) == pytest.approx(float(np.sqrt((said**2).mean())), rel=0.2)


def test_latitude_and_zone_alone_miss_as_much_as_they_say(stations: Stations) -> None:
    """A part of the earth at a time is left out of the regression, and its stations' spring asked from the rest."""
    draw = np.random.default_rng(20270801)
    away, names = np.abs(stations.latitude), np.array(stations.names)
    part = stations.longitude // 20
    for known, most in (("latitude and height", 3.2), ("latitude, height and zone", 2.6), ("zone", 4.3)):
        missed, said = [], []
        for block in np.unique(part):
            rest = np.flatnonzero(part != block)
            others = Climates(
                Stations(
                    names=tuple(names[rest].tolist()),
                    latitude=stations.latitude[rest],
                    longitude=stations.longitude[rest],
                    height_m=stations.height_m[rest],
                    usual_c=stations.usual_c[rest],
                )
            )
            judged = (part == block) & (stations.latitude > 25) & (away < 55) & (stations.height_m < 2000)
            for at in np.flatnonzero(judged)[::5]:
                usual = stations.usual_c[at]
                coldest = (usual[0] - rules.ZONE_LOW_C + draw.normal(0, rules.ZONE_SPREAD_C)) / rules.ZONE_SLOPE
                zone = rules.HardinessZone(float(np.floor((coldest * 1.8 + 32 + 60) / 5)))
                if not 4 <= zone.half_zones <= 20:
                    continue
                ground = Ground(
                    zone=zone if "zone" in known else None,
                    latitude=float(stations.latitude[at]) if "latitude" in known else None,
                    elevation_m=float(stations.height_m[at]) if "latitude" in known else None,
                )
                climate = others.of(ground)
                assert climate is not None
                spring = climate.over(SPRING)
                missed.append(spring.mean_c - float(means(usual)[2:5].mean()))
                said.append(spring.sd_c)
        errors, spread = np.array(missed), np.array(said)

        assert len(errors) > 300
        assert rmse(errors) <= most, known
        assert 0.72 <= (np.abs(errors) <= EIGHTY * spread).mean() <= 0.9, known


def test_the_zone_says_as_much_of_winter_as_the_shelf_places_show(stations: Stations) -> None:
    """The usual low of January on the middle of the zone, over the places whose zone and position are known."""
    problems = Problems()
    shelf = read_folder(shelf_folder(), "reference/", SHELF_NOTES, problems)
    places = read_places(shelf.single["places"], read_sources(shelf.single["sources"], problems), problems)
    climates, coldest, low = Climates(stations), [], []
    for place in places.values():
        ground = place.ground
        if ground.zone is None or ground.latitude is None or ground.latitude < 0 or "border" in place.zone.note:
            continue
        around = climates.of(
            Ground(latitude=ground.latitude, longitude=ground.longitude, elevation_m=ground.elevation_m)
        )
        old = rules.OLD_MAP_COLDER_C if ground.zone_map != "2023" else 0.0
        coldest.append(celsius((ground.zone.lowest_f + ground.zone.highest_f) / 2) + old)
        low.append(float(around.low_c[0]))
    slope, level = np.polyfit(coldest, low, 1)
    rest = np.array(low) - (level + slope * np.array(coldest))

    assert len(low) >= 70
    assert slope == pytest.approx(rules.ZONE_SLOPE, abs=0.06)
    assert level + slope * -15 == pytest.approx(rules.ZONE_LOW_C + rules.ZONE_SLOPE * -15, abs=0.5)
    assert rest.std(ddof=2) == pytest.approx(rules.ZONE_SPREAD_C, abs=0.2)


def test_the_two_periods_differ_at_the_border_as_was_allowed_for() -> None:
    """Canadian stations of 2003-2021 near the United States are warmer than its normals of 1981-2010 say.

    Both are moved to 1991-2020, so what they are moved by must be the difference, within two standard errors.
    """
    places, usual = table(US)
    us = Stations(
        names=("",) * len(places),
        latitude=places[:, 0],
        longitude=places[:, 1],
        height_m=places[:, 2],
        usual_c=usual,
    )
    with WORLD.open(encoding="utf-8", newline="") as file:
        canadian = [row["country"] == "Canada" for row in csv.DictReader(file)]
    there, means_there = table(WORLD)
    warmer = []
    for (latitude, longitude, height), values in zip(
        there[canadian].tolist(), means_there[canadian].tolist(), strict=True
    ):
        east = (us.longitude - longitude) * np.cos(np.radians(latitude)) * 111.2
        apart = np.sort(np.hypot(east, (us.latitude - latitude) * 111.2))
        if apart[2] < 200:
            warmer.append(float(np.mean(values) - between_stations(us, latitude, longitude, height).usual_c.mean()))
    error = np.std(warmer, ddof=1) / np.sqrt(len(warmer))

    assert len(warmer) >= 12
    assert np.mean(warmer) == pytest.approx(0.23, abs=0.06)  # as the packing script says
    assert abs(np.mean(warmer) - (US_TO_PERIOD_C - WORLD_TO_PERIOD_C)) <= 2 * error


def test_the_stations_that_ship_are_those_of_the_open_tables(tmp_path: Path) -> None:
    """Packed anew from the tables they come out the same, and small enough to ship."""
    anew = tmp_path / FILE
    script = ROOT / "generator" / "pack_stations.py"
    subprocess.run([sys.executable, str(script), str(US), str(WORLD), str(anew)], check=True)  # noqa: S603 - our own
    shipped, made = (unpacked(path.read_bytes()) for path in (shelf_folder() / FILE, anew))

    assert (shelf_folder() / FILE).stat().st_size < 150_000
    assert (made.names, made.period, made.sources) == (shipped.names, shipped.period, shipped.sources)
    for column in ("latitude", "longitude", "height_m", "usual_c"):
        np.testing.assert_array_equal(getattr(made, column), getattr(shipped, column))
    np.testing.assert_allclose(made.error.scale, shipped.error.scale, atol=0.002)
    np.testing.assert_allclose(made.error.covariance, shipped.error.covariance, atol=0.01)


def test_what_is_packed_is_unpacked_to_a_tenth_of_a_degree(stations: Stations) -> None:
    """The file holds every station of the tables at its place, moved to the one period."""
    assert unpacked(packed(stations)).names == stations.names
    for path, shift in ((US, US_TO_PERIOD_C), (WORLD, WORLD_TO_PERIOD_C)):
        places, usual = table(path)
        for (latitude, longitude, height), values in zip(places[::50], usual[::50], strict=True):
            near = np.hypot(stations.latitude - latitude, stations.longitude - longitude)
            same = [at for at in np.argsort(near)[:3] if np.allclose(stations.usual_c[at], values + shift, atol=1e-6)]
            assert same
            assert stations.height_m[same[0]] == height


@pytest.mark.parametrize("damage", [b"", b"firmripe stations 2\n\n\n3\n\nx", b"firmripe stations 1\n\n\n3\n\nx"])
def test_a_damaged_file_is_a_problem_with_its_name(tmp_path: Path, damage: bytes) -> None:
    """Whoever's copy is broken is told to install again."""
    (tmp_path / FILE).write_bytes(damage)
    problems = Problems()

    assert len(read_stations(tmp_path, problems)) == 0
    with pytest.raises(FaultyNotes, match=r"(?s)stations\.bin.*install firmripe again"):
        problems.stop_if_any()
