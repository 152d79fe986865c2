"""Forecasts from warmth: fitting to own springs, filling the days ahead, published rules, and what the model does."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from firmripe.days import DayCount, Hemisphere, MonthDay, Stretch, WorkingYear
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import BloomNightsRule, Cultivar, Event, SpringHeatRule, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weather import Weather
from firmripe.problems import FaultyNotes, Where
from firmripe.reading.reader import read_holding
from firmripe.season.because import Evidence, Group
from firmripe.season.estimate import Estimate, Happens
from firmripe.season.forecast import (
    Blooms,
    BySprings,
    FewAhead,
    FewSprings,
    Forecast,
    ForecastBasis,
    NoForecast,
    SumNotReached,
    bloom_forecasts,
    pick_forecasts,
    rest_of,
)
from firmripe.season.season import SeasonModel
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.words import short_day

HERE = Where("notes")
YEAR = WorkingYear(year=2027)
CITED = Cited(mark=Mark.READ, source=None, page="", where=HERE)
WITHIN = Figure(value=DayCount(low=4, high=4), text="4 days", cited=CITED)
THRESHOLD = 180.0
"""C-days above 2 °C from 1 February at which the trees of these tests bloom."""
LEADS = {2023: 0.0, 2024: 3.0, 2025: -2.0, 2026: 1.0, 2027: 2.0}
"""How much warmer (°C) each spring is than another."""


def spring(year: int, hemisphere: Hemisphere = Hemisphere.NORTH) -> dict[date, tuple[float, float]]:
    """Return a whole season of steady days, warming to midsummer and cooling again, with its year's lead."""
    season = WorkingYear(year=year, hemisphere=hemisphere)
    days = [season.first + timedelta(days=n) for n in range((season.last - season.first).days + 1)]
    temps = [LEADS[year] + 10 - 14 * math.cos(2 * math.pi * n / 365) for n in range(len(days))]
    return {day: (temp, temp) for day, temp in zip(days, temps, strict=True)}


def springs(*years: int, hemisphere: Hemisphere = Hemisphere.NORTH) -> dict[date, tuple[float, float]]:
    return {day: temps for year in years for day, temps in spring(year, hemisphere).items()}


def led(year: int) -> dict[date, tuple[float, float]]:
    """Return a season as `spring` does, for any year: its lead goes up and down."""
    season = WorkingYear(year=year)
    days = [season.first + timedelta(days=n) for n in range((season.last - season.first).days + 1)]
    temps = [3 * math.sin(year * 1.7) + 10 - 14 * math.cos(2 * math.pi * n / 365) for n in range(len(days))]
    return {day: (temp, temp) for day, temp in zip(days, temps, strict=True)}


def bloom_day(weather: Mapping[date, tuple[float, float]], start: date, threshold: float = THRESHOLD) -> date:
    """Return the first day from the start on whose sum of heat is at the threshold, reckoned day by day."""
    heat, day = 0.0, start
    while True:
        heat += max(0.0, sum(weather[day]) / 2 - 2.0)
        if heat >= threshold:
            return day
        day += timedelta(days=1)


def noted(year: int, tree: str = "1", off: int = 0) -> Record:
    day = bloom_day(spring(year), date(year, 2, 1)) + timedelta(days=off)
    return Record(day=day, season=year, what=Happening.FULL_BLOOM, tree=tree, where=HERE)


def tree(tag: str = "1", key: str = "pear", **traits: object) -> tuple[Tree, Cultivar]:
    own = replace(Traits(), **traits)  # type: ignore[arg-type]
    limb = Cultivar(key=key, name=key.title(), fruit=None, own=own, traits=own)
    return Tree(tag=tag, limbs=(limb,), where=HERE), limb


def known(
    weather: Mapping[date, tuple[float, float]],
    records: Sequence[Record] = (),
    as_of: date = YEAR.last,
    limbs: Sequence[tuple[Tree, Cultivar]] = (tree(),),
    year: WorkingYear = YEAR,
) -> ForecastBasis:
    told, by_then = Weather.of(weather), [record for record in records if record.day <= as_of]
    blooms = [Blooms.of(tree, limb, by_then, year, told) for tree, limb in limbs]
    return ForecastBasis(limbs=blooms, weather=told, year=year, as_of=as_of)


