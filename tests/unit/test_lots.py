"""The life of a lot after the pick."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from one_tree import NOTES, PLACE, TREE, plan_of_notes
from season_notes import note, table

from firmripe.harvest.conditioning import conditioning_for
from firmripe.harvest.following import follow
from firmripe.harvest.lots import Lot
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.season.estimate import Reach
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

PICK = date(2027, 9, 1)


def lot_of(top: Path, *lines: str, records: str = "", place: str = PLACE, as_of: date = date(2028, 6, 30)) -> Lot:
    """Return the lot of one tree whose cultivar has these lines, picked on 1 September 2027."""
    notes = {"cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", *lines), "place.md": place}
    if records:
        notes["records/2027.csv"] = records
    return plan_of_notes(top, notes, as_of=as_of).lots[Bearing("A", "hardpear")]


def likely(lot: Lot) -> dict[Stage, date]:
    """Return the likely days of a lot."""
    return {stage: reach.likely for stage, reach in lot.days.items()}


def in_days(lot: Lot) -> dict[Stage, int]:
    """Return the likely days of a lot, as days after the pick."""
    return {stage: (day - PICK).days for stage, day in likely(lot).items()}


# In the cold


@pytest.mark.parametrize(
    ("space", "days", "why"),
    [
        (31.0, 60, "the row for this very temperature"),
        (38.0, 60, "between two rows the colder one, which is longer"),
        (40.0, 30, "the row for this very temperature"),
        (49.0, 30, "not yet as warm as the warmest row"),
        (50.0, 15, "the row for this very temperature"),
        (60.0, 15, "warmer than every row: the warmest"),
        (28.0, 60, "colder than every row: the coldest"),
        (None, 60, "an unknown temperature: the coldest"),
    ],
)
def test_the_cold_days_are_those_of_the_spaces_temperature(
    tmp_path: Path, space: float | None, days: int, why: str
) -> None:
    """The row at or below the space's temperature is taken, in whatever order the rows stand."""
    rows = "conditioning: [{value: 30 days, at: 40 F}, {value: 15 days, at: 50 F}, {value: 60 days, at: 31 F}]"
    plan = plan_of_notes(tmp_path, {"cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", rows)})
    traits = plan.holding.cultivars["hardpear"].traits

    figure = conditioning_for(traits, None if space is None else (space - 32) / 1.8)

    assert figure is not None
    assert figure.value.middle == days, why


def test_of_two_figures_for_one_temperature_the_longer_counts(tmp_path: Path) -> None:
    """In whatever order they stand."""
    for at, rows in enumerate(
        (
            "{value: 14 days, at: 31 F}, {value: 40 days, at: 31 F}",
            "{value: 40 days, at: 31 F}, {value: 14 days, at: 31 F}",
        )
    ):
        assert in_days(lot_of(tmp_path / str(at), f"conditioning: [{rows}]", "counter: 5 days"))[Stage.TAKE_OUT] == 40


def test_cold_days_without_a_temperature_hold_for_any(tmp_path: Path) -> None:
    """A household that writes days alone means them for its own space."""
    lot = lot_of(tmp_path, "conditioning: [12 days]", "counter: 5 days")

    assert in_days(lot)[Stage.TAKE_OUT] == 12


def test_the_coldest_space_is_where_picked_fruit_is_held(tmp_path: Path) -> None:
    """Of two spaces the colder one decides."""
    spaces = "spaces: [{name: porch, temperature: 50 F}, {name: fridge, temperature: 34 F}, {name: loft}]"
    lot = lot_of(
        tmp_path,
        "conditioning: [{value: 60 days, at: 31 F}, {value: 15 days, at: 50 F}]",
        "counter: 5 days",
        place=note("name: Home", spaces),
    )

    assert in_days(lot)[Stage.TAKE_OUT] == 60


