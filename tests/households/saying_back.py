"""Days, weights and phrases out of what a page says, in the household's own language."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import cache, cached_property

from firmripe.tongue import Tongue

Pounds = tuple[int, int]
"""From so many whole pounds or kilograms to so many, as printed."""

_UNIT = r"(?:lb|kg)\b"


class Hearing:
    """Understands one household's words: its language, the order of its days, the year that is meant by a short day."""

    def __init__(self, tongue: Tongue, year: int) -> None:
        self._tongue = tongue
        self._year = year

    @property
    def is_english(self) -> bool:
        """Whether the household's words are English."""
        return self._tongue.code == "en"

    @cached_property
    def _months(self) -> dict[str, int]:
        names = [*enumerate(self._tongue.months, 1), *enumerate(self._tongue.short_months, 1)]
        return {name.casefold(): at for at, name in names}

    @cached_property
    def _day(self) -> re.Pattern[str]:
        month = "|".join(sorted(map(re.escape, self._months), key=len, reverse=True))
        weekday = "|".join(sorted((*self._tongue.short_days, *self._tongue.days), key=len, reverse=True))
        return re.compile(
            rf"(?:(?P<wd>{weekday}),? )?(?:(?P<d1>\d{{1,2}}) (?:de )?(?P<m1>{month})|(?P<m2>{month}) (?P<d2>\d{{1,2}}))\b"
            rf"(?:,? (?:de )?(?P<y>20\d\d))?",
            re.IGNORECASE,
        )

    def days(self, text: str) -> Iterator[date]:
        """Yield the days that a text names, in order; where no year stands, the one that goes with the day of the week."""
        for found in self._day.finditer(text):
            month, number = self._months[(found["m1"] or found["m2"]).casefold()], int(found["d1"] or found["d2"])
            years = [int(found["y"])] if found["y"] else [self._year, self._year - 1, self._year + 1]
            days = [day for year in years if (day := _real(year, month, number))]
            yield next((day for day in days if self._is(day, found["wd"])), days[0])

    def _is(self, day: date, weekday: str | None) -> bool:
        names = (self._tongue.days[day.weekday()], self._tongue.short_days[day.weekday()])
        return not weekday or weekday.casefold() in {name.casefold() for name in names}

    def day(self, text: str) -> str:
        """Return the first day that a text names as machines write it, or nothing."""
        return next((day.isoformat() for day in self.days(text)), "")

    @cache  # noqa: B019 - lives as long as its household
    def _pattern(self, message: str) -> re.Pattern[str]:
        said = self._tongue.term(message)
        parts = re.split(r"(\{\w+(?::[^}]*)?\}|%\(\w+\)s)", said)
        return re.compile("".join(self._piece(part) for part in parts))

    @staticmethod
    def _piece(part: str) -> str:
        named = re.fullmatch(r"\{(\w+)(?::[^}]*)?\}|%\((\w+)\)s", part)
        return f"(?P<{named[1] or named[2]}>.+?)" if named else re.escape(part)

    def said(self, message: str) -> str:
        """Return a message of the site in the household's language."""
        return self._tongue.term(message)

    def hears(self, message: str, text: str) -> dict[str, str] | None:
        """Return the fields of a message that is said somewhere in a text, or None."""
        found = self._pattern(message).search(text)
        return found.groupdict() if found else None

    def weight(self, text: str) -> Pounds | None:
        """Return the first weight in a text, or None."""
        return next(self.weights(text), None)

    def weights(self, text: str) -> Iterator[Pounds]:
        """Yield the weights in a text."""
        under = re.escape(self.said("under 1 {unit}")).replace(r"\{unit\}", _UNIT)
        for found in re.finditer(rf"(?P<low>\d[\d,]*)(?:–(?P<high>\d[\d,]*))? {_UNIT}|{under}", text):
            low = int((found["low"] or "0").replace(",", ""))
            yield low, int((found["high"] or found["low"] or "0").replace(",", ""))


def _real(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
