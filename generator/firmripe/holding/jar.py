"""Jars: the sizes that processes are printed for, other sizes beside them, and what fills them."""

from __future__ import annotations

import re
from enum import Enum
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from firmripe.holding.weight import POUND, Weight, read_amount
from firmripe.problems import Unreadable

MOUTHS = ("wide", "regular")
"""The widths of jars' mouths, each with lids of its own: about 3 in and 2 3/8 in (AIB 539, Guide 1, R)."""
_SAME_ML = 0.5
"""Jars whose volumes lie nearer than this (ml) are the same, one written in ounces and one in millilitres."""


class JarSize(Enum):
    """The sizes that processes are printed for, smallest first; the text is the word for it everywhere."""

    HALF_PINT = "half pint"
    PINT = "pint"
    PINT_AND_HALF = "pint and a half"
    QUART = "quart"
    HALF_GALLON = "half gallon"

    @property
    def millilitres(self) -> float:
        """What it holds: a US liquid quart is 946.353 ml (231 cubic inches to the gallon, exactly)."""
        return _QUARTS[self] * 946.353


_QUARTS = {
    JarSize.HALF_PINT: 0.25,
    JarSize.PINT: 0.5,
    JarSize.PINT_AND_HALF: 0.75,
    JarSize.QUART: 1.0,
    JarSize.HALF_GALLON: 2.0,
}


class Jar(Struct, frozen=True, kw_only=True):
    """A jar as the household calls it, and what it holds (ml). `mouth` is its width, empty where it is not told."""

    name: str
    millilitres: float
    mouth: str = ""

    @classmethod
    def of(cls, size: JarSize) -> Jar:
        """Return the jar of a printed size."""
        return cls(name=size.value, millilitres=size.millilitres)

    @property
    def of_any_mouth(self) -> Jar:
        """The same jar without its width being told."""
        return Jar(name=self.name.removeprefix(f"{self.mouth}-mouth "), millilitres=self.millilitres)

    def may_be(self, other: Jar) -> bool:
        """Say whether it may be another: of the same size, and of no other mouth where both are told."""
        is_alike = abs(self.millilitres - other.millilitres) < _SAME_ML
        return is_alike and (self.mouth == other.mouth or not (self.mouth and other.mouth))

    @property
    def size(self) -> JarSize | None:
        """The printed size that counts for it: its own, else the next larger; None for one larger than all."""
        return next((size for size in JarSize if size.millilitres >= self.millilitres - _SAME_ML), None)


_SIZES = {
    **dict.fromkeys(("half pint", "half pints", "half pt"), JarSize.HALF_PINT),
    **dict.fromkeys(("pint", "pints", "pt"), JarSize.PINT),
    **dict.fromkeys(
        ("pint and a half", "pints and a half", "pint and a halfs", "1.5 pint", "1.5 pints"), JarSize.PINT_AND_HALF
    ),
    **dict.fromkeys(("quart", "quarts", "qt"), JarSize.QUART),
    **dict.fromkeys(("half gallon", "half gallons", "half gal"), JarSize.HALF_GALLON),
}
_MOUTH = re.compile(rf"({'|'.join(MOUTHS)})(?: mouth(?:ed)?)? (.+)")
_METRIC = re.compile(r"(\d{1,4}(?:\.\d{1,3})?)\s*(ml|l)")
_JAR_HINT = "write quart, pint, half pint, or what it holds, as 500 ml"


def _unjoined(text: str) -> str:
    """Return a text with `wide-mouth` in two words; a hyphen before a number stays a minus."""
    return re.sub(r"(?<=\w)-(?=[a-z])", " ", text.casefold())


