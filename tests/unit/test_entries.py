"""Tasks hung on the days of the season."""

from __future__ import annotations

from collections import Counter
from datetime import date
from pathlib import Path

import pytest
from one_tree import HARD, PEAR, PLACE, TREE, entries_of, plan_of_notes, task
from season_notes import note, table

from firmripe.calendar.entry import Entry
from firmripe.holding.task import OF_THE_KITCHEN, Stage
from firmripe.plan import Plan
from firmripe.publish.audience import on_pages
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.calendar import undated_words
from firmripe.wording.names import title_of


def only(entries: list[Entry]) -> Entry:
    """Return the one entry there is."""
    assert len(entries) == 1, [title_of(IN_ENGLISH, entry) for entry in entries]
    return entries[0]


# On which stage


@pytest.mark.parametrize(
    ("stage", "day"),
    [
        (Stage.FULL_BLOOM, date(2027, 4, 20)),
        (Stage.PETAL_FALL, date(2027, 4, 30)),
        (Stage.EARLIEST_PICK, date(2027, 9, 1)),
        (Stage.PICK, date(2027, 9, 1)),
        (Stage.LATEST_PICK, date(2027, 9, 1)),
        (Stage.CONDITIONED, date(2027, 9, 11)),
        (Stage.TAKE_OUT, date(2027, 9, 11)),
        (Stage.READY, date(2027, 9, 16)),
        (Stage.USE_BY, date(2027, 9, 19)),
        (Stage.KEEP_UNTIL, date(2027, 10, 31)),
        (Stage.LEAF_FALL, date(2027, 11, 10)),
        (Stage.LAST_FROST, date(2027, 5, 12)),
        (Stage.FIRST_FROST, date(2027, 10, 8)),
        (Stage.TAKE_OUT_WANTED, date(2027, 10, 1)),
        (Stage.WANTED, date(2027, 10, 6)),
    ],
)
def test_a_task_can_hang_on_each_stage(tmp_path: Path, stage: Stage, day: date) -> None:
    """Every stage that the notes' format names has its day."""
    place = {"place.md": PLACE.replace("spaces:", "wanted: [{cultivar: Hardpear, on: 2027-10-06}]\nspaces:")}
    early = date(2027, 8, 20)  # once the last good day to pick is over, fruit for a day waits until the pick is noted
    known = {"as_of": early} if stage in {Stage.TAKE_OUT_WANTED, Stage.WANTED} else {}
    entry = only(entries_of(tmp_path, place, task(f"when: {stage.value}"), **known))

    assert entry.span.first == entry.span.last == day
    assert entry.days == (day,)


def test_every_stage_is_tried_above() -> None:
    """The table of stages is whole; the days of the kitchen plan are tried with the plan."""
    marks = [mark for mark in test_a_task_can_hang_on_each_stage.pytestmark if mark.name == "parametrize"]
    assert {row[0] for row in marks[0].args[1]} == set(Stage) - OF_THE_KITCHEN


@pytest.mark.parametrize(
    ("when", "day"),
    [
        ("1 day before pick", date(2027, 8, 31)),
        ("2 weeks after pick", date(2027, 9, 15)),
        ("3 months before pick", date(2027, 6, 1)),
        ("6 months after pick", date(2028, 3, 1)),
        ("1 month after Jan 31", date(2027, 2, 28)),
    ],
)
def test_days_weeks_and_months_are_counted_from_the_stage(tmp_path: Path, when: str, day: date) -> None:
    """Months go by the calendar, and end with the month where it is shorter."""
    assert only(entries_of(tmp_path, task(f"when: {when}"), as_of=date(2027, 8, 20))).span.first == day


def test_a_noted_petal_fall_takes_the_place_of_ten_days_after_bloom(tmp_path: Path) -> None:
    """What was seen counts, even where no bloom was noted; another season's petal fall does not."""
    rows = {"records/2027.csv": table("2026-05-05,A,petal fall,,", "2027-05-03,A,petal fall,,")}

    assert only(entries_of(tmp_path, task("when: petal fall"), rows)).span.first == date(2027, 5, 3)


def test_an_unsure_pick_has_three_days(tmp_path: Path) -> None:
    """Where the pick is an estimate, its earliest, likely and latest days are days of their own."""
    window = "windows: [{pick: Sep 1, place: here}]"
    found = {}
    for stage in ("earliest pick", "pick", "latest pick"):
        notes = {
            "trees/A.md": note("cultivar: Hardpear"),
            "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", window),
        }
        found[stage] = only(entries_of(tmp_path, task(f"when: {stage}"), notes)).span.first

    assert found["earliest pick"] < found["pick"] < found["latest pick"]
    assert found["pick"] == date(2027, 9, 1)


