"""One story of each crop: how far it is, what is asked for, what its pickings weigh, wherever it is told."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from conftest import ROOT
from one_tree import HARD, NOTES, PLACE, TREE, plan_of_notes, task
from season_notes import note, read, table

from firmripe.calendar.names import LaterPickings
from firmripe.days import Span
from firmripe.holding.fruit import Event, Traits
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan, make_plan
from firmripe.publish.feeds.merging import Merged
from firmripe.publish.feeds.wording import Words
from firmripe.publish.job_amounts import amount_words, pass_words
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.days import day_blocks, folded
from firmripe.publish.pages.front import front_page
from firmripe.publish.pages.store import Stores
from firmripe.publish.pages.tree import tree_page
from firmripe.publish.pages.trees import Orchard
from firmripe.publish.paths import Paths
from firmripe.publish.signs import pick_tests
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.season.estimate import Estimate
from firmripe.shipped import shelf_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.calendar import beside_job
from firmripe.wording.names import title_of

TWICE = {"cultivars/hardpear.md": HARD.replace("counter:", "passes: 2\npass interval: 6 days\ncounter:")}
CROP = {"trees/A.md": TREE.replace("cultivar:", "crop: 40 lb\ncultivar:")}
PICKING = task("when: pick", "until: latest pick", "reminder: yes", "who: picking")


def viewing(plan: Plan) -> PageContext:
    """Return the views of a plan's front page."""
    return PageContext(plan, Paths(plan), "", set())


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

    assert not [one for one in plan.calendar.undated if "leaf fall" in words_of(one.what, IN_ENGLISH)]


# While nobody knows whether it is picked

DUE = {
    "trees/A.md": note("cultivar: Hardpear", "crop: 40 lb"),
    "cultivars/hardpear.md": HARD.replace("fruit: pear", "fruit: pear\nwindows: [{pick: Sep 1, place: here}]"),
    "records/2027.csv": table("2027-04-20,A,full bloom,,"),
    "tasks/pick.md": note("name: Pick", "when: pick", "until: latest pick", "reminder: yes", "who: picking"),
    "tasks/cold.md": note("name: Into the cold", "topic: store", "when: pick", "reminder: yes"),
    "tasks/weigh.md": note("name: Weigh", "topic: store", "when: 1 day after pick"),
    "tasks/out.md": note("name: Out", "topic: store", "when: take out", "reminder: yes"),
    "tasks/necks.md": note("name: Necks", "topic: store", "when: 1 day after take out", "until: ready", "every: 1 day"),
    "tasks/prune.md": note("name: Prune", "each: fruit", "when: 1 week after latest pick"),
    "tasks/chest.md": note("name: Chest", "topic: kitchen", "each: place", "when: 2 days after ready"),
}
AFTER = {"Into the cold", "Weigh", "Out", "Necks", "Prune", "Chest"}


@pytest.mark.parametrize("noted", [True, False])
def test_no_job_after_the_pick_while_fruit_hangs(tmp_path: Path, noted: bool) -> None:  # noqa: FBT001
    """On every day of a season: what is done with picked fruit comes after the pick that was noted, or after today."""
    picked = date(2027, 9, 4)
    lines = ["2027-04-20,A,full bloom,,", *(["2027-09-04,A,pick,38 lb,"] if noted else [])]
    holding = read(tmp_path, {**NOTES, **DUE, "records/2027.csv": table(*lines)})
    for week in range(0, 364, 4):
        today = date(2027, 1, 1) + timedelta(days=week)
        plan = make_plan(holding, 2027, today)
        hangs = not noted or today < picked
        asked = [day for e in plan.calendar.entries if e.task.name in AFTER for day in e.days if day >= today]
        window = plan.season.of(Bearing("A", "hardpear"), Event.PICK)
        assert isinstance(window, Estimate)
        if hangs and window.likely < today:
            assert today not in asked, today
            (one,) = plan.asked
            assert one.is_past is (window.latest < today)
            assert not asked or not one.is_past, today
            waiting = {entry.task.name for entry in one.waiting}
            assert waiting == AFTER if one.is_past else waiting <= AFTER, today
        else:
            assert not plan.asked
        for batch in plan.lots[Bearing("A", "hardpear")].batches:
            assert not hangs or window.latest < today or batch.picked.likely >= today


