"""The page of the whole year: its months and weeks, the season's table and its drawing."""

from __future__ import annotations

from datetime import date

from firmripe.calendar.kitchen_days import session_subject
from firmripe.holding.tree import Bearing
from firmripe.publish.pages.context import MANY_CROPS, PageContext
from firmripe.publish.pages.days import Period, all_months, all_weeks, stretch_of
from firmripe.publish.pages.season_drawing import Drawing, draw
from firmripe.publish.pages.season_table import Row, kind_rows, season_rows
from firmripe.publish.views import Link, View
from firmripe.words import month_name, week_day


class YearPage(View, frozen=True, kw_only=True):
    """Every month with its weeks, and the season's table; `stretches` are the months whole, each with its anchor.

    There is no drawing where nothing has a date, or where even the kinds are too many for one.
    """

    months: tuple[tuple[Link, tuple[Link, ...]], ...]
    stretches: tuple[tuple[str, Period], ...]
    rows: tuple[Row, ...]
    drawing: Drawing | None


def year_page(context: PageContext) -> YearPage:
    """Return the page of the whole year."""
    tongue = context.tongue
    months, weeks = all_months(context), [] if context.paths.folded else all_weeks(context)
    rows = (kind_rows if context.is_by_kind else season_rows)(context, context.season.bearings)
    return YearPage(
        months=tuple(
            (
                context.link(month_name(tongue, span.first.year, span.first.month), context.paths.month(span.first)),
                tuple(
                    context.link(week_day(tongue, week.first), context.paths.week(week.first))
                    for week in weeks
                    if (week.first.year, week.first.month) == (span.first.year, span.first.month)
                ),
            )
            for span in months
        ),
        stretches=tuple(
            (
                context.paths.month(span.first).partition("#")[2],
                stretch_of(context, span, month_name(tongue, span.first.year, span.first.month)),
            )
            for span in (months if context.paths.folded else ())
        ),
        rows=rows,
        drawing=draw(context.plan, rows, _sessions(context)) if len(rows) <= MANY_CROPS else None,
    )


def _sessions(context: PageContext) -> dict[Bearing, dict[date, tuple[Link, ...]]]:
    """Return the days in the kitchen that put a bearing's fruit up, each with its sessions' pages."""
    found: dict[Bearing, dict[date, tuple[Link, ...]]] = {}
    for session in context.plan.kitchen.sessions if context.plan.kitchen else ():
        said = context.tongue.say(
            "{day} in the {kitchen}", day=week_day(context.tongue, session.day), kitchen=session.kitchen.name
        )
        link = context.link(said, context.paths.session(session_subject(session)))
        for bearing in {used.batch.bearing for making in session.makings for used in making.fruit}:
            days = found.setdefault(bearing, {})
            days[session.day] = (*days.get(session.day, ()), link)
    return found