def parse_jar(text: str) -> Jar:
    """Read a jar, as `quart`, `wide-mouth pint` or `500 ml`. Raises Unreadable."""
    plain = " ".join(_unjoined(text).replace("litre", "l").replace("liter", "l").split())
    plain = re.sub(r"^(?:jars? of )", "", plain)
    mouth = _MOUTH.fullmatch(plain)
    if mouth is not None:
        jar = parse_jar(mouth[2])
        if jar.mouth:
            raise Unreadable(f'"{text}" names two mouths', _JAR_HINT)
        return replace(jar, name=f"{mouth[1]}-mouth {jar.name}", mouth=mouth[1])
    size = _SIZES.get(plain)
    if size is not None:
        return Jar.of(size)
    match = _METRIC.fullmatch(plain.removesuffix("s"))
    held = float(match[1]) * (1000 if match[2] == "l" else 1) if match else 0.0
    if match is None or not 50 <= held <= 10_000:
        raise Unreadable(f'"{text}" is no jar known here', _JAR_HINT)
    return Jar(name=f"{match[1]} {match[2]}", millilitres=held)


class Jars(Struct, frozen=True, kw_only=True):
    """So many jars of one size."""

    count: int
    jar: Jar


def parse_jars(text: str) -> Jars:
    """Read jars and how many, as `28 quarts`, `9 half pints` or `30 jars of 500 ml`. Raises Unreadable."""
    plain = " ".join(_unjoined(text).split())
    match = re.fullmatch(r"(\d{1,5})\s*(?:jars?\s+of|x|×|of)?\s*(\S.*)", plain)
    hint = "write how many of which jar, as 28 quarts or 30 jars of 500 ml"
    if match is None:
        raise Unreadable(f'"{text}" does not say how many of which jar', hint)
    try:
        return Jars(count=int(match[1]), jar=parse_jar(match[2]))
    except Unreadable as error:
        raise Unreadable(f'"{text}" does not say how many of which jar', hint) from error


MOST_JARS = 500
"""More jars in one line of the records, or in one load, is a slip of the pen (our judgement)."""


def parse_left(text: str) -> Jars:
    """Read how many jars are left of what was made, as `4 quarts`; none is `0 quarts`. Raises Unreadable."""
    left = parse_jars(text)
    if left.count > MOST_JARS:
        raise Unreadable(f'"{text}" can\'t be: one line tells of up to {MOST_JARS} jars', "write it as 4 quarts")
    return left


_FRUIT = re.compile(r"(.+?)\s+from\s+(\S.*?)(\s+(?:by|in)\s.*)?")
_WORK = re.compile(r"(.+?)(?:\s+by\s+(\d{1,2}))?\s+in\s+(\d{1,3}(?:\.\d{1,2})?)\s*(hours?|h|minutes?|min)")


class Made(Struct, frozen=True, kw_only=True):
    """Jars that were made; `hand_minutes` the minutes of all hands together, 0 where they are not told.

    `fruit` is the weight that went into them as it came from the store, None where it is not told.
    """

    jars: Jars
    hand_minutes: float = 0.0
    fruit: Weight | None = None


def parse_made(text: str) -> Made:
    """Read what was put up, as `14 quarts from 35 lb` or `9 pints by 2 in 1.5 hours`. Raises Unreadable."""
    plain = " ".join(text.casefold().split())
    if (told := _FRUIT.fullmatch(plain)) is not None:
        parts = read_amount(told[2])
        if len(parts) != 1 or parts[0].measure or parts[0].grade or not parts[0].low:
            raise Unreadable(f'"{told[2]}" is no weight of fruit', "write it as 14 quarts from 35 lb")
        return replace(parse_made(told[1] + (told[3] or "")), fruit=Weight(low=parts[0].low, high=parts[0].high))
    match = _WORK.fullmatch(plain)
    jars = parse_jars(match[1] if match else plain)
    if not 0 < jars.count <= MOST_JARS:
        raise Unreadable(f'"{text}" can\'t be: one line tells of 1 to {MOST_JARS} jars', "write it as 14 quarts")
    if match is None:
        return Made(jars=jars)
    minutes, hands = float(match[3]) * (60 if match[4].startswith("h") else 1), int(match[2] or 1)
    if not (0 < minutes <= 24 * 60 and 0 < hands <= 30):
        said = "up to 30 people work for up to 24 hours"
        raise Unreadable(f'"{text}" can\'t be: {said}', "write it as 9 pints by 2 in 1.5 hours")
    return Made(jars=jars, hand_minutes=minutes * hands)


