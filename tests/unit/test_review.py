"""The year in review: planned beside what happened, the years of each crop, and the jars."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from fractions import Fraction

import pytest

from firmripe.holding.reader import reader_of
from firmripe.holding.weight import Weight
from firmripe.plan import Plan
from firmripe.publish.audience import plan_for
from firmripe.publish.contents import main_pages
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.review import Reviewing, ReviewPage, turns_of
from firmripe.publish.pages.years_of_crop import years_of
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.season.hindcast import Moment
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH

HEAD = "date,tree,cultivar,crop,what,amount,note"
NOTES = {
    "place.md": "---\nzone: 6b\nlatitude: 42 N\nlongitude: 74 W\nelevation: 300 m\n---\n",
    "trees/1-01.md": "---\ncultivar: Bartlett\n---\n",
    "trees/2-01.md": "---\nlimbs: [Bosc, Comice]\n---\n",
    "records/all.csv": (
        f"{HEAD}\n2025-05-06,1-01,,,full bloom,,\n"
        "2025-08-30,1-01,,,first pick,40 lb,\n2025-09-02,1-01,,,last pick,20 lb,\n"
        "2025-09-05,1-01,,,jars,14 quarts,Pear halves in jars\n2026-01-10,1-01,,,left,3 quarts,Pear halves in jars\n"
        "2025-09-12,1-01,,,verdict,,good\n2026-05-10,1-01,,,full bloom,,\n2026,1-01,,,no crop,,\n"
        "2025-09-20,2-01,Bosc,,first pick,12 lb,\n2026-09-23,2-01,Bosc,,first pick,15 lb,\n"
        "2026-09-24,2-01,Bosc,,jars,9 pints,\n"
    ),
}
DAY = date(2027, 3, 1)


def page_of(plan: Plan) -> ReviewPage:
    return Reviewing(PageContext(plan, Paths(plan), "", set())).page()


@pytest.fixture
def page(plan_of: Callable[..., Plan]) -> ReviewPage:
    """Return the page of a small household."""
    return page_of(plan_of(NOTES, 2027, DAY))


def test_a_cultivar_shows_the_years_of_all_its_trees_together(plan_of: Callable[..., Plan]) -> None:
    """The first bloom and pick of any, what all weighed, and nothing where one tree is alone."""
    more = (
        "2025-05-04,1-02,,,full bloom,,\n2025-08-26,1-02,,,first pick,10 lb,\n2025-09-20,1-02,,,verdict,,mealy\n"
        "2026-08-30,1-02,,,first pick,30 lb,\n"
    )
    notes = {**NOTES, "trees/1-02.md": "---\ncultivar: Bartlett\n---\n"}
    notes["records/all.csv"] += more
    plan = plan_of(notes, 2027, DAY)
    site = make_site(plan, theme_folder(plan.holding.place.theme))
    page = site["cultivars/bartlett.html"].decode()
    cell = r"<td>(.*?)</td>"
    rows = re.findall(rf'<tr><th scope="row">(20\d\d)</th>{cell * 5}', page)

    assert [row[0] for row in rows] == ["2025", "2026"]
    assert rows[0][1:] == ("4 May", "26 Aug", "114 days", "70 lb", "good; mealy")
    assert rows[1][2:5] == ("30 Aug", "112 days", "30 lb")
    assert 'class="review"' in page
    assert 'class="review"' not in site["cultivars/bosc.html"].decode()


def test_a_pick_stands_beside_what_was_said_of_it(plan_of: Callable[..., Plan], page: ReviewPage) -> None:
    """The day said before the season, as the hindcast has it, and how far off it was."""
    plan = plan_of(NOTES, 2027, DAY)
    (replay,) = [r for r in plan.replays if r.season == 2026 and r.event.value == "pick"]
    said = replay.by_moment[Moment.BEFORE]
    (done,) = page.done

    assert (done.tree.text, done.name, done.iso) == ("2-01", "Bosc", "2026-09-23")
    assert done.at_seen - (done.at_said or 0) == (replay.seen - said.likely).days
    assert re.search(rf"\b{abs((said.likely - replay.seen).days)} day|to the day", done.off)
    assert page.title == "2026"
    assert page.summary[-1] == "15 lb were weighed, 72 lb the year before."


def test_no_label_of_the_drawing_lies_over_what_it_names(plan_of: Callable[..., Plan]) -> None:
    """It ends left of the day said and of the day seen, and its letters have room in the drawing."""
    tag = "By the long wall"
    notes = {
        "place.md": NOTES["place.md"],
        "trees/A.md": f"---\ncultivar: Bosc\ntree: {tag}\n---\n",
        "records/all.csv": f"{HEAD}\n2025-09-02,{tag},,,pick,,\n2026-10-20,{tag},,,pick,,\n",
    }
    page = page_of(plan_of(notes, 2027, DAY))
    (done,) = page.done

    assert done.at_said is not None
    assert done.at_said < done.at_seen
    assert done.at_label < done.at_said - 6
    assert done.label == tag
    assert done.at_label >= 6 * len(tag)
    assert max(done.at_seen, done.at_said) <= page.width


def test_the_years_of_a_crop_say_what_was_noted_and_no_more(page: ReviewPage) -> None:
    """Bloom, first pick, the days between, all its weight, how it was; a year without a crop says so."""
    trees = {(tree.tree.text, tree.name): tree.years for tree in page.trees}

    assert list(trees) == [("1-01", "Bartlett"), ("2-01", "Bosc")]
    first, second = trees["1-01", "Bartlett"]
    assert (first.year, first.bloom, first.pick, first.between) == ("2025", "6 May", "30 Aug", "116 days")
    assert (first.weight, first.verdict) == ("60 lb", "good")
    assert (second.bloom, second.pick, second.weight, second.bar) == ("10 May", "no crop", "", 0)
    assert first.bar > 0
    assert first.at_pick - first.at_bloom == (date(2025, 8, 30) - date(2025, 5, 6)).days  # type: ignore[operator]
    assert all(0 <= (year.at_pick or 0) <= page.width for years in trees.values() for year in years)


def test_the_drawings_hold_the_months_that_bloom_and_picks_take(page: ReviewPage) -> None:
    """From May, whose first days have the earliest bloom, to September, which has the last pick; no empty month."""
    months = {name: x for x, name in page.months}
    first = next(tree.years[0] for tree in page.trees if tree.tree.text == "1-01")

    assert list(months) == ["May", "Jun", "Jul", "Aug", "Sep"]
    assert (months["May"], first.at_bloom) == (0, pytest.approx(5, abs=2))
    assert page.width < 366 / 2


@pytest.mark.parametrize("begins", ["Nov 15", "Nov 1", "Jan 1"])
def test_a_month_begins_in_the_drawings_on_its_first_day(plan_of: Callable[..., Plan], begins: str) -> None:
    """Also where the season begins within one, as a household says whose fruit never rests."""
    notes = {
        "place.md": NOTES["place.md"].replace("zone:", f"season begins: {begins}\nzone:"),
        "trees/A.md": "---\ncultivar: Bosc\n---\n",
        "records/all.csv": f"{HEAD}\n2025-12-02,A,,,full bloom,,\n2026-07-02,A,,,pick,,\n",
    }
    page = page_of(plan_of(notes, 2028, DAY))
    months = {name: x for x, name in page.months}
    told = [(year.at_bloom, year.at_pick) for year in page.trees[0].years]
    blooms, picks = ([x for x in xs if x is not None] for xs in zip(*told, strict=True))

    assert (blooms, picks) == ([months["Dec"] + 1], [months["Jul"] + 1])


def test_jars_are_made_eaten_and_left(page: ReviewPage) -> None:
    """Newest first; what nobody counted is not reckoned."""
    assert [(jars.name, jars.year, jars.made, jars.eaten, jars.left) for jars in page.jars] == [
        ("Bosc", "2026", "9 pints", "", ""),
        ("Pear halves in jars", "2025", "14 quarts", "11 quarts", "3 quarts"),
    ]


@pytest.mark.parametrize(
    ("weights", "heavy"),
    [
        ({2023: 10, 2024: 40, 2025: 12, 2026: 44}, "2024, 2026"),
        ({2023: 40, 2024: 10, 2025: 44, 2026: 12}, "2025"),
        ({2024: 40, 2025: 12, 2026: 44}, ""),
        ({2022: 10, 2024: 40, 2025: 12, 2026: 44}, ""),
        ({2023: 10, 2024: 40, 2025: 42, 2026: 44}, ""),
        ({2023: 38, 2024: 40, 2025: 37, 2026: 41}, ""),
        ({2023: 10, 2024: None, 2025: 12, 2026: 44}, ""),
    ],
)
def test_a_crop_bears_by_turns_as_four_years_show(weights: dict[int, int | None], heavy: str) -> None:
    """Three years are a frost's doing as likely, and so is a gap."""
    known = {year: None if kg is None else Weight.of(Fraction(kg)) for year, kg in weights.items()}
    assert turns_of(IN_ENGLISH, known) == (f"Bears by turns; heavy in {heavy}." if heavy else "")


