"""Dates foretold from warmth: full bloom from the household's own springs, picking by published rules.

What is known of the weather ends somewhere. The days ahead are taken from each earlier season in turn, so a forecast
is the mean of as many answers as there are such seasons, and how far they lie apart adds to its spread.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np
from msgspec import Struct

from firmripe.days import Hemisphere, MonthDay, Span, WorkingYear
from firmripe.holding.figures import Cited
from firmripe.holding.fruit import BloomNightsRule, Cultivar, Event, SpringHeatRule
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weather import Weather
from firmripe.remark import Remark
from firmripe.season.counting import RECENT_YEARS, STARTS, FittedHeatSums, NotedSpring, fit, foretell
from firmripe.season.heat import FloatArray
from firmripe.season.springs import AUTUMN_D, DAYS, Springs, Sums, column, springs_of

FEWEST_AHEAD: Final = 3
"""Fewer earlier seasons can't say how far a published rule's days ahead may scatter. J."""
AHEAD_WORTH: Final = 2.0
"""A bloom's days ahead scatter as much as the seasons that fill them have it, and by so many seasons' worth as much as
is usual: by the square root of the days still to come. J; on simulated springs 4 to 7 days of 20 to 50."""
HORIZON_D: Final = 30
"""An earlier season fills the days ahead if its weather runs so many days past the latest bloom noted. J."""
LEAST_CHANCE: Final = 0.01
"""Bloom that is not noted on a day by which only this chance of it was left has been missed rather than not come. J."""
LEAST_SHARE: Final = 0.5
"""Ways of counting with less than this share in the mean don't speak for it. J."""
MOST_OF_USUAL: Final = 0.99
"""A forecast whose variance is no less than this share of what is known without it says nothing. J."""


class BySprings(Struct, frozen=True):
    """Full bloom by so many `ways` of counting warmth, fitted to so many `springs` of the household's own."""

    springs: int
    ways: int


class BySpringHeat(Struct, frozen=True):
    """A pick by a published rule: the heat (C-days) above a base (°C) of a stretch of days, and the season day."""

    during: Span
    heat_c_days: float
    above_c: float


class ByNights(Struct, frozen=True):
    """A pick by a published rule: mean low (°C) of the nights after bloom, what is usual, and the days from bloom."""

    nights: int
    mean_low_c: float
    usual_low_c: float
    days: float


class Forecast(Remark, Struct, frozen=True, kw_only=True):
    """An event of a bearing foretold from warmth.

    `season_day` is the mean over the ways the season may go on. `error_d` is the rule's own error and `scatter_d` that
    of the days ahead (0 where the weather is known), both standard deviations in days. `known_to` is the last day of
    this season's weather, `ahead` how many earlier seasons stand for the days after it (0 where none had to). `not_yet`
    is the day on whose evening the event had not been noted, where silence says that it had not come.
    """

    bearing: Bearing
    event: Event
    year: WorkingYear
    season_day: float
    error_d: float
    scatter_d: float
    by: BySprings | BySpringHeat | ByNights
    known_to: date
    ahead: int
    not_yet: date | None = None
    cited: tuple[Cited, ...] = ()

    @property
    def from_bloom(self) -> bool:
        """Whether it counts from this season's full bloom, in place of the printed interval."""
        return isinstance(self.by, ByNights)

    @property
    def mean_and_spread(self) -> tuple[float, float]:
        """The mean (season day) and the standard deviation (days), the days that are past without it cut off."""
        return self._rest(self.season_day, math.hypot(self.error_d, self.scatter_d))

    @property
    def day(self) -> date:
        """The date nearest to the mean."""
        return self.year.date_of(self.mean_and_spread[0])

    @property
    def spread_d(self) -> float:
        """The standard deviation in days."""
        return self.mean_and_spread[1]

    def as_note(self, usual_day: float, usual_d: float, many: int = 1) -> tuple[float, float] | None:
        """Return the day that would have to be noted, and its spread, to know as much as the forecast; None: nothing.

        `usual_day` and `usual_d` are mean and standard deviation of the event as known without this season. Warmth so
        far gives a mean of what may come, which is not to be drawn to the usual day a second time: only the rule's own
        error does that. The day to note therefore lies beyond the mean, by as much as drawing it will bring it back.
        The days ahead are the same for all of `many` forecasts, which together must not say more of them than one.
        """
        usual, error = usual_d**2, self.error_d**2
        drawn = usual / (usual + error)
        mean = usual_day + drawn * (self.season_day - usual_day)
        mean, spread = self._rest(mean, math.sqrt(drawn * error + (drawn * self.scatter_d) ** 2))
        variance = spread**2
        if variance >= MOST_OF_USUAL * usual:
            return None
        doubt = 1 / (1 / variance - 1 / usual)
        value = doubt * (mean / variance - usual_day / usual)
        own = min(error, doubt)
        return value, math.sqrt(own + many * (doubt - own))

    def _rest(self, mean: float, spread_d: float) -> tuple[float, float]:
        if self.not_yet is None:
            return mean, spread_d
        return rest_of(mean, spread_d, self.year.day_number(self.not_yet) + 0.5)


