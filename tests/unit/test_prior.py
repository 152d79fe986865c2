"""What is expected of a cultivar on this ground before anything is noted."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from season_notes import NORTH, SOUTH, note, read

from firmripe.days import DayCount, WorkingYear
from firmripe.holding.fruit import Event
from firmripe.season.estimate import NoDate, Reason
from firmripe.season.prior import Expectations, Prior, cited_of, interval_spread

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
        return Expectations(holding.place, year, holding.cultivars).of(holding.cultivars[key], event, crop)

    return ask


def day(found: Prior | NoDate, year: WorkingYear = NORTH) -> date:
    """Return the expected date; fails where there is none."""
    assert isinstance(found, Prior), found
    return year.date_of(found.day)


def prior(found: Prior | NoDate) -> Prior:
    """Return what is expected; fails where nothing is."""
    assert isinstance(found, Prior), found
    return found


# Over zones


def test_a_date_of_the_same_zone_is_taken_as_printed(expect: Expect) -> None:
    """On ground of the zone that it is printed for a date stays, as unsure as another place makes it."""
    found = prior(expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]"))
    assert day(found) == date(2027, 8, 16)
    assert found.place_d == pytest.approx(7)
    assert found.reasons[1].days == pytest.approx(0)


def test_a_stretch_is_expected_at_its_middle(expect: Expect) -> None:
    """A stretch of days counts from its middle, and its width adds to what is unsure of the cultivar."""
    found = prior(expect("zone: 7b", "windows: [{pick: Aug 10 - Aug 22, zone: 7b}]"))
    assert day(found) == date(2027, 8, 16)
    assert found.kin == (("bosc", pytest.approx(math.hypot(4, 12 / math.sqrt(12)))),)


@pytest.mark.parametrize(("zone", "share"), [("7a", 1 / 4), ("6b", 1 / 2), ("6a", 3 / 4), ("7", 1 / 8)])
def test_a_date_is_interpolated_between_the_zones_around_it(expect: Expect, zone: str, share: float) -> None:
    """Between a place of a warmer and one of a colder zone a date lies in proportion."""
    windows = "windows: [{pick: Aug 10, zone: 7b}, {pick: Aug 22, zone: 5b}]"
    assert prior(expect(f"zone: {zone}", windows)).day == pytest.approx(221 + 12 * share)


def test_only_the_nearest_zones_on_either_side_speak(expect: Expect) -> None:
    """A place of a zone farther off adds nothing where nearer ones lie on both sides."""
    windows = "windows: [{pick: Aug 10, zone: 7b}, {pick: Aug 20, zone: 6b}, {pick: Jun 1, zone: 9b}]"
    found = prior(expect("zone: 7a", windows))
    assert day(found) == date(2027, 8, 15)
    assert "zone: 9b" not in found.reasons[0].text
    assert len(found.reasons[0].cited) == 2


@pytest.mark.parametrize(
    ("zone", "days"), [("7b", 0), ("7a", 5), ("6b", 10), ("6", 12.5), ("8a", -5), ("9a", -15), ("8", -7.5)]
)
def test_beyond_the_printed_zones_a_date_moves_five_days_a_half_zone(expect: Expect, zone: str, days: float) -> None:
    """Colder ground is later, warmer ground earlier, and each half zone moved makes it less sure."""
    found = prior(expect(f"zone: {zone}", "windows: [{pick: Aug 16, zone: 7b}]"))
    assert found.day == pytest.approx(227 + days)
    assert found.reasons[1].days == pytest.approx(days)
    assert found.place_d == pytest.approx(math.hypot(7, 3 * days / 5))


@pytest.mark.parametrize(("zone", "days"), [("5b", 20), ("5a", 20), ("3a", 20), ("9b", -20), ("11b", -20)])
def test_a_date_is_carried_no_more_than_four_half_zones(expect: Expect, zone: str, days: float) -> None:
    """Farther than four half zones the day stands still, and only its spread goes on growing."""
    found = prior(expect(f"zone: {zone}", "windows: [{pick: Aug 16, zone: 7b}]"))
    assert found.day == pytest.approx(227 + days)
    assert found.place_d >= math.hypot(7, 12) - 1e-9


def test_several_places_of_one_zone_are_averaged(expect: Expect) -> None:
    """Two places of the same zone count alike where nothing more is known of them."""
    windows = "windows: [{pick: Aug 10, zone: 7b}, {pick: Aug 20, zone: 7b}]"
    assert day(expect("zone: 7b", windows)) == date(2027, 8, 15)


def test_of_two_places_the_nearer_in_latitude_counts_more(expect: Expect) -> None:
    """A date that had to be moved over many degrees weighs less in the mean."""
    windows = "windows: [{pick: Aug 10, latitude: 42 N}, {pick: Jul 1, latitude: 32 N}]"
    found = prior(expect("latitude: 42 N", windows))
    near, far = 221, 181 + 40
    assert found.day == pytest.approx(near) == pytest.approx(far)
    other = prior(expect("latitude: 42 N", windows.replace("Jul 1", "Jul 31")))
    weight = (1 / 7**2) / (1 / 7**2 + 1 / (7**2 + 15**2))
    assert other.day == pytest.approx(weight * 221 + (1 - weight) * 251)


@pytest.mark.parametrize(("days_apart", "more"), [(0, 0), (14, 0), (40, math.sqrt(20**2 - 7**2))])
def test_places_of_one_zone_that_disagree_make_a_date_less_sure(expect: Expect, days_apart: int, more: float) -> None:
    """What goes beyond the usual spread of places is doubt about the cultivar."""
    other = date(2027, 8, 1) + timedelta(days=days_apart)
    windows = f"windows: [{{pick: Aug 1, zone: 7b}}, {{pick: {other:%b} {other.day}, zone: 7b}}]"
    found = prior(expect("zone: 7b", windows))
    assert found.day == pytest.approx(212 + days_apart / 2)
    assert found.kin == (("bosc", pytest.approx(math.hypot(4, more))),)


# Over latitude and height


@pytest.mark.parametrize(
    ("ground", "days"),
    [
        ("latitude: 44 N, elevation: 200 m", 8),
        ("latitude: 41 N, elevation: 200 m", -4),
        ("latitude: 42 N, elevation: 500 m", 9),
        ("latitude: 42 N, elevation: 0 m", -6),
        ("latitude: 43 N, elevation: 300 m", 7),
    ],
)
def test_a_date_moves_later_poleward_and_uphill(expect: Expect, ground: str, days: float) -> None:
    """Four days a degree and three days a hundred metres, with the spreads of both."""
    found = prior(expect(ground, "windows: [{pick: Aug 16, latitude: 42 N, elevation: 200 m}]"))
    assert found.day == pytest.approx(227 + days)
    assert found.reasons[1].days == pytest.approx(days)
    assert found.reasons[1].text == "Carried to this ground by latitude and height"


def test_latitude_and_height_add_to_the_zone(expect: Expect) -> None:
    """A colder zone, a higher latitude and a higher place each make it later."""
    windows = "windows: [{pick: Aug 16, zone: 7b, latitude: 42 N, elevation: 200 m}]"
    found = prior(expect("zone: 7a, latitude: 43 N, elevation: 300 m", windows))
    assert found.day == pytest.approx(227 + 5 + 4 + 3)
    assert found.place_d == pytest.approx(math.sqrt(7**2 + 3**2 + 1.5**2 + 1**2))


def test_leaves_fall_earlier_in_colder_higher_and_more_northern_places(expect: Expect) -> None:
    """In autumn the rules run backwards."""
    windows = "windows: [{leaf fall: Nov 1, zone: 7b, latitude: 42 N, elevation: 200 m}]"
    ground = "zone: 7a, latitude: 43 N, elevation: 300 m"
    found = prior(expect(ground, windows, Event.LEAF_FALL))
    assert found.day == pytest.approx(304 - 5 - 4 - 3)


def test_bloom_comes_later_in_colder_higher_and_more_northern_places(expect: Expect) -> None:
    """In spring the rules run as for picking."""
    windows = "windows: [{bloom: Apr 20, zone: 7b, latitude: 42 N, elevation: 200 m}]"
    ground = "zone: 7a, latitude: 43 N, elevation: 300 m"
    assert prior(expect(ground, windows, Event.FULL_BLOOM)).day == pytest.approx(109 + 5 + 4 + 3)


def test_a_date_carried_by_zone_alone_is_rough(expect: Expect) -> None:
    """Winter cold says little of summer; latitude and height together say more."""
    by_zone = prior(expect("zone: 7a", "windows: [{pick: Aug 16, zone: 7b}]"))
    windows = "windows: [{pick: Aug 16, zone: 7b, latitude: 42 N, elevation: 200 m}]"
    by_ground = prior(expect("zone: 7a, latitude: 42 N, elevation: 200 m", windows))
    assert (by_zone.rough, by_ground.rough) == (True, False)


def test_without_a_place_of_its_own_a_date_is_taken_as_printed(expect: Expect) -> None:
    """A garden of which nothing is known gets the printed date, and is told so."""
    found = prior(expect("name: Our trees", "windows: [{pick: Aug 16, zone: 7b}]"))
    assert day(found) == date(2027, 8, 16)
    assert found.rough
    assert found.reasons[1] == Reason(text="Taken as printed: nothing says where this is")


def test_a_date_whose_place_is_not_known_is_taken_as_printed(expect: Expect) -> None:
    """Where this ground is known, it is the other that nothing is said of; without days, no change is claimed."""
    found = prior(expect("latitude: 42 N", "windows: [{pick: Aug 16, zone: 7b}]"))
    assert found.reasons[1] == Reason(text="Taken as printed: nothing says how its place lies beside this one")


@pytest.mark.parametrize(("height", "rough"), [("200 m", ""), ("2100 m", ""), ("2300 m", "rough")])
def test_a_date_from_too_far_is_rough_though_latitude_and_height_are_known(
    expect: Expect, height: str, rough: str
) -> None:
    """Beyond sixty days it is cut off, whatever carried it."""
    windows = "windows: [{pick: Jun 16, zone: 7b, latitude: 42 N, elevation: 200 m}]"
    assert prior(expect(f"zone: 7b, latitude: 42 N, elevation: {height}", windows)).rough is bool(rough)


@pytest.mark.parametrize(("here", "there", "days"), [("60 N", "20 N", 60), ("20 N", "60 N", -60), ("30 N", "20 N", 40)])
def test_a_date_moves_no_more_than_sixty_days(expect: Expect, here: str, there: str, days: float) -> None:
    """Farther off it is another climate: what is cut off goes to half into the doubt."""
    found = prior(expect(f"latitude: {here}", f"windows: [{{pick: Aug 16, latitude: {there}}}]"))
    degrees = abs(float(here[:2]) - float(there[:2]))
    far = "Carried to this ground by latitude, no further than 60 days: its place is far from this one"
    assert (found.reasons[1].text == far) == (degrees > 15)
    assert found.rough
    assert found.day == pytest.approx(227 + days)
    assert found.reasons[1].days == pytest.approx(days)
    assert found.place_d == pytest.approx(math.hypot(7, 1.5 * degrees, (4 * degrees - abs(days)) / 2))


def test_the_households_own_date_for_its_own_ground_is_as_sure_as_a_marker(expect: Expect) -> None:
    """Nothing is carried, so that no place adds to the doubt, and it is not rough."""
    found = prior(expect("zone: 7b", "windows: [{pick: Aug 16, place: here}]"))
    assert day(found) == date(2027, 8, 16)
    assert (found.place_d, found.rough, found.kin) == (0.0, False, (("bosc", 3.0),))


# The calendar


@pytest.mark.parametrize("year", [WorkingYear(year=2028), NORTH, WorkingYear(year=2100)])
def test_a_printed_day_is_the_same_day_in_leap_years(expect: Expect, year: WorkingYear) -> None:
    """The day of the month stays, not the number of the day."""
    found = expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", year=year)
    assert day(found, year) == date(year.year, 8, 16)


def test_a_stretch_over_new_year_keeps_its_length(expect: Expect) -> None:
    """From late December to early January it is three weeks, not eleven months."""
    found = prior(expect("zone: 9b", "windows: [{pick: Dec 20 - Jan 10, zone: 9b}]"))
    assert found.day == pytest.approx((353 + 374) / 2)
    assert found.kin[0][1] == pytest.approx(math.hypot(4, 21 / math.sqrt(12)))


def test_a_northern_date_is_read_half_a_year_off_in_the_south(expect: Expect) -> None:
    """16 August at 42 north is 16 February at 42 south."""
    windows = "windows: [{pick: Aug 16, latitude: 42 N, elevation: 200 m}]"
    found = expect("latitude: 42 S, elevation: 200 m", windows, year=SOUTH)
    assert day(found, SOUTH) == date(2027, 2, 16)


def test_the_households_own_dates_are_of_its_own_half_of_the_earth(expect: Expect) -> None:
    """A window that a southern household writes for its own ground is not turned round."""
    found = expect("latitude: 42 S", "windows: [{pick: Feb 16, place: here}]", year=SOUTH)
    assert day(found, SOUTH) == date(2027, 2, 16)


# Beside another cultivar, from bloom, of the fruit


def test_an_offset_counts_from_the_other_cultivar(expect: Expect) -> None:
    """Its date is the other's and so many days, and it shares what may be off of the other."""
    others = {"cultivars/comice.md": note("fruit: pear", "offset: {from: bosc, value: 14 days after}")}
    found = prior(expect("zone: 7a", "windows: [{pick: Aug 16, zone: 7b}]", key="comice", others=others))
    assert found.day == pytest.approx(227 + 5 + 14)
    assert found.kin == (("comice beside bosc", 4.0), ("bosc", pytest.approx(4.0)))
    assert found.reasons[0].text == "Printed: 14 days after Bosc"


