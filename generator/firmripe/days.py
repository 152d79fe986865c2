"""Calendar arithmetic: days, days of any year, stretches, rhythms, and the working year of a season."""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from datetime import date, datetime, timedelta
from enum import Enum
from functools import cached_property, lru_cache

from dateutil.relativedelta import relativedelta
from dateutil.rrule import DAILY, WEEKLY, rrule
from msgspec import Struct

from firmripe.problems import Unreadable

_MONTHS = {name.casefold(): number for number, name in enumerate(calendar.month_name) if name}
_MONTHS |= {name.casefold(): number for number, name in enumerate(calendar.month_abbr) if name}
_MONTHS["sept"] = 9
_DASH = re.compile(r"\s*(?:–|—|\bto\b|\s-\s)\s*", re.IGNORECASE)
_DAY_HINT = "write the day as 2027-08-20 or 20 Aug 2027"
_YEARS = range(1800, 2200)  # a year outside these is a slip of the pen
_YEARLY_HINT = "write a day as Aug 20, or a stretch as Aug 20 - Sep 5 or late August"


class Hemisphere(Enum):
    """Which half of the earth: it decides where in the calendar year midwinter lies."""

    NORTH = "north"
    SOUTH = "south"


class Span(Struct, frozen=True, kw_only=True):
    """Days from `first` to `last`, both included, so never empty."""

    first: date
    last: date

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError(f"span ends {self.last}, before it starts {self.first}")

    def __contains__(self, day: date) -> bool:
        return self.first <= day <= self.last

    def meets(self, other: Span) -> bool:
        """Say whether the two spans share a day."""
        return self.first <= other.last and other.first <= self.last

    def without(self, days: AbstractSet[date]) -> Iterator[Span]:
        """Yield what is left of it without some days, in order; nothing where they are all of it."""
        if not days:
            yield self
            return
        first = self.first
        for day in sorted(day for day in days if day in self):
            if first < day:
                yield Span(first=first, last=day - timedelta(days=1))
            first = day + timedelta(days=1)
        if first <= self.last:
            yield Span(first=first, last=self.last)


class MonthDay(Struct, frozen=True, order=True):
    """A day of any year. In a common year 29 February is taken as 28 February."""

    month: int
    day: int

    def in_year(self, year: int) -> date:
        """Return the date of this day in `year`."""
        last = calendar.monthrange(year, self.month)[1]
        return date(year, self.month, min(self.day, last))

    def half_a_year_on(self) -> MonthDay:
        """Return the same day six months later, as the other half of the earth has it (31 Aug: 28 Feb)."""
        month = (self.month + 5) % 12 + 1
        return MonthDay(month, min(self.day, calendar.monthrange(2001, month)[1]))


class Stretch(Struct, frozen=True, kw_only=True):
    """From one day of the year to another, both included; it may run over New Year."""

    first: MonthDay
    last: MonthDay

    def __contains__(self, day: date) -> bool:
        first, last = self.first.in_year(day.year), self.last.in_year(day.year)
        return first <= day <= last if first <= last else day >= first or day <= last


Days = Stretch | Span
"""Days as a household tells of them: of every year, or of one."""


