"""The days on which a household picks by its own word, without those on which nobody is there to pick."""

from __future__ import annotations

from datetime import date
from typing import Final

from firmripe.days import WorkingYear
from firmripe.holding.hands import hands_for
from firmripe.holding.holding import Holding
from firmripe.holding.tree import Bearing

_TASK: Final = "pick"
_WORK: Final = "picking"
"""The job that says who picks, and what that work is called where the household has no such job."""


def picking_days(holding: Holding, bearing: Bearing, year: WorkingYear) -> tuple[date, ...]:
    """Return a season's own days of picking a bearing, in order; none where the household tells of none.

    Days on which nobody gets to the trees are taken out, and days on which everybody who picks is away.
    """
    tree = holding.tree(bearing.tree)
    told = tree.picks_of(holding.limb(bearing), bearing.crop)
    if told is None:
        return ()
    work = next((task.who for task in holding.tasks if task.key == _TASK), _WORK)
    hands = hands_for(work, [bearing], holding).people
    people = [person for person in holding.place.people if person.name in hands]
    return tuple(
        day
        for day in told.value.days(year)
        if holding.place.no_access_on(day) is None and not (people and all(person.is_away(day) for person in people))
    )
