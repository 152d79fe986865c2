"""The preview in a real browser: edit, see the change, break it, see the problem and the last good page."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
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