def test_an_entry_says_how_early_and_late_it_may_come(tmp_path: Path) -> None:
    """The window of a day moves with it."""
    window = "windows: [{pick: Sep 1, place: here}]"
    notes = {
        "trees/A.md": note("cultivar: Hardpear"),
        "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", window),
    }
    at, before = (only(entries_of(tmp_path, task(f"when: {w}"), notes)).reach for w in ("pick", "10 days before pick"))

    assert at.earliest < at.likely < at.latest
    for name in ("earliest", "likely", "latest"):
        assert (getattr(at, name) - getattr(before, name)).days == 10


# On a day of the calendar


@pytest.mark.parametrize(
    ("zone", "days", "why"),
    [
        ("6a", (0, 0), "the very zone it is meant for"),
        ("6b", (6, 9), "this place is half a zone colder: later"),
        ("5b", (-9, -6), "this place is half a zone warmer: earlier"),
        ("7a", (13, 18), "a whole zone"),
        ("10a", (40, 56), "where springs are warm a zone is worth less"),
        ("2a", (-70, -54), "eight half zones the other way"),
    ],
)
def test_a_calendar_day_moves_by_what_the_zones_warmth_is_worth(
    tmp_path: Path, zone: str, days: tuple[int, int], why: str
) -> None:
    """A day meant for another zone comes later where it is colder: six days a °C of March and April.

    So Swiss cherries bloom from place to place; half a zone is 1.1 to 1.4 °C there in the middle of the scale.
    """
    moved = only(entries_of(tmp_path, task("when: Mar 1", f"zone: {zone}"))).span.first - date(2027, 3, 1)
    assert days[0] <= moved.days <= days[1], why


@pytest.mark.parametrize(("when", "days"), [("Jun 20", (4, 12)), ("Oct 20", (-8, -2))])
def test_a_day_of_summer_moves_as_picking_does_and_one_of_autumn_as_leaves_fall(
    tmp_path: Path, when: str, days: tuple[int, int]
) -> None:
    """What is meant for a zone a whole zone warmer comes later in summer, and sooner in autumn."""
    meant = entries_of(tmp_path, task(f"when: {when}", "zone: 7a"))
    plain = entries_of(tmp_path / "plain", task(f"when: {when}"))
    assert days[0] <= (only(meant).span.first - only(plain).span.first).days <= days[1]


def test_a_calendar_day_without_a_zone_stands(tmp_path: Path) -> None:
    """A day that names no zone is meant as it is, and so is any day where the place's zone is not known."""
    unknown = {"place.md": note("name: Home")}

    assert only(entries_of(tmp_path, task("when: Mar 1"))).span.first == date(2027, 3, 1)
    assert only(entries_of(tmp_path, task("when: Mar 1", "zone: 8a"), unknown)).span.first == date(2027, 3, 1)


def test_a_leap_day_falls_on_the_28th_in_a_common_year(tmp_path: Path) -> None:
    """A task on 29 February is due in every year."""
    assert only(entries_of(tmp_path, task("when: Feb 29"))).span.first == date(2027, 2, 28)
    assert only(entries_of(tmp_path, task("when: Feb 29"), year=2028)).span.first == date(2028, 2, 29)


def test_a_stretch_of_the_calendar_runs_over_new_year(tmp_path: Path) -> None:
    """From November until February is three months, not one day."""
    entry = only(entries_of(tmp_path, task("when: Nov 15", "until: Feb 10", "every: 1 month")))

    assert entry.span.last == date(2028, 2, 10)
    assert entry.days == (date(2027, 11, 15), date(2027, 12, 15), date(2028, 1, 15))


@pytest.mark.parametrize(
    ("when", "days"),
    [
        ("Oct 1 - May 1", (date(2027, 10, 1), date(2028, 5, 1))),
        ("Aug 20 - Jun 15", (date(2027, 8, 20), date(2028, 6, 15))),
        ("Nov 1 - Feb 29", (date(2027, 11, 1), date(2028, 2, 29))),
        ("Mar 1 - Oct 31", (date(2027, 3, 1), date(2027, 10, 31))),
    ],
)
def test_a_stretch_of_the_calendar_ends_in_the_year_that_it_says(
    tmp_path: Path, when: str, days: tuple[date, date]
) -> None:
    """However long it runs over New Year, and on a leap day where there is one."""
    entry = only(entries_of(tmp_path, task(f"when: {when}", "every: 1 month")))

    assert (entry.span.first, entry.span.last) == days