def test_cold_of_no_days_is_no_cold(tmp_path: Path) -> None:
    """A kind that is said to need none goes straight to the counter."""
    lot = lot_of(tmp_path, "conditioning: [{value: 0 days, at: 31 F}]", "counter: 4 days")

    assert not lot.needs_cold
    assert Stage.CONDITIONED not in lot.days
    assert in_days(lot)[Stage.READY] == 4


def test_fruit_that_ripens_on_the_tree_needs_neither_cold_nor_counter(tmp_path: Path) -> None:
    """It is ready when it is picked, and its keeping counts from there."""
    lot = lot_of(tmp_path, "ripens off the tree: no", "conditioning: [{value: 30 days, at: 31 F}]", "keeps: 10 days")

    assert not lot.needs_cold
    assert in_days(lot) == {
        Stage.PICK: 0,
        Stage.TAKE_OUT: 0,
        Stage.READY: 0,
        Stage.USE_BY: 10,
    }
    assert lot.batches[0].days[Stage.KEEP_UNTIL] == lot.days[Stage.USE_BY]


def test_a_counter_of_no_days_means_ready_when_taken_out(tmp_path: Path) -> None:
    """Zero days at room temperature are days all the same: known, and none."""
    lot = lot_of(tmp_path, "counter: 0 days", "keeps: 10 days")

    assert in_days(lot)[Stage.READY] == 0
    assert in_days(lot)[Stage.USE_BY] == 10
    assert Stage.READY not in lot.undated


def test_an_unknown_counter_is_said_and_leaves_no_day(tmp_path: Path) -> None:
    """Without a figure there is no ready day, none to use by, and the reason stands in their place."""
    lot = lot_of(tmp_path, "keeps: 60 days")

    assert set(lot.days) == {Stage.PICK, Stage.TAKE_OUT}
    straight = words_of(lot.undated[Stage.KEEP_UNTIL], IN_ENGLISH)
    assert straight == "it needs no cold, and goes to the table straight after picking"
    assert words_of(lot.undated[Stage.READY], IN_ENGLISH) == "how many days it takes to ripen indoors is not known"
    assert lot.undated[Stage.USE_BY] == lot.undated[Stage.READY]


def test_an_unknown_keeping_is_said(tmp_path: Path) -> None:
    """Without a published limit none is made up."""
    lot = lot_of(tmp_path, "counter: 5 days")

    assert words_of(lot.undated[Stage.KEEP_UNTIL], IN_ENGLISH) == "no published limit of keeping is on the shelf"
    assert words_of(lot.undated[Stage.USE_BY], IN_ENGLISH) == "how long it stays good once ready is not known"


def test_each_step_adds_its_range_to_both_ends(tmp_path: Path) -> None:
    """The earliest day takes the least of every step, the latest the most; what is ripe is used by the low end."""
    lot = lot_of(tmp_path, "conditioning: [{value: 10-20 days, at: 38 F}]", "counter: 4-7 days", "keeps ripe: 1-2 days")

    assert lot.days[Stage.CONDITIONED] == Reach(
        earliest=date(2027, 9, 11), likely=date(2027, 9, 16), latest=date(2027, 9, 21)
    )
    assert lot.days[Stage.READY] == Reach(
        earliest=date(2027, 9, 15), likely=date(2027, 9, 22), latest=date(2027, 9, 28)
    )
    assert lot.days[Stage.USE_BY] == Reach(
        earliest=date(2027, 9, 16), likely=date(2027, 9, 23), latest=date(2027, 9, 30)
    )


def test_every_step_says_what_it_rests_on(tmp_path: Path) -> None:
    """Cold, counter, ripe days and the limit each leave a line with its figure."""
    lot = lot_of(
        tmp_path,
        "conditioning: [{value: 10 days, at: 38 F}]",
        "counter: 5 days",
        "keeps ripe: 3 days",
        "keeps: 60 days",
    )

    assert [words_of(reason.why, IN_ENGLISH) for reason in lot.reasons] == [
        "In the cold: 10 days at 38 °F (3 °C)",
        "On the counter: 5 days",
        "Stays good once ready: 3 days",
        "Keeps in the cold at most: 60 days",
    ]
    assert all(reason.cited for reason in lot.reasons)


