"""What is looked up or reckoned once for many jobs, crops or houses is what each would find by itself."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from conftest import SHELF, write_notes
from forty import HOUSEHOLDS, Household
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.anchoring import Anchoring
from firmripe.calendar.conditions import Conditions
from firmripe.days import WorkingYear
from firmripe.harvest.crop import records_of
from firmripe.holding.fruit import Event
from firmripe.holding.preserve import PutUp
from firmripe.holding.task import OF_THE_KITCHEN, Stage
from firmripe.kitchen.admitting import is_made_of, not_for_jars, ways_to_put_up
from firmripe.lately import answered_once
from firmripe.plan import Plan, make_plan
from firmripe.reading.reader import read_holding
from firmripe.season.estimate import Estimate

SOME = [one for one in HOUSEHOLDS if one.name in {"orchard-at-harvest", "three-houses", "freezes", "lost-shared-sold"}]
OF_WANTS = OF_THE_KITCHEN | {Stage.WANTED, Stage.TAKE_OUT_WANTED}
"""Stages of wants, which have their days elsewhere."""


@cache
def plan_of(household: Household) -> Plan:
    """Return a household's plan."""
    with TemporaryDirectory() as top:
        holding = read_holding(write_notes(Path(top), household.files), SHELF)
    year = household.season or WorkingYear.of(household.day, holding.place.hemisphere).year
    return make_plan(holding, year, household.day)


class Counted(Struct, frozen=True, dict=True):
    """A value that counts in a list how often it is really asked."""

    base: int
    asked: list[int]


@answered_once
def _sum(of: Counted, first: int, second: int) -> int:
    of.asked.append(first)
    return of.base + first * second


@given(base=st.integers(), asked=st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3)), max_size=12))
def test_an_answer_is_kept_with_the_value_and_what_is_asked(base: int, asked: list[tuple[int, int]]) -> None:
    """Each question is answered once for a value; another value, equal or changed, answers for itself."""
    value = Counted(base, [])
    for first, second in asked:
        assert _sum(value, first, second) == base + first * second
    assert len(value.asked) == len(set(asked))
    changed = replace(value, base=base + 1, asked=[])
    for first, second in asked:
        assert _sum(changed, first, second) == base + 1 + first * second
    assert len(changed.asked) == len(set(asked))


@pytest.mark.parametrize("household", SOME, ids=lambda one: one.name)
def test_a_job_has_its_days_whatever_was_asked_before(household: Household) -> None:
    """The days of all jobs asked one after another are those of each asked alone, crop by crop."""
    plan = plan_of(household)
    season, lots = plan.season, plan.lots
    shared, found = Anchoring(season, lots), 0
    for task in season.holding.tasks:
        for anchor in (task.when, task.until):
            if anchor is None or anchor.stage in OF_WANTS:
                continue
            alone = Anchoring(season, lots)
            each = {b: reach for b in season.bearings for reach in alone.reaches_of(anchor, [b], task).values()}
            assert shared.reaches_of(anchor, season.bearings, task) == each, task.key
            assert shared.reaches(anchor, season.bearings, task) == Anchoring(season, lots).reaches(
                anchor, season.bearings, task
            )
            rough = [b for b in season.bearings if Anchoring(season, lots).is_rough(anchor, [b])]
            assert shared.is_rough(anchor, season.bearings) == bool(rough)
            found += len(each)
    assert found > len(season.bearings)


@pytest.mark.parametrize("household", SOME, ids=lambda one: one.name)
def test_the_crops_that_meet_a_jobs_conditions_meet_each_of_them(household: Household) -> None:
    """What is looked for once for all jobs with the same conditions meets every one of these by itself."""
    plan = plan_of(household)
    shared = Conditions(plan.season, plan.lots)
    for task in plan.holding.tasks:
        met = set(plan.season.bearings)
        for condition in task.only_if:
            met &= Conditions(plan.season, plan.lots).met(replace(task, only_if=frozenset({condition})))
        assert shared.met(task) == met, task.key


@pytest.mark.parametrize("household", SOME, ids=lambda one: one.name)
def test_the_picks_of_a_season_are_its_dates_of_picking(household: Household) -> None:
    """A crop has a pick where its date of picking is known, and no other has."""
    season = plan_of(household).season
    for bearing in (bearing for tree in season.holding.trees for bearing in tree.bearings):
        dated = season.of(bearing, Event.PICK)
        assert season.picks.get(bearing) == (dated if isinstance(dated, Estimate) else None)
        assert season.bears(bearing) == isinstance(dated, Estimate)


@pytest.mark.parametrize("household", SOME, ids=lambda one: one.name)
def test_lines_are_those_of_the_season_and_the_day_that_are_asked(household: Household) -> None:
    """The lines about a crop are those known on the season's day, also where another day was asked before."""
    season = plan_of(household).season
    later = replace(season, as_of=date(2029, 1, 1))
    for bearing in season.bearings:
        told = [r for r in records_of(later, bearing) if r.day <= season.as_of]
        if not any(r.what.value == "removed" for r in season.holding.noted(bearing.tree)):
            assert [*records_of(season, bearing)] == told
        assert all(r.day <= season.as_of for r in records_of(season, bearing))


@pytest.mark.parametrize("household", SOME, ids=lambda one: one.name)
def test_ways_to_put_fruit_up_are_those_of_each_preserve(household: Household) -> None:
    """A way is open where a preserve of it is made of the fruit, and a canner's where its process admits the fruit."""
    holding = plan_of(household).holding
    afresh = replace(holding)
    for bearing in (bearing for tree in holding.trees for bearing in tree.bearings):
        mine = [one for one in holding.preserves if is_made_of(holding, one, bearing)]
        ways = {one.method for one in mine if one.method is not PutUp.CANNER}
        of_canners = (one.process.value for one in mine if one.method is PutUp.CANNER and one.process)
        if any(not_for_jars(afresh, bearing, process) is None for process in of_canners):
            ways.add(PutUp.CANNER)
        assert ways_to_put_up(holding, bearing) == ways
