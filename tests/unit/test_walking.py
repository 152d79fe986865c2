"""The order in which trees are met on foot: by their own numbers, then by row and tag, even rows backwards if told."""

from __future__ import annotations

from pathlib import Path

import pytest
from season_notes import note, read

from firmripe.problems import FaultyNotes

TREES = {
    f"trees/{tag}.md": note("fruit: pear", f"where: row {tag[0]}, somewhere")
    for tag in ("1-1", "1-2", "2-1", "2-9", "2-10", "3-1", "3-2")
}


def order(top: Path, *place: str, **more: str) -> list[str]:
    """Return the tags in walking order."""
    others = {f"trees/{tag}.md": text for tag, text in more.items()}
    home = {"place.md": note(*place), "fruits/pear.md": note("name: Pear"), **TREES, **others}
    return [tree.tag for tree in read(top, home).trees]


def test_even_rows_are_walked_back(tmp_path: Path) -> None:
    """Up the first, down the second, up the third; what stands in no row comes last."""
    more = {"shed": note("fruit: pear"), "gate": note("fruit: pear", "where: row 3", "walk: 1")}
    walked = ["gate", "1-1", "1-2", "2-10", "2-9", "2-1", "3-1", "3-2", "shed"]
    assert order(tmp_path, "walk: up and down", **more) == walked


@pytest.mark.parametrize("place", [(), ("walk: one way",)])
def test_without_a_word_rows_are_walked_one_way(tmp_path: Path, place: tuple[str, ...]) -> None:
    """As before: by tag."""
    assert order(tmp_path, *place) == ["1-1", "1-2", "2-1", "2-10", "2-9", "3-1", "3-2"]


def test_another_way_to_walk_is_told(tmp_path: Path) -> None:
    """With what to write."""
    with pytest.raises(FaultyNotes, match="write up and down, or one way"):
        order(tmp_path, "walk: zigzag")
