"""What must hold of the season model whatever the notes say."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import Hemisphere, MonthDay, WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import bore_in, of_those_that_stand
from firmripe.holding.tree import Bearing
from firmripe.problems import Where
from firmripe.reading.reader import read_holding
from firmripe.season.because import Evidence, Group
from firmripe.season.estimate import Basis, Dated, Estimate, Happens
from firmripe.season.laws import Floats
from firmripe.season.lines import Lines, first_of_each_season
from firmripe.season.model import Observation, Occurrence, condition, covariance
from firmripe.season.season import SeasonModel

NOTE = Group.of(Evidence.EARLIER_SEASONS, Event.PICK, "1", "bosc")

NORTH = WorkingYear(year=2027)
SOUTH = WorkingYear(year=2027, hemisphere=Hemisphere.SOUTH)
SHELF = {
    "sources.md": "---\nsources:\n  memory: {author: Memory, title: from memory}\n---\n",
    "places.md": """---
places:
  valley: {name: Valley, zone: {value: 7b, mark: M}, latitude: {value: 42 N, mark: M},
    elevation: {value: 200 m, mark: M}}
  hill: {name: Hill, zone: {value: 5b, mark: M}}
---
""",
    "fruits/pear.md": """---
windows:
  - {bloom: Apr 20 - Apr 28, place: valley, mark: M}
  - {pick: Aug 1 - Oct 10, place: valley, mark: M}
  - {leaf fall: Nov 1, place: valley, mark: M}
---
""",
    "cultivars/summer.md": """---
fruit: pear
windows: [{pick: Aug 12 - Aug 20, place: valley, mark: M}, {pick: Aug 28, place: hill, mark: M}]
days from bloom: {value: 110-120 days, mark: M}
---
""",
    "cultivars/autumn.md": "---\nfruit: pear\noffset: {from: summer, value: 35 days after, mark: M}\n---\n",
}
TREES = {
    "trees/1.md": "---\ncultivar: summer\n---\n",
    "trees/2.md": "---\ncultivar: summer\n---\n",
    "trees/3.md": "---\ncultivar: autumn\n---\n",
    "trees/4.md": "---\ncultivar: foundling\nfruit: pear\n---\n",
}
SEASONS = (2024, 2025, 2026, 2027)
USUAL = {"full bloom": 113, "first pick": 226, "leaf fall": 304}

occurrences = st.builds(
    Occurrence,
    day=st.floats(60, 320),
    kin=st.lists(
        st.tuples(st.sampled_from(["bartlett", "bosc", "comice"]), st.floats(0, 20)),
        max_size=3,
        unique_by=lambda pair: pair[0],
    ).map(tuple),
    tree=st.sampled_from(["", "1", "2", "3"]),
    name=st.sampled_from(["full bloom", "pick"]),
    year=st.sampled_from([None, 2025, 2026, 2027]),
    is_autumn=st.booleans(),
)
observations = st.builds(
    Observation,
    later=occurrences,
    earlier=st.one_of(st.none(), occurrences),
    value=st.floats(-50, 400),
    spread_d=st.floats(0.3, 10),
    group=st.just(NOTE),
)


class Line(Struct, frozen=True):
    """One line of the records: what was seen on a tree in a season, so many days from the usual day."""

    season: int
    tree: str
    what: str
    off: int
    about: bool = False

    def row(self, year: Callable[[int], WorkingYear] = lambda season: WorkingYear(year=season)) -> str:
        """Return the line as it stands in the table."""
        day = year(self.season).first + timedelta(days=USUAL[self.what] + self.off)
        return f"{'about ' if self.about else ''}{day.isoformat()},{self.tree},{self.what}"


lines = st.builds(
    Line,
    season=st.sampled_from(SEASONS),
    tree=st.sampled_from(["1", "2", "3", "4"]),
    what=st.sampled_from(["full bloom", "first pick"]),
    off=st.integers(-25, 25),
    about=st.booleans(),
)


def table(rows: Sequence[str]) -> str:
    """Return a table of records."""
    return "\n".join(["date,tree,what", *rows]) + "\n"


def dates_of(
    factory: pytest.TempPathFactory,
    notes: Mapping[str, str],
    *,
    shelf: Mapping[str, str] = SHELF,
    year: WorkingYear = NORTH,
    place: str = "zone: 7a\nlatitude: 42.5 N\nelevation: 250 m\n",
    as_of: date | None = None,
) -> Mapping[Happens, Dated]:
    """Write a household and a shelf, read them, and return the season's dates."""
    top = factory.mktemp("holding")
    household = {"place.md": f"---\n{place}---\n", **notes}
    for folder, files in (("shelf", shelf), ("home", household)):
        for name, text in files.items():
            path = top / folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    return season_dates(top, year, as_of)


