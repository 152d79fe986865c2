"""The timetable of a session: its loads by the clock, when it ends, and what it waits for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime, time
from enum import Enum

from msgspec import Struct

from firmripe.holding.kitchen import LATEST_END, Canner, PotKind
from firmripe.kitchen.tables.pot_times import CHANGE_MIN, cycle, first_boil
from firmripe.kitchen.tables.processes import Minutes
from firmripe.kitchen.tables.ware import Ware
from firmripe.remark import Remark

CLEAN_UP_MIN = 30
"""Cleaning up, which is always forgotten. J."""


class Run(Struct, frozen=True, kw_only=True):
    """Loads of one ware in one pot: the units of each, and what is printed for it there.

    `canner` is None for what needs no pot, and a dryer is only filled.
    """

    ware: Ware
    units: tuple[int, ...]
    published: Minutes | None = None
    canner: Canner | None = None

    @property
    def pot(self) -> str:
        """The name of the pot; empty for what needs none."""
        return self.canner.name if self.canner else ""


class SessionLoad(Struct, frozen=True, kw_only=True):
    """One load of a ware: the how manieth of `count` it is, its units, and its pot (empty where it needs none)."""

    ware: Ware
    number: int
    count: int
    units: int
    pot: str


class MadeReady(Remark, Struct, frozen=True, kw_only=True):
    """A session begins: jars and lids are counted, water heats, fruit is cut."""


class PutAway(Remark, Struct, frozen=True, kw_only=True):
    """A load is cut, and goes into the dryer or, where it needs no pot, is packed and put away."""

    load: SessionLoad


class IntoPot(Remark, Struct, frozen=True, kw_only=True):
    """A load goes into its pot, for what is printed."""

    load: SessionLoad
    published: Minutes | None


class OutOfPot(Remark, Struct, frozen=True, kw_only=True):
    """A load comes out of its pot."""

    load: SessionLoad


class CleanedUp(Remark, Struct, frozen=True, kw_only=True):
    """A session is over; `jars` says that some stand there and cool."""

    jars: bool


class Slower(Enum):
    """What a session waits for most."""

    HANDS = "hands"
    POT = "pot"


class ClockStep(Struct, frozen=True, kw_only=True):
    """What is done at a time."""

    at: time
    what: Remark


class Timetable(Struct, frozen=True, kw_only=True):
    """A session's steps, when it ends, and the latest start that still ends in time.

    `slower` says whether hands or pot hold it up; `first_out` and `jars_out` are when the first and the last jars stand
    on the towel, `over_min` how long it runs past its end.
    """

    start: time
    end: time
    latest_start: time
    slower: Slower
    steps: tuple[ClockStep, ...]
    first_out: datetime | None
    jars_out: datetime | None
    over_min: int


def last_end(start: time, hours: float) -> time:
    """Return when a session must be over: after its hours, and by nine in the evening in any case."""
    minutes = min(_minutes(start) + round(hours * 60), _minutes(LATEST_END))
    return _time(max(minutes, _minutes(start)))


def hours_between(start: time, end: time) -> float:
    """Return the hours from one time of a day to a later one."""
    return max(0, _minutes(end) - _minutes(start)) / 60


def timetable(day: date, hours: tuple[time, time], hands: int, runs: Sequence[Run]) -> Timetable:
    """Return a session by the clock, which is to lie between two times of its day.

    All hands together cut one load after the other, what is cut fastest first; pots heat meanwhile. A load goes into
    the first pot of its ware that is free, so either the load waits for the pot or the pot for the load.
    """
    table = _Table(hands)
    ordered = sorted(
        runs, key=lambda run: (run.ware.rate.hand_minutes * max(run.units, default=0), run.ware.name, run.pot)
    )
    for name in dict.fromkeys(run.ware.name for run in ordered):
        table.make([run for run in ordered if run.ware.name == name])
    start, end = hours
    first, done = _minutes(start), table.done + CLEAN_UP_MIN
    steps = [*table.steps, (done, CleanedUp(jars=bool(table.out)))]
    return Timetable(
        start=start,
        end=_time(first + done),
        latest_start=_time(max(0.0, _minutes(end) - done)),
        slower=Slower.HANDS if table.pot_waits >= table.hands_wait else Slower.POT,
        steps=tuple(ClockStep(at=_time(first + at), what=what) for at, what in sorted(steps, key=lambda step: step[0])),
        first_out=datetime.combine(day, _time(first + table.first_out)) if table.out else None,
        jars_out=datetime.combine(day, _time(first + table.out)) if table.out else None,
        over_min=max(0, round(first + done - _minutes(end))),
    )


class _Table:
    """A session being put on the clock, in minutes from its start."""

    def __init__(self, hands: int) -> None:
        self._hands = max(1, hands)
        self._cut = 0.0
        self._free: dict[str, float] = {}
        self.steps: list[tuple[float, Remark]] = [(0.0, MadeReady())]
        self.done = self.out = self.pot_waits = self.hands_wait = 0.0
        self.first_out = math.inf

    def make(self, runs: Sequence[Run]) -> None:
        """Put all loads of one ware on the clock."""
        left = [(run, list(run.units)) for run in runs]
        number, count = 0, sum(len(run.units) for run in runs)
        while any(units for _, units in left):
            run, units = min(
                (one for one in left if one[1]), key=lambda one: (self._free.get(one[0].pot, 0.0), one[0].pot)
            )
            number += 1
            self._put(run, SessionLoad(ware=run.ware, number=number, count=count, units=units.pop(0), pot=run.pot))

    def _put(self, run: Run, load: SessionLoad) -> None:
        self._cut += load.units * run.ware.rate.hand_minutes / self._hands
        canner = run.canner
        if canner is None or canner.kind is PotKind.DRYER:
            self.steps.append((self._cut, PutAway(load=load)))
            self.done = max(self.done, self._cut)
            return
        minutes = run.published.minutes if run.published else 0
        free = self._free.get(run.pot, first_boil(canner))
        goes_in = max(self._cut, free)
        self.hands_wait += goes_in - self._cut
        self.pot_waits += goes_in - free
        comes_out = goes_in + cycle(minutes, canner.kind, canner.to_boil_min).middle
        self.steps += [(goes_in, IntoPot(load=load, published=run.published)), (comes_out, OutOfPot(load=load))]
        self._free[run.pot] = comes_out + CHANGE_MIN
        self.out = max(self.out, comes_out)
        self.first_out = min(self.first_out, comes_out)
        self.done = max(self.done, comes_out)


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute


def _time(minutes: float) -> time:
    whole = min(24 * 60 - 1, max(0, round(minutes)))
    return time(whole // 60, whole % 60)
