"""What a household calls a cultivar, and what it knows of one tree or limb of it, goes before what is printed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from season_notes import note, table

from firmripe.days import DayCount
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.place import USUAL_THEME
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.problems import FaultyNotes
from firmripe.publish.site import make_site
from firmripe.season.estimate import Estimate
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

HoldingOf = Callable[..., Holding]
PlanOf = Callable[..., Plan]
PLACE = note(
    "zone: 7b", "latitude: 42 N", "longitude: 72 W", "elevation: 200 m", "spaces: [{name: fridge, temperature: 31 F}]"
)


def test_a_cultivar_is_shown_as_the_household_calls_it_and_found_by_all_its_names(plan_of: PlanOf) -> None:
    """Pages, calendar and search say Williams; records and wants may say Bartlett."""
    files = {
        "place.md": PLACE,
        "trees/1.md": note("cultivar: williams"),
        "trees/2.md": note("limbs: [Comice, Williams]"),
        "records/2027.csv": "date,tree,cultivar,what,amount,note\n2027-04-20,2,Bartlett,full bloom,,\n",
    }
    plan = plan_of(files, as_of=date(2027, 5, 1))
    site = make_site(plan, theme_folder(USUAL_THEME))

    assert plan.holding.tree("1").limbs[0].name == "Williams"
    assert plan.holding.records[0].cultivar == "bartlett"
    titles = b"".join(line for line in site["feeds/reminders.ics"].splitlines() if line.startswith(b"SUMMARY"))
    assert b"Williams" in titles
    assert b"Bartlett" not in titles
    for path in ("index.html", "trees.html", "plan.csv"):
        assert b"Williams" in site[path]
        assert b"Bartlett" not in site[path], path
    assert b"<h1>Williams" in site["cultivars/bartlett.html"].replace(b"\n", b"")


@pytest.mark.parametrize(
    ("cultivars", "own", "shown"),
    [
        (["Williams", "Bartlett"], "", "Bartlett"),  # they use both: the shelf's name
        (["bartlett"], "", "Bartlett"),
        (["Bartlett"], "name: Billi", "Billi"),
        (["Williams"], "name: Billi", "Billi"),
        (["Williams"], "also: [Billi]", "Williams"),
    ],
)
def test_the_name_that_stands_in_the_notes_of_the_household_is_shown(
    cultivars: list[str], own: str, shown: str, holding_of: HoldingOf
) -> None:
    """Its own note of the cultivar goes first, then the one name all its trees use; every name still finds it."""
    trees = {f"trees/{n}.md": note(f"cultivar: {name}") for n, name in enumerate(cultivars)}
    more = {"trees/x.md": note("cultivar: Bartlett")} if own.startswith("name") else {}
    holding = holding_of({**trees, **more, **({"cultivars/bartlett.md": note(own)} if own else {})})

    assert {tree.limbs[0].key for tree in holding.trees} == {"bartlett"}
    assert {tree.limbs[0].name for tree in holding.trees} == {shown}


def test_days_may_be_told_of_one_tree_and_of_one_limb(plan_of: PlanOf) -> None:
    """What stands nearest goes first, and none of it is called printed."""
    limbs = "limbs: [{cultivar: Anjou, days from bloom: 150 days, counter: 3 days}, {cultivar: Bosc}]"
    files = {
        "place.md": PLACE,
        "trees/A.md": note(limbs, "counter: 11 days", "conditioning: 20 days", "keeps: 50 days"),
        "trees/B.md": note("cultivar: Anjou", "days from bloom: 140 days"),
        "trees/C.md": note("cultivar: Anjou"),
        "records/2027.csv": table(*(f"2027-05-01,{tree},full bloom,," for tree in "ABC")),
    }
    plan = plan_of(files, as_of=date(2027, 6, 1))
    bloom, lots = date(2027, 5, 1), plan.lots
    limb, tree, plain = Bearing("A", "anjou"), Bearing("B", "anjou"), Bearing("C", "anjou")
    picks = [plan.season.of(bearing, Event.PICK) for bearing in (limb, tree, plain)]

    assert [dated.likely for dated in picks[:2] if isinstance(dated, Estimate)] == [
        bloom + timedelta(days=150),
        bloom + timedelta(days=140),
    ]
    assert lots[limb].days[Stage.CONDITIONED].likely == bloom + timedelta(days=170)
    assert lots[limb].days[Stage.KEEP_UNTIL].likely == bloom + timedelta(days=200)
    assert (lots[limb].days[Stage.READY].likely - lots[limb].days[Stage.TAKE_OUT].likely).days == 3
    other = lots[Bearing("A", "bosc")]
    assert (other.days[Stage.READY].likely - other.days[Stage.TAKE_OUT].likely).days == 11
    assert (lots[plain].days[Stage.READY].likely - lots[plain].days[Stage.TAKE_OUT].likely).days not in {3, 11}
    said = " ".join(
        words_of(r.why, IN_ENGLISH)
        for b in (limb, tree)
        for d in [plan.season.of(b, Event.PICK)]
        if isinstance(d, Estimate)
        for r in d.reasons
    )
    assert "Your own interval" in said
    assert "Printed: 1" not in said


def test_an_own_interval_order_or_window_of_other_ground_is_never_called_printed(plan_of: PlanOf) -> None:
    """A household's cultivar note is its own word, whichever part of it dates the pick."""
    files = {
        "place.md": PLACE,
        "trees/A.md": note("cultivar: Lane"),
        "trees/B.md": note("cultivar: Gate"),
        "trees/C.md": note("cultivar: Stile"),
        "cultivars/lane.md": note("fruit: european-pear", "days from bloom: 120 days"),
        "cultivars/gate.md": note("fruit: european-pear", "offset: {from: bartlett, value: 5 days after}"),
        "cultivars/stile.md": note("fruit: european-pear", "windows: [{pick: Sep 1, zone: 6a}]"),
    }
    plan = plan_of(files, as_of=date(2027, 3, 1))
    first = {}
    for bearing in plan.season.bearings:
        dated = plan.season.of(bearing, Event.PICK)
        assert isinstance(dated, Estimate)
        first[bearing.tree] = " | ".join(words_of(reason.why, IN_ENGLISH) for reason in dated.reasons)

    assert "Your own interval: 120 days after full bloom" in first["A"]
    assert "Your own note: 5 days after Bartlett" in first["B"]
    assert (
        "Your own note: Sep 1 in the zone given" in first["C"] or "Your own note: 1 Sep in the zone given" in first["C"]
    )
    assert not [text for text in first.values() if text.startswith("Printed") or "| Printed:" in text]


