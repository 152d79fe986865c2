"""Processes, amounts and times beside the published tables they were filled from."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import date, datetime, time
from fractions import Fraction
from pathlib import Path

import pytest
from conftest import SHELF, write_notes
from msgspec.structs import replace

from firmripe.holding.filling import makes
from firmripe.holding.fruit import Flesh
from firmripe.holding.holding import Holding
from firmripe.holding.jar import Jar, JarSize, parse_jar
from firmripe.holding.kitchen import PotKind
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.process import Band, Bands, Gauge, Setting
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import POUND, Weight
from firmripe.kitchen.admitting import not_for_jars
from firmripe.kitchen.tables.amounts import acid_for, jars_from, loads, syrup_for
from firmripe.kitchen.tables.method import method_of
from firmripe.kitchen.tables.pot_times import cycle, seals
from firmripe.kitchen.tables.processes import Minutes, Stove, look_up, refused_fruit
from firmripe.kitchen.tables.refusals import (
    DoseNotPrinted,
    GaugeUnsaid,
    HeightNotPrinted,
    JarNotPrinted,
    NoMinutes,
    NotUnderPressure,
    Unsaid,
)
from firmripe.reading.reader import read_holding
from firmripe.tongue import IN_ENGLISH
from firmripe.units import METRES_PER_FOOT
from firmripe.wording import words_of
from firmripe.wording.measures import spoons
from firmripe.wording.minutes import instead_words

DATA = Path(__file__).parents[1] / "data"
QUART, PINT, HALF_PINT = Jar.of(JarSize.QUART), Jar.of(JarSize.PINT), Jar.of(JarSize.HALF_PINT)
PEARS, SAUCE = "pears, halved, hot pack", "applesauce, hot pack"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Holding:
    """Return the shelf below a household of one tree."""
    return read_holding(write_notes(tmp_path_factory.mktemp("one"), {"trees/a.md": ""}), SHELF)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def stove(feet: float | None, kind: PotKind = PotKind.BOILING_WATER, gauge: Gauge | None = None) -> Stove:
    return Stove(height_m=None if feet is None else feet * METRES_PER_FOOT, kind=kind, gauge=gauge)


def minutes(shelf: Holding, process: str, jar: Jar, feet: float, kind: PotKind = PotKind.BOILING_WATER) -> int | None:
    """Return the minutes, or None where there are none."""
    found = look_up(shelf.processes, process, jar, stove(feet, kind))
    return found.minutes if isinstance(found, Minutes) else None


def refusal(shelf: Holding, process: str, jar: Jar = QUART, feet: float | None = 500) -> NoMinutes:
    found = look_up(shelf.processes, process, jar, stove(feet))
    assert isinstance(found, NoMinutes), found
    return found


def preserve(shelf: Holding, key: str) -> Preserve:
    return next(one for one in shelf.preserves if one.key == key)


# The tables, row by row (USDA, Complete Guide to Home Canning, AIB 539, 2015; guide and page in each line)


@pytest.mark.parametrize("row", rows("canning_minutes.csv"), ids=lambda row: f"{row['process']}, {row['jars']}")
def test_every_boiling_water_row_is_the_published_one(shelf: Holding, row: dict[str, str]) -> None:
    """Jars, bands, minutes, headspace, acid and page of each row are as printed."""
    jars = {JarSize(name) for name in row["jars"].split("|")}
    (found,) = [one for one in shelf.processes.boiled if one.name == row["process"] and one.jars == jars]

    assert found.minutes.tops_ft == tuple(map(int, row["bands"].split()))
    assert found.minutes.values == tuple(map(int, row["minutes"].split()))
    assert (found.headspace, found.acid, found.recipe_only) == (
        row["headspace"],
        row["acid"],
        row["recipe_only"] == "yes",
    )
    assert found.cited.source is not None
    assert found.cited.source.key == f"usda-aib539-guide{row['guide']}"
    assert found.cited.page == f"p. {row['page']}"


@pytest.mark.parametrize("row", rows("canning_pressure.csv"), ids=lambda row: f"{row['process']}, {row['setting']}")
def test_every_pressure_row_is_the_published_one(shelf: Holding, row: dict[str, str]) -> None:
    """Jars, setting, minutes and acid of each row are as printed."""
    jars = {JarSize(name) for name in row["jars"].split("|")}
    (found,) = [
        one
        for one in shelf.processes.pressed
        if (one.name, one.jars, one.setting) == (row["process"], jars, Setting(row["setting"]))
    ]

    assert (found.minutes, found.acid) == (int(row["minutes"]), row["acid"])
    assert found.cited.source is not None
    assert found.cited.source.key == f"usda-aib539-guide{row['guide']}"


def test_the_table_holds_no_row_that_is_not_published(shelf: Holding) -> None:
    """Nothing was added to the published rows, and each jar of a product has one row."""
    cells = [(row.name, size) for row in shelf.processes.boiled for size in row.jars]
    assert len(cells) == len(set(cells))
    assert len(shelf.processes.boiled) == len(rows("canning_minutes.csv"))
    assert len(shelf.processes.pressed) == len(rows("canning_pressure.csv"))


@pytest.mark.parametrize(
    ("gauge", "setting", "printed"),
    [
        # AIB 539, Guide 2, p. 2-31 and 2-32, and Guide 3: psi at 0-2,000, 2,001-4,000, 4,001-6,000 and 6,001-8,000 ft
        (Gauge.DIAL, Setting.LOW, {2000: 6, 2001: 7, 4000: 7, 6000: 8, 8000: 9, 8001: None}),
        (Gauge.DIAL, Setting.HIGH, {2000: 11, 4000: 12, 6000: 13, 8000: 14, 8001: None}),
        (Gauge.WEIGHTED, Setting.LOW, {1000: 5, 1001: 10, 9000: 10}),
        (Gauge.WEIGHTED, Setting.HIGH, {1000: 10, 1001: 15, 9000: 15}),
    ],
)
def test_pressures_are_the_published_ones(
    shelf: Holding, gauge: Gauge, setting: Setting, printed: dict[int, int | None]
) -> None:
    """Each band's upper limit belongs to it, and a dial has nothing above 8,000 ft."""
    (table,) = [one for one in shelf.processes.gauges if (one.gauge, one.setting) == (gauge, setting)]

    assert {height: table.psi.at(height) for height in printed} == printed