def years_on(page: ReviewPage) -> dict[tuple[str, str], list[tuple[str, str, str, str]]]:
    """Return each crop's years with their bloom, first pick and weight, by tag and name."""
    return {
        (one.tree.text, one.name): [(year.year, year.bloom, year.pick, year.weight) for year in one.years]
        for one in page.trees
    }


def test_a_line_that_names_no_limb_is_of_each_limb(plan_of: Callable[..., Plan]) -> None:
    """Its bloom whole, of its weight an equal part; so the tree's own page tells it, and the season adds up."""
    lines = (
        "2025-05-02,F,,,full bloom,,\n2025-09-10,F,,,pick,40 lb,\n2026-05-04,F,,,full bloom,,\n"
        "2026-09-12,F,,,pick,20 lb,\n2026-09-14,F,Bosc,,pick,6 lb,\n"
    )
    notes = {
        "place.md": NOTES["place.md"],
        "trees/F.md": "---\nlimbs: [Bosc, Comice]\n---\n",
        "trees/G.md": "---\ncultivar: Bosc\n---\n",
        "records/all.csv": f"{HEAD}\n{lines}",
    }
    plan = plan_of(notes, 2027, DAY)
    page = page_of(plan)

    assert years_on(page) == {
        ("F", "Bosc"): [("2025", "2 May", "10 Sep", "20 lb"), ("2026", "4 May", "12 Sep", "16 lb")],
        ("F", "Comice"): [("2025", "2 May", "10 Sep", "20 lb"), ("2026", "4 May", "12 Sep", "10 lb")],
    }
    assert page.summary[-1] == "26 lb were weighed, 40 lb the year before."
    for bearing in plan.holding.tree("F").bearings:
        told = years_on(page)["F", plan.holding.limb(bearing).name]
        assert [(year.year, year.bloom, year.first, year.weight) for year in years_of(plan, bearing)] == told


