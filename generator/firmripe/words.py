"""How days, spans, shifts and numbers of things are said, on pages, in feeds and on the command line."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from functools import lru_cache
from typing import Final

from firmripe.days import Rhythm, Span
from firmripe.problems import folded
from firmripe.tongue import ENGLISH, THOUSANDS, Tongue, mark
from firmripe.units import (
    KILOGRAMS_PER_POUND,
    KILOPASCALS_PER_PSI,
    METRES_PER_FOOT,
    MILLILITRES_PER_CUP,
    NEWTONS_PER_LBF,
    celsius,
    fahrenheit,
)


def begun(text: str) -> str:
    """Return words as they begin a sentence."""
    return text[:1].upper() + text[1:]


def within(tongue: Tongue, text: str) -> str:
    """Return what begins a sentence as it stands inside another; as it is where nouns begin with capitals."""
    return text if tongue.has_capital_nouns else text[:1].lower() + text[1:]


def short_day(tongue: Tongue, day: date) -> str:
    """Say a day as `28 Aug`."""
    return _of_the_month(tongue, day.day, tongue.short_months[day.month - 1])


def _of_the_month(tongue: Tongue, day: int | str, month: str) -> str:
    if tongue.month_first:
        return tongue.say("{month} {day}", month=month, day=day)
    return tongue.say("{day} {month}", day=day, month=month)


def week_day(tongue: Tongue, day: date) -> str:
    """Say a day as `Sat 28 Aug`."""
    return f"{tongue.short_days[day.weekday()]} {short_day(tongue, day)}"


def with_year(tongue: Tongue, said: str, year: int) -> str:
    """Say a short day with its year, as `28 Aug 2027`."""
    return tongue.say("{day}, {year}", day=said, year=year) if tongue.month_first else f"{said} {year}"


def far_day(tongue: Tongue, day: date, as_of: date) -> str:
    """Say a day, with its year where that is another than the plan's."""
    return week_day(tongue, day) if day.year == as_of.year else with_year(tongue, week_day(tongue, day), day.year)


def long_day(tongue: Tongue, day: date) -> str:
    """Say a day as `Saturday 28 August 2027`."""
    said = heading_day(tongue, day)
    if tongue.month_first:
        return tongue.say("{day}, {year}", day=said, year=day.year)
    return tongue.say("{weekday} {day} {month} {year}", **_named(tongue, day), year=day.year)


def heading_day(tongue: Tongue, day: date) -> str:
    """Say a day as `Saturday 28 August`."""
    if tongue.month_first:
        return tongue.say("{weekday}, {month} {day}", **_named(tongue, day))
    return tongue.say("{weekday} {day} {month}", **_named(tongue, day))


def _named(tongue: Tongue, day: date) -> dict[str, object]:
    return {"weekday": tongue.days[day.weekday()], "day": day.day, "month": tongue.months[day.month - 1]}


def month_name(tongue: Tongue, year: int, month: int) -> str:
    """Say a month as `August 2027`."""
    return tongue.say("{month} {year}", month=tongue.months[month - 1], year=year)


def short_month(tongue: Tongue, month: int) -> str:
    """Say a month as `Aug`."""
    return tongue.short_months[month - 1]


def span_words(tongue: Tongue, span: Span) -> str:
    """Say a span as `Sat 28 Aug`, `28 Aug to 3 Sep`, with the year where it changes."""
    first, last = short_day(tongue, span.first), short_day(tongue, span.last)
    if span.first == span.last:
        return week_day(tongue, span.first)
    if span.first.year != span.last.year:
        first, last = with_year(tongue, first, span.first.year), with_year(tongue, last, span.last.year)
    return tongue.say("{first} to {last}", first=first, last=last)


def gap_words(tongue: Tongue, gap: Span) -> str:
    """Say a gap as `no weather from 3 Mar to 9 Mar 2026`."""
    first, last = short_day(tongue, gap.first), with_year(tongue, short_day(tongue, gap.last), gap.last.year)
    if gap.first.year != gap.last.year:
        first = with_year(tongue, first, gap.first.year)
    return tongue.say("no weather from {first} to {last}", first=first, last=last)


