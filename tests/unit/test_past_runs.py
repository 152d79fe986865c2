"""What earlier runs kept changes nothing: spoilt, foreign, older or refused, a site is what a first build makes."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from conftest import write_notes
from two_trees import NOTES

from firmripe import plan as plan_module
from firmripe.caching import ASKED
from firmripe.cli import main
from firmripe.lately import Lately
from firmripe.past_runs import MOST_HOUSEHOLDS, PastRuns, kept_between_runs
from firmripe.problems import Where
from firmripe.publish.rendered import Rendered
from firmripe.publish.theming import Theme

MADE_OF = Lately.made_of


@pytest.fixture(autouse=True)
def _as_new_runs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Let each build begin with nothing in memory, as a command does, and keep what it may in a folder of the test."""

    def made_of(self: Lately[object, object], *of: object, **keep: object) -> object:
        self._kept = ()
        return MADE_OF(self, *of, **keep)  # type: ignore[arg-type]

    monkeypatch.setattr(Lately, "made_of", made_of)
    monkeypatch.setattr("firmripe.publish.site.PAGES", Rendered())
    monkeypatch.setattr("firmripe.cli._today", lambda: date(2027, 8, 20))
    monkeypatch.setenv(ASKED, str(tmp_path / "cache"))


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """Return a list that is one longer with each plan that is worked out."""
    times: list[int] = []
    work_out = plan_module._worked_out  # noqa: SLF001
    monkeypatch.setattr(plan_module, "_worked_out", lambda *of: times.append(1) or work_out(*of))
    return times


def build(top: Path, *asked: str) -> dict[str, bytes]:
    """Build the notes in a folder by the command line, and return what lies in the site, and the ledger."""
    done = CliRunner().invoke(main, ["build", str(top / "notes"), "--out", str(top / "site"), *asked])
    assert done.exit_code == 0, done.output
    files = [*(path for path in (top / "site").rglob("*") if path.is_file()), top / "notes" / "feeds.ledger"]
    return {path.relative_to(top).as_posix(): path.read_bytes() for path in files}


def kept(top: Path) -> dict[str, bytes]:
    """Return the files that are kept for a household."""
    return {path.name: path.read_bytes() for path in (top / "cache" / "households").glob("*/*")}


def test_what_is_dear_is_kept_and_found_again(
    tmp_path: Path, worked_out: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan, the kitchen's fit with what would help, past seasons, feeds and the site, by what they were made of."""
    rendered: list[str] = []
    render = Theme.render
    monkeypatch.setattr(
        Theme, "render", lambda self, page, **given: rendered.append(page) or render(self, page, **given)
    )
    write_notes(tmp_path / "notes", NOTES)
    first = build(tmp_path)
    names = {"plan", "fit", "remedies", "seasons", "feeds", "site"}
    assert {name.partition("-")[0] for name in kept(tmp_path)} == names
    assert build(tmp_path) == first  # its feeds go on from the ledger that is there now
    before = kept(tmp_path)
    assert build(tmp_path) == first
    assert (len(worked_out), kept(tmp_path)) == (1, before)
    write_notes(tmp_path / "notes", {"trees/1-02.md": f"{NOTES['trees/1-02.md']}By the *wall*.\n"})
    second = build(tmp_path)
    assert len(worked_out) == 1
    again = len(rendered)
    changed = {name for name in second if second[name] != first.get(name)}
    assert "site/trees/1-02.html" in changed
    assert len(changed) < len(first) / 4
    assert b"By the <em>wall</em>." in second["site/trees/1-02.html"]
    assert build(tmp_path) == second
    assert len(rendered) == again
    assert build(tmp_path, "--afresh") == second
    if os.name != "nt":
        assert {path.stat().st_mode & 0o077 for path in (tmp_path / "cache").rglob("*")} == {0}


@pytest.mark.parametrize("way", ["--afresh", "variable"])
def test_one_can_do_without(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, worked_out: list[int], way: str) -> None:
    """By an option or a variable of the environment: then nothing is found and nothing is kept."""
    write_notes(tmp_path / "notes", NOTES)
    first = build(tmp_path)
    before = kept(tmp_path)
    if way == "variable":
        monkeypatch.setenv(ASKED, "")
    asked = [way] if way.startswith("-") else []
    assert build(tmp_path, *asked) == first
    assert len(worked_out) == 2
    assert kept(tmp_path) == before


def test_spoilt_files_and_other_programs_change_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, worked_out: list[int]
) -> None:
    """What is cut short, changed, empty, a folder or of another program is made anew, and kept anew."""
    write_notes(tmp_path / "notes", NOTES)
    first = build(tmp_path, "--afresh")  # the ledger is there
    assert build(tmp_path) == first
    whole = kept(tmp_path)
    (folder,) = (tmp_path / "cache" / "households").iterdir()
    spoilt = {
        "cut": {name: data[:-7] for name, data in whole.items()},
        "bit": {name: data[:40] + bytes([data[40] ^ 4]) + data[41:] for name, data in whole.items()},
        "empty": dict.fromkeys(whole, b""),
        "another's": {name: whole[next(other for other in whole if other != name)] for name in whole},
    }
    for files in spoilt.values():
        for name, data in files.items():
            (folder / name).write_bytes(data)
        assert build(tmp_path) == first
        assert kept(tmp_path) == whole
    assert len(worked_out) == len(spoilt) + 2
    monkeypatch.setattr("firmripe.shipped.program_mark", lambda: b"a later program")
    assert build(tmp_path) == first
    assert len(worked_out) == len(spoilt) + 3
    for name in kept(tmp_path):
        (folder / name).unlink()
        (folder / name).mkdir()
    assert build(tmp_path) == first


