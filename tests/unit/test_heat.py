"""Heat and chill: limits, errors and properties; and the ways of counting fitted to own springs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmripe.days import Hemisphere, WorkingYear
from firmripe.holding.weather import Weather
from firmripe.season.counting import FROM_CHILL, FROM_DAYS, HeatSum, NotedSpring, fit, fit_ways, foretell
from firmripe.season.heat import chill_portions, degree_days, degree_days_f, hourly_from_daily
from firmripe.season.springs import AUTUMN_D, DAYS, Springs, column, springs_of

temperatures = st.floats(-60, 50).map(lambda temp: round(temp, 2))
days = st.lists(st.tuples(temperatures, temperatures).map(sorted), min_size=1, max_size=20)
swinging_days = st.tuples(temperatures, temperatures).map(sorted).filter(lambda day: day[1] - day[0] >= 1)


# Degree-days


def test_a_day_without_a_swing_has_its_height_above_the_base() -> None:
    """17 °C all day on 10 °C is 7; at the base and below it is nothing."""
    assert degree_days([17, 10, 4], [17, 10, 4], base_c=10).tolist() == [7, 0, 0]


@given(swinging_days, st.floats(-20, 30))
def test_the_sine_matches_a_day_added_up_moment_by_moment(day: Sequence[float], base_c: float) -> None:
    """A thousand moments of the wave through lowest and highest, what lies above the base averaged."""
    low, high = day
    moments = (low + high) / 2 + (high - low) / 2 * np.sin(2 * np.pi * (np.arange(1000) + 0.5) / 1000)

    added = np.maximum(moments - base_c, 0).mean()

    assert degree_days([low], [high], base_c=base_c)[0] == pytest.approx(added, abs=1e-3 * (high - low))


@given(days, st.floats(0, 10), st.floats(0, 15))
def test_warmer_days_never_lower_a_sum_and_a_higher_base_never_adds(
    record: list[list[float]], warmer: float, higher: float
) -> None:
    """Each day by itself."""
    low, high = np.array(record).T
    usual = degree_days(low, high, base_c=10)

    assert (degree_days(low + warmer, high + warmer, base_c=10) >= usual - 1e-9).all()
    assert (degree_days(low, high, base_c=10 + higher) <= usual + 1e-9).all()


@pytest.mark.parametrize(
    ("low", "high", "message"),
    [
        ([1, math.nan], [2, 3], "lowest temperatures: value 1 (from 0) is missing"),
        ([1], [math.inf], "highest temperatures: value 0 (from 0) is missing"),
        ([50], [95], "highest temperatures: value 0 (from 0), 95, is not between -90 and 60 °C; is it in °F?"),
        ([1, 2], [3], "2 lowest temperatures do not go with 1 highest"),
        ([1, 6], [3, 5], "day 1 (from 0): the lowest temperature 6 is above the highest 5"),
    ],
)
def test_faulty_temperatures_are_named(low: list[float], high: list[float], message: str) -> None:
    """Which of the two, which value, and what may be the matter."""
    with pytest.raises(ValueError, match=message.replace("(", r"\(").replace(")", r"\)")):
        degree_days(low, high, base_c=10)


def test_a_base_that_is_no_number_is_refused() -> None:
    """It would make every sum nothing."""
    with pytest.raises(ValueError, match="base temperature"):
        degree_days([1], [2], base_c=math.nan)


def test_a_heat_sum_changes_its_unit_by_a_factor_alone() -> None:
    """A sum has no freezing point to be moved."""
    assert degree_days_f(100) == 180


# Hours and chill


def test_a_days_hours_run_between_its_lowest_and_highest() -> None:
    """Warmest at 15 h, coldest at 3 h; each day of each row has 24."""
    hours = hourly_from_daily([[0, 5], [1, 2]], [[10, 5], [3, 4]])

    assert hours.shape == (2, 48)
    assert (hours[0, 15], hours[0, 3]) == (pytest.approx(10), pytest.approx(0))
    assert hours[0, 24:] == pytest.approx(np.full(24, 5.0))


@given(st.lists(temperatures, min_size=1, max_size=200), st.lists(temperatures, max_size=50))
def test_later_hours_never_touch_a_banked_portion(temps: list[float], later: list[float]) -> None:
    """What is banked stays, and winters side by side don't touch each other."""
    banked = chill_portions(temps)

    assert chill_portions([*temps, *later])[: len(temps)].tolist() == banked.tolist()
    assert chill_portions([temps, temps[::-1]])[0].tolist() == banked.tolist()
    assert (banked >= 0).all()


