"""The files of a folder of notes, read as text and parted into front matter and body."""

from __future__ import annotations

import codecs
import os
import re
import stat
import unicodedata
from functools import lru_cache
from pathlib import Path

from msgspec import Struct

from firmripe.problems import Problem, Problems, Where, nearest, or_list
from firmripe.reading.frontmatter import Table, split_note
from firmripe.reading.parted import Parted, PartedNotes

NOTE_FOLDERS = ("trees", "cultivars", "fruits", "tasks", "preserves")
TABLE_FOLDERS = ("records", "weather")
THEME_FOLDER = "theme"
PHOTO_FOLDER = "photos"
SHELF_NOTES = ("sources", "places", "processes")
"""Notes that stand alone at the top of the shelf."""
README = "readme.md"
"""What folders say of themselves, in any capitals: nothing in it is read."""
NOTE, SHEET = ".md", ".csv"
TEMPLATE, STYLE = ".html", ".css"
FILE, FOLDER = "a file", "a folder"
_BELONGS = {NOTE: "a note", SHEET: "a table", TEMPLATE: "a template", STYLE: "a style sheet", "": "a folder"}
_ENCODING_HINT = "save it again with the encoding UTF-8"
LARGEST = {NOTE: 200_000, SHEET: 2_000_000, TEMPLATE: 200_000, STYLE: 200_000}
"""Bytes. A longer note or table is a mistake, not a note (our judgement: a year's diary, a lifetime's weather)."""
MOST_SIGNS = 2_000
"""So many of each of these signs a note may hold; with many more, Markdown would take minutes over them."""
_SIGNS = "[<#`\\"
MOST_KEPT = 1_000
"""Notes that are kept parted while the program runs: the shelf's, and a household's while it is looked at anew."""
MOST_LINES = 1_000
"""So many lines may stand without an empty one between; Markdown looks at the rest of them again at each."""


class Note(Struct, frozen=True, kw_only=True):
    """One Markdown file: `file` is its name from the folder's top, `key` its own name without the ending.

    `body_line` is the line of the file that its text begins on.
    """

    file: str
    key: str
    table: Table
    body: str
    body_line: int = 1


class Sheet(Struct, frozen=True, kw_only=True):
    """One CSV file as text."""

    file: str
    key: str
    text: str


class Folder(Struct, frozen=True, kw_only=True):
    """What was read: single notes by name, notes and tables by their folder, each sorted by name."""

    single: dict[str, Note]
    notes: dict[str, tuple[Note, ...]]
    sheets: dict[str, tuple[Sheet, ...]]


def read_folder(
    top: Path, prefix: str, singles: tuple[str, ...], problems: Problems, known: PartedNotes | None = None
) -> Folder:
    """Read all notes and tables below `top`. `prefix` is set before file names in problems.

    Notes that are `known` as they were parted before are not parted again.

    In a household's own folder, which has no prefix, links that lead out of it are refused: whoever hands such a
    folder on would publish what it leads to.
    """
    if kind_of(top) != FOLDER:
        problems.add(Where(str(top)), "there is no such folder", "give the folder that holds the notes")
    _name_misfits(top, prefix, singles, problems)
    single = {}
    for name in singles:
        path = top / f"{name}.md"
        if kind_of(path) == FILE:
            single[name] = _note(path, f"{prefix}{name}.md", problems, known)
    _name_strays(top, prefix, singles, problems)
    notes = {
        folder: tuple(
            _note(path, f"{prefix}{folder}/{path.name}", problems, known) for path in _files(top / folder, NOTE)
        )
        for folder in NOTE_FOLDERS
    }
    sheets = {
        folder: tuple(
            Sheet(file=f"{prefix}{folder}/{path.name}", key=path.stem, text=text)
            for path in _files(top / folder, SHEET)
            if (text := text_of(path, f"{prefix}{folder}/{path.name}", problems)) is not None
        )
        for folder in TABLE_FOLDERS
    }
    return Folder(single=single, notes=notes, sheets=sheets)


def _files(folder: Path, ending: str) -> list[Path]:
    return [path for path in listed(folder) if path.suffix.casefold() == ending and kind_of(path) == FILE]