def the_one(found: Sequence[Forecast | NoForecast]) -> Forecast:
    assert len(found) == 1
    assert isinstance(found[0], Forecast), found[0]
    return found[0]


def the_reason(found: Sequence[Forecast | NoForecast]) -> str:
    assert len(found) == 1
    assert isinstance(found[0], NoForecast), found[0]
    return words_of(found[0], IN_ENGLISH)


def words(forecast: Forecast) -> str:
    return words_of(forecast, IN_ENGLISH)


THREE = [noted(year) for year in (2024, 2025, 2026)]
FOUR = [noted(year) for year in (2023, 2024, 2025, 2026)]


# Bloom


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_a_spring_that_is_over_gives_the_day_its_own_heat_was_reached(count: int) -> None:
    """With springs that agree, the fitted ways find the day of a spring they were not fitted to, give or take two."""
    found = the_one(bloom_forecasts(known(springs(2023, 2024, 2025, 2026, 2027), FOUR[-count:])))

    assert abs((found.day - bloom_day(spring(2027), date(2027, 2, 1))).days) <= 2
    assert (found.bearing, found.event) == (Bearing("1", "pear"), Event.FULL_BLOOM)
    assert (found.scatter_d, found.ahead) == (0, 0)
    assert isinstance(found.by, BySprings)
    assert found.by.springs == count
    assert found.by.ways >= 20


def test_thirty_springs_are_surer_than_two_and_one() -> None:
    """The more springs agree, the less the table's usual error counts."""
    years = range(1997, 2028)
    weather = {day: temps for year in years for day, temps in led(year).items()}
    records = [
        Record(day=bloom_day(weather, date(year, 2, 1)), season=year, what=Happening.FULL_BLOOM, tree="1", where=HERE)
        for year in years
        if year < 2027
    ]
    happened = YEAR.day_number(bloom_day(weather, date(2027, 2, 1)))

    found = [the_one(bloom_forecasts(known(weather, records[-count:]))) for count in (1, 2, 30)]

    errors = [forecast.error_d for forecast in found]
    assert errors == sorted(errors, reverse=True)
    assert errors[0] > 2 * errors[-1]
    assert abs(found[-1].season_day - happened) < 1


def test_the_words_tell_what_a_forecast_rests_on() -> None:
    """How far the weather is known, the day, the springs, the ways, the seasons lent, and that it has not bloomed."""
    weather = springs(2024, 2025, 2026, 2027)
    early = the_one(bloom_forecasts(known(weather, THREE, date(2027, 3, 10))))
    late = the_one(bloom_forecasts(known(weather, THREE, early.day - timedelta(days=2))))

    assert words(early).startswith("Warmth up to 10 Mar: full bloom about ")
    assert words(early).endswith(
        " by 3 of your own springs and 25 ways of counting; the days ahead as in 3 earlier seasons"
    )
    assert f"not yet in bloom on {short_day(IN_ENGLISH, early.day - timedelta(days=2))}" in words(late)


def test_the_days_ahead_are_taken_from_each_earlier_season_in_turn() -> None:
    """The forecast is the mean of the ways the spring may go on, those of late years counting a little more."""
    weather = springs(2024, 2025, 2026, 2027)
    as_of = date(2027, 3, 10)
    whole = Weather.of(weather)

    found = the_one(bloom_forecasts(known(weather, THREE, as_of)))

    answers = []
    for past in (2024, 2025, 2026):
        going_on = {
            date(2027, 1, 1) + timedelta(days=n): temps for n, (_, temps) in enumerate(spring(past).items()) if n < 365
        }
        going_on |= {day: temps for day, temps in weather.items() if date(2027, 1, 1) <= day <= as_of}
        answers.append(the_one(bloom_forecasts(known(weather | going_on, THREE))).season_day)
    weights = [math.exp(-(2027 - past) / 20) for past in (2024, 2025, 2026)]
    assert whole.days[-1] == YEAR.last
    assert found.season_day == pytest.approx(sum(map(math.prod, zip(answers, weights, strict=True))) / sum(weights))
    assert found.scatter_d > statistics.stdev(answers) / 2
    assert found.ahead == 3


