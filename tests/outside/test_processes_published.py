"""Canning minutes against the printed tables, row by row: USDA, Complete Guide to Home Canning, AIB 539, 2015.

Guide 1 (principles), 2 (fruit), 3 (tomatoes), 6 (relishes) and 7 (jams and jellies).
"""

from __future__ import annotations

import pytest
from conftest import SHELF, write_notes

from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.kitchen import PotKind
from firmripe.holding.process import Gauge, ProcessTable
from firmripe.kitchen.processes import Minutes, NoMinutes, Stove, look_up
from firmripe.reading.reader import read_holding
from firmripe.units import METRES_PER_FOOT

ROWS = """
pears, halved | hot | pint | 20/25/30/35 | 1/2 in |  |  | Guide 2
pears, halved | hot | quart | 25/30/35/40 | 1/2 in |  |  | Guide 2
Asian pears | hot | pint | 20/25/30/35 | 1/2 in | Asian pears |  | Guide 2
Asian pears | hot | quart | 25/30/35/40 | 1/2 in | Asian pears |  | Guide 2
apples, sliced | hot | pint+quart | 20/25/30/35 | 1/2 in |  |  | Guide 2
applesauce | hot | pint | 15/20/20/25 | 1/2 in |  |  | Guide 2
applesauce | hot | quart | 20/25/30/35 | 1/2 in |  |  | Guide 2
apple butter | hot | half pint+pint | 5/10/15 | 1/4 in |  |  | Guide 2
apple butter | hot | quart | 10/15/20 | 1/4 in |  |  | Guide 2
apple juice | hot | pint+quart | 5/10/15 | 1/4 in |  |  | Guide 2
apple juice | hot | half gallon | 10/15/20 | 1/4 in |  |  | Guide 2
spiced apple rings | hot | half pint+pint | 10/15/20 | 1/2 in |  |  | Guide 2
spiced crab apples | hot | pint | 20/25/30/35 | 1/2 in |  |  | Guide 2
peaches | hot | pint | 20/25/30/35 | 1/2 in |  |  | Guide 2
nectarines | hot | pint | 20/25/30/35 | 1/2 in |  |  | Guide 2
apricots | hot | pint | 20/25/30/35 | 1/2 in |  |  | Guide 2
peaches | hot | quart | 25/30/35/40 | 1/2 in |  |  | Guide 2
nectarines | hot | quart | 25/30/35/40 | 1/2 in |  |  | Guide 2
apricots | hot | quart | 25/30/35/40 | 1/2 in |  |  | Guide 2
peaches | raw | pint | 25/30/35/40 | 1/2 in |  |  | Guide 2
nectarines | raw | pint | 25/30/35/40 | 1/2 in |  |  | Guide 2
apricots | raw | pint | 25/30/35/40 | 1/2 in |  |  | Guide 2
peaches | raw | quart | 30/35/40/45 | 1/2 in |  |  | Guide 2
nectarines | raw | quart | 30/35/40/45 | 1/2 in |  |  | Guide 2
apricots | raw | quart | 30/35/40/45 | 1/2 in |  |  | Guide 2
plums | hot | pint | 20/25/30/35 | 1/2 in |  |  | Guide 2
plums | hot | quart | 25/30/35/40 | 1/2 in |  |  | Guide 2
plums | raw | pint | 20/25/30/35 | 1/2 in |  |  | Guide 2
plums | raw | quart | 25/30/35/40 | 1/2 in |  |  | Guide 2
cherries | hot | pint | 15/20/20/25 | 1/2 in |  |  | Guide 2
cherries | hot | quart | 20/25/30/35 | 1/2 in |  |  | Guide 2
cherries | raw | pint+quart | 25/30/35/40 | 1/2 in |  |  | Guide 2
figs | hot | pint | 45/50/55/60 | 1/2 in | figs |  | Guide 2
figs | hot | quart | 50/55/60/65 | 1/2 in | figs |  | Guide 2
grapes, whole | hot | pint+quart | 10/15/15/20 | 1 in |  |  | Guide 2
grapes, whole | raw | pint | 15/20/20/25 | 1 in |  |  | Guide 2
grapes, whole | raw | quart | 20/25/30/35 | 1 in |  |  | Guide 2
grape juice | hot | pint+quart | 5/10/15 | 1/4 in |  |  | Guide 2
grape juice | hot | half gallon | 10/15/20 | 1/4 in |  |  | Guide 2
berries, whole | hot | pint+quart | 15/20/20/25 | 1/2 in |  |  | Guide 2
berries, whole | raw | pint | 15/20/20/25 | 1/2 in |  |  | Guide 2
berries, whole | raw | quart | 20/25/30/35 | 1/2 in |  |  | Guide 2
berry syrup | hot | half pint+pint | 10/15/20 | 1/2 in |  |  | Guide 2
fruit puree | hot | pint+quart | 15/20/25 | 1/4 in |  |  | Guide 2
fruit baby food | hot | half pint+pint | 20/25/30 |  |  |  | Guide 1
mixed fruit cocktail | raw | half pint+pint | 20/25/30/35 | 1/2 in |  |  | Guide 2
pineapple | hot | pint | 15/20/20/25 | 1/2 in |  |  | Guide 2
pineapple | hot | quart | 20/25/30/35 | 1/2 in |  |  | Guide 2
rhubarb, stewed | hot | pint+quart | 15/20/25 | 1/2 in |  |  | Guide 2
grapefruit and oranges | raw | pint+quart | 10/15/20 | 1/2 in |  |  | Guide 2
mango sauce | hot | half pint | 15/20/25 | 1/4 in |  | recipe | Guide 2
peach salsa | hot | half pint | 10/15/20 | 1/2 in |  | recipe | Guide 2
peach-apple salsa | hot | pint | 15/20/25 | 1/2 in |  | recipe | Guide 2
chayote and pear relish | hot | pint | 15/20/25 | 1/2 in |  | recipe | Guide 6
apple pie filling | hot | pint+quart | 25/30/35/40 | 1 in |  | recipe | Guide 2
peach pie filling | hot | pint+quart | 30/35/40/45 | 1 in |  | recipe | Guide 2
cherry pie filling | hot | pint+quart | 30/35/40/45 | 1 in |  | recipe | Guide 2
blueberry pie filling | hot | pint+quart | 30/35/40/45 | 1 in |  | recipe | Guide 2
green tomato pie filling | hot | quart | 15/20/25 | 1/2 in |  | recipe | Guide 2
tomato juice | hot | pint | 35/40/45/50 | 1/2 in | tomatoes |  | Guide 3
tomato juice | hot | quart | 40/45/50/55 | 1/2 in | tomatoes |  | Guide 3
tomatoes, crushed | hot | pint | 35/40/45/50 | 1/2 in | tomatoes |  | Guide 3
tomatoes, crushed | hot | quart | 45/50/55/60 | 1/2 in | tomatoes |  | Guide 3
tomato sauce | hot | pint | 35/40/45/50 | 1/4 in | tomatoes |  | Guide 3
tomato sauce | hot | quart | 40/45/50/55 | 1/4 in | tomatoes |  | Guide 3
tomatoes, whole, in water | hot | pint | 40/45/50/55 | 1/2 in | tomatoes |  | Guide 3
tomatoes, whole, in water | hot | quart | 45/50/55/60 | 1/2 in | tomatoes |  | Guide 3
tomatoes, whole, in water | raw | pint | 40/45/50/55 | 1/2 in | tomatoes |  | Guide 3
tomatoes, whole, in water | raw | quart | 45/50/55/60 | 1/2 in | tomatoes |  | Guide 3
tomatoes, whole, in juice | hot | pint+quart | 85/90/95/100 | 1/2 in | tomatoes |  | Guide 3
tomatoes, whole, in juice | raw | pint+quart | 85/90/95/100 | 1/2 in | tomatoes |  | Guide 3
tomatoes, whole, no liquid | raw | pint+quart | 85/90/95/100 | 1/2 in | tomatoes |  | Guide 3
jelly, no added pectin | hot | half pint+pint | 5/10/15 | 1/4 in |  |  | Guide 7
jam or jelly, added pectin | hot | half pint+pint | 5/10/15 | 1/4 in |  |  | Guide 7
pear-apple jam | hot | half pint+pint | 5/10/15 | 1/4 in |  | recipe | Guide 7
grape-plum jelly | hot | half pint+pint | 5/10/15 | 1/4 in |  | recipe | Guide 7
peach-pineapple spread | hot | half pint | 15/20/20/25 | 1/4 in |  | recipe | Guide 7
peach-pineapple spread | hot | pint | 20/25/30/35 | 1/4 in |  | recipe | Guide 7
"""
"""Product, pack, jars, minutes by band, headspace, acid, whether for the printed recipe alone, and the guide.

Four numbers are for heights to 1,000, 3,000, 6,000 ft and above; three for 1,000, 6,000 ft and above.
"""
TOPS = {4: (1000, 3000, 6000), 3: (1000, 6000)}


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> ProcessTable:
    """Return the shelf's table."""
    notes = write_notes(tmp_path_factory.mktemp("notes"), {"trees/1.md": "---\ncultivar: Bartlett\n---\n"})
    return read_holding(notes, SHELF).processes


