"""What is seen on the tree before the pick: firmness carried to its target, and fruit on the ground."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from season_notes import NORTH, VALLEY, estimate, moved_by, note, read, table

from firmripe.holding.fruit import Drop, DropPeriod, Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record
from firmripe.holding.task import Stage
from firmripe.problems import Where
from firmripe.season.because import MovesNothing, NotFalling
from firmripe.season.estimate import Reach
from firmripe.season.field import SOFTENED_D, FirmnessLine, firmness_line, is_expected, question_about
from firmripe.season.season import Season, SeasonModel
from firmripe.tongue import IN_ENGLISH
from firmripe.units import Interval
from firmripe.wording import words_of

TARGET = Interval(low=56, high=60)
Readings = Sequence[tuple[float, float]]


def asked_of(season: Season) -> dict[str, tuple[str, ...]]:
    """Return the questions of a season by tree, but for those after picks that these records leave out."""
    said = {tag: [words_of(one, IN_ENGLISH) for one in asked] for tag, asked in season.questions.items()}
    kept = {tag: [one for one in asked if not one.endswith("Was it picked?")] for tag, asked in said.items()}
    return {tag: tuple(asked) for tag, asked in kept.items() if asked}


def line(readings: Readings, target: Interval = TARGET) -> FirmnessLine:
    """Return the line through some readings; fails where they don't fall."""
    found = firmness_line(readings, target)
    assert isinstance(found, FirmnessLine), found
    return found


# Firmness


def by_regression(readings: Readings, target: Interval) -> tuple[float, float, float]:
    """Return day, spread and fall of a Bayesian straight line, from its normal equations.

    Level and fall at season day 0; the fall is known beforehand as -0.57, give or take 0.25 N a day, the level is not.
    Readings err by 3 N, the target is even over its range. The day's spread is by the first derivatives.
    """
    days, values = np.array(readings).T
    design = np.column_stack([np.ones_like(days), days])
    precision = design.T @ design / 3.0**2 + np.diag([0.0, 1 / 0.25**2])
    law = np.linalg.inv(precision)
    level, fall = law @ (design.T @ values / 3.0**2 + np.array([0.0, -0.57 / 0.25**2]))
    day = (target.middle - level) / fall
    slope_of_day = np.array([-1 / fall, -day / fall])
    variance = slope_of_day @ law @ slope_of_day + (target.high - target.low) ** 2 / 12 / fall**2
    return day, max(1.5, math.sqrt(variance)), fall


def drawn(seed: int, count: int, fall: float = -0.6) -> list[tuple[float, float]]:
    """Draw readings of a fruit that stood at 75 N on season day 200, in order or not, some on one day."""
    rng = np.random.default_rng(seed)
    days = rng.integers(200, 226, count)
    return [(float(day), 75 + fall * (day - 200) + float(rng.normal(0, 3))) for day in days]


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("count", [1, 2, 3, 6, 15])
def test_a_firmness_line_is_a_bayesian_regression(seed: int, count: int) -> None:
    """Day, spread and fall are those of the normal equations."""
    readings = drawn(seed, count)
    found = firmness_line(readings, TARGET)
    if isinstance(found, NotFalling):  # two or three readings may rise by chance
        assert count <= 6
        assert np.polyfit(*zip(*readings, strict=True), 1)[0] >= 0
        return
    day, spread, fall = by_regression(readings, TARGET)
    due = min(day for day, _ in readings) - SOFTENED_D
    if day < due:  # soft already at the first reading
        assert found.day == pytest.approx(due)
        assert found.spread_d < spread
        return
    assert found.day == pytest.approx(day, abs=1e-6)
    assert found.spread_d == pytest.approx(spread, rel=1e-6)
    assert found.fall_n_per_day == pytest.approx(fall, abs=1e-9)


def test_many_readings_outweigh_the_usual_fall() -> None:
    """A tree read 200 times is carried along its own line, that of least squares."""
    readings = drawn(1, 200, fall=-1.2)
    slope, level = np.polyfit(*zip(*readings, strict=True), 1)
    found = line(readings)
    assert found.fall_n_per_day == pytest.approx(slope, abs=0.01)
    assert found.day == pytest.approx((TARGET.middle - level) / slope, abs=0.2)


def test_one_reading_is_carried_by_the_usual_fall() -> None:
    """12 N above the target at 0.57 N a day are 21 days, and it is said how unsure that is."""
    found = line([(200.0, 70.0)])
    assert found.day == pytest.approx(200 + 12 / 0.57)
    assert found.fall_n_per_day == pytest.approx(-0.57)
    assert found.spread_d > 8


