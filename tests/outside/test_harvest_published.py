"""What sources outside this project print of fruit after the pick, each with its source beside it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction

import pytest
from conftest import SHELF, write_notes

from firmripe.harvest.conditioning import (
    Room,
    chilled,
    cold_for,
    counter_for,
    room_verdict,
    treatments_for,
)
from firmripe.harvest.crop import Crop
from firmripe.harvest.lots import Lot
from firmripe.harvest.nights import second_cold_night
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Event, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.place import Ground, Place
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weather import Weather
from firmripe.holding.weight import POUND
from firmripe.plan import Plan
from firmripe.reading.reader import read_holding
from firmripe.season.estimate import Estimate
from firmripe.tongue import IN_ENGLISH
from firmripe.units import celsius
from firmripe.wording import words_of
from firmripe.wording.store import warning_words

NOWHERE = Place(name="", ground=Ground())


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Holding:
    """Return the shipped shelf under a household of one tree."""
    top = tmp_path_factory.mktemp("none")
    write_notes(top, {"trees/1.md": "---\ncultivar: Bartlett\n---\n"})
    return read_holding(top, SHELF)


def traits(shelf: Holding, key: str) -> Traits:
    """Return what the shelf says of a cultivar or a fruit."""
    return shelf.cultivars[key].traits if key in shelf.cultivars else shelf.fruits[key].traits


# Sugar and Einhorn (2012), Conditioning temperature and harvest maturity influence induction of ripening capacity


@pytest.mark.parametrize(
    ("cultivar", "days_past", "days"),
    [
        ("bosc", 0, 15),
        ("bosc", 7, 11.25),
        ("bosc", 14, 7.5),
        ("comice", 0, 30),
        ("comice", 14, 22.5),
        ("comice", 28, 15),
        ("anjou", 0, 60),
        ("anjou", 14, 41),
        ("anjou", 28, 22),
        ("anjou", 40, 22),
    ],
)
def test_cold_falls_in_a_straight_line_with_later_picking(
    shelf: Holding, cultivar: str, days_past: int, days: float
) -> None:
    """At 31 °F Bosc needs 15(1 - d/28) days, Comice 30 - 15d/28, d'Anjou 60 - 38d/28; past 28 days no less."""
    cold = cold_for(traits(shelf, cultivar), celsius(31), days_past)

    assert cold is not None
    assert cold.days.middle == days


def test_bosc_picked_four_weeks_late_needs_no_cold(shelf: Holding) -> None:
    """The line of Bosc reaches nothing at 28 days."""
    assert cold_for(traits(shelf, "bosc"), celsius(31), 28) is None


def test_no_shorter_cold_is_promised_where_none_is_published(shelf: Holding) -> None:
    """At 41 °F only the days of first maturity are published, so late fruit keeps them."""
    cold = cold_for(traits(shelf, "comice"), celsius(41), 28)

    assert cold is not None
    assert cold.days.middle == 18


@pytest.mark.parametrize(
    ("cultivar", "pick", "space", "expected"),
    [
        # the cold of Sugar and Einhorn (2012), the counter of Penn State Extension (2017)
        ("Comice", "2027-09-20", "31 F", (date(2027, 10, 20), date(2027, 10, 27))),
        ("Anjou", "2027-09-05", "31 F", (date(2027, 11, 4), date(2027, 11, 13))),
        ("Bosc", "2027-09-15", "31 F", (date(2027, 9, 30), date(2027, 10, 7))),
        ("Bosc", "2027-09-15", "50 F", (date(2027, 9, 20), date(2027, 9, 27))),
    ],
)
def test_winter_pears_from_the_pick_to_the_table(
    plan_of: Callable[..., Plan], cultivar: str, pick: str, space: str, expected: tuple[date, date]
) -> None:
    """Picked, so many days cold, so many on the counter."""
    notes = {
        "place.md": f"---\nzone: 6b\nspaces: [{{name: store, temperature: {space}}}]\n---\n",
        "trees/1.md": f"---\ncultivar: {cultivar}\npinned: [{{pick: {pick}}}]\n---\n",
    }
    lot = plan_of(notes).lots[Bearing("1", cultivar.casefold())]

    assert (lot.days[Stage.CONDITIONED].likely, lot.days[Stage.READY].likely) == expected


@pytest.mark.parametrize(
    ("cultivar", "fahrenheit", "verdict"),
    [
        # Colorado State 1220 and Michigan State: 85 °F and over fails; Kieffer breaks down from 70 °F
        ("bartlett", 86, Room.FAILS),
        ("bartlett", 85, Room.FAILS),
        ("bartlett", 76, Room.POOR),
        ("bartlett", 68, Room.GOOD),
        ("kieffer", 72, Room.FAILS),
        ("kieffer", 69, Room.POOR),
        ("kieffer", 62, Room.GOOD),
    ],
)
def test_the_rooms_in_which_pears_fail(shelf: Holding, cultivar: str, fahrenheit: float, verdict: Room) -> None:
    """Too warm a room is refused, a warm one warned of."""
    assert room_verdict(traits(shelf, cultivar), celsius(fahrenheit)) is verdict


