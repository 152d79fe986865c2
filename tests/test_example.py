"""The example household's site as a reader meets it: whole, linked, valid, and of one mind about its dates."""

from __future__ import annotations

import csv
import io
import json
import posixpath
import re
from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from urllib.parse import unquote, urlsplit
from xml.etree.ElementTree import Element

import html5lib
import icalendar
import pytest
from conftest import EXAMPLE, ROOT

from firmripe.holding.fruit import Event
from firmripe.holding.task import Stage
from firmripe.plan import Plan
from firmripe.problems import Problems
from firmripe.publish.feeds.feed import Feeds
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.feeds.merging import merged
from firmripe.publish.feeds.names import entry_uid
from firmripe.publish.folder import MANIFEST, write_site
from firmripe.publish.hazards import hazards_of, kind_of
from firmripe.publish.ledger import LEDGER, parse_ledger
from firmripe.publish.pages.batches import batch_line
from firmripe.publish.paths import Paths
from firmripe.publish.site import FEED, make_site
from firmripe.publish.views import Link
from firmripe.season.estimate import Estimate
from firmripe.tongue import IN_ENGLISH
from firmripe.words import week_day

THEME = ROOT / "themes" / "box-tag"
OUTPUT = ROOT / "output_example"
ADDRESSES = ("href", "src", "action", "srcset", "poster", "data", "cite", "formaction", "background")


def parsed(page: bytes) -> Element:
    """Return a page's tree. Raises html5lib's ParseError at the first fault."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree: Element = parser.parse(page.decode("utf-8"))
    return tree


def words(element: Element) -> str:
    """Return an element's text with its spaces evened out."""
    return " ".join("".join(element.itertext()).split())


def only(element: Element, path: str) -> Element:
    """Return the one element that a path leads to."""
    found = element.findall(path)
    assert len(found) == 1, (path, len(found))
    return found[0]


def links(tree: Element) -> list[str]:
    """Return every address that a page names in an attribute."""
    return [value for element in tree.iter() for name, value in element.attrib.items() if name in ADDRESSES]


def resolved(page: str, href: str) -> tuple[str, str]:
    """Return the file and the fragment that a link on a page leads to."""
    parts = urlsplit(href)
    path = posixpath.normpath(posixpath.join(posixpath.dirname(page), unquote(parts.path))) if parts.path else page
    return path, parts.fragment


@pytest.fixture(scope="module")
def site(example_plan: Plan) -> dict[str, bytes]:
    """Return the example's files."""
    return make_site(example_plan, THEME, example_feeds(example_plan))


def example_feeds(plan: Plan) -> Feeds:
    """Return the example's feeds, stamped by the ledger that lies with its notes."""
    ledger = parse_ledger((EXAMPLE / LEDGER).read_text(encoding="utf-8"), Problems())
    return make_feeds(plan, ledger, plan.season.as_of)


@pytest.fixture(scope="module")
def pages(site: dict[str, bytes]) -> dict[str, Element]:
    """Return the trees of the example's pages; a page that is not valid ends the run."""
    return {name: parsed(data) for name, data in site.items() if name.endswith(".html")}


# Each page


def test_every_page_is_valid_html(pages: dict[str, Element]) -> None:
    """A strict reader finds no fault on any page (it raises at the first)."""
    assert len(pages) > 100
    assert all(tree.tag == "html" for tree in pages.values())


def test_the_strict_reader_finds_a_fault() -> None:
    """A page with a stray end tag is refused, so the test above can fail."""
    with pytest.raises(html5lib.html5parser.ParseError):
        parsed(b"<!doctype html><html><head><title>x</title></head><body></p></section></body></html>")


def test_every_page_has_what_a_page_needs(pages: dict[str, Element]) -> None:
    """Language, title, one first heading, a viewport and the day it was made on."""
    for name, tree in pages.items():
        assert tree.get("lang") == "en", name
        assert words(only(tree, "head/title")), name
        assert words(only(tree, ".//h1")), name
        assert only(tree, "head/meta[@name='viewport']").get("content"), name
        assert "Made on Saturday 28 August 2027" in words(only(tree, "body/footer")), name
        assert only(tree, "body/main").get("id") == "main", name


