"""What is expected of a cultivar on this ground before anything is noted."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from season_notes import NORTH, SOUTH, note, read

from firmripe.days import DayCount, WorkingYear
from firmripe.holding.fruit import Event
from firmripe.season import spreads
from firmripe.season.because import OfTheGround, Reckoned
from firmripe.season.climates import Climates
from firmripe.season.estimate import NoDate, Reason
from firmripe.season.printed import interval_spread
from firmripe.season.prior import Expectations, Prior
from firmripe.season.usual import Usual
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

Expect = Callable[..., Prior | NoDate]


@pytest.fixture
def expect(tmp_path: Path) -> Expect:
    """Return how to ask for an event of one cultivar on some ground."""

    def ask(  # noqa: PLR0917
        ground: str,
        windows: str,
        event: Event = Event.PICK,
        year: WorkingYear = NORTH,
        key: str = "bosc",
        others: dict[str, str] | None = None,
        crop: str = "",
    ) -> Prior | NoDate:
        notes = {"place.md": note(*ground.split(", ")), "trees/1.md": note("cultivar: bosc")}
        notes |= {"fruits/pear.md": note("name: Pear"), "cultivars/bosc.md": note("fruit: pear", windows)}
        notes |= others or {}
        holding = read(tmp_path, notes)
        usual = Usual.at(holding.place, holding.cultivars, Climates(holding.stations), holding.weather)
        return Expectations(holding.place, year, holding.cultivars, usual).of(holding.cultivars[key], event, crop)

    return ask


def day(found: Prior | NoDate, year: WorkingYear = NORTH) -> date:
    """Return the expected date; fails where there is none."""
    assert isinstance(found, Prior), found
    return year.date_of(found.day)


def prior(found: Prior | NoDate) -> Prior:
    """Return what is expected; fails where nothing is."""
    assert isinstance(found, Prior), found
    return found


# By warmth


PRINTED = "windows: [{pick: Aug 16, zone: 6b, latitude: 42.1 N, longitude: 72 W, elevation: 640 ft}]"
"""Inland Massachusetts, with a spring of 7.7 °C."""


def test_a_date_of_the_very_ground_is_taken_as_printed(expect: Expect) -> None:
    """On the ground that it is printed for a date stands, and is as sure as a printed date can be."""
    found = prior(expect("zone: 6b, latitude: 42.1 N, longitude: 72 W, elevation: 640 ft", PRINTED))
    assert day(found) == date(2027, 8, 16)
    assert spreads.PRINTED_D <= found.spread_d <= spreads.PRINTED_D + 1
    assert found.reasons[1].days == pytest.approx(0, abs=0.01)
    assert not found.rough


@pytest.mark.parametrize(
    ("ground", "spring_c"),
    [
        ("latitude: 31 N, longitude: 90.5 W, elevation: 100 ft", 15.0),  # 19 °C, of which 15 count
        ("latitude: 38.3 N, longitude: 121.6 W, elevation: 10 ft", 15.0),  # 16 °C
        ("latitude: 45.7 N, longitude: 121.5 W, elevation: 500 ft", 10.9),
        ("latitude: 46.9 N, longitude: 96.8 W, elevation: 900 ft", 6.2),
    ],
)
def test_a_date_is_carried_by_the_springs_warmth(expect: Expect, ground: str, spring_c: float) -> None:
    """So many days a °C of spring as far as it counts; where winters are warm, more warmth brings nothing."""
    found = prior(expect(ground, PRINTED))
    per_c = spreads.DAYS_PER_C[Event.PICK][1]
    assert found.day == pytest.approx(227 + per_c * (spring_c - 7.7), abs=3)
    assert found.reasons[1].days == pytest.approx(found.day - 227, abs=0.05)
    assert sum(reason.days or 0.0 for reason in found.reasons) == pytest.approx(found.day - 227)
    assert words_of(found.reasons[1].why, IN_ENGLISH).startswith("Carried to this ground by warmth: a spring of ")
    assert not found.rough


def test_a_cool_summer_holds_picking_back_and_not_bloom(expect: Expect) -> None:
    """The coast of Washington has the spring of Hood River and two degrees less of summer."""
    windows = (
        "windows: [{pick: Aug 16, latitude: 45.7 N, longitude: 121.5 W, elevation: 500 ft},"
        " {bloom: Apr 20, latitude: 45.7 N, longitude: 121.5 W, elevation: 500 ft}]"
    )
    coast = "latitude: 47.6 N, longitude: 122.6 W, elevation: 100 ft"
    pick, bloom = (prior(expect(coast, windows, event)).day for event in (Event.PICK, Event.FULL_BLOOM))
    assert 5 <= pick - 227 <= 10
    assert bloom - 109 <= 4


def test_leaves_fall_later_where_autumn_is_warm(expect: Expect) -> None:
    """Three days a °C of autumn."""
    windows = PRINTED.replace("pick: Aug 16", "leaf fall: Nov 1")
    found = prior(expect("latitude: 36 N, longitude: 79.5 W, elevation: 640 ft", windows, Event.LEAF_FALL))
    assert found.day == pytest.approx(304 + 3 * (16 - 10), abs=3)
    assert "an autumn of" in words_of(found.reasons[1].why, IN_ENGLISH)


def test_the_farther_in_warmth_a_date_is_carried_the_less_sure_it_is(expect: Expect) -> None:
    """The slope is known with an error, which grows with the difference."""
    near, far = (
        prior(expect(f"latitude: {north} N, longitude: 78 W, elevation: 640 ft", PRINTED)).spread_d
        for north in (41, 33)
    )
    assert far > near + 3


@pytest.mark.parametrize(("zone", "later"), [("6b", 0), ("6a", 6), ("5a", 18), ("7a", -6), ("8a", -16), ("10b", -26)])
def test_a_zone_alone_moves_a_date_by_what_its_warmth_is_worth(expect: Expect, zone: str, later: float) -> None:
    """Half a zone is 1.2 °C of spring and 0.6 °C of summer over all stations; it is rough, and says so."""
    found = prior(expect(f"zone: {zone}", "windows: [{pick: Aug 16, zone: 6b}]"))
    assert found.day == pytest.approx(227 + later, abs=3)
    assert found.rough
    assert found.spread_d > 15


def test_where_the_position_is_known_a_zone_is_no_second_shift(expect: Expect) -> None:
    """Between stations little is left for it to tell: a half zone moves a date by two days at most."""
    ground = "latitude: 42.1 N, longitude: 75 W, elevation: 640 ft"
    days = [prior(expect(f"{ground}, zone: {zone}", PRINTED)).day for zone in ("6a", "6b")]
    assert abs(days[0] - days[1]) < 2


def test_places_are_averaged_the_surer_counting_more(expect: Expect) -> None:
    """A stretch of six weeks counts for less than a day."""
    other = "latitude: 42.1 N, longitude: 75 W, elevation: 640 ft"
    windows = f"windows: [{{pick: Aug 10, {other}}}, {{pick: Aug 10 - Sep 20, {other}}}]"
    found = prior(expect(other, windows))
    assert date(2027, 8, 11) <= day(found) <= date(2027, 8, 19)


def test_a_window_that_its_neighbours_belie_weighs_less(expect: Expect) -> None:
    """Of three that agree and one that is two months off, the three have nearly the whole say; all are listed."""
    grounds = [f"latitude: 42.1 N, longitude: {west} W, elevation: 640 ft" for west in (70, 75, 80, 85)]
    days = ("Aug 10", "Aug 12", "Aug 14", "Oct 14")
    windows = ", ".join(f"{{pick: {on}, {ground}}}" for on, ground in zip(days, grounds, strict=True))
    found = prior(expect("latitude: 42.1 N, longitude: 78 W, elevation: 640 ft", f"windows: [{windows}]"))
    assert date(2027, 8, 10) <= day(found) <= date(2027, 8, 22)
    assert len(found.reasons[0].cited) == 4


def test_a_fruits_days_are_told_as_wide_as_its_places_bear_out(expect: Expect) -> None:
    """Twenty places that agree make a date surer than twenty that are a fortnight off; one place says nothing of it."""

    def told(*days: str) -> float:
        spots = [
            f"latitude: {north} N, longitude: {west} W, elevation: 640 ft"
            for west in range(74, 94, 2)
            for north in (41, 43)
        ]
        windows = ", ".join(f"{{pick: {on}, {spot}}}" for on, spot in zip(days, spots, strict=False))
        return prior(expect("latitude: 42.1 N, longitude: 98 W, elevation: 640 ft", f"windows: [{windows}]")).spread_d

    assert told(*["Aug 16"] * 20) < 0.72 * told(*["Aug 2", "Aug 30"] * 10)
    assert told("Aug 16") == pytest.approx(told("Aug 2"), rel=1e-3)


def test_without_a_place_of_its_own_a_date_is_taken_as_printed(expect: Expect) -> None:
    """A garden of which nothing is known gets the printed date, and is told so."""
    found = prior(expect("name: Our trees", "windows: [{pick: Aug 16, zone: 7b}]"))
    assert day(found) == date(2027, 8, 16)
    assert found.rough
    assert found.spread_d > spreads.PLACE_UNKNOWN_D
    assert found.reasons[1] == Reason(why=OfTheGround.NOT_KNOWN)


def test_the_households_own_date_for_its_own_ground_is_as_sure_as_a_marker(expect: Expect) -> None:
    """Nothing is carried, so that no place adds to the doubt, and it is not rough."""
    found = prior(expect("zone: 7b", "windows: [{pick: Aug 16, place: here}]"))
    assert day(found) == date(2027, 8, 16)
    assert (found.spread_d, found.rough) == (pytest.approx(spreads.MARKER_D), False)


# What is unknown once


def shared(first: Prior, second: Prior) -> float:
    """Return the covariance of two dates' errors, days²."""
    theirs = dict(second.kin)
    return sum(moved * theirs.get(name, 0.0) for name, moved in first.kin)