def test_a_stretch_of_the_calendar_ends_in_the_souths_own_year(tmp_path: Path) -> None:
    """From May to October is winter there, and lies in two seasons."""
    south = {"place.md": SOUTH, "trees/A.md": note("cultivar: Hardpear"), "records/2027.csv": ""}
    spans = [
        only(entries_of(tmp_path, task(f"when: {when}", "every: 1 month"), south, as_of=date(2027, 6, 30))).span
        for when in ("May 1 - Oct 1", "Oct 1 - May 1")
    ]

    assert [(span.first, span.last) for span in spans] == [
        (date(2027, 5, 1), date(2027, 10, 1)),
        (date(2026, 10, 1), date(2027, 5, 1)),
    ]


def test_trees_whose_job_lasts_over_new_year_share_it(tmp_path: Path) -> None:
    """Who comes while the job is on comes along: until January one round is made for trees picked weeks apart."""
    pins = {"A": "pinned: [{pick: 2027-09-01}]", "B": "pinned: [{pick: 2027-10-01}]"}
    trees = {f"trees/{tag}.md": note("cultivar: Hardpear", pin) for tag, pin in pins.items()}
    job = task("when: pick", "until: Jan 15", "each: cultivar")

    assert only(entries_of(tmp_path, job, trees)).span.last == date(2028, 1, 15)


def test_a_task_that_runs_past_the_season_keeps_its_days(tmp_path: Path) -> None:
    """A store that is looked after into spring has its days in the next calendar year."""
    kept = {"cultivars/hardpear.md": HARD.replace("60 days", "150 days")}
    entry = only(entries_of(tmp_path, task("when: pick", "until: keep until", "every: 4 weeks"), kept))

    assert entry.span.last == date(2028, 1, 29)
    assert entry.days[-1] == date(2028, 1, 19)
    assert entry.season == 2027


def test_a_last_day_before_the_first_leaves_the_first(tmp_path: Path) -> None:
    """Where a late spring overtakes the last day, the task still has one day."""
    entry = only(entries_of(tmp_path, task("when: full bloom", "until: Apr 10")))

    assert (entry.span.first, entry.span.last) == (date(2027, 4, 20), date(2027, 4, 20))


def test_a_stretch_of_frost_over_new_year_has_its_middle_in_winter(tmp_path: Path) -> None:
    """In a mild place the first frost may come on either side of New Year."""
    mild = {"place.md": note("name: Home", "first frost: Dec 20 - Jan 9")}
    entry = only(entries_of(tmp_path, task("when: first frost"), mild))

    assert entry.span.first == date(2027, 12, 30)
    assert (entry.reach.earliest, entry.reach.latest) == (date(2027, 12, 20), date(2028, 1, 9))


def test_a_long_stretch_of_frost_runs_forwards(tmp_path: Path) -> None:
    """Where nobody knows it better than from October to May its middle lies between, and not before its first day."""
    mild = {"place.md": note("name: Home", "first frost: Oct 1 - May 1")}
    reach = only(entries_of(tmp_path, task("when: first frost"), mild)).reach

    assert reach.earliest < reach.likely < reach.latest


SOUTH = note("name: Home", "latitude: 42 S", "last frost: Oct 20", "first frost: Apr 25")


def test_the_south_has_its_days_half_a_year_away(tmp_path: Path) -> None:
    """A household in the south writes its own months; the season 2027 has its spring in 2026."""
    south = {
        "place.md": SOUTH,
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2027.csv": "",
    }
    spring = only(entries_of(tmp_path, task("when: Oct 1"), south, as_of=date(2027, 6, 30)))
    autumn = only(entries_of(tmp_path, task("when: Mar 1"), south, as_of=date(2027, 6, 30)))

    assert (spring.span.first, autumn.span.first) == (date(2026, 10, 1), date(2027, 3, 1))
    assert spring.season == autumn.season == 2027


def test_a_day_of_the_shelf_is_moved_half_a_year_in_the_south(tmp_path: Path) -> None:
    """The shelf is written for the north: its 1 March is the south's 1 September."""
    (tmp_path / "shelf" / "tasks").mkdir(parents=True)
    (tmp_path / "shelf" / "tasks" / "work.md").write_text(note("name: Work", "when: Mar 1"), encoding="utf-8")
    south = {
        "place.md": SOUTH,
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2027.csv": "",
    }

    assert only(entries_of(tmp_path, south, as_of=date(2027, 6, 30))).span.first == date(2026, 9, 1)


