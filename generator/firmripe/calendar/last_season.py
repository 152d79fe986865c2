"""What fruit of last season asks for in this one: what is still in store, and what still hangs at the turn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from datetime import date, timedelta

from msgspec.structs import replace

from firmripe.calendar.anchoring import OF_THE_PICK
from firmripe.calendar.entry import Entry
from firmripe.calendar.pickings import AFTER_THE_PICK
from firmripe.days import Span
from firmripe.harvest.lots import Lot
from firmripe.holding.task import Stage, Topic
from firmripe.holding.tree import Bearing
from firmripe.season.estimate import Reach
from firmripe.season.season import Season

NOT_NOTED_D = 60
"""So long after its last good day a pick of last season that nobody noted is still asked about. J."""


def under_way(former: Season, lots: Mapping[Bearing, Lot], since: date, noted: AbstractSet[str]) -> frozenset[Bearing]:
    """Return the crops of last season that are not all picked, as far as is noted, when this one begins on a day.

    A picking of theirs falls into this season, or its days were over lately and nobody noted it on a tree that is
    noted at all: `noted` are those trees.
    """
    found = []
    for bearing, lot in lots.items():
        pick = former.picks.get(bearing)
        days = [picking.day.latest for picking in lot.pickings if not picking.noted]
        if pick is None or not days:
            continue
        last = max(days if pick.is_over else [pick.latest, *days])
        lately = bearing.tree in noted and not pick.is_over and last >= former.as_of - timedelta(days=NOT_NOTED_D)
        if last >= max(since, former.as_of) or lately:
            found.append(bearing)
    return frozenset(found)


def still_to_do(
    entries: Iterable[Entry], carried: AbstractSet[Bearing], hanging: AbstractSet[Bearing], since: date
) -> tuple[Entry, ...]:
    """Return what is left from `since` on of last season's jobs: about fruit in store, and all about what still hangs.

    They keep their identity, so that no calendar holds them twice.
    """
    found = []
    for entry in entries:
        left = _of_what_hangs(entry, hanging, since) or _of_the_store(entry, carried, since)
        if left is not None:
            found.append(left)
    return tuple(found)


def _of_what_hangs(entry: Entry, hanging: AbstractSet[Bearing], since: date) -> Entry | None:
    """Return a job about fruit that hangs over the turn of the season, as it stood; None where it is over by then.

    Its picking stays until somebody notes it, whatever its days.
    """
    bearings = tuple(bearing for bearing in entry.bearings if bearing in hanging)
    stages = {anchor.stage for anchor in (entry.task.when, entry.task.until) if anchor is not None}
    is_picking = entry.task.when.stage is Stage.PICK and not entry.task.when.days and entry.task.topic is Topic.ORCHARD
    if not entry.subject or not bearings or not stages & OF_THE_PICK or (entry.span.last < since and not is_picking):
        return None
    return replace(entry, bearings=bearings)


def _of_the_store(entry: Entry, carried: AbstractSet[Bearing], since: date) -> Entry | None:
    anchors = [anchor for anchor in (entry.task.when, entry.task.until) if anchor is not None]
    days = tuple(day for day in entry.days if day >= since)
    if (
        not days
        or entry.task.topic is Topic.ORCHARD
        or not carried & set(entry.bearings)
        or not any(anchor.stage in AFTER_THE_PICK for anchor in anchors)
    ):
        return None
    reach = Reach(earliest=min(entry.reach.earliest, days[0]), likely=days[0], latest=max(entry.reach.latest, days[0]))
    return replace(entry, days=days, span=Span(first=days[0], last=entry.span.last), reach=reach)
