"""From the model's answer to an estimate with its reasons, line by line."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
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
from firmripe.season.laws import Floats, Posterior, Whole
from firmripe.season.model import Observation
from firmripe.season.observing import foretold

_WORTH_A_LINE_D = 1.0
"""A contribution smaller than this (days) shares a line with the other small ones: nobody acts on part of a day. J."""

_ROUNDED_D = 1e-9
"""What moves a date by less is left of rounding."""

_OWN_WEIGHT = 0.25
"""Where what was noted here weighs less than this in all, the printed date still speaks alone. J."""


class Groups:
    """What observations come under: sums over each line of an explanation, for one event after another.

    The observations of a group share a line of every explanation, which line it is hangs on whose the event is: those
    of its own tree are added up one by one, all others by what they are for its kin and for others (a class), which
    are the same sums for all. Lines are numbers until one of them is told: most are too small to be shown.
    """

    def __init__(
        self, observations: Sequence[Observation], cultivars: Mapping[str, Cultivar], posterior: Posterior
    ) -> None:
        self._posterior = posterior
        self._taught = np.array([o.taught_d for o in observations], dtype=np.float64)
        lines = {group: tuple(_lines_of(group, cultivars)) for group in dict.fromkeys(o.group for o in observations)}
        classes: dict[_Class, int] = {}
        numbers = {
            group: classes.setdefault((group.cultivar, at[Whose.KIN], at[Whose.OTHERS]), len(classes))
            for group, at in lines.items()
        }
        self._groups = [o.group for o in observations]
        self._lines = lines
        self._class = [numbers[group] for group in self._groups]
        self._classes = tuple(classes)
        self._count = np.bincount(_whole(self._class), minlength=len(classes)).tolist()

    @cached_property
    def _noted(self) -> _Sums:
        """What was noted moves, without what verdicts say of it."""
        return self._sums(self._posterior.surprises - self._taught)

    @cached_property
    def _verdicts(self) -> _Sums | None:
        """What verdicts on earlier fruit move; None where there are none."""
        return self._sums(self._taught) if self._taught.any() else None

    def _sums(self, values: Floats) -> _Sums:
        shared = self._posterior.shared_sums(values, _whole(self._class), len(self._classes))
        return _Sums(shared.tolist(), values.tolist())

    @cached_property
    def _within(self) -> dict[int, list[tuple[int, float, float]]]:
        """What the observations of each target's tree weigh on it, by what is the tree's own and by what is shared."""
        found: dict[int, list[tuple[int, float, float]]] = {}
        for block in self._posterior.blocks:
            parts = block.targets, block.observations, block.weights, block.within(self._posterior.pull)
            for targets, observations, own, shared in zip(*(part.tolist() for part in parts), strict=True):
                for at, target in enumerate(targets):
                    found[target] = list(zip(observations, own[at], shared[at], strict=True))
        return found

    def lines(self, row: int, bearing: Bearing) -> dict[ReasonLine, float]:
        """Return the sum over each line that an explanation of a bearing's event, a row of the answer, may have.

        What verdicts on earlier fruit say has lines of its own, apart from the days that were noted.
        """
        found: dict[ReasonLine, float] = {}
        for line, _, days in self._by_line(row, bearing, self._noted):
            found[line] = found.get(line, 0.0) + days
        for _, whose, days in self._by_line(row, bearing, self._verdicts) if self._verdicts else ():
            line = ReasonLine(Evidence.VERDICTS, whose)
            found[line] = found.get(line, 0.0) + days
        return found

    def _by_line(self, row: int, bearing: Bearing, sums: _Sums) -> Iterator[tuple[ReasonLine, Whose, float]]:
        """Yield sums of a row, each with its line and with whose it is: first what is of its own tree."""
        shared, left = sums.shared[row].copy(), self._count.copy()
        for at, own, by_shared in self._within.get(row, ()):
            group, of = self._groups[at], self._class[at]
            if group.tree == bearing.tree:
                whose = Whose.OWN if group.cultivar == bearing.cultivar else Whose.LIMBS
                shared[of] -= by_shared * sums.values[at]
                left[of] -= 1
                yield self._lines[group][whose], whose, (own + by_shared) * sums.values[at]
            else:
                shared[of] += own * sums.values[at]
        for (cultivar, kin, others), days, count in zip(self._classes, shared, left, strict=True):
            if count:
                is_kin = cultivar == bearing.cultivar
                yield (kin, Whose.KIN, days) if is_kin else (others, Whose.OTHERS, days)


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
    """Yield the line that a group comes under, by whose it is in an explanation."""
    for whose in Whose:
        if group.evidence is Evidence.USUAL_DAY:
            yield ReasonLine(group.evidence, Whose.OTHERS, group.event, name=cultivars[group.cultivar].name)
        elif group.evidence is Evidence.WARMTH:
            yield ReasonLine(group.evidence, whose, foretold=group if whose is Whose.OWN else None)
        else:
            yield ReasonLine(group.evidence, whose, group.event)


_Class = tuple[str, ReasonLine, ReasonLine]
"""Of which cultivar an observation is, and what it comes under in explanations of its kin and of others."""


class _Sums(Struct, frozen=True):
    """What observations move by what is shared, by row and class, and of what the sums are: a value of each."""

    shared: list[list[float]]
    values: list[float]


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
    """Which row of the model's answer it is, what observations come under, and what warmth foretold."""

    row: int
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
    sums = parts.groups.lines(parts.row, subject.bearing)
    foretelling = {foretold(forecast): forecast for forecast in parts.forecasts}
    # Ordered by what is shown, then by what they are: the last digits differ between processors.
    large = sorted(
        (line for line, days in sums.items() if abs(days) >= _WORTH_A_LINE_D),
        key=lambda line: (-round(abs(sums[line]), 1), line.rank),
    )
    reasons = [_reason(subject, line, sums[line], foretelling) for line in large]
    rest = [days for days in sums.values() if _ROUNDED_D < abs(days) < _WORTH_A_LINE_D]
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
