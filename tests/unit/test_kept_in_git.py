"""Notes kept in git for years: what two people note is merged without a hand, and a copy gives the same site again."""

from __future__ import annotations

import os
import shutil
import subprocess
from datetime import date
from pathlib import Path

import pytest

from firmripe.build import check_notes, plan_of, write_plan
from firmripe.starting import Beginning, start

TODAY = date(2027, 9, 20)
HOME = Beginning(name="Home", zone="6b", latitude="42 N", longitude="74 W", trees=("Bartlett", "Bosc"))
NOBODY = {
    "GIT_AUTHOR_NAME": "Wren",
    "GIT_AUTHOR_EMAIL": "wren@example.org",
    "GIT_COMMITTER_NAME": "Wren",
    "GIT_COMMITTER_EMAIL": "wren@example.org",
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
}

pytestmark = pytest.mark.skipif(
    shutil.which("git") is None and "FIRMRIPE_CI" not in os.environ, reason="git is not installed"
)


def git(folder: Path, *words: str) -> str:
    """Run git in a folder, untouched by this computer's own settings, and return what it says."""
    done = subprocess.run(  # noqa: S603 - words of this file alone
        ["git", "-c", "init.defaultBranch=main", *words],  # noqa: S607 - wherever it is
        cwd=folder,
        env={"PATH": os.environ["PATH"], **NOBODY},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


def note(folder: Path, line: str, day: date) -> None:
    """Note a line, build the site, and keep both in git."""
    with (folder / "records" / "2027.csv").open("a", encoding="utf-8", newline="\n") as records:
        records.write(f"{line}\n")
    write_plan(plan_of(folder, 2027, day), folder, folder / "site")
    git(folder, "add", "--all")
    git(folder, "commit", "--message", line)


def held(folder: Path) -> dict[str, bytes]:
    """Return what a folder holds, but for what git keeps for itself."""
    files = (path for path in folder.rglob("*") if path.is_file() and ".git" not in path.relative_to(folder).parts)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Return a household's folder, begun by `start` and kept in git."""
    folder = tmp_path / "notes"
    start(folder, HOME, 2027)
    git(folder, "init")
    note(folder, "2027-05-04,bartlett,,,full bloom,,", date(2027, 5, 4))
    return folder


def test_two_peoples_lines_are_merged_and_a_copy_gives_the_same_site(tmp_path: Path, notes: Path) -> None:
    """Each notes a line and builds at home; neither has to mend anything, and no event of a calendar is lost."""
    git(tmp_path, "clone", str(notes), "other")
    other = tmp_path / "other"
    note(notes, "2027-08-29,bartlett,,,first pick,31 lb,good size", date(2027, 8, 29))
    note(other, "2027-09-15,bosc,,,first pick,22 lb,", date(2027, 9, 15))
    git(notes, "pull", "--no-rebase", str(other), "main")

    records = (notes / "records" / "2027.csv").read_text(encoding="utf-8")
    assert records.count("first pick") == 2
    assert check_notes(notes, TODAY).problems == ()
    write_plan(plan_of(notes, 2027, TODAY), notes, notes / "site")
    git(notes, "commit", "--all", "--message", "merged")

    git(tmp_path, "clone", str(notes), "restored")
    restored = tmp_path / "restored"
    assert not (restored / "site").exists()
    write_plan(plan_of(restored, 2027, TODAY), restored, restored / "site")
    assert held(restored) == held(notes)
    assert git(restored, "status", "--porcelain") == ""


def test_what_is_built_is_not_kept(notes: Path) -> None:
    """Sites, for whomever they are, and drafts beside them can be made again; the ledger and the notes can't."""
    for name in ("site-for-everybody/index.html", "site-what-if/index.html", ".site-for-wren.new/index.html"):
        (notes / name).parent.mkdir()
        (notes / name).write_text("page", encoding="utf-8")
    git(notes, "add", "--all")
    kept = git(notes, "ls-files").splitlines()
    assert {name.partition("/")[0] for name in kept} == {
        ".gitattributes",
        ".gitignore",
        "README.md",
        "feeds.ledger",
        "place.md",
        "records",
        "trees",
    }
