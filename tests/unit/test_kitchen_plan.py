"""The kitchen plan: pots, people, jars and ripe fruit on one day, and what is said where they are not."""

from __future__ import annotations

import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable
from datetime import date, datetime, time, timedelta

import pytest
from conftest import EXAMPLE, SHELF
from kitchen_notes import BARTLETT, PICKED, POT, QUARTS, SATURDAYS, household, place
from kitchen_rules import goals_of, is_no_worse, means, product, supply
from kitchen_rules import session as one_session

from firmripe.days import WorkingYear
from firmripe.harvest.grades import why_not
from firmripe.holding.holding import Holding
from firmripe.holding.kitchen import PotKind
from firmripe.holding.process import Band
from firmripe.holding.task import OF_THE_KITCHEN
from firmripe.holding.weight import POUND, Grade
from firmripe.kitchen.fit.best import fit
from firmripe.kitchen.fit.outcome import Lack
from firmripe.kitchen.fit.relaxing import relax
from firmripe.kitchen.plan.kitchen_plan import KitchenPlan, WantMet
from firmripe.kitchen.plan.sittings import session_of, sittings
from firmripe.kitchen.plan.timetable import CleanedUp, IntoPot, MadeReady, OutOfPot, Slower
from firmripe.kitchen.plan.usable import left_kg
from firmripe.kitchen.plan.wanted import holds, ware_for
from firmripe.kitchen.tables.pot_times import seals
from firmripe.kitchen.tables.processes import Minutes, Stove, look_up
from firmripe.kitchen.tables.ware import Ware
from firmripe.plan import Plan, make_plan
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

PlanOf = Callable[..., Plan]
CULTIVARS = "date,tree,cultivar,what,amount,note"
KINDS = ("Bartlett", "Kieffer")
SEEN = date(2027, 8, 19)
"""The day after the pick."""


def kitchen(plan: Plan) -> KitchenPlan:
    assert plan.kitchen is not None
    return plan.kitchen


def only_want(plan: Plan) -> WantMet:
    (want,) = kitchen(plan).wants
    return want


def test_without_wants_or_days_there_is_no_plan(plan_of: PlanOf) -> None:
    """A household that tells of no wants, or of no days, gets no kitchen plan and no page of it."""
    plans = [plan_of(household(POT, line), as_of=SEEN) for line in (SATURDAYS, QUARTS)]

    assert [plan.kitchen for plan in plans] == [None, None]
    files = make_site(plans[0], EXAMPLE.parents[1] / "themes" / "box-tag")
    assert not [name for name in files if name.startswith(("kitchen", "sheets/stove", "sheets/supplies"))]


def test_a_want_without_a_pot_says_that_it_lacks_one(plan_of: PlanOf) -> None:
    """Days alone put nothing up: each want stands on the kitchen's page with the pot that is missing."""
    wants = "to put up: [{preserve: Pear halves in jars, amount: 14 quarts}, {preserve: Dried pears, amount: 3 lb}]"
    plan = plan_of(household(SATURDAYS, wants), as_of=SEEN)
    page = make_site(plan, EXAMPLE.parents[1] / "themes" / "box-tag")["kitchen.html"].decode()

    assert [(want.planned, want.short) for want in kitchen(plan).wants] == [(0, 14), (0, 3)]
    assert "no canner says that it holds a quart" in page
    assert "no dryer is told of" in page


def test_one_lot_goes_into_jars_on_a_saturday_when_it_is_ripe(plan_of: PlanOf) -> None:
    """Two loads of seven, with the minutes for 2,150 ft, taken out of the cold five days before."""
    plan = plan_of(household(POT, SATURDAYS, QUARTS), as_of=SEEN)
    (session,) = kitchen(plan).sessions
    (making,) = session.makings
    (pot,) = making.pots

    assert session.day.weekday() == 5
    assert (making.units, pot.loads) == (14, (7, 7))
    assert pot.published is not None
    assert (pot.published.minutes, pot.published.band) == (30, Band(low_ft=1001, high_ft=3000))
    assert [out.day for out in kitchen(plan).take_outs] == [session.day - timedelta(days=5)]
    assert only_want(plan).short == 0


def test_a_session_runs_by_the_clock(plan_of: PlanOf) -> None:
    """Three cut seven quarts of twenty minutes each in 46:40; a load keeps its pot for 60 minutes, its change takes 10.

    The second is cut by then and waits for the pot; all is cleaned up half an hour after the last.
    """
    (session,) = kitchen(plan_of(household(POT, SATURDAYS, QUARTS), as_of=SEEN)).sessions
    clock, day = session.timetable, session.day
    steps = [(f"{step.at:%H:%M}", type(step.what), getattr(step.what, "load", None)) for step in clock.steps]

    assert [(at, what, load and (load.number, load.count, load.units, load.pot)) for at, what, load in steps] == [
        ("09:00", MadeReady, None),
        ("09:47", IntoPot, (1, 2, 7, "pot")),
        ("10:47", OutOfPot, (1, 2, 7, "pot")),
        ("10:57", IntoPot, (2, 2, 7, "pot")),
        ("11:57", OutOfPot, (2, 2, 7, "pot")),
        ("12:27", CleanedUp, None),
    ]
    assert (clock.start, clock.end, clock.latest_start) == (time(9), time(12, 27), time(13, 33))
    assert clock.slower is Slower.POT
    assert session.seals == seals(datetime.combine(day, time(10, 47)), datetime.combine(day, time(11, 57)))