class DayCount(Struct, frozen=True, kw_only=True):
    """A number of days, from `low` to `high` (days, not below 0)."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """The middle of the range, in days."""
        return (self.low + self.high) / 2


class Rhythm(Struct, frozen=True, kw_only=True):
    """How often something comes back: every `count` days, weeks or months."""

    count: int
    unit: str

    def days_in(self, span: Span) -> Iterator[date]:
        """Yield the first day of the span and then each repeat within it.

        A month after 31 January is the last day of February, not a day in March.
        """
        if self.unit == "month":
            step = 0
            while (day := span.first + relativedelta(months=step)) <= span.last:
                yield day
                step += self.count
            return
        days = rrule(
            DAILY if self.unit == "day" else WEEKLY,
            interval=self.count,
            dtstart=_at(span.first),
            until=_at(span.last),
        )
        for moment in days:
            yield moment.date()

    def __str__(self) -> str:
        if self.count == 1:
            return f"every {self.unit}"
        return f"every {self.count} {self.unit}s"


def _at(day: date) -> datetime:
    return datetime(day.year, day.month, day.day)  # noqa: DTZ001 - the recurrence rule takes plain moments


class WorkingYear(Struct, frozen=True, kw_only=True, cache_hash=True, dict=True):
    """The twelve months of one season, from midwinter to midwinter, named for the year of the harvest.

    In the north the season 2027 runs from 1 January to 31 December 2027;
    in the south, where bloom comes in spring of the year before, from 1 July 2026 to 30 June 2027.
    Where fruit never rests the household says on which day of the year it `begins`; one that begins in July or later
    is named for the year after. A season day is the number of days since midwinter, which is day 0: so far into the
    year it is, wherever the season begins.
    """

    year: int
    hemisphere: Hemisphere = Hemisphere.NORTH
    begins: MonthDay | None = None

    @cached_property
    def midwinter(self) -> date:
        """The day that season days are counted from: the midwinter nearest to the season's first day."""
        if self.hemisphere is Hemisphere.NORTH:
            return date(self.year, 1, 1)
        return date(self.year if self.begins is not None and self.begins.month < 7 else self.year - 1, 7, 1)

    @cached_property
    def first(self) -> date:
        """The first day, midwinter where the household says nothing else."""
        if self.begins is None:
            return self.midwinter
        return self.begins.in_year(self.year if self.begins.month < 7 else self.year - 1)

    @cached_property
    def last(self) -> date:
        """The last day."""
        return self.named(self.year + 1).first - timedelta(days=1)

    def __contains__(self, day: date) -> bool:
        return self.first <= day <= self.last

    def named(self, year: int) -> WorkingYear:
        """Return the season of another year in the same place."""
        return self if year == self.year else _season_of(year, self.hemisphere, self.begins)

    def day_number(self, day: date) -> int:
        """Return the season day of a date; before midwinter it is negative."""
        return (day - self.midwinter).days

    def date_of(self, season_day: float) -> date:
        """Return the date nearest to a season day."""
        return self.midwinter + timedelta(days=round(season_day))

    def place_day(self, day: MonthDay, written_for: Hemisphere) -> date:
        """Return the date in this season of a day of the year.

        A day written for the other half of the earth is moved half a year.
        """
        here = day if written_for is self.hemisphere else day.half_a_year_on()
        in_first_year = here.in_year(self.first.year)
        return in_first_year if in_first_year >= self.first else here.in_year(self.first.year + 1)

    @classmethod
    def of(cls, day: date, hemisphere: Hemisphere, begins: MonthDay | None = None) -> WorkingYear:
        """Return the season that a day belongs to."""
        found = cls(year=day.year, hemisphere=hemisphere, begins=begins)
        return found.named(day.year - 1 if day < found.first else day.year + 1 if day > found.last else day.year)


@lru_cache(maxsize=1000)
def _season_of(year: int, hemisphere: Hemisphere, begins: MonthDay | None) -> WorkingYear:
    """Return a season, the same each time: every record asks for its own."""
    return WorkingYear(year=year, hemisphere=hemisphere, begins=begins)


def parse_day(text: str) -> date:
    """Read one day: `2027-08-20`, `20 Aug 2027` or `Aug 20, 2027`.

    Raises Unreadable, for `03/04/2027` with both readings, and where the year is plainly a slip.
    """
    plain = text.strip()
    if match := re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", plain):
        return _date(plain, *map(int, match.groups()))
    if match := re.fullmatch(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})", plain):
        first, second, year = map(int, match.groups())
        if first <= 12 and second <= 12 and first != second:
            readings = f"{_words(second, first, year)} or {_words(first, second, year)}"
            raise Unreadable(f'"{plain}" can mean {readings}', _DAY_HINT)
        month, day = (first, second) if first <= 12 else (second, first)
        return _date(plain, year, month, day)
    if match := re.fullmatch(r"(\d{1,2})\s+([^\W\d]+)\.?,?\s+(\d{4})", plain):
        day_text, name, year_text = match.groups()
    elif match := re.fullmatch(r"([^\W\d]+)\.?\s+(\d{1,2}),?\s+(\d{4})", plain):
        name, day_text, year_text = match.groups()
    else:
        raise Unreadable(f'"{plain}" is not a day', _DAY_HINT)
    return _date(plain, int(year_text), _month(plain, name), int(day_text))


def _words(day: int, month: int, year: int) -> str:
    return f"{day} {calendar.month_abbr[month]} {year}"


def _month(text: str, name: str) -> int:
    month = _MONTHS.get(name.casefold())
    if month is None:
        raise Unreadable(f'"{text}": no month is called "{name}"', _DAY_HINT)
    return month


def _date(text: str, year: int, month: int, day: int) -> date:
    if year not in _YEARS:
        raise Unreadable(f'"{text}": was the year {year} meant?', _DAY_HINT)
    try:
        return date(year, month, day)
    except ValueError as error:
        raise Unreadable(f'"{text}" is not a day of the calendar', _DAY_HINT) from error


def parse_stretch(text: str) -> Stretch:
    """Read a day of any year or a stretch of days, as `Aug 20`, `Aug 20 - Sep 5` or `mid-August`.

    Early is day 1 to 10 of the month, mid 11 to 20, late 21 to its end: common practice.
    A stretch may run over New Year; one that leaves out less than two months was written backwards.
    Raises Unreadable.
    """
    parts = _DASH.split(text.strip())
    if len(parts) > 2 or not all(parts):
        raise Unreadable(f'"{text}" is not a day or a stretch of the year', _YEARLY_HINT)
    first = _part(text, parts[0], None)
    last = _part(text, parts[-1], first[0].month) if len(parts) == 2 else first
    left_out = (first[0].in_year(2000) - last[1].in_year(2000)).days
    if 0 < left_out < 60:
        raise Unreadable(f'"{text}" runs backwards', "write the earlier day first, as Aug 20 - Sep 5")
    return Stretch(first=first[0], last=last[1])


