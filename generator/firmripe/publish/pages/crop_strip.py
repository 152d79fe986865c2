"""One crop's season as a strip, and its firmness as a line: finished numbers, with the same in words beside them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Final

from firmripe.calendar.states import State, standing_of
from firmripe.harvest.lots import Lot
from firmripe.holding.fruit import Event
from firmripe.holding.record import Record
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.publish.pages.season_drawing import CHECK, DrawnBar
from firmripe.publish.views import View
from firmripe.season.estimate import Estimate
from firmripe.tongue import Tongue, mark
from firmripe.units import NEWTONS_PER_LBF, Interval
from firmripe.words import between, far_day, short_day


class StripStep(View, frozen=True, kw_only=True):
    """A step of a crop's season: `key` names its mark, `window` says how early or late it may come."""

    key: str
    label: str
    iso: str
    day: str
    window: str
    seen: bool


class Strip(View, frozen=True, kw_only=True):
    """A crop's season as one strip, 360 units wide. The same days stand in `steps`."""

    bloom: bool
    bloom_seen: bool
    pick: int
    pick_first: int
    pick_last: int
    pick_seen: bool
    today: int | None
    bars: tuple[DrawnBar, ...]
    steps: tuple[StripStep, ...]


class Reading(View, frozen=True, kw_only=True):
    """A firmness reading."""

    x: int
    y: int
    value: str
    day: str


class FirmnessDrawing(View, frozen=True, kw_only=True):
    """Firmness readings and the band in which fruit is picked, 360 units wide and 166 high; `words` say where it is."""

    readings: tuple[Reading, ...]
    band: int
    band_height: int
    band_text: str
    today: int
    words: str


LEFT, RIGHT = 30, 350
"""Where the strip's own scale begins and ends, in units of the drawing; bloom stands before it, behind a break."""
LOOK_D = 10
"""Without a first day to look, the strip begins so many days before the pick. J."""
NEAR_D = 45
"""Today is drawn where it lies no farther than this from what the strip shows; else the words alone say it. J."""
_LEAST_W = 5

_LABELS: Final = {
    "bloom": mark("bloom"),
    "look": mark("look from"),
    "pick": mark("pick"),
    "cold": mark("cold until"),
    "counter": mark("counter from"),
    "eat": mark("ripe"),
    "end": mark("use by"),
    "keep": mark("keeps cold until"),
}


class _Days:
    """The days of a crop's season, None where there is none."""

    def __init__(self, plan: Plan, bearing: Bearing, lot: Lot | None) -> None:
        bloom, pick = (plan.season.of(bearing, event) for event in (Event.FULL_BLOOM, Event.PICK))
        self.bloom = bloom if isinstance(bloom, Estimate) else None
        self.pick = pick if isinstance(pick, Estimate) else None
        self.look = min(plan.calendar.days_of(CHECK, bearing), default=None)
        stages = {stage: reach.likely for stage, reach in plan.days_of(bearing).items()}
        out = stages.get(Stage.TAKE_OUT) if lot and lot.lies_cold else None
        self.out = out if out and self.pick and out > self.pick.likely else None
        self.ready, self.use_by = stages.get(Stage.READY), stages.get(Stage.USE_BY)
        self.keep = stages.get(Stage.KEEP_UNTIL) if lot and lot.lies_cold else None

    def steps(self) -> list[tuple[str, date, Estimate | None]]:
        """Return each step with its day, in order; bloom and pick with what they rest on."""
        pick = self.pick.likely if self.pick else None
        on_counter = self.out or pick
        ripens = self.ready is not None and on_counter is not None and self.ready > on_counter
        found = (
            ("bloom", self.bloom.likely if self.bloom else None, self.bloom),
            ("look", self.look, None),
            ("pick", pick, self.pick),
            ("cold", self.out, None),
            ("counter", on_counter if ripens else None, None),
            ("eat", self.ready, None),
            ("end", self.use_by, None),
            ("keep", self.keep, None),
        )
        return [(key, day, known) for key, day, known in found if day is not None]


def strip_of(plan: Plan, bearing: Bearing, lot: Lot | None) -> Strip | None:
    """Return the strip of a crop's season; None without a date for its pick."""
    tongue = plan.holding.place.tongue
    days, as_of = _Days(plan, bearing, lot), plan.season.as_of
    if days.pick is None:
        return None
    picked = days.pick.likely
    first = min(days.look or picked, days.pick.earliest, picked - timedelta(days=LOOK_D))
    last = max(day for day in (days.pick.latest, days.ready, days.use_by, days.out) if day is not None)
    if first - timedelta(days=NEAR_D) <= as_of <= last + timedelta(days=NEAR_D):
        first, last = min(first, as_of), max(last, as_of)
    frame = _Frame(first, last + timedelta(days=1))
    return Strip(
        bloom=days.bloom is not None,
        bloom_seen=days.bloom is not None and days.bloom.is_past,
        pick=frame.x(picked),
        pick_first=frame.x(days.pick.earliest),
        pick_last=frame.x(days.pick.latest),
        pick_seen=days.pick.is_past,
        today=frame.x(as_of) if first <= as_of <= last else None,
        bars=tuple(frame.bar(kind, a, b) for kind, a, b in _bars(days) if a is not None and b is not None and b > a),
        steps=tuple(
            StripStep(
                key=key,
                label=tongue.term(_LABELS[key]),
                iso=day.isoformat(),
                day=far_day(tongue, day, as_of) if key in {"end", "keep", "eat"} else short_day(tongue, day),
                window=between(tongue, known.earliest, known.latest) if known else "",
                seen=known is not None and known.is_past,
            )
            for key, day, known in days.steps()
        ),
    )


