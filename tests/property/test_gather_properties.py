"""What holds of every gathering, whatever was noted, in whatever order it comes and wherever it is cut off."""

from __future__ import annotations

import io
import json
import os
import random
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmripe import gathering
from firmripe.gathering import LEFT, Fate, GatheredText, gather, texts_of
from firmripe.reading.reader import read_holding

SHELF = Path(__file__).resolve().parent.parent / "shelf_small"
DAY = date(2027, 12, 1)
HEAD = "date,tree,cultivar,crop,what,amount,note"
NOTES = {
    "trees/1-01.md": "---\ncultivar: Bartlett\n---\n",
    "trees/2-01.md": "---\nlimbs: [Bartlett, Bosc]\n---\n",
    "trees/T.md": "---\ncultivar: Brown Turkey\n---\n",
    "records/2026.csv": f"{HEAD}\n# of last year\n2026-05-02,1-01,,,full bloom,,\n",
    "records/2027.csv": f"{HEAD}\n2027-05-04,1-01,,,full bloom,,\n2027-09-01,1-01,,,first pick,44 lb,\n",
}
TREES = ("1-01", "2-01", "2-01/Bosc", "2-01/Bartlett", "T/main", "T/breba", "9-99", "")
WHATS = (
    "first bloom",
    "full bloom",
    "first pick",
    "pick",
    "last pick",
    "drop",
    "stored",
    "verdict",
    "frost",
    "nonsense",
)
AMOUNTS = ("", "31 lb", "310 lb", "2 boxes", "6 figs", "a heap", "31", "4,5 kg")
words = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\0"), max_size=12)
rows = st.builds(
    lambda day, tree, what, amount, note: f"{day},{tree},{what},{amount},{note}",
    st.dates(date(2026, 4, 1), date(2027, 12, 10)),
    st.sampled_from(TREES),
    st.sampled_from(WHATS),
    st.sampled_from(AMOUNTS),
    st.one_of(st.just(""), st.sampled_from(("good size", "the low limbs", "2027-08-01,1-01,drop"))),
)
texts = st.lists(st.one_of(rows, rows, words), max_size=8).map("\n".join)
few = settings(max_examples=10, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])


def household() -> Path:
    """Write the notes into a new folder."""
    top = Path(tempfile.mkdtemp())
    for name, text in NOTES.items():
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_bytes(text.encode())
    return top


