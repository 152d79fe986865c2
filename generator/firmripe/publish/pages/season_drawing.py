"""The season as one drawing: a line for each bearing in order of pick, with finished numbers for a template to draw."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from dateutil.relativedelta import relativedelta

from firmripe.days import Span
from firmripe.holding.fruit import Event
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.publish.pages.by_kind import by_kind, reach_of
from firmripe.publish.pages.dated import Dated, stage_view
from firmripe.publish.pages.season_table import Row
from firmripe.publish.views import Link, View
from firmripe.season.estimate import Estimate, Reach
from firmripe.tongue import Tongue
from firmripe.words import long_day, short_day, short_month


class Drawing(View, frozen=True, kw_only=True):
    """The season as one drawing: a line for each bearing in order of pick. All numbers are in its own units."""

    width: int
    height: int
    left: int
    top: int
    right: int
    bottom: int
    months: tuple[DrawnMonth, ...]
    has_sessions: bool
    today: int | None
    today_text: str
    first: str
    last: str
    lines: tuple[DrawnLine, ...]


class DrawnMonth(View, frozen=True, kw_only=True):
    """Where a month begins."""

    x: int
    name: str


class DrawnLine(View, frozen=True, kw_only=True):
    """A bearing's season as it is drawn, and the days that the drawing adds to its row."""

    y: int
    name: str
    crop: str
    row: Row
    windows: tuple[DrawnWindow, ...]
    checks: tuple[int, ...]
    sessions: tuple[int, ...]
    bars: tuple[DrawnBar, ...]
    label: str
    label_x: int
    label_ends: bool
    check: Dated | None
    needs_cold: bool
    lies_cold: bool
    out: Dated | None
    use_by: Dated | None
    keep: Dated | None
    put_up: tuple[Link, ...]


class DrawnWindow(View, frozen=True, kw_only=True):
    """How early or late a day may come, in three steps of likelihood."""

    kind: str
    x: int
    width: int
    inner_x: int
    inner_width: int
    likely: int
    seen: bool


class DrawnBar(View, frozen=True, kw_only=True):
    """A stretch after the pick, between its likely days."""

    kind: str
    x: int
    width: int


DAY_W = 2
"""How wide a day is, in units of the drawing."""
LEFT_W, RIGHT_W = 132, 10
"""Room for the names, and at the end."""
TOP_H, LINE_H = 24, 44
"""Room for the months' names (as much again below), and for a line."""
NAME_MOST, TAG_MOST = 18, 12
"""Longer names are cut in the drawing; the table has them whole."""
CHECK = "start-checking"
"""The shelf's task whose days are the first to check on."""


def draw(
    plan: Plan, rows: Sequence[Row], sessions: Mapping[Bearing, Mapping[date, tuple[Link, ...]]] | None = None
) -> Drawing | None:
    """Return the drawing of a plan's season; None where nothing has a date.

    `rows` are the season's table, one for each of its bearings in the same order, or for each kind of them. A bearing
    without a date for its pick comes last. `sessions` are the days in the kitchen that put it up, with their pages.
    """
    tongue = plan.holding.place.tongue
    season, put_up = plan.season, sessions or {}
    told = [[bearing] for bearing in season.bearings]
    if len(rows) < len(told):
        told = list(by_kind(season.bearings).values())
    drafts = [
        _of_kind([_Draft(plan, bearing, row, put_up.get(bearing, {})) for bearing in bearings])
        for bearings, row in zip(told, rows, strict=True)
    ]
    drafts.sort(key=lambda draft: draft.pick.likely if draft.pick else date.max)  # stable: then in walking order
    days = [day for draft in drafts for day in draft.days()]
    if not days:
        return None
    frame = _Frame(min(days), max(days))
    as_of = season.as_of
    return Drawing(
        width=frame.right + RIGHT_W,
        height=2 * TOP_H + LINE_H * len(drafts),
        left=LEFT_W,
        top=TOP_H,
        right=frame.right,
        bottom=TOP_H + LINE_H * len(drafts),
        months=tuple(frame.months(tongue)),
        has_sessions=any(draft.sessions for draft in drafts),
        today=frame.middle(as_of) if as_of in frame.span else None,
        today_text=short_day(tongue, as_of),
        first=long_day(tongue, frame.span.first),
        last=long_day(tongue, frame.span.last),
        lines=tuple(draft.line(tongue, frame, TOP_H + LINE_H * number) for number, draft in enumerate(drafts)),
    )


