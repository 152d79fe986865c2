"""Plans of ten lots, five sessions and six products beside those of scipy's solver, by a programme built otherwise."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from kitchen_rules import best_by_milp, breaches, goals_of

from firmripe.kitchen.fit.best import fit
from firmripe.kitchen.fit.programme import AS_GOOD

sys.path.append(str(Path(__file__).parents[1] / "bench"))
from bench_kitchen import household


@pytest.mark.parametrize("seed", [2, 5])
def test_a_larger_plan_is_as_good_as_another_solvers(seed: int) -> None:
    """Every want and the number of sessions are the same; waste and worth as near as plans count as equal."""
    means = household(10, 5, seed=seed)
    found = fit(means)
    *wants, waste, sessions, peak = goals_of(found)
    *best_wants, best_waste, best_sessions, best_peak = best_by_milp(means)

    assert breaches(means, found) == []
    assert found.gap == pytest.approx(0, abs=2e-3)
    assert wants == best_wants
    assert waste == pytest.approx(best_waste, abs=AS_GOOD * sum(supply.kg for supply in means.supplies))
    assert sessions == best_sessions
    assert peak == pytest.approx(best_peak, rel=0.01)
