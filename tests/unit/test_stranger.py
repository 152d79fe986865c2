"""What somebody who doesn't know the household reads is true on its day: no past plans, no jobs that are over."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta

from kitchen_notes import POT, QUARTS, household

from firmripe.holding.task import Stage
from firmripe.kitchen.plan.because import NoDayLeft, NotOn, PotAway
from firmripe.plan import Plan
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.front import front_page
from firmripe.publish.pages.harvest import Harvest
from firmripe.publish.pages.review import Reviewing
from firmripe.publish.pages.store import Stores
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.words import week_day

HEAD = "date,tree,cultivar,crop,what,amount,note\n"
PLACE = "---\nname: Home\nzone: 6b\nlatitude: 42 N\nlongitude: 74 W\nelevation: 600 ft\n{more}---\n"
AUTUMN = (
    "kitchen days: [{on: Saturday, during: Aug 1 - Nov 14, start: 9:00, hours: 8, hands: 3, kitchen: upper kitchen}]"
)


def viewing_of(plan: Plan) -> PageContext:
    return PageContext(plan, Paths(plan), "", set())


def place(*more: str) -> str:
    return PLACE.format(more="".join(f"{line}\n" for line in more))


# The kitchen


def test_a_pot_is_not_away_where_no_kitchen_day_is_left(plan_of: Callable[..., Plan]) -> None:
    """After the last kitchen day of a season that is why a want is not met; no pot is to blame."""
    plan = plan_of(household(POT, AUTUMN, QUARTS), as_of=date(2027, 12, 20))
    (want,) = plan.kitchen.wants

    assert any(isinstance(why, NoDayLeft) for why in want.reasons)
    assert not any(isinstance(why, PotAway) for why in want.reasons)


def test_other_days_for_a_product_are_told_in_their_order(example_plan: Plan) -> None:
    """The days on which it is not made come as in a calendar, not the nearest first."""
    told = [
        why.days
        for session in example_plan.kitchen.sessions
        for making in session.makings
        for why in making.why
        if isinstance(why, NotOn)
    ]

    assert any(len(days) > 1 for days in told)
    assert all(list(days) == sorted(days) for days in told)


# What is asked


def test_nobody_is_warned_of_a_ladder_for_fruit_that_hangs_no_more(plan_of: Callable[..., Plan]) -> None:
    """A pick that nobody noted is asked after all winter; what could hurt in it is said while it may be done."""
    notes = {
        "place.md": place(),
        "trees/1-01.md": "---\ncultivar: Anjou\n---\n",
        "trees/1-02.md": "---\ncultivar: Bosc\n---\n",
    }
    in_time = front_page(viewing_of(plan_of(notes, as_of=date(2027, 9, 28))))
    in_winter = front_page(viewing_of(plan_of(notes, as_of=date(2028, 2, 1))))

    assert in_time.asks
    assert all(ask.hazards for ask in in_time.asks)
    assert in_winter.asks
    assert not [hazard for ask in in_winter.asks for hazard in ask.hazards]
    assert not in_winter.today.hazards


def test_a_tree_is_named_once_among_the_questions_that_are_folded_away(plan_of: Callable[..., Plan]) -> None:
    """A tree of three cultivars has three questions and one tag."""
    notes = {
        "place.md": place(),
        **{f"trees/{n}.md": "---\ncultivar: Anjou\n---\n" for n in (1, 2)},
        "trees/f.md": "---\nlimbs: [Bartlett, Seckel, Bosc]\n---\n",
    }
    front = front_page(viewing_of(plan_of(notes, as_of=date(2027, 12, 1))))

    folded = [ask.tree.text for ask in front.asks[front.shown :]]

    assert folded.count("f") > 1
    assert front.folded_tags.count("f") == 1
    assert set(folded) <= set(front.folded_tags)


def test_a_round_is_asked_after_until_its_own_last_day(plan_of: Callable[..., Plan]) -> None:
    """The question names no earlier end than the job it asks after, as the job's own page does."""
    notes = {
        "place.md": place(),
        "trees/1.md": "---\ncultivar: Heritage\n---\n",
        "trees/2.md": "---\ncultivar: Bosc\n---\n",
    }
    (job,) = (
        one for one in plan_of(notes, as_of=date(2027, 7, 1)).calendar.entries if one.task.key == "pick-cane-berries"
    )
    told = [
        ask.title
        for days in (3, 12, 40)
        for ask in front_page(viewing_of(plan_of(notes, as_of=job.days[0] + timedelta(days=days)))).asks
        if ask.tree.text == "1"
    ]

    assert told
    assert all(week_day(IN_ENGLISH, job.span.last) in title for title in told)


