"""A crop's years beside each other: when it bloomed, when it was picked and what it bore, as finished numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from firmripe.harvest.crop import all_weighed, history_of
from firmripe.harvest.weighing import containers_of
from firmripe.holding.fruit import Event
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Weight
from firmripe.plan import Plan
from firmripe.publish.views import Link, View
from firmripe.season.estimate import Estimate
from firmripe.wording.holding import weight_words
from firmripe.words import short_day


class YearOfTree(View, frozen=True, kw_only=True):
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


class HistoryOfTree(View, frozen=True, kw_only=True):
    """The years of a crop of a tree, or of all trees of a cultivar, oldest first.

    `turns` says where it bears by turns, `taught` what verdicts on its fruit taught.
    """

    tree: Link
    name: str
    turns: str
    years: tuple[YearOfTree, ...]
    height: int
    taught: tuple[str, ...]


class YearRow(View, frozen=True, kw_only=True):
    """A year of a crop: its bloom, its pickings and what it bore, `y` down a drawing that is 360 units wide."""

    year: str
    y: int
    bloom_x: int | None
    bloom: str
    picks: tuple[int, ...]
    first: str
    expected_x: int | None
    expected: str
    weight: str


BLOOM, PICK = (56, 114), (160, 256)
"""Where the days of bloom and of pick lie, in units of the drawing, from the earliest of all years to the latest.

Between the latest bloom and the earliest pick there is room for half of the one's day and half of the other's.
"""
ROW_H, TOP_H = 34, 26
MOST_YEARS = 8
"""More years than these make no clearer picture; the oldest are left to the records. J."""


def years_of(plan: Plan, bearing: Bearing) -> tuple[YearRow, ...]:
    """Return the years of a crop, oldest first, this one last; empty before a second year has something to show."""
    tongue = plan.holding.place.tongue
    containers = containers_of(plan.holding.limb(bearing).traits, plan.holding.place)
    season = plan.season.year.year
    pick = plan.season.of(bearing, Event.PICK)
    by_season: dict[int, list[Record]] = {}
    for record in history_of(plan.holding, bearing, plan.season.as_of):
        by_season.setdefault(record.season, []).append(record)
    told = {year: _Year(of, year, containers) for year, of in by_season.items()}
    if season in told and isinstance(pick, Estimate) and not told[season].picks:
        told[season].expected = pick.likely
    years = sorted(year for year, one in told.items() if one.bloom or one.picks)[-MOST_YEARS:]
    if len(years) < 2:
        return ()
    shown = [told[year] for year in years]
    blooms = _Scale([one.since(one.bloom) for one in shown if one.bloom], *BLOOM)
    picks = _Scale([one.since(day) for one in shown for day in (*one.picks, one.expected) if day], *PICK)
    return tuple(
        YearRow(
            year=str(one.year),
            y=TOP_H + at * ROW_H,
            bloom_x=blooms.x(one.since(one.bloom)) if one.bloom else None,
            bloom=short_day(tongue, one.bloom) if one.bloom else "",
            picks=tuple(picks.x(one.since(day)) for day in one.picks),
            first=short_day(tongue, one.picks[0]) if one.picks else "",
            expected_x=picks.x(one.since(one.expected)) if one.expected else None,
            expected=short_day(tongue, one.expected) if one.expected else "",
            weight=weight_words(tongue, one.weight) if one.weight else "",
        )
        for at, one in enumerate(shown)
    )


class _Year:
    """What was noted of a crop in a season."""

    def __init__(self, of: Sequence[Record], year: int, containers: Mapping[str, Weight]) -> None:
        self.year = year
        self.bloom = min((r.day for r in of if r.what is Happening.FULL_BLOOM), default=None)
        self.picks = sorted({r.day for r in of if r.what in PICKINGS})
        self.expected: date | None = None
        self.weight = all_weighed(of, containers)

    def since(self, day: date) -> int:
        """Return how many days a day lies after the first of January of this year."""
        return (day - date(self.year, 1, 1)).days


class _Scale:
    """Days of all years on one scale."""

    def __init__(self, days: Sequence[int], first: int, last: int) -> None:
        self._least, self._most = min(days, default=0), max(days, default=0)
        self._first, self._last = first, last

    def x(self, day: int) -> int:
        """Return where a day lies."""
        if self._most == self._least:
            return (self._first + self._last) // 2
        return round(self._first + (self._last - self._first) * (day - self._least) / (self._most - self._least))
