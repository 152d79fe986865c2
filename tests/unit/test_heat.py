"""Heat and chill: limits, errors, properties, and fitting to own years."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmripe.days import Hemisphere, MonthDay, WorkingYear
from firmripe.season.heat import (
    CUTOFFS,
    Cutoff,
    DailyTemperatures,
    FloatArray,
    HeatCount,
    HeatFit,
    HeatModel,
    LinearRule,
    Method,
    NotFitted,
    NotReached,
    chill_hours,
    chill_portions,
    choose_count,
    daily_totals,
    day_reached,
    degree_days,
    degree_days_c,
    degree_days_f,
    fit_threshold,
    growing_degree_hours,
    hourly_from_daily,
    utah_chill_units,
)

COUNTED_WAYS = [(method, cutoff) for method in Method for cutoff in Cutoff if cutoff in CUTOFFS[method]]
RATES_NEVER_FALLING = [way for way in COUNTED_WAYS if way[1] in {Cutoff.NONE, Cutoff.HORIZONTAL}]

temperatures = st.floats(-60, 50).map(lambda temp: round(temp, 2))
days = st.lists(st.tuples(temperatures, temperatures).map(sorted), max_size=20)
swinging_days = st.tuples(temperatures, temperatures).map(sorted).filter(lambda day: day[1] - day[0] >= 1)
hourly = st.lists(temperatures, max_size=200)


def heat_of(
    record: Sequence[Sequence[float]], method: Method, cutoff: Cutoff = Cutoff.NONE, base_c: float = 10
) -> FloatArray:
    """Return degree-days above `base_c`, with 30 °C as the upper temperature where the cutoff takes one."""
    low, high = [day[0] for day in record], [day[1] for day in record]
    upper_c = None if cutoff is Cutoff.NONE else 30.0
    return degree_days(low, high, base_c=base_c, upper_c=upper_c, method=method, cutoff=cutoff)


# Degree-days


@pytest.mark.parametrize(("method", "cutoff"), COUNTED_WAYS)
@pytest.mark.parametrize(
    ("temp_c", "heat"),
    [(4, 0), (10, 0), (17, 7), (30, 20)],
)
def test_a_day_without_a_swing_has_its_height_above_the_base(
    method: Method, cutoff: Cutoff, temp_c: float, heat: float
) -> None:
    """A steady day counts alike by every way, up to the upper temperature itself."""
    assert heat_of([(temp_c, temp_c)], method, cutoff) == pytest.approx([heat], abs=1e-12)


@pytest.mark.parametrize("method", Method)
def test_a_day_below_the_base_has_no_heat_at_all(method: Method) -> None:
    """A day whose highest temperature is the base gives exactly 0."""
    assert heat_of([(-3, 10)], method).tolist() == [0]


@pytest.mark.parametrize(
    ("cutoff", "heat"),
    [(Cutoff.HORIZONTAL, 20), (Cutoff.INTERMEDIATE, 15), (Cutoff.VERTICAL, 0)],
)
@pytest.mark.parametrize("method", [Method.SINE, Method.TRIANGLE])
def test_a_day_wholly_above_the_upper_temperature_stays_slows_or_stops(
    method: Method, cutoff: Cutoff, heat: float
) -> None:
    """At 33 to 37 °C heat stays at that of 30 °C, falls by as much as the day is over, or is none."""
    assert heat_of([(33, 37)], method, cutoff) == pytest.approx([heat], abs=1e-12)


@given(record=days)
def test_the_four_methods_keep_their_order(record: list[list[float]]) -> None:
    """The wider a day spreads, the more is above the base: simple, triangle, sine, modified."""
    in_order = [heat_of(record, method) for method in (Method.SIMPLE, Method.TRIANGLE, Method.SINE, Method.MODIFIED)]

    for less, more in pairwise(in_order):
        assert np.all(less <= more + 1e-9)


@given(record=days)
def test_without_a_pass_through_the_base_all_methods_agree(record: list[list[float]]) -> None:
    """Days wholly above the base have the same heat by each method."""
    warm = [day for day in record if day[0] >= 10]

    for method in Method:
        assert heat_of(warm, method) == pytest.approx([sum(day) / 2 - 10 for day in warm], abs=1e-9)


@pytest.mark.parametrize(("method", "cutoff"), RATES_NEVER_FALLING)
@given(record=days, warmer=st.floats(0, 5), warmer_afternoon=st.floats(0, 5))
def test_warmer_days_never_lower_a_sum_that_never_slows(
    method: Method, cutoff: Cutoff, record: list[list[float]], warmer: float, warmer_afternoon: float
) -> None:
    """Warmer nights and still warmer afternoons add heat or leave it as it is."""
    raised = [(low + warmer, high + warmer + warmer_afternoon) for low, high in record]

    assert np.all(heat_of(raised, method, cutoff) >= heat_of(record, method, cutoff) - 1e-9)


@given(record=days, base_c=st.floats(-5, 15), higher=st.floats(0, 10))
def test_a_higher_base_never_adds_heat(record: list[list[float]], base_c: float, higher: float) -> None:
    """Raising the base lowers each day's heat or leaves it as it is."""
    for method in Method:
        low_base = heat_of(record, method, base_c=base_c)
        assert np.all(heat_of(record, method, base_c=base_c + higher) <= low_base + 1e-9)


