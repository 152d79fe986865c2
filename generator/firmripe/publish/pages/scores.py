"""How well past dates held, in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from firmripe.holding.fruit import Event
from firmripe.season.hindcast import Moment, Score
from firmripe.tongue import Tongue, mark

_OF_BLOOM: Final = {
    Moment.BEFORE: mark("Full bloom, said before the season began"),
    Moment.AHEAD_30: mark("Full bloom, 30 days ahead"),
    Moment.AHEAD_14: mark("Full bloom, 14 days ahead"),
    Moment.AHEAD_7: mark("Full bloom, 7 days ahead"),
    None: mark("Full bloom, the plain mean of earlier seasons"),
}
_OF_PICK: Final = {
    Moment.BEFORE: mark("Pick, said before the season began"),
    Moment.AHEAD_30: mark("Pick, 30 days ahead"),
    Moment.AHEAD_14: mark("Pick, 14 days ahead"),
    Moment.AHEAD_7: mark("Pick, 7 days ahead"),
    Moment.AFTER_BLOOM: mark("Pick, said once the bloom was noted"),
    None: mark("Pick, the plain mean of earlier seasons"),
}


def score_words(tongue: Tongue, scores: Iterable[Score]) -> tuple[str, ...]:
    """Say how well blooms and picks of some seasons were foretold; nothing where none was."""
    return tuple(_score(tongue, score) for score in scores)


def _score(tongue: Tongue, score: Score) -> str:
    name = tongue.term((_OF_BLOOM if score.event is Event.FULL_BLOOM else _OF_PICK)[score.moment])
    off = tongue.plural(
        "{days:.1f} days off in {n} case",
        "{days:.1f} days off on average in {n} cases",
        score.count,
        days=score.mean_error_days,
    )
    if score.held is None:
        return tongue.say("{name}: {off}.", name=name, off=off)
    return tongue.say("{name}: {off}; {held} inside the window.", name=name, off=off, held=score.held)


def off_words(tongue: Tongue, error: int | None) -> str:
    """Say how far off a date was, as `4 days late`; empty where there was none."""
    if error is None:
        return ""
    if error == 0:
        return tongue.say("to the day")
    size = abs(error)
    return (
        tongue.plural("{n} day early", "{n} days early", size)
        if error < 0
        else tongue.plural("{n} day late", "{n} days late", size)
    )
