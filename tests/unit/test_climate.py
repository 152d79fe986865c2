"""The usual warmth of a ground: who says so, in which order, and what each further thing makes of it."""

from __future__ import annotations

import math
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmripe.days import Hemisphere
from firmripe.holding.place import Ground, Place, UsualTemperatures
from firmripe.holding.stations import MONTHS, VALUES, Floats, Stations
from firmripe.holding.weather import Weather
from firmripe.problems import Problems
from firmripe.reading.stations import read_stations
from firmripe.season.climate import (
    AUTUMN,
    SPRING,
    SUMMER,
    WINTER,
    AllStations,
    Climate,
    NearStations,
    OwnYears,
    Stated,
    WinterByZone,
)
from firmripe.season.climates import Climates
from firmripe.season.own_years import WARMING_C, with_own_years
from firmripe.shipped import shelf_folder
from firmripe.units import HardinessZone, parse_zone

NORTH, SOUTH = Hemisphere.NORTH, Hemisphere.SOUTH
VALLEY = Ground(latitude=42.0, longitude=-74.2, elevation_m=200.0)
STATED = UsualTemperatures(
    low_c=(-9, -8, -4, 2, 8, 13, 15, 14, 10, 4, 0, -6), high_c=(0, 2, 7, 14, 20, 25, 27, 26, 22, 15, 9, 3)
)


@pytest.fixture(scope="module")
def stations() -> Stations:
    """Return the stations that ship."""
    return read_stations(shelf_folder(), Problems())


@pytest.fixture(scope="module")
def climates(stations: Stations) -> Climates:
    """Return the climates by them."""
    return Climates(stations)


def known(climate: Climate | None) -> Climate:
    """Return a climate that must be there."""
    assert climate is not None
    return climate


def turned(stations: Stations) -> Stations:
    """Return the stations on the other half of the earth, half a year later."""
    months = [(month + 6) % 12 for month in range(12)]
    return Stations(
        names=stations.names,
        period=stations.period,
        latitude=-stations.latitude,
        longitude=stations.longitude,
        height_m=stations.height_m,
        usual_c=stations.usual_c[:, [*months, *(12 + month for month in months)]],
        error=stations.error,
    )


def weather(climate: Climate, years: range, *, warmer: float = 0.0) -> Weather:
    """Return weather that is each day what a climate says of its month, a little warmer."""
    return Weather.of({day: temps for year in years for day, temps in days_of(climate, year, warmer)})


def days_of(climate: Climate, year: int, warmer: float) -> Iterator[tuple[date, tuple[float, float]]]:
    """Return the days of a year."""
    day = date(year, 1, 1)
    while day.year == year:
        month = day.month - 1
        yield day, (float(climate.low_c[month]) + warmer, float(climate.high_c[month]) + warmer)
        day += timedelta(days=1)


# Who says so


def test_a_position_asks_the_stations_around(climates: Climates) -> None:
    """The nearest is named, with its distance; the height moves the warmth."""
    low = known(climates.of(VALLEY))
    high = known(climates.of(Ground(latitude=42.0, longitude=-74.2, elevation_m=900.0)))

    near = low.basis[0]
    assert isinstance(near, NearStations)
    assert near.height_known
    assert 0 < near.nearest_km < 60
    assert near.nearest.endswith(", NY")
    assert low.period == "1991-2020"
    assert 2.5 < low.spring_mean() - high.spring_mean() < 5


def test_a_position_without_a_height_is_less_sure(climates: Climates) -> None:
    """It takes the height of the stations around, and the doubt grows by how far theirs differ."""
    with_height = known(climates.of(VALLEY))
    without = known(climates.of(Ground(latitude=42.0, longitude=-74.2)))

    near = without.basis[0]
    assert isinstance(near, NearStations)
    assert not near.height_known
    assert (without.sd_c > with_height.sd_c).all()


@pytest.mark.parametrize(
    ("ground", "latitude", "height", "zone"),
    [
        (Ground(latitude=42.0), True, False, False),
        (Ground(latitude=42.0, elevation_m=200.0), True, True, False),
        (Ground(latitude=42.0, elevation_m=200.0, zone=parse_zone("6b")), True, True, True),
        (Ground(zone=parse_zone("6b")), False, False, True),
        (Ground(zone=parse_zone("6b"), longitude=-74.0), False, False, True),
    ],
)
def test_without_a_longitude_all_stations_of_the_half_are_asked(
    climates: Climates, ground: Ground, *, latitude: bool, height: bool, zone: bool
) -> None:
    """The more is known the surer it is."""
    climate = known(climates.of(ground))

    first = climate.basis[0]
    assert isinstance(first, AllStations)
    assert (first.latitude, first.height) == (latitude, height)
    assert isinstance(climate.basis[-1], WinterByZone) == zone
    assert climate.over(SPRING).sd_c > known(climates.of(VALLEY)).over(SPRING).sd_c * 2


