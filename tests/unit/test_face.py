"""What the pages' faces rest on: hazards, amounts, questions, strips, crates and years say what the plan says."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

import pytest

from firmripe.harvest.lots import loads_of, room_loads_of
from firmripe.harvest.spaces import share_of
from firmripe.holding.fruit import Event
from firmripe.holding.reader import reader_of
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.publish.audience import plan_for
from firmripe.publish.hazards import hazards_of, together
from firmripe.publish.job_amounts import weight_of
from firmripe.publish.pages import tests as of_tests
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.crates import WEEKS, crates_of
from firmripe.publish.pages.crop_strip import LEFT, RIGHT, firmness_of, strip_of
from firmripe.publish.pages.frame import site_view
from firmripe.publish.pages.front import front_page
from firmripe.publish.pages.jobs import task_page
from firmripe.publish.pages.people import people_page
from firmripe.publish.pages.plain_reasons import LEAST_D, next_date, plain_why
from firmripe.publish.pages.store import Stores
from firmripe.publish.pages.trees import Orchard
from firmripe.publish.pages.years_of_crop import years_of
from firmripe.publish.paths import Paths
from firmripe.publish.signs import drawing_of
from firmripe.season.estimate import Estimate
from firmripe.tongue import IN_ENGLISH, Tongue
from firmripe.wording import words_of
from firmripe.wording.clashes import clash_words
from firmripe.wording.holding import weight_words

TREE = {"trees/1-01.md": "---\ncultivar: Bartlett\nwhere: by the gate\n---\n"}
PLACE = {"place.md": "---\nname: Home\nzone: 6b\nzone map: 2023\nlatitude: 42 N\nelevation: 600 ft\n---\n"}
HEAD = "date,tree,cultivar,crop,what,amount,note\n"
YEARS = "2025-05-10,1-01,,,full bloom,,\n2025-08-30,1-01,,,first pick,10 lb,\n2025-09-03,1-01,,,last pick,20 lb,\n"


def front_of(plan: Plan) -> object:
    """Return the first page of a plan."""
    return front_page(viewing_of(plan))


def viewing_of(plan: Plan) -> PageContext:
    """Return the maker of views for pages at the top of the site."""
    return PageContext(plan, Paths(plan), "", set())


# Home


def test_home_holds_the_same_days_as_the_list_of_eight(example_plan: Plan) -> None:
    """Today, tomorrow and the folded days are the days of the stretch, each with all its jobs."""
    front = front_page(viewing_of(example_plan))
    days = [front.today, front.tomorrow, *(folded.day for folded in front.later)]

    assert [(day.iso, day.items) for day in days if day.items] == [(day.iso, day.items) for day in front.soon.days]
    for folded in front.later:
        assert folded.chief.startswith(folded.day.items[0].task.text)
        assert folded.more == len(folded.day.items) - 1


def test_every_first_caution_of_a_job_is_told_on_its_day(example_plan: Plan) -> None:
    """What a job says first of a kind stands above its day, or above today where that is said to hold again."""
    front = front_page(viewing_of(example_plan))
    today = {text for hazard in front.today.hazards for text in hazard.texts}
    for day, told in (
        (front.today, today),
        (front.tomorrow, today | {text for hazard in front.tomorrow.hazards for text in hazard.texts}),
        *((folded.day, today | {text for h in folded.day.hazards for text in h.texts}) for folded in front.later),
    ):
        assert {hazard.texts[0] for item in day.items for hazard in item.hazards} <= told, day.iso
    assert {hazard.texts[0] for ask in front.asks for hazard in ask.hazards} <= today


def test_the_heaviest_job_comes_first(example_plan: Plan) -> None:
    """On each day picking and canning stand before what comes round again."""
    order = {"Pick": 0, "Pick by": 0, "Can what is ready": 0}
    for day in front_page(viewing_of(example_plan)).soon.days:
        heavy = [order.get(item.task.text, 1) for item in day.items]
        assert heavy == sorted(heavy), day.iso


def test_a_jobs_page_begins_with_the_days_to_come(example_plan: Plan) -> None:
    """Days gone by stand behind them, and both together are all days of the job's entries."""
    context = viewing_of(example_plan)
    today, parted = example_plan.season.as_of, 0
    for key, entries in context.entries_of_task.items():
        page = task_page(context, entries[0].task)
        days = sorted({day for entry in entries for day in entry.days})
        assert [block.iso for block in page.days] == [day.isoformat() for day in days if day >= today], key
        assert [block.iso for block in page.gone] == [day.isoformat() for day in days if day < today], key
        parted += bool(page.days and page.gone)
    assert parted > 5


