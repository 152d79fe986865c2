"""The running account of shares: who was due what over the seasons, who had it, and what is left."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from conftest import ROOT
from one_tree import plan_of_notes
from season_notes import note, read, table

from firmripe.harvest.accounts import Account
from firmripe.holding.weight import POUND
from firmripe.plan import Plan
from firmripe.publish.site import make_site
from firmripe.reading.warnings import warnings_of

PLACE = ("box: 22 lb", "shares: [{name: lane house, part: 1/3}, {name: mill, part: 1/2}]")
AS_OF = date(2027, 11, 1)


def plan(top: Path, *rows: str, place: tuple[str, ...] = PLACE) -> Plan:
    """Return the plan of one pear tree shared by two houses."""
    return plan_of_notes(top, {"place.md": note("zone: 6a", *place), "records/2027.csv": table(*rows)}, as_of=AS_OF)


def account(top: Path, *rows: str, place: tuple[str, ...] = PLACE) -> Account:
    """Return its account."""
    return plan(top, *rows, place=place).store.account


def pounds(pairs: tuple[tuple[str, Fraction], ...]) -> dict[str, Fraction]:
    """Return weights by name, in pounds."""
    return {name: kg / POUND for name, kg in pairs}


ROWS = (
    "2025-09-01,A,pick,60 lb,",
    "2026-09-01,A,pick,66 lb keepers + 6 lb culls,",
    "2026-09-10,A,shared,2 boxes,for the Mill",
    "2027-09-01,A,pick,30 lb,",
    "2027-09-03,A,shared,4 lb,Lane House",
    "2027-09-04,,shared,3 lb,a neighbor",
)


def test_each_season_is_reckoned_by_the_rule(tmp_path: Path) -> None:
    """From the first in which somebody wrote down who took what; culls are not shared."""
    former, now = account(tmp_path, *ROWS).seasons

    assert (former.season, former.picked / POUND) == (2026, 66)
    assert pounds(former.due) == {"lane house": 22, "mill": 33}
    assert pounds(former.had) == {"lane house": 0, "mill": 44}
    assert (former.undivided / POUND, former.still / POUND) == (11, 22)
    assert pounds(now.due) == {"lane house": 10, "mill": 15}
    assert (now.unnamed / POUND, now.still / POUND) == (3, 23)


def test_balances_run_over_the_seasons(tmp_path: Path) -> None:
    """What was due less what was had, below nothing for who had too much."""
    assert pounds(account(tmp_path, *ROWS).balances) == {"lane house": 28, "mill": 4}
    more = account(tmp_path / "b", *ROWS, "2027-09-20,A,shared,12 lb,mill")
    assert pounds(more.balances) == {"lane house": 28, "mill": -8}


def test_what_is_had_after_new_year_is_of_the_crop_it_was_picked_with(tmp_path: Path) -> None:
    """Pears of autumn shared in January are of the autumn's account, though no line of that year tells of sharing."""
    rows = ("2026-09-01,A,pick,60 lb,", "2027-01-05,A,shared,6 lb,mill", "2027-01-06,,shared,3 lb,lane house")
    former, now = account(tmp_path, *rows).seasons

    assert (former.season, former.picked / POUND, pounds(former.had)) == (2026, 60, {"lane house": 3, "mill": 6})
    assert (now.picked, now.still) == (0, 0)


def test_sums_are_exact(tmp_path: Path) -> None:
    """Due and undivided are what was picked; had, unnamed and still are too."""
    rows = ("2027-09-01,A,pick,1-2 boxes,", "2027-09-02,A,shared,10 oz,mill", "2027-09-03,A,shared,1 kg,nobody")
    (now,) = account(tmp_path, *rows).seasons

    assert sum(kg for _, kg in now.due) + now.undivided == now.picked == 33 * POUND
    assert sum(kg for _, kg in now.had) + now.unnamed + now.still == now.picked


def test_what_has_no_weight_is_counted_apart(tmp_path: Path) -> None:
    """A heap is no weight, and is not taken for nothing."""
    rows = ("2027-09-01,A,pick,a heap,", "2027-09-02,A,shared,22 lb,mill", "2027-09-03,A,shared,lots,mill")
    (now,) = account(tmp_path, *rows).seasons

    assert (now.unweighed, now.picked, now.still / POUND) == (2, 0, -22)


def test_the_longest_name_counts(tmp_path: Path) -> None:
    """One house may be named within another's name."""
    place = ("shares: [{name: mill, part: 1/2}, {name: upper mill, part: 1/2}]",)
    (now,) = account(tmp_path, "2027-09-02,A,shared,2 lb,upper mill", place=place).seasons

    assert pounds(now.had) == {"mill": 0, "upper mill": 2}


@pytest.mark.parametrize(
    ("rows", "place"), [(("2027-09-01,A,pick,30 lb,",), PLACE), (("2027-09-02,A,shared,2 lb,mill",), ("box: 22 lb",))]
)
def test_without_a_rule_or_a_line_there_is_no_account(
    tmp_path: Path, rows: tuple[str, ...], place: tuple[str, ...]
) -> None:
    """Nothing is made up of who took what."""
    assert account(tmp_path, *rows, place=place).seasons == ()


def test_check_names_lines_that_cannot_be_reckoned(tmp_path: Path) -> None:
    """No household in the note, or no amount."""
    rows = ("2027-09-02,A,shared,2 lb,a neighbor", "2027-09-03,A,shared,lots,mill", "2027-09-04,A,shared,2 lb,mill")
    notes = {"place.md": note(*PLACE), "trees/A.md": note("cultivar: unknown"), "records/r.csv": table(*rows)}
    said = [w for w in warnings_of(read(tmp_path, notes), AS_OF) if w.where.file == "records/r.csv"]

    assert [(w.where.line, w.message) for w in said] == [
        (2, "the note names none of the households that share in place.md"),
        (3, '"lots" is no amount of fruit'),
    ]


def test_the_store_page_says_who_has_what_to_come(tmp_path: Path) -> None:
    """In words, with each season and what is over."""
    page = make_site(plan(tmp_path, *ROWS), ROOT / "themes" / "box-tag")["store.html"].decode()

    assert "<dt>lane house</dt><dd>has 28 lb to come</dd>" in page
    assert "<dd>part 33 lb, had 44 lb</dd>" in page
    assert "left undivided by the rule: 5 lb; taken without a household’s name: 3 lb" in page
