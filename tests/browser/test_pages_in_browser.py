"""The example's pages as a reader meets them: on a phone and a desk, light and dark, with and without scripts, keys alone."""

from __future__ import annotations

import html
import json
import os
import shutil
import subprocess
import threading
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

import pytest
from conftest import ROOT, SHELF, write_notes
from msgspec.structs import replace
from serving import served

from firmripe.plan import Plan, make_plan
from firmripe.preview import Preview, server_of
from firmripe.publish.folder import write_site
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.starting import Beginning, start

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
IN_CI = os.environ.get("FIRMRIPE_CI") == "1"
if CHROMIUM is None and not IN_CI:
    pytest.skip("chromium is not installed", allow_module_level=True)
if not IN_CI:
    pytest.importorskip("playwright.sync_api")
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright  # noqa: E402

NODE = ROOT / ".ci" / "node" / "node_modules"
THEME = ROOT / "themes" / "box-tag"
PHONE, DESK, NARROW = (
    {"width": 390, "height": 844},
    {"width": 1280, "height": 900},
    {"width": 320, "height": 640},
)
"""320 px is a page of 1280 px at 400 %, to which WCAG 2.2 SC 1.4.10 asks text to reflow; 200 % is 640 px."""
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
INKS = ["color-contrast"]
ROOM = [
    "target-size",
    "scrollable-region-focusable",
    "region",
    "skip-link",
    "label",
    "link-in-text-block",
]  # what a width can change
MOST_BYTES, MOST_BYTES_OF_A_PAGE = 120_000, 60_000
PARTS = 4
KINDS = ["index", "year", "trees", "jobs", "store", "kitchen", "subscribe", "dates", "weeks/2027-08-23", "trees/1-01"]
NO_WORDS = "() => [...document.querySelectorAll('#main')].filter((main) => main.innerText.trim().length < 40).length"


SMALL = """() => [...document.querySelectorAll('a[href], input, select, button, summary')].filter((e) => {
  const style = getComputedStyle(e), block = e.parentElement.closest('p, li, dd, td, th, h2, h3, div');
  const words = (of) => of.innerText.trim().length;
  return e.checkVisibility() && !e.matches('.skip') && e.getBoundingClientRect().right > 0
    && !(style.display === 'inline' && words(block) > words(e) + 3);
}).map((e) => {
  const boxes = [e, ...(e.labels ?? [])].map((one) => one.getBoundingClientRect());
  return [e.innerText || e.className, ...['width', 'height'].map((side) => Math.max(...boxes.map((box) => box[side])))];
}).filter(([, wide, high]) => Math.min(wide, high) < 43.9)"""
"""What is pressed and smaller than 44 px, but for links within a sentence (WCAG 2.2 SC 2.5.8 and 2.5.5)."""
COVERED = """() => [...document.querySelectorAll('main :is(a[href], summary)')].filter((e) => {
  if (!e.checkVisibility()) return false;
  e.scrollIntoView({ block: 'center', inline: 'center' });
  const box = e.getClientRects()[0];
  return !e.contains(document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2));
}).map((e) => e.innerText)"""

TORN = """() => [...document.querySelectorAll('body *')].filter((e) => {
  if (!/flex|grid/.test(getComputedStyle(e).display)) return false;
  const parts = [...e.childNodes].filter((n) => n.nodeType === 3 ? n.textContent.trim()
    : n.nodeType === 1 && !n.matches('svg, input, img, .hidden') && n.checkVisibility()
      && !/absolute|fixed/.test(getComputedStyle(n).position));
  return parts.length > 1 && parts.some((n) => n.nodeType === 3);
}).map((e) => e.outerHTML.slice(0, 120))"""
"""What sets the words of one sentence beside one another as if they were columns."""


def from_node(*path: str) -> Path:
    """Return a file of a package for node, or skip; in the gate it has to be there."""
    found = NODE.joinpath(*path)
    if not found.exists():
        reason = (
            f"{path[0]} is not installed (npm install --prefix .ci/node --no-save axe-core@4 vnu-jar@26 lighthouse@12)"
        )
        pytest.fail(reason) if IN_CI else pytest.skip(reason)
    return found


@pytest.fixture(scope="module")
def files(example_plan: Plan) -> dict[str, bytes]:
    """Return the example's site."""
    return make_site(example_plan, THEME)


