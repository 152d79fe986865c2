"""A table of places, one a line, over each of which the same notes are laid."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from firmripe.holding.place import Place
from firmripe.problems import Problem, Problems, Where, name_key, or_list
from firmripe.reading.folder import FILE, Folder, Note, kind_of, text_of
from firmripe.reading.frontmatter import KeyValue, Table, Text, plain_key, split_note
from firmripe.reading.place import read_place
from firmripe.reading.records import add_unknown_column, line_at, rows_of, unreadable_row
from firmripe.reading.usual import KEY as USUAL_TEMPERATURES

NEEDED: Final = ("name", "latitude", "longitude")
COLUMNS: Final = (*NEEDED, "elevation", "zone", "last frost", "first frost")
"""Keys of `place.md` that a line of the table may hold."""
_OF_ONE_PLACE: Final = frozenset({*COLUMNS, "hemisphere", USUAL_TEMPERATURES})
"""What `place.md` says of its own ground, and is not so at another place."""
_PLACE: Final = "place.md"
_ADDRESS, _IDENTITY = "site address", "calendar identity"


class PlaceRow(Struct, frozen=True, kw_only=True):
    """A line of the table: the place's name, what stands in its columns by key, and what is wrong with the line."""

    name: str
    where: Where
    cells: Mapping[str, Text]
    faults: tuple[Problem, ...] = ()


def read_place_rows(text: str, file: str, problems: Problems) -> tuple[PlaceRow, ...]:
    """Read a table of places. What is wrong with the table as a whole is a problem, what with a line is the line's.

    Whether latitude and the like can be read shows where the place is (see `at_place`).
    """
    lines = text.split("\n")
    header: list[str] = []
    rows: list[PlaceRow] = []
    try:
        for number, cells in rows_of(text):
            where = line_at(file, number, lines)
            if not any(cell.strip() for cell in cells):
                continue
            if header:
                rows.append(_row(header, cells, where))
            elif not (header := _header(cells, where, problems)):
                return ()
    except csv.Error as error:
        problems.add(*unreadable_row(file, error, lines))
        return ()
    if not rows:
        hint = f"begin it with {','.join(NEEDED)} and write a line for each place"
        problems.add(Where(file), "the table holds no place", hint)
    return tuple(_told_apart(rows))


def _header(cells: list[str], where: Where, problems: Problems) -> list[str]:
    """Return the keys that the first line names; none, and the problem noted, where one is missing or unknown."""
    header = [plain_key(cell) for cell in cells]
    known = problems.count
    for name in header:
        if name not in COLUMNS:
            add_unknown_column(name, COLUMNS, where, problems)
        elif header.count(name) > 1:
            problems.add(where, f'the column "{name}" stands twice', "take one of the two out")
    if missing := [name for name in NEEDED if name not in header]:
        problems.add(where, f"the table has no column {or_list(missing)}", f"its first line names {','.join(COLUMNS)}")
    return header if problems.count == known else []


def _row(header: list[str], cells: list[str], where: Where) -> PlaceRow:
    cells = [cell.strip() for cell in cells]
    while len(cells) > len(header) and not cells[-1]:
        cells.pop()
    found = {}
    start = 0
    for key, cell in zip(header, cells, strict=False):
        start = max(where.text.find(cell, start), 0)
        if cell:
            found[key] = Text(cell, replace(where, column=start, length=len(cell)))
        start += len(cell)
    faults = []
    if len(cells) > len(header):
        message = f"the line has {len(cells)} columns, the first line names {len(header)}"
        faults.append(Problem(where, message, "put quotes around a value that holds a comma"))
    faults += [Problem(where, f"the place has no {key}", "fill it in") for key in NEEDED if key not in found]
    name = found["name"].value if "name" in found else f"line {where.line}"
    return PlaceRow(name=name, where=where, cells=found, faults=tuple(faults))


def _told_apart(rows: list[PlaceRow]) -> list[PlaceRow]:
    """Return the rows, a name that stood above already with its fault."""
    first: dict[str, int] = {}
    told = []
    for row in rows:
        line = first.setdefault(name_key(row.name), row.where.line)
        if line == row.where.line:
            told.append(row)
            continue
        fault = Problem(row.where, f'the place "{row.name}" stood on line {line} already', "give each its own name")
        told.append(replace(row, name=f"{row.name} (line {row.where.line})", faults=(*row.faults, fault)))
    return told


def at_place(household: Folder, row: PlaceRow, key: str) -> Folder:
    """Return a household's notes as they are at the place of a row.

    What `place.md` says of its own ground is left out, and what the row says stands in its stead. The site of each
    place lies in a folder `key` of the address, and its events are its own.
    """
    note = household.single.get("place") or Note(file=_PLACE, key="place", table=Table(Where(_PLACE)), body="")
    entries = {name: entry for name, entry in note.table.entries.items() if name not in _OF_ONE_PLACE}
    entries |= {name: KeyValue(name, text.where, text) for name, text in row.cells.items()}
    for name, made in ((_ADDRESS, "{}/{}/"), (_IDENTITY, "{} {}")):
        if name in entries and isinstance(own := entries[name].node, Text) and own.value.strip():
            text = Text(made.format(own.value.strip().rstrip("/"), key), own.where)
            entries[name] = KeyValue(name, entries[name].where, text)
    return replace(
        household, single={**household.single, "place": replace(note, table=Table(note.table.where, entries))}
    )


def face_of(household: Path, themes: Sequence[str]) -> Place:
    """Return what `place.md` alone says, as far as it can be read; problems are passed over."""
    quiet = Problems()
    file = household / _PLACE
    text = text_of(file, _PLACE, quiet) if kind_of(file) == FILE else None
    table, _ = split_note(text or "", _PLACE, quiet)
    return read_place(Note(file=_PLACE, key="place", table=table, body=""), {}, quiet, themes)
