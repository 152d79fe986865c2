"""A household's own jars, pots and rooms: counted by volume, timed as told, in no row that is not printed for them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from kitchen_notes import POT, SATURDAYS, household

from firmripe.holding.holding import Holding
from firmripe.holding.jar import parse_jar, parse_takes
from firmripe.holding.kitchen import PotKind, Stock
from firmripe.kitchen.plan.kitchen_plan import KitchenPlan
from firmripe.kitchen.plan.timetable import IntoPot
from firmripe.kitchen.plan.wanted import made_so_far
from firmripe.kitchen.tables.amounts import shorts
from firmripe.kitchen.tables.pot_times import cycle
from firmripe.plan import Plan
from firmripe.tongue import IN_ENGLISH
from firmripe.units import Interval
from firmripe.wording import words_of
from firmripe.wording.calendar import beside_job

PlanOf = Callable[..., Plan]
HoldingOf = Callable[..., Holding]
DAY = date(2027, 8, 19)
HALF_LITRES = "takes: 9 kg for 14 jars of 500 ml"


def kitchen(plan: Plan) -> KitchenPlan:
    """Return the kitchen plan of a household that has one."""
    assert plan.kitchen is not None
    return plan.kitchen


def test_fruit_is_told_for_jars_of_half_a_litre() -> None:
    """Also as `14 500 ml`; a jar is what it holds."""
    takes = parse_takes("9 kg for 14 jars of 500 ml")

    assert takes.jar is not None
    assert (float(takes.fruit.middle), float(takes.middle), takes.jar.millilitres) == (9.0, 14.0, 500.0)
    assert parse_takes("9 kg for 14 500 ml") == takes


def test_jars_are_counted_by_volume(plan_of: PlanOf) -> None:
    """Told for half litres, quarts (946 ml) take 946/500 of it: seven of them 8.5 kg of the 9 kg for fourteen."""
    wants = "to put up: [{preserve: Pear halves in jars, amount: 7 quarts}]"
    files = household(POT, SATURDAYS, wants, preserves__pear_halves="---\n" + HALF_LITRES + "\n---\n")
    files["preserves/pear-halves.md"] = files.pop("preserves/pear_halves.md")
    (making,) = kitchen(plan_of(files, as_of=DAY)).sessions[0].makings

    assert sum(used.kg for used in making.fruit) == pytest.approx(9 * 7 * 946.353 / (14 * 500), rel=0.01)


def test_a_jar_of_a_litre_goes_into_no_row(plan_of: PlanOf) -> None:
    """No time is printed for more than a quart (AIB 539, guide 2): smaller jars, said with the reason."""
    two = "{preserve: Pear halves in jars, amount: 5 jars of 1 l}, {preserve: Frozen pears, amount: 4 jars of 1 l}"
    wants = f"to put up: [{two}]"
    plan = kitchen(plan_of(household(POT, SATURDAYS, wants), as_of=DAY))
    canned, frozen = plan.wants

    assert (canned.planned, frozen.planned) == (0, 4)
    assert not plan.cards
    reason = words_of(canned.reasons[0], IN_ENGLISH)
    assert "nothing is printed for pears, halved, hot pack in a jar of this size" in reason
    assert reason.endswith("; take pints or quarts")


MADE = """date,tree,cultivar,what,amount,note
2026-08-18,1-01,,jars,1 quart,pear halves in jars
2027-08-17,1-01,,jars,2 quarts by 2 in 1 hour,pear halves in jars
2027-08-17,1-02,,jars,4 quarts from 10 lb,pear halves in jars
2027-08-18,1-03,Bartlett,jars,8 quarts from 20 lb by 2 in 3 hours,pear halves in jars
2027-08-18,1-03,Bosc,jars,16 quarts in 4 hours,pear halves in jars
2027-08-18,1-02,,jars,32 pints,pear halves in jars
2027-08-18,1-02,,jars,64 wide-mouth quarts,pear halves in jars
2027-08-18,1-02,,jars,128 quarts,frozen pears
2027-08-18,1-02,,jars,,pear halves in jars
2027-08-18,,,jars,256 quarts,dried pears
2027-08-20,1-02,,jars,500 quarts,pear halves in jars
"""
"""A Bartlett 1-01, a Bosc 1-02, and a tree 1-03 of both; each line has jars that no sum of others comes to."""


@pytest.mark.parametrize(
    ("want", "made"),
    [
        ("preserve: Pear halves in jars, amount: 40 quarts", 2 + 4 + 8 + 16),
        ("preserve: Pear halves in jars, cultivar: Bartlett, amount: 40 quarts", 2 + 8),
        ("preserve: Pear halves in jars, cultivar: Bosc, amount: 40 quarts", 4 + 16),
        ("preserve: Pear halves in jars, amount: 40 pints", 32),
        # A jar of which nobody noted the width may be one of these.
        ("preserve: Pear halves in jars, cultivar: Bosc, amount: 40 wide-mouth quarts", 4 + 16 + 64),
        # What is dried is wanted by the pound, and no jar tells how many pounds are in it.
        ("preserve: Dried pears, amount: 3 lb", 0),
    ],
)
def test_jars_are_taken_off_the_want_that_they_were_made_for(holding_of: HoldingOf, want: str, made: int) -> None:
    """However a line tells of fruit and hands: of this season, preserve, size and fruit, and not of days to come."""
    notes = household(POT, SATURDAYS, f"to put up: [{{{want}}}]", records=MADE)
    notes["trees/1-02.md"] = "---\ncultivar: Bosc\n---\n"
    notes["trees/1-03.md"] = "---\nlimbs: [Bartlett, Bosc]\n---\n"
    holding = holding_of(notes)
    (told,) = holding.place.kitchen_means.wants

    assert made_so_far(holding, told, 2027, DAY) == made


def test_jars_that_were_noted_have_used_up_lids_and_jars(plan_of: PlanOf) -> None:
    """What went into the freezer took none."""
    records = (
        "date,tree,what,amount,note\n2027-08-18,1-01,pick,70 lb,\n"
        '2027-08-19,,jars,4 quarts,Pear halves in jars\n2027-08-19,,jars,3 quarts,"Pears, frozen"\n'
    )
    wants = "to put up: [{preserve: Pear halves in jars, amount: 18 quarts}]"
    stock = "stock: {jars: [10 quarts], lids: 12}"
    shorts = {
        s.thing: s for s in kitchen(plan_of(household(POT, SATURDAYS, wants, stock, records=records), as_of=DAY)).shorts
    }

    assert shorts["lids"].there == 8
    assert shorts["quart"].there == 6


@pytest.mark.parametrize(
    ("lids", "lids_of", "to_buy"),
    [
        (20, {"wide": 20}, {"wide-mouth lids": 0, "lids": 0}),  # 14 wide ones are left for the eight jars
        (10, {"wide": 10}, {"wide-mouth lids": 0, "lids": 5}),  # four are left, of nine that are needed
        (8, {"wide": 4}, {"wide-mouth lids": 0, "lids": 7}),  # two of the four untold ones go to the wide jars
        (9, {"wide": 2, "regular": 7}, {"wide-mouth lids": 4, "lids": 2}),  # regular ones close no wide jar
        (None, {}, {"wide-mouth lids": 6, "lids": 9}),
    ],
)
def test_lids_that_are_left_over_close_jars_of_untold_width(
    lids: int | None, lids_of: dict[str, int], to_buy: dict[str, int]
) -> None:
    """Five wide jars and one spare lid, eight of untold width and one spare: no lid is counted for two jars."""
    wide, untold = parse_jar("wide mouth quart"), parse_jar("quart")
    found = shorts({wide: 5, untold: 8}, Stock(lids=lids, lids_of=lids_of))

    assert {short.thing: short.to_buy for short in found if short.thing.endswith("lids")} == to_buy


def test_a_pots_own_minutes_move_the_clock_and_never_the_process(plan_of: PlanOf) -> None:
    """An hour and a half to the first load, and an hour to the boil; the full boil is as long as before."""
    wants = "to put up: [{preserve: Pear halves in jars, amount: 7 quarts}]"
    slow = POT.replace("kitchen: upper", "first boil: 90 minutes, to the boil: 60 minutes, kitchen: upper")
    usual, timed = (
        kitchen(plan_of(household(pot, SATURDAYS, wants), as_of=DAY)).sessions[0].timetable for pot in (POT, slow)
    )
    into = [step for step in timed.steps if isinstance(step.what, IntoPot)]

    assert [step.what for step in into] == [step.what for step in usual.steps if isinstance(step.what, IntoPot)]
    assert f"{into[0].at:%H:%M}" == "10:30"
    assert timed.end > usual.end
    assert cycle(30, PotKind.BOILING_WATER, Interval(low=60, high=60)).middle == 60 + 30 + 5


def test_how_warm_the_house_is_reaches_the_words_of_the_job(plan_of: PlanOf) -> None:
    """At 82 °F pears ripen poorly (above 75 °F, as the shelf has it): the job to take them out says so."""
    files = household()
    files["place.md"] = files["place.md"].replace("temperature: 66 F", "temperature: 82 F")
    told = [beside_job(IN_ENGLISH, e) for e in plan_of(files, as_of=DAY).calendar.entries if e.task.key == "take-out"]

    assert told
    assert all("The kitchen floor is 82 °F (28 °C), where it ripens poorly" in words for words in told)