def test_no_two_pages_have_one_title(pages: dict[str, Element]) -> None:
    """A tab in the browser says which page it is."""
    titles = [words(only(tree, "head/title")) for tree in pages.values()]

    assert sorted(titles) == sorted(set(titles))


def test_headings_step_down_one_at_a_time(pages: dict[str, Element]) -> None:
    """No level of heading is left out."""
    for name, tree in pages.items():
        levels = [int(e.tag[1]) for e in tree.iter() if re.fullmatch(r"h[1-6]", str(e.tag))]
        assert levels[0] == 1, name
        assert all(after - before <= 1 for before, after in pairwise(levels)), (name, levels)


def test_no_identity_is_used_twice_on_a_page(pages: dict[str, Element]) -> None:
    """Each id is its own."""
    for name, tree in pages.items():
        found = [e.get("id") for e in tree.iter() if e.get("id")]
        assert len(set(found)) == len(found), name


def test_every_machine_readable_day_is_a_day(pages: dict[str, Element]) -> None:
    """What stands in a datetime attribute can be read: a day, or the year of a note that tells no day."""
    found = [e.get("datetime") or "" for tree in pages.values() for e in tree.iter("time")]

    assert len(found) > 1000
    for text in set(found):
        date.fromisoformat(f"{text}-01-01" if re.fullmatch(r"\d{4}", text) else text)


# Links


def test_every_link_leads_somewhere(site: dict[str, bytes], pages: dict[str, Element]) -> None:
    """Every page, file and fragment that is named exists."""
    count = 0
    for name, tree in pages.items():
        for href in links(tree):
            target, fragment = resolved(name, href)
            assert target in site, (name, href)
            if fragment and not re.match(r"(?:tree|what)=", fragment):  # what the page to note on begins with
                assert pages[target].find(f".//*[@id='{fragment}']") is not None, (name, href)
            count += 1
    assert count > 5000


def test_every_page_can_be_reached_from_the_first(pages: dict[str, Element]) -> None:
    """No page is an island."""
    reached, ahead = {"index.html"}, ["index.html"]
    while ahead:
        name = ahead.pop()
        for href in links(pages[name]):
            target, _ = resolved(name, href)
            if target in pages and target not in reached:
                reached.add(target)
                ahead.append(target)

    assert set(pages) == reached


def test_nothing_on_a_page_asks_another_host(site: dict[str, bytes], pages: dict[str, Element]) -> None:
    """All addresses are relative, so the site opens from disk and tells nobody who reads it."""
    for name, tree in pages.items():
        for href in links(tree):
            parts = urlsplit(href)
            assert not parts.scheme, (name, href)
            assert not parts.netloc, (name, href)
            assert not parts.path.startswith("/"), (name, href)
    for name, data in site.items():
        if name.endswith(".css"):
            text = data.decode("utf-8")
            assert "@import" not in text, name
            assert not re.search(r"url\(\s*['\"]?\s*(https?:|//)", text), name


def test_no_page_needs_a_script(site: dict[str, bytes], pages: dict[str, Element]) -> None:
    """There is no frame, image from afar or handler anywhere, and no script but the theme's own, under its policy."""
    for name, tree in pages.items():
        assert active(tree) == [], name
        policy = [e.get("content") or "" for e in tree.iter("meta") if e.get("http-equiv")]
        allowed = [part for said in policy for part in said.split("; ") if part.startswith("script-src")]
        assert allowed == (["script-src 'self' file:"] if list(tree.iter("script")) else []), name
    scripts = {name for name in site if name.endswith(".js")}
    assert scripts == {"sw.js", *(f"static/{name}.js" for name in ("box-tag", "find", "names", "note", "notes"))}


