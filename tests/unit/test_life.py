"""One story of each crop: how far it is, what is asked for, what its pickings weigh, wherever it is told."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from one_tree import HARD, TREE, plan_of_notes, task

from firmripe.holding.task import Stage
from firmripe.plan import Plan
from firmripe.publish.feeds.merging import Merged
from firmripe.publish.feeds.wording import Words
from firmripe.publish.job_amounts import amount_words
from firmripe.publish.paths import Paths
from firmripe.publish.viewing import Viewing

TWICE = {"cultivars/hardpear.md": HARD.replace("counter:", "passes: 2\npass interval: 6 days\ncounter:")}
CROP = {"trees/A.md": TREE.replace("cultivar:", "crop: 40 lb\ncultivar:")}
PICKING = task("when: pick", "until: latest pick", "reminder: yes", "who: picking")


def viewing(plan: Plan) -> Viewing:
    """Return the views of a plan's front page."""
    return Viewing(plan, Paths(plan), "", set())


def test_page_and_feed_tell_a_pickings_own_weight(tmp_path: Path) -> None:
    """A tree picked twice gives half of its crop the first time, and no place says more."""
    plan = plan_of_notes(tmp_path, {**TWICE, **CROP, **PICKING}, as_of=date(2027, 8, 20))
    first = min(
        (entry for entry in plan.calendar.entries if entry.task.when.stage is Stage.PICK), key=lambda e: e.span.first
    )

    assert amount_words(plan, [first]) == "20 lb"
    assert "20 lb" in Words.of(plan).title(Merged(entries=(first,)))


def test_leaves_that_have_no_day_to_fall_are_no_news(tmp_path: Path) -> None:
    """Nobody needs a date of theirs, and nothing is told of them, however many cultivars have none."""
    plan = plan_of_notes(tmp_path, {"records/2027.csv": "", **task("when: leaf fall")}, as_of=date(2027, 8, 20))

    assert not [one.what for one in plan.calendar.undated if "leaf fall" in one.what]
