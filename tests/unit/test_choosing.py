"""What a list of jobs can be narrowed to, and what a tick is known by."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from feed_making import entry

from firmripe.holding.holding import Holding
from firmripe.plan import Plan
from firmripe.publish.pages.narrowing import Choosing

PEOPLE = (
    "people: [{name: Wren, household: mill, does: [picking, notes]}, {name: Ash, household: mill, does: [picking]},"
    " {name: Rowan}]"
)
NOTES = {
    "place.md": f"---\nname: Home\n{PEOPLE}\n---\n",
    "trees/a.md": "---\ntree: A\ncultivar: Bartlett\nwhere: row 1, gate end\n---\n",
    "trees/b.md": "---\ntree: B\ncultivar: Bosc\nwhere: row 1, far end\n---\n",
    "trees/c.md": "---\ntree: C\ncultivar: Bosc\nwhere: by the well\n---\n",
    "trees/d.md": "---\ntree: D\ncultivar: Bosc\n---\n",
}


@pytest.fixture
def choosing(holding_of: Callable[..., Holding]) -> Choosing:
    """Return what a small household can choose from."""
    return Choosing(holding_of(NOTES))


def test_people_and_houses_share_the_keys_of_what_they_do(choosing: Choosing) -> None:
    """Somebody has a key of their own and one for each kind of work, a house those of all its people."""
    keys = {choice.text: set(choice.key.split()) for choice in (*choosing.people, *choosing.houses)}

    assert list(keys) == ["Wren", "Ash", "Rowan", "mill"]
    assert keys["mill"] == keys["Wren"] | keys["Ash"]
    assert len(keys["Wren"] & keys["Ash"]) == 1
    assert len(keys["Rowan"]) == 1
    assert not keys["Rowan"] & keys["mill"]


def test_a_job_bears_the_keys_of_those_who_can_do_it(choosing: Choosing) -> None:
    """Named people or a house bear their own; `everyone`, whom no list knows, leaves a job with all."""
    own = {choice.text: set(choice.key.split()) for choice in choosing.people}
    task = entry().task

    assert set(choosing.who(task, ["Rowan"])) == own["Rowan"]
    assert set(choosing.who(task, ["mill"])) <= own["Wren"] | own["Ash"]
    assert len(choosing.who(task, ["mill"])) == 2
    assert choosing.who(task, ["everyone"]) == ()
    assert choosing.who(task, []) == ()


def test_a_part_is_what_stands_before_the_comma(plan_of: Callable[..., Plan]) -> None:
    """Trees of a row are one part; a tree that stands nowhere told makes none, and its jobs stay with every choice."""
    plan = plan_of(NOTES)
    choosing = Choosing(plan.holding)
    picks = {e.subject: e for e in plan.calendar.entries if e.task.key == "pick"}

    assert plan.holding.tree("A").part == "row 1"
    assert [choice.text for choice in choosing.parts] == ["row 1", "by the well"]
    assert {tag: choosing.parts_of([one]) for tag, one in picks.items() if one.bearings[0].tree in "AD"} == {
        tag: ("0",) if one.bearings[0].tree == "A" else () for tag, one in picks.items() if one.bearings[0].tree in "AD"
    }
    assert choosing.parts_of([entry()]) == ()


def test_each_turn_of_a_job_has_a_tick_of_its_own(choosing: Choosing) -> None:
    """It stays with the job and its turn, whatever the day, and no two households share one."""
    one = entry()
    ticks = {tick for turn in range(50) for tick in choosing.ticks([(one, turn)])}

    assert len(ticks) == 50
    assert choosing.ticks([(entry(day=one.span.first.replace(day=1)), 0)]) == choosing.ticks([(one, 0)])
    assert not {*choosing.ticks([(entry(key="other"), 0)])} & ticks


def test_very_many_jobs_on_a_line_have_one_tick_for_just_these(choosing: Choosing) -> None:
    """Up to two dozen keep their own when their days part; with one more or another it is another tick."""
    turns = [(entry(), turn) for turn in range(26)]

    assert len(choosing.ticks(turns[:24])) == 24
    (tick,) = choosing.ticks(turns[:25])
    assert choosing.ticks(turns[24::-1]) == (tick,)
    assert tick not in {*choosing.ticks(turns), *choosing.ticks(turns[1:26])}
