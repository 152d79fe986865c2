"""A figure and where it comes from."""

from __future__ import annotations

from enum import Enum
from typing import Generic, TypeVar

from msgspec import Struct

from firmripe.problems import Where
from firmripe.units import Interval

T = TypeVar("T")


class Mark(Enum):
    """How a figure is known. The text is what the page says."""

    READ = "read in the source"
    RELAYED = "read in a copy or a retelling of the source"
    DERIVED = "worked out from published figures"
    MEMORY = "from memory"
    JUDGEMENT = "our judgement"
    PRACTICE = "common practice"
    OWN = "the household's own word"


MARKS = {
    "R": Mark.READ,
    "R2": Mark.RELAYED,
    "Rc": Mark.RELAYED,
    "D": Mark.DERIVED,
    "M": Mark.MEMORY,
    "J": Mark.JUDGEMENT,
    "P": Mark.PRACTICE,
}


class Source(Struct, frozen=True, kw_only=True):
    """Where figures were read: `key` as the figures name it, the rest as a library would."""

    key: str
    author: str
    title: str
    year: str = ""
    number: str = ""

    def __str__(self) -> str:
        return ", ".join(part for part in (self.author, self.title, self.number, self.year) if part)


class Cited(Struct, frozen=True, kw_only=True):
    """Where one figure comes from: its mark, its source (None for the household's own), and the place in it."""

    mark: Mark
    source: Source | None
    page: str
    where: Where

    @property
    def is_own(self) -> bool:
        """Whether it is the household's own word, which nobody printed."""
        return self.mark is Mark.OWN


class Figure(Struct, Generic[T], frozen=True, kw_only=True):
    """A value with its source.

    `text` is the value as written, `at_c` the temperature it holds for (°C), `note` what the reader must know,
    `crop` the one of several crops a year that it is about (empty for all). `subjects` are the keys of the fruits and
    cultivars and the tags of trees that it is meant for; empty means every one.
    """

    value: T
    text: str
    cited: Cited
    at_c: Interval | None = None
    note: str = ""
    crop: str = ""
    subjects: frozenset[str] = frozenset()