class NoWeather(Struct, frozen=True):
    """Days whose weather is missing: between readings, before the first of them or after the last.

    `begins` and `ends` are the first and the last day of the whole record, where they are the reason.
    """

    gap: Span | None = None
    begins: date | None = None
    ends: date | None = None


class NoSeasonYet(Struct, frozen=True):
    """The season has no weather yet."""

    year: int


class FewSprings(Struct, frozen=True):
    """No spring has both: full bloom noted and weather. `missing` says of each that is noted what it wants."""

    missing: tuple[tuple[int, NoWeather], ...]


class FewAhead(Struct, frozen=True):
    """Only so many other seasons have weather for the days ahead, of those needed."""

    found: int
    needed: int


class SumNotReached(Struct, frozen=True):
    """In some of the ways the season may go on the sum is not reached."""


class NoBloomNoted(Struct, frozen=True):
    """The rule counts from full bloom, and none is noted this season of a tree without the household's own interval."""


WhyNone = NoWeather | NoSeasonYet | FewSprings | FewAhead | SumNotReached | NoBloomNoted


class NoForecast(Remark, Struct, frozen=True, kw_only=True):
    """Why warmth foretells nothing: `of` is the fruit or the cultivar, by name."""

    of: str
    event: Event
    why: WhyNone


class Blooms(Struct, frozen=True, kw_only=True):
    """The full blooms noted of a limb, the first of each season: `now` is this one's, `noted` are the others'.

    The weather of `covered` of these others can be counted up to the day noted, in the way that needs least.
    """

    tree: Tree
    limb: Cultivar
    noted: Mapping[WorkingYear, date]
    now: date | None
    covered: int

    @classmethod
    def of(cls, tree: Tree, limb: Cultivar, records: Iterable[Record], year: WorkingYear, weather: Weather) -> Blooms:
        """Return what records tell of a limb's full blooms, as seen from a season."""
        found: dict[WorkingYear, date] = {}
        for record in records:
            is_of_it = record.tree == tree.tag and record.is_about(tree.tag, limb.key, limb.crops[0])
            if is_of_it and record.what is Happening.FULL_BLOOM:
                season = year.named(record.season)
                found[season] = min(record.day, found.get(season, record.day))
        now = found.pop(year, None)
        springs = springs_of(weather, year.hemisphere)
        covered = sum(_is_covered(springs, season, day) for season, day in found.items())
        return cls(tree=tree, limb=limb, noted=found, now=now, covered=covered)

    @property
    def fruit(self) -> str:
        """Its fruit by name."""
        return self.limb.fruit.name if self.limb.fruit else self.limb.name

    @property
    def bearing(self) -> Bearing:
        """The crop that the blooms are of."""
        return Bearing(self.tree.tag, self.limb.key, self.limb.crops[0])


@lru_cache(maxsize=4096)
def _is_covered(springs: Springs, season: WorkingYear, day: date) -> bool:
    """Say whether the springs' weather can be counted up to a day: trees that bloom together ask for the same days."""
    return springs.has_days(season, *_counted(season, day))


def _counted(season: WorkingYear, day: date) -> tuple[date, date]:
    """Return the first and the last of the days whose weather is counted up to a day, in the way that needs least."""
    number = season.day_number(day)
    start = max((s for s in STARTS if s < number), default=0)
    return season.first + timedelta(days=min(start, number)), day


class ForecastBasis(Struct, frozen=True, kw_only=True):
    """What forecasts are made from, as known on the evening of `as_of`: no weather of later days is looked at.

    `limbs` in walking order, with their blooms known by then.
    """

    limbs: Sequence[Blooms]
    weather: Weather
    year: WorkingYear
    as_of: date