def _name_strays(top: Path, prefix: str, singles: tuple[str, ...], problems: Problems) -> None:
    """Name what looks like a note or a table and lies where neither is read: it would silently be nothing."""
    for path in listed(top):
        where = Where(f"{prefix}{path.name}")
        if path.name in NOTE_FOLDERS or path.name in TABLE_FOLDERS:
            _name_strays_within(path, prefix, problems)
        elif path.name.casefold() == README:
            continue
        elif kind_of(path) == FOLDER:
            near = nearest(path.name, (*NOTE_FOLDERS, *TABLE_FOLDERS, THEME_FOLDER, PHOTO_FOLDER))
            if near and near != path.name and listed(path):
                problems.add(where, f'the folder "{path.name}" is not read', f'did you mean "{near}"?')
        elif path.suffix.casefold() == NOTE and path.name not in {f"{name}{NOTE}" for name in singles}:
            near = nearest(path.stem, [name for name in singles if not os.path.lexists(top / f"{name}{NOTE}")])
            hint = f'did you mean "{near}{NOTE}"?' if near else f"move it to {or_list(NOTE_FOLDERS)}"
            problems.add(where, "a note here is not read", hint)
        elif path.suffix.casefold() == SHEET:
            problems.add(where, "a table here is not read", f"move it to {or_list(TABLE_FOLDERS)}")


def _name_strays_within(folder: Path, prefix: str, problems: Problems) -> None:
    wanted = NOTE if folder.name in NOTE_FOLDERS else SHEET
    for path in listed(folder):
        where = Where(f"{prefix}{folder.name}/{path.name}")
        if kind_of(path) == FOLDER and any(inner.suffix.casefold() in {NOTE, SHEET} for inner in listed(path)):
            problems.add(where, "a folder inside this one is not read", f'move its files up into "{folder.name}"')
        elif path.suffix.casefold() in {NOTE, SHEET} - {wanted}:
            other = or_list(TABLE_FOLDERS if wanted == NOTE else NOTE_FOLDERS)
            what = "a table" if wanted == NOTE else "a note"
            problems.add(where, f"{what} here is not read", f"move it to {other}")


def unread(top: Path) -> tuple[Problem, ...]:
    """Return the files that lie where notes or tables are read and are neither, each as a warning."""
    found = []
    for folder in (*NOTE_FOLDERS, *TABLE_FOLDERS):
        ending = NOTE if folder in NOTE_FOLDERS else SHEET
        for path in listed(top / folder):
            if kind_of(path) == FILE and path.suffix.casefold() not in {NOTE, SHEET}:
                hint = f"only files that end in {ending} are read here"
                found.append(Problem(Where(f"{folder}/{path.name}"), "this file is not read", hint))
    return tuple(found)


def _name_misfits(top: Path, prefix: str, singles: tuple[str, ...], problems: Problems) -> None:
    """Name what stands under the name of a note, a table or a folder of them and is something else."""
    own = None if prefix else top
    for name in singles:
        if os.path.lexists(top / f"{name}{NOTE}"):
            fits(top / f"{name}{NOTE}", NOTE, f"{prefix}{name}{NOTE}", own, problems)
    for name in (*NOTE_FOLDERS, *TABLE_FOLDERS):
        path, file = top / name, f"{prefix}{name}"
        if not os.path.lexists(path) or not fits(path, "", file, own, problems):
            continue
        if not _can_be_listed(path):
            problems.add(Where(file), "the folder can't be read", "check its permissions")
        ending = NOTE if name in NOTE_FOLDERS else SHEET
        named = [inner for inner in listed(path) if inner.suffix.casefold() == ending]
        _name_twins([one for one in named if fits(one, ending, f"{file}/{one.name}", own, problems)], file, problems)


def fits(path: Path, ending: str, file: str, own: Path | None, problems: Problems) -> bool:
    """Say whether a path is what its name promises, a file or (without an ending) a folder; note it where not.

    `own` is the household's folder, which no link may lead out of; None on the shelf.
    """
    wrong, hint = "", "put the file itself here"
    kind = kind_of(path)
    if path.is_symlink() and not kind:
        wrong = "this link leads nowhere"
    elif path.is_symlink() and own and not path.resolve().is_relative_to(own.resolve()):
        wrong = "this link leads out of the notes' folder"
    elif not kind:
        wrong, hint = "this can't be looked at", "check its permissions, and those of its folder"
    elif not _is_text(path.name):
        wrong, hint = "its name is not in UTF-8", "rename it"
    elif kind != (FILE if ending else FOLDER):
        wrong = f"this is {kind} where {_BELONGS.get(ending, FILE)} belongs"
        hint = "rename it, or move it elsewhere"
    if wrong:
        problems.add(Where(file), wrong, hint)
    return not wrong


def _is_text(name: str) -> bool:
    """Say whether the name of a file is text, which any system can write again; of some disks any octets are names."""
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return True


def kind_of(path: Path) -> str:
    """Return what a path leads to, or nothing where it leads nowhere or can't be looked at."""
    try:
        mode = path.stat().st_mode
    except OSError:
        return ""
    return FOLDER if stat.S_ISDIR(mode) else FILE if stat.S_ISREG(mode) else "neither a file nor a folder"