@settings(max_examples=50, deadline=None)
@given(
    first=st.integers(0, 120),
    length=st.integers(1, 60),
    warmer=st.floats(0, 12),
    as_of=st.integers(60, 150),
)
def test_a_warmer_spring_never_makes_the_forecast_later(first: int, length: int, warmer: float, as_of: int) -> None:
    """Whatever days of this spring are warmer, and whenever it is asked, bloom is not foretold later."""
    weather = springs(2024, 2025, 2026, 2027)
    day = YEAR.first + timedelta(days=as_of)
    warm = dict(weather)
    for n in range(first, first + length):
        low, high = weather[YEAR.first + timedelta(days=n)]
        warm[YEAR.first + timedelta(days=n)] = (low + warmer, high + warmer)

    before = the_one(bloom_forecasts(known(weather, THREE, day)))
    after = the_one(bloom_forecasts(known(warm, THREE, day)))

    assert after.season_day <= before.season_day + 1e-9


def test_nothing_later_than_the_day_of_asking_is_looked_at() -> None:
    """Neither later weather nor this season's own bloom changes a forecast."""
    weather = springs(2024, 2025, 2026, 2027)
    as_of = date(2027, 3, 31)
    told = bloom_forecasts(known(weather, THREE, as_of))

    hot = {day: (30.0, 30.0) if day > as_of else temps for day, temps in weather.items()}

    assert bloom_forecasts(known(hot, THREE, as_of)) == told
    seen = the_one(bloom_forecasts(known(weather, [*THREE, noted(2027, off=9)])))
    assert replace(seen, not_yet=YEAR.last) == the_one(bloom_forecasts(known(weather, THREE)))


def test_the_south_is_told_the_same_half_a_year_on() -> None:
    """The same weather from midwinter on gives the same season day, from 1 August on in the south."""
    south = WorkingYear(year=2027, hemisphere=Hemisphere.SOUTH)
    weather = springs(2024, 2025, 2026, 2027, hemisphere=Hemisphere.SOUTH)
    records = []
    for year in (2024, 2025, 2026):
        day = bloom_day(weather, date(year - 1, 8, 1))
        records.append(Record(day=day, season=year, what=Happening.FULL_BLOOM, tree="1", where=HERE))

    found = the_one(bloom_forecasts(known(weather, records, south.last, year=south)))

    assert words(found).startswith("Warmth up to 30 Jun: ")
    assert abs((found.day - bloom_day(weather, date(2026, 8, 1))).days) <= 2


def without(weather: Mapping[date, tuple[float, float]], first: date, days: int) -> dict[date, tuple[float, float]]:
    gone = {first + timedelta(days=n) for n in range(days)}
    return {day: temps for day, temps in weather.items() if day not in gone}


@pytest.mark.parametrize(
    ("weather", "as_of", "words"),
    [
        (springs(2027), YEAR.last, ["no spring has both", "2024: the weather begins on 1 Jan 2027"]),
        (
            without(without(springs(2025, 2026, 2027), date(2025, 3, 3), 7), date(2026, 3, 9), 4),
            YEAR.last,
            ["2025: no weather from 3 Mar to 9 Mar 2025; 2026: no weather from 9 Mar to 12 Mar 2026"],
        ),
        (
            without(springs(2024, 2025, 2026, 2027), date(2027, 3, 3), 4),
            YEAR.last,
            ["no weather from 3 Mar to 6 Mar 2027"],
        ),
        (springs(2024, 2025, 2026), YEAR.last, ["no weather of the season 2027"]),
    ],
)
def test_where_weather_is_missing_the_reason_says_which(
    weather: Mapping[date, tuple[float, float]], as_of: date, words: list[str]
) -> None:
    """A gap, a late beginning and a missing season are named with their days."""
    reason = the_reason(bloom_forecasts(known(weather, THREE, as_of)))

    for word in words:
        assert word in reason