def test_no_ready_day_is_promised_in_too_hot_a_house(plan_of: Callable[..., Plan]) -> None:
    """At 86 °F a Bartlett may not ripen, so no day stands there and the reason does (Colorado State 1220)."""
    notes = {
        "place.md": "---\nspaces: [{name: fridge, temperature: 38 F}, {name: house, temperature: 86 F}]\n---\n",
        "trees/1.md": "---\ncultivar: Bartlett\npinned: [{pick: 2027-08-20}]\n---\n",
    }
    plan = plan_of(notes, as_of=date(2027, 8, 1))
    lot = plan.lots[Bearing("1", "bartlett")]

    assert Stage.READY not in lot.days
    assert "the house is 86 °F" in words_of(lot.undated[Stage.READY], IN_ENGLISH)
    assert any("no day is promised" in warning_words(IN_ENGLISH, warning) for warning in plan.store.warnings)


def test_two_cold_nights_before_the_pick_start_bartlett_ripening(shelf: Holding) -> None:
    """Nights of 44 and 45 °F, 20 days before harvest, with highs near 70 °F (Oregon State FS 241)."""
    nights = {date(2027, 8, 11): 52.0, date(2027, 8, 12): 44.0, date(2027, 8, 13): 45.0}
    weather = Weather.of({day: (celsius(low), celsius(70)) for day, low in nights.items()})
    early = Weather.of({date(2027, 7, day): (celsius(44), celsius(70)) for day in (1, 2)})

    assert second_cold_night(traits(shelf, "bartlett"), weather, date(2027, 9, 1)) == date(2027, 8, 13)
    assert second_cold_night(traits(shelf, "bartlett"), early, date(2027, 9, 1)) is None
    assert second_cold_night(traits(shelf, "anjou"), weather, date(2027, 9, 1)) is None


def test_pears_of_a_bushel_fill_so_many_quarts(shelf: Holding) -> None:
    """50 lb a bushel at 2.5 lb a quart is 20 quarts, inside 16-25; 7 quarts take 17.5 lb (Michigan State)."""
    bushel = containers_of(traits(shelf, "bartlett"), NOWHERE)["bushel"]

    assert bushel.middle / POUND / Fraction(5, 2) == 20
    assert 7 * Fraction(5, 2) == Fraction("17.5")


def test_a_peach_tree_in_pounds(shelf: Holding) -> None:
    """3-6 bushels (Missouri MG 6) of 48-52 lb (Georgia): from 144 lb; at the federal 48 lb a bushel up to 288 lb."""
    peach = traits(shelf, "peach")
    weight = weigh((peach.yields[0].value,), containers_of(peach, NOWHERE))

    assert weight is not None
    assert weight.low / POUND == 144
    assert weight.high / POUND == 6 * 52


def test_a_mature_pear_tree_is_a_range(plan_of: Callable[..., Plan]) -> None:
    """Standard 3-4 and dwarf 0.5-1 bushels of 50 lb (a table of universities): 25-200 lb where the size is not told."""
    crop = (
        plan_of({"trees/1.md": "---\ncultivar: Bartlett\n---\n", "place.md": "---\nzone: 6b\n---\n"})
        .lots[Bearing("1", "bartlett")]
        .crop
    )

    assert isinstance(crop, Crop)
    assert (crop.weight.low / POUND, crop.weight.high / POUND) == (25, 200)


# Other fruit


@pytest.mark.parametrize(
    ("kind", "space_c", "days", "ripe", "harmed"),
    [
        ("fuyu", 6.0, 10, True, True),  # UC Davis: Fuyu is harmed at 2-15 °C
        ("fuyu", 0.0, 10, True, False),
        ("hachiya", 6.0, 10, False, False),  # UC Davis: Hachiya is not sensitive
        ("pomegranate", 3.0, 35, True, True),  # UC Davis: below 5 °C for more than 4 weeks
        ("pomegranate", 5.0, 56, True, False),
        ("feijoa", 0.0, 20, True, False),  # UC Davis: 0 °C for 3 weeks and more
        ("feijoa", 0.0, 21, True, True),
        ("peach", celsius(38), 1, False, True),  # UC: 36-50 °F before it is ripe
        ("peach", celsius(38), 1, True, False),
    ],
)
def test_cold_that_harms(shelf: Holding, kind: str, space_c: float, days: int, *, ripe: bool, harmed: bool) -> None:
    """Each kind has its own cold, its own days, and some are safe once ripe."""
    assert chilled(traits(shelf, kind), space_c, days, ripe=ripe) is harmed


