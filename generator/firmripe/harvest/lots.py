"""The nouns of the harvest: a lot, its batches, and what leaves them, and what they put into a space.

A lot is the fruit of one crop of one cultivar on one tree. Each of its pickings is sorted into batches, one a grade,
and each batch lies in a space of its own until it is taken out. The lot's own days are those of the first picking.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from enum import Enum
from fractions import Fraction
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.because import Crowded, FruitOf
from firmripe.harvest.conditioning import ripens_after_picking
from firmripe.harvest.crop import Crop, Unweighed
from firmripe.harvest.passes import Picking
from firmripe.harvest.spaces import Load
from firmripe.holding.figures import Cited
from firmripe.holding.fruit import Cultivar
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import NOTHING, Grade, Weight, together
from firmripe.remark import Remark
from firmripe.season.estimate import Reach, Reason

RIPE_LIES_D = 3
"""Ripe fruit whose days are not known lies in the room so long before it is used. J."""


GRACE_D: Final = 1
"""On its last day, and on this one after it, nothing is late. J."""
LEAST_KG = Fraction(1, 10)
"""Less fruit than this is what reckoning in floats leaves over, and goes with the rest."""


class Goes(Enum):
    """Where fruit goes that leaves the store. The text is the word for it."""

    TABLE = "table"
    WANTED = "wanted"
    KITCHEN = "kitchen"
    SHARED = "shared"
    SOLD = "sold"
    USED = "used up"
    LOST = "lost"
    JARS = "jars"
    UNTOLD = "not noted"
    """Said in sums alone, of what is past its last day with nobody's word of where it went."""


class Out(Struct, frozen=True, kw_only=True):
    """What leaves the cold on a day: `weight` None where nobody knows it, `ready` when that part is, if known.

    `to` is where it goes and `why` on what grounds, `used` the day on which it is used there, or has left the house;
    `gone` says that this was noted, so that nothing of it lies anywhere any more; `house` is the one that it was noted
    for, empty where none was named.
    """

    day: date
    weight: Weight | None
    noted: bool
    ready: Reach | None = None
    to: Goes = Goes.TABLE
    why: Remark | None = None
    used: date | None = None
    gone: bool = False
    house: str = ""

    @property
    def came_out(self) -> bool:
        """Whether it lay in the house after the cold, as what is given away straight from the cold does not."""
        return not self.gone or self.used != self.day


