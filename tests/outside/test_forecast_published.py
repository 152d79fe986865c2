"""Forecasts against open records and published rules: weather as it is downloaded, picking, and bloom."""

from __future__ import annotations

import csv
import math
import statistics
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Cultivar, Traits
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Tree
from firmripe.holding.weather import Weather
from firmripe.problems import Problems, Where
from firmripe.reading.folder import Sheet
from firmripe.reading.reader import read_holding
from firmripe.reading.weather import read_weather
from firmripe.season.forecast import Blooms, Forecast, ForecastBasis, NoForecast, bloom_forecasts, pick_forecasts
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

ROOT = Path(__file__).parents[2]
DATA = ROOT / "tests" / "data"
HERE = Where("notes")
PLACES = ("Seattle", "New York")


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def noaa(place: str, units: str, *, say_units: bool) -> str:
    """Return the record of a place as NOAA's daily summaries would hand it out in metric or standard units."""
    lines = ["STATION,DATE,PRCP,TMAX,TMAX_ATTRIBUTES,TMIN" + (",UNITS" if say_units else "")]
    for row in rows("weather_seattle_newyork_2012_2015.csv"):
        if row["location"] == place:
            temps = [float(row["temp_max"]), float(row["temp_min"])]
            if units == "standard":
                temps = [temp * 1.8 + 32 for temp in temps]
            tail = f",{units}" if say_units else ""
            lines.append(f"X1,{row['date']},{row['precipitation']},{temps[0]:.2f},W,{temps[1]:.2f}{tail}")
    return "\n".join([*lines, ""])


def read(text: str) -> Weather:
    """Read one table of weather; fails on any problem."""
    problems = Problems()
    weather = read_weather([Sheet(file="weather/noaa.csv", key="noaa", text=text)], problems)
    problems.stop_if_any()
    return weather


@cache
def weather_of(place: str) -> Weather:
    return read(noaa(place, "metric", say_units=True))


@cache
def shelf_cultivars() -> Mapping[str, Cultivar]:
    return read_holding(ROOT / "content" / "example", ROOT / "content" / "reference").cultivars


def on_one_tree(limb: Cultivar, records: Sequence[Record], weather: Weather, as_of: date) -> ForecastBasis:
    season = WorkingYear(year=as_of.year)
    tree = Tree(tag="1", limbs=(limb,), where=HERE)
    blooms = Blooms.of(tree, limb, [record for record in records if record.day <= as_of], season, weather)
    return ForecastBasis(limbs=[blooms], weather=weather, year=season, as_of=as_of)


def the_one(found: Sequence[Forecast | NoForecast]) -> Forecast:
    assert len(found) == 1
    assert isinstance(found[0], Forecast), found[0]
    return found[0]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("say_units", [True, False])
def test_a_download_is_the_same_weather_in_both_systems_of_units(place: str, say_units: bool) -> None:  # noqa: FBT001
    """Four years of a station read alike from °F and °C, named or not, day for day."""
    metric = read(noaa(place, "metric", say_units=say_units))
    standard = read(noaa(place, "standard", say_units=say_units))

    written = [row for row in rows("weather_seattle_newyork_2012_2015.csv") if row["location"] == place]
    assert metric.days == standard.days == tuple(date.fromisoformat(row["date"]) for row in written)
    assert metric.tmin_c == tuple(float(row["temp_min"]) for row in written)
    # Two decimals of °F leave half a hundredth of a degree.
    assert standard.tmin_c == pytest.approx(metric.tmin_c, abs=0.003)
    assert standard.tmax_c == pytest.approx(metric.tmax_c, abs=0.003)


# The Michigan line for Redhaven, 234.9 - 0.0386 x F-days (sine, 50 °F, 1 January to 3 June), from the sums
# worked out apart from this code.
@pytest.mark.parametrize(
    ("place", "year", "heat", "day_of_year"),
    [
        ("Seattle", 2012, 357.19, 221.1),
        ("Seattle", 2015, 592.25, 212.0),
        ("New York", 2012, 780.56, 204.8),
        ("New York", 2014, 571.58, 212.8),
    ],
)
def test_redhaven_is_foretold_by_the_shelfs_rule(place: str, year: int, heat: float, day_of_year: float) -> None:
    """From the file through the shelf's rule to the day: one decimal of a day, whole degree-days in the words."""
    season = WorkingYear(year=year)
    known = on_one_tree(shelf_cultivars()["redhaven"], [], weather_of(place), season.last)

    found = the_one(pick_forecasts(known))

    assert found.season_day + 1 == pytest.approx(day_of_year, abs=0.0501)
    assert f"{heat:.0f} degree-days above 50 °F" in words_of(found, IN_ENGLISH)
    assert found.scatter_d == 0


