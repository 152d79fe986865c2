"""Weather as a station's own program saves it, under whatever headings: made into a table of days as these notes hold.

What each column is, and in which unit, was asked (see `headings`); nothing of it is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from msgspec import Struct, field

from firmripe.days import parse_day
from firmripe.problems import Unreadable, folded
from firmripe.reading.headings import TEMPERATURES, Headings, columns_of, day_part, rows_of_table, told_day
from firmripe.units import celsius, fahrenheit, plain_minus

FEWEST_HOURS: Final = 20
"""A day whose readings stand in fewer hours than this is left out: its lowest or highest may be missing (J)."""
SAME_C: Final = 0.06
"""Temperatures that differ by less (°C) are the same, rounded in another unit."""
OWN: Final = Headings(columns={"date": "date", **{folded(column): column for column in TEMPERATURES}})
"""What the headings of the notes' own table of days mean: what they say."""
_HOUR = re.compile(r"(\d{1,2}):\d{2}(?::\d{2})?\s*(am|pm)?", re.IGNORECASE)


class Export(Struct):
    """What a station's table tells: each day's lowest and highest (°C), and how many lines say no day or no value.

    `partial` are the days with readings in too few hours.
    """

    days: dict[date, tuple[float, float]] = field(default_factory=dict)
    empty: int = 0
    partial: list[date] = field(default_factory=list)


class Compared(Struct, frozen=True, kw_only=True):
    """Days of an export beside those in the notes: new ones, ones there already, ones that stand otherwise."""

    new: Mapping[date, tuple[float, float]]
    there: tuple[date, ...]
    other: tuple[date, ...]


def is_export(text: str, known: Headings) -> bool:
    """Say whether a table holds temperatures, by what was said of its headings."""
    rows = rows_of_table(text)
    return bool(rows) and bool({*TEMPERATURES} & {*columns_of(rows[0], known)})


def read_export(text: str, known: Headings) -> Export:
    """Read a station's table. Raises Unreadable where its columns don't make days of lowest and highest."""
    head, *rows = rows_of_table(text) or [[]]
    columns = columns_of(head, known)
    kinds = {column.partition("_")[0] for column in columns if column in TEMPERATURES}
    if "date" not in columns:
        raise Unreadable("no column of the table is the date", "say which, in headings.txt")
    if "temperature" not in kinds and kinds != {"tmin", "tmax"}:
        lacking = "highest" if kinds == {"tmin"} else "lowest"
        raise Unreadable(f"no column of the table is the {lacking} temperature", "say which, in headings.txt")
    found, low, high = Export(), dict[date, float](), dict[date, float]()
    hours: dict[date, set[int]] = {}
    for row in rows:
        cells = dict(zip(columns, row, strict=False))
        day, read = _day(cells.get("date", ""), known), _readings(cells)
        if day is None or not read:
            found.empty += 1
            continue
        low[day] = min([*read, low.get(day, read[0])])
        high[day] = max([*read, high.get(day, read[0])])
        hours.setdefault(day, set()).update(_hours(cells["date"]))
    for day in sorted(low):
        if kinds == {"temperature"} and len(hours[day]) < FEWEST_HOURS:
            found.partial.append(day)
        else:
            found.days[day] = low[day], high[day]
    return found


def _day(text: str, known: Headings) -> date | None:
    try:
        return parse_day(told_day(day_part(text), known.day_first))
    except Unreadable:
        return None


def _hours(text: str) -> set[int]:
    """Return the hour of a reading; none where it tells only its day."""
    found = _HOUR.search(text)
    if found is None:
        return set()
    hour, half = int(found[1]), (found[2] or "").casefold()
    return {hour % 12 + (12 if half == "pm" else 0) if half else hour}


def _readings(cells: Mapping[str, str]) -> list[float]:
    """Return the temperatures of a line (°C); none where one that it should have is missing."""
    found = []
    for column in (column for column in TEMPERATURES if column in cells):
        plain, unit = _parted(cells[column])
        if unit and unit != column[-1]:
            hint = "mend its line in headings.txt"
            raise Unreadable(f'"{cells[column]}" is in another unit than its column, {column}', hint)
        if not re.fullmatch(r"[-+]?\d{1,3}(?:\.\d{1,4})?", plain):
            return []
        found.append(celsius(float(plain)) if column.endswith("_f") else float(plain))
    return found


def _parted(cell: str) -> tuple[str, str]:
    """Return a temperature with a point for the decimals, and the letter of the unit beside it, if there is one."""
    plain = plain_minus(cell).replace(",", ".")
    unit = plain[-1:].casefold() if plain[-1:] in "CFcf" else ""
    return plain.removesuffix(plain[-1:] if unit else "").strip(" °º"), unit


def compared(days: Mapping[date, tuple[float, float]], there: Mapping[date, tuple[float, float]]) -> Compared:
    """Set the days of an export beside those that were read (both °C)."""
    known = [day for day in days if day in there]
    alike = {d for d in known if all(abs(a - b) <= SAME_C for a, b in zip(days[d], there[d], strict=True))}
    return Compared(
        new={day: temps for day, temps in sorted(days.items()) if day not in there},
        there=tuple(sorted(alike)),
        other=tuple(day for day in sorted(known) if day not in alike),
    )


def with_days(text: str, days: Mapping[date, tuple[float, float]]) -> str:
    """Return a table of days with more of them (°C) at its end, in its own columns and units.

    An empty text becomes a table in °C; any other is one that `read_export` reads by its own headings (`OWN`).
    """
    before = text or "date,tmin_c,tmax_c\n"
    columns = columns_of(rows_of_table(before)[0], OWN)
    end = "" if before.endswith("\n") else "\n"
    return before + end + "".join(f"{_row(columns, day, temps)}\n" for day, temps in sorted(days.items()))


def _row(columns: Sequence[str], day: date, temps: Sequence[float]) -> str:
    """Return a day's lowest and highest (°C) as a row of some columns; what else the table has stays empty."""
    cells = {"date": day.isoformat()}
    for name, temp_c in zip(("tmin", "tmax"), temps, strict=True):
        cells |= {f"{name}_c": _told(temp_c), f"{name}_f": _told(fahrenheit(temp_c))}
    return ",".join(cells.get(column, "") for column in columns)


def _told(temp: float) -> str:
    return f"{temp:.2f}".rstrip("0").rstrip(".")
