"""From the model's answer to an estimate with its reasons, line by line."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from firmripe.holding.fruit import Cultivar, Event
from firmripe.holding.record import Happening
from firmripe.holding.tree import Bearing
from firmripe.saying import _, mark, term
from firmripe.season import spreads
from firmripe.season.estimate import Basis, Estimate, Happens, NoDate, Reason
from firmripe.season.forecast import Forecast
from firmripe.season.knowledge import Knowledge, Subject
from firmripe.season.model import Floats, Observation, Whole
from firmripe.season.observing import foretold, parted
from firmripe.season.warmth_words import forecast_words

_WORTH_A_LINE_D = 1.0
"""A contribution smaller than this (days) shares a line with the other small ones: nobody acts on part of a day. J."""

_OWN_WEIGHT = 0.25
"""Where what was noted here weighs less than this in all, the printed date still speaks alone."""


VERDICTS = "verdicts"
"""What the line is called that holds what verdicts on earlier fruit say of its picks."""

_OF_ITS_FRUIT = {
    VERDICTS: mark("What verdicts say of earlier picks"),
    "firmness": mark("Firmness readings, carried to the firmness at the pick"),
    "drop": mark("The first sound fruit on the ground"),
}


class Groups:
    """What observations come under: sums over each line of an explanation, for one event after another.

    The observations of a group share a line of every explanation, which line it is hangs on whose the event is. Lines
    are numbers until one of them is put into words: most are too small to be shown.
    """

    def __init__(self, observations: Sequence[Observation], cultivars: Mapping[str, Cultivar]) -> None:
        numbers: dict[str, int] = {}
        self._at = _whole(numbers.setdefault(o.group, len(numbers)) for o in observations)
        said = [parted(group) for group in numbers]
        self._taught = np.array([o.taught_d for o in observations])
        self._tied = np.array([what == "interval" for what, _ in said], dtype=bool)
        owners: dict[tuple[str, ...], int] = {}
        kinds: dict[str, int] = {}
        self._owner = _whole(owners.setdefault(names, len(owners)) for _, names in said)
        self._kind = _whole(kinds.setdefault(names[-1], len(kinds)) for _, names in said)
        self._owners, self._kinds = owners, kinds
        lines: dict[Line, int] = {}
        self._lines = np.array(
            [
                [lines.setdefault(line, len(lines)) for line in _lines_of(group, *one, cultivars)]
                for group, one in zip(numbers, said, strict=True)
            ],
            dtype=np.intp,
        ).reshape(-1, len(Whose))
        self._named = tuple(lines)

    def lines(self, contributions: Floats, weights: Floats, bearing: Bearing) -> dict[Line, float]:
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
            found |= {Line(VERDICTS, one): float(by_whose[one]) for one in Whose if by_whose[one]}
        return found

    def free(self, values: Floats) -> float:
        """Return the sum over all but the printed intervals."""
        return float(values[~self._tied[self._at]].sum())


def _whole(numbers: Iterable[int]) -> Whole:
    return np.fromiter(numbers, dtype=np.intp)


class Whose(IntEnum):
    """Whose an observation is, seen from an event: the same limb's, another of its kind's, or of other trees."""

    OWN = 0
    KIN = 1
    OTHERS = 2


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an explanation: what the observations in it are, and whose; `name` is a cultivar's of a marker.

    `group` is set for the event's own forecast alone, whose words are its own.
    """

    what: str
    whose: Whose
    name: str = ""
    group: str = ""


