"""Daily temperatures from CSV tables: the household's own, or NOAA daily summaries as downloaded."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Final

from msgspec import Struct, field

from firmripe.days import parse_day
from firmripe.holding.weather import Doubtful, Weather
from firmripe.problems import Problems, Unreadable, Where, or_list
from firmripe.reading.folder import Sheet
from firmripe.reading.frontmatter import plain_key
from firmripe.reading.records import line_at, rows_of, unreadable_row
from firmripe.units import celsius, plain_minus

COLDEST_C: Final = -60.0
WARMEST_C: Final = 60.0
"""Beyond these two no day is believed where fruit grows (our judgement)."""
MOST_ALIKE: Final = 5
"""So many problems of one kind in a file are named; the others are counted."""
STUCK_D: Final = 7
"""So many days in a row with the very same lowest and highest are read from a stuck sensor (our judgement)."""
MOST_SET_ASIDE: Final = 0.1
"""Up to this share of a file's days are set aside as impossible; beyond it the file itself is wrong (our judgement)."""
MOST_STUCK: Final = 0.5
"""A file with a larger share of days in such runs was made up or holds means, and is believed (our judgement)."""
WHOLE_YEAR: Final = 300
"""So many days hold a summer, so their temperatures tell °C from °F (our judgement)."""

ToCelsius = Callable[[float], float]

_UNITS: Final[Mapping[str, ToCelsius]] = {"standard": celsius, "metric": float}
_NAMES_HINT = "name the columns date,tmin_f,tmax_f or date,tmin_c,tmax_c"
_UNITS_HINT = "add a column units with standard (°F) or metric (°C), or name the columns tmin_f,tmax_f or tmin_c,tmax_c"
_ONE_LINE_HINT = "put both in, or take the line out; a short gap is filled"


class _Column(Struct, frozen=True):
    """Where a temperature stands; `convert` is None where the column does not say its unit."""

    at: int
    convert: ToCelsius | None


class _Layout(Struct, frozen=True):
    """Which column is which. `noaa`: a download, in which empty cells are usual."""

    day: int
    low: _Column
    high: _Column
    units: int | None
    station: int | None
    noaa: bool


class _Line(Struct, frozen=True):
    """One day as written; `converts`, of lowest and highest, is None while the unit is not known."""

    day: date
    low: float
    high: float
    converts: tuple[ToCelsius, ToCelsius] | None
    where: Where


def read_weather(sheets: Iterable[Sheet], problems: Problems) -> Weather:
    """Read every table of weather into one record. A day may stand twice only with the same temperatures."""
    found: dict[date, tuple[float, float]] = {}
    stands: dict[date, Where] = {}
    doubtful: list[Doubtful] = []
    for sheet in sheets:
        table = _Table(sheet, problems)
        for line, temps in table.days():
            if line.day in found and found[line.day] != temps:
                first = stands[line.day]
                table.fault(
                    "a day twice",
                    line.where,
                    f"{line.day} stands already, with other temperatures, at {first.file}:{first.line}",
                    "keep the right one of the two lines",
                )
            found.setdefault(line.day, temps)
            stands.setdefault(line.day, line.where)
        table.count_the_rest()
        if any(table.aside.values()):
            doubtful.append(Doubtful(file=sheet.file, **table.aside))
    return Weather.of(found, tuple(doubtful))


