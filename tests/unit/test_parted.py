"""The shelf’s notes as plain data are what their texts say: what changed, is at fault or spoilt is parted anew."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest
from conftest import SHELF
from hypothesis import given
from hypothesis import strategies as st

from firmripe.caching import ASKED, cache_folder, keep, read_kept, sealed, trim
from firmripe.problems import Problems
from firmripe.reading import folder as folder_module
from firmripe.reading.folder import SHELF_NOTES, Folder, read_folder
from firmripe.reading.frontmatter import split_note
from firmripe.reading.parted import PartedNotes, encoded, keep_parted, made_by, parted_notes

PEACH = "cultivars/redhaven.md"


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a copy of a part of the shelf, with a cache of its own."""
    top = tmp_path / "shelf"
    for name in ("fruits", "tasks"):
        shutil.copytree(SHELF / name, top / name)
    (top / "cultivars").mkdir()
    shutil.copy(SHELF / PEACH, top / PEACH)
    monkeypatch.setenv(ASKED, str(tmp_path / "cache"))
    return top


def begun_anew() -> None:
    """Forget what was kept in memory, as a new run does."""
    parted_notes.cache_clear()
    folder_module._parted.cache_clear()  # noqa: SLF001


def read(shelf: Path, *, known: bool = True) -> tuple[Folder, Problems]:
    """Return the notes of a shelf as a new run reads them, and what is wrong and to be asked."""
    begun_anew()
    problems = Problems()
    if not known:
        return read_folder(shelf, "reference/", SHELF_NOTES, problems), problems
    notes = parted_notes(shelf)
    found = read_folder(shelf, "reference/", SHELF_NOTES, problems, notes)
    keep_parted(shelf, notes)
    return found, problems


@pytest.fixture
def parted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return the files of the notes that are parted, as they are."""
    files: list[str] = []

    def split(text: str, file: str, problems: Problems) -> object:
        files.append(file)
        return split_note(text, file, problems)

    monkeypatch.setattr(folder_module, "split_note", split)
    return files


def test_a_second_run_parts_only_what_changed(shelf: Path, parted: list[str]) -> None:
    """Each note is found by its whole text: a new word makes one note new, its name another, and nothing else."""
    first, _ = read(shelf)
    assert len(parted) == sum(map(len, first.notes.values()))
    del parted[:]
    assert read(shelf)[0] == first
    assert parted == []
    (shelf / PEACH).write_text((shelf / PEACH).read_text(encoding="utf-8") + "\nA word.\n", encoding="utf-8")
    (shelf / PEACH).with_name("other.md").write_bytes((SHELF / PEACH).read_bytes())
    changed, _ = read(shelf)
    assert sorted(parted) == ["reference/cultivars/other.md", f"reference/{PEACH}"]
    assert changed == read(shelf, known=False)[0]
    del parted[:]
    assert read(shelf)[0] == changed
    assert parted == []


def test_a_fault_is_told_each_time(shelf: Path) -> None:
    """With its line and its words, as if nothing were kept; so is what is only asked about."""
    text = (shelf / PEACH).read_text(encoding="utf-8")
    (shelf / PEACH).write_text(text.replace("---\n", "---\nfruit: : plum\n", 1), encoding="utf-8")
    asked = shelf / "cultivars" / "asked.md"
    asked.write_text("---\nmarkers: 3\n---\n", encoding="utf-8")
    _, plain = read(shelf, known=False)
    assert len(plain.problems) == 1
    assert len(plain.asked) == 1
    for _ in range(2):
        _, told = read(shelf)
        assert (told.problems, told.asked) == (plain.problems, plain.asked)


def test_another_parser_parts_anew(shelf: Path, parted: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """What a former version of the parser read is not believed."""
    first, _ = read(shelf)
    del parted[:]
    monkeypatch.setattr("firmripe.reading.parted.PARSER", "PyYAML 99")
    monkeypatch.setattr("firmripe.reading.parted.made_by", made_by.__wrapped__)  # which is asked once otherwise
    assert read(shelf)[0] == first
    assert len(parted) == sum(map(len, first.notes.values()))


SPOILT: dict[str, Callable[[bytes], bytes]] = {
    "cut short": lambda data: data[:-9],
    "nothing": lambda _: b"",
    "one bit": lambda data: data[:99] + bytes([data[99] ^ 1]) + data[100:],
    "made by another": lambda data: sealed(data[32:], b"another"),
    "no notes": lambda _: sealed(b"\x00", made_by() or b""),
}


@pytest.mark.parametrize("spoil", SPOILT.values(), ids=SPOILT)
def test_a_spoilt_or_foreign_file_is_as_good_as_none(
    shelf: Path, parted: list[str], spoil: Callable[[bytes], bytes]
) -> None:
    """All notes are parted anew, and the file is written again."""
    first, _ = read(shelf)
    (file,) = (path for path in (shelf.parent / "cache").rglob("*") if path.is_file())
    whole = file.read_bytes()
    file.write_bytes(spoil(whole))
    del parted[:]
    assert read(shelf)[0] == first
    assert len(parted) == sum(map(len, first.notes.values()))
    assert file.read_bytes() == whole


def test_the_same_notes_give_the_same_bytes(shelf: Path) -> None:
    """So that two wheels of one release are alike."""
    begun_anew()
    notes = [PartedNotes(), PartedNotes()]
    for known in notes:
        read_folder(shelf, "reference/", SHELF_NOTES, Problems(), known)
    notes[1].met = dict(reversed(notes[1].met.items()))

    assert encoded(notes[0]) == encoded(notes[1])


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such permissions")
def test_the_cache_is_its_owners_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Made for one's own eyes; one that others may look into, a link, a file and nothing at all are not used."""
    monkeypatch.setenv(ASKED, str(tmp_path / "new" / "cache"))
    made = cache_folder()
    assert made is not None
    keep(made / "of one" / "a", b"private", b"by")
    assert {path.stat().st_mode & 0o777 for path in (made, made / "of one")} == {0o700}
    assert (made / "of one" / "a").stat().st_mode & 0o777 == 0o600
    made.chmod(0o750)
    assert cache_folder() is None
    (tmp_path / "link").symlink_to(tmp_path / "new")
    (tmp_path / "file").write_text("", encoding="utf-8")
    for named in (tmp_path / "link", tmp_path / "file", ""):
        monkeypatch.setenv(ASKED, str(named))
        assert cache_folder() is None


@given(st.binary(max_size=99), st.binary(max_size=9), st.integers(0, 200), st.integers(1, 255))
def test_what_is_kept_is_found_again_and_nothing_else(data: bytes, by: bytes, at: int, change: int) -> None:
    """To the byte, by the same maker; with any byte changed, one less or another maker it is none."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a"
        keep(path, data, by)
        assert read_kept(path, by) == data
        assert read_kept(path, by + b".") is None
        whole = path.read_bytes()
        at %= len(whole)
        for other in (whole[:at] + bytes([whole[at] ^ change]) + whole[at + 1 :], whole[:-1], whole + b"\0"):
            path.write_bytes(other)
            assert read_kept(path, by) is None


def test_the_cache_stays_small(tmp_path: Path) -> None:
    """What was put by longest ago goes first."""
    for number in range(4):
        keep(tmp_path / str(number), b"x" * 100, b"by")
        os.utime(tmp_path / str(number), (number, number))
    trim(tmp_path, 300)

    assert sorted(path.name for path in tmp_path.iterdir()) == ["2", "3"]
