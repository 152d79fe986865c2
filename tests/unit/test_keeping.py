"""How long fruit keeps hangs on how warm it lies."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markupsafe import escape
from season_notes import note

from firmripe.days import DayCount
from firmripe.harvest.keeping import Kept, NotPrintedForSpace, kept_until, limit_at
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import Cultivar, Fruit, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.place import Space
from firmripe.holding.task import Stage
from firmripe.plan import Plan, make_plan
from firmripe.problems import FaultyNotes, Where
from firmripe.publish.site import make_site
from firmripe.season.estimate import Reach
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.units import Interval
from firmripe.wording import words_of
from firmripe.wording.harvest import alert_words

HoldingOf = Callable[..., Holding]
DAY = Reach(earliest=date(2027, 9, 1), likely=date(2027, 9, 1), latest=date(2027, 9, 1))
READ = Cited(mark=Mark.READ, source=None, page="", where=Where("x"))


def celsius(fahrenheit: float) -> float:
    """Return a temperature in °C."""
    return (fahrenheit - 32) * 5 / 9


def figure(low: float, high: float, at: tuple[float, float] | None) -> Figure[DayCount]:
    """Return a limit of so many days at a range of °F."""
    at_c = Interval(low=celsius(at[0]), high=celsius(at[1])) if at else None
    return Figure(value=DayCount(low=low, high=high), text="so long", cited=READ, at_c=at_c)


def kind(own: Figure[DayCount], of_fruit: Figure[DayCount] | None = None, *, rule: bool = False) -> Cultivar:
    """Return a cultivar with its own limit, its fruit's, and perhaps a rule for warmer places."""
    warmer = None
    if rule:
        at_c = Interval(low=celsius(45), high=celsius(50))
        warmer = Figure(value=Interval(low=2, high=3), text="2-3 times shorter", cited=READ, at_c=at_c)
    fruit = Fruit(key="f", name="F", traits=Traits(keeps=of_fruit, warmer_storage=warmer))
    traits = Traits(keeps=own)
    return Cultivar(key="k", name="K", fruit=fruit, own=traits, traits=traits.over(fruit.traits))


def days(limb: Cultivar, fahrenheit: float) -> int | None:
    """Return how many days a cultivar keeps in a place of so many °F; None where nothing is told."""
    kept = kept_until(limb, DAY, Space(name="room", temperature_c=celsius(fahrenheit)))
    return (kept.until.likely - DAY.likely).days if isinstance(kept, Kept) else None


@pytest.mark.parametrize(
    ("cultivar", "at_printed", "told"),
    [
        # Bartlett 3 months and Anjou 6 months at 30-31 F, not to be exceeded (USDA AIB 410, 1977); European pears at
        # home 1-3 months at 32-35 F (Iowa State); McIntosh 3-4 months at 30-32 F, and in a shed at 45-50 F a half to
        # a third of that (Iowa State PM 1078).
        ("Bartlett", 31, {31: 91, 46: None, 50: None}),
        ("Anjou", 31, {31: 182, 46: None, 50: None}),
        ("McIntosh", 32, {46: 45, 50: 45}),
    ],
)
def test_the_same_fruit_keeps_as_long_as_is_printed_for_its_room(
    holding_of: HoldingOf, cultivar: str, at_printed: int, told: dict[int, int | None]
) -> None:
    """Where it lies decides: shorter by the published rule, or no day at all where there is none."""
    limb = holding_of({"trees/a.md": note(f"cultivar: {cultivar}")}).trees[0].limbs[0]
    found = {at: days(limb, at) for at in (31, 38, 46, 50)}
    order = [d for d in found.values() if d is not None]

    assert days(limb, at_printed) is not None
    assert order == sorted(order, reverse=True)
    for at, most in told.items():
        if most is None:
            assert found[at] is None
        else:
            assert found[at] is not None
            assert abs((found[at] or 0) - most) <= 10


