"""What fruit of last season, still in store, asks for in this one."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date

from firmripe.calendar.entries import AFTER_THE_PICK
from firmripe.calendar.entry import Entry
from firmripe.days import Span
from firmripe.holding.task import Topic
from firmripe.holding.tree import Bearing
from firmripe.season.estimate import Reach


def still_to_do(entries: Iterable[Entry], carried: AbstractSet[Bearing], since: date) -> tuple[Entry, ...]:
    """Return the days from `since` on of last season's jobs about fruit that is still there.

    They keep their identity, so that no calendar holds them twice.
    """
    found = []
    for entry in entries:
        anchors = [anchor for anchor in (entry.task.when, entry.task.until) if anchor is not None]
        days = tuple(day for day in entry.days if day >= since)
        if (
            not days
            or entry.task.topic is Topic.ORCHARD
            or not carried & set(entry.bearings)
            or not any(anchor.stage in AFTER_THE_PICK for anchor in anchors)
        ):
            continue
        reach = Reach(
            earliest=min(entry.reach.earliest, days[0]), likely=days[0], latest=max(entry.reach.latest, days[0])
        )
        found.append(replace(entry, days=days, span=Span(first=days[0], last=entry.span.last), reach=reach))
    return tuple(found)