def test_each_reading_nearer_the_target_makes_the_day_surer() -> None:
    """Read every four days on its line, the fruit's day stays and its spread shrinks, but not to nothing."""
    readings = [(200.0 + 4 * n, 70.0 - 0.57 * 4 * n) for n in range(6)]
    found = [line(readings[: n + 1]) for n in range(6)]
    assert [each.day for each in found] == pytest.approx([200 + 12 / 0.57] * 6)
    spreads = [each.spread_d for each in found]
    assert spreads == sorted(spreads, reverse=True)
    assert line([(218.0 + n % 5, 60.0 - 0.57 * (n % 5)) for n in range(500)], Interval(low=58, high=58)).spread_d == 1.5


def test_a_wide_target_makes_the_day_less_sure() -> None:
    """The middle counts, and the range is doubt."""
    readings = drawn(3, 10)
    narrow, wide = line(readings, Interval(low=58, high=58)), line(readings, Interval(low=48, high=68))
    assert wide.day == pytest.approx(narrow.day)
    assert wide.spread_d > narrow.spread_d


def test_the_window_of_a_line_holds_the_day_about_four_times_in_five() -> None:
    """Over drawn trees whose falls differ as is said, each read five times in ten days."""
    rng = np.random.default_rng(5)
    held = []
    for _ in range(2000):
        fall = rng.normal(-0.57, 0.25)
        if fall > -0.2:
            continue  # such a tree never gets there in a season
        days = 200 + np.array([0, 3, 5, 8, 10.0])
        readings = list(zip(days, 70 + fall * (days - 200) + rng.normal(0, 3, 5), strict=True))
        found = firmness_line(readings, Interval(low=58, high=58))
        if isinstance(found, FirmnessLine):
            held.append(abs(found.day - (200 + 12 / -fall)) <= 1.2816 * found.spread_d)
    assert len(held) > 1500
    assert 0.75 <= np.mean(held) <= 0.88


@pytest.mark.parametrize(
    "readings",
    [
        [(200.0, 60.0), (205.0, 66.0)],
        [(200.0, 60.0), (205.0, 60.0)],
        [(200.0, 60.0), (205.0, 64.0), (203.0, 60.0), (210.0, 63.0)],
    ],
)
def test_readings_that_rise_are_carried_nowhere(readings: Readings) -> None:
    """Firmness rises in hot weather; that is said, and how many readings it rests on."""
    found = firmness_line(readings, TARGET)
    assert isinstance(found, NotFalling)
    assert (
        words_of(found, IN_ENGLISH)
        == f"firmness is not falling yet: {len(readings)} readings; hot weather can even raise it"
    )


@pytest.mark.parametrize("rise", [-2.0, 0.0, 2.0])
def test_below_the_target_means_now_and_the_softer_the_sooner(rise: float) -> None:
    """Whether two readings fall or not: the pick is said to be due, surer when softer."""
    found = [line([(210.0, soft - rise), (214.0, soft)]) for soft in (54.0, 48.0, 42.0, 36.0, 24.0)]
    days = [each.day for each in found]
    assert days == sorted(days, reverse=True)
    assert all(208 <= day <= 214 for day in days)
    spreads = [each.spread_d for each in found]
    assert spreads == sorted(spreads, reverse=True)
    assert spreads[-1] == 1.5


def test_the_softer_a_fruit_is_the_sooner_its_pick(tmp_path: Path) -> None:
    """One reading on 1 September, from well above the target to far below it."""
    found = [
        estimate(told(tmp_path / str(lbf), f"2027-09-01,1,firmness,{lbf} lbf,"), "1", "bosc")
        for lbf in (19, 16, 13, 12, 10, 8, 5)
    ]
    likely = [one.likely for one in found]
    assert likely == sorted(likely, reverse=True)
    assert likely[0] > date(2027, 9, 5)
    assert date(2027, 8, 28) <= likely[-1] <= date(2027, 9, 1) <= found[-1].latest


def test_readings_that_hardly_fall_are_carried_nowhere() -> None:
    """A line nearly level reaches no target this season."""
    readings = [(200.0 + day, 70.0 - 0.02 * day) for day in range(60)]
    found = firmness_line(readings, TARGET)
    assert found == NotFalling(60, too_slowly=True)


def test_without_a_reading_there_is_nothing_to_carry() -> None:
    """That is a mistake of the caller's."""
    with pytest.raises(ValueError, match="no reading"):
        firmness_line([], TARGET)


# Fruit on the ground