# Again and again


@pytest.mark.parametrize(
    ("every", "days"),
    [
        ("2 days", ["04-20", "04-22", "04-24", "04-26", "04-28", "04-30"]),
        ("1 week", ["04-20", "04-27"]),
        ("20 days", ["04-20"]),
        ("1 month", ["04-20"]),
    ],
)
def test_a_rhythm_stays_within_its_window(tmp_path: Path, every: str, days: list[str]) -> None:
    """The first day and each repeat up to the last day, both ends counted."""
    entry = only(entries_of(tmp_path, task("when: full bloom", "until: petal fall", f"every: {every}")))

    assert entry.days == tuple(date.fromisoformat(f"2027-{day}") for day in days)


def test_a_monthly_task_keeps_to_the_end_of_short_months(tmp_path: Path) -> None:
    """A month after 31 December is 31 January, and two months after it the last of February."""
    entry = only(entries_of(tmp_path, task("when: Jan 31", "until: May 1", "every: 1 month"), year=2028))

    assert entry.days == (date(2028, 1, 31), date(2028, 2, 29), date(2028, 3, 31), date(2028, 4, 30))


def test_a_stretch_without_a_rhythm_stands_on_its_first_day(tmp_path: Path) -> None:
    """What has no rhythm is listed once, with the span it may be done in."""
    entry = only(entries_of(tmp_path, task("when: full bloom", "until: petal fall")))

    assert entry.days == (date(2027, 4, 20),)
    assert entry.span.last == date(2027, 4, 30)


# For what


ORCHARD = {
    "fruits/plum.md": note("name: Plum", "ripens off the tree: partly"),
    "cultivars/softpear.md": note("name: Softpear", "fruit: pear", "counter: 2 days"),
    "cultivars/blueplum.md": note("name: Blueplum", "fruit: plum"),
    "trees/A.md": note("cultivar: Hardpear", "walk: 1", "pinned: [{pick: 2027-09-01}]"),
    "trees/B.md": note("cultivar: Hardpear", "walk: 2", "pinned: [{pick: 2027-09-05}]"),
    "trees/C.md": note("limbs: [Softpear, Hardpear]", "walk: 3", "pinned: [{pick: 2027-08-10}]"),
    "trees/D.md": note("cultivar: Blueplum", "walk: 4", "pinned: [{pick: 2027-08-20}]"),
}


@pytest.mark.parametrize(
    ("each", "found"),
    [
        (
            "tree",
            {
                "A": ("Work: Hardpear (A)", "2027-09-01", 1),
                "B": ("Work: Hardpear (B)", "2027-09-05", 1),
                "C/hardpear": ("Work: Hardpear (C)", "2027-08-10", 1),
                "C/softpear": ("Work: Softpear (C)", "2027-08-10", 1),
                "D": ("Work: Blueplum (D)", "2027-08-20", 1),
            },
        ),
        (
            "cultivar",
            {
                "hardpear": ("Work: Hardpear", "2027-08-10", 3),
                "softpear": ("Work: Softpear", "2027-08-10", 1),
                "blueplum": ("Work: Blueplum", "2027-08-20", 1),
            },
        ),
        ("fruit", {"pear": ("Work: Pear", "2027-08-10", 4), "plum": ("Work: Plum", "2027-08-20", 1)}),
        ("place", {"": ("Work", "2027-08-10", 5)}),
    ],
)
def test_one_entry_for_each(tmp_path: Path, each: str, found: dict[str, tuple[str, str, int]]) -> None:
    """Trees, cultivars and fruits have an entry each, from the first day of those it is for on; the place has one."""
    entries = entries_of(tmp_path, ORCHARD, task("when: pick", f"each: {each}"))

    trees = Counter(e.subject for e in entries for _bearing in e.bearings)
    first = {e.subject: e for e in reversed(entries)}
    assert {of: (title_of(IN_ENGLISH, e), e.span.first.isoformat(), trees[of]) for of, e in first.items()} == found


