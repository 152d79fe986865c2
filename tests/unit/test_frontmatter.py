"""From a note's text to its keys, each value as written and with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import SHELF

from firmripe.problems import Problem, Problems, Where
from firmripe.reading.frontmatter import RENAMED, Listing, Node, Table, Text, plain_key, split_note
from firmripe.reading.reader import read_holding


def read(*front: str, body: str = "") -> tuple[Table, str, list[Problem]]:
    """Return the keys and the body of a note of these lines, and what was found wrong."""
    problems = Problems()
    table, text = split_note("\n".join(["---", *front, "---", body]), "trees/1.md", problems)
    return table, text, list(problems.problems)


def value(node: Node) -> str:
    assert isinstance(node, Text)
    return node.value


@pytest.mark.parametrize(
    ("line", "text"),
    [
        ("zone: 6b", "6b"),
        ("zone: no", "no"),
        ("zone: 12:30", "12:30"),
        ("zone: 010", "010"),
        ("zone: 2027-08-20", "2027-08-20"),
        ("zone: ~", "~"),
        ("zone: 1e3", "1e3"),
        ('zone: "2,150 ft"', "2,150 ft"),
        ("zone: it's late # a remark", "it's late"),
        ("zone: !!int 5", "5"),
    ],
)
def test_a_value_stays_the_text_that_was_written(line: str, text: str) -> None:
    """Nothing becomes a number, a day or a truth value by accident."""
    table, _, problems = read(line)
    assert (value(table.entries["zone"].node), problems) == (text, [])


@pytest.mark.parametrize("key", ["bears from", "Bears From", "bears_from", "bears-from", "BEARS  from"])
def test_a_key_is_known_in_any_spelling(key: str) -> None:
    """Capitals don't matter, and a space, a dash and an underscore are the same."""
    table, _, _ = read(f"{key}: 2019")
    assert plain_key(key) == "bears from"
    assert value(table.entries["bears from"].node) == "2019"


def test_a_value_knows_its_line_and_column_in_the_file() -> None:
    """The line of the opening dashes is counted."""
    table, _, _ = read("name: Orchard", "spaces:", "  - {name: cellar, temperature: 46 F}")
    spaces = table.entries["spaces"].node
    assert isinstance(spaces, Listing)
    assert isinstance(spaces.items[0], Table)
    assert spaces.items[0].entries["temperature"].node.where == Where(
        "trees/1.md", 4, 32, 4, "  - {name: cellar, temperature: 46 F}"
    )


def test_a_note_without_front_matter_is_all_body() -> None:
    """A few words about a tree are a note."""
    table, body = split_note("An old pear.\n---\nBy the gate.\n", "trees/old.md", Problems())
    assert (table.entries, body) == ({}, "An old pear.\n---\nBy the gate.\n")


@pytest.mark.parametrize("front", [(), ("# nothing yet",), ("",)])
def test_front_matter_may_be_empty(front: tuple[str, ...]) -> None:
    """Keys that are still to be written are no mistake."""
    table, body, problems = read(*front, body="An old pear.")
    assert (table.entries, body, problems) == ({}, "An old pear.", [])


def test_only_the_first_two_fences_count() -> None:
    """A line of dashes in the text stays in the text."""
    _, body, problems = read("tree: 1", body="One.\n\n---\n\nTwo.")
    assert (body, problems) == ("One.\n\n---\n\nTwo.", [])


@pytest.mark.parametrize(
    ("written", "heights"),
    [
        ("{elevation: 1,900 ft}", ["1,900 ft"]),
        ("{name: kitchen, elevation: 1,900 ft, note: low}", ["1,900 ft"]),
        ("{elevation: 900-1,150 ft}", ["900-1,150 ft"]),
        ("{elevation: 1,900-2,150 ft}", ["1,900-2,150 ft"]),
        ("{elevation: -1,900 ft}", ["-1,900 ft"]),
    ],
)
def test_a_comma_within_a_number_does_not_part_it(written: str, heights: list[str]) -> None:
    """The thousands of a height may be written as in a sentence, between braces too."""
    table, _, problems = read(f"kitchens: {written}")
    kitchens = table.entries["kitchens"].node
    assert isinstance(kitchens, Table)
    assert [value(kitchens.entries["elevation"].node)] == heights
    assert set(kitchens.entries) <= {"name", "elevation", "note"}
    assert problems == []


@pytest.mark.parametrize("written", ["{elevation: 1, 900 ft}", "{elevation: 1,90 ft}", "{elevation: high,900 ft}"])
def test_another_comma_does_part_two_keys(written: str) -> None:
    """Only three digits right after a digit and a comma go on with a number."""
    table, _, _ = read(f"kitchens: {written}")
    kitchens = table.entries["kitchens"].node
    assert isinstance(kitchens, Table)
    assert len(kitchens.entries) == 2


