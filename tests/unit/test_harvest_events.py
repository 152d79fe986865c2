"""What changes the plan: a freeze to come, a crop lost, a tree gone or new, a partner gone, a pick too soon."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from one_tree import plan_of_notes, task
from season_notes import note, read, table

from firmripe.harvest.lots import Lot
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger
from firmripe.reading.warnings import warnings_of
from firmripe.season.estimate import Basis, Estimate
from firmripe.season.season import Season
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.calendar import beside_job
from firmripe.wording.clashes import clash_words
from firmripe.wording.harvest import alert_words
from firmripe.wording.store import warning_words

A = Bearing("A", "hardpear")
KIND = (
    "name: Hardpear",
    "fruit: pear",
    "windows: [{pick: Oct 1 - Oct 20, place: here}]",
    "conditioning: [{value: 30 days, at: 31 F}]",
    "counter: 7 days",
)
PICK_BY = {"tasks/by.md": note("name: Pick by", "when: latest pick", "reminder: yes", "only if: bears")}
HEADER = "date,tree,what,amount,note"
AS_OF = date(2027, 10, 8)
COLD_NIGHT = "2027-10-12,,freeze forecast,26 F,"


def plan(top: Path, *rows: str, kind: tuple[str, ...] = KIND, as_of: date = AS_OF, **notes: str) -> Plan:
    """Return the plan of one pear tree that is picked in the middle of October."""
    named = {name.replace("__", "/") + ".md": text for name, text in notes.items()}
    return plan_of_notes(
        top,
        {
            "cultivars/hardpear.md": note(*kind),
            "trees/A.md": note("cultivar: Hardpear"),
            "records/2027.csv": table(*rows),
            **PICK_BY,
            **named,
        },
        as_of=as_of,
    )


def pick(season: Season, bearing: Bearing = A) -> Estimate:
    """Return when a bearing is picked."""
    dated = season.of(bearing, Event.PICK)
    assert isinstance(dated, Estimate)
    return dated


def lot(found: Plan) -> Lot:
    """Return the lot of the tree."""
    return found.lots[A]


# A freeze that is forecast


def test_a_freeze_draws_the_pick_to_the_day_before_it_everywhere(tmp_path: Path) -> None:
    """Date, lot, picking, job and feed have one day, and each says why."""
    before, found = plan(tmp_path / "a"), plan(tmp_path / "b", COLD_NIGHT)
    drawn, (entry,) = pick(found.season), found.calendar.entries
    last = date(2027, 10, 11)

    assert pick(before.season).latest > last
    assert (drawn.latest, drawn.likely) == (last, min(pick(before.season).likely, last))
    assert drawn.earliest == min(pick(before.season).earliest, last)
    assert lot(found).days[Stage.PICK].likely <= last
    assert all(batch.picked.likely <= last for batch in lot(found).batches)
    assert entry.days == (last,)
    said = "A freeze of 26 °F (-3 °C) is forecast for the night to Tue 12 Oct. Pick before that night, by Mon 11 Oct."
    assert said in clash_words(IN_ENGLISH, drawn)
    assert said in beside_job(IN_ENGLISH, entry)
    assert b"DTSTART;VALUE=DATE:20271011" in make_feeds(found, Ledger(), AS_OF).files["feeds/reminders.ics"]


@pytest.mark.parametrize(
    ("row", "as_of"),
    [
        ("2027-10-12,,freeze forecast,34 F,", AS_OF),
        ("2027-10-12,B,freeze forecast,26 F,", AS_OF),
        ("2027-10-30,,freeze forecast,26 F,", AS_OF),
        (COLD_NIGHT, date(2027, 10, 12)),
    ],
)
def test_a_freeze_that_does_not_touch_the_fruit_moves_nothing(tmp_path: Path, row: str, as_of: date) -> None:
    """Above freezing, at another tree, further off than anybody foretells, or over."""
    other = {"trees__B": note("cultivar: Hardpear")}
    found, before = plan(tmp_path / "a", row, as_of=as_of, **other), plan(tmp_path / "b", as_of=as_of, **other)

    assert pick(found.season) == pick(before.season)


@pytest.mark.parametrize(("fahrenheit", "moved"), [(31, False), (30, False), (29, True), (26, True)])
def test_where_the_freezing_point_is_published_a_milder_night_is_none(
    tmp_path: Path, fahrenheit: int, *, moved: bool
) -> None:
    """Of a printed range the warmer end counts."""
    row = f"2027-10-12,,freeze forecast,{fahrenheit} F,"
    found = plan(tmp_path, row, kind=(*KIND, "freezes: 28-29 F"))

    assert (pick(found.season).not_after == date(2027, 10, 11)) is moved
    assert (
        any("freezes at 28–29 F" in words_of(reason.why, IN_ENGLISH) for reason in pick(found.season).reasons) is moved
    )


def test_fruit_short_of_its_window_is_told_to_be(tmp_path: Path) -> None:
    """It may be brought in, and may not ripen."""
    found = plan(tmp_path, "2027-09-20,,freeze forecast,24 F,", as_of=date(2027, 9, 15))

    assert pick(found.season).likely == date(2027, 9, 19)
    assert "before its window opens: what is not mature may shrivel" in clash_words(IN_ENGLISH, pick(found.season))


def test_a_pick_past_its_window_that_nobody_noted_is_told_of_a_freeze(tmp_path: Path) -> None:
    """One crop in ten comes later than its window: no day moves, and once it was noted or is long over all is still."""
    late, row = date(2027, 11, 10), "2027-11-13,,freeze forecast,24 F,"
    found, before = plan(tmp_path / "late", row, as_of=late), plan(tmp_path / "before", as_of=late)
    assert pick(found.season).latest < late
    assert pick(found.season).reach == pick(before.season).reach
    assert "by Fri 12 Nov" in clash_words(IN_ENGLISH, pick(found.season))

    sprayed = plan(tmp_path / "sprayed", row, "2027-11-05,A,spray,30 days,", as_of=late)
    assert "The label is the law. A freeze of 24 °F" in clash_words(IN_ENGLISH, pick(sprayed.season))
    noted = plan(tmp_path / "noted", row, "2027-10-14,A,pick,30 lb,", as_of=late)
    assert pick(noted.season).clash is None
    winter = plan(tmp_path / "winter", "2027-12-30,,freeze forecast,4 F,", as_of=date(2027, 12, 28))
    assert pick(winter.season).clash is None


def test_fruit_far_from_its_window_stays(tmp_path: Path) -> None:
    """A frost in spring is no reason to pick."""
    found = plan(tmp_path, "2027-05-10,,freeze forecast,24 F,", as_of=date(2027, 5, 8))

    assert pick(found.season).clash is None


def test_fruit_that_ripens_on_the_tree_is_not_picked_ahead_of_its_time(tmp_path: Path) -> None:
    """Nothing is won by picking it unripe."""
    kind = (*KIND, "ripens off the tree: no")
    found = plan(tmp_path, "2027-09-21,,freeze forecast,24 F,", kind=kind, as_of=date(2027, 9, 18))

    assert pick(found.season).not_after is None
    assert "is not ripe yet: cover it if you can" in clash_words(IN_ENGLISH, pick(found.season))


def test_a_spray_label_stands_above_a_freeze(tmp_path: Path) -> None:
    """What the label does not let one pick stays on the tree."""
    found = plan(tmp_path, COLD_NIGHT, "2027-10-05,A,spray,14 days,")

    assert pick(found.season).earliest == date(2027, 10, 19)
    assert "The label is the law. A freeze of 26 °F" in clash_words(IN_ENGLISH, pick(found.season))


def test_a_date_fixed_by_hand_is_not_moved_by_a_freeze(tmp_path: Path) -> None:
    """It is told of."""
    found = plan(tmp_path, COLD_NIGHT, trees__A=note("cultivar: Hardpear", "pinned: [{pick: 2027-10-14}]"))

    assert pick(found.season).likely == date(2027, 10, 14)
    assert "Pick before that night" in clash_words(IN_ENGLISH, pick(found.season))


def test_what_is_left_of_a_picking_begun_comes_in_as_one(tmp_path: Path) -> None:
    """All that was planned for after the freeze, and nothing is lost of it."""
    kind = (*KIND, "passes: 4", "pass interval: 5 days")
    tree = note("cultivar: Hardpear", "crop: 80 lb")
    rows = ("2027-10-07,A,first pick,20 lb,",)
    before = lot(plan(tmp_path / "a", *rows, kind=kind, trees__A=tree))
    found = lot(plan(tmp_path / "b", *rows, COLD_NIGHT, kind=kind, trees__A=tree))

    assert len(before.batches) == 4
    assert [batch.picked.likely for batch in found.batches] == [date(2027, 10, 7), date(2027, 10, 11)]
    weights = [sum(b.weight.middle for b in batches if b.weight) for batches in (before.batches, found.batches)]
    assert weights[0] == weights[1]
    assert "Bring in what is left by Mon 11 Oct" in alert_words(IN_ENGLISH, found.alerts)


@pytest.mark.parametrize(("amount", "said"), [("", "does not say how cold"), ("hard", "is not a temperature")])
def test_a_forecast_says_how_cold(tmp_path: Path, amount: str, said: str) -> None:
    """Without it nobody knows what it harms."""
    with pytest.raises(Exception, match=said):
        plan(tmp_path, f"2027-10-12,,freeze forecast,{amount},")


def test_a_forecast_may_lie_ahead_and_a_frost_may_not(tmp_path: Path) -> None:
    """The hint names the word for it."""
    rows = (COLD_NIGHT, "2027-10-13,,frost,,")
    found = read(tmp_path, {"records/r.csv": table(*rows), "trees/A.md": note("cultivar: unknown")})
    said = [warning for warning in warnings_of(found, AS_OF) if "still to come" in warning.message]

    assert [warning.where.line for warning in said] == [3]
    assert "freeze forecast" in said[0].hint


# No crop


def test_no_crop_after_a_frost_clears_all_that_hangs_on_it(tmp_path: Path) -> None:
    """The lot, its jobs and its days in the feeds go; the other tree's stay."""
    notes = {
        "trees__B": note("cultivar: Hardpear"),
        "tasks__out": note("name: Take out", "when: take out", "reminder: yes"),
    }
    rows = ("2027-05-10,,frost,,", "2027-05-20,A,no crop,,the frost took it")
    before = plan(tmp_path / "a", as_of=date(2027, 6, 1), **notes)
    after = plan(tmp_path / "b", *rows, as_of=date(2027, 6, 1), **notes)

    assert set(before.lots) == {A, Bearing("B", "hardpear")}
    assert set(after.lots) == {Bearing("B", "hardpear")}
    assert {bearing.tree for entry in after.calendar.entries for bearing in entry.bearings} == {"B"}
    feed = make_feeds(after, Ledger(), date(2027, 6, 1)).files["feeds/reminders.ics"].decode()
    this_season = [event for event in feed.split("BEGIN:VEVENT") if "DATE:2027" in event]
    assert any("B Hardpear" in event for event in this_season)
    assert not any("A Hardpear" in event for event in this_season)
    assert after.store.batches
    assert all(batch.bearing.tree == "B" for batch in after.store.batches)