def rest_of(mean: float, spread_d: float, day: float) -> tuple[float, float]:
    """Return mean and standard deviation of what is left of a normal distribution after a day.

    Where next to nothing is left, it is returned whole: more likely nobody noted the event.
    """
    normal = NormalDist()
    if not spread_d > 0:
        return mean, spread_d
    at = (day - mean) / spread_d
    left = normal.cdf(-at)
    if left < LEAST_CHANCE:
        return mean, spread_d
    push = normal.pdf(at) / left
    return mean + spread_d * push, spread_d * math.sqrt(max(1 + at * push - push**2, 0.0))


def bloom_forecasts(
    known: ForecastBasis,
    judged: Callable[[FittedHeatSums], FittedHeatSums] = lambda fitted: fitted,
    *,
    unseen_alone: bool = False,
) -> tuple[Forecast | NoForecast, ...]:
    """Foretell full bloom of one bearing of each fruit: that with the most seasons noted that the weather covers.

    The ways of counting are fitted to those seasons, never to this one. Without weather there is nothing. `judged` may
    take another mean of the fitted ways, so that a backtest can set it beside this one. With `unseen_alone` a bloom
    that this season has had is left out.
    """
    now = _Now(known)
    if now.known_to is None:
        return ()
    best: dict[str, Blooms] = {}
    for blooms in known.limbs:
        if (kept := best.get(blooms.fruit)) is None or blooms.covered > kept.covered:
            best[blooms.fruit] = blooms
    return tuple(_bloom(now, one, judged) for one in best.values() if not (unseen_alone and one.now))


def pick_forecasts(known: ForecastBasis) -> tuple[Forecast | NoForecast, ...]:
    """Foretell picking of one bearing of each cultivar that has a published heat rule.

    Several trees of a cultivar would repeat one rule's error, so one stands for all: the first in walking order, by
    a rule that counts from bloom the first with this season's bloom noted and no interval of the household's own.
    Without weather there is nothing.
    """
    of_kind: dict[str, list[Blooms]] = {}
    for blooms in known.limbs:
        if blooms.limb.traits.heat_rule:
            of_kind.setdefault(blooms.limb.key, []).append(blooms)
    now = _Now(known) if of_kind else None
    if now is None or now.known_to is None:
        return ()
    found: list[Forecast | NoForecast] = []
    for blooming in of_kind.values():
        limb = blooming[-1].limb
        if isinstance(rule := limb.traits.heat_rule, SpringHeatRule):
            found.append(_by_spring(now, rule, blooming[0].tree, limb))
        elif isinstance(rule, BloomNightsRule):
            found.append(_by_nights(now, rule, blooming, limb))
    return tuple(found)


# The weather of this season and of the others
# --------------------------------------------


class _Told(Struct, frozen=True):
    """Mean and scatter of what was asked over the manners in which the season may go on; `seasons` lent their days."""

    mean: float
    scatter: float
    seasons: int