def test_nothing_to_go_by_is_no_climate(climates: Climates) -> None:
    """Neither a height alone nor a longitude tells of warmth, nor anything without stations."""
    assert climates.of(Ground(elevation_m=200.0)) is None
    assert climates.of(Ground(longitude=-74.0)) is None
    assert Climates(Stations()).of(VALLEY) is None
    assert Climates(Stations()).half_zone() is None


def test_far_out_at_sea_all_stations_are_asked(climates: Climates) -> None:
    """Stations a thousand kilometres off tell less than the latitude."""
    climate = known(climates.of(Ground(latitude=40.0, longitude=-45.0, elevation_m=0.0)))

    assert isinstance(climate.basis[0], AllStations)


def test_the_zone_tells_the_end_of_winter_more_than_summer(climates: Climates) -> None:
    """A colder zone makes a known position colder, most in midwinter, and never by a second shift of its own."""
    plain = known(climates.of(VALLEY))
    cold = known(climates.of(Ground(latitude=42.0, longitude=-74.2, elevation_m=200.0, zone=parse_zone("4b"))))
    mild = known(climates.of(Ground(latitude=42.0, longitude=-74.2, elevation_m=200.0, zone=parse_zone("8b"))))

    assert cold.low_c[0] < plain.low_c[0] < mild.low_c[0]
    for warm, of in ((mild, plain), (plain, cold)):
        winters = warm.over(WINTER).mean_c - of.over(WINTER).mean_c
        assert 0 < winters < 2.5
        assert abs(warm.summer_mean() - of.summer_mean()) < winters / 2
    assert (cold.sd_c <= plain.sd_c).all()


def test_a_zone_of_an_older_map_is_a_colder_one(climates: Climates) -> None:
    """The same garden stands half a zone warmer on the map of 2023."""
    old, new = (known(climates.of(Ground(zone=parse_zone("6b"), zone_map=year))) for year in ("2012", "2023"))

    assert 0.3 < old.spring_mean() - new.spring_mean() < 1.0


def test_a_whole_zone_is_less_sure_than_half_of_it(climates: Climates) -> None:
    """6 lies between 6a and 6b and says less than either."""
    whole, below, above = (known(climates.by_zone(parse_zone(text))) for text in ("6", "6a", "6b"))

    assert below.spring_mean() < whole.spring_mean() < above.spring_mean()
    assert whole.over(WINTER).sd_c > below.over(WINTER).sd_c


# Half zones


@pytest.mark.parametrize("half", [NORTH, SOUTH])
def test_half_a_zone_is_worth_more_in_winter_than_in_summer(climates: Climates, half: Hemisphere) -> None:
    """Over all stations a half zone is about a degree of spring; its error is small, that of one ground is not."""
    worth = climates.half_zone(half)
    assert worth is not None

    assert worth.winter.mean_c > worth.spring.mean_c > worth.summer.mean_c > 0
    assert worth.winter.mean_c > worth.autumn.mean_c > worth.summer.mean_c
    assert worth.spring.mean_c == pytest.approx(1.2, abs=0.25)
    assert 0.02 < worth.spring.sd_c < 0.25
    assert known(climates.by_zone(parse_zone("7a"), half)).over(SPRING).sd_c > 2.5


def test_the_step_between_two_zones_is_what_half_a_zone_is_worth(climates: Climates) -> None:
    """The table by half zones and the climate of a zone are one thing."""
    worth = climates.half_zone()
    assert worth is not None
    springs = [known(climates.by_zone(HardinessZone(float(half)))).spring_mean() for half in range(6, 19)]

    assert np.diff(springs) == pytest.approx(worth.spring.mean_c, rel=0.02)


# The south