class _Table(Struct):
    """One file being read."""

    sheet: Sheet
    problems: Problems
    alike: Counter[str] = field(default_factory=Counter)
    aside: Counter[str] = field(default_factory=Counter)

    def fault(self, kind: str, where: Where, message: str, hint: str) -> None:
        """Note a problem, unless enough of its kind are named."""
        self.alike[kind] += 1
        if self.alike[kind] <= MOST_ALIKE:
            self.problems.add(where, message, hint)

    def count_the_rest(self) -> None:
        """Say how many problems were not named one by one."""
        for kind, count in self.alike.items():
            if count > MOST_ALIKE:
                message = f"{kind}: {count - MOST_ALIKE} more lines like the ones named"
                self.problems.add(Where(self.sheet.file), message, "the whole file may have the same fault")

    def days(self) -> list[tuple[_Line, tuple[float, float]]]:
        """Return the days that can be believed, in °C."""
        lines = self._lines()
        if any(line.converts is None for line in lines):
            guessed = self._unit_by_values(lines)
            if guessed is None:
                return []
            lines = [_Line(line.day, line.low, line.high, (guessed, guessed), line.where) for line in lines]
        read = [(line, self._in_celsius(line)) for line in lines]
        stuck = _stuck(read)
        kept = []
        for line, temps in read:
            why = _doubt(temps) or ("stuck" if line.day in stuck else "")
            if why:
                self.aside[why] += 1
            else:
                kept.append((line, temps))
        if self.aside["impossible"] + self.aside["crossed"] > MOST_SET_ASIDE * len(read):
            self._name_each(read)
            self.aside.clear()
            return []
        return kept

    def _lines(self) -> list[_Line]:
        text = self.sheet.text.split("\n")
        layout: _Layout | None = None
        found: list[_Line] = []
        stations: dict[str, Where] = {}
        try:
            for number, row in rows_of(self.sheet.text):
                cells = [cell.strip() for cell in row]
                where = line_at(self.sheet.file, number, text)
                if not any(cells):
                    continue
                if layout is None:
                    layout = self._layout(cells, where)
                    if layout is None:
                        return []
                    continue
                if layout.station is not None and layout.station < len(cells):
                    stations.setdefault(cells[layout.station], where)
                if (line := self._line(cells, layout, where)) is not None:
                    found.append(line)
        except csv.Error as error:
            self.problems.add(*unreadable_row(self.sheet.file, error, text))
        if len(stations) > 1:
            second = list(stations.values())[1]
            self.problems.add(
                second, f"the file holds several stations: {or_list(sorted(stations))}", "keep the nearest one only"
            )
            return []
        return found

    def _layout(self, header: Sequence[str], where: Where) -> _Layout | None:
        names = [plain_key(cell) for cell in header]
        units = _only(names, "units")
        noaa = units is not None or {"TMIN", "TMAX"} <= set(header)
        columns: dict[str, _Column] = {}
        for name in ("tmin", "tmax"):
            stands = [at for at, key in enumerate(names) if key in {name, f"{name} c", f"{name} f"}]
            if len(stands) != 1:
                said = "stands twice" if stands else "is missing"
                self.problems.add(where, f"the column {name} {said}", _NAMES_HINT)
                return None
            key = names[stands[0]]
            if key == name and not noaa:
                self.problems.add(where, f'the column "{header[stands[0]]}" does not say °F or °C', _NAMES_HINT)
                return None
            units_of: dict[str, ToCelsius] = {f"{name} c": float, f"{name} f": celsius}
            columns[name] = _Column(stands[0], units_of.get(key))
        if (columns["tmin"].convert is None) != (columns["tmax"].convert is None):
            self.problems.add(where, "only one of the two temperature columns says its unit", _NAMES_HINT)
            return None
        day = _only(names, "date")
        if day is None:
            self.problems.add(where, 'the first line names no column "date"', _NAMES_HINT)
            return None
        return _Layout(
            day=day,
            low=columns["tmin"],
            high=columns["tmax"],
            units=units,
            station=_only(names, "station") if noaa else None,
            noaa=noaa,
        )

    def _line(self, cells: Sequence[str], layout: _Layout, where: Where) -> _Line | None:
        """Return a day as written, or None where it says nothing or is faulty."""
        written = [cells[at] if at < len(cells) else "" for at in (layout.day, layout.low.at, layout.high.at)]
        missing = [name for name, text in zip(("date", "tmin", "tmax"), written, strict=True) if not text]
        if missing:
            if not layout.noaa or "date" in missing:
                said = " and ".join(missing)
                self.fault("missing values", where, f"the line has no {said}", _ONE_LINE_HINT)
            return None
        try:
            day, low, high = parse_day(written[0]), _number(written[1]), _number(written[2])
        except Unreadable as error:
            self.fault("unreadable", where, error.message, error.hint)
            return None
        if layout.low.convert is not None and layout.high.convert is not None:
            return _Line(day, low, high, (layout.low.convert, layout.high.convert), where)
        if layout.units is not None:
            unit = cells[layout.units].casefold() if layout.units < len(cells) else ""
            convert = _UNITS.get(unit)
            if convert is None:
                self.fault("units", where, f'"{unit}" is no system of units', "write standard (°F) or metric (°C)")
                return None
            return _Line(day, low, high, (convert, convert), where)
        return _Line(day, low, high, None, where)

    def _unit_by_values(self, lines: Sequence[_Line]) -> ToCelsius | None:
        """Tell °F from °C by the temperatures themselves, or say that they don't tell."""
        few = len(lines) // 100  # one false reading in a hundred must not decide
        lowest, warmest = sorted(line.low for line in lines)[few], sorted(line.high for line in lines)[-1 - few]
        where = lines[0].where
        if celsius(warmest) > WARMEST_C or celsius(lowest) < COLDEST_C:
            self.problems.add(
                Where(self.sheet.file),
                f"temperatures from {lowest:g} to {warmest:g} are neither °F nor °C; are they tenths of a degree?",
                "download the file again with units standard or metric",
            )
            return None
        if warmest > WARMEST_C or lowest < COLDEST_C:
            return celsius
        if len({line.day for line in lines}) >= WHOLE_YEAR:  # no year in °F stays below 60
            return float
        self.problems.add(where, "these temperatures may be °F or °C", _UNITS_HINT)
        return None

    def _in_celsius(self, line: _Line) -> tuple[float, float]:
        to_low, to_high = line.converts or (float, float)
        return to_low(line.low), to_high(line.high)

    def _name_each(self, read: Sequence[tuple[_Line, tuple[float, float]]]) -> None:
        """Name the days that can't be, where so many can't that it is the file that is at fault, not the station."""
        for line, temps in read:
            why = _doubt(temps)
            if why == "impossible":
                worst = max(temps, key=abs)
                said = f"{line.day}: {worst:.0f} °C is no temperature where fruit grows"
                self.fault("impossible temperatures", line.where, said, "was the other unit meant?")
            elif why == "crossed":
                said = f"{line.day}: the lowest temperature {line.low:g} is above the highest {line.high:g}"
                self.fault("lowest above highest", line.where, said, "were the two exchanged?")


