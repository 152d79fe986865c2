"""What holds of every note, whatever stands in it."""

from __future__ import annotations

import calendar
import shutil
import tempfile
from collections.abc import Callable, Mapping
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import (
    days,
    hemispheres,
    month_days,
    notes,
    odd_text,
    rhythms,
    seasons,
    sheets,
    values,
    zones,
)

from firmripe.days import (
    Hemisphere,
    MonthDay,
    Rhythm,
    Span,
    Stretch,
    WorkingYear,
    parse_day,
    parse_day_count,
    parse_rhythm,
    parse_stretch,
)
from firmripe.holding.holding import Holding
from firmripe.problems import FaultyNotes, Problem, Problems, Unreadable, Where, folded, nearest
from firmripe.reading.frontmatter import plain_key, split_note
from firmripe.reading.reader import read_holding
from firmripe.reading.tasks import parse_anchor
from firmripe.units import (
    HardinessZone,
    celsius,
    fahrenheit,
    parse_count,
    parse_firmness,
    parse_height,
    parse_latitude,
    parse_temperature,
    parse_zone,
)

TESTS = Path(__file__).resolve().parent.parent
SMALL_SHELF = TESTS / "shelf_small"
SHELF = TESTS.parent / "content" / "reference"
EXAMPLE = TESTS.parent / "content" / "example"
READERS: tuple[Callable[[str], object], ...] = (
    *(parse_day, parse_stretch, parse_day_count, parse_rhythm, parse_anchor, parse_zone, parse_temperature),
    *(parse_firmness, parse_height, parse_latitude, parse_count),
)

unhurried = settings(deadline=None)
several_reads = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def outcome(household: Path, shelf: Path = SMALL_SHELF) -> Holding | FaultyNotes:
    """Read a household; anything raised but FaultyNotes fails the test."""
    try:
        return read_holding(household, shelf)
    except FaultyNotes as faulty:
        return faulty


def outcome_of(files: Mapping[str, str]) -> Holding | FaultyNotes:
    """Write files into a folder of their own and read them."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in files.items():
            path = Path(folder) / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(text.encode())
        return outcome(Path(folder))


@unhurried
@given(days)
def test_a_day_is_read_back_as_it_is_printed(day: date) -> None:
    """In each of the ways that the guide to the notes shows."""
    month = calendar.month_abbr[day.month]
    written = (day.isoformat(), f"{day.day} {month} {day.year}", f"{month} {day.day}, {day.year}")
    assert {parse_day(text) for text in written} == {day}


@unhurried
@given(month_days, month_days)
def test_a_stretch_is_read_back_or_runs_backwards(first: MonthDay, last: MonthDay) -> None:
    """Also over New Year; only one that leaves out less than two months is turned down."""
    text = f"{calendar.month_name[first.month]} {first.day} - {last.day} {calendar.month_abbr[last.month]}"
    left_out = (first.in_year(2000) - last.in_year(2000)).days
    if 0 < left_out < 60:
        with pytest.raises(Unreadable, match="runs backwards"):
            parse_stretch(text)
    else:
        assert parse_stretch(text) == Stretch(first=first, last=last)


@unhurried
@given(zones)
def test_a_zone_is_read_back_as_it_is_printed(zone: HardinessZone) -> None:
    """Whole or half."""
    assert parse_zone(str(zone)) == zone


@unhurried
@given(rhythms)
def test_a_rhythm_is_read_back_as_it_is_printed(rhythm: Rhythm) -> None:
    """With its every."""
    assert parse_rhythm(str(rhythm)) == rhythm


@unhurried
@given(st.floats(-40, 140))
def test_a_temperature_is_the_same_in_both_units(degrees_f: float) -> None:
    """There and back, and as it is written in either."""
    assert fahrenheit(celsius(degrees_f)) == pytest.approx(degrees_f)
    written_f = parse_temperature(f"{degrees_f:.6f} F")
    written_c = parse_temperature(f"{celsius(degrees_f):.6f} C")
    assert written_f.low == pytest.approx(written_c.low, abs=1e-5)


@unhurried
@given(rhythms, days, st.integers(0, 800))
def test_a_rhythm_starts_on_the_first_day_and_stays_within(rhythm: Rhythm, first: date, length: int) -> None:
    """Each day comes after the one before."""
    span = Span(first=first, last=first + timedelta(days=length))
    found = list(rhythm.days_in(span))
    assert found[0] == first
    assert all(day in span for day in found)
    assert found == sorted(set(found))


@unhurried
@given(days, hemispheres)
def test_each_day_has_a_season_that_holds_it(day: date, hemisphere: Hemisphere) -> None:
    """And its number in that season leads back to it."""
    year = WorkingYear.of(day, hemisphere)
    assert day in year
    assert year.date_of(year.day_number(day)) == day


@unhurried
@given(month_days, hemispheres, seasons)
def test_a_day_of_the_year_falls_into_every_season(day: MonthDay, written_for: Hemisphere, year: WorkingYear) -> None:
    """Whichever half of the earth it was written for."""
    assert year.place_day(day, written_for) in year


@unhurried
@given(month_days)
def test_a_year_on_is_nearly_the_same_day(day: MonthDay) -> None:
    """Half a year twice loses at most the last days of a long month."""
    twice = day.half_a_year_on().half_a_year_on()
    assert twice.month == day.month
    assert 0 <= day.day - twice.day <= 3


@unhurried
@given(values)
def test_a_value_is_read_or_turned_down_with_a_hint(text: str) -> None:
    """Nothing else comes out of any reader."""
    for parse in READERS:
        try:
            told = ("read", str(parse(text)))
        except Unreadable as error:
            told = (error.message, error.hint)
        assert all(told), parse


@unhurried
@given(st.text())
def test_a_name_or_key_folded_twice_is_folded_once(text: str) -> None:
    """So that names can be compared in any order."""
    assert folded(folded(text)) == folded(text)
    assert plain_key(plain_key(text)) == plain_key(text)


@unhurried
@given(odd_text, st.lists(odd_text, max_size=4))
def test_the_nearest_name_is_one_that_is_known(name: str, known: list[str]) -> None:
    """Or none."""
    assert nearest(name, known) in {*known, None}


@unhurried
@given(st.text(alphabet=st.characters(exclude_characters="\n")), st.integers(0, 400), st.integers(1, 400))
def test_a_problem_is_told_in_few_characters(text: str, column: int, length: int) -> None:
    """However long the line and wherever the fault."""
    told = str(Problem(Where("x.md", 1, column, length, text), "m", "h"))
    assert told.startswith("x.md:1: m\n")
    assert len(told) <= len("x.md:1: m\n") + 2 * (8 + 100) + max(0, column - 100) + 20 if len(text) <= 100 else 300


@unhurried
@given(notes)
def test_a_note_is_parted_without_a_crash(text: str) -> None:
    """What can't be read is a problem with a line that the file has."""
    problems = Problems()
    table, _ = split_note(text, "x.md", problems)
    found: tuple[Problem, ...] = ()
    try:
        problems.stop_if_any()
    except FaultyNotes as faulty:
        found = faulty.problems
    spots = [entry.where for entry in table.entries.values()] + [problem.where for problem in found]
    assert all(1 <= spot.line <= len(text.splitlines()) + 1 for spot in spots)


