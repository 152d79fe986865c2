"""Hands: what waits on the trees where a day brings more than can be picked, and until when it may hang."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from one_tree import NOTES, plan_of_notes
from season_notes import note, read, table

from firmripe.calendar.capacity import DuePicking, Waits, in_turn
from firmripe.holding.reader import STRANGERS
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import POUND
from firmripe.plan import Plan
from firmripe.problems import FaultyNotes
from firmripe.publish.audience import plan_for
from firmripe.publish.site import make_site
from firmripe.reading.warnings import warnings_of
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording.calendar import beside_job
from firmripe.wording.names import name_of

DAY = date(2027, 9, 1)
ANN = "{name: Ann, does: [picking], picks in a day: 2 boxes"
BEN = "{name: Ben, does: [picking], picks in a day: 22 lb, away: [2027-09-02]"


def place(*lines: str) -> dict[str, str]:
    """Return a place whose boxes weigh 22 lb, with lines of its own."""
    return {"place.md": note("name: Home", "zone: 6a", "latitude: 42 N", "box: 22 lb", *lines)}


PICK = {"tasks/pick.md": note("name: Pick", "when: pick", "until: latest pick", "reminder: yes", "who: picking")}
SOON = note("name: Soon", "fruit: pear", "windows: [{pick: Sep 1, place: here}]")
TREES = {
    "cultivars/soon.md": SOON,
    "trees/A.md": note("cultivar: Hardpear", "crop: 90 lb", "pinned: [{pick: 2027-09-01}]"),
    "trees/B.md": note("cultivar: Soon", "crop: 30 lb"),
    "records/2027.csv": table("2027-04-20,A,full bloom,,"),
}


def plan(top: Path, *lines: str, **more: str) -> Plan:
    """Return the plan of two trees that are due on the first of September, one of them fixed to that day."""
    return plan_of_notes(top, {**place(*lines), **PICK, **TREES, **more}, as_of=date(2027, 8, 20))


def pounds(waits: tuple[Waits, ...]) -> list[tuple[str, int, int]]:
    """Return which trees wait, with how many pounds, and how many of them too long."""
    return [(one.bearing.tree, round(one.weight / POUND), round(one.late / POUND)) for one in waits]


def test_nobody_told_what_hands_pick(tmp_path: Path) -> None:
    """Then nothing is said of it."""
    assert plan(tmp_path, "people: [{name: Ann, does: [picking]}]").waiting == ()


def test_what_can_hang_waits_until_it_may(tmp_path: Path) -> None:
    """100 lb a day: the tree whose day is fixed goes first; 20 lb of the other wait, and its own day stays."""
    made = plan(tmp_path, "picks in a day: 100 lb")
    (wait,) = made.waiting
    entry = next(one for one in made.calendar.entries if name_of(IN_ENGLISH, one).startswith("Soon"))

    assert pounds(made.waiting) == [("B", 20, 0)]
    assert (wait.day, wait.then) == (DAY, date(2027, 9, 2))
    assert (entry.days[0], entry.span.last) == (DAY, wait.until)
    assert beside_job(IN_ENGLISH, entry).startswith(
        "More than hands can pick on Wed 1 Sep: 20 lb of Soon (B) wait. It may hang until "
    )
    assert beside_job(IN_ENGLISH, entry).endswith("hands are free for it by Thu 2 Sep.")


def test_what_hands_do_not_reach_in_time_asks_for_another_hand(tmp_path: Path) -> None:
    """At 22 lb a day the fixed tree can't be picked on its day, and that is said with how much is left."""
    made = plan(tmp_path, "picks in a day: 1 box")
    held = {one.bearings[0].tree: beside_job(IN_ENGLISH, one) for one in made.calendar.entries}

    assert pounds(made.waiting)[0] == ("A", 68, 68)
    assert held["A"] == (
        "More than hands can pick on Wed 1 Sep: 68 lb of Hardpear (A) wait. It may hang until Wed 1 Sep, "
        "and 68 lb of it are more than hands can pick by then: another hand is wanted."
    )


def test_each_picker_counts_on_the_days_they_are_here(tmp_path: Path) -> None:
    """66 lb on the first by Ann and Ben; what is left of B is picked by Ann alone on the second."""
    made = plan(
        tmp_path, f"people: [{ANN}}}, {BEN}}}]", **{"trees/A.md": TREES["trees/A.md"].replace("90 lb", "60 lb")}
    )

    assert pounds(made.waiting) == [("B", 24, 0)]
    assert made.waiting[0].then == date(2027, 9, 2)


def test_own_days_of_picking_wait_until_the_eve_of_the_next(tmp_path: Path) -> None:
    """30 lb every second day, hands for 20: ten wait each time for the day between."""
    own = note("cultivar: Hardpear", "crop: 90 lb", 'picking days: "every 2 days, Sep 1 - Sep 5"')
    made = plan(tmp_path, "picks in a day: 20 lb", **{"trees/A.md": own, "trees/B.md": note("cultivar: Soon")})

    assert pounds(made.waiting)[:2] == [("A", 10, 0), ("A", 10, 0)]
    assert [(one.day.day, one.until.day, one.then and one.then.day) for one in made.waiting[:2]] == [
        (1, 2, 2),
        (3, 4, 4),
    ]