# Worked look-ups (derived from the same tables; the first is the guide's own example)


def test_the_guides_own_example(shelf: Holding) -> None:
    """Peaches, hot pack, quarts at 2,500 ft: 30 minutes; 7 psi by a dial or 10 by weight for 10 minutes."""
    process = "peaches, hot pack"
    dial = look_up(shelf.processes, process, QUART, stove(2500, PotKind.PRESSURE, Gauge.DIAL))
    weighted = look_up(shelf.processes, process, QUART, stove(2500, PotKind.PRESSURE, Gauge.WEIGHTED))

    assert minutes(shelf, process, QUART, 2500) == 30
    assert isinstance(dial, Minutes)
    assert isinstance(weighted, Minutes)
    assert [(p.psi, p.minutes) for p in dial.pressures] == [(7, 10)]
    assert [(p.psi, p.minutes) for p in weighted.pressures] == [(10, 10)]


@pytest.mark.parametrize(
    ("process", "jar", "by_height"),
    [
        (PEARS, QUART, {1000: 25, 1001: 30, 3000: 30, 3001: 35, 6000: 35, 6001: 40}),
        (SAUCE, PINT, {500: 15, 2000: 20, 5000: 20, 7000: 25}),
        (SAUCE, QUART, {500: 20, 2000: 25, 5000: 30, 7000: 35}),
        ("apple butter, hot pack", HALF_PINT, {500: 5, 2000: 10, 5000: 10, 7000: 15}),
        ("apple butter, hot pack", QUART, {500: 10, 2000: 15, 5000: 15, 7000: 20}),
        ("figs, hot pack", PINT, {500: 45, 2000: 50, 5000: 55, 7000: 60}),
        ("peaches, raw pack", QUART, {7000: 45}),
        ("apple pie filling, hot pack", PINT, {500: 25}),
        ("peach pie filling, hot pack", PINT, {500: 30, 7000: 45}),
        ("fruit puree, hot pack", PINT, {5000: 20}),
        (PEARS, PINT, {5000: 30}),
        ("grapes, whole, hot pack", QUART, {5000: 15}),
        ("grapes, whole, raw pack", QUART, {5000: 30}),
        (PEARS, HALF_PINT, {500: 20}),
    ],
)
def test_worked_look_ups(shelf: Holding, process: str, jar: Jar, by_height: dict[int, int]) -> None:
    """A height belongs to the band whose upper limit it is, and each product has its own row."""
    assert {height: minutes(shelf, process, jar, height) for height in by_height} == by_height


