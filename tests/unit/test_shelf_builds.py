"""Every cultivar and every task of the shelf builds on ground of every kind, north, south and near the equator."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import pytest

from firmripe.calendar.entries import expand
from firmripe.calendar.entry import Calendar
from firmripe.days import Hemisphere, WorkingYear
from firmripe.harvest.following import follow
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.task import OF_THE_KITCHEN, Condition, Stage
from firmripe.holding.tree import Bearing
from firmripe.reading.reader import read_holding
from firmripe.season.estimate import Basis, Estimate
from firmripe.season.season import Season, SeasonModel
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.names import title_of

SHELF = Path(__file__).parents[2] / "content" / "reference"
KINDS = sorted(note.stem for note in (SHELF / "cultivars").glob("*.md"))
FRUITS = sorted(note.stem for note in (SHELF / "fruits").glob("*.md"))
TREES = sorted([*KINDS, *(f"unknown {fruit}" for fruit in FRUITS)])
FROSTS = "last frost: May 12\nfirst frost: Oct 8"
GROUNDS = {
    "zone 4a": f"zone: 4a\n{FROSTS}",
    "zone 6b": f"zone: 6b\n{FROSTS}",
    "zone 8b": "zone: 8b\nlast frost: Mar 20\nfirst frost: Nov 15",
    "zone 9b": "zone: 9b\nlast frost: Feb 10\nfirst frost: Dec 10",
    "42 degrees south": "latitude: 42 S\nlast frost: Nov 12\nfirst frost: Apr 8",
    "2 degrees north": "latitude: 2 N",
}
MIRROR = "42 degrees north"
ALL_GROUNDS = {**GROUNDS, MIRROR: f"latitude: 42 N\n{FROSTS}"}
HARDY = {
    "apple",
    "apricot",
    "blackberry",
    "european-pear",
    "european-plum",
    "japanese-plum",
    "peach",
    "quince",
    "sweet-cherry",
    "tart-cherry",
}
"""Fruits at home in all of the dated grounds; carried far out of its climate a date says little of a season."""

# Months in which hardy fruit is picked somewhere in the shelf's own windows on such ground (April in Florida to
# November in Washington), half a year on in the south.
MONTHS = {
    "zone 4a": {5, 6, 7, 8, 9, 10, 11, 12},  # May: Florida's low-chill peaches, moved no further than the cap
    "zone 6b": {5, 6, 7, 8, 9, 10, 11},
    "zone 8b": {4, 5, 6, 7, 8, 9, 10, 11},
    "zone 9b": {4, 5, 6, 7, 8, 9, 10},
    "42 degrees south": {11, 12, 1, 2, 3, 4, 5},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """One household with a tree of every kind, carried through to its calendar."""

    name: str
    holding: Holding
    season: Season
    calendar: Calendar
    stages: dict[Bearing, frozenset[Stage]]

    def pick(self, bearing: Bearing) -> Estimate:
        """Return when a bearing is picked, which on the shelf alone is always dated."""
        dated = self.season.of(bearing, Event.PICK)
        assert isinstance(dated, Estimate), bearing
        return dated


def household(folder: Path, ground: str) -> Path:
    """Write a household with a tree of every cultivar and one of no known kind of every fruit.

    The leaves of a pear and a peach were seen to fall the year before: the shelf itself has no date for it.
    """
    (folder / "trees").mkdir(parents=True)
    (folder / "records").mkdir()
    (folder / "place.md").write_text(f"---\n{ground}\n---\n", encoding="utf-8")
    for kind in KINDS:
        (folder / "trees" / f"{kind}.md").write_text(f"---\ncultivar: {kind}\n---\n", encoding="utf-8")
    for fruit in FRUITS:
        note = f"---\nfruit: {fruit}\ncultivar: unknown\n---\n"
        (folder / "trees" / f"unknown {fruit}.md").write_text(note, encoding="utf-8")
    seen = "2026-05-20" if "S" in ground.split("\n", 1)[0] else "2026-11-08"
    lines = f"date,tree,what\n{seen},bartlett,leaf fall\n{seen},redhaven,leaf fall\n"
    (folder / "records" / "2026.csv").write_text(lines, encoding="utf-8")
    return folder


def build(folder: Path, name: str) -> Built:
    """Build the season 2027 of one ground."""
    holding = read_holding(household(folder / "notes", ALL_GROUNDS[name]), SHELF)
    year = WorkingYear(year=2027, hemisphere=holding.place.hemisphere)
    season = SeasonModel(holding, year, year.first).season()
    lots = follow(season)
    return Built(
        name=name,
        holding=holding,
        season=season,
        calendar=expand(season, lots),
        stages={bearing: frozenset(lot.days) for bearing, lot in lots.items()},
    )


def _every_kind_is_planted_and_dated(here: Built) -> None:
    """No ground lets a cultivar fall away; only a second crop that nobody has dated may lack its pick."""
    dated = {b.tree for b in here.season.bearings if isinstance(here.season.of(b, Event.PICK), Estimate)}
    assert [tree.tag for tree in here.holding.trees] == TREES
    assert dated == set(TREES)


def _every_dated_event_has_its_likely_day_inside_its_window(here: Built) -> None:
    """Earliest, likely and latest stand in order, and nothing is taken for seen that nobody noted."""
    dates = [dated for dated in here.season.dates.values() if isinstance(dated, Estimate)]
    assert len(dates) > 300
    for dated in dates:
        assert dated.earliest <= dated.likely <= dated.latest
        assert dated.spread_d > 0
        assert dated.basis is Basis.MODEL
        assert dated.reasons


def _picks_fall_into_their_season(here: Built) -> None:
    """Hold that a pick of 2027 stands within its working year, or just past its turn where fruit hangs into winter."""
    year = here.season.year
    for bearing in here.stages:
        likely = here.pick(bearing).likely
        assert year.first <= likely <= year.last + timedelta(days=62), bearing


def _hardy_fruit_is_picked_in_sane_months(here: Built) -> None:
    """Pears, apples, stone fruit and berries ripen between late spring and late autumn of their hemisphere."""
    fruits = {c.key: c.fruit.key for c in here.holding.cultivars.values() if c.fruit}
    hardy = [bearing for bearing in here.stages if fruits[bearing.cultivar] in HARDY]
    assert len(hardy) > 120
    months = MONTHS.get(here.name, set(range(1, 13)))
    strange = [f"{one.cultivar} {here.pick(one).likely}" for one in hardy if here.pick(one).likely.month not in months]
    assert not strange, strange


def _colder_ground_is_never_earlier(built: dict[str, Built]) -> None:
    """Over all cultivars together the middle of the season moves later from zone 9b to 8b, 6b and 4a."""
    middles = []
    for ground in ("zone 9b", "zone 8b", "zone 6b", "zone 4a"):
        here = built[ground]
        days = sorted(here.pick(bearing).likely for bearing in here.stages)
        middles.append(days[len(days) // 2])
    assert middles == sorted(middles)
    assert (middles[-1] - middles[0]).days > 28


def _the_south_picks_half_a_year_from_the_north(built: dict[str, Built]) -> None:
    """At one latitude north and south every pick falls on the same day of its own season, within a week.

    The springs of the two halves, over all stations, differ by a degree there.
    """
    north, south = built[MIRROR], built["42 degrees south"]
    assert south.season.year.hemisphere is Hemisphere.SOUTH
    assert set(north.stages) == set(south.stages)
    for bearing in north.stages:
        in_north = north.season.year.day_number(north.pick(bearing).likely)
        in_south = south.season.year.day_number(south.pick(bearing).likely)
        assert abs(in_north - in_south) <= 8, bearing
        apart = (north.pick(bearing).likely - south.pick(bearing).likely).days
        assert 173 <= apart <= 195, bearing


def _every_tree_has_entries(here: Built) -> None:
    """Whatever is planted, something about it stands in the calendar, and its pick does."""
    entries = here.calendar.entries
    mentioned = {bearing.tree for entry in entries for bearing in entry.bearings}
    picking = [entry for entry in entries if "pick" in {entry.task.key, *entry.task.instead_of}]
    picked = {bearing.tree for entry in picking for bearing in entry.bearings}
    assert mentioned == set(TREES)
    assert picked == set(TREES)


def _every_task_has_entries(here: Built) -> None:
    """With a tree of every kind every task is due, but for those that hang on a frost where there is none.

    What is wanted on a day, the days of the kitchen, a dryer, a year of planting and fruit that hangs on after a first
    pick are told of in the household's notes and tried elsewhere.
    """
    frosts = {Stage.FIRST_FROST, Stage.LAST_FROST}
    frost_free = here.holding.place.first_frost is None
    told = {Stage.WANTED, Stage.TAKE_OUT_WANTED, *OF_THE_KITCHEN}
    due = {
        task.key
        for task in here.holding.tasks
        if task.when.stage not in told
        and not (frost_free and frosts & {task.when.stage})
        and not task.only_if & {Condition.DRIES, Condition.NEWLY_PLANTED, Condition.MORE_HANGS}
    }
    assert len(due) > 100
    assert due - {entry.task.key for entry in here.calendar.entries} == set()


def _entries_are_well_formed(here: Built) -> None:
    """Each entry has a name of its own, its days lie in its span, and its span lies near its season."""
    entries = here.calendar.entries
    year = here.season.year
    assert len(entries) > 2000
    assert len({entry.identity for entry in entries}) == len(entries)
    for entry in entries:
        assert title_of(IN_ENGLISH, entry).startswith(entry.task.name)
        assert entry.days
        assert list(entry.days) == sorted(set(entry.days))
        assert all(day in entry.span for day in entry.days)
        assert entry.reach.earliest <= entry.reach.likely <= entry.reach.latest
        assert year.first - timedelta(days=200) < entry.span.first, title_of(IN_ENGLISH, entry)
        assert entry.span.last < year.last + timedelta(days=400), title_of(IN_ENGLISH, entry)


def _entries_stand_in_order_of_days(here: Built) -> None:
    """Hold that the calendar reads from its first day to its last."""
    days: list[date] = [entry.span.first for entry in here.calendar.entries]
    assert days == sorted(days)


def _what_ripens_off_the_tree_is_followed_to_the_kitchen(here: Built) -> None:
    """Hold that a European pear, peach or persimmon has a day when it is ready wherever it grows."""
    indoors = {"european-pear", "peach", "nectarine", "japanese-plum", "persimmon-astringent", "quince", "pawpaw"}
    cultivars = here.holding.cultivars
    lots = [b for b in here.stages if (fruit := cultivars[b.cultivar].fruit) and fruit.key in indoors]
    assert len(lots) > 70
    assert not [bearing for bearing in lots if Stage.READY not in here.stages[bearing]]


def _what_could_not_be_dated_says_why(here: Built) -> None:
    """Nothing drops out silently: each gap has its reason in words."""
    undated = here.calendar.undated
    assert undated
    assert all(words_of(gap.what, IN_ENGLISH).strip() and words_of(gap.reason, IN_ENGLISH).strip() for gap in undated)


CHECKS = (
    _every_kind_is_planted_and_dated,
    _every_dated_event_has_its_likely_day_inside_its_window,
    _picks_fall_into_their_season,
    _hardy_fruit_is_picked_in_sane_months,
    _every_tree_has_entries,
    _every_task_has_entries,
    _entries_are_well_formed,
    _entries_stand_in_order_of_days,
    _what_ripens_off_the_tree_is_followed_to_the_kitchen,
    _what_could_not_be_dated_says_why,
)
"""What holds on every ground."""


@pytest.mark.parametrize(
    ("grounds", "together"),
    [
        (("zone 9b", "zone 8b", "zone 6b", "zone 4a"), _colder_ground_is_never_earlier),
        (("42 degrees south", "2 degrees north", MIRROR), _the_south_picks_half_a_year_from_the_north),
    ],
    ids=["zones", "latitudes"],
)
def test_the_shelf_builds_on_ground_of_every_kind(
    tmp_path: Path, grounds: tuple[str, ...], together: Callable[[dict[str, Built]], None]
) -> None:
    """Each ground is built once, since that takes long, and every check is made of it; all that fails is told."""
    built = {name: build(tmp_path / name, name) for name in grounds}
    failed = []
    for name, here in built.items():
        for check in CHECKS if name in GROUNDS else ():
            try:
                check(here)
            except AssertionError as error:
                failed.append(f"{name}, {check.__name__}: {error}")
    assert not failed, "\n".join(failed)
    together(built)