def test_a_picking_that_goes_on_daily_gives_way_to_those_that_begin(example_plan: Plan) -> None:
    """On its first day it is as heavy as any; for a month after it does not stand before what begins."""
    (daily,) = (entry for entry in example_plan.calendar.entries if entry.task.key == "pick-figs" and entry.every)
    pick = next(entry for entry in example_plan.calendar.entries if entry.task.key == "pick")

    assert weight_of(daily, daily.days[0]) == weight_of(pick, pick.days[0]) == 0
    assert all(weight_of(daily, day) > weight_of(pick, day) for day in daily.days[1:])


def test_a_pick_that_is_due_is_asked_after_until_it_is_noted(plan_of: Callable[..., Plan]) -> None:
    """Between the likely and the last day of a pick that nobody noted; its line says what was picked."""
    notes = {**TREE, **PLACE, "records/2026.csv": HEAD}
    pick = plan_of(notes, as_of=date(2027, 7, 1)).season
    dated = pick.of(pick.bearings[0], Event.PICK)
    assert isinstance(dated, Estimate)
    due = dated.likely + timedelta(days=1)

    (ask,) = front_page(viewing_of(plan_of(notes, as_of=due))).asks
    assert ask.tree.text == "1-01"
    assert ask.note is not None
    assert ",1-01," in ask.note.line
    assert "first pick" in ask.note.line
    assert front_page(viewing_of(plan_of(notes, as_of=dated.likely - timedelta(days=3)))).asks == ()
    noted = {**notes, "records/2027.csv": f"{HEAD}{dated.likely.isoformat()},1-01,,,first pick,40 lb,\n"}
    assert front_page(viewing_of(plan_of(noted, as_of=due))).asks == ()


def test_hazards_of_several_jobs_are_told_once(example_plan: Plan) -> None:
    """Each kind once and each text once, and all that a job says stays with the job."""
    tasks = [task for task in example_plan.holding.tasks if task.cautions]
    every = [hazards_of(IN_ENGLISH, task.cautions) for task in tasks]
    told = together(IN_ENGLISH, (hazard for hazards in every for hazard in hazards))

    assert len({hazard.key for hazard in told}) == len(told)
    assert all(len(set(hazard.texts)) == len(hazard.texts) for hazard in told)
    for task, hazards in zip(tasks, every, strict=True):
        assert sum(len(hazard.texts) for hazard in hazards) == len({figure.text for figure in task.cautions}), task.key


def test_a_site_for_one_person_begins_with_their_jobs(example_plan: Plan) -> None:
    """Its script is told whose jobs to show until somebody chooses; the household's site shows all."""
    own = plan_for(example_plan, reader_of(example_plan.holding.place, "Maud"))

    assert site_view(viewing_of(own), "index.html").preset == "Maud"
    assert site_view(viewing_of(example_plan), "index.html").preset == ""


@pytest.mark.parametrize(
    ("path", "current"),
    [("index.html", "Today"), ("trees/1-01.html", "Trees"), ("weeks/2027-08-23.html", "The year"), ("people.html", "")],
)
def test_the_way_through_the_site_marks_where_one_is(example_plan: Plan, path: str, current: str) -> None:
    """The page itself, or the one it belongs to; nothing where none is."""
    site = site_view(viewing_of(example_plan), path)
    marked = [way for way in (*site.nav, *site.about) if way.current]

    assert [way.text for way in marked] == ([current] if current else [])
    assert all(way.current == ("page" if path == "index.html" else "true") for way in marked)


