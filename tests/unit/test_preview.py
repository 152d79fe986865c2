"""The site while its notes are being written."""

from __future__ import annotations

import json
import mimetypes
import re
import threading
from collections.abc import Iterator
from datetime import date
from http.client import HTTPConnection, HTTPResponse
from pathlib import Path

import pytest
from conftest import write_notes

from firmripe.build import plan_of
from firmripe.plan import Plan
from firmripe.preview import EVERYWHERE, HERE, Preview, Shown, server_of, watch
from firmripe.problems import Unreadable

NOTES = {"trees/1-01.md": "---\ncultivar: Bartlett\n---\nBy the gate.\n", "place.md": "---\nname: Home\n---\n"}
TOP = "/k3/"
"""The path below which it is served here."""
FAULTY = "---\nkultivar: <b>Bosc</b>\n---\n"


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Return a small household."""
    return write_notes(tmp_path / "notes", NOTES)


@pytest.fixture
def preview(notes: Path) -> Preview:
    """Return a preview of it, not yet built."""
    return Preview(lambda: plan_of(notes, 2027, date(2027, 6, 1)), TOP)


@pytest.fixture
def port(preview: Preview) -> Iterator[int]:
    """Serve the preview and return the port."""
    preview.rebuild()
    with server_of(preview, 0) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield server.server_port
        server.shutdown()
        thread.join()


@pytest.fixture(scope="module")
def still(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """Serve a preview that nothing changes, and return the port."""
    notes = write_notes(tmp_path_factory.mktemp("still"), NOTES)
    preview = Preview(lambda: plan_of(notes, 2027, date(2027, 6, 1)), TOP)
    preview.rebuild()
    with server_of(preview, 0) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield server.server_port
        server.shutdown()
        thread.join()


def ask(port: int, path: str, host: str = "", **headers: str) -> tuple[HTTPResponse, str]:
    """Ask for a path below the preview's own."""
    return ask_whole(port, f"{TOP}{path.removeprefix('/')}", host, **headers)


def ask_whole(port: int, path: str, host: str = "", **headers: str) -> tuple[HTTPResponse, str]:
    """Ask for a path as it stands."""
    connection = HTTPConnection(HERE, port, timeout=30)
    named = {name.replace("_", "-"): said for name, said in headers.items()}
    connection.request("GET", path, headers={**named, **({"Host": host} if host else {})})
    answer = connection.getresponse()
    body = answer.read().decode()
    connection.close()
    return answer, body


def test_pages_are_shown_and_nothing_is_written(port: int, notes: Path) -> None:
    """The site is in memory alone; each page asks whether there is a newer one."""
    answer, body = ask(port, "/")

    assert answer.status == 200
    assert "Home" in body
    assert '<script src="/k3/-preview.js" data-version="1" data-state="/k3/-preview.json"></script>' in body
    assert "To be mended" not in body
    assert ask(port, "/static/box-tag.css")[0].getheader("Content-Type") == "text/css; charset=utf-8"
    assert ask(port, "/feeds/reminders.ics")[1].startswith("BEGIN:VCALENDAR")
    assert {p.relative_to(notes).as_posix() for p in notes.rglob("*") if p.is_file()} == set(NOTES)


