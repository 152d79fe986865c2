"""Nobody works among sprayed trees: EPA Worker Protection Standard, 40 CFR 170, restricted-entry interval.

During it nobody enters the treated area to work there; the interval runs from the end of the spraying. The label is
the law.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from one_tree import TREE, entries_of, plan_of_notes, task
from season_notes import note

from firmripe.calendar.entry import Entry
from firmripe.days import Span
from firmripe.plan import Plan
from firmripe.publish.feeds.appointments import planned
from firmripe.publish.feeds.wording import Words
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.days import week_page
from firmripe.publish.paths import Paths
from firmripe.tongue import IN_ENGLISH
from firmripe.wording.calendar import beside_job

TWO = {"trees/B.md": TREE}
DAILY = ("when: Aug 18", "until: Aug 26", "every: 1 day")


def lines(*rows: str) -> dict[str, str]:
    """Return a table of records."""
    return {"records/2027.csv": "\n".join(["date,tree,what,amount,note", *rows, ""])}


def days(entry: Entry) -> set[int]:
    """Return the days of August on which an entry stands."""
    return {day.day for day in entry.days if day.month == 8}


@pytest.mark.parametrize("each", ["tree", "fruit", "cultivar", "place"])
@pytest.mark.parametrize("topic", ["topic: orchard", ""])
@pytest.mark.parametrize("tree", ["A", ""])
def test_no_turn_of_any_job_falls_into_a_re_entry_time(tmp_path: Path, each: str, topic: str, tree: str) -> None:
    """Whatever it is done once for, and also where a household does not say where it is done."""
    spray = lines(f'2027-08-20,{tree},spray,"14 days, re-entry 3 days",')
    job = task(f"each: {each}", *DAILY, *([topic] if topic else []))
    (entry,) = entries_of(tmp_path, spray, job, as_of=date(2027, 8, 21))

    assert days(entry) == {18, 19, 24, 25, 26}, "72 hours from an evening end in the evening of the 23rd"
    assert "The label is the law." in beside_job(IN_ENGLISH, entry)


@pytest.mark.parametrize("each", ["fruit", "cultivar", "place"])
def test_a_job_for_several_trees_goes_on_and_leaves_out_the_sprayed_one(tmp_path: Path, each: str) -> None:
    """Its days stay, and it says which tree waits until when, on the open site without a word of the spray."""
    spray = lines('2027-08-20,A,spray,"1 day, re-entry 24 hours",')
    (entry,) = entries_of(tmp_path, TWO, spray, task(f"each: {each}", *DAILY), as_of=date(2027, 8, 20))

    assert days(entry) == set(range(18, 27))
    assert beside_job(IN_ENGLISH, entry) == (
        "Leave out A: sprayed on Fri 20 Aug, by its label nobody goes there for 24 hours after it, "
        "and not before Sun 22 Aug. The label is the law."
    )
    assert beside_job(IN_ENGLISH, entry.opened({"A", "B"})) == "Leave out A: nobody goes there before Sun 22 Aug."
    assert beside_job(IN_ENGLISH, entry.opened({"B"})) == "", "a hidden tree is not named"


def test_a_job_of_one_day_has_another_for_the_tree_that_waits(tmp_path: Path) -> None:
    """Otherwise the job would be over before that tree may be gone to."""
    spray = lines('2027-08-20,A,spray,"1 day, re-entry 24 hours",')
    (entry,) = entries_of(tmp_path, TWO, spray, task("each: place", "when: Aug 20"), as_of=date(2027, 8, 20))

    assert entry.days == (date(2027, 8, 20), date(2027, 8, 22))
    assert entry.span.last == date(2027, 8, 22)


def test_when_each_tree_is_closed_the_first_that_opens_is_waited_for(tmp_path: Path) -> None:
    """A spray of each tree by itself closes the whole job."""
    spray = lines('2027-08-20,A,spray,"1 day, re-entry 24 hours",', '2027-08-20,B,spray,"1 day, re-entry 48 hours",')
    (entry,) = entries_of(tmp_path, TWO, spray, task("each: place", "when: Aug 20"), as_of=date(2027, 8, 20))

    assert entry.days == (date(2027, 8, 22), date(2027, 8, 23))


def on(each: str, *lines: str) -> dict[str, str]:
    """Return a job on the pick, for each fruit or cultivar, in calendars too."""
    return task(f"each: {each}", "when: pick", "reminder: yes", *lines)


@pytest.mark.parametrize("each", ["fruit", "cultivar"])
def test_trees_of_different_labels_have_each_their_own_day(tmp_path: Path, each: str) -> None:
    """A job that does not last till the label of one is over comes again for that one."""
    notes = {**TWO, **lines("2027-08-25,B,spray,14 days,"), **on(each)}
    found = entries_of(tmp_path, notes, as_of=date(2027, 8, 26))
    assert [([b.tree for b in entry.bearings], entry.span.first) for entry in found] == [
        (["A"], date(2027, 9, 1)),
        (["B"], date(2027, 9, 8)),
    ]


@pytest.mark.parametrize("each", ["fruit", "cultivar"])
def test_a_pick_of_several_trees_starts_with_the_free_ones(tmp_path: Path, each: str) -> None:
    """And names the one whose days to harvest are not over, on the page and in the reminder."""
    notes = {**TWO, **lines("2027-08-25,B,spray,14 days,"), **on(each, "until: 2 weeks after pick")}
    plan = plan_of_notes(tmp_path, notes, as_of=date(2027, 8, 26))
    (entry,) = plan.calendar.entries
    said = "Leave out B: by a spray's label no picking there before Wed 8 Sep. The label is the law."

    assert entry.span.first == date(2027, 9, 1)
    assert beside_job(IN_ENGLISH, entry) == said
    assert said in told_in_a_feed(plan, entry)
    assert beside_job(IN_ENGLISH, entry.opened({"A", "B"})) == "Leave out B: no picking there before Wed 8 Sep."


def test_a_spray_says_nothing_of_a_crop_that_is_long_gone(tmp_path: Path) -> None:
    """A summer's label moves the pick of that summer, not that of the summer before, which nobody noted."""
    notes = {
        "trees/A.md": note("cultivar: Hardpear"),
        "cultivars/hardpear.md": note(
            "name: Hardpear", "fruit: pear", "windows: [{pick: Aug 20 - Sep 1, place: here}]"
        ),
        **lines('2027-08-26,A,spray,"14 days",'),
        **task("when: pick", "reminder: yes"),
    }
    plan = plan_of_notes(tmp_path, notes, as_of=date(2027, 8, 26))

    assert {entry.span.first.year for entry in plan.past} == {2026}
    assert {entry.span.first for entry in plan.calendar.entries if entry.season == 2027} == {date(2027, 9, 9)}