def test_sterile_jars_only_below_ten_minutes(shelf: Holding) -> None:
    """Apple butter at 500 ft takes 5 minutes and sterile jars; at 2,000 ft it takes 10 and does without."""
    low, high = (look_up(shelf.processes, "apple butter, hot pack", HALF_PINT, stove(feet)) for feet in (500, 2000))

    assert isinstance(low, Minutes)
    assert isinstance(high, Minutes)
    assert (low.sterilise_min, high.sterilise_min) == (10, 0)


@pytest.mark.parametrize(
    "process",
    [
        "pear butter",
        "pear butter, hot pack",
        "pears, raw pack",
        "pears, halved, raw pack",
        "fig puree",
        "fig puree, hot pack",
        "persimmons",
        "persimmon, hot pack",
        "white peach",
        "elderberry",
    ],
)
def test_what_is_refused_by_name(shelf: Holding, process: str) -> None:
    """What has no tested process gets no minutes, but a reason and another way (AIB 539; UW, ACES, UMN 2020)."""
    found = refusal(shelf, process)

    assert words_of(found, IN_ENGLISH)
    assert instead_words(found, IN_ENGLISH)


@pytest.mark.parametrize(
    ("cultivar", "process", "is_refused"),
    [
        # ACES: persimmons; AIB 539, Guide 2, p. 2-14: no puree of figs and Asian pears, halves with acid are printed
        ("hachiya", "fruit puree, hot pack", True),
        ("hosui", "fruit puree, hot pack", True),
        ("hosui", "Asian pears, hot pack", False),
        ("brown-turkey", "fruit puree, hot pack", True),
        ("brown-turkey", "figs, hot pack", False),
    ],
)
def test_what_is_refused_by_fruit(shelf: Holding, cultivar: str, process: str, *, is_refused: bool) -> None:
    """A fruit that must not be canned so is refused, whatever preserve names it."""
    assert bool(refused_fruit(shelf.processes, shelf.cultivars[cultivar], process)) == is_refused


@pytest.mark.parametrize(
    "note",
    [
        "facts:\n  - {what: Flesh, value: white}\n---\n",
        "facts:\n  - {what: Flesh color, value: cream to white}\n---\n",
        "also: [Old White]\n---\n",
        "---\nAn old white freestone peach from the wall by the gate.\n",
        "---\nThe flesh is white and it bruises at a look.\n",
    ],
)
def test_a_peach_noted_as_white_is_white(tmp_path: Path, note: str) -> None:
    """A household's own peach whose note speaks of white flesh never goes into jars (UW 2020)."""
    files = {
        "trees/p.md": "---\ncultivar: Gate peach\n---\n",
        "cultivars/gate-peach.md": f"---\nname: Gate peach\nfruit: peach\n{note}",
    }
    holding = read_holding(write_notes(tmp_path, files), SHELF)

    for bearing in holding.tree("p").bearings:
        refused = not_for_jars(holding, bearing, "peaches, hot pack")
        assert refused is not None
        assert "white" in words_of(refused, IN_ENGLISH)
        assert instead_words(refused, IN_ENGLISH)