def _bars(days: _Days) -> Iterable[tuple[str, date | None, date | None]]:
    picked = days.pick.likely if days.pick else None
    yield "look", days.look, picked
    yield "cold", picked, days.out
    yield "counter", days.out or picked, days.ready
    yield "eat", days.ready, days.use_by


class _Frame:
    """A scale of days from its first to its last."""

    def __init__(self, first: date, last: date) -> None:
        self._first = first
        self._a_day = (RIGHT - LEFT) / max(1, (last - first).days)

    def x(self, day: date) -> int:
        """Return where a day begins."""
        return round(LEFT + self._a_day * (day - self._first).days)

    def bar(self, kind: str, first: date, last: date) -> DrawnBar:
        """Return a stretch between two days, wide enough to be seen."""
        return DrawnBar(kind=kind, x=self.x(first), width=max(_LEAST_W, self.x(last) - self.x(first)))


_HANGING: Final = frozenset({State.NOT_YET, State.LOOK, State.OPEN, State.PICKING})
TOP, BOTTOM = 30, 130
"""Where the hardest and the softest that is drawn lie, in units of the drawing of firmness."""


def firmness_of(plan: Plan, bearing: Bearing, records: Sequence[Record]) -> FirmnessDrawing | None:
    """Return this season's firmness readings of a crop as a line to its picking band; None without either.

    `records` are those of its tree that are known and for this page's reader. Of a crop that is all picked, lost or
    none there is no drawing: nobody asks any more whether it is time.
    """
    if not _may_hang(plan, bearing):
        return None
    tongue = plan.holding.place.tongue
    target = plan.holding.limb(bearing).traits.firmness_at_pick
    readings = [
        (record.day, record.firmness_n)
        for record in records
        if record.season == plan.season.year.year
        and record.firmness_n is not None
        and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
    ]
    if target is None or not readings:
        return None
    readings.sort()
    values = [value for _day, value in readings]
    hard, soft = max(*values, target.value.high) + 2, min(*values, target.value.low) - 2
    as_of = plan.season.as_of
    frame = _Frame(readings[0][0] - timedelta(days=3), max(as_of, readings[-1][0]) + timedelta(days=8))

    def y(newtons: float) -> int:
        return round(TOP + (hard - newtons) / (hard - soft) * (BOTTOM - TOP))

    told = [
        Reading(x=frame.x(day), y=y(value), value=_firm(tongue, value), day=short_day(tongue, day))
        for day, value in readings
    ]
    return FirmnessDrawing(
        readings=tuple(told),
        band=y(target.value.high),
        band_height=y(target.value.low) - y(target.value.high),
        band_text=_band(tongue, target.value),
        today=frame.x(as_of),
        words=_firm_words(tongue, target.value, values[-1], told[-1]),
    )


def _may_hang(plan: Plan, bearing: Bearing) -> bool:
    """Say whether fruit of a crop may still hang: not all of it is picked, and none is noted as lost or as no crop."""
    crop = standing_of(plan.season, plan.lots.get(bearing), bearing)
    return crop.state in _HANGING or (crop.state is State.NONE and not crop.noted)


def _firm(tongue: Tongue, newtons: float) -> str:
    return f"{newtons:.0f}" if tongue.metric else f"{newtons / NEWTONS_PER_LBF:.1f}"


def _band(tongue: Tongue, target: Interval) -> str:
    low, high = (f"{n:.0f}" if tongue.metric else f"{n / NEWTONS_PER_LBF:.4g}" for n in (target.low, target.high))
    between_both = low if low == high else f"{low}–{high}"
    return (
        tongue.say("{range} N", range=between_both) if tongue.metric else tongue.say("{range} lbf", range=between_both)
    )


def _firm_words(tongue: Tongue, target: Interval, last: float, reading: Reading) -> str:
    if last > target.high:
        return tongue.say("Still harder than the picking band: {value} on {day}.", value=reading.value, day=reading.day)
    if last < target.low:
        return tongue.say(
            "Softer than the picking band: {value} on {day}. Pick now.", value=reading.value, day=reading.day
        )
    return tongue.say("In the picking band: {value} on {day}.", value=reading.value, day=reading.day)
