"""Pages fit a phone however many trees there are: long lists are parted by row, and each tree is three links away."""

from __future__ import annotations

import json
import posixpath
import re
import sys
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest

from firmripe.build import plan_of
from firmripe.harvest.because import FruitOf
from firmripe.holding.reader import reader_of
from firmripe.plan import Plan
from firmripe.publish.audience import plan_for
from firmripe.publish.pages import by_kind, by_row, context, review, year
from firmripe.publish.pages.by_row import MOST_LINES, in_rows
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "bench"))

from orchards import write_orchard

PHONE, FRONT = 150_000, 60_000
"""Bytes of a page, and of the first one."""
HARVEST = date(2027, 9, 20)


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the plan of sixty trees in three rows, in the midst of a harvest that nobody noted."""
    notes = tmp_path_factory.mktemp("orchard")
    write_orchard(notes, 60)
    return plan_of(notes, 2027, HARVEST)


@pytest.fixture(scope="module")
def parted(plan: Plan) -> dict[str, bytes]:
    """Return their site as if they were very many."""
    return parted_site(plan, "box-tag")


def parted_site(plan: Plan, theme: str) -> dict[str, bytes]:
    """Return a site of which no page lists more than fifteen trees or crops, and no part has more than ten."""
    with pytest.MonkeyPatch.context() as patch:
        for module, name, most in (
            (by_row, "MOST_LINES", 15),
            (by_row, "MOST_OF_PART", 10),
            (context, "MANY_CROPS", 10),
            (by_kind, "MOST_TAGS", 3),
        ):
            patch.setattr(module, name, most)
        return make_site(plan, theme_folder(theme))


def links(page: bytes) -> list[str]:
    """Return where the links of a page lead, as they are written."""
    return re.findall(r'<a [^>]*href="([^"#]+)"', page.decode())


def test_a_hundred_trees_fit_a_phone(tmp_path: Path) -> None:
    """The most that could be told tree by tree before: with ten years of records no page weighs 150 kB."""
    write_orchard(tmp_path, 100)
    made = make_site(plan_of(tmp_path, 2027, date(2027, 6, 20)), theme_folder())
    pages = {path: len(data) for path, data in made.items() if path.endswith(".html")}

    assert {path: size for path, size in pages.items() if size >= PHONE} == {}
    assert pages["index.html"] < FRONT


@pytest.mark.usefixtures("nothing_kept")
def test_the_longest_lists_fit_with_all_their_lines(plan: Plan) -> None:
    """As many lines as a page lists at most, each as heavy as those of sixty trees, leave it under 150 kB."""
    made = make_site(plan, theme_folder())
    for path, trees in (("trees.html", 60), ("cultivars/bartlett.html", 6)):
        page = made[path].decode()
        lines = [line for line in re.findall(r"<(?:li|tr)>.*?</(?:li|tr)>", page, re.DOTALL) if "trees/" in line]
        assert len(lines) >= trees
        assert len(page) + sum(map(len, lines)) / trees * (MOST_LINES - trees) < PHONE, path


def test_each_tree_is_on_the_page_of_one_row_to_which_the_page_of_all_leads(
    plan: Plan, parted: dict[str, bytes]
) -> None:
    """In walking order, with whole rows or pieces of longer ones, and ways from each to the next and back."""
    pages = [path for path in links(parted["trees.html"]) if path.startswith("rows/")]
    found = [re.findall(r'<li><a class="code" href="[^"]+">([^<]+)</a>', parted[path].decode()) for path in pages]

    assert [tag for tags in found for tag in tags] == [tree.tag for tree in plan.holding.trees]
    assert {len(tags) for tags in found} == {10}
    assert {path for path in parted if path.startswith("rows/")} == set(pages)
    for before, after in pairwise(pages):
        assert f"../{after}" in links(parted[before])
        assert f"../{before}" in links(parted[after])


def test_each_tree_is_three_links_from_the_first_page(plan: Plan, parted: dict[str, bytes]) -> None:
    """Without a script: all rows, a row, the tree. By its script it is two touches, which a browser's test holds."""
    assert "trees.html" in links(parted["index.html"])
    for part in in_rows_of_ten(plan):
        path = f"rows/{part.first}.html"
        assert path in links(parted["trees.html"])
        assert {f"../trees/{tree.tag}.html" for tree in part.trees} <= set(links(parted[path]))