@pytest.mark.parametrize("method", [Method.SINE, Method.TRIANGLE])
@given(record=days)
def test_each_cutoff_takes_more_than_the_one_before(method: Method, record: list[list[float]]) -> None:
    """None, horizontal, intermediate, vertical: each takes more, on days below 50 °C (twice 30 less 10)."""
    bearable = [day for day in record if day[1] <= 50]
    order = (Cutoff.NONE, Cutoff.HORIZONTAL, Cutoff.INTERMEDIATE, Cutoff.VERTICAL)
    in_order = [heat_of(bearable, method, cutoff) for cutoff in order]

    for more, less in pairwise(in_order):
        assert np.all(less <= more + 1e-9)


RATES: dict[Cutoff, Callable[[FloatArray], FloatArray]] = {
    Cutoff.NONE: lambda temps: np.maximum(temps - 10, 0),
    Cutoff.HORIZONTAL: lambda temps: np.clip(temps, 10, 30) - 10,
    Cutoff.INTERMEDIATE: lambda temps: np.where(temps > 30, 50 - temps, np.maximum(temps - 10, 0)),
    Cutoff.VERTICAL: lambda temps: np.where(temps > 30, 0, np.maximum(temps - 10, 0)),
}


@pytest.mark.parametrize("cutoff", Cutoff)
@pytest.mark.parametrize("method", [Method.SINE, Method.TRIANGLE])
@given(day=swinging_days)
def test_sine_and_triangle_match_a_day_added_up_moment_by_moment(
    method: Method, cutoff: Cutoff, day: list[float]
) -> None:
    """The formulas give what adding up the rate over the half day from lowest to highest gives."""
    moments = 20_000
    at = (np.arange(moments) + 0.5) / moments
    rise = (1 - np.cos(np.pi * at)) / 2 if method is Method.SINE else at

    # A step in the rate falls between two moments: at most 20 degrees' height over one of 20,000 moments.
    expected = RATES[cutoff](day[0] + (day[1] - day[0]) * rise).mean()
    assert heat_of([day], method, cutoff)[0] == pytest.approx(expected, abs=0.002)


@given(record=days)
def test_the_modified_average_lifts_and_lowers_before_averaging(record: list[list[float]]) -> None:
    """Counting the part above the base is the same as the printed rule of moving both temperatures first."""
    expected = [(min(max(low, 10), 30) + min(max(high, 10), 30)) / 2 - 10 for low, high in record]

    assert heat_of(record, Method.MODIFIED, Cutoff.HORIZONTAL) == pytest.approx(expected, abs=1e-9)


@given(first=days, second=days)
def test_days_count_one_by_one(first: list[list[float]], second: list[list[float]]) -> None:
    """A record counted in two parts gives the same days."""
    whole = heat_of([*first, *second], Method.SINE)

    assert [*heat_of(first, Method.SINE), *heat_of(second, Method.SINE)] == pytest.approx(whole, abs=0)


def test_the_arrays_handed_in_are_left_alone() -> None:
    """Counting changes neither temperature array."""
    low, high = np.array([2.0, 12.0]), np.array([35.0, 40.0])
    degree_days(low, high, base_c=10, upper_c=30, cutoff=Cutoff.VERTICAL)

    assert low.tolist() == [2, 12]
    assert high.tolist() == [35, 40]


@pytest.mark.parametrize(
    ("low", "high", "message"),
    [
        ([1, 2], [3], "2 lowest temperatures do not go with 1 highest"),
        ([1, 9], [3, 8], r"day 1 \(from 0\): the lowest temperature 9 is above the highest 8"),
        ([1, math.nan], [3, 8], r"lowest temperatures: value 1 \(from 0\) is missing or not a number"),
        ([1], [math.inf], r"highest temperatures: value 0 \(from 0\) is missing or not a number"),
        (
            [50],
            [83],
            r"highest temperatures: value 0 \(from 0\), 83, is not between -90 and 60 °C; is it in °F\?",
        ),
        ([[1, 2]], [[3, 4]], "lowest temperatures have 2 dimensions, not one"),
    ],
)
def test_faulty_temperatures_are_named(low: list[float], high: list[float], message: str) -> None:
    """What is wrong with the temperatures, and where, is in the error."""
    with pytest.raises(ValueError, match=f"^{message}$"):
        degree_days(low, high, base_c=10)