# Red Delicious, Virginia 2012 and 2013: 143 days from 80 % bloom, and a day for each °F of the mean low under 50.
# Both texts give a mean low of 8 °F under. For 2013 the text prints 19 September, its own arithmetic 21.
@pytest.mark.parametrize(
    ("bloom", "printed"), [(date(2012, 3, 29), date(2012, 8, 27)), (date(2013, 4, 23), date(2013, 9, 19))]
)
def test_red_delicious_is_foretold_within_two_days_of_the_printed_date(bloom: date, printed: date) -> None:
    """151 days from bloom; the printed dates differ from their own arithmetic by up to 2 days."""
    season = WorkingYear.of(bloom, WorkingYear(year=2012).hemisphere)
    nights = {season.first + timedelta(days=n): (42.0, 70.0) for n in range(200)}
    weather = Weather.of({day: ((low - 32) / 1.8, (high - 32) / 1.8) for day, (low, high) in nights.items()})
    record = Record(day=bloom, season=bloom.year, what=Happening.FULL_BLOOM, tree="1", where=HERE)
    known = on_one_tree(shelf_cultivars()["red-delicious"], [record], weather, season.last)

    found = the_one(pick_forecasts(known))

    assert found.season_day == pytest.approx(season.day_number(bloom) + 151)
    assert abs((found.day - printed).days) <= 2


# Highbush blueberry, Petersham, Massachusetts, 1990-2001: daily means, so days without a swing.


@cache
def blueberry_weather() -> Weather:
    """Return the record; each year's table runs from October to October and overlaps the next by no more than days."""
    found: dict[date, tuple[float, float]] = {}
    for row in rows("blueberry_harvard_forest_temperature.csv"):
        day = date(int(row["year"]), 1, 1) + timedelta(days=int(row["doy"]) - 1)
        found.setdefault(day, (float(row["temperature"]), float(row["temperature"])))
    return Weather.of(found)


@cache
def blueberry_flowers() -> tuple[Record, ...]:
    """Return each season's mean day of open flowers (phase 501) as one record of one bush."""
    days: defaultdict[int, list[int]] = defaultdict(list)
    for row in rows("blueberry_harvard_forest_obs.csv"):
        if row["phenophase"] == "501":
            days[int(row["year"])].append(int(row["doy"]))
    return tuple(
        Record(
            day=date(year, 1, 1) + timedelta(days=round(statistics.fmean(found)) - 1),
            season=year,
            what=Happening.FULL_BLOOM,
            tree="1",
            where=HERE,
        )
        for year, found in sorted(days.items())
    )


def blueberry_errors(days_before: int) -> tuple[list[float], list[float], list[float]]:
    """Return the forecast's errors, its spreads, and the mean date's errors; each year from the earlier years only."""
    limb = Cultivar(key="blueberry", name="Blueberry", fruit=None, own=Traits(), traits=Traits())
    told, spreads, by_calendar = [], [], []
    flowers = blueberry_flowers()
    for number, record in enumerate(flowers):
        if number < 3:
            continue
        season = WorkingYear(year=record.season)
        known = on_one_tree(limb, flowers, blueberry_weather(), record.day - timedelta(days=days_before))
        forecast = the_one(bloom_forecasts(known))
        happened = season.day_number(record.day)
        told.append(forecast.season_day - happened)
        spreads.append(forecast.spread_d)
        earlier = [WorkingYear(year=r.season).day_number(r.day) for r in flowers[:number]]
        by_calendar.append(statistics.fmean(earlier) - happened)
    return told, spreads, by_calendar


def rmse(errors: Sequence[float]) -> float:
    return math.sqrt(statistics.fmean(error**2 for error in errors))


@pytest.mark.parametrize("days_before", [0, 7, 14])
def test_warmth_foretells_blueberry_flowers_better_than_the_mean_date_by_a_third(days_before: int) -> None:
    """Nine years, each from the years before it alone: also a week and two weeks ahead."""
    told, spreads, by_calendar = blueberry_errors(days_before)

    assert len(told) == 9
    assert rmse(told) < rmse(by_calendar) * 2 / 3
    # The spread is honest: no error beyond three of it, and not so wide that it says nothing.
    assert all(abs(error) <= 3 * spread for error, spread in zip(told, spreads, strict=True))
    assert statistics.fmean(spreads) < 2 * rmse(by_calendar)
