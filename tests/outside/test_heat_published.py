"""Heat and chill against values from outside: published ones, and ones worked out by other means.

The source stands right above each value. "Worked out" means from the published formula, apart from this code.
"""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from firmripe.days import Hemisphere
from firmripe.holding.weather import Weather
from firmripe.season.counting import FittedHeatSum, FittedHeatSums, HeatSum, NotedSpring, fit, fit_ways, foretell
from firmripe.season.heat import FloatArray, chill_portions, degree_days, degree_days_f, hourly_from_daily
from firmripe.season.springs import DAYS, Springs, springs_of
from firmripe.units import celsius

DATA = Path(__file__).parents[1] / "data"
ROUNDING = 0.5001  # of the last printed decimal: half a unit, and a little for binary fractions


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def station(place: str) -> dict[date, tuple[float, float]]:
    """Return the whole daily record of Seattle or New York, 2012 to 2015: lowest and highest."""
    days = [row for row in rows("weather_seattle_newyork_2012_2015.csv") if row["location"] == place]
    return {date.fromisoformat(row["date"]): (float(row["temp_min"]), float(row["temp_max"])) for row in days}


def between(record: dict[date, tuple[float, float]], first: date, last: date) -> tuple[FloatArray, FloatArray]:
    low, high = np.array([temps for day, temps in record.items() if first <= day <= last]).T
    return low, high


def reached(springs: Springs, way: HeatSum, c_days: float, year: int) -> int:
    """Return the season day on whose evening a way has counted so much heat."""
    one = FittedHeatSums(ways=(FittedHeatSum(way, c_days, 1.0),), errors_d=(), error_d=1.0)
    found, _ = foretell(springs, one, year - springs.first_year, DAYS, [springs.blank])
    return math.ceil(found[0] - 0.5)


# Single days

CHECK_VALUES = [
    pytest.param(row, id="-".join([*list(row.values())[:4], f"{number}"]))
    for number, row in enumerate(rows("degree_day_check_values.csv"))
    if row["sine"]
]


@pytest.mark.parametrize("row", CHECK_VALUES)
def test_single_days_match_the_table_of_check_values(row: dict[str, str]) -> None:
    """Each row of the table, in °C or °F, comes out by the sine."""
    in_f = row["unit"] == "F"
    tmin, tmax, base = (celsius(float(row[key])) if in_f else float(row[key]) for key in ("tmin", "tmax", "base"))

    heat = degree_days([tmin], [tmax], base_c=base)[0]

    # tests/data/degree_day_check_values.csv: worked out, the sine checked by numerical integration; four decimals
    # are printed.
    assert (degree_days_f(heat) if in_f else heat) == pytest.approx(float(row["sine"]), abs=ROUNDING * 1e-4)


def test_the_table_of_check_values_is_whole() -> None:
    """All 25 rows have a sine."""
    assert len(CHECK_VALUES) == 25


@pytest.mark.parametrize(
    ("tmax_f", "tmin_f", "base_f", "f_days"),
    [
        # Iowa State University, Agronomy 541, lesson 2b: 70 and 50 °F on 50 °F give 10.
        (70, 50, 50, 10),
        # A growers' supplier's note on growing degree-days: 83 and 61 °F on 50 °F give 22.
        (83, 61, 50, 22),
        # University of California IPM, A simple way to calculate degree-days: a mean of 64 °F on 53 °F gives
        # 11.
        (64, 64, 53, 11),
    ],
)
def test_days_that_stay_above_the_base_match_printed_averages(
    tmax_f: float, tmin_f: float, base_f: float, f_days: float
) -> None:
    """Where the whole day is at the base or above, the sine has the printed average's °F examples, which are exact."""
    heat = degree_days([celsius(tmin_f)], [celsius(tmax_f)], base_c=celsius(base_f))

    assert degree_days_f(heat[0]) == pytest.approx(f_days, abs=1e-9)


