"""From the model's answer to an estimate with its reasons, line by line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening
from firmripe.saying import _, mark, term
from firmripe.season import spreads
from firmripe.season.estimate import Basis, Estimate, Happens, NoDate, Reason
from firmripe.season.forecast import Forecast
from firmripe.season.knowledge import Knowledge, Subject
from firmripe.season.model import Floats, Observation
from firmripe.season.observing import foretold, parted
from firmripe.season.warmth_words import forecast_words

_WORTH_A_LINE_D = 0.3
"""A contribution smaller than this (days) shares one line with the other small ones."""

_OWN_WEIGHT = 0.25
"""Where what was noted here weighs less than this in all, the printed date still speaks alone."""


_OF_THE_FIELD = {
    "firmness": mark("Firmness readings, carried to the firmness at the pick"),
    "drop": mark("The first sound fruit on the ground"),
}


class Groups:
    """The groups of some observations: sums over each, for one event after another."""

    def __init__(self, observations: Sequence[Observation]) -> None:
        numbers: dict[str, int] = {}
        self._at = np.array([numbers.setdefault(o.group, len(numbers)) for o in observations], dtype=np.intp)
        self._names = tuple(numbers)

    def sums(self, values: Floats) -> dict[str, float]:
        """Return the sum over each group of one value for each observation."""
        found = np.bincount(self._at, weights=values, minlength=len(self._names))
        return dict(zip(self._names, found.tolist(), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the model says of one event: mean (season day), spread (days), what each observation weighs and moves."""

    mean: float
    spread_d: float
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
    """Put the model's answer into an estimate. The shifts of its reasons add up to the whole shift."""
    prior = known.prior(subject, happens.event)
    if isinstance(prior, NoDate):
        raise TypeError("an event without a prior has no answer")
    mean, spread_d = answer.mean, answer.spread_d
    reasons = [*prior.reasons, *_grouped(known, subject, answer)]
    if happens.event is Event.PICK:
        load, more_spread = _load(known, subject)
        if load is not None:
            reasons.append(load)
            mean += load.days or 0.0
            spread_d = math.hypot(spread_d, more_spread)
    weights = answer.groups.sums(np.abs(answer.weights))
    own = sum(weight for group, weight in weights.items() if not group.startswith("interval"))
    return Estimate(
        likely=known.year.date_of(mean),
        spread_d=spread_d,
        basis=Basis.MODEL,
        reasons=tuple(reasons),
        rough=prior.rough and own < _OWN_WEIGHT,
    )


def _grouped(
    known: Knowledge,
    subject: Subject,
    answer: Answer,
) -> list[Reason]:
    """Add up the contributions line by line."""
    sums: dict[str, float] = {}
    for group, days in answer.groups.sums(answer.contributions).items():
        line = _line(known, subject, group, answer.forecasts)
        sums[line] = sums.get(line, 0.0) + days
    # Ordered by what is printed, then by name: the last digits differ between processors.
    lines = ((line, days) for line, days in sums.items() if abs(days) >= _WORTH_A_LINE_D)
    large = sorted(lines, key=lambda item: (-round(abs(item[1]), 1), item[0]))
    metric = known.holding.place.metric_first
    cited = {forecast_words(forecast, metric=metric): forecast.cited for forecast in answer.forecasts}
    reasons = [Reason(text=line, days=days, cited=cited.get(line, ())) for line, days in large]
    rest = [days for days in sums.values() if 0 < abs(days) < _WORTH_A_LINE_D]
    if rest:
        reasons.append(Reason(text=_("Everything else that was noted, together"), days=sum(rest)))
    return reasons


def _line(known: Knowledge, subject: Subject, group: str, forecasts: Sequence[Forecast]) -> str:
    what, names = parted(group)
    if what == "marker":
        name = known.holding.cultivars[names[0]].name
        is_pick = names[1] == Event.PICK.value
        return (
            _("The usual pick of {name} here", name=name) if is_pick else _("The usual bloom of {name} here", name=name)
        )
    if what in _OF_THE_FIELD:
        return _("{what}, of {whose}", what=term(_OF_THE_FIELD[what]), whose=_whose(subject, *names))
    whose = _whose(subject, *names)
    if what.startswith("forecast"):
        own = [forecast for forecast in forecasts if foretold(forecast) == group and _is_own(subject, *names)]
        metric = known.holding.place.metric_first
        return (
            forecast_words(own[0], metric=metric) if own else _("Warmth this spring, reckoned for {whose}", whose=whose)
        )
    if what == "interval":
        return _("The interval from full bloom to pick, of {whose}", whose=whose)
    when, event = what.split(": ")
    if when == "this season":
        return _("This season’s {event} of {whose}", event=term(event), whose=whose)
    return _("Noted in {when}: {event} of {whose}", when=term(when), event=term(event), whose=whose)


def _is_own(subject: Subject, tag: str, cultivar: str) -> bool:
    return tag == subject.tree.tag and cultivar == subject.limb.key


def _whose(subject: Subject, tag: str, cultivar: str) -> str:
    if _is_own(subject, tag, cultivar):
        return _("this tree")
    return _("other {limb}", limb=subject.limb.name) if cultivar == subject.limb.key else _("other trees")


def _load(known: Knowledge, subject: Subject) -> tuple[Reason | None, float]:
    """Return how this season's crop moves the date and how much it widens the window."""
    said = known.crop_said(subject)
    if said is None:
        return None, 0.0
    if said.what is Happening.LIGHT_CROP:
        return Reason(text=_("A light crop ripens 3 to 4 days sooner"), days=spreads.LIGHT_CROP_D), 0.0
    if said.what is Happening.HEAVY_CROP:
        return Reason(text=_("A heavy crop ripens up to a week later"), days=spreads.HEAVY_CROP_D), 0.0
    return Reason(text=_("Only part of the crop set: the window is wider"), days=0.0), spreads.PART_CROP_D