@pytest.mark.parametrize(("hours", "is_whole"), [("3.5", False), ("3.75", True)])
def test_what_the_clock_would_run_over_is_fitted_anew(plan_of: PlanOf, hours: str, *, is_whole: bool) -> None:
    """In three hours and a half two pots hold two loads each, and five hands cut them all; but not by the clock.

    The second pot waits until its first load is cut, so four loads end at 12:36.
    """
    two = "canners: [{name: a, kind: boiling water, holds: 7 quarts}, {name: b, kind: boiling water, holds: 7 quarts}]"
    day = f"kitchen days: [{{on: 2027-08-28, start: 9:00, hours: {hours}, hands: 5, kitchen: upper kitchen}}]"
    plan = kitchen(plan_of(household(two, day, QUARTS.replace("14", "28")), as_of=SEEN))
    (session,) = plan.sessions

    assert 14 <= plan.wants[0].planned <= 28
    assert (plan.wants[0].planned == 28, session.timetable.end == time(12, 36)) == (is_whole, is_whole)
    assert session.timetable.over_min == 0
    assert session.timetable.end <= session.last


@pytest.mark.parametrize("taken", [("30 lb", "25 lb"), ("30 lb", "")])
def test_what_came_out_in_two_lines_of_one_day_is_all_there(plan_of: PlanOf, taken: tuple[str, str]) -> None:
    """Of 70 lb 30 came out, and then 25 or all the rest: they make 28 quarts together."""
    day = "kitchen days: [{on: 2027-08-27, start: 9:00, hours: 8, hands: 3, kitchen: upper kitchen}]"
    records = PICKED + "".join(f"2027-08-21,1-01,taken out,{amount},\n" for amount in taken)
    notes = household(POT, day, QUARTS.replace("14", "28"), records=records)

    assert only_want(plan_of(notes, as_of=date(2027, 8, 22))).planned == 28


def test_limbs_that_are_called_alike_give_each_its_own_fruit(plan_of: PlanOf) -> None:
    """Forty pounds of one and thirty of another on one tree, both called Gate: 28 quarts, not twelve."""
    lines = ("2027-08-18,1-01,a,pick,40 lb,", "2027-08-18,1-01,b,pick,30 lb,")
    notes = household(POT, SATURDAYS, QUARTS.replace("14", "28"), records="\n".join((CULTIVARS, *lines, "")))
    notes["trees/1-01.md"] = "---\nlimbs: [a, b]\n---\n"
    notes |= {f"cultivars/{key}.md": BARTLETT.replace("name: Bartlett", "name: Gate") for key in "ab"}

    assert only_want(plan_of(notes, as_of=SEEN)).planned == 28


def test_what_runs_over_on_one_day_is_not_tried_on_each_of_those_alike(plan_of: PlanOf) -> None:
    """Three hours and a half on every Saturday: the four loads part over two of them, and no day is lost for it."""
    two = "canners: [{name: a, kind: boiling water, holds: 7 quarts}, {name: b, kind: boiling water, holds: 7 quarts}]"
    day = "kitchen days: [{on: Saturday, start: 9:00, hours: 3.5, hands: 5, kitchen: upper kitchen}]"
    plan = kitchen(plan_of(household(two, day, QUARTS.replace("14", "28")), as_of=SEEN))

    assert plan.wants[0].planned == 28
    assert len(plan.sessions) == 2
    assert all(session.timetable.end <= session.last for session in plan.sessions)


@pytest.mark.parametrize(("quarts", "whole"), [(14, False), (28, True)])
def test_a_take_out_says_whether_it_is_all_of_its_fruit(plan_of: PlanOf, quarts: int, *, whole: bool) -> None:
    """70 lb are 28 quarts at 2 1/2 lb (AIB 539, Guide 2, p. 2-20)."""
    plan = kitchen(plan_of(household(POT, SATURDAYS, QUARTS.replace("14", str(quarts))), as_of=SEEN))
    (out,) = plan.take_outs

    assert out.whole is whole
    assert out.kg == pytest.approx(quarts * 2.5 * float(POUND), abs=0.01)


