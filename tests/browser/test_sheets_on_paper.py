"""The sheets as a printer gets them: as many sides as promised, on either paper, and nothing cut off."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from conftest import ROOT

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
if CHROMIUM is None and os.environ.get("FIRMRIPE_CI") != "1":
    pytest.skip("chromium is not installed", allow_module_level=True)
if os.environ.get("FIRMRIPE_CI") != "1":
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from firmripe.plan import Plan  # noqa: E402
from firmripe.publish.folder import write_site  # noqa: E402
from firmripe.publish.site import make_site  # noqa: E402
from firmripe.shipped import theme_folder  # noqa: E402

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


PLACE = """---
name: Home
site address: https://fruit.example.org/a-rather-long-name-of-a-folder/
people: [{name: Bartholomew-Maximilian, does: [picking]}, {name: Cy, does: [watch]}, {name: Di, does: [store]}]
---
"""


def test_calendar_cards_can_be_cut_out_and_scanned(
    browser: Browser, tmp_path: Path, plan_of: Callable[..., Plan]
) -> None:
    """Whole on either paper, two beside each other, each code large enough for a camera, and light in dark pages too."""
    plan = plan_of({"place.md": PLACE, "trees/1.md": "---\ncultivar: Bartlett\n---\n"})
    write_site(tmp_path / "site", make_site(plan, theme_folder()))
    cards = (tmp_path / "site" / "sheets" / "calendars.html").as_uri()
    for width in (*PRINTED_PX.values(), 390):
        page = browser.new_page(viewport={"width": width, "height": 1000}, color_scheme="dark")
        page.emulate_media(media="screen" if width == 390 else "print")
        page.goto(cards)
        boxes = [box for card in page.locator(".cut > li").all() if (box := card.bounding_box())]
        codes = [box for code in page.locator(".cut svg").all() if (box := code.bounding_box())]
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert len(boxes) == len(codes) == 7
        assert all(code["width"] * 25.4 / 96 > 30 for code in codes), "30 mm"
        assert (boxes[0]["y"] == boxes[1]["y"]) is (width != 390)
        assert all(box["height"] < 500 for box in boxes) or width == 390, "two rows and more on a side"
        page.close()
    page = browser.new_page(viewport={"width": 390, "height": 900}, color_scheme="dark")
    page.goto((tmp_path / "site" / "subscribe.html").as_uri())
    page.locator("details.scan > summary").first.click()
    code = page.locator("details.scan svg").first
    drawn = "(svg) => [getComputedStyle(svg).backgroundColor, getComputedStyle(svg).fill]"
    assert code.is_visible()
    assert code.evaluate(drawn) == ["rgb(255, 255, 255)", "rgb(0, 0, 0)"]
    page.close()
