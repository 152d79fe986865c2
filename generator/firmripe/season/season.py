"""From the holding to the dates of one season, each with its reasons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import cached_property

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.matter import Matter
from firmripe.holding.pollination import by_tree, widowed
from firmripe.holding.record import Happening
from firmripe.holding.standing import gone_by, may_be_too_young
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing, Tree
from firmripe.remark import Remark
from firmripe.season import spreads
from firmripe.season.because import Evidence, FirmnessStands, NotFalling, NotThere, PerhapsTooYoung
from firmripe.season.estimate import Dated, Estimate, Happens, NoDate
from firmripe.season.field import LOOKED_AT, question_about
from firmripe.season.forecast import (
    Forecast,
    ForecastBasis,
    NoForecast,
    bloom_forecasts,
    last_known,
    pick_forecasts,
)
from firmripe.season.knowledge import Knowledge, Subject
from firmripe.season.model import Observation, Occurrence, condition
from firmripe.season.observing import (
    Earlier,
    Lessons,
    Noted,
    firmness,
    from_weather,
    in_order,
    is_free,
    observe,
)
from firmripe.season.ranking import by_rank
from firmripe.season.telling import Answer, Groups, Parts, estimate
from firmripe.season.verdicts import PICK_OFF_SPREAD_D, Verdicts, judge


class Season(Struct, frozen=True, kw_only=True, dict=True):
    """The dates of one season as known on a day.

    `dates` holds every event of every bearing that stands, `questions` what the records make one ask, by tree,
    `forecasts` what warmth foretells, or why it can't. `expected` is when a pick that was noted would have been looked
    for, had nobody picked; it is empty where that was not asked for. `verdicts` are those on fruit of any season, as
    understood, oldest first.
    """

    holding: Holding
    year: WorkingYear
    as_of: date
    dates: Mapping[Happens, Dated]
    questions: Mapping[str, tuple[Remark, ...]]
    forecasts: tuple[Forecast | NoForecast, ...]
    expected: Mapping[Bearing, Estimate] = field(default_factory=dict)
    verdicts: Verdicts = field(default_factory=dict)

    def of(self, bearing: Bearing, event: Event) -> Dated:
        """Return when an event of a bearing happens; one that stands no more has no date."""
        return self.dates.get(Happens.of(bearing, event)) or NoDate(reason=NotThere.TAKEN_OUT)

    @cached_property
    def picks(self) -> Mapping[Bearing, Estimate]:
        """The dates of picking, of each crop that has one: they are asked for more often than any others."""
        of_picks = ((h.bearing, dated) for h, dated in self.dates.items() if h.event_name == Event.PICK.value)
        return {bearing: dated for bearing, dated in of_picks if isinstance(dated, Estimate)}

    def bears(self, bearing: Bearing) -> bool:
        """Say whether a crop is to be picked, as far as is known."""
        return bearing in self.picks

    def stands(self, bearing: Bearing) -> bool:
        """Say whether a bearing's tree stands, as far as is known."""
        return Happens.of(bearing, Event.PICK) in self.dates

    @property
    def standing(self) -> tuple[Tree, ...]:
        """The trees of which a limb stands at least on the day of knowledge, in walking order.

        One that was taken out in this season has dates in it, and stands no more.
        """
        gone = gone_by(self.holding.trees, self.holding.records, self.as_of)
        return tuple(
            tree
            for tree in self.holding.trees
            if any(self.stands(bearing) and (tree.tag, bearing.cultivar) not in gone for bearing in tree.bearings)
        )

    @cached_property
    def bearings(self) -> tuple[Bearing, ...]:
        """Every bearing of the trees that stand, in walking order."""
        return tuple(bearing for tree in self.holding.trees for bearing in tree.bearings if self.stands(bearing))


_AT_ONCE = 256
"""Of so many rough dates together is looked at what was noted: all of a large orchard's would take a square of them."""