def test_what_holds_no_value_of_ours_is_as_good_as_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Even with the right seal: whatever is read, the site is what it would be."""
    write_notes(tmp_path / "notes", NOTES)
    first = build(tmp_path)
    for data in (b"", b"\x00", b"\x95\x90\x90\x90\x90\xcd\xff\xff"):
        monkeypatch.setattr("firmripe.past_runs.read_kept", lambda *_, data=data: data)
        assert build(tmp_path) == first


def test_each_household_has_a_folder_and_few_are_kept(tmp_path: Path) -> None:
    """By its whole path; those that were not built for longest go first, and of each thing the last few are kept."""
    for number in range(MOST_HOUSEHOLDS + 2):
        with kept_between_runs(tmp_path / str(number), lambda: b"by"):
            for of in range(4):
                assert isinstance(Lately.keeper, PastRuns)
                assert Lately.keeper.find("thing", of) is None
                Lately.keeper.keep("thing", f"of {of}", 2)
        for folder in (tmp_path / "cache" / "households").iterdir():
            os.utime(folder, (folder.stat().st_mtime - 10,) * 2)
    assert Lately.keeper is None
    folders = [*(tmp_path / "cache" / "households").iterdir()]
    assert len(folders) == MOST_HOUSEHOLDS
    assert {len([*folder.iterdir()]) for folder in folders} == {2}
    with kept_between_runs(tmp_path / str(number), lambda: b"by"):
        assert Lately.keeper is not None
        assert [Lately.keeper.find("thing", of) for of in range(4)] == [None, None, "of 2", "of 3"]
        assert Lately.keeper.find("other thing", 3) is None
    with kept_between_runs(tmp_path / "0", lambda: b"by"):
        assert Lately.keeper is not None
        assert Lately.keeper.find("thing", 3) is None


def test_what_was_found_and_is_kept_anew_is_read_again(tmp_path: Path) -> None:
    """As a site is whose page of one tree was told again: of the parts that were read none is left out."""
    former = (Where("a"), Where("b"), b"page of a", b"page of b")
    made = (*former[1:], b"another")
    for one in (former, made, None):
        with kept_between_runs(tmp_path, lambda: b"by"):
            assert Lately.keeper is not None
            Lately.keeper.begin("facts", (Where("there"),))
            found = Lately.keeper.find("thing", 1, "facts")
            if one is not None:
                assert found == (None if one is former else former)
                Lately.keeper.keep("thing", made if found else former, 2)
    assert found == made
