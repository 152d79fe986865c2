"""Where more hangs after a picking its tree is looked at again; what is picked once is told without a count."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from firmripe.plan import Plan
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.sheets import PickLine, Sheets
from firmripe.publish.pages.store import Stores
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder

HEAD = "date,tree,cultivar,crop,what,amount,note\n"
PLACE = "---\nzone: 6b\nlatitude: 42.1 N\nlongitude: 74 W\nspaces: [{name: cellar, temperature: 31 F}]\n---\n"


def notes(*lines: str, cultivar: str = "Bartlett") -> dict[str, str]:
    """Return the notes of a household with one tree, a neighbor of it, and some lines of records."""
    return {
        "place.md": PLACE,
        "trees/1.md": f'---\ntree: "1"\ncultivar: {cultivar}\ncrop: 60 lb\n---\n',
        "trees/2.md": '---\ntree: "2"\ncultivar: Bosc\ncrop: 40 lb\n---\n',
        "records/2027.csv": HEAD + "".join(f"{line}\n" for line in lines),
    }


def days_again(plan: Plan) -> list[date]:
    return [day for one in plan.calendar.entries if one.task.key == "pick-again" for day in one.days]


def card(plan: Plan) -> tuple[PickLine, ...]:
    viewing = PageContext(plan, Paths(plan), "../", set())
    return Sheets(viewing, Stores(viewing)).picking().lines


@pytest.mark.parametrize("cultivar", ["Bartlett", "Montmorency", "Bing"])
def test_what_hangs_after_a_first_pick_is_looked_at_again_where_no_interval_is_known(
    plan_of: Callable[..., Plan], cultivar: str
) -> None:
    """From two days after the last one noted, every third day for three weeks."""
    plan = plan_of(notes("2027-08-22,1,,,first pick,24 lb,", cultivar=cultivar), as_of=date(2027, 8, 28))
    assert days_again(plan) == [date(2027, 8, 24 + step) for step in (0, 3, 6)] + [
        date(2027, 9, 2 + step) for step in (0, 3, 6, 9)
    ]
    noted_again = notes("2027-08-22,1,,,first pick,24 lb,", "2027-08-26,1,,,pick,9 lb,", cultivar=cultivar)
    assert days_again(plan_of(noted_again, as_of=date(2027, 8, 28)))[0] == date(2027, 8, 28)


def test_what_is_picked_again_stands_on_the_picking_card(plan_of: Callable[..., Plan]) -> None:
    """With the next day on which it is looked at: a helper goes by the card alone, and more hangs."""
    plan = plan_of(notes("2027-08-22,1,,,first pick,24 lb,"), as_of=date(2027, 8, 28))

    assert [(one.likely, one.which) for one in card(plan) if one.tree == "1"] == [("Mon 30 Aug", "Pick again, by test")]
    ended = notes("2027-08-22,1,,,first pick,24 lb,", "2027-08-26,1,,,last pick,9 lb,")
    assert "1" not in [one.tree for one in card(plan_of(ended, as_of=date(2027, 8, 28)))]


@pytest.mark.parametrize(
    "lines",
    [
        (),
        ("2027-08-22,1,,,pick,24 lb,",),
        ("2027-08-22,1,,,first pick,24 lb,", "2027-08-26,1,,,last pick,9 lb,"),
        ("2027-08-22,1,,,first pick,24 lb,", "2027-08-26,1,,,lost,,wasps"),
    ],
)
def test_nothing_is_looked_at_again_where_all_or_nothing_is_picked(
    plan_of: Callable[..., Plan], lines: tuple[str, ...]
) -> None:
    """A last pick, one that is not called the first, or the loss of the rest ends it."""
    assert days_again(plan_of(notes(*lines), as_of=date(2027, 8, 28))) == []


def test_a_known_interval_plans_the_next_picking_itself(plan_of: Callable[..., Plan]) -> None:
    """Peaches are picked every few days, so the next picking has its own day and weight."""
    plan = plan_of(notes("2027-08-12,1,,,first pick,24 lb,", cultivar="Redhaven"), as_of=date(2027, 8, 13))
    assert days_again(plan) == []
    assert [one.noted for lot in plan.lots.values() for one in lot.pickings if lot.bearing.tree == "1"][0:2] == [
        True,
        False,
    ]


def test_a_tree_with_more_to_pick_is_told_as_being_picked(plan_of: Callable[..., Plan]) -> None:
    """It stands neither as all in store nor with a number of pickings that nobody knows."""
    plan = plan_of(notes("2027-08-22,1,,,first pick,24 lb,"), as_of=date(2027, 8, 28))
    assert "more hangs" in make_site(plan, theme_folder())["trees.html"].decode()


def test_which_time_it_was_is_told_only_of_what_is_picked_several_times(plan_of: Callable[..., Plan]) -> None:
    """One picking is not the first; a first pick, or one of several that are usual, is."""
    once = make_site(plan_of(notes("2027-08-22,1,,,pick,24 lb,"), as_of=date(2027, 8, 28)), theme_folder())
    assert not any(b"time round" in page for name, page in once.items() if name.endswith(".html"))
    first = make_site(plan_of(notes("2027-08-22,1,,,first pick,24 lb,"), as_of=date(2027, 8, 28)), theme_folder())
    assert b"Bartlett,</a> first time round" in first["store.html"]
    usual = make_site(plan_of(notes(cultivar="Montmorency"), as_of=date(2027, 6, 1)), theme_folder())
    assert b"first time round" in usual["store.html"]


def days_picked(plan: Plan, cultivar: str) -> list[date]:
    return [one.day.likely for b, lot in plan.lots.items() if b.cultivar == cultivar for one in lot.pickings]


@pytest.mark.parametrize(
    ("former", "many"),
    [
        (("2026-08-20,1,,,first pick,20 lb,",), 3),
        (("2026-08-20,1,,,first pick,20 lb,", "2026-08-24,1,,,last pick,20 lb,"), 2),
        (("2026-08-20,1,,,first pick,20 lb,", "2026-08-24,1,,,pick,20 lb,"), 2),
        (("2026-08-20,1,,,pick,20 lb,",), 1),
    ],
)
def test_a_season_of_which_the_first_pick_alone_is_noted_says_not_how_often(
    plan_of: Callable[..., Plan], former: tuple[str, ...], many: int
) -> None:
    """A first pick says that more was picked: peaches come in three pickings then, as is usual."""
    plan = plan_of(notes(*former, cultivar="Redhaven"), as_of=date(2027, 6, 1))
    assert len(days_picked(plan, "redhaven")) == many
