"""Nobody is told of a ladder for fruit that is picked from the ground, on any page, sheet or calendar."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

import pytest
from conftest import EXAMPLE, SHELF

from firmripe.holding.figures import is_meant
from firmripe.holding.fruit import Habit
from firmripe.holding.holding import Holding
from firmripe.holding.task import Task
from firmripe.plan import Plan
from firmripe.publish.hazards import kind_of
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder

LOW = {Habit.BUSH, Habit.CANE, Habit.HERB}
ON_WIRES = {"grape", "muscadine"}
OF_LADDERS = re.compile(r"ladder|\bclimb|top two steps|reach out to the side|power lines", re.IGNORECASE)
SEASON = (date(2027, 3, 1), date(2027, 6, 20), date(2027, 8, 30))


def told_by(holding: Holding, task: Task, tag: str) -> list[str]:
    """Return what a task says of its own and brings, for the fruit of a tree."""
    of = holding.tree(tag).bearings
    figures = (*holding.needed_for(task.cautions, of), *holding.meant_for((*task.why, *task.look_for), of))
    things = (thing.name for thing in holding.needed_for(task.bring, of))
    return [task.name, task.text, *(figure.text for figure in figures), *things]


@pytest.fixture(scope="module")
def low_fruits() -> list[str]:
    """Return the fruits of the shelf that nobody climbs for."""
    holding = read_holding(EXAMPLE, SHELF)
    found = [key for key, fruit in holding.fruits.items() if fruit.habit in LOW or key in ON_WIRES]
    assert len(found) >= 11
    return found


def test_no_task_of_the_shelf_brings_a_ladder_to_low_fruit(
    holding_of: Callable[..., Holding], low_fruits: list[str]
) -> None:
    """Whatever a task is for: no caution of ladders, none to bring, and no word of one; a tree has all of them."""
    holding = holding_of({f"trees/{key}.md": f"---\nfruit: {key}\n---\n" for key in (*low_fruits, "apple")})
    at_apples = []
    for task in holding.tasks:
        for tag in (*low_fruits, "apple"):
            if not is_meant(task, holding.keys(holding.tree(tag).bearings[0])):
                continue
            told = [
                text for text in told_by(holding, task, tag) if OF_LADDERS.search(text) or kind_of(text) == "ladder"
            ]
            at_apples += told if tag == "apple" else []
            assert tag == "apple" or not told, f"{task.key} of {tag}: {told}"
    assert len(at_apples) > 20


@pytest.mark.parametrize("day", SEASON)
def test_a_household_of_low_fruit_reads_of_no_ladder(
    plan_of: Callable[..., Plan], low_fruits: list[str], day: date
) -> None:
    """Every page, sheet, table and calendar of a garden of bushes, canes and vines."""
    place = "---\nzone: 7a\nlatitude: 40 N\nlast frost: Apr 20\nfirst frost: Oct 20\n---\n"
    notes = {f"trees/{key}.md": f"---\nfruit: {key}\n---\n" for key in low_fruits}
    site = make_site(plan_of({"place.md": place, **notes}, as_of=day), theme_folder("box-tag"))
    texts = {name: data.decode() for name, data in site.items() if name.endswith((".html", ".ics", ".json", ".csv"))}
    files = {name: re.sub(r"<[^>]+>", "", text) for name, text in texts.items()}
    told = {name: found[0] for name, text in files.items() if (found := OF_LADDERS.search(text))}

    assert any("raspberr" in text.lower() for text in files.values())
    assert told == {}


def test_beside_an_apple_tree_a_bush_is_still_without_a_ladder(plan_of: Callable[..., Plan]) -> None:
    """What is told of both names the fruit that a ladder is not for; what is told of the bush alone has none."""
    notes = {"trees/A.md": "---\ncultivar: Jonathan\n---\n", "trees/G.md": "---\nfruit: gooseberry\n---\n"}
    place = "---\nzone: 6b\nlatitude: 42 N\nlast frost: May 10\nfirst frost: Oct 10\n---\n"
    site = make_site(plan_of({"place.md": place, **notes}, as_of=date(2027, 3, 1)), theme_folder("box-tag"))
    page = re.sub(r"<[^>]+>", "", site["jobs/pick.html"].decode())
    events = site["feeds/reminders.ics"].decode().replace("\r\n ", "").split("BEGIN:VEVENT")
    picks = [one for one in events if re.search(r"SUMMARY:Pick\b", one)]

    assert "ladder (not for Gooseberry)" in page
    assert page.count("(not for Gooseberry)") == 5
    assert all(not re.search("ladder", one) for one in picks if "Gooseberry" in one.partition("DESCRIPTION")[0])
    assert any(re.search("ladder", one) for one in picks if "Jonathan" in one.partition("DESCRIPTION")[0])


@pytest.mark.parametrize("tag", ["grape", "bush", "bluecrop"])
def test_a_tree_called_like_low_fruit_keeps_its_ladder(holding_of: Callable[..., Holding], tag: str) -> None:
    """A tag or a cultivar that is called like a fruit, a habit or a cultivar is not meant by that: its own fruit is."""
    holding = holding_of(
        {
            f"trees/{tag}.md": "---\nfruit: apple\ncultivar: Seedling\n---\n",
            "trees/1-01.md": "---\ncultivar: Cane\nfruit: apple\n---\n",
        }
    )
    pick = next(task for task in holding.tasks if task.key == "pick")

    for tree in holding.trees:
        assert any(OF_LADDERS.search(text) for text in told_by(holding, pick, tree.tag)), tree.tag
