"""How much years differ here, learnt from the days noted."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import numpy as np
import pytest
from msgspec.structs import replace

from firmripe.holding.fruit import Event
from firmripe.season.because import Evidence, Group
from firmripe.season.model import Observation, Occurrence, covariance, year_scale_of

NOTE = Group.of(Evidence.EARLIER_SEASONS, Event.PICK, "1", "bosc")

BLOOM, PICK = ("full bloom", 120.0), ("pick", 240.0)
"""Two events with their expected days; years differ there by 7.5 and 5 days in the table of spreads."""


def seen(
    day: float, year: int, tree: str = "1", event: tuple[str, float] = BLOOM, spread_d: float = 0.5
) -> Observation:
    """Return the note of an event on a season day."""
    name, expected = event
    happened = Occurrence(day=expected, kin=(("bosc", 4), ("place", 7)), tree=tree, name=name, year=year)
    return Observation(later=happened, value=day, spread_d=spread_d, group=NOTE)


def yearly(offs: Sequence[float], tree: str = "1", event: tuple[str, float] = BLOOM) -> list[Observation]:
    """Return one note a year, so many days off the expected day."""
    return [seen(event[1] + off, 2000 + number, tree, event) for number, off in enumerate(offs)]


WILD = [20.0, -18.0, 3.0, -15.0, 17.0, -7.0]
CALM = [1.0, -1.0, 0.0, 2.0, -2.0, 1.0]


@pytest.mark.parametrize(
    "notes",
    [
        [],
        [seen(150, 2020)],
        [seen(150, 2020), seen(90, 2020, tree="2"), seen(280, 2020, event=PICK)],
        [seen(150, 2020), seen(90, 2021, tree="2"), seen(280, 2022, event=PICK)],
        [replace(note, later=replace(note.later, is_autumn=True)) for note in yearly(WILD)],
        [replace(note, later=replace(note.later, year=None)) for note in yearly(WILD)],
        [replace(note, later=replace(note.later, tree="")) for note in yearly(WILD)],
        [replace(note, earlier=replace(note.later, name="x")) for note in yearly(WILD)],
    ],
)
def test_nothing_is_learnt_without_one_event_of_a_tree_in_several_years(notes: list[Observation]) -> None:
    """The table stands: for one year, for other trees in other years, for leaf fall, usual days and intervals."""
    assert year_scale_of(notes) == 1.0


def test_years_all_alike_make_years_differ_less() -> None:
    """Ten years on one day leave what the table is worth: six years beside the nine that ten can tell."""
    assert year_scale_of(yearly([4.0] * 10)) == pytest.approx(math.sqrt(6 / 15))


def test_two_years_are_weighed_by_hand() -> None:
    """Blooms 12 days off their mean either way, beside 7.5; 1.5, 2 and 0.5 are tree-year, chance and the note."""
    squares = 2 * (12 / 7.5) ** 2 - (1.5**2 + 2**2 + 0.5**2) / 7.5**2
    assert year_scale_of([seen(108, 2020), seen(132, 2021)]) == pytest.approx(math.sqrt((6 + squares) / 7))


@pytest.mark.parametrize("event", [BLOOM, PICK])
def test_wild_years_differ_more_and_calm_ones_less(event: tuple[str, float]) -> None:
    """Above 1 the one, below 1 the other, the more so with more years."""
    wild, calm = year_scale_of(yearly(WILD, event=event)), year_scale_of(yearly(CALM, event=event))
    assert calm < 1 < wild
    assert year_scale_of(yearly(WILD * 2, event=event)) > wild
    assert year_scale_of(yearly(CALM * 2, event=event)) < calm


def test_years_differ_the_more_the_farther_apart_their_days_are() -> None:
    """The same years stretched out never make a smaller factor."""
    scales = [year_scale_of(yearly([factor * off for off in WILD])) for factor in (0.0, 0.2, 0.5, 1.0, 2.0)]
    assert scales == sorted(scales)
    assert scales[-1] > scales[0]


def test_trees_that_go_their_own_ways_say_little_of_the_year() -> None:
    """Trees early and late in the same years cancel out; trees that go together don't."""
    apart = yearly(WILD) + yearly([-off for off in WILD], tree="2")
    together = yearly(WILD) + yearly(WILD, tree="2")
    assert year_scale_of(apart) < 1 < year_scale_of(together)