def test_no_yellow_peach_of_the_shelf_is_taken_for_white(shelf: Holding, tmp_path: Path) -> None:
    """With yellow flesh noted of each tree, just the shelf's own white ones stay out of the jars."""
    limbs = [one for one in shelf.cultivars.values() if one.fruit and one.fruit.key in {"peach", "nectarine"}]
    files = {f"trees/{one.key}.md": f"---\ncultivar: {one.key}\nflesh: yellow\n---\n" for one in limbs}
    holding = read_holding(write_notes(tmp_path, files), SHELF)

    assert len(limbs) > 20
    refused = {one.key for one in limbs if not_for_jars(holding, Bearing(one.key, one.key), "peaches, hot pack")}
    white = {one.key for one in limbs if one.flesh and one.flesh.value is Flesh.WHITE}
    assert refused == white | {"white-hale"}  # no page was read of its flesh, but its name says it
    assert refused


def test_no_pressure_above_what_is_printed(shelf: Holding) -> None:
    """Pears by a dial gauge at 8,001 ft: nothing is printed."""
    found = look_up(shelf.processes, PEARS, QUART, stove(8001, PotKind.PRESSURE, Gauge.DIAL))

    assert isinstance(found, NoMinutes)


@pytest.mark.parametrize(
    ("process", "jar", "gauge", "why"),
    [
        (PEARS, QUART, None, GaugeUnsaid),  # 6 psi by a dial are 5 by a weight
        ("figs, hot pack", QUART, Gauge.DIAL, NotUnderPressure),
        (PEARS, Jar.of(JarSize.HALF_GALLON), Gauge.DIAL, JarNotPrinted),
        ("tomato sauce, hot pack", HALF_PINT, Gauge.DIAL, DoseNotPrinted),
    ],
)
def test_what_is_not_printed_for_a_pressure_canner_has_no_minutes(
    shelf: Holding, process: str, jar: Jar, gauge: Gauge | None, why: type[NoMinutes]
) -> None:
    """No gauge, no row, no jar or no dose: each refused with its own reason (AIB 539, Guides 2 and 3)."""
    found = look_up(shelf.processes, process, jar, stove(500, PotKind.PRESSURE, gauge))

    assert type(found) is why


def test_above_the_highest_band_nothing_is_printed(shelf: Holding) -> None:
    """Where a table ends at 6,000 ft, its last foot still counts and the next one does not."""
    ends = Bands(tops_ft=(1000, 6000), values=(20, 30))
    row = next(row for row in shelf.processes.boiled if row.name == PEARS and JarSize.QUART in row.jars)
    table = replace(shelf.processes, boiled=(replace(row, minutes=ends),))
    last, above = (look_up(table, PEARS, QUART, stove(feet)) for feet in (6000, 6001))

    assert isinstance(last, Minutes)
    assert (last.minutes, last.band) == (30, Band(low_ft=1001, high_ft=6000))
    assert isinstance(above, HeightNotPrinted)


def test_without_a_height_there_are_no_minutes(shelf: Holding) -> None:
    """A height that is missing gives no minutes, and asks."""
    assert isinstance(refusal(shelf, PEARS, feet=None), Unsaid)


def test_below_the_sea_counts_as_at_the_sea(shelf: Holding) -> None:
    """The lowest printed band begins at 0 ft (AIB 539, Guide 2, p. 2-20); water boils no cooler below it."""
    assert minutes(shelf, PEARS, QUART, -1300) == minutes(shelf, PEARS, QUART, 0) == 25


# Steam (NCHFP: 45 minutes at most, height included)

NEVER_STEAMED = {
    500: 4,
    2500: 8,
    5000: 12,
    7000: 15,
}


def printed_jars(shelf: Holding) -> Iterator[tuple[str, Jar]]:
    for row in shelf.processes.boiled:
        for size in row.jars:
            yield row.name, Jar.of(size)


@pytest.mark.parametrize(("feet", "expected"), NEVER_STEAMED.items())
def test_what_takes_too_long_for_a_steam_canner(shelf: Holding, feet: int, expected: int) -> None:
    """The rows above 45 minutes at a height, as printed, are those that a steam canner is not used for."""
    rows_out = {
        (row.name, tuple(sorted(size.value for size in row.jars)))
        for row in shelf.processes.boiled
        if any(minutes(shelf, row.name, Jar.of(size), feet, PotKind.STEAM) is None for size in row.jars)
    }

    assert len(rows_out) == expected
    assert all(name.startswith(("figs", "tomato")) for name, _ in rows_out)