def season_dates(top: Path, year: WorkingYear, as_of: date | None = None) -> Mapping[Happens, Dated]:
    """Return the dates as known on a day, the season's last where none is named."""
    return SeasonModel(read_holding(top / "home", top / "shelf"), year, as_of or year.last).season().dates


def pick_of(dates: Mapping[Happens, Dated], tree: str, cultivar: str) -> Estimate:
    """Return when a tree is picked; fails where there is no date."""
    found = dates[Happens.of(Bearing(tree, cultivar), Event.PICK)]
    assert isinstance(found, Estimate)
    return found


# What is known on a day


DAYS = st.dates(date(2025, 12, 1), date(2027, 2, 1))
happenings = st.builds(
    Record,
    day=DAYS,
    season=st.sampled_from([2026, 2027]),
    what=st.sampled_from([Happening.FULL_BLOOM, Happening.PICK, Happening.REMOVED, Happening.SOLD, Happening.SPRAY]),
    tree=st.sampled_from(["", "1", "2", "gone"]),
    cultivar=st.sampled_from(["", "bosc", "comice"]),
    where=st.just(Where("records")),
)


@given(st.lists(happenings, max_size=12), DAYS, DAYS)
def test_the_lines_about_a_tree_are_those_that_a_search_of_all_finds(
    records: list[Record], day: date, other: date
) -> None:
    """Whatever was removed and planted again, and whichever of two days is the later one."""
    lines = Lines(["1", "2"], records)
    by_day = sorted(records, key=lambda record: record.day)
    for tag in ("1", "2"):
        on_days = [[r for r in by_day if r.day <= one and r.tree in {"", tag}] for one in (day, other)]
        known = of_those_that_stand(bore_in([r for r in by_day if r.day <= day], 2026))

        assert list(lines.about(tag, day, 2026)) == [r for r in known if r.tree in {"", tag}]
        assert (tag in lines.told_between(day, other)) == (on_days[0] != on_days[1])
    assert lines.told_between(day, other) <= {"1", "2"}


@given(st.lists(happenings, max_size=12), DAYS, DAYS)
def test_what_was_seen_first_in_a_season_is_what_a_search_of_the_lines_known_finds(
    records: list[Record], day: date, other: date
) -> None:
    """Whatever was removed and planted again, on whichever day is asked first."""
    lines = Lines(["1", "2"], records)
    for bearing in (Bearing("1", "bosc"), Bearing("2", "comice")):
        for one in (day, other):
            known = lines.about(bearing.tree, one, 2026)

            assert lines.seen(bearing, one, 2026) == first_of_each_season(known, bearing)


# What one note does


@settings(deadline=None)
@given(noted=occurrences, target=occurrences, early=st.floats(0, 60), spread=st.floats(0.3, 10))
def test_one_early_note_never_makes_a_related_date_later(
    noted: Occurrence, target: Occurrence, early: float, spread: float
) -> None:
    """A day seen early, and nothing else known, moves no other day back."""
    note = Observation(later=noted, value=noted.day - early, spread_d=spread, group=NOTE)
    assert condition([target], [note]).mean[0] <= target.day + 1e-9