@pytest.mark.parametrize(
    ("method", "cutoff", "base_c", "upper_c", "message"),
    [
        (
            Method.SIMPLE,
            Cutoff.VERTICAL,
            10,
            30,
            "the simple method takes the cutoff horizontal or none, not vertical",
        ),
        (Method.MODIFIED, Cutoff.INTERMEDIATE, 10, 30, "the modified method takes .*, not intermediate"),
        (Method.SINE, Cutoff.HORIZONTAL, 10, None, "the horizontal cutoff needs an upper temperature"),
        (Method.SINE, Cutoff.NONE, 10, 30, "the upper temperature 30 °C does nothing without a cutoff"),
        (Method.SINE, Cutoff.VERTICAL, 10, 10, "the upper temperature 10 °C is not above the base 10 °C"),
        (
            Method.SINE,
            Cutoff.VERTICAL,
            10,
            math.nan,
            "the upper temperature nan °C is not above the base 10 °C",
        ),
        (Method.SINE, Cutoff.NONE, math.nan, None, "the base temperature nan is not a number"),
    ],
)
def test_parts_of_a_heat_count_that_do_not_fit_are_refused(
    method: Method, cutoff: Cutoff, base_c: float, upper_c: float | None, message: str
) -> None:
    """A cutoff and an upper temperature go together, above the base, and suit the method."""
    with pytest.raises(ValueError, match=f"^{message}$"):
        degree_days([1], [2], base_c=base_c, upper_c=upper_c, method=method, cutoff=cutoff)
    with pytest.raises(ValueError, match=f"^{message}$"):
        HeatCount(base_c=base_c, upper_c=upper_c, method=method, cutoff=cutoff, start=MonthDay(1, 1))


def test_a_heat_sum_changes_its_unit_by_a_factor_alone() -> None:
    """Five C-days are nine F-days, there and back; nothing is added, as it would be for a temperature."""
    assert degree_days_f(5) == 9
    assert degree_days_c(9) == 5
    assert degree_days_f(0) == 0


# Hours


def test_a_days_hours_run_between_its_lowest_and_highest() -> None:
    """The day is warmest at 15 h and coldest at 3 h, and its hours' mean is that of the two."""
    hours = hourly_from_daily([4, -2], [16, 8]).reshape(2, 24)

    assert hours.argmax(axis=1).tolist() == [15, 15]
    assert hours.argmin(axis=1).tolist() == [3, 3]
    assert hours.max(axis=1) == pytest.approx([16, 8])
    assert hours.min(axis=1) == pytest.approx([4, -2])
    assert hours.mean(axis=1) == pytest.approx([10, 3])


def test_the_warmest_hour_can_be_set() -> None:
    """A day warmest at 13 h is coldest at 1 h."""
    hours = hourly_from_daily([4], [16], warmest_hour=13)

    assert (int(hours.argmax()), int(hours.argmin())) == (13, 1)


def test_a_warmest_hour_outside_the_day_is_refused() -> None:
    """A day has no hour 25."""
    with pytest.raises(ValueError, match="warmest hour 25 is not between 0 and 24"):
        hourly_from_daily([4], [16], warmest_hour=25)


def test_hours_add_up_to_days() -> None:
    """Each day's total is that of its own 24 hours."""
    assert daily_totals([1] * 24 + [2] * 24).tolist() == [24, 48]


def test_hours_that_are_not_whole_days_are_refused() -> None:
    """A day with an hour missing has no total."""
    with pytest.raises(ValueError, match="47 hours are not whole days"):
        daily_totals([1] * 47)


@given(temps=hourly)
def test_growing_degree_hours_stay_between_none_and_the_most(temps: list[float]) -> None:
    """An hour gives from 0 to 21, and 0 at or below the base and from the critical temperature on."""
    hours = growing_degree_hours(temps)

    assert np.all((hours >= 0) & (hours <= 21))
    assert all(hour == 0 for hour, temp in zip(hours, temps, strict=True) if temp <= 4 or temp >= 36)


def test_growing_degree_hours_take_a_fruits_own_temperatures() -> None:
    """With 7.5, 26 and 38.5 °C the most is 18.5 at 26 °C, half of it half way up, none at either end."""
    hours = growing_degree_hours([7.5, 16.75, 26, 38.5], base_c=7.5, optimum_c=26, critical_c=38.5)

    assert hours == pytest.approx([0, 9.25, 18.5, 0], abs=1e-12)