def test_what_was_weighed_only_as_it_came_out_is_put_up_by_that(plan_of: PlanOf) -> None:
    """Nobody weighed the pick; of 10 lb that came out four quarts are made, and the rest stays in no plan."""
    records = "date,tree,what,amount,note\n2027-08-18,1-01,pick,some,\n2027-08-21,1-01,taken out,10 lb,\n"
    plan = kitchen(plan_of(household(POT, on_days("2027-08-26"), QUARTS, records=records), as_of=date(2027, 8, 24)))
    (making,) = plan.sessions[0].makings

    assert (making.units, round(sum(used.kg for used in making.fruit), 2)) == (4, round(10 * float(POUND), 2))
    assert making.range is not None
    assert float(making.range.likely) == pytest.approx(4, abs=0.001)


def test_each_kitchen_has_the_minutes_of_its_own_height(plan_of: PlanOf) -> None:
    """The same pears take 25 minutes at 900 ft and 30 at 2,150 ft; the cards say so, each for its kitchen."""
    notes = household()
    notes["place.md"] = place(
        "canners: [{name: pot, kind: boiling water, holds: 7 quarts, kitchen: low}, "
        "{name: pot, kind: boiling water, holds: 7 quarts, kitchen: high}]",
        "kitchen days: [{on: Saturday, kitchen: low, hands: 3}]",
        QUARTS,
        kitchens="[{name: low, elevation: 900 ft}, {name: high, elevation: 2150 ft}]",
    )
    plan = kitchen(plan_of(notes, as_of=SEEN))

    told = {card.kitchen.name: [m.minutes for _, m in card.pots if isinstance(m, Minutes)] for card in plan.cards}
    assert told == {"low": [25], "high": [30]}
    assert [pot.published.minutes for s in plan.sessions for m in s.makings for pot in m.pots if pot.published] == [25]


def test_a_ware_wanted_of_several_cultivars_has_its_card_if_one_may_be_canned(plan_of: PlanOf) -> None:
    """Kieffers make no halves without acid; those of Bartletts have their card all the same."""
    wants = ", ".join(f"{{preserve: Pear halves in jars, cultivar: {name}, amount: 7 quarts}}" for name in KINDS)
    plan = kitchen(plan_of(household(POT, SATURDAYS, f"to put up: [{wants}]"), as_of=SEEN))

    assert [making.units for session in plan.sessions for making in session.makings] == [7]
    assert [card.ware.name for card in plan.cards] == ["Pear halves in jars, quart"]


def test_without_a_height_nothing_is_canned_and_the_want_asks(plan_of: PlanOf) -> None:
    """A kitchen whose height nobody has said gets no session with jars."""
    notes = household()
    notes["place.md"] = place(POT, SATURDAYS, QUARTS, kitchens="[{name: upper kitchen}]")
    plan = plan_of(notes, as_of=SEEN)

    assert kitchen(plan).sessions == ()
    assert only_want(plan).short == 14
    assert any("how high the kitchen lies" in words_of(reason, IN_ENGLISH) for reason in only_want(plan).reasons)


def test_a_pot_that_is_away_makes_nothing(plan_of: PlanOf) -> None:
    """A pot lent out for the whole season leaves the want unmet and says so."""
    away = POT.replace("}]", ", away: Jan 1 - Dec 31}]")
    want = only_want(plan_of(household(away, SATURDAYS, QUARTS), as_of=SEEN))

    assert want.planned == 0
    assert any("away" in words_of(reason, IN_ENGLISH) for reason in want.reasons)
    assert any(
        "here on Sat" in text and "14 quarts more" in text
        for text in (words_of(one, IN_ENGLISH) for one in want.remedies)
    )


def test_a_short_day_says_how_many_hours_are_missing(plan_of: PlanOf) -> None:
    """One pair of hands in three hours makes nothing; the plan says what longer would give."""
    day = "kitchen days: [{on: 2027-08-28, hours: 3, hands: 1, kitchen: upper kitchen}]"
    want = only_want(plan_of(household(POT, day, QUARTS), as_of=SEEN))

    assert want.short == 14
    assert any("hours more" in words_of(remedy, IN_ENGLISH) for remedy in want.remedies)


def test_a_sitting_has_the_hours_that_pots_and_hands_can_use(holding_of: Callable[..., Holding]) -> None:
    """Of eight hours pots lose 30 minutes of cleaning up and the 46:40 of the first cut, whose end no change follows.

    Hands lose the cleaning up and the hour of the last load, each of the three; a plan that ran over loses more.
    """
    holding = holding_of(household(POT, SATURDAYS, QUARTS))
    sitting = sittings(holding, WorkingYear(year=2027), SEEN)[0]
    (want,) = holding.place.kitchen_means.wants
    ware = ware_for(holding, want, SEEN)
    assert isinstance(ware, Ware)
    told, less = (session_of(holding, sitting, [ware], shorter) for shorter in (None, {sitting.name: 0.5}))

    assert told.hours * 60 == pytest.approx(480 - 30 - 140 / 3 + 10)
    assert told.hands_hours * 60 == pytest.approx(3 * (480 - 30 - 60))
    assert told.minutes == {ware.name: {"boiling water": 70.0}}
    assert (told.hours - less.hours, told.hands_hours - less.hands_hours) == pytest.approx((0.5, 1.5))