def test_one_question_stands_first_with_what_waits_for_its_answer(tmp_path: Path) -> None:
    """Once the window has run past, the front page asks before anything else, and names the jobs that wait."""
    plan = plan_of_notes(tmp_path, DUE, as_of=date(2027, 10, 10))
    (ask,) = front_page(viewing(plan)).asks

    assert ask.title.startswith("Pick Hardpear, until ")
    assert ask.question == "Was it picked? Nothing is noted yet."
    assert ask.waits == "Waits for the answer: Into the cold, Out."
    assert not [question for _, question in front_page(viewing(plan)).questions if "picked" in question.text]


THREE = {
    **DUE,
    **{
        f"trees/{tag}.md": note("cultivar: Hardpear", "crop: 40 lb", f"pinned: [{{pick: 2027-09-{day:02}}}]")
        for tag, day in (("A", 1), ("B", 3), ("C", 3), ("D", 16))
    },
    "tasks/sort.md": note("name: Sort", "topic: store", "each: cultivar", "when: pick"),
    "tasks/try.md": note("name: Try", "topic: store", "each: fruit", "when: 2 days after pick"),
}
STANDS = {"cold", "weigh", "sort", "try", "out"}


def test_a_merged_job_stands_before_the_pick_of_none_of_its_trees(tmp_path: Path) -> None:
    """On every day, whichever of the trees are noted: of those asked about nothing stands beside the others."""
    lines = ["2027-09-03,C,pick,30 lb,", "2027-09-18,D,pick,30 lb,"]
    holding = read(tmp_path, {**NOTES, **THREE, "records/2027.csv": table(*lines)})
    for days in range(-4, 32):
        today = date(2027, 9, 1) + timedelta(days=days)
        plan = make_plan(holding, 2027, today)
        barred = {one.bearing for one in plan.asked}
        jobs = [e for e in plan.calendar.entries if e.task.key in STANDS]
        assert len({e.identity for e in jobs}) == len(jobs)
        for entry in jobs:
            picked = [plan.lots[bearing].batches[0].picked.likely for bearing in entry.bearings]
            assert entry.days[0] >= max(picked) or entry.days[-1] < today, (
                today,
                title_of(IN_ENGLISH, entry),
                entry.days,
            )
            assert not barred & {*entry.bearings} or barred >= {*entry.bearings}, (today, title_of(IN_ENGLISH, entry))


def test_what_is_done_before_the_first_pick_of_all_comes_no_second_time(tmp_path: Path) -> None:
    """Labels are written once: a pick that was noted does not put them off to the next tree's."""
    labels = {
        "tasks/labels.md": note("name: Labels", "topic: store", "each: place", "when: 1 week before earliest pick")
    }
    days = []
    for today, lines in ((date(2027, 8, 20), ()), (date(2027, 9, 2), ("2027-09-01,A,pick,30 lb,",))):
        notes = {**THREE, **labels, "records/2027.csv": table(*lines)}
        plan = plan_of_notes(tmp_path / str(today), notes, as_of=today)
        days += [entry.days for entry in plan.calendar.entries if entry.task.key == "labels"]

    assert days == [(date(2027, 8, 25),), (date(2027, 8, 25),)]


def test_a_round_that_is_made_for_others_waits_for_no_answer(tmp_path: Path) -> None:
    """The store is looked through for the one pear that came in; that the other may hang holds nothing up."""
    check = {"tasks/check.md": note("name: Check", "topic: store", "each: place", "when: 1 week after pick")}
    notes = {**THREE, **check, "records/2027.csv": table("2027-09-03,C,pick,30 lb,", "2027-09-03,C,stored,,cellar")}
    plan = plan_of_notes(tmp_path, notes, as_of=date(2027, 10, 10))
    (job,) = (e for e in plan.calendar.entries if e.task.key == "check")

    assert [bearing.tree for bearing in job.bearings] == ["C"]
    assert job.days == (date(2027, 9, 10),)
    assert {one.bearing.tree for one in plan.asked} == {"A", "B", "D"}
    assert not any(entry.task.key == "check" for one in plan.asked for entry in one.waiting)