@settings(max_examples=25, deadline=None)
@given(
    latitude=st.floats(28, 58),
    longitude=st.floats(-120, -75),
    height=st.none() | st.floats(0, 2000),
    zone=st.none() | st.integers(4, 18),
    located=st.booleans(),
)
def test_the_south_is_the_north_half_a_year_later(
    latitude: float, longitude: float, height: float | None, zone: int | None, *, located: bool
) -> None:
    """The same stations mirrored at the equator give each ground the same climate, six months on."""
    here = read_stations(shelf_folder(), Problems())
    there = turned(here)
    told = {
        "longitude": longitude if located else None,
        "elevation_m": height,
        "zone": HardinessZone(float(zone)) if zone else None,
    }
    north = known(Climates(here).of(Ground(latitude=latitude, **told)))
    south = known(Climates(there).of(Ground(latitude=-latitude, **told), NORTH))

    assert south.half is SOUTH
    half_a_year_on = [*range(6, 12), *range(6)]
    np.testing.assert_allclose(south.mean_c[half_a_year_on], north.mean_c, atol=1e-9)
    np.testing.assert_allclose(south.sd_c[half_a_year_on], north.sd_c, atol=1e-9)
    for months in (WINTER, SPRING, SUMMER, AUTUMN):
        assert south.over(months).mean_c == pytest.approx(north.over(months).mean_c)
        assert south.over(months).sd_c == pytest.approx(north.over(months).sd_c)


def test_spring_of_the_south_lies_in_september(climates: Climates) -> None:
    """Months are counted from midwinter's."""
    climate = known(climates.of(Ground(latitude=-37.8, longitude=145.0, elevation_m=30.0)))

    assert climate.spring_mean() == pytest.approx(climate.mean_c[8:11].mean())
    assert climate.summer_mean() == pytest.approx(climate.mean_c[[11, 0, 1]].mean())
    assert climate.summer_mean() > climate.spring_mean() > climate.over(WINTER).mean_c


def test_across_the_date_line_stations_are_neighbours(climates: Climates, stations: Stations) -> None:
    """A degree beyond 180 is one degree off, not 359."""
    west = known(climates.of(Ground(latitude=-17.0, longitude=179.9, elevation_m=10.0)))
    east = known(climates.of(Ground(latitude=-17.0, longitude=-179.9, elevation_m=10.0)))

    assert np.abs(stations.longitude).max() > 177
    np.testing.assert_allclose(west.usual_c, east.usual_c, atol=0.3)


# The household's own word and weather


def test_stated_temperatures_stand_before_stations(climates: Climates) -> None:
    """Nobody argues with what the household states; the zone does not move it either."""
    place = Place(name="Home", ground=Ground(latitude=42.0, zone=parse_zone("8b")), usual_temperatures=STATED)
    climate = known(climates.of_place(place, Weather()))

    assert tuple(climate.low_c) == STATED.low_c
    assert tuple(climate.high_c) == STATED.high_c
    assert climate.basis == (Stated(),)
    assert 0.4 < climate.over(SPRING).sd_c < 0.8


def test_stated_temperatures_need_no_stations() -> None:
    """They are known by themselves."""
    place = Place(name="Home", ground=Ground(), usual_temperatures=STATED)

    assert known(Climates(Stations()).of_place(place, Weather())).spring_mean() == pytest.approx(
        (STATED.low_c[2] + STATED.low_c[3] + STATED.low_c[4] + sum(STATED.high_c[2:5])) / 6
    )


@pytest.mark.parametrize(("years", "counts"), [(range(2024, 2026), False), (range(2024, 2027), True)])
def test_own_weather_counts_from_three_full_years(climates: Climates, years: range, *, counts: bool) -> None:
    """Two summers are no climate."""
    plain = known(climates.of(VALLEY))
    found = with_own_years(plain, weather(plain, years, warmer=2.0))

    assert (found is not plain) == counts
    if counts:
        assert found.basis[-1] == OwnYears(years=3, first=2024, last=2026)
        assert (found.sd_c < plain.sd_c).all()


@pytest.mark.parametrize("half", list(Hemisphere))
def test_own_weather_tells_of_a_ground_of_which_nothing_else_is_told(climates: Climates, half: Hemisphere) -> None:
    """Neither position nor zone, and its warmth is known within a degree all the same; two years are too few."""
    there = VALLEY if half is Hemisphere.NORTH else Ground(latitude=-42.0, longitude=147.0, elevation_m=50.0)
    truth = known(climates.of(there))
    place = Place(name="Home", ground=Ground(), hemisphere=half)
    found = known(climates.of_place(place, weather(truth, range(2021, 2027))))

    assert found.basis[-1] == OwnYears(years=6, first=2021, last=2026)
    assert abs(found.spring_mean() - truth.spring_mean()) < 1.0
    assert found.over(SPRING).sd_c < 1.0
    assert climates.of_place(place, weather(truth, range(2025, 2027))) is None


