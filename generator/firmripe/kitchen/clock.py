"""Time: what a load takes on the stove, what the hands need before it, and how a session runs by the clock."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from firmripe.holding.holding import Holding
from firmripe.holding.jar import HandsRate, Jar, JarSize, parse_made
from firmripe.holding.kitchen import LATEST_END, Canner, PotKind
from firmripe.holding.preserve import Preserve
from firmripe.holding.record import Happening, Record
from firmripe.problems import Unreadable, folded
from firmripe.saying import _, n_, term
from firmripe.units import Interval

TO_BOIL_MIN = Interval(low=20, high=30)
"""From loading to a full boil (AIB 539, Guide 1, p. 1-17, R). For a steam canner the same is taken (J)."""
REST_MIN = 5
"""Heat off, lid off, before the jars come out (AIB 539, Guide 1, R)."""
TO_VENT_MIN, VENT_MIN, PRESS_MIN, COOL_MIN = Interval(low=12, high=15), 10, 5, Interval(low=20, high=60)
"""A pressure canner: to steam, venting, to pressure, and cooling by itself (AIB 539, Guide 1, R)."""
FIRST_WATER_MIN = 30
"""From cold water to the first load, while the first fruit is cut. J: 20 to 30 minutes, up to 90 on a weak burner."""
CHANGE_MIN = 10
"""Lifting one load out and setting the next in. J."""
CLEAN_UP_MIN = 30
"""Cleaning up, which is always forgotten. J."""
START_RATE = HandsRate(low=20, high=20, jar=Jar.of(JarSize.QUART))
"""Work where no rate is known: that of hand-peeled pears, a third of an hour a quart. J, rather long than short."""


def cycle(minutes: int, kind: PotKind = PotKind.BOILING_WATER, to_boil: Interval | None = None) -> Interval:
    """Return the minutes for which one load keeps its pot: to the boil, the process, the rest.

    `to_boil` are the household's own minutes to the boil, or to steam; the process is never touched by them.
    """
    if kind is PotKind.PRESSURE:
        fixed = VENT_MIN + PRESS_MIN + minutes
        before = to_boil or TO_VENT_MIN
        return Interval(low=before.low + fixed + COOL_MIN.low, high=before.high + fixed + COOL_MIN.high)
    before = to_boil or TO_BOIL_MIN
    return Interval(low=before.low + minutes + REST_MIN, high=before.high + minutes + REST_MIN)


def pot_minutes(minutes: int, canner: Canner) -> float:
    """Return the minutes to plan for one load: the middle of its cycle, and the change to the next."""
    return cycle(minutes, canner.kind, canner.to_boil_min).middle + CHANGE_MIN


def first_boil(canner: Canner) -> float:
    """Return the minutes from cold water to a pot's first load."""
    return canner.first_boil_min.middle if canner.first_boil_min else float(FIRST_WATER_MIN)


# Seals and keeping


@dataclass(frozen=True, slots=True, kw_only=True)
class Seals:
    """When lids can be tested, and until when a jar that failed can be done again (AIB 539, Guide 1, R)."""

    first: datetime
    last: datetime
    again_until: datetime


def seals(first_out: datetime, last_out: datetime) -> Seals:
    """Return the hours of the seal test: jars cool undisturbed 12 to 24 hours; a failed one is done within 24.

    All loads can be tested once the last has cooled; of several the first is the first whose hours are over.
    """
    day_later = first_out + timedelta(hours=24)
    return Seals(first=min(last_out + timedelta(hours=12), day_later), last=day_later, again_until=day_later)


