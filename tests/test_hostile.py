"""Hostile texts in every field: what comes out holds them as text, and nothing of them is ever at work."""

from __future__ import annotations

import csv
import io
import json
import re
import xml.etree.ElementTree as ET
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from datetime import date
from pathlib import Path
from urllib.parse import urlsplit

import html5lib
import icalendar
import pytest
from conftest import ROOT, write_notes
from every_key import PHOTO, Words, as_usual, household
from hostile import HOSTILE
from ics_rules import faults
from PIL import Image

from firmripe.plan import make_plan
from firmripe.problems import Problems
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.folder import write_site
from firmripe.publish.ledger import Ledger, parse_ledger
from firmripe.publish.site import make_site
from firmripe.publish.theming import ThemeFault
from firmripe.reading.reader import read_holding

SHELF = ROOT / "tests" / "shelf_small"
THEME = ROOT / "themes" / "box-tag"
FROM_MARKDOWN = {
    ("p", ""), ("br", ""), ("hr", ""), ("em", ""), ("strong", ""), ("code", ""), ("pre", ""), ("blockquote", ""), ("ul", ""),
    ("ol", ""), ("li", ""), ("a", "href rel"), ("a", "href rel title"), ("a", "rel"), ("a", "rel title"), ("h2", ""), ("h3", ""),
}  # fmt: skip
"""What a note's body may become: elements with their attributes."""


def notes_of(text: str) -> dict[str, str]:
    """Return a household that holds a text in every field that takes words, and in every body."""
    quoted = json.dumps(text, ensure_ascii=False)
    person = json.dumps(f"Wren {text}", ensure_ascii=False)  # a name of signs alone is refused
    cell = '"' + text.replace('"', '""').replace("\r", " ").replace("\n", " ") + '"'
    return {
        "place.md": (
            f"---\nname: {quoted}\nlatitude: 42 N\nzone: 6b\nspaces: [{{name: {quoted}, temperature: 38 F, holds: 20 lb}}]\n"
            f"kitchens: [{{name: {quoted}, elevation: 900 ft}}]\npeople: [{{name: {person}, does: [{quoted}]}}]\n---\n{text}\n"
        ),
        "trees/1-01.md": (
            f"---\ntree: {quoted}\ncultivar: Bartlett\nwhere: {quoted}\nkept by: {person}\n"
            f"pinned: [{{pick: 2027-09-01, because: {quoted}}}]\n---\n{text}\n"
        ),
        "trees/1-02.md": f"---\ntree: 1-02\ncultivar: Bosc\n---\n{text}\n\n> {text}\n\n- {text}\n",
        "trees/1-03.md": "---\ntree: 1-03\ncultivar: own\n---\n",
        "cultivars/own.md": (
            f"---\nname: {quoted}\nalso: [{quoted}, own]\nfruit: european-pear\nsigns: [{{touch: {quoted}}}]\nuses: [{quoted}]\n"
            f"facts: [{{what: {quoted}, value: {quoted}}}]\ncautions: [{{value: {quoted}, note: {quoted}}}]\n"
            f"partners: [{quoted}]\ncounter: {{value: 5 days, mark: R, source: {quoted}, page: {quoted}}}\n---\n{text}\n"
        ),
        "tasks/own.md": (
            f"---\nname: {quoted}\ntopic: orchard\nwhen: 1 week before earliest pick\nreminder: yes\nwho: {quoted}\n"
            f"bring: [{quoted}]\nwhy: [{quoted}]\nlook for: [{quoted}]\ncautions: [{quoted}]\n---\n{text}\n"
        ),
        "preserves/own.md": f"---\nname: {quoted}\nfruits: [european-pear]\nmethod: freezer\ncautions: [{quoted}]\n---\n{text}\n",
        "records/2027.csv": (
            "date,tree,what,amount,note\n"
            f"2027-05-02,1-02,full bloom,{cell},{cell}\n2027-05-03,,note,{cell},{cell}\n2027-05-04,1-03,note,,{cell}\n"
        ),
    }


def files_of(text: str, top: Path) -> dict[str, bytes]:
    """Return the files of the site of a household that holds a text everywhere."""
    plan = make_plan(read_holding(write_notes(top, notes_of(text)), SHELF), 2027, date(2027, 6, 1))
    feeds = make_feeds(plan, Ledger(), plan.season.as_of)
    problems = Problems()
    assert parse_ledger(str(feeds.ledger), problems) == feeds.ledger
    problems.stop_if_any()
    return make_site(plan, THEME, feeds)


def elements(data: bytes) -> tuple[set[tuple[str, str]], set[str]]:
    """Return every kind of element of a page with its attributes' names, and every address it names."""
    kinds, addresses = set(), set()
    for element in html5lib.parse(data.decode(), namespaceHTMLElements=False).iter():
        if isinstance(element.tag, str):
            kinds.add((element.tag, " ".join(sorted(element.attrib))))
            addresses |= {value for name, value in element.attrib.items() if name in {"href", "src", "action", "data"}}
    return kinds, addresses


def components(data: bytes) -> tuple[set[str], list[str]]:
    """Return the names of all properties of a feed, and its components in order."""
    parts = list(icalendar.Calendar.from_ical(data).walk())
    return {str(name) for part in parts for name in part}, [part.name for part in parts]