def test_steam_goes_up_to_its_limit(shelf: Holding) -> None:
    """Peaches, raw pack, quarts at 7,000 ft take 45 minutes, and that is allowed."""
    assert minutes(shelf, "peaches, raw pack", QUART, 7000, PotKind.STEAM) == 45


@pytest.mark.parametrize(
    ("process", "feet", "inches"),
    [
        # AIB 539, Guide 1: 2 inches over the lids for more than 30 minutes, else 1
        ("figs, hot pack", 500, 2),
        ("tomatoes, crushed, hot pack", 500, 2),
        ("peaches, raw pack", 1001, 2),
        ("peaches, raw pack", 1000, 1),
        (PEARS, 3001, 2),
        (PEARS, 3000, 1),
    ],
)
def test_water_over_the_lids(shelf: Holding, process: str, feet: int, inches: int) -> None:
    """Quarts that boil more than half an hour need deeper water."""
    found = look_up(shelf.processes, process, QUART, stove(feet))

    assert isinstance(found, Minutes)
    assert found.water_in == inches


# Jars of other sizes (AIB 539, Guide 1, p. 1-23: half pints as pints, pints and a half as quarts, none larger)


@pytest.mark.parametrize(
    ("jar", "expected"),
    [("250 ml", 20), ("473 ml", 20), ("500 ml", 25), ("720 ml", 25), ("946 ml", 25), ("1 l", None), ("3 l", None)],
)
def test_a_metric_jar_counts_as_the_next_larger_one(shelf: Holding, jar: str, expected: int | None) -> None:
    """Half a litre is more than a pint, so it takes the quart's row; a litre is more than a quart, so it has none."""
    assert minutes(shelf, PEARS, parse_jar(jar), 500) == expected


def test_a_litre_of_juice_takes_the_row_of_half_gallons(shelf: Holding) -> None:
    """Half-gallon jars are printed for very acid juices alone."""
    assert minutes(shelf, "apple juice, hot pack", parse_jar("1 l"), 500) == 10


def test_acid_is_dosed_only_for_jars_it_is_printed_for(shelf: Holding) -> None:
    """Half pints of figs have minutes by the pints' row, but no printed dose, so they are refused."""
    assert "dose" in words_of(refusal(shelf, "figs, hot pack", HALF_PINT), IN_ENGLISH)


@pytest.mark.parametrize("name", ["figs, hot pack", "Asian pears, hot pack", "tomato sauce, hot pack"])
def test_low_acid_fruit_never_comes_without_its_acid(shelf: Holding, name: str) -> None:
    """Boiled or under pressure, in pints and quarts, at any height."""
    for jar in (PINT, QUART):
        for kind, gauge in ((PotKind.BOILING_WATER, None), (PotKind.STEAM, None), (PotKind.PRESSURE, Gauge.DIAL)):
            for feet in (0, 4000, 9000):
                found = look_up(shelf.processes, name, jar, stove(feet, kind, gauge))
                assert isinstance(found, NoMinutes) or "bottled lemon juice" in found.acid


def test_every_preserve_in_jars_has_its_process_in_the_table(shelf: Holding) -> None:
    """A preserve that names no row of the table would have no minutes anywhere."""
    named = {p.process.value for p in shelf.preserves if p.method is PutUp.CANNER and p.process}

    assert len(named) > 40
    assert named <= shelf.processes.names


# Amounts (AIB 539, Guide 2, p. 2-5 to 2-22, and Guide 3; the loads are printed, the rest follows from them)


def pounds(number: float) -> Weight:
    return Weight.of(Fraction(str(number)) * POUND)