def test_weather_of_spring_alone_is_enough() -> None:
    """Gaps outside the time from the start of counting to well past bloom do no harm."""
    spring_only = {day: temps for day, temps in springs(2024, 2025, 2026, 2027).items() if day.month < 7}

    found = the_one(bloom_forecasts(known(spring_only, THREE, date(2027, 3, 20))))

    assert found.day == the_one(bloom_forecasts(known(springs(2024, 2025, 2026, 2027), THREE, date(2027, 3, 20)))).day


def test_a_short_gap_is_no_hindrance() -> None:
    """Two days filled in a smooth spring leave the forecast where it was."""
    weather = springs(2024, 2025, 2026, 2027)

    assert the_one(bloom_forecasts(known(without(weather, date(2025, 3, 3), 2), THREE))).day == (
        the_one(bloom_forecasts(known(weather, THREE))).day
    )


def test_a_season_whose_weather_ends_in_spring_lends_no_days() -> None:
    """An earlier season whose own weather ends too soon can't say how this one goes on; with one there is an answer."""
    weather = springs(2024, 2025, 2026, 2027)
    short = {day: temps for day, temps in weather.items() if not date(2024, 5, 5) < day < date(2024, 12, 31)}
    none = {day: temps for day, temps in weather.items() if day.year == 2027 or day.timetuple().tm_yday < 116}

    found = the_one(bloom_forecasts(known(short, THREE, date(2027, 3, 20))))
    why = bloom_forecasts(known(none, THREE, date(2027, 3, 20)))[0]

    assert found.ahead == 2
    assert isinstance(why, NoForecast)
    assert why.why == FewAhead(0, 1)
    assert the_one(bloom_forecasts(known(none, THREE, date(2027, 5, 20)))).scatter_d == 0


def test_a_season_too_cold_to_reach_the_sum_gives_no_forecast() -> None:
    """Where one manner of going on never gathers the heat, no mean is made of the others."""
    weather = springs(2023, 2024, 2025, 2026, 2027)
    cold = {day: (-20.0, -20.0) if day.year == 2023 else temps for day, temps in weather.items()}

    why = bloom_forecasts(known(cold, THREE, date(2027, 3, 1)))[0]

    assert isinstance(why, NoForecast)
    assert why.why == SumNotReached()
    assert "never enough" in words_of(why, IN_ENGLISH)


def test_without_a_bloom_noted_there_is_nothing_to_fit() -> None:
    """Weather alone foretells nothing of one's own trees."""
    why = bloom_forecasts(known(springs(2024, 2025, 2026, 2027)))[0]

    assert isinstance(why, NoForecast)
    assert why.why == FewSprings(())


def test_one_bearing_speaks_for_its_fruit() -> None:
    """Of trees of one fruit that with most seasons noted under weather is taken; without weather nothing is said."""
    weather = springs(2023, 2024, 2025, 2026, 2027)
    limbs = [tree("1"), tree("2"), tree("3")]
    records = [*(noted(year, "1") for year in (2024, 2025, 2026)), *(noted(year, "2") for year in LEADS if year < 2027)]

    assert the_one(bloom_forecasts(known(weather, records, limbs=limbs))).bearing == Bearing("2", "pear")
    assert bloom_forecasts(known({}, records, limbs=limbs)) == ()
    assert pick_forecasts(known({}, records, limbs=limbs)) == ()


def test_springs_that_disagree_widen_the_error() -> None:
    """Blooms that don't follow the heat leave an error as wide as they are apart."""
    weather = springs(2024, 2025, 2026, 2027)
    records = [noted(2024, off=-8), noted(2025, off=8), noted(2026)]

    assert the_one(bloom_forecasts(known(weather, records))).error_d > 7


# Published rules

SPRING_RULE = SpringHeatRule(
    day_of_year=235,
    less_d=0.07,
    above_c=10,
    during=Stretch(first=MonthDay(1, 1), last=MonthDay(6, 3)),
    within=WITHIN,
    cited=CITED,
)
NIGHTS_RULE = BloomNightsRule(days_from_bloom=143, less_d=1.8, above_c=10, nights=15, within=WITHIN, cited=CITED)