def test_a_day_that_is_held_back_takes_its_picking_along(tmp_path: Path) -> None:
    """The first of three pickings is due: what stands later is still the second and the third."""
    thrice = {
        "cultivars/hardpear.md": DUE["cultivars/hardpear.md"].replace(
            "counter:", "passes: 3\npass interval: 4 days\ncounter:"
        )
    }
    plan = plan_of_notes(tmp_path, {**DUE, **thrice}, as_of=date(2027, 9, 2))
    (cold,) = (e for e in plan.calendar.entries if e.task.key == "cold")

    assert plan.asked
    assert [pass_words(IN_ENGLISH, cold, day) for day in cold.days if day > date(2027, 9, 2)] == [
        "second time round",
        "third time round",
    ]


def test_what_hangs_on_today_waits_with_it(tmp_path: Path) -> None:
    """Fruit that would be picked and ripe today, were it picked, has no weighing and no seals to check tomorrow."""
    ripe = {"cultivars/hardpear.md": DUE["cultivars/hardpear.md"].replace("counter: 5 days", "counter: 0 days")}
    seals = {"tasks/seals.md": note("name: Seals", "topic: kitchen", "when: 1 day after ready")}
    plan = plan_of_notes(tmp_path, {**DUE, **seals, **ripe}, as_of=date(2027, 9, 2))
    left = {e.task.name: e.days for e in plan.calendar.entries if e.days[-1] >= date(2027, 9, 2)}

    assert [(one.since, one.is_past) for one in plan.asked] == [(date(2027, 9, 1), False)]
    assert "Weigh" not in left
    assert all(day > date(2027, 9, 3) for name, days in left.items() if name in {"Seals", "Out"} for day in days)


def test_what_can_still_be_picked_is_asked_first_and_never_folded_away(tmp_path: Path) -> None:
    """Of five trees that nobody noted three may hang in time: they stand open as one question, before the others."""
    over = {"A": 3, "E": 4}
    trees = {f"trees/{tag}.md": note("cultivar: Hardpear") for tag in "BCD"} | {
        f"trees/{tag}.md": note("cultivar: Hardpear", f"pinned: [{{pick: 2027-08-{day:02}}}]")
        for tag, day in over.items()
    }
    plan = plan_of_notes(tmp_path, {**DUE, **trees, "records/2027.csv": ""}, as_of=date(2027, 9, 2))
    asks = front_page(viewing(plan)).asks
    page = make_site(plan, ROOT / "themes" / "box-tag")["index.html"]
    text = page if isinstance(page, str) else page.decode()
    folded = text[text.index('class="fold asks"') :]

    assert [("".join((ask.tree.text, *(tree.text for tree, _note in ask.more))), ask.open) for ask in asks] == [
        ("BCD", True),
        ("E", False),
        ("A", False),
    ]
    assert "1 more question:" in folded
    assert all(ask.title not in folded for ask in asks if ask.open)
    lines = [note.line for ask in asks for note in (ask.note, *(note for _tree, note in ask.more)) if note]
    assert [line.split(",")[1] for line in lines] == [*"BCDEA"]
    assert all(line in text for line in lines)


def test_last_seasons_fruit_is_asked_after_behind_what_can_still_be_picked(tmp_path: Path) -> None:
    """Early in January pears of December are over, and none of this season's, which may hang, is folded away."""
    trees = {
        "trees/A.md": note("cultivar: Hardpear", "pinned: [{pick: 2026-12-05}]"),
        "trees/B.md": note("cultivar: Hardpear", "kept by: Ann"),
        "cultivars/hardpear.md": DUE["cultivars/hardpear.md"].replace("pick: Sep 1", "pick: Jan 5"),
        "records/2026.csv": table("2026-04-20,A,full bloom,,"),
        "records/2027.csv": "",
    }
    plan = plan_of_notes(tmp_path, {**DUE, **trees}, as_of=date(2027, 1, 8))
    front = front_page(viewing(plan))

    assert [(one.bearing.tree, one.season) for one in plan.asked] == [("A", 2027), ("B", 2027), ("A", 2026)]
    assert [ask.open for ask in front.asks[: front.shown]] == [True] * sum(ask.open for ask in front.asks)


