"""HiGHS, the solver: takes a programme in plain lists and gives back what it found, always the same and in silence.

Imported only when a plan is searched for, because it brings numpy along.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import accumulate

import highspy
from msgspec import Struct

STEPS = 500
"""Most steps of one search: a limit that, unlike the clock, is the same on every machine."""
Row = tuple[float, Mapping[int, float], float]
_OPTIMAL = highspy.HighsModelStatus.kOptimal
_STOPPED = (highspy.HighsModelStatus.kTimeLimit, highspy.HighsModelStatus.kInterrupt)


class Solution(Struct, frozen=True):
    """The values of the columns, None where none were found; the bound that is proven, None where they are the best.

    `ran_out` says that the clock ended the search, and not its steps.
    """

    values: list[float] | None
    bound: float | None
    seconds: float
    ran_out: bool


class _Silent(highspy.Highs):
    """The solver without its banner, stopped after a number of steps."""

    taken = 0

    def enableCallbacks(self) -> None:  # noqa: N802 -- the library's name
        """Turn its words off before it says the first."""
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]

    def count(self, event: highspy.HighsCallbackEvent) -> None:
        """Count a step, and stop after the last."""
        self.taken += 1
        if self.taken > STEPS:
            event.interrupt()


class Relaxation:
    """A programme without whole numbers, which the solver holds: each search begins where the one before it ended.

    `rows` are a lowest value, factors by column, and a highest value; columns reach from 0 to their upper bounds.
    """

    def __init__(self, uppers: Sequence[float], rows: Sequence[Row]) -> None:
        self._solver = _solver({})
        self._solver.passModel(_linear([0.0] * len(uppers), [(0.0, upper) for upper in uppers], rows))
        self._columns = range(len(uppers))

    def most(self, terms: Mapping[int, float]) -> float | None:
        """Return the most that some terms can come to: infinity where that is not found, None where nothing fits."""
        self.price(terms)
        return self.again()

    def price(self, terms: Mapping[int, float]) -> None:
        """Let some terms be what is to be as large as can be."""
        costs = [terms.get(column, 0.0) for column in self._columns]
        self._solver.changeColsCost(len(costs), list(self._columns), costs)

    def again(self) -> float | None:
        """Return the most that the terms priced last can come to, as `most` does."""
        self._solver.run()
        status = self._solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        return self._solver.getInfo().objective_function_value if status == _OPTIMAL else float("inf")

    def span(self, spans: Mapping[int, tuple[float, float]]) -> None:
        """Let columns reach from their lowest to their highest values from now on."""
        for column, (low, high) in spans.items():
            self._solver.changeColBounds(column, low, high)

    def values(self) -> list[float]:
        """Return the values of the columns that were found last."""
        return list(self._solver.getSolution().col_value)

    def slopes(self, columns: Sequence[int]) -> list[float]:
        """Return by how much more would be found for one more of each of some columns, and never more than that."""
        duals = self._solver.getSolution().col_dual
        return [duals[column] for column in columns]

    def keep(self, row: Row) -> None:
        """Let a row hold from now on."""
        low, terms, high = row
        self._solver.addRow(low, high, len(terms), list(terms), list(terms.values()))


def maximised(
    costs: Sequence[float],
    *,
    spans: Sequence[tuple[float, float]],
    whole: Sequence[bool],
    rows: Sequence[Row],
    options: Mapping[str, float],
) -> Solution:
    """Search for the columns, each within its span and whole where said, that make the costs as large as can be.

    No plan is given to start from: HiGHS 1.16 takes it for the best where its presolve leaves nothing to search.
    """
    solver = _solver(options)
    lp = _linear(costs, spans, rows)
    if any(is_whole and low < high for is_whole, (low, high) in zip(whole, spans, strict=True)):
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if is_whole else kinds.kContinuous for is_whole in whole]
    solver.passModel(lp)
    solver.cbMipInterrupt.subscribe(solver.count)
    solver.run()
    info, status = solver.getInfo(), solver.getModelStatus()
    is_found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    bound = float(info.mip_dual_bound) if status in _STOPPED else float("inf")
    return Solution(
        values=list(solver.getSolution().col_value) if is_found else None,
        bound=None if is_found and status == _OPTIMAL else bound,
        seconds=solver.getRunTime(),
        ran_out=status == highspy.HighsModelStatus.kTimeLimit,
    )


def _solver(options: Mapping[str, float]) -> _Silent:
    """Return a solver of one thread and the same seed."""
    solver = _Silent()  # type: ignore[no-untyped-call]
    for option, value in {"threads": 1, "random_seed": 0, **options}.items():
        solver.setOptionValue(option, value)
    return solver


def _linear(costs: Sequence[float], spans: Sequence[tuple[float, float]], rows: Sequence[Row]) -> highspy.HighsLp:
    """Return the linear programme that makes the costs as large as can be."""
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(costs), len(rows)
    lp.sense_ = highspy.ObjSense.kMaximize
    lp.col_cost_ = list(costs)
    lp.col_lower_ = [low for low, _ in spans]
    lp.col_upper_ = [high for _, high in spans]
    lp.row_lower_ = [low for low, _, _ in rows]
    lp.row_upper_ = [high for _, _, high in rows]
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = list(accumulate((len(terms) for _, terms, _ in rows), initial=0))
    lp.a_matrix_.index_ = [column for _, terms, _ in rows for column in terms]
    lp.a_matrix_.value_ = [factor for _, terms, _ in rows for factor in terms.values()]
    return lp