def between(tongue: Tongue, earliest: date, latest: date) -> str:
    """Say how early or late a day may come, as `between 26 Aug and 3 Sep`; empty where it is certain."""
    if earliest == latest:
        return ""
    return tongue.say(
        "between {earliest} and {latest}", earliest=short_day(tongue, earliest), latest=short_day(tongue, latest)
    )


def shift_words(tongue: Tongue, days: float) -> str:
    """Say a shift as `3.8 days earlier`, `1.0 day later` or `no change`."""
    size = round(abs(days), 1)
    if size == 0:
        return tongue.say("no change")
    if days < 0:
        return tongue.plural("{n:.1f} day earlier", "{n:.1f} days earlier", size)
    return tongue.plural("{n:.1f} day later", "{n:.1f} days later", size)


def whole_shift_words(tongue: Tongue, days: float) -> str:
    """Say a shift in whole days, as `4 days earlier`, `1 day later` or `no change`."""
    size = round(abs(days))
    if size == 0:
        return tongue.say("no change")
    if days < 0:
        return tongue.plural("{n} day earlier", "{n} days earlier", size)
    return tongue.plural("{n} day later", "{n} days later", size)


def days_words(tongue: Tongue, number: int) -> str:
    """Say a number of days, as `1 day` or `12 days`."""
    return tongue.plural("{n} day", "{n} days", number)


def on_tree(name: str, tag: str) -> str:
    """Name a cultivar and the tree it stands on, as `Anjou (1-06)`; once alone where the tree is called like it.

    Without a tag it is that of all trees.
    """
    return name if folded(name) == folded(tag) or not tag else f"{name} ({tag})"


def of_crop(tongue: Tongue, crop: str) -> str:
    """Say which of several crops a year is meant, as `, main crop`; nothing where there is one."""
    return tongue.say(", {crop} crop", crop=tongue.term(crop)) if crop else ""


_ROUNDS = (
    mark("first time round"),
    mark("second time round"),
    mark("third time round"),
    mark("fourth time round"),
    mark("fifth time round"),
)


def round_words(tongue: Tongue, picking: int) -> str:
    """Say which picking of a crop it is, as `first time round`."""
    return (
        tongue.term(_ROUNDS[picking - 1])
        if picking <= len(_ROUNDS)
        else tongue.say("picking {picking}", picking=picking)
    )


def rhythm_words(tongue: Tongue, rhythm: Rhythm) -> str:
    """Say a rhythm as `every 2 days`."""
    count = rhythm.count
    if rhythm.unit == "day":
        return tongue.plural("every day", "every {n} days", count)
    if rhythm.unit == "week":
        return tongue.plural("every week", "every {n} weeks", count)
    return tongue.plural("every month", "every {n} months", count)


def when_words(tongue: Tongue, text: str) -> str:
    """Say a day that hangs on another, as `2 weeks before pick`, or a distance, as `20 days after`."""
    found = re.fullmatch(r"(.+?) (before|after)(?: (.+))?", text)
    if not found:
        return tongue.term(text)
    much, of = amount(tongue, found[1]), tongue.term(found[3]) if found[3] else ""
    if found[2] == "before":
        return tongue.say("{amount} before {what}", amount=much, what=of).rstrip()
    return tongue.say("{amount} after {what}", amount=much, what=of).rstrip()


_MONTH_NAMES = "January|February|March|April|May|June|July|August|September|October|November|December"
_MONTHS = {name[:3]: at for at, name in enumerate(_MONTH_NAMES.split("|"))}
_STRETCH = re.compile(rf"\b(?:(early|mid|late)[- ])?({_MONTH_NAMES}|{'|'.join(_MONTHS)})(?: (\d{{1,2}}))?\b")


def stretch_words(tongue: Tongue, text: str) -> str:
    """Say a printed date or stretch, as `Aug 16 - Sep 5` or `late July`; in English it stays as written."""
    if tongue.code == ENGLISH:
        return text
    return _STRETCH.sub(lambda found: _printed(tongue, *found.groups()), text)