def test_the_order_in_which_dates_are_asked_for_changes_nothing(tmp_path: Path) -> None:
    """Days, spreads and what they share are the same whoever is asked first."""
    notes = {
        "place.md": note("zone: 7b", "latitude: 42 N"),
        "fruits/pear.md": note("windows: [{bloom: Apr 20, zone: 7b}]"),
        "trees/1.md": note("limbs: [a, b, c]"),
    }
    for number, key in enumerate("abc"):
        notes[f"cultivars/{key}.md"] = note(
            "fruit: pear", f"windows: [{{pick: Aug {10 + number}, zone: {6 + number}b, latitude: 40 N}}]"
        )
    holding = read(tmp_path, notes)
    asked = [(key, event) for key in "abc" for event in (Event.FULL_BLOOM, Event.PICK)]
    found = []
    for order in (asked, asked[::-1], asked[3:] + asked[:3]):
        usual = Usual.at(holding.place, holding.cultivars, Climates(holding.stations), holding.weather)
        expected = Expectations(holding.place, NORTH, holding.cultivars, usual)
        told = {what: prior(expected.of(holding.cultivars[what[0]], what[1])) for what in order}
        found.append([(told[a].day, [shared(told[a], told[b]) for b in asked]) for a in asked])
    for other in found[1:]:
        for (one_day, one), (other_day, others) in zip(found[0], other, strict=True):
            assert other_day == pytest.approx(one_day, abs=1e-6)
            assert others == pytest.approx(one, abs=1e-6)


