"""What a stranger found told twice, at the wrong fruit, or against a record, is told once and right."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
from conftest import EXAMPLE

from firmripe import build
from firmripe.calendar.because import InStore
from firmripe.calendar.names import StageOf
from firmripe.doubts import doubts_of
from firmripe.gathering import words_of
from firmripe.harvest.because import KeepApart, PickNotNoted
from firmripe.harvest.lots import Batch
from firmripe.harvest.takeouts import NoTakeOut
from firmripe.holding.holding import Holding
from firmripe.holding.reader import STRANGERS
from firmripe.holding.task import Stage
from firmripe.plan import Plan
from firmripe.problems import FaultyNotes, Problems
from firmripe.publish.audience import plan_for
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.since import _ready
from firmripe.publish.pages.store import Stores
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.reading.headings import Asked, TableQuestion, kept_line, parse_headings
from firmripe.shipped import theme_folder
from firmripe.wording.remarks import words_of as said

HEAD = "date,tree,cultivar,crop,what,amount,note\n"
GROUND = "zone: 6b\nlatitude: 42.1 N\nlongitude: 74 W"
CELLAR = "spaces: [{name: cellar, temperature: 31 F}]"
WARM = "spaces: [{name: cellar, temperature: 38 F}, {name: kitchen, temperature: 68 F}]"


def notes(trees: str, *lines: str, place: str = CELLAR, **more: str) -> dict[str, str]:
    """Return notes: a place, trees as `tag: cultivar` with what else their notes hold, and lines of records."""
    found = {"place.md": f"---\n{GROUND}\n{place}\n---\n", **more}
    for at, one in enumerate(trees.split(" | ")):
        tag, _, rest = one.partition(": ")
        limbs, *keys = rest.split("; ")
        of = f"limbs: [{limbs.replace(' / ', ', ')}]" if " / " in limbs else f"cultivar: {limbs}"
        found[f"trees/{at}.md"] = "\n".join(["---", f'tree: "{tag}"', of, *keys, "---", ""])
    found["records/2027.csv"] = HEAD + "".join(f"{line}\n" for line in lines)
    return found


def site(plan: Plan) -> dict[str, str]:
    return {name: data.decode() for name, data in make_site(plan, theme_folder()).items() if name.endswith(".html")}


def batches(plan: Plan, tree: str) -> Iterator[Batch]:
    return (batch for lot in plan.lots.values() for batch in lot.batches if batch.bearing.tree == tree)


def test_what_is_to_be_minded_of_picked_fruit_is_said_once_among_jobs(plan_of: Callable[..., Plan]) -> None:
    """Fruit that was picked too soon has daily jobs, of which the first to come alone says so."""
    early = ("2027-08-30,A,,,pick,30 lb,", "2027-08-30,A,,,stored,,cellar")
    plan = plan_of(notes("A: Bosc; crop: 40 lb | B: Anjou; crop: 40 lb", *early, place=WARM), as_of=date(2027, 8, 31))
    telling = [one for one in plan.calendar.entries if any(isinstance(held, InStore) for held in one.held)]
    assert len([one for one in telling if one.bearings[0].tree == "A"]) == 1
    pages = site(plan)
    weeks = [pages[name] for name in pages if name.startswith("weeks/")]
    said = [len(page.split("before its window opened")) - 1 for page in weeks]
    assert max(said) <= 2  # the line, and what a pointer shows of it
    assert sum(map(bool, said)) == 1


def test_a_room_keeps_fruit_apart_from_what_comes_to_it_first(plan_of: Callable[..., Plan]) -> None:
    """Of two apples beside a pear, the one that lies there first is named, on the day on which both lie there."""
    plan = plan_of(
        notes("P: Anjou; crop: 40 lb | J: Jonathan; crop: 40 lb | M: McIntosh; crop: 40 lb"), as_of=date(2027, 9, 1)
    )
    apart = [one for one in plan.store.warnings if isinstance(one.what, KeepApart)]
    (one,) = (one for one in apart if one.fruit and one.fruit.name == "Anjou")
    lying = {batch.limb.name: batch.picked.likely for tree in "PJM" for batch in batches(plan, tree)}
    first = min(("Jonathan", "McIntosh"), key=lambda name: max(lying[name], lying["Anjou"]))
    assert isinstance(one.what, KeepApart)
    assert one.what.near is not None
    assert (one.what.near.name, one.day) == (first, max(lying[first], lying["Anjou"]))


def test_fruit_that_goes_from_the_tree_to_the_table_has_no_last_day_in_the_cold(plan_of: Callable[..., Plan]) -> None:
    """Quinces and Kieffers need no cold, and the plan gives them none: no page tells of a last day there."""
    plan = plan_of(notes("q: Kaunching; fruit: quince; crop: 20 lb | K: Kieffer; crop: 60 lb"), as_of=date(2027, 9, 20))
    for bearing, lot in plan.lots.items():
        assert not lot.lies_cold
        assert Stage.KEEP_UNTIL not in lot.days, bearing
    pages = site(plan)
    for page in (pages["trees/q.html"], pages["trees/k.html"]):
        assert "it needs no cold, and goes to the table straight after picking" in page
        assert page.count("Take out the last") == 1  # where that is said
    assert not any(entry.task.key == "keep-until" for entry in plan.calendar.entries)


def test_nothing_is_taken_out_for_a_day_of_fruit_that_nobody_noted_as_picked(plan_of: Callable[..., Plan]) -> None:
    """The last good day to pick is over and the pick was never noted: the wanted day waits for the answer."""
    wanted = f"{CELLAR}\nwanted:\n- {{cultivar: Anjou, on: 2027-12-24, amount: 20 lb}}"
    trees = "A: Anjou; crop: 60 lb | B: Bosc; crop: 40 lb"
    late = plan_of(notes(trees, place=wanted), as_of=date(2027, 11, 10))
    (answer,) = late.store.take_outs
    assert isinstance(answer, NoTakeOut)
    assert isinstance(answer.reason, PickNotNoted)
    assert "nobody noted whether it was" in site(late)["store.html"]


def test_a_wanted_day_is_met_from_fruit_that_is_picked_or_still_to_be(plan_of: Callable[..., Plan]) -> None:
    """Before the pick it is planned, and after one that was noted it is promised."""
    wanted = f"{CELLAR}\nwanted:\n- {{cultivar: Anjou, on: 2027-12-24, amount: 20 lb}}"
    trees = "A: Anjou; crop: 60 lb | B: Bosc; crop: 40 lb"
    for lines, day in (((), date(2027, 9, 1)), (("2027-09-20,A,,,pick,58 lb,",), date(2027, 11, 10))):
        (answer,) = plan_of(notes(trees, *lines, place=wanted), as_of=day).store.take_outs
        assert not isinstance(answer, NoTakeOut), day


def test_only_what_was_noted_as_stored_is_told_as_noted(plan_of: Callable[..., Plan]) -> None:
    """The pick is noted, the room is a plan until a line names it."""
    place = "spaces: [{name: spare fridge, temperature: 33 F}]"
    pick = "2027-09-14,K,,,pick,30 lb,"
    trees = "K: Bosc; crop: 60 lb | B: Anjou; crop: 40 lb"
    planned = site(plan_of(notes(trees, pick, place=place), as_of=date(2027, 9, 20)))["harvest.html"]
    assert "picked, into the spare fridge" not in planned
    assert "Bosc: into the spare fridge" in planned
    stored = notes(trees, pick, "2027-09-14,K,,,stored,,spare fridge", place=place)
    assert "picked, into the spare fridge" in site(plan_of(stored, as_of=date(2027, 9, 20)))["harvest.html"]


def test_what_may_still_lie_there_stands_in_the_store_beside_its_question(plan_of: Callable[..., Plan]) -> None:
    """Fruit past its last day, of which nobody noted what became, is asked after and listed, until the answer."""
    picks = ("2027-08-26,1,,,first pick,30 lb,", "2027-09-01,1,,,last pick,28 lb,")
    trees = "1: Bartlett; crop: 60 lb | B: Bosc; crop: 40 lb"
    plan = plan_of(notes(trees, *picks, place=WARM), as_of=date(2027, 9, 20))
    assert plan.store.unknowns
    store = site(plan)["store.html"]
    assert "first time round" in store
    assert "second time round" in store
    answered = notes(trees, *picks, "2027-09-18,1,,,used up,,", place=WARM)
    assert "time round" not in site(plan_of(answered, as_of=date(2027, 9, 20)))["store.html"]


def test_the_store_lists_all_that_is_asked_after(plan_of: Callable[..., Plan]) -> None:
    """Plums would be past their day by now, had they been picked in time: they stand beside the pears all the same."""
    trees = "S: Stanley; crop: 40 lb | B: Bartlett; crop: 60 lb | T: Brown Turkey"
    plan = plan_of(notes(trees, place=WARM), as_of=date(2027, 9, 25))
    view = Stores(PageContext(plan, Paths(plan), "", set())).store()
    over = [one.bearing for one in plan.asked if one.is_past]
    assert [(one.tree, one.crop) for one in over] == [("S", ""), ("B", ""), ("T", "breba")]
    assert {line.tree.text for line in view.unsure} == {"S", "B", "T"}


def test_what_is_still_to_be_picked_is_planned_beside_what_is_asked_after() -> None:
    """Nobody noted the first figs of the main crop; those of next week wait for no answer."""
    plan = build.plan_of(EXAMPLE, 2027, date(2027, 9, 25))
    view = Stores(PageContext(plan, Paths(plan), "", set())).store()
    asked = [line for line in view.unsure if line.tree.text == "T-01"]
    assert asked
    assert not [line for line in view.unsure if not line.overdue]
    assert [line for line in (*view.soon, *view.later) if line.tree.text == "T-01"]


def test_a_pick_that_names_no_limb_is_parted_and_asked_about(
    plan_of: Callable[..., Plan], holding_of: Callable[..., Holding]
) -> None:
    """What was weighed once stands once, in equal parts of the limbs that stand, and check asks which it was."""
    lines = ("2027-07-04,F,Bosc,,removed,,split", "2027-08-25,F,,,pick,18 lb,")
    files = notes("F: Bartlett / Bosc / Anjou; crop: 20 lb | 2: Jonathan; crop: 40 lb", *lines)
    plan = plan_of(files, as_of=date(2027, 9, 2))
    weights = [batch.weight.middle for batch in batches(plan, "F") if batch.picked_noted and batch.weight]
    assert len(weights) == 2
    assert weights[0] == weights[1]
    assert abs(float(sum(weights)) - 18 * 0.45359237) < 1e-6
    asked = [one.message for one in doubts_of(holding_of(files), date(2027, 9, 2))]
    assert "tree F has several limbs, and the line does not say which was picked" in asked


def test_a_pick_of_a_tree_with_a_private_limb_tells_everybody_nothing(plan_of: Callable[..., Plan]) -> None:
    """It may be of the private limb: neither its weight nor its day stands on the site for everybody."""
    kind = {"cultivars/hidden-pear.md": "---\nname: Hidden pear\nfruit: european-pear\nprivate: yes\n---\n"}
    trees = "F: Bartlett / Hidden pear; crop: 20 lb | 2: Jonathan; crop: 40 lb"
    unsaid = notes(trees, "2027-08-25,F,,,pick,17 lb,", **kind)
    opened = plan_for(plan_of(unsaid, as_of=date(2027, 9, 2)), STRANGERS)
    assert not [record for record in opened.holding.records if record.tree == "F"]
    said = notes(trees, "2027-08-25,F,Bartlett,,pick,17 lb,", **kind)
    opened = plan_for(plan_of(said, as_of=date(2027, 9, 2)), STRANGERS)
    assert [record for record in opened.holding.records if record.tree == "F"]


def test_a_line_for_a_range_is_of_the_trees_that_stand(holding_of: Callable[..., Holding]) -> None:
    """It revives no removed tree, and what it weighs is the others'."""
    trees = "A: Bartlett; walk: 1 | B: Bartlett; walk: 2 | C: Bosc; walk: 3"
    files = notes(trees, "2027-03-01,B,,,removed,,", '2027-08-25,A..C,,,pick,"40 lb",')
    found = [one for one in holding_of(files).records if one.what.value == "pick"]
    assert [(one.tree, round(float(one.parts[0].low) / 0.45359237, 6)) for one in found] == [("A", 20), ("C", 20)]