@pytest.mark.parametrize(("day", "told"), [("2027-08-20", True), ("2027-09-20", False)])
def test_no_way_to_have_it_ripe_sooner_ends_in_the_past(tmp_path: Path, day: str, *, told: bool) -> None:
    """Counted from the day it was to be picked, ripe apples would have had it ripe long ago: nobody is told how."""
    apples = {"fruits/pear.md": note("name: Pear", "ripens off the tree: yes", "ripe apple: 1-3 days")}
    plan = plan_of_notes(tmp_path, {**DUE, **apples}, as_of=date.fromisoformat(day))
    (limb,) = tree_page(viewing(plan), plan.holding.trees[0]).limbs

    assert bool(limb.alternatives) is told


def test_what_is_long_overdue_comes_in_no_week(tmp_path: Path) -> None:
    """Past its last good day nothing is on its way into the store: that it was picked nobody noted."""
    plan = plan_of_notes(tmp_path, DUE, as_of=date(2027, 9, 20))
    store = Stores(viewing(plan)).store()

    assert [line.tree.text for line in store.unsure] == ["A"]
    assert not store.soon
    assert not store.later


@pytest.mark.parametrize(("line", "told"), [("first pick", True), ("pick", False), ("last pick", False)])
def test_what_hangs_after_a_first_pick_is_told_of(tmp_path: Path, line: str, told: bool) -> None:  # noqa: FBT001
    """Nothing tells when it is gone over again; that more hangs stands on the first page until the last is noted."""
    notes = {**DUE, "records/2027.csv": table(f"2027-09-01,A,{line},20 lb,")}
    plan = plan_of_notes(tmp_path, notes, as_of=date(2027, 9, 4))

    assert (
        any(words_of(item.what, IN_ENGLISH) == "Later pickings of Hardpear" for item in plan.calendar.undated) is told
    )


# Every picking is a job


def test_each_picking_has_a_job_with_its_own_weight(tmp_path: Path) -> None:
    """Two passes are two jobs, told apart on page and in the calendar; the last day to pick follows the second."""
    by = {"tasks/by.md": note("name: Pick by", "when: latest pick", "reminder: yes")}
    plan = plan_of_notes(tmp_path, {**DUE, **TWICE, **by, "trees/A.md": CROP["trees/A.md"]}, as_of=date(2027, 8, 20))
    first, second = (e for e in plan.calendar.entries if e.task.name == "Pick")
    (last,) = (e for e in plan.calendar.entries if e.task.name == "Pick by")

    assert [first.span.first, second.span.first] == [date(2027, 9, 1), date(2027, 9, 7)]
    assert first.identity != second.identity
    assert last.span.first == date(2027, 9, 7)
    assert [amount_words(plan, [entry]) for entry in (first, second)] == ["20 lb", "20 lb"]
    assert [pass_words(IN_ENGLISH, entry) for entry in (first, second)] == ["first time round", "second time round"]
    assert [e.span.first for e in plan.calendar.entries if e.task.name == "Weigh"] == [
        date(2027, 9, 2),
        date(2027, 9, 8),
    ]


def test_a_first_picking_that_was_noted_leaves_the_second_to_do(tmp_path: Path) -> None:
    """It weighs what was left, and nobody is told that the tree is picked."""
    records = {"records/2027.csv": table("2027-09-01,A,first pick,28 lb,")}
    plan = plan_of_notes(tmp_path, {**DUE, **TWICE, **CROP, **records}, as_of=date(2027, 9, 4))
    first, second = (e for e in plan.calendar.entries if e.task.name == "Pick")
    context = viewing(plan)
    (mark,) = (tree for part in Orchard(context, context).trees().parts for tree in part.trees)

    assert (first.seen, second.seen) == (True, False)
    assert [amount_words(plan, [entry]) for entry in (first, second)] == ["28 lb", "12 lb"]
    assert (mark.state, mark.short) == ("now", "1 of 2 picked")
    assert mark.words == "Pick again Tue 7 Sep"