# The calendar


@pytest.mark.parametrize("year", [WorkingYear(year=2028), NORTH, WorkingYear(year=2100)])
def test_a_printed_day_is_the_same_day_in_leap_years(expect: Expect, year: WorkingYear) -> None:
    """The day of the month stays, not the number of the day."""
    found = expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", year=year)
    assert day(found, year) == date(year.year, 8, 16)


def test_a_stretch_over_new_year_keeps_its_length(expect: Expect) -> None:
    """From late December to early January it is three weeks, not eleven months."""
    found = prior(expect("zone: 9b", "windows: [{pick: Dec 20 - Jan 10, zone: 9b}]"))
    assert found.day == pytest.approx((353 + 374) / 2, abs=0.1)
    assert prior(expect("zone: 9b", "windows: [{pick: Dec 31, zone: 9b}]")).spread_d < found.spread_d


def test_a_northern_date_is_read_half_a_year_off_in_the_south(expect: Expect) -> None:
    """16 August at 42 north is 16 February at 42 south."""
    windows = "windows: [{pick: Aug 16, zone: 9a, latitude: 36 N}]"
    found = expect("zone: 9a, latitude: 36 S", windows, year=SOUTH)
    assert abs((day(found, SOUTH) - date(2027, 2, 16)).days) <= 10  # the two springs are not quite alike


