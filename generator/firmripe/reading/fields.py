"""Typed access to a table of front matter: each field understands its value, and no key is passed over."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from enum import Enum
from functools import cache
from typing import Any, TypeVar

from firmripe.holding.figures import MARKS, Cited, Figure, Mark, Source
from firmripe.problems import Problems, Unreadable, Where, nearest, or_list
from firmripe.reading.frontmatter import KeyValue, Listing, Node, Table, Text
from firmripe.units import parse_temperature

T = TypeVar("T")
E = TypeVar("E", bound=Enum)

MOST_LINES = 500
"""So many lines one list of a note may have: more than any household has of anything (our judgement)."""
SHELF = "reference/"
"""What the name of a file on the shelf begins with, in problems and citations."""

_LEANT_ON = {Mark.MEMORY: "memory", Mark.JUDGEMENT: "judgement", Mark.PRACTICE: "common-practice"}


def plain_text(text: str) -> str:
    """Read words as they stand, white space folded. Raises Unreadable where there are none."""
    words = " ".join(text.split())
    if not words:
        raise Unreadable("nothing stands here", "write a few words, or leave the key out")
    return words


def yes_or_no(text: str) -> bool:
    """Read yes or no. Raises Unreadable."""
    plain = text.strip().casefold()
    if plain in {"yes", "true"}:
        return True
    if plain in {"no", "false"}:
        return False
    raise Unreadable(f'"{text}" is neither yes nor no', "write yes or no")


def whole_number(text: str) -> int:
    """Read a whole number, not below 0. Raises Unreadable."""
    if not re.fullmatch(r"[0-9]{1,6}", text.strip()):
        raise Unreadable(f'"{text}" is not a whole number', "write digits only, as 12")
    return int(text)


def year_number(text: str) -> int:
    """Read a year of four digits. Raises Unreadable."""
    if not re.fullmatch(r"[0-9]{4}", text.strip()):
        raise Unreadable(f'"{text}" is not a year', "write four digits, as 2019")
    return int(text)


@cache
def _by_word(kind: type[Enum]) -> Mapping[str, Any]:
    return {str(member.value): member for member in kind}


def one_of(kind: type[E]) -> Callable[[str], E]:
    """Return a reader for the words of a closed set. It raises Unreadable with the allowed words."""
    members: Mapping[str, E] = _by_word(kind)

    def read(text: str) -> E:
        plain = " ".join(text.casefold().replace("_", " ").split())
        if plain in members:
            return members[plain]
        words = list(members)
        near = nearest(plain, words)
        hint = f'did you mean "{near}"?' if near else f"write {or_list(words)}"
        raise Unreadable(f'"{text}" is not known here', hint)

    return read


class Fields:
    """One table being read. Ask for each key once; `close` then names the keys nobody asked for."""

    def __init__(self, table: Table, problems: Problems, sources: Mapping[str, Source]) -> None:
        self._table = table
        self._problems = problems
        self._sources = sources
        self._asked: set[str] = set()

    @property
    def where(self) -> Where:
        """Where the table begins."""
        return self._table.where

    def has(self, key: str) -> bool:
        """Say whether the key is written."""
        return key in self._table.entries

    def place_of(self, key: str) -> Where:
        """Return where a key's value stands, or where the table begins."""
        entry = self._table.entries.get(key)
        return entry.node.where if entry else self._table.where

    def fault(self, key: str, message: str, hint: str = "") -> None:
        """Note a problem with a key's value."""
        self.fault_at(self.place_of(key), message, hint)

    def fault_at(self, where: Where, message: str, hint: str) -> None:
        """Note a problem at a place in the notes."""
        self._problems.add(where, message, hint)

    def ask(self, key: str, message: str, hint: str = "") -> None:
        """Note that a key's value can be read and can hardly be meant."""
        self._problems.ask(self.place_of(key), message, hint)

    def _entry(self, key: str) -> KeyValue | None:
        self._asked.add(key)
        return self._table.entries.get(key)

    def _some(self, entry: KeyValue) -> Iterable[Node]:
        """Return the items of a list, up to the most that are read."""
        nodes = entry.node.items if isinstance(entry.node, Listing) else (entry.node,)
        if len(nodes) > MOST_LINES:
            message = f'"{entry.key}" has {len(nodes)} lines; {MOST_LINES} are the most that are read'
            self._problems.add(nodes[MOST_LINES].where, message, "keep those that count")
        return nodes[:MOST_LINES]

    def read(self, key: str, parse: Callable[[str], T]) -> T | None:
        """Return a single value, or None where the key is absent or faulty."""
        entry = self._entry(key)
        return None if entry is None else self._parsed(entry.node, parse, entry.key)

    def text(self, key: str) -> str:
        """Return words, or an empty text."""
        return self.read(key, plain_text) or ""

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of words; a single value counts as a list of one."""
        return tuple(text for text, _ in self.texts_with_places(key))

    def texts_with_places(self, key: str) -> tuple[tuple[str, Where], ...]:
        """Return a list of words and where each stands."""
        entry = self._entry(key)
        if entry is None:
            return ()
        found = []
        for node in self._some(entry):
            text = self._parsed(node, plain_text, entry.key)
            if text is not None:
                found.append((text, node.where))
        return tuple(found)

    def named(self, key: str, name: str) -> tuple[tuple[str, Where, Fields | None], ...]:
        """Return a list of names, and where each stands; an item may be a table that has the name under a key."""
        entry = self._entry(key)
        found: list[tuple[str, Where, Fields | None]] = []
        for node in self._some(entry) if entry else ():
            if not isinstance(node, Table):
                text = self._parsed(node, plain_text, key)
                found += [(text, node.where, None)] if text is not None else []
                continue
            inner = Fields(node, self._problems, self._sources)
            text = inner.text(name)
            if not inner.has(name):
                self._problems.add(node.where, f'an item of "{key}" has no {name}', f"add {name}: and its name")
            found += [(text, inner.place_of(name), inner)] if text else []
        return tuple(found)

    def each(self, key: str, parse: Callable[[str], T]) -> tuple[T, ...]:
        """Return a list of values, each read by itself; what can't be read is told of where it stands."""
        found = []
        for text, where in self.texts_with_places(key):
            try:
                found.append(parse(text))
            except Unreadable as error:
                self.fault_at(where, error.message, error.hint)
        return tuple(found)

    def tables(self, key: str) -> tuple[Fields, ...]:
        """Return a list of tables; a single table counts as a list of one."""
        entry = self._entry(key)
        if entry is None:
            return ()
        found = []
        for node in self._some(entry):
            if isinstance(node, Table):
                found.append(Fields(node, self._problems, self._sources))
            else:
                self._problems.add(
                    node.where,
                    f'"{entry.key}" takes lines of several keys',
                    f"write them as  {entry.key}: [{{key: value, ...}}]",
                )
        return tuple(found)

    def named_tables(self, key: str) -> dict[str, tuple[Where, Fields]]:
        """Return tables by the names they stand under."""
        entry = self._entry(key)
        if entry is None:
            return {}
        if not isinstance(entry.node, Table):
            hint = "write a name and a colon on a line, and its keys below"
            self._problems.add(entry.where, f'"{entry.key}" takes names with keys below them', hint)
            return {}
        found = {}
        for inner in entry.node.entries.values():
            if isinstance(inner.node, Table):
                found[inner.key] = (inner.where, Fields(inner.node, self._problems, self._sources))
            else:
                hint = f"write it as  {inner.key}: {{key: value, ...}}"
                self._problems.add(inner.where, f'"{inner.key}" takes keys below it', hint)
        return found

    def figure(self, key: str, parse: Callable[[str], T]) -> Figure[T] | None:
        """Return a figure, plain or with its source; None where it is absent or faulty."""
        entry = self._entry(key)
        return None if entry is None else self._figure(entry.node, parse, entry.key)

    def figures(
        self, key: str, parse: Callable[[str], T], subjects: Callable[[Fields, str], frozenset[str]] | None = None
    ) -> tuple[Figure[T], ...]:
        """Return a list of figures; a single one counts as a list of one.

        With `subjects`, which reads what a key names, each may say `for:` which fruits, cultivars, habits or trees it
        is meant, and `not for:` which it is not.
        """
        entry = self._entry(key)
        if entry is None:
            return ()
        found = (self._figure(node, parse, entry.key, subjects) for node in self._some(entry))
        return tuple(figure for figure in found if figure is not None)

    def cited(self) -> Cited:
        """Return the mark and source that this table itself carries."""
        mark_text, source_text = self.text("mark"), self.text("source")
        page = self.text("page")
        where = self._table.where
        on_shelf = where.file.startswith(SHELF)
        if not mark_text:
            if on_shelf:
                self._problems.add(where, "a figure of the shelf has no mark", "add mark: and source:")
            source = Source(key=source_text, author=source_text, title="") if source_text else None
            return Cited(mark=Mark.OWN, source=source, page=page, where=where)
        mark = MARKS.get(mark_text)
        if mark is None:
            self.fault("mark", f'"{mark_text}" is not a mark', f"write {or_list(MARKS)}")
            mark = Mark.MEMORY
        source = self._sources.get(source_text or _LEANT_ON.get(mark, ""))
        if source is None and not source_text:
            self.fault("source", f'a figure marked "{mark_text}" names no source', "add source: and where it stands")
        elif source is None and on_shelf:
            near = nearest(source_text, self._sources)
            hint = f'did you mean "{near}"?' if near else "name a source that stands in sources.md"
            self.fault("source", f'the source "{source_text}" is not known', hint)
        elif source is None:
            source = Source(key=source_text, author=source_text, title="")
        return Cited(mark=mark, source=source, page=page, where=where)

    def close(self, of_what: str) -> None:
        """Note each key that nobody asked for, with the nearest one that is known."""
        for key, entry in self._table.entries.items():
            if key in self._asked:
                continue
            near = nearest(key, self._asked)
            hint = f'did you mean "{near}"?' if near else f"{of_what} takes {or_list(sorted(self._asked))}"
            if not near and _without_colon(entry):
                hint = "put quotes around a value that holds a comma"
            self._problems.add(entry.where, f'the key "{entry.key}" is not known', hint)

    def _parsed(self, node: Node, parse: Callable[[str], T], key: str) -> T | None:
        if not isinstance(node, Text):
            self._problems.add(node.where, f'"{key}" takes a single value', f"write it as  {key}: value")
            return None
        if not node.value.strip():
            self._problems.add(node.where, f'"{key}" has no value', "write one, or leave the key out")
            return None
        try:
            return parse(node.value)
        except Unreadable as error:
            self._problems.add(node.where, error.message, error.hint)
            return None

    def _figure(
        self,
        node: Node,
        parse: Callable[[str], T],
        key: str,
        subjects: Callable[[Fields, str], frozenset[str]] | None = None,
    ) -> Figure[T] | None:
        if not isinstance(node, Table):
            if node.where.file.startswith(SHELF):
                hint = "write value:, mark: and source:"
                self._problems.add(node.where, "a figure of the shelf has no mark", hint)
            value = self._parsed(node, parse, key)
            if value is None or not isinstance(node, Text):
                return None
            cited = Cited(mark=Mark.OWN, source=None, page="", where=node.where)
            return Figure(value=value, text=" ".join(node.value.split()), cited=cited)
        inner = Fields(node, self._problems, self._sources)
        if not inner.has("value"):
            self._problems.add(node.where, f'the figure "{key}" has no value', "add value: and what it is")
        value = inner.read("value", parse)
        text = inner.text("value")
        figure = None
        at_c, note, crop, cited = (
            inner.read("at", parse_temperature),
            inner.text("note"),
            inner.text("crop"),
            inner.cited(),
        )
        if value is not None:
            meant, not_for = (subjects(inner, of) if subjects else frozenset() for of in ("for", "not for"))
            figure = Figure(
                value=value, text=text, cited=cited, at_c=at_c, note=note, crop=crop, subjects=meant, not_for=not_for
            )
        inner.close("a figure")
        return figure


def _without_colon(entry: KeyValue) -> bool:
    """Say whether an entry is the rest of a value that was parted at a comma."""
    after = entry.where.text[entry.where.column + entry.where.length :]
    return isinstance(entry.node, Text) and not entry.node.value and not after.lstrip().startswith(":")