def test_a_label_holds_for_a_crop_that_hangs_over_new_year(tmp_path: Path) -> None:
    """A late fruit, due in December and sprayed in January, waits for the label though its season's year is over."""
    notes = {
        "trees/A.md": note("cultivar: Hardpear"),
        "cultivars/hardpear.md": note(
            "name: Hardpear", "fruit: pear", "windows: [{pick: Dec 10 - Dec 30, place: here}]"
        ),
        "records/2027.csv": 'date,tree,what,amount,note\n2028-01-05,A,spray,"14 days",\n',
        **task("when: pick", "reminder: yes"),
    }
    plan = plan_of_notes(tmp_path, notes, year=2028, as_of=date(2028, 1, 6))

    assert {entry.span.first for entry in plan.past} == {date(2028, 1, 19)}


def told_in_a_feed(plan: Plan, entry: Entry) -> str:
    """Return the text of an entry's reminder."""
    (one,) = planned([entry], Words.of(plan), Paths(plan))
    assert one.reminder is not None
    return one.reminder.text.replace("\n", " ")


def test_no_window_runs_across_days_on_which_all_its_trees_are_closed(tmp_path: Path) -> None:
    """A job that began before the spray stands on both sides of it; on the days between it isn't going on either."""
    job = task("when: Aug 18", "until: Aug 30", "each: tree", "reminder: yes")
    notes = {**lines('2027-08-20,A,spray,"1 day, re-entry 3 days",'), **job}
    plan = plan_of_notes(tmp_path, notes, as_of=date(2027, 8, 20))
    (entry,) = plan.calendar.entries
    (one,) = planned([entry], Words.of(plan), Paths(plan))

    assert [(window.first.day, window.last.day) for window in one.windows] == [(18, 19), (24, 30)]
    assert len({said.uid for said in one.for_ledger}) == 3
    viewing = PageContext(plan, Paths(plan), "", set())
    days = [Span(first=date(2027, 8, day), last=date(2027, 8, day)) for day in range(18, 32)]
    assert [day.first.day for day in days if week_page(viewing, day, days).going_on] == [19, *range(24, 31)]


@pytest.mark.parametrize("each", ["tree", "fruit", "cultivar"])
def test_a_job_ends_with_its_tree(tmp_path: Path, each: str) -> None:
    """Neither a turn nor the stretch of it reaches the day on which the tree was taken out."""
    job = task(f"each: {each}", "when: 2 weeks before pick", "until: 4 weeks after pick")
    notes = lines("2027-08-30,A,pick,9 lb,", "2027-09-05,A,removed,,")
    (entry,) = entries_of(tmp_path, notes, job, as_of=date(2027, 9, 6))

    assert (entry.span.first, entry.span.last) == (date(2027, 8, 18), date(2027, 9, 4))


@pytest.mark.parametrize(
    ("spray", "on"),
    [("", set(range(18, 27))), ('2027-08-22,,spray,"1 day, re-entry 24 hours",', {*range(18, 22), *range(24, 27)})],
)
def test_a_job_of_the_place_goes_on_when_all_its_trees_are_gone(tmp_path: Path, spray: str, on: set[int]) -> None:
    """It needs no tree, and waits for the label all the same."""
    notes = lines(*filter(None, ("2027-08-19,A,pick,9 lb,", "2027-08-20,A,removed,,", spray)))
    (entry,) = entries_of(tmp_path, notes, task("each: place", "topic: orchard", *DAILY), as_of=date(2027, 8, 22))

    assert days(entry) == on


def test_a_freeze_draws_no_pick_into_days_to_harvest_that_moved_nothing(tmp_path: Path) -> None:
    """The label was over before the window, not before the freeze: the fruit stays on the tree."""
    window = "windows: [{pick: Oct 1 - Oct 5, place: here}]"
    notes = {
        "trees/A.md": note("cultivar: Hardpear"),
        "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", window),
        **lines("2027-09-10,A,spray,14 days,", "2027-09-20,,freeze forecast,20 F,"),
        **task("when: earliest pick"),
    }
    (entry,) = entries_of(tmp_path, notes, as_of=date(2027, 9, 15))

    assert entry.span.first >= date(2027, 9, 24)
    assert "what may not be picked yet stays on the tree" in beside_job(IN_ENGLISH, entry)