def test_trees_of_one_kind_that_differ_in_pickings_are_told_apart_once(tmp_path: Path) -> None:
    """The kind is named once, each tag with its picking, and no tag again behind them."""
    own = {
        "trees/A.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-01}]"),
        "trees/B.md": note("cultivar: Hardpear", 'picking days: "every 30 days, Sep 1 - Sep 20"'),
    }
    plan = plan_of_notes(tmp_path, {**DUE, **TWICE, **own}, as_of=date(2027, 8, 20))
    (block,) = day_blocks(viewing(plan), plan.calendar.entries, Span(first=date(2027, 9, 1), last=date(2027, 9, 1)))
    item = next(item for item in block.items if item.task.text == "Pick")

    assert item.what == "Hardpear (A first time round, B)"
    assert folded(IN_ENGLISH, block).chief == "Pick: Hardpear (A first time round, B)"


def test_a_tag_that_is_but_a_part_of_a_word_is_told_on_a_shut_day(plan_of: Callable[..., Plan]) -> None:
    """Tree B is not named by the B of Bartlett."""
    trees = {f"trees/{tag}.md": note("cultivar: bartlett", "crop: 40 lb") for tag in "BC"}
    trees["trees/B.md"] = note("cultivar: bartlett", 'picking days: "every 4 days, Aug 20 - Sep 30"')
    notes = {**trees, "place.md": note("name: Home", "zone: 7a", "latitude: 42 N", "elevation: 300 ft")}
    days = front_page(viewing(plan_of(notes, as_of=date(2027, 8, 24)))).later

    assert "Pick: Bartlett (third time round) (B)" in [day.chief for day in days]


def test_what_is_noted_is_no_job_any_more(tmp_path: Path) -> None:
    """Neither the picking nor its weighing stands on the first page, and the line to send is the next of its life."""
    weigh = {"tasks/weigh-the-pick.md": note("name: Weigh it", "topic: store", "when: 1 day after pick")}
    said = []
    for amount in ("", "38 lb"):
        records = {"records/2027.csv": table(f"2027-09-01,A,pick,{amount},")}
        plan = plan_of_notes(tmp_path / (amount or "none"), {**DUE, **weigh, **records}, as_of=date(2027, 9, 1))
        front = front_page(viewing(plan))
        said.append({item.task.text for block in (front.today, front.tomorrow) for item in block.items})
        line = tree_page(viewing(plan), plan.holding.trees[0]).note

        assert line is not None
        assert line.line == "2027-09-01,A,stored,"

    assert [jobs & {"Pick", "Weigh it", "Into the cold"} for jobs in said] == [
        {"Weigh it", "Into the cold"},
        {"Into the cold"},
    ]


OWN = {"trees/A.md": note("cultivar: Hardpear", 'picking days: "every 2 days, Sep 3 - Sep 21"', "crop: 40 lb")}


def test_own_days_of_picking_are_counted(tmp_path: Path) -> None:
    """From the first day to the last in their rhythm, as one job that comes back; each has a part of the crop."""
    plan = plan_of_notes(tmp_path, {**DUE, **OWN}, as_of=date(2027, 8, 20))
    (job,) = (e for e in plan.calendar.entries if e.task.name == "Pick")

    assert job.days == tuple(date(2027, 9, day) for day in range(3, 22, 2))
    assert str(job.every) == "every 2 days"
    assert amount_words(plan, [job], date(2027, 9, 5)) == "4 lb"
    assert pass_words(IN_ENGLISH, job, date(2027, 9, 5)) == "second time round"


def test_days_away_and_without_a_way_are_taken_out_of_them(tmp_path: Path) -> None:
    """The rhythm goes on as if they had been days of picking; who does not pick may be away."""
    place = PLACE.replace(
        "spaces:",
        "no access: [{on: [Sep 7], because: no bus}]\npeople: [{name: Ann, does: [picking], away: [Sep 11 - Sep 14]}, "
        "{name: Bo, does: [canning], away: [Sep 1 - Sep 30]}]\nspaces:",
    )
    plan = plan_of_notes(tmp_path, {**DUE, **OWN, "place.md": place}, as_of=date(2027, 8, 20))
    (job,) = (e for e in plan.calendar.entries if e.task.name == "Pick")

    assert [day.day for day in job.days] == [3, 5, 9, 15, 17, 19, 21]


