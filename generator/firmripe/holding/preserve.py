"""Preserves: what can be put up, and by which published way."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from firmripe.days import DayCount
from firmripe.holding.figures import Figure
from firmripe.holding.jar import HandsRate, Takes
from firmripe.holding.method import WrittenStep
from firmripe.problems import Where, folded


class PutUp(Enum):
    """How fruit is put up."""

    CANNER = "boiling-water canner"
    FREEZER = "freezer"
    DRYER = "dryer"
    REFRIGERATOR = "refrigerator"


class Preserve(Struct, frozen=True, kw_only=True):
    """A product. `process` names the published process and is never None for a canner.

    `takes` says how much fruit makes how much of it, `hands` how long the work is, and `liquid` what the fruit is
    packed in (`light syrup`), and `steps` are its own, beside those of its way of putting up. `private` says that its
    note is for the household alone.
    """

    key: str
    name: str
    subjects: frozenset[str]
    method: PutUp
    stage: str = ""
    process: Figure[str] | None = None
    acid: Figure[str] | None = None
    keeps: Figure[DayCount] | None = None
    takes: tuple[Figure[Takes], ...] = ()
    hands: Figure[HandsRate] | None = None
    liquid: str = ""
    cautions: tuple[Figure[str], ...] = ()
    steps: tuple[WrittenStep, ...] = ()
    text: str = ""
    private: bool = False
    where: Where

    @property
    def also(self) -> tuple[str, ...]:
        """Other names: a preserve has none."""
        return ()

    def named_in(self, note: str) -> str:
        """Return by what a note names it, its name or its key, however that is spaced and pointed; empty if by none."""
        said = folded(note)
        return max((name for name in (folded(self.name), folded(self.key)) if name in said), key=len, default="")
