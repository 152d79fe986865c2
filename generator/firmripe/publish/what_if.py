"""Whether a build is the folder's own, whose calendars people have, or one that only tries something."""

from __future__ import annotations

from datetime import date, timedelta
from enum import Enum

from firmripe.plan import Plan
from firmripe.publish.ledger import Ledger

AHEAD = timedelta(days=7)
"""So far may a day of knowledge lie ahead of the clock and of all that the ledger says: clocks differ."""


class WhatIf(Enum):
    """Why a build only tries something: it writes no ledger, and a site of its own unless a folder is named."""

    ASKED = "asked"
    READER = "reader"
    SEASON = "season"
    BEFORE = "before"
    AHEAD = "ahead"


def what_if(plan: Plan, ledger: Ledger, today: date, *, asked: bool, dated: bool) -> WhatIf | None:
    """Return why a build is none of the folder's own, or None where it is.

    `asked` says that it was asked for as one, `dated` that the day of knowledge was given and is not just the clock's.
    """
    as_of, place = plan.season.as_of, plan.holding.place
    if asked:
        return WhatIf.ASKED
    if plan.reader != plan.usual_reader:
        return WhatIf.READER
    if plan.season.year.year != place.working_year_of(as_of).year:
        return WhatIf.SEASON
    newest = ledger.newest
    if dated and newest is not None and as_of < newest:
        return WhatIf.BEFORE
    if dated and as_of > max(today, newest or today) + AHEAD:
        return WhatIf.AHEAD
    return None