def test_persimmons_under_carbon_dioxide(shelf: Holding) -> None:
    """Hachiya is done after 24 hours (UC Davis); Hiratanenashi is edible after 5-6 days, or 22 in the cold (NZ)."""
    hachiya = next(t for t in traits(shelf, "hachiya").treatments if "carbon dioxide" in t.what)
    warm, cold = traits(shelf, "hiratanenashi").treatments

    assert (hachiya.days.low, hachiya.days.high) == (1, 1)
    assert (warm.days.low, warm.days.high) == (5, 6)
    assert (cold.days.low, cold.days.high) == (22, 22)


@pytest.mark.parametrize(("weeks", "still"), [(0, True), (5, True), (6, False)])
def test_ethylene_for_kiwifruit_only_while_fresh(shelf: Holding, weeks: int, *, still: bool) -> None:
    """Forced ripening helps fruit stored no longer than 5 weeks (UC Davis)."""
    assert bool(treatments_for(traits(shelf, "kiwifruit"), weeks * 7)) is still


def test_kiwifruit_beside_apples(plan_of: Callable[..., Plan]) -> None:
    """It softens at 5-10 parts per billion of ethylene (UC Davis), so apples in the same space are warned of."""
    notes = {
        "place.md": "---\nspaces: [{name: fridge, temperature: 32 F}]\n---\n",
        "trees/1.md": "---\ncultivar: Hayward\npinned: [{pick: 2027-10-20}]\n---\n",
        "trees/2.md": "---\ncultivar: Jonathan\npinned: [{pick: 2027-10-01}]\n---\n",
    }
    said = [warning_words(IN_ENGLISH, warning) for warning in plan_of(notes, as_of=date(2027, 9, 1)).store.warnings]

    assert any("Hayward" in text and "apart from apples (Jonathan)" in text for text in said)


# Sprays: NPIC, "Preharvest interval" (2023), and "Restricted-entry interval"; the day of the spray is day 0


@pytest.mark.parametrize(
    ("sprays", "first"),
    [
        (("2026-06-28,1,,,spray,7 days,",), date(2026, 7, 5)),
        (("2028-02-27,1,,,spray,3 days,",), date(2028, 3, 1)),
        (("2026-02-27,1,,,spray,3 days,",), date(2026, 3, 2)),
        (("2026-08-20,1,,,spray,7 days,", "2026-08-25,1,,,spray,1 day,"), date(2026, 8, 27)),
        # 24 hours from an evening not told of end in the next one; from a morning that is told, before work
        (('2026-08-20,1,,,spray,"0 days, re-entry 24 hours",',), date(2026, 8, 22)),
        (('2026-08-20,1,,,spray,"0 days, re-entry 24 hours from 7:00",',), date(2026, 8, 21)),
        (("2026-08-20,1,,,spray,0 days,",), date(2026, 8, 20)),
        (("2026-12-28,1,,,spray,14 days,",), date(2027, 1, 11)),
    ],
)
def test_the_first_day_of_picking_after_sprays(
    plan_of: Callable[..., Plan], sprays: tuple[str, ...], first: date
) -> None:
    """The later of several intervals counts, and a re-entry time counts beside them."""
    pin = date(first.year, 1, 2) if first.month < 4 else date(first.year, 6, 1)
    notes = {
        "trees/1.md": f"---\ncultivar: Bartlett\npinned: [{{pick: {pin}}}]\n---\n",
        "records/r.csv": "date,tree,cultivar,crop,what,amount,note\n" + "\n".join(sprays) + "\n",
    }
    lot: Lot = plan_of(notes, year=first.year, as_of=date(first.year, 12, 31)).lots[Bearing("1", "bartlett")]

    assert lot.days[Stage.PICK].likely == first


# Freezes, rooms, early picks


@pytest.mark.parametrize(
    ("fahrenheit", "picked_ahead"),
    [(31, False), (29, True), (25, True)],  # UC Davis (1996): pears freeze at 28-29 °F
)
def test_pears_come_in_ahead_of_the_cold_that_freezes_them(
    plan_of: Callable[..., Plan], fahrenheit: int, *, picked_ahead: bool
) -> None:
    """A night above the published freezing point leaves them on the tree."""
    notes = {
        "place.md": "---\nzone: 6b\nlatitude: 42 N\n---\n",
        "trees/1.md": "---\ncultivar: Anjou\n---\n",
        "records/r.csv": f"date,tree,what,amount\n2027-09-12,,freeze forecast,{fahrenheit} F\n",
    }
    (batch,) = plan_of(notes, as_of=date(2027, 9, 8)).lots[Bearing("1", "anjou")].batches

    assert (batch.picked.latest == date(2027, 9, 11)) is picked_ahead