def _doubt(temps: tuple[float, float]) -> str:
    """Return why a day's lowest and highest (°C) are not believed; empty where they are."""
    if not all(COLDEST_C <= temp <= WARMEST_C for temp in temps):
        return "impossible"
    return "crossed" if temps[0] > temps[1] else ""


def _stuck(read: Sequence[tuple[_Line, tuple[float, float]]]) -> set[date]:
    """Return the days of runs that have one lowest and one highest for `STUCK_D` days and more, but the first of each.

    Where most days are such, none is returned.
    """
    found: set[date] = set()
    by_day = {line.day: temps for line, temps in read}
    run: list[date] = []
    for day in [*sorted(by_day), None]:
        if day is not None and run and day - run[-1] == timedelta(days=1) and by_day[day] == by_day[run[0]]:
            run.append(day)
            continue
        if len(run) >= STUCK_D:
            found.update(run[1:])
        run = [day] if day is not None else []
    return found if len(found) <= MOST_STUCK * len(by_day) else set()


def _only(names: Sequence[str], name: str) -> int | None:
    return names.index(name) if name in names else None


def _number(text: str) -> float:
    plain = plain_minus(text)
    if not re.fullmatch(r"[-+]?\d{1,5}(?:\.\d{1,6})?", plain):
        raise Unreadable(f'"{text}" is not a temperature', "write a number alone, with a point for the decimals")
    return float(plain)