@pytest.fixture(scope="module")
def site(files: dict[str, bytes], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the example's site in a folder."""
    out = tmp_path_factory.mktemp("example") / "site"
    write_site(out, files)
    return out


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return Debian's Chromium."""
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """Return an empty profile on a phone."""
    made = browser.new_context(viewport=PHONE, locale="en-US", timezone_id="America/New_York")
    yield made
    made.close()


def faults_of(page: Page) -> list[str]:
    """Return a list that fills with what a page complains of, and with each request beyond its own files."""
    found: list[str] = []
    page.on("console", lambda said: found.append(said.text) if said.type in {"error", "warning"} else None)
    page.on("pageerror", lambda error: found.append(str(error)))
    left = "net::ERR_ABORTED"  # a font that was still coming when the next page was asked for
    page.on("requestfailed", lambda asked: None if asked.failure == left else found.append(f"failed: {asked.url}"))
    own = ("file:", "data:", "http://127.0.0.1:")
    page.on("request", lambda request: None if request.url.startswith(own) else found.append(request.url))
    return found


def pages_of(site: Path) -> list[str]:
    """Return the names of all pages."""
    return sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html"))


def open_all(page: Page) -> None:
    """Open whatever is folded but the bar."""
    page.evaluate("document.querySelectorAll('details:not([name])').forEach((part) => { part.open = true; })")


def set_day(page: Page, day: str) -> None:
    """Let a device believe that it is noon of a day."""
    page.clock.set_fixed_time(f"{day}T12:00:00-04:00")


# Every page


@pytest.mark.parametrize("part", range(PARTS))
def test_every_page_is_sound_on_phone_and_desk(browser: Browser, site: Path, part: int) -> None:
    """No error, no request elsewhere, nothing to scroll sideways, and axe finds nothing on a light phone and a dark desk.

    Of weeks, months and jobs, which are many and made alike, every eighth is looked at, and every fifth tree and
    cultivar. All rules are asked on the phone; what hangs on ink or room is asked again on the desk, in the dark.
    """
    axe = from_node("axe-core", "axe.min.js").read_text(encoding="utf-8")
    context = browser.new_context(viewport=PHONE)
    context.add_init_script(axe)
    page = context.new_page()
    faults, wrong = faults_of(page), []
    alike = [name for name in pages_of(site) if name.startswith(("weeks/", "months/", "jobs/"))]
    kinds = [name for name in pages_of(site) if name.startswith(("trees/", "cultivars/"))]
    names = sorted({*pages_of(site)} - {*alike, *kinds} | {*alike[::8], *kinds[::5]})[part::PARTS]
    run = "(options) => axe.run(document, options).then((r) => r.violations.map((v) => v.id + ' ' + v.nodes[0].html))"
    whole = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"], "preload": False}
    room = {**whole, "runOnly": {"type": "rule", "values": [*INKS, *ROOM]}}
    settings = ((PHONE, "light", whole), (DESK, "dark", room))
    for name in names:
        page.emulate_media(color_scheme="light")
        page.set_viewport_size(PHONE)
        page.goto((site / name).as_uri())
        for size, scheme, rules in settings:
            page.set_viewport_size(size)
            page.emulate_media(color_scheme=scheme)
            wrong += [f"{name} {size['width']} {scheme}: {said}" for said in page.evaluate(run, rules)]
        if not name.startswith("sheets/") or name == "sheets/index.html":
            for size in (PHONE, NARROW):
                page.set_viewport_size(size)
                wide = page.evaluate("document.documentElement.scrollWidth")
                wrong += [f"{name} is {wide} px wide on {size['width']}"] if wide > size["width"] else []
        wrong += [f"{name}: {fault}" for fault in faults]
        faults.clear()
    context.close()

    assert len(names) > 15
    assert wrong == []


OVERLAID = """() => {
  const meets = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1
    && Math.abs(a.top + a.bottom - b.top - b.bottom) < (a.height + b.height) / 2;
  const told = '.walk li > *, .slope b, .since tbody :is(th, td), .lot :is(h3, .lb), .names b';
  const lines = [...document.querySelectorAll(told)].filter((e) => e.checkVisibility()).flatMap((e, at) => {
    const texts = document.createTreeWalker(e, NodeFilter.SHOW_TEXT), found = [];
    const right = e.closest('.names')?.getBoundingClientRect().right ?? Infinity;
    while (texts.nextNode()) {
      const of = document.createRange();
      of.selectNodeContents(texts.currentNode);
      found.push(...[...of.getClientRects()].map((box) => ({ at, box, right, text: e.innerText })));
    }
    return found;
  });
  const over = lines.flatMap((one, n) => lines.slice(n + 1)
    .filter((other) => other.at !== one.at && meets(one.box, other.box)).map((other) => `${one.text} / ${other.text}`));
  const out = lines.filter(({ box, right }) => box.right > right + 1).map(({ text }) => text);
  const wide = document.documentElement.scrollWidth - innerWidth;
  return [...over, ...out, ...(wide > 0 ? [`${wide} px too wide`] : [])];
}"""
"""What is written over other words, or beyond its place; a line has room above and below its letters (J: a quarter)."""


def test_trees_called_like_their_fruit_have_room_for_their_names(browser: Browser, tmp_path: Path) -> None:
    """New notes call them so: no tag lies over words or beyond its place, on a phone and on a desk."""
    kinds = ("Bartlett", "Golden Delicious", "Brown Turkey", "Gate Pear, pear", "Raspberry", "Twentieth Century")
    notes = tmp_path / "notes"
    start(notes, Beginning(name="Home", zone="6b", latitude="42 N", trees=kinds), 2027)
    lines = "2026-05-06,bartlett,full bloom,\n2026-08-30,bartlett,pick,31 lb\n2026-10-02,golden-delicious,pick,60 lb\n"
    (notes / "records" / "2026.csv").write_text(f"date,tree,what,amount\n{lines}", encoding="utf-8")
    write_site(tmp_path / "site", make_site(make_plan(read_holding(notes, SHELF), 2027, date(2027, 8, 28)), THEME))
    found = {}
    for size in (PHONE, DESK):
        page = browser.new_page(viewport=size)  # type: ignore[arg-type]
        for name in ("trees", "store", "review", "since", "year"):
            page.goto((tmp_path / "site" / f"{name}.html").as_uri())
            found[name, size["width"]] = page.evaluate(OVERLAID)
        page.close()

    assert {at: over for at, over in found.items() if over} == {}


def test_the_checks_find_faults(browser: Browser, tmp_path: Path) -> None:
    """A page with bad ink, a call elsewhere and an error is found to have all three, so the test above can fail."""
    axe = from_node("axe-core", "axe.min.js").read_text(encoding="utf-8")
    (tmp_path / "bad.html").write_text(
        "<!doctype html><html lang=en><title>x</title><main><h1 style='color:#ccc'>Pale words</h1>"
        "<img src='http://192.0.2.1/x.png'><script>throw new Error('oh')</script></main>",
        encoding="utf-8",
    )
    page = browser.new_page()
    faults = faults_of(page)
    page.goto((tmp_path / "bad.html").as_uri(), wait_until="commit")
    page.wait_for_selector("h1")
    page.evaluate(axe)
    found = page.evaluate("() => axe.run().then((r) => r.violations.map((v) => v.id))")
    page.close()

    assert {"color-contrast", "image-alt"} <= set(found)
    assert {"oh", "http://192.0.2.1/x.png"} <= set(faults)


def test_every_page_serves_without_scripts(browser: Browser, site: Path) -> None:
    """From disk with scripts off, each page has its words, its links hold, and nothing asks for a script."""
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    faults = faults_of(page)
    for name in pages_of(site)[::5]:
        page.goto((site / name).as_uri())
        assert len(page.locator("#main").inner_text()) > 40, name
        if page.locator(".running").count():
            expect(page.locator(".find a")).to_be_visible()
            assert page.locator(":is(input, select, button, .tick):visible").count() == 0, name
    page.goto((site / "index.html").as_uri())
    page.locator(".find a").click()
    page.get_by_role("link", name="1-01", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Tree 1-01")
    context.close()

    assert faults == []


def test_the_front_page_is_light(files: dict[str, bytes]) -> None:
    """The first page with style, script and fonts is below 120 kB, uncompressed, every other page below 60."""
    fonts = [name for name in files if name.endswith(".woff2")]
    loaded = ["index.html", "static/box-tag.css", "static/box-tag.js", "static/notes.js", *fonts]
    page = files["index.html"].decode("utf-8")

    assert page.count('<link rel="stylesheet"') == page.count("<script") == 1
    assert len(fonts) == 2
    assert sum(len(files[name]) for name in loaded) < MOST_BYTES
    pages = {name: len(data) for name, data in files.items() if name.endswith(".html")}
    assert {name: size for name, size in pages.items() if size > MOST_BYTES_OF_A_PAGE} == {}


# Finding one's way


def test_the_page_one_is_on_is_marked(context: BrowserContext, site: Path) -> None:
    """For eyes and for screen readers, once in the ways through the site; a tree's page marks no other."""
    page = context.new_page()
    for name in ("index", "year", "trees", "tests", "jobs", "store", "rooms", "kitchen", "safety", "sources"):
        page.goto((site / f"{name}.html").as_uri())
        marked = page.locator("nav [aria-current]")
        assert marked.count() == 1, name
        assert (marked.get_attribute("href") or "").endswith(f"{name}.html")


def test_the_days_jobs_are_near_for_keys_and_thumbs(context: BrowserContext, site: Path) -> None:
    """On a phone fewer than 60 stops lie before the end of today's jobs, and what is touched there is 44 px or more."""
    page = context.new_page()
    page.goto((site / "index.html").as_uri())
    page.wait_for_selector(".tools")
    stops = page.evaluate(
        "() => { const acts = [...document.querySelectorAll('a[href], input, select, button, summary')]"
        ".filter((e) => e.checkVisibility());"
        " const last = [...document.querySelectorAll('main .day .job')].filter((e) => !e.closest('details'))"
        ".filter((e, at, all) => e.closest('.day') === all[0].closest('.day')).at(-1);"
        " return acts.filter((e) => e.compareDocumentPosition(last) & 4 || last.contains(e)).length; }"
    )
    assert 5 < stops < 60
    small = page.evaluate(
        "() => [...document.querySelectorAll('.code[href], .tick, .tools select, .running a, .running summary')]"
        ".filter((e) => e.checkVisibility()).map((e) => [e.className, e.getBoundingClientRect().height])"
        ".filter(([, high]) => high < 43.9)"
    )
    assert small == []


@pytest.mark.parametrize("name", [*KINDS, "harvest", "review", "hindcast", "since", "note", "fruits/apple", "kitchen/"])
def test_what_stands_alone_is_as_large_as_a_thumb(context: BrowserContext, site: Path, name: str) -> None:
    """On a phone, folds open: 44 px each way, and whoever touches its middle touches nothing else."""
    path = next(site.glob("kitchen/*.html")) if name.endswith("/") else site / f"{name}.html"
    page = context.new_page()
    page.goto(path.as_uri())
    open_all(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert page.evaluate(SMALL) == []
    assert page.evaluate(COVERED) == []


def test_a_sentence_is_never_torn_into_columns(context: BrowserContext, site: Path) -> None:
    """On a phone, folds open: a link or remark with a tag in its words runs on as one text, on every kind of page."""
    page = context.new_page()
    kinds = [
        *site.glob("*.html"),
        *(next(folder.glob("*.html")) for folder in site.iterdir() if any(folder.glob("*.html"))),
    ]
    torn = {}
    for path in (*kinds, *site.glob("sheets/*.html"), *site.glob("kitchen/*.html"), *site.glob("months/*.html")):
        page.goto(path.as_uri())
        open_all(page)
        torn[path.name] = page.evaluate(TORN)
    assert len(torn) > 30
    assert {name: found for name, found in torn.items() if found} == {}


@pytest.mark.parametrize("name", ["store", "rooms", "cultivars/bartlett"])
def test_a_table_that_is_cards_on_a_phone_is_no_wider_than_it(context: BrowserContext, site: Path, name: str) -> None:
    """However much is said of a batch: for whom it comes out, and what becomes of the rest."""
    page = context.new_page()
    page.goto((site / f"{name}.html").as_uri())
    open_all(page)
    cards = page.locator(".scroll:has(> :is(.batches, .season))")

    assert cards.count()
    assert cards.evaluate_all("(all) => all.filter((one) => one.scrollWidth > one.clientWidth).length") == 0


def test_wide_parts_show_that_they_scroll(context: BrowserContext, site: Path) -> None:
    """At 320 px what is wider than its frame can be scrolled, has a shadow at its edge, and is reached by keys."""
    page = context.new_page()
    page.set_viewport_size(NARROW)
    met = 0
    for name in ("year", "dates", "review", "trees/2-01"):
        page.goto((site / f"{name}.html").as_uri())
        open_all(page)
        for wide, shade, reached in page.evaluate(
            "() => [...document.querySelectorAll('.scroll')].filter((e) => e.scrollWidth > e.clientWidth + 1).map((e) =>"
            " [e.className, getComputedStyle(e).backgroundImage.includes('gradient'),"
            " e.tabIndex === 0 || e.querySelector('a, button') !== null])"
        ):
            met += 1
            assert shade, (name, wide)
            assert reached, (name, wide)
    assert met > 1


# Keys, eyes, motion


@pytest.mark.parametrize("name", KINDS)
def test_keys_reach_everything_and_show_where_they_are(context: BrowserContext, site: Path, name: str) -> None:
    """Tab goes to the skip link first, then through all that acts, in order and each with an outline, and out again."""
    page = context.new_page()
    page.goto((site / f"{name}.html").as_uri())
    count = page.evaluate(
        "() => [...document.querySelectorAll('a[href], input, select, button, summary, [tabindex=\"0\"]')]"
        ".filter((e) => e.checkVisibility()).map((e, at) => { e.dataset.turn = at; return at; }).length"
    )
    seen, plain = [], []
    for _ in range(count + 1):
        page.keyboard.press("Tab")
        at = page.evaluate(
            "() => { const e = document.activeElement; if (e === document.body) return null;"
            " const s = getComputedStyle(e); return [Number(e.dataset.turn), s.outlineStyle, parseFloat(s.outlineWidth),"
            " e.className]; }"
        )
        if at is None:
            break
        seen.append(at[0])
        plain += [at] if at[1] == "none" or at[2] < 2 else []

    assert page.locator("[data-turn='0']").get_attribute("class") == "skip"
    assert seen == list(range(count))
    assert plain == []


@pytest.mark.parametrize("name", KINDS)
def test_forced_colours_large_text_and_still_pages(browser: Browser, site: Path, name: str) -> None:
    """With forced colours words still stand out, at 200 % nothing scrolls sideways, and nothing ever moves."""
    context = browser.new_context(
        viewport={"width": 640, "height": 450}, forced_colors="active", reduced_motion="reduce"
    )
    page = context.new_page()
    faults = faults_of(page)
    page.goto((site / f"{name}.html").as_uri())
    inks = page.evaluate(
        "[getComputedStyle(document.body).color, getComputedStyle(document.documentElement).backgroundColor]"
    )
    assert inks[0] != inks[1]
    assert page.evaluate("document.documentElement.scrollWidth") <= 640
    assert page.evaluate("document.getAnimations().length") == 0
    moving = (
        "[...document.querySelectorAll('*')].filter((e) => parseFloat(getComputedStyle(e).transitionDuration)).length"
    )
    assert page.evaluate(moving) == 0
    context.close()
    assert faults == []


# Find


def test_a_tree_is_found_in_two_touches(context: BrowserContext, site: Path) -> None:
    """From disk: touch Find, type the tag with or without its hyphen, touch the tree."""
    page = context.new_page()
    faults = faults_of(page)
    page.goto((site / "weeks" / "2027-08-23.html").as_uri())
    page.locator(".find summary").click()
    field = page.get_by_role("searchbox", name="Find a tree or a name")
    expect(field).to_be_focused()
    for typed in ("1-03", "103", "tree 1 03"):
        field.fill(typed)
        expect(page.get_by_role("link", name="1-03, tree")).to_be_visible()
    page.get_by_role("link", name="1-03, tree").click()

    expect(page.get_by_role("heading", level=1)).to_contain_text("Tree 1-03")
    assert faults == []


def test_a_name_is_found_by_its_other_names_and_by_keys(context: BrowserContext, site: Path) -> None:
    """An alias leads to its cultivar, how many were found is said, and arrows, Enter and Escape do what they should."""
    page = context.new_page()
    page.goto((site / "index.html").as_uri())
    page.locator(".find summary").click()
    field, said = page.get_by_label("Find a tree or a name"), page.locator(".finder [role=status]")
    field.fill("williams")
    expect(page.locator(".finder li").first).to_contain_text("Bartlett, cultivar")
    expect(said).to_have_text(f"Found: {page.locator('.finder li').count()}")
    page.keyboard.press("ArrowDown")
    expect(page.locator(".finder li a").first).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect(field).to_be_focused()
    page.keyboard.press("Escape")
    expect(field).to_have_value("")
    expect(said).to_have_text("")
    field.fill("no such thing")
    expect(said).to_have_text("Nothing found.")
    field.fill("prune")
    expect(page.get_by_role("link", name="Prune apples and pears, job")).to_be_visible()
    field.fill("poire")
    expect(page.get_by_role("link", name="European pear, fruit")).to_be_visible()
    field.fill("ripe")
    expect(page.get_by_role("link", name="Today, page")).to_be_visible()
    field.fill("bartlett")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Bartlett")


def test_the_names_are_those_of_the_pages(files: dict[str, bytes], example_plan: Plan) -> None:
    """Each name leads to a page of the site, and nothing is named that a page does not show."""
    text = files["static/names.js"].decode("ascii")
    data = json.loads(text.partition("freeze(")[2].rpartition(")")[0])
    words = html.unescape(b" ".join(data for name, data in files.items() if name.endswith(".html")).decode("utf-8"))

    assert len(data["names"]) > 100
    assert {kind for kind, *_ in data["names"]} == {"tree", "cultivar", "fruit", "job", "preserve", "page"}
    for kind, name, also, _, path in data["names"]:
        assert path in files
        assert [part for part in (name, *(() if kind == "page" else also)) if part not in words] == []
    assert all(f"weeks/{first}.html" in files for first in data["weeks"])
    assert len([1 for kind, *_ in data["names"] if kind == "tree"]) == len(example_plan.holding.trees)


# Today, choosing, ticking


def test_todays_jobs_are_opened(context: BrowserContext, site: Path) -> None:
    """On a day of the week shown, days gone by are folded away, and the day says that it is today."""
    page = context.new_page()
    set_day(page, "2027-08-26")
    page.goto((site / "weeks" / "2027-08-23.html").as_uri())
    expect(page.locator("#today h2")).to_contain_text("Thu 26 August Today")
    expect(page.locator("#today .job").first).to_be_visible()
    expect(page.locator(".gone summary").first).to_have_text("Days gone by: 2")
    expect(page.locator(".gone .day").first).to_be_hidden()
    page.get_by_role("link", name="To today’s jobs").click()
    assert page.url.endswith("#today")

    set_day(page, "2027-09-16")
    page.goto((site / "index.html").as_uri())
    page.get_by_role("link", name="To the week of today").click()
    expect(page.locator("h1")).to_have_text("Week of Monday 13 September 2027")
    page.goto((site / "year.html").as_uri())
    expect(page.locator(".months .mark")).to_have_text("This week")
    expect(page.locator(".months li li", has=page.locator(".mark")).locator("a")).to_have_attribute(
        "href", "weeks/2027-09-13.html"
    )


@pytest.mark.parametrize(("day", "days"), [("2027-09-06", 8), ("2027-08-31", 3), ("2031-03-01", 8)])
def test_an_old_site_says_what_it_cant_know_and_asks_what_was_to_happen(
    context: BrowserContext, site: Path, day: str, days: int
) -> None:
    """Opened nine days later, or years, it names the day it was made on and asks for each day since, with its lines."""
    page = context.new_page()
    set_day(page, day)
    page.goto((site / "index.html").as_uri())
    expect(page.locator(".today .old")).to_contain_text("This was made on")
    expect(page.locator(".today .old")).to_contain_text("it can’t know what was noted or done since")
    expect(page.locator(".gone > summary")).to_have_text(f"Was to happen since. Was it done? Days: {days}")
    expect(page.locator(".gone h1")).to_be_visible()
    assert page.locator(".gone .today").count() == 0
    expect(page.locator(".gone .line").first).to_be_attached()
    expect(page.locator(".today")).to_contain_text("Today is")
    assert page.locator(".mark").count() == (1 if days < 8 else 0)


def test_a_site_of_today_asks_nothing(context: BrowserContext, site: Path) -> None:
    """On the day it was made it knows all that it can."""
    page = context.new_page()
    set_day(page, "2027-08-28")
    page.goto((site / "index.html").as_uri())
    expect(page.locator(".tools")).to_be_visible()
    assert page.locator(".today, .gone, .old").count() == 0


def test_jobs_can_be_narrowed_to_a_person_a_house_and_a_part(context: BrowserContext, site: Path) -> None:
    """What is hidden is counted in words, the choice stays on the next page, and all of it comes back."""
    page = context.new_page()
    page.goto((site / "index.html").as_uri())
    open_all(page)
    lines = page.locator(".tasks > li")
    whole = lines.count()
    page.get_by_label("Person or house").select_option("Thea")
    shown = page.locator(".tasks > li:visible")
    assert 0 < shown.count() < whole
    for text in shown.all_inner_texts():
        assert "Thea" in text or "Maud" not in text, text
    expect(page.locator(".state")).to_contain_text(
        f"Jobs hidden: {whole - shown.count()}. Jobs shown: {shown.count()}."
    )
    page.get_by_label("Person or house").select_option("village house")
    of_the_house = shown.count()
    page.get_by_label("Part of the orchard").select_option("row 1")
    assert 0 < shown.count() < of_the_house
    parts = "(lines) => lines.filter((line) => line.dataset.at && !line.dataset.at.split(' ').includes('1')).length"
    assert shown.evaluate_all(parts) == 0

    page.goto((site / "weeks" / "2027-08-30.html").as_uri())
    expect(page.get_by_label("Part of the orchard").locator("option:checked")).to_have_text("row 1")
    expect(page.locator(".state")).to_contain_text("Jobs hidden:")
    page.get_by_role("button", name="Show all jobs").click()
    open_all(page)
    assert page.locator(".tasks > li:visible").count() == page.locator(".tasks > li").count()
    expect(page.locator(".state")).to_have_text("")


PEAR = {
    "trees/A.md": "---\ncultivar: bartlett\n---\n",
    "place.md": "---\nname: Home\nlatitude: 42 N\nelevation: 200 m\n---\n",
    "tasks/look.md": "---\nname: Look\ntopic: store\neach: place\nwhen: Dec 20\n---\n",
}
"""One tree, of which nothing is due in December but a look at the store."""


def page_of(context: BrowserContext, top: Path, notes: Mapping[str, str], day: date) -> Page:
    """Return the first page of a household on its day."""
    holding = read_holding(write_notes(top / "notes", notes), SHELF)
    write_site(top / "site", make_site(make_plan(holding, day.year, day), THEME))
    page = context.new_page()
    set_day(page, day.isoformat())
    page.goto((top / "site" / "index.html").as_uri())
    return page


def test_a_tomorrow_without_jobs_says_so(context: BrowserContext, tmp_path: Path) -> None:
    """Nothing is left out of a list that nobody has narrowed: the one job is today's, and tomorrow nothing is due."""
    page = page_of(context, tmp_path, PEAR, date(2027, 12, 20))
    expect(page.locator(".day").first.locator(".job .tick")).to_have_count(1)

    expect(page.locator(".day").nth(1)).to_contain_text("Nothing is due.")
    expect(page.locator(".day").nth(1)).to_be_visible()


def test_the_tag_of_a_tree_that_has_a_name_covers_no_job(context: BrowserContext, tmp_path: Path) -> None:
    """Whoever has no codes calls a tree by where it stands, which takes several lines beside its jobs."""
    named = {
        "trees/A.md": '---\ntree: "Old pear behind the well"\ncultivar: bartlett\n---\n',
        "trees/B.md": "---\ncultivar: anjou\n---\n",
        "tasks/look.md": "---\nname: Look\neach: tree\nwhen: Dec 20\n---\n",
    }
    page = page_of(context, tmp_path, {**PEAR, **named}, date(2027, 12, 20))
    expect(page.locator(".job .code", has_text="Old pear behind the well").first).to_be_visible()

    assert page.evaluate(COVERED) == []
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]


@pytest.mark.parametrize("language", ["de", "es"])
def test_long_words_of_other_languages_fit_the_narrowest_screen(
    context: BrowserContext, tmp_path: Path, language: str
) -> None:
    """No page of jobs moves sideways at 320 px: German has names of one word that is wider in the type of headings."""
    place = PEAR["place.md"].replace("name: Home", f"name: Home\nlanguage: {language}")
    notes = {**PEAR, "place.md": place, "trees/B.md": "---\ncultivar: redhaven\n---\n"}
    page = page_of(context, tmp_path, notes, date(2027, 5, 20))
    page.set_viewport_size(NARROW)
    wide = []
    for job in sorted((tmp_path / "site" / "jobs").glob("*.html")):
        page.goto(job.as_uri())
        wide += [job.name] if page.evaluate("document.documentElement.scrollWidth") > NARROW["width"] else []

    assert wide == []


def test_ticks_stay_on_the_device_until_they_are_forgotten(context: BrowserContext, site: Path) -> None:
    """A job that is ticked stays so on every page that lists it, and only that turn of it."""
    page = context.new_page()
    page.goto((site / "weeks" / "2027-08-23.html").as_uri())
    name = "Done: Check the store; Wed 25 August"
    open_all(page)
    page.get_by_role("checkbox", name=name).check()
    page.goto((site / "months" / "2027-08.html").as_uri())
    assert page.locator(".brief .tick").count() == 0
    page.goto((site / "weeks" / "2027-08-23.html").as_uri())
    open_all(page)
    expect(page.get_by_role("checkbox", name=name)).to_be_checked()
    assert page.locator(".tick input:checked").count() == 1
    page.get_by_role("button", name="Forget the ticks").click()
    expect(page.locator(".state")).to_have_text("The ticks are forgotten.")
    page.reload()
    assert page.locator(".tick input:checked").count() == 0
    expect(page.get_by_role("button", name="Forget the ticks")).to_be_hidden()


def test_ticks_and_choices_work_where_nothing_may_be_kept(context: BrowserContext, site: Path) -> None:
    """With storage denied they hold for the page."""
    context.add_init_script(
        "for (const kind of ['localStorage', 'sessionStorage'])"
        " Object.defineProperty(window, kind, { get() { throw new DOMException('denied', 'SecurityError'); } });"
    )
    page = context.new_page()
    faults = faults_of(page)
    page.goto((site / "index.html").as_uri())
    box = page.locator(".tick input").first
    box.check()
    page.get_by_label("Person or house").select_option("Thea")
    page.get_by_role("button", name="Show all jobs").click()
    expect(box).to_be_checked()
    assert faults == []


def test_a_tick_is_known_by_the_same_name_when_its_day_moves(example_plan: Plan, files: dict[str, bytes]) -> None:
    """Names of ticks are made of what the job is, so each stands at one place, or at each page that lists it."""
    entry = next(entry for entry in example_plan.calendar.entries if entry.task.key == "pick")
    moved = replace(entry, days=tuple(day.replace(year=day.year + 1) for day in entry.days))
    others = tuple(e for e in example_plan.calendar.entries if e is not entry)
    plan = replace(example_plan, calendar=replace(example_plan.calendar, entries=(*others, moved)))
    ticks = [
        {
            tick
            for name, data in made.items()
            if name.startswith("weeks/")
            for tick in data.decode().split('data-ticks="')[1:]
        }
        for made in (files, make_site(plan, THEME))
    ]
    before, after = ({tick for line in lines for tick in line.partition('"')[0].split()} for lines in ticks)

    assert len(before) > 300
    assert before == after


# Without signal


def test_every_page_opens_without_signal_and_a_new_build_is_seen(
    browser: Browser, files: dict[str, bytes], tmp_path: Path
) -> None:
    """Visited once, all pages open offline; back online a reload shows the rebuilt site, and the former cache goes."""
    out = tmp_path / "site"
    write_site(out, files)
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    with served(out) as address:
        page.goto(address)
        page.wait_for_function("() => navigator.serviceWorker.controller")
        context.set_offline(True)
        for name in pages_of(out)[::3]:
            page.goto(address + name)
            assert page.evaluate("document.querySelector('#main') !== null"), name
        page.goto(address)
        page.locator(".find summary").click()
        page.get_by_label("Find a tree or a name").fill("1-01")
        expect(page.get_by_role("link", name="1-01, tree")).to_be_visible()

        context.set_offline(False)
        changed = {
            **files,
            "index.html": files["index.html"].replace(
                b'<span class="wd">Saturday', b'<span class="wd">What has changed'
            ),
        }
        changed["sw.js"] = files["sw.js"].replace(b'"version": "', b'"version": "new')
        write_site(out, changed)
        page.goto(address)
        expect(page.get_by_role("heading", level=1)).to_contain_text("What has changed")
        page.wait_for_function(
            "async () => { const names = await caches.keys(); return names.length === 1 && names[0].includes(' new'); }"
        )
        context.set_offline(True)
        page.goto(address + "trees.html")
        page.goto(address)
        expect(page.get_by_role("heading", level=1)).to_contain_text("What has changed")
    context.close()


def test_a_preview_at_the_same_address_is_seen(
    browser: Browser, files: dict[str, bytes], example_plan: Plan, tmp_path: Path
) -> None:
    """Where a built site once left its worker, the preview's own pages are shown and the worker goes."""
    out = tmp_path / "site"
    write_site(out, files)
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    with served(out) as address:
        page.goto(address)
        page.wait_for_function("() => navigator.serviceWorker.controller")
    preview = Preview(lambda: example_plan)
    preview.rebuild()
    with server_of(preview, int(address.rsplit(":", 1)[1].strip("/"))) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        page.goto(address)
        gone = "async () => (await navigator.serviceWorker.getRegistrations()).length === 0"
        page.wait_for_function(gone)
        page.goto(address.rstrip("/") + preview.top + "trees.html")
        assert page.evaluate("document.querySelector('script[src$=\"-preview.js\"]') !== null")
        server.shutdown()
    context.close()


def test_the_keeper_names_no_feed(files: dict[str, bytes]) -> None:
    """What the worker keeps is pages and what they are made of: no feed's name, since some are secret."""
    listed = json.loads(files["sw.js"].decode().partition("\n")[0].removeprefix("const SITE = ").removesuffix(";"))

    assert set(listed["files"]) == {n for n in files if n.endswith((".html", ".txt")) or n.startswith("static/")}
    assert not [name for name in listed["files"] if name.startswith("feeds/")]


def test_the_version_follows_what_is_kept(example_plan: Plan, files: dict[str, bytes]) -> None:
    """The same site has the same version, another one another; the preview has no keeper at all."""
    assert make_site(example_plan, THEME)["sw.js"] == files["sw.js"]
    place = replace(example_plan.holding.place, name="Another place")
    other = replace(example_plan, holding=replace(example_plan.holding, place=place))
    assert make_site(other, THEME)["sw.js"] != files["sw.js"]
    previewed = make_site(example_plan, THEME, kept=False)
    assert "sw.js" not in previewed
    assert b"data-worker" not in previewed["index.html"]


# Judges from elsewhere


def test_the_nu_checker_finds_no_error(site: Path) -> None:
    """Every page is valid by the checker that the standard's own makers use."""
    jar = from_node("vnu-jar", "build", "dist", "vnu.jar")
    java = shutil.which("java")
    if java is None:
        pytest.fail("java is not installed") if IN_CI else pytest.skip("java is not installed")
    words = [
        java or "java",
        "-Xss2m",
        "-jar",
        str(jar),
        "--skip-non-html",
        "--errors-only",
        "--format",
        "json",
        str(site),
    ]
    run = subprocess.run(words, capture_output=True, text=True, check=False, timeout=240)
    said = json.loads(run.stderr)["messages"]

    assert [f"{m['url'].rpartition('/site/')[2]}:{m.get('lastLine')} {m['message']}" for m in said] == []
    assert run.returncode == 0


def test_lighthouse_gives_full_marks(site: Path, tmp_path: Path) -> None:
    """Accessibility and best practices are 100 of 100 on the front page, a week and a tree, served from this computer."""
    command = from_node("lighthouse", "cli", "index.js")
    node = shutil.which("node") or "node"
    short: list[str] = []
    asked: dict[str, tuple[Path, subprocess.Popen[bytes]]] = {}
    with served(site) as address:
        for at, name in enumerate(["index.html", "weeks/2027-08-23.html", "trees/1-01.html"]):
            out = tmp_path / f"{at}.json"
            words = [node, str(command), address + name, "--output=json", f"--output-path={out}", "--quiet"]
            words += ["--only-categories=accessibility,best-practices", "--no-enable-error-reporting"]
            words += ["--chrome-flags=--headless=new --no-sandbox --disable-gpu"]
            env = {**os.environ, "CHROME_PATH": str(CHROMIUM)}
            asked[name] = out, subprocess.Popen(words, stdout=subprocess.DEVNULL, env=env)
        for name, (out, judge) in asked.items():
            assert judge.wait(timeout=240) == 0, name
            told = json.loads(out.read_text(encoding="utf-8"))
            short += [
                f"{name}: {key} {kind['score']}" for key, kind in told["categories"].items() if kind["score"] != 1
            ]
            short += [
                f"{name}: {audit['id']}"
                for kind in told["categories"].values()
                for ref in kind["auditRefs"]
                if (audit := told["audits"][ref["id"]])["score"] == 0 and ref["weight"]
            ]
    assert short == []
