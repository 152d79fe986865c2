"""What leaves the store: by what was noted, and by one plan that all pages print."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from conftest import SHELF, write_notes
from kitchen_notes import POT, QUARTS, SATURDAYS, household
from one_tree import HARD, NOTES, plan_of_notes, task
from season_notes import note, table

from firmripe.calendar.names import OfWant
from firmripe.harvest.lots import Batch, Goes, loads_of, lying_parts, room_loads_of, undivided
from firmripe.harvest.own import runs
from firmripe.harvest.shares import goes_by_house
from firmripe.harvest.takeouts import BOWL_KG, LARGE_FRUIT_KG, NoTakeOut, TakeOut
from firmripe.holding.hands import hands_of
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import NOTHING, POUND, Weight, total
from firmripe.kitchen.plan.usable import held_cold_in
from firmripe.plan import Plan, make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.feeds.merging import Merged
from firmripe.publish.feeds.wording import Words
from firmripe.publish.job_amounts import amount_words
from firmripe.publish.pages.batches import batch_line, ripe_parts
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.harvest import Harvest, StoryMonth
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.publish.views import Link
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.names import title_of

A = Bearing("A", "hardpear")
PICKED = "2027-09-01,A,pick,30 lb,"
DAY = date(2027, 9, 20)


def plan(top: Path, *rows: str, as_of: date = DAY, notes: dict[str, str] | None = None) -> Plan:
    """Return the plan of a tree of which 30 lb were picked and put into the cellar on 1 September 2027."""
    merged = {**NOTES, "records/2027.csv": table(PICKED, "2027-09-02,A,stored,,cellar", *rows), **(notes or {})}
    return plan_of_notes(top, merged, as_of=as_of)


def batch(found: Plan) -> Batch:
    """Return the batch of the tree."""
    (only,) = found.lots[A].batches
    return only


def jobs(found: Plan) -> set[str]:
    """Return the stages of the store that a plan has jobs on, from its day on."""
    after = {Stage.CONDITIONED, Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL}
    return {stage.value for stage in after if stage in found.lots[A].days and stage not in found.lots[A].settled}


def pounds(weight: Weight | None) -> float:
    """Return the middle of a weight in pounds."""
    assert weight is not None
    return round(float(weight.middle / POUND), 1)


@pytest.mark.parametrize("what", ["lost", "shared", "sold", "used up"])
def test_what_is_noted_as_gone_leaves_the_store_with_its_jobs(tmp_path: Path, what: str) -> None:
    """30 lb were picked and 30 lb are gone: nothing lies there, and nothing is asked for it."""
    found = plan(tmp_path, f"2027-09-08,A,{what},30 lb,")

    assert batch(found).left(DAY) == NOTHING
    assert not found.store.batches
    assert jobs(found) == set()


def test_a_part_that_is_gone_leaves_the_rest(tmp_path: Path) -> None:
    """The rest lies on, with all its days, and both together are what was picked."""
    found = batch(plan(tmp_path, "2027-09-08,A,lost,10 lb,", as_of=date(2027, 9, 9)))

    assert [(out.day, pounds(out.weight), out.to) for out in found.outs] == [
        (date(2027, 9, 8), 10, Goes.LOST),
        (date(2027, 9, 11), 20, Goes.TABLE),
    ]
    assert pounds(found.left(date(2027, 9, 9))) == 20
    assert found.days[Stage.TAKE_OUT].likely == date(2027, 9, 11)


def test_a_calendar_tells_of_what_came_out_and_not_of_all_that_was_picked(tmp_path: Path) -> None:
    """What is ready, and what is to be used up, is the part that left the cold for it."""
    ready = task("topic: store", "when: ready", "reminder: yes")
    found = plan(tmp_path, "2027-09-08,A,lost,10 lb,", as_of=date(2027, 9, 9), notes=ready)
    (job,) = (entry for entry in found.calendar.entries if entry.task.when.stage is Stage.READY)

    assert Words.of(found).title(Merged(entries=(job,))).endswith(", 20 lb")


def test_what_was_taken_out_goes_first(tmp_path: Path) -> None:
    """Fruit that is given away after some came out is of that, and the cold keeps what it has."""
    found = batch(plan(tmp_path, "2027-09-11,A,taken out,20 lb,", "2027-09-15,A,shared,12 lb,"))

    assert [(out.day, pounds(out.weight), out.to, out.used) for out in found.outs if out.noted] == [
        (date(2027, 9, 11), 12, Goes.SHARED, date(2027, 9, 15)),
        (date(2027, 9, 11), 8, Goes.TABLE, None),
    ]
    assert sum(pounds(out.weight) for out in found.outs if not out.noted) == 10


def test_used_up_without_an_amount_ends_what_is_out(tmp_path: Path) -> None:
    """What has come out is gone; what lies in the cold lies on."""
    found = batch(plan(tmp_path, "2027-09-11,A,taken out,20 lb,", "2027-09-18,A,used up,,"))

    assert [(pounds(out.weight), out.to, out.gone) for out in found.outs] == [
        (20, Goes.USED, True),
        (10, Goes.TABLE, False),
    ]


def test_jars_take_the_fruit_that_fills_them(tmp_path: Path) -> None:
    """Seven quarts by a preserve of 2.5 lb a quart are 17.5 lb that lie nowhere any more."""
    notes = {
        "preserves/halves.md": note(
            "name: Pear halves", "fruits: [pear]", "method: freezer", "stage: firm-ripe", "takes: 17.5 lb for 7 quarts"
        )
    }
    found = batch(plan(tmp_path, "2027-09-18,A,jars,7 quarts,", notes=notes))

    assert [(pounds(out.weight), out.to) for out in found.outs if out.gone] == [(17.5, Goes.JARS)]


def test_what_is_lost_before_the_pick_is_no_longer_expected(tmp_path: Path) -> None:
    """Of 44 lb expected 10 lb are lost on the tree, so 34 lb are to be picked."""
    notes = {
        "records/2027.csv": table("2027-08-20,A,lost,10 lb,raccoon"),
        "trees/A.md": note("cultivar: Hardpear", "crop: 44 lb", "pinned: [{pick: 2027-09-01}]"),
    }
    found = plan(tmp_path, notes=notes, as_of=date(2027, 8, 25))

    assert pounds(batch(found).weight) == 34


def test_a_line_for_a_tree_of_two_kinds_is_not_taken_twice(tmp_path: Path) -> None:
    """20 lb given from a tree with two limbs are 20 lb together."""
    notes = {
        "cultivars/soft.md": note("name: Softpear", "fruit: pear", "counter: 3 days", "keeps ripe: 3 days"),
        "trees/A.md": note("limbs: [Hardpear, Softpear]", "pinned: [{pick: 2027-09-01}]"),
        "records/2027.csv": (
            "date,tree,cultivar,what,amount\n2027-09-01,A,Hardpear,pick,30 lb\n2027-09-01,A,Softpear,pick,30 lb\n"
            "2027-09-01,A,,shared,20 lb\n"
        ),
    }
    found = plan(tmp_path, notes=notes)
    gone = [out.weight for lot in found.lots.values() for b in lot.batches for out in b.outs if out.gone]

    assert sum(pounds(weight) for weight in gone) == 20


def test_a_line_is_of_one_crop_alone(tmp_path: Path) -> None:
    """Picked late one year and early the next, what is used up in September is of this crop and not of both."""
    notes = {
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2026.csv": table("2026-11-20,A,pick,40 lb,"),
        "records/2027.csv": table("2027-08-20,A,pick,30 lb,", "2027-09-01,A,used up,10 lb,"),
    }
    found = plan(tmp_path, notes=notes, as_of=date(2027, 9, 5))
    gone = [
        [pounds(out.weight) for one in lots[A].batches for out in one.outs if out.gone]
        for lots in (found.store.former, found.lots)
    ]

    assert gone == [[], [10]]


def test_own_days_are_of_one_season_alone(tmp_path: Path) -> None:
    """Days from taking out to ready in August are no second season's beside that of the crop before."""
    rows = ("2025-10-20,A,pick,40 lb,", "2026-08-10,A,pick,40 lb,", "2026-08-14,A,taken out,,", "2026-08-18,A,ready,,")
    notes = {"trees/A.md": note("cultivar: Hardpear"), "records/2027.csv": table(*rows)}
    former = runs(plan(tmp_path, notes=notes, as_of=date(2027, 3, 1)).season, A)

    assert [(one.season, one.taken_out is not None, one.ready is not None) for one in former] == [
        (2025, False, False),
        (2026, True, True),
    ]