# Work


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Minutes of one pair of hands for one jar (or pound dried), and in words where that comes from."""

    minutes: float
    told: str


def rate_for(preserve: Preserve, jar: Jar | None, own: Rate | None = None) -> Rate:
    """Return the work in one jar: the household's own rate, else the preserve's, else a start value."""
    if own is not None:
        return own
    figure = preserve.hands
    rate = figure.value if figure else START_RATE
    told = f"{term(figure.text)}, {term(figure.cited.mark.value)}" if figure else _("20 minutes a quart, our judgement")
    if jar is None or rate.jar is None:
        return Rate(minutes=rate.middle, told=told)
    return Rate(minutes=rate.middle * jar.millilitres / rate.jar.millilitres, told=told)


def own_rate(holding: Holding, preserve: Preserve, jar: Jar, as_of: date) -> Rate | None:
    """Return the household's own work for a jar, from lines that say how many jars were made by how many, how long.

    `9 pints by 2 in 1.5 hours` as the amount of `jars`, with the preserve's name in the note.
    """
    names = {folded(preserve.name), folded(preserve.key)}
    hand_minutes, litres, lines = 0.0, 0.0, 0
    for record in holding.records:
        if record.what is not Happening.JARS or record.day > as_of or not _names(record, names):
            continue
        worked = worked_in(record.amount)
        if worked is not None:
            hand_minutes, litres, lines = hand_minutes + worked[0], litres + worked[1], lines + 1
    if not litres:
        return None
    each = hand_minutes / litres * jar.millilitres / 1000
    return Rate(
        minutes=each,
        told=n_(
            "{minutes} minutes a {jar}, from {n} line of our own",
            "{minutes} minutes a {jar}, from {n} lines of our own",
            lines,
            minutes=round(each),
            jar=term(jar.name),
        ),
    )


def _names(record: Record, names: set[str]) -> bool:
    said = folded(record.note)
    return any(name in said for name in names)


def worked_in(amount: str) -> tuple[float, float] | None:
    """Return the minutes of all hands together and the litres made, as a line about jars tells them, if it does."""
    try:
        made = parse_made(amount)
    except Unreadable:
        return None
    litres = made.jars.count * made.jars.jar.millilitres / 1000
    return (made.hand_minutes, litres) if made.hand_minutes else None


# A session by the clock


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Loads of one product in one pot: the units of each, the work in one unit (minutes), and the process.

    `told` are the minutes of the process in words, with their acid. `pot` is empty for what needs none, and a dryer is
    only filled. `first_boil_min` and `to_boil_min` are the pot's own minutes to its first load, and to the boil.
    """

    product: str
    units: tuple[int, ...]
    hand_minutes: float
    process_minutes: int = 0
    told: str = ""
    kind: PotKind | None = None
    pot: str = ""
    first_boil_min: float = FIRST_WATER_MIN
    to_boil_min: Interval | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What is done at a time."""

    at: time
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Timetable:
    """A session's steps, when it ends, and the latest start that still ends in time.

    `slower` says whether hands or pot hold it up; `first_out` and `jars_out` are when the first and the last jars stand
    on the towel, `over_min` how
    long it runs past its end.
    """

    start: time
    end: time
    latest_start: time
    slower: str
    steps: tuple[Step, ...]
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
    the first pot of its product that is free, so either the load waits for the pot or the pot for the load.
    """
    table = _Table(hands)
    ordered = sorted(runs, key=lambda run: (run.hand_minutes * max(run.units, default=0), run.product, run.pot))
    for product in dict.fromkeys(run.product for run in ordered):
        table.make([run for run in ordered if run.product == product])
    start, end = hours
    first, done = _minutes(start), table.done + CLEAN_UP_MIN
    steps = [
        *table.steps,
        (done, _("Cleaned up; the jars cool where nobody touches them") if table.out else _("Cleaned up")),
    ]
    return Timetable(
        start=start,
        end=_time(first + done),
        latest_start=_time(max(0.0, _minutes(end) - done)),
        slower=_("the hands") if table.pot_waits >= table.hands_wait else _("the pot"),
        steps=tuple(Step(at=_time(first + at), text=text) for at, text in sorted(steps, key=lambda step: step[0])),
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
        self.steps: list[tuple[float, str]] = [(0.0, _("Count jars and lids; heat water, jars and syrup; cut fruit"))]
        self.done = self.out = self.pot_waits = self.hands_wait = 0.0
        self.first_out = math.inf

    def make(self, runs: Sequence[Run]) -> None:
        """Put all loads of one product on the clock."""
        left = [(run, list(run.units)) for run in runs]
        number, count = 0, sum(len(run.units) for run in runs)
        while any(units for _, units in left):
            run, units = min(
                (one for one in left if one[1]), key=lambda one: (self._free.get(one[0].pot, 0.0), one[0].pot)
            )
            number += 1
            self._load(
                run,
                units.pop(0),
                _("{product}, load {number} of {count}", product=run.product, number=number, count=count)
                if count > 1
                else run.product,
            )

    def _load(self, run: Run, units: int, of: str) -> None:
        self._cut += units * run.hand_minutes / self._hands
        if not run.pot or run.kind in {None, PotKind.DRYER}:
            where = _("into the {pot}", pot=run.pot) if run.pot else _("packed and put away")
            self.steps.append((self._cut, f"{of}: {units}, {where}"))
            self.done = max(self.done, self._cut)
            return
        kind = run.kind or PotKind.BOILING_WATER
        free = self._free.get(run.pot, run.first_boil_min)
        goes_in = max(self._cut, free)
        self.hands_wait += goes_in - self._cut
        self.pot_waits += goes_in - free
        comes_out = goes_in + cycle(run.process_minutes, kind, run.to_boil_min).middle
        self.steps += [
            (
                goes_in,
                n_(
                    "{of}: {n} jar into the {pot}; {minutes}",
                    "{of}: {n} jars into the {pot}; {minutes}",
                    units,
                    of=of,
                    pot=run.pot,
                    minutes=run.told,
                ),
            ),
            (comes_out, _("{of}: out of the {pot}, onto a dry towel", of=of, pot=run.pot)),
        ]
        self._free[run.pot] = comes_out + CHANGE_MIN
        self.out = max(self.out, comes_out)
        self.first_out = min(self.first_out, comes_out)
        self.done = max(self.done, comes_out)


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute


def _time(minutes: float) -> time:
    whole = min(24 * 60 - 1, max(0, round(minutes)))
    return time(whole // 60, whole % 60)