@pytest.mark.parametrize("three", [(25, 25, 36), (4, 36, 25), (math.nan, 25, 36)])
def test_cardinal_temperatures_out_of_order_are_refused(three: tuple[float, float, float]) -> None:
    """Base, optimum and critical rise in this order."""
    base_c, optimum_c, critical_c = three
    with pytest.raises(ValueError, match="are out of order"):
        growing_degree_hours([10], base_c=base_c, optimum_c=optimum_c, critical_c=critical_c)


# Chill


@pytest.mark.parametrize(
    ("temp_c", "units"),
    [
        (1.4, 0),
        (1.5, 0.5),
        (2.4, 0.5),
        (2.5, 1),
        (9.1, 1),
        (9.2, 0.5),
        (12.4, 0.5),
        (12.5, 0),
        (15.9, 0),
        (16.0, -0.5),
        (18.0, -0.5),
        (18.1, -1),
    ],
)
def test_utah_classes_end_with_their_upper_limit(temp_c: float, units: float) -> None:
    """Each class holds its own upper limit; the next tenth of a degree is in the next class."""
    assert utah_chill_units([temp_c]).tolist() == [units]


def test_chill_hours_hold_both_limits() -> None:
    """0 and 7.2 °C count, a tenth of a degree beyond does not."""
    assert chill_hours([-0.1, 0, 7.2, 7.3]).tolist() == [0, 1, 1, 0]


def test_chill_hours_of_the_wider_form_count_frost_too() -> None:
    """Without a lowest limit a frosty hour counts."""
    assert chill_hours([-20, 7.2, 7.3], lowest_c=-math.inf).tolist() == [1, 1, 0]


def test_chill_hours_with_limits_out_of_order_are_refused() -> None:
    """The lowest limit is not above the highest."""
    with pytest.raises(ValueError, match=r"can't run from 8 to 7\.2 °C"):
        chill_hours([5], lowest_c=8)


@given(temps=hourly, later=hourly)
def test_later_hours_never_touch_a_banked_portion(temps: list[float], later: list[float]) -> None:
    """What an hour has banked depends on it and the hours before it, and is never negative."""
    whole = chill_portions([*temps, *later])

    assert whole[: len(temps)].tolist() == chill_portions(temps).tolist()
    assert np.all(whole >= 0)


def test_no_portion_is_banked_in_lasting_warmth() -> None:
    """A month at 20 °C banks nothing."""
    assert chill_portions(np.full(720, 20.0)).sum() == 0


@pytest.mark.parametrize("hours", [growing_degree_hours, utah_chill_units, chill_hours, chill_portions, daily_totals])
def test_no_hours_give_no_values(hours: Callable[[list[float]], FloatArray]) -> None:
    """An empty series comes back empty."""
    assert hours([]).tolist() == []


@pytest.mark.parametrize("hours", [growing_degree_hours, utah_chill_units, chill_hours, chill_portions])
@pytest.mark.parametrize("faulty", [math.nan, 70.0, -100.0])
def test_faulty_hours_are_refused(hours: Callable[[list[float]], FloatArray], faulty: float) -> None:
    """A missing hour and one that no station has read are errors, with their place."""
    with pytest.raises(ValueError, match=r"hourly temperatures: value 1 \(from 0\)"):
        hours([5, faulty])


# The day a sum is reached


@pytest.mark.parametrize(
    ("daily", "threshold", "day"),
    [
        ([3, 3, 3], 3, 0),
        ([3, 3, 3], 3.1, 1),
        ([0, 0, 9], 9, 2),
        ([5, -4, 5], 5.5, 2),
        ([0.1] * 10, 1, 9),
    ],
)
def test_a_sum_is_reached_on_the_first_day_at_the_threshold(daily: list[float], threshold: float, day: int) -> None:
    """The day is the one that brings the sum to the threshold, also where binary tenths fall short."""
    assert day_reached(daily, threshold) == day


@pytest.mark.parametrize(
    ("daily", "reason"),
    [
        ([3, 4], "the sum came to 7.0 of 10.0 in 2 days"),
        ([], "the sum came to 0.0 of 10.0 in 0 days"),
    ],
)
def test_a_sum_that_falls_short_says_by_how_much(daily: list[float], reason: str) -> None:
    """An unreached threshold is a value with its reason."""
    assert day_reached(daily, 10) == NotReached(reason)


@pytest.mark.parametrize("threshold", [0, -1, math.nan, math.inf])
def test_a_threshold_is_above_nought(threshold: float) -> None:
    """Nought is reached before the first day, so it is no threshold; the same holds in a model."""
    with pytest.raises(ValueError, match="is not above 0"):
        day_reached([1], threshold)
    with pytest.raises(ValueError, match="is not above 0"):
        HeatModel(count=HeatCount(base_c=5, start=MonthDay(1, 1)), threshold_c_days=threshold)


