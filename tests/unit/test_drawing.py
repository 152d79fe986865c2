"""The season as one drawing: each shape lies on its day, all of them in the frame, and names are only names."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest
from conftest import ROOT
from one_tree import NOTES, TREE
from season_notes import note, read, table

from firmripe.plan import Plan, make_plan
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.season_drawing import DAY_W, LEFT_W, LINE_H, Drawing, DrawnBar, DrawnLine, cut
from firmripe.publish.pages.year import year_page
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site

THEME = ROOT / "themes" / "box-tag"
CHECK = note(
    "name: Start checking", "topic: orchard", "each: tree", "when: 7 days before earliest pick", "only if: bears"
)


def plan_of(top: Path, files: dict[str, str], as_of: date = date(2027, 8, 28)) -> Plan:
    """Return the plan of notes of one tree and whatever else is given, over an empty shelf."""
    return make_plan(read(top, {**NOTES, "tasks/start-checking.md": CHECK, **files}), 2027, as_of)


def drawing_of(plan: Plan) -> Drawing:
    """Return a plan's drawing, which is there."""
    drawing = year_page(PageContext(plan, Paths(plan), "", set())).drawing
    assert drawing is not None
    return drawing


def x_of(day_number: int) -> int:
    """Return where a day begins that many days after the first of April."""
    return LEFT_W + DAY_W * day_number


@pytest.fixture
def line(tmp_path: Path) -> DrawnLine:
    """Return the line of a tree whose every day is certain: in bloom on 20 April, picked on 1 September."""
    (found,) = drawing_of(plan_of(tmp_path, {})).lines
    return found


def test_each_window_lies_on_its_day(line: DrawnLine) -> None:
    """By hand: from 1 April, 20 April is 19 days on, 1 September 153, and 16 September (10 cold, 5 warm) 168."""
    found = {w.kind: (w.x, w.width, w.likely, w.seen) for w in line.windows}

    assert found == {
        "bloom": (x_of(19), DAY_W, x_of(19) + 1, True),
        "pick": (x_of(153), DAY_W, x_of(153) + 1, False),
        "ready": (x_of(168), DAY_W, x_of(168) + 1, False),
    }


def test_the_fruit_goes_from_cold_to_counter_to_the_table(line: DrawnLine) -> None:
    """By hand: out on 11 September (163), ready on the 16th (168), good until the 19th (171); 60 days end on 31 Oct."""
    assert line.bars == (
        DrawnBar(kind="cold", x=x_of(153), width=11 * DAY_W),
        DrawnBar(kind="counter", x=x_of(163), width=6 * DAY_W),
        DrawnBar(kind="good", x=x_of(168), width=4 * DAY_W),
        DrawnBar(kind="keep", x=x_of(153), width=61 * DAY_W),
    )


def test_the_first_check_stands_where_its_task_does(line: DrawnLine) -> None:
    """Seven days before 1 September is 25 August, 146 days after 1 April."""
    assert line.checks == (x_of(146) + 1,)
    assert line.check is not None
    assert (line.check.iso, line.check.likely) == ("2027-08-25", "Wed 25 Aug")


def test_the_table_has_the_days_that_the_drawing_adds(line: DrawnLine) -> None:
    """Out of the cold, use by and the last day in the cold are told, with the line's own row beside them."""
    assert [told.iso for told in (line.out, line.use_by, line.keep) if told] == [
        "2027-09-11",
        "2027-09-19",
        "2027-10-31",
    ]
    assert line.row.tree.text == "A"


def test_the_frame_holds_whole_months(tmp_path: Path) -> None:
    """From bloom in April to the last day in the cold in October: seven months, each on its first day."""
    drawing = drawing_of(plan_of(tmp_path, {}))

    begins = [0, 30, 61, 91, 122, 153, 183]
    names = ["Apr 2027", "May", "Jun", "Jul", "Aug", "Sep", "Oct"]
    assert [(m.x, m.name) for m in drawing.months] == [(x_of(n), name) for n, name in zip(begins, names, strict=True)]
    assert drawing.right == x_of(214)
    assert (drawing.first, drawing.last) == ("Thursday 1 April 2027", "Sunday 31 October 2027")


@pytest.mark.parametrize(("as_of", "at"), [(date(2027, 8, 28), x_of(149) + 1), (date(2027, 12, 24), None)])
def test_today_stands_on_its_day_or_nowhere(tmp_path: Path, as_of: date, at: int | None) -> None:
    """28 August is 149 days after 1 April; Christmas lies after the frame."""
    assert drawing_of(plan_of(tmp_path, {}, as_of)).today == at


def test_lines_stand_in_order_of_pick(tmp_path: Path) -> None:
    """An earlier pick comes first whatever the tag, and a tree without one last."""
    early = TREE.replace("2027-09-01", "2027-08-01")
    young = TREE.replace("pinned: [{pick: 2027-09-01}]", "bears from: 2030")
    lines = drawing_of(plan_of(tmp_path, {"trees/0.md": young, "trees/B.md": early})).lines

    assert [found.row.tree.text for found in lines] == ["B", "A", "0"]
    assert [b.y - a.y for a, b in pairwise(lines)] == [LINE_H, LINE_H]
    assert lines[-1].label == ""
    assert lines[-1].row.why_not