@settings(max_examples=25, deadline=None)
@given(line=lines, earlier_by=st.integers(1, 30))
def test_one_note_made_earlier_makes_no_date_of_the_season_later(
    tmp_path_factory: pytest.TempPathFactory, line: Line, earlier_by: int
) -> None:
    """In a whole household the only note, written earlier, never moves a date later."""
    first = dates_of(tmp_path_factory, {**TREES, "records/a.csv": table([line.row()])})
    sooner = replace(line, off=line.off - earlier_by)
    second = dates_of(tmp_path_factory, {**TREES, "records/a.csv": table([sooner.row()])})
    for happens, dated in first.items():
        other = second[happens]
        assert isinstance(dated, Estimate) == isinstance(other, Estimate)
        if isinstance(dated, Estimate) and isinstance(other, Estimate):
            assert other.likely <= dated.likely, happens


@settings(deadline=None)
@given(noted=occurrences, target=occurrences, spread=st.floats(0.3, 10), more=st.floats(0.01, 20))
def test_a_less_exact_note_never_weighs_more(noted: Occurrence, target: Occurrence, spread: float, more: float) -> None:
    """A note's pull never grows, and what is left unsure never shrinks, as the note gets less exact."""
    note = Observation(later=noted, value=noted.day - 10, spread_d=spread, group=NOTE)
    vague = replace(note, spread_d=spread + more)
    exact_result, vague_result = condition([target], [note]), condition([target], [vague])
    assert abs(vague_result.contributions[0, 0]) <= abs(exact_result.contributions[0, 0]) + 1e-12
    assert vague_result.covariance[0, 0] >= exact_result.covariance[0, 0] - 1e-9


@settings(deadline=None)
@given(target=occurrences, notes=st.lists(observations, min_size=1, max_size=8), more=st.floats(0.01, 20))
def test_a_less_exact_note_pulls_its_own_day_less_among_others(
    target: Occurrence, notes: list[Observation], more: float
) -> None:
    """Whatever else is noted, a note made less exact is followed less by the day that it is about."""
    note = Observation(later=target, value=target.day - 10, spread_d=1.0, group=NOTE)
    exact = condition([target], [note, *notes]).contributions[0, 0]
    vague = condition([target], [replace(note, spread_d=1.0 + more), *notes]).contributions[0, 0]
    assert 0 >= vague >= exact - 1e-9


@settings(deadline=None)
@given(
    noted=occurrences,
    target=occurrences,
    days=st.tuples(st.floats(60, 240), st.floats(0, 120), st.floats(0, 60)),
)
def test_a_day_farther_off_in_the_season_is_moved_less(
    noted: Occurrence, target: Occurrence, days: tuple[float, float, float]
) -> None:
    """Of two days alike in all else, the one nearer in the season to what was seen moves more."""
    at, gap, more = days
    noted = replace(noted, day=at)
    note = Observation(later=noted, value=at - 10, spread_d=1.0, group=NOTE)
    near, far = replace(target, day=at + gap, name="x"), replace(target, day=at + gap + more, name="x")
    moved = np.abs(condition([near, far], [note]).contributions[:, 0])
    assert moved[1] <= moved[0] + 1e-12


@settings(deadline=None)
@given(kind=st.floats(0.5, 20), place=st.floats(0.5, 15), day=st.floats(60, 320))
def test_a_closer_relation_moves_more(kind: float, place: float, day: float) -> None:
    """The same tree moves most, then another of its cultivar, then another cultivar, then that next year."""

    def happening(tree: str, cultivar: str, year: int, name: str) -> Occurrence:
        return Occurrence(day=day, kin=((cultivar, kind), ("place", place)), tree=tree, name=name, year=year)

    note = Observation(later=happening("1", "bosc", 2027, "pick"), value=day - 10, spread_d=1.0, group=NOTE)
    targets = [
        happening("1", "bosc", 2027, "pick"),
        happening("1", "bosc", 2027, "another crop"),
        happening("2", "bosc", 2027, "pick"),
        happening("2", "comice", 2027, "pick"),
        happening("2", "comice", 2028, "pick"),
    ]
    moved = np.abs(condition(targets, [note]).contributions[:, 0])
    assert all(moved[i] > moved[i + 1] for i in range(len(targets) - 1))


# Many notes


