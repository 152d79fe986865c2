"""The weather on the household's ground: each day's lowest and highest temperature."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise
from operator import le

from msgspec import Struct

from firmripe.days import Span

LONGEST_FILLED = 3
"""A gap of so many days is filled between its neighbours; a longer one stays a gap (our judgement)."""


class Doubtful(Struct, frozen=True, kw_only=True):
    """How many days of a file are set aside, and why: lowest above highest, impossible, or stuck at one reading."""

    file: str
    crossed: int = 0
    impossible: int = 0
    stuck: int = 0


class Weather(Struct, frozen=True, kw_only=True, cache_hash=True):
    """Days in order, each once, with their lowest and highest temperature in °C.

    `filled` holds the days that nobody read: short gaps, filled in a straight line between their neighbours.
    `doubtful` tells of what a station read and nobody believes.
    Raises ValueError if the days are out of order or the three differ in length.
    """

    days: tuple[date, ...] = ()
    tmin_c: tuple[float, ...] = ()
    tmax_c: tuple[float, ...] = ()
    filled: frozenset[date] = frozenset()
    doubtful: tuple[Doubtful, ...] = ()

    def __post_init__(self) -> None:
        if not len(self.days) == len(self.tmin_c) == len(self.tmax_c):
            raise ValueError("days and temperatures differ in number")
        if any(map(le, self.days[1:], self.days)):
            raise ValueError("the days are out of order")

    @classmethod
    def of(cls, read: Mapping[date, tuple[float, float]], doubtful: tuple[Doubtful, ...] = ()) -> Weather:
        """Put days that were read (lowest, highest; °C) in order and fill the short gaps."""
        days: dict[date, tuple[float, float]] = {}
        filled: set[date] = set()
        before: date | None = None
        for day in sorted(read):
            missing = (day - before).days - 1 if before else 0
            if before and 0 < missing <= LONGEST_FILLED:
                for step in range(1, missing + 1):
                    between = before + timedelta(days=step)
                    days[between] = _between(read[before], read[day], step / (missing + 1))
                    filled.add(between)
            days[day] = read[day]
            before = day
        return cls(
            days=tuple(days),
            tmin_c=tuple(low for low, _ in days.values()),
            tmax_c=tuple(high for _, high in days.values()),
            filled=frozenset(filled),
            doubtful=doubtful,
        )

    @property
    def gaps(self) -> tuple[Span, ...]:
        """The stretches within the record that have no weather."""
        one = timedelta(days=1)
        return tuple(
            Span(first=earlier + one, last=later - one)
            for earlier, later in pairwise(self.days)
            if later - earlier > one
        )

    def until(self, day: date) -> Weather:
        """Return the weather as known on the evening of a day: nothing later, and nothing filled from later days."""
        return _until(self, day)


@lru_cache(maxsize=4)
def _until(weather: Weather, day: date) -> Weather:
    """Return what is known on a day of weather that is the key itself: each crop asks for that of the same day."""
    end = bisect_right(weather.days, day)
    while end and weather.days[end - 1] in weather.filled:
        end -= 1
    kept = weather.days[:end]
    return Weather(
        days=kept, tmin_c=weather.tmin_c[:end], tmax_c=weather.tmax_c[:end], filled=weather.filled.intersection(kept)
    )


def _between(before: tuple[float, float], after: tuple[float, float], share: float) -> tuple[float, float]:
    low, high = (first + share * (second - first) for first, second in zip(before, after, strict=True))
    return low, high
