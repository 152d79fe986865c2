"""The usual temperatures of a ground as a household states them: twelve lowest and twelve highest, from January on."""

from __future__ import annotations

import re

from firmripe.days import Hemisphere
from firmripe.holding.place import UsualTemperatures
from firmripe.problems import Unreadable
from firmripe.reading.fields import Fields
from firmripe.units import parse_temperature, plain_minus

KEY = "usual temperatures"
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_HINT = "write {unit: F, low: [twelve, from January on], high: [twelve, from January on]}"
_WRONG_HALF_C = 5.0
"""Where January and July are further apart than this the wrong way round, the months or the half are wrong."""


def read_usual_temperatures(fields: Fields, half: Hemisphere) -> UsualTemperatures | None:
    """Read the usual temperatures of `place.md`; None where they are not stated, or faulty."""
    tables = fields.tables(KEY)
    if not tables:
        return None
    if len(tables) > 1:
        fields.fault(KEY, f'"{KEY}" are stated twice', _HINT)
    item = tables[0]
    unit = item.text("unit")
    if unit and unit.strip().casefold() not in {"f", "c", "fahrenheit", "celsius"}:
        item.fault("unit", f'"{unit}" is no unit of temperature', "write F or C")
        unit = "C"
    low, high = (_twelve(item, key, unit) for key in ("low", "high"))
    item.close(KEY)
    if len(low) != len(_MONTHS) or len(high) != len(_MONTHS):
        return None
    return UsualTemperatures(low_c=low, high_c=high) if _make_sense(item, low, high, half) else None


def _twelve(item: Fields, key: str, unit: str) -> tuple[float, ...]:
    """Return the temperatures of a key (°C), all twelve or none."""
    written = item.texts_with_places(key)
    if len(written) != len(_MONTHS):
        said = f"{len(written)} months stand there" if written else "they are missing"
        item.fault(key, f'"{key}" takes a temperature for each of the twelve months; {said}', _HINT)
        return ()
    found = []
    for text, where in written:
        with_unit = f"{text} {unit}".strip() if re.fullmatch(r"[-\d.]+", plain_minus(text.strip())) else text
        try:
            told = parse_temperature(with_unit)
        except Unreadable as error:
            hint = "add unit: F or unit: C beside low and high" if "no unit" in error.message else error.hint
            item.fault_at(where, error.message, hint)
            return ()
        found.append(told.middle)
    return tuple(found)


def _make_sense(item: Fields, low: tuple[float, ...], high: tuple[float, ...], half: Hemisphere) -> bool:
    for month, coldest, warmest in zip(_MONTHS, low, high, strict=True):
        if coldest > warmest:
            item.fault("low", f"in {month} the lowest is above the highest", "were the two exchanged?")
            return False
    turned = (low[0] + high[0] - low[6] - high[6]) / 2 * (1 if half is Hemisphere.NORTH else -1)
    if turned > _WRONG_HALF_C:
        warm, cold = ("January", "July") if half is Hemisphere.NORTH else ("July", "January")
        message = f"{warm} is warmer than {cold}, which is not so in the {half.value}"
        item.fault("low", message, "begin with January; in the south add hemisphere: south or a latitude")
        return False
    return True