# What is wanted, and what the kitchen puts up


WANTS = "wanted: [{cultivar: Hardpear, on: 2027-09-25, amount: 12 lb, for: Anna}]"


def test_a_want_takes_its_fruit_out_of_the_plan(tmp_path: Path) -> None:
    """12 of 30 lb leave the cold for Anna, the rest on its own day, and no weight is told twice."""
    place = NOTES["place.md"].replace("---\n", f"---\n{WANTS}\n", 1)
    found = plan(tmp_path, as_of=date(2027, 9, 3), notes={"place.md": place})

    assert [
        (out.day, pounds(out.weight), out.to, out.why and words_of(out.why, IN_ENGLISH)) for out in batch(found).outs
    ] == [
        (date(2027, 9, 11), 18, Goes.TABLE, None),
        (date(2027, 9, 20), 12, Goes.WANTED, "Anna"),
    ]


def test_two_wants_alike_have_a_job_each(tmp_path: Path) -> None:
    """Ten and five kilograms for one fair on one day are fifteen, in the calendar as in the store."""
    wants = [f"{{cultivar: Hardpear, on: 2027-09-30, amount: {kg} kg, for: the fair}}" for kg in (10, 2)]
    notes = {"place.md": _wanting(*wants), **task("topic: store", "when: take out for a wanted day")}
    found = plan(tmp_path, notes=notes, as_of=date(2027, 9, 2))
    jobs = [entry for entry in found.calendar.entries if entry.task.when.stage is Stage.TAKE_OUT_WANTED]

    assert {entry.name.amount for entry in jobs if isinstance(entry.name, OfWant)} == {"10 kg", "2 kg"}
    assert len({entry.identity for entry in jobs}) == 2


def test_what_is_promised_is_not_promised_again(tmp_path: Path) -> None:
    """Two wants of 20 lb from 30 lb: the second gets 10 lb, and it is told what is missing."""
    wants = (
        "wanted: [{cultivar: Hardpear, on: 2027-09-25, amount: 20 lb, for: Anna}, "
        "{cultivar: Hardpear, on: 2027-09-26, amount: 20 lb, for: Ben}]"
    )
    place = NOTES["place.md"].replace("---\n", f"---\n{wants}\n", 1)
    found = plan(tmp_path, as_of=date(2027, 9, 3), notes={"place.md": place})

    assert [(pounds(out.weight), out.why and words_of(out.why, IN_ENGLISH)) for out in batch(found).outs] == [
        (20, "Anna"),
        (10, "Ben"),
    ]
    assert jobs(found) == {Stage.CONDITIONED.value}
    reasons = [words_of(answer.reason, IN_ENGLISH) for answer in found.store.take_outs if isinstance(answer, NoTakeOut)]
    assert reasons == ["10 lb more than is there to be promised"]


def test_what_is_not_promised_keeps_its_own_jobs(tmp_path: Path) -> None:
    """A want of 20 lb from 30 lb: the other 10 lb are taken out, ripen and are used on days of their own."""
    wants = "wanted: [{cultivar: Hardpear, on: 2027-09-25, amount: 20 lb, for: Anna}]"
    place = NOTES["place.md"].replace("---\n", f"---\n{wants}\n", 1)
    as_of = date(2027, 9, 3)
    found = plan(tmp_path / "some", as_of=as_of, notes={"place.md": place})

    assert (20, Goes.WANTED) in {(pounds(out.weight), out.to) for out in batch(found).outs}
    assert jobs(found) == jobs(plan(tmp_path / "none", as_of=as_of)) > {Stage.TAKE_OUT.value, Stage.READY.value}


