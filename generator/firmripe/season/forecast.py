"""Dates foretold from warmth: full bloom from the household's own springs, picking by published rules.

What is known of the weather ends somewhere. The days ahead are taken from each earlier season in turn, so a forecast
is the mean of as many answers as there are such seasons, and how far they lie apart adds to its spread.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Final

import numpy as np

from firmripe.days import Hemisphere, MonthDay, WorkingYear
from firmripe.holding.figures import Cited
from firmripe.holding.fruit import BloomNightsRule, Cultivar, Event, SpringHeatRule
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weather import Weather, gap_words
from firmripe.saying import _
from firmripe.season.heat import (
    FEWEST_YEARS,
    DailyTemperatures,
    HeatCount,
    HeatFit,
    NotFitted,
    NotReached,
    choose_count,
    degree_days,
    degree_days_f,
    fit_threshold,
)
from firmripe.units import fahrenheit
from firmripe.words import short_day, with_year

LEAST_D: Final = 2.0
"""The least error of a threshold fitted to own springs, in days: three or four agree by luck. J."""

FEWEST_AHEAD: Final = 3
"""Fewer earlier seasons can't say how far the days ahead may scatter. J."""

HORIZON_D: Final = 30
"""An earlier season fills the days ahead if its weather runs so many days past the latest bloom noted. J."""

BASES_C: Final = (2.0, 4.5, 6.0)
STARTS: Final = (MonthDay(2, 1), MonthDay(1, 1), MonthDay(3, 1))
"""Ways of counting that are tried, the first one first: heat above these, from these days (northern) on. J; 2 °C from
1 February foretells twelve years of blueberry flowers in Massachusetts best (D, open record)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """An event of a bearing foretold from warmth.

    `season_day` is the mean and `day` the date nearest to it. `error_d` is the rule's own error and `scatter_d` that of
    the days ahead (0 where the weather is known), both standard deviations in days. `from_bloom` says that it counts
    from this season's full bloom, in place of the printed interval. `text` says in words what it rests on.
    """

    bearing: Bearing
    event: Event
    season_day: float
    day: date
    error_d: float
    scatter_d: float
    text: str
    from_bloom: bool = False
    cited: tuple[Cited, ...] = ()

    @property
    def spread_d(self) -> float:
        """Error and scatter together."""
        return self.spread_beside(1)

    def spread_beside(self, many: int) -> float:
        """Return the spread for use beside others, `many` of them in all with a scatter.

        The days ahead are the same for all, so that together they must not say more of them than one alone.
        """
        return math.hypot(self.error_d, math.sqrt(many) * self.scatter_d)


@dataclass(frozen=True, slots=True, kw_only=True)
class NoForecast:
    """Why warmth foretells nothing: `of` is the fruit or the cultivar, by name."""

    of: str
    event: Event
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What forecasts are made from, as known on the evening of `as_of`: nothing later is looked at.

    `limbs` in walking order; `metric` says in which degrees the words are.
    """

    limbs: Sequence[tuple[Tree, Cultivar]]
    records: Sequence[Record]
    weather: Weather
    year: WorkingYear
    as_of: date
    metric: bool = False


def bloom_forecasts(known: Known) -> tuple[Forecast | NoForecast, ...]:
    """Foretell full bloom of one bearing of each fruit: that with the most seasons noted that the weather covers.

    The heat threshold is fitted to those seasons, never to this one. Without weather there is nothing.
    """
    springs = _Springs(known)
    if not springs.runs:
        return ()
    best: dict[str, _Blooms] = {}
    for tree, limb in known.limbs:
        fruit = limb.fruit.name if limb.fruit else limb.name
        blooms = _Blooms(fruit, Bearing(tree.tag, limb.key), _blooms(known, tree, limb))
        if fruit not in best or springs.covers(blooms.noted) > springs.covers(best[fruit].noted):
            best[fruit] = blooms
    return tuple(_bloom(known, springs, blooms) for blooms in best.values())


def pick_forecasts(known: Known) -> tuple[Forecast | NoForecast, ...]:
    """Foretell picking of one bearing of each cultivar that has a published heat rule.

    Several trees of a cultivar would repeat one rule's error, so one stands for all: the first in walking order, by
    a rule that counts from bloom the first with this season's bloom noted and no interval of the household's own.
    Without weather there is nothing.
    """
    springs = _Springs(known)
    if not springs.runs:
        return ()
    trees: dict[str, list[Tree]] = {}
    limbs: dict[str, Cultivar] = {}
    for tree, limb in known.limbs:
        trees.setdefault(limb.key, []).append(tree)
        limbs[limb.key] = limb
    found: list[Forecast | NoForecast] = []
    for key, limb in limbs.items():
        if isinstance(rule := limb.traits.heat_rule, SpringHeatRule):
            found.append(_by_spring(known, springs, rule, trees[key][0], limb))
        elif isinstance(rule, BloomNightsRule):
            found.append(_by_nights(known, springs, rule, trees[key], limb))
    return tuple(found)