def test_offsets_may_count_from_one_another(expect: Expect) -> None:
    """Before one that is after a third."""
    others = {
        "cultivars/comice.md": note("fruit: pear", "offset: {from: bosc, value: 14 days after}"),
        "cultivars/seckel.md": note("fruit: pear", "offset: {from: comice, value: 20 days before}"),
    }
    found = prior(expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", key="seckel", others=others))
    assert found.day == pytest.approx(227 + 14 - 20)
    assert [name for name, _ in found.kin] == ["seckel beside comice", "comice beside bosc", "bosc"]


def test_an_offset_from_a_cultivar_without_a_date_gives_none(expect: Expect) -> None:
    """Nothing can be counted from nothing."""
    others = {"cultivars/comice.md": note("fruit: pear", "offset: {from: bosc, value: 14 days after}")}
    found = expect("zone: 7b", "also: [Kaiser]", key="comice", others=others)
    assert isinstance(found, NoDate)


def test_a_window_of_its_own_goes_before_an_offset(expect: Expect) -> None:
    """Where both are known the printed window decides."""
    lines = ("fruit: pear", "offset: {from: bosc, value: 14 days after}", "windows: [{pick: Oct 1, zone: 7b}]")
    others = {"cultivars/comice.md": note(*lines)}
    found = expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", key="comice", others=others)
    assert day(found) == date(2027, 10, 1)


def test_without_a_window_picking_counts_from_bloom(expect: Expect) -> None:
    """Full bloom and the middle of the printed interval."""
    windows = "windows: [{bloom: Apr 20, zone: 7b}]\ndays from bloom: 110-130 days"
    found = prior(expect("zone: 7b", windows))
    assert found.day == pytest.approx(109 + 120)
    assert found.reasons[0].text == "Printed: 110-130 days after full bloom"


def test_without_a_window_bloom_counts_back_from_picking(expect: Expect) -> None:
    """Picking less the middle of the printed interval."""
    windows = "windows: [{pick: Aug 16, zone: 7b}]\ndays from bloom: 110-130 days"
    found = prior(expect("zone: 7b", windows, Event.FULL_BLOOM))
    assert found.day == pytest.approx(227 - 120)
    assert found.reasons[0].text == "Printed: 110-130 days before picking"


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
    assert found.day == pytest.approx((212 + 282) / 2)
    assert found.kin == (("bosc", pytest.approx(math.hypot(20, 70 / math.sqrt(12)))),)


def test_a_cultivar_with_a_picking_date_takes_bloom_from_its_fruit(expect: Expect) -> None:
    """Kinds of one fruit bloom nearly together, so bloom is as sure as a date of its own."""
    others = {"fruits/pear.md": note("windows: [{bloom: Apr 20, zone: 7b}]")}
    found = prior(expect("zone: 7b", "windows: [{pick: Aug 16, zone: 7b}]", Event.FULL_BLOOM, others=others))
    assert found.day == pytest.approx(109)
    assert found.kin == (("bosc", pytest.approx(4)),)


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
    assert found.reason == f"neither the shelf nor the records say when the {event.value} of Bosc is"
    assert found.remedy == f"note one {event.value} in records, or give Bosc a window or an offset"


def test_every_printed_place_is_cited_once(expect: Expect) -> None:
    """The citations of all reasons, each once and in order."""
    windows = "windows: [{pick: Aug 10, zone: 7b}, {pick: Aug 20, zone: 6b}]"
    found = prior(expect("zone: 7a", windows))
    cited = cited_of((*found.reasons, *found.reasons))
    assert cited == found.reasons[0].cited
    assert len(cited) == 2