class Lids(Struct, frozen=True, kw_only=True):
    """So many lids for mouths of one width, which is empty where it is not told."""

    count: int
    mouth: str = ""


def parse_lids(text: str) -> Lids:
    """Read lids and how many, as `60` or `40 wide mouth`. Raises Unreadable."""
    plain = " ".join(_unjoined(text).split())
    match = re.fullmatch(rf"(\d{{1,5}})(?: ({'|'.join(MOUTHS)})(?: mouth(?:ed)?)?)?(?: lids?)?", plain)
    if match is None:
        raise Unreadable(f'"{text}" does not say how many lids', "write 60, or [40 wide mouth, 20 regular]")
    return Lids(count=int(match[1]), mouth=match[2] or "")


class Takes(Struct, frozen=True, kw_only=True):
    """So much fruit (as a weight) makes from `low` to `high` jars of a kind, or pounds of dried fruit without `jar`."""

    fruit: Weight
    low: Fraction
    high: Fraction
    jar: Jar | None

    @property
    def middle(self) -> Fraction:
        """The middle of what it makes."""
        return (self.low + self.high) / 2

    @property
    def is_range(self) -> bool:
        """Whether what it makes is told as a range."""
        return self.low != self.high


_MADE = re.compile(r"(\d{1,4}(?:\.\d{1,3})?)(?:\s*(?:-|–|to)\s*(\d{1,4}(?:\.\d{1,3})?))?\s*(.+)")


@lru_cache(maxsize=1024)
def parse_takes(text: str) -> Takes:
    """Read what fruit makes, as `17.5 lb for 7 quarts`, `50 lb for 16-25 quarts` or `8 lb for 1 lb`.

    Raises Unreadable.
    """
    hint = "write the fruit and what it makes, as 17.5 lb for 7 quarts, or 8 lb for 1 lb where it is dried"
    fault = Unreadable(f'"{text}" does not say how much fruit makes how much', hint)
    parts = re.split(r"\s+for\s+", text.strip().casefold())
    fruit = read_amount(parts[0])
    made = _MADE.fullmatch(parts[-1])
    if len(parts) != 2 or made is None or len(fruit) != 1 or fruit[0].measure or fruit[0].grade or not fruit[0].low:
        raise fault
    low, high = Fraction(made[1]), Fraction(made[2] or made[1])
    if not 0 < low <= high:
        raise fault
    weight = Weight(low=fruit[0].low, high=fruit[0].high)
    dried = read_amount(f"1 {made[3]}")
    if len(dried) == 1 and not dried[0].measure:
        pounds = dried[0].low / POUND
        return Takes(fruit=weight, low=low * pounds, high=high * pounds, jar=None)
    try:
        return Takes(fruit=weight, low=low, high=high, jar=parse_jar(made[3]))
    except Unreadable as error:
        raise fault from error


class HandsRate(Struct, frozen=True, kw_only=True):
    """Work of one pair of hands: from `low` to `high` minutes for one jar, or one pound dried without `jar`."""

    low: float
    high: float
    jar: Jar | None

    @property
    def middle(self) -> float:
        """The middle of the range (minutes)."""
        return (self.low + self.high) / 2


def parse_hands_rate(text: str) -> HandsRate:
    """Read a rate of work, as `20 minutes a quart` or `12-20 minutes a pint`. Raises Unreadable."""
    match = re.fullmatch(
        r"(\d{1,3})(?:\s*(?:-|–|to)\s*(\d{1,3}))?\s*(?:minutes?|min)\s+(?:an?|per)\s+(.+)", text.strip().casefold()
    )
    hint = "write the minutes of one pair of hands, as 20 minutes a quart"
    if match is None or int(match[2] or match[1]) < int(match[1]) or not int(match[1]):
        raise Unreadable(f'"{text}" is no rate of work', hint)
    jar = None if match[3] in {"lb", "pound"} else parse_jar(match[3])
    return HandsRate(low=float(match[1]), high=float(match[2] or match[1]), jar=jar)