def steady(first: date, days: int, low: float, high: float) -> dict[date, tuple[float, float]]:
    return {first + timedelta(days=n): (low, high) for n in range(days)}


def bloomed(day: date, tag: str = "1") -> Record:
    return Record(day=day, season=2027, what=Happening.FULL_BLOOM, tree=tag, where=HERE)


def test_a_spring_rule_takes_its_days_for_each_degree_day_of_its_stretch() -> None:
    """Two degree-days a day from 1 January to 3 June and nothing of 4 June."""
    weather = steady(YEAR.first, 154, 12, 12) | steady(date(2027, 6, 4), 30, 30, 30)

    found = the_one(pick_forecasts(known(weather, limbs=[tree(heat_rule=SPRING_RULE)])))

    assert found.season_day == pytest.approx(235 - 1 - 0.07 * 2 * 154)
    assert (found.error_d, found.scatter_d, found.from_bloom) == (4, 0, False)
    assert words(found) == (
        "Warmth from 1 Jan to 3 Jun: 554 degree-days above 50 °F, by the printed rule a first pick about 1 Aug"
    )
    assert found.cited == (CITED, CITED)


def test_a_nights_rule_takes_the_fifteen_nights_after_bloom() -> None:
    """Nights of 8 °C make it 1.8 days later for each of two degrees; the night of bloom itself does not count."""
    bloom = date(2027, 5, 1)
    nights = steady(date(2027, 5, 2), 15, 8, 25)
    weather = steady(YEAR.first, 121, 20, 25) | nights | steady(date(2027, 5, 17), 9, 20, 25)

    found = the_one(pick_forecasts(known(weather, [bloomed(bloom)], limbs=[tree(heat_rule=NIGHTS_RULE)])))

    assert found.season_day == pytest.approx(YEAR.day_number(bloom) + 143 + 3.6)
    assert found.from_bloom
    assert words(found) == (
        "The 15 nights after full bloom: 46 °F on average beside 50 °F, by the printed rule 147 days from bloom"
    )


def test_a_nights_rule_waits_for_bloom_and_gives_way_to_the_households_interval() -> None:
    """Without bloom there is nothing to count from; a stated interval is not argued with."""
    weather = steady(YEAR.first, 200, 10, 20)
    interval = Figure(value=DayCount(low=140, high=140), text="140 days", cited=CITED)
    own, limb = tree("1", heat_rule=NIGHTS_RULE)
    stating = replace(own, limbs=(replace(limb, from_bloom=interval),))
    second = tree("2", heat_rule=NIGHTS_RULE)[0]
    records = [bloomed(date(2027, 5, 1)), bloomed(date(2027, 5, 3), "2")]

    assert "none is noted this season" in the_reason(pick_forecasts(known(weather, limbs=[(own, limb)])))
    assert "none is noted this season" in the_reason(
        pick_forecasts(known(weather, records, limbs=[(stating, stating.limbs[0])]))
    )
    both = the_one(pick_forecasts(known(weather, records, limbs=[(stating, stating.limbs[0]), (second, limb)])))
    assert both.bearing == Bearing("2", "pear")


def test_a_rule_whose_stretch_is_not_over_goes_on_as_other_seasons_did() -> None:
    """Three other springs of 1, 2 and 3 degree-days a day spread the days ahead; with two there is no forecast."""
    by_year = {2024: 11.0, 2025: 12.0, 2026: 13.0}
    weather = {
        day: temps
        for year, temp in by_year.items()
        for day, temps in steady(date(year, 1, 1), 366 if year == 2024 else 365, temp, temp).items()
    } | steady(YEAR.first, 100, 10, 10)
    limbs = [tree(heat_rule=SPRING_RULE)]

    found = the_one(pick_forecasts(known(weather, limbs=limbs)))
    fewer = pick_forecasts(known({day: t for day, t in weather.items() if day.year > 2024}, limbs=limbs))

    weights = [math.exp(-years / 20) for years in (3, 2, 1)]  # the nearer, the more
    heat = 54 * sum(map(math.prod, zip((1, 2, 3), weights, strict=True))) / sum(weights)
    assert found.season_day == pytest.approx(234 - 0.07 * heat)
    assert found.scatter_d == pytest.approx(0.07 * 54 * math.sqrt(4 / 3), rel=0.02)
    assert "2 other seasons" in the_reason(fewer)