@settings(max_examples=200)
@given(
    notes=st.lists(observations, min_size=1, max_size=20),
    targets=st.lists(occurrences, min_size=1, max_size=4),
    year_scale=st.floats(0.5, 2.0),
)
def test_the_notes_of_each_tree_apart_say_the_same_as_all_together(
    notes: list[Observation], targets: list[Occurrence], year_scale: float
) -> None:
    """What trees share is all that ties them: the answer is that of one matrix of all notes, written out here."""
    later, earlier = [n.later for n in notes], [n.earlier or n.later for n in notes]
    less = np.array([1.0 if n.earlier else 0.0 for n in notes])

    def with_notes(rows: Sequence[Occurrence]) -> Floats:
        return covariance(rows, later, year_scale) - covariance(rows, earlier, year_scale) * less

    among = with_notes(later) - less[:, None] * with_notes(earlier) + np.diag([n.spread_d**2 for n in notes])
    cross = with_notes(targets)
    weights = np.linalg.solve(among, cross.T).T
    parted = condition(targets, notes, year_scale)

    mean = np.array([t.day for t in targets]) + weights @ [n.surprise for n in notes]
    assert np.abs(parted.mean - mean).max() < 2e-9
    assert np.abs(parted.weights - weights).max() < 2e-9
    law = covariance(targets, targets, year_scale) - weights @ cross.T
    assert np.abs(parted.covariance - law).max() < 2e-9
    assert np.abs(parted.spread_d - np.sqrt(np.maximum(np.diag(law), 0.0))).max() < 2e-6


@settings(deadline=None)
@given(
    targets=st.lists(occurrences, min_size=1, max_size=4),
    notes=st.lists(observations, min_size=2, max_size=10),
    data=st.data(),
)
def test_the_order_of_notes_changes_nothing(
    targets: list[Occurrence], notes: list[Observation], data: st.DataObject
) -> None:
    """Notes given in another order lead to the same days and the same spreads."""
    order = data.draw(st.permutations(range(len(notes))))
    plain, mixed = condition(targets, notes), condition(targets, [notes[i] for i in order])
    assert np.allclose(plain.mean, mixed.mean, rtol=0, atol=1e-6)
    assert np.allclose(plain.covariance, mixed.covariance, rtol=0, atol=1e-6)
    assert np.allclose(plain.contributions[:, order], mixed.contributions, rtol=0, atol=1e-6)


@settings(max_examples=20, deadline=None)
@given(written=st.lists(lines, min_size=2, max_size=10), data=st.data())
def test_the_order_of_lines_and_files_changes_nothing(
    tmp_path_factory: pytest.TempPathFactory, written: list[Line], data: st.DataObject
) -> None:
    """Lines mixed and spread over files, and trees in files of other names, give the same season."""
    rows = [line.row() for line in written]
    mixed = data.draw(st.permutations(rows))
    cut = data.draw(st.integers(0, len(rows)))
    first = dates_of(tmp_path_factory, {**TREES, "records/a.csv": table(rows)})
    renamed = {f"trees/{9 - int(tag)}-tree.md": f"---\ntree: {tag}\n{rest}" for tag, rest in tagged(TREES)}
    records = {"records/b.csv": table(mixed[:cut]), "records/a.csv": table(mixed[cut:])}
    second = dates_of(tmp_path_factory, {**renamed, **records})
    assert shown(first) == shown(second)


def tagged(trees: Mapping[str, str]) -> list[tuple[str, str]]:
    """Return each tree's tag and its note after the opening line."""
    return [(Path(name).stem, text.removeprefix("---\n")) for name, text in trees.items()]


def shown(dates: Mapping[Happens, Dated]) -> dict[Happens, object]:
    """Return what a page shows of each date."""
    return {
        happens: (dated.reach, dated.basis, dated.rough) if isinstance(dated, Estimate) else dated
        for happens, dated in dates.items()
    }


@settings(deadline=None)
@given(targets=st.lists(occurrences, min_size=1, max_size=4), notes=st.lists(observations, max_size=10))
def test_more_notes_never_make_a_day_less_sure(targets: list[Occurrence], notes: list[Observation]) -> None:
    """No spread is above what it was before anything was noted, and none is below nothing."""
    before, after = covariance(targets, targets).diagonal(), condition(targets, notes).covariance.diagonal()
    assert (after <= before + 1e-9).all()
    assert (after >= -1e-7).all()