def _lines_of(group: str, what: str, names: tuple[str, ...], cultivars: Mapping[str, Cultivar]) -> Iterator[Line]:
    """Yield the line that a group comes under in explanations of its own event, of its kin's and of others'."""
    for whose in Whose:
        if what == "marker":
            yield Line(f"marker: {names[1]}", Whose.OTHERS, name=cultivars[names[0]].name)
        elif what.startswith("forecast"):
            yield Line("forecast", whose, group=group if whose is Whose.OWN else "")
        else:
            yield Line(what, whose)


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
    *,
    told: bool = True,
) -> Estimate:
    """Put the model's answer into an estimate. The shifts of its reasons add up to the whole shift.

    What nobody reads the reasons of is not `told`, and has none.
    """
    prior = known.prior(subject, happens.event)
    if isinstance(prior, NoDate):
        raise TypeError("an event without a prior has no answer")
    mean, spread_d = answer.mean, answer.spread_d
    reasons = [*prior.reasons, *_grouped(known, subject, answer)] if told else []
    if happens.event is Event.PICK:
        load, more_spread = _load(known, subject)
        if load is not None:
            reasons.append(load)
            mean += load.days or 0.0
            spread_d = math.hypot(spread_d, more_spread)
    return Estimate(
        likely=known.year.date_of(mean),
        spread_d=spread_d,
        basis=Basis.MODEL,
        reasons=tuple(reasons) if told else (),
        rough=prior.rough and answer.groups.free(np.abs(answer.weights)) < _OWN_WEIGHT,
    )


def _grouped(
    known: Knowledge,
    subject: Subject,
    answer: Answer,
) -> list[Reason]:
    """Add up the contributions line by line, and put those into words that are large enough to be shown."""
    sums = answer.groups.lines(answer.contributions, answer.weights, subject.bearing)
    words = {
        line: _line(known, subject, line, answer.forecasts)
        for line, days in sums.items()
        if abs(days) >= _WORTH_A_LINE_D
    }
    # Ordered by what is printed, then by name: the last digits differ between processors.
    large = sorted(words, key=lambda line: (-round(abs(sums[line]), 1), words[line]))
    cited = {foretold(forecast): forecast.cited for forecast in answer.forecasts}
    reasons = [Reason(why=words[line], days=sums[line], cited=cited.get(line.group, ())) for line in large]
    rest = [days for days in sums.values() if 0 < abs(days) < _WORTH_A_LINE_D]
    if rest:
        reasons.append(Reason(why=_("Everything else that was noted, together"), days=sum(rest)))
    return reasons


def _line(known: Knowledge, subject: Subject, line: Line, forecasts: Sequence[Forecast]) -> str:
    if line.what.startswith("marker"):
        is_bloom = line.what.endswith(Event.FULL_BLOOM.value)
        said = _("The usual bloom of {name} here") if is_bloom else _("The usual pick of {name} here")
        return said.format(name=line.name)
    whose = _whose(subject, line.whose)
    if line.what in _OF_ITS_FRUIT:
        return _("{what}, of {whose}", what=term(_OF_ITS_FRUIT[line.what]), whose=whose)
    if line.what == "forecast":
        own = [forecast for forecast in forecasts if foretold(forecast) == line.group]
        metric = known.holding.place.metric_first
        return (
            forecast_words(own[0], metric=metric) if own else _("Warmth this spring, reckoned for {whose}", whose=whose)
        )
    if line.what == "interval":
        return _("The interval from full bloom to pick, of {whose}", whose=whose)
    when, event = line.what.split(": ")
    if when == "this season":
        return _("This season’s {event} of {whose}", event=term(event), whose=whose)
    return _("Noted in {when}: {event} of {whose}", when=term(when), event=term(event), whose=whose)


def _whose(subject: Subject, whose: Whose) -> str:
    if whose is Whose.OWN:
        return _("this tree")
    return _("other {limb}", limb=subject.limb.name) if whose is Whose.KIN else _("other trees")


def _load(known: Knowledge, subject: Subject) -> tuple[Reason | None, float]:
    """Return how this season's crop moves the date and how much it widens the window."""
    said = known.crop_said(subject)
    if said is None:
        return None, 0.0
    if said.what is Happening.LIGHT_CROP:
        return Reason(why=_("A light crop ripens 3 to 4 days sooner"), days=spreads.LIGHT_CROP_D), 0.0
    if said.what is Happening.HEAVY_CROP:
        return Reason(why=_("A heavy crop ripens up to a week later"), days=spreads.HEAVY_CROP_D), 0.0
    return Reason(why=_("Only part of the crop set: the window is wider"), days=0.0), spreads.PART_CROP_D