def test_the_rule_of_file_names_is_told_where_a_note_misses_the_shelfs(holding_of: HoldingOf) -> None:
    """A file called by another name of a cultivar stands beside it: asked about, or told with what it lacks."""
    rule = "if it is Bartlett, call the file cultivars/bartlett.md: a note of yours goes on from the shelf's"
    tree = {"trees/1.md": note("cultivar: Williams")}
    asked = holding_of({**tree, "cultivars/williams.md": note("fruit: european-pear")}).asked
    with pytest.raises(FaultyNotes) as stopped:
        holding_of({**tree, "cultivars/williams.md": note("keeps: 30 days")})

    assert [problem.hint.startswith(rule) for problem in asked] == [True]
    assert [rule in problem.hint for problem in stopped.value.problems] == [True]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("persimmon", "write american-persimmon, persimmon-astringent or persimmon-non-astringent"),
        ("persimon", "write american-persimmon, persimmon-astringent or persimmon-non-astringent"),
        ("cherries", "write sweet-cherry or tart-cherry"),
        ("plums", "write european-plum or japanese-plum"),
    ],
)
def test_every_fruit_that_a_word_can_mean_is_named(said: str, meant: str, holding_of: HoldingOf) -> None:
    """So that nobody takes the first that is offered for the only one."""
    with pytest.raises(FaultyNotes) as stopped:
        holding_of({"trees/1.md": note("cultivar: unknown", f"fruit: {said}")})

    assert [problem.hint for problem in stopped.value.problems] == [meant]


def test_a_cultivar_with_its_fruit_behind_it_is_asked_about(holding_of: HoldingOf) -> None:
    """Where a note tells of "Lane", a "Lane pear" is no other cultivar in silence."""
    with pytest.raises(FaultyNotes, match='did you mean "Lane"'):
        holding_of({"trees/1.md": note("cultivar: Lane pear"), "cultivars/lane.md": note("fruit: european-pear")})


# Keeping -----------------------------------------------------------------------------------------------------------


def test_keeping_longer_than_that_cultivars_own_published_limit_is_refused(holding_of: HoldingOf) -> None:
    """Bartlett's 3 months were read in their source (USDA AIB 410); so a tree or a limb can't stretch them either."""
    for files in (
        {"trees/1.md": note("cultivar: Bartlett"), "cultivars/bartlett.md": note("keeps: 5 months")},
        {"trees/1.md": note("cultivar: Bartlett", "keeps: 5 months")},
        {"trees/1.md": note("limbs: [{cultivar: Bartlett, keeps: 5 months}]")},
    ):
        with pytest.raises(FaultyNotes, match="is longer than the published limit of 3 months"):
            holding_of(files)


@pytest.mark.parametrize("where", ["cultivar", "tree", "limb"])
def test_keeping_longer_than_a_fruits_limit_is_cut_to_its_greatest_value(where: str, holding_of: HoldingOf) -> None:
    """European pears at home keep 1-3 months (Iowa State): four months count as three, and `check` says so."""
    own = {"cultivars/lane.md": note("fruit: european-pear", *(["keeps: 4 months"] if where == "cultivar" else []))}
    tree = {
        "cultivar": note("cultivar: Lane"),
        "tree": note("cultivar: Lane", "keeps: 4 months"),
        "limb": note("limbs: [{cultivar: Lane, keeps: 4 months}]"),
    }[where]
    holding = holding_of({"trees/1.md": tree, **own})
    keeps = holding.trees[0].limbs[0].traits.keeps

    assert keeps is not None
    assert keeps.value == DayCount(low=90, high=90)
    assert [p.message for p in holding.asked] == [
        '"4 months" is longer than the published 1-3 months, so it counts as 90 days'
    ]
