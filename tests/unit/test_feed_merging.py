"""What is one appointment in a calendar, and what stays by itself."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from feed_making import all_told, by_icalendar
from kitchen_notes import POT, QUARTS, SATURDAYS, household
from msgspec.structs import replace
from one_tree import plan_of_notes, task
from season_notes import note

from firmripe.plan import Plan
from firmripe.publish.feeds.feed import Feeds
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger

SPRING = date(2027, 3, 1)


def told(top: Path, *notes: dict[str, str], as_of: date = SPRING) -> list[tuple[date, str, str]]:
    """Return the days, titles and texts of a household's reminders."""
    merged = {name: text for part in notes for name, text in part.items()}
    plan = plan_of_notes(top, merged, as_of=as_of)
    return reminders(make_feeds(plan, Ledger(), as_of))


def reminders(feeds: Feeds) -> list[tuple[date, str, str]]:
    """Return the days, titles and texts of the reminders of feeds."""
    read_ = by_icalendar(feeds.files["feeds/reminders.ics"])
    return [(start, title, text) for _, start, _, title, text in sorted(read_, key=lambda one: one[1])]


def tree(day: str, *lines: str) -> str:
    """Return a tree whose pick is fixed."""
    return note("cultivar: Hardpear", f"pinned: [{{pick: 2027-09-{day}}}]", *lines)


def test_one_job_for_trees_on_one_day_is_one_appointment_that_names_them(tmp_path: Path) -> None:
    """Their days, and what stands against one of them, are in its text."""
    trees = {"trees/A.md": tree("01"), "trees/B.md": tree("01"), "trees/C.md": tree("02")}
    found = told(tmp_path, trees, task("when: pick", "each: tree", "reminder: yes"))

    assert [(day, title) for day, title, _ in found] == [
        (date(2027, 9, 1), "Work A, B Hardpear"),
        (date(2027, 9, 2), "Work C Hardpear"),
    ]
    assert "A Hardpear, Wed 1 Sep." in found[0][2]
    assert "B Hardpear, Wed 1 Sep." in found[0][2]


def test_what_may_be_done_early_falls_together_in_a_week_on_its_first_day(tmp_path: Path) -> None:
    """Looking, and getting ready; the pick itself keeps its days."""
    trees = {"trees/A.md": tree("07"), "trees/B.md": tree("09"), "trees/C.md": tree("16")}
    found = told(tmp_path, trees, task("when: 2 days before pick", "each: tree", "reminder: yes"))

    assert [(day, title) for day, title, _ in found] == [
        (date(2027, 9, 5), "Work A Hardpear"),
        (date(2027, 9, 7), "Work B Hardpear"),
        (date(2027, 9, 14), "Work C Hardpear"),
    ], "Sunday 5 September ends a week"
    found = told(tmp_path / "later", trees, task("when: 1 day before pick", "each: tree", "reminder: yes"))
    assert [(day.day, title) for day, title, _ in found] == [(6, "Work A, B Hardpear"), (15, "Work C Hardpear")]


def test_other_hands_are_other_appointments(tmp_path: Path) -> None:
    """So that each person's calendar takes one whole or not at all."""
    place = {
        "place.md": note("name: Home", "latitude: 42 N", "people: [{name: Ann}, {name: Ben}]"),
        "trees/A.md": tree("01", "kept by: Ann"),
        "trees/B.md": tree("01", "kept by: Ben"),
    }
    found = told(tmp_path, place, task("when: pick", "each: tree", "reminder: yes"))

    assert [title for _, title, _ in found] == ["Work A Hardpear", "Work B Hardpear"]


def test_many_trees_are_counted_in_the_title_and_named_in_the_text(tmp_path: Path) -> None:
    """A line on a phone is short."""
    trees = {f"trees/{tag}.md": tree("01") for tag in "ABCDE"}
    ((_, title, text),) = told(tmp_path, trees, task("when: pick", "each: tree", "reminder: yes"))

    assert title == "Work 5 trees"
    assert all(f"{tag} Hardpear" in text for tag in "ABCDE")


PICKING = {
    "trees/A.md": note("cultivar: Hardpear"),
    "tasks/pick.md": note("name: Pick", "when: pick", "until: latest pick", "each: tree", "reminder: yes"),
    "tasks/by.md": note("name: Pick by", "when: latest pick", "each: tree", "reminder: yes"),
}


def picked_between(stretch: str) -> dict[str, str]:
    """Return the kind of the one tree with its own usual days."""
    kind = note("name: Hardpear", "fruit: pear", f"windows: [{{pick: {stretch}, place: here}}]")
    return {**PICKING, "cultivars/hardpear.md": kind}


