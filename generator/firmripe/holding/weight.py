"""Weights and amounts: how much fruit, of which grade, exact or as a range."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from firmripe.problems import Unreadable
from firmripe.saying import _


class Grade(Enum):
    """What a sorted fruit is fit for. The text is the word for it in the notes."""

    KEEPERS = "keepers"
    UNSORTED = "unsorted"
    SOON = "use soon"
    SECONDS = "seconds"
    USE_NOW = "use now"
    WINDFALLS = "windfalls"
    CULLS = "culls"


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """From `low` to `high` kilograms, as exact fractions, so that parts add up to the whole again.

    Raises ValueError where it is below zero or runs backwards.
    """

    low: Fraction
    high: Fraction

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.high:
            raise ValueError(f"no weight runs from {self.low} to {self.high} kg")

    @classmethod
    def of(cls, kg: Fraction | int) -> Weight:
        """Return a weight that is known."""
        return cls(low=Fraction(kg), high=Fraction(kg))

    @property
    def middle(self) -> Fraction:
        """The middle of the range."""
        return (self.low + self.high) / 2

    def __add__(self, other: Weight) -> Weight:
        return Weight(low=self.low + other.low, high=self.high + other.high)

    def less(self, other: Weight) -> Weight:
        """Return what is left when another weight is gone; nothing where that was more."""
        nothing = Fraction(0)
        return Weight(low=max(nothing, self.low - other.high), high=max(nothing, self.high - other.low))

    def times(self, share: Fraction) -> Weight:
        """Return a share of it, or a multiple."""
        return Weight(low=self.low * share, high=self.high * share)


NOTHING = Weight.of(0)


def total(weights: list[Weight]) -> Weight:
    """Add weights up."""
    whole = NOTHING
    for weight in weights:
        whole = whole + weight
    return whole


KILOGRAM = Fraction(1)
POUND = Fraction(45359237, 100000000)
_WEIGHTS = {
    **dict.fromkeys(("kg", "kilo", "kilos"), KILOGRAM),
    **dict.fromkeys(("g", "gram", "grams"), Fraction(1, 1000)),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), POUND),
    **dict.fromkeys(("oz", "ounce", "ounces"), POUND / 16),
}
_CONTAINERS = {
    **dict.fromkeys(("box", "boxes"), "box"),
    **dict.fromkeys(("bu", "bushel", "bushels"), "bushel"),
    **dict.fromkeys(("lug", "lugs"), "lug"),
    **dict.fromkeys(("flat", "flats"), "flat"),
    **dict.fromkeys(("crate", "crates"), "crate"),
    **dict.fromkeys(("peck", "pecks"), "peck"),
    **dict.fromkeys(("gal", "gallon", "gallons"), "gallon"),
    **dict.fromkeys(("qt", "quart", "quarts"), "quart"),
    **dict.fromkeys(("pt", "pint", "pints"), "pint"),
    **dict.fromkeys(("fruit", "fruits", "pears", "apples"), "fruit"),
}
_GRADES = {
    "keepers": Grade.KEEPERS,
    "keeper": Grade.KEEPERS,
    "use soon": Grade.SOON,
    "soon": Grade.SOON,
    "use now": Grade.USE_NOW,
    "now": Grade.USE_NOW,
    "seconds": Grade.SECONDS,
    "culls": Grade.CULLS,
    "windfalls": Grade.WINDFALLS,
}
_NUMBER = r"(\d{1,6}(?:\.\d{1,6})?|half an?|an?|one)"
_PART = re.compile(rf"(?:about\s+)?{_NUMBER}(?:\s*(?:-|–|to)\s*(\d{{1,6}}(?:\.\d{{1,6}})?))?\s*([a-z]+)(?:\s+(.*))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """From `low` to `high` of a measure: kilograms (`""`) or a container (`box`, `bushel`, `fruit` …)."""

    low: Fraction
    high: Fraction
    measure: str = ""
    grade: Grade | None = None

    def weight(self, containers: Mapping[str, Weight]) -> Weight | None:
        """Return its weight, given what each container weighs; None where its container has no known weight."""
        if not self.measure:
            return Weight(low=self.low, high=self.high)
        each = containers.get(self.measure)
        return Weight(low=self.low * each.low, high=self.high * each.high) if each else None


def read_amount(text: str) -> tuple[Part, ...]:
    """Read an amount of fruit, as `44 lb`, `2 boxes` or `30 lb keepers + 6 lb use now`.

    Empty where any of it is something else: people may write in that column what they like.
    """
    found = []
    for piece in re.split(r"\s*(?:\+|,(?!\d{3})|;)\s*", text.strip().casefold()):
        part = _part(re.sub(r"(?<=\d),(?=\d{3}\b)", "", piece))
        if part is None:
            return ()
        found.append(part)
    return tuple(found)


def _part(piece: str) -> Part | None:
    match = _PART.fullmatch(piece)
    if match is None:
        return None
    low, high = _number(match[1]), _number(match[2] or match[1])
    measure, grade = match[3], (match[4] or "").strip()
    if high < low or (grade and grade not in _GRADES):
        return None
    of = _GRADES.get(grade)
    if measure in _WEIGHTS:
        return Part(low=low * _WEIGHTS[measure], high=high * _WEIGHTS[measure], grade=of)
    if measure in _CONTAINERS:
        return Part(low=low, high=high, measure=_CONTAINERS[measure], grade=of)
    return None


def _number(text: str) -> Fraction:
    words = {"a": 1, "an": 1, "one": 1}
    if text in words:
        return Fraction(words[text])
    return Fraction(1, 2) if text.startswith("half") else Fraction(text)


def parse_yield(text: str) -> Part:
    """Read what a tree gives, as `3-4 bu`, `40 lb` or `110 fruits`. Raises Unreadable."""
    parts = read_amount(text)
    if len(parts) != 1 or parts[0].grade:
        raise Unreadable(f'"{text}" is no amount of fruit', "write it as 40 lb, 18-25 kg, 3-4 bu or 110 fruits")
    return parts[0]


def parse_fruit_weight(text: str) -> Weight:
    """Read the weight of one fruit, or of a full box, as `6-7 oz`, `180 g` or `22 lb`. Raises Unreadable."""
    parts = read_amount(text)
    if len(parts) != 1 or parts[0].measure or parts[0].grade or not parts[0].low:
        raise Unreadable(f'"{text}" is not a weight', "write it with its unit, as 6-7 oz, 180 g or 22 lb")
    return Weight(low=parts[0].low, high=parts[0].high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Container:
    """A container by its name, and what it weighs full."""

    name: str
    weight: Weight


def parse_container(text: str) -> Container:
    """Read what a container weighs full, as `48-50 lb a bushel`. Raises Unreadable."""
    match = re.fullmatch(r"(.+?)\s+(?:an?|per)\s+([a-z]+)", text.strip().casefold())
    name = _CONTAINERS.get(match[2]) if match else None
    if match is None or name is None:
        raise Unreadable(f'"{text}" does not say what a container weighs', "write it as 48-50 lb a bushel")
    return Container(name=name, weight=parse_fruit_weight(match[1]))


def pounds_words(weight: Weight, *, metric: bool) -> str:
    """Say a weight in whole pounds or kilograms, as `44 lb` or `150–200 lb`; less than one as `under 1 lb`."""
    unit, size = ("kg", KILOGRAM) if metric else ("lb", POUND)
    low, high = round(weight.low / size), round(weight.high / size)
    if high == 0 and weight.high > 0:
        return _("under 1 {unit}", unit=unit)
    return f"{low:,} {unit}" if low == high else f"{low:,}–{high:,} {unit}"