def _printed(tongue: Tongue, part: str | None, month: str, day: str | None) -> str:
    at = _MONTHS[month[:3]]
    if day:
        return _of_the_month(tongue, day, tongue.short_months[at])
    name = tongue.months[at]
    if part == "early":
        return tongue.say("early {month}", month=name)
    if part == "mid":
        return tongue.say("mid-{month}", month=name)
    return tongue.say("late {month}", month=name) if part else name


def about_day(tongue: Tongue, said: str, *, is_about: bool) -> str:
    """Say that a day is not known exactly, as `about 3 Apr`."""
    return tongue.say("about {day}", day=said) if is_about else said


def is_foreign(tongue: Tongue, text: str, /) -> bool:
    """Say whether a text of the shelf stays in English on a page in another language."""
    is_translated = _AMOUNT.fullmatch(text) is not None or tongue.term(text) != text
    return tongue.code != ENGLISH and re.search("[^\\W\\d_]{2}", text) is not None and not is_translated


_UNITS: Final = {
    "day": mark("{amount} day"),
    "days": mark("{amount} days"),
    "week": mark("{amount} week"),
    "weeks": mark("{amount} weeks"),
    "month": mark("{amount} month"),
    "months": mark("{amount} months"),
    "hour": mark("{amount} hour"),
    "hours": mark("{amount} hours"),
    "year": mark("{amount} year"),
    "years": mark("{amount} years"),
    "qt": mark("{amount} qt"),
    "bu": mark("{amount} bu"),
    "lbf": mark("{amount} lbf"),
    "lb": mark("{amount} lb"),
    "oz": mark("{amount} oz"),
    "F": mark("{amount} F"),
    "C": mark("{amount} C"),
}
_METRIC: Final[Mapping[str, tuple[str, int, Callable[[float], float]]]] = {
    "F": ("°C", 0, celsius),
    "lbf": ("N", 0, lambda force: force * NEWTONS_PER_LBF),
    "lb": ("kg", 1, lambda weight: weight * KILOGRAMS_PER_POUND),
    "oz": ("g", 0, lambda weight: weight * 1000 * KILOGRAMS_PER_POUND / 16),
}
"""The metric unit, its decimals, and how a number is turned into it."""
_ONE_AMOUNT: Final = r"-?\d[\d,]*(?:\.\d+)?"
_AMOUNT: Final = re.compile(rf"({_ONE_AMOUNT}(?:\s?[-–]\s?{_ONE_AMOUNT})?) ({'|'.join(_UNITS)})")


def amount(tongue: Tongue, text: str, /) -> str:
    """Say a figure of the shelf: a number with its unit by the unit's message, anything else as a term.

    Where metric units come first, they stand before what is written. A range is set as one, as `4–6 weeks`.
    """
    found = _AMOUNT.fullmatch(text)
    if not found:
        return with_ranges(in_own_units(tongue, tongue.term(text)))
    written = tongue.term(_UNITS[found[2]]).format(amount=re.sub(r"(?<=\d)\s?-\s?", "–", found[1]))
    turned = _METRIC.get(found[2]) if tongue.metric else None
    if turned is None:
        return written
    unit, places, turn = turned
    numbers = [f"{turn(float(n)):.{places}f}" for n in re.split(r"(?<=\d)\s?[-–]\s?", found[1].replace(",", ""))]
    return f"{'–'.join(dict.fromkeys(numbers))} {unit} ({written})"