def kitchen_plan(top: Path, *lines: str, picked: str = "70 lb") -> Plan:
    """Return the plan of a Bartlett picked on 18 August, of a canner and of Saturdays in the kitchen."""
    records = f"date,tree,what,amount,note\n2027-08-18,1-01,pick,{picked},\n"
    notes = household(POT, SATURDAYS, *(lines or (QUARTS,)), records=records)
    holding = read_holding(write_notes(top / "home", notes), SHELF)
    return make_plan(holding, 2027, date(2027, 8, 19))


def test_what_the_kitchen_takes_leaves_the_store_for_it(tmp_path: Path) -> None:
    """Fourteen quarts take 35 of 70 lb; the rest has its own day, and the parts are the whole."""
    found = kitchen_plan(tmp_path)
    assert found.kitchen is not None
    (lot,) = found.lots.values()
    (only,) = lot.batches
    kitchen = [out for out in only.outs if out.to is Goes.KITCHEN]
    put_up = sum(used.kg for s in found.kitchen.sessions for making in s.makings for used in making.fruit)

    assert sum(pounds(out.weight) for out in kitchen) == pytest.approx(put_up / float(POUND), abs=0.2)
    assert {(out.day, out.used) for out in kitchen} == {
        (take.day, take.session.day) for take in found.kitchen.take_outs
    }
    assert total([out.weight for out in only.outs if out.weight]) == only.weight
    assert Stage.TAKE_OUT in lot.days


def test_a_lot_put_up_whole_lies_nowhere_after_it(tmp_path: Path) -> None:
    """All of it goes into jars on one Saturday: nothing is taken out, ready or lying in any room after that day."""
    found = kitchen_plan(tmp_path, picked="35 lb")
    (lot,) = found.lots.values()
    (only,) = lot.batches
    (session,) = {out.used for out in only.outs}

    assert {out.to for out in only.outs} == {Goes.KITCHEN}
    assert session is not None
    assert all(load.last < session for load in (*loads_of(only), *room_loads_of(only)))
    assert lot.days[Stage.USE_BY].likely == session
    assert Stage.KEEP_UNTIL in lot.undated
    stages = {entry.task.when.stage for entry in found.calendar.entries if entry.bearings}
    assert not {Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL} & stages


def test_apricots_have_kitchen_days(tmp_path: Path) -> None:
    """Picked yellow on a Friday they are put up on the Saturday, though nobody has counted their days to ripen."""
    notes = {
        **household(POT, SATURDAYS, "to put up: [{preserve: Apricots in jars, amount: 7 quarts}]"),
        "trees/2-01.md": note("fruit: Apricot", "crop: 40 lb", "pinned: [{pick: 2027-07-09}]"),
    }
    holding = read_holding(write_notes(tmp_path, notes), SHELF)
    found = make_plan(holding, 2027, date(2027, 7, 1))
    assert found.kitchen is not None

    assert [session.day for session in found.kitchen.sessions] == [date(2027, 7, 10)]


# What nobody noted


def asked(found: Plan) -> list[tuple[str, date]]:
    """Return the questions of a plan about its fruit."""
    return [(one.question.value, one.since) for one in found.store.unknowns]


def test_fruit_past_its_day_is_asked_after_once(tmp_path: Path) -> None:
    """Out on 11 September, ripe on the 16th, good until the 19th: from the 21st on it is asked whether it was used."""
    out = "2027-09-11,A,taken out,30 lb,"

    assert asked(plan(tmp_path / "a", out, as_of=date(2027, 9, 20))) == []
    assert asked(plan(tmp_path / "b", out, as_of=date(2027, 9, 21))) == [("used", date(2027, 9, 19))]
    assert asked(plan(tmp_path / "c", out, "2027-09-20,A,used up,,", as_of=date(2027, 9, 21))) == []
    assert asked(plan(tmp_path / "d", out, as_of=date(2027, 12, 1))) == []


def test_what_is_left_in_the_cold_past_its_limit_does_not_vanish(tmp_path: Path) -> None:
    """10 of 30 lb came out; the rest keeps 60 days, and two days later it is asked whether any is left."""
    rows = ("2027-09-11,A,taken out,10 lb,", "2027-09-20,A,used up,10 lb,")

    assert asked(plan(tmp_path / "a", *rows, as_of=date(2027, 10, 30))) == []
    assert asked(plan(tmp_path / "b", *rows, as_of=date(2027, 11, 2))) == [("still cold", date(2027, 10, 31))]
    answered = plan(tmp_path / "c", *rows, "2027-11-01,A,used up,20 lb,", as_of=date(2027, 11, 2))
    assert asked(answered) == []


def test_the_question_stands_on_the_first_page_with_its_line(tmp_path: Path) -> None:
    """With the line to note, and for everybody not at all."""
    found = plan(tmp_path, "2027-09-11,A,taken out,30 lb,", as_of=date(2027, 9, 22))
    page = make_site(found, theme_folder())["index.html"]
    text = page if isinstance(page, str) else page.decode()

    assert "Was it used?" in text
    assert "2027-09-22,A,used up," in text


def test_after_a_freeze_it_is_asked_what_became_of_the_fruit(tmp_path: Path) -> None:
    """Until somebody notes it, and not of fruit that was in."""
    freeze = "2027-08-25,A,freeze forecast,20 F,"
    notes = {"records/2027.csv": table(freeze)}

    assert asked(plan(tmp_path / "a", notes=notes, as_of=date(2027, 8, 24))) == []
    assert asked(plan(tmp_path / "b", notes=notes, as_of=date(2027, 8, 26))) == [("frozen", date(2027, 8, 25))]
    lost = {"records/2027.csv": table(freeze, "2027-08-26,A,lost,,all brown")}
    assert asked(plan(tmp_path / "c", notes=lost, as_of=date(2027, 8, 26))) == []


