"""Pages without anything on them are not there: one tree makes a site of little more than one page."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path, PurePosixPath
from urllib.parse import unquote

import pytest
from one_tree import plan_of_notes
from season_notes import note

from firmripe.plan import Plan
from firmripe.publish.contents import ABOUT, OFF_THE_WAY, main_pages
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder

ALONE = {
    "place.md": note("name: Home"),
    "fruits/pear.md": note("name: Pear"),
    "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear"),
    "trees/A.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-01}]") + "By the gate.\n",
    "records/2027.csv": "date,tree,what\n",
}


def links(files: dict[str, bytes]) -> set[tuple[str, str]]:
    """Return each page with each file that it leads to."""
    found = set()
    for name, data in files.items():
        if name.endswith(".html"):
            for link in re.findall(r'href="(?!\w+:)([^"#]+)', data.decode()):
                parts: list[str] = []
                for part in (PurePosixPath(name).parent / unquote(link)).parts:
                    parts = parts[:-1] if part == ".." else [*parts, part]
                found.add((name, "/".join(parts)))
    return found


def lost_anchors(files: dict[str, bytes]) -> set[tuple[str, str]]:
    """Return each page with each place on a page that it leads to and that is not there.

    What has an equals sign is no place but what to begin a note with.
    """
    places = {
        name: set(re.findall(r'\bid="([^"]+)"', data.decode()))
        for name, data in files.items()
        if name.endswith(".html")
    }
    found = set()
    for name in places:
        for to, anchor in re.findall(r'href="(?!\w+:)([^"#]*)#([^"]+)"', files[name].decode()):
            parts: list[str] = []
            for part in (PurePosixPath(name).parent / unquote(to)).parts if to else PurePosixPath(name).parts:
                parts = parts[:-1] if part == ".." else [*parts, part]
            if "=" in anchor and parts == ["note.html"]:
                continue
            if anchor not in places.get("/".join(parts), set()):
                found.add((name, f"{to}#{anchor}"))
    return found


def nav(files: dict[str, bytes]) -> list[str]:
    """Return the pages that the first page's ways through the site lead to, above it and below."""
    inside = re.findall("<nav.*?</nav>", files["index.html"].decode(), re.DOTALL)
    assert len(inside) == 2
    return re.findall(r'<li><a href="([^"]+)"', "".join(inside))


