"""Wanted days, kitchen, eating, sharing and stand take rows of one plan: what leaves weighs what lay there."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

from conftest import SHELF, write_notes
from hypothesis import given, settings
from hypothesis import strategies as st

from firmripe.harvest.lots import Batch, Goes
from firmripe.harvest.shares import Due, goes_by_house, house_parts
from firmripe.holding.place import Share
from firmripe.holding.weight import POUND, Weight
from firmripe.plan import Plan, make_plan
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder

HEAD = "date,tree,cultivar,crop,what,amount,note\n"
KITCHEN = """
kitchens: [{name: house, elevation: 640 ft}]
canners: [{name: pot, kind: boiling water, holds: [7 quarts], kitchen: house}]
kitchen days: [{on: Saturday, during: Sep 1 - Nov 15, start: 9:00, hours: 7, hands: 2, kitchen: house}]
stock: {jars: [24 quarts], lids: 40}
wants: [{preserve: Applesauce in jars, amount: 14 quarts}]
wanted: [{cultivar: Jonathan, on: 2027-10-31, amount: 8 lb}]
"""
SHARES = "shares:\n- {name: lane house, part: 1/2}\n- {name: brook house, part: 1/4}\n"
CELLAR = "spaces: [{name: cellar, temperature: 33 F, holds: 20 boxes, eats: 3 lb a week}]\nbox: 22 lb\n"
SHARED = "2027-10-04,1,,,shared,9 lb,brook house"


def notes(extra: str, *lines: str) -> dict[str, str]:
    """Return notes of a household with one apple tree that was picked."""
    rows = ("2027-10-02,1,,,pick,90 lb,", "2027-10-02,1,,,stored,,cellar", *lines)
    return {
        "place.md": f"---\nzone: 6b\nlatitude: 42.1 N\nlongitude: 74 W\n{CELLAR}{extra}\n---\n",
        "trees/1.md": '---\ntree: "1"\ncultivar: Jonathan\ncrop: 80-100 lb\n---\n',
        "trees/2.md": '---\ntree: "2"\ncultivar: McIntosh\ncrop: 40 lb\n---\n',
        "records/2027.csv": HEAD + "".join(f"{line}\n" for line in rows),
    }


def picked(plan: Plan) -> Iterator[Batch]:
    return (batch for lot in plan.lots.values() for batch in lot.batches if batch.picked_noted)


def leaves(plan: Plan) -> dict[Goes, float]:
    """Return what leaves the store by where it goes, in pounds."""
    found: dict[Goes, float] = {}
    for batch in picked(plan):
        for out in batch.outs:
            assert out.weight is not None
            found[out.to] = found.get(out.to, 0) + float(out.weight.middle / POUND)
    return found


def test_all_that_leaves_weighs_what_was_picked(plan_of: Callable[..., Plan]) -> None:
    """Kitchen, wanted day, a house that had some, the table and the stand: each its part, together the whole."""
    plan = plan_of(notes(KITCHEN + SHARES + "farm stand: yes", SHARED), as_of=date(2027, 10, 5))
    found = leaves(plan)
    assert set(found) == {Goes.KITCHEN, Goes.WANTED, Goes.SHARED, Goes.TABLE, Goes.SOLD}
    assert abs(sum(found.values()) - 90) < 1e-6
    assert abs(found[Goes.WANTED] - 8) < 1e-6
    assert abs(found[Goes.SHARED] - 9) < 1e-6


def test_each_house_has_its_part_of_every_row(plan_of: Callable[..., Plan]) -> None:
    """What a house is due is made up of its part of kitchen, wanted day, table, stand, and what it has had."""
    plan = plan_of(notes(KITCHEN + SHARES + "farm stand: yes", SHARED), as_of=date(2027, 10, 5))
    (division,) = plan.store.divisions
    for due in division.dues:
        assert sum((kg for _to, kg in due.goes), Fraction(0)) == due.weight.middle
    assert [due.name for due in division.dues if Goes.SHARED in dict(due.goes)] == ["brook house"]
    store = make_site(plan, theme_folder())["store.html"].decode()
    assert "for the kitchen" in store
    assert "9 lb had already" in store


def test_who_had_more_than_its_part_has_no_part_in_the_rest(plan_of: Callable[..., Plan]) -> None:
    """The other house has what is left of the shared part."""
    plan = plan_of(notes(SHARES, "2027-10-04,1,,,shared,40 lb,brook house"), as_of=date(2027, 10, 5))
    lane, brook = plan.store.divisions[0].dues
    assert dict(brook.goes) == {Goes.SHARED: 40 * POUND}
    assert sum(dict(lane.goes).values()) < lane.weight.middle


def test_what_nobody_eats_goes_to_the_stand_where_there_is_one(plan_of: Callable[..., Plan]) -> None:
    """Beyond the stated rate it has a row for sale; without a stand it stays for the table, and says so."""
    with_stand = leaves(plan_of(notes("farm stand: yes"), as_of=date(2027, 10, 5)))
    without = leaves(plan_of(notes(""), as_of=date(2027, 10, 5)))
    assert set(with_stand) == {Goes.TABLE, Goes.SOLD}
    assert set(without) == {Goes.TABLE}
    assert abs(sum(with_stand.values()) - 90) < 1e-6
    assert abs(sum(without.values()) - 90) < 1e-6


def test_a_stand_has_its_rows_also_where_nobody_said_how_much_is_eaten(plan_of: Callable[..., Plan]) -> None:
    """All that no day, kitchen or house claims has rows for sale; together with those it is all that was picked."""
    told = notes(KITCHEN + SHARES + "farm stand: yes", SHARED)
    untold = {**told, "place.md": told["place.md"].replace(", eats: 3 lb a week", "")}
    plan = plan_of(untold, as_of=date(2027, 10, 5))
    found = leaves(plan)
    site = make_site(plan, theme_folder())
    without = leaves(
        plan_of({**untold, "place.md": untold["place.md"].replace("farm stand: yes", "")}, as_of=date(2027, 10, 5))
    )

    assert set(found) == {Goes.KITCHEN, Goes.WANTED, Goes.SHARED, Goes.SOLD}
    assert abs(sum(found.values()) - 90) < 1e-6
    assert abs(found[Goes.SOLD] - without[Goes.TABLE]) < 1e-6
    assert "for sale" in site["store.html"].decode()
    assert "Jonathan" in site["stand.html"].decode()


def test_the_stand_offers_nothing_of_which_nobody_noted_that_it_was_picked(plan_of: Callable[..., Plan]) -> None:
    """Once the last good day to pick is over, its ripe days wait for the answer."""
    told = {name: text for name, text in notes("farm stand: yes").items() if not name.startswith("records")}
    pages = [
        make_site(plan_of(told, as_of=day), theme_folder())["stand.html"].decode()
        for day in (date(2027, 9, 20), date(2027, 11, 4))
    ]
    assert ["McIntosh" in page for page in pages] == [True, False]


def test_the_stand_offers_nothing_that_goes_elsewhere(plan_of: Callable[..., Plan]) -> None:
    """All of a picking that is wanted on a day stands on no page for everybody, however ripe it is."""
    wanted = "farm stand: yes\nwanted: [{cultivar: Jonathan, on: 2027-10-09, amount: 90 lb}]"
    claimed = make_site(plan_of(notes(wanted), as_of=date(2027, 10, 5)), theme_folder())["stand.html"].decode()
    free = make_site(plan_of(notes("farm stand: yes"), as_of=date(2027, 10, 5)), theme_folder())["stand.html"].decode()
    assert "Jonathan" in free
    assert "Jonathan" not in claimed


def _made(shared: Sequence[int], days: int) -> Plan:
    lines = [
        f"2027-10-{3 + at:02},1,,,shared,{lb} lb,{'lane' if at % 2 else 'brook'} house" for at, lb in enumerate(shared)
    ]
    with tempfile.TemporaryDirectory() as top:
        holding = read_holding(write_notes(Path(top), notes(SHARES + "farm stand: yes", *lines)), SHELF)
    return make_plan(holding, 2027, date(2027, 10, 5) + timedelta(days=days))


@settings(max_examples=12)
@given(shared=st.lists(st.integers(1, 30), max_size=3), days=st.integers(0, 60))
def test_houses_and_nobody_have_all_of_it_together(shared: list[int], days: int) -> None:
    """Whatever was had by whom and on whatever day, the parts weigh what the batches weigh."""
    plan = _made(shared, days)
    batches = list(picked(plan))
    goes = goes_by_house(batches, plan.holding.place.shares)
    parts = sum((kg for of_house in goes.values() for kg in of_house.values()), Fraction(0))
    assert parts == sum((out.weight.middle for b in batches for out in b.outs if out.weight), Fraction(0))
    assert all(kg >= 0 for of_house in goes.values() for kg in of_house.values())


def test_dues_add_up_with_where_they_go() -> None:
    """The sum of a house over all its fruit tells of all of it."""
    one = Due(name="a", weight=Weight.of(POUND), goes=((Goes.TABLE, Fraction(1)),))
    other = Due(name="a", weight=Weight.of(POUND), goes=((Goes.TABLE, Fraction(2)), (Goes.KITCHEN, Fraction(3))))
    assert dict((one + other).goes) == {Goes.TABLE: 3, Goes.KITCHEN: 3}
    assert goes_by_house([], [Share(name="a", part=Fraction(1))]) == {}


HOUSES = """spaces:
- {name: lane cellar, temperature: 31 F, house: lane house}
- {name: brook cellar, temperature: 38 F, house: brook house}
box: 22 lb
shares:
- {name: lane house, part: 1/2}
- {name: brook house, part: 1/2}
"""


def test_a_trees_page_tells_the_days_of_each_house_where_they_differ(plan_of: Callable[..., Plan]) -> None:
    """What one house has taken out is ripe there, and lies in the other's cellar; where they agree it is said once."""
    place = {"place.md": f"---\nzone: 6b\nlatitude: 42.1 N\nlongitude: 74 W\n{HOUSES}---\n"}
    tree = {"trees/1.md": '---\ntree: "1"\ncultivar: Anjou\ncrop: 80-100 lb\n---\n'}
    pick = "2027-09-20,1,,,pick,90 lb,\n2027-09-20,1,,,stored,,lane cellar\n2027-09-20,1,,,stored,,brook cellar\n"
    out = "2027-12-01,1,,,taken out,45 lb,brook house\n"
    other = {"trees/2.md": '---\ntree: "2"\ncultivar: Bosc\ncrop: 40 lb\n---\n'}
    differ = {**place, **tree, **other, "records/2027.csv": HEAD + pick + out}
    page = make_site(plan_of(differ, as_of=date(2027, 12, 3)), theme_folder())["trees/1.html"].decode()
    assert "Ready, brook house" in page
    assert "Ready, lane house" in page
    alike = {**differ, "place.md": place["place.md"].replace("38 F", "31 F"), "records/2027.csv": HEAD + pick}
    page = make_site(plan_of(alike, as_of=date(2027, 12, 3)), theme_folder())["trees/1.html"].decode()
    assert "Ready, brook house" not in page