class Batch(Struct, frozen=True, kw_only=True):
    """One grade of one picking: it lies in `space` from the pick until its `outs`, and ripens in `room`.

    `house` is the one whose part of the fruit it is, empty where it is not divided or nobody's by the rule.
    `several` says that its crop is picked more than once, so that which time it was tells batches apart.
    `part` tells parts that lie in several spaces apart, `parts` of them; `came_out` is set where it is what of a batch
    came out on that day, while the rest lies on or came out on another (see `lying_parts`).
    `space` and `room` are empty where no space is told of. `stored_noted` says that a
    record names the space, `ready_noted` that one says when it was ready. `alerts` are what went wrong with it;
    `crowded` says what lies in the space that would be best for it.
    """

    bearing: Bearing
    limb: Cultivar
    picking: int
    grade: Grade
    weight: Weight | None
    picked: Reach
    picked_noted: bool
    days: Mapping[Stage, Reach]
    reasons: tuple[Reason, ...]
    undated: Mapping[Stage, Remark]
    needs_cold: bool
    several: bool = False
    house: str = ""
    part: int = 1
    parts: int = 1
    came_out: date | None = None
    space: str = ""
    stored_noted: bool = False
    room: str = ""
    outs: tuple[Out, ...] = ()
    ready_noted: bool = False
    alerts: tuple[Remark, ...] = ()
    crowded: Crowded | None = None

    @property
    def fruit(self) -> FruitOf:
        """Whose fruit it is."""
        return FruitOf.on(self.limb, self.bearing.tree)

    @property
    def lies_cold(self) -> bool:
        """Whether any of it stays in the cold after the day it is picked."""
        return any(out.day > self.picked.likely for out in self.outs)

    @property
    def last_out(self) -> date:
        """The day the last of it leaves the cold."""
        return max((out.day for out in self.outs), default=self.picked.likely)

    @property
    def is_gone(self) -> bool:
        """Whether records say that nothing of it is left, neither in the cold nor out of it."""
        return bool(self.outs) and all(out.gone for out in self.outs)

    def ready_after(self, out: Out) -> Reach | None:
        """Return when what comes out then is ready; None where that is not known.

        The batch's own day, which may be that of a part taken out before, is no word for what comes out after it: what
        was picked ready is so on the day it comes out, of what ripens nobody knows.
        """
        ready = out.ready or self.days.get(Stage.READY)
        if ready is None or ready.likely >= out.day or out.ready is not None:
            return ready
        if ripens_after_picking(self.limb.traits):
            return None
        wait = (out.day - ready.likely).days
        return ready.after(wait, wait, wait)

    def use_by_after(self, out: Out) -> date | None:
        """Return the day by which what comes out then is to be used; None where that is not known.

        What ripens after it comes out is good so long from there; what was picked ready is good until its last day,
        whenever it comes out.
        """
        use_by, ready = self.days.get(Stage.USE_BY), self.days.get(Stage.READY)
        if use_by is None:
            return None
        is_counted_anew = ripens_after_picking(self.limb.traits) or self.limb.traits.keeps_ripe is not None
        if ready is None or out.ready is None or not is_counted_anew:
            return use_by.likely
        return out.ready.likely + max(timedelta(0), use_by.likely - ready.likely)

    def is_untold(self, out: Out, day: date) -> bool:
        """Say whether what comes out then was for the table, and past its last day on another with nothing noted."""
        use_by = self.use_by_after(out)
        is_past = use_by is not None and use_by + timedelta(days=GRACE_D) < day
        return out.to is Goes.TABLE and not out.gone and is_past

    def left(self, day: date) -> Weight | None:
        """Return what still lies in the cold at the end of a day; None where that is not known."""
        gone = [out.weight for out in self.outs if out.day <= day]
        if self.weight is None or None in gone:
            return None if day < self.last_out else NOTHING
        staying = [out.weight for out in self.outs if out.day > day and out.weight is not None]
        whole = NOTHING
        for weight in staying:
            whole = whole + weight
        return whole


class Alternative(Struct, frozen=True, kw_only=True):
    """Another way to have the fruit ready: what is done, when it would be ready, and where that is published."""

    what: Remark
    ready: Reach
    cited: Cited


class Lot(Struct, frozen=True, kw_only=True):
    """The fruit of one bearing after the pick. `days` holds the stages that can be dated, `reasons` the steps.

    `crop` is what the bearing gives, or why that is not known; `pickings` are those noted and those planned, in order;
    `alerts` are what is to be looked at now. `settled` are stages that have no day because the fruit goes
    elsewhere or is gone: nobody misses them.
    """

    bearing: Bearing
    days: Mapping[Stage, Reach]
    reasons: tuple[Reason, ...]
    needs_cold: bool
    undated: Mapping[Stage, Remark]
    crop: Crop | Unweighed
    pickings: tuple[Picking, ...]
    batches: tuple[Batch, ...]
    alternatives: tuple[Alternative, ...]
    alerts: tuple[Remark, ...] = ()
    settled: frozenset[Stage] = frozenset()

    @property
    def lies_cold(self) -> bool:
        """Whether fruit of its first picking stays in the cold after the day it is picked."""
        return any(batch.lies_cold for batch in self.batches if batch.picking == 1)


def lies_until(lot: Lot) -> Reach | None:
    """Return the last day on which any of a lot is to lie in store, by plan or its keeping; None where none is known.

    What leaves the cold before its last day there lies in it until then alone, as does what is planned to leave it
    where nobody knows how long it keeps.
    """
    found = []
    for batch in lot.batches:
        keep = batch.days.get(Stage.KEEP_UNTIL)
        if batch.is_gone or (keep is None and not batch.lies_cold):
            continue
        is_out_before = batch.lies_cold and (keep is None or batch.last_out < keep.likely)
        last = batch.last_out
        found.append(keep if keep is not None and not is_out_before else Reach(earliest=last, likely=last, latest=last))
    return max(found, key=lambda reach: reach.likely, default=None)


