"""Whole numbers found near the parts of them, session after session, while the rest is left free to answer.

Where hardly a minute of hands is left over, branching finds no plan in thousands of nodes, though there are many. So
each session's jars are chosen among all whole numbers near its parts of jars: what one choice comes to, with the parts
of all later sessions at their best for it, bounds the others by its slopes, so that two or three tell the best of
thousands. What is then short is sought again with one session left in parts, to which the others hand their minutes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct

from firmripe.kitchen.fit.highs import Relaxation, maximised

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from firmripe.kitchen.fit.solving import Aim, Programme, SessionColumns

    Numbers = NDArray[np.float64]

INFINITE = float("inf")
EPS = 1e-6
DIGITS = 6
LACKS = 1e-5
"""What is lacking by no more than this is the solver's imprecision."""
HARD = 1e5
"""The price of what no plan may lack: beyond any goal's."""
PRICE = 1000.0
"""The price of a jar, or a kilogram of waste, that an aim lacks: far above the worth of any fruit. J."""
CHOICES = 20_000
"""So many whole numbers near its parts are looked at for a session. J."""
FARTHEST = 24
"""Jars by which one product may make up for the others. J."""
ASKED = 30
"""Most choices of one session that are followed to their end. J."""
SWEEPS = 8
"""So often all sessions are sought again. J."""
SPARE = 9.0
"""Units that a product's loads may have room for beyond its parts, where pots have the time. J."""
NEARER = 0.01
"""What one jar nearer to the parts is worth between choices that nothing else is known of. J."""


class _Within(Struct, frozen=True):
    """The rows of one session alone, once its loads are known: factors by row and jar, lowest and highest values."""

    factors: Numbers
    low: Numbers
    high: Numbers

    def keep(self, choices: Numbers) -> Numbers:
        """Return the choices that keep all rows."""
        come_to = choices @ self.factors.T
        return choices[((come_to >= self.low - EPS) & (come_to <= self.high + EPS)).all(axis=1)]

    def filled(self, choices: Numbers, jar: int) -> Numbers:
        """Return choices with as many of one jar as the rows leave room for, in the stead of what they have of it."""
        bare = choices.copy()
        bare[:, jar] = 0
        rows = self.factors[:, jar] > EPS
        room = (self.high[rows] - bare @ self.factors[rows].T) / self.factors[rows, jar]
        bare[:, jar] = np.floor(room.min(axis=1, initial=INFINITE) + EPS)
        return bare


