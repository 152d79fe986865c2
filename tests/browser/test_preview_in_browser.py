"""The preview in a real browser: edit, see the change, break it, see the problem and the last good page."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from conftest import ROOT, write_notes

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
if CHROMIUM is None and os.environ.get("FIRMRIPE_CI") != "1":
    pytest.skip("chromium is not installed", allow_module_level=True)
if os.environ.get("FIRMRIPE_CI") != "1":
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Page, expect, sync_playwright  # noqa: E402

NOTES = {"trees/1-01.md": "---\ncultivar: Bartlett\n---\nBy the gate.\n", "place.md": "---\nname: Home\n---\n"}
WAIT_MS = 20_000


@pytest.fixture
def page() -> Iterator[Page]:
    """Return an empty page that knows of no console error."""
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser.new_page()
        browser.close()


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Return a small household."""
    return write_notes(tmp_path / "notes", NOTES)


@pytest.fixture
def address(notes: Path) -> Iterator[str]:
    """Run `firmripe preview` as a program of its own and return the address that it tells."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "generator"), "PYTHONUNBUFFERED": "1"}
    words = [sys.executable, "-m", "firmripe", "preview", str(notes), "--port", "0", "--as-of", "2027-06-01"]
    with subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env=environment
    ) as program:
        assert program.stdout
        yield next(line.split()[1] for line in program.stdout if line.startswith("Open "))
        program.terminate()


def test_edit_break_and_mend(page: Page, notes: Path, address: str) -> None:
    """The page follows the notes by itself, and a fault leaves the last good page below what is wrong."""
    errors: list[str] = []
    page.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(address + "trees/1-01.html")
    expect(page.get_by_text("By the gate.")).to_be_visible()
    expect(page.locator("#preview-fault")).to_have_count(0)
    assert page.evaluate("getComputedStyle(document.querySelector('.running ul')).display") == "flex"

    write_notes(notes, {"trees/1-01.md": "---\ncultivar: Bartlett\n---\nBy the wall.\n"})
    expect(page.get_by_text("By the wall.")).to_be_visible(timeout=WAIT_MS)

    write_notes(notes, {"trees/1-01.md": "---\ncultivar: Bartlet\n---\nBy the well.\n"})
    fault = page.get_by_role("alert")
    expect(fault).to_contain_text('the cultivar "Bartlet" is not known', timeout=WAIT_MS)
    expect(fault).to_contain_text('did you mean "Bartlett"?')
    expect(page.get_by_text("By the wall.")).to_be_visible()

    write_notes(notes, {"trees/1-01.md": "---\ncultivar: Bartlett\n---\nBy the well.\n"})
    expect(page.get_by_text("By the well.")).to_be_visible(timeout=WAIT_MS)
    expect(page.locator("#preview-fault")).to_have_count(0)
    assert errors == []


def test_a_site_opened_from_disk_has_its_looks_and_runs_nothing(page: Page, notes: Path, tmp_path: Path) -> None:
    """Its policy lets its own style sheet in, from disk too, and no script and no other host."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "generator")}
    words = [sys.executable, "-m", "firmripe", "build", str(notes), "--out", str(tmp_path / "site"), "--quiet"]
    subprocess.run(words, check=True, env=environment, timeout=120)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((tmp_path / "site" / "index.html").as_uri())

    assert page.evaluate("getComputedStyle(document.querySelector('.running ul')).display") == "flex"
    page.evaluate(
        "() => { const script = document.createElement('script'); script.textContent = 'window.ran = true';"
        " document.body.append(script); const image = new Image(); image.src = 'https://192.0.2.1/x.png';"
        " document.body.append(image); }"
    )
    page.wait_for_timeout(200)
    assert page.evaluate("window.ran === undefined")
    assert all(url.startswith(("file:", "https://192.0.2.1")) for url in asked)
    assert page.evaluate("[...document.images].every((image) => !image.naturalWidth)")


THIEF = """<!doctype html><title>Thief</title><body><script>
const found = {};
const asked = (name, node) => new Promise((resolve) => {
  node.onload = () => resolve(found[name] = "loaded");
  node.onerror = () => resolve(found[name] = "refused");
  document.body.append(node);
});
const made = (tag, said) => Object.assign(document.createElement(tag), said);
async function steal(address) {
  await asked("script", made("script", { src: address + "static/names.js" }));
  await asked("style", made("link", { rel: "stylesheet", href: address + "static/box-tag.css" }));
  await asked("picture", made("img", { src: address + "static/none.svg" }));
  for (const mode of ["cors", "no-cors"]) {
    try { const answer = await fetch(address + "plan.json", { mode }); found[mode] = answer.type + await answer.text(); }
    catch (error) { found[mode] = "refused"; }
  }
  const frame = made("iframe", { src: address });
  await asked("frame", frame);
  try { found.frame = String(frame.contentDocument && frame.contentDocument.body.innerText.length); }
  catch (error) { found.frame = "refused"; }
  found.names = typeof self.firmripeNames;
  return found;
}
</script>"""


class _Thief(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        """Answer with the page that tries to read another one."""
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(THIEF.encode())

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's own name
        """Say nothing of each page that is asked for."""


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost"])
def test_a_page_of_another_place_in_the_same_browser_reads_nothing(page: Page, address: str, host: str) -> None:
    """Not even one from this very computer that knows the whole address; the preview's own pages go on reading."""
    with ThreadingHTTPServer(("127.0.0.1", 0), _Thief) as thief:
        threading.Thread(target=thief.serve_forever, daemon=True).start()
        page.goto(address)
        expect(page.locator("h1").first).to_be_visible(timeout=WAIT_MS)
        expect(page.locator("#preview-begun")).to_have_count(0, timeout=WAIT_MS)
        own = page.evaluate("async () => (await (await fetch('static/names.js')).text())")
        page.goto(f"http://{host}:{thief.server_port}/")
        found = page.evaluate("(address) => steal(address)", address)
        thief.shutdown()

    assert "firmripeNames" in own
    assert found == {
        "script": "refused",
        "style": "refused",
        "picture": "refused",
        "cors": "refused",
        "no-cors": "refused",
        "frame": "null",
        "names": "undefined",
    }