@pytest.mark.parametrize(
    ("want", "loads"),
    [
        ("Pear halves in jars, amount: 14 quarts", [7, 0]),
        ("Pear halves in jars, amount: 14 pints", [9, 0]),
        # Told for larger jars alone, a pot holds no more of the smaller.
        ("Pear halves in jars, amount: 14 half pints", [9, 0]),
        ("Pear halves in jars, amount: 14 jars of 700 ml", [7, 0]),
        ("Pear halves in jars, amount: 3 half gallons", [0, 0]),
        ("Pear halves in jars, amount: 3 jars of 3 l", [0, 0]),
        ("Frozen pears, amount: 3 quarts", [0, 0]),
        # MSU 1997: a pound of dried pears takes 9.3 to 10 lb.
        ("Dried pears, amount: 3 lb", [0, 2]),
    ],
)
def test_what_a_pot_holds_of_each_ware(holding_of: Callable[..., Holding], want: str, loads: list[int]) -> None:
    """A canner is told by its jars, a dryer by the weight of fresh fruit; neither holds what is not for it."""
    dryer = "{name: dryer, kind: dryer, holds: 20 lb, kitchen: upper kitchen}"
    holding = holding_of(household(POT.replace("}]", f"}}, {dryer}]"), SATURDAYS, f"to put up: [{{preserve: {want}}}]"))
    (told,) = holding.place.kitchen_means.wants
    ware = ware_for(holding, told, SEEN)
    assert isinstance(ware, Ware)

    assert [holds(canner, ware) for canner in holding.place.kitchen_means.canners] == loads


def test_a_borrowed_pot_is_used_on_the_days_it_is_here(plan_of: PlanOf) -> None:
    """A pot that is here for one week in September sets the day."""
    borrowed = POT.replace("}]", ", here: Sep 6 - Sep 12}]")
    (session,) = kitchen(plan_of(household(borrowed, SATURDAYS, QUARTS), as_of=SEEN)).sessions

    assert session.day == date(2027, 9, 11)


@pytest.mark.parametrize(
    ("grade", "planned"), [("keepers", 14), ("seconds", 14), ("use now", 0), ("windfalls", 0), ("culls", 0)]
)
def test_windfalls_bruised_fruit_and_culls_stay_out_of_jars(plan_of: PlanOf, grade: str, planned: int) -> None:
    """The careful rule: only sound picked fruit goes into jars."""
    records = f"date,tree,what,amount,note\n2027-08-18,1-01,pick,70 lb {grade},\n"
    saturdays = "kitchen days: [{on: [Saturday, Wednesday, Thursday, Friday], hands: 3, kitchen: upper kitchen}]"
    want = only_want(plan_of(household(POT, saturdays, QUARTS, records=records), as_of=date(2027, 8, 18)))

    assert want.planned == planned


def test_white_peaches_are_refused_whoever_wants_them(plan_of: PlanOf) -> None:
    """A white-fleshed cultivar never goes into jars, though its fruit has a process."""
    notes = household(POT, SATURDAYS, "to put up: [{preserve: Peaches in jars, amount: 7 quarts}]")
    notes["trees/1-01.md"] = "---\ncultivar: White Lady\n---\n"
    want = only_want(plan_of(notes, as_of=SEEN))

    assert want.planned == 0
    assert any("not for jars" in words_of(reason, IN_ENGLISH) for reason in want.reasons)


def test_what_nobody_has_weighed_is_in_no_plan_and_named(plan_of: PlanOf) -> None:
    """A crop without a weight can't be parted into jars; the plan says which."""
    notes = household(POT, SATURDAYS, QUARTS, records="date,tree,what,amount,note\n2027-08-18,1-01,pick,some,\n")
    plan = kitchen(plan_of(notes, as_of=SEEN))

    assert plan.sessions == ()
    assert any(batch.limb.name == "Bartlett" for batch in plan.unweighed)


def test_jars_made_are_taken_off_the_want(plan_of: PlanOf) -> None:
    """A line about jars that names the preserve counts: 7 of 14 quarts are still to be made."""
    records = PICKED + "2027-08-18,1-01,jars,7 quarts,pear halves in jars\n"
    want = only_want(plan_of(household(POT, SATURDAYS, QUARTS, records=records), as_of=SEEN))

    assert (want.made, want.planned, want.short) == (7, 7, 0)


def test_own_lines_set_the_rate_of_work(plan_of: PlanOf) -> None:
    """7 quarts by 2 in 3.5 hours are 60 minutes of one pair of hands a quart."""
    records = PICKED + "2027-08-18,1-01,jars,7 quarts by 2 in 3.5 hours,pear halves in jars\n"
    plan = kitchen(plan_of(household(POT, SATURDAYS, QUARTS, records=records), as_of=SEEN))

    assert [round(m.ware.rate.hand_minutes) for s in plan.sessions for m in s.makings] == [60]