def test_scripts_ask_nothing_of_others_and_make_no_markup(site: dict[str, bytes]) -> None:
    """No address of another host stands in a script, and none makes markup or code out of text."""
    for name, data in site.items():
        if name.endswith(".js"):
            text = data.decode("utf-8")
            assert not re.search(r"[a-z]+://", text), name
            assert not re.search(r"(inner|outer|Adjacent)HTML|document\.write|\beval\b|Function\(", text), name
            assert not re.search(r"XMLHttp|sendBeacon|WebSocket|EventSource", text), name


def noting(tree: Element) -> list[Element]:
    """Return the fields of the page to note on: its form sends nothing anywhere, and they are named by us."""
    form = tree.find(".//form[@id='noting']")
    if form is None or {"action", "method", "target"} & set(form.attrib):
        return []
    fields = [
        *form.iter("input"),
        *(one for part in tree.findall(".//section[@id='hand']") for one in part.iter("input")),
    ]
    return (
        [form, *fields] if {field.get("name") for field in fields} <= {None, "tree", "what", "verdict", "day"} else []
    )


def active(tree: Element) -> list[str]:
    """Return what on a page could act by itself or fetch something."""
    kinds = {"script", "iframe", "img", "object", "embed", "form", "input", "video", "audio", "svg", "base", "style"}
    ours = re.compile(r"(\.\./)*static/(box-tag|note|notes)\.js")
    own = [e for e in tree.iter("script") if ours.fullmatch(e.get("src", "")) and not e.text]
    own += noting(tree)
    shut = {part for e in tree.iter("template") for part in e.iter()}
    found = [str(e.tag) for e in tree.iter() if e.tag in kinds and e not in own and e not in shut]
    found += [name for e in tree.iter() for name in e.attrib if name.startswith("on") or name == "style"]
    return found + [href for href in links(tree) if re.match(r"\s*(javascript|data|vbscript):", href, re.IGNORECASE)]


# One mind about the dates


def days_in_feed(site: dict[str, bytes], plan: Plan) -> dict[str, date]:
    """Return by the identity of a job the day on which the appointment stands that tells of it."""
    starts = {str(e["UID"]): e["DTSTART"].dt for e in icalendar.Calendar.from_ical(site[FEED]).walk("VEVENT")}
    asked = [entry for entry in plan.calendar.entries if entry.task.reminder]
    return {
        entry.identity: starts[uid]
        for one in merged(asked, plan.holding, lambda _: True)
        for entry in one.entries
        if (uid := entry_uid(plan.holding.place, one.lead)) in starts
    }


def pick_cell(tree: Element, tag: str, cultivar: str, crop: str) -> Element:
    """Return the cell of a season's table that holds a bearing's pick."""
    suffix = f", {crop} crop" if crop else ""
    found = []
    for table in tree.iter("table"):
        heads = [words(head) for head in table.findall("thead/tr/th")]
        if heads[:2] == ["Tree", "Cultivar"] and "Pick" in heads:
            found += [
                row[heads.index("Pick")]
                for row in table.findall("tbody/tr")
                if words(row[0]) == tag and words(row[1]) == cultivar + suffix
            ]
    assert len(found) == 1, (tag, cultivar, crop, len(found))
    return found[0]


