"""What the stand at the gate may tell: what is ripe on its next day, and when there is what, with how sure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from datetime import date, timedelta
from typing import Final

from msgspec import Struct

from firmripe.days import Span
from firmripe.harvest.allotting import CLAIMED, BatchKey, key_of
from firmripe.harvest.grades import SHARED
from firmripe.harvest.lots import RIPE_LIES_D, Batch
from firmripe.holding.fruit import Cultivar
from firmripe.holding.place import Place
from firmripe.holding.task import Stage
from firmripe.plan import Plan
from firmripe.problems import in_order
from firmripe.publish.views import View
from firmripe.tongue import Tongue
from firmripe.words import short_day, span_words, with_year


class StandPage(View, frozen=True, kw_only=True):
    """What is ripe when the stand is next open, for everybody to read: it tells of fruit and of nothing else.

    `days` are its days after that, with what is likely there and what perhaps; `seasons` when there is what.
    """

    heading: str
    title: str
    iso: str
    fruits: tuple[tuple[str, str, str], ...]
    days: tuple[tuple[str, str, str, str], ...]
    seasons: tuple[tuple[str, str], ...]


MOST_DAYS: Final = 4
"""So many days of the stand are told ahead, of those on which there is something. J."""
JOINED_D: Final = 7
"""Fruit that is out again so soon is of one season: what keeps comes out of the cold week by week."""
AHEAD_D: Final = 42
"""Days of the stand are told so far ahead, farther off the season says enough. J."""


class Offered(Struct, frozen=True, kw_only=True):
    """When there is ripe fruit of a cultivar: `likely`, and `perhaps` as early and as late as its dates may come."""

    limb: Cultivar
    likely: Span
    perhaps: Span


def stand_heading(place: Place) -> str:
    """Return what the page is called: the stand is open on days of its own, or at weekends."""
    return (
        place.tongue.say("Ripe on the next day of the stand")
        if place.stand_days
        else place.tongue.say("Ripe this weekend")
    )


def stand_page(plan: Plan) -> StandPage:
    """Return what is ripe when the stand is next open, and when there is what.

    It tells of cultivars and fruits, nothing of trees, people, weights or rooms.
    """
    tongue = plan.holding.place.tongue
    place, as_of = plan.holding.place, plan.season.as_of
    first, *later = _open(place, as_of)
    offered = seasons_of(plan)
    lying = {key_of(batch) for batch in plan.store.batches if batch.picked_noted}
    told = ((day, *_on(day, offered)) for day in later)
    found = {_told(tongue, batch.limb) for batch in _picked_this_season(plan) if _is_ripe(batch, first, lying)}
    found |= {_told(tongue, batch.limb) for batch in _left_over(plan) if _is_ripe(batch, first, {key_of(batch)})}
    return StandPage(
        heading=stand_heading(place),
        title=span_words(tongue, first),
        iso=first.first.isoformat(),
        fruits=tuple(sorted(found, key=lambda one: (in_order(one[0]), one))),
        days=tuple(
            (day.first.isoformat(), span_words(tongue, day), sure, unsure)
            for day, sure, unsure in told
            if sure or unsure
        )[:MOST_DAYS],
        seasons=tuple((one.limb.name, _words(tongue, one, as_of)) for one in offered if one.perhaps.last > first.last),
    )


def seasons_of(plan: Plan) -> tuple[Offered, ...]:
    """Return when there is fruit of each cultivar, by its first likely day; what overlaps is one season."""
    by_name: dict[str, list[Offered]] = {}
    for batch in (*_left_over(plan), *_picked_this_season(plan)):
        for one in _offered(batch, plan.season.as_of):
            by_name.setdefault(batch.limb.key, []).append(one)
    found = [one for several in by_name.values() for one in _joined(several)]
    return tuple(sorted(found, key=lambda one: (one.likely.first, in_order(one.limb.name))))


def _left_over(plan: Plan) -> Iterator[Batch]:
    yield from (batch for batch in plan.store.carried if batch.grade in SHARED)


def _picked_this_season(plan: Plan) -> Iterator[Batch]:
    """Yield what is picked or to be picked, but nothing of which nobody noted that it was when its days were over."""
    for bearing, lot in plan.lots.items():
        for batch in lot.batches:
            if batch.grade in SHARED and (batch.picked_noted or bearing not in plan.over):
                yield batch


def _offered(batch: Batch, today: date) -> Iterator[Offered]:
    """Yield the days of each part of a batch that goes nowhere else, from ripe to used up.

    A part has its day by plan; how early or late it may come hangs on the batch, and before that is picked on its pick:
    days that the kitchen has set leave no room of their own.
    """
    hung_on = [] if batch.picked_noted else [batch.picked]
    hung_on += [batch.days[Stage.READY]] if Stage.READY in batch.days and not batch.ready_noted else []
    ends = [batch.days[Stage.USE_BY]] if Stage.USE_BY in batch.days else []
    early = max((timedelta(0), *(one.likely - one.earliest for one in hung_on)))
    later = max((timedelta(0), *(one.latest - one.likely for one in (*hung_on, *ends))))
    for out in batch.outs:
        ready = batch.ready_after(out)
        if out.gone or out.to in CLAIMED or ready is None:
            continue
        last = batch.use_by_after(out) or ready.likely + timedelta(days=RIPE_LIES_D)
        likely = Span(first=ready.likely, last=max(ready.likely, last))
        soonest = min(ready.earliest, likely.first - early)
        perhaps = Span(first=max(soonest, min(today, likely.first)), last=likely.last + later)
        yield Offered(limb=batch.limb, likely=likely, perhaps=perhaps)


def _joined(several: Sequence[Offered]) -> Iterator[Offered]:
    """Yield the seasons of one cultivar, each a run of days with no gap longer than from one take-out to the next."""
    run: Offered | None = None
    for one in sorted(several, key=lambda one: (one.perhaps.first, one.perhaps.last)):
        if run is not None and one.perhaps.first <= run.perhaps.last + timedelta(days=JOINED_D):
            run = Offered(limb=run.limb, likely=_both(run.likely, one.likely), perhaps=_both(run.perhaps, one.perhaps))
            continue
        if run is not None:
            yield run
        run = one
    if run is not None:
        yield run


def _both(one: Span, other: Span) -> Span:
    return Span(first=min(one.first, other.first), last=max(one.last, other.last))


def _open(place: Place, today: date) -> Iterator[Span]:
    """Yield when the stand is open from a day on: each of its days, or weekends, of which one may be under way."""
    if place.stand_days:
        for ahead in range(AHEAD_D + 1):
            day = today + timedelta(days=ahead)
            if day.weekday() in place.stand_days:
                yield Span(first=day, last=day)
        return
    saturday = today + timedelta(days=5 - today.weekday())  # on a Sunday that is the day before
    for week in range(AHEAD_D // 7 + 1):
        first = saturday + timedelta(days=7 * week)
        yield Span(first=first, last=first + timedelta(days=1))


def _is_ripe(batch: Batch, days: Span, lying: AbstractSet[BatchKey]) -> bool:
    """Say whether some of a batch that goes nowhere else is ripe on days of the stand.

    What was noted lies there until it is noted gone.
    """
    for out in batch.outs:
        ready = batch.ready_after(out)
        if out.gone or out.to in CLAIMED or ready is None:
            continue
        if key_of(batch) in lying and ready.likely <= days.last:
            return True
        last = batch.use_by_after(out) or ready.likely + timedelta(days=RIPE_LIES_D)
        if Span(first=ready.likely, last=max(ready.likely, last)).meets(days):
            return True
    return False


def _on(days: Span, offered: Sequence[Offered]) -> tuple[str, str]:
    """Name what is likely there on days of the stand, and what perhaps."""
    sure = dict.fromkeys(one.limb.name for one in offered if one.likely.meets(days))
    unsure = dict.fromkeys(one.limb.name for one in offered if one.perhaps.meets(days))
    return ", ".join(sure), ", ".join(name for name in unsure if name not in sure)


def _told(tongue: Tongue, limb: Cultivar) -> tuple[str, str, str]:
    return (
        limb.name,
        tongue.term(limb.fruit.name) if limb.fruit else "",
        "; ".join(tongue.term(f.text) for f in limb.traits.uses),
    )


def _words(tongue: Tongue, one: Offered, today: date) -> str:
    """Say a season: its likely days, and how early and how late it may be where that is another day."""
    likely = tongue.say("likely {days}", days=_days(tongue, one.likely, today))
    if one.perhaps == one.likely:
        return likely
    return tongue.say("{likely}; perhaps {days}", likely=likely, days=_days(tongue, one.perhaps, today))


def _days(tongue: Tongue, span: Span, today: date) -> str:
    """Say a span, of one day by that alone; with the year where it is not today's."""
    if span.first.year == span.last.year and span.first.year != today.year and span.first != span.last:
        return tongue.say("{first} to {last}", first=short_day(tongue, span.first), last=_day(tongue, span.last, today))
    return _day(tongue, span.first, today) if span.first == span.last else span_words(tongue, span)


def _day(tongue: Tongue, day: date, today: date) -> str:
    return short_day(tongue, day) if day.year == today.year else with_year(tongue, short_day(tongue, day), day.year)
