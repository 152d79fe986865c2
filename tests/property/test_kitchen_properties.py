"""What holds of the kitchen plan of any household like the example: mutated days, pots, heights, stocks and crops."""

from __future__ import annotations

import shutil
import tempfile
from collections import defaultdict
from datetime import date, timedelta
from pathlib import Path

from conftest import EXAMPLE, SHELF
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmripe.harvest.grades import why_not
from firmripe.harvest.lots import Batch
from firmripe.holding.jar import parse_jar
from firmripe.holding.kitchen import PotKind
from firmripe.holding.preserve import PutUp
from firmripe.holding.task import Stage
from firmripe.kitchen.plan.kitchen_plan import KitchenPlan, KitchenSession, Making
from firmripe.kitchen.plan.usable import left_kg
from firmripe.kitchen.tables.processes import Minutes, Stove, look_up, refused_fruit
from firmripe.plan import Plan, make_plan
from firmripe.reading.reader import read_holding

HEIGHTS = ["", "100 ft", "1,000 ft", "1,001 ft", "2,150 ft", "3,001 ft", "6,001 ft", "9,000 ft"]
CHANGES = st.fixed_dictionaries(
    {
        ', elevation: "2,150 ft"}': st.sampled_from(HEIGHTS).map(lambda ft: f', elevation: "{ft}"}}' if ft else "}"),
        "elevation: 940 ft": st.sampled_from(["elevation: 940 ft", "elevation: 5,200 ft"]),
        "start: 9:00, hours: 7, hands: 3": st.tuples(
            st.sampled_from(["9:00", "14:00", "19:30"]), st.integers(1, 9), st.integers(1, 4)
        ).map(lambda told: "start: {}, hours: {}, hands: {}".format(*told)),
        "start: 17:00, hours: 4, hands: 2": st.sampled_from(["start: 17:00, hours: 4, hands: 2", "hands: 1"]),
        "lids: 30": st.sampled_from(["lids: 30", "lids: 30\n  buy: no", "lids: [20 wide, 10 regular]\n  buy: no"]),
        "jars: [24 quarts, 20 pints, 12 half pints]": st.sampled_from(
            ["jars: [24 quarts, 20 pints]", "jars: [9 quarts]"]
        ),
        "holds: 7 boxes": st.sampled_from(["holds: 7 boxes", "holds: 1 box"]),
        "holds: 6 boxes": st.sampled_from(["holds: 6 boxes", "holds: 2 boxes"]),
        "away: Sep 13 - Sep 22": st.sampled_from(["away: Sep 1 - Sep 28", "here: Sep 20 - Oct 5"]),
        "kind: steam": st.sampled_from(["kind: steam", "kind: pressure, gauge: dial", "kind: pressure"]),
        "amount: 28 quarts": st.sampled_from(
            ["amount: 28 quarts", "amount: all, jar: pint", "amount: 9 jars of 500 ml"]
        ),
    }
)
DAYS = st.dates(date(2027, 8, 15), date(2027, 10, 20))
SEEN_GRADES = ["", " windfalls", " keepers", " use now", " culls"]


