"""Whose pollen serves a tree, of its own household's trees and of those near, by groups and by bloom."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from season_notes import note, read, table

from firmripe.holding.pollination import widowed
from firmripe.plan import make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.pages.pollen import Pollen
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

MEMORY = "mark: M, source: memory"
NEEDS = f"partners: [{{value: Most kinds need another kind in bloom at the same time., {MEMORY}}}]"
KINDS = {
    "fruits/pear.md": note("name: Pear", NEEDS),
    "fruits/plum.md": note("name: Plum"),
    "cultivars/bartlett.md": note("name: Bartlett", "fruit: pear"),
    "cultivars/bosc.md": note("name: Bosc", "fruit: pear", "windows: [{bloom: Apr 20, place: here}]"),
    "cultivars/late.md": note("name: Late", "fruit: pear"),
    "cultivars/seckel.md": note("name: Seckel", "fruit: pear", f"bad partners: [{{value: Bartlett, {MEMORY}}}]"),
    "cultivars/dull.md": note(
        "name: Dull", "fruit: pear", f"bad partners: [{{value: its pollen is sterile, {MEMORY}}}]"
    ),
    "cultivars/kieffer.md": note("name: Kieffer", "fruit: pear", f"partners: [{{value: can crop alone, {MEMORY}}}]"),
    "trees/P.md": note("fruit: plum"),
}
FAR_SPRING = date(2027, 3, 1)


def told(top: Path, tree: str, notes: Mapping[str, str] | None = None, **trees: str) -> tuple[str, ...]:
    """Return what the page of a tree says of its pollen, with these trees of one cultivar each."""
    stand = {f"trees/{tag}.md": note(f"cultivar: {kind}") for tag, kind in trees.items()}
    plan = make_plan(read(top, {"place.md": note("zone: 7b"), **KINDS, **stand, **(notes or {})}), 2027, FAR_SPRING)
    (bearing,) = plan.holding.tree(tree).bearings
    return Pollen(plan).of(bearing)


def test_each_page_says_who_serves_it_and_who_does_not(tmp_path: Path) -> None:
    """Any other kind does, but those told not to set, those without pollen and those that bloom too far apart."""
    fixed = "pinned: [{bloom: 2027-%s}]"
    seen = {
        "trees/A.md": note("cultivar: Bartlett", fixed % "04-20"),
        "trees/L.md": note("cultivar: Late", fixed % "05-09"),
    }
    assert told(tmp_path, "A", seen, B="Bosc", C="Seckel", D="Dull") == (
        "Pollen from: Bosc (B), in bloom with it.",
        "Blooms too far apart to count on: Late (L), in bloom 19 days after it.",
        "Of no use to it: Seckel (C); Dull (D).",
        "Its own pollen serves: Bosc, Dull.",
    )


def test_pollen_of_no_use_and_its_own(tmp_path: Path) -> None:
    """A kind without pollen is served and serves nobody; one that sets alone needs none."""
    trees = {"B": "Bosc", "D": "Dull", "K": "Kieffer"}
    assert told(tmp_path, "D", **trees)[-1] == "Its own pollen is of no use to others."
    assert told(tmp_path, "K", **trees)[0] == "Sets with its own pollen."
    assert told(tmp_path, "P", **trees) == ()


def test_a_tree_alone_is_told_that_nothing_serves_it(tmp_path: Path) -> None:
    """Another of its own kind doesn't, and a neighbor's tree does."""
    said = "Nothing here or near gives it pollen, as far as is told: little will set."
    assert told(tmp_path / "a", "A", A="Bartlett", B="Bartlett") == (said,)
    near = {"place.md": note("zone: 7b", "neighbors: [{cultivar: Bosc, where: over the fence}]")}
    assert told(tmp_path / "b", "A", near, A="Bartlett")[0] == "Pollen from: Bosc (over the fence)."


@pytest.mark.parametrize("near", ["cultivar: Bosc", "fruit: pear", "cultivar: wild, fruit: pear"])
def test_the_last_partner_felled_is_told_wherever_it_stood(tmp_path: Path, near: str) -> None:
    """Also where the shelf names none and any other kind would do, and where the tree was the neighbor's."""
    fence = note(f"neighbors: [{{{near}, where: over the fence, removed: 2027-01-20}}]")
    home = {**KINDS, "trees/A.md": note("cultivar: Bartlett"), "trees/B.md": note("cultivar: Bartlett")}
    found = widowed(read(tmp_path, {**home, "place.md": fence}), FAR_SPRING)
    assert [
        (one.tree.tag, "(over the fence), the last partner of Bartlett" in words_of(one, IN_ENGLISH)) for one in found
    ] == [
        ("A", True),
        ("B", True),
    ]
    assert widowed(read(tmp_path, {**home, "place.md": fence}), date(2027, 1, 19)) == ()


def test_a_neighbor_that_stands_keeps_a_tree_from_being_alone(tmp_path: Path) -> None:
    """The household's own last partner was felled, and the neighbor's tree still blooms."""
    notes = {
        **KINDS,
        "place.md": note("neighbors: [{cultivar: Bosc}]"),
        "trees/A.md": note("cultivar: Bartlett"),
        "trees/L.md": note("cultivar: Late"),
        "records/r.csv": table("2027-01-20,L,removed,,"),
    }
    assert widowed(read(tmp_path / "a", notes), FAR_SPRING) == ()
    assert widowed(read(tmp_path / "b", {**notes, "place.md": note()}), FAR_SPRING)[0].partner.limb.key == "late"


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        ("2 of 7", "3 of 7", False),
        ("2 of 7", "4 of 7", True),
        ("2 of 7", "4 of 5", False),
        ("early", "early to middle", False),
        ("early", "middle", True),
        ("early", "2 of 7", False),
    ],
)
def test_groups_of_bloom_part_kinds(tmp_path: Path, one: str, other: str, *, apart: bool) -> None:
    """A numbered group serves itself and those beside it; words of one list meet; two scales are not compared.

    NC State, HIL-302: Gala (early to middle) and Empire (early) overlap, Paulared (early) and Fuji (middle) don't.
    """
    group = "flowering group: {value: %s, mark: M, source: memory}"
    kinds = {
        "cultivars/bartlett.md": note("name: Bartlett", "fruit: pear", group % one),
        "cultivars/bosc.md": note("name: Bosc", "fruit: pear", group % other),
    }
    said = told(tmp_path, "A", kinds, A="Bartlett", B="Bosc")
    assert any("too far apart" in line for line in said) is apart


def test_a_neighbor_without_a_kind_is_asked_for_one(tmp_path: Path) -> None:
    """The message says what to write."""
    with pytest.raises(FaultyNotes) as faulty:
        read(tmp_path, {**KINDS, "trees/A.md": note("fruit: pear"), "place.md": note("neighbors: [{where: gate}]")})
    (problem,) = faulty.value.problems
    assert problem.message == "a neighbor's tree has neither cultivar nor fruit"
    assert "over the fence" in problem.hint
