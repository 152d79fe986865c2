"""What a household asks most is a few touches away, on a phone, from disk: the counts are held so that they don't creep up."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from conftest import EXAMPLE_DAY

from firmripe.plan import Plan
from firmripe.publish.pages import by_row
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
IN_CI = os.environ.get("FIRMRIPE_CI") == "1"
if CHROMIUM is None and not IN_CI:
    pytest.skip("chromium is not installed", allow_module_level=True)
if not IN_CI:
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Locator, Page, expect, sync_playwright  # noqa: E402

SCREEN_PX = 844


@pytest.fixture(scope="module")
def home(example_site: dict[str, bytes], tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the address of the example's first page on disk."""
    top = tmp_path_factory.mktemp("touches")
    write_files(top, example_site)
    return Path(top / "index.html").as_uri()


def write_files(top: Path, files: Mapping[str, bytes]) -> None:
    """Write the files of a site into a folder."""
    for name, data in files.items():
        path = top / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)


class Thumb:
    """Touches one thing after the other, and counts."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.touches = 0

    def touch(self, what: Locator) -> None:
        """Touch the first of what is meant, which must be in sight of somebody who scrolls."""
        expect(what.first).to_be_visible()
        what.first.click()
        self.touches += 1

    def find(self, name: str) -> None:
        """Find a tree or a name: touch Find, type, touch what is found."""
        self.touch(self.page.locator(".find summary"))
        self.page.get_by_role("searchbox").fill(name)
        self.touch(self.page.locator(".finder li a"))

    def menu(self, name: str) -> None:
        """Go to a main page."""
        self.touch(self.page.locator(".menu summary"))
        self.touch(self.page.locator(".menu").get_by_role("link", name=name, exact=True))


@pytest.fixture
def thumb(home: str) -> Iterator[Thumb]:
    """Return a thumb over the first page, on the day it was made."""
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        page = opened.new_page(viewport={"width": 390, "height": SCREEN_PX})
        page.clock.set_fixed_time(f"{EXAMPLE_DAY}T12:00:00")
        page.goto(home)
        yield Thumb(page)
        opened.close()


def screens(what: Locator) -> float:
    """Say how many screens lie above the first of what is meant."""
    return float(what.first.evaluate("(e) => e.getBoundingClientRect().top + scrollY")) / SCREEN_PX


def test_what_is_to_be_done_today_and_this_week(thumb: Thumb) -> None:
    """Today without a touch and within one screen and a half, this week in two."""
    assert screens(thumb.page.locator(".job")) < 1.5
    thumb.touch(thumb.page.get_by_role("link", name="This week,"))
    expect(thumb.page.locator("details.day").first).to_be_attached()
    assert screens(thumb.page.locator("details.day").last) < 2
    assert thumb.touches == 1


def test_whether_the_pear_is_ready_and_why_that_day(thumb: Thumb) -> None:
    """Two touches to the tree; its next day, its tests and the reasons stand open there."""
    thumb.find("1-01")
    expect(thumb.page.locator(".tree-head .next")).to_be_visible()
    assert screens(thumb.page.get_by_role("heading", name="Is it time?")) < 1.5
    assert screens(thumb.page.get_by_role("heading", name="Why this date")) < 3
    assert thumb.touches == 2


def test_what_to_eat_first(thumb: Thumb) -> None:
    """On the first page, in the order of eating."""
    assert screens(thumb.page.get_by_role("heading", name="Ripe to eat now")) < 3
    assert thumb.touches == 0


def test_what_can_hurt(thumb: Thumb) -> None:
    """Above today's jobs without a touch, all of it in one."""
    assert screens(thumb.page.locator(".care")) < screens(thumb.page.locator(".job"))
    thumb.touch(thumb.page.get_by_role("link", name="All cautions"))
    expect(thumb.page.locator(".cautions").first).to_be_visible()
    assert thumb.touches == 1


def test_i_picked(thumb: Thumb) -> None:
    """Tick the job, note it, and it is a line to hand over; what happened is known, of two trees one says which."""
    job = thumb.page.locator("[data-note*='first']").first
    thumb.touch(job.locator(".tick"))
    thumb.touch(job.locator(".offer"))
    thumb.touch(thumb.page.locator("#trees .choices label"))
    thumb.touch(thumb.page.locator("#noting [type=submit]"))
    expect(thumb.page.locator("#said")).to_contain_text("first pick")
    assert thumb.touches == 4


def test_it_bloomed_early(thumb: Thumb) -> None:
    """From the bar of any page: the tree, full bloom, and it is noted."""
    thumb.touch(thumb.page.locator(".pen a"))
    page = thumb.page
    thumb.touch(page.locator("#trees .choices label"))
    bloom = page.locator("label", has=page.locator("[value='full bloom']"))
    expect(bloom).to_be_attached()
    if not bloom.is_visible():
        thumb.touch(page.locator("details", has=bloom).locator("summary"))
    thumb.touch(bloom)
    thumb.touch(page.locator("#noting [type=submit]"))
    expect(page.locator("#said")).to_contain_text("full bloom")
    assert thumb.touches <= 5


def test_the_sheet_for_the_fridge_and_the_calendar(thumb: Thumb) -> None:
    """Three touches to paper, one to the calendars."""
    front = thumb.page.url
    thumb.menu("On paper")
    thumb.touch(thumb.page.locator(".walk a"))
    thumb.page.wait_for_url("**/fridge.html")
    assert thumb.touches == 3
    thumb.page.goto(front)
    thumb.touch(thumb.page.locator("footer").get_by_role("link", name="In your calendar"))
    expect(thumb.page.locator(".feeds a").first).to_be_visible()


@pytest.mark.usefixtures("nothing_kept")
def test_any_tree_of_many_by_its_tag(thumb: Thumb, example_plan: Plan, tmp_path: Path) -> None:
    """Where trees are so many that pages list their rows, two touches as well; and a line is noted of it in as few."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(by_row, "MOST_LINES", 5)
        patch.setattr(by_row, "MOST_OF_PART", 4)
        made = make_site(example_plan, theme_folder())
    assert any(path.startswith("rows/") for path in made)
    write_files(tmp_path, made)
    front = (tmp_path / "index.html").as_uri()
    tag = example_plan.holding.trees[-1].tag
    thumb.page.goto(front)
    thumb.find(tag)
    expect(thumb.page.locator(".tree-head .big")).to_have_text(tag)
    assert thumb.touches == 2
    thumb.page.goto(front)
    thumb.touch(thumb.page.locator(".pen a"))
    thumb.page.get_by_role("searchbox").last.fill(tag)
    expect(thumb.page.locator("#trees .choices label:visible").first).to_contain_text(tag)
    expect(thumb.page.locator("#trees input:checked")).to_have_value(tag)
