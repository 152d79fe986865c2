"""Take-outs: backwards from the day fruit is wanted to the day it leaves the cold."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from firmripe.harvest.grades import STORED
from firmripe.harvest.lots import Batch, Lot
from firmripe.holding.fruit import Cultivar
from firmripe.holding.place import Wanted
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.problems import folded
from firmripe.saying import _
from firmripe.words import days_words, week_day


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOut:
    """Fruit of a batch leaves the cold on `day`, to be ready on the day it is wanted."""

    wanted: Wanted
    batch: Batch
    day: date
    counter_d: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NoTakeOut:
    """Why fruit can't be ready on the day it is wanted; `batch` is the one that comes nearest, if there is any."""

    wanted: Wanted
    reason: str
    batch: Batch | None = None


def counter_days(limb: Cultivar, batch: Batch) -> int | None:
    """Return the days from taking out to ready, as this batch's own life has them; None where they are not known."""
    ready = next((out.ready for out in batch.outs if out.ready is not None and not out.noted), None)
    if ready is not None:
        out = next(o for o in batch.outs if o.ready is ready)
        return (ready.likely - out.day).days
    counter = limb.traits.counter
    return math.ceil(counter.value.middle) if counter else None


def take_out_for(wanted: Wanted, batch: Batch) -> TakeOut | NoTakeOut:
    """Return the day a batch leaves the cold to be ready when wanted: not before it is conditioned, nor too late."""
    found = _day_for(wanted, batch)
    if isinstance(found, str):
        return NoTakeOut(wanted=wanted, reason=found, batch=batch)
    return found


def _day_for(wanted: Wanted, batch: Batch) -> TakeOut | str:
    """Return the take-out, or why there is none: the day must lie inside the least and the most storage."""
    name = f"{batch.limb.name} ({batch.bearing.tree})"
    if Stage.READY not in batch.days and Stage.READY in batch.undated:
        return f"{name}: {batch.undated[Stage.READY]}"
    days = counter_days(batch.limb, batch)
    if days is None:
        return _("{name}: how many days it takes to ripen indoors is not known", name=name)
    day = wanted.day - timedelta(days=days)
    soonest = batch.days.get(Stage.CONDITIONED, batch.picked).likely
    if day < soonest:
        ready = week_day(soonest + timedelta(days=days))
        return _(
            "{name} is in the cold until {soonest}, so it is ready on {ready} at the soonest",
            name=name,
            soonest=week_day(soonest),
            ready=ready,
        )
    return _gone_by(batch, name, day) or TakeOut(wanted=wanted, batch=batch, day=day, counter_d=days)


def _gone_by(batch: Batch, name: str, day: date) -> str:
    """Say why nothing of a batch is left in the cold, or should be, on a day; empty where something is."""
    if all(out.noted for out in batch.outs) and batch.last_out < day:
        return _("{name}: all of it was taken out by {last_out}", name=name, last_out=week_day(batch.last_out))
    keep = batch.days.get(Stage.KEEP_UNTIL)
    if keep is None and day > batch.last_out:
        return _("{name}: no published limit says that it keeps so long", name=name)
    if keep is not None and day > keep.likely:
        longer = days_words((day - keep.likely).days)
        return _(
            "{name} keeps until {keep}; it would have to lie {longer} longer",
            name=name,
            keep=week_day(keep.likely),
            longer=longer,
        )
    return ""


def take_outs(
    wanted: Iterable[Wanted], lots: Mapping[Bearing, Lot], carried: Sequence[Batch] = ()
) -> tuple[TakeOut | NoTakeOut, ...]:
    """Return the take-out for each want, from the batch of its cultivar that keeps least long; or why there is none.

    Fruit carried over from last season goes first.
    """
    ours = [batch for lot in lots.values() for batch in lot.batches if batch.grade in STORED]
    return tuple(_answer(want, (carried, ours)) for want in wanted)


def _answer(want: Wanted, stores: Iterable[Sequence[Batch]]) -> TakeOut | NoTakeOut:
    none = NoTakeOut(wanted=want, reason=_("there is no lot of {cultivar} this season", cultivar=want.cultivar))
    for store in stores:
        batches = [batch for batch in store if _is_of(want, batch.limb)]
        batches.sort(key=lambda b: (b.days.get(Stage.KEEP_UNTIL, b.picked).likely, b.bearing, b.picking))
        answers = [take_out_for(want, batch) for batch in batches]
        for answer in answers:
            if isinstance(answer, TakeOut):
                return answer
        none = next((answer for answer in answers if isinstance(answer, NoTakeOut)), none)
    return none


def _is_of(want: Wanted, limb: Cultivar) -> bool:
    return folded(want.cultivar) in {folded(name) for name in (limb.key, limb.name, *limb.also)}
