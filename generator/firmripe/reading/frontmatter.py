"""From a note's text to its front matter, in which each part knows its line, and its body.

YAML is read event by event: scalars stay the text that was written, a doubled key is found,
and no alias can blow a small file up.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import yaml
from msgspec import Struct, field
from msgspec.structs import replace

from firmripe.problems import Problems, Where

_Event = Any  # PyYAML's events and marks come in two kinds (C and Python) that share no type
_Mark = Any
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
PARSER = f"PyYAML {yaml.__version__} {_LOADER.__name__}"
"""What parses front matter, with its version."""
_FENCE = re.compile(r"---\s*")
_UNPRINTABLE = yaml.reader.Reader.NON_PRINTABLE
_KEY_LINE = re.compile(r"[a-z][a-z _-]{0,30}:(\s|$)|\s+\S|- |#", re.IGNORECASE)
_NO_LINE_ENDS = str.maketrans("\x85\u2028\u2029", "   ")
"""YAML ends lines at signs that no editor shows as an end; every line below would be told by a wrong number."""
_DEEPEST = 8
_KEYS_HINT = "write lines like zone: 6b"
_FAULTS = (
    # what the parser says, whether the place it began at is meant, what a grower can do with it
    (
        "mapping values are not allowed",
        False,
        "this line has one colon too many",
        'put quotes around a value that holds a colon, as name: "Hood River: east slope"',
    ),
    ("could not find expected ':'", True, "this line has no key with a colon", _KEYS_HINT),
    ("unexpected end of stream", True, "a quote is opened here and never closed", "close it, or leave it out"),
    ("expected ',' or", True, "a bracket is opened here and not closed", "close it with ] or }"),
    ("cannot start any token", False, "a value can't begin with this sign", "put quotes around the value"),
)
_READ_HINT = "check the colon, the quotes and the indentation here and on the line above"


class Text(Struct, frozen=True, array_like=True, tag="text", gc=False):
    """A value as written."""

    value: str
    where: Where


class Listing(Struct, frozen=True, array_like=True, tag="list", gc=False):
    """A list of values."""

    items: tuple[Node, ...]
    where: Where


class KeyValue(Struct, frozen=True, array_like=True, gc=False):
    """A key, as written and where, and its value."""

    key: str
    where: Where
    node: Node


class Table(Struct, frozen=True, array_like=True, tag="table", gc=False):
    """Keys and values. Keys are held in one spelling (see `plain_key`)."""

    where: Where
    entries: dict[str, KeyValue] = field(default_factory=dict)

    def lie_over(self, under: Table) -> Table:
        """Return the other table with this one's entries laid over it, key by key.

        Cautions add up: a household can say more of what may hurt, never less.
        """
        laid = {**under.entries, **self.entries}
        for key in ADD_UP & self.entries.keys() & under.entries.keys():
            own, other = self.entries[key], under.entries[key]
            laid[key] = KeyValue(own.key, own.where, Listing((*_items(own.node), *_items(other.node)), own.node.where))
        return Table(self.where, laid)


Node = Text | Listing | Table
_NEEDS_QUOTES, _PARTS_IN_BRACES = (": ", " #", '"', "\\"), (*",?[]{}",)


ADD_UP = frozenset({"cautions"})
"""Keys whose lists add up where one note lies over another."""


def _items(node: Node) -> tuple[Node, ...]:
    return node.items if isinstance(node, Listing) else (node,)


@lru_cache(maxsize=4096)
def plain_key(key: str) -> str:
    """Return a key in the one spelling that is compared: small letters, single spaces for `-` and `_`."""
    return re.sub(r"[\s_-]+", " ", key).strip().casefold()


def as_value(value: str, *, in_braces: bool = False) -> str:
    """Return a value as it is read back from a line of its own or within braces, in quotes where it needs them."""
    plain = " ".join(value.split())
    signs = (*_NEEDS_QUOTES, *(_PARTS_IN_BRACES if in_braces else ()))
    if plain[:1].isalnum() and not any(sign in plain for sign in signs) and plain[-1:] != ":":
        return plain
    inner = plain.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{inner}"'


RENAMED = {
    "wants": "to put up",
    "markers": "usual picks",
    "picks": "picking days",
    "cut off": "no access",
    "poor above": "ripens poorly above",
    "keeps warmer": "warmer storage",
}
"""Keys of notes by their former names: these are read as what they are called now, and asked about."""


def _with_names_of_today(table: Table, problems: Problems) -> Table:
    """Return a note's table with each key by the name it has now; a former name is asked about."""
    entries: dict[str, KeyValue] = {}
    for key, entry in table.entries.items():
        now = RENAMED.get(key, key)
        if now != key and now in table.entries:
            problems.add(entry.where, f'"{entry.key}" is called "{now}" now, and that stands here too', "make them one")
            continue
        if now != key:
            problems.ask(entry.where, f'the key "{entry.key}" is called "{now}" now', f"write {now}: in its place")
        entries[now] = entry if now == key else KeyValue(now, entry.where, entry.node)
    return Table(table.where, entries)