@several_reads
@given(
    st.sampled_from(
        (
            "trees/1-01.md",
            "cultivars/bosc.md",
            "cultivars/new.md",
            "fruits/fig.md",
            "tasks/t.md",
            "preserves/p.md",
            "place.md",
        )
    ),
    notes,
)
def test_any_text_as_a_note_gives_a_holding_or_its_problems(name: str, text: str) -> None:
    """Whatever a grower types."""
    assert isinstance(outcome_of({"trees/2.md": "", name: text}), Holding | FaultyNotes)


@several_reads
@given(sheets)
def test_any_text_as_a_table_gives_a_holding_or_its_problems(text: str) -> None:
    """Whatever a spreadsheet saves."""
    trees = {"trees/1-01.md": "---\nlimbs: [Bosc, Bartlett]\n---\n", "trees/fig.md": ""}
    assert isinstance(outcome_of({**trees, "records/2027.csv": text}), Holding | FaultyNotes)


@pytest.fixture(scope="module")
def lean_shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a shelf with no more than the example household leans on, so that it is quickly read."""
    holding = read_holding(EXAMPLE, SHELF)
    needed = {limb.key for tree in holding.trees for limb in tree.limbs}
    needed |= {marker.cultivar for marker in holding.place.usual_picks}
    needed |= {path.stem for path in (EXAMPLE / "cultivars").iterdir()}
    while bases := {o.base for key in needed if (o := holding.cultivars[key].own.offset)} - needed:
        needed |= bases
    preserves = {want.preserve for want in holding.place.kitchen_means.wants}
    of = {fruit for preserve in holding.preserves if preserve.key in preserves for fruit in preserve.subjects}
    fruits = {fruit.key for key in needed if (fruit := holding.cultivars[key].fruit)} | (of & set(holding.fruits))
    top = tmp_path_factory.mktemp("lean")
    for folder, keys in (("cultivars", needed), ("fruits", fruits), ("preserves", preserves)):
        (top / folder).mkdir()
        for key in keys:
            if (SHELF / folder / f"{key}.md").is_file():
                shutil.copy(SHELF / folder / f"{key}.md", top / folder / f"{key}.md")
    leaned_on = "".join(path.read_text(encoding="utf-8") for path in top.rglob("*.md"))
    shutil.copy(SHELF / "processes.md", top / "processes.md")
    leaned_on += (top / "processes.md").read_text(encoding="utf-8")
    for name in ("places.md", "sources.md"):
        lines = (SHELF / name).read_text(encoding="utf-8").splitlines(keepends=True)
        kept = [line for line in lines if not line.startswith("  ") or line.split(":")[0].strip() in leaned_on]
        (top / name).write_text("".join(kept), encoding="utf-8")
        leaned_on += "".join(kept)
    assert isinstance(outcome(EXAMPLE, top), Holding)
    return top


EXAMPLE_NOTES = sorted(path for path in EXAMPLE.rglob("*") if path.suffix in {".md", ".csv"})


@pytest.mark.parametrize("path", EXAMPLE_NOTES, ids=lambda path: path.relative_to(EXAMPLE).as_posix())
def test_a_line_lost_from_the_example_gives_a_holding_or_its_problems(
    path: Path, lean_shelf: Path, tmp_path: Path
) -> None:
    """Every line of front matter and the first of the text below; of a table the first and a dozen more."""
    tables = {path, EXAMPLE / "records" / "2027.csv"}

    def other_tables(folder: str, names: list[str]) -> list[str]:
        return [name for name in names if name.endswith(".csv") and Path(folder, name) not in tables]

    shutil.copytree(EXAMPLE, tmp_path / "notes", ignore=other_tables)
    copy = tmp_path / "notes" / path.relative_to(EXAMPLE)
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    if path.suffix == ".csv":
        sample = range(0, len(lines), max(1, len(lines) // 12))
    else:
        sample = range(min(len(lines), lines.index("---\n", 1) + 2))
    for lost in sample:
        copy.write_text("".join(lines[:lost] + lines[lost + 1 :]), encoding="utf-8")
        found = outcome(tmp_path / "notes", lean_shelf)
        assert isinstance(found, Holding | FaultyNotes), f"without line {lost + 1}"