@pytest.fixture(autouse=True)
def _small_shelf(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read the notes over a small shelf, and leave the plan aside, which is tested where it is told."""
    monkeypatch.setattr(gathering, "shelf_folder", lambda: SHELF)
    monkeypatch.setattr(gathering, "what_moved", lambda *_: ())


def sources(*given: str) -> list[GatheredText]:
    return [GatheredText(name=f"{at}.txt", text=text, path=Path(f"{at}.txt")) for at, text in enumerate(given)]


def held(top: Path) -> dict[str, bytes]:
    return {p.relative_to(top).as_posix(): p.read_bytes() for p in top.rglob("*") if p.is_file()}


def records(top: Path) -> Counter[str]:
    """Return the rows of all tables, comments and empty lines left out."""
    found = (row for path in (top / "records").glob("*.csv") for row in path.read_text(encoding="utf-8").splitlines())
    return Counter(row for row in found if row and row != HEAD and not row.startswith("#"))


@few
@given(st.lists(texts, max_size=4), st.randoms())
def test_the_order_of_files_changes_nothing(given_texts: list[str], chance: random.Random) -> None:
    """The same lines are taken and the same held back."""
    shuffled = list(given_texts)
    chance.shuffle(shuffled)
    one, other = household(), household()
    first, second = gather(one, sources(*given_texts), DAY), gather(other, sources(*shuffled), DAY)

    assert records(one) == records(other)
    assert Counter(line.fate for line in first.lines) == Counter(line.fate for line in second.lines)
    left = [(top / LEFT).read_text("utf-8") if (top / LEFT).exists() else "" for top in (one, other)]
    assert {*map(str.strip, left[0].splitlines())} - {""} - _heads(left[0]) == {
        *map(str.strip, left[1].splitlines())
    } - {""} - _heads(left[1])


def _heads(text: str) -> set[str]:
    return {row for row in text.splitlines() if row.startswith("Held back on ")}


@few
@given(st.lists(texts, max_size=3))
def test_a_second_gathering_changes_no_byte_and_the_notes_can_be_read(given_texts: list[str]) -> None:
    """All at once, again, and one by one."""
    top = household()
    gather(top, sources(*given_texts), DAY)
    once = held(top)
    again = gather(top, sources(*given_texts), DAY)
    for one in sources(*given_texts):
        gather(top, [one], DAY)

    assert held(top) == once
    assert not again.of(Fate.TAKEN)
    read_holding(top, SHELF)


@few
@given(texts)
def test_no_line_is_lost_and_nothing_that_stood_is_touched(text: str) -> None:
    """Each line that is found is in a table, was there, or stands in the left over as it was typed."""
    top = household()
    found = gather(top, [GatheredText(name="pasted", text=text)], DAY)
    after = held(top)
    left = after.get(LEFT, b"").decode()

    for name, before in NOTES.items():
        assert after[name].startswith(before.encode())
    assert sum(records(top).values()) == 3 + len(found.of(Fate.TAKEN))
    waiting = [one.line.where.text for one in found.of(Fate.DOUBTFUL, Fate.UNCLEAR)]
    assert all(typed in left for typed in waiting)
    told = {one.line.where.text for one in found.lines}
    for row in text.replace("\r", "\n").split("\n"):
        seen = "".join(c for c in row if c.isprintable())
        assert '"' in text or row.startswith("#") or not seen.strip() or row in told or seen in left or row in left


@few
@given(texts, st.sampled_from(("\n", "\r\n", "\r")), st.sampled_from(("", "\ufeff")), st.booleans())
def test_line_ends_change_nothing(text: str, end: str, mark: str, ours: bool) -> None:  # noqa: FBT001 - drawn
    """Of what is sent or of the tables; each table keeps its own."""
    one, other = household(), household()
    if ours:
        for path in (other / "records").glob("*.csv"):
            path.write_bytes((mark + path.read_text("utf-8").replace("\n", end)).encode())
    plain = text.replace("\r", "")
    sent = plain if ours else mark + plain.replace("\n", end)
    gather(one, sources(plain), DAY)
    gather(other, sources(sent), DAY)

    assert records(one) == Counter(
        row
        for path in (other / "records").glob("*.csv")
        for row in path.read_text("utf-8-sig").splitlines()
        if row and row != HEAD and not row.startswith("#")
    )


LINES = "# Wren\n2027-09-03,1-01,pick,31 lb\n2026-09-03,2-01/Bosc,pick,12 lb\n2027-09-04,9-99,drop\n"


Put = tuple[str, str | None, str]
"""A file by its name, what it held and what it is to hold."""


def _puts(monkeypatch: pytest.MonkeyPatch) -> list[Put]:
    """Return what a gathering of the lines writes, file by file."""
    found: list[Put] = []
    top = household()
    with monkeypatch.context() as patched:
        patched.setattr(
            gathering,
            "_put",
            lambda path, former, text: found.append(
                (path.relative_to(top).as_posix(), None if former is None else former.decode(), text)
            ),
        )
        gather(top, sources(LINES), DAY)
    assert held(top) == {name: text.encode() for name, text in NOTES.items()}
    return found


def cut_off_everywhere(puts: Sequence[Put]) -> Iterator[Path]:
    """Yield the folder that is left where writing files is cut off at each call of the system or of a file, in turn.

    In the last one nothing was cut off. It is run in a small process of its own: a large one is slow to fork.
    """
    killed, call = True, 0
    while killed:
        call, top = call + 1, household()
        killed = _killed_at(top, puts, call)
        yield top


def _killed_at(top: Path, puts: Sequence[Put], call: int) -> bool:
    """Write files in a process that ends without a word at its nth call of the system or of a file."""
    pid = os.fork()
    if pid:
        return bool(os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 9)
    count = 0

    def step(_frame: object, event: str, called: object) -> None:
        nonlocal count
        if event == "c_call" and isinstance(getattr(called, "__self__", None), ModuleType | io.IOBase):
            count += 1
            if count == call:
                os._exit(9)

    sys.setprofile(step)
    try:
        for name, former, text in puts:
            gathering._put(top / name, None if former is None else former.encode(), text)  # noqa: SLF001 - where files are written
    except BaseException:  # noqa: BLE001 - the process ends here, whatever happens
        os._exit(1)
    os._exit(0)


_CUT = """
import json, sys
from test_gather_properties import cut_off_everywhere
for top in cut_off_everywhere(json.load(sys.stdin)):
    print(top)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes can't be parted here")
def test_a_run_that_is_cut_off_leaves_whole_files_and_can_be_run_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """At each of a hundred calls of the system: a file is what it was or what it becomes, no line is lost or doubled.

    What is written is worked out once; of the folders that a cut leaves, those that are alike are gathered into once.
    """
    puts = _puts(monkeypatch)
    whole = household()
    before = held(whole)
    gather(whole, sources(LINES), DAY)
    after = held(whole)
    assert set(after) == {*before, LEFT}

    paths = os.pathsep.join([str(Path(__file__).parent), *filter(None, sys.path)])
    said = subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", _CUT],
        input=json.dumps(puts),
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        check=True,
        text=True,
    ).stdout
    tops, left = [Path(line) for line in said.splitlines()], dict[tuple[tuple[str, bytes], ...], Path]()
    for call, top in enumerate(tops, 1):
        now = held(top)
        for name in {*before, *_seen(now)}:
            assert now[name] in {before.get(name), after[name]}, f"{name} after {call} calls"
        left.setdefault(tuple(sorted(now.items())), top)
    assert len(tops) > 100
    assert _seen(held(tops[-1])) == after
    assert len(left) > len(puts)
    for cut in left.values():
        gather(cut, sources(LINES), DAY)
        assert _seen(held(cut)) == after


def _seen(files: dict[str, bytes]) -> dict[str, bytes]:
    """Return the files that are no hidden drafts."""
    return {name: data for name, data in files.items() if not Path(name).name.startswith(".")}


def test_a_folder_of_many_files_is_gathered_in_one_go(tmp_path: Path) -> None:
    """Each person's in a file of its own; hidden ones are passed over."""
    for at in range(5):
        (tmp_path / f"{at}.txt").write_text(f"2027-10-0{at + 1},1-01,drop\n")
    (tmp_path / ".hidden").write_text("2027-10-09,1-01,drop\n")
    top = household()
    assert len(gather(top, texts_of(tmp_path), DAY).of(Fate.TAKEN)) == 5