# Trees that go and come


def test_fruit_in_store_outlives_its_tree(tmp_path: Path) -> None:
    """A tree taken out after its harvest leaves its fruit, in this season and carried into the next."""
    rows = ("2027-10-10,A,pick,40 lb,", "2027-11-20,A,removed,,")
    kind = (*KIND, "keeps: 200 days")
    now = plan(tmp_path / "a", *rows, kind=kind, as_of=date(2027, 12, 1))
    home = {"cultivars/hardpear.md": note(*kind), "trees/A.md": note("cultivar: Hardpear")}
    planted = table(*rows, "2028-03-01,A,note,,a new one planted")
    later = plan_of_notes(tmp_path / "b", {**home, "records/2027.csv": planted}, 2028, date(2028, 3, 10))

    assert lot(now).batches[0].picked.likely == date(2027, 10, 10)
    assert [batch.bearing for batch in later.store.carried] == [A]
    assert A in later.lots  # the new tree's own
    assert later.season.of(A, Event.PICK) != now.season.of(A, Event.PICK)


def test_a_tree_taken_out_after_its_harvest_asks_for_no_more_work(tmp_path: Path) -> None:
    """What is to be done among the trees ends with it; what is to be done with its fruit does not."""
    rows = ("2027-10-10,A,pick,40 lb,", "2027-11-20,A,removed,,")
    jobs = {
        "tasks__prune": note("name: Prune", "when: Dec 10"),
        "tasks__rake": note("name: Rake", "when: Nov 1", "until: Dec 1", "every: 1 week"),
        "tasks__ready": note("name: Ready", "topic: store", "when: ready"),
    }
    found = {e.task.name: e.days for e in plan(tmp_path, *rows, as_of=date(2027, 12, 1), **jobs).calendar.entries}

    assert set(found) == {"Rake", "Ready"}
    assert max(found["Rake"]) < date(2027, 11, 20)