def test_the_households_own_dates_are_of_its_own_half_of_the_earth(expect: Expect) -> None:
    """A window that a southern household writes for its own ground is not turned round."""
    found = expect("latitude: 42 S", "windows: [{pick: Feb 16, place: here}]", year=SOUTH)
    assert day(found, SOUTH) == date(2027, 2, 16)


# Beside another cultivar, from bloom, of the fruit


def test_an_offset_counts_from_the_other_cultivar(expect: Expect) -> None:
    """Its date is the other's and so many days, and it shares what may be off of the other."""
    others = {"cultivars/comice.md": note("fruit: pear", "offset: {from: bosc, value: 14 days after}")}
    base, found = (
        prior(expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", key=key, others=others))
        for key in ("bosc", "comice")
    )
    assert found.day - base.day == pytest.approx(14, abs=1)
    assert shared(base, found) > 0.7 * base.spread_d * found.spread_d
    assert words_of(found.reasons[0].why, IN_ENGLISH) == "Your own note: 14 days after Bosc"


def test_offsets_may_count_from_one_another(expect: Expect) -> None:
    """Before one that is after a third."""
    others = {
        "cultivars/comice.md": note("fruit: pear", "offset: {from: bosc, value: 14 days after}"),
        "cultivars/seckel.md": note("fruit: pear", "offset: {from: comice, value: 20 days before}"),
    }
    found = prior(expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", key="seckel", others=others))
    assert found.day == pytest.approx(227 + 14 - 20, abs=2)


def test_an_offset_from_a_cultivar_without_a_date_gives_none(expect: Expect) -> None:
    """Nothing can be counted from nothing."""
    others = {"cultivars/comice.md": note("fruit: pear", "offset: {from: bosc, value: 14 days after}")}
    found = expect("zone: 7b", "also: [Kaiser]", key="comice", others=others)
    assert isinstance(found, NoDate)


def test_an_order_is_firmer_than_the_dates_of_either(expect: Expect) -> None:
    """Two windows of other grounds say that they ripen together; the printed order is nearly kept."""
    lines = ("fruit: pear", "offset: {from: bosc, value: 14 days after}", "windows: [{pick: Aug 16, zone: 7b}]")
    others = {"cultivars/comice.md": note(*lines)}
    base, found = (
        prior(expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", key=key, others=others))
        for key in ("bosc", "comice")
    )
    assert 10 <= found.day - base.day <= 14


def test_without_a_window_picking_counts_from_bloom(expect: Expect) -> None:
    """Full bloom and the middle of the printed interval."""
    windows = "windows: [{bloom: Apr 20, zone: 7b}]\ndays from bloom: 110-130 days"
    found = prior(expect("zone: 7b", windows))
    assert found.day == pytest.approx(109 + 120, abs=2)
    assert words_of(found.reasons[0].why, IN_ENGLISH) == "Your own interval: 110–130 days after full bloom"


def test_without_a_window_bloom_counts_back_from_picking(expect: Expect) -> None:
    """Picking less the middle of the printed interval."""
    windows = "windows: [{pick: Aug 16, zone: 7b}]\ndays from bloom: 110-130 days"
    found = prior(expect("zone: 7b", windows, Event.FULL_BLOOM))
    assert found.day == pytest.approx(227 - 120, abs=2)
    assert words_of(found.reasons[0].why, IN_ENGLISH) == "Your own interval: 110–130 days before picking"


@pytest.mark.parametrize(("low", "high", "spread"), [(120, 120, 5), (110, 127, 5), (100, 140, 40 / math.sqrt(12))])
def test_an_interval_is_spread_evenly_over_its_range_but_never_less_than_five_days(
    low: float, high: float, spread: float
) -> None:
    """A printed interval is never surer than the years are."""
    assert interval_spread(DayCount(low=low, high=high)) == pytest.approx(spread)


def test_a_cultivar_without_dates_leans_on_its_fruit(expect: Expect) -> None:
    """It takes the fruit's window, far less sure."""
    others = {"fruits/pear.md": note("windows: [{pick: Aug 1 - Oct 10, zone: 7b}]")}
    found = prior(expect("zone: 7b", "also: [Kaiser]", others=others))
    assert found.day == pytest.approx((212 + 282) / 2, abs=0.1)
    assert found.spread_d > math.hypot(spreads.CULTIVAR_ON_FRUIT_D[Event.PICK], 70 / math.sqrt(12))


def test_a_cultivar_with_a_picking_date_takes_bloom_from_its_fruit(expect: Expect) -> None:
    """Kinds of one fruit bloom nearly together, so bloom is as sure as a date of its own."""
    others = {"fruits/pear.md": note("windows: [{bloom: Apr 20, zone: 7b}]")}
    found = prior(expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", Event.FULL_BLOOM, others=others))
    assert found.day == pytest.approx(109, abs=1)
    own = prior(expect("zone: 7b", "windows: [{bloom: Apr 20, zone: 7b}]", Event.FULL_BLOOM))
    assert found.spread_d < own.spread_d + 1


def test_each_crop_has_its_own_window(expect: Expect) -> None:
    """Of two crops a year each is looked for in its own stretch."""
    windows = "windows: [{pick: Jul 1, zone: 8b, crop: breba}, {pick: Sep 10, zone: 8b, crop: main}]"
    others = {"fruits/pear.md": note("crops: [breba, main]")}
    breba = expect("zone: 8b", windows, crop="breba", others=others)
    main = expect("zone: 8b", windows, crop="main", others=others)
    assert (day(breba), day(main)) == (date(2027, 7, 1), date(2027, 9, 10))


@pytest.mark.parametrize("event", list(Event))
def test_where_nothing_is_known_there_is_no_date_but_a_reason(expect: Expect, event: Event) -> None:
    """The reason names the event and the cultivar, and the remedy says what to note."""
    found = expect("zone: 7b", "also: [Kaiser]", event)
    assert isinstance(found, NoDate)
    assert (
        words_of(found.reason, IN_ENGLISH) == f"neither the shelf nor the records say when the {event.value} of Bosc is"
    )
    assert (
        words_of(found.remedy, IN_ENGLISH) == f"note one {event.value} in records, or give Bosc a window or an offset"
    )


def test_what_is_reckoned_for_this_ground_names_the_season_it_is_reckoned_by() -> None:
    """Leaves fall by the warmth of autumn, fruit ripens by that of spring, buds open by its first months."""
    assert words_of(Reckoned(Event.LEAF_FALL, 8.0), IN_ENGLISH).startswith("Reckoned for this ground: an autumn of ")
    assert words_of(Reckoned(Event.PICK, 8.0), IN_ENGLISH).startswith("Reckoned for this ground: a spring of ")
    assert words_of(Reckoned(Event.FULL_BLOOM, 8.0), IN_ENGLISH).endswith(" in the first two months of spring")
