"""The ledger of the feeds: what moves, what stays, what a merge leaves, and what a lost one does."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmripe.problems import FaultyNotes, Problems
from firmripe.publish import ledger_file
from firmripe.publish.ledger import GONE, LEDGER, Ledger, Said, parse_ledger

JUNE, JULY = date(2027, 6, 1), date(2027, 7, 1)


def said(uid: str = "a", content: str = "one", day: date = date(2027, 8, 28), season: int = 2027) -> Said:
    """Return what a feed says of an event."""
    return Said(uid, content, season, day, f"Pick {uid}")


def read(text: str) -> Ledger:
    """Read a ledger that has no problem."""
    problems = Problems()
    ledger = parse_ledger(text, problems)
    problems.stop_if_any()
    return ledger


def found_in(text: str) -> list[tuple[int, str]]:
    """Return line and message of each problem of a ledger."""
    problems = Problems()
    parse_ledger(text, problems)
    return [(problem.where.line, problem.message) for problem in problems._found]  # noqa: SLF001


FIRST = Ledger().advanced([said(), said("b")], JUNE, {2027})


def test_what_is_unchanged_keeps_its_stamp_on_any_later_day() -> None:
    """Building again changes nothing, byte for byte."""
    assert str(FIRST.advanced([said("b"), said()], JULY, {2027})) == str(FIRST)


def test_what_is_changed_is_stamped_and_raised_alone() -> None:
    """Another content gives the day of the build and a higher sequence to that event and no other."""
    later = FIRST.advanced([said(content="two", day=date(2027, 8, 30)), said("b")], JULY, {2027})

    assert later.lines["b"] == FIRST.lines["b"]
    line = later.lines["a"]
    assert line.changed == datetime(2027, 7, 1, tzinfo=UTC)
    assert line.sequence > FIRST.lines["a"].sequence
    assert line.was == date(2027, 8, 28)


@pytest.mark.parametrize("day", [JUNE, date(2026, 1, 1)])
def test_stamp_and_sequence_never_stand_still_or_fall(day: date) -> None:
    """A second change on one day, or under an earlier day, still comes after the first."""
    later = FIRST.advanced([said(content="two"), said("b")], day, {2027})

    assert later.lines["a"].changed == datetime(2027, 6, 1, 0, 0, 1, tzinfo=UTC)
    assert later.lines["a"].sequence == FIRST.lines["a"].sequence + 1


def test_a_lost_ledger_starts_above_what_was_said() -> None:
    """Without a ledger the sequence is at least the days since 2020, which former ones had."""
    afresh = Ledger().advanced([said(content="two")], JULY, {2027})

    assert afresh.lines["a"].sequence >= FIRST.advanced([said(content="two")], JULY, {2027}).lines["a"].sequence


def test_what_is_planned_no_more_is_marked_and_can_come_back() -> None:
    """An event that goes and returns has a higher sequence than before it went."""
    without = FIRST.advanced([said("b")], JULY, {2027})
    back = without.advanced([said(), said("b")], date(2027, 7, 2), {2027})

    assert without.lines["a"].said.content == GONE
    assert back.lines["a"].sequence > without.lines["a"].sequence > FIRST.lines["a"].sequence
    assert back.lines["a"].was is None


def test_a_build_of_another_season_takes_nothing_away() -> None:
    """Looking at another year marks no event of this one as gone."""
    other = FIRST.advanced([said("c", season=2030, day=date(2030, 8, 1))], JULY, {2029, 2030})

    assert {uid: other.lines[uid] for uid in "ab"} == dict(FIRST.lines)


def test_a_day_that_is_long_past_is_not_called_gone() -> None:
    """Leaving the twelve months that are kept is no news, and after three years the line goes."""
    old = Ledger().advanced([said(day=date(2026, 5, 1), season=2026)], date(2026, 4, 1), {2026})

    assert old.advanced([], JULY, {2026, 2027}) == old
    assert old.advanced([], date(2029, 7, 1), {2028, 2029}).lines == {}


DAYS = st.dates(date(1900, 1, 1), date(2200, 12, 31))


@given(st.lists(st.tuples(st.text("abc", min_size=1, max_size=3), st.text("xyz", min_size=1), DAYS), max_size=8))
def test_what_is_written_can_be_read(rows: list[tuple[str, str, date]]) -> None:
    """The file holds all the ledger says, in lines sorted by identity."""
    ledger = Ledger().advanced([said(uid, content, day) for uid, content, day in rows], JUNE, {2027})

    assert read(str(ledger)) == ledger
    lines = [line for line in str(ledger).splitlines() if not line.startswith("#")]
    assert lines == sorted(lines, key=lambda line: line.split("\t")[0])


def test_titles_with_odd_spaces_stay_on_their_line() -> None:
    """A title with tabs and line ends in it makes no line or column of its own."""
    ledger = Ledger().advanced([said()._replace(title="Pick\tby\nhand")], JUNE, {2027})

    assert read(str(ledger)).lines["a"].said.title == "Pick by hand"


def test_a_merge_left_half_done_is_named_line_by_line() -> None:
    """Each marker is a problem with its line, and nothing else is."""
    one, two = str(FIRST).splitlines()[2:]
    text = f"# head\n<<<<<<< ours\n{one}\n=======\n{two}\n>>>>>>> theirs\n"

    assert found_in(text) == [(line, "a merge was left half done here") for line in (2, 4, 6)]


def test_both_sides_of_a_merge_may_stay_and_the_higher_sequence_holds() -> None:
    """After the markers are taken out, doubled lines need no more care, whichever comes first."""
    later = FIRST.advanced([said(content="two"), said("b")], JULY, {2027})

    for text in (str(FIRST) + str(later), str(later) + str(FIRST)):
        assert read(text) == later


@pytest.mark.parametrize(
    "line",
    [
        "nonsense",
        "a\tb\tc",
        "a\tone\t-\t2027-06-01T00:00:00Z\t2027\t2027-08-28\t-\tPick",
        "a\tone\t7\tyesterday\t2027\t2027-08-28\t-\tPick",
    ],
)
def test_a_line_that_is_none_is_named(line: str) -> None:
    """What can't be read is a problem with its place, never a crash."""
    assert found_in(f"# head\n{line}\n") == [(2, "this is no line of the ledger")]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("sign", ["", "\u2028", "\u2029", "\x85", "\v", "\f"])
