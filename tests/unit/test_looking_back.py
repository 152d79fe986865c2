"""The page of what changed since last season: dates beside dates, trees, crops, notes and what was learned."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from one_tree import NOTES, plan_of_notes
from season_notes import note, table

from firmripe.plan import Plan
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.since import LookingBack, SincePage
from firmripe.publish.paths import Paths

TODAY = date(2027, 9, 3)
LAST_YEAR = table(
    "2026-04-24,A,full bloom,,",
    "2026-08-25,A,drop,,two by the wall",
    "2026-08-28,A,first pick,40 lb,",
    "2026-08-29,A,pick,12 lb,",
    "2026-09-08,A,jars,9 pints,Hardpear in jars",
    "2026-02-01,A,note,,long ago",
    "2026-05-02,B,full bloom,,",
    "2026-09-01,B,first pick,20 lb,",
    "2026-11-20,B,removed,,",
    "2026-05-20,,frost,,one night",
)
PEOPLE = note(
    "name: Home", "zone: 6a", "wanted: [{cultivar: Hardpear, on: 2026-10-01}, {cultivar: Quince, on: 2026-10-02}]"
)


def page_of(plan: Plan) -> SincePage:
    """Return the page of a plan."""
    return LookingBack(PageContext(plan, Paths(plan), "", set())).page()


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> SincePage:
    """Return the page of two trees, of which one was taken out after its harvest, and of one that is new."""
    notes = {
        "place.md": PEOPLE,
        "trees/A.md": note("cultivar: Hardpear"),
        "trees/B.md": note("cultivar: Hardpear"),
        "trees/C.md": note("cultivar: Hardpear", "planted: 2027"),
        "records/2026.csv": LAST_YEAR,
        "records/2027.csv": table("2027-04-20,A,full bloom,,", "2027-09-02,A,first pick,30 lb,"),
    }
    return page_of(plan_of_notes(tmp_path_factory.mktemp("back"), notes, as_of=TODAY))


def test_dates_stand_beside_last_seasons(page: SincePage) -> None:
    """The same tree and the same event, each with how it is known, and by how many days of the year it moved."""
    bloom, pick, *others = page.dates

    assert (page.season, page.former) == ("2027", "2026")
    assert bloom.what == "Hardpear: full bloom"
    assert (bloom.now.iso, bloom.now.basis) == ("2027-04-20", "noted")
    assert (bloom.then.iso, bloom.then.basis) == ("2026-04-24", "noted")
    assert bloom.change == "4 days earlier"
    assert (pick.what, pick.now.iso, pick.then.iso, pick.change) == (
        "Hardpear: pick",
        "2027-09-02",
        "2026-08-28",
        "5 days later",
    )
    assert {line.tree.text for line in (bloom, pick, *others)} == {"A"}


def test_an_estimate_is_called_one(tmp_path: Path) -> None:
    """Before the pick is noted, what is foretold stands beside what was noted, with its window."""
    notes = {
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2026.csv": table("2026-04-24,A,full bloom,,", "2026-08-28,A,first pick,40 lb,"),
        "records/2027.csv": table("2027-04-20,A,full bloom,,"),
    }
    page = page_of(plan_of_notes(tmp_path, notes, as_of=date(2027, 7, 1)))
    pick = next(line for line in page.dates if line.what == "Hardpear: pick")

    assert pick.now.basis == "estimated"
    assert pick.now.window.startswith("between ")
    assert pick.then.window == ""


def test_trees_gone_and_new(page: SincePage) -> None:
    """One that was taken out, and one planted this year; the others are neither."""
    assert [link.text for link, _ in page.gone] == ["B"]
    assert [link.text for link, _ in page.new] == ["C"]


def test_crops_beside_what_was_weighed(page: SincePage) -> None:
    """Last season's is what was weighed, all pickings together."""
    assert [(link.text, name, then) for link, name, _, then in page.crops] == [("A", "Hardpear", "52 lb")]


def test_what_was_noted_at_this_time_of_the_year(page: SincePage) -> None:
    """From two weeks before this day to four weeks after it, and nothing from the spring."""
    assert [(line.iso, line.what) for line in page.notes] == [
        ("2026-08-25", "drop"),
        ("2026-08-28", "first pick"),
        ("2026-08-29", "pick"),
        ("2026-09-01", "first pick"),
        ("2026-09-08", "jars"),
    ]
    assert page.notes[0].note == "two by the wall"
    assert page.notes[0].tree is not None


def test_wants_of_last_season_were_met_or_not(page: SincePage) -> None:
    """By the fruit there was; and what was put up is told as it was noted."""
    assert len(page.wanted) == 2
    assert page.wanted[1] == "Quince for Fri 2 Oct: not met"
    assert page.put_up == ("8 Sep: 9 pints; Hardpear in jars",)


def test_what_it_taught_leads_to_the_past_dates(tmp_path: Path) -> None:
    """With two seasons on record the last can be played again, and the page of it is one step away."""
    notes = {
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2025.csv": table("2025-04-22,A,full bloom,,", "2025-08-30,A,first pick,,"),
        "records/2026.csv": table("2026-04-24,A,full bloom,,", "2026-08-28,A,first pick,,"),
        "records/2027.csv": table("2027-04-20,A,full bloom,,"),
    }
    page = page_of(plan_of_notes(tmp_path, notes, as_of=date(2027, 7, 1)))

    assert page.taught
    assert page.hindcast is not None
    assert page.hindcast.href == "review.html#hindcast"


def test_without_a_former_season_there_is_nothing_on_it(tmp_path: Path) -> None:
    """Nothing is made up where nothing was noted."""
    page = page_of(plan_of_notes(tmp_path, dict(NOTES), as_of=TODAY))

    assert (page.dates, page.crops, page.notes, page.taught, page.put_up, page.wanted) == ((), (), (), (), (), ())