@given(
    low=st.integers(5, 100),
    more=st.integers(0, 100),
    upper=st.integers(30, 36),
    rooms=st.lists(st.integers(25, 75), min_size=2, max_size=2),
    rule=st.booleans(),
)
@settings(max_examples=150, deadline=None)
def test_warmer_is_never_longer_and_nothing_is_longer_than_printed(
    low: int,
    more: int,
    upper: int,
    rooms: list[int],
    rule: bool,  # noqa: FBT001
) -> None:
    """Whatever the figures and the rooms."""
    limb = kind(figure(low, low + more, (30, upper)), rule=rule)
    cool, warm = sorted(rooms)
    in_cool, in_warm = days(limb, cool), days(limb, warm)
    printed = -(-(2 * low + more) // 2)

    assert in_cool is None or in_cool <= printed
    assert in_warm is None or (in_cool is not None and in_warm <= in_cool)


@given(first=st.sampled_from([31, 46]), second=st.sampled_from([31, 46]))
@settings(max_examples=8, deadline=None)
def test_a_stay_in_two_months_lies_between_them(first: int, second: int) -> None:
    """Each day uses up its part of the life at that day's temperature."""
    limb = kind(figure(90, 90, (30, 32)), rule=True)
    mixed = Space(name="cellar", temperature_c=celsius(second), months_c=((9, celsius(first)),))
    kept = kept_until(limb, DAY, mixed)
    alone = sorted((days(limb, first) or 0, days(limb, second) or 0))

    assert isinstance(kept, Kept)
    assert alone[0] <= (kept.until.likely - DAY.likely).days <= alone[1]


def test_a_room_of_which_nobody_says_how_warm_it_is_gives_no_day() -> None:
    """The question is told and no limit is made up."""
    assert isinstance(kept_until(kind(figure(90, 90, (30, 32))), DAY, Space(name="shed")), NotPrintedForSpace)


def test_the_fruits_own_figure_serves_a_warmer_room_and_never_lengthens() -> None:
    """Of the cultivar's limit and its fruit's the one printed for the room is taken, at most the cultivar's own."""
    limb = kind(figure(60, 60, (30, 31)), figure(30, 90, (32, 35)))
    found = limit_at(limb, celsius(35))

    assert days(limb, 31) == 60
    assert found is not None
    assert (found[0].low, found[0].high) == (30, 60)
    assert days(limb, 45) is None


def test_a_households_own_days_hold_for_its_cold_rooms_alone() -> None:
    """They are told for no temperature; a kitchen shelf is no cold room."""
    own = Figure(
        value=DayCount(low=40, high=40),
        text="40 days",
        cited=Cited(mark=Mark.OWN, source=None, page="", where=Where("x")),
    )
    limb = kind(own)

    assert days(limb, 38) == 40
    assert days(limb, 66) is None


@pytest.mark.parametrize(("of_kind", "of_fruit"), [(60, 40), (40, 60)])
def test_a_households_days_of_a_cultivar_go_before_those_of_its_fruit(of_kind: int, of_fruit: int) -> None:
    """Who says that pears keep 40 days and this one 60 means 60, and the page names the word that it counts by."""
    own = Cited(mark=Mark.OWN, source=None, page="", where=Where("x"))
    told = [Figure(value=DayCount(low=many, high=many), text=f"{many} days", cited=own) for many in (of_kind, of_fruit)]
    found = limit_at(kind(*told), celsius(38))

    assert found is not None
    assert (found[0].high, found[1].text) == (of_kind, f"{of_kind} days")


OWN_WORDS = [
    ("McIntosh", 50, "keeps: 4 months", 60),
    ("Anjou", 50, "keeps: 6 months", None),
    ("Anjou", 60, "keeps: {value: 6 months, at: 60 F}", None),
    ("Anjou", 31, "keeps: 2 months", 61),
]


@pytest.mark.parametrize(("cultivar", "room", "words", "most"), OWN_WORDS)
def test_a_households_own_days_never_lengthen_what_is_published(
    holding_of: HoldingOf, cultivar: str, room: int, words: str, most: int | None
) -> None:
    """The shorter of the two holds, at the temperature that is published; where nothing is for it, there is no day."""
    files = {"trees/a.md": note(f"cultivar: {cultivar}"), f"cultivars/{cultivar.casefold()}.md": note(words)}
    found = days(holding_of(files).trees[0].limbs[0], room)

    assert (found is None) if most is None else (found is not None and found <= most)


def test_a_households_own_days_shorten_what_a_rule_leaves(holding_of: HoldingOf) -> None:
    """McIntosh at 50 F: a half to a third of 3-4 months as published; who says 20 days is told 20."""
    files = {"trees/a.md": note("cultivar: McIntosh"), "cultivars/mcintosh.md": note("keeps: 20 days")}
    limb = holding_of(files).trees[0].limbs[0]
    found = limit_at(limb, celsius(50))

    assert days(limb, 50) == 20
    assert found is not None
    assert (found[0].low, found[0].high, found[1].text, found[2]) == (20, 20, "20 days", True)


@pytest.mark.parametrize("file", ["fruits/apple.md", "cultivars/mcintosh.md"])
def test_a_household_writes_no_rule_for_warmer_rooms(holding_of: HoldingOf, file: str) -> None:
    """How much shorter fruit keeps belongs to the published limit."""
    rule = note("warmer storage: {value: 1-1 times shorter, at: 65 F}")
    with pytest.raises(FaultyNotes, match="belongs to a published limit"):
        holding_of({"trees/a.md": note("cultivar: McIntosh"), file: rule})


def test_bartlett_at_32_degrees_keeps_less_long_than_at_30(holding_of: HoldingOf) -> None:
    """At 32 F browning of the core was seen after 2 months (USDA AIB 410): the limit of 30-31 F does not reach it."""
    limb = holding_of({"trees/a.md": note("cultivar: Bartlett")}).trees[0].limbs[0]

    assert (days(limb, 31) or 0) > 85
    assert (days(limb, 32) or 0) <= 62


def test_a_space_of_unknown_warmth_gives_no_last_day_and_a_warning(holding_of: HoldingOf) -> None:
    """Also where it is the only one."""
    place = note("zone: 6b", "latitude: 42 N", "elevation: 640 ft", "spaces: [{name: shed}]")
    lot = next(
        iter(
            make_plan(
                holding_of({"place.md": place, "trees/a.md": note("cultivar: Anjou")}), 2027, date(2027, 6, 1)
            ).lots.values()
        )
    )

    assert Stage.KEEP_UNTIL not in lot.days
    assert "how warm it is" in alert_words(IN_ENGLISH, lot.alerts)


CELLAR = note(
    "zone: 6b",
    "latitude: 42 N",
    "elevation: 640 ft",
    "spaces: [{name: cellar, temperature: 50 F}, {name: kitchen floor, temperature: 66 F}]",
)


def test_what_is_stored_too_warm_is_warned_of_on_tree_store_tag_and_in_the_calendar(holding_of: HoldingOf) -> None:
    """Anjou in a cellar at 50 F: nothing is printed for it, and the hand is told where it is needed."""
    holding = holding_of(
        {
            "place.md": CELLAR,
            "trees/a.md": note("cultivar: Anjou"),
            "records/r.csv": "date,tree,what,amount,note\n2027-09-10,a,pick,60 lb,\n2027-09-10,a,stored,,cellar\n",
        }
    )
    plan: Plan = make_plan(holding, 2027, date(2027, 9, 12))
    files = make_site(plan, theme_folder())
    lot = next(iter(plan.lots.values()))

    assert Stage.KEEP_UNTIL not in lot.days
    for page in ("trees/a.html", "store.html", "sheets/tags.html", "feeds/reminders.ics"):
        told = files[page].replace(b"\r\n ", b"").decode()
        assert "too warm for the" in told, page


def test_the_reasons_of_keeping_are_shown_also_where_no_source_is_named(holding_of: HoldingOf) -> None:
    """Bartlett ripening in a room warmer than its days were told for: the page says to look early."""
    warm = CELLAR.replace("66 F", "73 F")
    notes = {
        "place.md": warm,
        "trees/a.md": note("cultivar: Bartlett"),
        "cultivars/bartlett.md": note("counter: {value: 5 days, at: 66 F}"),
    }
    plan = make_plan(holding_of(notes), 2027, date(2027, 6, 1))
    (lot,) = plan.lots.values()
    page = make_site(plan, theme_folder())["index.html"].decode()

    unsourced = [words_of(reason.why, IN_ENGLISH) for reason in lot.reasons if not reason.cited]
    assert unsourced
    for reason in lot.reasons:
        assert str(escape(words_of(reason.why, IN_ENGLISH))) in page, words_of(reason.why, IN_ENGLISH)


def test_store_tag_and_tree_say_the_same_out_ready_and_use_by(
    example_plan: Plan, example_site: dict[str, bytes]
) -> None:
    """What the hand needs is one value on every page; the cold limit stands only where fruit stays cold."""
    files = example_site

    assert b"Last day<" not in files["sheets/tags.html"]
    assert b">Last day<" not in files["store.html"]
    for lot in example_plan.lots.values():
        for batch in lot.batches:
            use_by, keep = batch.days.get(Stage.USE_BY), batch.days.get(Stage.KEEP_UNTIL)
            if use_by and keep and batch.outs:
                assert batch.last_out <= keep.likely + timedelta(days=1) or any(out.noted for out in batch.outs)