def test_a_store_that_nobody_looked_at_since_is_told_by_plan(tmp_path: Path) -> None:
    """What was noted on 2 September alone is in November what the plan says, and says so."""
    keeps = NOTES["cultivars/hardpear.md"].replace("keeps: 60 days", "keeps: 200 days")
    found = plan(tmp_path, as_of=date(2027, 11, 20), notes={"cultivars/hardpear.md": keeps})
    line = batch_line(
        IN_ENGLISH, batch(found), Link(text="A", href=""), Link(text="Hardpear", href=""), date(2027, 11, 20)
    )

    assert "not noted since Wed 1 Sep" in line.weight


def test_a_question_says_which_part_of_the_fruit_it_is_about(tmp_path: Path) -> None:
    """Of two pickings the first is past its day: the question names it, and none is named of fruit picked once."""
    rows = ("2027-09-11,A,taken out,30 lb,",)
    alone = plan(tmp_path / "a", *rows, as_of=date(2027, 9, 22))
    records = table("2027-09-01,A,first pick,30 lb,", "2027-09-16,A,last pick,20 lb,", *rows)
    two = plan(tmp_path / "b", notes={"records/2027.csv": records}, as_of=date(2027, 9, 22))

    assert [one.batch for one in alone.store.unknowns] == [None]
    assert [one.batch and one.batch.picking for one in two.store.unknowns] == [1]
    assert "Hardpear, first time round: to be used by" in make_site(two, theme_folder())["index.html"].decode()


@pytest.mark.parametrize(("day", "rests"), [(date(2027, 10, 30), False), (date(2027, 11, 2), True)])
def test_nobody_is_asked_for_ever_whether_fruit_was_picked(tmp_path: Path, day: date, *, rests: bool) -> None:
    """It keeps 60 days: after these it is gone, whoever picked it, and the question rests among the folded ones."""
    notes = {
        **NOTES,
        **task("when: pick", "each: tree", "topic: orchard"),
        "records/2027.csv": table("2027-04-20,A,full bloom,,"),
    }
    found = plan_of_notes(tmp_path, notes, as_of=day)
    page = make_site(found, theme_folder())["index.html"].decode()

    assert [one.rests for one in found.asked] == [rests]
    assert ("Was it picked? Nothing is noted yet." in page) is not rests
    assert ("Not noted: whether it was picked." in page) is rests


def test_the_store_is_looked_over_no_longer_than_anything_lies_there(tmp_path: Path) -> None:
    """All is out by plan on the 11th: there is no round in the weeks after it, though the fruit would keep on."""
    check = task("when: 1 week after pick", "until: keep until", "every: 1 week", "each: place", "topic: store")
    found = plan(tmp_path, as_of=date(2027, 9, 3), notes=check)
    (entry,) = (one for one in found.calendar.entries if one.task.key == "work")

    assert batch(found).last_out == date(2027, 9, 11)
    assert entry.days == (date(2027, 9, 8),)


def test_the_store_is_looked_over_while_fruit_of_unknown_keeping_lies_there(tmp_path: Path) -> None:
    """Its last day is not known, the day that it is to come out of the cold is: until then it is looked at."""
    check = task("when: 1 week after pick", "until: keep until", "every: 1 week", "each: place", "topic: store")
    kind = {"cultivars/hardpear.md": HARD.replace("keeps:", "# keeps:").replace("10 days", "25 days"), **check}
    found = plan(tmp_path, as_of=date(2027, 9, 3), notes=kind)
    (entry,) = (one for one in found.calendar.entries if one.task.key == "work")

    assert Stage.KEEP_UNTIL not in batch(found).days
    assert batch(found).last_out == date(2027, 9, 26)
    assert entry.days == (date(2027, 9, 8), date(2027, 9, 15), date(2027, 9, 22))


def test_after_a_freeze_the_question_says_what_plans_do(tmp_path: Path) -> None:
    """They are not held back, and it says so."""
    found = plan(
        tmp_path, notes={"records/2027.csv": table("2027-08-25,A,freeze forecast,20 F,")}, as_of=date(2027, 8, 26)
    )

    assert "all plans go on as if the fruit were sound" in make_site(found, theme_folder())["index.html"].decode()


# Rooms that are too small


SMALL = (
    "spaces: [{name: fridge, temperature: 38 F, holds: 20 lb}, {name: spare fridge, temperature: 39 F, holds: 40 lb}]"
)


def test_a_batch_is_parted_among_rooms_that_are_too_small(tmp_path: Path) -> None:
    """44 lb find room in a fridge of 20 lb and one of 40 lb together, and weigh as much as before."""
    notes = {
        "place.md": note("zone: 6a", "last frost: May 12", "first frost: Oct 8", SMALL),
        "records/2027.csv": table("2027-09-01,A,pick,44 lb,"),
    }
    batches = plan(tmp_path, notes=notes).lots[A].batches

    assert [(b.space, b.part, pounds(b.weight)) for b in batches] == [("fridge", 1, 20), ("spare fridge", 2, 24)]
    assert {b.parts for b in batches} == {2}
    assert total([b.weight for b in batches if b.weight]) == Weight.of(44 * POUND)


def test_parts_that_came_out_are_of_one_part_alone(tmp_path: Path) -> None:
    """10 of 44 lb came out: the parts and what came out are 44 lb still."""
    notes = {
        "place.md": note("zone: 6a", "last frost: May 12", "first frost: Oct 8", SMALL),
        "records/2027.csv": table("2027-09-01,A,pick,44 lb,", "2027-09-12,A,taken out,10 lb,"),
    }
    batches = plan(tmp_path, notes=notes).lots[A].batches
    outs = [out for b in batches for out in b.outs]

    assert total([out.weight for out in outs if out.weight]) == Weight.of(44 * POUND)
    assert [pounds(out.weight) for out in outs if out.noted] == [10]