@pytest.mark.parametrize("line", ["picks in a day: 120 lb", "picks in a day: 6 boxes"])
def test_what_hands_can_pick_says_nothing(tmp_path: Path, line: str) -> None:
    """120 lb are due and 120 can be picked, in pounds or in boxes."""
    assert plan(tmp_path, line).waiting == ()


def test_a_day_nobody_gets_there_leaves_all_to_the_next(tmp_path: Path) -> None:
    """What may hang is picked the day after, as far as hands reach."""
    lines = ("picks in a day: 500 lb", "no access: [{on: 2027-09-01, because: no bus}]")
    assert [(one.bearing.tree, one.then) for one in plan(tmp_path, *lines).waiting] == [
        ("A", None),
        ("B", date(2027, 9, 2)),
    ]


def test_fruit_that_only_a_printed_page_tells_of_counts_with_its_least(tmp_path: Path) -> None:
    """A range of 50 to 200 lb fills no day with what may never hang there."""
    yielding = SOON.replace("fruit: pear", "fruit: pear\nyield: [1-4 bu]\nweight per container: [50 lb a bushel]")
    trees = {"cultivars/soon.md": yielding, "trees/B.md": note("cultivar: Soon")}

    assert pounds(plan(tmp_path, "picks in a day: 120 lb", **trees).waiting) == [("B", 20, 0)]


def test_the_harvest_page_tells_it_day_by_day_and_strangers_do_not_see_it(tmp_path: Path) -> None:
    """Which fruit waits, and until when; what hands pick is the household's own."""
    made = plan(tmp_path, "picks in a day: 100 lb")
    for theme in ("box-tag", "plain"):
        page = make_site(made, theme_folder(theme))["harvest.html"].decode()
        assert re.search(r'href="trees/[^>]*>B</a>: 20 lb of Soon wait; hands by Thu 2 Sep', page)
    opened = plan_for(made, STRANGERS)

    assert not opened.waiting
    assert not [one for one in opened.calendar.entries if "hands" in beside_job(IN_ENGLISH, one)]


def test_one_picker_without_a_figure_is_asked_about(tmp_path: Path) -> None:
    """What some pick in a day is no figure for all; the place's own is."""
    people = f"people: [{ANN}}}, {{name: Cy, does: [picking]}}]"
    holding = read(tmp_path / "a", {**NOTES, **place(people), **PICK, **TREES})
    (asked,) = [one for one in warnings_of(holding, DAY) if "in a day" in one.message]

    assert asked.message.startswith("Cy picks too")
    assert not plan(tmp_path / "b", people).waiting
    assert plan(tmp_path / "c", people, "picks in a day: 100 lb").waiting


@pytest.mark.parametrize("line", ["picks in a day: lots", "picks in a day: 0 lb", "picks in a day: 90000 lb"])
def test_what_is_no_amount_is_refused(tmp_path: Path, line: str) -> None:
    """With the line and what to write."""
    with pytest.raises(FaultyNotes, match=r"place\.md:6"):
        read(tmp_path, {**place(line), **PICK, **TREES})


DUES = st.lists(
    st.builds(
        lambda n, at, more, kg: DuePicking(
            bearing=Bearing(str(n), "c"),
            picking=1,
            day=date(2027, 9, at),
            until=date(2027, 9, min(30, at + more)),
            weight=Fraction(kg),
        ),
        st.integers(0, 99),
        st.integers(1, 20),
        st.integers(0, 9),
        st.integers(1, 200),
    ),
    max_size=12,
    unique_by=lambda due: due.bearing,
)


@given(DUES, st.integers(0, 150))
def test_hands_lose_and_invent_no_fruit(dues: list[DuePicking], a_day: int) -> None:
    """Nothing waits beyond its own weight or day, what is in time is whole, and more hands never harm."""

    def late_with(kg: int) -> Fraction:
        return sum((one.late for one in in_turn(dues, _steady(kg))), Fraction(0))

    due = {one.bearing: one for one in dues}
    for wait in in_turn(dues, _steady(a_day)):
        of = due[wait.bearing]
        assert 0 <= wait.late <= wait.weight <= of.weight
        assert wait.until == of.until
        assert (wait.then is None) == (wait.late > 0)
        assert wait.then is None or of.day < wait.then <= of.until
    assert late_with(a_day + 50) <= late_with(a_day)
    assert not in_turn(dues, _steady(sum(int(one.weight) for one in dues) or 1))


def _steady(kg: int) -> Callable[[date, Bearing], Fraction]:
    return lambda _day, _bearing: Fraction(kg)
