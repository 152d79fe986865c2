"""Fits lots, days and jars together: the best plan that hands, pots, stock and spaces allow.

The goals, each one only among the plans that are best by all before it:

1. each want in the household's order, up to what is wanted;
2. waste least: as little fruit as can be is left over, beyond what is eaten anyway, to a thousandth of all fruit;
3. fewest sessions;
4. near the peak: the kilograms put up, each by the worth of its day, less 0.001 for each session before it;
5. between plans that are equal in all that: fewest loads, then pots side by side, then supplies by name.

Of a large kitchen the plan is one of whole numbers near their parts; where none is found, and in a household's own, it
is searched for. Where time or the search's limit of steps ends first, the plan is the best that was found. Each goal
tells its bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec.structs import replace

from firmripe.kitchen.fit.means import Means
from firmripe.kitchen.fit.outcome import Fit
from firmripe.kitchen.fit.programme import KitchenProgramme
from firmripe.kitchen.fit.reading_off import fit_of
from firmripe.kitchen.fit.simple import simple
from firmripe.kitchen.fit.solving import INFINITE, ROUNDING, TOLERANCE, Aim, Search, relaxation
from firmripe.kitchen.fit.ways import Ways

if TYPE_CHECKING:
    from firmripe.kitchen.fit.highs import Relaxation

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
    wanted = kitchen.wanted()
    *good, peak = kitchen.good()
    reached = None if kitchen.is_small else search.near_parts([*wanted, *good], peak, kitchen.by_session())
    reached = reached or search.at_once([*wanted, *good], peak)
    if reached is None:
        reached = [*search.follow_all(wanted[:-1], wanted[-1]), *search.follow_all(good, peak)]
    bounds = [one.bound for number, one in enumerate(reached) if number != len(wanted) + 2]
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
        relaxed = self._relaxed()
        for aim, there in zip(self._kitchen.wanted(), met, strict=True):
            if aim.most > there + TOLERANCE and math.floor((relaxed.most(aim.terms) or 0.0) + ROUNDING) > there:
                return True
            self._keep(relaxed, aim, there)
        return False

    def reaches(self, met: Sequence[int]) -> bool:
        """Say whether every want can be met so far."""
        relaxed, search = self._relaxed(), Search(self._kitchen.programme, self._seconds)
        for aim, there in zip(self._kitchen.wanted(), met, strict=True):
            self._keep(relaxed, aim, there)
            search.keep(aim, there)
        return relaxed.most({}) is not None and search.finds(self._kitchen.together())

    def most(self) -> list[int]:
        """Return the units of each want that can be met."""
        chosen = simple(self._ways)
        if chosen is None:
            search = Search(self._kitchen.programme, self._seconds)
            *wanted, last = self._kitchen.wanted()
            search.follow_all(wanted, last)
            self.ran_out = search.ran_out
            chosen = self._kitchen.chosen(search.values)
        return [chosen.met[want.name] for want in self._ways.wants]

    @cached_property
    def _kitchen(self) -> KitchenProgramme:
        return KitchenProgramme(self._ways)

    def _relaxed(self) -> Relaxation:
        return relaxation(self._kitchen.programme)

    def _keep(self, relaxed: Relaxation, aim: Aim, there: int) -> None:
        relaxed.keep((there - ROUNDING, aim.terms, INFINITE))