def test_what_is_wanted_goes_into_the_fridge_before_a_crop_that_nobody_knows(tmp_path: Path) -> None:
    """A tree of which only a printed yield tells does not push out what is wanted, though it is picked first."""
    notes = {
        "place.md": note(
            "zone: 6a",
            "spaces: [{name: fridge, temperature: 38 F, holds: 50 lb}, {name: cellar, temperature: 49 F}]",
            "wanted: [{cultivar: Hardpear, on: 2027-10-25, amount: 12 lb, for: Anna}]",
        ),
        "cultivars/big.md": note(
            *("name: Bigpear", "fruit: pear", "conditioning: [{value: 10 days, at: 38 F}]", "counter: 5 days"),
            *("keeps: 60 days", "yield: [25-200 lb]"),
        ),
        "trees/B.md": note("cultivar: Bigpear", "pinned: [{pick: 2027-08-25}]"),
        "trees/A.md": note("cultivar: Hardpear", "crop: 44 lb", "pinned: [{pick: 2027-09-01}]"),
        "records/2027.csv": table(),
    }
    found = plan(tmp_path, notes=notes, as_of=date(2027, 8, 1))
    (ours,) = found.lots[A].batches
    theirs = found.lots[Bearing("B", "big")].batches

    assert ours.space == "fridge"
    assert theirs[-1].space == "cellar"
    assert "beside Hardpear (A)" in words_of(theirs[-1].crowded, IN_ENGLISH)


# Eating


def eater(top: Path, rate: str, crop: str, *rows: str, keeps: int = 100, wanted: str = "") -> Batch:
    """Return the winter fruit of a tree, of which so much is eaten out of the cellar."""
    wants = [f"wanted: [{wanted}]"] if wanted else []
    notes = {
        "place.md": note("zone: 6a", f"spaces: [{{name: cellar, temperature: 38 F, eats: {rate}}}]", *wants),
        "cultivars/hardpear.md": note(
            *("name: Hardpear", "fruit: pear", "conditioning: [{value: 20 days, at: 38 F}]", "counter: 5 days"),
            *("keeps ripe: 3 days", f"keeps: {keeps} days", "weight per container: [48 lb a bushel]"),
        ),
        "records/2027.csv": table(f"2027-09-01,A,pick,{crop},", *rows),
    }
    return batch(plan(top, notes=notes, as_of=date(2027, 9, 26) if rows else date(2027, 9, 3)))


def test_what_is_eaten_in_a_week_leaves_each_week(tmp_path: Path) -> None:
    """Half a bushel is 24 lb: 60 lb are two weeks of it and the rest; the whole is the same."""
    found = eater(tmp_path, "half a bushel a week", "60 lb")

    assert [(out.day, pounds(out.weight)) for out in found.outs] == [
        (date(2027, 9, 21), 24),
        (date(2027, 9, 28), 24),
        (date(2027, 10, 5), 12),
    ]
    assert total([out.weight for out in found.outs if out.weight]) == found.weight


def test_a_week_eats_of_one_tree_until_the_next_ones_fruit_is_ready(tmp_path: Path) -> None:
    """Twelve pounds leave each week from the 21st: six of each tree in the third, when the first is at its end."""
    notes = {
        "place.md": note("zone: 6a", "spaces: [{name: cellar, temperature: 38 F, eats: 12 lb a week}]"),
        "trees/B.md": note("cultivar: hardpear"),
        "cultivars/hardpear.md": note(
            *("name: Hardpear", "fruit: pear", "conditioning: [{value: 20 days, at: 38 F}]", "counter: 5 days"),
            *("keeps ripe: 3 days", "keeps: 100 days", "weight per container: [48 lb a bushel]"),
        ),
        "records/2027.csv": table("2027-09-01,A,pick,30 lb,", "2027-09-08,B,pick,30 lb,"),
    }
    found = plan(tmp_path, notes=notes, as_of=date(2027, 9, 9))
    eaten = [[(out.day, pounds(out.weight)) for out in lot.batches[0].outs] for lot in found.lots.values()]
    first = date(2027, 9, 21)

    assert eaten == [
        [(first, 12), (first + timedelta(weeks=1), 12), (first + timedelta(weeks=2), 6)],
        [(first + timedelta(weeks=2), 6), (first + timedelta(weeks=3), 12), (first + timedelta(weeks=4), 12)],
    ]


def test_what_is_more_than_is_eaten_says_so_on_its_last_day(tmp_path: Path) -> None:
    """At 2 lb a week most of 60 lb is left on the last day."""
    found = eater(tmp_path, "2 lb a week", "60 lb")

    assert pounds(found.outs[0].weight) == 2
    assert words_of(found.outs[-1].why, IN_ENGLISH) == "more than is eaten by its last day"
    assert pounds(found.outs[-1].weight) > 30
    assert total([out.weight for out in found.outs if out.weight]) == found.weight


@pytest.mark.parametrize(("keeps", "weeks", "left"), [(96, 11, 40), (97, 12, 38), (98, 12, 38)])
def test_what_is_eaten_in_a_week_leaves_up_to_the_last_day_and_not_after_it(
    tmp_path: Path, keeps: int, weeks: int, left: int
) -> None:
    """From 21 September on: what keeps until 7 December, eleven weeks later, leaves on that day still, and no later."""
    found = eater(tmp_path, "2 lb a week", "60 lb", keeps=keeps)

    assert [out.day for out in found.outs] == [date(2027, 9, 21) + timedelta(weeks=n) for n in range(weeks)]
    assert [pounds(out.weight) for out in found.outs] == [*[2] * (weeks - 1), left]
    assert total([out.weight for out in found.outs if out.weight]) == found.weight


def test_what_is_wanted_or_came_out_is_no_fruit_of_the_weeks(tmp_path: Path) -> None:
    """12 lb for Anna and 10 lb that came out stay on their days; the weeks eat of the other 38 lb alone."""
    wanted = "{cultivar: Hardpear, on: 2027-10-15, amount: 12 lb, for: Anna}"
    found = eater(tmp_path, "24 lb a week", "60 lb", "2027-09-25,A,taken out,10 lb,", wanted=wanted)
    kinds = [(out.day, pounds(out.weight), out.to, out.noted) for out in found.outs]

    assert (date(2027, 9, 25), 10, Goes.TABLE, True) in kinds
    assert (date(2027, 10, 10), 12, Goes.WANTED, False) in kinds
    assert [weight for _, weight, to, noted in kinds if to is Goes.TABLE and not noted] == [24, 14]
    assert total([out.weight for out in found.outs if out.weight]) == found.weight