# The weather of this season and of the others
# --------------------------------------------


@dataclass(frozen=True, slots=True)
class _Ahead:
    """The mean of what was asked over the ways the season may go on, and their scatter (0 where it is known).

    `seasons` is how many earlier seasons lent their days.
    """

    mean: float
    scatter: float
    seasons: int


class _Springs:
    """The weather parted into runs of days without a gap."""

    def __init__(self, known: Known) -> None:
        self._year = known.year
        self._weather = known.weather.until(known.as_of)
        self.runs = _runs(self._weather)
        until = min(known.as_of, known.year.last)
        before = [run for run in self.runs if run.first <= until]
        self._now = _cut(before[-1], until) if before and before[-1].last >= known.year.first else None

    def run_at(self, day: date) -> DailyTemperatures | None:
        """Return the run that holds a day."""
        return next((run for run in self.runs if run.first <= day <= run.last), None)

    def covers(self, noted: Mapping[WorkingYear, date]) -> int:
        """Count the seasons whose weather runs without a gap from the start of counting to the day noted."""
        return sum(self.missing(season, day) is None for season, day in noted.items())

    def missing(self, season: WorkingYear, day: date) -> str | None:
        """Say what weather of a season is missing up to a day, or nothing where it is all there."""
        start = min(_start(season, STARTS[0]), day)
        return self._missing_from(start, day)

    def _missing_from(self, start: date, day: date) -> str | None:
        run = self.run_at(day)
        if run is not None and run.first <= start:
            return None
        gaps = [gap for gap in self._weather.gaps if gap.first <= day and start <= gap.last]
        if gaps:
            return gap_words(gaps[0])
        if start < self._weather.days[0]:
            return _(
                "the weather begins on {day}",
                day=with_year(short_day(self._weather.days[0]), self._weather.days[0].year),
            )
        return _(
            "the weather ends on {day}", day=with_year(short_day(self._weather.days[-1]), self._weather.days[-1].year)
        )

    def ahead(
        self, start: date, horizon: date, measure: Callable[[DailyTemperatures], float | NotReached]
    ) -> _Ahead | str:
        """Return what a measure of the season's weather comes to, or why that can't be said.

        The measure needs the weather from `start` on. `horizon` is how far an earlier season must be able to fill.
        """
        now = self._now
        if now is None:
            return _("there is no weather of the season {year} yet", year=self._year.year)
        if missing := self._missing_from(start, now.last):
            return missing
        if now.last < start:
            return _("nothing is counted before {start}", start=short_day(start))
        sure = measure(now)
        if not isinstance(sure, NotReached):
            return _Ahead(sure, 0.0, 0)
        return _mean_of([measure(record) for record in self._filled(now, horizon)])

    def _filled(self, now: DailyTemperatures, horizon: date) -> list[DailyTemperatures]:
        """Return this season's weather so far, gone on with as each other season went on from the same day."""
        following = self._year.day_number(now.last) + 1
        needed = max(following, self._year.day_number(horizon))
        found = []
        first, last = (WorkingYear.of(run, self._year.hemisphere).year for run in self._ends())
        for year in range(first, last + 1):
            season = WorkingYear(year=year, hemisphere=self._year.hemisphere)
            day = season.first + timedelta(days=following)
            run = self.run_at(day)
            if season == self._year or run is None or run.last < season.first + timedelta(days=needed):
                continue
            rest = slice((day - run.first).days, None)
            low = np.concatenate([now.tmin_c, run.tmin_c[rest]])
            high = np.concatenate([now.tmax_c, run.tmax_c[rest]])
            found.append(DailyTemperatures(now.first, low, high))
        return found

    def _ends(self) -> tuple[date, date]:
        return self._weather.days[0], self._weather.days[-1]


def _mean_of(answers: Sequence[float | NotReached]) -> _Ahead | str:
    """Return mean and scatter of what each way of going on gives; every one must give something."""
    found = [answer for answer in answers if not isinstance(answer, NotReached)]
    if len(found) < len(answers):
        return _(
            "in {missed} of {answers} ways the season may go on, the sum is not reached",
            missed=len(answers) - len(found),
            answers=len(answers),
        )
    if len(found) < FEWEST_AHEAD:
        return _(
            "{found} other seasons have weather for the days ahead, of the {needed} needed",
            found=len(found),
            needed=FEWEST_AHEAD,
        )
    scatter = statistics.stdev(found) * math.sqrt(1 + 1 / len(found))
    return _Ahead(statistics.fmean(found), scatter, len(found))