def test_lines_end_where_an_editor_shows_an_end(end: str, sign: str) -> None:
    """A title with a sign that some programs take for a line end stays on its line, and the next keeps its number."""
    good = str(FIRST.lines["a"]).replace("Pick a", f"Pick {sign}a")

    assert found_in(end.join(["# head", good, "nonsense", ""])) == [(3, "this is no line of the ledger")]


@given(st.text(max_size=200))
def test_no_text_makes_the_reader_crash(text: str) -> None:
    """Whatever stands in the file, it is read or named."""
    parse_ledger(text, Problems())


# The form of the file


def test_the_form_is_told_and_one_that_does_not_tell_it_is_read() -> None:
    """The file of 0.1.0 began with another line; what it holds is the same."""
    first, *rest = str(FIRST).splitlines(keepends=True)
    former = "# What the calendar feeds last said. Written by the build; keep it with the notes.\n"

    assert first.startswith("# Format 1: ")
    assert read(former + "".join(rest)) == FIRST
    assert str(read(former + "".join(rest))) == str(FIRST)


def test_a_newer_form_is_named_once_and_nothing_of_it_is_read() -> None:
    """Whatever its lines are like."""
    text = str(FIRST).replace("# Format 1: ", "# Format 2: ").replace("Pick", "x\ty").replace("-06-", "/06/")

    assert found_in(text) == [
        (1, "this ledger was written by a newer firmripe: its format is 2, this one knows 1"),
    ]


def test_columns_and_remarks_that_are_not_known_stay() -> None:
    """Through builds that change the line, that let it go, and that change nothing."""
    text = str(FIRST).replace("Pick a\n", "Pick a\tnew\t\tcolumns\n") + "# Maud: the pears of 2027 were early\n"
    kept = read(text)
    later = kept.advanced([said(content="two"), said("b")], JULY, {2027}).advanced(
        [said("b")], date(2027, 7, 2), {2027}
    )

    assert str(kept) != str(FIRST)
    assert read(str(kept)) == kept
    assert later.lines["a"].is_gone
    assert str(later.lines["a"]).endswith("Pick a\tnew\t\tcolumns")
    assert str(later).splitlines()[2] == "# Maud: the pears of 2027 were early"


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("a\tone\t7\t9999-12-31T23:59:59Z\t2027\t2027-08-28\t-\tx", "9999-12-31 lies beyond the calendar"),
        ("a\tone\t7\t0001-01-01T00:00:00Z\t2027\t2027-08-28\t-\tx", "0001-01-01 lies beyond the calendar"),
        ("a\tone\t7\t2027-06-01T00:00:00Z\t2027\t9999-08-28\t-\tx", "9999-08-28 lies beyond the calendar"),
        ("a\tone\t7\t2027-06-01T00:00:00Z\t2027\t2027-08-28\t0001-01-01\tx", "0001-01-01 lies beyond the calendar"),
        ("a\tone\t7\t2027-06-01T00:00:00Z\t20270\t2027-08-28\t-\tx", "the season 20270 lies beyond the calendar"),
        ("a\tone\t-1\t2027-06-01T00:00:00Z\t2027\t2027-08-28\t-\tx", "the sequence -1 is not from 0 to"),
        ("a\tone\t2147483647\t2027-06-01T00:00:00Z\t2027\t2027-08-28\t-\tx", "the sequence 2147483647 is not"),
    ],
)
def test_what_no_calendar_holds_is_a_problem_with_its_line(line: str, message: str) -> None:
    """A stamp at the end of all days could not be followed by a later one, nor a sequence (RFC 5545, 3.3.8)."""
    (place, told), *rest = found_in(f"# head\n{line}\n")

    assert (place, rest) == (2, [])
    assert told.startswith(message)


def test_no_advice_destroys_history() -> None:
    """Nobody is told to delete what only the ledger knows: a line or a file is kept, under another name if need be."""
    problems = Problems()
    parse_ledger("nonsense\na\tone\t-1\t2027-06-01T00:00:00Z\t2027\t2027-08-28\t-\tx\n", problems)
    hints = [problem.hint for problem in problems._found]  # noqa: SLF001
    code = Path(ledger_file.__file__).read_text(encoding="utf-8")

    assert all("kept" in hint for hint in hints)
    assert not [word for word in ("delete", "take it out", "remove it") if word in (*hints, code)]


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", None])
def test_a_file_that_can_not_be_read_is_left_and_named(tmp_path: Path, data: bytes | None) -> None:
    """In words, with what to do, and nothing is begun anew by itself."""
    path = tmp_path / LEDGER
    path.mkdir() if data is None else path.write_bytes(data)

    with pytest.raises(FaultyNotes) as caught:
        ledger_file.read_ledger(path)
    assert "under another name" in str(caught.value)
    assert path.exists()
