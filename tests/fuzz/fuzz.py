"""Spoil a household at random, check it and build it: never a traceback, and it ends: within 5 s, over the whole shelf 25.

    python tests/fuzz/fuzz.py --cases 20000 [--first 0] [--jobs 2]

Each case is told by its number alone, so a finding is run again with `--first N --cases 1`.
Even numbers spoil the small household, odd ones that of every key; one in a hundred the example over the whole shelf.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))

import households

from firmripe import build
from firmripe.problems import FaultyNotes
from firmripe.publish.folder import Refused
from firmripe.publish.theming import ThemeFault
from firmripe.reports import checked, checked_json

SMALL_SHELF = ROOT / "tests" / "shelf_small"
SHELF = ROOT / "content" / "reference"
EXAMPLE = ROOT / "content" / "example"
LONGEST_S = 5.0
LONGEST_WHOLE_S = 25.0
"""The example over the whole shelf costs about 6 s where nothing is spoilt; what hangs takes for ever."""
EVERY = 100


@dataclass(frozen=True)
class Outcome:
    """How a case went: `built`, `refused` in words, or a fault with its traceback."""

    number: int
    kind: str
    seconds: float
    told: str = ""


class Hang(BaseException):
    """The case took too long. Not an Exception, so that nothing catches it on the way."""


def example() -> households.Files:
    """Return the example household as bytes."""
    return {p.relative_to(EXAMPLE).as_posix(): p.read_bytes() for p in sorted(EXAMPLE.rglob("*")) if p.is_file()}


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """Raise Hang when the block computes longer than this, or waits six times as long."""

    def stop(_signal: int, _frame: object) -> None:
        raise Hang

    clocks = ((signal.SIGPROF, signal.ITIMER_PROF, seconds), (signal.SIGALRM, signal.ITIMER_REAL, 6 * seconds))
    for sign, clock, most in clocks:
        signal.signal(sign, stop)
        signal.setitimer(clock, most)
    try:
        yield
    finally:
        for _, clock, _ in clocks:
            signal.setitimer(clock, 0)


def run_case(number: int, top: Path, *, whole_shelf: bool | None = None) -> Outcome:
    """Run one case in a folder of its own."""
    draw = random.Random(number)  # noqa: S311 - the same number gives the same case
    whole = number % EVERY == 0 if whole_shelf is None else whole_shelf
    build.shelf_folder = lambda: SHELF if whole else SMALL_SHELF
    notes = top / "notes"
    files = example() if whole else households.full_seed() if number % 2 else households.seed()
    households.write(notes, households.spoilt(files, draw))
    day = date(2027, 1, 1) + timedelta(days=draw.randint(-400, 800))
    season = draw.choice((None, None, None, 2026, 2027, 2028, 1900, 2200))
    began, kind, told = time.process_time(), "built", ""
    try:
        kind, told = _check_and_build(notes, season, day, top / "out", LONGEST_WHOLE_S if whole else LONGEST_S)
    except Hang:
        kind, told = "hang", traceback.format_exc()
    except Exception:  # noqa: BLE001 - that there is none is what is tried
        kind, told = "traceback", traceback.format_exc()
    return Outcome(number, kind, time.process_time() - began, told)


def _check_and_build(notes: Path, season: int | None, day: date, out: Path, longest_s: float) -> tuple[str, str]:
    with at_most(longest_s):
        findings = build.check_notes(notes, day)
    if any(ord(c) < 32 and c != "\n" for c in checked(findings)):
        return "traceback", f"a control character reaches the terminal: {checked(findings)!r}"
    checked_json(findings)
    try:
        with at_most(longest_s):
            build.write_plan(build.plan_of(notes, season, day), notes, out)
    except FaultyNotes as faulty:
        missed = set(faulty.problems) - set(findings.problems)
        return ("traceback", f"the check does not find {faulty}") if missed else ("refused", "")
    except (Refused, ThemeFault, OSError) as error:
        return "not written", str(error)
    return ("traceback", "the check finds what a build does not") if findings.problems else ("built", "")


def main() -> int:
    """Run the cases and say how they went."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=20_000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    counts: dict[str, int] = {}
    slowest = Outcome(-1, "", 0.0)
    began = time.monotonic()
    numbers = range(asked.first, asked.first + asked.cases)
    with multiprocessing.Pool(asked.jobs) as pool:
        for outcome in pool.imap_unordered(_one, numbers, chunksize=20):
            counts[outcome.kind] = counts.get(outcome.kind, 0) + 1
            slowest = max(slowest, outcome, key=lambda one: one.seconds)
            if outcome.kind not in {"built", "refused"}:
                print(f"case {outcome.number}: {outcome.kind}\n{outcome.told}", flush=True)
    print(f"{sum(counts.values())} cases in {time.monotonic() - began:.0f} s: {counts}")
    print(f"slowest: case {slowest.number}, {slowest.seconds:.1f} s, {slowest.kind}")
    return 1 if {"traceback", "hang"} & counts.keys() else 0


def _one(number: int) -> Outcome:
    with tempfile.TemporaryDirectory() as top:
        return run_case(number, Path(top))


if __name__ == "__main__":
    sys.exit(main())
