"""From batches to fruit for the kitchen: on which days each can be put up, and when it leaves the cold for it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from datetime import date, timedelta
from fractions import Fraction

from msgspec import Struct

from firmripe.harvest.conditioning import chilled, ripens_after_picking
from firmripe.harvest.grades import KEPT_LONG, STORED
from firmripe.harvest.lots import RIPE_LIES_D, Batch, Goes, Lot, Out
from firmripe.harvest.spaces import is_cold
from firmripe.harvest.takeouts import counter_days
from firmripe.holding.place import Place
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Grade
from firmripe.kitchen.fit.means import Supply, Use
from firmripe.problems import folded

FIRM, SOFT = "firm-ripe", "soft"
"""What preserves call fruit that still holds its shape, as halves need it, and fruit that need not."""
LEAST_WORTH = 0.3
"""What fruit is worth on the last day it can be used, beside 1 in the first half of its days. J."""
EATEN_FROM_D = 42
"""Fruit that keeps so many days past its first ready day is eaten from the store, and not lost if not put up. J."""


class KitchenFruit(Struct, frozen=True, kw_only=True):
    """Fruit of a batch as the plan draws on it: what lies cold or is still to be picked, or what is out already.

    `cold` names the space it lies in, or can be held in, until it is taken out; empty where it is out, or has none.
    """

    batch: Batch
    supply: Supply
    cold: str = ""


class _Part(Struct, frozen=True):
    """A part of a batch that leaves the cold in its own way: `out` is what was noted of it, None for what is left.

    `number` says the how manieth it is of those that came out on its day.
    """

    batch: Batch
    kg: Fraction | None
    out: Out | None = None
    number: int = 1


class FruitFor(Struct, frozen=True, kw_only=True):
    """The fruit for some days, the batches of no known weight, and those of which nobody noted that they are picked."""

    usable: tuple[KitchenFruit, ...]
    unweighed: tuple[Batch, ...]
    waiting: tuple[Batch, ...]


def fruit_for(
    place: Place,
    lots: Mapping[Bearing, Lot],
    days: Iterable[date],
    as_of: date,
    unanswered: AbstractSet[Bearing] = frozenset(),
) -> FruitFor:
    """Return the fruit that can be put up on some days from a day on.

    Culls are left out. What leaves the cold is counted back from the day it is put up; fruit that needs no cold can be
    held in it all the same, up to its published limit, where a space is cold enough and does it no harm. Of crops that
    are `unanswered` the last good day to pick is over, and nothing is made of what nobody noted as picked.
    """
    found: list[KitchenFruit] = []
    unweighed: dict[str, Batch] = {}
    waiting = {}
    wanted = sorted(day for day in days if day >= as_of)
    for lot in lots.values():
        for batch in lot.batches:
            if batch.grade is Grade.CULLS:
                continue
            if batch.bearing in unanswered and not batch.picked_noted:
                waiting[name_of(batch)] = batch
                continue
            for part in _parts(batch):
                cold = "" if part.out else batch.space or held_cold_in(place, batch)
                uses = tuple(_uses(part, wanted, as_of, cold))
                if not uses:
                    continue
                if part.kg is None:
                    unweighed.setdefault(name_of(batch), batch)
                elif part.kg > 0:
                    found.append(KitchenFruit(batch=batch, supply=_supply(part, uses, cold), cold=cold))
    return FruitFor(usable=tuple(found), unweighed=tuple(unweighed.values()), waiting=tuple(waiting.values()))


def held_cold_in(place: Place, batch: Batch) -> str:
    """Return the coldest space that can hold fruit which needs no cold; empty where none does it good."""
    day, keep = batch.picked.likely, batch.days.get(Stage.KEEP_UNTIL)
    if batch.grade not in KEPT_LONG or keep is None or not ripens_after_picking(batch.limb.traits):
        return ""
    long = (keep.likely - day).days
    spaces = place.as_of_house(batch.house).spaces if place.is_put_away_by_house else place.spaces
    told = [(at, space.name) for space in spaces if (at := space.at(day)) is not None and is_cold(space, day)]
    good = [(at, name) for at, name in told if not chilled(batch.limb.traits, at, long, ripe=False)]
    return min(good)[1] if good else ""


def name_of(batch: Batch) -> str:
    """Return what tells a batch from all others, in any language, and puts batches in order.

    Limbs that are called alike are told apart by their keys.
    """
    limb, grade = batch.limb, "" if batch.grade is Grade.UNSORTED else batch.grade.value
    key = "" if folded(limb.name) == folded(limb.key) else f" {limb.key}"
    parts = (batch.bearing.crop, str(batch.picking), grade, batch.house, str(batch.part) if batch.parts > 1 else "")
    return ", ".join((f"{limb.name} ({batch.bearing.tree}){key}", *filter(None, parts)))


def left_kg(batch: Batch, as_of: date) -> Fraction | None:
    """Return what of a batch is still there to be put up: what was taken out and is past its days is not.

    It is the middle of what is expected; None where that is not known.
    """
    parts = [part for part in _parts(batch) if part.out is None or _last_of(part) >= as_of]
    return (
        None if any(part.kg is None for part in parts) else sum((part.kg or Fraction(0) for part in parts), Fraction())
    )


def _parts(batch: Batch) -> Iterable[_Part]:
    """Part a batch into what was taken out, by day, and what is left; what goes at once when picked is one part.

    What is gone, or promised for a day, is no part of it.
    """
    noted = [out for out in batch.outs if out.noted] if Stage.READY in batch.days else []
    on_day = Counter[date]()
    for out in noted:
        if not out.gone:
            on_day[out.day] += 1
            yield _Part(batch, out.weight.middle if out.weight else None, out, on_day[out.day])
    rest = [out for out in batch.outs if out not in noted and not out.gone and out.to is not Goes.WANTED]
    if rest:
        weights = [out.weight.middle for out in rest if out.weight is not None]
        yield _Part(batch, sum(weights, Fraction(0)) if len(weights) == len(rest) else None)


def _last_of(part: _Part) -> date:
    """Return the last day on which fruit that was taken out is good."""
    out = part.out
    if out is None:
        return part.batch.last_out
    return _last_good(part.batch, out.ready.likely) if out.ready else out.day


def _supply(part: _Part, uses: tuple[Use, ...], cold: str) -> Supply:
    batch, kg = part.batch, float(part.kg or 0)
    ready, keep = batch.days.get(Stage.READY), batch.days.get(Stage.KEEP_UNTIL)
    long = ready is not None and keep is not None and (keep.likely - ready.likely).days >= EATEN_FROM_D
    kept = long and batch.grade in KEPT_LONG and part.out is None
    came_out = f", out on {part.out.day.isoformat()}" if part.out else ""
    return Supply(
        name=name_of(batch) + came_out + (f", {part.number}" if part.number > 1 else ""),
        kg=kg,
        uses=uses,
        since=min(batch.picked.likely, *(use.out for use in uses)),
        cold=cold,
        counter="" if part.out else batch.room,
        spare_kg=kg if kept else 0.0,
        room_from=max(batch.picked.likely, batch.last_out) if cold and cold == batch.space else None,
    )


def _last_good(batch: Batch, ready: date) -> date:
    """Return the last day of fruit that is ready on a day: as the batch's own days say, else as ripe fruit lies."""
    first, last = batch.days.get(Stage.READY), batch.days.get(Stage.USE_BY)
    if first is None or last is None:
        return ready + timedelta(days=RIPE_LIES_D)
    return ready + max(timedelta(0), last.likely - first.likely)