def test_own_lines_tell_how_much_fruit_a_jar_takes(plan_of: PlanOf) -> None:
    """Printed 17.5 lb for 7 quarts, which is 2.5 lb each, and own 7 quarts from 24.5 lb, 3.5 each: 3 lb.

    What is printed counts as one line beside each of the household's; a line without its fruit says nothing.
    """
    of_others = "2027-08-17,1-01,jars,7 quarts from 3 lb,pear butter\n"
    told = PICKED + of_others + "2027-08-18,1-01,jars,7 quarts from 24.5 lb by 2 in 3.5 hours,pear halves in jars\n"
    untold = PICKED + "2027-08-18,1-01,jars,7 quarts,pear halves in jars\n"

    def each_of(records: str) -> tuple[int, float]:
        plan = kitchen(plan_of(household(POT, SATURDAYS, QUARTS, records=records), as_of=SEEN))
        (each,) = {making.ware.each for session in plan.sessions for making in session.makings}
        return each.own, round(float(each.middle_kg / POUND), 2)

    assert each_of(told) == (1, 3.0)
    assert each_of(untold) == (0, 2.5)


def test_supplies_are_what_is_planned_less_what_is_there(plan_of: PlanOf) -> None:
    """14 quarts take 14 new lids and 2 spares; of 10 jars there, 4 are lacking; all a week before the first day."""
    stock = "stock: {jars: [10 quarts], lids: 3}"
    plan = kitchen(plan_of(household(POT, SATURDAYS, QUARTS, stock), as_of=SEEN))

    assert {short.thing: short.to_buy for short in plan.shorts} == {"quart": 4, "lids": 13}
    assert plan.buy_by == max(SEEN, plan.sessions[0].day - timedelta(days=7))


def test_who_buys_nothing_is_limited_by_the_cupboard(plan_of: PlanOf) -> None:
    """With 9 lids and no more to be bought, 9 quarts are made."""
    stock = "stock: {jars: [30 quarts], lids: 9, buy: no}"

    assert only_want(plan_of(household(POT, SATURDAYS, QUARTS, stock), as_of=SEEN)).planned == 9


def test_the_kitchens_days_stand_in_the_calendar(plan_of: PlanOf) -> None:
    """The canning day, the lids the morning after, the take-out, and what to buy are reminders."""
    plan = plan_of(household(POT, SATURDAYS, QUARTS), as_of=SEEN)
    (session,) = kitchen(plan).sessions
    days = {entry.task.key: entry.span.first for entry in plan.calendar.entries if entry.task.reminder}

    assert days["canning-day"] == session.day
    assert days["seal-check"] == session.day + timedelta(days=1)
    assert days["take-out-for-the-kitchen"] == session.day - timedelta(days=5)
    assert days["buy-for-the-kitchen"] == kitchen(plan).buy_by
    assert "put-up" not in days
    assert "check-seals" not in days


def test_without_a_plan_the_shelfs_own_reminders_stand(plan_of: PlanOf) -> None:
    """A household that plans nothing is still told to put up what is ripe and to check the seals."""
    keys = {entry.task.key for entry in plan_of(household(), as_of=SEEN).calendar.entries}

    assert {"put-up", "check-seals"} <= keys
    assert not keys & {"canning-day", "seal-check"}


WIDE = QUARTS.replace("14 quarts", "14 wide-mouth quarts")


def test_lids_are_counted_by_the_width_of_the_mouth(plan_of: PlanOf) -> None:
    """Regular lids close no wide mouth: of 14 needed and 2 spare, 10 are there."""
    stock = "stock: {jars: [10 wide mouth quarts, 20 regular quarts], lids: [10 wide, 50 regular mouth]}"
    plan = kitchen(plan_of(household(POT, SATURDAYS, WIDE, stock), as_of=SEEN))

    assert {short.thing: short.to_buy for short in plan.shorts} == {"wide-mouth quart": 4, "wide-mouth lids": 6}
    assert plan.wants[0].planned == 14


@pytest.mark.parametrize(
    ("lids", "wants", "planned"),
    [
        ("[9 wide, 30 regular]", WIDE, 9),
        ("[9 wide, 3 lids, 30 regular]", WIDE, 12),
        ("[9 wide, 3 regular]", QUARTS, 12),
        ("9", WIDE, 9),
    ],
)
def test_who_buys_no_lids_fills_as_many_jars_as_have_one(plan_of: PlanOf, lids: str, wants: str, planned: int) -> None:
    """A lid whose width is not told fits any jar, and a jar whose width is not told takes any lid."""
    stock = f"stock: {{lids: {lids}, buy: no}}"
    want = only_want(plan_of(household(POT, SATURDAYS, wants, stock), as_of=SEEN))

    assert want.planned == planned
    assert any(
        "lids" in text and f"{14 - planned} more" in text
        for text in (words_of(one, IN_ENGLISH) for one in want.remedies)
    )