def test_a_missing_day_is_refused() -> None:
    """A sum over a gap is not known."""
    with pytest.raises(ValueError, match="daily values: value 1"):
        day_reached([1, math.nan], 1)


@given(record=days, warmer=st.floats(0, 4), share=st.floats(0.01, 1))
def test_warmer_days_never_delay_a_stage_driven_by_heat_alone(
    record: list[list[float]], warmer: float, share: float
) -> None:
    """What is reached in a spring is reached no later in a warmer one."""
    spring_days = [*record, [12.0, 20.0]]
    heat = heat_of(spring_days, Method.SINE)
    warmer_heat = heat_of([(low + warmer, high + warmer) for low, high in spring_days], Method.SINE)
    threshold = float(heat.sum()) * share
    reached, warm_reached = day_reached(heat, threshold), day_reached(warmer_heat, threshold)

    assert isinstance(reached, int)
    assert isinstance(warm_reached, int)
    assert warm_reached <= reached


# Records, counts and models


def steady(first: date, temps_c: Sequence[float]) -> DailyTemperatures:
    """Return a record of days without a swing."""
    temps = np.array(temps_c, dtype=np.float64)
    return DailyTemperatures(first, temps, temps)


def test_a_record_is_its_own_copy() -> None:
    """Changing the arrays handed in changes nothing, and those of the record can't be changed."""
    low, high = np.array([1.0, 2.0]), np.array([5.0, 6.0])
    record = DailyTemperatures(date(2027, 2, 27), low, high)
    low[0] = -40

    assert record.tmin_c.tolist() == [1, 2]
    assert record.last == date(2027, 2, 28)
    with pytest.raises(ValueError, match="read-only"):
        record.tmax_c[0] = 9


def test_a_record_without_a_day_is_refused() -> None:
    """There is no first day without a day."""
    with pytest.raises(ValueError, match="at least one day"):
        steady(date(2027, 1, 1), [])


@pytest.mark.parametrize(
    ("start", "season", "day"),
    [
        (MonthDay(2, 1), WorkingYear(year=2028), date(2028, 2, 1)),
        (MonthDay(2, 29), WorkingYear(year=2027), date(2027, 2, 28)),
        (MonthDay(2, 29), WorkingYear(year=2028), date(2028, 2, 29)),
        (MonthDay(8, 1), WorkingYear(year=2027, hemisphere=Hemisphere.SOUTH), date(2026, 8, 1)),
        (MonthDay(1, 1), WorkingYear(year=2027, hemisphere=Hemisphere.SOUTH), date(2027, 1, 1)),
    ],
)
def test_a_count_starts_within_the_working_year(start: MonthDay, season: WorkingYear, day: date) -> None:
    """In the south the season starts in July of the year before; 29 February has a stand-in."""
    assert HeatCount(base_c=5, start=start).start_in(season) == day


def test_a_count_runs_from_its_start_to_the_end_of_the_season() -> None:
    """Days before the start and after the season are not counted, the start's own day is."""
    record = steady(date(2026, 12, 30), [9] * 400)
    heat = HeatCount(base_c=5, start=MonthDay(12, 30)).daily_heat(record, WorkingYear(year=2027))

    assert isinstance(heat, np.ndarray)
    assert heat.tolist() == [4, 4]


def test_a_model_gives_the_day_in_a_leap_year() -> None:
    """From 28 February, 2 C-days a day come to 5 on 1 March of a leap year."""
    model = HeatModel(count=HeatCount(base_c=5, start=MonthDay(2, 28)), threshold_c_days=5)
    record = steady(date(2028, 1, 1), [7] * 100)

    assert model.date_reached(record, WorkingYear(year=2028)) == date(2028, 3, 1)


@pytest.mark.parametrize("first", [date(2027, 3, 2), date(2026, 3, 1)])
def test_a_record_that_does_not_hold_the_start_has_no_day(first: date) -> None:
    """Temperatures that begin too late, or end too early, give a reason instead of a day."""
    model = HeatModel(count=HeatCount(base_c=5, start=MonthDay(3, 1)), threshold_c_days=5)

    assert model.date_reached(steady(first, [20] * 30), WorkingYear(year=2027)) == NotReached(
        f"the temperatures run from {first} to {first + timedelta(days=29)}, the count starts 2027-03-01"
    )


def test_a_cold_spring_has_no_day() -> None:
    """A threshold not reached by the end of the record is a value with its reason."""
    model = HeatModel(count=HeatCount(base_c=5, start=MonthDay(1, 1)), threshold_c_days=50)

    assert model.date_reached(steady(date(2027, 1, 1), [6] * 20), WorkingYear(year=2027)) == NotReached(
        "the sum came to 20.0 of 50.0 in 20 days"
    )


