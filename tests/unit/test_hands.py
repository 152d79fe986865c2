"""Who does a job, the same on pages and in feeds."""

from __future__ import annotations

from pathlib import Path

import pytest
from season_notes import note, read

from firmripe.holding.hands import Hands, hands_of
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
