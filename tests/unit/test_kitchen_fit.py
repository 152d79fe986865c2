"""The kitchen's fitting: bounds without whole numbers are proof, where whole ones miss them no rule gives way."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from kitchen_rules import breaches, day, goals_of, is_no_worse, means, pot, product, session, small_means, supply
from msgspec.structs import replace

from firmripe.kitchen.fit.best import Wanting, fit
from firmripe.kitchen.fit.means import Demand, Lying, Means
from firmripe.kitchen.fit.outcome import Fit
from firmripe.kitchen.fit.programme import KitchenProgramme
from firmripe.kitchen.fit.reading_off import fit_of
from firmripe.kitchen.fit.simple import simple
from firmripe.kitchen.fit.solving import Search, relaxation
from firmripe.kitchen.fit.ways import Ways

sys.path.append(str(Path(__file__).parents[1] / "bench"))
from bench_kitchen import household

SECONDS = 60.0


def test_wants_of_the_same_fruit_take_it_in_their_order() -> None:
    """Seven quarts and seven pints of two lots: quarts, which come first, take the lot that is first by name."""
    both = ("Bartlett", "Bosc")
    found = fit(
        means(
            supplies=(supply("Bosc", 7), supply("Bartlett", 7)),
            products=(product("quarts", *both), product("pints", *both)),
            sessions=(session(minutes={"quarts": {"canner": 60.0}, "pints": {"canner": 60.0}}),),
            wants=tuple(Demand(name=n, product=n, units=7, rank=rank) for rank, n in enumerate(("quarts", "pints"))),
        )
    )
    taken = {one.product: [(part.supply, round(part.kg, 3)) for part in one.taken] for one in found.assigned}

    assert taken == {"quarts": [("Bartlett", 7.0)], "pints": [("Bosc", 7.0)]}


def half_a_load() -> Means:
    """Return an hour and a half of one pot for loads of an hour: parts of loads would meet half of the second want."""
    both = ("Bartlett",)
    return means(
        products=(product("quarts", *both), product("pints", *both)),
        sessions=(session(hours=1.5, minutes={"quarts": {"canner": 60.0}, "pints": {"canner": 60.0}}),),
        wants=tuple(Demand(name=n, product=n, units=7, rank=rank) for rank, n in enumerate(("quarts", "pints"))),
    )


def test_where_whole_loads_miss_the_bound_the_best_is_still_proven() -> None:
    """The first want is met, the second not at all; that no plan does more is proven, though half a load would."""
    found = fit(half_a_load())

    assert found.met == {"quarts": 7, "pints": 0}
    assert found.gap == 0
    assert breaches(half_a_load(), found) == []


def test_nothing_keeps_to_a_bound_that_only_parts_of_loads_reach() -> None:
    """One search for all goals at their bounds finds nothing and changes nothing."""
    kitchen = KitchenProgramme(Ways(half_a_load()))
    search = Search(kitchen.programme, SECONDS)
    before = list(search.values)
    *good, peak = kitchen.good()

    assert search.at_once([*kitchen.wanted(), *good], peak) is None
    assert search.values == before


def test_what_more_would_meet_is_ruled_out_by_parts_and_by_whole_loads() -> None:
    """Parts of loads might gain, whole ones gain nothing; what is met already is reached, one more is not."""
    wanting = Wanting(half_a_load(), SECONDS)

    assert wanting.may_gain([7, 0])
    assert not wanting.may_gain([7, 3])
    assert wanting.most() == [7, 0]
    assert wanting.reaches([7, 0])
    assert not wanting.reaches([7, 1])
    assert not wanting.reaches([7, 7])


def test_no_hours_count_in_a_session_that_is_not_held() -> None:
    """Twenty hours of hands in two sessions of ten: without whole numbers, too, both must be held for them."""
    two = means(
        supplies=(supply(kg=40, on={0: 1.0, 1: 1.0}),),
        sessions=(session(), session("Sunday", 1)),
        pots=(pot(), pot("second")),
        wants=(Demand(name="quarts", product="quarts", units=40, rank=1),),
    )
    kitchen = KitchenProgramme(Ways(two))
    relaxed = relaxation(kitchen.programme)
    (want,) = kitchen.wanted()
    _, sessions, *_ = kitchen.good()
    relaxed.keep((40.0, want.terms, 40.0))

    assert relaxed.most(sessions.terms) == pytest.approx(-2)
    assert fit(two).sessions == ("Saturday", "Sunday")


@settings(max_examples=60)
@given(small_means())
def test_no_plan_comes_to_more_than_its_bounds_without_whole_numbers(drawn: Means) -> None:
    """What parts of jars, loads and sessions come to, each want at its best after those before, bounds every plan."""
    ways = Ways(drawn)
    if simple(ways) is not None:
        return
    kitchen = KitchenProgramme(ways)
    relaxed, found = relaxation(kitchen.programme), fit(drawn)
    for aim in kitchen.wanted():
        most = relaxed.most(aim.terms)
        assert most is not None
        assert found.met[aim.name] <= most + 1e-4
        relaxed.keep((found.met[aim.name] - 1e-4, aim.terms, float("inf")))


def as_large(drawn: Means) -> KitchenProgramme:
    """Return the programme of some means as if their ways were many."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("firmripe.kitchen.fit.programme.FEW", 0)
        return KitchenProgramme(Ways(drawn))