_INCHES = mark("inches|inch")
_FEET = mark("feet|foot|ft")
_POUNDS = mark("pounds|pound")
_OUNCES = mark("ounces|ounce")
_CUPS = mark("cups|cup")
_GALLONS = mark("gallons|gallon")
_ONE = mark("an|a")
_HALF = mark("half an|half a")
_BETWEEN = mark("to|by|and|or")
_LESS = mark("less for each")
_GIVE_OR_TAKE = mark("give or take")
_SUMS_OF_WARMTH = mark("degree-days|degree-day")
"""How sentences say these, each form of a language parted by a bar."""
_Turn = tuple[str, int, Callable[[float], float]]
"""A metric unit, the decimals of numbers below ten, and how a number is turned into it."""
_OF_INCHES: Final[_Turn] = ("cm", 1, lambda inches: inches * 2.54)
_OF_POUNDS: Final[_Turn] = ("kg", 1, lambda pounds: pounds * KILOGRAMS_PER_POUND)
_SAID: Final[Mapping[str, _Turn]] = {
    _INCHES: _OF_INCHES,
    _FEET: ("m", 1, lambda feet: feet * METRES_PER_FOOT),
    _POUNDS: _OF_POUNDS,
    _OUNCES: ("g", 0, lambda ounces: ounces * 1000 * KILOGRAMS_PER_POUND / 16),
    _CUPS: ("ml", 0, lambda cups: cups * MILLILITRES_PER_CUP),
    _GALLONS: ("l", 1, lambda gallons: gallons * 16 * MILLILITRES_PER_CUP / 1000),
}
_SHORT: Final[Mapping[str, _Turn]] = {
    "F": ("°C", 0, celsius),
    "lb": _OF_POUNDS,
    "in": _OF_INCHES,
    "lbf": ("N", 1, lambda force: force * NEWTONS_PER_LBF),
    "oz": ("g", 0, lambda ounces: ounces * 1000 * KILOGRAMS_PER_POUND / 16),
    "qt": ("l", 1, lambda quarts: quarts * 4 * MILLILITRES_PER_CUP / 1000),
    "psi": ("kPa", 0, lambda pressure: pressure * KILOPASCALS_PER_PSI),
}
_AFTER_IN = mark("over|apart|across|between")
"""What goes on from `in` where that is an inch, unless a sentence ends with it."""
_VULGAR: Final = {"¼": 0.25, "½": 0.5, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125}
_NUMBER: Final = (
    rf"\d+ \d/[1-9]|\d\d?/[1-9]\d?|\d?\d?[{''.join(_VULGAR)}]|\d{{1,3}}(?:[,{THOUSANDS}]\d{{3}})+|\d+(?:\.\d+)?"
)
_RANGE: Final = re.compile(rf"(?<![\w.,/–-])(?<!p\. )({_NUMBER})-(?!0\d)({_NUMBER})(?![\w/-])")
"""A range, and neither a page, as `p. 2-26`, nor a day or the tag of a tree, as `1-02`."""
_METRIC_UNIT: Final = r"(?:°C|\b(?:kg|g|cm|mm|m|ml|l|kPa|N))"
_TOLD_AFTER: Final = re.compile(rf" ?\([^()]*{_METRIC_UNIT}(?!\w)")
_TOLD_BEFORE: Final = re.compile(rf"{_METRIC_UNIT} \([^()]*$")


def _each(tongue: Tongue, said: str) -> list[str]:
    """Return the forms of a word in a language, and in English, which some of the shelf's texts stay in."""
    return list(dict.fromkeys((*tongue.term(said).split("|"), *said.split("|"))))


def _bars(tongue: Tongue, said: str) -> str:
    return "|".join(map(re.escape, _each(tongue, said)))


@lru_cache(maxsize=64)
def _in_prose(tongue: Tongue) -> tuple[re.Pattern[str], Mapping[str, _Turn]]:
    """Return how a number, or an article, stands in a sentence before a US unit, and what each word for one is."""
    turns = {word: turn for said, turn in _SAID.items() for word in _each(tongue, said)}
    names, short = "|".join(map(re.escape, turns)), "|".join(unit for unit in _SHORT if unit not in {"F", "in"})
    numbers = rf"(?P<low>{_NUMBER})(?:(?P<to>[-–]| (?:{_bars(tongue, _BETWEEN)}) )(?P<high>{_NUMBER}))?"
    inch = rf"in(?=$|[.,;)]| (?:{_bars(tongue, _AFTER_IN)})\b)"
    unit = rf"(?P<unit>°?F|{short}|{inch}|{names})(?!\w)(?= (?P<less>{_bars(tongue, _LESS)})\b)?"
    articles = rf"(?P<half>(?i:{_bars(tongue, _HALF)}))|(?i:{_bars(tongue, _ONE)})"
    counted = rf"(?<![\w/.,–-])(?:(?P<minus>-)?{numbers})[ -]{unit}"
    pattern = rf"{counted}|\b(?:{articles}) (?P<of>{names})(?!\w)"
    return re.compile(pattern), {**turns, **_SHORT}