def test_a_tree_of_several_limbs_has_one_entry_for_what_concerns_it_whole(tmp_path: Path) -> None:
    """Bloom and calendar days belong to the tree, picks to its limbs."""
    tree = {"trees/A.md": note("limbs: [Softpear, Hardpear]", "pinned: [{pick: 2027-08-10}]")}
    notes = {**ORCHARD, **tree, "trees/B.md": TREE, "trees/C.md": TREE, "trees/D.md": TREE}
    entries = [e for e in entries_of(tmp_path, notes, task("when: Mar 1")) if e.subject == "A"]

    assert title_of(IN_ENGLISH, only(entries)) == "Work: tree A"


def test_several_crops_are_picked_apart_and_pruned_together(tmp_path: Path) -> None:
    """A fig's two crops have entries of their own for the pick, and one for what concerns the tree."""
    fig = {
        "fruits/fig.md": note("name: Fig", "crops: [breba, main]"),
        "cultivars/brown.md": note("name: Brown", "fruit: fig"),
        "trees/A.md": note(
            "cultivar: Brown", "pinned: [{pick: 2027-07-01, crop: breba}, {pick: 2027-09-10, crop: main}]"
        ),
        "records/2027.csv": "",
    }
    picks = entries_of(tmp_path, fig, task("when: pick"))
    care = entries_of(tmp_path, fig, task("when: Mar 1"))

    assert [(e.crop, e.span.first, title_of(IN_ENGLISH, e)) for e in picks] == [
        ("breba", date(2027, 7, 1), "Work: Brown (A), breba crop"),
        ("main", date(2027, 9, 10), "Work: Brown (A), main crop"),
    ]
    assert (only(care).crop, title_of(IN_ENGLISH, only(care))) == ("", "Work: Brown (A)")


@pytest.mark.parametrize(
    ("subjects", "found"),
    [
        ("[Pear]", {"A", "B", "C/hardpear", "C/softpear"}),
        ("[Blueplum]", {"D"}),
        ("[B]", {"B"}),
        ("[Softpear, D]", {"C/softpear", "D"}),
    ],
)
def test_a_task_is_for_its_fruits_cultivars_and_trees_alone(tmp_path: Path, subjects: str, found: set[str]) -> None:
    """Subjects may be named by fruit, cultivar or tag."""
    entries = entries_of(tmp_path, ORCHARD, task("when: pick", f"for: {subjects}"))

    assert {entry.subject for entry in entries} == found


def test_a_task_for_what_nobody_grows_has_no_entry(tmp_path: Path) -> None:
    """A known cultivar without a tree makes no entry, and is not reported as missing."""
    plan = plan_of_notes(tmp_path, {**ORCHARD, "trees/D.md": TREE, **task("when: pick", "for: [Blueplum]")})

    assert plan.calendar.entries == ()
    assert not any("Work" in undated_words(IN_ENGLISH, item) for item in plan.calendar.undated)


# Only if


@pytest.mark.parametrize(
    ("condition", "lines", "due"),
    [
        ("ripens off the tree", ["ripens off the tree: yes"], True),
        ("ripens off the tree", ["ripens off the tree: partly"], True),
        ("ripens off the tree", ["ripens off the tree: no"], False),
        ("ripens on the tree", ["ripens off the tree: no"], True),
        ("ripens on the tree", ["ripens off the tree: partly"], False),
        ("needs cold", ["conditioning: [{value: 9 days, at: 38 F}]"], True),
        ("needs cold", ["counter: 5 days"], False),
        ("needs cold", ["ripens off the tree: no", "conditioning: [{value: 9 days, at: 38 F}]"], False),
        ("bears", [], True),
        ("can be put up", [], False),
        ("[ripens off the tree, needs cold]", ["ripens off the tree: yes"], False),
    ],
)
def test_a_task_is_due_only_if_its_condition_holds(
    tmp_path: Path,
    condition: str,
    lines: list[str],
    due: bool,  # noqa: FBT001 - a row of the table
) -> None:
    """Conditions look at the traits of the cultivar, and a list asks for all of them."""
    kind = {
        "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", *lines),
        "fruits/pear.md": note("name: Pear"),
    }
    entries = entries_of(tmp_path, kind, task("when: Sep 10", f"only if: {condition}"))

    assert bool(entries) is due


