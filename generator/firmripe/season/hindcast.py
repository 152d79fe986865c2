"""Past seasons played again from what was known then: how far off the dates would have been.

Each season with records is planned again as known before it began, some days ahead of each bloom and pick, and once the
last full bloom before a pick was noted; the warmth of each of these days is in it. Beside them stands what a plain
calendar would have said: the mean of the earlier seasons' days.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from enum import Enum
from functools import cached_property
from itertools import chain

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening
from firmripe.holding.tree import Bearing
from firmripe.lately import Lately
from firmripe.season.because import NotThere
from firmripe.season.estimate import Basis, Dated, Estimate, Happens, NoDate
from firmripe.season.knowledge import Knowledge, mean_day
from firmripe.season.ranking import by_rank
from firmripe.season.season import SeasonModel


class Moment(Enum):
    """When a date was said, in the order in which a season comes to it."""

    __hash__ = object.__hash__  # as that of `Event`

    BEFORE = "before the season began"
    AHEAD_30 = "30 days ahead"
    AHEAD_14 = "14 days ahead"
    AHEAD_7 = "7 days ahead"
    AFTER_BLOOM = "once the bloom was noted"


AHEAD: Mapping[Moment, timedelta] = {
    Moment.AHEAD_30: timedelta(days=30),
    Moment.AHEAD_14: timedelta(days=14),
    Moment.AHEAD_7: timedelta(days=7),
}
WEEK_D = 7
"""What was known is looked at once a week, on the first day of weeks counted from the season's first: so what is said
some days ahead was said up to six days before that, and a season with many trees is played again some fifty times."""
PLAYED = (Event.FULL_BLOOM, Event.PICK)
"""No task hangs on how well the fall of leaves is foretold."""


class Replay(Struct, frozen=True, kw_only=True):
    """One event of one past season. Errors are in days, what was said less what came (negative: said too early).

    `by_moment` holds what was said at each moment at which there was a date; `plain` is the mean of earlier seasons,
    None for the first.
    """

    season: int
    bearing: Bearing
    event: Event
    seen: date
    by_moment: Mapping[Moment, Estimate]
    plain: date | None

    def error_of(self, said: Estimate | date | None) -> int | None:
        """Return how far off something that was said was, in days."""
        if said is None:
            return None
        return ((said.likely if isinstance(said, Estimate) else said) - self.seen).days


class Score(Struct, frozen=True, kw_only=True):
    """How well dates of one event did that were said at one moment (None: the plain mean of earlier seasons).

    Over `count` dates the sum of their errors (days, signs left off), and how many fell inside their window (None where
    the way gives no window).
    """

    event: Event
    moment: Moment | None
    count: int
    error_days: int
    held: int | None

    @property
    def mean_error_days(self) -> float:
        """The mean error (days, signs left off)."""
        return self.error_days / self.count


class PastSeasons(Struct, frozen=True, eq=False, dict=True):
    """The seasons before one, played again when they are first asked for, and never for a page that doesn't show them.

    They are equal where they are of the same notes, whatever is left out (`left_out`): that follows from whose plan it
    is.
    """

    holding: Holding
    before: WorkingYear
    left_out: tuple[Callable[[Replay], bool], ...] = ()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, PastSeasons) and (self.holding, self.before) == (other.holding, other.before)

    def __hash__(self) -> int:
        return hash(PastSeasons)

    def __iter__(self) -> Iterator[Replay]:
        return iter(self._all)

    def __len__(self) -> int:
        return len(self._all)

    @property
    def whole(self) -> PastSeasons:
        """The same with nothing left out."""
        return PastSeasons(self.holding, self.before)

    def without(self, is_left_out: Callable[[Replay], bool]) -> PastSeasons:
        """Return the same without some of their events."""
        return replace(self, left_out=(*self.left_out, is_left_out))

    @cached_property
    def _all(self) -> tuple[Replay, ...]:
        played = _hindcast_once(self.holding, self.before)
        return tuple(replay for replay in played if not any(left_out(replay) for left_out in self.left_out))


_played_again: Lately[tuple[Holding, WorkingYear], tuple[Replay, ...]] = Lately(name="seasons", after="facts")
"""The last seasons played again: a preview plays them once, whatever is noted of this season."""


def _hindcast_once(holding: Holding, before: WorkingYear) -> tuple[Replay, ...]:
    """Return `hindcast`, made of nothing that was noted in later seasons."""
    past = tuple(record for record in holding.records if record.season < before.year or record.day < before.first)
    made_of = replace(holding, records=past)
    return _played_again.made_of((made_of, before), lambda: hindcast(made_of, before))


def hindcast(holding: Holding, before: WorkingYear) -> tuple[Replay, ...]:
    """Play every season with records again that ended before the given one began, oldest first."""
    noted = (Happening.FULL_BLOOM, Happening.FIRST_PICK, Happening.PICK)
    seasons = sorted({r.season for r in holding.records if r.season < before.year and r.what in noted})
    found: list[Replay] = []
    for season in seasons:
        found += _play(holding, before.named(season))
    return tuple(found)


def scores(replays: Iterable[Replay]) -> tuple[Score, ...]:
    """Return the scores of bloom and of pick at each moment, then of the plain mean, where any date was said."""
    found: list[Score] = []
    for replay in replays:
        for moment, said in replay.by_moment.items():
            off, held = (said.likely - replay.seen).days, said.earliest <= replay.seen <= said.latest
            found.append(Score(event=replay.event, moment=moment, count=1, error_days=abs(off), held=int(held)))
        if replay.plain is not None:
            off = (replay.plain - replay.seen).days
            found.append(Score(event=replay.event, moment=None, count=1, error_days=abs(off), held=None))
    return together([found])


def together(parts: Iterable[Iterable[Score]]) -> tuple[Score, ...]:
    """Return the scores of all dates from those of some after others, as those of several seasons."""
    of: dict[tuple[Event, Moment | None], list[Score]] = {}
    for score in chain.from_iterable(parts):
        of.setdefault((score.event, score.moment), []).append(score)
    return tuple(
        Score(
            event=event,
            moment=moment,
            count=sum(score.count for score in same),
            error_days=sum(score.error_days for score in same),
            held=None if moment is None else sum(score.held or 0 for score in same),
        )
        for event in PLAYED
        for moment in (*Moment, None)
        if (same := of.get((event, moment)))
    )


def _play(holding: Holding, year: WorkingYear) -> list[Replay]:
    over = Knowledge(holding, year, year.last)
    seen = _seen(over)
    before = year.first - timedelta(days=1)
    said = _played(over, _asked(seen, before, over), seen)
    return [
        Replay(
            season=year.year,
            bearing=happens.bearing,
            event=happens.event,
            seen=day,
            by_moment={moment: said[happens][moment] for moment in Moment if moment in said[happens]},
            plain=_plain_mean(over, happens, before),
        )
        for happens, day in seen.items()
    ]


def _seen(over: Knowledge) -> dict[Happens, date]:
    """Return the days that were seen and noted in a season that is over."""
    nothing_else = NoDate(reason=NotThere.NOT_KNOWN)
    dates = {
        Happens.of(subject.bearing, event): by_rank(over, subject, event, nothing_else)
        for subject in over.subjects
        for event in PLAYED
        if over.seen(subject, event) is not None
    }
    return {h: d.likely for h, d in dates.items() if isinstance(d, Estimate) and d.basis is Basis.RECORDED}


def _asked(seen: Mapping[Happens, date], before: date, over: Knowledge) -> dict[date, list[tuple[Happens, Moment]]]:
    """Return which events are asked for as known on which day, and what moment that is."""
    year = over.year
    records = over.holding.records
    blooms = sorted({r.day for r in records if r.season == year.year and r.what is Happening.FULL_BLOOM})
    asked: dict[date, list[tuple[Happens, Moment]]] = {}
    for happens, day in seen.items():
        asked.setdefault(before, []).append((happens, Moment.BEFORE))
        for moment, ahead in AHEAD.items():
            asked.setdefault(_week_of(year, day - ahead), []).append((happens, moment))
        bloomed = bisect_left(blooms, day)
        if bloomed and happens.event is Event.PICK:
            asked.setdefault(blooms[bloomed - 1], []).append((happens, Moment.AFTER_BLOOM))
    return asked


def _played(
    over: Knowledge, asked: Mapping[date, Sequence[tuple[Happens, Moment]]], seen: Iterable[Happens]
) -> dict[Happens, dict[Moment, Estimate]]:
    """Return what the model said of each event at each moment at which it was not yet seen and had a date."""
    said: dict[Happens, dict[Moment, Estimate]] = {happens: {} for happens in seen}
    model: SeasonModel | None = None
    for as_of in sorted(asked):  # from one day to the next few trees have a new line
        model = SeasonModel(over.holding, over.year, as_of, model)
        answers = model.dates(happens for happens, _ in asked[as_of])
        for happens, moment in asked[as_of]:
            if (answer := _said(answers, happens)) is not None:
                said[happens][moment] = answer
    return said


def _week_of(year: WorkingYear, day: date) -> date:
    """Return the first day of the week that a day lies in, of weeks counted from a season's first day."""
    return day - timedelta(days=(day - year.first).days % WEEK_D)


def _said(dates: Mapping[Happens, Dated], happens: Happens) -> Estimate | None:
    """Return what the model said, where the event had not yet been seen."""
    dated = dates.get(happens)
    return dated if isinstance(dated, Estimate) and dated.basis is not Basis.RECORDED else None


def _plain_mean(over: Knowledge, happens: Happens, before: date) -> date | None:
    """Return the mean of the tree's own days in earlier seasons, put into this one."""
    subject, year = over.subject_of(happens), over.year
    earlier = over.seen_in_each_season(subject, happens.event) if subject is not None else ()
    days = [year.named(record.season).day_number(record.day) for record in earlier if record.day <= before]
    return year.date_of(mean_day(days)) if days else None
