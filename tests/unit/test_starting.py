"""First notes of a household, and one more note at a time."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from conftest import SHELF
from msgspec.structs import replace

from firmripe.build import check_notes
from firmripe.problems import Unreadable
from firmripe.reading.reader import read_holding
from firmripe.starting import Beginning, add, start

HOME = Beginning(
    name='Our "upper": garden #1',
    zone="6b",
    latitude="42 S",
    longitude="173 E",
    height="2,150 ft",
    units="metric",
    trees=("williams", "Bosc", "bosc", "Gate Pear, pear", "quince"),
)
TODAY = date(2027, 6, 1)


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Return a household that has been started."""
    start(tmp_path / "notes", HOME, 2027)
    return tmp_path / "notes"


def held(folder: Path) -> dict[str, bytes]:
    """Return every file of a folder by its path, with what it holds."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


# Starting


def test_a_start_writes_notes_that_can_be_read(notes: Path) -> None:
    """What was told stands in them, whatever signs it holds, and every tree has a note."""
    holding = read_holding(notes, SHELF)

    assert check_notes(notes, TODAY).problems == ()
    assert holding.place.name == 'Our "upper": garden #1'
    ground = holding.place.ground
    assert (ground.latitude, ground.longitude, holding.place.metric_first) == (-42, 173, True)
    assert [(tree.tag, tree.limbs[0].name) for tree in holding.trees] == [
        ("bosc", "Bosc"),
        ("bosc-2", "Bosc"),
        ("gate-pear", "Gate Pear"),
        ("quince", "unknown Quince"),
        ("williams", "Williams"),
    ]


@pytest.mark.parametrize(("units", "cool"), [("metric", "8 C"), ("us", "46 F"), ("", "46 F")])
def test_examples_in_new_notes_are_in_the_units_of_the_household(tmp_path: Path, units: str, cool: str) -> None:
    """Whoever takes the # away has a figure as they think of it."""
    start(tmp_path / "notes", replace(HOME, units=units, height=""), 2027)
    text = (tmp_path / "notes" / "place.md").read_text(encoding="utf-8")
    assert f"temperature: {cool}," in text
    assert (" ft" in text) is (cool == "46 F")


def test_every_commented_line_of_a_new_place_can_be_used(notes: Path) -> None:
    """Taking the # away from an example gives a line that is read."""
    for file in (notes / "place.md", notes / "trees" / "bosc.md"):
        text = file.read_text(encoding="utf-8")
        file.write_text(
            "".join(line.removeprefix("# ") if ": " in line else line for line in text.splitlines(keepends=True)),
            encoding="utf-8",
        )

    assert check_notes(notes, TODAY).problems == ()
    assert read_holding(notes, SHELF).place.spaces[0].name == "cellar"


def test_an_empty_folder_may_be_started_in(tmp_path: Path) -> None:
    """Somebody may have made the folder beforehand."""
    start(tmp_path, Beginning(trees=("Bosc",)), 2027)

    assert set(held(tmp_path)) == {
        ".gitattributes",
        ".gitignore",
        "README.md",
        "place.md",
        "records/2027.csv",
        "trees/bosc.md",
    }


def test_what_is_there_is_never_written_over(notes: Path) -> None:
    """A second start is refused and changes nothing; a file is no folder."""
    before = held(notes)
    with pytest.raises(Unreadable, match="is there already and not empty"):
        start(notes, HOME, 2027)
    with pytest.raises(Unreadable, match="is there already and not empty"):
        start(notes / "place.md", HOME, 2027)

    assert held(notes) == before


@pytest.mark.parametrize(
    ("trees", "said", "hint"),
    [
        ((), "a household needs a tree", "name one, as --tree Bartlett"),
        (("Bartlet",), '"Bartlet" is not known', 'did you mean "Bartlett"? If not, say what fruit it is'),
        (("Gate Pear, paer",), 'the fruit "paer" is not known', "pear"),
        (("Gate Pear",), '"Gate Pear" is not known', 'say what fruit it is, as "Gate Pear, pear"'),
    ],
)
def test_a_start_with_a_slip_writes_nothing(tmp_path: Path, trees: tuple[str, ...], said: str, hint: str) -> None:
    """It says what could be meant."""
    with pytest.raises(Unreadable) as told:
        start(tmp_path / "notes", Beginning(trees=trees), 2027)

    assert said in told.value.message
    assert hint in told.value.hint
    assert not (tmp_path / "notes").exists()