def test_own_days_may_run_over_new_year(tmp_path: Path) -> None:
    """In the south they are days of the season's own summer."""
    place = note("name: Home", "latitude: 36 S", "zone: 9a")
    own = note("cultivar: Hardpear", 'picking days: "every 2 days, Dec 6 - Jan 21"')
    plan = plan_of_notes(tmp_path, {**DUE, "place.md": place, "trees/A.md": own}, as_of=date(2026, 11, 1))
    (job,) = (e for e in plan.calendar.entries if e.task.name == "Pick")

    assert (job.days[0], job.days[-1], len(job.days)) == (date(2026, 12, 6), date(2027, 1, 21), 24)


def test_a_lost_crop_asks_nothing(tmp_path: Path) -> None:
    """Birds took it: nothing is picked, nobody is asked, and the tree says so."""
    lost = {"records/2027.csv": table("2027-08-29,A,lost,,starlings")}
    plan = plan_of_notes(tmp_path, {**DUE, **lost}, as_of=date(2027, 9, 20))
    context = viewing(plan)
    (mark,) = (tree for part in Orchard(context, context).trees().parts for tree in part.trees)

    assert not plan.asked
    assert not plan.lots
    assert (mark.state, mark.short) == ("none", "lost")


# Each fruit in its own words

WORDS = {
    "fruits/plum.md": note(
        "name: Plum",
        "ripens off the tree: no",
        "signs: [{sight: Blue all over.}, {touch: Gives to a gentle thumb.}, {touch: Soft all round., when: ripe}]",
    ),
    "cultivars/blueplum.md": note("name: Blueplum", "fruit: plum"),
    "trees/B.md": note("cultivar: Blueplum", "pinned: [{pick: 2027-09-01}]", "crop: 12 lb"),
    "tasks/pick.md": note(
        "name: Pick",
        "when: pick",
        "until: latest pick",
        "reminder: yes",
        "who: picking",
        "look for: [{for: [pear], value: A pear parts.}, {for: [plum], value: A plum gives.}]",
        "cautions: [Keep off the top two steps of the ladder.]",
    ),
    "place.md": PLACE.replace("spaces:", "people: [{name: Ann, does: [picking]}]\nspaces:"),
}


def text_of(plan: Plan, *tags: str) -> str:
    """Return what a calendar says of picking some trees together."""
    entries = [e for e in plan.calendar.entries if e.task.name == "Pick" and e.bearings[0].tree in tags]
    return "\n".join(Words.of(plan).lines(Merged(entries=tuple(entries))))


def test_a_pick_tells_weight_test_who_where_to_and_what_hurts_in_one_line(tmp_path: Path) -> None:
    """The test is the fruit's own, what the hand feels before what needs eyes, and never that of eating it."""
    plan = plan_of_notes(tmp_path, {**WORDS, **CROP}, as_of=date(2027, 8, 20))

    assert text_of(plan, "B").startswith("12 lb. Test: Gives to a gentle thumb. Ann. Take care: ladder.")
    assert "to: cellar" in text_of(plan, "A")
    assert "Soft all round" not in text_of(plan, "B")


def test_words_meant_for_one_fruit_are_told_of_no_other(tmp_path: Path) -> None:
    """A calendar speaks of pears under pears alone; what two fruits share a day with says neither's words of both."""
    plan = plan_of_notes(tmp_path, {**WORDS, **CROP}, as_of=date(2027, 8, 20))

    assert "A pear parts." in text_of(plan, "A")
    assert "A plum gives." not in text_of(plan, "A")
    assert "A pear parts." not in text_of(plan, "A", "B")
    assert "A pear parts." not in text_of(plan, "B")


def test_tests_that_need_eyes_say_so_and_come_last(tmp_path: Path) -> None:
    """On the picking card as in the calendar; every fruit of the shelf has another way beside them."""
    plan = plan_of_notes(tmp_path, {**WORDS, **CROP}, as_of=date(2027, 8, 20))

    assert pick_tests(IN_ENGLISH, plan.holding.cultivars["blueplum"]) == (
        "Gives to a gentle thumb",
        "by eye: blue all over",
    )


