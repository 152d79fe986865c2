"""A household's own words beside the published ones: after them, marked, and kept away where they are unsafe."""

from __future__ import annotations

from collections.abc import Iterable

from firmripe.holding.figures import Cited, Figure
from firmripe.holding.unsafe import is_unsafe
from firmripe.problems import Where
from firmripe.reading.fields import SHELF
from firmripe.tongue import Tongue
from firmripe.words import in_own_units


def is_own(cited: Cited) -> bool:
    """Say whether a figure stands in a household's note, whatever source it names there."""
    return is_of_own_note(cited.where)


def is_of_own_note(where: Where) -> bool:
    """Say whether a note is the household's, if only in part: one that it lays over the shelf's is."""
    return not where.file.startswith(SHELF)


def published_first(figures: Iterable[Figure[str]]) -> tuple[Figure[str], ...]:
    """Return figures with the shelf's before the household's, each in its order."""
    return tuple(sorted(figures, key=lambda figure: is_own(figure.cited)))


def heeded(figures: Iterable[Figure[str]]) -> tuple[Figure[str], ...]:
    """Return figures in that order, without what a household wrote against the published ways."""
    return tuple(f for f in published_first(figures) if not (is_own(f.cited) and is_unsafe(f.text)))


def caution_words(tongue: Tongue, figure: Figure[str]) -> str:
    """Say a caution; the household's own is marked as that."""
    words = tongue.term(figure.text)
    return tongue.say("You wrote: {words}", words=words) if is_own(figure.cited) else in_own_units(tongue, words)


def all_caution_words(tongue: Tongue, figures: Iterable[Figure[str]]) -> tuple[str, ...]:
    """Say cautions where work is told of: the published ones first, nothing unsafe."""
    return tuple(caution_words(tongue, figure) for figure in heeded(figures))


def heeded_text(text: str) -> str:
    """Return words of a note, or nothing where they go against the published ways."""
    return "" if is_unsafe(text) else text