def test_a_household_without_a_date_has_no_drawing(tmp_path: Path) -> None:
    """Where nothing can be dated there is none, and nothing to make a page of the year from."""
    bare = {
        **NOTES,
        "trees/A.md": note("cultivar: Hardpear"),
        "place.md": note("name: Home"),
        "records/2027.csv": table(),
    }
    plan = make_plan(read(tmp_path, bare), 2027, date(2027, 8, 28))

    assert year_page(PageContext(plan, Paths(plan), "", set())).drawing is None
    assert "year.html" not in make_site(plan, THEME)


def test_nothing_of_the_example_lies_outside_the_frame(example_plan: Plan) -> None:
    """Each window, bar and check of every line begins and ends in the frame, and the likelier half in its window."""
    drawing = drawing_of(example_plan)

    assert len(drawing.lines) == len(example_plan.season.bearings)
    for line in drawing.lines:
        spans = [(s.x, s.x + s.width) for s in (*line.windows, *line.bars)]
        spans += [(x, x) for x in line.checks] + [(line.label_x, line.label_x)]
        assert all(drawing.left <= first <= last <= drawing.right for first, last in spans)
        assert drawing.top <= line.y <= drawing.bottom - LINE_H
        for w in line.windows:
            assert w.x <= w.inner_x < w.likely < w.inner_x + w.inner_width <= w.x + w.width


def test_the_page_draws_what_the_view_says(example_plan: Plan) -> None:
    """Each shape of the view stands once in the SVG, which has a name and a description and no style of its own."""
    svg = svg_of(example_plan)
    drawing = drawing_of(example_plan)
    windows = [w for line in drawing.lines for w in line.windows]

    outer = "".join(p.get("d") or "" for p in svg.iter("path") if p.get("class") == "outer")
    assert re.findall(r"M(\S+) ", outer) == [str(w.x) for w in windows]
    assert len([p for p in svg.iter("path") if p.get("class") == "check"]) == sum(
        len(line.checks) for line in drawing.lines
    )
    named = {e.get("id") for e in svg if e.tag in ("title", "desc")}
    assert set((svg.get("aria-labelledby") or "").split()) == named
    assert svg.get("role") == "img"
    assert not [e for e in svg.iter() if e.get("style") or e.tag == "style"]


def test_names_are_text_and_cut(tmp_path: Path) -> None:
    """A name of markup stays text, and a long one ends in an ellipsis."""
    hostile = '"><script>alert(1)</script>'
    cultivar = NOTES["cultivars/hardpear.md"].replace("Hardpear", f"'{hostile}'")
    plan = plan_of(tmp_path, {"cultivars/hardpear.md": cultivar, "trees/A.md": TREE.replace("Hardpear", "hardpear")})

    names = [text.text for text in svg_of(plan).iter("text") if text.get("class") == "name"]
    assert names == ['A "><script>alert…']


def svg_of(plan: Plan) -> ET.Element:
    """Return the drawing as it stands in the page."""
    page = make_site(plan, THEME)["year.html"].decode()
    found = re.search(r"<svg role.*?</svg>", page, re.DOTALL)
    assert found is not None
    return ET.fromstring(found[0])  # noqa: S314 - our own page


@pytest.mark.parametrize(
    ("text", "most", "said"), [("Bosc", 4, "Bosc"), ("Bartlett", 4, "Bar…"), ("1-01 Bartlett", 6, "1-01…"), ("", 3, "")]
)
def test_a_long_name_is_cut(text: str, most: int, said: str) -> None:
    """A cut text is never longer than it may be."""
    assert cut(text, most) == said


def test_days_in_the_kitchen_stand_on_the_lines_they_put_up(example_plan: Plan) -> None:
    """A mark for each day, and the same days in the table, each leading to its session."""
    kitchen = example_plan.kitchen
    drawing = year_page(PageContext(example_plan, Paths(example_plan), "", set())).drawing
    assert kitchen is not None
    assert drawing is not None
    expected = {
        (used.batch.bearing.tree, f"{session.day:%-d} {session.day:%b}")
        for session in kitchen.sessions
        for making in session.makings
        for used in making.fruit
    }
    told = {(line.row.tree.text, " ".join(link.text.split()[1:3])) for line in drawing.lines for link in line.put_up}

    assert drawing.has_sessions
    assert told == expected
    for line in drawing.lines:
        assert len(line.sessions) <= len(line.put_up)
        assert all(drawing.left <= x <= drawing.right for x in line.sessions)
        assert all(link.href.startswith("kitchen/") for link in line.put_up)


def test_without_a_kitchen_nothing_of_it_is_drawn(tmp_path: Path) -> None:
    """Neither mark nor column nor key."""
    plan = make_plan(read(tmp_path, NOTES), 2027, date(2027, 8, 28))
    page = make_site(plan, THEME)["year.html"]

    assert b"Put up" not in page
    assert b'class="session"' not in page