def test_keeping_runs_over_new_year(tmp_path: Path) -> None:
    """Fruit picked in September and kept five months has its last day in the year after."""
    lot = lot_of(tmp_path, "counter: 5 days", "keeps: 5 months")

    assert lot.batches[0].days[Stage.KEEP_UNTIL].likely == date(2028, 1, 29)


# What was noted


COLD = ("conditioning: [{value: 30 days, at: 38 F}]", "counter: 5 days", "keeps ripe: 3 days")


def test_a_noted_day_takes_the_place_of_the_reckoned_one(tmp_path: Path) -> None:
    """What was taken out on a day is reckoned on from that day, without a window."""
    lot = lot_of(tmp_path, *COLD, records=table("2027-09-20,A,taken out,,"))

    assert lot.days[Stage.CONDITIONED].likely == date(2027, 10, 1)
    assert lot.days[Stage.TAKE_OUT] == Reach(
        earliest=date(2027, 9, 20), likely=date(2027, 9, 20), latest=date(2027, 9, 20)
    )
    assert lot.days[Stage.READY].likely == date(2027, 9, 25)


def test_a_noted_ready_day_counts_and_ends_the_cold(tmp_path: Path) -> None:
    """Fruit noted as ready is ready, and lies in the cold no longer."""
    lot = lot_of(tmp_path, *COLD, records=table("2027-09-24,A,ready,,"))

    assert likely(lot)[Stage.TAKE_OUT] == date(2027, 9, 24)
    assert likely(lot)[Stage.READY] == date(2027, 9, 24)
    assert likely(lot)[Stage.USE_BY] == date(2027, 9, 27)


def test_nothing_is_ready_before_it_is_picked(tmp_path: Path) -> None:
    """A word of ripe fruit weeks before the likely pick, of which nobody noted that it began, dates none of this."""
    notes = {
        "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", "windows: [{pick: Sep 1, place: here}]", *COLD),
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2027.csv": table("2027-08-28,A,ready,,"),
    }
    lot = plan_of_notes(tmp_path, notes, as_of=date(2027, 8, 30)).lots[Bearing("A", "hardpear")]

    assert lot.days[Stage.PICK].earliest < date(2027, 8, 28) < lot.days[Stage.PICK].likely
    assert lot.days[Stage.READY].likely > lot.days[Stage.PICK].likely


def test_the_first_of_several_lines_counts(tmp_path: Path) -> None:
    """Where fruit comes out in batches, the first batch dates the lot."""
    records = table("2027-09-25,A,taken out,,", "2027-09-20,A,taken out,,")

    assert likely(lot_of(tmp_path, *COLD, records=records))[Stage.TAKE_OUT] == date(2027, 9, 20)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("2027-01-10,A,taken out,,", "last season's fruit in January"),
        ("2027-01-10,A,ready,,", "last season's fruit in January"),
        ("2027-08-31,A,taken out,,", "the day before the pick"),
        ("2028-07-05,A,taken out,,", "longer than fruit lies: it is the next season's"),
        ("2027-09-20,B,taken out,,", "another tree"),
        ("2027-09-20,,ready,,", "no tree is named"),
    ],
)
def test_a_line_about_other_fruit_moves_nothing(tmp_path: Path, line: str, why: str) -> None:
    """Only lines about this lot count."""
    notes = {
        "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", *COLD),
        "trees/B.md": TREE,
        "records/2027.csv": table(line),
    }
    lot = plan_of_notes(tmp_path, notes, as_of=date(2028, 12, 31)).lots[Bearing("A", "hardpear")]

    assert in_days(lot)[Stage.TAKE_OUT] == 30, why
    assert in_days(lot)[Stage.READY] == 35, why


