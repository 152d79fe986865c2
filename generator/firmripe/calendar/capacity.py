"""Hands: days that bring more than can be picked, what then waits on the trees, and until when it may.

The days of picks stay where they are. On each day what has least time left is picked first, whatever hangs there from
days before; what nobody told a weight of, or a place that does not say what its hands can pick, makes nothing wait.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.because import MoreThanHands
from firmripe.calendar.entry import Entry
from firmripe.calendar.pickings import comes_with_each
from firmripe.harvest.crop import Crop
from firmripe.harvest.lots import LEAST_KG, Lot
from firmripe.harvest.weighing import containers_of
from firmripe.holding.hands import hands_for
from firmripe.holding.holding import Holding
from firmripe.holding.task import Stage, Topic
from firmripe.holding.tree import Bearing
from firmripe.season.season import Season

Rate = Callable[[date, Bearing], Fraction | None]
"""What hands pick of a bearing's fruit on a day (kg); None where nobody has told."""


class DuePicking(Struct, frozen=True, kw_only=True):
    """A picking to come, with its weight (kg), the day it is due and the last on which it may still hang."""

    bearing: Bearing
    picking: int
    day: date
    until: date
    weight: Fraction


class Waits(Struct, frozen=True, kw_only=True):
    """A picking of which `weight` (kg) is left when its `day` is over.

    `then` is the day on which the last of it can be picked; None where `late` (kg) is left after it may hang `until`.
    """

    bearing: Bearing
    picking: int
    day: date
    until: date
    weight: Fraction
    late: Fraction = Fraction(0)
    then: date | None = None


def waits_for_hands(season: Season, lots: Mapping[Bearing, Lot], entries: Iterable[Entry]) -> tuple[Waits, ...]:
    """Return the pickings to come that can't all be picked on their day, by day and by how long they may hang."""
    jobs = [entry for entry in entries if _is_picking(entry)]
    dues = {(due.bearing, due.picking): due for entry in jobs for due in _dues(entry, lots, season.as_of)}
    hands = _hands(season.holding, jobs)
    return in_turn(dues.values(), hands) if hands else ()


def in_turn(dues: Iterable[DuePicking], rate: Rate) -> tuple[Waits, ...]:
    """Return what waits when each day's hands pick what has least time left."""
    coming = sorted(dues, key=lambda due: (due.day, due.until, due.bearing, due.picking))
    found: dict[tuple[Bearing, int], Waits] = {}
    left: list[tuple[DuePicking, Fraction]] = []
    day = date.min
    while coming or left:
        day = day + timedelta(days=1) if left else coming[0].day
        while coming and coming[0].day == day:
            due = coming.pop(0)
            left.append((due, due.weight))
        left.sort(key=lambda pair: (pair[0].until, pair[0].day, pair[0].bearing, pair[0].picking))
        still = []
        for due, kg in _after_a_day(left, day, rate):
            key = due.bearing, due.picking
            if kg < LEAST_KG:
                if key in found:
                    found[key] = replace(found[key], then=day)
                continue
            found.setdefault(
                key, Waits(bearing=due.bearing, picking=due.picking, day=due.day, until=due.until, weight=kg)
            )
            if day < due.until:
                still.append((due, kg))
            else:
                found[key] = replace(found[key], late=kg)
        left = still
    return tuple(sorted(found.values(), key=lambda one: (one.day, one.until, one.bearing, one.picking)))


def _after_a_day(
    left: Sequence[tuple[DuePicking, Fraction]], day: date, rate: Rate
) -> Iterator[tuple[DuePicking, Fraction]]:
    """Yield what is left of each picking when a day is over, in the order in which they are picked."""
    free = Fraction(1)
    for due, kg in left:
        of_it = rate(day, due.bearing)
        if of_it is None:
            yield due, Fraction(0)
            continue
        picked = min(kg, free * of_it)
        free -= picked / of_it if of_it else 0
        yield due, kg - picked


def with_waits(entries: Iterable[Entry], waits: Iterable[Waits], holding: Holding) -> tuple[Entry, ...]:
    """Return jobs of picking with what waits of them, of each the first day on which anything does."""
    by_picking: dict[tuple[Bearing, int], Waits] = {(one.bearing, one.picking): one for one in waits}
    found = []
    for entry in entries:
        own = (by_picking.get((b, n)) for b in entry.bearings for n in entry.pickings) if _is_picking(entry) else ()
        first = next((one for one in own if one is not None), None)
        found.append(entry.with_held(_more_than_hands(first, holding)) if first else entry)
    return tuple(found)


def _more_than_hands(one: Waits, holding: Holding) -> MoreThanHands:
    return MoreThanHands(
        limb=holding.limb(one.bearing).name,
        bearing=one.bearing,
        day=one.day,
        until=one.until,
        weight=one.weight,
        late=one.late,
        then=one.then,
    )


def _is_picking(entry: Entry) -> bool:
    task = entry.task
    is_it = task.when.stage is Stage.PICK and not task.when.days and not task.when.months
    return is_it and task.topic is Topic.ORCHARD and comes_with_each(task) and bool(entry.pickings)


def _dues(entry: Entry, lots: Mapping[Bearing, Lot], today: date) -> Iterator[DuePicking]:
    """Yield the pickings of a job that are still to come, as far as their weight is known."""
    (bearing,) = entry.bearings
    lot = lots[bearing]
    pickings = {picking.number: picking for picking in lot.pickings}
    for at, number in enumerate(entry.pickings):
        day = entry.days[min(at, len(entry.days) - 1)]
        until = entry.days[at + 1] - timedelta(days=1) if at + 1 < len(entry.days) else entry.span.last
        picking = pickings[number]
        if picking.noted or picking.weight is None or until < today:
            continue
        is_own = isinstance(lot.crop, Crop) and lot.crop.is_own
        weight = picking.weight.middle if is_own else picking.weight.low
        yield DuePicking(bearing=bearing, picking=number, day=max(day, today), until=max(day, until), weight=weight)


def _hands(holding: Holding, jobs: Sequence[Entry]) -> Rate | None:
    """Return what all who pick can pick in a day; None where nobody has told.

    It is what those pick who are here, where each of them has told, otherwise what the place tells of all together.
    """
    place = holding.place
    names = {name for job in jobs for name in hands_for(job.task.who, job.bearings, holding).people}
    people = [person for person in place.people if person.name in names]
    each = [person.picks for person in people if person.picks is not None]
    is_each = bool(people) and len(each) == len(people)
    if not is_each and place.picks is None:
        return None
    containers = {job.bearings[0]: containers_of(holding.limb(job.bearings[0]).traits, place) for job in jobs}

    def rate(day: date, bearing: Bearing) -> Fraction | None:
        here = [person for person in people if not person.is_away(day)]
        if place.no_access_on(day) is not None or (people and not here):
            return Fraction(0)
        told = [person.picks for person in here] if is_each else [place.picks]
        weights = [part.weight(containers[bearing]) for part in told if part is not None]
        known = [weight.middle for weight in weights if weight is not None]
        return sum(known, Fraction(0)) if len(known) == len(weights) else None

    return rate