@pytest.fixture(scope="module")
def alone(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the plan of one tree of which nothing but a pick is known, in a household that tells of nothing."""
    return plan_of_notes(tmp_path_factory.mktemp("alone"), ALONE, as_of=date(2027, 8, 10))


@pytest.fixture(scope="module")
def site(alone: Plan) -> dict[str, bytes]:
    """Return its site."""
    return make_site(alone, theme_folder())


def test_one_tree_makes_a_site_of_one_page(site: dict[str, bytes]) -> None:
    """What is left beside the first page is how to take the plan elsewhere and how it was made."""
    assert nav(site) == ["index.html", "year.html", "sheets/index.html", "subscribe.html", "dates.html", "sources.html"]
    for page in ("trees", "jobs", "store", "rooms", "kitchen", "harvest", "since", "people", "safety", "hindcast"):
        assert f"{page}.html" not in site


def test_the_first_page_holds_all_of_the_tree(site: dict[str, bytes]) -> None:
    """Its date with its why, its note and its records stand on the first page as on its own."""
    first, own = site["index.html"].decode(), site["trees/a.html"].decode()

    for words in (
        'Tree </span><span class="big">A</span> Hardpear',
        "By the gate.",
        "Wed 1 Sep",
        "Fixed by hand in the tree",
    ):
        assert words in first
        assert words in own
    assert "The season, tree by tree" not in first


def test_sheets_without_anything_on_them_are_not_made(site: dict[str, bytes]) -> None:
    """Three weeks before the pick and without a job there is nothing for the fridge, and no box to tag."""
    made = {name for name in site if name.startswith("sheets/")}

    assert "sheets/record.html" in made
    assert "sheets/season.html" in made
    assert not made & {"sheets/picking.html", "sheets/supplies.html", "sheets/tags.html"}
    assert not made & {"sheets/fridge-large.html", "sheets/labels.html", "sheets/year.html"}


def test_every_link_leads_to_a_page_that_is_there(site: dict[str, bytes], example_site: dict[str, bytes]) -> None:
    """In the smallest household and in a large one."""
    for files in (site, example_site):
        assert [(name, to) for name, to in sorted(links(files)) if to not in files] == []


@pytest.mark.parametrize("theme", ["box-tag", "plain"])
def test_one_tree_of_the_shelf_makes_twenty_pages_at_most(plan_of: Callable[..., Plan], theme: str) -> None:
    """Its jobs, weeks and months are parts of a page each, and each link to them leads there."""
    plan = plan_of({"trees/a.md": note("cultivar: Bartlett")}, as_of=date(2027, 3, 1))
    files = make_site(plan, theme_folder(theme))
    jobs = {entry.task.key for entry in plan.calendar.entries}

    assert len([name for name in files if name.endswith(".html")]) <= 20
    assert [(name, to) for name, to in sorted(links(files)) if to not in files] == []
    assert lost_anchors(files) == set()
    assert len(jobs) > 40
    assert len(re.findall(r'<section id="job-', files["jobs.html"].decode())) == len(jobs)


def test_every_place_on_a_page_that_is_led_to_is_there(example_site: dict[str, bytes]) -> None:
    """No anchor is lost in a large household either."""
    assert lost_anchors(example_site) == set()


def test_the_way_through_the_site_is_the_pages_made(example_plan: Plan, example_site: dict[str, bytes]) -> None:
    """No page is made that nothing leads to, and none is led to that is not made."""
    files = example_site

    named = [path for path in main_pages(example_plan) if path in ABOUT or path not in OFF_THE_WAY]
    assert nav(files) == sorted(named, key=lambda path: path in ABOUT)
    for name in OFF_THE_WAY - ABOUT:
        pages = [path for path in files if path.endswith(".html") and not path.startswith(("sheets/", "stand"))]
        assert [path for path in pages if f'{name}">' not in files[path].decode()] == []
    assert {path for path in files if "/" not in path and path.endswith(".html")} == {
        *(path for path in main_pages(example_plan) if "/" not in path),
        "stand.html",
    }


@pytest.mark.parametrize(
    ("notes", "page"),
    [
        ({"place.md": note("name: Home", "people: [{name: Wren, phone: 555 010 0123}]")}, "people.html"),
        ({"place.md": note("name: Home", "spaces: [{name: cellar, temperature: 38 F}]")}, "store.html"),
        ({"trees/B.md": note("cultivar: Hardpear")}, "trees.html"),
        ({"tasks/work.md": note("name: Work", "when: pick", "cautions: [Mind the step]")}, "safety.html"),
        ({"tasks/work.md": note("name: Work", "when: pick")}, "jobs.html"),
        ({"records/2026.csv": "date,tree,what\n2026-09-03,A,first pick\n"}, "review.html"),
    ],
    ids=lambda part: part if isinstance(part, str) else "",
)
def test_a_page_comes_with_what_it_is_about(tmp_path: Path, notes: dict[str, str], page: str) -> None:
    """One note more, and the page of it is there, with a way to it."""
    plan = plan_of_notes(tmp_path, {**ALONE, **notes}, as_of=date(2027, 8, 10))

    assert page in main_pages(plan)
    assert page in make_site(plan, theme_folder())


def test_every_page_says_when_it_was_made_and_for_whom(example_plan: Plan) -> None:
    """Pages and sheets, in both themes."""
    for theme in ("box-tag", "plain"):
        files = make_site(example_plan, theme_folder(theme))
        for name, data in files.items():
            if name.endswith(".html"):
                assert '<time datetime="2027-08-28">' in data.decode(), name
                assert "Made for the household." in data.decode() or name == "stand.html", name


@pytest.mark.parametrize("name", ["index.html", "year.html", "since.html", "store.html", "rooms.html", "harvest.html"])
def test_every_date_leads_to_its_why(example_site: dict[str, bytes], name: str) -> None:
    """Each row and line with a date has a way to the tree's page, where the reasons stand, or to the day's own."""
    files = example_site
    text = re.sub(r'<section class="warnings">.*?</section>', "", files[name].decode(), flags=re.DOTALL)
    parts = re.findall(r"<tr>.*?</tr>|<li\b[^>]*>.*?</li>", text, re.DOTALL)
    dated = [part for part in parts if "<time" in part or 'class="lot' in part]

    assert dated
    assert [part for part in dated if not re.search(r'href="(?:trees|weeks|months|jobs)/', part)] == []
    assert "<summary>Why this date" in files["trees/1-01.html"].decode()


def test_every_figure_names_its_source_or_whose_word_it_is(example_site: dict[str, bytes]) -> None:
    """Each citation with a link leads to a source that the page of sources has."""
    files = example_site
    anchors = set(re.findall(r'<li id="([^"]+)"', files["sources.html"].decode()))
    cited: Callable[[str], list[str]] = re.compile(r'href="(?:\.\./)?sources\.html#([^"]+)"').findall
    for name, data in files.items():
        if name.endswith(".html"):
            assert set(cited(data.decode())) <= anchors, name