def test_every_row_is_as_printed(table: ProcessTable) -> None:
    """No row is missing, none is more, and each number stands in its band."""
    printed = set()
    for line in ROWS.strip().splitlines():
        product, pack, jars, minutes, headspace, acid, recipe, guide = (part.strip() for part in line.split("|"))
        values = tuple(int(value) for value in minutes.split("/"))
        sizes = frozenset(jars.split("+"))
        printed.add((product, pack, sizes, TOPS[len(values)], values, headspace, acid, bool(recipe), guide))

    assert printed == {
        (
            row.product,
            row.pack.value,
            frozenset(size.value for size in row.jars),
            row.minutes.tops_ft,
            row.minutes.values,
            row.headspace,
            row.acid,
            row.recipe_only,
            f"Guide {row.cited.source.key[-1]}" if row.cited.source else "",
        )
        for row in table.boiled
    }
    assert len(printed) == len(table.boiled)


def told(
    table: ProcessTable, process: str, size: JarSize, height_ft: float, kind: PotKind = PotKind.BOILING_WATER
) -> int:
    """Return the minutes that are found."""
    found = look_up(table, process, Jar.of(size), Stove(height_m=height_ft * METRES_PER_FOOT, kind=kind))
    assert isinstance(found, Minutes), found
    return found.minutes