# Fitting to own years

FROM_MARCH = HeatCount(base_c=5, start=MonthDay(3, 1), method=Method.SIMPLE)


def spring(year: int, temp_c: float, length: int = 120) -> DailyTemperatures:
    """Return a spring from 1 March, all its days at one temperature."""
    return steady(date(year, 3, 1), [temp_c] * length)


def march(year: int, day: int) -> date:
    """Return a day counted from 1 March, which is 1."""
    return date(year, 3, 1) + timedelta(days=day - 1)


def seasons_of(
    springs: Sequence[tuple[float, int]],
) -> tuple[dict[WorkingYear, DailyTemperatures], dict[WorkingYear, list[date]]]:
    """Return records and noted dates from 2021 on: each spring's temperature and the day of the event."""
    records, noted = {}, {}
    for year, (temp_c, day) in enumerate(springs, start=2021):
        records[WorkingYear(year=year)] = spring(year, temp_c)
        noted[WorkingYear(year=year)] = [march(year, day)]
    return records, noted


def test_springs_that_follow_heat_exactly_are_foretold_exactly() -> None:
    """Where the event always comes at 60 C-days, 60 is fitted, without an error, and the mean date errs."""
    fit = fit_threshold(FROM_MARCH, *seasons_of([(7, 30), (8, 20), (10, 12), (11, 10)]))

    assert isinstance(fit, HeatFit)
    assert fit.model == HeatModel(count=FROM_MARCH, threshold_c_days=60)
    assert list(fit.errors_days.values()) == [0, 0, 0, 0]
    assert (fit.rmse_days, fit.mean_error_days) == (0, 0)
    # Days of the year of day 30, 20, 12 and 10 from 1 March, the last in a leap year; the mean date of the
    # others less the season's own.
    day_of_year = [89, 79, 71, 70]
    expected = [(sum(day_of_year) - day) / 3 - day for day in day_of_year]
    assert list(fit.calendar_errors_days.values()) == pytest.approx(expected)
    assert fit.calendar_rmse_days == pytest.approx(math.sqrt(sum(error**2 for error in expected) / 4))


def test_a_season_is_foretold_from_the_others_only() -> None:
    """Sums of 40, 60 and 80 C-days foretell each other's springs by the mean of the other two."""
    fit = fit_threshold(FROM_MARCH, *seasons_of([(7, 20), (7, 30), (7, 40)]))

    assert isinstance(fit, HeatFit)
    assert fit.model.threshold_c_days == 60
    # 70, 60 and 50 C-days at 2 a day are reached on days 35, 30 and 25.
    assert list(fit.errors_days.values()) == [15, 0, -15]
    assert fit.rmse_days == pytest.approx(math.sqrt(150))
    assert fit.mean_error_days == 0


def test_a_model_runs_late_by_part_of_a_day() -> None:
    """The day that passes a threshold counts as a whole, so an error between two days is rounded up."""
    fit = fit_threshold(FROM_MARCH, *seasons_of([(7, 20), (7, 20), (7, 21)]))

    assert isinstance(fit, HeatFit)
    # 41, 41 and 40 C-days at 2 a day are reached on days 21, 21 and 20.
    assert list(fit.errors_days.values()) == [1, 1, -1]
    assert fit.mean_error_days == pytest.approx(1 / 3)


def test_several_trees_of_one_season_count_as_one() -> None:
    """Their sums are averaged and the error is taken from their mean day."""
    records, noted = seasons_of([(7, 30), (7, 30), (7, 30)])
    noted[WorkingYear(year=2023)] = [march(2023, 28), march(2023, 28), march(2023, 31)]

    fit = fit_threshold(FROM_MARCH, records, noted)

    assert isinstance(fit, HeatFit)
    assert fit.model.threshold_c_days == pytest.approx((60 + 60 + (56 + 56 + 62) / 3) / 3)
    assert fit.errors_days[WorkingYear(year=2023)] == pytest.approx(1)


def test_seasons_that_can_not_be_used_are_named() -> None:
    """Each season left out has its reason, and the others are fitted."""
    records, noted = seasons_of([(7, 30)] * 8)
    bare, undated, late_start, early, beyond = (WorkingYear(year=year) for year in range(2021, 2026))
    del records[bare]
    noted[undated] = []
    records[late_start] = steady(date(2023, 3, 5), [7] * 100)
    noted[early] = [date(2024, 2, 20), date(2024, 3, 9)]
    records[beyond] = spring(2025, 7, length=10)

    fit = fit_threshold(FROM_MARCH, records, noted)

    assert isinstance(fit, HeatFit)
    assert [season.year for season in fit.errors_days] == [2026, 2027, 2028]
    assert fit.left_out == {
        bare: "there are no temperatures",
        undated: "no date was noted",
        late_start: "the temperatures run from 2023-03-05 to 2023-06-12, the count starts 2023-03-01",
        early: "noted from 2024-02-20 to 2024-03-09, counted from 2024-03-01 to 2024-06-28",
        beyond: "noted from 2025-03-30 to 2025-03-30, counted from 2025-03-01 to 2025-03-10",
    }


