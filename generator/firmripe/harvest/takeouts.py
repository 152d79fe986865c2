"""Take-outs: backwards from the day fruit is wanted to the day it leaves the cold."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.because import (
    KeepsTooShort,
    MoreThanThere,
    NoLot,
    NotKnown,
    NotReady,
    PickNotNoted,
    StillCold,
    TakenOut,
)
from firmripe.harvest.grades import STORED
from firmripe.harvest.lots import LEAST_KG, Batch, Goes, Lot
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Cultivar
from firmripe.holding.holding import Holding
from firmripe.holding.place import Place, Wanted
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Weight, read_amount, together
from firmripe.problems import folded
from firmripe.remark import Remark

LARGE_FRUIT_KG: Final = Fraction(1, 4)
"""So much is set apart for each fruit where what one weighs is not known. J."""
BOWL_KG: Final = Fraction(3)
"""So much is set apart where nobody said how much is wanted, or in what nobody can weigh. J."""


class TakeOut(Struct, frozen=True, kw_only=True):
    """Fruit of a batch leaves the cold on `day`, to be ready on the day it is wanted.

    `kg` is how much of it, and what is set apart for it where nobody can weigh that: then not `is_weighed`. `is_whole`
    says that it is as much as the want asks for, `is_more` that the want takes of another batch before.
    """

    wanted: Wanted
    batch: Batch
    day: date
    counter_d: int
    kg: Fraction = Fraction(0)
    is_whole: bool = True
    is_more: bool = False
    is_weighed: bool = True

    @property
    def amount(self) -> Weight | str:
        """How much it is: as the want says, which may be nothing, where it is all of that, otherwise its weight."""
        return self.wanted.amount if self.is_whole else Weight.of(self.kg)


class NoTakeOut(Struct, frozen=True, kw_only=True):
    """Why fruit can't be ready on the day it is wanted; `batch` is the one that comes nearest, if there is any."""

    wanted: Wanted
    reason: Remark
    batch: Batch | None = None


def counter_days(limb: Cultivar, batch: Batch) -> int | None:
    """Return the days from taking out to ready, as this batch's own life has them; None where they are not known."""
    ready = next((out.ready for out in batch.outs if out.ready is not None and not out.noted), None)
    if ready is not None:
        out = next(o for o in batch.outs if o.ready is ready)
        return (ready.likely - out.day).days
    counter = limb.traits.counter
    return math.ceil(counter.value.middle) if counter else None


def is_wanted(holding: Holding, bearing: Bearing) -> bool:
    """Say whether a household wants the fruit of a bearing on a day, or put up."""
    limb, place = holding.limb(bearing), holding.place
    if any(_is_of(want, limb) for want in place.wanted):
        return True
    made_of = {preserve.key: preserve.subjects for preserve in holding.preserves}
    return any(
        want.cultivar == limb.key if want.cultivar else bool(holding.keys(bearing) & made_of.get(want.preserve, set()))
        for want in place.kitchen_means.wants
    )


def take_out_for(wanted: Wanted, batch: Batch) -> TakeOut | NoTakeOut:
    """Return the day a batch leaves the cold to be ready when wanted: not before it is conditioned, nor too late."""
    found = _day_for(wanted, batch)
    if not isinstance(found, TakeOut):
        return NoTakeOut(wanted=wanted, reason=found, batch=batch)
    return found


def _day_for(wanted: Wanted, batch: Batch) -> TakeOut | Remark:
    """Return the take-out, or why there is none: the day must lie inside the least and the most storage."""
    if Stage.READY not in batch.days and Stage.READY in batch.undated:
        return NotReady(fruit=batch.fruit, why=batch.undated[Stage.READY])
    days = counter_days(batch.limb, batch)
    if days is None:
        return NotReady(fruit=batch.fruit, why=NotKnown.RIPENING)
    day = wanted.day - timedelta(days=days)
    soonest = batch.days.get(Stage.CONDITIONED, batch.picked).likely
    if day < soonest:
        return StillCold(fruit=batch.fruit, until=soonest, ready=soonest + timedelta(days=days))
    return _gone_by(batch, day) or TakeOut(wanted=wanted, batch=batch, day=day, counter_d=days)


def _gone_by(batch: Batch, day: date) -> Remark | None:
    """Return why nothing of a batch is left in the cold, or should be, on a day; None where something is."""
    if all(out.noted for out in batch.outs) and batch.last_out < day:
        return TakenOut(fruit=batch.fruit, last=batch.last_out)
    keep = batch.days.get(Stage.KEEP_UNTIL)
    if keep is None and day > batch.last_out:
        return KeepsTooShort(fruit=batch.fruit)
    if keep is not None and day > keep.likely:
        return KeepsTooShort(fruit=batch.fruit, until=keep.likely, longer_d=(day - keep.likely).days)
    return None