@pytest.mark.parametrize("again", ["2027-04-02,B,,,note,,planted anew", "planted"])
def test_a_line_for_a_range_is_of_a_tree_planted_again_too(holding_of: Callable[..., Holding], again: str) -> None:
    """A line that names it, or the year in its note, says that another stands there."""
    planted = "; planted: 2027" if again == "planted" else ""
    files = notes(
        f"A: Bartlett; walk: 1 | B: Bartlett; walk: 2{planted} | C: Bosc; walk: 3",
        "2027-03-01,B,,,removed,,",
        *([] if planted else [again]),
        '2027-08-25,A..C,,,pick,"45 lb",',
    )
    found = [one.tree for one in holding_of(files).records if one.what.value == "pick"]
    assert found == ["A", "B", "C"]


def test_a_list_in_the_place_of_a_photo_is_told_with_its_line(holding_of: Callable[..., Holding]) -> None:
    """It was passed over without a word, and its photo was missing."""
    files = notes("A: Bartlett; photos:\n- [a.jpg, b.jpg]")
    with pytest.raises(FaultyNotes, match=r"trees/0\.md:5.*a list stands here"):
        holding_of(files)


def test_a_heading_that_begins_as_a_comment_is_kept(holding_of: Callable[..., Holding]) -> None:
    """The answer to what `# tree` means is read back, and not passed over as a comment."""
    words = words_of(holding_of(notes("A: Bartlett")))
    problems = Problems()
    line = kept_line(TableQuestion(asked=Asked.HEADING, subject="# Baum"), "tree")
    assert dict(parse_headings(f"# a comment\n{line}\n", words, problems).columns) == {"baum": "tree"}
    assert problems.problems == ()