# The orchard


def test_the_orchard_has_each_tree_once_and_marks_what_is_to_be_picked(example_plan: Plan) -> None:
    """In walking order, part by part; fruit is drawn where a pick is due within a week and not noted."""
    viewing = viewing_of(example_plan)
    page = Orchard(viewing, viewing).trees()
    marks = [mark for part in page.parts for mark in part.trees]
    season, soon = example_plan.season, example_plan.season.as_of + timedelta(days=7)

    assert [mark.tree.text for mark in marks] == [tree.tag for tree in example_plan.holding.trees]
    for mark in marks:
        picks = [season.of(b, Event.PICK) for b in season.bearings if b.tree == mark.tree.text]
        lots = [lot for bearing, lot in example_plan.lots.items() if bearing.tree == mark.tree.text]
        next_ones = [[one for one in lot.pickings if not one.noted][:1] for lot in lots]
        begun = any(lot.pickings[0].noted and left for lot, left in zip(lots, next_ones, strict=True))
        due = begun or any(one.due <= soon for left in next_ones for one in left)
        assert (mark.state == "now") is due, mark
        assert set(mark.clashes) == {
            clash_words(IN_ENGLISH, pick) for pick in picks if isinstance(pick, Estimate) and pick.clash
        }
    assert {mark.state for mark in marks} == {"now", "look", "later", "picked", "none"}


# The tree


def test_the_strip_lies_in_order_and_says_its_days(example_plan: Plan) -> None:
    """Marks stand in the order of their days, inside the scale, and the words are the plan's own days."""
    seen = 0
    for bearing in example_plan.season.bearings:
        lot, pick = example_plan.lots.get(bearing), example_plan.season.of(bearing, Event.PICK)
        strip = strip_of(example_plan, bearing, lot)
        if not isinstance(pick, Estimate):
            assert strip is None
            continue
        assert strip is not None
        assert LEFT <= strip.pick_first <= strip.pick <= strip.pick_last <= RIGHT
        assert all(bar.x >= LEFT and bar.x + bar.width <= RIGHT + 5 for bar in strip.bars)
        assert all(a.x <= b.x for a, b in pairwise(strip.bars))
        days = {step.key: step.iso for step in strip.steps}
        assert days["pick"] == pick.likely.isoformat()
        for key, stage in (("eat", Stage.READY), ("end", Stage.USE_BY)):
            if lot and stage in lot.days:
                assert days[key] == lot.days[stage].likely.isoformat()
        seen += 1
    assert seen > 15


def test_firmness_stands_where_its_readings_say(plan_of: Callable[..., Plan]) -> None:
    """Bartlett is picked at 19-17 lbf here and there; above the band, in it and below it are told apart."""
    said = []
    for value in ("25 lbf", "18.5 lbf", "12 lbf"):
        records = {
            "records/2027.csv": f"{HEAD}2027-08-13,1-01,,,firmness,26 lbf,\n2027-08-20,1-01,,,firmness,{value},\n"
        }
        plan = plan_of({**TREE, **PLACE, **records}, as_of=date(2027, 8, 21))
        drawing = firmness_of(plan, plan.season.bearings[0], plan.holding.records)
        assert drawing is not None
        first, last = drawing.readings
        assert first.x < last.x < drawing.today
        assert first.y < last.y
        inside = drawing.band <= last.y <= drawing.band + drawing.band_height
        said.append((drawing.words.partition(":")[0], inside))

    assert said == [
        ("Still harder than the picking band", False),
        ("In the picking band", True),
        ("Softer than the picking band", False),
    ]