@pytest.mark.parametrize("faulty", [math.nan, math.inf, 95.0])
def test_faulty_hours_are_refused(faulty: float) -> None:
    """A missing hour, or one in °F."""
    with pytest.raises(ValueError, match="hourly temperatures: value 1"):
        chill_portions([5.0, faulty])


# The weather by season


def steady(first: date, temps: Sequence[float]) -> dict[date, tuple[float, float]]:
    return {first + timedelta(days=n): (temp, temp) for n, temp in enumerate(temps)}


def test_a_row_holds_its_season_from_the_autumn_before() -> None:
    """1 October to the end of the season; in the south from 31 March."""
    weather = Weather.of(steady(date(2025, 9, 1), range(-20, 40)) | steady(date(2026, 1, 1), [1, 2, 3]))

    springs = springs_of(weather, Hemisphere.NORTH)

    assert list(springs.years) == [2025, 2026]
    row = springs.row(WorkingYear(year=2026))
    assert row is not None
    assert springs.tmin_c[row, 0] == -20 + 30
    assert springs.tmin_c[row, AUTUMN_D : AUTUMN_D + 3].tolist() == [1, 2, 3]
    assert springs.has(row, AUTUMN_D, AUTUMN_D + 3)
    assert not springs.has(row, AUTUMN_D - 1, AUTUMN_D + 3)
    assert not springs.has(row, AUTUMN_D, AUTUMN_D + 4)
    assert springs.row(WorkingYear(year=2030)) is None
    south = WorkingYear(year=2026, hemisphere=Hemisphere.SOUTH)
    assert column(south, date(2025, 7, 1)) == AUTUMN_D
    assert springs_of(Weather(), Hemisphere.NORTH).years == range(0)


def test_the_springs_can_not_be_written_to() -> None:
    """Sums kept for them stay true."""
    springs = springs_of(Weather.of(steady(date(2026, 1, 1), [1, 2, 3])), Hemisphere.NORTH)

    with pytest.raises(ValueError, match="read-only"):
        springs.tmin_c[0, 0] = 5.0


# Ways of counting

LEADS = (0.0, 3.0, -2.0, 1.0, 2.0, -1.0, 4.0)
NEEDED = 250.0


def climbing(winter_c: float = -4.0) -> Springs:
    """Return seven seasons that warm up steadily from a winter's mean, each by its lead warmer."""
    table = np.full((len(LEADS) + 1, DAYS), np.nan)
    season = np.arange(DAYS) - AUTUMN_D
    for row, lead in enumerate(LEADS):
        table[row] = winter_c + 14 + lead - 14 * np.cos(2 * np.pi * (season - 15) / 365)
    return Springs(Hemisphere.NORTH, 2000, table, table)


def blooming(springs: Springs, way: HeatSum, needed: float = NEEDED) -> tuple[NotedSpring, ...]:
    """Return the day on which each season has counted what is needed, reckoned day by day."""
    found = []
    for row in range(springs.blank):
        heat, gathered, day = 0.0, 0.0, -AUTUMN_D
        while heat < needed:
            temp = springs.tmin_c[row, day + AUTUMN_D]
            counts = day >= way.start if way.start is not None else gathered >= way.chill
            heat += max(0.0, temp - way.base_c) if counts else 0.0
            gathered = springs.chill.before[row, day + AUTUMN_D + 1]
            day += 1
        found.append(NotedSpring(row, day - 1, 1.0))
    return tuple(found)


@pytest.mark.parametrize(
    ("way", "winter_c"),
    [
        (HeatSum(2.0, start=31), -4.0),
        (HeatSum(6.0, start=0), -4.0),
        (HeatSum(4.0, start=59), 2.0),
        (HeatSum(4.0, chill=40.0), 6.0),
    ],
)
def test_springs_that_follow_a_way_exactly_are_foretold_to_the_day(way: HeatSum, winter_c: float) -> None:
    """Each from the others, less than a day off, which is how far rounding to whole days leads."""
    springs = climbing(winter_c)

    (threshold,), (errors,) = fit_ways(springs, [way], blooming(springs, way))

    assert np.abs(errors).max() < 1.0
    assert threshold == pytest.approx(NEEDED, rel=0.05)


