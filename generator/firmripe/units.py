"""Units at the edges: read what people write, hold °C, metres, newtons and kilograms, print what they use."""

from __future__ import annotations

import re

from msgspec import Struct

from firmripe.problems import Unreadable

NEWTONS_PER_LBF = 4.448  # 1 lbf, as the trade's tables convert it
NEWTONS_PER_KGF = 9.80665  # exactly: NIST Special Publication 811 (2008), appendix B
METRES_PER_FOOT = 0.3048
KILOGRAMS_PER_POUND = 0.45359237
MILLILITRES_PER_CUP = 236.588  # a US cup, 16 of which are a gallon
KILOPASCALS_PER_PSI = 6.894757
FIRMEST_N = 200  # what no tester of fruit reaches; more is a slip of the unit


class Interval(Struct, frozen=True, kw_only=True):
    """From `low` to `high` in one unit, which the field's name gives."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """The middle of the two."""
        return (self.low + self.high) / 2


class HardinessZone(Struct, frozen=True, order=True):
    """A hardiness zone as a number of half zones: 1a is 0, 1b is 1, 6b is 11.

    A whole zone is its middle (6: 10.5).
    A zone is the mean of the coldest night of each winter over 30 years; it says nothing of summer.
    """

    half_zones: float

    @property
    def lowest_f(self) -> float:
        """Lower limit in °F (USDA map: 1a begins at -60 °F, each half zone is 5 °F)."""
        whole = self.half_zones if self.half_zones == int(self.half_zones) else self.half_zones - 0.5
        return -60 + 5 * whole

    @property
    def highest_f(self) -> float:
        """Upper limit in °F."""
        return self.lowest_f + (5 if self.half_zones == int(self.half_zones) else 10)

    def __str__(self) -> str:
        whole = int(self.half_zones // 2) + 1
        if self.half_zones != int(self.half_zones):
            return str(whole)
        return f"{whole}{'b' if int(self.half_zones) % 2 else 'a'}"


def celsius(fahrenheit: float) -> float:
    """Convert a temperature from °F to °C."""
    return (fahrenheit - 32) / 1.8


def fahrenheit(celsius: float) -> float:
    """Convert a temperature from °C to °F."""
    return celsius * 1.8 + 32


def parse_zone(text: str) -> HardinessZone:
    """Read a hardiness zone, `6b` or `6`. Raises Unreadable."""
    match = re.fullmatch(r"(?:zone\s*)?(\d{1,2})([ab])?", text.strip().casefold())
    if match is None or not 1 <= int(match[1]) <= 13:
        raise Unreadable(f'"{text}" is not a hardiness zone', "write a zone from 1a to 13b, for example 6b")
    half = {"a": 0.0, "b": 1.0, None: 0.5}[match[2]]
    return HardinessZone((int(match[1]) - 1) * 2 + half)


_MINUS = str.maketrans(dict.fromkeys("−﹣－", "-"))


def plain_minus(text: str) -> str:
    """Write every sign that people and their keyboards use for minus as the plain one.

    A dash is minus only before the first number: between two it says from one to the other.
    """
    return re.sub(r"^(\s*)[-–‐‑‒]\s*(?=[\d.])", r"\1-", text.translate(_MINUS))


_NUMBER = r"(-?\d{1,9}(?:\.\d{1,9})?)"
_RANGE = re.compile(rf"{_NUMBER}(?:\s*(?:to|–|-)\s*{_NUMBER})?\s*(.*)", re.IGNORECASE)


def _range(text: str, what: str, hint: str) -> tuple[float, float, str]:
    if not text.strip():
        raise Unreadable(f"{what} is missing", hint)
    plain = re.sub(r"(?<=\d),(?=\d{3}(?!\d))", "", plain_minus(text.strip()))
    if re.search(r"\d,\d", plain):
        raise Unreadable(f'"{text}" has a comma inside a number', "write a point for the decimals, as 65.5")
    match = _RANGE.fullmatch(plain)
    if match is None or match[3][:1].isdigit():
        raise Unreadable(f'"{text}" is not {what}', hint)
    low = float(match[1])
    high = float(match[2]) if match[2] else low
    if high < low:
        raise Unreadable(f'"{text}" runs backwards', "write the lower number first")
    return low, high, match[3].strip().casefold().lstrip("°º").strip()


def _no_unit(text: str, unit: str, of: str, hint: str) -> Unreadable:
    return Unreadable(f'"{unit}" is no unit of {of}' if unit else f'"{text}" has no unit of {of}', hint)


def _not_below_zero(text: str, low: float, hint: str) -> None:
    if low < 0:
        raise Unreadable(f'"{text}" is below zero', hint)


def parse_temperature(text: str) -> Interval:
    """Read a temperature or a range of them with its unit, `65-75 F` or `3 C`; the result is in °C.

    Raises Unreadable, also where the unit is missing and where no room or store could be so hot or cold.
    """
    hint = "write it with its unit, as 38 F, 65-75 F or 3 C"
    low, high, unit = _range(text, "a temperature", hint)
    if unit in {"f", "fahrenheit"}:
        low, high = celsius(low), celsius(high)
    elif unit not in {"c", "celsius"}:
        raise _no_unit(text, unit, "temperature", hint)
    if low < -40 or high > 60:
        raise Unreadable(f'"{text}" is no temperature for fruit; was the other unit meant?', hint)
    return Interval(low=low, high=high)


def parse_firmness(text: str) -> Interval:
    """Read a firmness, `13-15 lbf`, `58 N` or `6 kgf`; the result is in newtons.

    Raises Unreadable, also where no fruit could be so firm.
    """
    hint = "write it with its unit, as 13-15 lbf, 58 N or 6 kgf"
    low, high, unit = _range(text, "a firmness", hint)
    if unit in {"lbf", "lb", "lbs", "pounds"}:
        low, high = low * NEWTONS_PER_LBF, high * NEWTONS_PER_LBF
    elif unit in {"kgf", "kg"}:  # as testers with a metric dial are marked
        low, high = low * NEWTONS_PER_KGF, high * NEWTONS_PER_KGF
    elif unit not in {"n", "newtons"}:
        raise _no_unit(text, unit, "firmness", hint)
    _not_below_zero(text, low, hint)
    if high > FIRMEST_N:
        raise Unreadable(f'"{text}" is firmer than any fruit; was the other unit meant?', hint)
    return Interval(low=low, high=high)


def parse_height(text: str) -> float:
    """Read a height above the sea, `2,150 ft` or `655 m`; the result is in metres. Raises Unreadable.

    A point before three digits is doubtful: many write thousands so, and minutes in the canner hang on it.
    """
    hint = "write it with its unit, as 2,150 ft or 655 m"
    if doubtful := re.search(r"(?<![\d.])([1-9]\d{0,2})\.(\d{3})(?!\d)", text):
        whole, part = doubtful.groups()
        raise Unreadable(f'"{text}" can mean {whole}{part} or {whole}.{part}', "write thousands as 2150 or 2,150")
    low, high, unit = _range(text, "a height", hint)
    if low != high:
        raise Unreadable(f'"{text}" is two heights', hint)
    if unit in {"ft", "feet", "foot", "'"}:
        low *= METRES_PER_FOOT
    elif unit not in {"m", "metres", "meters", "metre", "meter"}:
        raise _no_unit(text, unit, "height", hint)
    if not -500 <= low <= 6000:
        raise Unreadable(f'"{text}" is no height where fruit grows; was the other unit meant?', hint)
    return low


def parse_latitude(text: str) -> float:
    """Read a latitude, `41.9 N`, `42 S` or `-42`; the result is in degrees, north positive.

    Raises Unreadable.
    """
    return _degrees(text, "latitude", "n", "s", 90)


def parse_longitude(text: str) -> float:
    """Read a longitude, `74.2 W` or `-74.2`; the result is in degrees, east positive. Raises Unreadable."""
    return _degrees(text, "longitude", "e", "w", 180)


def _degrees(text: str, what: str, positive: str, negative: str, most: float) -> float:
    plain = plain_minus(text.strip()).casefold()
    match = re.fullmatch(rf"{_NUMBER}\s*°?\s*([{positive}{negative}])?", plain)
    if match is None or abs(float(match[1])) > most or (match[2] and match[1].startswith("-")):
        example = f"41.9 {positive.upper()} or 42 {negative.upper()}, or -42 without a letter"
        raise Unreadable(f'"{text}" is not a {what}', f"write it in degrees, as {example}")
    return -float(match[1]) if match[2] == negative else float(match[1])


def parse_count(text: str) -> Interval:
    """Read a number or a range of numbers, `2` or `2-3`. Raises Unreadable."""
    hint = "write a number, or a range as 2-3"
    low, high, unit = _range(text, "a number", hint)
    if unit:
        raise Unreadable(f'"{text}" is not a plain number', hint)
    _not_below_zero(text, low, hint)
    return Interval(low=low, high=high)