class _Now:
    """The weather as known on a day: this season's row up to a column, and the rows of the seasons that are over."""

    def __init__(self, known: ForecastBasis) -> None:
        self.known = known
        self.year = known.year
        self.springs: Springs = springs_of(known.weather, known.year.hemisphere)
        self.row = self.springs.row(self.year)
        self.known_to = last_known(known.weather, known.as_of)
        until = min(self.known_to, self.year.last) if self.known_to else None
        self.column = min(max(column(self.year, until) + 1, 0), DAYS) if until else 0
        self._this = WorkingYear.of(known.as_of, self.year.hemisphere).year

    @property
    def begun(self) -> bool:
        """Whether there is weather of the season."""
        if self.row is None or self.column <= AUTUMN_D:
            return False
        gone = self.springs.missing[self.row, self.column] - self.springs.missing[self.row, AUTUMN_D]
        return bool(gone < self.column - AUTUMN_D)

    @property
    def last(self) -> date:
        """The last day of the season's weather."""
        return self.year.first + timedelta(days=self.column - 1 - AUTUMN_D)

    def is_over(self, year: int) -> bool:
        """Whether it is another season, and over: only such a one is fitted to, or lends its days."""
        return year < self._this and year != self.year.year

    def at(self, year: int) -> int:
        """Return the row of a season."""
        return year - self.springs.first_year

    def weight(self, year: int) -> float:
        """Return how much a season counts: the nearer, the more."""
        return math.exp(-abs(year - self.year.year) / RECENT_YEARS)

    def missing(self, season: WorkingYear, day: date) -> NoWeather | None:
        """Return what weather a season lacks for counting up to a day, in the way that needs least; None: nothing."""
        return self.lacks(season, *_counted(season, day))

    def lacks(self, season: WorkingYear, first: date, last: date) -> NoWeather | None:
        """Return what is missing between two days of a season, both included, as far as is known; None: nothing."""
        if self.springs.has_days(season, first, last):
            return None
        weather = self.known.weather
        gaps = [gap for gap in _gaps(weather) if gap.first <= last and first <= gap.last]
        if gaps:
            return NoWeather(gap=gaps[0])
        if first < weather.days[0]:
            return NoWeather(begins=weather.days[0])
        return NoWeather(ends=weather.days[-1])

    def others(self, end: int) -> list[int]:
        """Return the seasons that are over and whose weather can fill the days ahead up to before a column."""
        first = min(self.column, end)
        over = (year for year in self.springs.years if self.is_over(year))
        return [year for year in over if self.springs.has(self.at(year), first, end)]

    def mean_of(self, answers: FloatArray, years: Sequence[int], usual_var: float) -> _Told:
        """Return mean and scatter of what each other season's days ahead lead to.

        `usual_var` is the variance that is usual, worth `AHEAD_WORTH` seasons.
        """
        weights = np.array([self.weight(year) for year in years])
        mean = float(weights @ answers / weights.sum())
        if np.ptp(answers) < 1e-9 and usual_var == 0:
            return _Told(mean, 0.0, 0)
        count = float(weights.sum() ** 2 / (weights @ weights))
        squares = float(weights @ (answers - mean) ** 2 / weights.sum()) * count
        worth = AHEAD_WORTH if usual_var else 0.0
        variance = (worth * usual_var + squares) / (worth + count - 1) * (1 + 1 / count)
        return _Told(mean, math.sqrt(variance), len(years))


@lru_cache(maxsize=4)
def _gaps(weather: Weather) -> tuple[Span, ...]:
    return weather.gaps


def last_known(weather: Weather, as_of: date) -> date | None:
    """Return the last day of the weather as known on a day: what was filled from later days is not known yet."""
    end = bisect_right(weather.days, as_of)
    while end and weather.days[end - 1] in weather.filled:
        end -= 1
    return weather.days[end - 1] if end else None


# Full bloom from the household's own springs
# -------------------------------------------


def _bloom(now: _Now, blooms: Blooms, judged: Callable[[FittedHeatSums], FittedHeatSums]) -> Forecast | NoForecast:
    made = _fitted(now, blooms.noted)
    if isinstance(made, FewSprings):
        return NoForecast(of=blooms.fruit, event=Event.FULL_BLOOM, why=made)
    fitted, days = judged(made[0]), made[1]
    found = _foretold(now, fitted, max(days))
    if not isinstance(found, _Told):
        return NoForecast(of=blooms.fruit, event=Event.FULL_BLOOM, why=found)
    return Forecast(
        bearing=blooms.bearing,
        event=Event.FULL_BLOOM,
        year=now.year,
        season_day=found.mean,
        error_d=fitted.error_d,
        scatter_d=found.scatter,
        by=BySprings(springs=len(days), ways=len(fitted.ways)),
        known_to=now.last,
        ahead=found.seasons,
        not_yet=None if blooms.now else min(now.known.as_of, now.year.last),
    )


def _fitted(now: _Now, noted: Mapping[WorkingYear, date]) -> tuple[FittedHeatSums, list[int]] | FewSprings:
    """Fit the ways of counting to the springs that are over and have weather; return the season days too."""
    missing = {season: now.missing(season, day) for season, day in noted.items() if now.is_over(season.year)}
    used = sorted((s for s, lack in missing.items() if lack is None), key=lambda season: season.year)
    days = [season.day_number(noted[season]) for season in used]
    springs = tuple(NotedSpring(now.at(s.year), day, now.weight(s.year)) for s, day in zip(used, days, strict=True))
    fitted = fit(now.springs, springs)
    if fitted is None:
        lacks = ((season.year, lack) for season, lack in missing.items() if lack is not None)
        return FewSprings(tuple(sorted(lacks, key=lambda item: item[0])))
    return fitted, days


