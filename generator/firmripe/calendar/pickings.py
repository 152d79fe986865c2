"""The pickings of a crop in its calendar: which jobs come with each of them, and which wait until it is picked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import pairwise
from typing import Final

from msgspec import Struct

from firmripe.calendar.because import FirstPickAlone, GivePassInterval, NextPickUnknown
from firmripe.calendar.entry import Undated
from firmripe.calendar.names import LaterPickings, OfCultivar
from firmripe.days import Rhythm
from firmripe.harvest.lots import Lot
from firmripe.harvest.passes import Picking, has_no_next_day, usual_without_days
from firmripe.holding.task import Anchor, Each, Stage, Task, Topic
from firmripe.holding.tree import Bearing
from firmripe.season.estimate import Estimate, Reach
from firmripe.season.season import Season

MOST_APART: Final = 2
"""So many pickings of a crop have each a job with days of its own; more are one that comes back, for quiet. J."""
WITH_IT_D: Final = 2
"""A job so many days after a pick is done after each picking; what comes later is counted from the first. J."""
PICKING: Final = frozenset({Stage.EARLIEST_PICK, Stage.PICK, Stage.LATEST_PICK})
AFTER_THE_PICK: Final = frozenset(
    {
        Stage.TAKE_OUT_WANTED,
        Stage.WANTED,
        Stage.CONDITIONED,
        Stage.TAKE_OUT,
        Stage.READY,
        Stage.USE_BY,
        Stage.KEEP_UNTIL,
        Stage.KITCHEN_TAKE_OUT,
    }
)


class Turn(Struct, frozen=True, kw_only=True):
    """A picking, or several of them, as the days of a job: `reach` of its first day, `last` the end of its span.

    `numbers` are the pickings on its days, one for each; `every` is set where it comes back.
    """

    reach: Reach
    last: date
    days: tuple[date, ...]
    numbers: tuple[int, ...]
    seen: bool
    every: Rhythm | None = None


def comes_with_each(task: Task) -> bool:
    """Say whether a job comes with each picking of a tree."""
    when = task.when
    is_near = when.stage is Stage.PICK and not when.months and 0 <= when.days <= WITH_IT_D
    ends = task.until is None or task.until.stage is Stage.LATEST_PICK
    return is_near and ends and task.each is Each.TREE and task.every is None


def is_after_the_pick(anchor: Anchor, topic: Topic) -> bool:
    """Say whether what hangs there is done with fruit that was picked, so that it waits while fruit hangs."""
    if anchor.stage in PICKING:
        on_the_day = not anchor.days and not anchor.months
        return max(anchor.days, anchor.months) > 0 or (on_the_day and topic is not Topic.ORCHARD)
    return anchor.stage in AFTER_THE_PICK


def due(picking: Picking, pick: Estimate) -> Reach:
    """Return when a picking is due, which stays when that day is past and nobody has noted it."""
    if picking.number == 1 and picking.due == pick.likely:
        return pick.reach
    return Reach(
        earliest=min(picking.day.earliest, picking.due), likely=picking.due, latest=max(picking.due, picking.day.latest)
    )


def turns(task: Task, lot: Lot, pick: Estimate) -> Iterator[Turn]:
    """Yield the turns of a job that comes with each picking of a lot."""
    told = [one.day if is_after_the_pick(task.when, task.topic) else due(one, pick) for one in lot.pickings]
    reaches = [reach.after(task.when.days, task.when.days, task.when.days) for reach in told]
    numbers = {reach.likely: one.number for reach, one in zip(reaches, lot.pickings, strict=True)}
    if len(numbers) > MOST_APART:
        days = tuple(sorted(numbers))
        yield Turn(
            reach=reaches[0],
            last=days[-1],
            days=days,
            numbers=tuple(numbers[day] for day in days),
            seen=all(picking.noted for picking in lot.pickings),
            every=_rhythm(days),
        )
        return
    for at, (picking, reach) in enumerate(zip(lot.pickings, reaches, strict=True)):
        eve = reaches[at + 1].likely - timedelta(days=1) if at + 1 < len(reaches) else reach.latest
        last = max(reach.likely, min(reach.latest, eve)) if task.until else reach.likely
        yield Turn(reach=reach, last=last, days=(reach.likely,), numbers=(picking.number,), seen=picking.noted)


def later_pickings_without_days(season: Season, lots: Mapping[Bearing, Lot]) -> tuple[Undated, ...]:
    """Return for each cultivar that its later pickings can't be planned, as nothing tells how far apart they are."""
    found: dict[tuple[str, str], Undated] = {}
    for bearing, lot in lots.items():
        limb = season.holding.limb(bearing)
        many = usual_without_days(season, limb, bearing)
        is_noted = all(picking.noted for picking in lot.pickings)
        hangs = has_no_next_day(season, bearing, lot.pickings)
        if not hangs and (not many or len(lot.pickings) >= many or is_noted):
            continue
        found[limb.key, bearing.crop] = Undated(
            what=LaterPickings(of=OfCultivar(limb=limb.name, crop=bearing.crop)),
            reason=NextPickUnknown(tree=bearing.tree) if hangs else FirstPickAlone(usual=many),
            remedy=GivePassInterval(key=limb.key),
        )
    return tuple(found[key] for key in sorted(found))


def _rhythm(days: Sequence[date]) -> Rhythm:
    """Return the usual distance of days in order."""
    gaps = sorted((later - earlier).days for earlier, later in pairwise(days))
    middle = gaps[len(gaps) // 2]
    return Rhythm(count=middle // 7, unit="week") if middle % 7 == 0 else Rhythm(count=middle, unit="day")