class _Frame:
    """Whole months around all that is drawn, and where each day lies in them."""

    def __init__(self, first: date, last: date) -> None:
        end = last.replace(day=1) + relativedelta(months=1)
        self.span = Span(first=first.replace(day=1), last=end - timedelta(days=1))
        self.right = self.edge(end)

    def edge(self, day: date) -> int:
        """Return where a day begins."""
        return LEFT_W + DAY_W * (day - self.span.first).days

    def middle(self, day: date) -> int:
        """Return the middle of a day."""
        return self.edge(day) + DAY_W // 2

    def width(self, first: date, last: date) -> int:
        """Return how wide a stretch is, its first and last day included."""
        return DAY_W * ((last - first).days + 1)

    def months(self, tongue: Tongue) -> list[DrawnMonth]:
        """Return where each month begins; the year stands with the first and with each January."""
        found: list[DrawnMonth] = []
        day = self.span.first
        while day <= self.span.last:
            name = short_month(tongue, day.month)
            year = f" {day.year}" if day.month == 1 or not found else ""
            found.append(DrawnMonth(x=self.edge(day), name=name + year))
            day += relativedelta(months=1)
        return found


class _Draft:
    """What is known of a bearing's season, before the frame is."""

    def __init__(self, plan: Plan, bearing: Bearing, row: Row, sessions: Mapping[date, tuple[Link, ...]]) -> None:
        bloom, pick = (plan.season.of(bearing, event) for event in (Event.FULL_BLOOM, Event.PICK))
        lot = plan.lots.get(bearing)
        self.row, self.as_of = row, plan.season.as_of
        self.name = f"{row.tree.text} {row.cultivar.text}"
        self.pick = pick.reach if isinstance(pick, Estimate) else None
        self.stages = dict(plan.days_of(bearing))
        self.checks = sorted(set(plan.calendar.days_of(CHECK, bearing)))
        self.windows = [
            (kind, dated.reach, dated.is_past)
            for kind, dated in (("bloom", bloom), ("pick", pick))
            if isinstance(dated, Estimate)
        ]
        ready = self.stages.get(Stage.READY)
        if ready and self.pick and ready.likely > self.pick.likely:  # else it is ready on the tree
            seen = lot is not None and any(batch.picking == 1 and batch.ready_noted for batch in lot.batches)
            self.windows.append(("ready", ready, seen))
        self.needs_cold = bool(lot and lot.needs_cold)
        self.lies_cold = bool(lot and lot.lies_cold)
        self.bars = self.stretches()
        self.sessions = dict(sorted(sessions.items()))

    def stretches(self) -> list[tuple[str, Span]]:
        """Return the stretches after the pick: cold, counter, good to use, and what the cold keeps."""
        if self.pick is None:
            return []
        picked = self.pick.likely
        out, ready, use_by, keep = (self._day(s) for s in (Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL))
        leaves = out or (None if self.needs_cold else picked)
        steps = (
            ("cold", picked, leaves),
            ("counter", leaves, ready),
            ("good", ready, use_by),
            ("keep", picked, keep),
        )
        return [(kind, Span(first=a, last=b)) for kind, a, b in steps if a and b and b > a]

    def _day(self, stage: Stage) -> date | None:
        reach = self.stages.get(stage)
        return reach.likely if reach else None

    def days(self) -> list[date]:
        """Return every day that the drawing must hold."""
        found = [day for _, reach, _ in self.windows for day in (reach.earliest, reach.likely, reach.latest)]
        found += [*self.checks, *self.sessions]
        return [*found, *(day for _, span in self.bars for day in (span.first, span.last))]

    def line(self, tongue: Tongue, frame: _Frame, y: int) -> DrawnLine:
        """Return the line as it lies in a frame."""
        at = frame.edge(self.pick.earliest) if self.pick else LEFT_W
        lies = any(kind == "cold" for kind, _ in self.bars)
        ends = at > (LEFT_W + 2 * frame.right) // 3
        return DrawnLine(
            y=y,
            name=cut(self.name, NAME_MOST),
            crop=cut(tongue.term(self.row.crop), TAG_MOST),
            row=self.row,
            windows=tuple(_window(frame, kind, reach, seen=seen) for kind, reach, seen in self.windows),
            checks=tuple(frame.middle(day) for day in self.checks),
            sessions=tuple(frame.middle(day) for day in self.sessions),
            bars=tuple(
                DrawnBar(kind=kind, x=frame.edge(span.first), width=frame.width(span.first, span.last))
                for kind, span in self.bars
            ),
            label=f"{short_day(tongue, self.pick.likely)}, {cut(self.row.tree.text, TAG_MOST)}" if self.pick else "",
            label_x=frame.edge(self.pick.latest + timedelta(days=1)) if self.pick and ends else at,
            label_ends=ends,
            check=stage_view(tongue, tongue.say("Check from"), Reach(earliest=day, likely=day, latest=day), self.as_of)
            if (day := min(self.checks, default=None))
            else None,
            needs_cold=self.needs_cold,
            lies_cold=self.lies_cold,
            out=self._stage(tongue, tongue.say("Out of the cold"), Stage.TAKE_OUT) if lies or self.needs_cold else None,
            use_by=self._stage(tongue, tongue.say("Use by"), Stage.USE_BY),
            keep=self._stage(tongue, tongue.say("Take out the last"), Stage.KEEP_UNTIL),
            put_up=tuple(link for links in self.sessions.values() for link in links),
        )

    def _stage(self, tongue: Tongue, label: str, stage: Stage) -> Dated | None:
        return stage_view(tongue, label, self.stages[stage], self.as_of) if stage in self.stages else None


