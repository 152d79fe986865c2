"""What former releases wrote is read by the program of now, without a command, and nothing of its history is lost."""

from __future__ import annotations

import json
import shutil
from datetime import date
from pathlib import Path

import pytest
from conftest import ROOT, write_notes

from firmripe import build
from firmripe.problems import FaultyNotes
from firmripe.publish.ledger import LEDGER
from firmripe.publish.ledger_file import read_ledger
from firmripe.publish.manifest import MANIFEST

KEPT = sorted(path for path in (ROOT / "tests" / "kept").iterdir() if path.is_dir())


@pytest.fixture(autouse=True)
def _small_shelf(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(build, "shelf_folder", lambda: ROOT / "tests" / "shelf_small")


def files_of(out: Path) -> set[str]:
    """Return the names of all files of a folder."""
    return {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}


@pytest.mark.parametrize("kept", KEPT, ids=lambda path: path.name)
def test_a_folder_of_a_former_release_builds_and_keeps_its_history(kept: Path, tmp_path: Path) -> None:
    """Notes are read, every event keeps its identity and never falls back, and the site gives way to the new one."""
    notes, out = tmp_path / "notes", tmp_path / "published"
    shutil.copytree(kept / "notes", notes)
    shutil.copytree(kept / "published", out)
    (out / "CNAME").write_bytes(b"example.org")
    before = read_ledger(notes / LEDGER)
    assert before.lines
    assert build.check_notes(notes, date(2027, 6, 2)).problems == ()
    written = build.write_plan(build.plan_of(notes, 2027, date(2027, 6, 2)), notes, out)

    after = read_ledger(notes / LEDGER)
    assert set(before.lines) <= set(after.lines)
    for uid, line in before.lines.items():
        new = after.lines[uid]
        assert (new.sequence, new.changed) >= (line.sequence, line.changed)
        assert new.said.content != line.said.content or new == line
    told = {line.said.title for line in after.lines.values() if not line.is_gone}
    assert {line.said.title for line in before.lines.values()} <= told
    assert written.put.kept == ()
    assert len(files_of(out)) == len(json.loads((out / MANIFEST).read_text(encoding="utf-8"))["files"]) + 2
    assert (out / "CNAME").read_bytes() == b"example.org"


def test_there_is_a_folder_of_the_first_release() -> None:
    """It has what later ones may trip over: a ledger and a manifest that tell no form, and a hidden name."""
    first = KEPT[0]
    manifest = json.loads((first / "published" / MANIFEST).read_text(encoding="utf-8"))

    assert first.name == "0.1.0"
    assert "format" not in manifest
    assert any(name.startswith("sha256:") for name in manifest["files"])
    assert "Format" not in (first / "notes" / LEDGER).read_text(encoding="utf-8").splitlines()[0]
    assert "format" not in (first / "notes" / "place.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ("2", "these notes are of format 2, and this firmripe reads up to format 1"),
        ("new", '"new" is no format of notes'),
        ("0", '"0" is no format of notes'),
    ],
)
def test_notes_of_a_newer_form_are_named_first_and_alone(tmp_path: Path, form: str, said: str) -> None:
    """What is not known of them is no slip of the household's."""
    notes = {"place.md": f"---\nformat: {form}\nunheard of: 3\n---\n", "trees/a.md": "---\nkind: Bartlett\n---\n"}

    with pytest.raises(FaultyNotes) as caught:
        build.plan_of(write_notes(tmp_path, notes), 2027, date(2027, 6, 1))
    (problem,) = caught.value.problems
    assert (problem.where.file, problem.where.line) == ("place.md", 2)
    assert problem.message == said


def test_notes_that_tell_their_form_are_read(tmp_path: Path) -> None:
    """As `firmripe start` writes them."""
    notes = {"place.md": "---\nformat: 1\nname: Home\n---\n", "trees/a.md": "---\ncultivar: Bartlett\n---\n"}

    assert build.plan_of(write_notes(tmp_path, notes), 2027, date(2027, 6, 1)).holding.place.name == "Home"