@pytest.mark.parametrize(
    ("base_c", "c_days"),
    [
        # University of Wisconsin, SAGE, note on growing degree-days: 21 and 15 °C on 10 °C give 8.
        (10, 8),
        # The same note: on 5 °C they give 13.
        (5, 13),
    ],
)
def test_days_that_stay_above_the_base_match_printed_averages_in_celsius(base_c: float, c_days: float) -> None:
    """The same for the printed °C examples, which are exact."""
    assert degree_days([15], [21], base_c=base_c)[0] == pytest.approx(c_days, abs=1e-9)


def test_the_sine_matches_another_implementation() -> None:
    """A day of 35 to 60 °F on 50 °F has 2.80872 F-days by Baskerville and Emin."""
    heat = degree_days([celsius(35)], [celsius(60)], base_c=celsius(50))

    # Printed by the Python library gddPy 1.0.3 (Baskerville-Emin, minimum 35, maximum 60, base 50); five
    # decimals.
    assert degree_days_f(heat[0]) == pytest.approx(2.80872, abs=ROUNDING * 1e-5)


# Whole seasons: NOAA daily temperatures of Seattle and New York (tests/data). Sums are worked out, two
# decimals.


@pytest.mark.parametrize(
    ("place", "year", "days", "sine"),
    [
        # F-days above 50 °F, 1 January to 3 June
        ("Seattle", 2012, 155, 357.19),
        ("Seattle", 2015, 154, 592.25),
        ("New York", 2012, 155, 780.56),
        ("New York", 2014, 154, 571.58),
    ],
)
def test_spring_sums_match_worked_out_ones(place: str, year: int, days: int, sine: float) -> None:
    """From 1 January to 3 June, leap years too, by the days themselves and by the rows of the springs."""
    first, last = date(year, 1, 1), date(year, 6, 3)
    tmin, tmax = between(station(place), first, last)
    springs = springs_of(Weather.of(station(place)), Hemisphere.NORTH)
    row, begins = year - springs.first_year, DAYS - 366

    sums = springs.heat(10.0).before[row]

    assert tmin.size == days
    assert degree_days_f(degree_days(tmin, tmax, base_c=10).sum()) == pytest.approx(sine, abs=ROUNDING * 1e-2)
    assert degree_days_f(sums[begins + days] - sums[begins]) == pytest.approx(sine, abs=ROUNDING * 1e-2)


@pytest.mark.parametrize(
    ("place", "sine"),
    [
        # C-days above 10 °C in the whole of 2014.
        ("Seattle", 1559.74),
        ("New York", 2045.15),
    ],
)
def test_sums_of_a_whole_year_match_worked_out_ones(place: str, sine: float) -> None:
    """The whole of 2014 gives the worked-out sums in °C."""
    tmin, tmax = between(station(place), date(2014, 1, 1), date(2014, 12, 31))

    assert degree_days(tmin, tmax, base_c=10).sum() == pytest.approx(sine, abs=ROUNDING * 1e-2)


@pytest.mark.parametrize(
    ("place", "day"),
    [
        # Worked out: the first day on which the sine sum above 43 °F from 1 January is at 500 F-days.
        ("Seattle", date(2012, 5, 8)),
        ("Seattle", date(2013, 4, 27)),
        ("Seattle", date(2015, 3, 28)),
        ("New York", date(2012, 4, 17)),
        ("New York", date(2013, 5, 11)),
        ("New York", date(2015, 5, 9)),
    ],
)
def test_a_heat_sum_is_reached_on_the_worked_out_day(place: str, day: date) -> None:
    """A way of counting over a record of four years starts anew each season and comes to its threshold on the day."""
    springs = springs_of(Weather.of(station(place)), Hemisphere.NORTH)

    found = reached(springs, HeatSum(celsius(43), start=0), 500 / 1.8, day.year)

    assert date(day.year, 1, 1) + timedelta(days=found) == day