@pytest.fixture(scope="module")
def harmless(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Return the harmless site once for all texts."""
    return files_of("plain", tmp_path_factory.mktemp("harmless"))


@pytest.fixture(scope="module")
def known(harmless: dict[str, bytes]) -> set[tuple[str, str]]:
    """Return every kind of element of the harmless site."""
    return set().union(*(elements(data)[0] for name, data in harmless.items() if name.endswith(".html")))


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_a_hostile_text_is_text_and_nothing_more(
    text: str, tmp_path: Path, harmless: dict[str, bytes], known: set[tuple[str, str]]
) -> None:
    """No element, attribute, address, event, property, formula or file that the same household has not without it."""
    files = files_of(text, tmp_path / "notes")

    nothing_is_at_work(files, harmless, known)
    write_site(tmp_path / "site", files)
    assert {path.name for path in tmp_path.iterdir()} == {"notes", "site"}


def nothing_is_at_work(
    files: Mapping[str, bytes], harmless: Mapping[str, bytes], known: AbstractSet[tuple[str, str]]
) -> None:
    """Hold that a site has no element, attribute, event, property or formula that a harmless one has not."""
    for name, data in files.items():
        assert re.fullmatch(r"[a-z0-9][a-z0-9/.-]*|\.nojekyll", name), name
        if name.endswith(".html"):
            kinds, addresses = elements(data)
            assert kinds <= known | FROM_MARKDOWN, name
            assert {urlsplit(address).scheme for address in addresses} <= {
                "",
                "http",
                "https",
                "mailto",
                "tel",
                "webcal",
            }
        elif name.endswith(".ics"):
            assert not faults(data), name
        elif name.endswith(".csv"):
            cells = [cell for row in csv.reader(io.StringIO(data.decode(), newline="")) for cell in row]
            assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
        elif name.endswith(".json"):
            json.loads(data)
        elif name.endswith(".atom"):
            assert {e.tag.partition("}")[2] for e in ET.fromstring(data).iter()} <= {
                "feed", "id", "title", "updated", "author", "name", "link", "entry", "content"
            }  # fmt: skip
    was, now = (components(site["feeds/reminders.ics"]) for site in (harmless, files))
    assert now[0] <= was[0]
    assert sorted(now[1]) == sorted(was[1])


TURNS = 8
"""So many sites with a hostile text under every key; no key has the same text in two of them."""


def site_of_all_keys(top: Path, words: Words) -> dict[str, bytes]:
    """Return the files of the household that writes every key."""
    notes = write_notes(top, household(words))
    (notes / "photos").mkdir()
    Image.new("RGB", (40, 30), "olive").save(notes / "photos" / PHOTO)
    plan = make_plan(read_holding(notes, SHELF), 2027, date(2027, 8, 28))
    return make_site(plan, THEME, make_feeds(plan, Ledger(), plan.season.as_of))


@pytest.fixture(scope="module")
def all_keys(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Return the site of every key with usual words, once for all."""
    return site_of_all_keys(tmp_path_factory.mktemp("keys"), as_usual)


@pytest.mark.parametrize("turn", range(TURNS))
def test_hostile_texts_under_every_key_are_text_and_nothing_more(
    turn: int, tmp_path: Path, all_keys: dict[str, bytes]
) -> None:
    """Each key with another of the texts, names of people, rooms and jobs among them."""
    places: dict[str, int] = {}

    def words(place: str, usual: str) -> str:
        told = "person.does" if place == "task.who" else place
        text = HOSTILE[(places.setdefault(told, len(places)) + turn * len(HOSTILE) // TURNS) % len(HOSTILE)]
        needs_letters = told.endswith((".name", ".tag", ".household", ".secret")) or told == "verdict.note"
        return f"{usual} {text}" if needs_letters else text

    known = set().union(*(elements(data)[0] for name, data in all_keys.items() if name.endswith(".html")))
    nothing_is_at_work(site_of_all_keys(tmp_path, words), all_keys, known)


def test_there_are_enough_hostile_texts() -> None:
    """And no two alike."""
    assert len(set(HOSTILE)) >= 150


def test_what_looks_like_a_template_is_shown_as_written(tmp_path: Path) -> None:
    """A place may be called {{ 7*7 }}."""
    page = html5lib.parse(files_of("{{ 7*7 }}", tmp_path)["index.html"].decode(), namespaceHTMLElements=False)

    assert (page.findtext("head/title") or "").endswith("{{ 7*7 }}")


@pytest.mark.parametrize(
    "line",
    [
        "{{ ''.__class__.__mro__[1].__subclasses__() }}",
        "{{ site.__init__.__globals__ }}",
        "{{ view.__class__ }}",
        "{% include '/etc/hostname' %}",
        "{% include '../../../../README.md' %}",
    ],
)
def test_a_template_reaches_nothing_but_its_views(line: str, tmp_path: Path) -> None:
    """Templates run in a sandbox, so that a theme from elsewhere can't get at the machine."""
    theme = tmp_path / "theme"
    for path in THEME.rglob("*"):
        if path.is_file():
            (theme / path.relative_to(THEME)).parent.mkdir(parents=True, exist_ok=True)
            (theme / path.relative_to(THEME)).write_bytes(path.read_bytes())
    front = theme / "templates" / "front.html"
    front.write_text(line, encoding="utf-8")
    plan = make_plan(read_holding(write_notes(tmp_path / "notes", notes_of("x")), SHELF), 2027, date(2027, 6, 1))

    with pytest.raises(ThemeFault, match=r"templates/front\.html"):
        make_site(plan, theme)