@settings(deadline=None)
@given(
    targets=st.lists(occurrences, min_size=1, max_size=4),
    notes=st.lists(observations, min_size=1, max_size=5),
    times=st.integers(2, 20),
    off=st.floats(-300, 300),
)
def test_repeated_and_contradicting_notes_break_nothing(
    targets: list[Occurrence], notes: list[Observation], times: int, off: float
) -> None:
    """The same notes many times over, and others against them, still lead to days that can be shown."""
    against = [replace(note, value=note.value + off) for note in notes]
    result = condition(targets, [*notes, *against] * times)
    assert np.isfinite(result.mean).all()
    assert np.isfinite(result.spread_d).all()
    shift = result.mean - np.array([target.day for target in targets])
    assert np.allclose(result.contributions.sum(axis=1), shift, rtol=0, atol=1e-6)


@settings(deadline=None)
@given(note=observations, times=st.integers(2, 30))
def test_a_note_given_many_times_counts_as_one_more_exact_note(note: Observation, times: int) -> None:
    """The same note n times over is one note with its spread divided by the root of n."""
    assume(note.earlier is None)
    many = condition([note.later], [note] * times)
    once = condition([note.later], [replace(note, spread_d=note.spread_d / math.sqrt(times))])
    assert many.mean[0] == pytest.approx(once.mean[0], abs=1e-6)
    assert many.covariance[0, 0] == pytest.approx(once.covariance[0, 0], abs=1e-6)


@settings(max_examples=20, deadline=None)
@given(written=st.lists(lines, min_size=1, max_size=8), off=st.integers(-60, 60))
def test_lines_written_twice_and_lines_that_contradict_still_give_a_season(
    tmp_path_factory: pytest.TempPathFactory, written: list[Line], off: int
) -> None:
    """Every window runs from earliest over likely to latest, whatever the records say of one day."""
    against = [replace(line, off=off) for line in written]
    rows = [line.row() for line in (*written, *written, *against)]
    dates = dates_of(tmp_path_factory, {**TREES, "records/a.csv": table(rows)})
    dated = [found for found in dates.values() if isinstance(found, Estimate)]
    assert len(dated) == len(dates)
    assert all(found.earliest <= found.likely <= found.latest for found in dated)
    assert all(math.isfinite(found.spread_d) for found in dated)


# The other half of the earth


@settings(max_examples=25, deadline=None)
@given(
    written=st.lists(lines, max_size=4),
    marker=st.tuples(st.integers(7, 9), st.integers(1, 28)),
)
def test_the_other_half_of_the_earth_has_the_same_season_half_a_year_off(
    tmp_path_factory: pytest.TempPathFactory, written: list[Line], marker: tuple[int, int]
) -> None:
    """A southern twin of a garden has each date on the same day of its season, as near as months allow."""
    southern = MonthDay(*marker).half_a_year_on()
    places = {
        NORTH: f"zone: 7a\nlatitude: 42.5 N\nelevation: 250 m\nusual picks: {usual_summer(MonthDay(*marker))}\n",
        SOUTH: f"zone: 7a\nlatitude: 42.5 S\nelevation: 250 m\nusual picks: {usual_summer(southern)}\n",
    }
    found = {
        year: dates_of(
            tmp_path_factory,
            {**TREES, "records/a.csv": table([line.row(like(year)) for line in written])},
            year=year,
            place=place,
        )
        for year, place in places.items()
    }
    for happens, north in found[NORTH].items():
        south = found[SOUTH][happens]
        assert isinstance(north, Estimate)
        assert isinstance(south, Estimate)
        # Months differ by up to three days half a year on, and both dates are rounded.
        assert abs(NORTH.day_number(north.likely) - SOUTH.day_number(south.likely)) <= 4
        assert south.spread_d == pytest.approx(north.spread_d, abs=1.0)  # months are not all as long
        assert (south.basis, south.rough) == (north.basis, north.rough)


def usual_summer(day: MonthDay) -> str:
    """Return a marker for the summer pear."""
    return f"[{{cultivar: summer, pick: {date(2000, day.month, 1):%b} {day.day}}}]"


def like(year: WorkingYear) -> Callable[[int], WorkingYear]:
    """Return how to find another season on the same half of the earth."""
    return lambda season: replace(year, year=season)


