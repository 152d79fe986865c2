"""Records: one line a happening, understood cell by cell."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from firmripe.days import Hemisphere
from firmripe.holding.fruit import Cultivar, Fruit, Traits
from firmripe.holding.place import Ground, Place
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Tree
from firmripe.holding.weight import parse_amount
from firmripe.problems import FaultyNotes, Problem, Problems, Where, folded
from firmripe.reading.folder import Sheet
from firmripe.reading.languages import read_tongue
from firmripe.reading.records import read_records
from firmripe.wording.holding import noted_amount

PEAR = Fruit(key="european-pear", name="European pear", traits=Traits())
FIG = Fruit(key="fig", name="Fig", crops=("breba", "main"), traits=Traits())


def cultivar(key: str, fruit: Fruit = PEAR, also: tuple[str, ...] = ()) -> Cultivar:
    return Cultivar(key=key, name=key.capitalize(), fruit=fruit, also=also, own=Traits(), traits=Traits())


def tree(tag: str, *limbs: Cultivar) -> Tree:
    return Tree(tag=tag, limbs=limbs, where=Where(f"trees/{tag}.md"))


NORTH = Place(name="Our trees", ground=Ground())
TREES = {
    folded(item.tag): item
    for item in (
        tree("1-01", cultivar("bosc", also=("Kaiser",))),
        tree("2-01", cultivar("bosc", also=("Kaiser",)), cultivar("comice")),
        tree("Fig", cultivar("celeste", FIG)),
    )
}


def read(
    *lines: str, head: str = "date,tree,cultivar,crop,what,amount,note", place: Place = NORTH
) -> tuple[list[Record], list[Problem]]:
    """Return the records of a table of these lines, and what was found wrong."""
    problems = Problems()
    sheet = Sheet(file="records/2027.csv", key="2027", text="\n".join([head, *lines, ""]))
    found = read_records(sheet, TREES, place, problems)
    try:
        problems.stop_if_any()
    except FaultyNotes as faulty:
        return found, list(faulty.problems)
    return found, []


def record(line: str, head: str = "date,tree,cultivar,crop,what,amount,note") -> Record:
    """Return the one record of a line without fault."""
    (found,), problems = read(line, head=head)
    assert problems == []
    return found


def test_a_line_is_read_cell_by_cell() -> None:
    """As people write it, with spaces to spare."""
    found = record("2027-08-20, 1-01, , , First Pick , 44 lb, on the south side")
    assert (found.day, found.season, found.tree, found.what) == (date(2027, 8, 20), 2027, "1-01", Happening.FIRST_PICK)
    assert (found.amount, found.note, found.about) == ("44 lb", "on the south side", False)
    assert found.where.line == 2


def test_columns_may_stand_in_any_order_and_be_left_out() -> None:
    """The first line says which is which."""
    found = record("frost,2027-05-14,31 F", head="What,DATE,note")
    assert (found.what, found.tree, found.note) == (Happening.FROST, "", "31 F")


def test_empty_lines_and_empty_columns_at_the_end_do_no_harm() -> None:
    """Spreadsheets leave both behind."""
    found, problems = read(
        "", ",,,,,,,,,", "2027-08-20,1-01,,,drop,,,,,", head="date,tree,cultivar,crop,what,amount,note,,"
    )
    assert ([item.what for item in found], problems) == ([Happening.DROP], [])


def test_a_note_may_hold_commas_and_line_ends_within_quotes() -> None:
    """And the line after it is still counted right."""
    found, problems = read('2027-08-20,1-01,,,drop,,"three, and', 'sound"', "2027-08-21,1-01,,,dorp,,")
    assert found[0].note == "three, and\nsound"
    assert [problem.where.line for problem in problems] == [4]


@pytest.mark.parametrize("written", ["about 2027-04-28", "About 28 Apr 2027", "ca. 2027-04-28", "~2027-04-28"])
def test_a_day_from_memory_is_marked_so(written: str) -> None:
    """The day counts, with less weight."""
    found = record(f'"{written}",1-01,,,full bloom,,')
    assert (found.day, found.about) == (date(2027, 4, 28), True)


def test_a_crop_is_known_in_any_capitals() -> None:
    """A telephone begins a word with one of its own accord; the notes go on with the name that the fruit's has."""
    assert record("2027-08-01,Fig,,Main,pick,,").crop == "main"


