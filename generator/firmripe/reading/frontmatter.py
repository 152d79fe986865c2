"""From a note's text to its front matter, in which each part knows its line, and its body.

YAML is read event by event: scalars stay the text that was written, a doubled key is found,
and no alias can blow a small file up.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from firmripe.problems import Problems, Where

_Event = Any  # PyYAML's events and marks come in two kinds (C and Python) that share no type
_Mark = Any
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_FENCE = re.compile(r"---\s*")
_DEEPEST = 8


@dataclass(frozen=True, slots=True)
class Text:
    """A value as written."""

    value: str
    where: Where


@dataclass(frozen=True, slots=True)
class Listing:
    """A list of values."""

    items: tuple[Node, ...]
    where: Where


@dataclass(frozen=True, slots=True)
class Entry:
    """A key, as written and where, and its value."""

    key: str
    where: Where
    node: Node


@dataclass(frozen=True, slots=True)
class Table:
    """Keys and values. Keys are held in one spelling (see `plain_key`)."""

    where: Where
    entries: dict[str, Entry] = field(default_factory=dict)

    def lie_over(self, under: Table) -> Table:
        """Return the other table with this one's entries laid over it, key by key."""
        return Table(self.where, {**under.entries, **self.entries})


Node = Text | Listing | Table


def plain_key(key: str) -> str:
    """Return a key in the one spelling that is compared: small letters, single spaces for `-` and `_`."""
    return re.sub(r"[\s_-]+", " ", key.strip()).casefold()


def split_note(text: str, file: str, problems: Problems) -> tuple[Table, str]:
    """Part a note into its front matter and its body. A note without front matter is all body."""
    lines = text.splitlines()
    empty = Table(Where(file))
    if not lines or not _FENCE.fullmatch(lines[0]):
        return empty, text
    for number, line in enumerate(lines[1:], start=1):
        if _FENCE.fullmatch(line):
            front, body = lines[1:number], "\n".join(lines[number + 1 :])
            return _Builder(front, 1, file, problems).table(), body
    problems.add(
        Where(file, 1, 0, 3, lines[0]),
        "the front matter has no end",
        "write a line with --- alone below the last key",
    )
    return empty, ""


class _Faulty(Exception):  # noqa: N818 - never leaves this module
    """The problem has been noted; this front matter can't be used."""


class _Builder:
    def __init__(self, lines: list[str], lines_before: int, file: str, problems: Problems) -> None:
        self._lines = lines
        self._before = lines_before
        self._file = file
        self._problems = problems

    def table(self) -> Table:
        top = Table(Where(self._file))
        try:
            events = self._events()
            for event in events:
                if isinstance(event, yaml.MappingStartEvent):
                    found = self._mapping(event, events, 1)
                    return Table(top.where, found.entries)
                if isinstance(event, yaml.ScalarEvent | yaml.SequenceStartEvent):
                    self._fault(event.start_mark, "the front matter holds no keys", "write lines like zone: 6b")
        except _Faulty:
            pass
        return top

    def _events(self) -> Iterator[_Event]:
        try:
            yield from yaml.parse("\n".join(self._lines) + "\n", Loader=_LOADER)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            what = f"this can't be read: {error.problem or 'not YAML'}"
            hint = "check the colon, the quotes and the indentation here and on the line above"
            self._note(self._where(mark.line, mark.column) if mark else Where(self._file, 1), what, hint)
            raise _Faulty from error
        except yaml.YAMLError as error:
            self._note(Where(self._file, 1), "the front matter holds a character that can't be read", "retype it")
            raise _Faulty from error

    def _where(self, line: int, column: int, length: int = 1) -> Where:
        text = self._lines[line] if line < len(self._lines) else ""
        return Where(self._file, line + 1 + self._before, column, length, text)

    def _spot(self, start: _Mark, end: _Mark) -> Where:
        line = self._lines[start.line] if start.line < len(self._lines) else ""
        length = end.column - start.column if end.line == start.line else len(line) - start.column
        return self._where(start.line, start.column, max(1, length))

    def _note(self, where: Where, message: str, hint: str) -> None:
        self._problems.add(where, message, hint)

    def _fault(self, mark: _Mark, message: str, hint: str) -> None:
        self._note(self._where(mark.line, mark.column), message, hint)
        raise _Faulty

    def _node(self, event: _Event, events: Iterator[_Event], depth: int) -> Node:
        if depth > _DEEPEST:
            self._fault(event.start_mark, "this is nested too deep", "write it flatter, as the notes' guide shows")
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            self._fault(event.start_mark, "anchors and aliases (& and *) have no use here", "write the value out")
        if isinstance(event, yaml.ScalarEvent):
            return Text(event.value, self._spot(event.start_mark, event.end_mark))
        if isinstance(event, yaml.SequenceStartEvent):
            items = []
            for item in events:
                if isinstance(item, yaml.SequenceEndEvent):
                    break
                items.append(self._node(item, events, depth + 1))
            return Listing(tuple(items), self._spot(event.start_mark, event.end_mark))
        return self._mapping(event, events, depth)

    def _mapping(self, event: _Event, events: Iterator[_Event], depth: int) -> Table:
        entries: dict[str, Entry] = {}
        for key_event in events:
            if isinstance(key_event, yaml.MappingEndEvent):
                break
            if not isinstance(key_event, yaml.ScalarEvent):
                self._fault(key_event.start_mark, "a key must be a word or two", "write lines like zone: 6b")
            key_where = self._spot(key_event.start_mark, key_event.end_mark)
            key = plain_key(key_event.value)
            node = self._node(next(events), events, depth + 1)
            if key in entries:
                first = entries[key].where.line
                self._note(
                    key_where,
                    f'the key "{key_event.value}" stands here a second time (first on line {first})',
                    "keep one of the two, or make them one list",
                )
            else:
                entries[key] = Entry(key_event.value, key_where, node)
        return Table(self._spot(event.start_mark, event.end_mark), entries)
