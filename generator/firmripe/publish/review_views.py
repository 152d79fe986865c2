"""What a template sees of the year in review."""

from __future__ import annotations

from dataclasses import dataclass

from firmripe.publish.views import HistoryOfTree, Link


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidAndDone:
    """A first pick: when it was looked for before the season, and when it came. Places in the drawing are its units.

    `at_said` is None where nothing was said.
    """

    tree: Link
    name: str
    seen: str
    iso: str
    said: str
    off: str
    at_seen: int
    at_said: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class JarsOfYear:
    """Jars of one kind and one season: how many were made, eaten and left; the last two empty where nobody counted."""

    name: str
    year: str
    made: str
    eaten: str
    left: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewPage:
    """The year in review. `months` are the heads of the drawings, each with its place.

    `packed` are cultivars with the share of each grade in what came in. `prior` is what was taken for granted before
    verdicts taught anything, empty where none did.
    """

    title: str
    summary: tuple[str, ...]
    done: tuple[SaidAndDone, ...]
    packed: tuple[tuple[str, str], ...]
    trees: tuple[HistoryOfTree, ...]
    jars: tuple[JarsOfYear, ...]
    prior: str
    months: tuple[tuple[int, str], ...]
    width: int