def parse_day_of_year(text: str) -> MonthDay:
    """Read one day of every year, `Jul 1`. Raises Unreadable."""
    found = parse_stretch(text)
    if found.first != found.last:
        raise Unreadable(f'"{text}" is more than one day', "write one day of the year, as Jul 1")
    return found.first


def parse_days(text: str) -> Days:
    """Read days of every year, `Aug 20 - Sep 5`, or of one, `2027-08-20 - 2027-09-05` or `20 Aug 2027`.

    Raises Unreadable.
    """
    if not re.search(r"\b\d{4}\b", text) or not re.search(r"[^\d\s]", text):
        return parse_stretch(text)
    parts = re.split(r"\s+(?:-|–|—|to)\s+", text.strip(), flags=re.IGNORECASE)
    if len(parts) > 2:
        raise Unreadable(f'"{text}" is more than a first and a last day', "write 2027-08-20 - 2027-09-05")
    first, last = parse_day(parts[0]), parse_day(parts[-1])
    if last < first:
        raise Unreadable(f'"{text}" runs backwards', "write the earlier day first, as 2027-08-20 - 2027-09-05")
    return Span(first=first, last=last)


def _part(text: str, part: str, month_before: int | None) -> tuple[MonthDay, MonthDay]:
    plain = part.strip().rstrip(".")
    if match := re.fullmatch(r"(\d{1,2})\s+([^\W\d]+)|([^\W\d]+)\.?\s+(\d{1,2})", plain):
        day, name = (match[1], match[2]) if match[1] else (match[4], match[3])
        return _month_day(text, name, int(day))
    if month_before is not None and (match := re.fullmatch(r"\d{1,2}", plain)):
        return _month_day(text, calendar.month_name[month_before], int(plain))
    if match := re.fullmatch(r"(?:(early|mid|late)[- ])?([^\W\d]+)", plain, re.IGNORECASE):
        month = _MONTHS.get(match[2].casefold())
        if month is not None:
            end = 29 if month == 2 else calendar.monthrange(2001, month)[1]
            bounds = {"early": (1, 10), "mid": (11, 20), "late": (21, end)}
            first, last = bounds[match[1].casefold()] if match[1] else (1, end)
            return MonthDay(month, first), MonthDay(month, last)
    raise Unreadable(f'"{text}" is not a day or a stretch of the year', _YEARLY_HINT)


def _month_day(text: str, name: str, day: int) -> tuple[MonthDay, MonthDay]:
    month = _MONTHS.get(name.casefold())
    if month is None:
        raise Unreadable(f'"{text}": no month is called "{name}"', _YEARLY_HINT)
    if not 1 <= day <= calendar.monthrange(2000, month)[1]:
        raise Unreadable(f'"{text}": {calendar.month_name[month]} has no day {day}', _YEARLY_HINT)
    found = MonthDay(month, day)
    return found, found


_UNIT_DAYS = {"hour": 1 / 24, "hr": 1 / 24, "day": 1.0, "week": 7.0, "wk": 7.0, "month": 30.0, "year": 365.0}
_LONGEST_DAYS = 3660  # more is a slip of the pen


def parse_day_count(text: str) -> DayCount:
    """Read a number of days: `5 days`, `4-6 weeks`, `24 hours`, `2-3 months` (30 days each).

    Raises Unreadable.
    """
    match = re.fullmatch(r"(\d+(?:\.\d+)?)(?:\s*(?:-|–|to)\s*(\d+(?:\.\d+)?))?\s*([a-z]+?)s?", text.strip().casefold())
    size = _UNIT_DAYS.get(match[3]) if match else None
    if match is None or size is None:
        raise Unreadable(f'"{text}" is not a number of days', "write it as 5 days, 4-6 weeks or 2 months")
    low = float(match[1]) * size
    high = float(match[2]) * size if match[2] else low
    if high < low:
        raise Unreadable(f'"{text}" runs backwards', "write the smaller number first, as 4-6 weeks")
    if high > _LONGEST_DAYS:
        raise Unreadable(f'"{text}" is more than ten years', "write it as 5 days, 4-6 weeks or 2 months")
    return DayCount(low=low, high=high)


def parse_rhythm(text: str) -> Rhythm:
    """Read how often something comes back: `2 days`, `1 week`, `day`. Raises Unreadable."""
    match = re.fullmatch(r"(?:every\s+)?(\d{1,3})?\s*(day|week|month)s?", text.strip().casefold())
    if match is None or (match[1] and int(match[1]) == 0):
        raise Unreadable(f'"{text}" is not a rhythm', "write it as 2 days, 1 week or 1 month")
    return Rhythm(count=int(match[1] or 1), unit=match[2])
