"""The store: what lies where, what to eat first, what came over from last season, and what is wrong."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from firmripe.harvest.accounts import Account, account_of
from firmripe.harvest.grades import STORED
from firmripe.harvest.lots import RIPE_LIES_D, Batch, Lot, loads_of, room_loads_of
from firmripe.harvest.shares import Division, divisions
from firmripe.harvest.spaces import COLD_C, Load, StoreWarning, harms, overflows, room_warnings
from firmripe.harvest.takeouts import NoTakeOut, TakeOut, take_outs
from firmripe.holding.place import Place
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.saying import _
from firmripe.season.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """What the household has lying, and what is to be said about it.

    `former` are last season's lots; `carried` those of its batches that are not finished, `finished` the others.
    `take_outs` answer what is wanted from this season on, `former_take_outs` what last season's fruit was for.
    """

    batches: tuple[Batch, ...]
    former: Mapping[Bearing, Lot]
    carried: tuple[Batch, ...]
    finished: tuple[Batch, ...]
    warnings: tuple[StoreWarning, ...]
    take_outs: tuple[TakeOut | NoTakeOut, ...]
    former_take_outs: tuple[TakeOut, ...]
    divisions: tuple[Division, ...]
    account: Account


def keep_store(season: Season, lots: Mapping[Bearing, Lot], former: Mapping[Bearing, Lot]) -> Store:
    """Return the store of a season, with what the season before left in it: the `former` lots."""
    place = season.holding.place
    stored = [b for b in _batches(former) if b.grade in STORED and b.picked_noted]
    carried = tuple(batch for batch in stored if not is_finished(batch, season.as_of))
    batches = tuple(eat_first(batch for batch in _batches(lots) if not is_finished(batch, season.as_of)))
    return Store(
        batches=batches,
        former=former,
        carried=tuple(eat_first(carried)),
        finished=tuple(batch for batch in stored if is_finished(batch, season.as_of)),
        warnings=warnings_of(place, [*carried, *_batches(lots)], season.as_of),
        take_outs=take_outs((want for want in place.wanted if want.day >= season.year.first), lots, carried),
        former_take_outs=tuple(a for a in take_outs(place.wanted, former) if isinstance(a, TakeOut)),
        divisions=divisions(lots, place.shares, place.box),
        account=account_of(season),
    )


def _batches(lots: Mapping[Bearing, Lot]) -> list[Batch]:
    return [batch for lot in lots.values() for batch in lot.batches]


def last_day(batch: Batch) -> date:
    """Return the last day on which a batch is to be used, at the latest."""
    lasts = [batch.last_out]
    for out in batch.outs:
        use_by = batch.use_by_after(out)
        if out.used is not None:
            lasts.append(out.used)
        elif out.ready is not None and use_by is not None:
            lasts.append(use_by)
        elif out.ready is not None:
            lasts.append(out.ready.likely + timedelta(days=RIPE_LIES_D))
    if all(out.noted for out in batch.outs):
        return max(lasts)
    ends = [batch.days[stage].likely for stage in (Stage.KEEP_UNTIL, Stage.USE_BY) if stage in batch.days]
    return max([*lasts, *ends])


def is_of_season(answer: TakeOut | NoTakeOut, lots: Mapping[Bearing, Lot]) -> bool:
    """Say whether it is this season's fruit, that of these lots, that a want is answered with, or nobody's."""
    batch = answer.batch
    return batch is None or (batch.bearing in lots and batch in lots[batch.bearing].batches)


def is_finished(batch: Batch, day: date) -> bool:
    """Say whether nothing of a batch is left to eat on a day."""
    return batch.is_gone or last_day(batch) < day


def eat_first(batches: Iterable[Batch]) -> list[Batch]:
    """Return batches in the order in which they are to be eaten: what has the least time left comes first."""
    return sorted(batches, key=lambda b: (_limit(b), b.bearing, b.picking, b.grade.value))


def _called(batch: Batch) -> str:
    return f"{batch.limb.name} ({batch.bearing.tree})"


def _limit(batch: Batch) -> date:
    limits = [batch.days[stage].likely for stage in (Stage.KEEP_UNTIL, Stage.USE_BY) if stage in batch.days]
    return min(limits, default=batch.last_out)


def warnings_of(place: Place, batches: Iterable[Batch], since: date) -> tuple[StoreWarning, ...]:
    """Return what is wrong with where fruit lies, from a day on, each thing once and on its first day."""
    stored = [batch for batch in batches if batch.grade in STORED]
    cold = [load for batch in stored for load in loads_of(batch)]
    rooms = [load for batch in stored for load in room_loads_of(batch)]
    found = overflows([load for load in [*cold, *rooms] if load.last >= since], place)
    spaces = {space.name: space for space in place.spaces}
    whole = [load for load in _by_batch(stored) if load.last >= since]
    for load in whole:
        found += harms(load, spaces, whole)
    for load in rooms:
        if load.first >= since:
            found += room_warnings(place, replace(load, name=load.limb.name))
    found += [
        StoreWarning(
            day=max(batch.picked.likely, since),
            space=batch.space or batch.room,
            text=f"{_called(batch)}: {batch.alert}",
        )
        for batch in stored
        if batch.alert and not is_finished(batch, since)
    ]
    found += [warning for batch in stored if (warning := _nowhere(place, batch, since)) is not None]
    first: dict[str, StoreWarning] = {}
    for warning in sorted(found, key=lambda w: (w.day, w.text)):
        first.setdefault(warning.text, warning)
    return tuple(sorted(first.values(), key=lambda w: (w.day, w.text)))


def _by_batch(batches: Iterable[Batch]) -> list[Load]:
    """Return one load for each batch and under the cultivar's name, so that a warning is said once for all of it."""
    found = []
    for batch in batches:
        loads = loads_of(batch)
        if loads:
            last = max(load.last for load in loads)
            found.append(replace(loads[0], last=last, name=batch.limb.name))
    return found


def _nowhere(place: Place, batch: Batch, since: date) -> StoreWarning | None:
    """Say that fruit which needs cold has no cold space, where spaces are told of at all."""
    if not batch.needs_cold or not place.spaces or batch.picked.likely < since:
        return None
    space = next((space for space in place.spaces if space.name == batch.space), None)
    at = space.at(batch.picked.likely) if space else None
    if at is not None and at <= COLD_C + 0.05:
        return None
    text = _("{limb} needs days in the cold, and no space told of is at 50 °F (10 °C) or below", limb=batch.limb.name)
    return StoreWarning(day=batch.picked.likely, space=batch.space, text=text)