def test_a_pick_has_one_date_wherever_it_is_said(
    site: dict[str, bytes], pages: dict[str, Element], example_plan: Plan
) -> None:
    """Year, cultivar, fruit, tree, week and feed agree to the day on every pick that has a date."""
    plan, paths = example_plan, Paths(example_plan)
    starts = days_in_feed(site, plan)
    checked = 0
    for bearing in plan.season.bearings:
        dated = plan.season.of(bearing, Event.PICK)
        if not isinstance(dated, Estimate):
            continue
        tree = plan.holding.tree(bearing.tree)
        limb = next(limb for limb in tree.limbs if limb.key == bearing.cultivar)
        entry = next(
            e
            for e in plan.calendar.entries
            if "pick" in {e.task.key, *e.task.instead_of} and bearing in e.bearings and e.crop == bearing.crop
        )
        iso = dated.likely.isoformat()
        tables = ["year.html", paths.cultivar(limb.key)]
        tables += [paths.fruit(limb.fruit.key)] if limb.fruit else []
        for name in tables:
            cell = pick_cell(pages[name], tree.tag, limb.name, bearing.crop)
            assert cell.findall("time")[0].get("datetime") == iso, (name, bearing)
        assert iso in dates_on_tree_page(pages[paths.tree(tree.tag)], limb.name, bearing.crop), bearing
        if entry.task.key != "pick":  # rounds of all that is ripe, which come again and again
            assert dated.likely in entry.days, bearing
            continue
        weeks = [
            section
            for name, page in pages.items()
            if name.startswith("weeks/")
            for section in page.iter()
            if "day" in (section.get("class") or "").split()
            and (day := section.find(".//time")) is not None
            and day.get("datetime") == iso
        ]
        said = [
            (
                words(only(line, ".//a[@class='verb']")),
                words(line),
                [words(tag) for tag in line.findall("div/a[@class='code']")],
            )
            for section in weeks
            for line in section.findall(".//ul[@class='tasks']/li")
        ]
        assert any(
            verb == "Pick" and limb.name in line and tree.tag in tags and bearing.crop in line
            for verb, line, tags in said
        ), (bearing, said)
        assert starts[entry.identity] == dated.likely, bearing
        checked += 1
    assert checked >= 15


def test_a_lot_has_one_set_of_days_on_card_tag_store_tree_and_in_the_feed(
    example_plan: Plan, pages: dict[str, Element], site: dict[str, bytes]
) -> None:
    """What hangs on a box says what the store, the tree's page and the calendar say, and so does the picker's card."""
    plan, paths = example_plan, Paths(example_plan)
    as_of = plan.season.as_of
    # Of a tree that is gone over twice the first time stands first.
    card = {words(row[0]): words(row[1]) for row in reversed(pages["sheets/picking.html"].findall(".//tbody/tr"))}
    tags = [words(tag) for tag in pages["sheets/tags.html"].findall(".//ul[@class='cut']/li")]
    starts = days_in_feed(site, plan)
    picks, tagged, fed = 0, 0, 0
    for bearing, lot in plan.lots.items():
        pick = plan.season.of(bearing, Event.PICK)
        tree = plan.holding.tree(bearing.tree)
        limb = next(limb for limb in tree.limbs if limb.key == bearing.cultivar)
        if isinstance(pick, Estimate) and not pick.is_past and pick.earliest <= as_of + timedelta(days=14):
            head = next(head for head in card if head.startswith(f"{tree.tag} {limb.name}") and bearing.crop in head)
            assert card[head].startswith(week_day(IN_ENGLISH, pick.likely)), head
            picks += 1
        for batch in lot.batches:
            if batch not in plan.store.batches or batch.picked.likely > as_of + timedelta(days=14):
                continue
            line = batch_line(IN_ENGLISH, batch, Link(text="", href=""), Link(text="", href=""), as_of)
            which = f"{tree.tag} {limb.name}, {line.what}" if line.what else f"{tree.tag} {limb.name}"
            of_batch = [tag for tag in tags if tag.startswith(f"{which} ")]
            days = {name: day for name, day in (("Ready", line.ready), ("Use by", line.use_by)) if day}
            assert any(all(f"{name}{day}" in tag for name, day in days.items()) for tag in of_batch), (line, of_batch)
            for page in ("store.html", paths.tree(tree.tag)):
                assert all(day in words(only(pages[page], "body/main")) for day in days.values()), (page, line)
            tagged += 1
        for entry in plan.calendar.entries:
            ready = lot.days.get(Stage.READY)
            if (
                entry.task.when.stage is Stage.READY
                and not entry.task.when.days
                and entry.bearings == (bearing,)
                and ready
            ):
                assert entry.span.first == ready.likely, entry
                if entry.task.reminder:
                    assert starts[entry.identity] == entry.span.first, entry
                    fed += 1
    assert (picks >= 4, tagged >= 10, fed >= 5) == (True, True, True), (picks, tagged, fed)