@pytest.mark.parametrize(
    ("front", "line", "message"),
    [
        (("zone: 6b", "zone: 7a"), 3, 'the key "zone" stands here a second time (first on line 2)'),
        (("zone: 6b", "ZONE : 7a"), 3, 'the key "ZONE" stands here a second time (first on line 2)'),
        (("name: {a: 1, b: 2, a: 3}",), 2, 'the key "a" stands here a second time (first on line 2)'),
        (("- Bartlett",), 2, "the front matter holds no keys"),
        (("Bartlett",), 2, "the front matter holds no keys"),
        (("? [a]", ": 1"), 2, "a key must be a word or two"),
        (("<<: *a",), 2, "a value can't begin with & or *"),
        (("a: &b 1",), 2, "a value can't begin with & or *"),
        (("a: @home",), 2, "a value can't begin with this sign"),
        (("a: 1", "\tb: 2"), 3, "a tab stands before this line"),
        (("\ta: 1",), 2, "a tab stands before this line"),
        (("a: b: c",), 2, "this line has one colon too many"),
        (("a: 'b",), 2, "a quote is opened here and never closed"),
        (("a: [b, c", "d: e"), 2, "a bracket is opened here and not closed"),
        (("a: {b: c", "d: e"), 2, "a bracket is opened here and not closed"),
        (("a: 1", "b"), 3, "this line has no key with a colon"),
        (("a: 1", "--- b", "c: 2"), 3, "the keys end above this line"),
        (("{a: 1}", "b: 2"), 3, "this line, or the one above, can't be read"),
        (("a: 'it's'",), 2, "this line, or the one above, can't be read"),
        (("a: 1", "b: \x07"), 3, "a character here can't be read"),
        (("a: " + "[" * 8 + "]" * 8,), 2, "this is nested too deep"),
    ],
)
def test_a_faulty_line_is_told_in_a_growers_words(front: tuple[str, ...], line: int, message: str) -> None:
    """One mistake gives one problem, at the line to mend, and nothing of the parser's own language."""
    _, _, problems = read(*front)
    assert [(problem.where.line, problem.message) for problem in problems] == [(line, message)]
    assert problems[0].hint


def test_front_matter_without_end_swallows_nothing_silently() -> None:
    """The text below would be taken for keys."""
    problems = Problems()
    table, body = split_note("---\ntree: 1\n\nAn old pear.\n", "trees/1.md", problems)
    assert (table.entries, body) == ({}, "")
    assert [problem.message for problem in problems.problems] == ["the front matter has no end"]


def test_a_table_lies_over_another_key_by_key() -> None:
    """What the upper one leaves out stays as it was below, and each value keeps its own place."""
    over, _, _ = read("name: Our Bosc", "keeps: 2 months")
    under, _, _ = read("name: Bosc", "fruit: european-pear")
    laid = over.lie_over(under)
    assert {key: value(entry.node) for key, entry in laid.entries.items()} == {
        "name": "Our Bosc",
        "fruit": "european-pear",
        "keeps": "2 months",
    }
    assert laid.entries["fruit"].where == under.entries["fruit"].where


@pytest.mark.parametrize(("former", "now"), RENAMED.items())
def test_a_key_by_its_former_name_is_read_and_asked_about(former: str, now: str) -> None:
    """Notes of an earlier release are read as they are, whatever their keys are called now."""
    problems = Problems()
    table, _ = split_note(f"---\n{former}: x\n---\n", "a.md", problems)

    assert list(table.entries) == [now]
    assert problems.problems == ()
    assert [(asked.where.line, asked.message) for asked in problems.asked] == [
        (2, f'the key "{former}" is called "{now}" now')
    ]


def test_a_key_by_both_its_names_is_a_problem() -> None:
    """Nobody can say which of the two counts."""
    problems = Problems()
    split_note("---\nwants: x\nto put up: y\n---\n", "a.md", problems)

    assert [problem.message for problem in problems.problems] == [
        '"wants" is called "to put up" now, and that stands here too'
    ]


def test_a_household_reads_its_former_keys(tmp_path: Path) -> None:
    """What they say counts: the household's own picking days lie over nothing, and its check names the line."""
    (tmp_path / "trees").mkdir()
    note = '---\ncultivar: Bartlett\npicks: "every 2 days, Sep 1 - Sep 9"\n---\n'
    (tmp_path / "trees" / "a.md").write_text(note, encoding="utf-8")
    holding = read_holding(tmp_path, SHELF)

    assert holding.trees[0].picking_days
    assert [asked.where.file for asked in holding.asked] == ["trees/a.md"]
