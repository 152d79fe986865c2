"""A household's own theme in a browser: what it names on other hosts is asked of none, and its files are kept."""

from __future__ import annotations

import html
import os
import shutil
from collections.abc import Iterator
from datetime import date
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import quote

import pytest
from conftest import write_notes
from serving import running, served

from firmripe.build import site_plan_of, write_plan

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
IN_CI = os.environ.get("FIRMRIPE_CI") == "1"
if CHROMIUM is None and not IN_CI:
    pytest.skip("chromium is not installed", allow_module_level=True)
if not IN_CI:
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Page, expect, sync_playwright  # noqa: E402

NOTES = {
    "place.md": "---\nname: Home\nzone: 6b\n---\n",
    "trees/a.md": "---\ntree: A\ncultivar: Bartlett\n---\n",
    "trees/b.md": "---\ntree: B\ncultivar: Bosc\n---\n",
}
TOKENS = """@import url("HOST/import.css");
@font-face { font-family: other; src: url("HOST/font.woff2"); }
body { background: url("HOST/ground.png"); font-family: other; }
"""
HEAD = """<base href="HOST/base/">
<meta http-equiv="Content-Security-Policy" content="default-src * 'unsafe-inline'">
<script src="HOST/head.js"></script><link rel="stylesheet" href="HOST/head.css"><link rel="icon" href="HOST/icon.png">
<link rel="preload" as="script" href="HOST/preload.js"><link rel="prefetch" href="HOST/prefetch.html">
<link rel="modulepreload" href="HOST/module.js"><link rel="manifest" href="HOST/manifest.json">
"""
MAIN = """<script>document.body.dataset.inline = "yes"</script><script src="HOST/main.js"></script>
<script type="module" src="HOST/main-module.js"></script><script src="static/own.js"></script>
<img src="HOST/a.png" onerror="document.body.dataset.inline = 'yes'"><iframe src="HOST/frame.html"></iframe>
<object data="HOST/object"></object><video src="HOST/video" autoplay></video><p style="background: url(HOST/b.png)">.</p>
<svg><image href="HOST/c.png"/></svg><form id="form" action="HOST/form"></form><a id="ping" href="#here" ping="HOST/ping">.</a>
<a id="code" href="javascript:void (document.body.dataset.inline = 'yes')">.</a>
"""
OWN_JS = """document.body.dataset.own = "yes";
const added = document.createElement("script");
added.src = "HOST/added.js";
for (const attempt of [
  () => document.head.append(added), () => fetch("HOST/fetch"), () => new EventSource("HOST/events"),
  () => navigator.sendBeacon("HOST/beacon"), () => { new Image().src = "HOST/d.png"; },
  () => new Worker("HOST/worker.js"), () => import("HOST/import.js"), () => eval("document.body.dataset.inline = 'yes'"),
]) try { attempt()?.catch?.(() => {}); } catch {}
"""


class Elsewhere(ThreadingHTTPServer):
    """Another host, which keeps what it is asked for."""

    def __init__(self) -> None:
        self.asked: list[str] = []

        class Answers(BaseHTTPRequestHandler):
            server: Elsewhere

            def do_GET(self) -> None:
                self.server.asked.append(self.path)
                self.send_response(200)
                self.send_header("Access-Control-Allow-Origin", "*")
                self.send_header("Content-Length", "0")
                self.end_headers()

            do_POST = do_HEAD = do_OPTIONS = do_GET  # noqa: N815 - the library's own names

            def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's own name
                """Say nothing."""

        super().__init__(("127.0.0.1", 0), Answers)

    @property
    def address(self) -> str:
        """Where it is."""
        return f"http://127.0.0.1:{self.server_port}"


@pytest.fixture
def elsewhere() -> Iterator[Elsewhere]:
    """Return another host."""
    server = Elsewhere()
    with running(server):
        yield server


@pytest.fixture
def page() -> Iterator[Page]:
    """Return an empty page."""
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield browser.new_page()
        browser.close()


def site_of(top: Path, elsewhere: Elsewhere, front: str) -> Path:
    """Return the site of a household whose theme names another host wherever a page can."""
    theme = {
        "theme/tokens.css": TOKENS,
        "theme/static/own.js": OWN_JS,
        "theme/templates/front.html": front,
    }
    own = {name: text.replace("HOST", elsewhere.address) for name, text in theme.items()}
    notes = write_notes(top / "notes", {**NOTES, **own})
    write_plan(site_plan_of(notes, 2027, date(2027, 8, 20)), notes, top / "site")
    return top / "site"


def left_on(page: Page) -> dict[str, str]:
    """Return what the scripts of a page left on it."""
    left: dict[str, str] = page.evaluate("() => ({ ...document.body.dataset })")
    return left


@pytest.mark.parametrize("from_disk", [True, False])
def test_an_own_page_over_the_themes_base_asks_no_other_host(
    tmp_path: Path, elsewhere: Elsewhere, page: Page, *, from_disk: bool
) -> None:
    """No script, style, font, picture, frame, form or ping; a script of the site's own works, and none in the page."""
    front = f'{{% extends "box-tag/base.html" %}}{{% block head %}}{HEAD}{{% endblock %}}{{% block main %}}{MAIN}{{% endblock %}}'
    site = site_of(tmp_path, elsewhere, front)
    with served(site) as address:
        web = f"{address}index.html"
        page.goto((site / "index.html").as_uri() if from_disk else web, wait_until="load")
        for name in ("code", "ping"):
            page.locator(f"#{name}").dispatch_event("click")
        left = left_on(page)
        page.evaluate("() => document.getElementById('form').submit()")
        page.wait_for_timeout(500)

    assert elsewhere.asked == []
    assert left.get("own") == "yes"
    assert "inline" not in left


def test_files_of_any_name_are_kept_for_when_there_is_no_signal(tmp_path: Path, page: Page) -> None:
    """And none keeps the others from being kept."""
    names = ("two words", "no. 1 #2", "what? 100%", "café", "a+b&c=d;e,f(g)'h!", "%41")
    own = {
        f"theme/static/{name}.html": f"<!doctype html><meta charset=utf-8><title>.</title><p>{html.escape(name)}."
        for name in names
    }
    notes = write_notes(tmp_path / "notes", {**NOTES, **own})
    write_plan(site_plan_of(notes, 2027, date(2027, 8, 20)), notes, tmp_path / "site")
    with served(tmp_path / "site") as web:
        page.goto(web)
        page.wait_for_function("() => navigator.serviceWorker.controller")
    for name in names:
        page.goto(f"{web}static/{quote(name)}.html")
        expect(page.locator("body")).to_have_text(f"{name}.")
    page.goto(f"{web}trees.html")
    expect(page.locator("body")).to_contain_text("Bartlett")


def test_the_other_host_is_asked_where_a_page_has_a_base_of_its_own_without_a_policy(
    tmp_path: Path, elsewhere: Elsewhere, page: Page
) -> None:
    """Or the test above could not fail: what a page may ask hangs on the theme's base alone."""
    site = site_of(tmp_path, elsewhere, f"<!doctype html><title>.</title>{HEAD}<body>{MAIN}")
    page.goto((site / "index.html").as_uri(), wait_until="load")

    assert {"/head.js", "/head.css", "/a.png", "/frame.html", "/main.js"} <= set(elsewhere.asked)
    assert left_on(page)["inline"] == "yes"
