"""Weights and amounts: how much fruit, of which grade, exact or as a range."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from enum import Enum
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

from firmripe.problems import Unreadable, nearest, or_list


class Grade(Enum):
    """What a sorted fruit is fit for. The text is the word for it in the notes."""

    KEEPERS = "keepers"
    UNSORTED = "unsorted"
    SOON = "use soon"
    SECONDS = "seconds"
    USE_NOW = "use now"
    WINDFALLS = "windfalls"
    CULLS = "culls"


class Weight(Struct, frozen=True, kw_only=True):
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
        return self.low if self.low == self.high else (self.low + self.high) / 2

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
    if len(weights) <= 1:  # most often there is one, and fractions add slowly
        return weights[0] if weights else NOTHING
    return Weight(
        low=sum((weight.low for weight in weights), NOTHING.low),
        high=sum((weight.high for weight in weights), NOTHING.high),
    )


def together(weights: Iterable[Weight | None]) -> Weight | None:
    """Add weights up; None where one is not known."""
    told = list(weights)
    known = [weight for weight in told if weight is not None]
    return total(known) if len(known) == len(told) else None


KILOGRAM = Fraction(1)
POUND = Fraction(45359237, 100000000)
_WEIGHTS = {
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"), KILOGRAM),
    **dict.fromkeys(("g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes"), Fraction(1, 1000)),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds", "#"), POUND),
    **dict.fromkeys(("oz", "ounce", "ounces"), POUND / 16),
}
_FRUITS = (
    *("fruit", "apple", "apricot", "cherry", "feijoa", "fig", "jujube", "kiwi", "lemon", "mandarin", "nectarine"),
    *("orange", "pawpaw", "peach", "pear", "persimmon", "plum", "pomegranate", "prune", "quince", "tomato"),
)
_CONTAINERS = {
    **dict.fromkeys(("box", "boxes"), "box"),
    **dict.fromkeys(("bu", "bus", "bsh", "bushel", "bushels"), "bushel"),
    **dict.fromkeys(("lug", "lugs"), "lug"),
    **dict.fromkeys(("flat", "flats"), "flat"),
    **dict.fromkeys(("crate", "crates"), "crate"),
    **dict.fromkeys(("peck", "pecks"), "peck"),
    **dict.fromkeys(("gal", "gals", "gallon", "gallons"), "gallon"),
    **dict.fromkeys(("qt", "qts", "quart", "quarts"), "quart"),
    **dict.fromkeys(("pt", "pts", "pint", "pints"), "pint"),
    **{word: "fruit" for one in _FRUITS for word in (one, f"{one}s", f"{one}es", f"{one.removesuffix('y')}ies")},
}
_GRADES = {
    "keepers": Grade.KEEPERS,
    "keeper": Grade.KEEPERS,
    "unsorted": Grade.UNSORTED,
    "use soon": Grade.SOON,
    "soon": Grade.SOON,
    "use now": Grade.USE_NOW,
    "now": Grade.USE_NOW,
    "seconds": Grade.SECONDS,
    "culls": Grade.CULLS,
    "windfalls": Grade.WINDFALLS,
}
_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_COUNTED = {
    **{word: Fraction(n) for n, word in enumerate(_NUMBERS, 1)},
    **dict.fromkeys(("a", "an"), Fraction(1)),
    **dict.fromkeys(("half", "half a", "half an"), Fraction(1, 2)),
}
_ONE_NUMBER = r"(?:\d{1,6}(?:\.\d{1,6})?(?: \d/\d)?|\d{1,2}/\d{1,2})"
_WORDED = "|".join(sorted(_COUNTED, key=len, reverse=True))
_PART = re.compile(
    rf"(?:(?:about|ca\.?|~)\s*)?(?:(?P<low>-?{_ONE_NUMBER})(?:\s*(?:-|–|to)\s*(?P<high>{_ONE_NUMBER}))?|(?P<word>{_WORDED})\b)"
    r"\s*(?P<dozen>dozen\b)?\s*(?P<measure>[^\W\d_]+|#)?\.?(?:\s+(?P<grade>.*))?"
)
_DECIMAL_COMMA = r"(?<=\d),(?!\d{3}(?!\d))(?=\d)"
_HALVES = str.maketrans({"½": "1/2", "¼": "1/4", "¾": "3/4"})
_AMOUNT_HINT = "write it as 44 lb, 20 kg, 2 boxes, 3-4 bu or 110 fruits"


class Part(Struct, frozen=True, kw_only=True):
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


class NoNumber(Unreadable):
    """Words that name no number, such as `a heap`: nothing that could have been weighed."""


@lru_cache(maxsize=4096)
def read_amount(text: str) -> tuple[Part, ...]:
    """Read an amount of fruit as `parse_amount` does. Empty where it is something else."""
    try:
        return parse_amount(text)
    except Unreadable:
        return ()


@lru_cache(maxsize=4096)  # a household writes few amounts, each of them in many lines
def parse_amount(text: str) -> tuple[Part, ...]:
    """Read an amount of fruit, as `44 lb`, `2 boxes`, `a dozen` or `30 lb keepers + 6 lb use now`.

    A unit counts as written, whichever the household shows first; without one there is no amount. Raises Unreadable
    with what to write, and NoNumber where it is words without any number.
    """
    plain = " ".join(text.casefold().replace("−", "-").split())
    plain = re.sub(r"(?<=\d)(?=[½¼¾])", " ", plain).translate(_HALVES)
    if not re.search(rf"\d|^(?:about )?(?:{_WORDED})\b", plain):
        raise NoNumber(f'"{text}" is no amount of fruit', _AMOUNT_HINT)
    if re.search(_DECIMAL_COMMA, plain):
        hint = f"write a point for the decimals, as {re.sub(_DECIMAL_COMMA, '.', plain)}"
        raise Unreadable(f'"{text}" has a comma inside a number', hint)
    pieces = re.split(r"\s*(?:\+|,(?!\d{3})|;|&|\band\b)\s*", plain)
    return tuple(_part(re.sub(r"(?<=\d),(?=\d{3}\b)", "", piece), text) for piece in pieces)


def _part(piece: str, text: str) -> Part:
    match = _PART.fullmatch(piece)
    if match is None:
        raise Unreadable(f'"{text}" is no amount of fruit', _AMOUNT_HINT)
    low, high = _ends(match, text)
    measure, grade = match["measure"] or "", (match["grade"] or "").strip()
    if match["dozen"]:
        low, high, measure = low * 12, high * 12, measure if measure in _CONTAINERS else "fruit"
    if not measure:
        hint = f"write {match[0]} lb, {match[0]} kg or {match[0]} fruits"
        raise Unreadable(f'"{text}" has no unit of weight', hint)
    if grade and grade not in _GRADES:
        near = nearest(grade, _GRADES)
        hint = (
            f'did you mean "{near}"?' if near else f"grades are {or_list([g.value for g in Grade])}; the rest is a note"
        )
        raise Unreadable(f'"{grade}" is no grade', hint)
    of = _GRADES.get(grade)
    if measure in _WEIGHTS:
        return Part(low=low * _WEIGHTS[measure], high=high * _WEIGHTS[measure], grade=of)
    if measure not in _CONTAINERS:
        near = nearest(measure, (*_WEIGHTS, *_CONTAINERS))
        if match["word"] and not near:
            raise NoNumber(f'"{text}" is no amount of fruit', _AMOUNT_HINT)
        raise Unreadable(f'"{measure}" is no measure of fruit', f'did you mean "{near}"?' if near else _AMOUNT_HINT)
    return Part(low=low, high=high, measure=_CONTAINERS[measure], grade=of)


def _ends(match: re.Match[str], text: str) -> tuple[Fraction, Fraction]:
    if match["word"]:
        return _COUNTED[match["word"]], _COUNTED[match["word"]]
    if match["low"].startswith("-"):
        raise Unreadable(f'"{text}" is below zero', _AMOUNT_HINT)
    try:
        low, high = (sum(map(Fraction, number.split())) for number in (match["low"], match["high"] or match["low"]))
    except ZeroDivisionError as error:
        raise Unreadable(f'"{text}" is no amount of fruit', _AMOUNT_HINT) from error
    if high < low:
        raise Unreadable(f'"{text}" runs backwards', "write the lower number first")
    return Fraction(low), Fraction(high)


def parse_yield(text: str) -> Part:
    """Read what a tree gives, as `3-4 bu`, `40 lb` or `110 fruits`. Raises Unreadable."""
    parts = parse_amount(text)
    if len(parts) != 1 or parts[0].grade:
        raise Unreadable(f'"{text}" is no single amount of fruit', _AMOUNT_HINT)
    return parts[0]


def parse_fruit_weight(text: str) -> Weight:
    """Read the weight of one fruit, or of a full box, as `6-7 oz`, `180 g` or `22 lb`. Raises Unreadable."""
    parts = parse_amount(text)
    if len(parts) != 1 or parts[0].measure or parts[0].grade or not parts[0].low:
        raise Unreadable(f'"{text}" is not a weight', "write it with its unit, as 6-7 oz, 180 g or 22 lb")
    return Weight(low=parts[0].low, high=parts[0].high)


class Container(Struct, frozen=True, kw_only=True):
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