def _name_twins(paths: list[Path], folder: str, problems: Problems) -> None:
    """Note files whose names differ only by capitals or accents: on many a computer they would be one file."""
    seen: dict[str, Path] = {}
    for path in paths:
        plain = "".join(c for c in unicodedata.normalize("NFKD", path.name) if not unicodedata.combining(c))
        other = seen.setdefault(plain.casefold(), path)
        if other is not path:
            message = f"its name differs from {other.name} only by capitals or accents"
            problems.add(Where(f"{folder}/{path.name}"), message, "make them one file, or rename one of them")


def _can_be_listed(folder: Path) -> bool:
    try:
        next(folder.iterdir(), None)
    except OSError:
        return False
    return True


def listed(folder: Path) -> list[Path]:
    """Return what lies in a folder, hidden files left out; nothing where it can't be read."""
    try:
        return sorted(path for path in folder.iterdir() if not path.name.startswith("."))
    except OSError:
        return []


def _note(path: Path, file: str, problems: Problems, known: PartedNotes | None) -> Note:
    parted, found, asked = _parted(text_of(path, file, problems) or "", file, known)
    problems.add_all(found)
    problems.ask_all(asked)
    return Note(file=file, key=path.stem, table=parted.table, body=parted.body, body_line=parted.body_line)


@lru_cache(maxsize=MOST_KEPT)
def _parted(text: str, file: str, known: PartedNotes | None) -> tuple[Parted, tuple[Problem, ...], tuple[Problem, ...]]:
    """Return what a note's text holds, what is wrong with it and what is to be asked; the same text holds the same."""
    problems = Problems()
    found = None if known is None else known.note_of(text, file, lambda: _parted_well(text, file))
    found = found or _parted_now(text, file, problems)
    return found, problems.problems, problems.asked


def _parted_well(text: str, file: str) -> Parted | None:
    """Return what a note's text holds; None where anything is wrong with it or to be asked."""
    problems = Problems()
    found = _parted_now(text, file, problems)
    return None if problems.problems or problems.asked else found


def _parted_now(text: str, file: str, problems: Problems) -> Parted:
    table, body = split_note(text, file, problems)
    blank = len(body) - len(body.lstrip())
    line = text.count("\n") - body.count("\n") + body[:blank].count("\n") + 1
    if found := _no_prose(body):
        problems.add(Where(file), f"the text of the note holds {found[0]}", f"that is no prose; {found[1]}")
        body = ""
    return Parted(table, body.strip(), line)


def _no_prose(body: str) -> tuple[str, str] | None:
    """Return what a text holds too much of for Markdown to look at, and what to do; None where it is well."""
    for sign in _SIGNS:
        if (count := body.count(sign)) > MOST_SIGNS:
            return f"{count} signs {sign}", f"leave at most {MOST_SIGNS}"
    longest = max(block.count("\n") + 1 for block in re.split(r"\n[ \t]*\n", body.strip()))
    if longest > MOST_LINES:
        return f"{longest} lines without an empty one", "leave an empty line now and then"
    return None


def text_of(path: Path, file: str, problems: Problems) -> str | None:
    """Return a file's text with plain line ends; None, and the problem noted, where it can't be read.

    A file whose name tells nothing of what it is may be as long as a note.
    """
    most = LARGEST.get(path.suffix.casefold(), LARGEST[NOTE])
    try:
        with path.open("rb") as opened:
            data = opened.read(most + 1)
    except OSError as error:
        problems.add(Where(file), f"the file can't be read: {error.strerror}", "check its permissions")
        return None
    if len(data) > most:
        hint = "split it, or move it elsewhere"
        problems.add(Where(file), f"the file is longer than {most // 1000:,} kB", hint)
        return None
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        problems.add(Where(file), "the file is in UTF-16", _ENCODING_HINT)
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        problems.add(_undecoded(data, error.start, file), "this character is not in UTF-8", _ENCODING_HINT)
        return None
    if "\0" in text:
        problems.add(Where(file), "the file is not plain text", "save it again as plain text in UTF-8")
        return None
    return _one_line_end(text)


def _undecoded(data: bytes, at: int, file: str) -> Where:
    """Return the place of a byte that is no UTF-8, with its line as Latin-1 would show it."""
    before, after = (_one_line_end(part.decode("latin-1")) for part in (data[:at], data[at:]))
    line = before.count("\n") + 1
    start = before.rpartition("\n")[2]
    return Where(file, line, len(start), 1, start + after.partition("\n")[0])


def _one_line_end(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")
