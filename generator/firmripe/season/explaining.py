"""Why a date is what it is, and which note would make it surer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

import numpy as np
from msgspec import Struct

from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.remark import Remark
from firmripe.season import spreads
from firmripe.season.because import EventOf
from firmripe.season.estimate import Basis, Dated, Estimate, Happens, NoDate, Reach
from firmripe.season.knowledge import Subject
from firmripe.season.model import Floats, Occurrence, condition
from firmripe.season.season import Season, SeasonModel

_SHOWN = 3
_SAME_TO = 6
"""Widths that are the same to so many decimals of a day are ordered by name: the rest differs by computer."""
_ROUNDED_D = 1e-6
"""So near to half a day either whole day may be taken."""
_WORTH_NOTING_DAYS = 1
"""A note that would narrow a window by less than this many days is not asked for."""


class Narrowing(Remark, Struct, frozen=True, kw_only=True):
    """What a window's width (days, first to last both counted) would become if one more event were noted."""

    note: EventOf
    days_now: int
    days_then: int


class Explanation(Struct, frozen=True, kw_only=True):
    """An event's date with its whole story.

    `printed` is the window before anything was noted here (None where no printed date is known).
    """

    of: EventOf
    dated: Dated
    printed: Reach | None
    narrowings: tuple[Narrowing, ...]


class Explained(Struct, frozen=True, kw_only=True):
    """A season with the story of each of its dates."""

    season: Season
    explanations: Mapping[Happens, Explanation]


def explain_season(holding: Holding, year: int, as_of: date) -> Explained:
    """Work out one season as known on a day and explain it; nothing but that season."""
    model = SeasonModel(holding, holding.place.working_year(year), as_of)
    season = model.season(judge_picks=False)
    return Explained(season=season, explanations=explain(model, season))


def explain(model: SeasonModel, season: Season) -> dict[Happens, Explanation]:
    """Explain every date of a season."""
    known = _known(model)
    occurrences = [occurrence for _, _, occurrence in known.values()]
    before = condition(occurrences, [], model.year_scale).spread_d
    now = condition(occurrences, model.observations, model.year_scale).covariance
    rows = {happens: row for row, happens in enumerate(known)}
    asked = _OpenNotes(
        [
            _OpenNote(rows[happens], subject.event_of(event), dated)
            for happens, (subject, event, _) in known.items()
            if isinstance(dated := season.dates[happens], Estimate) and _can_be_noted(season, happens)
        ],
        now,
    )
    found: dict[Happens, Explanation] = {}
    for subject in model.subjects:
        for event in Event:
            happens = Happens.of(subject.bearing, event)
            dated, row = season.dates[happens], rows.get(happens)
            found[happens] = Explanation(
                of=subject.event_of(event),
                dated=dated,
                printed=None if row is None else _printed(model, occurrences[row], float(before[row])),
                narrowings=() if row is None else _narrowings(row, dated, asked),
            )
    return found


def _known(model: SeasonModel) -> dict[Happens, tuple[Subject, Event, Occurrence]]:
    """Return every event that the model can work out."""
    found: dict[Happens, tuple[Subject, Event, Occurrence]] = {}
    for subject in model.subjects:
        for event in Event:
            occurrence = model.occurrence(subject, event)
            if occurrence is not None:
                found.setdefault(Happens.of(subject.bearing, event), (subject, event, occurrence))
    return found


def _can_be_noted(season: Season, happens: Happens) -> bool:
    """Say whether an event is still to be noted this season: not seen yet, and its window not over."""
    dated = season.dates[happens]
    open_still = isinstance(dated, Estimate) and not dated.is_past and dated.latest >= season.as_of
    return open_still and happens.event is not Event.LEAF_FALL


def _printed(model: SeasonModel, target: Occurrence, spread_d: float) -> Reach:
    return Estimate(likely=model.year.date_of(target.day), spread_d=spread_d, basis=Basis.MODEL).reach


class _OpenNote(Struct, frozen=True):
    """An event that could be noted: its row among the known ones, which it is, and its date so far."""

    row: int
    of: EventOf
    dated: Estimate


class _OpenNotes:
    """All events that could be noted, and how uncertain things are together: `now`, the covariance (days²)."""

    def __init__(self, notes: Sequence[_OpenNote], now: Floats) -> None:
        self.notes = notes
        self._now = now
        self._rows = np.array([note.row for note in notes], dtype=np.intp)
        self._variances = now[self._rows, self._rows] + spreads.NOTE_D**2

    def narrowing(self, row: int, least: float) -> Iterator[tuple[_OpenNote, float]]:
        """Yield the notes that would take so much of an event's variance (days²) and more, and how much."""
        gains = self._now[row, self._rows] ** 2 / self._variances
        for at in np.flatnonzero((gains >= least) & (self._rows != row)).tolist():
            yield self.notes[at], float(gains[at])


def _narrowings(row: int, dated: Dated, asked: _OpenNotes) -> tuple[Narrowing, ...]:
    """Return the notes that would narrow a window most, best first: only of what comes no later than it.

    Only how uncertain things are together matters for that, not the day that would be noted.
    """
    if isinstance(dated, NoDate) or dated.basis not in {Basis.MODEL, Basis.STATED_INTERVAL}:
        return ()
    found = []
    nearest = max(0.0, _half(dated.spread_d) - 0.5 + _ROUNDED_D) / spreads.EIGHTY_PERCENT
    for note, gain in asked.narrowing(row, dated.spread_d**2 - nearest**2):
        if note.dated.likely > dated.likely:
            continue
        then = max(0.0, dated.spread_d**2 - gain) ** 0.5  # a part crop goes on widening it
        narrowing = Narrowing(note=note.of, days_now=_width(dated.spread_d), days_then=_width(then))
        if narrowing.days_now - narrowing.days_then >= _WORTH_NOTING_DAYS:
            found.append((round(then, _SAME_TO), _rank(note.of), narrowing))
    return tuple(narrowing for _, _, narrowing in sorted(found, key=lambda item: item[:2])[:_SHOWN])


def _rank(of: EventOf) -> tuple[bool, str, str, str]:
    """Return the place of a note among those that narrow a window alike: blooms first, then by name."""
    return of.event is not Event.FULL_BLOOM, of.limb, of.tree, of.crop


def _width(spread_d: float) -> int:
    """Return how many days a window of this spread holds."""
    return 2 * _half(spread_d) + 1


def _half(spread_d: float) -> int:
    """Return how many days a window of this spread holds on each side of its middle."""
    return round(spreads.EIGHTY_PERCENT * spread_d)