def test_a_tree_has_no_years_of_another_that_stood_in_its_place(plan_of: Callable[..., Plan]) -> None:
    """What that gave is weighed in its season all the same; one that is gone for good keeps its years."""
    lines = (
        "2025-09-10,A,,,pick,40 lb,\n2026-09-12,A,,,pick,30 lb,\n2026-11-02,A,,,removed,,\n"
        "2027-02-20,A,,,note,,new one\n"
        "2025-09-11,B,,,pick,5 lb,\n2026-09-11,B,,,pick,4 lb,\n2026-11-03,B,,,removed,,\n"
    )
    notes = {
        "place.md": NOTES["place.md"],
        "trees/A.md": "---\ncultivar: Comice\nplanted: 2027\n---\n",
        "trees/B.md": "---\ncultivar: Bosc\n---\n",
        "records/all.csv": f"{HEAD}\n{lines}",
    }
    page = page_of(plan_of(notes, 2027, DAY))

    assert years_on(page) == {("B", "Bosc"): [("2025", "", "11 Sep", "5 lb"), ("2026", "", "11 Sep", "4 lb")]}
    assert page.summary[-1] == "34 lb were weighed, 45 lb the year before."


def test_a_limb_that_is_gone_has_no_part_of_what_its_tree_gives(plan_of: Callable[..., Plan]) -> None:
    """From the day it was taken out on; what it gave before stays its own."""
    lines = (
        "2025-09-10,F,,,pick,40 lb,\n2025-12-01,F,Comice,,removed,,\n2026-05-04,F,,,full bloom,,\n"
        "2026-09-12,F,,,pick,20 lb,\n"
    )
    notes = {
        "place.md": NOTES["place.md"],
        "trees/F.md": "---\nlimbs: [Bosc, Comice]\n---\n",
        "records/all.csv": f"{HEAD}\n{lines}",
    }
    page = page_of(plan_of(notes, 2027, DAY))

    assert years_on(page) == {
        ("F", "Bosc"): [("2025", "", "10 Sep", "20 lb"), ("2026", "4 May", "12 Sep", "20 lb")],
        ("F", "Comice"): [("2025", "", "10 Sep", "20 lb")],
    }