@pytest.mark.parametrize(
    ("key", "lb", "jar", "expected"),
    [
        ("pear-halves", 50, QUART, (16, 20.0, 25)),
        ("pear-halves", 50, PINT, (40.9, 40.9, 40.9)),
        ("pear-halves", 35, QUART, (11.2, 14.0, 17.5)),
        ("applesauce", 48, QUART, (14, 16.0, 19)),
        ("applesauce", 48, PINT, (32, 32.0, 32)),
        ("apple-slices", 48, QUART, (16, 17.7, 19)),
        ("peaches-jars", 48, QUART, (16, 19.2, 24)),
        ("plums-jars", 56, QUART, (22, 28.0, 36)),
        ("tomatoes-crushed", 53, QUART, (16.9, 16.9, 20)),
        ("asian-pears-jars", 18, PINT, (12.5, 13.5, 14.7)),
        ("apple-butter", 48, PINT, (48, 50.8, 54)),
        ("apples-dried", 48, None, (6, 6.0, 6)),
        ("pears-frozen", 50, PINT, (40, 44.4, 50)),
        # recipes of several fruits, by the first of them: Guide 2, p. 2-18, and Guide 7, p. 7-8
        ("fruit-cocktail", 3, PINT, (6, 6.0, 6)),
        ("pear-apple-jam", 2, HALF_PINT, (7, 7.5, 8)),
    ],
)
def test_how_many_jars_some_fruit_makes(
    shelf: Holding, key: str, lb: float, jar: Jar | None, expected: tuple[float, float, float]
) -> None:
    """By the weight of a load, with the printed range of a bushel around it: low, likely, high."""
    found = jars_from(preserve(shelf, key), pounds(lb), jar)

    assert found is not None
    assert (float(found.low), float(found.likely), float(found.high)) == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize(
    ("key", "fruit", "lb", "jars"),
    [
        ("fruit-cocktail", "peach", 3, 6),
        ("fruit-cocktail", "european-pear", 3, 6),
        ("fruit-cocktail", "grape", 1.5, 6),
        ("grape-plum-jelly", "japanese-plum", 3.5, 10),
        ("grape-plum-jelly", "grape", 3, 10),
    ],
)
def test_each_fruit_of_a_recipe_has_its_own_weight(shelf: Holding, key: str, fruit: str, lb: float, jars: int) -> None:
    """AIB 539, Guide 2, p. 2-18: 3 lb of peaches, 3 lb of pears, 1 1/2 lb of grapes; Guide 7, p. 7-10."""
    of = preserve(shelf, key)
    jar = PINT if key == "fruit-cocktail" else HALF_PINT
    found = makes(of, jar, {fruit})

    assert found is not None
    assert fruit in found.of
    assert float(found.middle_kg) == pytest.approx(lb * float(POUND) / jars)
    assert makes(of, jar, {"quince"}) is None


def test_no_jars_are_reckoned_where_no_weight_is_printed(shelf: Holding) -> None:
    """Pear jam with pectin is printed for no weight of pears (AIB 539, Guide 7)."""
    assert jars_from(preserve(shelf, "pear-jam"), pounds(20), HALF_PINT) is None


def test_jars_in_loads() -> None:
    """Twenty quarts in a pot of seven are three loads, 41 pints in one of nine are five."""
    assert loads(20, 7) == (7, 7, 6)
    assert loads(14, 7) == (7, 7)
    assert len(loads(41, 9)) == 5


@pytest.mark.parametrize(
    ("jars", "jar", "lemon", "citric"),
    [(7, QUART, "7/8 cup", "3 1/2 teaspoons"), (9, PINT, "9 tablespoons", "2 1/4 teaspoons")],
)
def test_acid_for_a_load_of_figs(shelf: Holding, jars: int, jar: Jar, lemon: str, citric: str) -> None:
    """AIB 539, Guide 2, p. 2-14: two tablespoons or half a teaspoon a quart, half of that a pint."""
    found = look_up(shelf.processes, "figs, hot pack", jar, stove(500))
    assert isinstance(found, Minutes)

    doses = {dose.what: spoons(IN_ENGLISH, dose.teaspoons) for dose in acid_for(found.acid, jars)}

    assert doses == {"bottled lemon juice": lemon, "citric acid": citric}


