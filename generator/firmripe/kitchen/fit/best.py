"""Fits lots, days and jars together: the best plan that hands, pots, stock and spaces allow.

The goals, each one only among the plans that are best by all before it:

1. each want in the household's order, up to what is wanted;
2. waste least: as little fruit as can be is left over, beyond what is eaten anyway, to a thousandth of all fruit;
3. fewest sessions;
4. near the peak: the kilograms put up, each by the worth of its day, less 0.001 for each session before it;
5. between plans that are equal in all that: fewest loads, then pots side by side, then supplies by name.

Where time or the search's limit of steps ends first, the plan is the best that was found, and each goal tells its
bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from firmripe.kitchen.fit.means import Means
from firmripe.kitchen.fit.outcome import Fit
from firmripe.kitchen.fit.programme import KitchenProgramme
from firmripe.kitchen.fit.reading_off import fit_of
from firmripe.kitchen.fit.simple import simple
from firmripe.kitchen.fit.solving import TOLERANCE, Search
from firmripe.kitchen.fit.ways import Ways

TIME_LIMIT_S = 120.0
"""Seconds at most, by the clock. The limit of steps (`highs.STEPS`) comes long before it, the same everywhere."""


def fit(means: Means, *, time_limit_s: float = TIME_LIMIT_S) -> Fit:
    """Return the best plan of some means, found within so many seconds.

    The same means give the same plan, in whatever order they are listed, unless the clock ends the search first.
    """
    ways = Ways(means)
    chosen = simple(ways)
    if chosen is not None:
        return fit_of(ways, chosen)
    kitchen = KitchenProgramme(ways)
    search = Search(kitchen.programme, time_limit_s)
    search.follow(kitchen.together(), time_limit_s / 4, keep=False)
    waste, sessions, peak = kitchen.good()
    reached = search.follow_all([*kitchen.wanted(), waste, sessions])
    search.keep(waste, waste.of(search.values))  # only a session less is worth a little more waste
    bounds = [one.bound for one in (*reached, search.follow(peak, search.seconds))]
    for aim, settled in (kitchen.fewest_loads(), kitchen.side_by_side(), kitchen.by_name()):
        search.follow(aim, search.seconds, fixed=settled)
    return replace(fit_of(ways, kitchen.chosen(search.values), bounds), ran_out=search.ran_out)


class Wanting:
    """What some means can meet of the wants, without a plan for it: `met` is told by want, in the wants' order."""

    def __init__(self, means: Means, seconds: float) -> None:
        self._ways = Ways(means)
        self._seconds = seconds
        self.ran_out = False

    def may_gain(self, met: Sequence[int]) -> bool:
        """Say whether parts of jars and loads could meet more than `met`; where they can't, whole ones can't either."""
        search, kitchen = self._search(whole=False)
        for aim, there in zip(kitchen.wanted(), met, strict=True):
            smooth = replace(aim, whole=False)
            reached = search.follow(smooth, search.seconds, keep=False) if aim.most > there + TOLERANCE else None
            if reached is not None and math.floor(reached.value + 1e-4) > there:
                return True
            search.keep(smooth, there - 1e-4)
        return False

    def reaches(self, met: Sequence[int]) -> bool:
        """Say whether every want can be met so far."""
        for whole in (False, True):
            search, kitchen = self._search(whole=whole)
            for aim, there in zip(kitchen.wanted(), met, strict=True):
                search.keep(aim, there)
            if not search.finds(kitchen.together()):
                return False
        return True

    def most(self) -> list[int]:
        """Return the units of each want that can be met."""
        chosen = simple(self._ways)
        if chosen is None:
            search, kitchen = self._search(whole=True)
            search.follow(kitchen.together(), search.seconds, keep=False)
            search.follow_all(kitchen.wanted())
            self.ran_out = search.ran_out
            chosen = kitchen.chosen(search.values)
        return [chosen.met[want.name] for want in self._ways.wants]

    def _search(self, *, whole: bool) -> tuple[Search, KitchenProgramme]:
        kitchen = KitchenProgramme(self._ways)
        if not whole:
            kitchen.programme.whole = [False] * len(kitchen.programme.whole)
        return Search(kitchen.programme, self._seconds), kitchen
