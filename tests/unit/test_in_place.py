"""A site in a folder that can't be replaced: its files are put one by one, and a journal brings it to its end."""

from __future__ import annotations

import errno
import hashlib
import json
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from firmripe.publish import disk
from firmripe.publish.folder import Put, write_site
from firmripe.publish.in_place import put_in_place
from firmripe.publish.manifest import MANIFEST
from firmripe.publish.refusing import Refused, Unfinished

FIRST = {"index.html": b"one", "trees/a.html": b"a", "trees/b.html": b"b"}
SECOND = {"index.html": b"two", "trees/a.html": b"a", "weeks/1.html": b"w"}
LETTER = hashlib.sha256(b"dear").hexdigest()
WORK = ".firmripe-build-0123456789abcdef01234567"


def site(out: Path) -> dict[str, bytes]:
    """Return the files of a site without its manifest."""
    found = {p.relative_to(out).as_posix(): p.read_bytes() for p in sorted(out.rglob("*")) if p.is_file()}
    return {name: data for name, data in found.items() if name != MANIFEST}


@pytest.fixture
def out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return an empty folder of ours in one that takes no files from us."""
    out, real = tmp_path / "site", disk.write
    out.mkdir()

    def write(path: Path, data: bytes) -> None:
        if path.parent == tmp_path:
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        real(path, data)

    monkeypatch.setattr(disk, "write", write)
    return out


def test_a_folder_in_an_unwritable_one_is_built_in_place_and_that_is_said(out: Path) -> None:
    """First and later builds, with what is not ours, and nothing is left behind."""
    assert write_site(out, FIRST) == Put(in_place=True)
    assert site(out) == FIRST
    (out / "CNAME").write_bytes(b"example.org")
    (out / "trees" / "a.html").write_bytes(b"scribble")
    (out / "trees" / "b.html").write_bytes(b"scrawl")
    (out / "index.html").chmod(0o640)

    kept = {"trees/a.html.by-hand": b"scribble", "trees/b.html.by-hand": b"scrawl"}
    assert write_site(out, SECOND) == Put(in_place=True, kept=tuple(kept))
    assert site(out) == {**SECOND, **kept, "CNAME": b"example.org"}
    assert (out / "index.html").stat().st_mode & 0o777 == 0o640
    assert set(json.loads((out / MANIFEST).read_text(encoding="utf-8"))["files"]) == set(SECOND)
    assert not list(out.glob(".firmripe*"))


def test_a_full_disk_changes_nothing(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All that is new is written aside before the first file is put."""
    write_site(out, FIRST)
    before, real = site(out), disk.write

    def full(path: Path, data: bytes) -> None:
        if path.name == "1":
            raise OSError(errno.ENOSPC, "No space left on device")
        real(path, data)

    with monkeypatch.context() as patch:
        patch.setattr(disk, "write", full)
        with pytest.raises(OSError, match="No space left"):
            write_site(out, SECOND)
    assert site(out) == before
    assert not list(out.glob(".firmripe*"))


