"""The store: what lies where, what to eat first, what came over from last season, and what is wrong."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.accounts import Account, account_of
from firmripe.harvest.because import FruitOf, KeepApart, NoColdSpace
from firmripe.harvest.grades import STORED
from firmripe.harvest.lots import RIPE_LIES_D, Batch, Lot, loads_of, room_loads_of
from firmripe.harvest.shares import Division, divisions
from firmripe.harvest.spaces import Company, Load, StoreWarning, harms, is_cold, overflows, room_warnings
from firmripe.harvest.takeouts import NoTakeOut, TakeOut, take_outs
from firmripe.harvest.unknowns import Unknown, is_asked_after
from firmripe.holding.place import Place
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.remark import Remark
from firmripe.season.season import Season


class Store(Struct, frozen=True, kw_only=True):
    """What the household has lying, and what is to be said about it.

    `former` are last season's lots; `carried` those of its batches that are not finished, `finished` the others.
    `unknowns` are the questions about fruit of which nobody noted what became of it, `lapsed` such fruit of this season
    whose last day is over: it may lie there yet.
    `take_outs` answer what is still wanted, `former_take_outs` what last season's fruit was for.
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
    unknowns: tuple[Unknown, ...] = ()
    lapsed: tuple[Batch, ...] = ()


class Promised(Struct, frozen=True, kw_only=True):
    """What the wants of a season take of its fruit and of what was left from the one before.

    `ours` answers with this season's fruit, or with nobody's; `left_over` with what was left, and `past` are the
    take-outs of last season's own time.
    """

    ours: tuple[TakeOut | NoTakeOut, ...] = ()
    left_over: tuple[TakeOut | NoTakeOut, ...] = ()
    past: tuple[TakeOut, ...] = ()

    @property
    def former(self) -> tuple[TakeOut, ...]:
        """All take-outs of last season's fruit."""
        return tuple(answer for answer in (*self.past, *self.left_over) if isinstance(answer, TakeOut))


def promise(
    season: Season,
    lots: Mapping[Bearing, Lot],
    former: Mapping[Bearing, Lot],
    unanswered: Mapping[Bearing, date] | None = None,
) -> Promised:
    """Answer what is wanted on a day: from this season on, and of last season's fruit in its own time.

    Of crops that are `unanswered` the last good day to pick is over, and nobody noted that they were picked: by when
    each was due.
    """
    place = season.holding.place
    to_come = [want for want in place.wanted if want.day >= season.year.first]
    now = take_outs(to_come, lots, _carried(season, former), place, unanswered)
    past = take_outs((w for w in place.wanted if w.day < season.year.first), former, place=place)
    left_over = tuple(answer for answer in now if answer.batch is not None and not _is_of(answer.batch, lots))
    return Promised(
        ours=tuple(answer for answer in now if not any(answer is one for one in left_over)),
        left_over=left_over,
        past=tuple(answer for answer in past if isinstance(answer, TakeOut)),
    )


def _is_of(batch: Batch, lots: Mapping[Bearing, Lot]) -> bool:
    """Say whether a batch is of these lots, and not of those of another season."""
    lot = lots.get(batch.bearing)
    return lot is not None and any(batch is one for one in lot.batches)


def _carried(season: Season, former: Mapping[Bearing, Lot]) -> tuple[Batch, ...]:
    stored = [b for b in _batches(former) if b.grade in STORED and b.picked_noted]
    return tuple(batch for batch in stored if not is_finished(batch, season.as_of))


def keep_store(
    season: Season, lots: Mapping[Bearing, Lot], former: Mapping[Bearing, Lot], promised: Promised | None = None
) -> Store:
    """Return the store of a season, with what the season before left in it: the `former` lots.

    `promised` are the answers to what is wanted, whose fruit the lots have set apart already.
    """
    place = season.holding.place
    stored = [b for b in _batches(former) if b.grade in STORED and b.picked_noted]
    carried = _carried(season, former)
    answers = promised or Promised()
    batches = tuple(eat_first(batch for batch in _batches(lots) if not is_finished(batch, season.as_of)))
    return Store(
        batches=batches,
        former=former,
        carried=tuple(eat_first(carried)),
        finished=tuple(batch for batch in stored if is_finished(batch, season.as_of)),
        warnings=warnings_of(place, [*carried, *_batches(lots)], season.as_of),
        take_outs=tuple(one for one in (*answers.left_over, *answers.ours) if one.wanted.day >= season.as_of),
        former_take_outs=answers.former,
        divisions=divisions(lots, place.shares, place.box, season.as_of),
        account=account_of(season),
        lapsed=tuple(b for b in _batches(lots) if is_finished(b, season.as_of) and is_asked_after(b, season.as_of)),
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


def is_finished(batch: Batch, day: date) -> bool:
    """Say whether nothing of a batch is left to eat on a day.

    What was noted as put away lies there until somebody says otherwise where nobody knows how long it keeps.
    """
    has_end = bool(batch.days.keys() & {Stage.KEEP_UNTIL, Stage.USE_BY}) or all(out.noted for out in batch.outs)
    return batch.is_gone or ((has_end or not batch.stored_noted) and last_day(batch) < day)


def eat_first(batches: Iterable[Batch]) -> list[Batch]:
    """Return batches in the order in which they are to be eaten: what has the least time left comes first."""
    return sorted(batches, key=lambda b: (_limit(b), b.bearing, b.picking, b.grade.value))


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
    company = Company(whole)
    for load in whole:
        found += harms(load, spaces, company, place.tongue)
    for load in rooms:
        if load.first >= since:
            found += room_warnings(place, replace(load, tree=""))
    found += [
        StoreWarning(
            day=max(batch.picked.likely, since),
            space=batch.space or batch.room,
            fruit=batch.fruit,
            what=alert,
        )
        for batch in stored
        if not is_finished(batch, since)
        for alert in batch.alerts
    ]
    found += [
        StoreWarning(day=batch.picked.likely, space=batch.space, fruit=batch.fruit, what=batch.crowded)
        for batch in stored
        if batch.crowded and Stage.KEEP_UNTIL in batch.undated and batch.picked.likely >= since
    ]
    found += [warning for batch in stored if (warning := _nowhere(place, batch, since)) is not None]
    first: dict[tuple[str, FruitOf | None, Remark], StoreWarning] = {}
    for warning in sorted(found, key=lambda w: w.day):
        what = replace(warning.what, near=None) if isinstance(warning.what, KeepApart) else warning.what
        first.setdefault((warning.space, warning.fruit, what), warning)
    return tuple(first.values())


def _by_batch(batches: Iterable[Batch]) -> list[Load]:
    """Return one load for each batch and under the cultivar's name, so that a warning is said once for all of it."""
    found = []
    for batch in batches:
        loads = loads_of(batch)
        if loads:
            last = max(load.last for load in loads)
            found.append(replace(loads[0], last=last, tree=""))
    return found


def _nowhere(place: Place, batch: Batch, since: date) -> StoreWarning | None:
    """Say that fruit which needs cold and lies on has no cold space, where spaces are told of at all."""
    if not batch.needs_cold or not batch.lies_cold or not place.spaces or batch.picked.likely < since:
        return None
    space = next((space for space in place.spaces if space.name == batch.space), None)
    if space is not None and is_cold(space, batch.picked.likely):
        return None
    fruit = FruitOf.on(batch.limb)
    return StoreWarning(day=batch.picked.likely, space=batch.space, fruit=fruit, what=NoColdSpace())
