"""Why a date is what it is, and which note would make it surer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np
from msgspec import Struct

from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.remark import Remark
from firmripe.season import spreads
from firmripe.season.because import EventOf, OwnRecordsAlone
from firmripe.season.estimate import Basis, Dated, Estimate, Happens, NoDate, Reach
from firmripe.season.knowledge import Subject
from firmripe.season.laws import Floats, JointLaw, Whole
from firmripe.season.model import Occurrence, condition
from firmripe.season.prior import Prior
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
    before = condition(occurrences, []).spread_d
    now = condition(occurrences, model.observations, model.year_scale).law
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
                printed=None if row is None else _printed(model, model.known.prior(subject, event), float(before[row])),
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


def _printed(model: SeasonModel, prior: Prior | NoDate, spread_d: float) -> Reach | None:
    """Return the window that was expected; None where what was noted here is all that tells of it."""
    if isinstance(prior, NoDate) or any(isinstance(reason.why, OwnRecordsAlone) for reason in prior.reasons):
        return None
    return Estimate(likely=model.year.date_of(prior.day), spread_d=spread_d, basis=Basis.MODEL).reach


class _OpenNote(Struct, frozen=True):
    """An event that could be noted: its row among the known ones, which it is, and its date so far."""

    row: int
    of: EventOf
    dated: Estimate


class _OpenNotes:
    """All events that could be noted, and how uncertain things are together: `now`, their joint law.

    Most notes take less than is asked from the events of other trees, so that none of these need be looked at: by
    what they share no more than both have of it (Cauchy and Schwarz).
    """

    def __init__(self, notes: Sequence[_OpenNote], now: JointLaw) -> None:
        self._notes = notes
        self._now = now
        self._rows = np.array([note.row for note in notes], dtype=np.intp)
        self._variances = now.variance[self._rows] + spreads.NOTE_D**2
        self._days = np.array([note.dated.likely.toordinal() for note in notes], dtype=np.intp)
        ranked = sorted(range(len(notes)), key=lambda at: _rank(notes[at].of))
        self._ranks = np.empty(len(notes), dtype=np.intp)
        self._ranks[ranked] = np.arange(len(notes))
        self._of_block: dict[int, list[int]] = {}
        for at, block in enumerate(now.block[self._rows].tolist()):
            self._of_block.setdefault(block, []).append(at)
        self._shared = np.einsum("tr,tr->t", now.shared, now.shared)
        self._most = float((self._shared[self._rows] / self._variances).max(initial=0.0))

    def narrowings(self, row: int, dated: Estimate) -> tuple[Narrowing, ...]:
        """Return the notes that would narrow a window most, best first: only of what comes no later than it."""
        half = _half(dated.spread_d)
        nearest = max(0.0, half - 0.5 + _ROUNDED_D) / spreads.EIGHTY_PERCENT
        at, gains = self._gains(row, dated.spread_d**2 - nearest**2)
        then = np.sqrt(np.maximum(dated.spread_d**2 - gains, 0.0))  # a part crop goes on widening it
        halves = np.rint(spreads.EIGHTY_PERCENT * then)
        kept = (self._days[at] <= dated.likely.toordinal()) & (2 * (half - halves) >= _WORTH_NOTING_DAYS)
        at, then, halves = at[kept], np.round(then[kept], _SAME_TO), halves[kept]
        if len(at) > _SHOWN:
            best = then <= np.partition(then, _SHOWN - 1)[_SHOWN - 1]
            at, then, halves = at[best], then[best], halves[best]
        shown = np.lexsort((self._ranks[at], then))[:_SHOWN].tolist()
        return tuple(
            Narrowing(note=self._notes[at[one]].of, days_now=2 * half + 1, days_then=2 * int(halves[one]) + 1)
            for one in shown
        )

    def _gains(self, row: int, least: float) -> tuple[Whole, Floats]:
        """Return the notes that would take so much of an event's variance (days²) and more, and how much."""
        if self._shared[row] * self._most < least:
            at = np.array(self._of_block.get(int(self._now.block[row]), ()), dtype=np.intp)
        else:
            at = np.arange(len(self._notes))
        at = at[self._rows[at] != row]
        gains = self._now.between(np.array([row]), self._rows[at])[0] ** 2 / self._variances[at]
        kept = gains >= least
        return at[kept], gains[kept]


def _narrowings(row: int, dated: Dated, asked: _OpenNotes) -> tuple[Narrowing, ...]:
    """Return which notes would narrow a window; none where it is no window of the model's.

    Only how uncertain things are together matters for that, not the day that would be noted.
    """
    if isinstance(dated, NoDate) or dated.basis not in {Basis.MODEL, Basis.STATED_INTERVAL}:
        return ()
    return asked.narrowings(row, dated)


def _rank(of: EventOf) -> tuple[bool, str, str, str]:
    """Return the place of a note among those that narrow a window alike: blooms first, then by name."""
    return of.event is not Event.FULL_BLOOM, of.limb, of.tree, of.crop


def _half(spread_d: float) -> int:
    """Return how many days a window of this spread holds on each side of its middle."""
    return round(spreads.EIGHTY_PERCENT * spread_d)