# Adding


@pytest.mark.parametrize(
    ("kind", "name", "fruit", "when", "file"),
    [
        ("tree", "Comice", "", "", "trees/comice.md"),
        ("tree", "Wall Pear", "pear", "", "trees/wall-pear.md"),
        ("tree", "Wall Pear, pear", "", "", "trees/wall-pear.md"),
        ("tree", "Bosc", "", "", "trees/bosc-3.md"),
        ("cultivar", "Williams", "", "", "cultivars/bartlett.md"),
        ("cultivar", "Wall Pear", "pear", "", "cultivars/wall-pear.md"),
        ("task", "take out of the cold", "", "", "tasks/take-out.md"),
        ("task", "Oil the gate: both hinges", "", "Mar 1", "tasks/oil-the-gate-both-hinges.md"),
        ("preserve", "Pear brandy", "pear", "", "preserves/pear-brandy.md"),
        ("tree", "../../etc/passwd", "pear", "", "trees/etc-passwd.md"),
        ("tree", "CON", "pear", "", "trees/con-x.md"),
    ],
)
def test_a_note_that_is_added_can_be_read(  # noqa: PLR0917 - a row of the table
    notes: Path, kind: str, name: str, fruit: str, when: str, file: str
) -> None:
    """Any of a thing's names finds it; a name of one's own wants its fruit or its day. Nothing else changes."""
    before = held(notes)
    written = add(notes, kind, name, fruit, when)

    assert written == [notes / file]
    assert held(notes) == before | {file: written[0].read_bytes()}
    assert check_notes(notes, TODAY).problems == ()


@pytest.mark.parametrize(
    ("kind", "name", "said", "hint"),
    [
        ("tree", "Comise", '"Comise" is not known', 'did you mean "Comice"?'),
        ("cultivar", "Wall Pear", '"Wall Pear" is not known', "--fruit pear"),
        ("task", "Take out of the colt", "is not known", 'did you mean "Take out of the cold"?'),
        ("preserve", "Pear brandy", "is not known", "--fruit pear"),
        ("tree", "  ", "nothing stands here", "write a few words"),
    ],
)
def test_a_note_that_is_not_known_or_there_already_is_told(
    notes: Path, kind: str, name: str, said: str, hint: str
) -> None:
    """With the nearest name, and nothing is written."""
    before = held(notes)
    with pytest.raises(Unreadable) as told:
        add(notes, kind, name, "", "")

    assert said in told.value.message
    assert hint in told.value.hint
    assert held(notes) == before


def test_one_note_of_a_kind_stands_once_and_many_trees_do(notes: Path) -> None:
    """Whoever plants another Bosc has a note for it; a second note of the cultivar would hide the first."""
    names = [add(notes, "tree", "bosc", "", "")[0].name for _ in range(2)]
    assert names == ["bosc-3.md", "bosc-4.md"]
    add(notes, "cultivar", "Bosc", "", "")
    before = held(notes)
    with pytest.raises(Unreadable, match=r"cultivars/bosc\.md is there already; write into that note"):
        add(notes, "cultivar", "bosc", "", "")
    assert held(notes) == before


def test_a_household_knows_its_own_cultivars(notes: Path) -> None:
    """What has a note here is known like what stands on the shelf, and faulty notes elsewhere don't hinder."""
    add(notes, "cultivar", "Wall Pear", "pear", "")
    (notes / "trees" / "bosc.md").write_text("---\nkultivar: Bosc\n---\n", encoding="utf-8")

    assert add(notes, "tree", "wall pear", "", "") == [notes / "trees" / "wall-pear.md"]