@pytest.mark.parametrize(
    ("process", "size", "by_height"),
    [
        (
            "pears, halved, hot pack",
            JarSize.QUART,
            {1000: 25, 1001: 30, 3000: 30, 3001: 35, 6000: 35, 6001: 40},
        ),
        ("applesauce, hot pack", JarSize.PINT, {500: 15, 2000: 20, 5000: 20, 7000: 25}),
        ("applesauce, hot pack", JarSize.QUART, {500: 20, 2000: 25, 5000: 30, 7000: 35}),
        ("apple butter, hot pack", JarSize.HALF_PINT, {500: 5, 2000: 10, 5000: 10, 7000: 15}),
        ("apple butter, hot pack", JarSize.QUART, {500: 10, 2000: 15, 5000: 15, 7000: 20}),
        ("figs, hot pack", JarSize.PINT, {500: 45, 2000: 50, 5000: 55, 7000: 60}),
        ("fruit puree, hot pack", JarSize.PINT, {5000: 20}),
        ("pears, halved, hot pack", JarSize.PINT, {5000: 30}),
        ("pears, halved, hot pack", JarSize.HALF_PINT, {500: 20}),
        ("grapes, whole, hot pack", JarSize.QUART, {5000: 15}),
        ("grapes, whole, raw pack", JarSize.QUART, {5000: 30}),
        ("apple pie filling, hot pack", JarSize.PINT, {500: 25}),
        ("peach pie filling, hot pack", JarSize.PINT, {500: 30, 7000: 45}),
        ("peaches, hot pack", JarSize.QUART, {2500: 30}),
    ],
)
def test_bands_are_inclusive_and_never_interpolated(
    table: ProcessTable, process: str, size: JarSize, by_height: dict[int, int]
) -> None:
    """AIB 539, Guides 1 and 2; the last row is its own worked example."""
    assert {height: told(table, process, size, height) for height in by_height} == by_height


