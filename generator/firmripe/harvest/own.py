"""What the household's own fruit needed in former seasons: days in the cold and on the counter, and how long it kept.

What is printed counts as one year beside the household's own, so that these take its place as they gather.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import DayCount
from firmripe.harvest.crop import records_of
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.holding.verdict import Cause, Fault
from firmripe.lately import answered_once
from firmripe.season.season import Season
from firmripe.season.verdicts import COLD_STEP_D, LONG_COLD, LONGEST_IN_STORE_D, Judged

PRINTED_YEARS: Final = 1
"""So many own years a printed range is worth. J: pages that print days on the counter differ by one or two days
(Bartlett 5, 4-5 and 6 days; Bosc 5-7 and 7), as much as one household's seasons do."""


class OwnFruitDays(Figure[DayCount], frozen=True, kw_only=True):
    """Days of the household's own fruit in so many `seasons`, with what is `printed`, as written, or None, beside."""

    seasons: tuple[int, ...]
    printed: str | None


class FormerSeason(Struct, frozen=True, kw_only=True):
    """One former season of a bearing: picked, first taken out, first ready after that, and the verdicts on it."""

    season: int
    picked: date
    taken_out: Record | None
    ready: Record | None
    judged: tuple[Judged, ...]

    @property
    def good(self) -> bool:
        """Whether what was eaten first was good: no later box that failed takes that back."""
        since = next((r.day for r in (self.ready, self.taken_out) if r is not None), self.picked)
        return next((one.good for one in self.judged if one.record.day >= since), False)

    def failed_by(self, cause: Cause) -> tuple[Judged, ...]:
        """Return the verdicts of which this is the one cause left."""
        return tuple(one for one in self.judged if one.cause is cause and one.faults)


@answered_once
def runs(season: Season, bearing: Bearing) -> tuple[FormerSeason, ...]:
    """Return the former seasons of a bearing, oldest first."""
    lines = records_of(season, bearing)
    firsts: dict[int, date] = {}
    for record in lines:
        if record.what in PICKINGS:
            firsts.setdefault(record.season, record.day)
    found = []
    for year, day in sorted(firsts.items()):
        if year >= season.year.year:
            continue
        following = min((first for other, first in firsts.items() if other > year), default=date.max)
        last = min(day + timedelta(days=LONGEST_IN_STORE_D), following - timedelta(days=1))
        after = [r for r in lines if day <= r.day <= last]
        taken_out = next((r for r in after if r.what is Happening.TAKEN_OUT), None)
        since = taken_out.day if taken_out else day
        ready = next((r for r in after if r.what is Happening.READY and r.day >= since), None)
        judged = tuple(one for one in season.verdicts.get(bearing, ()) if one.season == year)
        found.append(FormerSeason(season=year, picked=day, taken_out=taken_out, ready=ready, judged=judged))
    return tuple(found)


def own_cold(
    season: Season, bearing: Bearing, printed: Figure[DayCount], most: float | None
) -> Figure[DayCount] | None:
    """Return the days in the cold by the printed ones and the household's own; None without a year that says more.

    A good verdict speaks for the days that fruit had. Fruit that stayed hard for too little cold, though it had what is
    told, speaks for `COLD_STEP_D` more. Never longer than `most`, the limit of keeping.
    """
    days: dict[int, tuple[float, Record]] = {}
    for run in runs(season, bearing):
        if run.taken_out is not None and run.good:
            days[run.season] = (run.taken_out.day - run.picked).days, run.taken_out
        short = [one for one in run.failed_by(Cause.SHORT_COLD) if Fault.HARD in one.faults and one.cold_d is not None]
        for one in short:
            if one.cold_d is not None and one.cold_d >= printed.value.low:
                days[run.season] = max(printed.value.middle, one.cold_d + COLD_STEP_D), one.record
    return _figure(days, printed, lambda found: _at_most(found, most, printed.value))


def own_counter(season: Season, bearing: Bearing, printed: Figure[DayCount] | None) -> Figure[DayCount] | None:
    """Return the days on the counter by the printed ones and the household's own; None without a year of its own.

    A year counts from taking out to ready. Fruit that stood too long was ripe before it was tried, and speaks at most
    for what is printed.
    """
    days: dict[int, tuple[float, Record]] = {}
    for run in runs(season, bearing):
        if run.taken_out is None:
            continue
        if run.ready is not None:
            days[run.season] = (run.ready.day - run.taken_out.day).days, run.ready
        for one in run.failed_by(Cause.LONG_COUNTER):
            if printed is not None:
                stood = days.get(run.season, (float(one.counter_d or 0), one.record))[0]
                days[run.season] = min(stood, printed.value.low), one.record
    return _figure(days, printed)


def own_limit(season: Season, bearing: Bearing, published: Figure[DayCount] | None) -> Figure[DayCount] | None:
    """Return a limit of keeping that the household's own fruit shortened; None where none failed by long cold.

    Fruit that failed after so many days had kept for `LONG_COLD` of them. It is never longer than what is published.
    """
    days: dict[int, tuple[float, Record]] = {}
    for run in runs(season, bearing):
        for one in run.failed_by(Cause.LONG_COLD):
            if one.cold_d:
                days[run.season] = LONG_COLD * one.cold_d, one.record
    if published is None:
        return _figure(days, None)
    limit = published.value
    whole = replace(published, value=DayCount(low=limit.high, high=limit.high))
    return _figure(days, whole, lambda found: _shorter(limit, found.middle))


def _shorter(limit: DayCount, most: float) -> DayCount:
    return DayCount(low=min(limit.low, round(most)), high=min(limit.high, round(most)))


def _at_most(found: DayCount, most: float | None, printed: DayCount) -> DayCount:
    """Return days with none beyond a limit; where what is printed lies beyond it, that limit is for other kinds."""
    if most is None or printed.high > most:
        return found
    return DayCount(low=min(found.low, most), high=min(found.high, most))


def drawn_on(printed: DayCount | None, own: Sequence[float]) -> DayCount:
    """Return the days by a printed range, which counts as `PRINTED_YEARS`, and those of own years.

    The middle is their mean, and the range is as wide as they lie about it (root mean square).
    """
    if printed is None:
        return DayCount(low=min(own), high=max(own))
    weight, half = PRINTED_YEARS + len(own), (printed.high - printed.low) / 2
    middle = (PRINTED_YEARS * printed.middle + sum(own)) / weight
    about = PRINTED_YEARS * (half**2 + (printed.middle - middle) ** 2) + sum((day - middle) ** 2 for day in own)
    wide = (about / weight) ** 0.5
    return DayCount(low=max(0, round(middle - wide)), high=round(middle + wide))


def _figure(
    days: Mapping[int, tuple[float, Record]],
    printed: Figure[DayCount] | None,
    within: Callable[[DayCount], DayCount] = lambda found: found,
) -> Figure[DayCount] | None:
    if not days:
        return None
    value = within(drawn_on(printed.value if printed else None, [day for day, _ in days.values()]))
    low, high = value.low, value.high
    text = f"{low:g}-{high:g} days" if low != high else "1 day" if round(low) == 1 else f"{round(low)} days"
    own = Cited(mark=Mark.OWN, source=None, page="", where=days[max(days)][1].where)
    return OwnFruitDays(
        value=value, text=text, cited=own, seasons=tuple(sorted(days)), printed=printed.text if printed else None
    )