@settings(deadline=None)
@given(first=st.dates(date(2026, 1, 1), date(2029, 12, 31)))
def test_every_day_belongs_to_the_season_that_holds_it(first: date) -> None:
    """On both halves of the earth a day lies in its season, and its number leads back to it."""
    for hemisphere in Hemisphere:
        season = WorkingYear.of(first, hemisphere)
        assert first in season
        assert season.date_of(season.day_number(first)) == first


# Whose word counts

RANKED = list(itertools.product([False, True], repeat=4))


@pytest.mark.parametrize(("pinned", "picked", "stated", "bloomed"), RANKED)
@settings(max_examples=6, deadline=None)
@given(
    pin=st.integers(200, 260),
    pick=st.integers(200, 260),
    bloom=st.integers(95, 130),
    interval=st.integers(100, 140),
)
def test_the_strongest_word_is_followed_exactly(  # noqa: PLR0917 - four words, present or not, and their days
    tmp_path_factory: pytest.TempPathFactory,
    pinned: bool,  # noqa: FBT001
    picked: bool,  # noqa: FBT001
    stated: bool,  # noqa: FBT001
    bloomed: bool,  # noqa: FBT001
    pin: int,
    pick: int,
    bloom: int,
    interval: int,
) -> None:
    """A pin, then what was seen, then the household's own interval from a noted bloom: each to the day."""
    head = ["cultivar: summer"]
    if pinned:
        head.append(f"pinned: [{{pick: {NORTH.date_of(pin)}}}]")
    if stated:
        head.append(f"days from bloom: {interval} days")
    rows = [f"{NORTH.date_of(pick)},1,first pick"] if picked else []
    rows += [f"{NORTH.date_of(bloom)},1,full bloom"] if bloomed else []
    notes = {"trees/1.md": "\n".join(["---", *head, "---\n"]), "records/a.csv": table(rows)}
    found = pick_of(dates_of(tmp_path_factory, notes), "1", "summer")
    if pinned:
        assert (found.basis, found.likely, found.spread_d) == (Basis.PINNED, NORTH.date_of(pin), 0.0)
    elif picked:
        assert (found.basis, found.likely, found.spread_d) == (Basis.RECORDED, NORTH.date_of(pick), 0.0)
    elif stated and bloomed:
        assert (found.basis, found.likely) == (Basis.STATED_INTERVAL, NORTH.date_of(bloom + interval))
        assert found.spread_d > 0
    else:
        assert found.basis is Basis.MODEL
        assert found.spread_d > 0


@settings(max_examples=20, deadline=None)
@given(spray=st.integers(180, 270), wait=st.integers(0, 90), pin=st.integers(200, 260), pinned=st.booleans())
def test_no_picking_falls_before_a_spray_interval_has_run(
    tmp_path_factory: pytest.TempPathFactory,
    spray: int,
    wait: int,
    pin: int,
    pinned: bool,  # noqa: FBT001
) -> None:
    """Whatever else is known, also a pin, the whole window lies behind the label's interval."""
    head = f"pinned: [{{pick: {NORTH.date_of(pin)}}}]\n" if pinned else ""
    records = f"date,tree,what,amount\n{NORTH.date_of(spray)},1,spray,{wait} days\n"
    notes = {"trees/1.md": f"---\ncultivar: summer\n{head}---\n", "records/a.csv": records}
    found = pick_of(dates_of(tmp_path_factory, notes), "1", "summer")
    free = NORTH.date_of(spray + wait)
    assert free <= found.earliest <= found.likely <= found.latest
    free_pick = pick_of(dates_of(tmp_path_factory, {"trees/1.md": notes["trees/1.md"]}), "1", "summer")
    assert found.likely == max(free, free_pick.likely)
    sprayed = pick_of(dates_of(tmp_path_factory, notes, as_of=NORTH.date_of(spray)), "1", "summer")
    assert (sprayed.earliest, sprayed.likely) == (found.earliest, found.likely)
    assert bool(sprayed.clash) == (free > max(free_pick.earliest, NORTH.date_of(spray)))
    assert not found.clash  # its days have run: what is over is said no more