def test_a_question_says_which_of_several_pickings_it_means(plan_of: Callable[..., Plan]) -> None:
    """Also where all of them are one job that comes back."""
    notes = {
        "place.md": place(),
        "trees/1.md": "---\ncultivar: Redhaven\n---\n",
        "trees/2.md": "---\ncultivar: Bosc\n---\n",
    }
    (first, *_) = (one for one in plan_of(notes, as_of=date(2027, 7, 1)).calendar.entries if len(one.pickings) > 2)
    front = front_page(viewing_of(plan_of(notes, as_of=first.days[0] + timedelta(days=1))))

    assert ["first time round" in ask.title for ask in front.asks if ask.tree.text == "1"] == [True]


# What is wanted on a day


def test_a_day_that_is_over_wants_nothing_any_more(plan_of: Callable[..., Plan]) -> None:
    """Neither the store nor the list of what has no date speaks of a want whose day is past; before it both do."""
    notes = {
        "place.md": place(
            "wanted: [{cultivar: Comice, on: 2027-10-01}, {cultivar: Anjou, on: 2027-08-20, for: a feast}]"
        ),
        "trees/1.md": "---\ncultivar: Comice\n---\n",
        "trees/2.md": "---\ncultivar: Anjou\n---\n",
    }
    before = plan_of(notes, as_of=date(2027, 8, 1))
    after = plan_of(notes, as_of=date(2027, 10, 2))

    assert [one.wanted.day for one in before.store.take_outs] == [date(2027, 10, 1), date(2027, 8, 20)]
    told = [iso for iso, _day, _text, _tree in Stores(viewing_of(before)).store().wanted]
    assert told == sorted(told)
    assert [one for one in before.calendar.undated if one.wanted]
    assert not after.store.take_outs
    assert not [one for one in after.calendar.undated if one.wanted]


# What is looked back on


def test_a_verdict_in_winter_is_of_the_fruit_that_was_picked_before_it(plan_of: Callable[..., Plan]) -> None:
    """How cellar apples were in February is told in the year they were picked, not in one without a crop."""
    notes = {
        "place.md": place(),
        "trees/1.md": "---\ncultivar: Golden Delicious\n---\n",
        "records/all.csv": (
            f"{HEAD}2025-10-05,1,,,pick,100 lb,\n2026-02-03,1,,,verdict,,sweet\n2026,1,,,no crop,,\n"
            "2027-03-20,1,,,note,,pruned\n"
        ),
    }
    (history,) = Reviewing(viewing_of(plan_of(notes, as_of=date(2027, 6, 1)))).page().trees

    assert [(year.year, year.pick, year.verdict) for year in history.years] == [
        ("2025", "5 Oct", "sweet"),
        ("2026", "no crop", ""),
    ]


def test_the_harvest_names_the_crop_of_a_fig(plan_of: Callable[..., Plan]) -> None:
    """Of two crops a year each move says which it is, as every other page does."""
    notes = {"place.md": place(), "trees/t.md": "---\ncultivar: Brown Turkey\n---\n"}
    viewing = viewing_of(plan_of(notes, as_of=date(2027, 6, 1)))
    page = Harvest(viewing, viewing).story()
    lines = [line.text for season in page.seasons for month in season.months for line in month.lines]

    assert lines
    assert all(re.search(r"Brown Turkey, (breba|main) crop", line) for line in lines)