def test_how_late_a_tree_is_each_year_is_no_difference_between_years() -> None:
    """Only the days off the tree's own mean count."""
    late = [replace(note, value=note.value + 40) for note in yearly(WILD)]
    assert year_scale_of(late) == pytest.approx(year_scale_of(yearly(WILD)))


@pytest.mark.parametrize("seed", range(5))
def test_the_order_of_notes_and_notes_written_twice_change_nothing(seed: int) -> None:
    """Mixed, and some of them repeated, they lead to the same factor."""
    notes = yearly(WILD) + yearly(CALM, tree="2") + yearly(WILD[::-1], event=PICK)
    lot = random.Random(seed)  # noqa: S311 - a lot that falls the same each time
    mixed = [*notes, *lot.choices(notes, k=7)]
    lot.shuffle(mixed)
    assert year_scale_of(mixed) == pytest.approx(year_scale_of(notes), rel=1e-12)


def test_of_several_notes_of_one_event_the_surest_counts() -> None:
    """A vague one beside an exact one changes nothing."""
    notes = yearly(CALM)
    vague = [seen(170, 2003, spread_d=6), seen(60, 2001, spread_d=4)]
    assert year_scale_of([*vague, *notes]) == pytest.approx(year_scale_of(notes), rel=1e-12)
    assert year_scale_of([*notes, *vague]) == pytest.approx(year_scale_of(notes), rel=1e-12)


def test_vague_days_say_less_of_how_years_differ_than_exact_ones() -> None:
    """Part of what they are apart may be the notes' own doubt."""
    vague = [replace(note, spread_d=8) for note in yearly(WILD)]
    assert year_scale_of(vague) < year_scale_of(yearly(WILD))


# Simulated records


def simulated(scale: float, years: int, trees: int, seed: int) -> list[Observation]:
    """Draw days from the model itself, with years that differ by a factor."""
    rng = np.random.default_rng(seed)
    shape = [(year, str(tree), event) for year in range(years) for tree in range(trees) for event in (BLOOM, PICK)]
    days = [
        Occurrence(day=event[1], kin=(("bosc", 4), ("place", 7)), tree=tree, name=event[0], year=year)
        for year, tree, event in shape
    ]
    law = covariance(days, days, scale) + 0.5**2 * np.eye(len(days))
    off = np.linalg.cholesky(law) @ rng.normal(size=len(days))
    return [
        Observation(later=day, value=day.day + float(by), spread_d=0.5, group=NOTE)
        for day, by in zip(days, off, strict=True)
    ]


def mean_square(scale: float, years: int, trees: int, seeds: range) -> float:
    """Return the mean of the squared factor over several drawn records."""
    return float(np.mean([year_scale_of(simulated(scale, years, trees, seed)) ** 2 for seed in seeds]))


@pytest.mark.parametrize("scale", [0.5, 1.0, 1.6, 2.5])
@pytest.mark.parametrize("trees", [1, 4])
def test_long_records_tell_how_much_years_differ(scale: float, trees: int) -> None:
    """Over records of 100 years the factor nears the one that they were drawn with, mixed with the table's by years."""
    expected = math.sqrt((6 + 99 * scale**2) / 105)
    assert math.sqrt(mean_square(scale, 100, trees, range(8))) == pytest.approx(expected, rel=0.08)


@pytest.mark.parametrize("scale", [1.0, 2.5])
def test_short_records_pull_only_part_of_the_way_and_not_aside(scale: float) -> None:
    """On average over many records of 6 years the factor lies between the table's and the true one, in proportion."""
    expected = math.sqrt((6 + 5 * scale**2) / 11)
    assert math.sqrt(mean_square(scale, 6, 3, range(150))) == pytest.approx(expected, rel=0.06)