# Ripeness, room and pots


def on_days(*days: str, hands: int = 3, hours: int = 8) -> str:
    told = ", ".join(days)
    return f"kitchen days: [{{on: [{told}], hours: {hours}, hands: {hands}, kitchen: upper kitchen}}]"


OUT = PICKED + "2027-08-21,1-01,taken out,70 lb,\n"
"""All taken out on the 21st: ready on the 26th, good until the 28th."""
SAUCE = "---\nname: Pear sauce\nfruits: [european-pear]\nmethod: freezer\nstage: ripe\ntakes: 3 lb for 1 quart\n---\n"


@pytest.mark.parametrize(
    ("day", "preserve", "planned"),
    [
        ("2027-08-26", "Pear halves in jars", 14),
        ("2027-08-27", "Pear halves in jars", 14),
        ("2027-08-28", "Pear halves in jars", 0),
        ("2027-08-28", "Pear sauce", 14),
        ("2027-08-29", "Pear sauce", 0),
    ],
)
def test_halves_want_firm_fruit_and_sauce_takes_riper(plan_of: PlanOf, day: str, preserve: str, planned: int) -> None:
    """Halves are put up in the first half of the days that ripe fruit is good, sauce until the last of them."""
    wants = f"to put up: [{{preserve: {preserve}, amount: 14 quarts}}]"
    notes = household(POT, on_days(day), wants, records=OUT, preserves__sauce=SAUCE)

    assert only_want(plan_of(notes, as_of=date(2027, 8, 21))).planned == planned


def test_only_what_was_taken_out_can_be_ready_before_the_rest(plan_of: PlanOf) -> None:
    """Of 70 lb 10 were taken out for Thursday: four quarts then, and no more."""
    records = PICKED + "2027-08-21,1-01,taken out,10 lb,\n"
    want = only_want(plan_of(household(POT, on_days("2027-08-26"), QUARTS, records=records), as_of=date(2027, 8, 24)))

    assert want.planned == 4


@pytest.mark.parametrize(
    ("fridge", "floor", "planned"),
    [
        ("", "", 14),
        # The fridge keeps what is held in it past its two days there; 20 lb of pears are 8 quarts.
        (", holds: 20 lb", "", 8),
        # The floor holds what ripens; 10 lb are 4 quarts.
        ("", ", holds: 10 lb", 4),
        (", holds: 20 lb", ", holds: 10 lb", 4),
    ],
)
def test_fruit_waits_only_where_there_is_room_for_it(plan_of: PlanOf, fridge: str, floor: str, planned: int) -> None:
    """Fruit that is held for the kitchen needs room in the cold and then on the counter."""
    notes = household(POT, SATURDAYS, QUARTS)
    notes["place.md"] = (
        notes["place.md"]
        .replace("temperature: 31 F", f"temperature: 31 F{fridge}")
        .replace("temperature: 66 F", f"temperature: 66 F{floor}")
    )
    notes["place.md"] = notes["place.md"].replace(SATURDAYS, on_days("2027-08-28"))

    assert only_want(plan_of(notes, as_of=SEEN)).planned == planned


def test_what_else_lies_there_takes_its_room(plan_of: PlanOf) -> None:
    """Pears that nobody puts up ripen on the same floor and leave room for fewer."""
    notes = household(POT, on_days("2027-08-28"), QUARTS.replace("amount", "cultivar: Bartlett, amount"))
    notes["place.md"] = notes["place.md"].replace("temperature: 66 F", "temperature: 66 F, holds: 40 lb")
    alone = only_want(plan_of(notes, as_of=SEEN)).planned
    notes["trees/1-02.md"] = "---\ncultivar: Sister\n---\n"
    notes["cultivars/sister.md"] = (
        notes["cultivars/bartlett.md"].replace("Bartlett", "Sister").replace("5 days", "9 days")
    )
    notes["records/2027.csv"] += "2027-08-18,1-02,pick,20 lb,\n2027-08-20,1-02,taken out,20 lb,\n"

    assert alone == 14
    assert only_want(plan_of(notes, as_of=date(2027, 8, 20))).planned == 8


def test_more_than_one_pot_shares_a_want(plan_of: PlanOf) -> None:
    """Four loads in one afternoon need the second pot; a borrowed one counts only while it is here."""
    one = "{name: pot, kind: boiling water, holds: 7 quarts, kitchen: upper kitchen}"
    lent = "{name: lent pot, kind: boiling water, holds: 7 quarts, kitchen: upper kitchen, here: Aug 27 - Aug 29}"
    wants = "to put up: [{preserve: Pear halves in jars, amount: 28 quarts}]"
    day = on_days("2027-08-28", hands=6, hours=5)
    later = on_days("2027-09-04", hands=6, hours=5)
    plans = [
        plan_of(household(f"canners: [{pots}]", on, wants), as_of=SEEN)
        for pots, on in ((one, day), (f"{one}, {lent}", day), (f"{one}, {lent}", later))
    ]
    single, both, gone = (only_want(plan).planned for plan in plans)
    (making,) = [making for session in kitchen(plans[1]).sessions for making in session.makings]

    assert 14 <= single == gone < both == 28
    assert {pot.canner.name for pot in making.pots} == {"pot", "lent pot"}
    assert sum(sum(pot.loads) for pot in making.pots) == 28


