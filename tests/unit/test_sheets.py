"""The sheets for paper say what the plan says, and their shape is that of the records."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from firmripe.holding.fruit import Event
from firmripe.plan import Plan
from firmripe.publish.pages import tests as of_tests
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.season_sheet import season_sheet
from firmripe.publish.pages.sheets import SLIDES_D, Sheets
from firmripe.publish.pages.store import Stores
from firmripe.publish.paths import Paths
from firmripe.publish.qr_codes import qr_code
from firmripe.publish.site import make_site
from firmripe.reading.records import COLUMNS
from firmripe.season.estimate import Estimate
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.words import short_day

TREE = {"trees/1-01.md": "---\ncultivar: Bartlett\nwhere: by the gate\n---\n"}
PLACE = "---\nname: Home\nzone: 6b\nzone map: 2023\nlatitude: 42 N\nelevation: 600 ft\n{more}---\n"


def sheets_of(plan: Plan) -> Sheets:
    """Return the sheets of a plan, for pages one folder below the top."""
    viewing = PageContext(plan, Paths(plan), "../", set())
    return Sheets(viewing, Stores(viewing))


def test_each_job_of_eight_days_stands_on_the_fridge_sheet(example_plan: Plan) -> None:
    """Saturday 28 August to Saturday 4 September 2027: nothing of the calendar is left out, nothing is made up."""
    told = {
        (day.iso, item.task.text, tag)
        for day in sheets_of(example_plan).fridge().days
        for item in day.items
        for tag in ([tag.text for tag in item.tags] or [""])
    }
    first, last = date(2027, 8, 28), date(2027, 9, 4)
    due = [(day, e) for e in example_plan.calendar.entries for day in e.days if first <= day <= last]

    assert {(iso, job) for iso, job, _ in told} == {(day.isoformat(), entry.task.name) for day, entry in due}
    picks = {(day.isoformat(), "Pick", entry.bearings[0].tree) for day, entry in due if entry.task.key == "pick"}
    assert {line for line in told if line[1] == "Pick"} == picks
    assert picks


def test_each_tree_has_a_square_of_its_own(example_plan: Plan) -> None:
    """A job for two trees has two squares; one for no tree has one."""
    page = make_site(example_plan, theme_folder())["sheets/fridge.html"].decode()
    sheet = sheets_of(example_plan).fridge()
    squares = len(sheet.asks) + sum(max(1, len(item.tags)) for day in sheet.days for item in day.items)

    assert page.count('class="square"') == squares > 40


def test_the_slide_table_moves_each_printed_day(plan_of: Callable[..., Plan]) -> None:
    """Each column is the printed day and so many days."""
    plan = plan_of({**TREE, "place.md": PLACE.format(more="")}, as_of=date(2027, 8, 1))
    pick = plan.season.of(plan.holding.trees[0].bearings[0], Event.PICK)
    assert isinstance(pick, Estimate)

    (line,) = sheets_of(plan).fridge().slides

    assert line.name == "Bartlett (1-01)"
    assert line.printed == short_day(IN_ENGLISH, pick.likely)
    assert line.shifted == tuple(short_day(IN_ENGLISH, pick.likely + timedelta(days=days)) for days in SLIDES_D)


@pytest.mark.parametrize("wait_d", [2, 21])
def test_no_early_season_moves_a_pick_before_its_label_allows(plan_of: Callable[..., Plan], wait_d: int) -> None:
    """The tables for an early season stop at the day from which a spray's label allows the pick."""
    sprayed = date(2027, 8, 18)
    notes = {
        **TREE,
        "place.md": PLACE.format(more=""),
        "records/2027.csv": f"date,tree,cultivar,crop,what,amount,note\n{sprayed},1-01,,,spray,{wait_d} days,\n",
    }
    plan = plan_of(notes, as_of=sprayed)
    pick = plan.season.of(plan.holding.trees[0].bearings[0], Event.PICK)
    assert isinstance(pick, Estimate)
    first = sprayed + timedelta(days=wait_d)
    (line,) = sheets_of(plan).fridge().slides
    on_one_side = season_sheet(plan)

    assert pick.likely - timedelta(days=max(map(abs, SLIDES_D))) < first
    assert line.shifted == tuple(
        short_day(IN_ENGLISH, max(first, pick.likely + timedelta(days=days))) for days in SLIDES_D
    )
    assert on_one_side is not None
    assert on_one_side.slides[0].shifted == (short_day(IN_ENGLISH, first),)


def test_cautions_of_the_jobs_stand_on_the_fridge_sheet(example_plan: Plan) -> None:
    """Each caution once, however many jobs share it."""
    told = [text for hazard in sheets_of(example_plan).fridge().hazards for text in hazard.texts]

    assert any("ladder" in caution for caution in told)
    assert len(told) == len(set(told))


def test_the_picking_card_goes_in_walking_order_and_shows_the_label(example_plan: Plan) -> None:
    """The Asian pear was sprayed: its label’s days are on the card, beside the day."""
    lines = sheets_of(example_plan).picking().lines
    walk = [tree.tag for tree in example_plan.holding.trees]

    tags = [line.tree for line in lines]
    assert tags == sorted(tags, key=walk.index)
    assert "label is the law" in next(line.clash for line in lines if line.tree == "2-02")
    assert all(line.signs for line in lines)