def test_what_goes_from_the_tree_to_the_table_is_not_taken_out_of_the_cold(plan_of: Callable[..., Plan]) -> None:
    """Of a Kieffer's crop a part is held cold for a wanted day: the rest has no day out of the cold."""
    wanted = "spaces: [{name: fridge, temperature: 33 F}]\nwanted: [{cultivar: Kieffer, on: 2027-11-25, amount: 10 lb}]"
    files = {
        "place.md": f"---\nzone: 6b\nlatitude: 42.1 N\nlongitude: 74 W\n{wanted}\n---\n",
        "trees/1.md": '---\ntree: "1"\ncultivar: Kieffer\ncrop: 60 lb\n---\n',
        "trees/2.md": '---\ntree: "2"\ncultivar: Bosc\ncrop: 40 lb\n---\n',
    }
    plan = plan_of(files, as_of=date(2027, 9, 10))
    (batch,) = (batch for lot in plan.lots.values() for batch in lot.batches if batch.bearing.tree == "1")
    assert {out.to for out in batch.outs if out.day == batch.picked.likely} == {Goes.TABLE}
    assert batch.lies_cold
    pages = make_site(plan, theme_folder())
    told = pages["trees/1.html"].decode() + pages["harvest.html"].decode()
    assert told.count("50 lb straight after picking") == 2
    picked = batch.picked.likely
    assert f"Out of the cold {picked:%a} {picked.day} {picked:%b}" not in told