@pytest.mark.parametrize("then", ["pick,20 lb", "last pick,20 lb", "lost,"])
def test_firmness_is_no_question_once_nothing_hangs(plan_of: Callable[..., Plan], then: str) -> None:
    """Soft fruit is to be picked now as long as some may hang; who has noted that none does is not told to pick."""
    soft = f"{HEAD}2027-08-20,1-01,,,firmness,12 lbf,\n"
    for rows, is_drawn in ((soft, True), (f"{soft}2027-08-20,1-01,,,{then},\n", False)):
        plan = plan_of({**TREE, **PLACE, "records/2027.csv": rows}, as_of=date(2027, 8, 21))
        drawing = firmness_of(plan, Bearing("1-01", "bartlett"), plan.holding.records)
        assert (drawing is not None) is is_drawn


def test_each_crop_has_its_own_firmness(plan_of: Callable[..., Plan]) -> None:
    """A reading of the early crop says nothing of the late one."""
    anna = "---\ncrops: [early, late]\ndays from bloom: 100 days\nfirmness at pick: 14-16 lbf\n---\n"
    rows = "2027-05-10,1-01,,late,firmness,20 lbf,\n2027-05-12,1-01,,early,firmness,12 lbf,\n"
    notes = {**PLACE, "trees/1-01.md": "---\ncultivar: anna\n---\n", "cultivars/anna.md": anna}
    plan = plan_of({**notes, "records/2027.csv": HEAD + rows}, as_of=date(2027, 5, 13))
    drawn = [firmness_of(plan, bearing, plan.holding.records) for bearing in plan.season.bearings]

    assert [[one.value for one in drawing.readings] for drawing in drawn if drawing] == [["12.0"], ["20.0"]]


def test_what_a_drawing_refers_to_stands_on_its_page(example_site: dict[str, bytes]) -> None:
    """A pattern, a shape or a clip that is not there draws nothing, and says so to nobody."""
    lacking = []
    for name, data in example_site.items():
        page = data.decode() if name.endswith(".html") else ""
        meant = {key for pair in re.findall(r'url\(#([^)]+)\)|<use href="#([^"]+)"', page) for key in pair if key}
        lacking += [f"{name}#{key}" for key in meant if f'id="{key}"' not in page]
    assert lacking == []


def test_each_test_is_drawn_on_the_fruit_that_it_is_of(example_plan: Plan) -> None:
    """A pear's seeds are drawn in a pear; of an apple on the ground there is no drawing of pears."""
    fruits = example_plan.holding.fruits
    apple, pear = ({drawing_of(sign) for sign in fruits[key].traits.signs} for key in ("apple", "european-pear"))
    assert {"level", "pear-ground", "pear-seeds", "fallen"} <= pear
    assert {"turn", "ground", "seeds"} <= apple
    assert not apple & {"level", "pear-ground", "pear-seeds", "fallen"}
    assert not pear & {"turn", "ground", "seeds"}


def test_small_effects_are_not_worded(example_plan: Plan) -> None:
    """Each cause that is named moves the date by a day at least, and a noted pick needs no why."""
    worded = 0
    for bearing in example_plan.season.bearings:
        dated = example_plan.season.of(bearing, Event.PICK)
        said = " ".join(plain_why(IN_ENGLISH, dated))
        if not isinstance(dated, Estimate) or dated.is_past:
            assert said == ""
            continue
        small = [r for r in dated.reasons if r.days is not None and round(abs(r.days)) < LEAST_D]
        assert [
            words_of(reason.why, IN_ENGLISH) for reason in small if f"{words_of(reason.why, IN_ENGLISH)[1:]} (" in said
        ] == []
        worded += bool(said)
        coming = next_date(example_plan.season, bearing, example_plan.lots.get(bearing))
        assert coming is not None
        assert coming.iso == dated.likely.isoformat()
    assert worded > 10


