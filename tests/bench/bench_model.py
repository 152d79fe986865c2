"""How long the season model takes for a large holding: 300 trees with 15 years of notes.

Run as a script, on one core (OPENBLAS_NUM_THREADS=1), it prints the seconds of one conditioning, those of one Cholesky
factor of the same size, and their ratio, which is to stay at 5 or below.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from firmripe.season.model import Observation, Occurrence, condition

TREES, YEARS, CULTIVARS = 300, 15, 30
THIS_YEAR = 2027
EVENTS = {"full bloom": -135.0, "pick": 0.0, "leaf fall": 70.0}
MOST = 5.0
"""The ratio that must not be passed."""


def occurrence(tree: int, event: str, year: int) -> Occurrence:
    """Return an event of a tree in a year; trees of one cultivar share their expected day."""
    cultivar = tree % CULTIVARS
    return Occurrence(
        day=215.0 + 2.5 * cultivar + EVENTS[event],
        place_d=8.0,
        kin=((f"cultivar {cultivar}", 4.0),),
        tree=str(tree),
        name=f"{event}/cultivar {cultivar}/",
        year=year,
    )


def holding() -> tuple[list[Occurrence], list[Observation]]:
    """Return what is to be dated this season, and all that was noted: each year's pick, and each interval."""
    rng = np.random.default_rng(1)
    trees = range(TREES)
    notes = [
        Observation(
            later=(pick := occurrence(tree, "pick", year)),
            value=pick.day + float(rng.normal(0, 8)),
            spread_d=0.5,
            label="pick",
            group="pick",
        )
        for tree in trees
        for year in range(THIS_YEAR - YEARS, THIS_YEAR)
    ]
    intervals = [
        Observation(
            later=occurrence(tree, "pick", THIS_YEAR),
            earlier=occurrence(tree, "full bloom", THIS_YEAR),
            value=135.0,
            spread_d=5.0,
            label="interval",
            group="interval",
        )
        for tree in trees
    ]
    return [occurrence(tree, event, THIS_YEAR) for tree in trees for event in EVENTS], notes + intervals


def best_of(times: int, work: Callable[[], object]) -> float:
    """Return the shortest of several runs, in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def measure(times: int = 3) -> tuple[float, float]:
    """Return the seconds of one conditioning, and of one Cholesky factor of as many rows as there are notes."""
    targets, notes = holding()
    root = np.random.default_rng(2).normal(size=(len(notes), 50))
    matrix = root @ root.T
    matrix[np.diag_indices_from(matrix)] += 1.0
    return best_of(times, lambda: condition(targets, notes)), best_of(times, lambda: np.linalg.cholesky(matrix))


def main() -> int:
    """Print the seconds and the ratio; return 1 where it is passed."""
    conditioned, factored = measure()
    ratio = conditioned / factored
    sys.stdout.write(
        f"{TREES} trees, {YEARS} years: {conditioned:.2f} s; one Cholesky factor: {factored:.2f} s; "
        f"ratio {ratio:.1f} (at most {MOST:g})\n"
    )
    return int(ratio > MOST)


if __name__ == "__main__":
    sys.exit(main())