@pytest.mark.parametrize(
    ("condition", "planted", "due"),
    [
        ("newly planted", "planted: 2027", True),
        ("newly planted", "planted: 2026", False),
        ("newly planted", "", False),
        ("young", "planted: 2027", True),
        ("young", "planted: 2022", True),
        ("young", "planted: 2021", False),
        ("young", "", True),
    ],
)
def test_a_job_of_young_trees_comes_as_long_as_they_may_be_young(
    tmp_path: Path,
    condition: str,
    planted: str,
    due: bool,  # noqa: FBT001 - a row of the table
) -> None:
    """What is planted this season is set; what is known to be older than five years needs no guard."""
    kind = {"trees/A.md": note("cultivar: Hardpear", *filter(None, [planted]))}
    entries = entries_of(tmp_path, kind, task("when: Sep 10", f"only if: {condition}"))

    assert bool(entries) is due


@pytest.mark.parametrize(
    ("kitchen", "due"),
    [
        ([], False),
        (["kitchens: [{name: home}]", "canners: [{name: Dryer, kind: dryer, kitchen: home, holds: 10 lb}]"], True),
    ],
)
def test_jobs_with_dried_fruit_come_where_fruit_is_dried(
    tmp_path: Path,
    kitchen: list[str],
    due: bool,  # noqa: FBT001 - a row of the table
) -> None:
    """A household that tells of no dryer, and wants nothing dried, is not sent to jars of dried fruit."""
    entries = entries_of(tmp_path, {"place.md": note(*kitchen)}, task("when: Sep 10", "only if: dries"))

    assert bool(entries) is due


def test_what_ripens_in_no_known_way_meets_neither_condition(tmp_path: Path) -> None:
    """Without a word on how it ripens, neither kind of task is due."""
    kind = {"cultivars/hardpear.md": note("name: Hardpear", "fruit: pear"), "fruits/pear.md": note("name: Pear")}
    for condition in ("ripens off the tree", "ripens on the tree"):
        assert not entries_of(tmp_path, kind, task("when: pick", f"only if: {condition}"))


def test_what_has_a_preserve_can_be_put_up(tmp_path: Path) -> None:
    """A preserve for the cultivar or for its fruit is enough."""
    for subject in ("Hardpear", "Pear"):
        jar = {"preserves/jar.md": note("name: Frozen", f"fruits: [{subject}]", "method: freezer")}
        assert entries_of(tmp_path, jar, task("when: ready", "only if: can be put up"))


def test_no_crop_clears_the_pick_and_leaves_the_care(tmp_path: Path) -> None:
    """Where there is no crop, all that hangs on the pick is gone; bloom, frost and calendar tasks stay."""
    tasks = {
        f"tasks/{name}.md": note(f"name: {name}", f"when: {when}")
        for name, when in [
            ("check", "7 days before earliest pick"),
            ("pick", "pick"),
            ("ready", "ready"),
            ("store", "keep until"),
            ("bees", "full bloom"),
            ("prune", "Mar 1"),
            ("rake", "leaf fall"),
        ]
    }
    rows = {
        "records/2027.csv": table("2027-04-20,A,full bloom,,", "2027-06-01,A,no crop,,", "2027-11-10,A,leaf fall,,")
    }
    plan = plan_of_notes(tmp_path, {**tasks, **rows})

    assert {title_of(IN_ENGLISH, entry) for entry in plan.calendar.entries} == {
        "bees: Hardpear (A)",
        "prune: Hardpear (A)",
        "rake: Hardpear (A)",
    }
    assert [words_of(item.what, IN_ENGLISH) for item in plan.calendar.undated] == ["pick of Hardpear (A)"]
    assert words_of(plan.calendar.undated[0].reason, IN_ENGLISH) == "no crop this season"


def test_a_tree_taken_out_has_no_tasks(tmp_path: Path) -> None:
    """A removed tree asks for nothing."""
    rows = {"records/2027.csv": table("2027-02-01,A,removed,,")}

    assert entries_of(tmp_path, rows, task("when: Mar 1")) == []


LOOKING = {
    "tasks/check.md": note("name: Check", "when: 7 days before earliest pick"),
    "tasks/early.md": note("name: Early", "when: 1 month before earliest pick"),
    "tasks/by.md": note("name: By", "when: latest pick"),
    "tasks/pick.md": note("name: Pick", "when: pick", "until: latest pick"),
    "tasks/after.md": note("name: After", "when: 1 week after earliest pick"),
    "tasks/later.md": note("name: Later", "when: 1 month after latest pick"),
}