def test_what_was_picked_is_on_no_picking_card(plan_of: Callable[..., Plan]) -> None:
    """A noted pick is done; before it is noted the tree stands there."""
    notes = {**TREE, "place.md": PLACE.format(more="")}
    records = {"records/2027.csv": "date,tree,cultivar,crop,what,amount,note\n2027-08-16,1-01,,,pick,40 lb,\n"}

    assert [line.where for line in sheets_of(plan_of(notes, as_of=date(2027, 8, 17))).picking().lines] == [
        "by the gate"
    ]
    assert not sheets_of(plan_of({**notes, **records}, as_of=date(2027, 8, 17))).picking().lines


@pytest.mark.parametrize(("day", "hangs"), [(date(2027, 9, 20), True), (date(2027, 12, 20), False)])
def test_what_hangs_no_more_is_on_no_picking_card(plan_of: Callable[..., Plan], day: date, *, hangs: bool) -> None:
    """A pick that nobody noted is looked for three weeks beyond its last good day; no table moves its day then."""
    plan = plan_of({**TREE, "place.md": PLACE.format(more="")}, as_of=day)
    pick = plan.season.of(plan.holding.trees[0].bearings[0], Event.PICK)
    assert isinstance(pick, Estimate)
    assert pick.latest < day
    assert ((day - pick.latest).days <= 21) is hangs
    sheet = season_sheet(plan)

    assert bool(sheets_of(plan).picking().lines) is hangs
    assert sheet is not None
    assert (sheet.heads, sheet.slides) == ((), ())


@pytest.mark.parametrize(("more", "coded"), [("", False), ("site address: https://fruit.example/home/\n", True)])
def test_labels_carry_a_code_where_the_site_has_an_address(
    plan_of: Callable[..., Plan], more: str, *, coded: bool
) -> None:
    """A code that led nowhere would be worse than none."""
    plan = plan_of({**TREE, "place.md": PLACE.format(more=more)})
    sheet = sheets_of(plan).labels(plan.season.standing)

    assert sheet.coded is coded
    assert (sheet.labels[0].code, sheet.labels[0].side) == qr_code(
        "https://fruit.example/home/trees/1-01.html" if coded else ""
    )


def test_the_sheet_to_write_on_has_the_columns_of_the_records(example_plan: Plan) -> None:
    """What is written on paper goes into the table as it stands."""
    assert sheets_of(example_plan).record().columns == COLUMNS


def test_tags_tell_of_no_fruit_that_is_far_off(example_plan: Plan) -> None:
    """Two weeks ahead, and what lies in store."""
    batches = sheets_of(example_plan).tags().batches

    assert batches
    assert max(batch.picked_iso for batch in batches) <= "2027-09-11"


def test_the_picking_card_has_no_test_for_eating(plan_of: Callable[..., Plan]) -> None:
    """A pear that gives to the thumb on the tree hung too long (Penn State 2017): that sign is for the counter."""
    plan = plan_of({**TREE, "place.md": PLACE.format(more="")}, as_of=date(2027, 8, 20))
    (line,) = sheets_of(plan).picking().lines
    limb = plan.holding.limb(plan.holding.trees[0].bearings[0])

    assert [sign.text for sign in limb.traits.signs if sign.of_ripe]
    assert len(line.signs) == sum(not sign.of_ripe for sign in limb.traits.signs) > 1
    assert not [text for text in line.signs if "to eat" in text]


@pytest.mark.parametrize(
    ("fruit", "caution"),
    [
        ("fig", "The sap irritates skin: gloves and long sleeves."),
        ("pomegranate", "Cut away from yourself, wear gloves and eye protection"),
        ("apple", "Never stand on the top two steps"),
    ],
)
def test_what_can_hurt_at_the_pick_of_any_fruit_is_told_with_it(
    plan_of: Callable[..., Plan], fruit: str, caution: str
) -> None:
    """On the season's sheet, the picking card and beside the tests, whatever the job that picks it is called."""
    trees = {f"trees/{at}.md": f"---\nfruit: {fruit}\n---\n" for at in (1, 2)}
    place = PLACE.format(more="").replace("6b", "9b").replace("zone map: 2023\n", "").replace("42 N", "36 N")
    plan = plan_of({**trees, "place.md": place}, as_of=date(2027, 4, 1))
    sheet = season_sheet(plan)
    assert sheet is not None
    beside_the_tests = of_tests.tests_page(PageContext(plan, Paths(plan), "", set())).hazards

    for hazards in (sheet.hazards, beside_the_tests):
        assert [text for hazard in hazards for text in hazard.texts if text.startswith(caution)]
    ripe = plan_of({**trees, "place.md": place}, as_of=min(pick.likely for pick in plan.season.picks.values()))
    card = make_site(ripe, theme_folder())["sheets/picking.html"].decode()
    assert caution in card or (fruit == "apple" and "never on its top two steps" in card)