def dates_on_tree_page(tree: Element, cultivar: str, crop: str) -> list[str | None]:
    """Return the day that a tree's page gives for the pick of a cultivar."""
    heading = f"{cultivar}, {crop} crop, this season" if crop else f"{cultivar}, this season"
    section = next(s for s in tree.iter("section") if s.find("h2") is not None and words(only(s, "h2")) == heading)
    parts = list(only(section, ".//dl[@class='dates']"))
    return [
        dd.find("time").get("datetime")  # type: ignore[union-attr]
        for dt, dd in zip(parts[::2], parts[1::2], strict=True)
        if words(dt) == "Pick"
    ]


def test_what_was_seen_is_not_given_a_window(example_plan: Plan, pages: dict[str, Element]) -> None:
    """A pick that was noted stands alone on its day; one that is only expected has a window beside it."""
    seen = {
        bearing
        for bearing in example_plan.season.bearings
        if isinstance(dated := example_plan.season.of(bearing, Event.PICK), Estimate) and dated.is_past
    }
    assert seen
    for bearing in seen:
        tree = example_plan.holding.tree(bearing.tree)
        limb = next(limb for limb in tree.limbs if limb.key == bearing.cultivar)
        cell = pick_cell(pages["year.html"], tree.tag, limb.name, bearing.crop)
        assert cell.find("span[@class='window']") is None, bearing
        assert "seen and noted" in words(cell), bearing


# Cautions


def test_every_caution_of_a_task_stands_on_its_page(pages: dict[str, Element], example_plan: Plan) -> None:
    """What can hurt is said where the work is described."""
    paths = Paths(example_plan)
    tasks = {entry.task.key: entry.task for entry in example_plan.calendar.entries}
    said = 0
    for task in tasks.values():
        page = words(only(pages[paths.task(task.key)], "body/main"))
        for caution in task.cautions:
            assert " ".join(caution.text.split()) in page, task.key
            said += 1
    assert said > 10


def test_a_task_with_cautions_warns_wherever_it_is_listed(pages: dict[str, Element], example_plan: Plan) -> None:
    """On home and in weeks a task has the mark of each of its hazards, and the words stand above the day."""
    entries = example_plan.calendar.entries
    careful = {entry.task.name: entry.task for entry in entries if entry.task.cautions}
    checked = 0
    for name, tree in pages.items():
        if name != "index.html" and not name.startswith("weeks/"):
            continue
        earlier: list[str] = []
        for day in [e for e in tree.iter() if "day" in (e.get("class") or "").split()]:
            told = [words(line) for line in day.findall("section[@class='care']/ul/li")]
            for line in day.findall("ul[@class='tasks']/li[@class='job']"):
                task = careful.get(words(only(line, "div/a[@class='verb']")))
                tags = {words(tag) for tag in line.iter("a") if tag.get("class") == "code"}
                of = [b for e in entries if task and e.task.key == task.key for b in e.bearings if b.tree in tags]
                needed = example_plan.holding.needed_for(task.cautions, of) if task else ()
                marks = [
                    words(mark).removeprefix("Caution: ") for mark in line.iter("span") if mark.get("class") == "haz"
                ]
                assert marks == [hazard.word for hazard in hazards_of(IN_ENGLISH, needed)], (name, words(line))
                for mark in marks:
                    again = any(said.startswith("As today:") and mark in said for said in told)
                    here = next(said for said in (earlier if again else told) if said.startswith(f"{mark}. "))
                    first = next(hazard.texts[0] for hazard in hazards_of(IN_ENGLISH, needed) if hazard.word == mark)
                    assert " ".join(first.split()) in here, (name, mark, here)
                checked += bool(marks)
            earlier = told if name == "index.html" and not earlier else earlier
    assert checked > 100


