"""From batches to fruit for the kitchen: on which days each can be put up, and when it leaves the cold for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from firmripe.harvest.conditioning import chilled, ripens_after_picking
from firmripe.harvest.grades import KEPT_LONG
from firmripe.harvest.lots import RIPE_LIES_D, Batch, Lot
from firmripe.harvest.spaces import is_cold
from firmripe.harvest.takeouts import counter_days
from firmripe.holding.place import Place
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Grade
from firmripe.kitchen.means import Supply, Use

LEAST_WORTH = 0.3
"""What fruit is worth on the last day it can be used, beside 1 in the first half of its days. J."""
EATEN_FROM_D = 42
"""Fruit that keeps so many days past its first ready day is eaten from the store, and not lost if not put up. J."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fruit:
    """A batch as the plan draws on it. `cold` names the space it lies in, or can be held in, until it is taken out."""

    batch: Batch
    supply: Supply
    cold: str = ""


def fruit_for(
    place: Place, lots: Mapping[Bearing, Lot], days: Iterable[date], as_of: date
) -> tuple[tuple[Fruit, ...], tuple[str, ...]]:
    """Return the fruit that can be put up on some days from a day on, and which batches have no known weight.

    Culls are left out. What leaves the cold is counted back from the day it is put up; fruit that needs no cold can be
    held in it all the same, up to its published limit, where a space is cold enough and does it no harm.
    """
    found, unweighed = [], []
    wanted = sorted(day for day in days if day >= as_of)
    for lot in lots.values():
        for batch in lot.batches:
            if batch.grade is Grade.CULLS:
                continue
            cold = batch.space or _cold_for(place, batch)
            uses = tuple(_uses(batch, wanted, as_of, cold))
            if not uses:
                continue
            kg = left_kg(batch, as_of)
            if kg is None:
                unweighed.append(called(batch))
            elif kg > 0:
                found.append(Fruit(batch=batch, supply=_supply(batch, kg, uses), cold=cold))
    return tuple(found), tuple(dict.fromkeys(unweighed))


def _cold_for(place: Place, batch: Batch) -> str:
    """Return the coldest space that can hold fruit which needs no cold; empty where none does it good."""
    day, keep = batch.picked.likely, batch.days.get(Stage.KEEP_UNTIL)
    if batch.grade not in KEPT_LONG or keep is None or not ripens_after_picking(batch.limb.traits):
        return ""
    long = (keep.likely - day).days
    told = [(at, space.name) for space in place.spaces if (at := space.at(day)) is not None and is_cold(space, day)]
    good = [(at, name) for at, name in told if not chilled(batch.limb.traits, at, long, ripe=False)]
    return min(good)[1] if good else ""


def called(batch: Batch) -> str:
    """Say a batch, as `Bartlett (1-01), picking 2, keepers`."""
    crop = f", {batch.bearing.crop} crop" if batch.bearing.crop else ""
    grade = f", {batch.grade.value}" if batch.grade is not Grade.UNSORTED else ""
    return f"{batch.limb.name} ({batch.bearing.tree}){crop}, picking {batch.picking}{grade}"


def left_kg(batch: Batch, as_of: date) -> Fraction | None:
    """Return what of a batch is still there to be put up: what was taken out and is past its days is not.

    It is the middle of what is expected; None where that is not known.
    """
    if batch.weight is None:
        return None
    kg = batch.weight.middle
    for out in batch.outs:
        last = _last_good(batch, out.ready.likely) if out.ready else out.day
        if out.noted and last < as_of:
            if out.weight is None:
                return Fraction(0)
            kg -= out.weight.middle
    return max(Fraction(0), kg)


def _supply(batch: Batch, kg: Fraction, uses: tuple[Use, ...]) -> Supply:
    ready, keep = batch.days.get(Stage.READY), batch.days.get(Stage.KEEP_UNTIL)
    long = ready is not None and keep is not None and (keep.likely - ready.likely).days >= EATEN_FROM_D
    kept = long and batch.grade in KEPT_LONG
    since = min(batch.picked.likely, *(use.out for use in uses))
    return Supply(
        name=called(batch),
        kg=float(kg),
        uses=uses,
        since=since,
        counter=batch.room,
        spare_kg=float(kg) if kept else 0.0,
    )


def _last_good(batch: Batch, ready: date) -> date:
    """Return the last day of fruit that is ready on a day: as the batch's own days say, else as ripe fruit lies."""
    first, last = batch.days.get(Stage.READY), batch.days.get(Stage.USE_BY)
    if first is None or last is None:
        return ready + timedelta(days=RIPE_LIES_D)
    return ready + max(timedelta(0), last.likely - first.likely)


def _uses(batch: Batch, days: list[date], as_of: date, cold: str) -> Iterable[Use]:
    ready = batch.days.get(Stage.READY)
    if ready is None:
        use_by = batch.days.get(Stage.USE_BY)
        if batch.grade in {Grade.USE_NOW, Grade.WINDFALLS}:
            last = use_by.likely if use_by else batch.picked.likely
            yield from _between(days, batch.picked.likely, batch.picked.likely, last)
        return
    noted = [out for out in batch.outs if out.noted and out.ready is not None]
    for out in noted:
        if out.ready is not None:
            yield from _between(days, out.day, out.ready.likely, _last_good(batch, out.ready.likely))
    if noted and all(out.noted for out in batch.outs):
        return
    yield from _from_the_cold(batch, days, as_of, cold)


def _between(days: Iterable[date], out: date, first: date, last: date) -> Iterable[Use]:
    """Yield the days on which fruit that is out since a day is good, worth less toward the last."""
    long = (last - first).days
    for day in days:
        if first <= day <= last:
            yield Use(day=day, worth=_worth((day - first).days, long), out=min(out, day))


def _from_the_cold(batch: Batch, days: Iterable[date], as_of: date, cold: str) -> Iterable[Use]:
    """Yield the days on which fruit can be ready, each with its take-out, and those on which it is still good."""
    counter = counter_days(batch.limb, batch)
    if counter is None:
        ready = batch.days[Stage.READY].likely
        yield from _between(days, min(batch.picked.likely, ready), ready, _last_good(batch, ready))
        return
    soonest = batch.days.get(Stage.CONDITIONED, batch.picked).likely
    keep = batch.days.get(Stage.KEEP_UNTIL)
    last = max(soonest, keep.likely) if keep is not None and cold else soonest
    first = max(soonest, as_of) if cold else soonest
    if first > last:
        return
    long = (last - soonest).days
    first_ready = first + timedelta(days=counter)
    held = (_last_good(batch, first_ready) - first_ready).days
    for day in days:
        out = day - timedelta(days=counter)
        if first <= out <= last:
            yield Use(day=day, worth=_worth((out - soonest).days, long), out=out)
        elif last < out <= last + timedelta(days=held):
            waits = (out - last).days
            yield Use(day=day, worth=LEAST_WORTH * _worth(waits, held), out=last)


def _worth(after: int, long: int) -> float:
    """Return what fruit is worth some days after its first good day: 1 for the first half, then falling to the least.

    So a plan does not part a lot over many days for the sake of one.
    """
    past = max(0.0, after - long / 2)
    return round(1 - (1 - LEAST_WORTH) * past / (long / 2), 4) if long > 0 else 1.0
