"""Kill builds at random points: the former site stands byte for byte, or the new one whole.

    python tests/fuzz/kill.py --times 200

The two households take turns, each build is a program of its own, and a pair of builds at once is tried as well.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

import fuzz
import households

from firmripe import build

DAY = date(2027, 6, 1)


def held(top: Path) -> dict[str, bytes]:
    """Return every file of a folder by its path, with what it holds."""
    return {p.relative_to(top).as_posix(): p.read_bytes() for p in sorted(top.rglob("*")) if p.is_file()}


def built(notes: Path, out: Path) -> None:
    """Build a household's site."""
    build.write_plan(build.plan_of(notes, None, DAY), notes, out)


def started(notes: Path, out: Path) -> int:
    """Begin a build as a process of its own and return its number."""
    child = os.fork()
    if child:
        return child
    try:
        built(notes, out)
    finally:
        os._exit(0)


def killed(top: Path, times: int, seed: int) -> dict[str, int]:
    """Kill that many builds and say how often which site stood. Raises AssertionError where neither did."""
    build.shelf_folder = lambda: fuzz.SMALL_SHELF
    draw = random.Random(seed)  # noqa: S311 - the same number gives the same delays
    names = ("one", "other")
    whole: dict[str, dict[str, bytes]] = {}
    for name in names:
        files = households.seed()
        files["place.md"] = files["place.md"].replace(b"Slate Stile", name.encode())
        households.write(top / name, files)
        built(top / name, top / f"{name}-whole")
        began = time.monotonic()
        built(top / name, top / f"{name}-whole")
        longest = time.monotonic() - began
        whole[name] = held(top / f"{name}-whole")
    out = top / "site"
    built(top / "one", out)
    (out / "CNAME").write_bytes(b"example.org")
    counts = {"former": 0, "new": 0, "left over": 0}
    standing = "one"
    for _ in range(times):
        name = names[standing == "one"]
        child = started(top / name, out)
        time.sleep(draw.uniform(0, 1.2 * longest))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        found = held(out)
        assert found.pop("CNAME") == b"example.org", "a file of somebody else's is gone"
        assert found in whole.values(), "neither the former site nor the new one"
        counts["new" if found == whole[name] else "former"] += 1
        counts["left over"] += len([path for path in top.iterdir() if path.name.startswith(".site")])
        standing = name if found == whole[name] else standing
    children = [started(top / name, out) for name in names]
    for child in children:
        os.waitpid(child, 0)
    found = held(out)
    assert found.pop("CNAME") == b"example.org"
    assert found in whole.values(), "two builds at once have mixed"
    assert not [path for path in top.iterdir() if path.name.startswith(".site")], "something is left over"
    return counts


def main() -> int:
    """Kill builds and say how it went."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as top:
        print(killed(Path(top), asked.times, asked.seed))
    return 0


if __name__ == "__main__":
    sys.exit(main())
