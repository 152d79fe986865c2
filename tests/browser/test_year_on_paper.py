"""The whole year and the cards for the stove, as a printer gets them: one side each, in type that can be read."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from conftest import SHELF, write_notes
from msgspec.structs import replace
from stove_notes import stove_household

from firmripe.holding.tree import Bearing
from firmripe.plan import Plan, make_plan
from firmripe.publish.contents import main_pages
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.frame import site_view
from firmripe.publish.pages.year_sheet import DENSE, FULL, ROOMY, YearMonth, YearSheet, density_of, taken, year_sheet
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.publish.theming import Theme
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
if CHROMIUM is None and os.environ.get("FIRMRIPE_CI") != "1":
    pytest.skip("chromium is not installed", allow_module_level=True)
if os.environ.get("FIRMRIPE_CI") != "1":
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Browser, sync_playwright  # noqa: E402

PAPERS = ("A4", "Letter")
SMALLEST_PX = 7.5 * 96 / 72
LONGEST = "Sun 26 Sep Golden Delicious (3-02, 3-12): pick, 12 Sep to 10 Oct"


def viewed(plan: Plan) -> PageContext:
    """Return what makers of sheets share."""
    return PageContext(plan, Paths(plan), "../", set())


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return Debian's Chromium."""
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def site(example_site: dict[str, bytes], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of the example's site."""
    top = tmp_path_factory.mktemp("site")
    for name, data in example_site.items():
        path = top / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return top


def sides(browser: Browser, path: Path, paper: str) -> int:
    """Return how many sides a sheet takes, after looking at its type and its ink."""
    page = browser.new_page(viewport={"width": 718, "height": 1000})
    page.emulate_media(media="print")
    page.goto(path.as_uri())
    sizes = page.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => [...e.childNodes].some(n => n.nodeType === 3 &&"
        " n.textContent.trim()) && e.getClientRects().length).map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    inks = page.evaluate("[...new Set([...document.querySelectorAll('body *')].map(e => getComputedStyle(e).color))]")
    wide = page.evaluate("document.documentElement.scrollWidth")
    printed = page.pdf(format=paper)
    page.close()

    assert min(sizes) >= SMALLEST_PX - 0.01
    assert inks == ["rgb(0, 0, 0)"]
    assert wide <= 718
    return len(re.findall(rb"/Type\s*/Page\b", printed))


@pytest.mark.parametrize("paper", PAPERS)
def test_the_whole_year_of_the_example_is_on_one_side(browser: Browser, site: Path, paper: str) -> None:
    """Twenty-one trees and three households' kitchens."""
    assert sides(browser, site / "sheets" / "year.html", paper) == 1


@pytest.mark.parametrize("paper", PAPERS)
def test_each_stove_card_is_on_one_side(browser: Browser, site: Path, paper: str) -> None:
    """A card is hung up: nobody turns it with wet hands."""
    cards = sorted((site / "sheets").glob("stove-*.html"))

    assert len(cards) > 3
    assert {card.stem: sides(browser, card, paper) for card in cards} == {card.stem: 1 for card in cards}


@pytest.mark.parametrize("paper", PAPERS)
def test_a_card_with_three_pots_is_on_one_side(
    browser: Browser, tmp_path_factory: pytest.TempPathFactory, paper: str
) -> None:
    """Boiling water, steam and pressure, each with its own steps, and acid in every line."""
    top = tmp_path_factory.mktemp("pots")
    notes = write_notes(top / "notes", stove_household())
    plan = make_plan(read_holding(notes, SHELF), 2027, date(2027, 8, 25))
    for name, data in make_site(plan, theme_folder()).items():
        path = top / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    cards = sorted((top / "sheets").glob("stove-*.html"))

    assert len(cards) > 8
    assert {card.stem: sides(browser, card, paper) for card in cards} == {card.stem: 1 for card in cards}


def sheet_of(lines: int) -> YearSheet:
    """Return a sheet of so many lines as long as they come, in seven months, as if they took one line each more."""
    each = [("Sun 26 Sep", LONGEST.removeprefix("Sun 26 Sep "))] * lines
    months = tuple(YearMonth(title=f"September {2027 + at}", lines=tuple(each[at::7])) for at in range(7))
    needed = taken(months)
    return YearSheet(
        first="Sunday 26 September 2027",
        last="Sunday 26 September 2027",
        months=months,
        density=density_of(needed),
        goes_on=needed > DENSE,
    )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("most", [ROOMY, FULL, DENSE])
def test_a_full_sheet_of_each_density_is_on_one_side(
    browser: Browser, example_plan: Plan, tmp_path: Path, most: int, paper: str
) -> None:
    """As much as a density takes by its own word fits, even where every line is long."""
    lines = max(n for n in range(7, most) if not taken(sheet_of(n).months) > most)
    view = sheet_of(lines)
    path = written(example_plan, tmp_path, view)

    assert not view.goes_on
    assert sides(browser, path, paper) == 1


def written(plan: Plan, top: Path, view: YearSheet) -> Path:
    """Write a sheet with its style sheet and return where it lies."""
    viewing = PageContext(plan, Paths(plan), "../", set())
    text = Theme(IN_ENGLISH, theme_folder(), plan.holding.own_theme).render(
        "sheet_year.html", site=site_view(viewing), view=view
    )
    (top / "static").mkdir()
    shutil.copy(theme_folder() / "static" / "sheets.css", top / "static")
    (top / "sheets").mkdir()
    path = top / "sheets" / "year.html"
    path.write_text(text, encoding="utf-8")
    return path


def test_more_than_one_side_holds_goes_on_and_says_so(browser: Browser, example_plan: Plan, tmp_path: Path) -> None:
    """Type is never made too small to read."""
    view = sheet_of(400)
    path = written(example_plan, tmp_path, view)

    assert view.goes_on
    assert "it goes on" in path.read_text(encoding="utf-8").casefold()
    assert sides(browser, path, "Letter") > 1


def test_the_year_holds_every_pick_and_every_session(example_plan: Plan) -> None:
    """Nothing that has a date is left out, and trees of one cultivar and one day share a line."""
    text = "\n".join(line for month in year_sheet(viewed(example_plan)).months for _, line in month.lines)
    season = example_plan.season
    borne = [bearing for bearing in season.bearings if season.bears(bearing)]

    def named(bearing: Bearing) -> bool:
        return re.search(rf"[(, ]{re.escape(bearing.tree)}[,)].*: pick", text) is not None

    assert borne
    assert all(named(bearing) for bearing in borne)
    assert example_plan.kitchen is not None
    assert all(session.kitchen.name in text for session in example_plan.kitchen.sessions)
    assert "ready" in text
    assert "keeps until here at most" in text


def test_a_year_without_a_date_has_no_sheet(example_plan: Plan) -> None:
    """An empty plan has nothing to print, and no page of the year either."""
    season = replace(example_plan.season, dates={})
    empty = replace(
        example_plan,
        season=season,
        lots={},
        kitchen=None,
        calendar=replace(example_plan.calendar, entries=()),
    )

    assert year_sheet(viewed(empty)).months == ()
    assert "year.html" not in main_pages(empty)