def test_a_tree_taken_out_before_its_harvest_has_no_lot(tmp_path: Path) -> None:
    """Nothing was picked from it."""
    assert plan(tmp_path, "2027-08-20,A,removed,,").lots == {}


def test_a_new_tree_does_not_inherit_the_old_ones_days(tmp_path: Path) -> None:
    """Neither its weights nor its days in the cold."""
    old = (
        "2025-10-01,A,pick,44 lb,",
        "2025-10-06,A,taken out,,",
        "2025-10-12,A,ready,,",
        "2025-10-13,A,verdict,,good",
    )
    kept = lot(plan(tmp_path / "a", *old))
    new = lot(plan(tmp_path / "b", *old, "2026-03-01,A,removed,,", "2026-04-01,A,note,,planted"))

    assert (kept.days[Stage.CONDITIONED].likely - kept.days[Stage.PICK].likely).days == 18  # the mean of 5 and 30
    assert (new.days[Stage.CONDITIONED].likely - new.days[Stage.PICK].likely).days == 30


# Partners


def orchard(*partners: str, others: dict[str, str] | None = None) -> dict[str, str]:
    """Return the notes of a Hardpear and a Softpear that was taken out in winter."""
    return {
        "fruits/pear.md": note("name: Pear", "ripens off the tree: yes"),
        "cultivars/hardpear.md": note(*KIND, *partners),
        "cultivars/softpear.md": note("name: Softpear", "fruit: pear"),
        "trees/A.md": note("cultivar: Hardpear"),
        "trees/S.md": note("cultivar: Softpear"),
        "records/r.csv": table("2027-01-20,S,removed,,"),
        **(others or {}),
    }


