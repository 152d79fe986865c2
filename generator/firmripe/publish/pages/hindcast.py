"""The page of past seasons played again: how far off each date was foretold."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from firmripe.holding.fruit import Event
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.scores import off_words, score_words
from firmripe.publish.views import Link, View
from firmripe.season.hindcast import Moment, Replay, scores, together
from firmripe.words import of_crop, week_day

MOST_LINES: Final = 400
"""So many dates are all listed; with more the page would weigh more than a phone fetches at once. J."""


class ReplayLine(View, frozen=True, kw_only=True):
    """One event of a past season: what came, and how far off it was foretold at each moment (empty: not foretold)."""

    tree: Link
    what: str
    seen: str
    iso: str
    before: str
    days_30: str
    days_14: str
    days_7: str
    after_bloom: str
    plain: str


class ReplaySeason(View, frozen=True, kw_only=True):
    """One past season played again, with its scores in words."""

    title: str
    scores: tuple[str, ...]
    lines: tuple[ReplayLine, ...]


class HindcastPage(View, frozen=True, kw_only=True):
    """How past dates would have held: over all seasons, and season by season.

    `of_each_kind` says that of many dates those farthest off alone are listed.
    """

    scores: tuple[str, ...]
    of_each_kind: bool
    seasons: tuple[ReplaySeason, ...]


def hindcast_page(context: PageContext) -> HindcastPage:
    """Return the page of past seasons played again."""
    replays = context.plan.replays
    of_each_kind = len(replays) > MOST_LINES
    listed = farthest_off(replays) if of_each_kind else list(replays)
    of_season: dict[int, list[Replay]] = {}
    for replay in replays:
        of_season.setdefault(replay.season, []).append(replay)
    scores_of = {season: scores(of_season[season]) for season in sorted(of_season, reverse=True)}
    return HindcastPage(
        scores=score_words(context.tongue, together(scores_of.values())),
        of_each_kind=of_each_kind,
        seasons=tuple(
            ReplaySeason(
                title=str(season),
                scores=score_words(context.tongue, of_this),
                lines=tuple(_replay(context, replay) for replay in listed if replay.season == season),
            )
            for season, of_this in scores_of.items()
        ),
    )


def farthest_off(replays: Iterable[Replay]) -> list[Replay]:
    """Return of each season, kind, crop and event the date that was ever foretold farthest off, in their order."""
    worst: dict[tuple[int, str, str, Event], tuple[int, Replay]] = {}
    for replay in replays:
        said = [abs(off) for one in replay.by_moment.values() if (off := replay.error_of(one)) is not None]
        off = max(said, default=-1)
        of = replay.season, replay.bearing.cultivar, replay.bearing.crop, replay.event
        if of not in worst or off > worst[of][0]:
            worst[of] = off, replay
    return [replay for _, replay in worst.values()]


def _replay(context: PageContext, replay: Replay) -> ReplayLine:
    tongue = context.tongue
    bearing = replay.bearing
    crop = of_crop(tongue, bearing.crop)
    return ReplayLine(
        tree=context.link(bearing.tree, context.paths.tree(bearing.tree)),
        what=tongue.say(
            "{event} of {limb}", event=tongue.term(replay.event.value), limb=context.holding.limb(bearing).name + crop
        ),
        seen=week_day(tongue, replay.seen),
        iso=replay.seen.isoformat(),
        before=off_words(tongue, replay.error_of(replay.by_moment.get(Moment.BEFORE))),
        days_30=off_words(tongue, replay.error_of(replay.by_moment.get(Moment.AHEAD_30))),
        days_14=off_words(tongue, replay.error_of(replay.by_moment.get(Moment.AHEAD_14))),
        days_7=off_words(tongue, replay.error_of(replay.by_moment.get(Moment.AHEAD_7))),
        after_bloom=off_words(tongue, replay.error_of(replay.by_moment.get(Moment.AFTER_BLOOM))),
        plain=off_words(tongue, replay.error_of(replay.plain)),
    )