def test_where_more_hangs_the_next_is_said_to_be_a_picking(plan_of: Callable[..., Plan]) -> None:
    """Nothing tells its day, so the test does; what lies in store already has its days there, and comes after it."""
    picked = "2027-08-28,1-01,,,first pick,20 lb,\n"
    for last, said in (("", "Pick again, by test"), ("2027-08-30,1-01,,,last pick,2 lb,\n", "")):
        plan = plan_of({**TREE, **PLACE, "records/r.csv": HEAD + picked + last}, as_of=date(2027, 8, 31))
        bearing = plan.season.bearings[0]
        coming = next_date(plan.season, bearing, plan.lots.get(bearing))
        assert coming is not None
        assert (coming.text == said) is bool(said)
        assert (coming.stamp == "more hangs") is bool(said)
        assert bool(coming.iso) is not bool(said)


def test_the_years_add_up_what_was_picked(plan_of: Callable[..., Plan]) -> None:
    """10 and 20 lb are 30 lb; a year with an unweighed picking has no sum; one year alone is no comparison."""
    first = {**TREE, **PLACE, "records/2025.csv": HEAD + YEARS}
    alone = plan_of(first, as_of=date(2027, 1, 1))
    assert years_of(alone, alone.season.bearings[0]) == ()
    more = "2026-05-05,1-01,,,full bloom,,\n2026-08-26,1-01,,,first pick,,\n"
    both = plan_of({**first, "records/2026.csv": HEAD + more}, as_of=date(2027, 6, 1))
    rows = years_of(both, both.season.bearings[0])

    assert [(row.year, row.weight) for row in rows] == [("2025", "30 lb"), ("2026", "")]
    assert rows[0].bloom_x is not None
    assert rows[1].bloom_x is not None
    assert rows[0].bloom_x > rows[1].bloom_x
    assert rows[0].picks[0] > rows[1].picks[0]


def test_no_day_of_a_bloom_is_written_over_that_of_a_pick(plan_of: Callable[..., Plan]) -> None:
    """In a year of late bloom and an early pick: half of each, 7 letters of 6 units, has room between them."""
    lines = "2025-05-10,1-01,,,full bloom,,\n2025-09-10,1-01,,,pick,,\n2026-05-28,1-01,,,full bloom,,\n"
    lines += "2026-08-20,1-01,,,pick,,\n"
    plan = plan_of({**TREE, **PLACE, "records/r.csv": HEAD + lines}, as_of=date(2027, 1, 1))
    rows = years_of(plan, plan.season.bearings[0])
    (late,) = (row for row in rows if row.year == "2026")

    assert late.bloom_x is not None
    assert late.picks[0] - late.bloom_x >= 7 * 6


def test_nobody_is_offered_to_note_the_pick_of_a_tree_that_is_too_young(plan_of: Callable[..., Plan]) -> None:
    """In bloom or not, no crop is looked for: what is noted of it is a note. One that bears is picked next."""
    bloom = {"records/r.csv": f"{HEAD}2027-05-04,1-01,,,full bloom,,\n"}
    for more, said in (
        ("bears from: 2031", "2027-06-01,1-01,note"),
        ("bears from: 2020", "2027-06-01,1-01,first pick,"),
    ):
        young = {"trees/1-01.md": f"---\ncultivar: Bartlett\n{more}\n---\n"}
        plan = plan_of({**young, **PLACE, **bloom}, as_of=date(2027, 6, 1))
        note = viewing_of(plan).noting.of_tree(plan.holding.trees[0])
        assert note is not None
        assert note.line == said


# Rooms and boxes


def test_crates_are_the_boxes_of_the_fullest_day(example_plan: Plan) -> None:
    """Counted anew, day by day, from what each batch puts into the space."""
    place, first = example_plan.holding.place, example_plan.season.as_of
    batches = [*example_plan.store.carried, *example_plan.store.batches]
    drawn = 0
    for space in place.spaces:
        crates = crates_of(space, batches, place, first)
        assert crates is not None
        assert space.capacity is not None
        loads = [load for b in batches for load in (*loads_of(b), *room_loads_of(b)) if load.space == space.name]
        for week, told in enumerate(crates.weeks):
            days = [first + timedelta(days=7 * week + at) for at in range(7)]
            parts = [(load, share_of(load, space, place) or Fraction(0)) for load in loads]
            most = max(sum((p for ld, p in parts if ld.first <= day <= ld.last), Fraction(0)) for day in days)
            boxes = float(most * space.capacity.low)
            assert math.ceil(boxes - 0.05) == int(told.count), (space.name, told.day)
            assert told.is_over == (int(told.count) > space.capacity.low)
            assert told.crates.count("z") + told.over.count("z") == int(told.count)
            drawn += int(told.count)
        assert len(crates.weeks) == WEEKS
        assert ", ".join(week.count for week in crates.weeks) in crates.words
    assert drawn > 20