@settings(max_examples=5, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(changes=CHANGES, as_of=DAYS, grade=st.sampled_from(SEEN_GRADES), pounds=st.integers(1, 90))
def test_no_kitchen_plan_breaks_a_rule(changes: dict[str, str], as_of: date, grade: str, pounds: int) -> None:
    """Hours, heights, grades, days, weights and supplies are kept, whatever the household tells."""
    plan = _plan(changes, as_of, f"2027-08-{min(31, as_of.day):02},1-02,,,pick,{pounds} lb{grade},\n")
    kitchen = plan.kitchen
    assert kitchen is not None
    for session in kitchen.sessions:
        _keeps_its_hours(session)
        for making in session.makings:
            _has_its_minutes(plan, session, making)
            _uses_good_fruit(plan, session, making)
    _uses_no_more_than_there_is(plan, kitchen)
    _supplies_add_up(plan, kitchen)


def _plan(changes: dict[str, str], as_of: date, record: str) -> Plan:
    with tempfile.TemporaryDirectory() as folder:
        notes = Path(folder) / "notes"
        shutil.copytree(EXAMPLE, notes)
        place = (notes / "place.md").read_text(encoding="utf-8")
        for told, instead in changes.items():
            assert told in place, told
            place = place.replace(told, instead)
        (notes / "place.md").write_text(place, encoding="utf-8")
        records = notes / "records" / "2027.csv"
        records.write_text(records.read_text(encoding="utf-8").rstrip("\n") + "\n" + record, encoding="utf-8")
        return make_plan(read_holding(notes, SHELF), 2027, as_of)


def _keeps_its_hours(session: KitchenSession) -> None:
    """No session runs beyond its end, and it can begin when it is told to."""
    assert session.start <= session.timetable.end <= session.last
    assert session.start <= session.timetable.latest_start
    assert not session.timetable.over_min
    if session.seals is not None:
        clock = session.timetable
        assert clock.first_out is not None
        assert clock.jars_out is not None
        assert session.seals.again_until == session.seals.last == clock.first_out + timedelta(hours=24)
        assert session.seals.first == min(clock.jars_out + timedelta(hours=12), session.seals.last)


def _has_its_minutes(plan: Plan, session: KitchenSession, making: Making) -> None:
    """Jars have the minutes of their own kitchen's height, and each pot is there and no fuller than it holds."""
    preserve, jar = making.ware.preserve, making.ware.jar
    if preserve.method is not PutUp.CANNER:
        assert not any(pot.published for pot in making.pots)
        return
    assert jar is not None
    assert preserve.process is not None
    assert session.kitchen.elevation_m is not None
    assert sum(sum(pot.loads) for pot in making.pots) == making.units
    for pot in making.pots:
        assert pot.canner.kind is not PotKind.DRYER
        assert pot.canner.kitchen == session.kitchen.name
        assert max(pot.loads) <= max(pot.canner.holds.values())
        stove = Stove(height_m=session.kitchen.elevation_m, kind=pot.canner.kind, gauge=pot.canner.gauge)
        assert isinstance(pot.published, Minutes)
        assert look_up(plan.holding.processes, preserve.process.value, jar, stove) == pot.published
        assert not pot.published.acid or making.acids


def _uses_good_fruit(plan: Plan, session: KitchenSession, making: Making) -> None:
    """No windfalls or culls in jars, nothing refused, and all of it between its pick and its last good day."""
    preserve = making.ware.preserve
    assert abs(sum(used.kg for used in making.fruit) - making.units * float(making.ware.each.middle_kg)) < 0.5
    for used in making.fruit:
        batch = used.batch
        assert not why_not(batch.grade, preserve)
        if preserve.method is PutUp.CANNER and preserve.process is not None:
            assert refused_fruit(plan.holding.processes, batch.limb, preserve.process.value) is None
        assert batch.picked.likely <= used.out <= session.day
        assert plan.season.as_of <= session.day
        conditioned = batch.days.get(Stage.CONDITIONED)
        was_taken = any(out.noted for out in batch.outs)
        assert was_taken or conditioned is None or used.out >= conditioned.likely
        ready, use_by = batch.days.get(Stage.READY), batch.days.get(Stage.USE_BY)
        if ready is not None and use_by is not None and not was_taken and batch.room:
            longest = (use_by.likely - ready.likely).days + (ready.likely - batch.outs[0].day).days
            assert (session.day - used.out).days <= longest


def _uses_no_more_than_there_is(plan: Plan, kitchen: KitchenPlan) -> None:
    used: dict[tuple[object, ...], float] = defaultdict(float)
    for fruit in (fruit for s in kitchen.sessions for making in s.makings for fruit in making.fruit):
        used[_known_by(fruit.batch)] += fruit.kg
    batches = {_known_by(batch): batch for lot in plan.lots.values() for batch in lot.batches}
    for key, kg in used.items():
        there = left_kg(batches[key], plan.season.as_of)
        assert there is not None
        assert kg <= float(there) + 0.1


def _known_by(batch: Batch) -> tuple[object, ...]:
    """Return what a batch stays the same by when it is written on it where its fruit goes."""
    return batch.bearing, batch.picking, batch.grade, batch.part


def _supplies_add_up(plan: Plan, kitchen: KitchenPlan) -> None:
    """Each jar in a canner needs itself and one lid, spares apart; who buys nothing gets along with what is there."""
    jars: dict[str, int] = defaultdict(int)
    for making in (making for s in kitchen.sessions for making in s.makings):
        if making.ware.preserve.method is PutUp.CANNER and making.ware.jar is not None:
            jars[making.ware.jar.name] += making.units
    needed = {short.thing: short.needed for short in kitchen.shorts}
    stock = plan.holding.place.kitchen_means.stock
    assert {thing: number for thing, number in needed.items() if not thing.endswith("lids")} == dict(jars)
    assert sum(number for thing, number in needed.items() if thing.endswith("lids")) == sum(jars.values())
    assert all(short.to_buy == max(0, short.needed + short.spare - (short.there or 0)) for short in kitchen.shorts)
    if not stock.can_buy and stock.jars is not None and stock.lids is not None:
        for name, number in jars.items():
            assert number <= sum(n for held, n in stock.jars_told if held.may_be(parse_jar(name)))
        assert sum(jars.values()) <= stock.lids
    for met in kitchen.wants:
        assert met.want.count is None or met.planned + met.made + met.short >= met.want.count
        assert met.want.count is None or met.planned <= met.want.count
