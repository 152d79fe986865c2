"""What is printed of when fruits bloom, ripen and drop their leaves, put in one table: days, orders and intervals.

Days are counted as in the north, from 1 January of a common year on, so that one table serves every season and both
halves of the earth.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import DayCount, Hemisphere, MonthDay, WorkingYear
from firmripe.holding.figures import Cited, Mark, Source
from firmripe.holding.fruit import Cultivar, Event, Fruit, Traits, Window, of_crops
from firmripe.holding.place import Ground
from firmripe.season import spreads

YEAR_D = 365
_TABLE_YEAR = WorkingYear(year=2001)
_WEAK = frozenset({Mark.MEMORY, Mark.JUDGEMENT, Mark.PRACTICE})


class PrintedItem(Struct, frozen=True, kw_only=True):
    """What is dated: an event of one crop of a cultivar, or, where `cultivar` is empty, of a fruit in general."""

    event: Event
    fruit: str
    cultivar: str
    crop: str = ""


class Printed(Struct, frozen=True, kw_only=True):
    """A printed day of `later` on a ground, or, with `earlier`, how many days it comes after that.

    `day` is a day of the table's year or a number of days, `spread_d` how far it may be off (days) beside what sets a
    cultivar on one ground apart from all others. `window` is what it was read from, None for a number of days; `cited`
    is who prints it.
    """

    later: PrintedItem
    earlier: PrintedItem | None = None
    day: float
    spread_d: float
    ground: Ground | None = None
    half: Hemisphere = Hemisphere.NORTH
    window: Window | None = None
    cited: Cited | None = None


def fruit_key(cultivar: Cultivar) -> str:
    """Return the key of a cultivar's fruit; one whose fruit is not known stands for itself."""
    return cultivar.fruit.key if cultivar.fruit else f"\x1f{cultivar.key}"


def item_of(cultivar: Cultivar, event: Event, crop: str = "") -> PrintedItem:
    """Return what is dated of a cultivar's crop. The first of several is known without a name where none names it."""
    own = [w for w in cultivar.own.windows if w.event is event and cultivar.means(w.crop, crop)]
    windows = own or (cultivar.fruit.traits.windows if cultivar.fruit else ())
    return _item(
        PrintedItem(event=event, fruit=fruit_key(cultivar), cultivar=cultivar.key), crop, cultivar.crops[0], windows
    )


def _item(of: PrintedItem, crop: str, first: str, windows: Iterable[Window]) -> PrintedItem:
    told = any(window.event is of.event and window.crop == crop for window in windows)
    return replace(of, crop=crop if told or crop != first else "")


def table_of(cultivars: Mapping[str, Cultivar], counts: Callable[[Window], bool]) -> tuple[Printed, ...]:
    """Return all that is printed of some cultivars and their fruits; of windows those that count."""
    fruits = {c.fruit.key: c.fruit for _, c in sorted(cultivars.items()) if c.fruit}
    days: list[Printed] = []
    others: list[Printed] = []
    for _, cultivar in sorted(cultivars.items()):
        days += (_day(w, fruit_key(cultivar), cultivar.key) for w in cultivar.own.windows if counts(w))
        others += _intervals(cultivar.own, fruit_key(cultivar), cultivar.key, cultivar.crops, cultivar.traits.windows)
        others += _orders(cultivar, cultivars)
    said = {_what(row) for row in days}
    for _, fruit in sorted(fruits.items()):
        of_fruit = (_day(w, fruit.key, "") for w in fruit.traits.windows if counts(w))
        days += (row for row in of_fruit if _what(row) not in said)
        others += _intervals(fruit.traits, fruit.key, "", fruit.crops or ("",), fruit.traits.windows)
    return (*_over_the_turn(days), *others)


def printed_window(window: Window, of: Cultivar | Fruit) -> Printed:
    """Return a window of a cultivar, or of a fruit in general, as a row of the table."""
    if isinstance(of, Fruit):
        return _day(window, of.key, "")
    return _day(window, fruit_key(of), of.key)


def source_of(row: Printed) -> Source | None:
    """Return who prints a row of some place or kind; None of what is from memory, judgement or common practice."""
    return row.cited.source if row.cited and row.cited.mark not in _WEAK else None


def day_in(year: WorkingYear, day: float) -> float:
    """Return the season day in a year of a day of the table; it lies within the season."""
    day %= YEAR_D
    whole = math.floor(day)
    on = date(2001, 1, 1) + timedelta(days=whole)
    here = year.place_day(MonthDay(on.month, on.day), Hemisphere.NORTH)
    return year.day_number(here) + day - whole