def test_a_deadline_that_comes_soon_stands_in_what_it_ends(tmp_path: Path) -> None:
    """In title and text; one that comes late has its own reminder."""
    bloom = {"records/2027.csv": "date,tree,what,amount,note\n2027-08-30,A,first pick,,\n"}
    soon = told(tmp_path, picked_between("Sep 1 - Sep 6"), task("when: Mar 9"))
    late = told(tmp_path / "late", picked_between("Aug 20 - Sep 20"), task("when: Mar 9"))
    noted = told(tmp_path / "noted", picked_between("Sep 1 - Sep 6"), bloom, as_of=date(2027, 8, 31))

    by = [re.search(r", by \d+ Sep$", title) is not None for _, title, _ in soon if title.startswith("Pick ")]
    assert by in ([True], [False, False])
    assert [title for _, title, _ in late if title.startswith("Pick by")]
    assert not [title for _, title, _ in noted if "by" in title]


def test_a_deadline_is_not_lost_with_a_job_whose_day_was_over_before_the_first_calendar(tmp_path: Path) -> None:
    """A calendar that begins after the likely day and before the last one tells of that."""
    notes = picked_between("Sep 1 - Sep 6")
    plan = plan_of_notes(tmp_path, notes, as_of=SPRING)
    (pick,) = [entry for entry in plan.calendar.entries if entry.task.name == "Pick"]
    (last,) = [entry for entry in plan.calendar.entries if entry.task.name == "Pick by"]
    between = pick.span.first + timedelta(days=1)
    plan = replace(plan, season=replace(plan.season, as_of=between))

    assert between <= last.span.first
    assert [(day, title) for day, title, _ in reminders(make_feeds(plan, Ledger(), between))] == [
        (last.span.first, "Pick by A Hardpear")
    ]


def test_what_was_told_stays_as_it_was_told_while_the_days_go_by(tmp_path: Path) -> None:
    """Neither the jobs told together nor the deadline in one of them fall apart when their first day is over."""
    trees = {"trees/A.md": tree("07"), "trees/B.md": tree("09")}
    notes = {**trees, **task("when: 1 day before pick", "each: tree", "reminder: yes")}
    plan = plan_of_notes(tmp_path, notes, as_of=SPRING)
    first = make_feeds(plan, Ledger(), SPRING)
    for day in (date(2027, 9, 6), date(2027, 9, 7), date(2027, 9, 20)):
        later = make_feeds(replace(plan, season=replace(plan.season, as_of=day)), first.ledger, day)
        assert later.files == first.files


def test_fruit_that_keeps_past_new_year_keeps_its_days_in_the_next_season_and_the_one_after(tmp_path: Path) -> None:
    """Told in 2026 of 2027's spring, it stands its twelve months, also once the season is 2028's."""
    notes = {
        **task("when: keep until", "each: tree", "reminder: yes"),
        "trees/A.md": note("cultivar: Hardpear", "pinned: [{pick: 2026-12-20}]"),
        "records/2026.csv": "date,tree,what,amount,note\n2026-12-20,A,pick,44 lb,\n",
    }
    at = date(2026, 12, 21)
    first = make_feeds(plan_of_notes(tmp_path, notes, 2026, at), Ledger(), at)
    ((day, title, _),) = reminders(first)
    assert day.year == 2027

    ledger = first.ledger
    for year, now in ((2027, date(2027, 1, 2)), (2028, date(2028, 1, 2))):
        feeds = make_feeds(plan_of_notes(tmp_path, notes, year, now), ledger, now)
        ledger = feeds.ledger
        assert (day, title) in [(one, name) for one, name, _ in reminders(feeds)], year
    summer = date(2028, 6, 1)
    feeds = make_feeds(plan_of_notes(tmp_path, notes, 2028, summer), ledger, summer)
    assert (day, title) not in [(one, name) for one, name, _ in reminders(feeds)]


def test_a_canning_day_keeps_its_identity_when_its_day_moves_and_tells_what_the_hand_needs(
    plan_of: Callable[..., Plan],
) -> None:
    """A pick a week later moves the session a week; the phone moves its event, and learns no second one."""

    def canning(day: str) -> dict[str, tuple[date, str, str]]:
        records = f"date,tree,what,amount,note\n{day},1-01,pick,70 lb,\n"
        as_of = date.fromisoformat(day) + timedelta(days=1)
        plan = plan_of(household(POT, SATURDAYS, QUARTS, records=records), as_of=as_of)
        feeds = make_feeds(plan, Ledger(), as_of)
        found = by_icalendar(feeds.files["feeds/kitchen-reminders.ics"])
        return {
            uid: (start, title, text)
            for uid, start, _, title, text in found
            if title.startswith(("Can", "Lay", "Test"))
        }

    early, late = canning("2027-08-18"), canning("2027-08-25")

    assert len(early) == 3
    assert early.keys() == late.keys()
    assert {late[uid][0] - early[uid][0] for uid in early} == {timedelta(days=7)}
    ((_, title, text),) = [one for one in early.values() if one[1].startswith("Can ")]
    assert title == "Can 14 quarts Pear halves in jars"
    # AIB 539, Guide 2, p. 2-20: quarts of pears, hot pack, at 1,001-3,000 ft: 30 minutes
    assert "upper kitchen, from 09:00." in text
    assert "14 quarts Pear halves in jars: pot, loads of 7 + 7, 30 minutes of a full boil" in text