def test_the_way_that_made_the_springs_has_the_largest_share_but_one_that_is_much_alike() -> None:
    """Its share is well above that of the worst, and the shares add up to one."""
    springs = climbing()
    way = HeatSum(6.0, start=31)

    fitted = fit(springs, blooming(springs, way))

    assert fitted is not None
    shares = {one.way: one.share for one in fitted.ways}
    assert sum(shares.values()) == pytest.approx(1)
    assert shares[way] > 0.8 * max(shares.values())
    assert shares[way] > 1.1 * min(shares.values())


def test_chill_is_counted_where_winters_are_warm_alone() -> None:
    """Below freezing on average no way from chill is fitted."""
    cold, warm = climbing(-6.0), climbing(4.0)
    way = HeatSum(4.0, start=31)

    of_cold, of_warm = fit(cold, blooming(cold, way)), fit(warm, blooming(warm, way))

    assert of_cold is not None
    assert of_warm is not None
    assert {one.way for one in of_cold.ways} <= set(FROM_DAYS)
    assert {one.way for one in of_warm.ways} & set(FROM_CHILL)


@pytest.mark.parametrize("winter_c", [-4.0, 5.0])
def test_a_season_goes_on_as_its_days_and_those_of_others_put_together(winter_c: float) -> None:
    """What is joined in sums is what a table of the joined days gives, at every column and for every way."""
    springs = climbing(winter_c)
    fitted = fit(springs, blooming(springs, HeatSum(4.0, start=15)))
    assert fitted is not None
    others = [1, 3, 6]
    for known in (0, 60, AUTUMN_D, AUTUMN_D + 20, AUTUMN_D + 80, DAYS):
        table = springs.tmin_c[[*others, springs.blank]].copy()
        table[: len(others), :known] = springs.tmin_c[5, :known]
        joined = Springs(Hemisphere.NORTH, 0, table, table)

        found, share = foretell(springs, fitted, 5, known, others)
        alone = [foretell(joined, fitted, row, DAYS, [joined.blank]) for row in range(len(others))]

        # Where two winters are joined, what was gathering is lost: up to a portion, and so up to half a day here.
        assert found == pytest.approx([day[0] for day, _ in alone], abs=1e-6 if winter_c < 0 else 0.5)
        assert share == pytest.approx(alone[0][1], abs=1e-6 if winter_c < 0 else 0.1)


def test_a_gap_in_what_is_known_stops_the_ways_that_need_it() -> None:
    """A gap in January leaves the ways from February and March on; one in April leaves none."""
    springs = climbing()
    noted = blooming(springs, HeatSum(4.0, start=15))
    fitted = fit(springs, noted[:5])
    assert fitted is not None

    def share_without(first: int, end: int) -> float:
        table = springs.tmin_c.copy()
        table[5, AUTUMN_D + first : AUTUMN_D + end] = np.nan
        gappy = Springs(Hemisphere.NORTH, 2000, table, table)
        return foretell(gappy, fitted, 5, AUTUMN_D + 110, [1, 2])[1]

    shares = [share_without(0, 0), share_without(5, 12), share_without(70, 75)]
    assert shares[0] == pytest.approx(1)
    assert 0.3 < shares[1] < 0.9
    assert shares[2] == 0


def test_springs_without_a_note_or_without_weather_give_no_fit() -> None:
    """Nothing to fit to is no fit, not an error."""
    springs = climbing()

    assert fit(springs, ()) is None
    assert fit(springs, (NotedSpring(springs.blank, 100, 1.0),)) is None


def test_the_more_springs_agree_the_smaller_the_error() -> None:
    """One spring has the table's error and more."""
    springs = climbing()
    noted = blooming(springs, HeatSum(4.0, start=31))

    errors = [found.error_d for count in (1, 2, 3, 5, 7) if (found := fit(springs, noted[:count])) is not None]

    assert len(errors) == 5
    assert all(later < earlier for earlier, later in pairwise(errors))
    assert errors[0] == pytest.approx(3.5 * math.sqrt(2))
