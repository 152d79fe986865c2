"""Who does a job, the same on pages and in feeds."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from season_notes import note, read

from firmripe.doubts import doubts_of
from firmripe.holding.hands import Hands, hands_of
from firmripe.holding.place import Ground, Person, Place, Share
from firmripe.holding.tree import Bearing

PEOPLE = "people: [{name: Ann, household: a, does: [picking]}, {name: Ben, household: b}, {name: Cy, household: b}]"


@pytest.mark.parametrize(
    ("work", "keepers", "hands"),
    [
        ("picking", ("Ben", "Cy"), Hands(names=("Ann",), people=frozenset({"Ann"}))),
        ("mending", ("Ben", "Cy"), Hands(names=("Ben", "Cy"), people=frozenset({"Ben", "Cy"}))),
        ("mending", ("Ben", ""), Hands(names=("Ben",), people=frozenset({"Ben"}))),
        ("mending", ("b", "b"), Hands(names=("b",), people=frozenset({"Ben", "Cy"}))),
        ("mending", ("everyone", ""), Hands(names=("everyone",))),
        ("mending", ("", ""), Hands()),
    ],
)
def test_who_does_a_job(tmp_path: Path, work: str, keepers: tuple[str, str], hands: Hands) -> None:
    """Those who do this kind of work; else all who keep the trees, a house by its people; else anyone."""
    kept = {
        f"trees/{tag}.md": note("cultivar: Pear", *([f"kept by: {keeper}"] if keeper else []))
        for tag, keeper in zip("AB", keepers, strict=True)
    }
    notes = {
        "place.md": note("name: Home", "latitude: 42 N", PEOPLE),
        "cultivars/pear.md": note("name: Pear", "fruit: pear"),
        "fruits/pear.md": note("name: Pear kind"),
        "tasks/do.md": note("name: Do", "when: Mar 1", f"who: {work}"),
        **kept,
    }
    holding = read(tmp_path, notes)

    assert hands_of(holding.tasks[0], [Bearing("A", "pear"), Bearing("B", "pear")], holding) == hands


def test_a_name_is_known_however_it_is_typed(tmp_path: Path) -> None:
    """Capitals and signs make no other person, house or kind of work: each has its jobs in its own calendar."""
    people = "people: [{name: Ann, household: Lane-house, does: [Picking]}, {name: Ben, household: lane house}]"
    notes = {
        "place.md": note("name: Home", "latitude: 42 N", people, "shares: [{name: lane House, part: 1/2}]"),
        "cultivars/pear.md": note("name: Pear", "fruit: pear"),
        "fruits/pear.md": note("name: Pear kind"),
        "tasks/do.md": note("name: Do", "when: Mar 1", "who: picking"),
        "tasks/mend.md": note("name: Mend", "when: Mar 1", "who: mending"),
        "trees/A.md": note("cultivar: Pear", "kept by: ben"),
        "trees/B.md": note("cultivar: Pear", "kept by: LANE HOUSE"),
    }
    holding = read(tmp_path, notes)
    do, mend = sorted(holding.tasks, key=lambda task: task.key)
    assert holding.place.houses == ("lane House",)
    assert {person.household for person in holding.place.people} == {"lane House"}
    assert hands_of(do, [Bearing("A", "pear")], holding).people == {"Ann"}
    assert hands_of(mend, [Bearing("A", "pear")], holding) == Hands(names=("Ben",), people=frozenset({"Ben"}))
    assert hands_of(mend, [Bearing("B", "pear")], holding).people == {"Ann", "Ben"}
    assert not [doubt for doubt in doubts_of(holding, date(2027, 6, 1)) if "keeps it" in doubt.message]


def test_houses_are_told_in_their_order() -> None:
    """Those that share come first, whoever of their people is named first."""
    shares = tuple(Share(name=name, part=Fraction(1, 3)) for name in ("lane", "mill"))
    people = tuple(Person(name=name, household=house) for name, house in (("T", "mill"), ("W", "hill"), ("A", "lane")))
    assert Place(name="x", ground=Ground(), shares=shares, people=people).houses == ("lane", "mill", "hill")
