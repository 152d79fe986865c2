"""Picks whose time is over and that nobody noted: the plan goes on as if they were still to come."""

from __future__ import annotations

from datetime import date

from firmripe.saying import _
from firmripe.season.estimate import Dated, Estimate
from firmripe.season.knowledge import Subject
from firmripe.words import of_crop, week_day


def overdue(subject: Subject, pick: Dated, as_of: date) -> str:
    """Return what is odd about a pick that was looked for until before a day and never noted; else nothing."""
    if not isinstance(pick, Estimate) or pick.is_over or pick.latest >= as_of:
        return ""
    crop = of_crop(subject.bearing.crop)
    name = f"{subject.limb.name} ({subject.tree.tag}){crop}"
    return _(
        "{name}: its pick was looked for until {latest}, and none is noted", name=name, latest=week_day(pick.latest)
    )