def test_a_rule_without_the_start_of_its_stretch_says_what_is_missing() -> None:
    """Weather from February on can't give a sum from 1 January."""
    weather = steady(date(2027, 2, 1), 150, 10, 20)

    reason = the_reason(pick_forecasts(known(weather, limbs=[tree(heat_rule=SPRING_RULE)])))

    assert reason == "the weather begins on 1 Feb 2027"


# In the notes


def rule_note(rule: str) -> dict[str, str]:
    return {
        "trees/1.md": "---\ncultivar: home peach\n---\n",
        "cultivars/home-peach.md": f"---\nfruit: peach\nheat rule: {{{rule}}}\n---\n",
    }


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ("gives: week of the year, value: 1", "not known here"),
        ("gives: day of the year, value: 200, less: 1 day per degree-day F, above: 50 F, within: 4 days", "no during"),
        (
            "gives: day of the year, value: 200, less: 0.04, above: 50 F, during: Jan 1 - Jun 3, within: 4 days",
            "no number of days a degree",
        ),
        (
            "gives: day of the year, value: 9, less: 1 day per degree F, above: 50 F, during: 15 days, within: 3 days",
            "no month is called",
        ),
        (
            "gives: days from full bloom, value: 9, less: 1 day per degree C, over: 5 F, during: 5 days",
            'the key "over" is not known',
        ),
    ],
)
def test_a_faulty_rule_is_named(holding_of: Callable[..., Holding], rule: str, words: str) -> None:
    """Each part of a heat rule is needed and has its own kind."""
    with pytest.raises(FaultyNotes, match=words):
        holding_of(rule_note(rule))


def test_a_rule_in_either_unit_is_the_same_rule(holding_of: Callable[..., Holding]) -> None:
    """One day per °F is 1.8 days per °C."""
    head, tail = "gives: days from full bloom, value: 143", "during: 15 days, within: 4 days"

    rule = holding_of(rule_note(f"{head}, less: 1 day per degree F, above: 50 F, {tail}")).cultivars["home-peach"]
    same = holding_of(rule_note(f"{head}, less: 1.8 days per degree C, above: 10 C, {tail}")).cultivars["home-peach"]

    one, two = rule.traits.heat_rule, same.traits.heat_rule
    assert isinstance(one, BloomNightsRule)
    assert isinstance(two, BloomNightsRule)
    assert (one.days_from_bloom, one.nights, one.less_d, one.above_c) == (143, 15, 1.8, pytest.approx(10))
    assert (two.less_d, two.above_c) == (one.less_d, pytest.approx(one.above_c))


# In the season model


@pytest.fixture(scope="module")
def example() -> Holding:
    """Return the example household."""
    content = Path(__file__).parents[2] / "content"
    return read_holding(content / "example", content / "reference")


def bloom_of(model: SeasonModel, tag: str, cultivar: str) -> Estimate:
    found = model.season().dates[Happens.of(Bearing(tag, cultivar), Event.FULL_BLOOM)]
    assert isinstance(found, Estimate)
    return found


def test_warmth_brings_the_bloom_nearer_to_its_day_and_says_so(example: Holding) -> None:
    """On 20 April 2027 the example's warmth tells of the pears' bloom of 4 May, in the words of the forecast."""
    as_of = date(2027, 4, 20)
    told = SeasonModel(example, YEAR, as_of)
    untold = SeasonModel(replace(example, weather=Weather()), YEAR, as_of)

    bloom, without_weather = bloom_of(told, "1-01", "bartlett"), bloom_of(untold, "1-01", "bartlett")

    happened = date(2027, 5, 4)
    assert abs(bloom.likely - happened) <= abs(without_weather.likely - happened)
    assert bloom.spread_d < without_weather.spread_d
    texts = {words_of(one, IN_ENGLISH) for one in told.forecasts if isinstance(one, Forecast)}
    assert texts & {words_of(reason.why, IN_ENGLISH) for reason in bloom.reasons}
    other = bloom_of(told, "1-02", "bartlett")
    assert any("Warmth this spring, reckoned for" in words_of(reason.why, IN_ENGLISH) for reason in other.reasons)