def in_rows_of_ten(plan: Plan) -> tuple[by_row.RowPart, ...]:
    """Return the parts that the pages of these trees have."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(by_row, "MOST_OF_PART", 10)
        return in_rows(plan.holding.trees)


@pytest.mark.parametrize("theme", ["box-tag", "plain"])
def test_a_parted_site_for_everybody_is_whole(plan: Plan, theme: str) -> None:
    """No link is broken, each tree is on the page of its row, and nothing is there to note with."""
    made = parted_site(plan_for(plan, reader_of(plan.holding.place, "everybody")), theme)
    rows = {href for path in made if path.startswith("rows/") for href in links(made[path])}

    assert {f"../trees/{tree.tag}.html" for tree in plan.holding.trees} <= rows
    assert "static/trees.js" not in made
    assert broken(made) == []


def test_no_link_of_a_parted_site_is_broken(parted: dict[str, bytes]) -> None:
    """Wherever it leads within the site."""
    assert broken(parted) == []


def broken(made: dict[str, bytes]) -> list[tuple[str, str]]:
    """Return the links that lead to no page of a site, each with the page it stands on."""
    return [
        (path, href)
        for path, data in made.items()
        if path.endswith(".html")
        for href in links(data)
        if not re.match(r"\w+:", href) and posixpath.normpath(posixpath.join(posixpath.dirname(path), href)) not in made
    ]


def test_the_rows_are_kept_for_when_there_is_no_signal(parted: dict[str, bytes]) -> None:
    """So are the months of the harvest and the trees to note."""
    kept = json.loads(parted["sw.js"].decode().partition("const SITE = ")[2].partition(";\n")[0])["files"]
    assert {path for path in parted if path.startswith(("rows/", "harvest/"))} <= set(kept)
    assert "static/trees.js" in kept


def test_months_of_the_harvest_hold_what_one_page_would(parted: dict[str, bytes]) -> None:
    """The page of the harvest leads to each, and tells how many moves it has."""
    pages = [path for path in links(parted["harvest.html"]) if path.startswith("harvest/")]
    moves = sum(int(n) for n in re.findall(r"(\d+) moves?<", parted["harvest.html"].decode()))

    assert pages
    assert sum(parted[path].count(b"<time datetime=") - 1 for path in pages) == moves
    assert {path for path in parted if path.startswith("harvest/")} == set(pages)


def test_the_page_to_note_on_leaves_trees_to_its_script(plan: Plan, parted: dict[str, bytes]) -> None:
    """Each tree is in one of the two."""
    near = re.findall(r'name="tree" value="([^"]+)"', parted["note.html"].decode())
    script = parted["static/trees.js"].decode("ascii")
    others = [key for key, _tag, _name in json.loads(script[script.index("[") : script.rindex("]") + 1])]

    assert others
    assert sorted([*near, *others]) == sorted(tree.tag for tree in plan.holding.trees)
    assert b" data-more" in parted["note.html"]


def test_what_nobody_noted_is_asked_once_of_each_kind(parted: dict[str, bytes]) -> None:
    """With how many more trees it is asked of, and a way to their rows; so the first page stays short."""
    front = parted["index.html"].decode()
    asked = re.findall(
        r'<p><a class="code" href="trees/[^"]+">([^<]+)</a> <a href="trees.html">and (\d+) more trees</a>', front
    )

    assert len(asked) > 3
    assert len(front) < FRONT


def test_cards_for_the_trees_are_parted_by_row(plan: Plan, parted: dict[str, bytes]) -> None:
    """Each picking of the next two weeks is on one of them."""
    cards = [parted[path].decode() for path in parted if path.startswith("sheets/picking")]
    tags = [re.findall(r'<span class="tag">(?:<[^>]+>)?([^<]+)<', card) for card in cards]

    assert len(cards) > 1
    assert all(0 < len(set(some)) <= 10 for some in tags)
    known = {tree.tag: at for at, tree in enumerate(plan.holding.trees)}
    all_tags = [tag for some in tags for tag in some]
    assert sorted(all_tags, key=known.__getitem__) == all_tags


@pytest.mark.usefixtures("nothing_kept")
def test_very_many_kinds_have_a_table_for_a_drawing_and_their_years_elsewhere(plan: Plan) -> None:
    """As a collector has them: each leads to its own page."""
    with pytest.MonkeyPatch.context() as patch:
        for module in (context, year, review):
            for name, most in (("MANY_CROPS", 9), ("MOST_YEARS", 99)):
                patch.setattr(module, name, most, raising=False)
        site = make_site(plan, theme_folder())
    made = {path: site[path].decode() for path in ("year.html", "review.html")}

    assert 'class="season"' in made["year.html"]
    assert "<svg viewBox" not in made["year.html"].partition("<main")[2]
    assert all(f'href="cultivars/{key}.html"' in made["review.html"] for key in ("bartlett", "stanley"))
    assert 'class="years"' not in made["review.html"]


def test_of_the_plan_of_the_ground_each_page_draws_its_own_places(tmp_path: Path) -> None:
    """From the first of its trees in a row to the last, with the gaps between them; a row without any is left out."""
    write_orchard(tmp_path, 40, "bare")
    place = tmp_path / "place.md"
    tags = [f"1-{number:02}" for number in range(1, 21)]
    near = ", ".join([*tags[:5], "gap", *tags[5:]])
    rows = f"plan:\n  - {{row: far, trees: [2-01, gap]}}\n  - {{row: near, trees: [{near}]}}\n"
    place.write_text(place.read_text(encoding="utf-8").replace("---\n", f"---\n{rows}", 1), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(by_row, "MOST_LINES", 15)
        patch.setattr(by_row, "MOST_OF_PART", 10)
        made = make_site(plan_of(tmp_path, 2027, HARVEST), theme_folder())
    drawn = {}
    for path in ("1-01", "1-11", "2-01", "2-11"):
        page = made[f"rows/{path}.html"].decode().partition('<div class="rows">')[2].partition("</div>")[0]
        drawn[path] = re.findall(r"\b\d-\d\d\b|gap", re.sub(r"<[^>]+>", " ", page))

    assert drawn == {
        "1-01": [*tags[:5], "gap", *tags[5:10]],
        "1-11": tags[10:],
        "2-01": ["2-01", "gap"],
        "2-11": [],
    }


def test_whose_fruit_it_is_is_told_by_kind_where_trees_are_many(plan: Plan) -> None:
    """With the tags of few trees, and how many they are of more; where trees are few each is named."""
    bartletts = [tree for tree in plan.holding.trees if tree.limbs[0].name == "Bartlett"]
    fruit = [FruitOf.on(tree.limbs[0], tree.tag) for tree in bartletts]
    every = ", ".join(tree.tag for tree in bartletts)

    assert by_kind.fruit_told(viewed(plan), fruit) == f"Bartlett ({every})"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(context, "MANY_CROPS", 10)
        patch.setattr(by_kind, "MOST_TAGS", 5)
        assert by_kind.fruit_told(viewed(plan), fruit[:5]) == f"Bartlett ({every[:28]})"
        assert by_kind.fruit_told(viewed(plan), fruit) == "Bartlett (6 trees)"


def viewed(plan: Plan) -> context.PageContext:
    """Return what makers of pages share."""
    return context.PageContext(plan, Paths(plan), "", set())