def test_a_file_is_what_its_ending_says_whatever_the_system_thinks(still: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """On Windows any program can say that scripts are plain text, and a browser then runs none."""
    monkeypatch.setattr(mimetypes, "_db", mimetypes.MimeTypes())  # the whole process reads it
    mimetypes.add_type("text/plain", ".js")
    kinds = {path: ask(still, path)[0].getheader("Content-Type") or "" for path in ("/static/box-tag.js", "/plan.csv")}
    assert kinds == {"/static/box-tag.js": "text/javascript; charset=utf-8", "/plan.csv": "text/csv; charset=utf-8"}


def test_a_preview_keeps_no_page(still: int) -> None:
    """It registers no worker, and one that a built site left at its address is replaced by one that goes away."""
    answer, script = ask_whole(still, "/sw.js")

    assert "data-worker" not in ask(still, "/")[1]
    assert (answer.getheader("Content-Type") or "").startswith("text/javascript")
    assert "unregister()" in script
    assert "caches" not in script


def test_a_policy_lets_nothing_in_but_the_previews_own(still: int) -> None:
    """No other host is asked, and no other site may frame it."""
    policy = ask(still, "/")[0].getheader("Content-Security-Policy") or ""

    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert 'http-equiv="Content-Security-Policy"' not in ask(still, "/")[1]


@pytest.mark.parametrize(
    "path", ["/../place.md", "/%2e%2e/place.md", "/etc/passwd", "//etc/passwd", "/trees/gone.html"]
)
def test_nothing_but_the_site_is_served(still: int, path: str) -> None:
    """Whatever is asked for, no file is opened for it."""
    answer, body = ask(still, path)

    assert answer.status == 404
    assert "There is no such page any more." in body
    assert "name: Home" not in body
    assert ask_whole(still, path)[0].status == 404


def test_the_path_can_not_be_guessed_and_is_told_to_nobody(notes: Path, still: int) -> None:
    """Each preview has its own; the top of the address says nothing of it, and no page elsewhere learns it."""
    tops = {Preview(lambda: plan_of(notes, 2027, date(2027, 6, 1))).top for _ in range(9)}
    answer, body = ask_whole(still, "/")

    assert len(tops) == 9
    assert all(re.fullmatch(r"/[\w-]{22}/", top) for top in tops)
    assert (answer.status, body) == (404, "Open the whole address that the preview tells.\n")
    assert ask(still, "/")[0].getheader("Referrer-Policy") == "no-referrer"


PATHS = ["", "static/names.js", "plan.json", "feeds/reminders.ics", "-preview.json?after=0", "-preview.js"]


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Sec_Fetch_Site": "none"}, 200),
        ({"Sec_Fetch_Site": "same-origin"}, 200),
        ({"Sec_Fetch_Site": "same-site"}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "navigate"}, 403),
        ({"Sec_Fetch_Site": "strange"}, 403),
        ({"Origin": "https://evil.example"}, 403),
        ({"Origin": "null"}, 403),
    ],
)
def test_no_page_of_another_place_is_answered(still: int, path: str, headers: dict[str, str], status: int) -> None:
    """A browser says who asks (W3C Fetch Metadata); whatever is answered may be used by our own pages alone."""
    answer, body = ask(still, path, **headers)

    assert answer.status == status
    assert answer.getheader("Cross-Origin-Resource-Policy") == "same-origin"
    assert answer.getheader("Access-Control-Allow-Origin") is None
    if status == 403:
        assert body == "Type the address of the preview, or open it from its own pages.\n"


def test_its_own_origin_is_answered(still: int) -> None:
    """As its scripts tell it, by either of this computer's names."""
    for host in (f"127.0.0.1:{still}", f"localhost:{still}"):
        assert ask(still, "", host, Origin=f"http://{host}")[0].status == 200
    assert ask(still, "", f"127.0.0.1:{still}", Origin=f"http://localhost:{still}")[0].status == 403


def test_the_first_build_is_told_on_the_page(preview: Preview) -> None:
    """Whoever opens the address at once reads why there is nothing yet, and gets the page once it is there."""
    status, kind, body = preview.page("/")

    assert (status, kind) == (200, "text/html")
    assert b"The site is being built for the first time." in body
    assert b'data-version="0"' in body
    preview.rebuild()
    assert b"preview-begun" not in preview.page("/")[2]


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (RecursionError("maximum recursion depth"), "by a fault of the program itself"),
        (OverflowError("date value out of range"), "date value out of range"),
        (MemoryError(), "by a fault of the program itself"),
        (PermissionError(13, "Permission denied", "trees/a.md"), "trees/a.md: permission denied"),
        (Unreadable('"Mud" is nobody in place.md', 'did you mean "Maud"?'), '"Mud" is nobody in place.md; did you'),
    ],
)
def test_no_error_of_a_rebuild_ends_the_preview(notes: Path, error: Exception, said: str) -> None:
    """It is told above the last good page, and the next change is built again."""
    errors: list[Exception] = []

    def plan() -> Plan:
        if errors:
            raise errors.pop()
        return plan_of(notes, 2027, date(2027, 6, 1))

    shown = Preview(plan)
    shown.rebuild()
    errors.append(error)

    assert said in shown.rebuild().fault
    assert b"By the gate." in shown.page("/trees/1-01.html")[2]
    assert b"To be mended" in shown.page("/trees/1-01.html")[2]
    assert shown.rebuild().fault == ""


