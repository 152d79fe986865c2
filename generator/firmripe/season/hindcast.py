"""Past seasons played again from what was known before them: how far off the dates would have been.

Each season with records is planned twice: as known before it began, and as known once its last full bloom was noted.
Beside them stands what a plain calendar would have said: the mean of the earlier seasons' days.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.saying import _, n_
from firmripe.season.estimate import Basis, Estimate, Happens
from firmripe.season.knowledge import first_of_each_season
from firmripe.season.season import Season, SeasonModel


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """One event of one past season. Errors are in days, what was said less what came (negative: said too early).

    `before` and `after_bloom` are what was said at the two times, None where there was no date; `plain` is the mean
    of earlier seasons, None for the first.
    """

    season: int
    bearing: Bearing
    event: Event
    seen: date
    before: Estimate | None
    after_bloom: Estimate | None
    plain: date | None

    def error_of(self, said: Estimate | date | None) -> int | None:
        """Return how far off one of the three was, in days."""
        if said is None:
            return None
        return ((said.likely if isinstance(said, Estimate) else said) - self.seen).days


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How well one way of saying dates did.

    Over `count` dates the mean error (days, signs left off), and how many fell inside their window (None where the
    way gives no window).
    """

    count: int
    mean_error_days: float
    held: int | None


def hindcast(holding: Holding, before: WorkingYear) -> tuple[Replay, ...]:
    """Play every season with records again that ended before the given one began, oldest first."""
    seasons = sorted({record.season for record in holding.records if record.season < before.year})
    found: list[Replay] = []
    for season in seasons:
        found += _play(holding, WorkingYear(year=season, hemisphere=before.hemisphere))
    return tuple(found)


def scores(replays: Iterable[Replay]) -> tuple[Score | None, Score | None, Score | None]:
    """Return the scores of before the season, after bloom, and the plain mean, over the picks alone."""
    picks = [replay for replay in replays if replay.event is Event.PICK]
    return (
        _score(picks, [replay.before for replay in picks]),
        _score(picks, [replay.after_bloom for replay in picks]),
        _score(picks, [replay.plain for replay in picks]),
    )


def _score(replays: Sequence[Replay], said: Sequence[Estimate | date | None]) -> Score | None:
    pairs = [(replay, one) for replay, one in zip(replays, said, strict=True) if one is not None]
    if not pairs:
        return None
    errors = [abs(replay.error_of(one) or 0) for replay, one in pairs]
    windows = [(replay, one) for replay, one in pairs if isinstance(one, Estimate)]
    held = sum(one.earliest <= replay.seen <= one.latest for replay, one in windows) if windows else None
    return Score(count=len(pairs), mean_error_days=sum(errors) / len(errors), held=held)


def _play(holding: Holding, year: WorkingYear) -> list[Replay]:
    seen = SeasonModel(holding, year, year.last).season(judge_picks=False)
    before_it = SeasonModel(holding, year, year.first - timedelta(days=1))
    before = before_it.season(judge_picks=False)
    blooms = [r.day for r in holding.records if r.season == year.year and r.what is Happening.FULL_BLOOM]
    after = SeasonModel(holding, year, max(blooms)).season(judge_picks=False) if blooms else None
    found = []
    for happens, dated in seen.dates.items():
        if not isinstance(dated, Estimate) or dated.basis is not Basis.RECORDED or happens.event is Event.LEAF_FALL:
            continue
        found.append(
            Replay(
                season=year.year,
                bearing=happens.bearing,
                event=happens.event,
                seen=dated.likely,
                before=_said(before, happens),
                after_bloom=_said(after, happens) if happens.event is Event.PICK else None,
                plain=_plain_mean(before_it.known.records, happens, year),
            )
        )
    return found


def _said(season: Season | None, happens: Happens) -> Estimate | None:
    """Return what the model said, where the event had not yet been seen."""
    dated = season.dates.get(happens) if season else None
    return dated if isinstance(dated, Estimate) and dated.basis is not Basis.RECORDED else None


def _plain_mean(earlier: Sequence[Record], happens: Happens, year: WorkingYear) -> date | None:
    """Return the mean of the tree's own days in earlier seasons, put into this one."""
    days = [
        WorkingYear(year=record.season, hemisphere=year.hemisphere).day_number(record.day)
        for record in first_of_each_season(earlier, happens.bearing, happens.event)
    ]
    return year.date_of(sum(days) / len(days)) if days else None


def score_words(replays: Iterable[Replay]) -> tuple[str, ...]:
    """Say in words how well the picks of some seasons were foretold; nothing where none was."""
    before, after, plain = scores(replays)
    said = []
    for name, score in (
        (_("Before the season began"), before),
        (_("Once the bloom was noted"), after),
        (_("The plain mean of earlier seasons"), plain),
    ):
        if score is None:
            continue
        held = (
            ""
            if score.held is None
            else _(", and {held} of {count} fell inside their window", held=score.held, count=score.count)
        )
        said.append(
            _(
                "{name}: {days:.1f} days off on average over {count} picks{held}.",
                name=name,
                days=score.mean_error_days,
                count=score.count,
                held=held,
            )
        )
    return tuple(said)


def off_words(error: int | None) -> str:
    """Say how far off a date was, as `4 days late`; empty where there was none."""
    if error is None:
        return ""
    if error == 0:
        return _("to the day")
    size = abs(error)
    return n_("{n} day early", "{n} days early", size) if error < 0 else n_("{n} day late", "{n} days late", size)