def _of_kind(drafts: Sequence[_Draft]) -> _Draft:
    """Return the seasons of trees of a kind as one: each of its days from the earliest of any to the latest."""
    if len(drafts) == 1:
        return drafts[0]
    whole = copy.copy(drafts[0])
    whole.name = whole.row.cultivar.text
    picks = [draft.pick for draft in drafts if draft.pick]
    whole.pick = reach_of(picks) if picks else None
    stages = dict.fromkeys(stage for draft in drafts for stage in draft.stages)
    whole.stages = {stage: reach_of([d.stages[stage] for d in drafts if stage in d.stages]) for stage in stages}
    whole.checks = sorted(day for draft in drafts for day in draft.checks)[:1]
    windows: dict[str, list[tuple[Reach, bool]]] = {}
    for kind, reach, seen in (window for draft in drafts for window in draft.windows):
        windows.setdefault(kind, []).append((reach, seen))
    whole.windows = [
        (kind, reach_of([reach for reach, _ in of]), all(seen for _, seen in of)) for kind, of in windows.items()
    ]
    whole.needs_cold = any(draft.needs_cold for draft in drafts)
    whole.lies_cold = any(draft.lies_cold for draft in drafts)
    whole.bars = whole.stretches()
    together: dict[date, dict[Link, None]] = {}
    for day, links in (of for draft in drafts for of in draft.sessions.items()):
        together.setdefault(day, {}).update(dict.fromkeys(links))
    whole.sessions = {day: tuple(links) for day, links in sorted(together.items())}
    return whole


def _window(frame: _Frame, kind: str, reach: Reach, *, seen: bool) -> DrawnWindow:
    """Return a window in three steps: all of it, the half of each side nearer to the likely day, and that day."""
    early = reach.likely - (reach.likely - reach.earliest) // 2
    late = reach.likely + (reach.latest - reach.likely) // 2
    return DrawnWindow(
        kind=kind,
        x=frame.edge(reach.earliest),
        width=frame.width(reach.earliest, reach.latest),
        inner_x=frame.edge(early),
        inner_width=frame.width(early, late),
        likely=frame.middle(reach.likely),
        seen=seen,
    )


def cut(text: str, most: int) -> str:
    """Return a text of at most so many characters, the last of them an ellipsis where it was cut."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"
