"""How long whole builds take beside their floor, how much memory and how many files and bytes, and which stage grows.

python tests/bench/bench_builds.py [--trees 1 10 30 100] [--kind records] [--runs 3] [--stages]
Builds and floors (`floor.py`) run in turn, each in a process of its own; CPU seconds and peak memory are the operating
system's own account, the middle of the runs. Ratios hold on any machine; seconds do not. As in an installed program,
Python keeps the code that it has compiled; a build before those that are measured makes it.
"""

from __future__ import annotations

import argparse
import math
import os
import platform
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from orchards import KINDS, write_orchard

ROOT = Path(__file__).resolve().parent.parent.parent
SHELF = ROOT / "content" / "reference"
AS_OF = "2027-06-20"
STAGES = {
    "season": ("firmripe.plan", "SeasonModel"),
    "lots": ("firmripe.plan", "follow"),
    "store": ("firmripe.plan", "keep_store"),
    "kitchen": ("firmripe.plan", "plan_kitchen"),
    "calendar": ("firmripe.plan", "expand"),
    "reasons": ("firmripe.plan", "explain"),
    "hindcast": ("firmripe.season.hindcast", "hindcast"),
    "reading": ("firmripe.build", "read_holding"),
    "feeds": ("firmripe.build", "make_feeds"),
    "pages": ("firmripe.build", "make_site"),
    "writing": ("firmripe.build", "write_site"),
}


@dataclass(frozen=True)
class Cost:
    """CPU seconds and peak memory (MiB) of one process."""

    cpu_s: float
    peak_mib: float