def test_looking_out_is_over_once_the_pick_is_noted(tmp_path: Path) -> None:
    """After the pick nothing says to look out for it; what follows from the pick stays."""
    notes = {
        **LOOKING,
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2027.csv": table("2027-08-30,A,first pick,,"),
    }
    entries = {entry.task.name: entry for entry in entries_of(tmp_path, notes)}

    assert set(entries) == {"Pick", "After", "Later"}
    assert entries["Pick"].span.first == entries["Pick"].span.last == date(2027, 8, 30)
    assert entries["After"].span.first == date(2027, 9, 6)
    assert entries["Later"].span.first == date(2027, 9, 30)


def test_looking_out_is_over_once_the_pick_is_noted_though_another_day_is_fixed(tmp_path: Path) -> None:
    """A day fixed by hand and never taken out asks nobody to look at a bare tree."""
    notes = {**LOOKING, "records/2027.csv": table("2027-08-20,A,first pick,,")}
    names = {entry.task.name for entry in entries_of(tmp_path, notes)}

    assert names == {"Pick", "After", "Later"}


def test_looking_out_stays_while_the_pick_is_only_fixed_by_hand(tmp_path: Path) -> None:
    """A pinned day is a plan, not a thing seen."""
    assert {entry.task.name for entry in entries_of(tmp_path, LOOKING)} == {
        "Check",
        "Early",
        "By",
        "Pick",
        "After",
        "Later",
    }


# What is seen, and what is rough


@pytest.mark.parametrize(
    ("when", "seen"),
    [
        ("full bloom", True),
        ("5 weeks after full bloom", True),
        ("petal fall", True),
        ("pick", False),
        ("ready", False),
        ("leaf fall", False),
        ("last frost", False),
        ("first frost", False),
        ("Mar 1", False),
    ],
)
def test_only_what_hangs_on_a_noted_day_counts_as_seen(tmp_path: Path, when: str, seen: bool) -> None:  # noqa: FBT001
    """A noted bloom makes only bloom's own tasks seen, not those of the frost, the leaves or the pick."""
    notes = {
        "records/2027.csv": table("2027-04-20,A,full bloom,,"),
        "cultivars/hardpear.md": HARD.replace("fruit: pear", "fruit: pear\nwindows: [{leaf fall: Nov 1, place: here}]"),
    }

    assert only(entries_of(tmp_path, notes, task(f"when: {when}"))).seen is seen


def test_a_date_that_a_zone_alone_speaks_for_is_rough(tmp_path: Path) -> None:
    """The task says so where its date does."""
    window = "windows: [{pick: Sep 1, zone: 7b}]"
    notes = {
        "place.md": note("name: Home", "zone: 6a"),
        "trees/A.md": note("cultivar: Hardpear"),
        "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", window),
        "records/2027.csv": "",
    }

    assert only(entries_of(tmp_path, notes, task("when: pick"))).rough
    assert not only(entries_of(tmp_path, notes, task("when: Mar 1"))).rough


# Identity


def test_identity_stays_when_the_date_moves(tmp_path: Path) -> None:
    """A pick that moves is the same entry on another day."""
    moved = {"trees/A.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-12}]")}
    before = only(entries_of(tmp_path, task("when: pick")))
    after = only(entries_of(tmp_path, task("when: pick"), moved))

    assert before.identity == after.identity
    assert before.span.first != after.span.first


def test_identity_stays_when_a_task_is_called_something_else(tmp_path: Path) -> None:
    """The name shown is not what an entry is."""
    renamed = {"tasks/work.md": note("name: Toil", "when: pick")}
    assert only(entries_of(tmp_path, task("when: pick"))).identity == only(entries_of(tmp_path, renamed)).identity


def test_each_season_has_entries_of_its_own(tmp_path: Path) -> None:
    """The same task of the next year is another entry."""
    work = task("when: Mar 1")
    assert only(entries_of(tmp_path, work)).identity != only(entries_of(tmp_path, work, year=2028)).identity


def test_no_two_entries_of_the_example_share_an_identity(example_plan: Plan) -> None:
    """What an entry is, is its own."""
    identities = [entry.identity for entry in example_plan.calendar.entries]

    assert len(set(identities)) == len(identities)


def test_a_name_with_a_colon_stays_in_one_piece(tmp_path: Path) -> None:
    """What a task is for is not guessed from its title."""
    entry = only(entries_of(tmp_path, {"tasks/work.md": note('name: "Note: full bloom"', "when: pick", "each: place")}))

    assert (title_of(IN_ENGLISH, entry), entry.name) == ("Note: full bloom", None)


# In order