def lying_parts(batch: Batch, day: date) -> Iterator[Batch]:
    """Yield what of a batch lies together on a day: what was noted as taken out, by its day, and the rest.

    A batch of which all lies together is yielded as it is. What came out and is past its last day is no part that
    anybody looks for, unless nothing else is left.
    """
    out = [one for one in batch.outs if one.noted and not one.gone and batch.picked.likely < one.day <= day]
    rest = [one for one in batch.outs if one not in out]
    days = sorted({one.day for one in out if not _is_past(batch, one, day)})
    stays = any(not one.gone for one in rest)
    if not days or len({one.day for one in out}) + stays < 2:
        yield batch
        return
    for at in days:
        of_day = [one for one in out if one.day == at]
        weight = together(one.weight for one in of_day)
        yield replace(batch, outs=tuple(of_day), weight=weight, came_out=at, space=batch.room)
    if stays:
        yield replace(batch, outs=tuple(rest))


def undivided(batches: Iterable[Batch]) -> list[Batch]:
    """Return batches with the parts of houses put together again, in their order, on the days of what leaves first.

    Nothing tells how much of it a house has: what was noted on a day is one, and all that is still to leave does so as
    that part does.
    """
    found: dict[tuple[Bearing, date, int, Grade, int], list[Batch]] = {}
    told = list(batches)
    is_divided = {(one.bearing, one.picked.likely, one.picking, one.grade) for one in told if one.house}
    for batch in told:
        of = batch.bearing, batch.picked.likely, batch.picking, batch.grade
        found.setdefault((*of, 0 if of in is_divided else batch.part), []).append(batch)
    return [_whole(parts) if key[:-1] in is_divided else parts[0] for key, parts in found.items()]


def _whole(parts: Sequence[Batch]) -> Batch:
    """Return the parts of a batch as one that leaves as the first of them does."""
    first = min(parts, key=lambda part: min((out.day for out in part.outs if not out.noted), default=date.max))
    outs = [replace(out, house="") for part in parts for out in part.outs]
    to_come = [out for out in first.outs if not out.noted]
    rest = together(out.weight for out in outs if not out.noted)
    noted: dict[Out, list[Weight | None]] = {}
    for out in outs:
        if out.noted:
            noted.setdefault(replace(out, weight=None), []).append(out.weight)
    once = [replace(out, weight=together(weights)) for out, weights in noted.items()]
    once += [replace(out, house="", weight=_scaled(out, to_come, rest)) for out in to_come]
    weight = together(part.weight for part in parts)
    return replace(first, house="", part=1, parts=1, weight=weight, outs=tuple(sorted(once, key=lambda out: out.day)))


def _scaled(out: Out, planned: Sequence[Out], rest: Weight | None) -> Weight | None:
    """Return what of the rest leaves on a day, as much of it as of the part that was `planned`."""
    mine = together(one.weight for one in planned)
    if rest is None or mine is None or out.weight is None:
        return None
    return rest.times(out.weight.high / mine.high) if mine.high else rest.times(Fraction(1, len(planned)))


def _is_past(batch: Batch, out: Out, day: date) -> bool:
    use_by = batch.use_by_after(out)
    return use_by is not None and use_by + timedelta(days=GRACE_D) < day


def loads_of(batch: Batch) -> list[Load]:
    """Return what a batch puts into its space: one load for each part that is taken out on a day of its own."""
    ripe = not ripens_after_picking(batch.limb.traits)
    keep = batch.days.get(Stage.KEEP_UNTIL)
    return [
        Load(
            space=batch.space,
            first=batch.picked.likely,
            last=max(batch.picked.likely, out.day - timedelta(days=1)),
            weight=out.weight,
            limb=batch.limb,
            tree=batch.bearing.tree,
            ripe=ripe,
            keeps=keep.likely if keep else None,
        )
        for out in batch.outs
        if batch.space and out.day > batch.picked.likely
    ]


def room_loads_of(batch: Batch) -> list[Load]:
    """Return what a batch puts into the room where it ripens, from the day it is taken out until it is used."""
    found = []
    for out in batch.outs:
        if not batch.room or (out.ready is not None and out.ready.likely == out.day):
            continue
        ready = out.ready.likely if out.ready else out.day
        last = ready + timedelta(days=RIPE_LIES_D) if out.used is None else out.used - timedelta(days=1)
        if last < out.day:
            continue
        found.append(
            Load(
                space=batch.room,
                first=out.day,
                last=last,
                weight=out.weight,
                limb=batch.limb,
                tree=batch.bearing.tree,
            )
        )
    return found