def lost(holding: Holding) -> list[str]:
    """Return what is said of partners that are gone."""
    return [warning.message for warning in warnings_of(holding, date(2027, 3, 1)) if "last partner" in warning.message]


SHELVED = "partners: [{value: %s, mark: M, source: memory}]"


@pytest.mark.parametrize("words", ["Softpear", "needs another kind of pear", "Does not set with its own pollen."])
def test_the_last_partner_gone_is_told_on_the_page_and_by_check(tmp_path: Path, words: str) -> None:
    """From its removal on, until another stands there."""
    found = plan_of_notes(tmp_path, orchard(SHELVED % words), as_of=date(2027, 3, 1))
    said = "Softpear (S), the last partner of Hardpear here, was taken out: from the next bloom on little will set"

    assert [words_of(asked, IN_ENGLISH)[: len(said)] for asked in found.season.questions["A"]] == [said]
    assert [text[: len(said)] for text in lost(found.holding)] == [said]


@pytest.mark.parametrize(
    "notes",
    [
        orchard(SHELVED % "Softpear", others={"trees/T.md": note("cultivar: Softpear")}),
        orchard(SHELVED % "sets with its own pollen"),
        orchard("partners: [a wild pear over the wall]"),
        orchard("bad partners: [Softpear]", SHELVED % "needs another kind"),
        orchard(SHELVED % "Softpear", others={"records/r.csv": table("2027-05-20,S,removed,,")}),
    ],
)
def test_no_partner_is_missed_where_none_is_lost(tmp_path: Path, notes: dict[str, str]) -> None:
    """Another stands there, none is needed, the household knows one, it never was one, or it still stands."""
    found = plan_of_notes(tmp_path, notes, as_of=date(2027, 3, 1))

    assert "A" not in found.season.questions
    assert lost(found.holding) == []


# Picked too soon, taken out too soon


@pytest.fixture
def stormy(tmp_path: Path) -> Callable[..., Lot]:
    """Return a function from lines to the lot of a tree whose window is known well."""
    usual = [f"{year}-10-1{year % 3},A,pick,,{''}" for year in range(2018, 2027)]

    def build(*rows: str, kind: tuple[str, ...] = KIND, as_of: date = date(2027, 10, 1)) -> Lot:
        return lot(plan(tmp_path, *usual, *rows, kind=kind, as_of=as_of))

    return build


STORM = "2027-09-20,A,pick,40 lb,ahead of the storm"


def test_fruit_picked_before_its_window_is_told_to_be(stormy: Callable[..., Lot]) -> None:
    """By how much, and what follows."""
    found = stormy(STORM)

    assert "Picked on Mon 20 Sep, " in alert_words(IN_ENGLISH, found.alerts)
    assert "before its window opened: fruit that was not mature may shrivel" in alert_words(IN_ENGLISH, found.alerts)
    assert not stormy("2027-10-11,A,pick,40 lb,", as_of=date(2027, 10, 12)).alerts


