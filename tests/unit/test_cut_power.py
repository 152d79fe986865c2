"""A loss of power at each step of publishing: what had not been settled is gone, and a whole site stands all the same.

The disk is taken to keep its names in order, as journaling file systems do, and to lose what files held that were not
settled: they are empty afterwards, as is known of ext4 and XFS.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from firmripe.problems import FaultyNotes
from firmripe.publish import disk, folder, ledger_file
from firmripe.publish.ledger import Ledger, Said
from firmripe.publish.ledger_file import draft_beside, put, read_ledger
from firmripe.publish.manifest import MANIFEST
from firmripe.publish.refusing import Refused

FORMER = {"index.html": b"one", "trees/a.html": b"a", "trees/b.html": b"b", "old": b"a file", "static/x.css": b"x"}
NEW = {
    "index.html": b"two",
    "trees/a.html": b"a",
    "weeks/1.html": b"w",
    "old/page.html": b"folder",
    "static/x.css": b"y",
}
STEPS = ("write", "settle", "make_folder", "link", "move", "replace", "exchanged", "remove", "remove_folder", "dress")


class Cut(BaseException):
    """The power is off. Not an Exception, so that nothing catches it on the way."""


class Power:
    """Counts the steps of the disk, and is lost after so many of them."""

    def __init__(self, steps: int) -> None:
        self.left = steps
        self.unsettled: set[int] = set()
        self.refused: Callable[[str, tuple[Path, ...]], bool] = lambda _step, _paths: False

    def step(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        """Return a step of the disk that counts."""

        def taken(*paths: Any) -> Any:  # noqa: ANN401 - whatever the step takes
            if self.left <= 0:
                raise Cut
            self.left -= 1
            if self.refused(name, paths):
                raise OSError(errno.EBUSY, "Device or resource busy")
            done = real(*paths)
            if name == "write":
                self.unsettled.add(paths[0].stat().st_ino)
            elif name == "settle":
                self.unsettled -= {path.stat().st_ino for path in paths if path.exists()}
            return done

        return taken

    def lose(self, top: Path) -> None:
        """Empty the files that were not settled."""
        for path in top.rglob("*"):
            if path.is_file() and path.stat().st_ino in self.unsettled:
                path.write_bytes(b"")


@pytest.fixture(autouse=True)
def _no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let nothing wait for the real disk: what is settled is kept count of here."""
    monkeypatch.setattr(os, "fsync", lambda _held: None)


@contextmanager
def powered(steps: int, *, exchange: bool = True, in_place: bool = False, top: Path) -> Iterator[Power]:
    """Let the disk work for so many steps; `in_place` is a system on which the site's folder can't be replaced."""
    power = Power(steps)
    if in_place:
        power.refused = lambda step, paths: step == "move" and paths[0] == top / "site"
    with pytest.MonkeyPatch.context() as patch:
        for name in STEPS:
            patch.setattr(disk, name, power.step(name, getattr(disk, name)))
        if in_place or not exchange:
            patch.setattr(disk, "exchanged", power.step("exchanged", lambda _one, _other: False))
        yield power


def site(out: Path) -> dict[str, bytes]:
    """Return what readers see of a site, without its manifest and what is at work in it."""
    return {
        p.relative_to(out).as_posix(): p.read_bytes()
        for p in sorted(out.rglob("*"))
        if p.is_file() and p.name != MANIFEST and not p.relative_to(out).parts[0].startswith(".firmripe-build-")
    }


def publish(out: Path, files: dict[str, bytes]) -> None:
    folder.write_site(out, files)


def steps_of(top: Path, **how: bool) -> int:
    """Return how many steps the second build takes."""
    with powered(10_000, top=top, **how) as power:
        publish(top / "site", FORMER)
        (top / "site" / "CNAME").write_bytes(b"example.org")
        before = power.left
        publish(top / "site", NEW)
        return before - power.left


WAYS = [{"exchange": True}, {"exchange": False}, {"in_place": True}]


@pytest.mark.parametrize("how", WAYS, ids=lambda how: " ".join(f"{k}-{v}" for k, v in how.items()))
def test_at_each_step_a_whole_site_stands_or_the_next_build_makes_it_so(tmp_path: Path, how: dict[str, bool]) -> None:
    """The former site, or the new one; put in place file by file, each file at least is whole. CNAME is nobody's."""
    steps = steps_of(tmp_path / "counted", **how)
    assert steps > 25
    for cut in range(steps):
        top = tmp_path / str(cut)
        out = top / "site"
        publish(out, FORMER)
        (out / "CNAME").write_bytes(b"example.org")
        with powered(cut, top=top, **how) as power, pytest.raises(Cut):
            publish(out, NEW)
        power.lose(top)
        _is_sound(out if out.exists() else out.with_name(".site.former"), mixed="in_place" in how)
        with powered(10_000, top=top, **how):
            publish(out, NEW if cut % 2 else FORMER)
        assert site(out) == {**(NEW if cut % 2 else FORMER), "CNAME": b"example.org"}, cut
        assert [path.name for path in top.iterdir()] == ["site"], cut
        assert not list(out.glob(".firmripe*")), cut


def _is_sound(out: Path, *, mixed: bool) -> None:
    found = site(out)
    assert found.pop("CNAME") == b"example.org"
    if mixed:
        assert all(data in {FORMER.get(name), NEW.get(name)} for name, data in found.items())
    else:
        assert found in (FORMER, NEW)