def near_parts(drawn: Means) -> Fit | None:
    """Return the plan of whole numbers near their parts, as large kitchens have it; None where none is found."""
    kitchen = as_large(drawn)
    search = Search(kitchen.programme, SECONDS)
    wanted = kitchen.wanted()
    *good, peak = kitchen.good()
    reached = search.near_parts([*wanted, *good], peak, kitchen.by_session())
    if reached is None:
        return None
    bounds = [one.bound for number, one in enumerate(reached) if number != len(wanted) + 2]
    for aim, settled in (kitchen.fewest_loads(), kitchen.by_name()):
        search.follow(aim, SECONDS, fixed=settled)
    return fit_of(kitchen.ways, kitchen.chosen(search.values), bounds)


@settings(max_examples=150)
@given(small_means())
def test_whole_numbers_near_their_parts_keep_every_rule(drawn: Means) -> None:
    """Such a plan breaks no rule, is no better than the best, and is as good where it says so."""
    if simple(Ways(drawn)) is not None:
        return
    found, best = near_parts(drawn), fit(drawn)
    if found is None:
        return

    assert breaches(drawn, found) == []
    assert is_no_worse(goals_of(best), goals_of(found))
    assert is_no_worse(tuple(goal.bound for goal in found.goals), goals_of(best))
    if not found.gap:
        assert is_no_worse(goals_of(found), goals_of(best))


def test_whole_numbers_near_their_parts_tell_what_they_miss() -> None:
    """Parts of a load would meet five of the second want in the last half hour; a whole one finds no time."""
    minutes = {"quarts": {"canner": 60.0}, "pints": {"canner": 40.0}}
    found = near_parts(replace(half_a_load(), sessions=(session(hours=1.5, minutes=minutes),)))
    assert found is not None

    assert found.met == {"quarts": 7, "pints": 0}
    assert [goal.bound for goal in found.goals][:2] == [7, 5]


def test_a_large_kitchen_is_planned_near_its_bounds() -> None:
    """Forty lots and twelve days: more ways than few, no rule broken, and every goal near what is proven of it."""
    large = household(40, 12, seed=5)
    found = fit(large)

    assert not KitchenProgramme(Ways(large)).is_small
    assert breaches(large, found) == []
    assert found.gap < 0.005


def test_a_pot_takes_whole_loads_of_what_takes_longest() -> None:
    """Four hours and a quarter have room for five loads of 45 minutes or more, and for no part of a sixth."""
    both = ("Bartlett",)
    kitchen = as_large(
        means(
            supplies=(supply(kg=90),),
            products=(product("quarts", *both), product("pints", *both)),
            sessions=(
                session(hours=4.25, hands_hours=90.0, minutes={"quarts": {"canner": 55.0}, "pints": {"canner": 45.0}}),
            ),
            wants=tuple(Demand(name=n, product=n, units=60, rank=rank) for rank, n in enumerate(("quarts", "pints"))),
        )
    )

    assert relaxation(kitchen.programme).most(kitchen.together().terms) == pytest.approx(35)


def test_a_goal_tells_the_bound_above_it_and_none_below() -> None:
    """One quart more that is not ruled out is a gap of a fifteenth; a bound that lies below a value is that value."""
    ways = Ways(means())
    chosen = simple(ways)
    assert chosen is not None
    best = fit_of(ways, chosen)
    more, less = ([goal.value + step for goal in best.goals] for step in (1.0, -1.0))

    assert fit_of(ways, chosen, more).goals[0].gap == pytest.approx(1 / 15)
    assert fit_of(ways, chosen, less).gap == best.gap == 0


def test_other_fruit_takes_its_room_on_its_days_alone() -> None:
    """Of ten kilograms four are taken for two days; what is beyond full has no room, and not less than none."""
    lying = (
        Lying(space="cold", first=day(0), last=day(1), kg=4.0),
        Lying(space="cold", first=day(1), last=day(1), kg=9.0),
        Lying(space="other", first=day(0), last=day(2), kg=9.0),
    )
    ways = Ways(means(spaces={"cold": 10.0}, lying=lying))

    assert [ways.free("cold", day(n)) for n in range(-1, 3)] == [10.0, 6.0, 0.0, 10.0]


def test_what_needs_no_pot_is_made_only_where_it_is_named() -> None:
    """Frozen fruit needs hands alone, and yet a kitchen that does not name it makes none."""
    bags = product("bags", in_pot=False)
    ways = Ways(means(products=(bags,), wants=(Demand(name="bags", product="bags", units=1, rank=1),)))

    assert not ways.is_made(session(), bags)
    assert ways.is_made(session(minutes={"bags": {}}), bags)


UNWANTED = Demand(name="pints", product="pints", units=7, rank=1)


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ({"supplies": (supply(), supply())}, "a name is there twice: Bartlett, Bartlett"),
        ({"wants": (UNWANTED,)}, "wanted, but not among the products: pints"),
        ({"stock": {"lids": -1.0}}, "an amount is negative or not a number"),
        ({"supplies": (supply(kg=float("nan")),)}, "an amount is negative or not a number"),
        ({"products": (product(kg_per_load=0.0),)}, "a load needs fruit and gives units"),
        ({"products": (product(units_per_load=0),)}, "a load needs fruit and gives units"),
        ({"supplies": (supply(since=day(-8)),)}, "out before it is picked"),
        ({"supplies": (supply(on={-10: 1.0}),)}, "used on 2027-08-25 before it is out"),
    ],
)
def test_means_that_can_not_be_are_no_puzzle(told: dict[str, object], why: str) -> None:
    """What can't be is refused with its reason before any search: it would make a plan that nobody can carry out."""
    with pytest.raises(ValueError, match=why):
        means(**told)
