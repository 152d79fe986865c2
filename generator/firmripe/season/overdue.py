"""Picks whose time is over and that nobody noted: the plan goes on as if they were still to come."""

from __future__ import annotations

from datetime import date

from firmripe.holding.fruit import Event
from firmripe.season.because import Overdue
from firmripe.season.estimate import Dated, Estimate
from firmripe.season.knowledge import Subject


def overdue(subject: Subject, pick: Dated, as_of: date) -> Overdue | None:
    """Return that a pick was looked for until before a day and never noted; None where it was not."""
    if not isinstance(pick, Estimate) or pick.is_over or pick.latest >= as_of:
        return None
    return Overdue(subject.event_of(Event.PICK), pick.latest)