def test_a_first_site_is_whole_or_not_there(tmp_path: Path) -> None:
    """No page of half a site is ever found."""
    for cut in range(60):
        top = tmp_path / str(cut)
        with powered(cut, top=top) as power:
            try:
                publish(top / "site", NEW)
            except Cut:
                power.lose(top)
                assert not (top / "site").exists() or site(top / "site") == NEW
                continue
        assert cut > 15
        return
    pytest.fail("it never came to its end")


def test_the_simulated_disk_does_lose_what_is_not_settled(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Were nothing settled, the new site would stand with empty pages; so the test above can fail."""
    publish(tmp_path / "site", FORMER)
    with powered(10_000, top=tmp_path) as power:
        monkeypatch.setattr(disk, "settle", lambda *_paths: None)
        publish(tmp_path / "site", NEW)
    power.lose(tmp_path)

    assert site(tmp_path / "site")["index.html"] == b""


def test_the_ledger_is_the_former_or_the_new_one_at_each_step(tmp_path: Path) -> None:
    """An empty ledger would let every calendar speak of every day anew."""
    said = Said("a", "one", 2027, date(2027, 8, 28), "Pick")
    former = Ledger().advanced([said], date(2027, 6, 1))
    new = former.advanced([said._replace(content="two")], date(2027, 6, 2))
    for cut in range(12):
        path = tmp_path / str(cut) / "feeds.ledger"
        path.parent.mkdir()
        path.write_text(str(former), encoding="utf-8")
        ended = False
        with powered(cut, top=tmp_path) as power:
            try:
                draft = draft_beside(path, new)
                ended = draft is not None and put(draft, path)
            except Cut:
                power.lose(path.parent)
        assert read_ledger(path) in ((new,) if ended else (former, new)), cut
        assert draft_beside(path, new) is not None
        assert len(list(path.parent.iterdir())) == 2, "drafts of runs that were cut off are cleared away"
    assert ended
    assert ledger_file.strays_beside(path) == ()


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_ledger_that_is_a_link_stays_one_with_its_rights(tmp_path: Path) -> None:
    """The household may keep it elsewhere; and who may read it stays so."""
    (tmp_path / "kept").write_text("", encoding="utf-8")
    (tmp_path / "kept").chmod(0o640)
    (tmp_path / "feeds.ledger").symlink_to(tmp_path / "kept")
    draft = draft_beside(tmp_path / "feeds.ledger", Ledger())

    assert draft is not None
    assert put(draft, tmp_path / "feeds.ledger")
    assert (tmp_path / "feeds.ledger").is_symlink()
    assert (tmp_path / "kept").read_text(encoding="utf-8").startswith("# ")
    assert (tmp_path / "kept").stat().st_mode & 0o777 == 0o640


def test_what_lies_beside_the_ledger_and_is_no_builds_is_left(tmp_path: Path) -> None:
    """A file under the name of a former draft may be anybody's; it is named, and a draft of ours is not."""
    path = tmp_path / "feeds.ledger"
    (tmp_path / ".feeds.ledger.new").write_bytes(b"mine")
    (tmp_path / ".feeds.ledger.new-0123456789abcdef").write_bytes(b"# What")
    draft = draft_beside(path, Ledger())

    assert draft is not None
    assert put(draft, path)
    assert (tmp_path / ".feeds.ledger.new").read_bytes() == b"mine"
    assert not (tmp_path / ".feeds.ledger.new-0123456789abcdef").exists()
    assert ledger_file.strays_beside(path) == (".feeds.ledger.new",)


def test_of_a_draft_that_a_full_disk_cut_off_nothing_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder of the notes stays as it was, and what there is room for is the household's."""
    path = tmp_path / "feeds.ledger"
    path.write_text(str(Ledger()), encoding="utf-8")

    def full(path: Path, data: bytes) -> None:
        path.write_bytes(data[:9])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(disk, "write", full)

    assert draft_beside(path, Ledger()) is None
    assert [one.name for one in tmp_path.iterdir()] == ["feeds.ledger"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no such files here")
def test_what_is_no_file_is_not_waited_for(tmp_path: Path) -> None:
    """In place of the ledger, a manifest or a journal; it is named, and nobody holds the folder for ever."""
    os.mkfifo(tmp_path / "feeds.ledger")
    with pytest.raises(FaultyNotes, match=r"feeds\.ledger: this is neither a file nor a folder"):
        read_ledger(tmp_path / "feeds.ledger")

    folder.write_site(tmp_path / "site", FORMER)
    (tmp_path / "site" / MANIFEST).unlink()
    os.mkfifo(tmp_path / "site" / MANIFEST)
    with pytest.raises(Refused, match="holds files that are not a site built here"):
        folder.write_site(tmp_path / "site", FORMER)

    work = tmp_path / "other" / ".firmripe-build-0123456789abcdef01234567"
    work.mkdir(parents=True)
    os.mkfifo(work / "journal.json")
    with pytest.raises(Refused, match="no journal that can be read here"):
        folder.write_site(tmp_path / "other", FORMER)


def test_a_ledger_that_can_not_be_put_is_told_and_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system lets nobody replace it, that is no crash."""
    path = tmp_path / "feeds.ledger"
    path.write_text(str(Ledger()), encoding="utf-8")
    draft = draft_beside(path, Ledger())

    def busy(_old: Path, _new: Path) -> None:
        raise OSError(errno.EBUSY, "Device or resource busy")

    monkeypatch.setattr(disk, "replace", busy)
    assert draft is not None
    assert not put(draft, path)
