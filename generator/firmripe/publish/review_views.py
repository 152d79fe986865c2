"""What a template sees of the year in review."""

from __future__ import annotations

from dataclasses import dataclass

from firmripe.publish.views import Link, View


@dataclass(frozen=True, slots=True, kw_only=True)
class YearOfTree(View):
    """A year of a crop: bloom, first pick and what lay between, weight, and how it was. Empty where nothing was noted.

    `at_bloom`, `at_pick` and `bar` are its places in the drawing; `row` is how far down it stands.
    """

    year: str
    bloom: str
    pick: str
    between: str
    weight: str
    verdict: str
    at_bloom: int | None
    at_pick: int | None
    bar: int
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryOfTree(View):
    """The years of a crop of a tree, or of all trees of a cultivar, oldest first.

    `turns` says where it bears by turns, `taught` what verdicts on its fruit taught.
    """

    tree: Link
    name: str
    turns: str
    years: tuple[YearOfTree, ...]
    height: int
    taught: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidAndDone(View):
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
class JarsOfYear(View):
    """Jars of one kind and one season: how many were made, eaten and left; the last two empty where nobody counted."""

    name: str
    year: str
    made: str
    eaten: str
    left: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewPage(View):
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
