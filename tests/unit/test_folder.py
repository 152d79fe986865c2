"""Writing a site: the whole new one, or the former one as it was."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import re
import shutil
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from firmripe.publish import disk, folder, locking
from firmripe.publish.exchange import exchanged
from firmripe.publish.folder import write_site
from firmripe.publish.manifest import MANIFEST
from firmripe.publish.refusing import Refused

FIRST = {"index.html": b"one", "trees/a.html": b"a", "trees/b.html": b"b", "feeds/reminders.ics": b"feed"}
SECOND = {"index.html": b"two", "trees/a.html": b"a", "weeks/1.html": b"w"}


def held(top: Path) -> dict[str, bytes]:
    """Return every file of a folder by its path, with what it holds."""
    return {p.relative_to(top).as_posix(): p.read_bytes() for p in sorted(top.rglob("*")) if p.is_file()}


def names(top: Path) -> list[str]:
    """Return what lies in a folder, hidden or not."""
    return [path.name for path in top.iterdir()]


def site(top: Path) -> dict[str, bytes]:
    """Return the files of a site without its manifest."""
    return {name: data for name, data in held(top).items() if name != MANIFEST}


def file_by_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no folder be replaced as a whole, as it is with a mount point."""

    def busy(*_paths: Path) -> bool:
        raise OSError(errno.EBUSY, "Device or resource busy")

    monkeypatch.setattr(disk, "exchanged", busy)


def cut_off(out: Path) -> None:
    """Leave the journal that a run leaves which is cut off."""
    out.with_name(".site.journal").write_bytes(folder._JOURNAL)  # noqa: SLF001 - as such a run would


@contextlib.contextmanager
def held_by_another(place: Path) -> Iterator[None]:
    """Let another thread hold a folder meanwhile."""
    has_it, done = threading.Event(), threading.Event()

    def hold() -> None:
        with locking.alone(place):
            has_it.set()
            done.wait()

    thread = threading.Thread(target=hold)
    thread.start()
    has_it.wait()
    try:
        yield
    finally:
        done.set()
        thread.join()


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """Return a folder that a first build has written."""
    top = tmp_path / "site"
    write_site(top, FIRST)
    return top


def test_a_build_writes_its_files_and_a_manifest(out: Path) -> None:
    """Every file stands as given, and the manifest names them all."""
    assert site(out) == FIRST
    assert set(json.loads((out / MANIFEST).read_text(encoding="utf-8"))["files"]) == set(FIRST)


def test_folders_on_the_way_are_made(tmp_path: Path) -> None:
    """The site may lie in a folder that does not exist yet."""
    write_site(tmp_path / "a" / "b" / "site", FIRST)

    assert site(tmp_path / "a" / "b" / "site") == FIRST


def test_a_build_may_fill_an_empty_folder(tmp_path: Path) -> None:
    """An empty folder is as good as none."""
    (tmp_path / "site").mkdir()
    write_site(tmp_path / "site", FIRST)

    assert site(tmp_path / "site") == FIRST


def test_the_next_build_takes_away_what_the_former_wrote(out: Path) -> None:
    """Pages that are gone are gone, and their empty folders with them."""
    write_site(out, SECOND)

    assert site(out) == SECOND
    assert not (out / "feeds").exists()


def test_nothing_is_left_beside_the_site(out: Path) -> None:
    """No working folder is left over."""
    write_site(out, SECOND)

    assert names(out.parent) == ["site"]


def test_the_site_can_be_read_by_a_web_server(out: Path) -> None:
    """The folder is not private, as working folders are."""
    assert out.stat().st_mode & 0o755 == 0o755


# What is not ours


def test_a_folder_of_other_things_is_refused(tmp_path: Path) -> None:
    """A folder that holds files and no manifest is left alone."""
    (tmp_path / "letters.txt").write_text("dear", encoding="utf-8")

    with pytest.raises(Refused, match="holds files that are not a site built here"):
        write_site(tmp_path, FIRST)
    assert held(tmp_path) == {"letters.txt": b"dear"}


@pytest.mark.parametrize(
    "manifest",
    [
        *("", "not json", "[]", '{"files": 3}', '{"other": {}}', "\ufeff{}", '{"files": {"index.html": 1}}'),
        *('{"files": {}, "format": 1e999}', '{"files": {"index.html": "0"}, "for": []}'),
        pytest.param('{"files": {}, "more": ' + "[" * 100_000, id="deep"),
    ],
)
def test_a_broken_manifest_is_no_manifest(out: Path, manifest: str) -> None:
    """A folder whose manifest can't be read is not written over."""
    (out / MANIFEST).write_text(manifest, encoding="utf-8")
    before = held(out)

    with pytest.raises(Refused):
        write_site(out, SECOND)
    assert held(out) == before


