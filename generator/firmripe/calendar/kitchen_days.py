"""The kitchen plan's days as entries: canning days, seal checks, take-outs for a session, and what to buy by when."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from dateutil.relativedelta import relativedelta

from firmripe.calendar.entry import Entry
from firmripe.days import Span
from firmripe.holding.holding import Holding
from firmripe.holding.task import OF_THE_KITCHEN, Stage, Task
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Weight, pounds_words
from firmripe.kitchen.plan import KitchenPlan, KitchenSession, KitchenTakeOut
from firmripe.saying import _
from firmripe.season.estimate import Reach
from firmripe.words import week_day


@dataclass(frozen=True, slots=True)
class _Due:
    """A day of the kitchen plan that a task can hang on, and what it is about."""

    day: date
    subject: str
    name: str
    bearings: tuple[Bearing, ...]


def kitchen_entries(holding: Holding, season: int, plan: KitchenPlan | None) -> tuple[Entry, ...]:
    """Hang the tasks of the kitchen on a plan's days; none without a plan."""
    if plan is None:
        return ()
    return tuple(
        _entry(task, due, season)
        for task in holding.tasks
        if task.when.stage in OF_THE_KITCHEN
        for due in _due(task.when.stage, plan, metric=holding.place.metric_first)
        if _is_for(task, due, holding)
    )


def session_subject(session: KitchenSession) -> str:
    """Return what names a session: its kitchen and its day."""
    return f"{session.kitchen.name} {session.day.isoformat()}"


def _is_for(task: Task, due: _Due, holding: Holding) -> bool:
    """Say whether a task that is for some trees, cultivars or fruits alone is for this day."""
    if not task.subjects:
        return True
    limbs = [(b, holding.cultivars[b.cultivar]) for b in due.bearings]
    keys = {key for b, limb in limbs for key in (b.tree, b.cultivar, limb.fruit.key if limb.fruit else "")}
    return bool(keys & task.subjects)


def _due(stage: Stage, plan: KitchenPlan, *, metric: bool) -> Iterator[_Due]:
    if stage is Stage.BUY_BY and plan.buy_by is not None and any(short.to_buy for short in plan.shorts):
        bearings = _bearings(plan.sessions)
        yield _Due(plan.buy_by, "", "", bearings)
    if stage is Stage.KITCHEN_TAKE_OUT:
        for out in plan.take_outs:
            yield _take_out(out, metric=metric)
    for session in plan.sessions:
        wanted = {Stage.CANNING_DAY: session.is_canning, Stage.KITCHEN_DAY: not session.is_canning}
        if wanted.get(stage):
            yield _Due(session.day, session_subject(session), session.kitchen.name, _bearings([session]))


def _bearings(sessions: Iterable[KitchenSession]) -> tuple[Bearing, ...]:
    used = (used.batch.bearing for session in sessions for making in session.makings for used in making.fruit)
    return tuple(sorted(set(used)))


def _take_out(out: KitchenTakeOut, *, metric: bool) -> _Due:
    batch = out.batch
    weight = _("all") if out.whole else pounds_words(Weight.of(Fraction(round(out.kg * 100), 100)), metric=metric)
    picking = _(", picking {picking}", picking=batch.picking) if batch.picking > 1 else ""
    name = _(
        "{weight} of {limb} ({tree}){picking} for {day}",
        weight=weight,
        limb=batch.limb.name,
        tree=batch.bearing.tree,
        picking=picking,
        day=week_day(out.session.day),
    )
    subject = "/".join(
        (
            batch.bearing.tree,
            batch.bearing.cultivar,
            str(batch.picking),
            batch.grade.value,
            session_subject(out.session),
        )
    )
    return _Due(out.day, subject, name, (batch.bearing,))


def _entry(task: Task, due: _Due, season: int) -> Entry:
    day = due.day + relativedelta(months=task.when.months, days=task.when.days)
    return Entry(
        task=task,
        subject=due.subject,
        name=due.name,
        crop="",
        season=season,
        span=Span(first=day, last=day),
        days=(day,),
        bearings=due.bearings,
        reach=Reach(earliest=day, likely=day, latest=day),
    )