def test_a_noted_bloom_takes_the_forecasts_place(example: Holding) -> None:
    """Once a bloom is on record its forecast bears on nothing any more."""
    groups = {o.group for o in SeasonModel(example, YEAR, date(2027, 4, 20)).observations}
    later = {o.group for o in SeasonModel(example, YEAR, date(2027, 8, 28)).observations}

    assert Group.of(Evidence.WARMTH, Event.FULL_BLOOM, "1-01", "bartlett") in groups
    assert not any(group.evidence is Evidence.WARMTH for group in later)


def test_what_another_day_made_of_earlier_springs_is_what_is_made_alone(example: Holding) -> None:
    """From a day in winter to one after the picks, day after day: the same observations and the same dates."""
    model = SeasonModel(example, YEAR, date(2027, 1, 2))
    for day in (date(2027, 2, 20), date(2027, 4, 12), date(2027, 5, 1), date(2027, 5, 9), date(2027, 9, 4)):
        model, alone = SeasonModel(example, YEAR, day, model), SeasonModel(example, YEAR, day)
        assert model.observations == alone.observations
        assert model.forecasts == alone.forecasts
        whole = alone.season().dates
        soon = model.dates(whole)
        said = {h: (d.reach, d.basis, d.rough) for h, d in whole.items() if isinstance(d, Estimate)}
        assert {h: (d.reach, d.basis, d.rough) for h, d in soon.items() if isinstance(d, Estimate)} == said


def test_forecasts_that_share_their_days_ahead_say_no_more_of_them_than_one() -> None:
    """Four forecasts of one spring are together as sure of the days ahead as each alone."""
    found = the_one(bloom_forecasts(known(springs(2024, 2025, 2026, 2027), THREE, date(2027, 3, 1))))
    scatter_only = replace(found, error_d=0.0)

    one, four = (scatter_only.as_note(95.0, 20.0, many) for many in (1, 4))
    assert one is not None
    assert four is not None
    assert four[0] == one[0]
    assert four[1] / math.sqrt(4) == pytest.approx(one[1])


@given(
    season_day=st.floats(60, 130),
    error=st.floats(0.5, 6),
    scatter=st.floats(0, 8),
    usual=st.floats(80, 120),
    usual_d=st.floats(4, 20),
)
def test_a_note_leads_to_what_the_forecast_says(
    season_day: float, error: float, scatter: float, usual: float, usual_d: float
) -> None:
    """Beside the usual day the note gives the forecast's mean back, drawn there by the rule's error alone."""
    made = replace(plain_forecast(season_day), error_d=error, scatter_d=scatter)
    drawn = usual_d**2 / (usual_d**2 + error**2)

    note = made.as_note(usual, usual_d)

    if note is None:
        assert drawn * error**2 + (drawn * scatter) ** 2 >= 0.98 * usual_d**2
        return
    value, spread = note
    gain = usual_d**2 / (usual_d**2 + spread**2)
    assert usual + gain * (value - usual) == pytest.approx(usual + drawn * (season_day - usual), abs=1e-6)
    assert usual_d**2 * (1 - gain) == pytest.approx(drawn * error**2 + (drawn * scatter) ** 2)


@given(mean=st.floats(60, 130), spread=st.floats(1, 12), day=st.floats(40, 150), later=st.floats(0, 30))
def test_what_is_left_of_a_distribution_lies_after_the_day_and_never_earlier(
    mean: float, spread: float, day: float, later: float
) -> None:
    """Cutting the past off moves the mean on and narrows the rest, the more the later, until nobody believes it."""
    normal = statistics.NormalDist(mean, spread)
    rest, narrow = rest_of(mean, spread, day)

    assert rest >= mean
    assert 0 < narrow <= spread
    if 1 - normal.cdf(day) < 0.0099:
        assert (rest, narrow) == (mean, spread)
    if 1 - normal.cdf(day + later) > 0.0101:
        assert rest_of(mean, spread, day + later)[0] >= rest - 1e-9
        assert rest >= day