def test_years_with_a_month_missing_do_not_count(climates: Climates) -> None:
    """Three full years means three of every month."""
    plain = known(climates.of(VALLEY))
    full = weather(plain, range(2024, 2027))
    days = {
        day: (low, high)
        for day, low, high in zip(full.days, full.tmin_c, full.tmax_c, strict=True)
        if (day.year, day.month) != (2025, 7)
    }

    assert with_own_years(plain, Weather.of(days)) is plain


@settings(max_examples=20, deadline=None)
@given(warmer=st.floats(-5, 5), count=st.integers(3, 12))
def test_own_years_move_a_climate_toward_them_and_never_past(warmer: float, count: int) -> None:
    """More years move it further; the course of the year stays that of the stations."""
    plain = known(Climates(read_stations(shelf_folder(), Problems())).of(VALLEY))
    years = range(2027 - count, 2027)
    later = (years[0] + years[-1]) / 2 - 2005.5
    found = with_own_years(plain, weather(plain, years, warmer=warmer + WARMING_C * later))
    more = with_own_years(plain, weather(plain, range(2027 - 2 * count, 2027), warmer=warmer))
    moved = found.mean_c - plain.mean_c

    assert (np.abs(moved) <= abs(warmer) + 1e-9).all()
    assert (moved * warmer >= -1e-9).all()
    assert moved.std() <= 0.25 * abs(warmer) + 1e-9
    assert more.over(SPRING).sd_c < found.over(SPRING).sd_c < plain.over(SPRING).sd_c


def test_own_years_on_a_climate_known_from_the_zone_alone_take_over(climates: Climates) -> None:
    """What is little known is moved nearly all the way, what stations tell less."""
    wide, narrow = known(climates.by_zone(parse_zone("6b"))), known(climates.of(VALLEY))
    own = weather(narrow, range(2020, 2027), warmer=2.0)
    after = with_own_years(wide, own).spring_mean(), with_own_years(narrow, own).spring_mean()

    # about 0.35 of the two degrees is the warming since the middle of the period
    assert after[0] == pytest.approx(narrow.spring_mean() + 1.6, abs=0.4)
    assert narrow.spring_mean() < after[1] < after[0]


# What must hold of every climate


@settings(max_examples=60, deadline=None)
@given(
    latitude=st.floats(-89, 89),
    longitude=st.none() | st.floats(-180, 180),
    height=st.none() | st.floats(-400, 5900),
    zone=st.none() | st.floats(0, 25.5),
)
def test_every_ground_on_earth_has_a_sound_climate(
    latitude: float, longitude: float | None, height: float | None, zone: float | None
) -> None:
    """Finite, with a doubt that is a covariance, and lowest not above highest by more than the doubt."""
    climates = Climates(read_stations(shelf_folder(), Problems()))
    told = HardinessZone(math.floor(zone * 2) / 2) if zone is not None else None
    climate = known(climates.of(Ground(latitude=latitude, longitude=longitude, elevation_m=height, zone=told)))
    values: Floats = np.linalg.eigvalsh(climate.covariance)

    assert np.isfinite(climate.usual_c).all()
    assert climate.covariance.shape == (VALUES, VALUES)
    assert values.min() > -1e-9
    assert (climate.sd_c > 0.1).all()
    high_sd_c = np.sqrt(np.diag(climate.covariance)[MONTHS:])
    assert (climate.low_c <= climate.high_c + 3 * (climate.low_sd_c + high_sd_c)).all()


def test_a_look_up_is_quick(stations: Stations) -> None:
    """Reading takes some milliseconds and a look-up less than one; ten times that fails."""
    begun = time.perf_counter()
    climates = Climates(read_stations(shelf_folder(), Problems()))
    read = time.perf_counter() - begun
    begun = time.perf_counter()
    for step in range(50):
        climates.of(Ground(latitude=40 + step / 10, longitude=-80.0, elevation_m=100.0, zone=parse_zone("6b")))
    each = (time.perf_counter() - begun) / 50

    assert len(stations) > 3000
    assert read < 0.1
    assert each < 0.01


def test_the_stations_bring_no_heavy_package() -> None:
    """Reading them needs numpy and the standard library alone."""
    code = (
        "import sys; import firmripe.season.climates, firmripe.reading.stations; "
        "print(sorted({'scipy', 'pandas', 'jinja2', 'highspy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603 - our own

    assert done.stdout.strip() == "[]"
