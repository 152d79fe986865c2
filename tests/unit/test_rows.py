"""The plan of the ground in place.md: read, drawn and listed, with nothing in it that is not for everybody."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from one_tree import NOTES
from season_notes import note, read, table

from firmripe.holding.reader import reader_of
from firmripe.plan import Plan, make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.audience import plan_for
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder

DAY = date(2027, 8, 28)
ROWS = "plan:\n  - {row: upper row, trees: [B, gap, A]}\n  - {row: lower row, trees: [C]}"
TREES = {
    "trees/A.md": note("cultivar: Hardpear"),
    "trees/B.md": note("cultivar: Hardpear"),
    "trees/C.md": note("cultivar: Hardpear\nprivate: yes"),
    "trees/D.md": note("cultivar: Hardpear\nwhere: by the well"),
    "records/2027.csv": table(),
}


def plan_of(folder: Path, rows: str) -> Plan:
    """Return the plan of four trees with these rows."""
    return make_plan(read(folder, {**NOTES, **TREES, "place.md": note(f"name: Home\n{rows}")}), 2027, DAY)


def drawn(page: str) -> str:
    """Return the text of the plan of a page of trees."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page.partition('<div class="rows">')[2].partition("</div>")[0]))


def test_rows_are_drawn_as_they_are_told_and_the_list_holds_the_same(tmp_path: Path) -> None:
    """From left to right with their gaps, each row as wide as the longest; what is in no row stands below."""
    page = make_site(plan_of(tmp_path, ROWS), theme_folder())["trees.html"].decode()
    plan = drawn(page)

    assert re.findall(r"upper row|lower row|\b[A-D]\b|gap", plan) == [
        *("upper row", "B", "gap", "A"),
        *("lower row", "C", "gap", "gap"),
    ]
    assert "by the well" in page
    walk = page.partition('<ol class="walk">')[2]
    assert all(f">{tag}</a>" in walk for tag in "ABCD")
    state = re.search(r'<a class="tree (\w+)" href="trees/b.html">', page)
    assert state is not None


def test_without_a_plan_parts_are_drawn(tmp_path: Path) -> None:
    """As `where` names them."""
    page = make_site(plan_of(tmp_path, ""), theme_folder())["trees.html"].decode()
    assert 'class="rows"' not in page
    assert "by the well" in page


def test_everybody_sees_a_gap_where_a_private_tree_stands(tmp_path: Path) -> None:
    """A row of private trees alone is left out, and a private name with it."""
    plan = plan_of(tmp_path, ROWS.replace("upper row", '"private: upper"'))
    page = make_site(plan_for(plan, reader_of(plan.holding.place, "everybody")), theme_folder())["trees.html"].decode()

    assert re.findall(r"upper|lower row|\b[A-D]\b|gap", drawn(page)) == ["B", "gap", "A"]


@pytest.mark.parametrize(
    ("rows", "said", "hint"),
    [
        (
            "plan:\n  - {row: x, trees: [A, 9-99]}",
            'place.md:4: there is no tree "9-99"',
            "write the tag of a tree, or gap",
        ),
        ("plan:\n  - {row: x, trees: [A, a]}", 'place.md:4: the tree "A" stands twice in the plan', "leave it in one"),
        ("plan:\n  - {row: x}", "place.md:4: this row of the plan holds no tree", "and gap where none stands"),
        ("plan: by the wall", 'place.md:3: "plan" takes lines of several keys', ""),
        ("plan:\n  - {row: x, trees: [A], side: left}", 'place.md:4: the key "side" is not known', ""),
        (
            f"plan:\n  - {{row: x, trees: [{', '.join(['gap'] * 201)}]}}",
            "place.md:4: a row of the plan has up to 200",
            "",
        ),
    ],
)
def test_a_faulty_row_is_told(
    tmp_path: Path, told: Callable[[Path, str], str], rows: str, said: str, hint: str
) -> None:
    """By its line, with what to write."""
    text = told(tmp_path, rows)
    assert said in text
    assert hint in text


@pytest.fixture
def told() -> Callable[[Path, str], str]:
    """Return what is said of faulty rows."""

    def said(folder: Path, rows: str) -> str:
        with pytest.raises(FaultyNotes) as caught:
            plan_of(folder, rows)
        return str(caught.value)

    return said