@pytest.mark.parametrize("rate", ["a lot", "10 lb", "0 lb a week"])
def test_a_rate_that_can_not_be_read_is_told(tmp_path: Path, rate: str) -> None:
    """With what to write."""
    with pytest.raises(FaultyNotes, match=r"a week|leave the key out"):
        eater(tmp_path, rate, "60 lb")


# What came out, and what lies on


NOWHERE = Link(text="A", href="")


def told(one: Batch, day: date = DAY) -> list[tuple[str, str]]:
    """Return what each part of a batch is called, and its weight."""
    lines = (batch_line(IN_ENGLISH, part, NOWHERE, NOWHERE, day) for part in lying_parts(one, day))
    return [(line.what, line.weight) for line in lines]


def test_what_came_out_and_what_lies_on_are_told_each(tmp_path: Path) -> None:
    """10 of 30 lb came out: ten are ripe, twenty lie on, and the first page names the ten as the store does."""
    found = batch(plan(tmp_path, "2027-09-14,A,taken out,10 lb,"))

    assert told(found) == [("taken out 14 Sep", "10 lb"), ("", "20 lb")]
    ripe = [part for part in ripe_parts(found, DAY) if part.came_out]
    assert [(part.came_out, part.weight) for part in ripe] == [(date(2027, 9, 14), Weight.of(10 * POUND))]
    weights = [out.weight for part in lying_parts(found, DAY) for out in part.outs if out.weight is not None]
    assert total(weights) == Weight.of(30 * POUND)


def test_two_take_outs_of_all_are_told_each(tmp_path: Path) -> None:
    """The last of them does not stand for both."""
    rows = ("2027-09-16,A,taken out,20 lb,", "2027-09-18,A,taken out,,")
    found = batch(plan(tmp_path, *rows))

    assert told(found) == [
        ("taken out 16 Sep", "20 lb"),
        ("taken out 18 Sep", "10 lb"),
    ]


def test_what_is_past_its_day_is_no_part_beside_what_lies_on(tmp_path: Path) -> None:
    """Ten pounds taken out weeks ago are asked after; the box in the cellar has one row."""
    found = batch(plan(tmp_path, "2027-09-04,A,taken out,10 lb,"))

    assert told(found) == [("", "20 lb")]


def test_what_was_picked_ready_is_ready_the_day_it_comes_out(tmp_path: Path) -> None:
    """A part taken out before is no word for what lies on."""
    fruit = note("name: Pear", "ripens off the tree: no")
    notes = {"fruits/pear.md": fruit, "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", "keeps: 60 days")}
    records = table("2027-09-01,A,pick,30 lb,", "2027-09-01,A,stored,,cellar", "2027-09-10,A,taken out,20 lb,")
    found = batch(plan_of_notes(tmp_path, {**notes, "records/2027.csv": records}, as_of=DAY))

    for out in found.outs:
        ready = found.ready_after(out)
        assert ready is not None
        assert ready.likely >= out.day


def _wanting(*wants: str) -> str:
    return NOTES["place.md"].replace("---\n", f"---\nwanted: [{', '.join(wants)}]\n", 1)


def test_a_dozen_that_nobody_can_weigh_is_not_promised_again(tmp_path: Path) -> None:
    """What is counted is set apart as large fruits; the next want gets the rest, each in its own words."""
    place = _wanting(
        "{cultivar: Hardpear, on: 2027-09-25, amount: a dozen, for: Anna}",
        "{cultivar: Hardpear, on: 2027-09-26, amount: 30 lb, for: Ben}",
        "{cultivar: Hardpear, on: 2027-09-27, for: Cleo}",
    )
    made = plan(tmp_path, as_of=date(2027, 9, 3), notes={"place.md": place})
    found = batch(made)
    first = made.store.take_outs[0]

    assert isinstance(first, TakeOut)
    assert first.amount == "a dozen"
    weights = {getattr(out.why, "purpose", ""): out.weight for out in found.outs if out.to is Goes.WANTED}
    assert weights == {
        "Anna": Weight.of(12 * LARGE_FRUIT_KG),
        "Ben": Weight.of(30 * POUND - 12 * LARGE_FRUIT_KG),
    }
    assert [answer.wanted.purpose for answer in made.store.take_outs if isinstance(answer, NoTakeOut)] == [
        "Ben",
        "Cleo",
    ]
    line = batch_line(IN_ENGLISH, found, NOWHERE, NOWHERE, date(2027, 9, 3))
    assert "a dozen for Anna" in line.out


def test_a_want_without_an_amount_has_its_bowl(tmp_path: Path) -> None:
    """Nobody said how much, and still some is left for the day."""
    place = _wanting("{cultivar: Hardpear, on: 2027-09-25}")
    found = batch(plan(tmp_path, as_of=date(2027, 9, 3), notes={"place.md": place}))

    assert [out.weight for out in found.outs if out.to is Goes.WANTED] == [Weight.of(BOWL_KG)]
    assert Stage.TAKE_OUT in found.days


# Rooms of houses


HOUSES = (
    "spaces:\n- {name: lane cellar, temperature: 38 F, house: Lane House}\n- {name: cellar, temperature: 42 F}\n"
    "- {name: brook fridge, temperature: 38 F, holds: 4 lb, house: brook house}\n"
    "shares: [{name: lane house, part: 1/3}, {name: brook house, part: 1/3}, {name: hill house, part: 1/4}]"
)


def of_houses(*rows: str, houses: str = HOUSES) -> dict[str, str]:
    """Return the notes of houses that share what one tree bore."""
    place = NOTES["place.md"].replace("spaces: [{name: cellar, temperature: 38 F}]", houses)
    return {"place.md": place, "records/2027.csv": table("2027-09-01,A,pick,60 lb,", *rows)}


def by_house(top: Path, *rows: str, houses: str = HOUSES) -> list[tuple[str, str, Weight | None]]:
    """Return whose part lies where, and what it weighs with all that has left it."""
    lot = plan_of_notes(top, of_houses(*rows, houses=houses), as_of=DAY).lots[A]
    return [(one.house, one.space, one.weight) for one in lot.batches]


