"""Kill builds at random points: the former site stands byte for byte, or the new one whole.

    python tests/fuzz/kill.py [--times 67] [--way exchange|renames|in-place] [--seed 1]

The two households take turns and each build is a program of its own. A site can be put in its place in three ways: the
two folders change places in one step, or by two renames, or the files are put in place one by one. Of the last, each
file is whole at any moment, and the site is once the next build has brought to its end what was begun.
Builds at once are tried as well.
"""

from __future__ import annotations

import argparse
import errno
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import fuzz
import households

from firmripe import build
from firmripe.plan import Plan
from firmripe.publish import disk
from firmripe.publish.in_place import finished_in_place
from firmripe.publish.ledger import LEDGER
from firmripe.publish.ledger_file import read_ledger
from firmripe.publish.locking import alone

DAY = date(2027, 6, 1)
WAYS = ("exchange", "renames", "in-place")
NAMES = ("one", "other")


def held(top: Path) -> dict[str, bytes]:
    """Return every file of a folder by its path, with what it holds."""
    return {p.relative_to(top).as_posix(): p.read_bytes() for p in sorted(top.rglob("*")) if p.is_file()}


def built(notes: Path, out: Path, plan: Plan | None = None) -> None:
    """Build a household's site, as the command does: the notes are held from reading to writing."""
    with alone(notes):
        build.write_plan(plan or build.plan_of(notes, None, DAY), notes, out)


def started(notes: Path, out: Path, way: str = "exchange", plan: Plan | None = None) -> int:
    """Begin a build, or with a plan its writing alone, as a process of its own and return its number."""
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        _only(way, out)
        built(notes, out, plan)
        code = 0
    finally:
        os._exit(code)


def _only(way: str, out: Path) -> None:
    """Let this process put sites in place in one way alone."""
    real = disk.move

    def move(old: Path, new: Path) -> None:
        if old == out:
            raise OSError(errno.EBUSY, "Device or resource busy")
        real(old, new)

    if way != "exchange":
        disk.exchanged = lambda _one, _other: False
    if way == "in-place":
        disk.move = move


def households_in(top: Path) -> tuple[dict[str, Plan], dict[str, dict[str, bytes]]]:
    """Write two households, and return the plan of each and its whole site."""
    plans, whole = {}, {}
    for name in NAMES:
        files = households.seed()
        files["place.md"] = (files["place.md"] or b"").replace(b"Slate Stile", name.encode())
        households.write(top / name, files)
        plans[name] = build.plan_of(top / name, None, DAY)
        for _ in range(2):  # the second finds the ledger of the first
            built(top / name, top / f"{name}-whole", plans[name])
        whole[name] = held(top / f"{name}-whole")
    return plans, whole


def killed(top: Path, times: int, seed: int, ways: Sequence[str] = WAYS) -> dict[str, dict[str, int]]:
    """Kill that many builds each way and say how often which site stood; AssertionError where neither did."""
    build.shelf_folder = lambda: fuzz.SMALL_SHELF
    plans, whole = households_in(top)
    out = top / "site"
    shutil.copytree(top / "one-whole", out)
    (out / "CNAME").write_bytes(b"example.org")
    draw = random.Random(seed)  # noqa: S311 - the same number gives the same parts of a build
    counts = {}
    for way in ways:
        counts[way] = {"former": 0, "new": 0, "left over": 0, "brought to its end": 0}
        longest = _time_of(top, plans, way)
        for _ in range(times):
            _kill(top, plans, whole, way, draw.uniform(0, 1.1 * longest), counts=counts[way])
    _at_once(top, out, whole)
    return counts


def _time_of(top: Path, plans: dict[str, Plan], way: str) -> float:
    """Return how long it takes to write a site over another (s)."""
    out = top / "site"
    began = time.monotonic()
    for name in NAMES:
        os.waitpid(started(top / name, out, way, plans[name]), 0)
    return (time.monotonic() - began) / 2


def _kill(
    top: Path,
    plans: dict[str, Plan],
    whole: dict[str, dict[str, bytes]],
    way: str,
    delay: float,
    *,
    counts: dict[str, int],
) -> None:
    out = top / "site"
    before = _standing(out if out.exists() else out.with_name(".site.former"))
    name = NAMES[before == whole["one"]]
    child = started(top / name, out, way, plans[name])
    time.sleep(delay)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    counts["left over"] += any(path.name.startswith(".site") for path in top.iterdir())
    if way == "in-place":
        _each_file_is_whole(out, whole)
        counts["brought to its end"] += finished_in_place(out)
    found = _standing(out if out.exists() else out.with_name(".site.former"))
    assert found in whole.values(), "neither the former site nor the new one"
    counts["new" if found == whole[name] else "former"] += 1
    assert read_ledger(top / name / LEDGER).lines, "the ledger is lost"


def _standing(out: Path) -> dict[str, bytes]:
    found = held(out)
    assert found.pop("CNAME") == b"example.org", "a file of somebody else's is gone"
    return found


def _each_file_is_whole(out: Path, whole: dict[str, dict[str, bytes]]) -> None:
    for name, data in held(out).items():
        if name != "CNAME" and not name.startswith(".firmripe-build-"):
            assert data in {site.get(name) for site in whole.values()}, f"{name} is in pieces"


def _at_once(top: Path, out: Path, whole: dict[str, dict[str, bytes]]) -> None:
    """Let builds run at once, of both households into one folder and of one household twice, and judge what stands."""
    ledgers = {name: (top / name / LEDGER).read_bytes() for name in NAMES}
    children = [started(top / name, out) for name in (*NAMES, *NAMES)]
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * len(children)
    assert _standing(out) in whole.values(), "builds at once have mixed"
    assert not [path for path in top.iterdir() if path.name.startswith(".site")], "something is left over"
    for name in NAMES:
        assert (top / name / LEDGER).read_bytes() == ledgers[name]
        assert not [path for path in (top / name).iterdir() if path.name.startswith(".")], "a draft is left over"


def main() -> int:
    """Kill builds and say how it went."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=67, help="kills each way")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--way", choices=WAYS, action="append")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as top:
        for way, counts in killed(Path(top), asked.times, asked.seed, asked.way or WAYS).items():
            print(way, counts, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