def in_own_units(tongue: Tongue, said: str, /) -> str:
    """Return a sentence of the shelf with metric units before what it says in US ones, where those come first here.

    After `an inch` they follow. What is said in both already is left, and sums of warmth are as well: how many there
    are hangs on the unit. So are quarts, pints and bushels, which name jars and boxes.
    """
    if not tongue.metric or any(word in said for word in _each(tongue, _SUMS_OF_WARMTH)):
        return said
    pattern, turns = _in_prose(tongue)
    before_less = tuple(f"{word} " for word in _each(tongue, _GIVE_OR_TAKE))

    def turned(found: re.Match[str]) -> str:
        if _TOLD_AFTER.match(said, found.end()) or _TOLD_BEFORE.search(said[: found.start()]):
            return found[0]
        if found["of"]:
            unit, places, turn = turns[found["of"]]
            return f"{found[0]} ({_told(tongue, turn(0.5 if found['half'] else 1), places)} {unit})"
        unit, places, turn = turns[found["unit"].lstrip("°")]
        if unit == "°C" and (found["less"] or said[: found.start()].endswith(before_less)):
            places, turn = 1, _degrees_less
        sign = -1 if found["minus"] else 1
        told = [_told(tongue, turn(sign * _number(text)), places) for text in (found["low"], found["high"]) if text]
        to = found["to"] if found["to"] and found["to"].startswith(" ") else "–"
        return f"{to.join(dict.fromkeys(told))} {unit} ({found[0]})"

    return pattern.sub(turned, said)


def _told(tongue: Tongue, number: float, places: int) -> str:
    return tongue.number(number, places if abs(number) < 10 else 0).removesuffix(".0")


def _degrees_less(fahrenheit: float) -> float:
    """Return a difference of degrees Fahrenheit in degrees Celsius."""
    return fahrenheit * 5 / 9


def with_ranges(text: str, /) -> str:
    """Return a text with a dash in each range, as in those that are worked out; nothing else with a hyphen is one."""
    return _RANGE.sub(r"\1–\2", text)


def _number(text: str) -> float:
    """Return a number as sentences write it: `1 1/2`, `1½`, `2.5`, `1,000`."""
    parts = re.findall(r"[¼½¾⅓⅔⅛]|\d+/\d+|[\d.]+", text.replace(",", "").replace(THOUSANDS, ""))
    return sum(_VULGAR.get(part) or _quotient(part) for part in parts)


def _quotient(text: str) -> float:
    over, _, under = text.partition("/")
    return float(over) / float(under or 1)


def degrees(tongue: Tongue, low_c: float, high_c: float | None = None) -> str:
    """Say a temperature or a range in both units, the household's first, as `65–75 °F (18–24 °C)`."""

    def span_words(low: float, high: float, unit: str) -> str:
        return f"{round(low)} {unit}" if round(low) == round(high) else f"{round(low)}–{round(high)} {unit}"

    high_c = low_c if high_c is None else high_c
    us, metric = span_words(fahrenheit(low_c), fahrenheit(high_c), "°F"), span_words(low_c, high_c, "°C")
    return f"{metric} ({us})" if tongue.metric else f"{us} ({metric})"


def counted(number: int, noun: str) -> str:
    """Say a number of things in English, as `1 tree` or `21 trees`: for the command line."""
    return f"{number} {noun}{'' if number == 1 else 's'}"