def test_what_is_picked_is_divided_as_it_is_put_away(tmp_path: Path) -> None:
    """Each part lies in its house's own room, else in a common one; nobody's twelfth is a part too."""
    assert by_house(tmp_path) == [
        ("lane house", "lane cellar", Weight.of(20 * POUND)),
        ("brook house", "cellar", Weight.of(20 * POUND)),
        ("hill house", "cellar", Weight.of(15 * POUND)),
        ("", "cellar", Weight.of(5 * POUND)),
    ]


@pytest.mark.parametrize(
    "rows",
    [
        ("2027-09-14,A,shared,7 lb,lane house", "2027-09-15,A,lost,5 lb,mould"),
        ("2027-09-14,A,shared,41 lb,lane house",),
        ("2027-09-14,A,taken out,60 lb,",),
        ("2027-09-14,A,taken out,12 lb,for brook house", "2027-09-16,A,used up,,"),
    ],
    ids=["named", "more-than-its-part", "all-out", "taken-out-for-one"],
)
def test_parts_of_houses_weigh_what_was_picked(tmp_path: Path, rows: tuple[str, ...]) -> None:
    """To the gram, whoever took what."""
    weights = [weight for _, _, weight in by_house(tmp_path, *rows) if weight is not None]

    assert total(weights) == Weight.of(60 * POUND)


def test_what_nobody_weighed_is_divided_without_weights(tmp_path: Path) -> None:
    """Each house has its room and what came out, of which nobody knows how much it is."""
    notes = of_houses()
    notes["records/2027.csv"] = table("2027-09-01,A,pick,some,", "2027-09-14,A,taken out,some,")
    lot = plan_of_notes(tmp_path, notes, as_of=DAY).lots[A]

    assert [(one.house, one.space, one.weight) for one in lot.batches] == [
        ("lane house", "lane cellar", None),
        ("brook house", "brook fridge", None),
        ("hill house", "cellar", None),
        ("", "cellar", None),
    ]
    assert {(out.day, out.weight) for one in lot.batches for out in one.outs if out.noted} == {
        (date(2027, 9, 14), None)
    }


def test_who_had_more_than_its_part_has_nothing_left(tmp_path: Path) -> None:
    """The others have so much less, in the measure of their parts."""
    records = of_houses("2027-09-02,A,shared,27 lb,lane house")
    lot = plan_of_notes(tmp_path, records, as_of=date(2027, 9, 3)).lots[A]
    left = {one.house: total([out.weight for out in one.outs if out.weight and not out.gone]) for one in lot.batches}

    assert left == {
        "lane house": NOTHING,
        "brook house": Weight.of(Fraction(33 * 20, 40) * POUND),
        "hill house": Weight.of(Fraction(33 * 15, 40) * POUND),
        "": Weight.of(Fraction(33 * 5, 40) * POUND),
    }


@pytest.mark.parametrize(
    ("rows", "day", "told"),
    [
        ((), date(2027, 9, 12), {Goes.TABLE: 30}),
        ((), date(2027, 9, 25), {Goes.UNTOLD: 30}),
        (("2027-09-12,A,taken out,20 lb,", "2027-09-15,A,used up,12 lb,"), date(2027, 9, 25), {Goes.USED: 12}),
    ],
)
def test_what_is_past_its_day_with_nothing_noted_is_for_no_table(
    tmp_path: Path, rows: tuple[str, ...], day: date, told: dict[Goes, int]
) -> None:
    """What a house is due went where lines say; of pears a week past their last day nobody knows."""
    place = NOTES["place.md"].replace("---\n", "---\nshares: [{name: lane house, part: 100 %}]\n", 1)
    found = plan(tmp_path, *rows, as_of=day, notes={"place.md": place})
    (division,) = found.store.divisions
    goes = {to: round(kg / POUND) for to, kg in division.dues[0].goes}

    assert goes == told | ({Goes.TABLE: 10, Goes.UNTOLD: 8} if rows else {})


def test_without_rooms_of_their_own_nothing_is_divided(tmp_path: Path) -> None:
    """A common cellar holds one batch."""
    common = HOUSES.replace(", house: Lane House", "").replace(", house: brook house", "")

    assert by_house(tmp_path, houses=common) == [("", "lane cellar", Weight.of(60 * POUND))]


def test_who_had_some_has_so_much_less_to_come(tmp_path: Path) -> None:
    """Of 60 lb in a common cellar lane house had 10: with what comes still, each has its part of all."""
    common = HOUSES.replace(", house: Lane House", "").replace(", house: brook house", "")
    notes = of_houses("2027-09-14,A,shared,10 lb,lane house", houses=common)
    made = plan_of_notes(tmp_path, notes, as_of=date(2027, 9, 15))
    goes = goes_by_house(made.lots[A].batches, made.holding.place.shares)

    assert goes["lane house"][Goes.SHARED] == 10 * POUND
    assert {house: sum(where.values()) for house, where in goes.items()} == {
        "lane house": 20 * POUND,
        "brook house": 20 * POUND,
        "hill house": 15 * POUND,
        "": 5 * POUND,
    }


def test_a_house_that_nobody_is_told_of_is_a_problem(tmp_path: Path) -> None:
    """The nearest name is offered."""
    with pytest.raises(FaultyNotes) as faulty:
        by_house(tmp_path, houses=HOUSES.replace("house: Lane House", "house: lame house"))

    (problem,) = faulty.value.problems
    assert "lame house" in problem.message
    assert problem.hint == 'did you mean "lane house"?'


def test_everybody_sees_no_houses(tmp_path: Path) -> None:
    """Whose part is whose is not told beyond the household: batches are whole again."""
    lot = plan_of_notes(tmp_path, of_houses(), as_of=DAY).lots[A]

    assert [(one.house, one.weight) for one in undivided(lot.batches)] == [("", Weight.of(60 * POUND))]