def cost_of(command: Sequence[str]) -> Cost:
    """Run a command to its end and return what it cost. Raises RuntimeError where it fails."""
    quiet = os.open(os.devnull, os.O_WRONLY)
    one_thread = {
        **{name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"},
        "OPENBLAS_NUM_THREADS": "1",
        "FIRMRIPE_CACHE": "",
        "PYTHONPATH": str(ROOT / "generator"),
        "PYTHONPYCACHEPREFIX": str(Path(tempfile.gettempdir()) / "firmripe-bench-code"),
    }
    actions = [(os.POSIX_SPAWN_DUP2, quiet, 1)]
    child = os.posix_spawn(command[0], command, one_thread, file_actions=actions)
    _, status, usage = os.wait4(child, 0)
    os.close(quiet)
    if status:
        raise RuntimeError(f"{' '.join(command)} ended with {os.waitstatus_to_exitcode(status)}")
    return Cost(cpu_s=usage.ru_utime + usage.ru_stime, peak_mib=usage.ru_maxrss / 1024)


@dataclass(frozen=True)
class Size:
    """What one size of household costs: build and floor, and what a build makes."""

    name: str
    build: Cost
    floor: Cost
    files: int
    octets: int
    front_octets: int
    largest_page: int


def measure(name: str, notes: Path, season: str, as_of: str, runs: int) -> Size:
    """Measure builds and floors of a household in turn."""
    with tempfile.TemporaryDirectory(prefix="bench-") as top:
        site, again = Path(top) / "site", Path(top) / "floor"
        copy = Path(top) / "notes"
        shutil.copytree(notes, copy)
        build = [sys.executable, "-m", "firmripe", "build", str(copy), "--out", str(site)]
        build += ["--season", season, "--as-of", as_of]
        floor = [sys.executable, str(Path(__file__).parent / "floor.py"), str(copy), str(SHELF), str(site), str(again)]
        cost_of(build)
        builds, floors = [], []
        for _ in range(runs):
            builds.append(cost_of(build))
            shutil.rmtree(again, ignore_errors=True)
            floors.append(cost_of(floor))
        made = [path for path in site.rglob("*") if path.is_file()]
        pages = [path.stat().st_size for path in made if path.suffix == ".html"]
        return Size(
            name=name,
            build=_middle(builds),
            floor=_middle(floors),
            files=len(made),
            octets=sum(path.stat().st_size for path in made),
            front_octets=(site / "index.html").stat().st_size,
            largest_page=max(pages),
        )


def _middle(costs: Sequence[Cost]) -> Cost:
    return Cost(
        cpu_s=statistics.median(cost.cpu_s for cost in costs), peak_mib=statistics.median(c.peak_mib for c in costs)
    )


def stages_of(notes: Path) -> dict[str, float]:
    """Build once in this process and return the CPU seconds of each stage."""
    import importlib  # noqa: PLC0415

    from firmripe import build  # noqa: PLC0415

    spent: dict[str, float] = dict.fromkeys(STAGES, 0.0)
    with tempfile.TemporaryDirectory(prefix="bench-") as top, _timed(importlib.import_module, spent):
        copy = Path(top) / "notes"
        shutil.copytree(notes, copy)
        build.write_plan(build.plan_of(copy, 2027, date.fromisoformat(AS_OF)), copy, Path(top) / "site")
    return spent


@contextmanager
def _timed(module_of: Callable[[str], Any], spent: dict[str, float]) -> Iterator[None]:
    """Wrap the stages so that each adds its CPU seconds, and take the wraps off again."""
    former = {stage: getattr(module_of(module), name) for stage, (module, name) in STAGES.items()}

    def wrapped(stage: str, inner: Callable[..., Any]) -> Callable[..., Any]:
        def run(*args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
            began = time.process_time()
            try:
                return inner(*args, **kwargs)
            finally:
                spent[stage] += time.process_time() - began

        return run

    try:
        for stage, (module, name) in STAGES.items():
            inner = former[stage]
            if isinstance(inner, type):
                _time_method(inner, "season", wrapped(stage, inner.season))
            else:
                setattr(module_of(module), name, wrapped(stage, inner))
        yield
    finally:
        for stage, (module, name) in STAGES.items():
            inner = former[stage]
            if isinstance(inner, type):
                inner.season = inner.season.inner  # type: ignore[attr-defined]
            else:
                setattr(module_of(module), name, inner)


def _time_method(of: type, name: str, timed: Callable[..., Any]) -> None:
    timed.inner = getattr(of, name)  # type: ignore[attr-defined]
    setattr(of, name, timed)


def exponent(small: tuple[int, float], large: tuple[int, float]) -> float:
    """Return the power with which a cost grows from one number of trees to another."""
    return math.log(max(large[1], 1e-3) / max(small[1], 1e-3)) / math.log(large[0] / small[0])


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trees", type=int, nargs="*", default=[1, 10, 30, 100])
    parser.add_argument("--kind", choices=KINDS, default="records")
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--stages", action="store_true")
    asked = parser.parse_args()
    print(f"{date.today()}, Python {platform.python_version()}, {os.cpu_count()} cores; {asked.kind}")  # noqa: DTZ011
    print("| household | build CPU s | floor CPU s | ratio | peak MiB | files | MB | front kB | largest page kB |")
    print("|---|---|---|---|---|---|---|---|---|")
    sizes = [measure("the example", ROOT / "content" / "example", "2027", "2027-08-28", asked.runs)]
    stages: dict[int, dict[str, float]] = {}
    show(sizes[0])
    for trees in asked.trees:
        with tempfile.TemporaryDirectory(prefix="bench-") as top:
            write_orchard(Path(top) / "notes", trees, asked.kind)
            show(measure(f"{trees} trees", Path(top) / "notes", "2027", AS_OF, asked.runs))
            if asked.stages:
                stages[trees] = stages_of(Path(top) / "notes")
    if stages:
        show_stages(stages)


def show(size: Size) -> None:
    """Print one line of the table."""
    print(
        f"| {size.name} | {size.build.cpu_s:.2f} | {size.floor.cpu_s:.2f} | {size.build.cpu_s / size.floor.cpu_s:.1f} |"
        f" {size.build.peak_mib:.0f} | {size.files} | {size.octets / 1e6:.1f} | {size.front_octets / 1e3:.0f} |"
        f" {size.largest_page / 1e3:.0f} |",
        flush=True,
    )


def show_stages(stages: dict[int, dict[str, float]]) -> None:
    """Print CPU seconds by stage, and with which power each grows between the two largest sizes."""
    many = sorted(stages)
    print(f"\n| stage | {' | '.join(f'{trees} trees' for trees in many)} | power |")
    print(f"|---|{'---|' * (len(many) + 1)}")
    for stage in STAGES:
        spent = [stages[trees][stage] for trees in many]
        power = exponent((many[-2], spent[-2]), (many[-1], spent[-1])) if len(many) > 1 else math.nan
        print(f"| {stage} | {' | '.join(f'{one:.2f}' for one in spent)} | {power:.1f} |")


if __name__ == "__main__":
    main()
