"""A mixed-integer programme with goals in order, solved by HiGHS one goal after another."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from importlib import import_module
from itertools import chain, repeat
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

if TYPE_CHECKING:
    from types import ModuleType

    from firmripe.kitchen.fit.highs import Relaxation, Solution

Terms = Mapping[int, float]
INFINITE = float("inf")
TOLERANCE = 1e-6
ROUNDING = 1e-4
"""A whole number that the solver misses by no more than this, without whole numbers, is that number."""
NEAR = 1e-3
"""What differs by so small a part of itself is as good."""
ROUNDS = 2
"""So often what whole numbers near their parts miss is held where they reach it. J."""


class Aim(Struct, frozen=True):
    """What is to be as large as it can be.

    `most` is a bound known beforehand; `whole` says that it is a whole number.
    What lies within `near` of the best, as a part of it, is as good; so is what lies within `missed`, as it is, where
    the search may end. So much as `given` may be given up again for the aims that follow.
    """

    name: str
    terms: Terms
    most: float
    whole: bool = False
    near: float = TOLERANCE
    missed: float = 0.0
    given: float = 0.0

    @property
    def target(self) -> float:
        """What is as good as the most."""
        return self.most if self.whole else self.most - self.missed - TOLERANCE * max(1.0, abs(self.most))

    @property
    def held(self) -> tuple[float, Terms, float]:
        """The row that holds it between its target and its most."""
        return self.target, self.terms, self.most if self.whole else INFINITE

    def of(self, values: Sequence[float]) -> float:
        """Return what some values come to."""
        value = sum(factor * values[column] for column, factor in self.terms.items())
        return round(value) if self.whole else value


class SessionColumns(Struct, frozen=True, kw_only=True):
    """The columns of one session: its jars, by want, its loads, by product and pot, and whether it is held."""

    jars: tuple[int, ...]
    loads: tuple[int, ...]
    held: int


class Reached(Struct, frozen=True):
    """What an aim came to, and the bound that is proven for it."""

    name: str
    value: float
    bound: float


class Programme(Struct):
    """Columns from 0 to their upper bounds, and rows between their limits; at first every column stands idle."""

    uppers: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    idle: list[float] = field(default_factory=list)
    rows: list[tuple[float, Terms, float]] = field(default_factory=list)

    def column(self, upper: float, *, whole: bool = False, idle: float = 0.0) -> int:
        """Add a column and return its number."""
        self.uppers.append(upper)
        self.whole.append(whole)
        self.idle.append(idle)
        return len(self.uppers) - 1

    def row(self, terms: Terms, *, low: float = -INFINITE, high: float = INFINITE) -> None:
        """Add a row."""
        if terms:
            self.rows.append((low, terms, high))

    def row_of(self, aim: Aim, low: float) -> tuple[float, Terms, float]:
        """Return the row that keeps an aim from falling below a value again."""
        return low - (0.0 if aim.whole else TOLERANCE * max(1.0, abs(low))), aim.terms, INFINITE


class NoSolverError(Exception):
    """This computer has no solver: for some old and small machines it is not made."""


class Search:
    """Follows aims one after another: none gives up anything of one before it. One thread, always the same seed.

    `values` is the best that is found so far; `seconds` is what is left of the time, and `ran_out` says that it ended
    a search: then another machine may find another plan.
    """

    def __init__(self, programme: Programme, seconds: float) -> None:
        self.programme = programme
        self.seconds = seconds
        self.ran_out = False
        self.values: list[float] = list(programme.idle)
        self._kept: list[tuple[float, Terms, float]] = []

    def follow(self, aim: Aim, seconds: float, *, fixed: Collection[int] = ()) -> Reached:
        """Make an aim as large as it can be within some seconds, and keep it there.

        The columns of `fixed` stay as they are.
        """
        bound = aim.most
        if aim.terms and aim.of(self.values) < aim.most - TOLERANCE:
            bound = min(bound, self._solve(aim, max(0.0, seconds), fixed=fixed))
        return self._settled(aim, bound)

    def keep(self, aim: Aim, value: float) -> None:
        """Let an aim fall below a value no more."""
        self._kept.append(self.programme.row_of(aim, value))

    def finds(self, aim: Aim) -> bool:
        """Say whether any values at all keep what is kept; of these no best is searched for."""
        found = self._found(replace(aim, near=INFINITE), self.seconds)
        return found.values is not None

    def at_once(self, aims: Sequence[Aim], last: Aim) -> list[Reached] | None:
        """Follow aims in their order, and then the last, all in one search; None where it finds nothing.

        Each aim is held at what parts of whole numbers come to, which nothing betters.
        """
        bounded = self._bounded(aims)
        found = self._found(last, self.seconds / 2, rows=[aim.held for aim in bounded if aim.terms])
        if found.values is None:
            return None
        self.values = self._rounded(found.values)
        proven = last.of(self.values) if found.bound is None else found.bound
        return [*(self._settled(aim, aim.most) for aim in bounded), self._settled(last, proven)]

    def near_parts(self, aims: Sequence[Aim], last: Aim, parts: Sequence[SessionColumns]) -> list[Reached] | None:
        """Follow aims in their order, and then the last, by whole numbers near their parts; None where none are found.

        Where those miss an aim, what they reach is held in its stead, and the aims after it are bounded anew.
        """
        lowered, values = [INFINITE] * len(aims), list(self.values)
        for _ in range(ROUNDS):
            bounded, held = self._lowered([*aims, last], lowered)
            found = _rounded(self.programme, parts, held, bounded[-1])
            if found is None:
                return None
            values = found
            reached = [aim.of(values) for aim in held]
            missed = [value < aim.target - ROUNDING for value, aim in zip(reached, held, strict=True)]
            if not any(missed):
                break
            lowered = [v if m else low for v, m, low in zip(reached, missed, lowered, strict=True)]
        else:
            bounded, held = self._lowered([*aims, last], reached)
        return self._held_to(values, held, bounded)

    def _lowered(self, aims: Sequence[Aim], lowered: Sequence[float]) -> tuple[list[Aim], list[Aim]]:
        """Return aims with their bounds, and all but the last of them where they are held: no higher than lowered."""
        bounded = self._bounded(aims, lowered)
        return bounded, [replace(aim, most=min(aim.most, low)) for aim, low in zip(bounded[:-1], lowered, strict=True)]

    def _held_to(self, values: Sequence[float], held: Sequence[Aim], bounded: Sequence[Aim]) -> list[Reached] | None:
        """Take the best for the last of the bounded aims that these whole numbers, which reach the others, come to."""
        last, before, self.values = bounded[-1], self.values, self._rounded(values)
        whole = {column for column, is_whole in enumerate(self.programme.whole) if is_whole}
        found = self._found(last, self.seconds, fixed=whole, rows=[aim.held for aim in held if aim.terms])
        if found.values is None:
            self.values = before
            return None
        self.values = self._rounded(found.values)
        value = last.of(self.values)
        proven = value if last.most - value <= last.near * abs(last.most) else last.most
        return [*(self._settled(aim, aim.most) for aim in bounded[:-1]), self._settled(last, proven)]

    def follow_all(self, aims: Sequence[Aim], last: Aim) -> list[Reached]:
        """Follow aims in their order, and then the last: all at once, or if that finds nothing one by one.

        One by one, each is bounded by what parts of whole numbers come to after those before it.
        """
        at_once = self.at_once(aims, last)
        if at_once is not None:
            return at_once
        reached = []
        for number in range(len(aims)):
            (aim,) = self._bounded(aims[number : number + 1])
            reached.append(self.follow(aim, min(1.0, 2 / (len(aims) - number)) * self.seconds))
        return [*reached, self.follow(last, self.seconds)]

    def _bounded(self, aims: Sequence[Aim], lowered: Sequence[float] = ()) -> list[Aim]:
        """Return aims with the most that each can come to without whole numbers, all before it at their own most.

        Those that are lowered are held no higher than that.
        """
        relaxed = relaxation(self.programme, self._kept)
        found = []
        for aim, low in zip(aims, chain(lowered, repeat(INFINITE)), strict=False):
            most = relaxed.most(aim.terms)
            most = aim.most if most is None else min(aim.most, most)
            found.append(replace(aim, most=math.floor(most + ROUNDING) if aim.whole else most))
            if aim.terms:
                relaxed.keep(replace(found[-1], most=min(found[-1].most, low)).held)
        return found

    def _settled(self, aim: Aim, bound: float) -> Reached:
        """Keep an aim where the values are, and tell what it came to."""
        value = aim.of(self.values)
        if aim.whole and math.isfinite(bound):
            bound = math.floor(bound + TOLERANCE)
        if aim.terms:
            low, terms, high = self.programme.row_of(aim, value - aim.given)
            # What the search of a whole number has missed is given up, or all that follow would be held to it.
            self._kept.append((low, terms, value if aim.whole else high))
        return Reached(aim.name, value, max(value, bound) - aim.missed - aim.given)

    def _solve(self, aim: Aim, seconds: float, *, fixed: Collection[int]) -> float:
        """Better the values, and return the bound that is proven."""
        found = self._found(aim, seconds, fixed=fixed)
        if found.values is None:
            jars = {column for column, is_whole in enumerate(self.programme.whole) if is_whole}
            self._take(aim, self._found(aim, seconds, fixed=jars | set(fixed)).values)
        self._take(aim, found.values)
        return aim.of(self.values) if found.bound is None else found.bound

    def _found(
        self, aim: Aim, seconds: float, *, fixed: Collection[int] = (), rows: Sequence[tuple[float, Terms, float]] = ()
    ) -> Solution:
        """Search with some columns fixed, and some more rows."""
        uppers = self.programme.uppers
        found: Solution = _solver().maximised(
            [aim.terms.get(column, 0.0) for column in range(len(uppers))],
            spans=[
                (value, value) if column in fixed else (0.0, upper)
                for column, (value, upper) in enumerate(zip(self.values, uppers, strict=True))
            ],
            whole=self.programme.whole,
            rows=[*self.programme.rows, *self._kept, *rows],
            options={
                "time_limit": seconds,
                "mip_rel_gap": aim.near,
                "mip_abs_gap": 1 - TOLERANCE if aim.whole else max(TOLERANCE, aim.missed),
            },
        )
        self.seconds -= found.seconds
        self.ran_out = self.ran_out or found.ran_out
        return found

    def _take(self, aim: Aim, found: Sequence[float] | None) -> None:
        """Take the values that were found, where they are better."""
        if found is not None:
            values = self._rounded(found)
            if aim.of(values) > aim.of(self.values):
                self.values = values

    def _rounded(self, found: Sequence[float]) -> list[float]:
        """Return what was found without what is the solver's own imprecision."""
        return [round(v) if w else max(0.0, v) for v, w in zip(found, self.programme.whole, strict=True)]


def _rounded(
    programme: Programme, parts: Sequence[SessionColumns], held: Sequence[Aim], last: Aim
) -> list[float] | None:
    """Return values that are whole where they must be, near their parts; None where none are found."""
    _solver()
    rounding = import_module("firmripe.kitchen.fit.rounding")  # as heavy as the solver it asks
    found: list[float] | None = rounding.Rounding(programme, parts, held, last).whole_numbers()
    return found


def relaxation(programme: Programme, kept: Sequence[tuple[float, Terms, float]] = ()) -> Relaxation:
    """Return a programme without whole numbers. Raises NoSolverError where there is no solver."""
    relaxed: Relaxation = _solver().Relaxation(programme.uppers, [*programme.rows, *kept])
    return relaxed


def _solver() -> ModuleType:
    """Return the module that loads the solver. Raises NoSolverError where the package can't be loaded."""
    try:
        return import_module("firmripe.kitchen.fit.highs")  # heavy, and often not needed
    except ImportError as missing:
        raise NoSolverError(str(missing)) from missing