@pytest.mark.parametrize(("picked", "count", "over"), [(25, 1, 0), (57, 3, 0), (62, 3, 0), (66, 3, 1)])
def test_half_a_box_that_fits_is_drawn(plan_of: Callable[..., Plan], picked: int, count: int, over: int) -> None:
    """Where two boxes and a half fit, a third that is begun lies there until it is more than half full.

    An eighth of what is picked goes to the table at once.
    """
    place = "---\nbox: 22 lb\nspaces: [{name: cellar, temperature: 38 F, holds: 2.5 boxes}]\n---\n"
    records = f"{HEAD}2027-10-02,1-01,,,pick,{picked} lb,\n2027-10-02,1-01,,,stored,,cellar\n"
    notes = {"trees/1-01.md": "---\ncultivar: Jonathan\n---\n", "place.md": place, "records/2027.csv": records}
    plan = plan_of(notes, as_of=date(2027, 10, 3))
    crates = crates_of(plan.holding.place.spaces[0], plan.store.batches, plan.holding.place, date(2027, 10, 3))

    assert crates is not None
    assert crates.full_text == "2.5 fit"
    week = crates.weeks[0]
    assert (week.count, week.is_over) == (str(count), bool(over))
    assert (week.crates.count("z"), week.over.count("z")) == (count - over, over)


@pytest.mark.parametrize(("amount", "is_known"), [("44 lb", True), ("", False)])
def test_fruit_that_nobody_weighed_is_no_empty_room(
    plan_of: Callable[..., Plan], amount: str, *, is_known: bool
) -> None:
    """Its boxes are in no count, and beside the others it is said that it lies there too."""
    place = "---\nbox: 22 lb\nspaces: [{name: cellar, temperature: 34 F, holds: 9 boxes}]\n---\n"
    rows = f"2027-09-12,A,,,pick,44 lb,\n2027-09-12,B,,,pick,{amount},\n"
    stored = "".join(f"2027-09-12,{tag},,,stored,,cellar\n" for tag in "AB")
    trees = {f"trees/{tag}.md": "---\ncultivar: anjou\n---\n" for tag in "AB"}
    day = date(2027, 9, 15)
    plan = plan_of({**trees, "place.md": place, "records/2027.csv": HEAD + rows + stored}, as_of=day)
    crates = crates_of(plan.holding.place.spaces[0], plan.store.batches, plan.holding.place, day)

    assert crates is not None
    assert crates.weeks[0].count == ("4" if is_known else "2")
    assert ("of which nobody knows how many boxes it fills" in crates.words) is not is_known


@pytest.mark.parametrize("which", ["soon", "later", "here"])
def test_each_box_is_as_far_as_its_days_say(example_plan: Plan, which: str) -> None:
    """What is to be picked within a week is at the pick, later fruit is looked at, and what is here was picked."""
    store = Stores(viewing_of(example_plan)).store()
    as_of = example_plan.season.as_of
    lines = getattr(store, which)

    assert lines
    for line in lines:
        days_on = (date.fromisoformat(line.picked_iso) - as_of).days
        expected = {"soon": days_on <= 7 and line.step == "pick", "later": days_on > 7 and line.step == "look"}
        assert expected.get(which, line.step in {"cold", "counter", "eat"}), line
        assert line.doing.endswith(".")