def test_ripe_fruit_that_the_kitchen_has_is_nobodys_to_eat(plan_of: Callable[..., Plan]) -> None:
    """What came out and is for a day says so on the first page, and not that it is to be eaten."""
    out = "2027-10-08,1,,,taken out,70 lb,"
    plan = plan_of(notes(KITCHEN, out), as_of=date(2027, 10, 8))
    claimed = [one for batch in picked(plan) for one in batch.outs if one.noted and one.to is Goes.KITCHEN]
    assert claimed
    home = make_site(plan, theme_folder())["index.html"].decode()
    assert "Ripe, " in home
    assert "for the house" in home


def test_tags_and_calendar_name_each_houses_part_also_without_rooms_of_their_own(plan_of: Callable[..., Plan]) -> None:
    """Half and a quarter of 90 lb, less the 9 lb that one house had; on a picked tree and on one to pick."""
    plan, alone = (plan_of(notes(shares, SHARED), as_of=date(2027, 10, 5)) for shares in (SHARES, ""))
    site, other = (make_site(one, theme_folder()) for one in (plan, alone))
    (batch,) = picked(plan)
    parts = house_parts(batch, Weight.of(81 * POUND), plan.holding.place.shares)
    feed = site["feeds/reminders.ics"].decode().replace("\r\n ", "").replace("\\,", ",")

    assert [(house, round(float(kg.middle / POUND), 3)) for house, kg in parts] == [
        ("lane house", 45),
        ("brook house", 13.5),
    ]
    assert "lane house 45 lb, brook house 14 lb" in site["sheets/tags.html"].decode()
    assert "Each house’s part: lane house" in feed
    assert "Each house’s part" not in (other["feeds/reminders.ics"] + other["sheets/tags.html"]).decode()