@pytest.mark.parametrize(
    ("row", "kind"),
    [
        ("2027-09-19,A,firmness,14 lbf,", (*KIND, "firmness at pick: 13-15 lbf")),
        ("2027-09-28,A,verdict,,good", KIND),
        ("2027-09-28,A,ready,,", KIND),
        ("", (*KIND, "ripens off the tree: no")),
    ],
)
def test_firmness_or_the_fruit_itself_says_more_than_the_date(
    stormy: Callable[..., Lot], row: str, kind: tuple[str, ...]
) -> None:
    """Mature by the tester, eaten already, or of a kind that is picked ripe."""
    rows = (STORM, row) if row else (STORM,)

    assert "before its window" not in alert_words(IN_ENGLISH, stormy(*rows, kind=kind).alerts)


def test_fruit_picked_too_soon_gets_the_cold_that_is_published_for_it(stormy: Callable[..., Lot]) -> None:
    """If that is longer; it is never less than at first maturity."""
    early = (*KIND, "conditioning early: {value: 50 days, at: 31 F}")
    shorter = (*KIND, "conditioning early: {value: 10 days, at: 31 F}")

    assert stormy(STORM, kind=early).days[Stage.CONDITIONED].likely == date(2027, 11, 9)
    assert stormy(STORM, kind=shorter).days[Stage.CONDITIONED].likely == date(2027, 10, 20)
    mature = stormy("2027-10-11,A,pick,,", kind=early, as_of=date(2027, 10, 12))
    assert mature.days[Stage.CONDITIONED].likely == date(2027, 11, 10)


def test_days_past_first_maturity_are_not_counted_from_a_pick_too_soon(stormy: Callable[..., Lot]) -> None:
    """A later picking within the window still needs about all of its cold."""
    kind = (*KIND, "conditioning late: {value: 2 days, at: 31 F}")
    rows = ("2027-09-13,A,first pick,10 lb,", "2027-10-11,A,last pick,30 lb,")
    found = stormy(*rows, kind=kind, as_of=date(2027, 10, 12))
    second = found.batches[1]

    assert (second.days[Stage.CONDITIONED].likely - second.picked.likely).days > 20


def test_cold_cut_short_is_told_of_until_somebody_tastes(tmp_path: Path) -> None:
    """With the days it lay and the days that are told, on the tree's page and in the rooms."""
    pear = note("name: Pear", "ripens off the tree: yes", "ripe apple: 1-3 days")
    rows = ("2027-10-01,A,pick,40 lb,", "2027-10-06,A,taken out,,")
    notes = {"fruits__pear": pear}
    found = plan(tmp_path / "a", *rows, as_of=date(2027, 10, 8), **notes)
    said = (
        "Taken out on Wed 6 Oct after 5 days in the cold, where 30 days are told: it may stay hard or shrivel. "
        "What stays hard can go back into the cold, or ripe apples lie beside it for 1–3 days"
    )

    assert said in alert_words(IN_ENGLISH, lot(found).alerts)
    assert f"Hardpear (A): {said}" in [warning_words(IN_ENGLISH, warning) for warning in found.store.warnings]
    ready = plan(tmp_path / "b", *rows, "2027-10-07,A,ready,,", as_of=date(2027, 10, 8), **notes)
    assert not lot(ready).alerts
    long = plan(tmp_path / "c", rows[0], "2027-11-05,A,taken out,,", as_of=date(2027, 11, 6), **notes)
    assert "in the cold, where" not in alert_words(IN_ENGLISH, lot(long).alerts)


def test_a_pinned_tree_is_not_judged(tmp_path: Path) -> None:
    """Who fixed the day by hand knows it."""
    tree = note("cultivar: Hardpear", "pinned: [{pick: 2027-09-01}]")
    found = plan(tmp_path, "2027-09-01,A,pick,40 lb,", trees__A=tree)

    assert pick(found.season).basis is Basis.PINNED
    assert "before its window" not in alert_words(IN_ENGLISH, lot(found).alerts)


def test_a_job_of_no_pick_is_not_held_by_a_freeze(tmp_path: Path) -> None:
    """Only what hangs on the pick is drawn forward."""
    found = plan(tmp_path, COLD_NIGHT, tasks__work=task("when: Oct 20")["tasks/work.md"])
    work = next(entry for entry in found.calendar.entries if entry.task.key == "work")

    assert (work.days, beside_job(IN_ENGLISH, work)) == ((date(2027, 10, 20),), "")