@pytest.mark.parametrize(
    ("place", "gdh"),
    [
        # Worked out for the 30 days from 10 April 2014, hour h being mean + amplitude x cos(2 pi (h - 15) /
        # 24): growing degree hours (Anderson, Richardson and Kesner 1986), which the test adds up itself.
        ("Seattle", 4693.6),
        ("New York", 5304.3),
    ],
)
def test_the_hours_of_thirty_days_have_the_worked_out_warmth(place: str, gdh: float) -> None:
    """Daily temperatures, made hourly, give a month's growing degree hours; one decimal."""
    tmin, tmax = between(station(place), date(2014, 4, 10), date(2014, 5, 9))

    hours = hourly_from_daily(tmin, tmax)

    up, down = (np.clip(hours, 4, 25) - 4) / 21, (np.clip(hours, 25, 36) - 25) / 11
    grown = np.where(hours <= 25, 10.5 * (1 - np.cos(np.pi * up)), 21 * (1 - np.sin(np.pi / 2 * down)))
    assert grown.sum() == pytest.approx(gdh, abs=ROUNDING * 0.1)


# Hours


@pytest.mark.parametrize(
    ("temp_c", "portions"),
    [
        # Fishman, Erez and Couvillon 1987: 1,000 hours at one temperature, worked out, and the same in R
        # implementations; three decimals.
        (2, 26.332),
        (4, 29.849),
        (6, 34.204),
        (8, 34.568),
        (10, 32.436),
        (12, 25.002),
    ],
)
def test_chill_portions_of_steady_cold_match_worked_out_ones(temp_c: float, portions: float) -> None:
    """A thousand hours at one temperature bank the portions of the dynamic model."""
    assert chill_portions(np.full(1000, temp_c)).sum() == pytest.approx(portions, abs=ROUNDING * 1e-3)


@pytest.mark.parametrize(
    ("warm_c", "portions"),
    [
        # Worked out: 30 days of 16 h at 6 °C and 8 h at 15 °C; three decimals.
        (15, 21.385),
        # The same with 8 h at 24 °C: each day's warmth undoes the night's chill.
        (24, 0),
    ],
)
def test_warm_afternoons_undo_chill(warm_c: float, portions: float) -> None:
    """Mild afternoons let portions be banked, hot ones none."""
    day = [6.0] * 16 + [warm_c] * 8

    assert chill_portions(np.tile(day, 30)).sum() == pytest.approx(portions, abs=ROUNDING * 1e-3)


def test_sixty_days_of_a_wave_match_worked_out_chill() -> None:
    """Sixty days of 0 to 12 °C give the dynamic model's own figure, also side by side with a colder winter."""
    hours = np.arange(60 * 24)
    temps = 6 + 6 * np.sin(2 * np.pi * (hours - 8) / 24)

    # Worked out for 6 + 6 sin(2 pi (h - 8) / 24); three decimals.
    assert chill_portions(temps).sum() == pytest.approx(44.084, abs=ROUNDING * 1e-3)
    assert chill_portions(np.stack([temps, temps - 4])).sum(axis=1)[0] == pytest.approx(44.084, abs=ROUNDING * 1e-3)


def test_the_best_chill_is_about_083_portions_a_day_at_6_to_8_degrees() -> None:
    """Steady cold of 6 to 8 °C banks the most, about 0.83 portions a day."""
    days = 100
    rates = {temp: chill_portions(np.full(days * 24, temp)).sum() / days for temp in range(15)}

    # APAL (Australia), pages on chill in pears: at best about 0.83 portions a day, best range 6 to 8 °C.
    # "About": the model gives 0.82 to 0.85 there.
    assert max(rates, key=rates.__getitem__) in range(6, 9)
    for temp in range(6, 9):
        assert rates[temp] == pytest.approx(0.83, abs=0.02)


def hourly_normals(months: set[int]) -> FloatArray:
    """Return Seattle's normal temperatures, °C, of the months: autumn first, as a winter runs."""
    found = [
        (month < 7, float(row["temperature"]))
        for row in rows("seattle_hourly_normals_1981_2010.csv")
        if (month := int(row["date"][5:7])) in months
    ]
    return np.array([temp for _, temp in sorted(found, key=lambda pair: pair[0])])


