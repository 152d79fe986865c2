"""How much a job is about: what is picked, taken out, bought and put up; and a later day in one line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Final

from firmripe.calendar.entry import Entry
from firmripe.calendar.kitchen_days import session_subject
from firmripe.harvest.allotting import CLAIMED
from firmripe.harvest.lots import Batch, Lot
from firmripe.harvest.passes import Picking
from firmripe.harvest.shares import house_parts
from firmripe.holding.place import Share
from firmripe.holding.task import Stage, Topic
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Weight, total
from firmripe.kitchen.tables.amounts import LIDS
from firmripe.plan import Plan
from firmripe.tongue import Tongue
from firmripe.wording.holding import weight_words
from firmripe.wording.kitchen import units_words
from firmripe.words import round_words

_WEIGHT: Final[Mapping[Stage, int]] = {
    Stage.PICK: 0,
    Stage.LATEST_PICK: 0,
    Stage.CANNING_DAY: 0,
    Stage.KITCHEN_DAY: 0,
    Stage.USE_BY: 1,
    Stage.KEEP_UNTIL: 1,
    Stage.BUY_BY: 1,
    Stage.TAKE_OUT: 1,
    Stage.KITCHEN_TAKE_OUT: 1,
    Stage.TAKE_OUT_WANTED: 1,
    Stage.READY: 1,
}
_GOES_ON, _LIGHT, _ROUND = 1, 2, 3


def weight_of(entry: Entry, day: date | None = None) -> int:
    """Say how heavily a job weighs among those of a day, the heaviest 0: fruit that won't wait comes first.

    What hangs on such a day without being it comes after, and what comes round again comes last. A picking that has
    begun and goes on daily gives way to those that begin. J.
    """
    if entry.task.instead_of:
        goes_on = entry.every is not None and day is not None and entry.span.first < day
        return _GOES_ON if goes_on else 0
    if entry.task.every is not None:
        return _ROUND
    stage = entry.task.when.stage
    if stage is Stage.PICK and entry.task.topic is not Topic.ORCHARD:
        return _LIGHT
    return _LIGHT if stage is None or entry.task.when.days or entry.task.when.months else _WEIGHT.get(stage, _LIGHT)


def amount_words(plan: Plan, entries: Sequence[Entry], day: date | None = None) -> str:
    """Say how much a job is about, where that is known; entries are those of one task, on one of its days if given."""
    when = entries[0].task.when
    if not when.stage or when.days or when.months:
        return ""
    if when.stage is Stage.PICK:
        return picked_words(plan.holding.place.tongue, plan.lots_by_season, entries, day)
    say = _AMOUNTS.get(when.stage)
    return say(plan, entries) if say else ""


def picked_words(
    tongue: Tongue, lots: Mapping[int, Mapping[Bearing, Lot]], entries: Sequence[Entry], day: date | None = None
) -> str:
    """Say what the pickings weigh that these entries are about; nothing where one of them is not known.

    It is the picking's own weight, which is less than the crop's where a tree is picked more than once. Of a job that
    comes back it is that of one of its days, without one that of the next to come.
    """
    weights = [
        picking.weight
        for entry in entries
        for bearing in entry.bearings
        if (lot := lots.get(entry.season, {}).get(bearing))
        for picking in pickings_of(entry, lot, day)
    ]
    return _weighed(tongue, weights)


def pickings_of(entry: Entry, lot: Lot, day: date | None) -> list[Picking]:
    """Return the pickings of a lot that a job is about on one of its days, without a day the next to come."""
    if not entry.pickings:
        return [picking for picking in lot.pickings if picking.day.likely == entry.span.first]
    mine = [picking for picking in lot.pickings if picking.number in entry.pickings]
    if len(mine) > 1 and day in entry.days:
        number = entry.pickings[min(entry.days.index(day), len(entry.pickings) - 1)]
        return [picking for picking in mine if picking.number == number]
    return [next((picking for picking in mine if not picking.noted), mine[-1])]


def pass_words(tongue: Tongue, entry: Entry, day: date | None = None) -> str:
    """Say which of several pickings of a crop a job is about; nothing where there is one alone."""
    number = entry.pickings[0] if len(entry.pickings) == 1 else 0
    if len(entry.pickings) > 1 and day in entry.days:
        number = entry.pickings[min(entry.days.index(day), len(entry.pickings) - 1)]
    return which_words(tongue, number, entry.of)


def kinds_words(jobs: Iterable[tuple[str, Entry, str]]) -> str:
    """Name what jobs are for, each kind once: what it is called, its entry and which picking it is.

    Where the trees of a kind differ in that it is said by their tags, as `Bartlett (1-02 first time round, 2-01)`.
    """
    kinds: dict[str, dict[str, str]] = {}
    for name, entry, which in jobs:
        of = kinds.setdefault(name, {}) if name else {}
        of.update((bearing.tree, which) for bearing in entry.bearings)
    return ", ".join(_kind_words(name, of) for name, of in kinds.items())


def _kind_words(name: str, of: Mapping[str, str]) -> str:
    whiches = set(of.values())
    which = whiches.pop() if len(whiches) == 1 else ", ".join(" ".join(filter(None, one)) for one in of.items())
    return f"{name} ({which})" if which else name


def which_words(tongue: Tongue, number: int, of: int) -> str:
    """Say which of several pickings one is; nothing of one alone, or of none."""
    return round_words(tongue, number) if number and of > 1 else ""


def taken_out_words(tongue: Tongue, lots: Mapping[int, Mapping[Bearing, Lot]], entries: Sequence[Entry]) -> str:
    """Say what leaves the cold on the first day of these entries; nothing where one of the weights is not known.

    What is claimed by a day, the kitchen or a share has entries of its own and is not counted.
    """
    weights: list[Weight | None] = [
        out.weight
        for entry in entries
        for bearing in entry.bearings
        if (lot := lots.get(entry.season, {}).get(bearing))
        for batch in lot.batches
        for out in batch.outs
        if out.day == entry.span.first and out.to not in CLAIMED and batch.house == entry.house
    ]
    return _weighed(tongue, weights)


def houses_words(
    tongue: Tongue, shares: Sequence[Share], lots: Mapping[int, Mapping[Bearing, Lot]], entry: Entry
) -> str:
    """Say each house's part of what is picked, or leaves the cold, on the first day of a job.

    Nothing where it is not divided, or not all of it weighed.
    """
    found: dict[str, Weight] = {}
    for bearing in entry.bearings if shares and not entry.house else ():
        lot = lots.get(entry.season, {}).get(bearing)
        for batch, weight in _moved(entry, lot) if lot else ():
            if weight is None:
                return ""
            for house, part in house_parts(batch, weight, shares):
                found[house] = found[house] + part if house in found else part
    return parts_words(tongue, found.items())


def parts_words(tongue: Tongue, parts: Iterable[tuple[str, Weight]]) -> str:
    """Say the parts of houses, as `lane house 12 lb, brook house 6 lb`."""
    return ", ".join(f"{house} {weight_words(tongue, weight)}" for house, weight in parts)


def _moved(entry: Entry, lot: Lot) -> Iterator[tuple[Batch, Weight | None]]:
    """Yield what of each batch of a lot is picked, or leaves the cold for the table, on the first day of a job."""
    when = entry.task.when
    if when.days or when.months or entry.task.topic is Topic.KITCHEN:
        return
    numbers = {picking.number for picking in pickings_of(entry, lot, None)} if when.stage is Stage.PICK else set()
    for batch in lot.batches:
        if batch.picking in numbers:
            yield batch, batch.weight
        for out in batch.outs if when.stage is Stage.TAKE_OUT else ():
            if out.day == entry.span.first and out.to not in CLAIMED:
                yield batch, out.weight


def first_out_words(tongue: Tongue, lot: Lot, house: str) -> str:
    """Say what of a house's lot leaves the cold first, and so is ready first; nothing where a weight is not known."""
    mine = [batch for batch in lot.batches if batch.house == house and Stage.TAKE_OUT in batch.days]
    firsts = [(batch, batch.days[Stage.TAKE_OUT].likely) for batch in mine]
    return _weighed(
        tongue,
        [out.weight for batch, day in firsts for out in batch.outs if out.day == day and out.to not in CLAIMED],
    )