def test_what_is_left_agrees_with_counting_it_out() -> None:
    """Mean and spread of a normal distribution beyond a day, added up in small steps."""
    steps = np.arange(-40, 40, 0.001)
    for mean, spread, day in ((100.0, 6.0, 104.0), (100.0, 6.0, 95.0), (90.0, 3.0, 95.0)):
        values = mean + steps
        density = np.exp(-0.5 * (steps / spread) ** 2) * (values > day)
        average = (density * values).sum() / density.sum()
        variance = (density * (values - average) ** 2).sum() / density.sum()
        assert rest_of(mean, spread, day) == pytest.approx((average, math.sqrt(variance)), rel=1e-3)


@settings(max_examples=30, deadline=None)
@given(as_of=st.integers(20, 120), off=st.lists(st.integers(-6, 6), min_size=3, max_size=3))
def test_knowing_that_it_has_not_bloomed_never_makes_a_forecast_earlier(as_of: int, off: list[int]) -> None:
    """The day told lies no earlier than it would if nobody had looked, in the forecast and in the model's note."""
    records = [noted(year, off=days) for year, days in zip((2024, 2025, 2026), off, strict=True)]
    day = YEAR.first + timedelta(days=as_of)
    found = the_one(bloom_forecasts(known(springs(2024, 2025, 2026, 2027), records, day)))
    blind = replace(found, not_yet=None)

    assert found.mean_and_spread[0] >= blind.mean_and_spread[0]
    looked, unlooked = (posterior(one, 95.0, 8.0) for one in (found, blind))
    assert looked >= unlooked - 1e-6


def posterior(forecast: Forecast, usual: float, usual_d: float) -> float:
    note = forecast.as_note(usual, usual_d)
    if note is None:
        return usual
    gain = usual_d**2 / (usual_d**2 + note[1] ** 2)
    return usual + gain * (note[0] - usual)


def plain_forecast(season_day: float) -> Forecast:
    return Forecast(
        bearing=Bearing("1", "pear"),
        event=Event.FULL_BLOOM,
        year=YEAR,
        season_day=season_day,
        error_d=2.0,
        scatter_d=0.0,
        by=BySprings(3, 25),
        known_to=YEAR.last,
        ahead=0,
    )


def test_the_order_of_notes_changes_nothing() -> None:
    """Records in any order give the same forecast to the last bit."""
    weather = springs(2023, 2024, 2025, 2026, 2027)
    as_of = date(2027, 3, 10)
    records = [noted(2023, off=2), noted(2024, off=-3), noted(2025), noted(2026, off=4)]

    one = bloom_forecasts(known(weather, records, as_of))

    assert bloom_forecasts(known(dict(reversed(weather.items())), records[::-1], as_of)) == one


def test_a_rule_from_bloom_stands_beside_no_printed_interval(holding_of: Callable[..., Holding]) -> None:
    """143 days and the nights after bloom are one rule; the printed interval is in what is expected alone."""
    rows = [f"{day},{42 if day.month == 5 else 50},75" for day in steady(YEAR.first, 200, 0, 0)]
    notes = {
        "place.md": "---\nzone: 6b\nlatitude: 42.3 N\nelevation: 600 ft\n---\n",
        "trees/1.md": "---\ncultivar: Red Delicious\n---\n",
        "records/2027.csv": "date,tree,what\n2027-05-02,1,full bloom\n",
    }

    bare = SeasonModel(holding_of(notes), YEAR, date(2027, 7, 1)).observations
    weather = "\n".join(["date,tmin_f,tmax_f", *rows, ""])
    told = SeasonModel(holding_of({**notes, "weather/2027.csv": weather}), YEAR, date(2027, 7, 1)).observations

    assert {o.group for o in bare} <= {o.group for o in told}
    assert Group.of(Evidence.INTERVAL, Event.PICK, "1", "red-delicious") not in {o.group for o in told}
    foretold = Group.of(Evidence.WARMTH, Event.PICK, "1", "red-delicious")
    assert [o.value for o in told if o.group == foretold] == pytest.approx([121 + 151])