def test_every_fruit_of_the_shelf_has_a_test_without_eyes(tmp_path: Path) -> None:
    """So has every cultivar that has tests of its own."""
    (tmp_path / "trees").mkdir()
    (tmp_path / "trees" / "A.md").write_text(note("cultivar: Bartlett"), encoding="utf-8")
    shelf = read_holding(tmp_path, shelf_folder())
    lacking = [key for key, limb in shelf.cultivars.items() if limb.traits.signs and not _by_hand(limb.traits)]

    assert not lacking


def _by_hand(traits: Traits) -> bool:
    return any(sign.sense != "sight" and not sign.of_ripe for sign in traits.signs)


def test_rounds_stand_instead_of_each_trees_picking_until_one_is_noted(tmp_path: Path) -> None:
    """Berries are gone over in rounds; after the first that was noted the next is counted from it, tree by tree."""
    rounds = note(
        "name: Rounds", "each: fruit", "when: earliest pick", "until: latest pick", "every: 2 days", "instead of: pick"
    )
    kind = DUE["cultivars/hardpear.md"].replace("counter:", "pass interval: 2 days\ncounter:")
    notes = {**DUE, "cultivars/hardpear.md": kind, "tasks/rounds.md": rounds}
    before = plan_of_notes(tmp_path / "a", notes, as_of=date(2027, 8, 20))
    records = {"records/2027.csv": table("2027-08-30,A,first pick,3 lb,")}
    after = plan_of_notes(tmp_path / "b", {**notes, **records}, as_of=date(2027, 8, 31))
    names = [
        {e.task.name for e in plan.calendar.entries if e.task.key in {"pick", "rounds"}} for plan in (before, after)
    ]

    assert names == [{"Rounds"}, {"Pick"}]
    assert [e.span.first for e in after.calendar.entries if e.task.key == "pick"] == [
        date(2027, 8, 30),
        date(2027, 9, 1),
    ]


# What is over is said no more

SPRAYED = table('2027-08-20,A,spray,"14 days, re-entry 48 hours",')
KIND_HERE = {
    "trees/A.md": note("cultivar: Hardpear"),
    "cultivars/hardpear.md": HARD.replace("fruit: pear", "fruit: pear\nwindows: [{pick: Sep 1, place: here}]"),
}


@pytest.mark.parametrize(("today", "told"), [(date(2027, 9, 2), True), (date(2027, 9, 3), False)])
def test_a_label_that_has_run_is_said_no_more(tmp_path: Path, today: date, told: bool) -> None:  # noqa: FBT001
    """Until the day on which picking is allowed again; the date it moved stays where it is."""
    plan = plan_of_notes(tmp_path, {**PICKING, **KIND_HERE, "records/2027.csv": SPRAYED}, as_of=today)
    pick = plan.season.of(Bearing("A", "hardpear"), Event.PICK)
    (job,) = (entry for entry in plan.calendar.entries if entry.task.key == "work")

    assert isinstance(pick, Estimate)
    assert pick.likely == date(2027, 9, 3)
    assert bool(pick.clash) is told
    assert ("Spray label" in beside_job(IN_ENGLISH, job)) is told


@pytest.mark.parametrize(("today", "told"), [(date(2027, 8, 21), True), (date(2027, 8, 24), False)])
def test_a_re_entry_time_that_is_over_is_said_no_more_of_a_job_that_goes_on(
    tmp_path: Path,
    today: date,
    told: bool,  # noqa: FBT001
) -> None:
    """A watch of weeks whose first day was closed goes on without a word of it once people may go in."""
    watch = {"tasks/watch.md": note("name: Watch the nights", "each: cultivar", "when: Aug 20", "until: Sep 20")}
    plan = plan_of_notes(tmp_path, {**watch, **KIND_HERE, "records/2027.csv": SPRAYED}, as_of=today)
    (job,) = (entry for entry in plan.calendar.entries if entry.task.key == "watch")

    assert ("Sprayed" in beside_job(IN_ENGLISH, job)) is told