def test_the_since_page_compares_the_season_and_not_the_kitchens_plan(plan_of: Callable[..., Plan]) -> None:
    """Fruit that all goes to a wanted day is ready on a day that people chose, which is no news of the season."""
    free = notes("A: Anjou; crop: 20 lb | B: Bosc; crop: 40 lb", "2027-09-20,A,,,pick,20 lb,")
    wanted = f"{CELLAR}\nwanted:\n- {{cultivar: Anjou, on: 2027-12-24, amount: 40 lb}}"
    claimed = {
        **free,
        **notes("A: Anjou; crop: 20 lb | B: Bosc; crop: 40 lb", "2027-09-20,A,,,pick,20 lb,", place=wanted),
    }
    lots = plan_of(free, as_of=date(2027, 10, 1)).lots
    bearing = next(one for one in lots if one.tree == "A")
    assert _ready(lots, bearing) is not None
    assert _ready(plan_of(claimed, as_of=date(2027, 10, 1)).lots, bearing) is None


def test_rounds_of_picking_stand_from_the_likely_day_and_not_for_ten_weeks(plan_of: Callable[..., Plan]) -> None:
    """How early or late figs may come is no length of their harvest."""
    plan = plan_of(notes("T: Brown Turkey | V: Hachiya; crop: 40 lb"), as_of=date(2027, 6, 1))
    rounds = [entry for entry in plan.calendar.entries if entry.task.key == "pick-figs"]
    assert rounds
    for entry in rounds:
        likely = [plan.lots[bearing].pickings[0].day.likely for bearing in entry.bearings]
        assert entry.days[0] == min(likely)
        assert entry.span.last <= max(likely) + timedelta(days=21)


def test_a_day_is_called_by_one_name_on_pages_and_by_the_command_line(example_plan: Plan) -> None:
    """Two kinds of last day alone, to pick and to use; what leaves the cold last is a job, as its task says."""
    tongue = example_plan.holding.place.tongue
    tasks = {task.key: task.name for task in example_plan.holding.tasks}
    for stage, key in ((Stage.KEEP_UNTIL, "keep-until"), (Stage.USE_BY, "use-by")):
        assert said(StageOf(stage=stage, of=None), tongue).capitalize() == tasks[key]
    for name, page in site(example_plan).items():
        assert "ast day in the cold" not in page, name