@pytest.mark.parametrize("what", ["no crop", "part crop", "light crop", "heavy crop"])
def test_a_season_alone_is_enough_for_how_much_was_borne(what: str) -> None:
    """Nobody remembers the day on which nothing happened."""
    found = record(f"2026,1-01,,,{what},,")
    assert (found.season, found.about) == (2026, True)


def test_a_southern_line_belongs_to_the_season_of_its_harvest() -> None:
    """A bloom in October counts for the harvest after New Year, and so does a season alone."""
    sheet = Sheet(
        file="records/2027.csv", key="2027", text="date,tree,what\n2026-10-03,1-01,full bloom\n2027,1-01,no crop\n"
    )
    bloom, none = read_records(sheet, TREES, replace(NORTH, hemisphere=Hemisphere.SOUTH), Problems())
    assert (bloom.season, none.season, none.day) == (2027, 2027, date(2026, 7, 1))


@pytest.mark.parametrize(
    ("amount", "days"), [("14 days", 14), ("2 weeks", 14), ("7-10 days", 10), ("36 hours", 2), ("0 days", 0)]
)
def test_a_spray_keeps_the_longest_wait_of_its_label(amount: str, days: int) -> None:
    """Rounded up to whole days, never down."""
    assert record(f"2027-08-01,1-01,,,spray,{amount},").days_to_harvest == days


def test_a_firmness_is_held_in_newtons() -> None:
    """The amount stays as written beside it."""
    found = record("2027-08-01,1-01,,,firmness,15-17 lbf,")
    assert found.firmness_n == pytest.approx(16 * 4.448)
    assert found.amount == "15-17 lbf"


@pytest.mark.parametrize(
    ("tag", "written", "key"),
    [("2-01", "Bosc", "bosc"), ("2-01", "kaiser", "bosc"), ("2-01", "", ""), ("1-01", "Kaiser", "")],
)
def test_a_limb_is_known_by_any_name(tag: str, written: str, key: str) -> None:
    """On a tree of one cultivar its name says nothing more."""
    assert record(f"2027-04-28,{tag},{written},,full bloom,,").cultivar == key


@pytest.mark.parametrize("tag", ["2-01", "2 01", "201"])
def test_a_tag_is_known_however_its_signs_are_written(tag: str) -> None:
    """The record carries the tag as the tree's own note has it."""
    assert record(f"2027-04-28,{tag},,,full bloom,,").tree == "2-01"


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("2027-02-29,1-01,,,drop,,", '"2027-02-29" is not a day of the calendar'),
        ("about,1-01,,,drop,,", '"" is not a day'),
        ("2026,1-01,,,removed,,", '"2026" is not a day'),
        ("0026,1-01,,,no crop,,", '"0026" is not a day'),
        (",1-01,,,drop,,", "the line has no date"),
        ("2027-08-01,9-99,,,drop,,", 'no tree has the tag "9-99"'),
        ("2027-08-01,,,,pick,,", '"pick" needs a tree'),
        ("2027-08-01,,,,removed,,", '"removed" needs a tree'),
        ("2027-08-01,,Bosc,,ready,,", "a cultivar stands here without a tree"),
        ("2027-08-01,2-01,Seckel,,drop,,", '"Seckel" is no limb of tree 2-01'),
        ("2027-08-01,1-01,,main,drop,,", 'tree 1-01 has no crop "main"'),
        ("2027-08-01,Fig,,mian,pick,,", 'tree Fig has no crop "mian"'),
        ("2027-08-01,Fig,,,pick,,", 'tree Fig bears several crops a year, and "pick" does not say which'),
        ("2027-08-01,1-01,,,spray,,", "a spray has no days to harvest"),
        ("2027-08-01,1-01,,,spray,soon,", '"soon" is not a number of days'),
        ("2027-08-01,1-01,,,firmness,,", "a firmness is missing"),
        ("2027-08-01,1-01,,,firmness,58 lbf,", '"58 lbf" is firmer than any fruit; was the other unit meant?'),
        ("2027-08-01,1-01,,,,,", "the line does not say what happened"),
        ("2027-08-01,1-01,,,ate,,", '"ate" is not known here'),
        ("2027-08-01,1-01,,,drop,,a,b,c", "the line has 9 columns, the first line names 7"),
        ('2027-08-01,1-01,,,drop,,"a', "a quote is opened here and never closed"),
        ('2027-08-01,1-01,,,drop,,"a" b', "this can't be read: ',' expected after '\"'"),
    ],
)
def test_a_line_that_can_not_be_counted_on_is_told(line: str, message: str) -> None:
    """It is not a record, and the lines around it are read all the same."""
    found, problems = read("2027-05-01,1-01,,,set,,", line)
    assert [(problem.where.line, problem.message) for problem in problems] == [(3, message)]
    assert Happening.SET in {item.what for item in found}
    assert problems[0].hint


