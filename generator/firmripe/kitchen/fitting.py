"""Fits lots, days and jars together: the best plan that hands, pots, stock and spaces allow.

The goals, each one only among the plans that are best by all before it:

1. each want in the household's order, up to what is wanted;
2. waste least: as little fruit as can be is left over, beyond what is eaten anyway;
3. fewest sessions;
4. near the peak: the kilograms put up, each by the worth of its day, less 0.001 for each session before it;
5. between plans that are equal in all that: fewest loads, then supplies by name.

Where time or the search's limit of steps ends first, the plan is the best that was found, and each goal tells its
bound.
"""

from __future__ import annotations

from firmripe.kitchen.fitted import Fit
from firmripe.kitchen.means import Means
from firmripe.kitchen.programme import KitchenProgramme
from firmripe.kitchen.reasons import told
from firmripe.kitchen.simple import simple
from firmripe.kitchen.solving import Search
from firmripe.kitchen.ways import Ways

TIME_LIMIT_S = 60.0
"""Seconds at most, by the clock. The limit of steps (`highs.STEPS`) comes first wherever the machine isn't busy."""
TIES_S = 1.0
"""Seconds at most for each of the last two searches, which only choose among plans that are equally good."""


def fit(means: Means, *, time_limit_s: float = TIME_LIMIT_S) -> Fit:
    """Return the best plan of some means, found within so many seconds.

    The same means give the same plan, in whatever order they are listed, unless time runs out first.
    """
    ways = Ways(means)
    chosen = simple(ways)
    if chosen is not None:
        return told(ways, chosen)
    kitchen = KitchenProgramme(ways)
    search = Search(kitchen.programme, time_limit_s)
    search.follow(kitchen.together(), time_limit_s / 4, keep=False)
    bounds = [reached.bound for reached in search.follow_all([*kitchen.wanted(), *kitchen.good()])]
    for aim, settled in (kitchen.fewest_loads(), kitchen.by_name()):
        search.follow(aim, TIES_S, fixed=settled)
    return told(ways, kitchen.chosen(search.values), bounds)


def units_met(means: Means, *, time_limit_s: float) -> tuple[dict[str, int], float]:
    """Return the units of each want that some means can meet, in the wants' order, and the seconds that it took."""
    ways = Ways(means)
    chosen = simple(ways)
    if chosen is not None:
        return chosen.met, 0.0
    kitchen = KitchenProgramme(ways)
    search = Search(kitchen.programme, time_limit_s)
    search.follow(kitchen.together(), time_limit_s / 4, keep=False)
    search.follow_all(kitchen.wanted())
    return kitchen.chosen(search.values).met, time_limit_s - search.seconds
