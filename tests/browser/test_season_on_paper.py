"""The season of a few trees in 18 points, as a printer gets it: one side of either paper, and all of it there."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

import pytest
from conftest import SHELF, write_notes

from firmripe.plan import make_plan
from firmripe.publish.pages.season_sheet import season_sheet
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
if CHROMIUM is None and os.environ.get("FIRMRIPE_CI") != "1":
    pytest.skip("chromium is not installed", allow_module_level=True)
if os.environ.get("FIRMRIPE_CI") != "1":
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Browser, sync_playwright  # noqa: E402

PRINTED_PX = {"A4": 718, "Letter": 740}
EIGHTEEN_PX, FOURTEEN_PX = 24, 18.6
KINDS = ("Bartlett", "Golden Delicious", "Brown Turkey", "Montmorency", "Twentieth Century", "Stanley")
PLACE = "---\nname: The lane\nzone: 6b\nspaces: [{name: cellar, temperature: 38 F}]\n---\n"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return Debian's Chromium."""
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


def site_of(top: Path, kinds: tuple[str, ...], day: date = date(2027, 3, 1)) -> Mapping[str, bytes]:
    """Return the site of trees of these kinds."""
    notes = {f"trees/{at}-01.md": f"---\ncultivar: {kind}\n---\n" for at, kind in enumerate(kinds, 1)}
    write_notes(top / "notes", {"place.md": PLACE, **notes})
    plan = make_plan(read_holding(top / "notes", SHELF), 2027, day)
    if len(kinds) > 5:
        assert season_sheet(plan) is None
    return make_site(plan, theme_folder())


HARVEST = date(2027, 8, 28)
DAYS = (date(2027, 1, 10), date(2027, 3, 1), HARVEST, date(2027, 11, 15))
FULLEST = (KINDS[:5], ("Bartlett",) * 5)
OTHERS = (KINDS[:1], KINDS[:2], (*KINDS[:2], *KINDS[3:5]))


@pytest.mark.parametrize(
    ("kinds", "day"),
    [*((kinds, day) for kinds in FULLEST for day in DAYS), *((kinds, HARVEST) for kinds in OTHERS)],
    ids=lambda one: str(one if isinstance(one, date) else len(one)),
)
def test_the_season_takes_one_side_in_large_print(
    browser: Browser, tmp_path: Path, kinds: tuple[str, ...], day: date
) -> None:
    """On A4 and on Letter, in any month; nothing is smaller than 18 points but its foot, of five unlike kinds than 14."""
    files = site_of(tmp_path, kinds, day)
    for name in ("sheets/season.html", *(name for name in files if name.startswith("static/"))):
        path = tmp_path / "site" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(files[name])
    for paper, width in PRINTED_PX.items():
        page = browser.new_page(viewport={"width": width, "height": 1000}, color_scheme="dark")
        page.emulate_media(media="print")
        page.goto((tmp_path / "site" / "sheets" / "season.html").as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        sizes = "[...document.querySelectorAll('main *')].map(e => parseFloat(getComputedStyle(e).fontSize))"
        assert min(page.evaluate(sizes)) >= (FOURTEEN_PX if kinds == KINDS[:5] else EIGHTEEN_PX)
        printed = page.pdf(format=paper, path=tmp_path / f"{paper}.pdf")
        assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1, paper
        page.close()


def test_six_trees_have_other_sheets(tmp_path: Path) -> None:
    """Beyond five trees a side is too small in this size."""
    assert "sheets/season.html" not in site_of(tmp_path, KINDS)


def test_the_dates_are_those_of_the_plan_in_any_month(tmp_path: Path) -> None:
    """In March, and when the pick is over: then it says so, and moves no day."""
    files = site_of(tmp_path, KINDS[:1], date(2027, 3, 1))
    page = files["sheets/season.html"].decode()
    rows = re.findall(r'<tr><th scope="row">([^<]+)</th><td>([^<]+)</td>', page)
    assert ("as printed", re.search(r"<td><b>\w+ (.+?)</b></td>", page)[1]) in rows  # type: ignore[index]
    assert len(rows) > 4
    assert "top two steps" in page
    assert "thumb" in page