def _what(row: Printed) -> tuple[object, ...]:
    """Return what tells a window from others: a fruit's that repeats one of its cultivars' is the same word.

    A source that tells of a place's fruit by its cultivar is one witness, whatever is noted beside each.
    """
    window, cited = row.window, row.cited
    who = cited and (cited.source.key if cited.source else cited.mark, cited.is_own)
    return (row.later.event, row.later.fruit, row.later.crop, row.day, window and window.place_name, who)


def _day(window: Window, fruit: str, cultivar: str) -> Printed:
    first, last = (
        float(_TABLE_YEAR.day_number(_TABLE_YEAR.place_day(day, window.written_for)))
        for day in (window.stretch.first, window.stretch.last)
    )
    width = (last - first) % YEAR_D
    printed = spreads.PRINTED_BLOOM_D if window.event is Event.FULL_BLOOM else spreads.PRINTED_D
    if window.cited.mark in _WEAK:
        printed = max(printed, spreads.PRINTED_WEAK_D)
    among = 0.0 if cultivar else spreads.MIDDLE_OF_FRUIT_D[window.event]
    return Printed(
        later=PrintedItem(event=window.event, fruit=fruit, cultivar=cultivar, crop=window.crop),
        day=first + width / 2,
        spread_d=math.sqrt(printed**2 + among**2 + width**2 / 12),
        ground=window.ground,
        half=window.written_for,
        window=window,
        cited=window.cited,
    )


def _intervals(
    traits: Traits, fruit: str, cultivar: str, crops: Sequence[str], windows: Sequence[Window]
) -> Iterator[Printed]:
    """Yield the days from each crop's bloom to its pick."""
    for figure in of_crops(traits.days_from_bloom, crops):
        bloom, pick = (
            _item(PrintedItem(event=event, fruit=fruit, cultivar=cultivar), figure.crop, crops[0], windows)
            for event in (Event.FULL_BLOOM, Event.PICK)
        )
        yield Printed(
            later=pick,
            earlier=bloom,
            day=figure.value.middle,
            spread_d=interval_spread(figure.value, figure.cited),
            cited=figure.cited,
        )


def interval_spread(interval: DayCount, cited: Cited | None = None, least: float = spreads.INTERVAL_LEAST_D) -> float:
    """Return the spread (days) of an interval from bloom to pick: an even spread over its range, at least `least`.

    One from memory or judgement is weak.
    """
    if cited is not None and cited.mark in {Mark.MEMORY, Mark.JUDGEMENT}:
        least = spreads.INTERVAL_WEAK_D
    return max(least, (interval.high - interval.low) / math.sqrt(12))


def _orders(cultivar: Cultivar, cultivars: Mapping[str, Cultivar]) -> Iterator[Printed]:
    offset = cultivar.own.offset
    base = cultivars.get(offset.base) if offset else None
    if offset is not None and base is not None:
        yield Printed(
            later=PrintedItem(event=Event.PICK, fruit=fruit_key(cultivar), cultivar=cultivar.key),
            earlier=PrintedItem(event=Event.PICK, fruit=fruit_key(base), cultivar=base.key),
            day=offset.days,
            spread_d=spreads.ORDER_D,
            cited=offset.cited,
        )


def _over_the_turn(rows: Iterable[Printed]) -> Iterator[Printed]:
    """Bring the days of one crop of a fruit to the same turn of the year, so that January follows December."""
    by_crop: dict[PrintedItem, list[Printed]] = {}
    for row in rows:
        by_crop.setdefault(replace(row.later, cultivar=""), []).append(row)
    for of_crop in by_crop.values():
        middle = middle_of([row.day for row in of_crop])
        for row in of_crop:
            yield replace(row, day=nearest_turn(row.day, middle))


def middle_of(days: Iterable[float]) -> float:
    """Return the middle of days of the year on its circle, from 0 to before `YEAR_D`: January is next to December."""
    turn = [2 * math.pi * day / YEAR_D for day in days]
    return math.atan2(sum(map(math.sin, turn)), sum(map(math.cos, turn))) * YEAR_D / (2 * math.pi) % YEAR_D


def nearest_turn(day: float, to: float) -> float:
    """Return a day of the year as many years on or back as bring it within half a year of another."""
    return to + (day - to + YEAR_D / 2) % YEAR_D - YEAR_D / 2


def beside_turn(day: float, to: float) -> float:
    """Return a day on the other side of the turn of the year where that brings it near to another, else as it is.

    Near is within a quarter of a year: what lies farther off either way is a slip of the pen or another crop.
    """
    if abs(day - to) <= YEAR_D / 2:
        return day
    near = nearest_turn(day, to)
    return near if abs(near - to) <= YEAR_D / 4 else day