def test_ripe_fruit_rings_once(plan_of: Callable[..., Plan]) -> None:
    """Sour cherries are ready on the tree, and their pick tells so; the day pears are ready tells the kitchen."""
    trees = {"trees/c.md": note("cultivar: Montmorency"), "trees/p.md": note("cultivar: Bartlett")}
    plan = plan_of({"place.md": note("zone: 6b", "latitude: 42 N"), **trees})
    spring = replace(plan, season=replace(plan.season, as_of=SPRING))
    found = by_icalendar(make_feeds(spring, Ledger(), SPRING).files["feeds/reminders.ics"])
    (cherries,) = {text for _, _, _, title, text in found if title.startswith("Pick c")}
    (pears,) = {text for _, _, _, title, text in found if title.startswith("Ready p")}

    assert not [title for *_, title, _ in found if title.startswith(("Ready c", "Put up"))]
    assert "Sort what is ready " in cherries
    assert "Put up " in cherries
    assert "Put up " in pears
    assert "Use only a tested process" in cherries
    assert "Use only a tested process" in pears


@pytest.mark.parametrize(
    ("people", "who", "as_of", "titles"),
    [
        ("[]", "picking", SPRING, ["Pick it A Hardpear"]),
        # both jobs are of the same two, though one is away on the day of the pick
        (
            "[{name: Ann, does: [picking], away: 2027-09-01}, {name: Ben, does: [picking]}]",
            "picking",
            SPRING,
            ["Pick it A Hardpear"],
        ),
        # what another does is another appointment
        (
            "[{name: Ann, does: [picking]}, {name: Ben, does: [canning]}]",
            "canning",
            SPRING,
            ["Pick it A Hardpear", "Jars A Hardpear"],
        ),
        # a pick whose day is over tells nothing more
        ("[]", "picking", date(2027, 9, 2), ["Jars A Hardpear"]),
    ],
)
def test_what_is_made_of_ripe_fruit_is_told_by_its_pick(
    tmp_path: Path, people: str, who: str, as_of: date, titles: list[str]
) -> None:
    """Where that stands in the calendar and is work of the same people, whoever is away; by itself where not."""
    job = ("each: tree", "reminder: yes")
    notes = {
        "place.md": note("name: Home", "zone: 6a", "latitude: 42 N", f"people: {people}"),
        "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", "counter: 1 day", "keeps: 60 days"),
        "trees/A.md": tree("01"),
        "tasks/pick.md": note("name: Pick it", "when: pick", *job, "topic: orchard", "who: picking"),
        "tasks/jars.md": note("name: Jars", "when: ready", *job, "topic: kitchen", f"who: {who}"),
    }
    plan = plan_of_notes(tmp_path, notes, as_of=SPRING)
    found = reminders(make_feeds(replace(plan, season=replace(plan.season, as_of=as_of)), Ledger(), as_of))

    assert [title for _, title, _ in found] == titles
    assert any("Jars" in title + text for _, title, text in found)


# How many there are


def test_the_example_s_calendar_is_short_and_quiet(example_plan: Plan) -> None:
    """Some twenty trees: at most 90 appointments a year, and few on any day; most titles are read whole."""
    feeds = make_feeds(example_plan, all_told(example_plan), example_plan.changed)
    found = by_icalendar(feeds.files["feeds/reminders.ics"])
    first = example_plan.season.as_of
    year = {uid for uid, start, *_ in found if first <= start < first + timedelta(days=365)}
    by_uid = {uid: (start, title) for uid, start, _, title, _ in found if start.year == 2027}
    days = Counter(start for start, _ in by_uid.values())

    assert 60 < len(year) <= 90
    assert max(days.values()) <= 4
    assert sum(len(title) <= 40 for _, title in by_uid.values()) > 0.75 * len(by_uid)


def test_one_tree_has_few_appointments(plan_of: Callable[..., Plan]) -> None:
    """At most 15 in a year."""
    plan = plan_of({"place.md": note("zone: 6b", "latitude: 42 N"), "trees/a.md": note("cultivar: Bartlett")})
    spring = replace(plan, season=replace(plan.season, as_of=SPRING))
    found = by_icalendar(make_feeds(spring, Ledger(), SPRING).files["feeds/reminders.ics"])

    assert 8 <= len({uid for uid, *_ in found}) <= 15
