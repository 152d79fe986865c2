"""A figure and where it comes from."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from enum import Enum
from typing import Generic, Protocol, TypeVar

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

    @property
    def in_short(self) -> str:
        """Its author and year; several authors are named with the year of each."""
        return self.author if not self.year or self.year in self.author else f"{self.author} {self.year}"


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
    cultivars, the habits and the tags of trees that it is meant for; empty means every one. Of `not_for` it is not
    meant.
    """

    value: T
    text: str
    cited: Cited
    at_c: Interval | None = None
    note: str = ""
    crop: str = ""
    subjects: frozenset[str] = frozenset()
    not_for: frozenset[str] = frozenset()


class Meant(Protocol):
    """What is meant for some fruits, cultivars, habits and trees alone, and not for others, by their keys and tags."""

    @property
    def subjects(self) -> frozenset[str]:
        """What it is meant for; empty means everything."""

    @property
    def not_for(self) -> frozenset[str]:
        """What it is not meant for."""


def is_meant(told: Meant, keys: AbstractSet[str]) -> bool:
    """Say whether something is meant for what goes by some keys."""
    return (not told.subjects or bool(told.subjects & keys)) and not told.not_for & keys