@pytest.mark.parametrize(("fahrenheit", "days"), [(68, 10), (77, 8)])
def test_tomatoes_ripen_sooner_in_the_warmer_room(shelf: Holding, fahrenheit: int, days: int) -> None:
    """Lipton and Uota, USDA-ARS 51-22 (1968): 10 days at 68 °F, 8 days at 77 °F."""
    counter = counter_for(traits(shelf, "tomato"), celsius(fahrenheit))

    assert counter is not None
    assert counter.value.middle == days


def test_comice_picked_early_needs_the_longer_cold(shelf: Holding) -> None:
    """Oregon State: winter pears picked early need 40-60 days, against 30 at first maturity (Sugar and Einhorn)."""
    cold = cold_for(traits(shelf, "comice"), celsius(31), early=True)
    anjou = cold_for(traits(shelf, "anjou"), celsius(31), early=True)

    assert cold is not None
    assert anjou is not None
    assert (cold.days.low, cold.days.high) == (40, 60)
    assert anjou.days.middle == 60


# Early seasons and drops


@pytest.mark.parametrize(
    ("cultivar", "average", "early_d", "published"),
    [
        # Hood River News (2018): average and expected first pick in the lower valley
        ("Bartlett", "08-16", 9, date(2027, 8, 7)),
        ("Anjou", "09-05", 8, date(2027, 8, 28)),
    ],
)
def test_an_early_bloom_leaves_the_published_early_pick_in_its_window(
    plan_of: Callable[..., Plan], cultivar: str, average: str, early_d: int, published: date
) -> None:
    """A season so many days early moves the pick earlier, and the printed day lies in its window or a day beside it.

    What was printed is itself what growers expected at bloom, and not what came.
    """
    rows = [f"{year}-04-15,1,full bloom\n{year}-{average},1,pick" for year in range(2019, 2027)]
    bloom = date(2027, 4, 15) - timedelta(days=early_d)
    notes = {
        "place.md": "---\nlatitude: 45.7 N\nelevation: 500 ft\n---\n",
        "trees/1.md": f"---\ncultivar: {cultivar}\n---\n",
        "records/r.csv": "\n".join(["date,tree,what", *rows, f"{bloom},1,full bloom", ""]),
    }
    pick = plan_of(notes, as_of=date(2027, 6, 1)).season.of(Bearing("1", cultivar.casefold()), Event.PICK)

    assert isinstance(pick, Estimate)
    assert pick.earliest - timedelta(days=1) <= published <= pick.latest
    assert pick.likely < date.fromisoformat(f"2027-{average}")


@pytest.mark.parametrize(
    ("day", "asked"),
    [
        ("2027-05-18", False),  # a week after petal fall: Iowa State (1995), normal
        ("2027-07-10", True),  # 70 days after full bloom: out of its time
        ("2027-08-11", False),  # 3 weeks before the pick: before harvest
    ],
)
def test_a_drop_out_of_its_time_is_asked_about(plan_of: Callable[..., Plan], day: str, *, asked: bool) -> None:
    """The post-bloom drop and the last before harvest are looked for."""
    notes = {
        "trees/1.md": "---\ncultivar: Bartlett\npinned: [{pick: 2027-09-01}]\n---\n",
        "records/r.csv": f"date,tree,what\n2027-05-01,1,full bloom\n2027-05-11,1,petal fall\n{day},1,drop\n",
    }

    soon = date.fromisoformat(day) + timedelta(days=7)

    assert ("1" in plan_of(notes, as_of=soon).season.questions) is asked


# Jars by the bushel


@pytest.mark.parametrize(
    ("fruit", "pounds", "a_quart", "printed"),
    [
        # USDA Complete Guide, Guide 2, relayed by Michigan State (1997): 17½ lb for 7 quarts, 16-24 quarts a bushel
        ("peach", 48, Fraction(35, 2) / 7, (16, 24)),
        # University of Georgia: 53 lb a bushel, 15-20 quarts, 2½-3½ lb a quart
        ("tomato", 53, Fraction(3), (15, 20)),
    ],
)
def test_a_bushel_fills_as_many_quarts_as_printed(
    shelf: Holding, fruit: str, pounds: int, a_quart: Fraction, printed: tuple[int, int]
) -> None:
    """The bushel's printed weight and the pounds of a quart agree with the printed jars."""
    bushel = containers_of(traits(shelf, fruit), NOWHERE)["bushel"]

    assert bushel.low / POUND <= pounds <= bushel.high / POUND
    assert printed[0] <= pounds / a_quart <= printed[1]


def test_strawberries_are_picked_every_second_day_and_less_when_cool(shelf: Holding) -> None:
    """Iowa State: every second day in warm weather, every third or fourth in cool."""
    interval = traits(shelf, "strawberry").pass_interval

    assert interval is not None
    assert (interval.value.low, interval.value.high) == (2, 4)