def _foretold(now: _Now, fitted: FittedHeatSums, latest: int) -> _Told | WhyNone:
    """Return the bloom of this season by fitted ways; `latest` is the latest season day ever noted."""
    if not now.begun or now.row is None:
        return NoSeasonYet(now.year.year)
    years = now.others(min(AUTUMN_D + latest + HORIZON_D, DAYS))
    sure, done = foretell(now.springs, fitted, now.row, now.column, [now.springs.blank])
    if not years:
        return _Told(float(sure[0]), 0.0, 0) if done >= LEAST_SHARE else FewAhead(0, 1)
    answers, share = foretell(now.springs, fitted, now.row, now.column, [now.at(year) for year in years])
    if share < LEAST_SHARE:
        start = max((s for s in STARTS if AUTUMN_D + s < now.column), default=0)
        return now.lacks(now.year, now.year.first + timedelta(days=start), now.last) or SumNotReached()
    if done > share - 1e-9:
        return _Told(float(sure[0]), 0.0, 0)
    ahead = float(np.mean(answers)) - (now.column - AUTUMN_D)
    return now.mean_of(answers, years, max(ahead, 0.0))


# Picking by published rules
# --------------------------


def _by_spring(now: _Now, rule: SpringHeatRule, tree: Tree, limb: Cultivar) -> Forecast | NoForecast:
    first, last = (_start(now.year, day) for day in (rule.during.first, rule.during.last))
    found = _added_up(now, now.springs.heat(rule.above_c), first, last)
    if not isinstance(found, _Told):
        return NoForecast(of=limb.name, event=Event.PICK, why=found)
    by = BySpringHeat(Span(first=first, last=last), found.mean, rule.above_c)
    bearing = Bearing(tree.tag, limb.key, limb.crops[0])
    return _pick(now, rule, bearing, (rule.day_of_year - 1 - rule.less_d * found.mean, found, by))


def _by_nights(now: _Now, rule: BloomNightsRule, trees: Iterable[Blooms], limb: Cultivar) -> Forecast | NoForecast:
    bloomed = ((one.tree, one.now) for one in trees if one.now and one.limb.own_interval(one.bearing.crop) is None)
    tree, bloom = next(bloomed, (None, None))
    if tree is None or bloom is None:
        return NoForecast(of=limb.name, event=Event.PICK, why=NoBloomNoted())
    first, last = bloom + timedelta(days=1), bloom + timedelta(days=rule.nights)
    added = _added_up(now, Sums.of(now.springs.tmin_c), first, last)
    if not isinstance(added, _Told):
        return NoForecast(of=limb.name, event=Event.PICK, why=added)
    found = _Told(added.mean / rule.nights, added.scatter / rule.nights, added.seasons)
    days = rule.days_from_bloom - rule.less_d * (found.mean - rule.above_c)
    by = ByNights(rule.nights, found.mean, rule.above_c, days)
    bearing = Bearing(tree.tag, limb.key, limb.crops[0])
    return _pick(now, rule, bearing, (now.year.day_number(bloom) + days, found, by))


def _added_up(now: _Now, sums: Sums, first: date, last: date) -> _Told | WhyNone:
    """Return a sum over a stretch of days of this season, the days ahead as in each other season."""
    if not now.begun or now.row is None:
        return NoSeasonYet(now.year.year)
    begins, end = column(now.year, first), column(now.year, last) + 1
    known = min(max(now.column, begins), end)
    if first <= now.last and (missing := now.lacks(now.year, first, min(last, now.last))):
        return missing
    so_far = float(sums.before[now.row, known] - sums.before[now.row, begins])
    if known == end:
        return _Told(so_far, 0.0, 0)
    years = now.others(end)
    if len(years) < FEWEST_AHEAD:
        return FewAhead(len(years), FEWEST_AHEAD)
    rows = [now.at(year) for year in years]
    return now.mean_of(so_far + sums.before[rows, end] - sums.before[rows, known], years, 0.0)


def _pick(
    now: _Now,
    rule: SpringHeatRule | BloomNightsRule,
    bearing: Bearing,
    told: tuple[float, _Told, BySpringHeat | ByNights],
) -> Forecast:
    """Return a picking by a published rule: its season day, what the weather came to, and what that was."""
    season_day, found, by = told
    return Forecast(
        bearing=bearing,
        event=Event.PICK,
        year=now.year,
        season_day=season_day,
        error_d=rule.within.value.middle,
        scatter_d=rule.less_d * found.scatter,
        by=by,
        known_to=now.last,
        ahead=found.seasons,
        cited=(rule.cited, rule.within.cited),
    )


def _start(season: WorkingYear, day: MonthDay) -> date:
    return season.place_day(day, Hemisphere.NORTH)