def test_no_work_with_stored_fruit_comes_before_the_pick(tmp_path: Path) -> None:
    """What is counted back from ripe fruit begins with the pick where that is ripe at once."""
    kind = note("name: Hardpear", "fruit: pear", "windows: [{pick: Sep 1, place: here}]", "counter: 0 days")
    look = {"tasks/look.md": note("name: Look", "topic: store", "when: 2 days before ready", "until: ready")}
    plan = plan_of_notes(tmp_path, {**DUE, **look, "cultivars/hardpear.md": kind}, as_of=date(2027, 8, 20))
    (job,) = (entry for entry in plan.calendar.entries if entry.task.key == "look")

    assert job.days == (date(2027, 9, 1),)
    assert job.reach.earliest == plan.lots[Bearing("A", "hardpear")].days[Stage.PICK].earliest < job.reach.likely


def test_a_job_of_the_place_names_no_kind_where_one_tree_stands_there(tmp_path: Path) -> None:
    """Sweeping the store is no more for the one pear than it would be for two."""
    sweep = {"tasks/sweep.md": note("name: Sweep", "topic: store", "each: place", "when: 1 day before pick")}
    plan = plan_of_notes(tmp_path, {**DUE, **sweep}, as_of=date(2027, 8, 20))
    (block,) = day_blocks(viewing(plan), plan.calendar.entries, Span(first=date(2027, 8, 31), last=date(2027, 8, 31)))

    assert [(item.task.text, item.what) for item in block.items] == [("Sweep", "")]


# Pickings whose distance nobody tells


SEVERAL = {"cultivars/hardpear.md": HARD.replace("counter:", "passes: 2-4\ncounter:")}
SPACED = {"cultivars/hardpear.md": HARD.replace("counter:", "passes: 2-4\npass interval: 3 days\ncounter:")}


def lacking(plan: Plan) -> list[tuple[str, str]]:
    """Return what is said of later pickings, and what to write."""
    later = (one for one in plan.calendar.undated if isinstance(one.what, LaterPickings))
    return [(words_of(one.reason, IN_ENGLISH), words_of(one.remedy, IN_ENGLISH) if one.remedy else "") for one in later]


def test_several_pickings_without_days_between_ask_for_them(tmp_path: Path) -> None:
    """The first alone is planned, and it is said how many are usual and what to write to have the others."""
    plan = plan_of_notes(tmp_path, {**SEVERAL, **CROP}, as_of=date(2027, 8, 20))

    assert len(plan.lots[Bearing("A", "hardpear")].pickings) == 1
    ((reason, remedy),) = lacking(plan)
    assert reason == "3 pickings are usual, and nothing tells how many days apart: the first alone is planned"
    assert remedy == "add to cultivars/hardpear.md, in your own days: pass interval: 3-4 days"


@pytest.mark.parametrize(
    "told",
    [
        SPACED,
        {"records/2026.csv": table("2026-09-01,A,first pick,20 lb,", "2026-09-05,A,last pick,20 lb,")},
        {"records/2027.csv": table("2027-08-19,A,pick,20 lb,")},
        {"trees/A.md": note("cultivar: Hardpear", 'picking days: "every 2 days, Sep 1 - Sep 9"')},
    ],
)
def test_whoever_tells_how_pickings_lie_is_not_asked(tmp_path: Path, told: dict[str, str]) -> None:
    """A printed interval, own seasons, own days of picking and a pick of all of it each leave nothing to ask."""
    assert not lacking(plan_of_notes(tmp_path, {**SEVERAL, **told}, as_of=date(2027, 8, 20)))


@pytest.mark.parametrize("fruit", ["peach", "nectarine"])
def test_fruit_that_ripens_over_days_is_planned_in_several_pickings(tmp_path: Path, fruit: str) -> None:
    """By the shelf's own interval, three to five days, where the household has none: 2-4 pickings over 7-10 days."""
    for name, text in {
        "place.md": note("zone: 6b", "latitude: 42 N"),
        "trees/P.md": note("cultivar: Own", "flesh: yellow", "crop: 90 lb"),
        "cultivars/own.md": note("name: Own", f"fruit: {fruit}", "windows: [{pick: Aug 1, place: here}]"),
    }.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    plan = make_plan(read_holding(tmp_path, shelf_folder()), 2027, date(2027, 6, 1))
    days = [picking.due for picking in plan.lots[Bearing("P", "own")].pickings]

    assert [(later - days[0]).days for later in days] == [0, 4, 8]
    assert not lacking(plan)
