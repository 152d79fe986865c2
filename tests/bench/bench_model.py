"""How long the season model takes for a large holding: 300 trees with 15 years of notes.

Run as a script, on one core (OPENBLAS_NUM_THREADS=1), it prints the seconds of one Cholesky factor of as many rows as
there are notes, and beside them those of one conditioning, which are to stay within 5 times as many, and those of a
whole season of such a holding, from its records to its dates with their reasons.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from msgspec.structs import replace

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.reading.reader import read_holding
from firmripe.season.because import Evidence, Group
from firmripe.season.model import Observation, Occurrence, condition
from firmripe.season.season import Season, SeasonModel

NOTE = Group.of(Evidence.EARLIER_SEASONS, Event.PICK, "1", "bosc")

TREES, YEARS, CULTIVARS = 300, 15, 30
THIS_YEAR = 2027
EVENTS = {"full bloom": -135.0, "pick": 0.0, "leaf fall": 70.0}
MOST = 5.0
"""So many Cholesky factors one conditioning may take at most."""


def occurrence(tree: int, event: str, year: int) -> Occurrence:
    """Return an event of a tree in a year; trees of one cultivar share their expected day."""
    cultivar = tree % CULTIVARS
    return Occurrence(
        day=215.0 + 2.5 * cultivar + EVENTS[event],
        kin=((f"cultivar {cultivar}", 4.0), ("place", 8.0)),
        tree=str(tree),
        name=f"{event}/cultivar {cultivar}/",
        year=year,
    )


def noted() -> tuple[list[Occurrence], list[Observation]]:
    """Return what is to be dated this season, and all that is known: each year's pick, and each printed interval."""
    rng = np.random.default_rng(1)
    trees = range(TREES)
    notes = [
        Observation(
            later=(pick := occurrence(tree, "pick", year)),
            value=pick.day + float(rng.normal(0, 8)),
            spread_d=0.5,
            group=NOTE,
        )
        for tree in trees
        for year in range(THIS_YEAR - YEARS, THIS_YEAR)
    ]
    intervals = [
        Observation(
            later=replace(occurrence(tree, "pick", THIS_YEAR), year=None),
            earlier=replace(occurrence(tree, "full bloom", THIS_YEAR), year=None),
            value=135.0,
            spread_d=5.0,
            group=NOTE,
        )
        for tree in trees
    ]
    return [occurrence(tree, event, THIS_YEAR) for tree in trees for event in EVENTS], notes + intervals


def holding() -> Holding:
    """Return the same as a household's notes, read as any other: as many observations, of as many trees."""
    rng = np.random.default_rng(1)
    valley = "zone: 7b, latitude: 42 N, elevation: 200 m"
    files = {
        "home/place.md": "---\nzone: 7b\nlatitude: 42 N\nelevation: 200 m\n---\n",
        "home/fruits/pear.md": f"---\nwindows: [{{bloom: Mar 21, {valley}}}, {{leaf fall: Nov 1, {valley}}}]\n---\n",
    }
    for cultivar in range(CULTIVARS):
        files[f"home/cultivars/kind-{cultivar}.md"] = (
            f"---\nfruit: pear\nwindows: [{{pick: Aug {cultivar + 1}, {valley}}}]\ndays from bloom: 130-140 days\n---\n"
        )
    rows = ["date,tree,what"]
    for tree in range(TREES):
        cultivar = tree % CULTIVARS
        files[f"home/trees/{tree}.md"] = f"---\ncultivar: kind-{cultivar}\n---\n"
        for year in range(THIS_YEAR - YEARS, THIS_YEAR):
            day = date(year, 8, 1) + timedelta(days=cultivar + round(float(rng.normal(0, 8))))
            rows.append(f"{day},{tree},first pick")
    files["home/records/picks.csv"] = "\n".join([*rows, ""])
    with tempfile.TemporaryDirectory() as top:
        (Path(top) / "shelf").mkdir()
        for name, text in files.items():
            path = Path(top) / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return read_holding(Path(top) / "home", Path(top) / "shelf")


def season_of(whole: Holding) -> Season:
    """Work out this season of a holding, as known in June."""
    return SeasonModel(whole, WorkingYear(year=THIS_YEAR), date(THIS_YEAR, 6, 1)).season()


def best_of(times: int, work: Callable[[], object]) -> float:
    """Return the shortest of several runs, in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def measure(times: int = 3) -> tuple[float, float, float]:
    """Return the seconds of one Cholesky factor of as many rows as there are notes, one conditioning, one season."""
    targets, notes = noted()
    whole = holding()
    root = np.random.default_rng(2).normal(size=(len(notes), 50))
    matrix = root @ root.T
    matrix[np.diag_indices_from(matrix)] += 1.0
    return (
        best_of(times, lambda: np.linalg.cholesky(matrix)),
        best_of(times, lambda: condition(targets, notes)),
        best_of(times, lambda: season_of(whole)),
    )


def main() -> int:
    """Print the seconds and the ratios; return 1 where the conditioning's is passed."""
    factored, conditioned, whole = measure()
    sys.stdout.write(
        f"{TREES} trees, {YEARS} years; one Cholesky factor: {factored:.2f} s\n"
        f"one conditioning: {conditioned:.2f} s, {conditioned / factored:.1f} times as long (at most {MOST:g})\n"
        f"a whole season: {whole:.2f} s, {whole / factored:.1f} times as long\n"
    )
    return int(conditioned / factored > MOST)


if __name__ == "__main__":
    sys.exit(main())