# How days are said


def test_a_day_in_running_text_is_said_as_the_language_says_it(plan_of: Callable[..., Plan]) -> None:
    """Lists of days say `Montag, 30. August`, never the English order; a leaf of a calendar has parts of its own."""
    notes = {
        "place.md": place("language: de", "units: metric"),
        "trees/1.md": "---\ncultivar: Bartlett\n---\n",
        "trees/2.md": "---\ncultivar: Bosc\n---\n",
    }
    files = make_site(plan_of(notes, as_of=date(2027, 8, 1)), theme_folder())
    text = b"\n".join(page for name, page in files.items() if name.endswith(".html")).decode()
    english = re.findall(r">[^<]*\b(?:Mon|Diens|Donners|Frei|Sams|Sonn)tag \d+ \w+|>[^<]*Mittwoch \d+ \w+", text)

    assert re.search(r"<dt>\w+, \d+\. \w+</dt>", text)
    assert not english


def test_a_round_is_named_with_one_colon_in_every_language(plan_of: Callable[..., Plan]) -> None:
    """The name of a round is a sentence of its own, and its language may put a colon of its own behind it."""
    for language in ("en", "de", "es"):
        notes = {"place.md": place(f"language: {language}"), "trees/1.md": "---\ncultivar: Heritage\n---\n"}
        plan = plan_of(notes, as_of=date(2027, 8, 1))
        picked = min(entry.days[0] for entry in plan.calendar.entries if entry.task.instead_of)
        asks = front_page(viewing_of(plan_of(notes, as_of=picked + timedelta(days=3)))).asks

        assert asks
        assert not [ask.title for ask in asks if "::" in ask.title]


def test_fruit_is_asked_after_by_no_last_day_that_nobody_knows(plan_of: Callable[..., Plan]) -> None:
    """Where nothing tells how long it stays good the question says since when it is ripe, as the store does."""
    notes = {
        "place.md": place("spaces: [{name: cellar, temperature: 42 F}]"),
        "trees/1.md": "---\ncultivar: Stanley\n---\n",
        "trees/2.md": "---\ncultivar: Bosc\n---\n",
        "records/2027.csv": f"{HEAD}2027-08-30,1,,,pick,18 lb,\n",
    }
    plan = plan_of(notes, as_of=date(2027, 9, 8))
    (batch,) = plan.lots[plan.holding.tree("1").bearings[0]].batches
    titles = [ask.title for ask in front_page(viewing_of(plan)).asks if ask.tree.text == "1"]

    assert Stage.USE_BY in batch.undated
    assert titles == ["Stanley: ripe since Mon 30 Aug"]


def test_no_page_plans_days_after_a_pick_that_nobody_noted_in_time(plan_of: Callable[..., Plan]) -> None:
    """Tree, year, drawing and sheets leave out what hangs on it, as the store does; while it may hang they tell it."""
    notes = {
        "place.md": place("spaces: [{name: cellar, temperature: 32 F}]"),
        "trees/1.md": "---\ncultivar: Bartlett\n---\n",
        "trees/2.md": "---\ncultivar: Anjou\n---\n",
    }
    said = ("Take out of the cold", "Ready", "Use by")
    for as_of, is_told in ((date(2027, 8, 1), True), (date(2027, 11, 20), False)):
        plan = plan_of(notes, as_of=as_of)
        bearing = plan.holding.tree("1").bearings[0]
        assert (Stage.READY in plan.days_of(bearing)) is is_told
        files = make_site(plan, theme_folder())
        tree = files["trees/1.html"].decode()
        assert [f"<dt>{label}</dt>" in tree for label in said] == [is_told] * 3
        assert ("ready" in files["sheets/year.html"].decode()) is is_told