def test_a_job_says_how_much_is_expected(example_plan: Plan) -> None:
    """The first pickings of a day and what the pages of their trees expect are the same weights."""
    metric = example_plan.holding.place.metric_first
    checked = 0
    for day in front_page(viewing_of(example_plan)).soon.days:
        for item in day.items:
            if item.task.text != "Pick" or len(item.tags) != 1 or not item.amount:
                continue
            weights = {
                weight_words(Tongue(metric=metric), batch.weight)
                for bearing, lot in example_plan.lots.items()
                for batch in lot.batches
                if bearing.tree == item.tags[0].text and batch.weight and batch.picked.likely.isoformat() == day.iso
            }
            assert item.amount in weights
            checked += 1
    days = front_page(viewing_of(example_plan)).soon.days
    bought = [item.amount for day in days for item in day.items if "Buy" in item.task.text]
    assert checked or bought
    assert all("jars" in amount for amount in bought)


# People and tests


@pytest.mark.parametrize(
    ("written", "dialed"),
    [
        ("555 010 0199", "5550100199"),
        ("+1 (555) 010-0199", "+15550100199"),
        ("+44 (0)20 7946 0018", "+442079460018"),
        ("(0)20 7946 0018", "02079460018"),
    ],
)
def test_a_number_is_dialed_as_its_country_does(plan_of: Callable[..., Plan], written: str, dialed: str) -> None:
    """A zero in brackets is dialed within the country alone (common practice, from memory)."""
    person = f"{{name: Wren, does: [picking], phone: '{written}', email: 'wren%20x@garden.example'}}"
    (line,) = people_page(plan_of({**TREE, "place.md": f"---\npeople: [{person}]\n---\n"}).holding.place).people

    assert line.phone is not None
    assert (line.phone.text, line.phone.href) == (written, f"tel:{dialed}")
    assert line.email is not None
    assert line.email.href == "mailto:wren%2520x@garden.example"


def test_fruits_stand_in_the_order_of_their_names_in_any_language(plan_of: Callable[..., Plan]) -> None:
    """Accents and capitals don't count, as in every other list: no name goes behind Z for its first sign."""
    names = ("Zwetsche", "Élan", "eberesche", "Birne")
    fruits = {
        f"fruits/f{at}.md": f"---\nname: {name}\nsigns: [{{smell: of itself}}]\n---\n" for at, name in enumerate(names)
    }
    trees = {f"trees/{at}.md": f"---\nfruit: f{at}\n---\n" for at in range(len(names))}
    told = of_tests.tests_page(viewing_of(plan_of({**PLACE, **fruits, **trees}))).fruits

    assert [fruit.fruit.text for fruit in told] == ["Birne", "eberesche", "Élan", "Zwetsche"]


def test_the_line_of_a_job_that_only_looks_says_nothing_that_was_not_seen(plan_of: Callable[..., Plan]) -> None:
    """A sound fruit on the ground opens the pick: whoever sends that a tree was looked at has not seen one."""
    place = "---\nname: Home\nzone: 6b\nlatitude: 42 N\nlongitude: 74 W\nelevation: 300 m\n---\n"
    plan = plan_of({"place.md": place, "trees/A.md": "---\ncultivar: Bartlett\n---\n"}, as_of=date(2027, 7, 20))
    context = viewing_of(plan)
    lines = {
        key: note.line
        for key in ("start-checking", "pick-up-drops", "clear-windfalls")
        if (entries := context.entries_of_task.get(key)) and (note := context.noting.of_task(entries[0].task, entries))
    }

    assert {line.partition(",note,,")[0] for line in lines.values()} <= {"2027-07-20,A", "2027-07-20,"}
    assert lines.keys() >= {"start-checking", "pick-up-drops"}

    looking = {"neck-test", "turn-the-ripening-box", "watch-frost-in-bloom", "watch-second-drop"}
    for task in plan.holding.tasks:
        note = context.noting.of_task(task, ()) if task.key in looking else None
        looking -= {task.key} if note and ",note," in note.line else set()
    assert not looking