DROPS = (
    Drop(
        when="0-3 weeks after petal fall",
        period=DropPeriod(low=0, high=21, stage=Stage.PETAL_FALL, before=False),
        text="Flowers that did not set.",
        cited=None,  # type: ignore[arg-type]
    ),
    Drop(
        when="0-4 weeks before pick",
        period=DropPeriod(low=0, high=28, stage=Stage.PICK, before=True),
        text="Picking is close.",
        cited=None,  # type: ignore[arg-type]
    ),
    Drop(when="at any other time", period=None, text="Look for drought or moth.", cited=None),  # type: ignore[arg-type]
)


def reach(likely: date, days: int) -> Reach:
    """Return a reach of so many days either way."""
    return Reach(earliest=likely - timedelta(days=days), likely=likely, latest=likely + timedelta(days=days))


STAGES = {Stage.PETAL_FALL: reach(date(2027, 5, 1), 4), Stage.PICK: reach(date(2027, 8, 28), 6)}


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (date(2027, 4, 26), False),
        (date(2027, 4, 27), True),
        (date(2027, 5, 26), True),
        (date(2027, 5, 27), False),
        (date(2027, 7, 24), False),
        (date(2027, 7, 25), True),
        (date(2027, 9, 3), True),
        (date(2027, 9, 4), False),
    ],
)
def test_fruit_falls_in_its_times_as_far_as_they_may_reach(day: date, expected: bool) -> None:  # noqa: FBT001
    """From the stage's earliest day to its latest, and so many days beyond, both included."""
    assert is_expected(day, DROPS, STAGES) is expected


def test_fruit_that_falls_where_nothing_is_known_is_not_asked_about() -> None:
    """Neither without times on the shelf nor without the days that they count from."""
    assert is_expected(date(2027, 7, 1), (), STAGES)
    assert is_expected(date(2027, 7, 1), DROPS, {})


def fell(day: date, what: Happening = Happening.DROP) -> Record:
    """Return a record of fruit on the ground."""
    return Record(day=day, season=2027, what=what, tree="1", where=Where("records/a.csv"))


def test_fruit_out_of_its_time_is_asked_about_with_the_usual_causes() -> None:
    """The day is named, and what the shelf has on any other time."""
    question = words_of(question_about(fell(date(2027, 7, 1)), DROPS, STAGES), IN_ENGLISH)
    assert question == "Fruit fell on Thu 1 Jul, outside its usual times. Look for drought or moth."
    assert question_about(fell(date(2027, 8, 20)), DROPS, STAGES) is None
    assert question_about(fell(date(2027, 7, 1), Happening.WORMY_DROP), DROPS, STAGES) is None


# In a household

PEAR = note(
    f"windows: [{{bloom: Apr 20, {VALLEY}}}]",
    "drops:",
    "  - {when: 0-3 weeks after petal fall, value: Flowers that did not set}",
    "  - {when: 0-4 weeks before pick, value: Picking is close}",
    "  - {when: at any other time, value: Look for drought or moth}",
)
NOTES = {
    "place.md": note("zone: 7b", "latitude: 42 N", "longitude: 72 W", "elevation: 200 m"),
    "fruits/pear.md": PEAR,
    "cultivars/bosc.md": note("fruit: pear", f"windows: [{{pick: Sep 8, {VALLEY}}}]", "firmness at pick: 13-14 lbf"),
    "trees/1.md": note("cultivar: bosc"),
    "trees/2.md": note("cultivar: bosc"),
}
BOSC = date(2027, 9, 8)


def household(top: Path, *rows: str, **other: str) -> Holding:
    """Return a household of two pears with these records, and these notes in place of its own."""
    notes = {**NOTES, **{name.replace("_", "/") + ".md": text for name, text in other.items()}}
    return read(top, {**notes, "records/a.csv": table(*rows)})


def told(top: Path, *rows: str, known_on: date = NORTH.last, **other: str) -> Season:
    """Return the season of that household."""
    return SeasonModel(household(top, *rows, **other), NORTH, known_on).season()


def test_firmness_moves_the_tree_and_those_beside_it(tmp_path: Path) -> None:
    """Soft early, the tree is picked early, and so, less, is its neighbour."""
    rows = ("2027-08-16,1,firmness,15.5 lbf,", "2027-08-20,1,firmness,14.8 lbf,", "2027-08-24,1,firmness,14 lbf,")
    found = told(tmp_path, *rows)
    own, other = estimate(found, "1", "bosc"), estimate(found, "2", "bosc")
    assert own.likely < other.likely < BOSC
    assert moved_by(own.reasons, "Firmness readings") < 0
    assert own.spread_d < other.spread_d
    assert "1" not in asked_of(found)


