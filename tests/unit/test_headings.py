"""Tables under headings of their own: asked about once, kept, and read as any other from then on."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from conftest import write_notes
from test_lines import WORDS

from firmripe import cli
from firmripe.cli import main
from firmripe.problems import FaultyNotes, Problems
from firmripe.reading.headings import (
    Asked,
    Headings,
    TableQuestion,
    guess_of,
    is_table,
    kept_line,
    parse_headings,
    questions,
    retold,
)

DAY = date(2027, 12, 1)
HEAD = "Datum;Baum;Gewicht (kg);Was;Wer"
TABLE = f"sep=;\n{HEAD}\n28.08.2027;1-02;14,5;Erste Ernte;Wren\n03.09.2027;das Tor;12;pick;Ash\n;;;;\n"
KEPT = (
    "# what was said\nDatum = date\nBaum = tree\nGewicht (kg) = amount in kg\nWas = what\nWer = nothing\n"
    "date order = day first\nErste Ernte = what first pick\ndas Tor = tree 2-01\n"
)


def known(text: str) -> Headings:
    """Return headings that were kept without a fault."""
    problems = Problems()
    found = parse_headings(text, WORDS, problems)
    problems.stop_if_any()
    return found


def test_what_is_asked_follows_from_what_was_said() -> None:
    """Headings first; then the order of days, words and trees that nobody knows."""
    assert [(q.subject, q.guess) for q in questions(TABLE, Headings(), WORDS)] == [
        ("Datum", "date"),
        ("Baum", "tree"),
        ("Gewicht (kg)", ""),
        ("Was", ""),
        ("Wer", ""),
    ]
    columns = known("\n".join(KEPT.splitlines()[:6]))
    assert [(q.asked, q.subject, q.guess) for q in questions(TABLE, columns, WORDS)] == [
        (Asked.ORDER, "28.08.2027", "day first"),
        (Asked.WHAT, "Erste Ernte", ""),
        (Asked.TREE, "das Tor", ""),
    ]
    assert questions(TABLE, known(KEPT), WORDS) == ()


def test_a_table_is_retold_under_the_records_columns() -> None:
    """Days in one order, bare numbers with the unit of their heading, words and trees as they are called here."""
    assert retold(TABLE, known(KEPT)).splitlines() == [
        "date,tree,cultivar,crop,what,amount,note",
        "2027-08-28,1-02,,,first pick,14.5 kg,",
        "2027-09-03,2-01,,,pick,12 kg,",
    ]


def test_no_day_is_guessed() -> None:
    """One that has two readings waits for the order, whatever the others say; with it, it has one."""
    table = "Date,Tree,lb\n3/4/27,1-02,30\n"
    columns = "Date = date\nTree = tree\nlb = amount in lb\nevery line = pick\n"
    (question,) = questions(table, known(columns), WORDS)
    assert (question.asked, question.guess) == (Asked.ORDER, "")
    for order, day in (("day first", "2027-04-03"), ("month first", "2027-03-04")):
        assert f"{day},1-02,,,pick,30 lb," in retold(table, known(f"{columns}date order = {order}\n"))


@pytest.mark.parametrize(
    ("heading", "column"),
    [("Date", "date"), ("Weight (lb)", "amount in lb"), ("kg", "amount in kg"), ("Remarks", "note"), ("Wren", "")],
)
def test_a_heading_is_guessed_by_what_people_call_it(heading: str, column: str) -> None:
    """It is only offered."""
    assert guess_of(heading) == column


@pytest.mark.parametrize(
    "text",
    [
        "",
        "Hello\nyou",
        "date,tree,what\n2027-05-01,1-02,drop\n",
        "2027-08-28,1-02,drop\n2027-08-29,1-02,drop\n",
        "a,b\n",
    ],
)
def test_messages_and_our_own_tables_are_none_of_these(text: str) -> None:
    """They are looked into for lines."""
    assert not is_table(text)


def test_what_was_kept_wrongly_is_named() -> None:
    """With its line and what to write."""
    with pytest.raises(FaultyNotes, match=r'headings.txt:2: "tree 9-99" means nothing here'):
        known("Datum = date\nTor = tree 9-99\n")


# The command


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Return a household and, beside it, a table."""
    write_notes(tmp_path, {"table.csv": TABLE})
    trees = {f"trees/{tag}.md": "---\ncultivar: Bartlett\n---\n" for tag in ("1-02", "2-01")}
    return write_notes(tmp_path / "notes", {**trees, "place.md": "---\nzone: 6b\nlatitude: 42 N\n---\n"})


def run(notes: Path, given: str | None = None) -> Result:
    words = ["gather", str(notes.parent / "table.csv"), "--in", str(notes), "--as-of", DAY.isoformat()]
    return CliRunner().invoke(main, words, input=given)


def test_headings_are_asked_about_once_and_a_dry_run_comes_first(notes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second run takes the lines without a question, the third finds them there."""
    monkeypatch.setattr(cli, "_on_a_terminal", lambda: True)
    answers = "\n\namount in kg\nwhat\nnothing\n\nfirst pick\n2-01\n"
    first = run(notes, answers)
    assert first.exit_code == 0, first.output
    assert "Would be taken: 2 lines." in first.output
    assert not (notes / "records").exists()

    assert "Taken: 2 lines." in run(notes).output
    rows = (notes / "records" / "2027.csv").read_text(encoding="utf-8").splitlines()
    assert rows[1:] == ["2027-08-28,1-02,,,first pick,14.5 kg,", "2027-09-03,2-01,,,pick,12 kg,"]
    assert "There already: 2 lines." in run(notes).output


def test_a_tag_that_no_tree_has_is_asked_for_again(notes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Kept, it would be a fault in headings.txt, and the gathering would end there."""
    monkeypatch.setattr(cli, "_on_a_terminal", lambda: True)
    first = run(notes, "\n\namount in kg\nwhat\nnothing\n\nfirst pick\n9-99\n2-01\n")
    assert first.exit_code == 0, first.output
    assert "Would be taken: 2 lines." in first.output
    assert "9-99" not in (notes / "headings.txt").read_text(encoding="utf-8")


def test_where_nobody_can_answer_it_says_what_to_write(notes: Path) -> None:
    """And nothing is taken."""
    result = run(notes)
    assert result.exit_code == 1
    assert "headings.txt" in result.output
    assert "  Datum = date\n  Baum = tree\n  Gewicht (kg) = …" in result.output
    assert not (notes / "records").exists()


def test_a_heading_with_signs_of_its_own_is_kept_as_it_is() -> None:
    """What is written for a heading that holds an equals sign is read again as that heading."""
    problems = Problems()
    kept = kept_line(TableQuestion(asked=Asked.HEADING, subject="a = 1+1"), "note")

    assert list(parse_headings(kept, WORDS, problems).columns.values()) == ["note"]
    assert problems.problems == ()