def split_note(text: str, file: str, problems: Problems) -> tuple[Table, str]:
    """Part a note into its front matter and its body. A note without front matter is all body."""
    lines = text.split("\n")
    empty = Table(Where(file))
    if not _FENCE.fullmatch(lines[0]):
        _note_missed_keys(lines, file, problems)
        return empty, text
    for number, line in enumerate(lines[1:], start=1):
        if _FENCE.fullmatch(line):
            front, body = lines[1:number], "\n".join(lines[number + 1 :])
            return _with_names_of_today(_Builder(front, 1, file, problems).table(), problems), body
    problems.add(
        Where(file, 1, 0, 3, lines[0]),
        "the front matter has no end",
        "write a line with --- alone below the last key",
    )
    return empty, ""


def _note_missed_keys(lines: list[str], file: str, problems: Problems) -> None:
    """Note front matter that does not begin on the first line: its keys would silently be prose."""
    number = next((n for n, line in enumerate(lines) if line.strip()), 0)
    first = lines[number]
    fences = [n for n, line in enumerate(lines) if _FENCE.fullmatch(line)]
    if _FENCE.fullmatch(first) and len(fences) > 1:
        where = Where(file, number + 1, 0, 3, first)
        problems.add(where, "the front matter begins below an empty line", "take the empty lines above it out")
    elif len(fences) == 1 and all(_KEY_LINE.match(line) for line in lines[number : fences[0]] if line.strip()):
        where = Where(file, number + 1, 0, len(first), first)
        problems.add(where, "the front matter has no beginning", "write a line with --- alone above the first key")


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
        text = "\n".join(self._lines)
        text = text if text.isascii() else text.translate(_NO_LINE_ENDS)
        try:
            self._fill(top, iter(_LOADER(text + "\n").get_event, None))
        except _Faulty:
            pass
        except yaml.MarkedYAMLError as error:
            mark, message, hint = self._explained(error)
            self._note(self._where(mark.line, mark.column) if mark else Where(self._file, 1), message, hint)
        except yaml.YAMLError:
            spots = ((n, found.start()) for n, line in enumerate(self._lines) if (found := _UNPRINTABLE.search(line)))
            self._note(self._where(*next(spots, (0, 0))), "a character here can't be read", "retype it")
        return top

    def _fill(self, top: Table, events: Iterator[_Event]) -> None:
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent) and top.entries:
                self._fault(event.start_mark, "the keys end above this line", "keep all keys together")
            if isinstance(event, yaml.MappingStartEvent):
                top.entries.update(self._mapping(event, events, 1).entries)
            elif isinstance(event, yaml.ScalarEvent | yaml.SequenceStartEvent):
                self._fault(event.start_mark, "the front matter holds no keys", _KEYS_HINT)

    def _explained(self, error: yaml.MarkedYAMLError) -> tuple[_Mark, str, str]:
        """Return where the parser stumbled, and why, in a grower's words."""
        mark = error.problem_mark or error.context_mark
        line = self._lines[mark.line] if mark and mark.line < len(self._lines) else ""
        if line.startswith("\t") or (mark and "\t" in line and not line[: mark.column].strip()):
            return mark, "a tab stands before this line", "use spaces"
        for said, at_start, message, hint in _FAULTS:
            if said in (error.problem or ""):
                return (error.context_mark or mark) if at_start else mark, message, hint
        return mark, "this line, or the one above, can't be read", _READ_HINT

    def _where(self, line: int, column: int, length: int = 1) -> Where:
        text = self._lines[line] if line < len(self._lines) else ""
        return Where(self._file, line + 1 + self._before, column, length, text)

    def _spot(self, event: _Event) -> Where:
        start, end = event.start_mark, event.end_mark
        line, column = start.line, start.column
        text = self._lines[line] if line < len(self._lines) else ""
        length = (end.column if end.line == line else len(text)) - column
        return Where(self._file, line + 1 + self._before, column, max(1, length), text)

    def _note(self, where: Where, message: str, hint: str) -> None:
        self._problems.add(where, message, hint)

    def _fault(self, mark: _Mark, message: str, hint: str) -> None:
        self._note(self._where(mark.line, mark.column), message, hint)
        raise _Faulty

    def _node(self, event: _Event, events: Iterator[_Event], depth: int) -> Node:
        if depth > _DEEPEST:
            self._fault(event.start_mark, "this is nested too deep", "write it with fewer brackets")
        if event.anchor:
            self._fault(
                event.start_mark, "a value can't begin with & or *", "write the value out, or put quotes around it"
            )
        if isinstance(event, yaml.ScalarEvent):
            return Text(event.value, self._spot(event))
        if isinstance(event, yaml.SequenceStartEvent):
            items = []
            for item in events:
                if isinstance(item, yaml.SequenceEndEvent):
                    break
                items.append(self._node(item, events, depth + 1))
            return Listing(tuple(items), self._spot(event))
        return self._mapping(event, events, depth)

    def _mapping(self, event: _Event, events: Iterator[_Event], depth: int) -> Table:
        entries: dict[str, KeyValue] = {}
        last = ""
        for key_event in events:
            if isinstance(key_event, yaml.MappingEndEvent):
                break
            if not isinstance(key_event, yaml.ScalarEvent):
                self._fault(key_event.start_mark, "a key must be a word or two", _KEYS_HINT)
            key_where = self._spot(key_event)
            key = plain_key(key_event.value)
            node = self._node(next(events), events, depth + 1)
            whole = _number_parted(entries[last].node, key_where, node) if last in entries else None
            if whole is not None:
                entries[last] = replace(entries[last], node=whole)
                continue
            last = key
            if key in entries:
                first = entries[key].where.line
                self._note(
                    key_where,
                    f'the key "{key_event.value}" stands here a second time (first on line {first})',
                    "keep one of the two, or make them one list",
                )
            else:
                entries[key] = KeyValue(key_event.value, key_where, node)
        return Table(self._spot(event), entries)


def _number_parted(before: Node, key: Where, node: Node) -> Text | None:
    """Return the whole value where `{elevation: 1,900 ft}` was parted at the comma of its number."""
    if not isinstance(before, Text) or not isinstance(node, Text) or node.value:
        return None
    where = before.where
    rest = key.text[key.column : key.column + key.length]
    joined = (where.line, where.column + where.length + 1) == (key.line, key.column)
    if not (joined and before.value[-1:].isdigit() and re.match(r"\d{3}(?!\d)", rest)):
        return None
    length = where.length + 1 + key.length
    return Text(f"{before.value},{rest}", replace(where, length=length))