def _to_take_out(plan: Plan, entries: Sequence[Entry]) -> str:
    return taken_out_words(plan.holding.place.tongue, plan.lots_by_season, entries)


def _weighed(tongue: Tongue, weights: list[Weight | None]) -> str:
    known = [weight for weight in weights if weight is not None]
    if not known or len(known) < len(weights):
        return ""
    return weight_words(tongue, total(known))


def _to_buy(plan: Plan, _entries: Sequence[Entry]) -> str:
    shorts = plan.kitchen.shorts if plan.kitchen else ()
    return ", ".join(
        to_buy_words(plan.holding.place.tongue, short.thing, short.to_buy) for short in shorts if short.to_buy
    )


def _to_make(plan: Plan, entries: Sequence[Entry]) -> str:
    tongue = plan.holding.place.tongue
    subjects = {entry.subject for entry in entries}
    sessions = [s for s in (plan.kitchen.sessions if plan.kitchen else ()) if session_subject(s) in subjects]
    return ", ".join(
        tongue.say(
            "{preserve}: {amount}",
            preserve=tongue.term(making.ware.preserve.name),
            amount=units_words(tongue, making.ware, making.units),
        )
        for session in sessions
        for making in session.makings
    )


def to_buy_words(tongue: Tongue, thing: str, number: int) -> str:
    """Say so many jars or lids, as `7 pint jars`."""
    if thing == LIDS:
        return tongue.plural("{n} lid", "{n} lids", number)
    if thing.endswith(LIDS):
        return tongue.plural("{n} of the {lids}", "{n} of the {lids}", number, lids=tongue.term(thing))
    return tongue.plural("{n} {size} jar", "{n} {size} jars", number, size=tongue.term(thing))


_AMOUNTS: Final[Mapping[Stage, Callable[[Plan, Sequence[Entry]], str]]] = {
    Stage.TAKE_OUT: _to_take_out,
    Stage.BUY_BY: _to_buy,
    Stage.CANNING_DAY: _to_make,
    Stage.KITCHEN_DAY: _to_make,
}
