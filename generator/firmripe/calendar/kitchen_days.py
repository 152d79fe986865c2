"""The kitchen plan's days as entries: canning days, seal checks, take-outs for a session, and what to buy by when."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction

from dateutil.relativedelta import relativedelta
from msgspec import Struct

from firmripe.calendar.because import GiveKitchenDays, NoKitchenDays
from firmripe.calendar.entry import Entry, Undated
from firmripe.calendar.names import OfKitchen, OfTakeOut, PreserveWanted
from firmripe.days import Span
from firmripe.holding.holding import Holding
from firmripe.holding.task import OF_THE_KITCHEN, Stage, Task
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Weight
from firmripe.kitchen.plan.kitchen_plan import KitchenPlan, KitchenSession, KitchenTakeOut
from firmripe.remark import Remark
from firmripe.season.estimate import Reach


class _Due(Struct, frozen=True):
    """A day of the kitchen plan that a task can hang on, and what it is about; `lasting` is the same on any day."""

    day: date
    subject: str
    lasting: str
    name: Remark | None
    bearings: tuple[Bearing, ...]


def kitchen_entries(holding: Holding, season: int, plan: KitchenPlan | None) -> tuple[Entry, ...]:
    """Hang the tasks of the kitchen on a plan's days; none without a plan."""
    if plan is None:
        return ()
    return tuple(
        _entry(task, due, season)
        for task in holding.tasks
        if task.when.stage in OF_THE_KITCHEN
        for due in _due(task.when.stage, plan)
        if _is_for(task, due, holding)
    )


def wants_without_a_day(holding: Holding) -> tuple[Undated, ...]:
    """Return what is wanted of a kitchen of which no day is told, so that there is no plan for it."""
    means = holding.place.kitchen_means
    names = {preserve.key: preserve.name for preserve in holding.preserves}
    return tuple(
        Undated(
            what=PreserveWanted(preserve=names[want.preserve]),
            reason=NoKitchenDays(),
            remedy=GiveKitchenDays(),
            wanted=True,
        )
        for want in means.wants
        if not means.days
    )


def session_subject(session: KitchenSession) -> str:
    """Return what names a session: its kitchen and its day."""
    return f"{session.kitchen.name} {session.day.isoformat()}"


def lasting_names(sessions: Iterable[KitchenSession]) -> dict[str, str]:
    """Return by the subject of each session a name that stays when its day moves: its kitchen and its main product.

    The main product is the one that takes most fruit. Of several sessions with the same they are counted by day.
    """
    found: dict[str, str] = {}
    counts: Counter[str] = Counter()
    for session in sorted(sessions, key=lambda one: (one.day, one.kitchen.name)):
        weights = [(sum(used.kg for used in making.fruit), making.ware.name) for making in session.makings]
        main = min(weights, key=lambda one: (-round(one[0], 3), one[1]), default=(0.0, ""))[1]
        name = f"{session.kitchen.name}/{main}"
        counts[name] += 1
        found[session_subject(session)] = f"{name}/{counts[name]}"
    return found


def _is_for(task: Task, due: _Due, holding: Holding) -> bool:
    """Say whether a task that is for some trees, cultivars or fruits alone is for this day."""
    return bool(holding.needed_for([task], due.bearings))


def _due(stage: Stage, plan: KitchenPlan) -> Iterator[_Due]:
    if stage is Stage.BUY_BY and plan.buy_by is not None and any(short.to_buy for short in plan.shorts):
        bearings = _bearings(plan.sessions)
        yield _Due(plan.buy_by, "", "", None, bearings)
    names = lasting_names(plan.sessions)
    if stage is Stage.KITCHEN_TAKE_OUT:
        for out in plan.take_outs:
            yield _take_out(out, names)
    for session in plan.sessions:
        wanted = {Stage.CANNING_DAY: session.is_canning, Stage.KITCHEN_DAY: not session.is_canning}
        if wanted.get(stage):
            subject = session_subject(session)
            yield _Due(
                session.day, subject, names[subject], OfKitchen(kitchen=session.kitchen.name), _bearings([session])
            )


def _bearings(sessions: Iterable[KitchenSession]) -> tuple[Bearing, ...]:
    used = (used.batch.bearing for session in sessions for making in session.makings for used in making.fruit)
    return tuple(sorted(set(used)))


def _take_out(out: KitchenTakeOut, names: Mapping[str, str]) -> _Due:
    batch = out.batch
    name = OfTakeOut(
        limb=batch.limb.name,
        tree=batch.bearing.tree,
        picking=batch.picking,
        weight=None if out.whole else Weight.of(Fraction(round(out.kg * 100), 100)),
        day=out.session.day,
    )
    session = session_subject(out.session)
    part = (*([batch.house] if batch.house else []), *([str(batch.part)] if batch.part > 1 else []))
    of = (batch.bearing.tree, batch.bearing.cultivar, str(batch.picking), batch.grade.value, *part)
    subject, lasting = "/".join((*of, session)), "/".join((*of, names[session]))
    return _Due(out.day, subject, lasting, name, (batch.bearing,))


def _entry(task: Task, due: _Due, season: int) -> Entry:
    day = due.day + relativedelta(months=task.when.months, days=task.when.days)
    return Entry(
        task=task,
        subject=due.subject,
        lasting=due.lasting,
        name=due.name,
        crop="",
        season=season,
        span=Span(first=day, last=day),
        days=(day,),
        bearings=due.bearings,
        reach=Reach(earliest=day, likely=day, latest=day),
    )
