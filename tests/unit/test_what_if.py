"""Builds that only try something touch neither the folder's site nor its ledger."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from conftest import write_notes

from firmripe import build
from firmripe.cli import main
from firmripe.publish.ledger import LEDGER
from firmripe.publish.refusing import Unfinished

SHELF = Path(__file__).resolve().parent.parent / "shelf_small"
NOTES = {
    "trees/1-01.md": "---\ncultivar: Bartlett\n---\n",
    "place.md": "---\nname: Home\nlatitude: 42 N\npeople: [{name: Maud}]\n---\n",
    "tasks/look.md": "---\nname: Look\nwhen: Jul 1\neach: place\nreminder: yes\n---\n",
}
LATER = {"tasks/look.md": NOTES["tasks/look.md"].replace("Jul 1", "Jul 5")}


@pytest.fixture
def notes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a household that was built on 1 June 2027, which is today."""
    monkeypatch.setattr(build, "shelf_folder", lambda: SHELF)
    top = write_notes(tmp_path / "notes", NOTES)
    assert run(top).exit_code == 0
    return top


def run(notes: Path, *words: str) -> Result:
    """Build a household's site as it is typed."""
    return CliRunner().invoke(main, ["build", str(notes), *words])


def held(top: Path) -> dict[str, bytes]:
    """Return every file of a folder by its path, with what it holds."""
    return {p.relative_to(top).as_posix(): p.read_bytes() for p in sorted(top.rglob("*")) if p.is_file()}


TRIALS = {
    "asked for": (["--what-if"], "as you asked"),
    "another season": (["--season", "2028"], "since this is another season than the day's"),
    "a season that is past": (["--season", "2026"], "since this is another season than the day's"),
    "a day before the ledger's newest": (["--as-of", "2027-05-31"], "since calendars have told of later days already"),
    "a day far ahead": (["--as-of", "2027-06-09"], "since the day is far ahead of today"),
}


@pytest.mark.parametrize("name", TRIALS)
def test_a_trial_touches_nothing_of_the_folders_own(notes: Path, name: str) -> None:
    """It makes a site of its own, and says why; with changed notes too, which is when it would do most harm."""
    words, why = TRIALS[name]
    before = held(notes)
    write_notes(notes, LATER)
    result = run(notes, *words)

    assert result.exit_code == 0, result.output
    assert f"Only tried, {why}: {LEDGER} stays as it was." in result.output
    after = {name: data for name, data in held(notes).items() if not name.startswith("site-what-if/")}
    assert after == {**before, "tasks/look.md": LATER["tasks/look.md"].encode()}
    assert (notes / "site-what-if" / "index.html").is_file()


def test_another_reader_writes_no_ledger(notes: Path) -> None:
    """Neither does a trial for another reader, which has a folder of its own too."""
    before = held(notes)
    assert run(notes, "--for", "Maud").exit_code == 0
    assert run(notes, "--for", "Maud", "--what-if").exit_code == 0

    after = held(notes)
    assert {name: after[name] for name in before} == before
    assert {name.split("/")[0] for name in after} - {name.split("/")[0] for name in before} == {
        "site-for-maud",
        "site-for-maud-what-if",
    }


@pytest.mark.parametrize("words", [[], ["--as-of", "2027-06-02"], ["--season", "2027"]])
def test_another_folder_alone_or_a_day_near_by_is_the_folders_own_build(
    notes: Path, tmp_path: Path, words: list[str]
) -> None:
    """`--out` says where the site lies and nothing else, and clocks differ by a little."""
    ledger = (notes / LEDGER).read_bytes()
    write_notes(notes, LATER)
    result = run(notes, "--out", str(tmp_path / "out"), *words)

    assert result.exit_code == 0, result.output
    assert "Only tried" not in result.output
    assert (notes / LEDGER).read_bytes() != ledger


def test_a_clock_that_went_wrong_does_not_stop_the_ledger(notes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A build of today is the folder's own, even where another computer's clock was ahead; no stamp falls back."""
    ledger = (notes / LEDGER).read_text(encoding="utf-8")
    monkeypatch.setattr("firmripe.cli._today", lambda: date(2027, 5, 25))
    write_notes(notes, LATER)

    assert run(notes).exit_code == 0
    assert (notes / LEDGER).read_text(encoding="utf-8") != ledger
    assert "2027-06-01T00:00:01Z" in (notes / LEDGER).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", [".", "records", "theme", "trees/site", "Weather", "preserves/a/b"])
def test_a_site_among_the_notes_is_refused(notes: Path, name: str) -> None:
    """There its files would be read as notes, or be mixed with them."""
    before = held(notes)
    result = run(notes, "--out", str(notes / name))

    assert result.exit_code == 1
    assert "is a folder of the notes; name another one for the site" in result.output
    assert held(notes) == before


def test_a_site_that_was_put_in_part_is_not_called_unwritten(notes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where files are put one by one and the disk takes some of them, the command says what stands and what comes."""
    said = "site/a.html: permission denied\nSome files of the new site stand already; the next build puts the others."

    def refuse(*_args: object) -> None:
        raise Unfinished(said)

    monkeypatch.setattr(build, "write_site", refuse)
    result = run(notes)

    assert result.exit_code == 1
    assert result.stderr == f"{said}\n"
