"""Days on which those who do a job are away. What wins is written down in the module's head (our order)."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from one_tree import NOTES, PLACE, entries_of, plan_of_notes, task
from season_notes import note, read

from firmripe.calendar.entry import Entry
from firmripe.holding.hands import hands_of
from firmripe.holding.reader import STRANGERS
from firmripe.problems import FaultyNotes
from firmripe.publish.audience import plan_for
from firmripe.tongue import IN_ENGLISH
from firmripe.wording.calendar import beside_job

ANN = "{name: Ann, does: [picking], away: [%s]}"


PRINTED = {
    "cultivars/hardpear.md": note("name: Hardpear", "fruit: pear", "windows: [{pick: Aug 28 - Sep 16, place: here}]")
}


def home(*people: str) -> dict[str, str]:
    """Return the place with people."""
    return {"place.md": PLACE.replace("zone: 6a", f"zone: 6a\npeople: [{', '.join(people)}]")}


def job(*lines: str) -> dict[str, str]:
    """Return a job of those who pick."""
    return task("who: picking", "each: tree", *lines)


def the_entry(top: Path, *notes: dict[str, str]) -> Entry:
    (entry,) = entries_of(top, *notes, as_of=date(2027, 8, 1))
    return entry


def test_a_job_waits_within_its_days_for_somebody_to_be_back(tmp_path: Path) -> None:
    """It is put off to the first day on which one of them is here, and says from which day."""
    entry = the_entry(tmp_path, home(ANN % "Aug 10 - Aug 20"), job("when: Aug 18", "until: Aug 30"))

    assert (entry.days, entry.span.first, entry.span.last) == (
        (date(2027, 8, 21),),
        date(2027, 8, 21),
        date(2027, 8, 30),
    )
    assert beside_job(IN_ENGLISH, entry) == "Put off from Wed 18 Aug; away then: Ann."
    assert entry.opened(set("AB")).held == (), "who is away is nobody else's business"


def test_the_pick_and_what_follows_it_do_not_wait(tmp_path: Path) -> None:
    """Days in the cold and on the counter are counted from the pick, so it stays and asks for a hand."""
    pick = job("when: pick", "until: latest pick")
    entry = the_entry(tmp_path, home(ANN % "Aug 20 - Sep 9"), {"trees/A.md": note("cultivar: Hardpear")}, PRINTED, pick)

    assert entry.span.first < date(2027, 9, 10) <= entry.span.last
    assert "Another hand is wanted then." in beside_job(IN_ENGLISH, entry)


def test_a_job_without_time_to_wait_stays_and_asks_for_a_hand(tmp_path: Path) -> None:
    """Fruit does not wait for people."""
    entry = the_entry(tmp_path, home(ANN % "Aug 10 - Sep 20"), job("when: Aug 18", "until: Aug 30"))

    assert entry.days == (date(2027, 8, 18),)
    assert beside_job(IN_ENGLISH, entry) == "Away on Wed 18 Aug: Ann. Another hand is wanted then."


def test_a_rhythm_is_kept_and_the_turns_without_hands_are_named(tmp_path: Path) -> None:
    """The turns on which all are away are named, the others stand as they are."""
    entry = the_entry(tmp_path, home(ANN % "Aug 20"), job("when: Aug 18", "until: Aug 24", "every: 2 days"))

    assert [day.day for day in entry.days] == [18, 20, 22, 24]
    assert beside_job(IN_ENGLISH, entry) == "Away on Fri 20 Aug: Ann. Another hand is wanted then."


def test_one_of_two_who_is_here_is_enough(tmp_path: Path) -> None:
    """Nothing moves, and on that day the one who is here is named alone."""
    people = home(ANN % "Aug 10 - Aug 20", "{name: Ben, does: [picking]}")
    plan = plan_of_notes(tmp_path, {**people, **job("when: Aug 18", "reminder: yes")}, as_of=date(2027, 8, 1))
    (entry,) = plan.calendar.entries

    assert (entry.days, beside_job(IN_ENGLISH, entry)) == ((date(2027, 8, 18),), "")
    assert hands_of(entry.task, entry.bearings, plan.holding).names == ("Ann", "Ben")
    assert hands_of(entry.task, entry.bearings, plan.holding, entry.days).names == ("Ben",)


def test_nobody_comes_back_into_a_re_entry_time(tmp_path: Path) -> None:
    """40 CFR 170: the re-entry time stands above who is here; the job waits for both."""
    spray = {"records/2027.csv": 'date,tree,what,amount,note\n2027-08-20,A,spray,"1 day, re-entry 3 days",\n'}
    notes = (home(ANN % "Aug 10 - Aug 20"), job("when: Aug 18", "until: Aug 30"), spray)
    (entry,) = entries_of(tmp_path, *notes, as_of=date(2027, 8, 20))

    assert entry.days == (date(2027, 8, 18),), "it was due before the day of knowledge, and stays"
    (entry,) = entries_of(tmp_path / "early", *notes[:2], as_of=date(2027, 8, 1))
    assert entry.days == (date(2027, 8, 21),)
    late = job("when: Aug 21", "until: Aug 30")
    (entry,) = entries_of(tmp_path / "late", home(ANN % "Aug 10 - Aug 24"), late, spray, as_of=date(2027, 8, 20))
    assert entry.days == (date(2027, 8, 25),)
    assert "The label is the law." in beside_job(IN_ENGLISH, entry)
    assert "away then: Ann" in beside_job(IN_ENGLISH, entry)


def test_a_freeze_to_come_does_not_wait_for_people(tmp_path: Path) -> None:
    """The last day before the freeze stays the last: the pick is not put off beyond it."""
    freeze = {"records/2027.csv": "date,tree,what,amount,note\n2027-09-06,,freeze forecast,24 F,\n"}
    unpinned = {
        "trees/A.md": note("cultivar: Hardpear"),
        "cultivars/hardpear.md": note(
            "name: Hardpear", "fruit: pear", "windows: [{pick: Sep 1 - Sep 20, place: here}]", "freezes: 28 F"
        ),
    }
    pick = job("when: pick", "until: latest pick")
    ann = home(ANN % "Aug 20 - Sep 10")
    (entry,) = entries_of(tmp_path, ann, pick, freeze, unpinned, as_of=date(2027, 9, 3))

    assert entry.span.last < date(2027, 9, 6)
    assert "Another hand is wanted then." in beside_job(IN_ENGLISH, entry)


def test_the_open_site_tells_of_nobody_who_is_away(tmp_path: Path) -> None:
    """Neither by name nor by day."""
    notes = {**home(ANN % "Aug 10 - Sep 20"), **job("when: Aug 18", "until: Aug 30")}
    plan = plan_of_notes(tmp_path, notes, as_of=date(2027, 8, 1))
    shown = plan_for(plan, STRANGERS)

    assert "Ann" in "".join(beside_job(IN_ENGLISH, entry) for entry in plan.calendar.entries)
    assert "Ann" not in str([beside_job(IN_ENGLISH, entry) for entry in shown.calendar.entries])


@pytest.mark.parametrize("away", ["Aug 40", "2027", "soon"])
def test_days_away_that_cant_be_read_are_named(tmp_path: Path, away: str) -> None:
    """With their line, and with what to write."""
    with pytest.raises(FaultyNotes) as caught:
        read(tmp_path, {**NOTES, **home(ANN % away)})

    (problem,) = caught.value.problems
    assert problem.where.file == "place.md"
    assert "Aug 20 - Sep 5" in problem.hint


HOLIDAY = "no access: [{on: [Aug 18, 2027-08-19 - 2027-08-20], because: no bus}]"


def cut_off(*people: str) -> dict[str, str]:
    """Return the place with days on which no bus runs."""
    return {"place.md": PLACE.replace("zone: 6a", f"zone: 6a\n{HOLIDAY}\npeople: [{', '.join(people)}]")}


def test_a_job_waits_for_a_day_on_which_the_trees_can_be_reached(tmp_path: Path) -> None:
    """It says from which day it was put off, and why; where it has no time it names the day before."""
    waits = the_entry(tmp_path / "a", cut_off(), job("when: Aug 18", "until: Aug 30"))
    stays = the_entry(tmp_path / "b", cut_off(), job("when: Aug 18"))

    assert waits.days == (date(2027, 8, 21),)
    assert beside_job(IN_ENGLISH, waits) == "Put off from Wed 18 Aug: nobody gets there then (no bus)."
    assert stays.days == (date(2027, 8, 18),)
    assert (
        beside_job(IN_ENGLISH, stays)
        == "Nobody gets there on Wed 18 Aug: no bus. The nearest day before is Tue 17 Aug."
    )


def test_a_job_in_the_house_needs_no_bus(tmp_path: Path) -> None:
    """Only jobs among the trees are cut off."""
    entry = the_entry(tmp_path, cut_off(), job("when: Aug 18", "topic: store"))
    assert (entry.days, beside_job(IN_ENGLISH, entry)) == ((date(2027, 8, 18),), "")


def test_days_away_may_be_those_of_one_year(tmp_path: Path) -> None:
    """A journey of 2027 is none of 2028."""
    for year, days in ((2027, (date(2027, 8, 21),)), (2028, (date(2028, 8, 18),))):
        place = home(ANN % "2027-08-10 - 2027-08-20")
        when = job("when: Aug 18", "until: Aug 30")
        (entry,) = entries_of(tmp_path / str(year), place, when, year=year, as_of=date(year, 8, 1))
        assert entry.days == days


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("no access: [{because: no bus}]", "days are missing"),
        ("no access: [{on: 2027-08-20 - 2027-08-01}]", "runs backwards"),
    ],
)
def test_days_that_cant_be_read_are_told(tmp_path: Path, line: str, said: str) -> None:
    """With what to write."""
    with pytest.raises(FaultyNotes) as faulty:
        read(tmp_path, {**NOTES, "place.md": note(line)})
    assert said in faulty.value.problems[0].message
    assert faulty.value.problems[0].hint.startswith("write")