def _uses(part: _Part, days: list[date], as_of: date, cold: str) -> Iterable[Use]:
    batch, out = part.batch, part.out
    if out is not None:
        if out.ready is not None:
            yield from _between(days, out.day, out.ready.likely, _last_of(part))
    elif Stage.READY in batch.days:
        yield from _from_the_cold(batch, days, as_of, cold)
    elif batch.grade in STORED and _softens_at_once(batch):
        picked = batch.picked.likely
        yield from _between(days, picked, picked, picked + timedelta(days=RIPE_LIES_D))
    elif batch.grade in {Grade.USE_NOW, Grade.WINDFALLS}:
        use_by = batch.days.get(Stage.USE_BY)
        picked = batch.picked.likely
        yield from _between(days, picked, picked, use_by.likely if use_by else picked)


def _softens_at_once(batch: Batch) -> bool:
    """Say whether fruit of which no days to ripen are known needs none: it was picked with its color, and no cold.

    Apricots are such: picked yellow and firm they are fit to put up, and soft in two or three days.
    """
    traits = batch.limb.traits
    needs_none = bool(traits.conditioning) and all(figure.value.high == 0 for figure in traits.conditioning)
    return traits.counter is None and not batch.needs_cold and needs_none


def _between(days: Iterable[date], out: date, first: date, last: date) -> Iterable[Use]:
    """Yield the days on which fruit that is out since a day is good, worth less toward the last."""
    long = (last - first).days
    for day in days:
        if first <= day <= last:
            yield _use(day, min(out, day), ripe=((day - first).days, long))


def _use(day: date, out: date, *, ripe: tuple[int, int], most: float = 1.0) -> Use:
    """Return a use some days after fruit is ready, of as many as it stays good: firm in the first half of them only.

    `most` is what it is worth when it is just ready; where softness does no harm it stays so.
    """
    after, long = ripe
    worth = most * _worth(after, long)
    firm = worth if after <= math.ceil(long / 2) else None
    return Use(day=day, worth=worth, out=out, worths={FIRM: firm, SOFT: most})


def _from_the_cold(batch: Batch, days: Iterable[date], as_of: date, cold: str) -> Iterable[Use]:
    """Yield the days on which fruit can be ready, each with its take-out, and those on which it is still good."""
    counter, ready = counter_days(batch.limb, batch), batch.days[Stage.READY].likely
    if counter is None and ready == batch.picked.likely:
        counter = 0  # ripe from the tree: it lies in the cold until the very day it is used
    if counter is None:
        yield from _between(days, min(batch.picked.likely, ready), ready, _last_good(batch, ready))
        return
    soonest = batch.days.get(Stage.CONDITIONED, batch.picked).likely
    keep = batch.days.get(Stage.KEEP_UNTIL)
    last = max(soonest, keep.likely) if keep is not None and cold else soonest
    if last == soonest:
        ready = soonest + timedelta(days=counter)
        yield from _between(days, soonest, ready, _last_good(batch, ready))
        return
    first = max(soonest, as_of)
    if first > last:
        return
    long = (last - soonest).days
    first_ready = first + timedelta(days=counter)
    held = (_last_good(batch, first_ready) - first_ready).days
    for day in days:
        out = day - timedelta(days=counter)
        if first <= out <= last:
            yield _use(day, out, ripe=(0, held), most=_worth((out - soonest).days, long))
        elif last < out <= last + timedelta(days=held):
            yield _use(day, last, ripe=((out - last).days, held), most=LEAST_WORTH)


def _worth(after: int, long: int) -> float:
    """Return what fruit is worth some days after its first good day: 1 for the first half, then falling to the least.

    So a plan does not part a lot over many days for the sake of one.
    """
    past = max(0.0, after - long / 2)
    return round(1 - (1 - LEAST_WORTH) * past / (long / 2), 4) if long > 0 else 1.0