class Rounding:
    """A programme with its sessions' columns, to be brought to whole numbers that reach some aims, best for the last.

    An aim is reached at its target; the most of the last is the bound that its near is measured by.
    """

    def __init__(self, programme: Programme, parts: Sequence[SessionColumns], aims: Sequence[Aim], last: Aim) -> None:
        self._programme = programme
        self._parts = parts
        self._part_of = {c: part.held for part in parts for c in (*part.jars, *part.loads, part.held)}
        self._jars = {column for part in parts for column in part.jars}
        self._uppers = list(programme.uppers)
        self._costs = dict(last.terms)
        self._hard: list[int] = []
        self._soft: list[int] = []
        self._enough = last.most - last.near * abs(last.most)
        rows = [*map(self._eased, programme.rows), *(self._lacking(aim) for aim in aims if aim.terms)]
        self._relaxed = Relaxation(self._uppers, rows)
        self._relaxed.price(self._costs)
        self._within: dict[int, _Within] = {}
        self._best = -INFINITE
        self._there: list[float] | None = None

    def whole_numbers(self) -> list[float] | None:
        """Return a value for each column, all whole that must be; None where none were found. Aims may be missed."""
        if self._again() == -INFINITE:
            return None
        held = self._sessions()
        if self._again() == -INFINITE:
            return None
        for part in held:
            self._load(part)
        left = list(held)
        while left:
            part = min(left, key=self._leeway)
            left.remove(part)
            if not self._settle(part):
                return None
        self._sweep(held)
        values = self._values()
        return None if self._lacks(self._hard) else values[: len(self._programme.uppers)]

    # The programme with its whole numbers in parts

    def _eased(self, row: tuple[float, Mapping[int, float], float]) -> tuple[float, Mapping[int, float], float]:
        """Return a row that binds sessions' jars to anything else, so that it can be missed at a price."""
        low, terms, high = row
        of = {self._part_of.get(column) for column in terms}
        if len(of) == 1 or self._jars.isdisjoint(terms):
            return row
        eased = dict(terms)
        for factor, bound in ((1.0, low), (-1.0, -high)):
            if bound > -INFINITE:
                eased[self._lack(HARD)] = factor
        self._hard += [column for column in eased if column not in terms]
        return low, eased, high

    def _lacking(self, aim: Aim) -> tuple[float, Mapping[int, float], float]:
        low, terms, high = aim.held
        self._soft.append(self._lack(PRICE))
        return low, {**terms, self._soft[-1]: 1.0}, high

    def _lack(self, price: float) -> int:
        self._uppers.append(INFINITE)
        self._costs[len(self._uppers) - 1] = -price
        return len(self._uppers) - 1

    def _again(self) -> float:
        """Return what all comes to with what is fixed by now; nothing fits where that is less than any number.

        It is rounded, since the last digits are another computer's others.
        """
        value = self._relaxed.again()
        self._there = None
        self._best = -INFINITE if value is None else round(value, DIGITS)
        return self._best

    def _values(self) -> list[float]:
        if self._there is None:
            self._there = self._relaxed.values()
        return self._there

    def _free(self, part: SessionColumns) -> None:
        self._relaxed.span({column: (0.0, self._uppers[column]) for column in part.jars})

    def _fix(self, columns: Sequence[int], numbers: Iterable[float]) -> None:
        self._relaxed.span({c: (float(v), float(v)) for c, v in zip(columns, numbers, strict=True)})

    # Sessions, loads, jars

    def _sessions(self) -> list[SessionColumns]:
        """Leave out the sessions that are hardly held where nothing is lost by it, and return the others."""
        values, held = self._values(), []
        for part in sorted(self._parts, key=lambda part: (values[part.held], part.held)):
            best = self._best
            self._fix([part.held], [0.0])
            if values[part.held] > 1 - EPS or self._again() < best - 1:
                self._fix([part.held], [1.0])
                self._best = best
                held.append(part)
        return sorted(held, key=lambda part: part.held)

    def _rows_of(self, part: SessionColumns) -> Iterable[tuple[float, Mapping[int, float], float]]:
        """Return the rows of one session alone, which is held."""
        for low, terms, high in self._programme.rows:
            if all(self._part_of.get(column) == part.held for column in terms):
                there = terms.get(part.held, 0.0)
                yield low - there, {c: factor for c, factor in terms.items() if c != part.held}, high - there

    def _load(self, part: SessionColumns) -> None:
        """Fix a session's loads, such that the parts of its jars find room in them, or nearly so."""
        values, mine = self._values(), list(self._rows_of(part))
        columns = {column: number for number, column in enumerate(part.loads)}
        spans = [(0.0, self._uppers[column]) for column in part.loads]
        costs, rows = [0.0] * len(columns), []
        for low, terms, high in mine:
            loads = {columns[c]: factor for c, factor in terms.items() if c in columns}
            jars = sum(factor * values[c] for c, factor in terms.items() if c not in columns)
            if loads and len(loads) < len(terms):
                number = len(spans)
                spans += [(0.0, INFINITE), (0.0, SPARE)]
                costs += [-1.0, NEARER]
                rows.append((low - jars, {**loads, number: 1.0, number + 1: -1.0}, INFINITE))
            elif loads:
                rows.append((low, loads, high))
        whole = [number < len(columns) for number in range(len(spans))]
        found = maximised(costs, spans=spans, whole=whole, rows=rows, options={}).values or [0.0] * len(spans)
        numbers = {column: round(found[number]) for column, number in columns.items()}
        self._fix(part.loads, numbers.values())
        self._within[part.held] = _within(part, mine, numbers)
        self._again()

    def _leeway(self, part: SessionColumns) -> tuple[bool, int, int]:
        """Return whether a session's hands have time left, and how many kinds of jars it fills; the least is first."""
        now, within = self._now(part), self._within[part.held]
        several = (within.factors > EPS).sum(axis=1) > 1
        room = (within.high - within.factors @ now)[several].min(initial=INFINITE)
        return bool(room > 1e-3), int((now > EPS).sum()), part.held

    def _now(self, part: SessionColumns) -> Numbers:
        values = self._values()
        return np.round([values[column] for column in part.jars], 6)

    def _near(self, part: SessionColumns, now: Numbers) -> Numbers:
        """Return whole numbers of a session's jars near its parts that keep its own rows."""
        most = np.array([self._uppers[column] for column in part.jars])
        within, kinds = self._within[part.held], len(part.jars)
        found = [_box(now, most, CHOICES // 2, kinds)]
        for jar in range(kinds if kinds > 1 else 0):
            filled = within.filled(_box(now, most, CHOICES // 2 // kinds, jar), jar)
            near = (filled[:, jar] >= 0) & (np.abs(filled[:, jar] - now[jar]) <= FARTHEST)
            filled[:, jar] = np.minimum(filled[:, jar], most[jar])
            found.append(filled[near])
        return within.keep(np.concatenate(found))

    def _settle(self, part: SessionColumns) -> bool:
        """Fix a session's jars at the whole numbers that are best for the whole; say whether there are any."""
        now = self._now(part)
        choices = self._near(part, now)
        if not len(choices):
            return False
        far = NEARER * np.abs(choices - now).sum(axis=1)
        hopes = np.full(len(choices), HARD * HARD)
        best, chosen = -INFINITE, choices[0]
        for _ in range(ASKED):
            number = max((int(np.argmax(hopes - far)), int(np.argmax(hopes))), key=lambda n: hopes[n] > best)
            if hopes[number] <= best + EPS * max(1.0, abs(best)):
                break
            self._fix(part.jars, choices[number])
            value = self._again()
            if value == -INFINITE:
                return False
            if value > best:
                best, chosen = value, choices[number]
            most = value + (choices - choices[number]) @ np.array(self._relaxed.slopes(part.jars))
            hopes = np.minimum(hopes, most.round(DIGITS))
        self._fix(part.jars, chosen)
        return self._again() > -INFINITE

    def _sweep(self, held: Sequence[SessionColumns]) -> None:
        """Seek all again, each time with another session in parts to the end, until nothing lacks, and once more."""
        is_last, left = False, list(held)
        while len(held) - len(left) < min(SWEEPS, len(held)):
            if is_last or self._best >= self._enough:
                return
            is_last = not self._lacks([*self._hard, *self._soft])
            gathers = min(left, key=lambda part: (-int((self._now(part) > EPS).sum()), part.held))
            left.remove(gathers)
            self._gather(gathers, held)

    def _lacks(self, columns: Sequence[int]) -> bool:
        values = self._values()
        return any(values[column] > LACKS for column in columns)

    def _gather(self, gathers: SessionColumns, held: Sequence[SessionColumns]) -> None:
        """Seek every session again while one gathers, in parts, what they leave; then settle that, or undo it all."""
        best, before = self._best, {part.held: self._now(part).round() for part in held}
        self._free(gathers)
        self._again()
        for part in held:
            if part is not gathers:
                self._bettered(part)
        if not self._settle(gathers) or self._best <= best:
            for part in held:
                self._fix(part.jars, before[part.held])
            self._again()

    def _bettered(self, part: SessionColumns) -> None:
        """Seek a session again, and leave it as it was where nothing is won."""
        best, before = self._best, self._now(part).round()
        self._free(part)
        if self._again() <= best + NEARER or not self._settle(part) or self._best <= best:
            self._fix(part.jars, before)
            self._again()


def _within(
    part: SessionColumns, rows: Iterable[tuple[float, Mapping[int, float], float]], loads: Mapping[int, int]
) -> _Within:
    """Return the rows of a session that tell of jars, for known loads."""
    factors, low, high = [], [], []
    for lowest, terms, highest in rows:
        if any(jar in terms for jar in part.jars):
            there = sum(factor * loads[column] for column, factor in terms.items() if column in loads)
            factors.append([terms.get(jar, 0.0) for jar in part.jars])
            low.append(lowest - there)
            high.append(highest - there)
    return _Within(np.array(factors).reshape(-1, len(part.jars)), np.array(low), np.array(high))


def _box(now: Numbers, most: Numbers, size: int, without: int) -> Numbers:
    """Return all whole numbers around some, as far off as a size allows; one of them may be left at 0."""
    found: list[Numbers] = []
    for far in range(1 + int(most.max(initial=0))):
        axes = [
            np.arange(max(0.0, np.floor(n + EPS) - far), min(top, np.ceil(n - EPS) + far) + 1)
            if jar != without
            else np.zeros(1)
            for jar, (n, top) in enumerate(zip(now, most, strict=True))
        ]
        while not found and math.prod(map(len, axes)) > size:
            widest = max(range(len(axes)), key=lambda number: len(axes[number]))
            axes[widest] = axes[widest][:1]
        if math.prod(map(len, axes)) > size:
            break
        found = axes
    return np.stack(np.meshgrid(*found, indexing="ij"), axis=-1).reshape(-1, len(now))