def test_a_spring_without_heat_is_left_out() -> None:
    """An event noted before any heat was counted tells no threshold."""
    fit = fit_threshold(FROM_MARCH, *seasons_of([(3, 30), (7, 30), (8, 20), (9, 15)]))

    assert isinstance(fit, HeatFit)
    assert fit.left_out == {WorkingYear(year=2021): "no heat was counted from 2021-03-01 to the date noted"}


def test_two_seasons_are_too_few() -> None:
    """Below three seasons nothing is fitted, and those left out are named."""
    records, noted = seasons_of([(7, 30), (8, 20), (9, 15)])
    del records[WorkingYear(year=2022)]

    assert fit_threshold(FROM_MARCH, records, noted) == NotFitted(
        "2 usable seasons of the 3 needed; 2022: there are no temperatures"
    )
    assert fit_threshold(FROM_MARCH, {}, {}) == NotFitted("0 usable seasons of the 3 needed")


def test_a_season_whose_temperatures_end_too_soon_is_used_but_not_foretold() -> None:
    """Its own sum counts for the others; its error is a reason and is in no mean."""
    records, noted = seasons_of([(7, 30), (7, 30), (7, 30), (7, 20)])
    short = WorkingYear(year=2024)
    records[short] = spring(2024, 7, length=20)

    fit = fit_threshold(FROM_MARCH, records, noted)

    assert isinstance(fit, HeatFit)
    assert fit.model.threshold_c_days == 55
    assert fit.errors_days[short] == NotReached("the sum came to 40.0 of 60.0 in 20 days")
    # 53.3 C-days at 2 a day are reached on day 27, three days early.
    assert list(fit.foretold.values()) == [-3, -3, -3]
    assert fit.rmse_days == 3


def test_seasons_that_do_not_foretell_each_other_are_not_fitted() -> None:
    """With fewer than three errors there is no telling how good a threshold is."""
    records, noted = seasons_of([(7, 30), (7, 30), (7, 20)])
    records[WorkingYear(year=2023)] = spring(2023, 7, length=20)

    assert fit_threshold(FROM_MARCH, records, noted) == NotFitted(
        "in 1 of 3 seasons the sum of the others was not reached"
    )


def test_southern_seasons_are_fitted_in_their_own_spring() -> None:
    """A bloom in September of the calendar year before belongs to the season of the harvest."""
    count = HeatCount(base_c=5, start=MonthDay(8, 1), method=Method.SIMPLE)
    records, noted = {}, {}
    for year, (temp_c, day) in enumerate([(7, 50), (10, 20), (9, 25)], start=2025):
        season = WorkingYear(year=year, hemisphere=Hemisphere.SOUTH)
        records[season] = steady(date(year - 1, 7, 1), [5] * 31 + [temp_c] * 100)
        noted[season] = [date(year - 1, 8, 1) + timedelta(days=day - 1)]

    fit = fit_threshold(count, records, noted)

    assert isinstance(fit, HeatFit)
    assert fit.model.threshold_c_days == pytest.approx(100)
    assert fit.rmse_days == 0


# Choosing a way of counting


def uneven_springs(
    base_c: float, scatter_days: int = 1
) -> tuple[dict[WorkingYear, DailyTemperatures], dict[WorkingYear, list[date]]]:
    """Return six uneven springs with the event at 90 C-days above `base_c`, or `scatter_days` beside."""
    rng = np.random.default_rng(20270401)
    records, noted = {}, {}
    for number, year in enumerate(range(2021, 2027)):
        season = WorkingYear(year=year)
        temps = 4 + 1.5 * number + 0.05 * np.arange(120) + rng.normal(0, 3, 120)
        records[season] = steady(date(year, 3, 1), temps.tolist())
        count = HeatCount(base_c=base_c, start=MonthDay(3, 1), method=Method.SIMPLE)
        day = HeatModel(count=count, threshold_c_days=90).date_reached(records[season], season)
        assert isinstance(day, date)
        noted[season] = [day + timedelta(days=scatter_days * (number % 3 - 1))]
    return records, noted


BASES = [HeatCount(base_c=base, start=MonthDay(3, day), method=Method.SIMPLE) for base in (0, 3, 6) for day in (1, 8)]


