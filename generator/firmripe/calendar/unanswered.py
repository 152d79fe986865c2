"""Pickings whose day has come and that nobody noted: one question each, and the jobs that wait for its answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from datetime import date, timedelta
from typing import Final

from dateutil.relativedelta import relativedelta
from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.entry import Calendar, Entry
from firmripe.calendar.pickings import due, is_after_the_pick
from firmripe.days import Span
from firmripe.harvest.lots import Lot
from firmripe.harvest.passes import Picking
from firmripe.holding.fruit import Cultivar
from firmripe.holding.task import Each
from firmripe.holding.tree import Bearing
from firmripe.season.estimate import Basis
from firmripe.season.season import Season

LEAST_ASKED_D: Final = 21
"""So long at least after its last day to pick fruit is asked after, however short it keeps, and may still hang. J."""
ASKED_D: Final = 60
"""So long where nobody knows how long it keeps. J."""


class Open(Struct, frozen=True, kw_only=True):
    """A picking whose day has come and of which nothing is noted: `since` when it is due, `until` its last good day.

    It `is_past` when that day is over too, and `rests` once the fruit would be used up or spoilt, whoever picked it:
    then nobody is asked any more. It `may_hang` for some time after that last day, whatever it keeps: so long somebody
    may still climb for it. `waiting` are the jobs that wait for the answer.
    """

    bearing: Bearing
    season: int
    picking: Picking
    since: date
    until: date
    is_past: bool
    may_hang: bool = True
    rests: bool = False
    waiting: tuple[Entry, ...] = ()

    @property
    def bars(self) -> bool:
        """Whether nothing of the crop is picked yet, as far as is noted, so that what follows the pick waits."""
        return self.picking.number == 1


def open_pickings(season: Season, lots: Mapping[Bearing, Lot]) -> dict[Bearing, Open]:
    """Return the first picking of each crop that is due and not noted, the most pressing first."""
    found = []
    for bearing, lot in lots.items():
        pick = season.picks.get(bearing)
        picking = next((one for one in lot.pickings if not one.noted), None)
        if picking is None or picking.due >= season.as_of or pick is None:
            continue
        until = max(due(picking, pick).latest, lot.pickings[-1].due if pick.basis is Basis.OWN_DAYS else date.min)
        found.append(
            Open(
                bearing=bearing,
                season=season.year.year,
                picking=picking,
                since=picking.due,
                until=until,
                is_past=until < season.as_of,
                may_hang=until + timedelta(days=LEAST_ASKED_D) >= season.as_of,
                rests=until + _keeping(season.holding.limb(bearing)) < season.as_of,
            )
        )
    return {one.bearing: one for one in most_pressing_first(found)}


def most_pressing_first(open_ones: Iterable[Open]) -> tuple[Open, ...]:
    """Return pickings, of whatever season: what there is time for, with least of it first, then what was over last."""
    ordered = sorted(open_ones, key=lambda one: (one.until, one.bearing))
    over = (one for one in reversed(ordered) if one.is_past)
    return (*(one for one in ordered if not one.is_past), *over)


def _keeping(limb: Cultivar) -> timedelta:
    """Return how long fruit of a cultivar is there at most after it is picked."""
    keeps = limb.traits.keeps
    return timedelta(days=max(LEAST_ASKED_D, keeps.value.high) if keeps else ASKED_D)


def barring(open_ones: Mapping[Bearing, Open]) -> dict[Bearing, Open]:
    """Return those of which nothing is picked yet, as far as is noted."""
    return {bearing: one for bearing, one in open_ones.items() if one.bars}


def held_back(calendar: Calendar, open_ones: Mapping[Bearing, Open], as_of: date) -> tuple[Calendar, tuple[Open, ...]]:
    """Return a calendar without the jobs that ask for fruit of which nobody knows that it is picked, and the questions.

    As long as it may well hang, what follows the pick is counted from today, and nothing stands there that hangs on
    today itself: who can't say yet that it is picked has nothing to weigh tomorrow.
    Once its last good day is over all of it waits for the answer. What was planned for days that are past stays where
    it stood, and waits with the rest.
    """
    barred = barring(open_ones)
    free = {_merged_as(entry) for entry in calendar.entries if not set(entry.bearings) <= set(barred)}
    entries: list[Entry] = []
    waiting: dict[Bearing, list[Entry]] = {}
    for entry in calendar.entries:
        kept = _kept(entry, barred, free, as_of)
        if kept is None and entry.task.each is Each.PLACE and _merged_as(entry) in free:
            continue  # the round is made for the others' sake, and waits for nobody's answer
        if kept is not None:
            entries.append(kept)
        if kept is None or is_after_the_pick(entry.task.when, entry.task.topic):
            for bearing in entry.bearings:
                if bearing in barred and (kept is None or barred[bearing].is_past):
                    waiting.setdefault(bearing, []).append(entry)
    found = (replace(one, waiting=tuple(waiting.get(bearing, ()))) for bearing, one in open_ones.items())
    return replace(calendar, entries=tuple(entries)), tuple(found)


def _merged_as(entry: Entry) -> tuple[str, str, str, int]:
    """Return what the jobs have in common that would be one if all their fruit were picked."""
    return entry.task.key, entry.subject, entry.crop, entry.season


def _kept(
    entry: Entry, barred: Mapping[Bearing, Open], free: AbstractSet[tuple[str, str, str, int]], as_of: date
) -> Entry | None:
    """Return what is left of a job where some of its fruit is not known to be picked; None where all of it waits.

    Beside a job with fruit of its kind that is `free` there is none with such as may hang.
    """
    asked = [barred[bearing] for bearing in entry.bearings if bearing in barred]
    if not asked or not is_after_the_pick(entry.task.when, entry.task.topic):
        return entry
    others = tuple(bearing for bearing in entry.bearings if bearing not in barred)
    if others:
        return replace(entry, bearings=others)
    if _merged_as(entry) in free:
        return None
    is_past = all(one.is_past for one in asked)
    days = tuple(day for day in entry.days if day < as_of or (not is_past and _comes_later(entry, day, as_of)))
    kept = entry.on(days) if days else None
    if kept is None or not is_past:
        return kept
    return replace(kept, span=Span(first=kept.span.first, last=min(kept.span.last, as_of - timedelta(days=1))))


def _comes_later(entry: Entry, day: date, as_of: date) -> bool:
    """Say whether a day of a job and the day of its fruit that it is counted from are both still to come."""
    when = entry.task.when
    first = day if entry.every is None or entry.pickings else entry.days[0]
    return day > as_of and first - relativedelta(months=when.months, days=when.days) > as_of