def _runs(weather: Weather) -> tuple[DailyTemperatures, ...]:
    breaks = [
        index for index, (one, two) in enumerate(pairwise(weather.days), start=1) if two - one > timedelta(days=1)
    ]
    bounds = [0, *breaks, len(weather.days)] if weather.days else []
    low, high = np.array(weather.tmin_c), np.array(weather.tmax_c)
    return tuple(
        DailyTemperatures(weather.days[first], low[first:end], high[first:end]) for first, end in pairwise(bounds)
    )


def _cut(run: DailyTemperatures, last: date) -> DailyTemperatures:
    days = (min(run.last, last) - run.first).days + 1
    return DailyTemperatures(run.first, run.tmin_c[:days], run.tmax_c[:days])


# Full bloom from the household's own springs
# -------------------------------------------


@dataclass(frozen=True, slots=True)
class _Blooms:
    """The full blooms noted of a bearing in the seasons but this one; `fruit` by name."""

    fruit: str
    bearing: Bearing
    noted: Mapping[WorkingYear, date]


def _blooms(known: Known, tree: Tree, limb: Cultivar) -> dict[WorkingYear, date]:
    """Return the first full bloom noted of a limb in each season but this one."""
    found: dict[WorkingYear, date] = {}
    for record in known.records:
        named = record.tree and record.is_about(tree.tag, limb.key, limb.crops[0])
        if record.what is not Happening.FULL_BLOOM or not named or record.day > known.as_of:
            continue
        season = WorkingYear(year=record.season, hemisphere=known.year.hemisphere)
        if season != known.year:
            found[season] = min(record.day, found.get(season, record.day))
    return found


def _start(season: WorkingYear, day: MonthDay) -> date:
    return season.place_day(day, Hemisphere.NORTH)


def _counts(hemisphere: Hemisphere) -> list[HeatCount]:
    starts = STARTS if hemisphere is Hemisphere.NORTH else tuple(day.half_a_year_on() for day in STARTS)
    return [HeatCount(base_c=base, start=start) for start in starts for base in BASES_C]


def _bloom(known: Known, springs: _Springs, blooms: _Blooms) -> Forecast | NoForecast:
    fit = _fitted(known, springs, blooms.noted)
    if isinstance(fit, NotFitted):
        return NoForecast(of=blooms.fruit, event=Event.FULL_BLOOM, reason=fit.reason)
    start = fit.model.count.start_in(known.year)
    latest = max(season.day_number(day) for season, day in blooms.noted.items())

    def day_of(record: DailyTemperatures) -> float | NotReached:
        day = fit.model.date_reached(record, known.year)
        return day if isinstance(day, NotReached) else float(known.year.day_number(day))

    found = springs.ahead(start, known.year.first + timedelta(days=latest + HORIZON_D), day_of)
    if isinstance(found, str):
        return NoForecast(of=blooms.fruit, event=Event.FULL_BLOOM, reason=found)
    error = max(LEAST_D, statistics.stdev(fit.foretold.values()))
    season_day = found.mean - fit.mean_error_days
    day = known.year.date_of(season_day)
    heat, base = _degrees(known, fit.model.threshold_c_days, fit.model.count.base_c)
    text = _(
        "Warmth since {start}: {heat} degree-days above {base} by {day}, fitted to "
        "{springs} of your own springs{as_in}",
        start=short_day(start),
        heat=heat,
        base=base,
        day=short_day(day),
        springs=len(fit.errors_days),
        as_in=_as_in(found),
    )
    return Forecast(
        bearing=blooms.bearing,
        event=Event.FULL_BLOOM,
        season_day=season_day,
        day=day,
        error_d=error,
        scatter_d=found.scatter,
        text=text,
    )


def _fitted(known: Known, springs: _Springs, noted: Mapping[WorkingYear, date]) -> HeatFit | NotFitted:
    """Fit a threshold; with one season more than the fewest, choose the way of counting too."""
    missing = {season: springs.missing(season, day) for season, day in noted.items()}
    used = {season: day for season, day in noted.items() if missing[season] is None}
    if len(used) < FEWEST_YEARS:
        reasons = [f"{season.year}: {said}" for season, said in missing.items() if said]
        few = _(
            "{used} springs with full bloom noted and weather, of the {needed} needed",
            used=len(used),
            needed=FEWEST_YEARS,
        )
        return NotFitted("; ".join([few, *reasons]))
    records = {season: run for season, day in used.items() if (run := springs.run_at(day)) is not None}
    dates = {season: [day] for season, day in used.items()}
    counts = _counts(known.year.hemisphere)
    if len(used) > FEWEST_YEARS:
        return choose_count(counts, records, dates)
    return fit_threshold(counts[0], records, dates)