def test_entries_stand_by_day_topic_and_title(example_plan: Plan) -> None:
    """The order hangs on the entries alone."""
    entries = on_pages(example_plan).calendar.entries
    keys = [(e.span.first, e.task.topic.value, title_of(IN_ENGLISH, e)) for e in entries]

    assert keys == sorted(keys)
    assert set(entries) == set(example_plan.calendar.entries)


def test_every_day_of_an_entry_lies_in_its_span(example_plan: Plan) -> None:
    """A task is never due outside its window, and is due on the first day of it."""
    for entry in example_plan.calendar.entries:
        assert entry.days[0] == entry.span.first
        assert all(day in entry.span for day in entry.days), title_of(IN_ENGLISH, entry)
        assert list(entry.days) == sorted(set(entry.days)), title_of(IN_ENGLISH, entry)


# What has no date


def test_a_place_without_frosts_is_asked_for_them(tmp_path: Path) -> None:
    """A task that hangs on a frost nobody told of is reported, with all tasks that wait for it."""
    notes = {
        "place.md": note("name: Home"),
        "tasks/out.md": note("name: Carry out", "when: last frost"),
        "tasks/cover.md": note("name: Uncover", "when: 1 week before last frost"),
    }
    plan = plan_of_notes(tmp_path, notes)

    assert plan.calendar.entries == ()
    assert [(words_of(item.what, IN_ENGLISH), undated_words(IN_ENGLISH, item)) for item in plan.calendar.undated] == [
        ("last frost", "place.md does not say when it is; no day for: Carry out, Uncover")
    ]


def test_a_stage_that_cannot_be_dated_is_reported_with_its_tasks(tmp_path: Path) -> None:
    """An unknown number of ripe days is said once, with what waits for it."""
    kind = {"cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", "counter: 5 days")}
    plan = plan_of_notes(tmp_path, {**kind, **task("when: use by")})

    assert [(words_of(item.what, IN_ENGLISH), undated_words(IN_ENGLISH, item)) for item in plan.calendar.undated] == [
        (
            "Hardpear (A), use by",
            "how long it stays good once ready is not known; no day for: Work",
        )
    ]


def test_a_tree_without_any_date_says_what_to_note(tmp_path: Path) -> None:
    """Where nothing is known of a pick, the report says what would help."""
    notes = {"trees/A.md": note("cultivar: unknown", "fruit: pear"), "fruits/pear.md": PEAR, "records/2027.csv": ""}
    plan = plan_of_notes(tmp_path, {**notes, **task("when: pick", "only if: bears")})
    pick = next(item for item in plan.calendar.undated if words_of(item.what, IN_ENGLISH).startswith("pick of"))

    assert "unknown Pear (A)" in words_of(pick.what, IN_ENGLISH)
    assert pick.reason
    assert pick.remedy
    assert plan.calendar.entries == ()


# Rounds


ROUNDS = {
    f"trees/{tag}.md": note("cultivar: Hardpear", f"pinned: [{{pick: 2027-09-{day:02}}}]")
    for tag, day in (("A", 1), ("B", 12), ("C", 3), ("D", 13))
}


def rounds(top: Path, *lines: str) -> list[tuple[int, list[str]]]:
    """Return the first day in September of each job, and its trees."""
    found = entries_of(top, ROUNDS, task(*lines))
    return [(entry.span.first.day, [bearing.tree for bearing in entry.bearings]) for entry in found]


@pytest.mark.parametrize("each", ["cultivar", "fruit"])
def test_trees_of_one_kind_whose_days_lie_apart_have_a_job_each_round(tmp_path: Path, each: str) -> None:
    """Those within three days go together, in walking order; the others come on their own day."""
    assert rounds(tmp_path, f"each: {each}", "when: pick") == [(1, ["A", "C"]), (12, ["B", "D"])]


def test_a_job_that_lasts_takes_along_what_comes_while_it_is_on(tmp_path: Path) -> None:
    """No second job begins for trees whose day falls into it; and what waits for the last waits for all."""
    assert rounds(tmp_path / "a", "each: fruit", "when: pick", "until: 20 days after pick") == [(1, [*"ABCD"])]
    assert rounds(tmp_path / "b", "each: fruit", "when: 1 week after latest pick") == [(20, [*"ABCD"])]


def test_rounds_are_known_apart(tmp_path: Path) -> None:
    """The first keeps the identity of the whole."""
    found = entries_of(tmp_path, ROUNDS, task("each: cultivar", "when: pick"))
    assert [entry.identity for entry in found] == ["work|hardpear||2027", "work|hardpear/round 2||2027"]
