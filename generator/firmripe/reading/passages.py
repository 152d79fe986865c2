"""What a household wrote itself in notes that everybody may read, value by value and line by line."""

from __future__ import annotations

from collections.abc import Iterator

from firmripe.holding.private import Passage, is_plainly_private, is_private, open_lines, private_word
from firmripe.problems import Problems, Unreadable, Where
from firmripe.reading.fields import yes_or_no
from firmripe.reading.folder import Note
from firmripe.reading.frontmatter import Node, Table, Text

_NEVER_TOLD = frozenset(
    {
        *(
            "people",
            "spaces",
            "shares",
            "wanted",
            "kitchens",
            "canners",
            "kitchen days",
            "stock",
            "to put up",
            "usual picks",
        ),
        *("kept by", "pinned", "where", "private", "who", "only for", "site address", "calendar identity"),
        *("latitude", "longitude", "elevation", "box", "mark", "feed secret", "notes to"),
    }
)
"""Keys whose values stand in nothing that everybody reads, or only where they name nobody."""


def passages_of(note: Note) -> Iterator[Passage]:
    """Yield what a note tells everybody: nothing where it is private or for one person alone."""
    whole = note.file != "place.md"
    if whole and (_is_private(note.table) or "only for" in note.table.entries):
        return
    yield from (passage for passage in _values(note.table) if not is_private(passage.text))
    if not _is_private(note.table):
        yield from (_line(note, number, line) for number, line in open_lines(note.body))


def ask_of_marks(note: Note, problems: Problems) -> None:
    """Ask about each value or line that is kept private for a mark which is not written as it should be."""
    lines = (_line(note, number, line) for number, line in enumerate(note.body.split("\n")))
    for passage in (*_values(note.table), *lines):
        ask_of_mark(passage.text, passage.where, problems)


def ask_of_mark(text: str, where: Where, problems: Problems) -> None:
    """Ask about a text that is kept private for a mark which is not written as it should be."""
    if is_private(text) and not is_plainly_private(text):
        message = f'"{private_word(text)}" keeps this from everybody'
        problems.ask(where, message, "where that is meant, begin it with private: so that it is plain")


def _line(note: Note, number: int, line: str) -> Passage:
    return Passage(line, Where(note.file, note.body_line + number, 0, max(1, len(line)), line))


def _is_private(table: Table) -> bool:
    entry = table.entries.get("private")
    if entry is None:
        return False
    try:
        return not isinstance(entry.node, Text) or yes_or_no(entry.node.value)
    except Unreadable:
        return True


def _values(node: Node) -> Iterator[Passage]:
    if isinstance(node, Text):
        yield Passage(node.value, node.where)
    elif isinstance(node, Table):
        for key, entry in node.entries.items():
            if key not in _NEVER_TOLD:
                yield from _values(entry.node)
    else:
        for item in node.items:
            yield from _values(item)