def test_what_no_load_is_printed_for_asks_for_the_households_own(plan_of: PlanOf) -> None:
    """Pear jam has no printed weight; with the household's own figure it is planned."""
    wants = "to put up: [{preserve: Pear jam with pectin, amount: 8 half pints}]"
    canners = POT.replace("9 pints", "12 half pints")
    plain = plan_of(household(canners, SATURDAYS, wants), as_of=SEEN)
    asked = only_want(plain)
    own = "---\ntakes: 3 lb for 8 half pints\n---\n"
    told = only_want(plan_of(household(canners, SATURDAYS, wants, **{"preserves__pear-jam": own}), as_of=SEEN))

    assert asked.planned == 0
    assert any("takes:" in words_of(reason, IN_ENGLISH) for reason in asked.reasons)
    assert told.planned == 8
    page = make_site(plain, EXAMPLE.parents[1] / "themes" / "plain")["preserves/pear-jam.html"].decode()
    assert "found printed nowhere" in page


def test_a_recipe_of_several_fruits_is_reckoned_by_the_first(plan_of: PlanOf) -> None:
    """Pear-apple jam by its pears, 2 lb to a batch; of fruit cocktail the peaches count, which are not there."""
    canners = POT.replace("9 pints", "9 pints, 12 half pints")
    two = "{preserve: Pear-apple jam, amount: 8 half pints}, {preserve: Fruit cocktail in jars, amount: 6 pints}"
    wants = f"to put up: [{two}]"
    jam, cocktail = kitchen(plan_of(household(canners, SATURDAYS, wants), as_of=SEEN)).wants

    assert (jam.planned, cocktail.planned) == (8, 0)
    assert "no fruit" in " ".join(words_of(reason, IN_ENGLISH) for reason in cocktail.reasons)


# The example, as a whole: no plan breaks a rule


def test_the_examples_plan_keeps_every_rule(example_plan: Plan) -> None:
    """Fruit, pots, hours, heights and grades: nothing is used twice, too full, too long or where it must not."""
    holding, plan = example_plan.holding, kitchen(example_plan)
    used: dict[str, float] = defaultdict(float)
    for session in plan.sessions:
        assert session.start <= session.timetable.latest_start
        assert session.timetable.end <= session.last <= time(21)
        for making in session.makings:
            preserve = making.ware.preserve
            for fruit in making.fruit:
                used[f"{fruit.batch.bearing}{fruit.batch.picking}{fruit.batch.grade}"] += fruit.kg
                assert not why_not(fruit.batch.grade, preserve)
                assert fruit.batch.grade is not Grade.CULLS
                assert fruit.out <= session.day
            for pot in making.pots:
                assert pot.canner.kitchen == session.kitchen.name
                if pot.canner.kind is PotKind.DRYER or preserve.process is None or making.ware.jar is None:
                    continue
                stove = Stove(height_m=session.kitchen.elevation_m, kind=pot.canner.kind, gauge=pot.canner.gauge)
                assert look_up(holding.processes, preserve.process.value, making.ware.jar, stove) == pot.published
                assert max(pot.loads) <= max(pot.canner.holds.values())
    for lot in example_plan.lots.values():
        for batch in lot.batches:
            kg = left_kg(batch, example_plan.season.as_of)
            name = f"{batch.bearing}{batch.picking}{batch.grade}"
            assert used[name] == 0 or (kg is not None and used[name] <= float(kg) + 0.1)


def test_the_example_tells_what_is_short_and_why(example_plan: Plan) -> None:
    """Every want that is not met has a reason or a remedy."""
    short = [want for want in kitchen(example_plan).wants if want.short]

    assert short
    assert all(want.reasons or want.remedies for want in short)


def test_the_examples_plan_is_proven_the_best(example_plan: Plan) -> None:
    """The search comes to its end by itself, far from the clock, so that every computer makes the same site."""
    assert kitchen(example_plan).gap == 0
    assert not kitchen(example_plan).ran_out


def test_pots_stand_side_by_side(plan_of: PlanOf) -> None:
    """With two pots and time for one to do it all, each takes two of the four loads."""
    two = "canners: [{name: a, kind: boiling water, holds: 7 quarts}, {name: b, kind: boiling water, holds: 7 quarts}]"
    notes = household(two, SATURDAYS, QUARTS.replace("14", "28"))
    (making,) = [making for session in kitchen(plan_of(notes, as_of=SEEN)).sessions for making in session.makings]

    assert [pot.loads for pot in making.pots] == [(7, 7), (7, 7)]