class SeasonModel:
    """The season model of one holding, one season and one day of knowledge.

    `alike` is a model of the same holding and season on another day, which has looked up already what stayed the same.
    """

    def __init__(self, holding: Holding, year: WorkingYear, as_of: date, alike: SeasonModel | None = None) -> None:
        self.holding = holding
        self.year = year
        self.as_of = as_of
        self.known: Knowledge = Knowledge(holding, year, as_of, alike.known if alike else None)
        self._foretold = None if alike else _foretell(self.known)
        forecasts = self._foretold if self._foretold is not None else _foretell(self.known, unseen_alone=True)
        self._made = [forecast for forecast in forecasts if isinstance(forecast, Forecast)]
        self.verdicts: Verdicts = judge(self.known, alike.verdicts if alike else None)
        self.noted: Noted = Noted(_lessons(self.verdicts), alike.noted if alike else None)
        others, now = observe(self.known, self._made, self.noted)
        self.earlier: Earlier = Earlier(self.known, others, alike.earlier if alike else None)
        self._now = in_order((*now, *from_weather(self.known, self._made, self.earlier)))

    @cached_property
    def forecasts(self) -> tuple[Forecast | NoForecast, ...]:
        """What warmth foretells of bloom and picking, seen or not, or why it can't."""
        return _foretell(self.known) if self._foretold is None else self._foretold

    @cached_property
    def observations(self) -> tuple[Observation, ...]:
        """Every observation that bears on the season."""
        return in_order((*self.earlier.observations, *self._now))

    @property
    def year_scale(self) -> float:
        """How much years differ here, as a factor on the table's spread of years (see `year_scale_of`)."""
        return self.earlier.year_scale

    @property
    def subjects(self) -> tuple[Subject, ...]:
        """Every bearing that stands, with its tree and limb."""
        return self.known.subjects

    def occurrence(self, subject: Subject, event: Event) -> Occurrence | None:
        """Return an event of this season as the model knows it; None where it has no date."""
        return self.known.occurrence(subject, event)

    def season(self, *, judge_picks: bool = True) -> Season:
        """Work out every date, and, to judge them by, when picks that were noted would have been looked for."""
        wanted = self._wanted()
        dates = self._dates(wanted, self._answers(wanted, self.observations))
        questions = _questions(self.known, dates)
        return Season(
            holding=self.holding,
            year=self.year,
            as_of=self.as_of,
            dates=dates,
            questions=questions,
            forecasts=self.forecasts,
            expected=self._expected(dates) if judge_picks else {},
            verdicts=self.verdicts,
        )

    def dates(self, wanted: Iterable[Happens]) -> dict[Happens, Dated]:
        """Work out some dates alone, without reasons; what does not stand on the day of knowledge is left out.

        This season's few notes are weighed in after all others, which the models of other days share.
        """
        found = {h: subject for h in dict.fromkeys(wanted) if (subject := self.known.subject_of(h)) is not None}
        return self._dates(found, self._soon(found))

    def _wanted(self) -> dict[Happens, Subject]:
        """Return every event of every bearing that stands, in walking order."""
        wanted = {Happens.of(s.bearing, event): s for s in reversed(self.subjects) for event in reversed(Event)}
        return dict(reversed(wanted.items()))

    def _targets(self, wanted: Mapping[Happens, Subject]) -> dict[Happens, Occurrence]:
        return {h: o for h, s in wanted.items() if (o := self.occurrence(s, h.event)) is not None}

    def _dates(self, wanted: Mapping[Happens, Subject], answers: Mapping[Happens, Answer]) -> dict[Happens, Dated]:
        dates: dict[Happens, Dated] = {}
        for happens, subject in wanted.items():
            dated: Dated | None = None
            if happens in answers:
                dated = estimate(self.known, subject, happens, answers[happens])
            else:
                prior = self.known.prior(subject, happens.event)
                dated = prior if isinstance(prior, NoDate) else NoDate(reason=NotThere.NOT_KNOWN)
            dates[happens] = by_rank(self.known, subject, happens.event, dated)
        return dates

    def _answers(self, wanted: Mapping[Happens, Subject], observations: Sequence[Observation]) -> dict[Happens, Answer]:
        """Return what the model makes of some observations, for each event asked for that it knows."""
        targets = self._targets(wanted)
        result = condition(list(targets.values()), observations, self.year_scale)
        groups, spread_d = Groups(observations, self.holding.cultivars, result), result.spread_d
        rough = [row for row, happens in enumerate(targets) if self.known.is_rough(wanted[happens], happens.event)]
        heard = np.zeros(len(targets))
        free = np.array([is_free(observation) for observation in observations], dtype=bool)
        for start in range(0, len(rough), _AT_ONCE):
            some = rough[start : start + _AT_ONCE]
            ways = np.arange(len(targets)) == np.array(some)[:, None]
            heard[some] = result.heard(ways.astype(np.float64), free)
        return {
            happens: Answer(
                mean=float(result.mean[row]),
                spread_d=float(spread_d[row]),
                heard=float(heard[row]),
                parts=Parts(row, groups, self._made),
            )
            for row, happens in enumerate(targets)
        }

    def _soon(self, wanted: Mapping[Happens, Subject]) -> dict[Happens, Answer]:
        """Return the same for every observation, without the parts that reasons are made of."""
        targets, now = self._targets(wanted), self._now
        asked = list(targets.values())
        weighed = self.earlier.weighed([*asked, *(observation.later for observation in now)])
        result = weighed.more(asked, now)
        spread_d, heard = result.spread_d, np.zeros(len(asked))
        if any(self.known.is_rough(wanted[happens], happens.event) for happens in targets):
            weights = result.weights()
            later = np.abs(weights[:, [is_free(observation) for observation in now]]).sum(axis=1)
            heard = weighed.heard(asked, now, weights, self.earlier.free) + later
        return {
            happens: Answer(mean=float(result.mean[row]), spread_d=float(spread_d[row]), heard=float(heard[row]))
            for row, happens in enumerate(targets)
        }

    def _expected(self, dates: Mapping[Happens, Dated]) -> dict[Bearing, Estimate]:
        """Return when the picks noted this season would have been looked for, had none of them been noted."""
        picked: dict[Happens, Subject] = {}
        for subject in self.subjects:
            happens = Happens.of(subject.bearing, Event.PICK)
            dated = dates[happens]
            if isinstance(dated, Estimate) and dated.is_past:
                picked[happens] = subject
        if not picked:
            return {}
        noted = Evidence.THIS_SEASON, Event.PICK
        others = [o for o in self.observations if (o.group.evidence, o.group.event) != noted]
        answers = self._answers(picked, others)
        return {
            s.bearing: estimate(self.known, s, happens, replace(answers[happens], parts=None))
            for s in self.subjects
            if (happens := Happens.of(s.bearing, Event.PICK)) in answers
        }