def test_syrup_for_three_loads(shelf: Holding) -> None:
    """AIB 539, Guide 2, p. 2-5: light syrup for 7 quarts is 9 cups of water and 2 1/4 of sugar."""
    found = syrup_for(shelf.processes, "light syrup", QUART, 21)

    assert found is not None
    assert (found.water, found.sugar) == (27, Fraction(27, 4))


@pytest.mark.parametrize(
    ("jars", "jar", "water"),
    [
        (9, PINT, Fraction(23, 4)),
        (9, HALF_PINT, Fraction(23, 8)),
        (7, parse_jar("720 ml"), Fraction(9 * 720_000, 946_353)),
        (7, parse_jar("500 ml"), Fraction(9 * 500_000, 946_353)),
    ],
)
def test_syrup_is_reckoned_from_the_load_of_the_jars_size(shelf: Holding, jars: int, jar: Jar, water: Fraction) -> None:
    """AIB 539, Guide 2, p. 2-5: 5 3/4 cups of water for 9 pints, 9 for 7 quarts; other jars by what they hold."""
    found = syrup_for(shelf.processes, "light syrup", jar, jars)
    minutes = look_up(shelf.processes, PEARS, jar, stove(500))
    assert isinstance(minutes, Minutes)
    steps = method_of(shelf.processes, preserve(shelf, "pear-halves"), jar, [minutes]).steps
    (load,) = [step.load for step in steps if step.load]

    assert found is not None
    assert found.water == pytest.approx(water, rel=1e-4)
    assert load is (JarSize.QUART if jars == 7 else JarSize.PINT)


def test_what_is_no_printed_syrup_has_no_measure(shelf: Holding) -> None:
    """Water is none, and a syrup that is printed for quarts alone has no cups for pints."""
    syrups = shelf.processes.syrups
    light = syrups["light syrup"]
    quarts = replace(light, loads={JarSize.QUART: light.loads[JarSize.QUART]})
    table = replace(shelf.processes, syrups={"light syrup": quarts})

    assert syrup_for(table, "light syrup", QUART, 7) is not None
    assert syrup_for(table, "light syrup", PINT, 9) is None
    assert syrup_for(table, "water", QUART, 7) is None


# The clock (AIB 539, Guide 1, p. 1-17 and 1-21)


@pytest.mark.parametrize(
    ("process_min", "kind", "low", "high"),
    [
        (30, PotKind.BOILING_WATER, 55, 65),
        (8, PotKind.PRESSURE, 55, 98),
        (10, PotKind.PRESSURE, 57, 100),
    ],
)
def test_how_long_a_load_keeps_its_pot(process_min: int, kind: PotKind, low: float, high: float) -> None:
    """20 to 30 minutes to the boil and 5 of rest; under pressure the guide's own range of 55 to 100 minutes."""
    found = cycle(process_min, kind)

    assert (found.low, found.high) == (low, high)


def test_three_loads_one_after_another() -> None:
    """Pears in quarts at 2,500 ft, three loads in one pot: 165 to 195 minutes."""
    found = cycle(30)

    assert (3 * found.low, 3 * found.high) == (165, 195)


def test_seals_are_tested_the_next_morning() -> None:
    """Out at 16:00 on Saturday: tested from 04:00 to 16:00 on Sunday, a failed jar done again within 24 hours."""
    saturday, sunday = date(2027, 8, 28), date(2027, 8, 29)
    found = seals(datetime.combine(saturday, time(16)), datetime.combine(saturday, time(16)))

    assert found.first == datetime.combine(sunday, time(4))
    assert found.last == found.again_until == datetime.combine(sunday, time(16))


def test_the_first_load_s_hours_end_first() -> None:
    """Loads out at 10:25 and at 13:43: all are cool 12 hours after the last, and the first is over at 10:25 (R)."""
    saturday, sunday = date(2027, 9, 11), date(2027, 9, 12)
    found = seals(datetime.combine(saturday, time(10, 25)), datetime.combine(saturday, time(13, 43)))

    assert found.first == datetime.combine(sunday, time(1, 43))
    assert found.again_until == datetime.combine(sunday, time(10, 25))
