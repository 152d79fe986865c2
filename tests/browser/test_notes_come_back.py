"""Three notes from the orchard, kept on a phone without a network, handed over, gathered, and the dates that they move."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from click.testing import CliRunner
from conftest import ROOT, SHELF, write_notes

from firmripe.cli import main
from firmripe.holding.fruit import Event
from firmripe.holding.reader import reader_of
from firmripe.plan import Plan, make_plan
from firmripe.publish.audience import plan_for
from firmripe.publish.folder import write_site
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.season.estimate import Estimate, Happens
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
IN_CI = os.environ.get("FIRMRIPE_CI") == "1"
if CHROMIUM is None and not IN_CI:
    pytest.skip("chromium is not installed", allow_module_level=True)
if not IN_CI:
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Browser, Page, expect, sync_playwright  # noqa: E402

DAY = date(2027, 9, 1)
THEME = ROOT / "themes" / "box-tag"
HOME = {
    "place.md": (
        "---\nname: Upper garden\nzone: 6b\nlatitude: 42 N\nlongitude: 74 W\nelevation: 300 m\n"
        "notes to: wren@example.org\n---\n"
    ),
    "trees/1-01.md": "---\ncultivar: Bartlett\n---\n",
    "trees/1-02.md": "---\ncultivar: Bartlett\n---\n",
    "trees/1-03.md": "---\ncultivar: Seckel\n---\n",
    "trees/2-01.md": "---\nlimbs: [Bosc, Comice]\n---\n",
    "records/2027.csv": "date,tree,cultivar,crop,what,amount,note\n2027-05-09,1-01,,,full bloom,,\n",
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return Debian's Chromium."""
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Return the folder of a small household."""
    return write_notes(tmp_path / "notes", HOME)


def plan_of(notes: Path) -> Plan:
    return make_plan(read_holding(notes, SHELF), 2027, DAY)


def built(notes: Path, reader: str = "") -> Path:
    """Build the site and return its folder."""
    plan = plan_of(notes)
    out = notes.parent / f"site{reader}"
    write_site(
        out, make_site(plan_for(plan, reader_of(plan.holding.place, reader)), THEME), made_for=reader or "household"
    )
    return out


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """Return a page on a phone that has no network."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, offline=True, accept_downloads=True)
    made = context.new_page()
    made.clock.set_fixed_time(f"{DAY}T12:00:00")
    faults: list[str] = []
    made.on("pageerror", lambda error: faults.append(str(error)))
    made.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    yield made
    context.close()
    assert faults == []


def note(page: Page, tree: str, what: str, amount: str = "", word: str = "") -> None:
    """Note something as a helper does: tree, what, how much, a word."""
    if page.locator("#others").is_visible():
        page.click("#others")
    page.locator(f"[name=tree][value='{tree}']").check()
    page.evaluate("() => document.querySelectorAll('#noting details').forEach((part) => { part.open = true; })")
    page.locator(f"[name=what][value='{what}']").check()
    if amount:
        page.fill("#amount", amount)
    page.fill("#word", word)
    page.click("#noting [type=submit]")


def test_three_notes_come_back_into_the_plan(page: Page, notes: Path) -> None:
    """From a tick and a tree's page, over other pages and a new start of the browser, to dates that name them."""
    site, before = built(notes), plan_of(notes)
    page.goto((site / "index.html").as_uri())
    job = page.locator("[data-note*='first']").first
    job.locator(".tick input").check()
    job.locator(".offer").click()
    expect(page.locator("#noting")).to_be_visible()
    assert page.locator("[name=what]:checked").get_attribute("value") == "first pick"

    page.goto((site / "trees" / "1-02.html").as_uri())
    page.locator(".to-note a").first.click()
    assert page.locator("[name=tree]:checked").get_attribute("value") == "1-02"
    note(page, "1-02", "first pick", "31", "good size, <b>clean</b>")
    expect(page.locator("#said")).to_have_text('Noted: 2027-09-01,1-02,first pick,31 lb,"good size, <b>clean</b>"')
    note(page, "2-01/Comice", "drop", "3", "sound")
    page.locator("[name=day][value='1']").check()
    note(page, "1-01", "first pick", "44,5")
    lines = [
        '2027-09-01,1-02,first pick,31 lb,"good size, <b>clean</b>"',
        "2027-09-01,2-01/Comice,drop,3 fruits,sound",
        "2027-08-31,1-01,first pick,44.5 lb",
    ]
    assert page.locator("#lines").input_value().splitlines() == lines
    assert page.locator("#out b").count() == 0

    page.goto((site / "year.html").as_uri())
    expect(page.locator(".kept")).to_contain_text("3")
    page.locator(".kept a").click()
    page.fill("#who", "Ash")
    with page.expect_download() as handed:
        page.click("#file")
    sent = notes.parent / "ash.txt"
    handed.value.save_as(sent)
    assert sent.read_text(encoding="utf-8").splitlines() == ["# Ash, 2027-09-01", *lines]

    result = CliRunner().invoke(main, ["gather", str(sent), "--in", str(notes), "--as-of", DAY.isoformat()])
    assert result.exit_code == 0, result.output
    assert "Taken: 3 lines." in result.output
    assert "Comice 2-01: " in result.output

    after = plan_of(notes)
    moved = Happens.of(after.holding.trees[3].bearings[1], Event.PICK)
    old, new = before.season.dates[moved], after.season.dates[moved]
    assert isinstance(old, Estimate)
    assert isinstance(new, Estimate)
    assert old.likely != new.likely
    named = {words_of(reason.why, IN_ENGLISH) for reason in new.reasons} - {
        words_of(reason.why, IN_ENGLISH) for reason in old.reasons
    }
    assert "The first sound fruit on the ground, of this tree" in named
    page.goto((built(notes) / "trees" / "1-02.html").as_uri())
    expect(page.locator(".records")).to_contain_text("good size, <b>clean</b>")

    page.goto((site / "note.html").as_uri())
    page.click("#gone")
    expect(page.locator("#hand")).to_be_hidden()
    expect(page.locator(".kept")).to_have_count(0)
    page.click("#undo")
    expect(page.locator("#out li")).to_have_count(3)