def test_readings_that_rise_move_nothing_and_are_told(tmp_path: Path) -> None:
    """The page says that it is too soon."""
    found = told(tmp_path, "2027-08-16,1,firmness,15 lbf,", "2027-08-20,1,firmness,15.8 lbf,")
    assert estimate(found, "1", "bosc").likely == BOSC
    assert asked_of(found) == {
        "1": ("Bosc: firmness is not falling yet: 2 readings; hot weather can even raise it",),
    }


def test_readings_without_a_target_say_nothing_of_the_pick(tmp_path: Path) -> None:
    """Nobody knows for what firmness to wait, and the reasons say so."""
    plain = note("fruit: pear", f"windows: [{{pick: Sep 8, {VALLEY}}}]")
    found = told(tmp_path, "2027-08-16,1,firmness,13 lbf,", cultivars_bosc=plain)
    assert (estimate(found, "1", "bosc").likely, asked_of(found)) == (BOSC, {})
    said = [[words_of(one.why, IN_ENGLISH) for one in estimate(found, tree, "bosc").reasons] for tree in ("1", "2")]
    assert [sum(line.startswith("The firmness read moves no date") for line in lines) for lines in said] == [1, 0]


@pytest.mark.parametrize(("reading", "words"), [("starch,5", "The starch read"), ("brix,14", "The sugar read")])
def test_readings_that_move_nothing_are_told_as_such(tmp_path: Path, reading: str, words: str) -> None:
    """No target and no usual change is known of starch and sugar; firmness with a target moves the date."""
    found = estimate(told(tmp_path, f"2027-08-16,1,{reading},", "2027-08-16,1,firmness,15 lbf,"), "1", "bosc")
    without = estimate(told(tmp_path / "b", "2027-08-16,1,firmness,15 lbf,"), "1", "bosc")
    assert found.likely == without.likely
    said = [words_of(one.why, IN_ENGLISH) for one in found.reasons if isinstance(one.why, MovesNothing)]
    assert len(said) == 1
    assert said[0].startswith(words)


def test_the_first_sound_fruit_on_the_ground_opens_the_pick(tmp_path: Path) -> None:
    """It falls up to four weeks before the pick; later ones change nothing more, and none of them is asked about."""
    once = told(tmp_path / "once", "2027-08-15,1,drop,,")
    more = told(tmp_path / "more", "2027-08-15,1,drop,,", "2027-08-20,1,drop,,")
    first = estimate(once, "1", "bosc")
    assert date(2027, 8, 29) < first.likely < BOSC
    assert first.reach == estimate(more, "1", "bosc").reach
    assert moved_by(first.reasons, "The first sound fruit") < 0
    assert (asked_of(once), asked_of(more)) == ({}, {})


@pytest.mark.parametrize(
    ("row", "is_asked"),
    [
        ("2027-08-25,1,wormy drop,,", False),
        ("2027-05-10,1,drop,,", False),
        ("2027-07-01,1,drop,,", True),
        ("2027-08-25,,drop,,", False),
    ],
)
def test_other_fruit_on_the_ground_is_no_sign_of_the_pick(tmp_path: Path, row: str, is_asked: bool) -> None:  # noqa: FBT001
    """Wormy fruit falls first, after bloom fruit falls too, out of its time for other causes; a tree must be named."""
    found = told(tmp_path, row, known_on=date(2027, 7, 10))
    assert [estimate(found, tree, "bosc").likely for tree in ("1", "2")] == [BOSC, BOSC]
    asked = ("Fruit fell on Thu 1 Jul, outside its usual times. Look for drought or moth",)
    assert asked_of(found) == ({"1": asked} if is_asked else {})


@pytest.mark.parametrize(
    ("known_on", "picked", "is_asked"),
    [
        (date(2027, 7, 29), "", True),
        (date(2027, 7, 30), "", False),
        (date(2027, 7, 20), "2027-07-18,1,first pick,,", False),
    ],
)
def test_nobody_is_sent_to_look_at_fruit_that_fell_long_ago(
    tmp_path: Path, known_on: date, picked: str, *, is_asked: bool
) -> None:
    """Four weeks after it fell, or once its crop is picked from, there is nothing more to look at."""
    found = told(tmp_path, "2027-07-01,1,drop,,", *filter(None, [picked]), known_on=known_on)
    assert ("1" in asked_of(found)) is is_asked


def test_fruit_on_the_ground_leaves_bloom_where_it_was_noted(tmp_path: Path) -> None:
    """What falls in August says nothing against a noted bloom."""
    found = told(tmp_path, "2027-04-18,1,full bloom,,", "2027-08-25,1,drop,,")
    assert estimate(found, "1", "bosc", Event.FULL_BLOOM).likely == date(2027, 4, 18)
