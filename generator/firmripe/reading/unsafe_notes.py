"""What a household's notes and tables say against the published ways of putting fruit up, with file and line."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from firmripe.holding.unsafe import Unsafe, unsafe_in
from firmripe.problems import Problem, Problems, Where
from firmripe.reading.folder import Note, read_folder
from firmripe.reading.frontmatter import Listing, Node, Table, Text

_PRINTED_IN = {
    "usda-aib539-guide1": "USDA, Complete Guide to Home Canning, Guide 1",
    "usda-aib539-guide2": "USDA, Complete Guide to Home Canning, Guide 2",
}


def unsafe_notes(folder: Path) -> tuple[Problem, ...]:
    """Return a warning for each unsafe statement, whatever key, text or table it stands in.

    Notes are read as far as they can be; what is wrong with them is found elsewhere.
    """
    read = read_folder(folder, "", ("place",), Problems())
    notes = [*read.single.values(), *(note for notes in read.notes.values() for note in notes)]
    found = [problem for note in notes for problem in _of_note(note)]
    for sheet in read.sheets["records"]:
        for number, line in enumerate(sheet.text.split("\n"), 1):
            found += [_problem(Where(sheet.file, number, text=line), one) for one in unsafe_in(line)]
    return tuple(found)


def _of_note(note: Note) -> Iterator[Problem]:
    for text in _texts(note.table):
        yield from (_problem(text.where, one) for one in unsafe_in(text.value))
    lines = note.body.split("\n")
    for one in unsafe_in(note.body):
        at = note.body.count("\n", 0, one.at)
        yield _problem(Where(note.file, note.body_line + at, text=lines[at]), one)


def _texts(node: Node) -> Iterator[Text]:
    if isinstance(node, Text):
        yield node
    elif isinstance(node, Listing):
        for item in node.items:
            yield from _texts(item)
    elif isinstance(node, Table):
        for entry in node.entries.values():
            yield from _texts(entry.node)


def _problem(where: Where, one: Unsafe) -> Problem:
    rule = one.rule
    printed = _PRINTED_IN.get(rule.source, rule.source)
    return Problem(
        where,
        f'"{one.words}" is not the published way ({rule.name})',
        f"take it out; it is kept out of sessions and stove cards. {rule.published} ({printed})",
    )