@pytest.mark.parametrize("name", ["../letter.txt", "trees/../../letter.txt", "/etc/letter.txt", "", "trees\0"])
@pytest.mark.parametrize("hashed", ["0", hashlib.sha256(b"dear").hexdigest()])
@pytest.mark.parametrize("whole", [True, False])
def test_a_manifest_that_names_what_is_no_sites_is_no_manifest(
    out: Path, monkeypatch: pytest.MonkeyPatch, name: str, hashed: str, *, whole: bool
) -> None:
    """Whoever may write into a site gets nothing beside it taken away, moved or copied by its next build."""
    (out.parent / "letter.txt").write_bytes(b"dear")
    manifest = json.loads((out / MANIFEST).read_text(encoding="utf-8"))
    manifest["files"][name] = hashed
    (out / MANIFEST).write_text(json.dumps(manifest), encoding="utf-8")
    if not whole:
        file_by_file(monkeypatch)
    before = held(out.parent)

    with pytest.raises(Refused, match="holds files that are not a site built here"):
        write_site(out, SECOND)
    assert held(out.parent) == before


@pytest.mark.parametrize("whole", [True, False])
def test_a_folder_that_was_made_a_link_is_not_the_sites(
    out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, whole: bool
) -> None:
    """Files that lie elsewhere stay there, though a former build wrote the same under that name into the site."""
    feeds = tmp_path / "calendars"
    (out / "feeds").rename(feeds)
    (out / "feeds").symlink_to(feeds)
    if not whole:
        file_by_file(monkeypatch)

    assert write_site(out, SECOND).in_place is not whole
    assert held(feeds) == {"reminders.ics": b"feed"}
    assert (out / "feeds").is_symlink()
    with pytest.raises(Refused, match="feeds was not written by a build; move it away first"):
        write_site(out, FIRST)
    assert held(feeds) == {"reminders.ics": b"feed"}


def test_a_file_is_no_folder_for_a_site(tmp_path: Path) -> None:
    """A name that is a file is refused, and the file stays."""
    (tmp_path / "site").write_bytes(b"mine")

    with pytest.raises(Refused, match="is a file"):
        write_site(tmp_path / "site", FIRST)
    assert (tmp_path / "site").read_bytes() == b"mine"


def test_the_top_of_the_disk_is_refused() -> None:
    """A site is never the whole disk."""
    with pytest.raises(Refused, match="top of the disk"):
        write_site(Path("/"), FIRST)


def test_files_of_others_beside_a_build_are_kept(out: Path) -> None:
    """What somebody put into the site stays through later builds, in whatever depth."""
    mine = {"CNAME": b"example.org", ".git/HEAD": b"ref", "trees/notes/mine.txt": b"m"}
    for name, data in mine.items():
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_bytes(data)
    (out / ".git" / "refs" / "tags").mkdir(parents=True)
    write_site(out, SECOND)
    write_site(out, FIRST)

    assert site(out) == {**FIRST, **mine}
    assert (out / ".git" / "refs" / "tags").is_dir()


def test_links_of_others_are_kept_and_not_followed(out: Path, tmp_path: Path) -> None:
    """A link to a folder elsewhere stays a link, and what it leads to is not touched."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "photo.jpg").write_bytes(b"jpg")
    (out / "photos").symlink_to(elsewhere)
    (out / "lost").symlink_to(tmp_path / "nowhere")
    write_site(out, SECOND)

    assert (out / "photos").is_symlink()
    assert (out / "lost").is_symlink()
    assert held(elsewhere) == {"photo.jpg": b"jpg"}


@pytest.mark.parametrize(
    ("mine", "why"),
    [
        ("weeks/1.html", "the very file"),
        ("weeks", "a file where the site needs a folder"),
        ("index.html/mine.txt", "a folder where the site needs a file"),
    ],
)
def test_what_stands_in_the_way_is_refused_and_kept(tmp_path: Path, mine: str, why: str) -> None:
    """A build never writes over somebody else's file."""
    out = tmp_path / "site"
    write_site(out, {"trees/a.html": b"a"})
    (out / mine).parent.mkdir(parents=True, exist_ok=True)
    (out / mine).write_bytes(b"mine")
    before = held(out)

    with pytest.raises(Refused, match="was not written by a build; move it away first"):
        write_site(out, SECOND)
    assert held(out) == before, why