def test_a_year_that_was_not_weighed_whole_has_no_weight(plan_of: Callable[..., Plan]) -> None:
    """Neither here nor on the tree's page, and it is no light one; boxes weigh what the household's own box does."""
    picks = {2023: "1 box", 2024: "4 boxes", 2025: "1 box", 2026: "4 boxes"}
    lines = "".join(f"{year}-09-10,A,,,first pick,{much},\n" for year, much in picks.items())
    notes = {
        "place.md": NOTES["place.md"].replace("zone:", "box: 20 lb\nzone:"),
        "trees/A.md": "---\ncultivar: Bosc\n---\n",
    }
    whole = plan_of({**notes, "records/all.csv": f"{HEAD}\n{lines}"}, 2027, DAY)
    (crop,) = page_of(whole).trees
    assert [year.weight for year in crop.years] == ["20 lb", "80 lb", "20 lb", "80 lb"]
    assert [year.weight for year in years_of(whole, whole.season.bearings[0])] == ["20 lb", "80 lb", "20 lb", "80 lb"]
    assert crop.turns == "Bears by turns; heavy in 2024, 2026."

    more = plan_of({**notes, "records/all.csv": f"{HEAD}\n{lines}2025-09-20,A,,,last pick,,\n"}, 2027, DAY)
    page = page_of(more)
    assert [year.weight for year in page.trees[0].years] == ["20 lb", "80 lb", "", "80 lb"]
    assert page.trees[0].turns == ""
    assert page.summary[-1] == "80 lb were weighed, 20 lb the year before."


def test_a_first_season_has_nothing_to_review(plan_of: Callable[..., Plan]) -> None:
    """And the way through the site doesn't name the page."""
    notes = {name: text for name, text in NOTES.items() if "records" not in name}
    assert "review.html" not in main_pages(plan_of(notes, 2027, DAY))


def test_strangers_read_of_no_jars(plan_of: Callable[..., Plan]) -> None:
    """They are not told in the records either."""
    plan = plan_of(NOTES, 2027, DAY)
    files = make_site(plan_for(plan, reader_of(plan.holding.place, "everybody")), theme_folder())
    text = files["review.html"].decode()
    assert "116 days" in text
    assert "quarts" not in text
    assert "pints" not in text
