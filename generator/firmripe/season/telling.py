"""From the model's answer to an estimate with its reasons, line by line."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

import numpy as np
from msgspec import Struct

from firmripe.holding.fruit import Cultivar, Event
from firmripe.holding.record import Happening
from firmripe.holding.tree import Bearing
from firmripe.season import spreads
from firmripe.season.because import (
    AllElseNoted,
    CropSize,
    Evidence,
    FromNotes,
    Group,
    MovesNothing,
    UsualDayStated,
    Whose,
)
from firmripe.season.estimate import Basis, Estimate, Happens, NoDate, Reason
from firmripe.season.forecast import Forecast
from firmripe.season.knowledge import Knowledge, Subject
from firmripe.season.model import Floats, Observation, Whole
from firmripe.season.observing import foretold

_WORTH_A_LINE_D = 1.0
"""A contribution smaller than this (days) shares a line with the other small ones: nobody acts on part of a day. J."""

_OWN_WEIGHT = 0.25
"""Where what was noted here weighs less than this in all, the printed date still speaks alone. J."""


class Groups:
    """What observations come under: sums over each line of an explanation, for one event after another.

    The observations of a group share a line of every explanation, which line it is hangs on whose the event is. Lines
    are numbers until one of them is told: most are too small to be shown.
    """

    def __init__(self, observations: Sequence[Observation], cultivars: Mapping[str, Cultivar]) -> None:
        numbers: dict[Group, int] = {}
        self._at = _whole(numbers.setdefault(o.group, len(numbers)) for o in observations)
        self._taught = np.array([o.taught_d for o in observations])
        owners: dict[tuple[str, str], int] = {}
        kinds: dict[str, int] = {}
        self._owner = _whole(owners.setdefault((g.tree, g.cultivar), len(owners)) for g in numbers)
        self._kind = _whole(kinds.setdefault(g.cultivar, len(kinds)) for g in numbers)
        self._owners, self._kinds = owners, kinds
        lines: dict[ReasonLine, int] = {}
        self._lines = np.array(
            [[lines.setdefault(line, len(lines)) for line in _lines_of(group, cultivars)] for group in numbers],
            dtype=np.intp,
        ).reshape(-1, len(Whose))
        self._named = tuple(lines)

    def lines(self, contributions: Floats, weights: Floats, bearing: Bearing) -> dict[ReasonLine, float]:
        """Return the sum over each line that an explanation of a bearing's event may have, in the groups' order.

        What verdicts on earlier fruit say has lines of its own, apart from the days that were noted.
        """
        taught = weights * self._taught
        of_groups = np.bincount(self._at, weights=contributions - taught, minlength=len(self._lines))
        owner = self._owners.get((bearing.tree, bearing.cultivar), -1)
        kind = self._kinds.get(bearing.cultivar, -1)
        whose = np.where(self._owner == owner, Whose.OWN, np.where(self._kind == kind, Whose.KIN, Whose.OTHERS))
        at = self._lines[np.arange(len(whose)), whose]
        sums = np.bincount(at, weights=of_groups, minlength=len(self._named))
        found = {self._named[line]: float(sums[line]) for line in dict.fromkeys(at.tolist())}
        if taught.any():
            by_whose = np.bincount(whose[self._at], weights=taught, minlength=len(Whose))
            found |= {ReasonLine(Evidence.VERDICTS, one): float(by_whose[one]) for one in Whose if by_whose[one]}
        return found


def _whole(numbers: Iterable[int]) -> Whole:
    return np.fromiter(numbers, dtype=np.intp)


class ReasonLine(Struct, frozen=True):
    """One line of an explanation: what the observations in it are, and whose; `name` is a cultivar's of a usual day.

    `foretold` is set for the event's own forecast alone, which tells what it rests on.
    """

    evidence: Evidence
    whose: Whose
    event: Event = Event.PICK
    name: str = ""
    foretold: Group | None = None

    @property
    def rank(self) -> tuple[Evidence, str, Whose, str]:
        """Its place among lines that move a date alike."""
        return self.evidence, self.event.value, self.whose, self.name


def _lines_of(group: Group, cultivars: Mapping[str, Cultivar]) -> Iterator[ReasonLine]:
    """Yield the line that a group comes under in explanations of its kin's event, of others' and of its own."""
    for whose in Whose:
        if group.evidence is Evidence.USUAL_DAY:
            yield ReasonLine(group.evidence, Whose.OTHERS, group.event, name=cultivars[group.cultivar].name)
        elif group.evidence is Evidence.WARMTH:
            yield ReasonLine(group.evidence, whose, foretold=group if whose is Whose.OWN else None)
        else:
            yield ReasonLine(group.evidence, whose, group.event)


class Answer(Struct, frozen=True, kw_only=True):
    """What the model says of one event: mean (season day) and spread (days).

    `heard` is what all that was noted here weighs, without printed intervals. Reasons are made of the `parts`, which
    an answer whose reasons nobody reads has not.
    """

    mean: float
    spread_d: float
    heard: float
    parts: Parts | None = None


class Parts(Struct, frozen=True):
    """What each observation weighs and moves, what they come under, and what warmth foretold."""

    weights: Floats
    contributions: Floats
    groups: Groups
    forecasts: Sequence[Forecast]


def estimate(
    known: Knowledge,
    subject: Subject,
    happens: Happens,
    answer: Answer,
) -> Estimate:
    """Put the model's answer into an estimate. The shifts of its reasons add up to the whole shift.

    An answer without parts gives an estimate without reasons. Raises TypeError for an event without a prior, of which
    the model is asked nothing.
    """
    prior = known.prior(subject, happens.event)
    if isinstance(prior, NoDate):
        raise TypeError("an event without a prior has no answer")
    mean, spread_d = answer.mean, answer.spread_d
    reasons = [*prior.reasons, *_grouped(subject, answer.parts)] if answer.parts else []
    if happens.event is Event.PICK:
        load, more_spread = _load(known, subject)
        if load is not None:
            reasons += [load] if answer.parts else []
            mean += load.days or 0.0
            spread_d = math.hypot(spread_d, more_spread)
        reasons += _without_say(known, subject) if answer.parts else []
    return Estimate(
        likely=known.year.date_of(mean),
        spread_d=spread_d,
        basis=Basis.MODEL,
        reasons=tuple(reasons),
        rough=prior.rough and answer.heard < _OWN_WEIGHT,
    )


def _grouped(subject: Subject, parts: Parts) -> list[Reason]:
    """Add up the contributions line by line, and tell those that are large enough to be shown."""
    sums = parts.groups.lines(parts.contributions, parts.weights, subject.bearing)
    foretelling = {foretold(forecast): forecast for forecast in parts.forecasts}
    # Ordered by what is shown, then by what they are: the last digits differ between processors.
    large = sorted(
        (line for line, days in sums.items() if abs(days) >= _WORTH_A_LINE_D),
        key=lambda line: (-round(abs(sums[line]), 1), line.rank),
    )
    reasons = [_reason(subject, line, sums[line], foretelling) for line in large]
    rest = [days for days in sums.values() if 0 < abs(days) < _WORTH_A_LINE_D]
    if rest:
        reasons.append(Reason(why=AllElseNoted(), days=sum(rest)))
    return reasons


def _reason(subject: Subject, line: ReasonLine, days: float, foretelling: Mapping[Group, Forecast]) -> Reason:
    if line.foretold is not None:
        forecast = foretelling[line.foretold]
        return Reason(why=forecast, days=days, cited=forecast.cited)
    if line.evidence is Evidence.USUAL_DAY:
        return Reason(why=UsualDayStated(line.event, line.name), days=days)
    return Reason(why=FromNotes(line.evidence, line.event, line.whose, subject.limb.name), days=days)


_CROPS: Final[Mapping[Happening, tuple[float, float]]] = {
    Happening.LIGHT_CROP: (spreads.LIGHT_CROP_D, 0.0),
    Happening.HEAVY_CROP: (spreads.HEAVY_CROP_D, 0.0),
    Happening.PART_CROP: (0.0, spreads.PART_CROP_D),
}
"""By how many days a size of crop moves a pick, and by how many (one standard deviation) it widens its window."""


def _without_say(known: Knowledge, subject: Subject) -> list[Reason]:
    """Tell this season's readings that move no date, for want of a target or of a known fall."""
    kept = [Happening.STARCH, Happening.BRIX]
    if subject.limb.traits.firmness_at_pick is None:
        kept.insert(0, Happening.FIRMNESS)
    return [Reason(why=MovesNothing(reading)) for reading in kept if known.this_season(subject, reading)]


def _load(known: Knowledge, subject: Subject) -> tuple[Reason | None, float]:
    """Return how this season's crop moves the date and how much it widens the window."""
    said = known.crop_said(subject)
    if said is None or said.what not in _CROPS:
        return None, 0.0
    days, more_spread = _CROPS[said.what]
    return Reason(why=CropSize(said.what), days=days), more_spread
