"""One mistake in the notes, and the whole text that tells of it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from firmripe.problems import FaultyNotes
from firmripe.reading.reader import read_holding

HERE = Path(__file__).resolve().parent
SHELF = HERE / "shelf_small"
CASES = sorted((HERE / "sites_bad").iterdir())
GOOD_TREE = "---\ncultivar: Bartlett\n---\n"


def told(household: Path, shelf: Path = SHELF) -> str:
    """Return the text of what is wrong with a household's notes, or an empty one."""
    try:
        read_holding(household, shelf)
    except FaultyNotes as problems:
        return f"{problems}\n"
    return ""


def household(top: Path, name: str, content: bytes) -> Path:
    """Write one good tree and one more file, and return the folder."""
    for file, data in (("trees/1-01.md", GOOD_TREE.encode()), (name, content)):
        (top / file).parent.mkdir(parents=True, exist_ok=True)
        (top / file).write_bytes(data)
    return top


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_mistake_is_told_by_file_line_and_what_to_write_instead(case: Path, tmp_path: Path) -> None:
    """Each folder of notes holds one mistake; a folder `shelf` in it is laid over the small shelf."""
    shelf = tmp_path / "shelf"
    shutil.copytree(SHELF, shelf)
    if (case / "shelf").is_dir():
        shutil.copytree(case / "shelf", shelf, dirs_exist_ok=True)
    assert told(case, shelf) == (case / "expected.txt").read_text(encoding="utf-8")


def test_the_small_shelf_itself_is_sound(tmp_path: Path) -> None:
    """Nothing that the cases tell of comes from the shelf they are read with."""
    assert told(household(tmp_path, "notes.txt", b"")) == ""


def test_a_note_in_another_encoding_is_told(tmp_path: Path) -> None:
    """A note saved in Latin-1 can't be guessed at."""
    text = told(household(tmp_path, "trees/2.md", "---\nwhere: by the café\n---\n".encode("latin-1")))
    assert text == (
        "trees/2.md: the file is not in UTF-8\n"
        "      save it again with the encoding UTF-8\n\n"
        "1 problem in 1 file; nothing was written.\n"
    )


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    """A spreadsheet's own format under the name of a table is not read."""
    text = told(household(tmp_path, "records/2027.csv", b"date,what\n\0\0"))
    assert text == (
        "records/2027.csv: the file is not plain text\n"
        "      save it again as plain text in UTF-8\n\n"
        "1 problem in 1 file; nothing was written.\n"
    )


def test_a_file_too_long_to_be_a_note_is_told(tmp_path: Path) -> None:
    """A picture under the name of a note does not fill the memory."""
    text = told(household(tmp_path, "trees/2.md", b"x" * 2_000_001))
    assert text.startswith("trees/2.md: the file is too long for notes\n")


def test_a_household_that_is_not_there_is_told(tmp_path: Path) -> None:
    """A mistyped path is a problem like any other, not a crash."""
    assert told(tmp_path / "gone").startswith(f"{tmp_path / 'gone'}: there is no such folder\n")


def test_a_byte_order_mark_and_other_line_ends_do_no_harm(tmp_path: Path) -> None:
    """What editors on other systems add is no mistake."""
    note = b"\xef\xbb\xbf---\r\ncultivar: Bosc\r\nwhere: row 2\r\n---\r\nA tree.\r\n"
    holding = read_holding(household(tmp_path, "trees/2-01.md", note), SHELF)
    assert (holding.tree("2-01").place, holding.tree("2-01").text) == ("row 2", "A tree.")


def test_every_problem_of_a_run_is_told_at_once_in_the_order_of_the_files(tmp_path: Path) -> None:
    """A grower mends them all before the next run."""
    top = household(tmp_path, "place.md", b"---\nzone: 60\nhight: 3 ft\n---\n")
    text = told(household(top, "records/2027.csv", b"date,tree,what\n03/04/2027,1-01,pick\n"))
    heads = [line for line in text.splitlines() if line.startswith(("place.md", "records/"))]
    assert heads == [
        'place.md:2: "60" is not a hardiness zone',
        'place.md:3: the key "hight" is not known',
        'records/2027.csv:2: "03/04/2027" can mean 4 Mar 2027 or 3 Apr 2027',
    ]
    assert text.endswith("\n\n3 problems in 2 files; nothing was written.\n")


def test_a_problem_leaves_out_what_only_follows_from_it(tmp_path: Path) -> None:
    """Keys that could not be read are not then told as missing."""
    text = told(household(tmp_path, "tasks/prune.md", b"---\nwhen: [Mar 1\n---\n"))
    assert text.count("tasks/prune.md") == 1