# Picking by published rules
# --------------------------


def _by_spring(
    known: Known, springs: _Springs, rule: SpringHeatRule, tree: Tree, limb: Cultivar
) -> Forecast | NoForecast:
    first, last = _start(known.year, rule.during.first), _start(known.year, rule.during.last)

    def heat_of(record: DailyTemperatures) -> float | NotReached:
        if not record.first <= first <= last <= record.last:
            return NotReached(_("the weather runs from {first} to {last}", first=record.first, last=record.last))
        days = slice((first - record.first).days, (last - record.first).days + 1)
        return float(degree_days(record.tmin_c[days], record.tmax_c[days], base_c=rule.above_c).sum())

    found = springs.ahead(first, last, heat_of)
    if isinstance(found, str):
        return NoForecast(of=limb.name, event=Event.PICK, reason=found)
    season_day = rule.day_of_year - 1 - rule.less_d * found.mean
    heat, base = _degrees(known, found.mean, rule.above_c)
    text = _(
        "Warmth from {first} to {last}: {heat} degree-days above {base}, by the printed rule "
        "a first pick about {day}{as_in}",
        first=short_day(first),
        last=short_day(last),
        heat=heat,
        base=base,
        day=short_day(known.year.date_of(season_day)),
        as_in=_as_in(found),
    )
    bearing = Bearing(tree.tag, limb.key, limb.crops[0])
    return _pick(known, rule, bearing, (season_day, found, text))


def _by_nights(
    known: Known, springs: _Springs, rule: BloomNightsRule, trees: Sequence[Tree], limb: Cultivar
) -> Forecast | NoForecast:
    bloomed = [(tree, day) for tree in trees if (day := _bloom_now(known, tree, limb)) and not tree.days_from_bloom]
    if not bloomed:
        reason = _("it counts from full bloom, and none is noted this season of a tree without your own interval")
        return NoForecast(of=limb.name, event=Event.PICK, reason=reason)
    tree, bloom = bloomed[0]
    first, last = bloom + timedelta(days=1), bloom + timedelta(days=rule.nights)

    def mean_low(record: DailyTemperatures) -> float | NotReached:
        if not record.first <= first <= last <= record.last:
            return NotReached(_("the weather runs from {first} to {last}", first=record.first, last=record.last))
        return float(record.tmin_c[(first - record.first).days : (last - record.first).days + 1].mean())

    found = springs.ahead(first, last, mean_low)
    if isinstance(found, str):
        return NoForecast(of=limb.name, event=Event.PICK, reason=found)
    days = rule.days_from_bloom - rule.less_d * (found.mean - rule.above_c)
    season_day = known.year.day_number(bloom) + days
    mean, usual = _temperature(known, found.mean), _temperature(known, rule.above_c)
    text = _(
        "The {nights} nights after full bloom: {mean} on average beside {usual}, by the "
        "printed rule {days} days from bloom{as_in}",
        nights=rule.nights,
        mean=mean,
        usual=usual,
        days=round(days),
        as_in=_as_in(found),
    )
    bearing = Bearing(tree.tag, limb.key, limb.crops[0])
    return _pick(known, rule, bearing, (season_day, found, text))


def _pick(
    known: Known, rule: SpringHeatRule | BloomNightsRule, bearing: Bearing, told: tuple[float, _Ahead, str]
) -> Forecast:
    """Return a picking by a published rule: its season day, what the weather came to, and the words for it."""
    season_day, found, text = told
    return Forecast(
        bearing=bearing,
        event=Event.PICK,
        season_day=season_day,
        day=known.year.date_of(season_day),
        error_d=rule.within.value.middle,
        scatter_d=rule.less_d * found.scatter,
        text=text,
        from_bloom=isinstance(rule, BloomNightsRule),
        cited=(rule.cited, rule.within.cited),
    )


def _bloom_now(known: Known, tree: Tree, limb: Cultivar) -> date | None:
    days = [
        record.day
        for record in known.records
        if record.what is Happening.FULL_BLOOM
        and record.season == known.year.year
        and record.tree
        and record.day <= known.as_of
        and record.is_about(tree.tag, limb.key, limb.crops[0])
    ]
    return min(days, default=None)


# Words
# -----


def _degrees(known: Known, c_days: float, base_c: float) -> tuple[str, str]:
    heat = c_days if known.metric else degree_days_f(c_days)
    return f"{heat:,.0f}", _temperature(known, base_c)


def _temperature(known: Known, temp_c: float) -> str:
    return f"{round(temp_c, 1):g} °C" if known.metric else f"{fahrenheit(temp_c):.0f} °F"


def _as_in(found: _Ahead) -> str:
    return _("; the days ahead as in {seasons} earlier seasons", seasons=found.seasons) if found.seasons else ""
