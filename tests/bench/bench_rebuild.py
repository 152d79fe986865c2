"""How much of a build a preview spends on one changed note, as parts of a first build in the same run.

python tests/bench/bench_rebuild.py [--trees 30 100 300] [--kind records]
The example and households of so many trees: a word in a tree's note, a line of the records, one more tree. CPU
seconds of one process with one thread of linear algebra; a first build includes loading the program.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT / "generator"))

from orchards import KINDS, write_orchard  # noqa: E402 - after the threads are told

DAY = date(2027, 8, 28)


def build(notes: Path) -> None:
    """Make what a preview makes."""
    from firmripe.build import site_plan_of  # noqa: PLC0415 - loading it is a part of the first build
    from firmripe.publish.site import make_site  # noqa: PLC0415
    from firmripe.shipped import theme_folder  # noqa: PLC0415

    plan = site_plan_of(notes, DAY.year, DAY)
    make_site(plan, theme_folder(plan.holding.place.theme), kept=False)


def cost_of(work: Callable[[], object]) -> float:
    """Return the CPU seconds of some work."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def measure(notes: Path, tag: str) -> None:
    """Print what each change costs beside the first build of these notes."""
    note = next(path for path in sorted((notes / "trees").glob("*.md")) if path.stem.startswith(tag))
    records = notes / "records" / f"{DAY.year}.csv"
    columns = records.read_text(encoding="utf-8").split("\n", 1)[0].split(",")
    line = {"date": DAY.isoformat(), "tree": tag, "what": "first pick", "amount": "31 lb"}
    row = ",".join(line.get(name, "") for name in columns)
    first = cost_of(lambda: build(notes))
    changes = {
        "a word": (note, note.read_text(encoding="utf-8") + "\nA word more.\n"),
        "a line": (records, f"{records.read_text(encoding='utf-8').rstrip()}\n{row}\n"),
        "a tree": (notes / "trees" / "one-more.md", "---\ncultivar: Bartlett\n---\n"),
    }
    told = []
    for name, (path, text) in changes.items():
        path.write_text(text, encoding="utf-8")
        told.append(f"{name} {cost_of(lambda: build(notes)) / first:5.2f}")
    print(f"first build {first:6.2f} s; " + "; ".join(told), flush=True)


def in_a_process_of_its_own(trees: int, kind: str) -> None:
    """Measure one household, none for the example, so that nothing is loaded or kept from another."""
    child = os.fork()
    if child:
        os.waitpid(child, 0)
        return
    with tempfile.TemporaryDirectory() as folder:
        notes = Path(folder) / "notes"
        if trees:
            write_orchard(notes, trees, kind)
        else:
            shutil.copytree(ROOT / "content" / "example", notes)
        print(f"{f'{trees} trees' if trees else 'the example':>12}: ", end="", flush=True)
        measure(notes, "1-01")
    os._exit(0)


def main() -> None:
    """Measure the example and households of so many trees."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--trees", type=int, nargs="*", default=[30, 100, 300])
    asked.add_argument("--kind", choices=KINDS, default="records")
    given = asked.parse_args()
    for trees in (0, *given.trees):
        in_a_process_of_its_own(trees, given.kind)


if __name__ == "__main__":
    main()