def _lessons(verdicts: Verdicts) -> Lessons:
    """Return by how much the picks of former seasons were off by their verdicts; the last of a season's stands."""
    return {
        (bearing, one.season): (one.pick_off_d, PICK_OFF_SPREAD_D)
        for bearing, judged in verdicts.items()
        for one in judged
        if one.pick_off_d
    }


def _foretell(known: Knowledge, *, unseen_alone: bool = False) -> tuple[Forecast | NoForecast, ...]:
    """Foretell bloom and picking from the warmth so far, if any is known; where a season begins elsewhen, no winter is.

    A bloom that was seen is left out where it is of the `unseen_alone` that something is asked.
    """
    weather = known.holding.weather
    if known.year.first != known.year.midwinter or last_known(weather, known.as_of) is None:
        return ()
    told = ForecastBasis(limbs=known.blooms, weather=weather, year=known.year, as_of=known.as_of)
    return (*bloom_forecasts(told, unseen_alone=unseen_alone), *pick_forecasts(told))


def _questions(known: Knowledge, dates: Mapping[Happens, Dated]) -> dict[str, tuple[Remark, ...]]:
    """Return what the records make one ask, by tree, each once: of each crop, then of partners that are gone."""
    found: dict[str, dict[Remark, None]] = {}
    for subject in known.subjects:
        found.setdefault(subject.tree.tag, {}).update(dict.fromkeys(_asked_of(known, subject, dates)))
    holding = known.holding
    alone = Matter.POLLINATION not in holding.place.without
    lost = by_tree(widowed(holding, known.as_of)) if alone else {}
    of = {tag: (*found.get(tag, ()), *lost.get(tag, ())) for tag in (*found, *lost)}
    return {tag: asked for tag, asked in of.items() if asked}


def _asked_of(known: Knowledge, subject: Subject, dates: Mapping[Happens, Dated]) -> Iterator[Remark]:
    """Yield that readings don't fall yet, that a tree may be too young, and which fruit fell out of its time."""
    line = firmness(known, subject)
    if isinstance(line, NotFalling):
        yield FirmnessStands(subject.limb.name, line)
    bloom, pick = (dates.get(Happens.of(subject.bearing, event)) for event in (Event.FULL_BLOOM, Event.PICK))
    if (young := _too_young(known, subject, pick)) is not None:
        yield young
    stages = {}
    if isinstance(bloom, Estimate):
        fall = spreads.PETAL_FALL_AFTER_D
        stages = {Stage.FULL_BLOOM: bloom.reach, Stage.PETAL_FALL: bloom.reach.after(fall, fall, fall)}
    if isinstance(pick, Estimate):
        stages[Stage.PICK] = pick.reach
        if pick.is_over:
            return  # what fell before is over with the crop that it was of
    for record in known.this_season(subject, Happening.DROP):
        if known.as_of - record.day > LOOKED_AT:
            continue
        if (question := question_about(record, subject.limb.traits.drops, stages)) is not None:
            yield question


def _too_young(known: Knowledge, subject: Subject, pick: Dated | None) -> PerhapsTooYoung | None:
    """Ask whether a tree that was planted lately bears yet; None where that is known, or nothing is looked for."""
    tree = subject.tree
    if tree.planted is None or not isinstance(pick, Estimate):
        return None
    if not may_be_too_young(tree, known.about(subject), known.year.year):
        return None
    return PerhapsTooYoung(subject.limb.name, tree.tag, tree.planted)