def test_a_search_that_the_clock_ended_says_so() -> None:
    """Without time there is still a plan, and it is told that another computer may find a better one."""
    two = means(supplies=(supply(kg=9), supply("Bosc", kg=8)), products=(product("quarts", "Bartlett", "Bosc"),))
    found = fit(two, time_limit_s=0.0)

    assert found.ran_out
    assert not fit(two).ran_out
    assert is_no_worse(goals_of(fit(two)), goals_of(found))


def test_remedies_end_after_so_many_searches() -> None:
    """Hands are short: more of them would help, which takes searches to find out."""
    short = means(sessions=(one_session(hands_hours=3.5),))
    found = fit(short)

    assert relax(short, found, searches=0) == ()
    assert next((remedy.lack, remedy.gains) for remedy in relax(short, found)) == (Lack.HANDS, {"quarts": 7})


def test_a_plan_is_the_same_in_whatever_order_notes_are_read(example_plan: Plan) -> None:
    """The same notes give the same plan again."""
    again = make_plan(read_holding(EXAMPLE, SHELF), 2027, example_plan.season.as_of)

    assert again.kitchen == example_plan.kitchen


def test_asking_for_help_loads_no_solver() -> None:
    """The solver is loaded only where a plan is fitted."""
    code = "import sys, firmripe.cli; sys.exit('highspy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], check=False)  # noqa: S603

    assert done.returncode == 0


@pytest.mark.usefixtures("nothing_kept")
def test_without_a_solver_no_day_is_chosen_and_all_else_stands(
    plan_of: PlanOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """For some old and small computers the solver is not made: the page says so, and dates and store are the same."""
    notes = household(POT, SATURDAYS, QUARTS)
    with_one = plan_of(notes, as_of=SEEN)
    monkeypatch.setitem(sys.modules, "highspy", None)
    monkeypatch.delitem(sys.modules, "firmripe.kitchen.fit.highs", raising=False)
    monkeypatch.setattr("firmripe.kitchen.fit.best.simple", lambda _: None)
    without = plan_of(notes, as_of=SEEN)

    assert kitchen(with_one).is_searched
    assert not kitchen(without).is_searched
    assert kitchen(without).sessions == ()
    assert only_want(without).short == 14
    assert without.season.dates == with_one.season.dates
    page = make_site(without, EXAMPLE.parents[1] / "themes" / "box-tag")["kitchen.html"].decode()
    assert "This computer has no solver for the kitchen plan" in page


def test_what_is_ripe_from_the_tree_stays_in_the_cold_until_its_day(plan_of: PlanOf) -> None:
    """Asian pears need no days on the counter: put up five weeks after the pick they lie in the fridge till then."""
    day = date(2027, 9, 25)
    notes = household(
        POT,
        "kitchen days: [{on: 2027-09-25, start: 9:00, hours: 8, hands: 3, kitchen: upper kitchen}]",
        "to put up: [{preserve: Asian pears in jars, amount: 9 pints}]",
    )
    plan = plan_of({**notes, "trees/1-01.md": "---\nfruit: asian-pear\n---\n"}, as_of=SEEN)
    (session,) = kitchen(plan).sessions

    assert {used.out for making in session.makings for used in making.fruit} == {day}
    assert [out.day for out in kitchen(plan).take_outs] == [day]


def test_nothing_is_put_up_that_nobody_noted_as_picked(plan_of: PlanOf) -> None:
    """Once the last good day to pick is over, the kitchen waits with all that follows, and says for what."""
    notes = household(POT, SATURDAYS, QUARTS, records=PICKED.splitlines()[0] + "\n")
    before = plan_of(notes, as_of=date(2027, 8, 10))
    (last,) = (one.until for one in plan_of(notes, as_of=date(2027, 9, 20)).asked)
    after = plan_of(notes, as_of=last + timedelta(days=1))
    noted = plan_of({**notes, "records/2027.csv": PICKED}, as_of=last + timedelta(days=1))

    assert kitchen(before).sessions
    assert kitchen(noted).sessions
    assert (kitchen(after).sessions, kitchen(after).take_outs, kitchen(after).unweighed) == ((), (), ())
    assert not [entry for entry in after.calendar.entries if entry.task.when.stage in OF_THE_KITCHEN]
    (want,) = kitchen(after).wants
    assert [words_of(why, IN_ENGLISH) for why in want.reasons] == [
        "nobody noted whether it was picked: Bartlett (1-01)"
    ]
    pages = make_site(after, EXAMPLE.parents[1] / "themes" / "box-tag")
    assert "Waits for the answer to “Was it picked?”, and so in no plan: Bartlett" in pages["kitchen.html"].decode()
    assert "Put up" in pages["index.html"].decode()