def test_a_folder_that_goes_away_and_comes_back_is_followed(
    notes: Path, preview: Preview, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that was taken out ends no preview either."""
    monkeypatch.setattr("firmripe.preview._AGAIN_S", 0.1)
    preview.rebuild()
    notes.rename(notes.with_name("away"))
    told: list[Shown] = []
    stop, seen = threading.Event(), threading.Event()

    def tell(shown: Shown) -> None:
        told.append(shown)
        seen.set()

    thread = threading.Thread(target=watch, args=(notes, preview, tell, stop))
    thread.start()
    try:
        assert seen.wait(20)
        assert told[0].fault
        notes.with_name("away").rename(notes)
        for attempt in range(20):
            write_notes(notes, {"place.md": f"---\nname: Yard\n---\n{attempt}\n"})
            if any(shown.fault == "" for shown in told) or stop.wait(1):
                break
    finally:
        stop.set()
        thread.join()
    assert told[-1].fault == ""
    assert b"Yard" in preview.page("/")[2]


@pytest.mark.parametrize(
    ("host", "status"), [("localhost:1", 200), ("127.0.0.1", 200), ("evil.example:80", 421), ("evil.example", 421)]
)
def test_only_this_computers_own_names_are_answered(still: int, host: str, status: int) -> None:
    """A page elsewhere whose name was pointed here reads nothing."""
    assert ask(still, "/", host)[0].status == status


def test_the_server_listens_on_this_computer_alone_unless_asked(preview: Preview) -> None:
    """The network sees it by a flag only."""
    with server_of(preview, 0) as server:
        assert server.server_address[0] == HERE
    with server_of(preview, 0, lan=True) as server:
        assert server.server_address[0] == EVERYWHERE


def test_faulty_notes_are_told_on_the_last_good_page(port: int, notes: Path, preview: Preview) -> None:
    """The page stays, and what is wrong stands above it as text; once mended it goes."""
    (notes / "trees" / "1-01.md").write_text(FAULTY, encoding="utf-8")
    preview.rebuild()
    body = ask(port, "/trees/1-01.html")[1]

    assert "By the gate." in body
    assert "The page below is the last one that could be built." in body
    assert "trees/1-01.md:2: the key &quot;kultivar&quot; is not known" in body
    assert "&lt;b&gt;Bosc" in body
    write_notes(notes, NOTES)
    preview.rebuild()
    assert "To be mended" not in ask(port, "/trees/1-01.html")[1]


def test_notes_that_are_faulty_from_the_start_are_told_on_a_page_of_their_own(notes: Path) -> None:
    """There is no site yet, but there is something to read."""
    (notes / "trees" / "1-01.md").write_text(FAULTY, encoding="utf-8")
    shown = Preview(lambda: plan_of(notes, 2027, date(2027, 6, 1)))
    shown.rebuild()
    status, kind, body = shown.page("/")

    assert (status, kind) == (200, "text/html")
    assert b"There is no page yet." in body
    assert b"kultivar" in body


def test_a_page_waits_for_the_next_version(port: int, preview: Preview) -> None:
    """The answer comes when there is something new, at once for a page that is behind."""
    threading.Timer(0.3, preview.rebuild).start()

    assert json.loads(ask(port, "/-preview.json?after=1")[1]) == {"version": "2"}
    assert json.loads(ask(port, "/-preview.json?after=1")[1]) == {"version": "2"}


def test_a_change_of_the_notes_is_seen(notes: Path, preview: Preview) -> None:
    """A saved note is built; the site's own folder and hidden files are passed over."""
    preview.rebuild()
    told: list[Shown] = []
    seen, stop = threading.Event(), threading.Event()

    def tell(shown: Shown) -> None:
        told.append(shown)
        seen.set()

    thread = threading.Thread(target=watch, args=(notes, preview, tell, stop))
    thread.start()
    try:
        for attempt in range(20):  # the watch may not have begun at the first
            write_notes(notes, {"site/index.html": str(attempt), ".hidden.md": str(attempt)})
            if not seen.wait(0.5):
                write_notes(notes, {"place.md": f"---\nname: Yard\n---\n{attempt}\n"})
            if seen.wait(2):
                break
    finally:
        stop.set()
        thread.join()
    assert told
    assert told[-1].fault == ""
    assert b"Yard" in preview.page("/")[2]
