"""How days, spans and shifts are said, on pages, in feeds and on the command line."""

from __future__ import annotations

from datetime import date

from firmripe.days import Span

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_LONG_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_LONG_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def short_day(day: date) -> str:
    """Say a day as `28 Aug`."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def week_day(day: date) -> str:
    """Say a day as `Sat 28 Aug`."""
    return f"{_DAYS[day.weekday()]} {short_day(day)}"


def long_day(day: date) -> str:
    """Say a day as `Saturday 28 August 2027`."""
    return f"{_LONG_DAYS[day.weekday()]} {day.day} {_LONG_MONTHS[day.month - 1]} {day.year}"


def heading_day(day: date) -> str:
    """Say a day as `Saturday 28 August`."""
    return f"{_LONG_DAYS[day.weekday()]} {day.day} {_LONG_MONTHS[day.month - 1]}"


def month_name(year: int, month: int) -> str:
    """Say a month as `August 2027`."""
    return f"{_LONG_MONTHS[month - 1]} {year}"


def span_words(span: Span) -> str:
    """Say a span as `Sat 28 Aug`, `28 Aug to 3 Sep`, with the year where it changes."""
    if span.first == span.last:
        return week_day(span.first)
    if span.first.year != span.last.year:
        return f"{short_day(span.first)} {span.first.year} to {short_day(span.last)} {span.last.year}"
    return f"{short_day(span.first)} to {short_day(span.last)}"


def between(earliest: date, latest: date) -> str:
    """Say how early or late a day may come, as `between 26 Aug and 3 Sep`; empty where it is certain."""
    return "" if earliest == latest else f"between {short_day(earliest)} and {short_day(latest)}"


def shift_words(days: float) -> str:
    """Say a shift as `3.8 days earlier`, `1.0 day later` or `no change`."""
    size = round(abs(days), 1)
    if size == 0:
        return "no change"
    return f"{size:.1f} day{'' if size == 1 else 's'} {'earlier' if days < 0 else 'later'}"


def counted(number: int, noun: str) -> str:
    """Say a number of things, as `1 tree` or `21 trees`."""
    return f"{number} {noun}{'' if number == 1 else 's'}"
