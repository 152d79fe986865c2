"""The sheet of the whole year: each day that brings something, month by month, on one side where it fits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import groupby
from typing import Final

from firmripe.holding.fruit import Event
from firmripe.holding.task import Stage
from firmripe.plan import Plan
from firmripe.publish.pages.by_kind import tags_words
from firmripe.publish.pages.context import PageContext
from firmripe.publish.views import View
from firmripe.season.estimate import Estimate
from firmripe.tongue import Tongue
from firmripe.words import long_day, month_name, of_crop, on_tree, short_day, week_day


class YearMonth(View, frozen=True, kw_only=True):
    """A month on the sheet of the whole year: its days in words, each with what it brings."""

    title: str
    lines: tuple[tuple[str, str], ...]


class YearSheet(View, frozen=True, kw_only=True):
    """The whole year on one side; `density` is roomy, full or dense, and `goes_on` says that one side is too small."""

    first: str
    last: str
    months: tuple[YearMonth, ...]
    density: str
    goes_on: bool


ROOMY, FULL, DENSE = 70, 150, 205
"""So many lines fit one side of Letter in ten, eight and a half and seven and a half points; more go on to another."""
LONG: Final = 44
"""Characters of a line from which it takes two."""


def year_sheet(context: PageContext) -> YearSheet:
    """Return the sheet. Trees of one cultivar that have something on the same day share a line."""
    plan, tongue = context.plan, context.tongue
    found: dict[tuple[date, str, str], dict[str, None]] = {}
    for day, name, what, tag in _days(plan):
        found.setdefault((day, name, what), {})[tag] = None
    lines = sorted((day, _line(context, name, what, tags)) for (day, name, what), tags in found.items())
    months = tuple(
        YearMonth(
            title=month_name(tongue, year, month), lines=tuple((week_day(tongue, day), text) for day, text in of_month)
        )
        for (year, month), of_month in groupby(lines, key=lambda line: (line[0].year, line[0].month))
    )
    needed = taken(months)
    return YearSheet(
        first=long_day(tongue, lines[0][0]) if lines else "",
        last=long_day(tongue, lines[-1][0]) if lines else "",
        months=months,
        density=density_of(needed),
        goes_on=needed > DENSE,
    )


def taken(months: Iterable[YearMonth]) -> int:
    """Return how many lines of print some months take, with room for their headings."""
    return sum(2 + sum(1 + (len(day) + 1 + len(text)) // LONG for day, text in month.lines) for month in months)


def density_of(lines: int) -> str:
    """Return how close so many lines must stand to share a side."""
    return "roomy" if lines <= ROOMY else "full" if lines <= FULL else "dense"


def _line(context: PageContext, name: str, what: str, tags: Iterable[str]) -> str:
    of = tags_words(context, filter(None, tags))
    return f"{on_tree(name, of)}: {what}"


def _days(plan: Plan) -> Iterator[tuple[date, str, str, str]]:
    """Yield each likely day with whose it is, what it brings and the tree's tag."""
    tongue = plan.holding.place.tongue
    names = {(tree.tag, limb.key): limb.name for tree in plan.holding.trees for limb in tree.limbs}
    for bearing in plan.season.bearings:
        name = names[bearing.tree, bearing.cultivar] + of_crop(tongue, bearing.crop)
        events = ((Event.FULL_BLOOM, tongue.say("full bloom")), (Event.PICK, tongue.say("pick")))
        for event, what in events:
            dated = plan.season.of(bearing, event)
            if isinstance(dated, Estimate):
                yield dated.likely, name, _how(tongue, what, dated), bearing.tree
        stages = ((Stage.READY, tongue.say("ready")), (Stage.KEEP_UNTIL, tongue.say("keeps until here at most")))
        days = plan.days_of(bearing)
        for stage, what in stages:
            reach = days.get(stage)
            if reach is not None:
                yield reach.likely, name, what, bearing.tree
    for session in plan.kitchen.sessions if plan.kitchen else ():
        made = ", ".join(dict.fromkeys(tongue.term(making.ware.preserve.name) for making in session.makings))
        yield session.day, session.kitchen.name, made, ""


def _how(tongue: Tongue, what: str, dated: Estimate) -> str:
    """Say an event with its window, or that it was noted."""
    if dated.is_past:
        return tongue.say("{event}, noted", event=what)
    if dated.earliest == dated.latest:
        return what
    first, last = short_day(tongue, dated.earliest), short_day(tongue, dated.latest)
    return tongue.say("{event}, {first} to {last}", event=what, first=first, last=last)
