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
        # A wide-mouth quart is a quart, and one of any width is wanted.
        ("preserve: Pear halves in jars, amount: 140 quarts", 2 + 4 + 8 + 16 + 64),
        ("preserve: Pear halves in jars, cultivar: Bartlett, amount: 40 quarts", 2 + 8),
        ("preserve: Pear halves in jars, cultivar: Bosc, amount: 140 quarts", 4 + 16 + 64),
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

    assert made_so_far(holding, holding.place.kitchen_means.wants, 2027, DAY) == [made]


@pytest.mark.parametrize(
    ("wants", "made"),
    [
        # Twice the same, in the order they are wanted in: fourteen are of the first seven and of the next.
        (("7 quarts", "20 quarts"), [7, 7]),
        # What is made beyond all that is wanted stands with the first.
        (("5 quarts", "2 quarts"), [12, 2]),
        (("all", "20 quarts"), [14, 0]),
        # Wide ones are of the want of wide ones, then of one that asks for no width, and never of the regular one.
        (("9 quarts", "4 wide-mouth quarts", "9 regular quarts"), [9, 5, 0]),
        (("20 quarts, cultivar: Bosc", "20 quarts, cultivar: Bartlett"), [0, 14]),
        (("20 quarts", "20 quarts, cultivar: Bartlett"), [0, 14]),
    ],
)
def test_no_jar_that_was_made_counts_for_two_wants(
    holding_of: HoldingOf, wants: tuple[str, ...], made: list[int]
) -> None:
    """Fourteen quarts of Bartlett, five of them with wide mouths: each is of the want that it was made for."""
    told = ", ".join(f"{{preserve: Pear halves in jars, amount: {want}}}" for want in wants)
    told = told.replace("amount: all", "amount: all, jar: quart")
    lines = [f"2027-08-18,1-01,,jars,{jars},pear halves in jars\n" for jars in ("9 quarts", "5 wide-mouth quarts")]
    records = "date,tree,cultivar,what,amount,note\n" + "".join(lines)
    notes = household(POT, SATURDAYS, f"to put up: [{told}]", records=records)
    notes["trees/1-02.md"] = "---\ncultivar: Bosc\n---\n"
    holding = holding_of(notes)

    assert made_so_far(holding, holding.place.kitchen_means.wants, 2027, DAY) == made


def test_a_line_means_the_preserve_that_it_names_in_full(holding_of: HoldingOf) -> None:
    """Peaches in jars, raw pack, are no Peaches in jars, nor is frozen applesauce what is called applesauce."""
    wants = ("Peaches in jars", '"Peaches in jars, raw pack"', "Applesauce in jars", '"Applesauce, frozen"')
    told = ", ".join(f"{{preserve: {want}, amount: 40 quarts}}" for want in wants)
    named = ('"Peaches in jars, raw pack"', "peaches in jars", '"applesauce, frozen"', "applesauce and peaches in jars")
    lines = [f"2027-08-18,1-01,,jars,{2**n} quarts,{note}\n" for n, note in enumerate(named)]
    records = "date,tree,cultivar,what,amount,note\n" + "".join(lines)
    holding = holding_of(household(POT, SATURDAYS, f"to put up: [{told}]", records=records))

    assert made_so_far(holding, holding.place.kitchen_means.wants, 2027, DAY) == [2 + 8, 1, 8, 4]


@pytest.mark.parametrize(
    ("stock", "want", "planned", "to_buy"),
    [
        ("24 wide-mouth quarts", "14 quarts", 14, {"quart": 0}),
        ("[6 wide-mouth quarts, 4 regular quarts, 2 quarts]", "14 quarts", 12, {"quart": 0}),
        ("[6 wide-mouth quarts, 4 regular quarts, 2 quarts]", "14 wide-mouth quarts", 8, {"wide-mouth quart": 0}),
        ("24 regular quarts", "14 wide-mouth quarts", 0, {}),
        ("24 wide-mouth pints", "14 quarts", 0, {}),
    ],
)
def test_a_jar_of_any_width_is_wanted_or_one_of_its_own(
    plan_of: PlanOf, stock: str, want: str, planned: int, to_buy: dict[str, int]
) -> None:
    """Who buys nothing fills the jars that are there, whatever their width where none is asked for."""
    wants = f"to put up: [{{preserve: Pear halves in jars, amount: {want}}}]"
    plan = kitchen(plan_of(household(POT, SATURDAYS, wants, f"stock: {{jars: {stock}, buy: no}}"), as_of=DAY))

    assert plan.wants[0].planned == planned
    assert {one.thing: one.to_buy for one in plan.shorts if not one.thing.endswith("lids")} == to_buy


def test_no_jar_of_the_stock_is_counted_for_two_wares() -> None:
    """Twelve wide ones take ten and two untold; what asks for no width has the other two and a regular one."""
    wide, regular, quart = (parse_jar(name) for name in ("wide mouth quart", "regular quart", "quart"))
    stock = Stock(jars={"wide-mouth quart": 10, "quart": 4, "regular-mouth quart": 3})
    found = {one.thing: one.there for one in shorts({wide: 12, regular: 2, quart: 9}, stock) if one.thing != "lids"}

    assert [found[jar.name] for jar in (wide, regular, quart)] == [12, 3, 3]


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