def test_a_run_cut_off_among_its_files_is_ended_by_the_next(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its journal says what is still to do; a page that somebody wrote into meanwhile is kept."""
    write_site(out, FIRST)
    real = disk.replace

    def once(old: Path, new: Path) -> None:
        if new.name == MANIFEST:
            raise OSError(errno.EIO, "Input/output error")
        real(old, new)

    with monkeypatch.context() as patch:
        patch.setattr(disk, "replace", once)
        with pytest.raises(
            Unfinished, match="input/output error\nSome files of the new site stand already; the next build"
        ):
            write_site(out, SECOND)
    work = next(out.glob(".firmripe-build-*"))
    assert work.stat().st_mode & 0o077 == 0
    (out / "weeks" / "1.html").write_bytes(b"mine")

    put = write_site(out, SECOND)
    assert put.completed
    assert put.kept == ("weeks/1.html.by-hand",)
    assert site(out) == {**SECOND, "weeks/1.html.by-hand": b"mine"}


@pytest.mark.parametrize(
    "journal",
    ["", "{}", '{"format": 2, "put": {}, "take away": [], "was": {}}']
    + [json.dumps({"format": 1, "put": {n: "0"}, "take away": [], "was": {}}) for n in ("../x", "/etc/x", "a/../../x")]
    + [json.dumps({"format": 1, "put": {}, "take away": [n], "was": {}}) for n in ("index.html", 1)]
    + [json.dumps({"format": 1, "put": {n: "0"}, "take away": [], "was": {}}) for n in ("", "\0", "elsewhere/x")]
    + [json.dumps({"format": 1, "put": {}, "take away": [n], "was": {n: LETTER}}) for n in ("elsewhere/letter.txt",)]
    + ['{"format": 1, "put": ["x"], "take away": [], "was": {}}', pytest.param("[" * 100_000, id="deep")],
)
def test_a_journal_that_no_build_wrote_is_refused(out: Path, journal: str) -> None:
    """Nothing is done by it, least of all outside the site."""
    write_site(out, FIRST)
    elsewhere = out.with_name("elsewhere")
    elsewhere.mkdir()
    (elsewhere / "letter.txt").write_bytes(b"dear")
    (out / "elsewhere").symlink_to(elsewhere)
    (out / WORK).mkdir()
    (out / WORK / "journal.json").write_text(journal, encoding="utf-8")
    (out / WORK / "0").write_bytes(b"evil")
    before = site(out)

    with pytest.raises(Refused, match="no journal that can be read here"):
        write_site(out, SECOND)
    assert site(out) == before
    assert [path.name for path in elsewhere.iterdir()] == ["letter.txt"]


@pytest.mark.parametrize("is_link", [True, False])
def test_what_is_no_folder_under_a_builds_name_is_refused(out: Path, *, is_link: bool) -> None:
    """A build makes neither a link nor a file of that name, so what a link leads to stays."""
    write_site(out, FIRST)
    elsewhere = out.with_name("elsewhere")
    elsewhere.mkdir()
    (elsewhere / "1").write_bytes(b"mine")
    (out / WORK).symlink_to(elsewhere) if is_link else (out / WORK).write_bytes(b"mine")

    with pytest.raises(Refused, match="holds what no build made; move it away first"):
        write_site(out, SECOND)
    assert [path.name for path in elsewhere.iterdir()] == ["1"]


def test_an_empty_folder_in_place_of_a_page_makes_room(out: Path) -> None:
    """As it does where the whole site is replaced; nobody has to find out why no build comes to its end any more."""
    write_site(out, FIRST)
    for name in ("index.html", "trees/a.html"):
        (out / name).unlink()
        (out / name / "within").mkdir(parents=True)

    assert write_site(out, SECOND) == Put(in_place=True)
    assert site(out) == SECOND


def test_nothing_is_put_through_a_link(out: Path) -> None:
    """Where a folder of the site is a link, what it leads to is somebody's, even under names that are free there."""
    (out / "trees").symlink_to(out.parent)

    with pytest.raises(Refused, match=r"a link in .* leads away from trees/a.html; move it away first"):
        put_in_place(out, FIRST, {})
    assert [path.name for path in out.parent.iterdir()] == ["site"]


def test_a_folder_with_other_things_under_a_builds_name_is_refused(out: Path) -> None:
    """Only what a build makes is cleared away."""
    write_site(out, FIRST)
    (out / WORK).mkdir()
    (out / WORK / "0").write_bytes(b"half")
    write_site(out, SECOND)
    assert site(out) == SECOND

    (out / WORK).mkdir()
    (out / WORK / "letter.txt").write_bytes(b"dear")
    with pytest.raises(Refused, match="holds what no build made"):
        write_site(out, FIRST)
    assert (out / WORK / "letter.txt").read_bytes() == b"dear"


@pytest.fixture
def mounted(tmp_path: Path) -> Iterator[Path]:
    """Return a folder on which another disk is mounted."""
    out = tmp_path / "mounted"
    out.mkdir()
    try:
        subprocess.run(["mount", "-t", "tmpfs", "none", out], check=True, capture_output=True)  # noqa: S603, S607
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("nothing can be mounted here")
    yield out
    subprocess.run(["umount", out], check=True)  # noqa: S603, S607


def test_a_mount_point_is_built_in_place(mounted: Path) -> None:
    """It can't change places with another folder, as the system says itself."""
    assert write_site(mounted, FIRST).in_place
    assert write_site(mounted, SECOND).in_place
    assert site(mounted) == SECOND
    assert [path.name for path in mounted.parent.iterdir()] == ["mounted"]


@pytest.mark.parametrize(("windows", "held", "ends"), [(True, 3, True), (True, 99, False), (False, 1, False)])
def test_a_page_that_a_program_holds_open_is_waited_for_on_windows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, windows: bool, held: int, ends: bool
) -> None:
    """That system lets nobody replace it meanwhile; elsewhere a refusal is one at once."""
    tries, real = 0, Path.replace

    def replace(self: Path, target: Path) -> Path:
        nonlocal tries
        tries += 1
        if tries <= held:
            raise PermissionError(errno.EACCES, "Permission denied", str(target))
        return real(self, target)

    monkeypatch.setattr(disk, "_IS_WINDOWS", windows)
    monkeypatch.setattr(disk, "_PAUSE_S", 0)
    monkeypatch.setattr(Path, "replace", replace)
    (tmp_path / "new").write_bytes(b"new")
    (tmp_path / "old").write_bytes(b"old")
    if ends:
        disk.replace(tmp_path / "new", tmp_path / "old")
        assert (tmp_path / "old").read_bytes() == b"new"
    else:
        with pytest.raises(PermissionError):
            disk.replace(tmp_path / "new", tmp_path / "old")
        assert (tmp_path / "old").read_bytes() == b"old"


def test_a_file_that_can_not_be_put_leaves_a_journal_for_the_next_build(
    out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As where a program holds a page open for longer: what was begun is brought to its end later."""
    write_site(out, FIRST)
    real = disk.replace

    def refuse(old: Path, new: Path) -> None:
        if new.name == "1.html":
            raise PermissionError(errno.EACCES, "Permission denied", str(new))
        real(old, new)

    with monkeypatch.context() as patch:
        patch.setattr(disk, "replace", refuse)
        with pytest.raises(Unfinished, match=r"1\.html: permission denied"):
            write_site(out, SECOND)
    assert write_site(out, FIRST).completed
    assert site(out) == FIRST