def test_everybody_sees_no_part_of_a_house_in_what_leaves_the_store(tmp_path: Path) -> None:
    """Neither as it leaves, on the days of each house's room, nor as what is left of the whole between them."""
    lot = plan_of_notes(tmp_path, of_houses(), as_of=DAY).lots[A]
    parts = {out.weight for one in lot.batches for out in one.outs if not out.noted}
    (whole,) = undivided(lot.batches)

    assert parts
    assert not parts & {out.weight for out in whole.outs}
    assert total([out.weight for out in whole.outs if out.weight is not None]) == whole.weight
    assert {out.day for out in whole.outs} <= {out.day for one in lot.batches for out in one.outs}


def test_each_house_has_jobs_on_the_days_of_its_own_rooms(tmp_path: Path) -> None:
    """What lies cold enough is ready days before what lies in the warmer cellar, and each house's own people do it."""
    people = "people: [{name: Lena, household: lane house}, {name: Bert, household: brook house, does: [store]}]"
    notes = {
        **of_houses(houses=f"{HOUSES}\n{people}"),
        "cultivars/hardpear.md": NOTES["cultivars/hardpear.md"].replace(
            "conditioning: [{value: 10 days, at: 38 F}]",
            "conditioning: [{value: 10 days, at: 38 F}, {value: 20 days, at: 42 F}]",
        ),
        **task("when: take out", "each: tree", "topic: store", "who: store"),
    }
    made = plan_of_notes(tmp_path, notes, as_of=date(2027, 9, 3))
    out = {entry.house: entry for entry in made.calendar.entries if entry.task.key == "work"}

    assert {house: entry.span.first for house, entry in out.items()} == {
        "lane house": date(2027, 9, 11),
        "brook house": date(2027, 9, 21),
        "hill house": date(2027, 9, 21),
        "": date(2027, 9, 21),
    }
    assert [hands_of(entry.task, entry.bearings, made.holding, house=house).names for house, entry in out.items()] == [
        ("Lena",),
        ("Bert",),
        ("Bert",),
        ("Bert",),
    ]
    assert title_of(IN_ENGLISH, out["lane house"]) == "Work: Hardpear (A), lane house"
    assert amount_words(made, [out["lane house"]]) == "20 lb"
    assert len({entry.identity for entry in out.values()}) == 4
    assert {entry.opened({"A"}).identity for entry in out.values()} == {out[""].identity}


@pytest.mark.parametrize(
    ("picked", "frost", "misses"), [("2027-08-05", "", 0), ("2027-09-20", "", 1), ("2027-08-05", "Oct 8", 0)]
)
def test_no_day_of_frost_is_missed_where_nothing_hangs_by_then(
    tmp_path: Path, picked: str, frost: str, misses: int
) -> None:
    """A job for fruit that hangs late asks for the day of the first frost, and comes, only where some may hang."""
    place = [f"first frost: {frost}"] if frost else []
    notes = {
        "place.md": note("zone: 6a", "latitude: 42 N", *place),
        "trees/A.md": note("cultivar: Hardpear", f"pinned: [{{pick: {picked}}}]"),
        "records/2027.csv": table("2027-04-20,A,full bloom,,"),
        **task(
            "when: 2 weeks before first frost", "each: place", "topic: orchard", "for: [pear]", "only if: hangs late"
        ),
    }
    calendar = plan_of_notes(tmp_path, notes, as_of=date(2027, 7, 1)).calendar

    assert len([one for one in calendar.undated if one.jobs]) == misses
    assert calendar.entries == ()


def test_rounds_are_told_apart_from_what_they_are_for(plan_of: Callable[..., Plan]) -> None:
    """`Pick figs daily` is a sentence of its own: what it is for follows a colon, in titles and in the question."""
    notes = {
        "place.md": note("zone: 8a", "latitude: 36 N"),
        "trees/T.md": note("cultivar: Brown Turkey", "crop: 20 lb"),
    }
    files = make_site(plan_of(notes, as_of=date(2027, 7, 20)), theme_folder())
    told = [text for name, text in files.items() if name.endswith((".ics", "index.html"))]
    titles = b" ".join(text if isinstance(text, bytes) else text.encode() for text in told)

    assert b"Pick figs daily: " in titles
    assert b"Pick figs daily b" not in titles
    assert b"Pick figs daily F" not in titles


def test_the_kitchen_holds_a_houses_fruit_in_no_other_houses_room(tmp_path: Path) -> None:
    """What is kept cold for a day in the kitchen lies in the house's own room or a common one."""
    made = plan_of_notes(tmp_path, of_houses(), as_of=DAY)
    held = {one.house: held_cold_in(made.holding.place, one) for one in made.lots[A].batches}

    assert held == {"lane house": "lane cellar", "brook house": "brook fridge", "hill house": "cellar", "": "cellar"}


def test_a_page_says_of_fruit_that_is_gone_that_nothing_is_left(tmp_path: Path) -> None:
    """Used up on the 8th: neither its page nor the harvest's asks for it to be eaten by a later day."""
    found = plan(tmp_path, "2027-09-08,A,used up,,")
    line = batch_line(IN_ENGLISH, batch(found), Link(text="A", href=""), Link(text="", href=""), DAY)
    moves = [move.text for month in harvest(found) for move in month.lines]

    assert line.doing == "Nothing is left of it since Wed 8 Sep."
    assert line.story == "Picked Wed 1 Sep."
    assert not [move for move in moves if move.endswith(("last day to use it", "ready to eat"))]


def test_no_page_counts_days_from_a_pick_that_nobody_noted(tmp_path: Path) -> None:
    """Due on the 1st and not noted by the 20th: the store asks for the pick, and the harvest tells no day after it."""
    found = plan_of_notes(tmp_path, NOTES, as_of=DAY)
    line = batch_line(IN_ENGLISH, batch(found), Link(text="A", href=""), Link(text="", href=""), DAY)
    (month,) = harvest(found)

    assert (line.overdue, line.doing, line.story) == (True, "Due Wed 1 Sep: note the day it is picked.", "")
    assert [move.text for move in month.lines] == ["Hardpear: was to be picked, and nobody noted that it was"]


def harvest(found: Plan) -> tuple[StoryMonth, ...]:
    """Return the months of the harvest's page in the plan's season."""
    viewing = PageContext(found, Paths(found), "", set())
    return Harvest(viewing, viewing).story().seasons[0].months