def test_a_normal_seattle_winter_has_the_worked_out_chill() -> None:
    """November to February of the hourly normals gives the dynamic model's own figure."""
    winter = hourly_normals({11, 12, 1, 2})

    # NOAA hourly normals 1981-2010, one hour missing; worked out, three decimals.
    assert winter.size == 2879
    assert chill_portions(winter).sum() == pytest.approx(94.704, abs=ROUNDING * 1e-3)


# Highbush blueberry, Petersham, Massachusetts, 1990-2001 (tests/data)

BLUEBERRY = HeatSum(2.0, start=31)  # 1 February


def blueberry_springs() -> Springs:
    """Return the daily means, as days without a swing. Day 1 is 1 January, 0 the day before."""
    read: dict[date, tuple[float, float]] = {}
    for row in rows("blueberry_harvard_forest_temperature.csv"):
        day = date(int(row["year"]), 1, 1) + timedelta(days=int(row["doy"]) - 1)
        read.setdefault(day, (float(row["temperature"]), float(row["temperature"])))
    return springs_of(Weather.of(read), Hemisphere.NORTH)


def blueberry_flowers(springs: Springs) -> tuple[NotedSpring, ...]:
    """Return the mean day of each year on which the plants' flowers were open (phase 501)."""
    noted: defaultdict[int, list[int]] = defaultdict(list)
    for row in rows("blueberry_harvard_forest_obs.csv"):
        if row["phenophase"] == "501":
            noted[int(row["year"])].append(int(row["doy"]) - 1)
    return tuple(NotedSpring(y - springs.first_year, round(np.mean(days)), 1.0) for y, days in sorted(noted.items()))


def rmse(errors: Sequence[float]) -> float:
    return math.sqrt(sum(error**2 for error in errors) / len(errors))


def test_heat_foretells_blueberry_flowers_far_better_than_the_mean_date() -> None:
    """Heat above 2 °C from 1 February is one day off where the other years' mean date is nearly six."""
    springs = blueberry_springs()
    noted = blueberry_flowers(springs)

    (threshold,), (errors,) = fit_ways(springs, [BLUEBERRY], noted)

    # Worked out apart from this code, with a plain mean of the sums at the plants' mean day, parts of a day kept:
    # leave-one-year-out error 1.04 days, mean threshold 322.5 C-days. Here the mean day is whole, and a spring counts
    # by how many days its miss in heat is, which differs by no more than a fifth of a day and 2 %.
    assert rmse(errors) == pytest.approx(1.04, abs=0.2)
    assert threshold == pytest.approx(322.5, rel=0.02)
    # The same for the mean date: 5.82 days; whole days make it 0.05 another.
    days = [one.day for one in noted]
    alone = [(sum(days) - day) / (len(days) - 1) - day for day in days]
    assert rmse(alone) == pytest.approx(5.82, abs=0.05)


def test_the_mean_of_the_ways_is_nearly_as_good_as_the_way_that_all_years_single_out() -> None:
    """Nobody told it which way fits: the mean of all of them errs by less than a quarter of the mean date."""
    springs = blueberry_springs()

    fitted = fit(springs, blueberry_flowers(springs))

    assert fitted is not None
    assert len(fitted.errors_d) == 12
    assert rmse(fitted.errors_d) < 5.82 / 4
    # Winters at Petersham are cold: chill is not counted.
    assert all(one.way.start is not None for one in fitted.ways)


def test_a_thermal_time_model_matches_another_implementation() -> None:
    """Heat above 0 °C from 1 January comes to 500 C-days on the days that another implementation gives."""
    springs = blueberry_springs()

    days = [reached(springs, HeatSum(0.0, start=0), 500.0, year) + 1 for year in range(1990, 2002)]

    # The Python library pyPhenology 0.7.1, ThermalTime with t1 1, T 0, F 500, days of the year 1990 to 2001;
    # exact.
    assert days == [135, 132, 143, 135, 142, 140, 142, 146, 130, 136, 130, 140]
