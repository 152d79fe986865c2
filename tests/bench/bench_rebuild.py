"""How much of a build is spent on one changed note: in a preview, and by `firmripe build` over what is kept on disk.

python tests/bench/bench_rebuild.py [--trees 30 100 300] [--kind records] [--commands]
The example and households of so many trees: a word in a tree's note, a line of the records, one more tree. CPU
seconds with one thread of linear algebra, as parts of a first build in the same run: of one process that goes on, or
with --commands of whole commands, each in a process and with the cache that the ones before left; the first is done
`--afresh`, and `again` is one after which nothing changed.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
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


def command_cost(notes: Path, *asked: str) -> float:
    """Return the CPU seconds of a build by the command line. Raises CalledProcessError."""
    place = notes.parent
    surroundings = {**os.environ, "FIRMRIPE_CACHE": str(place / "cache"), "PYTHONPATH": str(ROOT / "generator")}
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    built = [sys.executable, "-m", "firmripe", "build", str(notes), "--out", str(place / "site"), "--quiet"]
    before = os.times()
    subprocess.run([*built, "--as-of", DAY.isoformat(), *asked], check=True, env=surroundings)  # noqa: S603 - our own
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def measure(notes: Path, tag: str, *, commands: bool) -> None:
    """Print what each change costs beside the first build of these notes."""
    note = next(path for path in sorted((notes / "trees").glob("*.md")) if path.stem.startswith(tag))
    records = notes / "records" / f"{DAY.year}.csv"
    columns = records.read_text(encoding="utf-8").split("\n", 1)[0].split(",")
    line = {"date": DAY.isoformat(), "tree": tag, "what": "first pick", "amount": "31 lb"}
    row = ",".join(line.get(name, "") for name in columns)

    def cost(*asked: str) -> float:
        return command_cost(notes, *asked) if commands else cost_of(lambda: build(notes))

    first = cost("--afresh")
    if commands:
        cost()
    changes: dict[str, tuple[Path, str]] = {
        "again": (note, note.read_text(encoding="utf-8")),
        "a word": (note, note.read_text(encoding="utf-8") + "\nA word more.\n"),
        "a line": (records, f"{records.read_text(encoding='utf-8').rstrip()}\n{row}\n"),
        "a tree": (notes / "trees" / "one-more.md", "---\ncultivar: Bartlett\n---\n"),
    }
    told = []
    for name, (path, text) in changes.items():
        path.write_text(text, encoding="utf-8")
        told.append(f"{name} {cost() / first:5.2f}")
    print(f"first build {first:6.2f} s; " + "; ".join(told), flush=True)


def in_a_process_of_its_own(trees: int, kind: str, *, commands: bool) -> None:
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
        measure(notes, "1-01", commands=commands)
    os._exit(0)


def main() -> None:
    """Measure the example and households of so many trees."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--trees", type=int, nargs="*", default=[30, 100, 300])
    asked.add_argument("--kind", choices=KINDS, default="records")
    asked.add_argument("--commands", action="store_true", help="whole commands over what is kept on disk")
    given = asked.parse_args()
    for trees in (0, *given.trees):
        in_a_process_of_its_own(trees, given.kind, commands=given.commands)


if __name__ == "__main__":
    main()