def test_a_crop_is_needed_only_for_a_picking() -> None:
    """A fig tree leafs out once for both."""
    assert record("2027-04-20,Fig,,,leaf fall,,").crop == ""
    assert record("2027-08-20,Fig,,breba,first pick,9 figs,").crop == "breba"


@pytest.mark.parametrize(("said", "crop"), [("breva", "breba"), ("Principal", "main"), ("main", "main")])
def test_a_crop_is_called_as_the_pages_call_it(said: str, crop: str) -> None:
    """In the household's language as well, and kept under the name that the notes have."""
    spanish = replace(NORTH, tongue=read_tongue("es", month_first=False, south=False))
    (found,), problems = read(f"2027-08-20,Fig,,{said},first pick,9 figs,", place=spanish)
    assert (found.crop, problems) == (crop, [])


@pytest.mark.parametrize(("name", "tags"), [("Comice", "2-01"), ("kaiser", "1-01 or 2-01")])
def test_a_cultivar_in_place_of_a_tag_is_told_with_its_trees(name: str, tags: str) -> None:
    """By any of its names."""
    _, (problem,) = read(f"2027-08-28,{name},,,pick,12 lb,")
    assert (problem.message, problem.hint) == (
        f'no tree has the tag "{name}"',
        f"write the tag of the tree that bears it: {tags}",
    )


def test_the_caret_points_at_the_cell_and_not_at_its_like() -> None:
    """A tag may also stand within the date."""
    _, (problem,) = read("2027-08-08,08,,,drop,,")
    assert (problem.where.column, problem.where.length) == (11, 2)


@pytest.mark.parametrize(
    ("head", "message"),
    [
        ("date,tree,waht", 'the column "waht" is not known'),
        ("date,tree,note", 'the first line names no column "what"'),
        ("tree,what", 'the first line names no column "date"'),
        ("date,what,date", "a column stands twice"),
        ("date,,what", "a column has no name"),
        ("date;tree;what", "the columns are not parted by commas"),
        ("date\ttree\twhat", "the columns are not parted by commas"),
    ],
)
def test_a_first_line_that_names_the_columns_wrongly_is_told_once(head: str, message: str) -> None:
    """No line below it can be understood then."""
    found, problems = read("2027-08-20,1-01,drop", "2027-08-21,1-01,drop", head=head)
    assert (found, [(problem.where.line, problem.message) for problem in problems]) == ([], [(1, message)])


def test_an_empty_table_holds_no_records() -> None:
    """A new year's file may be made before anything happens."""
    assert read(head="") == ([], [])
    assert read() == ([], [])


def test_a_line_that_begins_with_a_number_sign_is_passed_over() -> None:
    """A comment says who noted what; within quotes the sign is one like any other, and lines are counted right."""
    found, problems = read(
        '# Wren, "on the telephone', '2027-08-20,1-01,,,drop,,"three', '# sound"', "#", "2027-08-21,1-01,,,dorp,,"
    )
    assert [record.note for record in found] == ["three\n# sound"]
    assert [problem.where.line for problem in problems] == [6]


def test_what_happened_may_be_written_in_the_households_language() -> None:
    """And in English all the same; a slip is told in the household's words."""
    sheet = Sheet(
        file="records/2027.csv",
        key="2027",
        text="date,tree,what\n2027-05-02,1-01,Plena floración\n2027-08-20,1-01,first pick\n2027-08-21,1-01,recogda\n",
    )
    problems = Problems()
    spanish = read_tongue("es", month_first=False, south=False)
    found = read_records(sheet, TREES, replace(NORTH, tongue=spanish), problems)

    assert [record.what for record in found] == [Happening.FULL_BLOOM, Happening.FIRST_PICK]
    with pytest.raises(FaultyNotes, match='did you mean "recogida"'):
        problems.stop_if_any()