def test_every_caution_of_the_shelf_has_its_kind(example_plan: Plan) -> None:
    """Words of one kind of harm get the drawing of that kind, and few have none."""
    shown = {
        "Never stand on the top two steps of an orchard ladder": "ladder",
        "Keep clear of power lines, and leave the ladder down when it blows.": "ladder",
        "Cut away from yourself, wear gloves and eye protection, and put the blade away before you climb.": "blade",
        "The label is the law: use a spray only on crops it names": "label",
        "Fallen fruit is not for fresh juice or cider, nor to give away.": "ground",
        "Mold anywhere: throw out the whole jar.": "mold",
        "When a jar is suspect, don't taste it; throw it out.": "mold",
        "Iodine stains and is poison: gloves, and tested fruit is thrown out.": "poison",
        "Know who is allergic and where their medicine is. Leave a nest to someone who knows how.": "wasp",
        "Use only a tested process for this very fruit, pack, jar and height": "jar",
    }
    texts = {figure.text for task in example_plan.holding.tasks for figure in task.cautions}

    assert {text: kind_of(text) for text in shown} == shown
    assert len(texts) > 25
    assert len([text for text in texts if kind_of(text) == "care"]) <= 3


# The published example


def test_the_published_example_is_what_its_notes_build(site: dict[str, bytes], tmp_path: Path) -> None:
    """The folder in the repository is the build of the example, byte for byte, its manifest included."""
    write_site(tmp_path / "site", site)
    built = {p.relative_to(tmp_path / "site").as_posix() for p in (tmp_path / "site").rglob("*") if p.is_file()}
    kept = {p.relative_to(OUTPUT).as_posix() for p in OUTPUT.rglob("*") if p.is_file()}

    assert kept == built
    changed = [
        name for name in sorted(built) if (OUTPUT / name).read_bytes() != (tmp_path / "site" / name).read_bytes()
    ]
    assert changed == []
    assert MANIFEST in built


def test_building_the_example_again_changes_nothing(site: dict[str, bytes], example_plan: Plan) -> None:
    """Neither clock nor chance is in the site."""
    assert make_site(example_plan, THEME, example_feeds(example_plan)) == site


# Hostile text


ACTIVE = "<script>alert(1)</script><img src=x onerror=alert(2)>"
HOSTILE = f"""{ACTIVE}{{{{ 7 * 7 }}}}{{% raw %}}"' onclick='x()' </title></textarea>&lt;"""
QUOTED = json.dumps(HOSTILE)


def hostile_figure(value: str = QUOTED) -> str:
    """Return a figure whose every text is hostile."""
    return f"{{value: {value}, note: {QUOTED}}}"


def records(*rows: tuple[str, ...]) -> str:
    """Return a table of records."""
    text = io.StringIO()
    csv.writer(text).writerows([("date", "tree", "cultivar", "what", "amount", "note"), *rows])
    return text.getvalue()


