"""Each value is understood by its field; figures carry their mark and source; no key is passed over."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from firmripe.holding.figures import Mark, Source
from firmripe.holding.fruit import Ripens
from firmripe.problems import FaultyNotes, Problem, Problems, Unreadable, Where, nearest, or_list
from firmripe.reading.fields import Fields, one_of, plain_text, whole_number, year_number, yes_or_no
from firmripe.reading.frontmatter import split_note
from firmripe.units import parse_zone

SOURCES = {
    key: Source(key=key, author=author, title="")
    for key, author in {
        "memory": "Us",
        "judgement": "Us",
        "common-practice": "Growers",
        "press": "Example Press",
    }.items()
}


def fields_of(
    *front: str, problems: Problems | None = None, file: str = "x.md", sources: Mapping[str, Source] = SOURCES
) -> Fields:
    """Return the fields of a note of these lines."""
    problems = problems or Problems()
    return Fields(split_note("\n".join(["---", *front, "---"]), file, problems)[0], problems, sources)


def told(ask: Callable[[Fields], object], *front: str, file: str = "x.md") -> list[tuple[str, str]]:
    """Return message and hint of each problem that asking for fields brings up."""
    problems = Problems()
    ask(fields_of(*front, problems=problems, file=file))
    try:
        problems.stop_if_any()
    except FaultyNotes as faulty:
        return [(problem.message, problem.hint) for problem in faulty.problems]
    return []


@pytest.mark.parametrize(("text", "truth"), [("yes", True), ("No", False), (" TRUE ", True), ("false", False)])
def test_yes_and_no_are_read_in_any_case(text: str, truth: bool) -> None:  # noqa: FBT001
    """Both words mean what they say."""
    assert yes_or_no(text) is truth


@pytest.mark.parametrize(
    ("parse", "text", "message"),
    [
        (yes_or_no, "perhaps", '"perhaps" is neither yes nor no'),
        (whole_number, "-1", '"-1" is not a whole number'),
        (whole_number, "2.5", '"2.5" is not a whole number'),
        (whole_number, "²", '"²" is not a whole number'),
        (whole_number, "9" * 5000, f'"{"9" * 5000}" is not a whole number'),
        (year_number, "27", '"27" is not a year'),
        (year_number, "20277", '"20277" is not a year'),
        (plain_text, "  ", "nothing stands here"),
        (one_of(Ripens), "perhaps", '"perhaps" is not known here'),
    ],
)
def test_a_value_that_does_not_fit_is_told(parse: Callable[[str], object], text: str, message: str) -> None:
    """Every reader turns down what it does not understand, with a hint."""
    with pytest.raises(Unreadable) as raised:
        parse(text)
    assert raised.value.message == message
    assert raised.value.hint.startswith("write ")


def test_a_word_of_a_closed_set_is_read_in_any_spelling() -> None:
    """Underscores and spaces are the same, and a near miss is named."""
    assert one_of(Ripens)(" PARTLY ") is Ripens.PARTLY
    with pytest.raises(Unreadable) as raised:
        one_of(Ripens)("partly so")
    assert raised.value.hint == 'did you mean "partly"?'


def test_a_single_value_counts_as_a_list_of_one() -> None:
    """Nobody has to write brackets around one thing."""
    fields = fields_of("bring: ladder", "also: [ladder, two  boxes]")
    assert (fields.texts("bring"), fields.texts("also")) == (("ladder",), ("ladder", "two boxes"))


def test_a_single_table_counts_as_a_list_of_one() -> None:
    """The same holds for lines of several keys."""
    assert [item.text("name") for item in fields_of("spaces: {name: cellar}").tables("spaces")] == ["cellar"]


def test_an_absent_key_is_no_problem() -> None:
    """Everything is optional for the reader; who needs it says so."""
    found: list[object] = []
    assert told(lambda f: found.extend([f.read("zone", parse_zone), f.text("name"), f.texts("also")])) == []
    assert found == [None, "", ()]


@pytest.mark.parametrize(
    ("front", "message", "hint"),
    [
        ("nam: Orchard", 'the key "nam" is not known', 'did you mean "name"?'),
        ("height: 3 m", 'the key "height" is not known', "a place takes name or zone"),
        ("name: {a, b}", 'the key "b" is not known', "put quotes around a value that holds a comma"),
    ],
)
def test_a_key_that_nobody_asked_for_is_told(front: str, message: str, hint: str) -> None:
    """With the nearest that is known, or all of them."""

    def ask(fields: Fields) -> None:
        if front.startswith("name: {"):
            (inner,) = fields.tables("name")
            inner.text("a")
            inner.close("a name")
            return
        fields.text("name")
        fields.read("zone", parse_zone)
        fields.close("a place")

    assert (message, hint) in told(ask, front)


@pytest.mark.parametrize(
    ("front", "ask", "message"),
    [
        ("zone: [6b]", lambda f: f.read("zone", parse_zone), '"zone" takes a single value'),
        ("zone:", lambda f: f.read("zone", parse_zone), '"zone" has no value'),
        ("zone: ''", lambda f: f.text("zone"), '"zone" has no value'),
        ("also: [a, {b: c}]", lambda f: f.texts("also"), '"also" takes a single value'),
        ("spaces: cellar", lambda f: f.tables("spaces"), '"spaces" takes lines of several keys'),
        ("places: ames", lambda f: f.named_tables("places"), '"places" takes names with keys below them'),
        ("places: {ames: Iowa}", lambda f: f.named_tables("places"), '"ames" takes keys below it'),
    ],
)
def test_a_value_of_the_wrong_shape_is_told(front: str, ask: Callable[[Fields], object], message: str) -> None:
    """A list for a value or a value for a list, each with how to write it."""
    ((found, hint),) = told(ask, front)
    assert found == message
    assert hint


def test_a_plain_figure_is_the_households_own_word() -> None:
    """Nothing but the value need be written."""
    figure = fields_of("zone: 6b").figure("zone", parse_zone)
    assert figure is not None
    assert (figure.text, figure.cited.mark, figure.cited.source) == ("6b", Mark.OWN, None)


def test_a_figure_carries_all_that_is_written_beside_it() -> None:
    """Mark, source, page, temperature, note and crop."""
    line = 'keeps: {value: 6b, at: 32 F, mark: R, source: press, page: "12", note: at its best, crop: main}'
    figure = fields_of(line).figure("keeps", parse_zone)
    assert figure is not None
    assert figure.at_c is not None
    assert (figure.at_c.middle, figure.note, figure.crop) == (0, "at its best", "main")
    assert (figure.cited.mark, figure.cited.source, figure.cited.page) == (Mark.READ, SOURCES["press"], "12")


@pytest.mark.parametrize(
    ("mark", "source"), [("M", "memory"), ("J", "judgement"), ("P", "common-practice"), ("P, source: press", "press")]
)
def test_a_mark_that_needs_no_book_has_a_source_of_its_own(mark: str, source: str) -> None:
    """Unless a better one is named."""
    figure = fields_of(f"zone: {{value: 6b, mark: {mark}}}").figure("zone", parse_zone)
    assert figure is not None
    assert figure.cited.source == SOURCES[source]


def test_a_household_may_name_a_source_of_its_own() -> None:
    """A neighbour is a source."""
    figure = fields_of("zone: {value: 6b, mark: R, source: Maud}").figure("zone", parse_zone)
    assert figure is not None
    assert str(figure.cited.source) == "Maud"


@pytest.mark.parametrize(
    ("file", "front", "message"),
    [
        ("reference/x.md", "zone: 6b", "a figure of the shelf has no mark"),
        ("reference/x.md", "zone: {value: 6b}", "a figure of the shelf has no mark"),
        ("reference/x.md", "zone: {value: 6b, mark: R, source: pres}", 'the source "pres" is not known'),
        ("x.md", "zone: {value: 6b, mark: R}", 'a figure marked "R" names no source'),
        ("x.md", "zone: {value: 6b, mark: r, source: press}", '"r" is not a mark'),
        ("x.md", "zone: {mark: R, source: press}", 'the figure "zone" has no value'),
        ("x.md", "zone: {value: 6b, at: 46}", '"46" has no unit of temperature'),
        ("x.md", "zone: {value: 6b, sauce: press}", 'the key "sauce" is not known'),
        ("x.md", "zone: {value: [6b]}", '"value" takes a single value'),
    ],
)
def test_a_figure_that_can_not_be_trusted_is_told(file: str, front: str, message: str) -> None:
    """On the shelf every figure names its mark and a source that is known; once is enough."""
    found = told(lambda f: f.figure("zone", parse_zone), front, file=file)
    assert [text for text, _ in found] == [message]


def test_a_problem_shows_its_line_and_points_at_the_word() -> None:
    """The caret stands below what is meant, also behind a tab."""
    head, line, carets, hint = str(
        Problem(Where("x.md", 7, 7, 6, "\tname: harvst"), "not known", "mend it")
    ).splitlines()
    assert (head, line, hint) == ("x.md:7: not known", "    7 |  name: harvst", "      mend it")
    assert (carets.index("^"), carets.strip()) == (line.index("harvst"), "^^^^^^")


@pytest.mark.parametrize("column", [0, 60, 250, 299])
def test_a_long_line_is_cut_around_the_place_meant(column: int) -> None:
    """At most a hundred characters are shown, and the caret still stands below the right one."""
    text = "".join(chr(ord("a") + number % 26) for number in range(300))
    _, shown, carets = str(Problem(Where("x.md", 1, column, 1, text), "m", "")).splitlines()
    assert len(shown) <= 8 + 100
    assert shown[carets.index("^")] == text[column]


def test_problems_are_told_once_and_in_order() -> None:
    """By file and line, whatever the order in which they were found."""
    problems = Problems()
    for file, line in (("b.md", 1), ("a.md", 10), ("a.md", 9), ("b.md", 1)):
        problems.add(Where(file, line), "m")
    with pytest.raises(FaultyNotes) as raised:
        problems.stop_if_any()
    assert str(raised.value) == "a.md:9: m\n\na.md:10: m\n\nb.md:1: m\n\n3 problems in 2 files; nothing was written."


@pytest.mark.parametrize(("names", "text"), [(["a"], "a"), (["a", "b"], "a or b"), (["a", "b", "c"], "a, b or c")])
def test_choices_are_listed_as_in_a_sentence(names: list[str], text: str) -> None:
    """With an or before the last."""
    assert or_list(names) == text


@pytest.mark.parametrize(
    ("name", "found"), [("Bartlet", "Bartlett"), ("BOSC", "Bosc"), ("d anjou", "D'Anjou"), ("quince", None), ("", None)]
)
def test_the_nearest_name_is_near_indeed(name: str, found: str | None) -> None:
    """Capitals, spaces and signs make no difference; a far one is none."""
    assert nearest(name, ["Bartlett", "Bosc", "D'Anjou"]) == found