def test_a_page_changed_by_hand_is_made_new_and_kept_beside(out: Path) -> None:
    """What somebody wrote into a page is not lost: it stands beside the new one, once, through later builds."""
    (out / "trees" / "a.html").write_bytes(b"scribble")
    (out / "trees" / "b.html").write_bytes(b"scrawl")
    put = write_site(out, SECOND)

    mine = {"trees/a.html.by-hand": b"scribble", "trees/b.html.by-hand": b"scrawl"}
    assert site(out) == {**SECOND, **mine}
    assert put.kept == tuple(mine)
    assert write_site(out, FIRST).kept == ()
    (out / "trees" / "a.html").write_bytes(b"scribble")
    assert write_site(out, FIRST).kept == ()
    (out / "trees" / "a.html").write_bytes(b"again")
    assert write_site(out, FIRST).kept == ("trees/a.html.by-hand-2",)
    assert site(out) == {**FIRST, **mine, "trees/a.html.by-hand-2": b"again"}


def test_a_page_changed_while_the_sites_change_places_is_kept(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The last moment in which somebody may write into the former site is no gap either."""
    real = disk.exchanged

    def late(one: Path, other: Path) -> bool:
        (out / "feeds" / "reminders.ics").unlink()  # as an editor does that saves under a new name
        (out / "feeds" / "reminders.ics").write_bytes(b"late")
        return real(one, other)

    monkeypatch.setattr(disk, "exchanged", late)

    assert write_site(out, SECOND).kept == ("feeds/reminders.ics.by-hand",)
    assert site(out) == {**SECOND, "feeds/reminders.ics.by-hand": b"late"}


def test_line_ends_alone_are_no_change_by_hand(tmp_path: Path) -> None:
    """A program that carries files to another system may write other line ends."""
    out = tmp_path / "site"
    write_site(out, {"a.html": b"one\ntwo\n"})
    (out / "a.html").write_bytes(b"one\r\ntwo\r\n")

    assert write_site(out, {"a.html": b"three\n"}).kept == ()
    assert site(out) == {"a.html": b"three\n"}


def test_rights_and_groups_of_folders_and_files_stay(out: Path) -> None:
    """Who shares the site's folder with a group does not have to share it again after each build."""
    (out / "album").mkdir(mode=0o700)
    (out / "trees").chmod(0o2750)
    out.chmod(0o2775)
    (out / "index.html").chmod(0o640)
    (out / "album" / "photo.jpg").write_bytes(b"jpg")
    write_site(out, SECOND)

    modes = {name: (out / name).stat().st_mode & 0o7777 for name in (".", "trees", "index.html", "album")}
    assert modes == {".": 0o2775, "trees": 0o2750, "index.html": 0o640, "album": 0o700}


def test_a_site_of_a_newer_program_is_left_alone(out: Path) -> None:
    """What is not known here is not written over; the message names both forms."""
    manifest = json.loads((out / MANIFEST).read_text(encoding="utf-8"))
    assert manifest["format"] == 1
    (out / MANIFEST).write_text(json.dumps({**manifest, "format": 2}), encoding="utf-8")
    before = held(out)

    with pytest.raises(Refused, match=r"written by a newer firmripe \(its manifest has format 2, this one knows 1"):
        write_site(out, SECOND)
    assert held(out) == before


@pytest.mark.parametrize("name", ["../escape.html", "a/../../escape.html", "/escape.html"])
def test_a_name_that_leads_out_is_refused(out: Path, name: str) -> None:
    """No file is ever written outside the folder, and the former site stands."""
    before = held(out.parent)

    with pytest.raises(ValueError, match="leads out of the site"):
        write_site(out, {**SECOND, name: b"x"})
    assert held(out.parent) == before


# What the disk won't take


def failing_after(monkeypatch: pytest.MonkeyPatch, method: str, allowed: int) -> None:
    """Let a method of Path work a number of times and then fail as a full disk does."""
    real: Callable[..., object] = getattr(Path, method)
    calls = 0

    def full(self: Path, *args: object, **kwargs: object) -> object:
        nonlocal calls
        calls += 1
        if calls == allowed + 1:
            raise OSError(28, "No space left on device")
        return real(self, *args, **kwargs)

    monkeypatch.setattr(Path, method, full)


@pytest.mark.parametrize("allowed", range(4))  # the journal, two new pages, the manifest
def test_a_write_that_fails_leaves_the_former_site(out: Path, monkeypatch: pytest.MonkeyPatch, allowed: int) -> None:
    """Whichever file the disk fills up at, the former site stands byte for byte and nothing lies about."""
    (out / "CNAME").write_bytes(b"example.org")
    before = held(out.parent)
    failing_after(monkeypatch, "write_bytes", allowed)

    with pytest.raises(OSError, match="No space left"):
        write_site(out, SECOND)
    assert held(out.parent) == before
    assert names(out.parent) == ["site"]


@pytest.mark.parametrize("method", ["mkdir", "chmod"])
def test_a_new_site_that_can_not_be_finished_leaves_the_former(
    out: Path, monkeypatch: pytest.MonkeyPatch, method: str
) -> None:
    """Its folder and its rights may fail as well."""
    before = held(out.parent)
    failing_after(monkeypatch, method, 0)

    with pytest.raises(OSError, match="No space left"):
        write_site(out, SECOND)
    assert held(out.parent) == before


@pytest.mark.parametrize("allowed", range(2))
def test_a_swap_in_two_steps_that_fails_leaves_the_former_site(
    out: Path, monkeypatch: pytest.MonkeyPatch, allowed: int
) -> None:
    """Where the system can't exchange two folders, each of the renames may fail."""
    before = held(out)
    monkeypatch.setattr(disk, "exchanged", lambda _one, _other: False)
    failing_after(monkeypatch, "rename", allowed)

    with pytest.raises(OSError, match="No space left"):
        write_site(out, SECOND)
    assert held(out) == before
    monkeypatch.undo()
    write_site(out, SECOND)
    assert site(out) == SECOND
    assert names(out.parent) == ["site"]


def test_a_swap_that_can_not_be_undone_either_is_mended_by_the_next_run(
    out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What waits beside the site's place is then the former site, never half of the new one."""
    (out / "CNAME").write_bytes(b"example.org")
    before, real = held(out), Path.rename

    def once(self: Path, target: Path) -> Path:
        if self != out:
            raise OSError(5, "Input/output error")
        return real(self, target)

    with monkeypatch.context() as patch:
        patch.setattr(disk, "exchanged", lambda _one, _other: False)
        patch.setattr(Path, "rename", once)
        with pytest.raises(OSError, match="Input/output"):
            write_site(out, SECOND)
    assert not out.exists()
    assert held(out.with_name(".site.former")) == before
    assert out.with_name(".site.journal").exists()

    write_site(out, SECOND)
    assert site(out) == {**SECOND, "CNAME": b"example.org"}
    assert names(out.parent) == ["site"]


def test_a_system_without_exchange_and_hard_links_does_as_well(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same site stands, with what was not ours."""

    def refuse(*_args: object, **_kwargs: object) -> None:
        raise OSError(95, "Operation not supported")

    (out / "CNAME").write_bytes(b"example.org")
    (out / "lost").symlink_to("nowhere")
    monkeypatch.setattr(disk, "exchanged", lambda _one, _other: False)
    monkeypatch.setattr(os, "link", refuse)
    write_site(out, SECOND)

    assert site(out) == {**SECOND, "CNAME": b"example.org"}
    assert (out / "lost").is_symlink()


def test_two_folders_change_places(tmp_path: Path) -> None:
    """In one step, where this system can; and a path that is not there is no reason to crash."""
    for name in "ab":
        write_site(tmp_path / name, {"index.html": name.encode()})
    if not exchanged(tmp_path / "a", tmp_path / "b"):
        pytest.skip("this system can't exchange two folders")

    assert (tmp_path / "a" / "index.html").read_bytes() == b"b"
    assert not exchanged(tmp_path / "a", tmp_path / "gone")


def test_two_builds_at_once_do_not_mix(out: Path) -> None:
    """Each of many builds at once leaves its own site whole; the last one stands, and nothing lies about."""
    sites = [{f"{n}/{page}.html": b"%d" % n * 1000 for page in range(20)} for n in range(8)]
    threads = [threading.Thread(target=write_site, args=(out, one)) for one in sites]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert site(out) in sites
    assert names(out.parent) == ["site"]


def test_a_build_that_does_not_end_is_not_waited_for_for_ever(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second one gives up in words."""
    monkeypatch.setattr(locking, "TRIES", 1)
    with held_by_another(out.parent), pytest.raises(Refused, match="another build"):
        write_site(out, SECOND)

    assert site(out) == FIRST


def test_a_site_that_is_a_link_is_written_where_it_leads(out: Path, tmp_path: Path) -> None:
    """The link stays a link."""
    (tmp_path / "link").symlink_to(out)
    write_site(tmp_path / "link", SECOND)

    assert (tmp_path / "link").is_symlink()
    assert site(out) == SECOND


def test_a_page_that_was_made_a_link_is_not_written_through(out: Path, tmp_path: Path) -> None:
    """What it leads to stays as it was."""
    (tmp_path / "mine.html").write_bytes(b"mine")
    (out / "index.html").unlink()
    (out / "index.html").symlink_to(tmp_path / "mine.html")
    write_site(out, SECOND)

    assert site(out) == {**SECOND, "index.html.by-hand": b"mine"}
    assert (out / "index.html.by-hand").is_symlink()
    assert (tmp_path / "mine.html").read_bytes() == b"mine"
    assert not (out / "index.html").is_symlink()


@pytest.mark.parametrize("allowed", range(len(FIRST) + 2))
def test_a_first_build_that_fails_leaves_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, allowed: int
) -> None:
    """Half a site is no site."""
    failing_after(monkeypatch, "write_bytes", allowed)

    with pytest.raises(OSError, match="No space left"):
        write_site(tmp_path / "site", FIRST)
    assert names(tmp_path) == []


def test_a_build_after_a_failed_one_succeeds(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A failure leaves nothing that would hinder the next build."""
    with monkeypatch.context() as patch:
        failing_after(patch, "write_bytes", 1)
        with pytest.raises(OSError, match="No space left"):
            write_site(out, SECOND)
    write_site(out, SECOND)

    assert site(out) == SECOND


def test_a_run_cut_off_before_the_new_site_stood_is_mended(out: Path) -> None:
    """Where the former site had been moved away and no new one stands, the next run starts from the former."""
    (out / "CNAME").write_bytes(b"example.org")
    cut_off(out)
    out.rename(out.with_name(".site.former"))
    write_site(out, SECOND)

    assert site(out) == {**SECOND, "CNAME": b"example.org"}
    assert not out.with_name(".site.former").exists()


def test_a_run_cut_off_before_it_had_cleared_up_is_finished(out: Path) -> None:
    """Where both sites stand, what was not ours is brought over and the former one goes."""
    (out / "CNAME").write_bytes(b"example.org")
    cut_off(out)
    out.rename(out.with_name(".site.former"))
    write_site(out.with_name("fresh"), SECOND)
    out.with_name("fresh").rename(out)
    write_site(out, SECOND)

    assert site(out) == {**SECOND, "CNAME": b"example.org"}
    assert names(out.parent) == ["site"]


def test_a_run_cut_off_right_after_the_exchange_is_finished(out: Path) -> None:
    """The former site then lies where the new one was made; what somebody wrote into it at that moment is kept."""
    write_site(out.with_name("fresh"), SECOND)
    (out / "late" / "empty").mkdir(parents=True)
    (out / "late" / "photo.jpg").write_bytes(b"jpg")
    cut_off(out)
    out.rename(out.with_name(".site.new"))
    out.with_name("fresh").rename(out)
    write_site(out, SECOND)

    assert site(out) == {**SECOND, "late/photo.jpg": b"jpg"}
    assert (out / "late" / "empty").is_dir()
    assert names(out.parent) == ["site"]


@pytest.mark.parametrize("beside", [".site.new", ".site.former"])
def test_a_run_cut_off_while_it_wrote_or_cleared_up_leaves_nothing_of_it(out: Path, beside: str) -> None:
    """Pages without a manifest, half written or half cleared away, are nobody's: they don't come into the site."""
    write_site(out.with_name(beside), {"old/page.html": b"old", "index.html": b"old"})
    (out.with_name(beside) / MANIFEST).unlink()
    cut_off(out)
    write_site(out, SECOND)

    assert site(out) == SECOND
    assert names(out.parent) == ["site"]


@pytest.mark.parametrize("name", [".site.new", ".site.former", ".site.journal"])
@pytest.mark.parametrize("whole", [True, False])
def test_what_no_build_made_beside_the_site_is_left_and_named(out: Path, name: str, *, whole: bool) -> None:
    """A folder of somebody's that bears a name a build works under is theirs, be it a copy of a site or none."""
    mine = out.with_name(name)
    if name.endswith("journal"):
        mine.write_text("dear diary", encoding="utf-8")
    elif whole:
        shutil.copytree(out, mine)
    else:
        (mine / "letters").mkdir(parents=True)
        (mine / "letters" / "dear.txt").write_bytes(b"dear")
    before = held(out.parent)

    with pytest.raises(Refused, match=rf"{re.escape(name)} stands where a build works, and no build"):
        write_site(out, SECOND)
    assert held(out.parent) == before


@pytest.mark.parametrize("name", [".site.new", ".site.former"])
def test_a_link_beside_the_site_is_no_builds_whatever_a_journal_says(out: Path, tmp_path: Path, name: str) -> None:
    """A journal's words are no secret: in a folder for all, anybody may put it there with a link to what is yours."""
    home = tmp_path / "home"
    home.mkdir()
    (home / "letter.txt").write_bytes(b"dear")
    cut_off(out)
    out.with_name(name).symlink_to(home)

    with pytest.raises(Refused, match=rf"{re.escape(name)} stands where a build works, and no build"):
        write_site(out, SECOND)
    assert held(home) == {"letter.txt": b"dear"}


def test_what_another_user_put_into_a_folder_for_all_is_no_builds(
    out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a folder for temporary files, nothing of theirs comes into the site; where a group shares one, it does."""
    cut_off(out)
    late = out.with_name(".site.former") / "late.html"
    write_site(late.parent, FIRST)
    late.write_bytes(b"late")
    tmp_path.chmod(0o1777)
    with monkeypatch.context() as patch:
        patch.setattr(os, "geteuid", lambda: tmp_path.stat().st_uid + 1)
        with pytest.raises(Refused, match="stands where a build works, and no build that was cut off made it"):
            write_site(out, SECOND)
        assert not (out / "late.html").exists()
        tmp_path.chmod(0o775)
        write_site(out, SECOND)
    assert site(out) == {**SECOND, "late.html": b"late"}


def test_the_very_beginning_of_a_journal_vouches_for_nothing(out: Path) -> None:
    """A run cut off there had made nothing else yet, so what else lies there is somebody's."""
    cut_off(out)
    out.with_name(".site.journal").write_bytes(b"")
    write_site(out, SECOND)
    assert names(out.parent) == ["site"]

    out.with_name(".site.journal").write_bytes(b"A fir")
    (out.with_name(".site.new") / "mine").mkdir(parents=True)
    with pytest.raises(Refused, match=r"\.site\.new stands where a build works"):
        write_site(out, FIRST)


def test_a_newer_file_of_others_is_not_put_back(out: Path) -> None:
    """Where somebody wrote the same file again after a run was cut off, the newer one stays."""
    (out / "CNAME").write_bytes(b"old.example.org")
    cut_off(out)
    out.rename(out.with_name(".site.former"))
    write_site(out.with_name("fresh"), SECOND)
    out.with_name("fresh").rename(out)
    (out / "CNAME").write_bytes(b"new.example.org")
    write_site(out, SECOND)

    assert (out / "CNAME").read_bytes() == b"new.example.org"


# What has not changed


def test_an_unchanged_file_keeps_its_time(out: Path) -> None:
    """A page with the same bytes keeps the time of its last change, a changed one does not."""
    long_ago = 1_700_000_000
    for name in FIRST:
        os.utime(out / name, (long_ago, long_ago))
    write_site(out, SECOND)

    assert (out / "trees/a.html").stat().st_mtime == long_ago
    assert (out / "index.html").stat().st_mtime > long_ago


def test_the_manifest_is_the_same_for_the_same_site(tmp_path: Path) -> None:
    """Neither the order of the files nor the folder's name is in it."""
    write_site(tmp_path / "a", FIRST)
    write_site(tmp_path / "b", dict(reversed(FIRST.items())))

    assert held(tmp_path / "a") == held(tmp_path / "b")


def test_the_manifest_says_whom_a_site_is_for(tmp_path: Path) -> None:
    """One for another reader is refused and leaves it as it was; builds from before that was written are ours."""
    out = tmp_path / "site"
    write_site(out, {"a.html": b"ours"})
    manifest = json.loads((out / MANIFEST).read_text(encoding="utf-8"))
    del manifest["for"]
    (out / MANIFEST).write_text(json.dumps(manifest), encoding="utf-8")

    with pytest.raises(Refused, match="holds the site for the household, and this one is for everybody"):
        write_site(out, {"a.html": b"theirs"}, made_for="everybody")
    assert (out / "a.html").read_bytes() == b"ours"

    write_site(out, {"a.html": b"ours again"})
    assert json.loads((out / MANIFEST).read_text(encoding="utf-8"))["for"] == "household"
