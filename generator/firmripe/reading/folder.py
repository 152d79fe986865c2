"""The files of a folder of notes, read as text and parted into front matter and body."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from firmripe.problems import Problems, Where, nearest, or_list
from firmripe.reading.frontmatter import Table, split_note

NOTE_FOLDERS = ("trees", "cultivars", "fruits", "tasks", "preserves")
TABLE_FOLDERS = ("records", "weather")
NOTE, SHEET = ".md", ".csv"
LARGEST_FILE = 2_000_000
"""Bytes. A longer note or table is a mistake, not a note."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One Markdown file: `file` is its name from the folder's top, `key` its own name without the ending."""

    file: str
    key: str
    table: Table
    body: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One CSV file as text."""

    file: str
    key: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Folder:
    """What was read: single notes by name, notes and tables by their folder, each sorted by name."""

    single: dict[str, Note]
    notes: dict[str, tuple[Note, ...]]
    sheets: dict[str, tuple[Sheet, ...]]


def read_folder(top: Path, prefix: str, singles: tuple[str, ...], problems: Problems) -> Folder:
    """Read all notes and tables below `top`. `prefix` is set before file names in problems."""
    if not top.is_dir():
        problems.add(Where(str(top)), "there is no such folder", "give the folder that holds the notes")
    single = {}
    for name in singles:
        path = top / f"{name}.md"
        if path.is_file():
            single[name] = _note(path, f"{prefix}{name}.md", problems)
    _name_strays(top, prefix, singles, problems)
    notes = {
        folder: tuple(_note(path, f"{prefix}{folder}/{path.name}", problems) for path in _files(top / folder, NOTE))
        for folder in NOTE_FOLDERS
    }
    sheets = {
        folder: tuple(
            Sheet(file=f"{prefix}{folder}/{path.name}", key=path.stem, text=text)
            for path in _files(top / folder, SHEET)
            if (text := _text(path, f"{prefix}{folder}/{path.name}", problems)) is not None
        )
        for folder in TABLE_FOLDERS
    }
    return Folder(single=single, notes=notes, sheets=sheets)


def _files(folder: Path, ending: str) -> list[Path]:
    return [path for path in _listed(folder) if path.suffix.casefold() == ending and path.is_file()]


def _name_strays(top: Path, prefix: str, singles: tuple[str, ...], problems: Problems) -> None:
    """Name what looks like a note or a table and lies where neither is read: it would silently be nothing."""
    for path in _listed(top):
        where = Where(f"{prefix}{path.name}")
        if path.name in NOTE_FOLDERS or path.name in TABLE_FOLDERS:
            _name_strays_within(path, prefix, problems)
        elif path.is_dir():
            near = nearest(path.name, (*NOTE_FOLDERS, *TABLE_FOLDERS))
            if near and _listed(path):
                problems.add(where, f'the folder "{path.name}" is not read', f'did you mean "{near}"?')
        elif path.suffix.casefold() == NOTE and path.name not in {"README.md", *(f"{name}.md" for name in singles)}:
            problems.add(where, "a note here is not read", f"move it to {or_list(NOTE_FOLDERS)}")
        elif path.suffix.casefold() == SHEET:
            problems.add(where, "a table here is not read", f"move it to {or_list(TABLE_FOLDERS)}")


def _name_strays_within(folder: Path, prefix: str, problems: Problems) -> None:
    wanted = NOTE if folder.name in NOTE_FOLDERS else SHEET
    for path in _listed(folder):
        where = Where(f"{prefix}{folder.name}/{path.name}")
        if path.is_dir() and any(inner.suffix.casefold() in {NOTE, SHEET} for inner in _listed(path)):
            problems.add(where, "a folder inside this one is not read", f'move its files up into "{folder.name}"')
        elif path.suffix.casefold() in {NOTE, SHEET} - {wanted}:
            other = or_list(TABLE_FOLDERS if wanted == NOTE else NOTE_FOLDERS)
            what = "a table" if wanted == NOTE else "a note"
            problems.add(where, f"{what} here is not read", f"move it to {other}")


def _listed(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    return sorted(path for path in folder.iterdir() if not path.name.startswith("."))


def _note(path: Path, file: str, problems: Problems) -> Note:
    table, body = split_note(_text(path, file, problems) or "", file, problems)
    return Note(file=file, key=path.stem, table=table, body=body.strip())


def _text(path: Path, file: str, problems: Problems) -> str | None:
    try:
        if path.stat().st_size > LARGEST_FILE:
            problems.add(Where(file), "the file is too long for notes", "split it, or move it elsewhere")
            return None
        data = path.read_bytes()
    except OSError as error:
        problems.add(Where(file), f"the file can't be read: {error.strerror}", "check its permissions")
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        problems.add(Where(file), "the file is not in UTF-8", "save it again with the encoding UTF-8")
        return None
    if "\0" in text:
        problems.add(Where(file), "the file is not plain text", "save it again as plain text in UTF-8")
        return None
    return text.replace("\r\n", "\n").replace("\r", "\n")