def test_the_same_as_a_pasted_message(page: Page, notes: Path) -> None:
    """The lines stand ready to copy, and talk around them does no harm."""
    page.goto((built(notes) / "note.html").as_uri())
    note(page, "1-03", "drop")
    message = f"Hello,\nfrom the wall:\n{page.locator('#lines').input_value()}\nsee you"
    result = CliRunner().invoke(
        main, ["gather", "--in", str(notes), "--as-of", DAY.isoformat()], input=message.encode()
    )
    assert result.exit_code == 0, result.output
    assert "2027-09-01,1-03,,,drop,," in (notes / "records" / "2027.csv").read_text(encoding="utf-8")


def test_a_reading_without_its_number_is_not_noted(page: Page, notes: Path) -> None:
    """Nor is anything without its tree; each says what is missing, and a note can be taken back."""
    page.goto((built(notes) / "note.html").as_uri())
    page.click("#noting [type=submit]")
    expect(page.locator("#said")).to_have_text("First choose the tree.")
    note(page, "1-01", "firmness")
    expect(page.locator("#said")).to_contain_text("Write the number")
    note(page, "1-01", "firmness", "16.2")
    assert page.locator("#lines").input_value() == "2027-09-01,1-01,firmness,16.2 lbf"
    page.locator("#out button").click()
    expect(page.locator("#hand")).to_be_hidden()
    page.click("#undo")
    assert page.locator("#lines").input_value() == "2027-09-01,1-01,firmness,16.2 lbf"


def test_without_scripts_the_line_to_write_stands_there(browser: Browser, notes: Path) -> None:
    """On the note page, each tree's and each job's, with a mail that carries it."""
    context = browser.new_context(java_script_enabled=False, offline=True)
    page, site = context.new_page(), built(notes)
    page.goto((site / "note.html").as_uri())
    assert page.locator("#noting").is_hidden()
    expect(page.locator("#without .line")).to_have_text("2027-09-01,1-01,first pick,31 lb,good size")
    for name in ("trees/1-02.html", "jobs/pick.html"):
        page.goto((site / name).as_uri())
        line = page.locator(".to-note .line").inner_text()
        assert line.startswith("2027-09-01,1-0")
        mail = page.locator(".to-note a[href^=mailto]").get_attribute("href") or ""
        assert mail.startswith("mailto:wren@example.org?subject=Upper%20garden&body=2027-09-01%2C1-0")
    week = next((site / "weeks").glob("*.html")).relative_to(site)
    for name in ("index.html", week.as_posix()):
        page.goto((site / name).as_uri())
        jobs = page.locator("main li.job[data-note]").count()
        assert jobs
        lines, mails = (page.locator(f"main .send li {part}").all() for part in (".line", "a[href^='mailto:wren@']"))
        assert len(lines) == len(mails) == jobs, name
        for line, mail in zip(lines, mails, strict=True):
            carried = parse_qs(urlsplit(mail.get_attribute("href") or "").query)["body"][0]
            assert carried == line.text_content()
    context.close()


def test_the_page_is_not_in_the_site_for_everybody(notes: Path) -> None:
    """Nor is any way to it, a line, or the address."""
    site = built(notes, "everybody")
    texts = {path.name: path.read_text(encoding="utf-8") for path in site.rglob("*.html")}
    assert "note.html" not in texts
    assert not [name for name, text in texts.items() if "note.html" in text or "wren@" in text or "data-note" in text]