@pytest.mark.parametrize(
    ("word", "offered"), [("cosecha", False), ("crop", False), ("sin cosehca", True), ("no crp", True)]
)
def test_no_word_for_the_crop_is_answered_with_that_there_is_none(word: str, offered: bool) -> None:  # noqa: FBT001 - drawn
    """Whoever follows such a hint takes the whole crop out of the plan; a slip in those very words has it."""
    sheet = Sheet(file="records/2027.csv", key="2027", text=f"date,tree,what\n2027-08-21,1-01,{word}\n")
    problems = Problems()
    read_records(sheet, TREES, replace(NORTH, tongue=read_tongue("es", month_first=False, south=False)), problems)

    with pytest.raises(FaultyNotes) as raised:
        problems.stop_if_any()
    assert (
        'did you mean "sin cosecha"' in str(raised.value) or 'did you mean "no crop"' in str(raised.value)
    ) == offered


# Rows and ranges

ROWS = {
    folded(tag): replace(tree(tag, cultivar(kind)), place=f"row {tag[1]}, somewhere", count=count)
    for tag, kind, count in (("R3-01", "bosc", 1), ("R4-01", "bosc", 1), ("R4-02", "comice", 3), ("R5-01", "bosc", 1))
}


def read_rows(line: str) -> tuple[list[Record], list[Problem]]:
    """Return the records of one line about trees in rows, and what was found wrong."""
    problems = Problems()
    sheet = Sheet(file="records/2027.csv", key="2027", text=f"date,tree,cultivar,crop,what,amount,note\n{line}\n")
    return read_records(sheet, ROWS, NORTH, problems), list(problems.problems)


@pytest.mark.parametrize(
    ("named", "tags"),
    [
        ("R3-01..R4-02,", ["R3-01", "R4-01", "R4-02"]),
        ("r4-02 … r5-01,", ["R4-02", "R5-01"]),
        ("row 4,", ["R4-01", "R4-02"]),
        ("R3-01..R5-01,bosc", ["R3-01", "R4-01", "R5-01"]),
    ],
)
def test_one_line_is_for_each_tree_of_a_row_or_a_range(named: str, tags: list[str]) -> None:
    """In walking order, both ends included; a cultivar names those of it."""
    found, problems = read_rows(f'2027-05-01,{named},,spray,"14 days, re-entry 12 hours",')
    assert problems == []
    assert [one.tree for one in found] == tags
    assert {(one.what, one.days_to_harvest, one.re_entry_h) for one in found} == {(Happening.SPRAY, 14, 12.0)}


def test_the_weight_of_a_range_is_parted_and_none_is_lost() -> None:
    """By trees: a note of three has three parts."""
    found, _ = read_rows("2027-09-01,R4-01..R5-01,,,first pick,100 lb,")
    kilograms = [part.low for one in found for part in one.parts]
    assert sum(kilograms) == parse_amount("100 lb")[0].low
    assert [kg / kilograms[0] for kg in kilograms] == [1, 3, 1]
    assert {noted_amount(one) for one in found} == {"100 lb (R4-01..R5-01)"}


@pytest.mark.parametrize(
    ("line", "said", "hint"),
    [
        ("2027-05-01,R4-01..R4-9,,,full bloom,,", 'no tree has the tag "R4-9"', "the first and the last"),
        ("2027-05-01,R5-01..R3-01,,,full bloom,,", "runs against the walking order", "write the tree that is met"),
        ("2027-05-01,row 4,,,firmness,13 lbf,", '"firmness" is noted of one tree at a time', "a line for each tree"),
        ("2027-05-01,row 4,seckel,,full bloom,,", 'no tree of row 4 bears "seckel"', "mend one of the two"),
        ("2027-05-41,row 4,,,full bloom,,", "is not a day of the calendar", "write the day"),
        ("2027-05-01,row 9,,,full bloom,,", 'no tree has the tag "row 9"', "trees/"),
    ],
)
def test_a_range_with_a_fault_is_told_once(line: str, said: str, hint: str) -> None:
    """However many trees stand in it, and nothing of it is taken."""
    found, problems = read_rows(line)
    assert found == []
    assert [said in problem.message for problem in problems] == [True]
    assert hint in problems[0].hint