def take_outs(
    wanted: Iterable[Wanted],
    lots: Mapping[Bearing, Lot],
    carried: Sequence[Batch] = (),
    place: Place | None = None,
    unanswered: Mapping[Bearing, date] | None = None,
) -> tuple[TakeOut | NoTakeOut, ...]:
    """Return the take-outs for each want, from the batches of its cultivar that keep least long; or why there are none.

    Fruit carried over from last season goes first. No weight is promised twice: what one want takes is no more there
    for the next, and what one batch has not the next one gives. `place` tells what a box weighs. Nothing is taken of
    crops that are `unanswered`: they were due on a day, and nobody noted that they were picked.
    """
    ours = [batch for lot in lots.values() for batch in lot.batches if batch.grade in STORED]
    due = unanswered or {}
    hanging = {id(b): due[b.bearing] for b in ours if not b.picked_noted and b.bearing in due}
    promised: dict[int, Fraction] = {}
    return tuple(answer for want in wanted for answer in _answers(want, (carried, ours), promised, place, hanging))


def _answers(
    want: Wanted,
    stores: Iterable[Sequence[Batch]],
    promised: dict[int, Fraction],
    place: Place | None,
    hanging: Mapping[int, date],
) -> list[TakeOut | NoTakeOut]:
    found: list[TakeOut | NoTakeOut] = []
    refused: list[NoTakeOut] = []
    asked: Fraction | None = None
    for store in stores:
        batches = [batch for batch in store if _is_of(want, batch.limb)]
        batches.sort(key=lambda b: (b.days.get(Stage.KEEP_UNTIL, b.picked).likely, b.bearing, b.picking))
        for batch in batches:
            answer = _answer(want, batch, hanging)
            if isinstance(answer, NoTakeOut):
                refused.append(answer)
                continue
            whole = _asked_of(want, batch, place)
            asked = (set_apart(want) if whole is None else whole) if asked is None else asked
            there = _free(batch)
            kg = asked if there is None else min(asked, there - promised.get(id(batch), Fraction(0)))
            if kg <= LEAST_KG and kg < asked:
                continue
            promised[id(batch)] = promised.get(id(batch), Fraction(0)) + kg
            if whole is None:
                return [replace(answer, kg=kg, is_weighed=False)]
            found.append(replace(answer, kg=kg, is_whole=kg == whole, is_more=bool(found)))
            asked -= kg
            if asked <= LEAST_KG:
                return found
    if asked is not None:
        missing = MoreThanThere(weight=Weight.of(asked))
        return [*found, NoTakeOut(wanted=want, reason=missing, batch=found[-1].batch if found else None)]
    none = NoTakeOut(wanted=want, reason=NoLot(cultivar=want.cultivar))
    return [*refused[:1]] or [none]


def _answer(want: Wanted, batch: Batch, hanging: Mapping[int, date]) -> TakeOut | NoTakeOut:
    """Return what a batch has for a want; of what may hang, or was picked by nobody knows whom, it has nothing."""
    due = hanging.get(id(batch))
    if due is not None:
        return NoTakeOut(wanted=want, reason=PickNotNoted(fruit=batch.fruit, due=due), batch=batch)
    return take_out_for(want, batch)


def set_apart(want: Wanted) -> Fraction:
    """Return what is set apart for a want that nobody can weigh (kg): large fruits by their number, otherwise a bowl.

    Less would leave the day without its fruit once the rest is put up; nobody is told this weight.
    """
    fruits = [part.high for part in read_amount(want.amount) if part.measure == "fruit"]
    return sum(fruits, Fraction(0)) * LARGE_FRUIT_KG or BOWL_KG


def _asked_of(want: Wanted, batch: Batch, place: Place | None) -> Fraction | None:
    """Return how much is wanted (kg); None where that is not said, or can't be weighed."""
    if place is None:
        return None
    weight = weigh(read_amount(want.amount), containers_of(batch.limb.traits, place)) if want.amount else None
    return weight.middle if weight is not None else None


def _free(batch: Batch) -> Fraction | None:
    """Return how much of a batch (kg) is still to come out and promised to nobody; None where that is not known."""
    free = together(out.weight for out in batch.outs if not out.noted and out.to is Goes.TABLE)
    return free.middle if free is not None else None


def _is_of(want: Wanted, limb: Cultivar) -> bool:
    return folded(want.cultivar) in {folded(name) for name in (limb.key, limb.name, *limb.also)}