def test_the_worked_example_for_pressure(table: ProcessTable) -> None:
    """AIB 539, Guide 2: peaches, hot pack, quarts at 2,500 ft: 10 minutes at 7 psi by a dial, 10 psi by a weight."""
    for gauge, psi in ((Gauge.DIAL, 7), (Gauge.WEIGHTED, 10)):
        stove = Stove(height_m=2500 * METRES_PER_FOOT, kind=PotKind.PRESSURE, gauge=gauge)
        found = look_up(table, "peaches, hot pack", Jar.of(JarSize.QUART), stove)
        assert isinstance(found, Minutes)
        assert (found.minutes, found.pressures[0].psi) == (10, psi)


@pytest.mark.parametrize(
    ("height_ft", "left_out"),
    [(500, 4), (2500, 8), (5000, 12), (7000, 15)],
)
def test_steam_takes_no_row_of_more_than_45_minutes(table: ProcessTable, height_ft: int, left_out: int) -> None:
    """National Center for Home Food Preservation, on steam canners: at most 45 minutes, height included."""
    stove = Stove(height_m=height_ft * METRES_PER_FOOT, kind=PotKind.STEAM)
    refused = [
        (row.name, size)
        for row in table.boiled
        for size in row.jars
        if isinstance(look_up(table, row.name, Jar.of(size), stove), NoMinutes)
    ]
    rows = {(name, next(r.jars for r in table.boiled if r.name == name and size in r.jars)) for name, size in refused}

    assert len(rows) == left_out
    assert told(table, "peaches, raw pack", JarSize.QUART, 7000, PotKind.STEAM) == 45


@pytest.mark.parametrize(
    "process",
    [
        "pear butter, hot pack",
        "pears, raw pack",
        "pears, halved, raw pack",
        "fig puree, hot pack",
        "persimmon, hot pack",
    ],
)
def test_what_is_not_printed_gets_no_minutes(table: ProcessTable, process: str) -> None:
    """No row is borrowed from a neighbour; something else is offered instead."""
    found = look_up(table, process, Jar.of(JarSize.PINT), Stove(height_m=100))

    assert isinstance(found, NoMinutes)
    assert found.instead


def test_without_a_height_there_are_no_minutes(table: ProcessTable) -> None:
    """The household is asked."""
    found = look_up(table, "pears, halved, hot pack", Jar.of(JarSize.QUART), Stove(height_m=None))

    assert isinstance(found, NoMinutes)
    assert found.asks


def test_no_pressure_is_told_above_the_printed_heights(table: ProcessTable) -> None:
    """AIB 539, Guide 2, p. 2-32: the dial’s table ends at 8,000 ft."""
    stove = Stove(height_m=8001 * METRES_PER_FOOT, kind=PotKind.PRESSURE, gauge=Gauge.DIAL)

    assert isinstance(look_up(table, "pears, halved, hot pack", Jar.of(JarSize.QUART), stove), NoMinutes)


@pytest.mark.parametrize(
    ("process", "size", "height_ft", "inches"),
    [
        ("pears, halved, hot pack", JarSize.QUART, 3000, 1),
        ("pears, halved, hot pack", JarSize.QUART, 3001, 2),
        ("peaches, raw pack", JarSize.QUART, 1001, 2),
        ("figs, hot pack", JarSize.PINT, 500, 2),
    ],
)
def test_water_stands_two_inches_over_the_lids_beyond_thirty_minutes(
    table: ProcessTable, process: str, size: JarSize, height_ft: int, inches: int
) -> None:
    """AIB 539, Guide 1."""
    found = look_up(table, process, Jar.of(size), Stove(height_m=height_ft * METRES_PER_FOOT))

    assert isinstance(found, Minutes)
    assert found.water_in == inches
