"""One mistake in the notes, and the whole text that tells of it."""

from __future__ import annotations

import os
import re
import shutil
import sys
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from urllib.parse import quote

import pytest

from firmripe.problems import FaultyNotes
from firmripe.publish.qr_codes import QUIET, qr_code
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


def parts_of(case: Path) -> dict[str, str]:
    """Return the files of a case by name, and under `told` the whole text that tells of its mistake."""
    _, *parts = re.split(r"^==> (.+) <==\n", case.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return dict(zip(parts[::2], parts[1::2], strict=True))


@pytest.mark.parametrize("name", ["README.md", "readme.md", "theme/ReadMe.md", "photos/readme.md"])
def test_what_a_folder_says_of_itself_is_no_note(tmp_path: Path, name: str) -> None:
    """In any capitals, for on many a computer these are one name."""
    assert told(household(tmp_path, name, b"# Our fruit\n")) == ""


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_a_mistake_is_told_by_file_line_and_what_to_write_instead(case: Path, tmp_path: Path) -> None:
    """Each case is one file: notes that hold one mistake, and what is told of it.

    A good tree stands beside them unless they say `trees/`; `shelf/` is laid over the small shelf.
    """
    parts = parts_of(case)
    expected = parts.pop("told")
    if "trees/" not in parts:
        parts.setdefault("trees/1-01.md", GOOD_TREE)
    shutil.copytree(SHELF, tmp_path / "shelf")
    for name, text in parts.items():
        path = tmp_path / name if name.startswith("shelf/") else tmp_path / "notes" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if not name.endswith("/"):
            path.write_text(text, encoding="utf-8")
    assert told(tmp_path / "notes", tmp_path / "shelf") == expected


def test_a_case_is_one_file() -> None:
    """So that it reads as one page."""
    assert [case.name for case in CASES if case.suffix != ".txt"] == []


def test_the_small_shelf_itself_is_sound(tmp_path: Path) -> None:
    """Nothing that the cases tell of comes from the shelf they are read with."""
    assert told(household(tmp_path, "notes.txt", b"")) == ""


LATIN = """\
trees/2.md:2: this character is not in UTF-8
    2 | where: by the café
                         ^
      save it again with the encoding UTF-8

1 problem in 1 file; nothing was written.
"""
NOTE = "---\ncultivar: Bosc\n---\n"


def one(head: str, hint: str) -> str:
    """Return the whole text of one problem of a file as a whole."""
    return f"{head}\n      {hint}\n\n1 problem in 1 file; nothing was written.\n"


UTF_8 = "save it again with the encoding UTF-8"
PLAIN = "save it again as plain text in UTF-8"
LONG = "split it, or move it elsewhere"


@pytest.mark.parametrize(
    ("file", "data", "expected"),
    [
        ("trees/2.md", "---\nwhere: by the café\n---\n".encode("latin-1"), LATIN),
        ("trees/2.md", "---\r\nwhere: by the café\r\n---\r\n".encode("cp1252"), LATIN),
        ("trees/2.md", NOTE.encode("utf-16"), one("trees/2.md: the file is in UTF-16", UTF_8)),
        (
            "records/2027.csv",
            "date,what\n".encode("utf-16-be"),
            one("records/2027.csv: the file is not plain text", PLAIN),
        ),
        ("records/2027.csv", b"\xfe\xff\0d", one("records/2027.csv: the file is in UTF-16", UTF_8)),
        ("records/2027.csv", b"date,what\n\0\0", one("records/2027.csv: the file is not plain text", PLAIN)),
        ("trees/2.md", b"x" * 10_000_000, one("trees/2.md: the file is longer than 200 kB", LONG)),
        ("records/1.csv", b"x" * 10_000_000, one("records/1.csv: the file is longer than 2,000 kB", LONG)),
        (
            "trees/2.md",
            b"[" * 2001,
            one("trees/2.md: the text of the note holds 2001 signs [", "that is no prose; leave at most 2000"),
        ),
    ],
    ids=[
        "latin-1",
        "windows",
        "utf-16",
        "utf-16 unmarked",
        "utf-16 marked",
        "binary",
        "long",
        "long table",
        "brackets",
    ],
)
def test_a_file_that_can_not_be_read_as_text_is_told(tmp_path: Path, file: str, data: bytes, expected: str) -> None:
    """Other encodings, spreadsheets and pictures under the name of a note; the first foreign character is shown."""
    assert told(household(tmp_path, file, data)) == expected


@pytest.mark.parametrize("data", [b"", b"\n\n", b"\xef\xbb\xbf", b"\r\n"])
@pytest.mark.parametrize("file", ["place.md", "trees/bosc.md", "records/2027.csv", "weather/2027.csv"])
def test_an_empty_file_says_nothing_and_is_no_mistake(tmp_path: Path, file: str, data: bytes) -> None:
    """An empty tree note is a tree of its file's name."""
    assert told(household(tmp_path, file, data)) == ""


def test_a_folder_where_a_file_belongs_is_told(tmp_path: Path) -> None:
    """For the place, a note and a table alike."""
    household(tmp_path, "place.md/x.txt", b"")
    (tmp_path / "trees" / "2.md").mkdir()
    (tmp_path / "records" / "2027.csv").mkdir(parents=True)
    assert told(tmp_path) == (
        "place.md: this is a folder where a note belongs\n      rename it, or move it elsewhere\n\n"
        "records/2027.csv: this is a folder where a table belongs\n      rename it, or move it elsewhere\n\n"
        "trees/2.md: this is a folder where a note belongs\n      rename it, or move it elsewhere\n\n"
        "3 problems in 3 files; nothing was written.\n"
    )


def test_a_file_where_a_folder_belongs_is_told(tmp_path: Path) -> None:
    """One file called tasks is no folder of tasks."""
    text = told(household(tmp_path, "tasks", b"prune"))
    assert text == one("tasks: this is a file where a folder belongs", "rename it, or move it elsewhere")


def test_what_is_neither_file_nor_folder_is_told_and_not_waited_for(tmp_path: Path) -> None:
    """A pipe would keep a reader waiting for ever."""
    household(tmp_path, "notes.txt", b"")
    os.mkfifo(tmp_path / "trees" / "2.md")
    assert told(tmp_path) == one(
        "trees/2.md: this is neither a file nor a folder where a note belongs", "rename it, or move it elsewhere"
    )


@pytest.mark.parametrize(
    ("link", "target", "said"),
    [
        ("trees/2.md", "../../secret.md", "this link leads out of the notes' folder"),
        ("place.md", "/etc/hostname", "this link leads out of the notes' folder"),
        ("records", "/etc", "this link leads out of the notes' folder"),
        ("trees/2.md", "nowhere.md", "this link leads nowhere"),
        ("trees/2.md", "2.md", "this link leads nowhere"),
    ],
)
def test_a_link_out_of_the_folder_is_told_and_not_followed(tmp_path: Path, link: str, target: str, said: str) -> None:
    """Whoever publishes notes of others would publish what such a link leads to."""
    notes = household(tmp_path / "notes", "notes.txt", b"")
    (tmp_path / "secret.md").write_text("---\nwhere: secret\n---\n", encoding="utf-8")
    (notes / link).symlink_to(target)
    assert told(notes) == one(f"{link}: {said}", "put the file itself here")


def test_a_link_within_the_folder_is_followed(tmp_path: Path) -> None:
    """Two names for one note are the household's own affair, and the folder itself may be a link."""
    notes = household(tmp_path / "notes", "more/bosc.txt", NOTE.encode())
    (notes / "trees" / "2.md").symlink_to("../more/bosc.txt")
    (tmp_path / "link").symlink_to(notes)
    assert told(tmp_path / "link") == ""


@pytest.mark.parametrize(
    "files",
    [("trees/Old.md", "trees/old.md"), ("trees/P\u00e9.md", "trees/Pe\u0301.md"), ("trees/pé.md", "trees/pe.md")],
)
def test_names_that_differ_by_capitals_or_accents_are_told(tmp_path: Path, files: tuple[str, str]) -> None:
    """On many a computer the two would be one file, and one tree would be lost."""
    for number, file in enumerate(files):
        household(tmp_path, file, f"---\ntree: {number}\ncultivar: Bosc\n---\n".encode())
    first, second = sorted(files)
    message = f"{second}: its name differs from {first.removeprefix('trees/')} only by capitals or accents"
    assert told(tmp_path) == one(message, "make them one file, or rename one of them")


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere no such name can be given")
@pytest.mark.parametrize(
    "file",
    [
        *("trees/\udcff.md", "cultivars/\udcff.md", "tasks/\udcff.md", "records/\udcff.csv"),
        *("theme/static/\udcff.css", "theme/templates/\udcff.html"),
    ],
)
def test_a_name_that_is_no_text_is_told(tmp_path: Path, file: str) -> None:
    """An old disk may have one, and no page, table or manifest could name what is made of it."""
    message = f"{file}: its name is not in UTF-8".replace("\udcff", "\ufffd")
    assert told(household(tmp_path, file, b"")) == one(message, "rename it")


@pytest.mark.parametrize("sign", ["a", "é"])
def test_an_address_longer_than_a_code_holds_is_told(tmp_path: Path, sign: str) -> None:
    """The longest that is let through makes a code of each page, with the longest names that pages have."""
    longest = "https://fruit.example.org/"
    longest += sign * ((1000 - len(quote(longest))) // len(quote(sign)))
    for address in (longest, longest + sign):
        household(tmp_path, "place.md", f"---\nsite address: {address}\n---\n".encode())
        assert ("1,000 characters" in told(tmp_path)) is (address != longest)
    code, side = qr_code(f"{quote(longest)}/feeds/{'n' * 60}-{'0' * 24}-reminders-12.ics")
    assert code
    assert side <= 177 + 2 * QUIET  # ISO/IEC 18004: the largest code has 177 modules a side


@pytest.mark.parametrize("sign", ["[", "<", "#", "`", "\\"])
def test_a_note_of_nothing_but_signs_is_told(tmp_path: Path, sign: str) -> None:
    """Markdown would look at each of them again and again; as many as prose could hold are let through."""
    assert told(household(tmp_path, "trees/2.md", f"{NOTE}{sign * 2000}".encode())) == ""
    assert told(household(tmp_path, "trees/2.md", f"{NOTE}{sign * 2001}".encode())) == one(
        f"trees/2.md: the text of the note holds 2001 signs {sign}", "that is no prose; leave at most 2000"
    )


@pytest.mark.parametrize("line", ["---", "=", "a"])
def test_a_note_of_lines_without_end_is_told(tmp_path: Path, line: str) -> None:
    """Markdown would go over what is left of them at every one; as many as a long list has are let through."""
    lines = f"{line}\n"
    assert told(household(tmp_path, "trees/2.md", f"{NOTE}{lines * 1000}\n{lines}".encode())) == ""
    assert told(household(tmp_path, "trees/2.md", f"{NOTE}{lines * 1001}".encode())) == one(
        "trees/2.md: the text of the note holds 1001 lines without an empty one",
        "that is no prose; leave an empty line now and then",
    )


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Here the system refuses; whoever runs the tests may be allowed everything."""
    real = Path.open

    def refuse(self: Path, *args: object, **kwargs: object) -> object:
        if self.name == "2.md":
            raise PermissionError(13, "Permission denied")
        return real(self, *args, **kwargs)  # type: ignore[call-overload]

    household(tmp_path, "trees/2.md", b"")
    monkeypatch.setattr(Path, "open", refuse)
    assert told(tmp_path) == one("trees/2.md: the file can't be read: Permission denied", "check its permissions")


def test_a_folder_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same for a folder."""
    real = Path.iterdir

    def refuse(self: Path) -> Iterator[Path]:
        if self == tmp_path / "tasks":
            raise PermissionError(13, "Permission denied")
        return real(self)

    household(tmp_path, "tasks/prune.md", b"")
    monkeypatch.setattr(Path, "iterdir", refuse)
    assert told(tmp_path) == one("tasks: the folder can't be read", "check its permissions")


def test_a_bomb_of_aliases_is_told_at_its_first_anchor(tmp_path: Path) -> None:
    """Nine lines that would become a thousand million values stay nine lines."""
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    lines += [f"{this}: &{this} [{', '.join([f'*{before}'] * 9)}]" for before, this in pairwise("abcdefghi")]
    text = told(household(tmp_path, "trees/2.md", "\n".join(["---", *lines, "---", ""]).encode()))
    assert text == (
        "trees/2.md:2: a value can't begin with & or *\n    2 | a: &a [x, x, x, x, x, x, x, x, x]\n           ^\n"
        "      write the value out, or put quotes around it\n\n1 problem in 1 file; nothing was written.\n"
    )


def test_a_table_of_nothing_but_faults_is_given_up(tmp_path: Path) -> None:
    """A hundred are enough to mend; the rest is counted out."""
    rows = "".join(f"2027-05-{1 + n % 28:02},x{n},full bloom\n" for n in range(500))
    text = told(household(tmp_path, "records/1.csv", f"date,tree,what\n{rows}".encode()))
    faults = [
        f'records/1.csv:{n + 2}: no tree has the tag "x{n}"\n{n + 2:5} | 2027-05-{1 + n % 28:02},x{n},full bloom\n'
        f"                   {'^' * len(f'x{n}')}\n      write the tag of a tree that has a note in trees/\n\n"
        for n in range(100)
    ]
    assert text == "".join(faults) + (
        "records/1.csv:102: 100 problems stand above this line; what is below was not read\n"
        "  102 | 2027-05-17,x100,full bloom\n        ^\n      mend those first\n\n"
        "101 problems in 1 file; nothing was written.\n"
    )


def test_no_note_can_write_over_the_terminal(tmp_path: Path) -> None:
    """Signs that move a cursor or turn a line around are shown as one that does not."""
    text = told(household(tmp_path, "records/1.csv", "date,tree,what\n\x1b[2J\u202e,1-01,pick\n".encode()))
    assert text == (
        'records/1.csv:2: "�[2J�" is not a day\n    2 | �[2J�,1-01,pick\n        ^^^^^\n'
        "      write the day as 2027-08-20 or 20 Aug 2027\n\n1 problem in 1 file; nothing was written.\n"
    )


def test_a_message_is_never_longer_than_a_few_lines(tmp_path: Path) -> None:
    """A value of a hundred thousand signs is cut."""
    text = told(household(tmp_path, "place.md", b"---\nzone: " + b"9" * 100_000 + b"\n---\n"))
    assert text == (
        f'place.md:2: "{"9" * 586}…\n    2 | zone: {"9" * 92}…\n              {"^" * 93}\n'
        "      write a zone from 1a to 13b, for example 6b\n\n1 problem in 1 file; nothing was written.\n"
    )


def test_a_long_line_full_of_faults_is_told_soon(tmp_path: Path) -> None:
    """Of each only the part around it is looked at, so that thousands in one line take no longer than elsewhere."""
    line = "windows: [{pick: Sep 12, " + ", ".join(["1502"] * 5000) + "}]"
    began = time.process_time()
    text = told(household(tmp_path, "cultivars/bosc.md", f"---\n{line}\n---\n".encode()))

    assert text.count("cultivars/bosc.md:2: ") > 4000
    assert time.process_time() - began < 3


def test_a_household_that_is_not_there_is_told(tmp_path: Path) -> None:
    """A mistyped path is a problem like any other, not a crash."""
    assert told(tmp_path / "gone") == (
        f"{tmp_path / 'gone'}: there is no such folder\n      give the folder that holds the notes\n\n"
        "1 problem in 1 file; nothing was written.\n"
    )


def test_a_byte_order_mark_and_other_line_ends_do_no_harm(tmp_path: Path) -> None:
    """What editors on other systems add is no mistake."""
    note = b"\xef\xbb\xbf---\r\ncultivar: Bosc\r\nwhere: row 2\r\n---\r\nA tree.\r\n"
    holding = read_holding(household(tmp_path, "trees/2-01.md", note), SHELF)
    assert (holding.tree("2-01").place, holding.tree("2-01").text) == ("row 2", "A tree.")


ODD_ENDS = {"\u2028": True, "\u2029": True, "\x85": True, "\v": False, "\f": False}
"""Signs that some programs take for line ends and no editor shows as one; whether YAML lets them stand in a value."""


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("sign", ODD_ENDS)
@pytest.mark.parametrize(
    ("file", "lines", "at"),
    [
        ("trees/2.md", ["---", "cultivar: Bosc", "where: {0}row{0}{0}2", "hight: 3", "---"], "trees/2.md:4: the key"),
        ("records/1.csv", ["date,what,note", "2027-05-01,frost,{0}a{0}", "x,frost,"], "records/1.csv:3: "),
        ("records/1.csv", ["date,what,note", '2027-05-01,frost,"{0}a{0}', 'b"', "x,frost,"], "records/1.csv:4: "),
        ("weather/1.csv", ["date,tmin_c,tmax_c,n", "2027-05-01,3,9,{0}a{0}", "2027-05-02,x,9"], "weather/1.csv:3: "),
    ],
    ids=["note", "table", "quoted cell", "weather"],
)
def test_lines_are_counted_as_editors_count_them(  # noqa: PLR0917 - a table's columns
    tmp_path: Path, file: str, lines: list[str], at: str, sign: str, end: str
) -> None:
    """Every kind of real line end counts as one, and nothing else does."""
    data = end.join([*lines, ""]).replace("{0}", sign).encode()
    text = told(household(tmp_path, file, data))
    if file == "trees/2.md" and not ODD_ENDS[sign]:
        assert text.startswith("trees/2.md:3: a character here can't be read\n")
    else:
        assert text.startswith(at)
    assert text.endswith("\n\n1 problem in 1 file; nothing was written.\n")


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
