"""The sheets as a printer gets them: as many sides as promised, on either paper, and nothing cut off."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import ROOT

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
if CHROMIUM is None and os.environ.get("FIRMRIPE_CI") != "1":
    pytest.skip("chromium is not installed", allow_module_level=True)
if os.environ.get("FIRMRIPE_CI") != "1":
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Browser, sync_playwright  # noqa: E402

SHEETS = ROOT / "output_example" / "sheets"
PRINTED_PX = {"A4": 718, "Letter": 740}
"""Width of the paper within 10 mm margins at 96 pixels an inch (ISO 216: 210 mm; Letter: 8.5 in)."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return Debian's Chromium."""
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


@pytest.mark.parametrize("paper", PRINTED_PX)
@pytest.mark.parametrize("name", ["fridge", "record"])
def test_a_sheet_takes_one_side(browser: Browser, tmp_path: Path, name: str, paper: str) -> None:
    """The busiest fortnight of the example still goes on one side."""
    page = browser.new_page()
    page.goto(f"file://{SHEETS / name}.html")
    printed = page.pdf(format=paper, path=tmp_path / "sheet.pdf")
    page.close()

    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1


@pytest.mark.parametrize("paper", PRINTED_PX)
@pytest.mark.parametrize("name", sorted(path.stem for path in SHEETS.glob("*.html") if path.stem != "index"))
def test_nothing_is_cut_off(browser: Browser, name: str, paper: str) -> None:
    """In print nothing is wider than the paper, and all ink is black."""
    page = browser.new_page(viewport={"width": PRINTED_PX[paper], "height": 1000}, color_scheme="dark")
    page.emulate_media(media="print")
    page.goto(f"file://{SHEETS / name}.html")

    assert page.evaluate("document.documentElement.scrollWidth") <= PRINTED_PX[paper]
    inks = "[...new Set([...document.querySelectorAll('body *')].map(e => getComputedStyle(e).color))]"
    assert page.evaluate(inks) == ["rgb(0, 0, 0)"]
    page.close()