BODY = f"{HOSTILE}\n\n# {HOSTILE}\n\n[x](javascript:alert(1)) <iframe src=y></iframe>\n"
HOSTILE_NOTES = {
    "place.md": f"""---
name: {QUOTED}
zone: 6b
zone map: 2012
latitude: 42 N
last frost: May 12
first frost: Oct 8
spaces: [{{name: {QUOTED}, temperature: 38 F, holds: 20 lb}}]
kitchens: [{{name: {QUOTED}, elevation: "900 ft"}}]
people: [{{name: {QUOTED}, does: [{QUOTED}]}}]
site address: https://fruit.example.org/
---
{BODY}""",
    "fruits/odd.md": f"""---
name: {json.dumps("Odd fruit " + HOSTILE)}
also: [{QUOTED}]
ripens off the tree: {{value: yes, note: {QUOTED}}}
---
{BODY}""",
    "cultivars/odd.md": f"""---
name: {json.dumps("Odd kind " + HOSTILE)}
also: [{json.dumps("Also " + HOSTILE)}]
fruit: odd
windows:
  - {{pick: Aug 20 - Aug 30, place: here, note: {QUOTED}}}
  - {{bloom: May 2, place: here, note: {QUOTED}}}
signs: [{{touch: {QUOTED}}}, {{taste: {QUOTED}}}]
counter: {{value: 5 days, note: {QUOTED}}}
keeps: {{value: 60 days, note: {QUOTED}}}
keeps ripe: {{value: 3 days, note: {QUOTED}}}
conditioning: [{{value: 10 days, at: 38 F, note: {QUOTED}}}]
drops: [{{when: 0-3 weeks after petal fall, value: {QUOTED}}}]
uses: [{hostile_figure()}]
partners: [{hostile_figure()}]
bad partners: [{hostile_figure()}]
facts: [{{what: {QUOTED}, value: {QUOTED}, note: {QUOTED}}}]
cautions: [{hostile_figure()}]
---
{BODY}""",
    "trees/a.md": f"""---
tree: {QUOTED}
cultivar: odd
where: {QUOTED}
kept by: {QUOTED}
planted: 2001
---
{BODY}""",
    "trees/b.md": f"""---
tree: B
cultivar: unknown
fruit: odd
pinned: [{{pick: 2027-09-01, because: {QUOTED}}}]
---
""",
    "tasks/odd.md": f"""---
name: {QUOTED}
topic: kitchen
when: 3 days before pick
until: pick
every: 1 day
reminder: yes
who: {QUOTED}
bring: [{QUOTED}]
why: [{hostile_figure()}]
look for: [{hostile_figure()}]
cautions: [{hostile_figure()}, {hostile_figure()}]
---
{BODY}""",
    "preserves/odd.md": f"""---
name: {QUOTED}
fruits: [odd]
method: freezer
stage: ripe
keeps: {{value: 8 months, note: {QUOTED}}}
cautions: [{hostile_figure()}]
---
{BODY}""",
    "records/2027.csv": records(
        ("2027-05-04", HOSTILE, "", "full bloom", HOSTILE, HOSTILE),
        ("2027-08-21", HOSTILE, "", "verdict", HOSTILE, HOSTILE),
        ("2027-06-01", "B", "", "no crop", "", HOSTILE),
    ),
}


def test_hostile_text_in_every_field_stays_text(plan_of: Callable[..., Plan]) -> None:
    """Whatever is written in the notes, no page holds anything active, is invalid, or is read as a template."""
    plan = plan_of(HOSTILE_NOTES, as_of=date(2027, 8, 28))
    site = make_site(plan, THEME)
    shown = 0
    for name, data in site.items():
        if not name.endswith(".html"):
            continue
        tree = parsed(data)
        assert active(tree) == [], name
        text = words(tree)
        assert "49" not in re.findall(r"(?<!\d)49(?!\d)", text), name
        shown += text.count("{{ 7 * 7 }}")
        assert words(only(tree, "head/title")).count("</title>") >= 1, name
    assert shown > 50
    assert all(re.fullmatch(r"[a-z0-9./-]+", name) for name in site)


def test_the_check_for_active_markup_can_fail() -> None:
    """Put into a page as it is, the hostile text is active."""
    page = f"<!doctype html><html lang=en><head><title>x</title></head><body>{ACTIVE}</body></html>"

    assert set(active(parsed(page.encode()))) == {"script", "img", "onerror"}


def test_control_characters_never_reach_a_page(plan_of: Callable[..., Plan]) -> None:
    """An escaped control or noncharacter in a note, or a raw one in a record, is left out of the page."""
    odd = '"a\\x07b\\0c\\ufffed"'
    notes = {
        "place.md": f"---\nname: {odd}\n---\n",
        "trees/a.md": f"---\ntree: A\ncultivar: Bartlett\nwhere: {odd}\n---\nraw\x1btext\n",
        "records/2027.csv": records(("2027-08-01", "A", "", "note", "", "x\x08y")),
    }
    site = make_site(plan_of(notes, as_of=date(2027, 8, 28)), THEME)
    page = parsed(site["trees/a.html"])

    assert all(parsed(data) is not None for name, data in site.items() if name.endswith(".html"))
    assert "abcd" in words(page)
    assert "rawtext" in words(page)
    assert "xy" in words(page)