@pytest.mark.parametrize("base_c", [0, 3, 6])
def test_the_base_that_made_the_springs_is_chosen(base_c: float) -> None:
    """Of several bases the one behind the dates foretells best."""
    fit = choose_count(BASES, *uneven_springs(base_c))

    assert isinstance(fit, HeatFit)
    assert fit.model.count.base_c == base_c


def test_the_errors_of_a_choice_leave_the_season_out_of_the_choosing_too() -> None:
    """Choosing and fitting on the other seasons alone, then foretelling the season, gives the same errors."""
    records, noted = uneven_springs(3, scatter_days=4)
    fit = choose_count(BASES, records, noted)
    assert isinstance(fit, HeatFit)

    chosen = set()
    for season, error in fit.errors_days.items():
        others = {other: dates for other, dates in noted.items() if other != season}
        without = choose_count(BASES, records, others)
        assert isinstance(without, HeatFit)
        foretold = without.model.date_reached(records[season], season)
        assert isinstance(foretold, date)
        assert error == (foretold - noted[season][0]).days
        chosen.add(without.model.count)
    # Otherwise the test would not tell a choice with the season from one without.
    assert len(chosen) > 1


def test_the_order_of_the_notes_changes_nothing() -> None:
    """Seasons noted backwards give the same fit, listed in the same order."""
    records, noted = uneven_springs(3)
    backwards = fit_threshold(FROM_MARCH, records, dict(reversed(noted.items())))
    fit = fit_threshold(FROM_MARCH, records, noted)

    assert fit == backwards
    assert isinstance(fit, HeatFit)
    assert isinstance(backwards, HeatFit)
    assert list(fit.errors_days.items()) == list(backwards.errors_days.items())


def test_the_chosen_model_is_the_one_fitted_alone() -> None:
    """Choosing changes how errors are judged, not the threshold; of equals the first is taken."""
    records, noted = uneven_springs(3)
    chosen = choose_count(BASES, records, noted)
    assert isinstance(chosen, HeatFit)
    alone = [fit_threshold(count, records, noted) for count in BASES]
    best = min((fit for fit in alone if isinstance(fit, HeatFit)), key=lambda fit: fit.rmse_days)

    assert chosen.model == best.model


def test_a_candidate_that_can_use_fewer_seasons_is_set_aside() -> None:
    """A start before the records begin loses to one that all seasons can use."""
    too_early = HeatCount(base_c=3, start=MonthDay(2, 1), method=Method.SIMPLE)

    fit = choose_count([too_early, BASES[0]], *uneven_springs(3))

    assert isinstance(fit, HeatFit)
    assert fit.model.count == BASES[0]
    assert not fit.left_out


def test_a_candidate_that_never_foretells_comes_last() -> None:
    """With temperatures that end on the days noted, a count that is always short loses to one that is not."""
    records, noted = seasons_of([(8, 30), (8, 30), (8, 30), (8, 30), (9, 10)])
    short = WorkingYear(year=2025)
    records[short] = spring(2025, 9, length=25)

    fit = choose_count([FROM_MARCH, HeatCount(base_c=1, start=MonthDay(3, 1), method=Method.SIMPLE)], records, noted)

    assert isinstance(fit, HeatFit)
    # At base 1 the fifth spring needs 210 C-days and has 200; at base 5 it needs 90 and has 100.
    assert fit.model.count == FROM_MARCH


def test_a_choice_needs_a_season_more_than_a_fit() -> None:
    """Three seasons can be fitted but leave too few to choose by."""
    three = seasons_of([(7, 30), (8, 20), (9, 15)])

    assert isinstance(fit_threshold(FROM_MARCH, *three), HeatFit)
    assert choose_count([FROM_MARCH], *three) == NotFitted("3 usable seasons of the 4 needed")


def test_a_choice_needs_something_to_choose_from() -> None:
    """No candidate is our own mistake."""
    with pytest.raises(ValueError, match="nothing to choose from"):
        choose_count([], {}, {})


# Straight-line rules


def test_a_straight_line_moves_with_its_measure() -> None:
    """Two units over the reference at -1.5 days each give three days less."""
    rule = LinearRule(
        gives="days", measure="°C", days_at_reference=100, reference=10, days_per_unit=-1.5, source="none"
    )

    assert rule.days(10) == 100
    assert rule.days(12) == 97


def test_a_straight_line_without_a_measure_is_refused() -> None:
    """A measure that is missing is named."""
    rule = LinearRule(
        gives="days", measure="night, °C", days_at_reference=1, reference=0, days_per_unit=1, source="none"
    )
    with pytest.raises(ValueError, match="night, °C: nan is not a number"):
        rule.days(math.nan)