def test_a_line_in_the_january_after_the_pick_counts_for_the_season_before(tmp_path: Path) -> None:
    """Winter pears leave the store in the year after their season; the line belongs to them."""
    lot = lot_of(tmp_path, *COLD, records=table("2028-01-10,A,taken out,,"))

    assert likely(lot)[Stage.TAKE_OUT] == date(2028, 1, 10)


def test_a_line_from_after_the_day_of_knowledge_is_not_looked_at(tmp_path: Path) -> None:
    """A past day's plan knows only what had been noted by then."""
    records = table("2027-09-20,A,taken out,,")

    assert in_days(lot_of(tmp_path, *COLD, records=records, as_of=date(2027, 9, 19)))[Stage.TAKE_OUT] == 30


def test_fruit_that_is_not_picked_has_no_lot(tmp_path: Path) -> None:
    """Where there is no crop there is nothing to follow."""
    plan = plan_of_notes(tmp_path, {"records/2027.csv": table("2027-06-01,A,no crop,,")})

    assert plan.lots == {}


def test_a_line_about_one_limb_leaves_the_others(tmp_path: Path) -> None:
    """On a tree of several cultivars a line that names one is about that one."""
    notes = {
        "cultivars/soft.md": note("name: Soft", "fruit: pear", *COLD),
        "trees/A.md": note("limbs: [Hardpear, Soft]", "pinned: [{pick: 2027-09-01}]"),
        "records/2027.csv": "date,tree,cultivar,what\n2027-09-20,A,Soft,taken out\n",
    }
    lots = plan_of_notes(tmp_path, {**NOTES, **notes}).lots

    assert likely(lots[Bearing("A", "soft")])[Stage.TAKE_OUT] == date(2027, 9, 20)
    assert likely(lots[Bearing("A", "hardpear")])[Stage.TAKE_OUT] == date(2027, 9, 11)


# Over all lots of the example


ORDER = (Stage.PICK, Stage.TAKE_OUT, Stage.READY, Stage.USE_BY)


def test_no_lot_runs_backwards(example_plan: Plan) -> None:
    """Nothing leaves the cold before it is picked, is ready before it is out, or is past before it is ready."""
    assert example_plan.lots
    for lot in example_plan.lots.values():
        days = [lot.days[stage] for stage in ORDER if stage in lot.days]
        for earlier, later in pairwise(days):
            assert earlier.earliest <= later.earliest, lot.bearing
            assert earlier.likely <= later.likely, lot.bearing
            assert earlier.latest <= later.latest, lot.bearing
        if Stage.KEEP_UNTIL in lot.days:
            assert lot.days[Stage.PICK].likely < lot.days[Stage.KEEP_UNTIL].likely, lot.bearing


def test_every_reach_is_in_order(example_plan: Plan) -> None:
    """The likely day of every stage lies between its earliest and its latest."""
    for lot in example_plan.lots.values():
        for stage, reach in lot.days.items():
            assert reach.earliest <= reach.likely <= reach.latest, (lot.bearing, stage)


def test_every_stage_of_a_lot_is_either_dated_or_explained(example_plan: Plan) -> None:
    """No stage after the pick is passed over in silence."""
    for lot in example_plan.lots.values():
        for stage in (Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL):
            assert (stage in lot.days) != (stage in lot.undated), (lot.bearing, stage)


def test_a_later_pick_moves_every_reckoned_day_as_far(tmp_path: Path) -> None:
    """The steps don't depend on the day of the pick."""
    plans = [
        plan_of_notes(tmp_path / day, {"trees/A.md": note("cultivar: Hardpear", f"pinned: [{{pick: {day}}}]")})
        for day in ("2027-09-01", "2027-09-08")
    ]
    first, second = (plan.lots[Bearing("A", "hardpear")].days for plan in plans)

    assert {stage: reach.likely + timedelta(days=7) for stage, reach in first.items()} == {
        stage: reach.likely for stage, reach in second.items()
    }


def test_following_again_gives_the_same(example_plan: Plan) -> None:
    """Lots hang on the season alone."""
    assert follow(example_plan.season) == follow(example_plan.season)
