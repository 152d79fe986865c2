"""What the household's own fruit needed in former seasons: days in the cold and days on the counter."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from firmripe.days import DayCount
from firmripe.harvest.crop import records_of
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.saying import _
from firmripe.season.season import Season
from firmripe.words import counted

LONGEST_IN_STORE_D = 300
"""Days after the pick within which a line of the records can be about a lot; later ones are about the next. J."""

_GOOD = re.compile(r"(?<!not )\b(?:good|best|excellent|perfect)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One former season of a bearing: picked, first taken out, first ready after that, and whether it was good."""

    season: int
    picked: date
    taken_out: Record | None
    ready: Record | None
    good: bool


def runs(season: Season, bearing: Bearing) -> tuple[Run, ...]:
    """Return the former seasons of a bearing, oldest first."""
    lines = records_of(season, bearing)
    firsts: dict[int, date] = {}
    for record in lines:
        if record.what in PICKINGS and record.season < season.year.year:
            firsts.setdefault(record.season, record.day)
    found = []
    for year, day in sorted(firsts.items()):
        after = [r for r in lines if day <= r.day <= day + timedelta(days=LONGEST_IN_STORE_D)]
        taken_out = next((r for r in after if r.what is Happening.TAKEN_OUT), None)
        since = taken_out.day if taken_out else day
        ready = next((r for r in after if r.what is Happening.READY and r.day >= since), None)
        verdict = next(
            (r for r in after if r.what is Happening.VERDICT and r.day >= (ready or taken_out or r).day), None
        )
        good = verdict is not None and _GOOD.search(verdict.note.casefold()) is not None
        found.append(Run(season=year, picked=day, taken_out=taken_out, ready=ready, good=good))
    return tuple(found)


def own_cold(season: Season, bearing: Bearing) -> Figure[DayCount] | None:
    """Return the days from the first pick to the first box out, of the seasons that ended with a good verdict."""
    days = {
        run.season: ((run.taken_out.day - run.picked).days, run.taken_out)
        for run in runs(season, bearing)
        if run.taken_out is not None and run.good
    }
    return _figure(days)


def own_counter(season: Season, bearing: Bearing) -> Figure[DayCount] | None:
    """Return the days from taking out to ready, of every season that has both."""
    days = {
        run.season: ((run.ready.day - run.taken_out.day).days, run.ready)
        for run in runs(season, bearing)
        if run.taken_out is not None and run.ready is not None
    }
    return _figure(days)


def _figure(days: dict[int, tuple[int, Record]]) -> Figure[DayCount] | None:
    if not days:
        return None
    low, high = min(n for n, _ in days.values()), max(n for n, _ in days.values())
    text = counted(low, "day") if low == high else f"{low}-{high} days"
    where = days[max(days)][1].where
    seen = ", ".join(str(year) for year in sorted(days))
    return Figure(
        value=DayCount(low=low, high=high),
        text=text,
        cited=Cited(mark=Mark.OWN, source=None, page="", where=where),
        note=_("your own fruit of {seen}", seen=seen),
    )
