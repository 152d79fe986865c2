"""A sample of the fuzz script's cases."""

from __future__ import annotations

import os
from pathlib import Path

import fuzz
import households
import kill
import pytest


@pytest.fixture(autouse=True)
def _the_shelf_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put the shelf back after each case."""
    monkeypatch.setattr(fuzz.build, "shelf_folder", fuzz.build.shelf_folder)


@pytest.mark.parametrize("hundred", range(4))
def test_spoilt_notes_are_told_of_and_never_crash_or_hang(hundred: int, tmp_path: Path) -> None:
    """Whatever is in the notes: problems in words, or a site."""
    outcomes = [fuzz.run_case(1 + 100 * hundred + n, tmp_path, whole_shelf=False) for n in range(40)]

    assert [one for one in outcomes if one.kind not in {"built", "refused"}] == []
    assert {one.kind for one in outcomes} == {"built", "refused"}


def test_the_household_that_is_spoilt_is_sound(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the cases find comes from what was done to it."""
    monkeypatch.setattr(households, "spoilt", lambda files, _draw: files)

    assert fuzz.run_case(1, tmp_path, whole_shelf=False).kind == "built"


def test_a_build_that_is_killed_leaves_a_whole_site(tmp_path: Path) -> None:
    """At any moment the former site stands byte for byte or the new one does, and files of others with it."""
    if not hasattr(os, "fork"):
        pytest.skip("this system can't fork")
    counts = kill.killed(tmp_path, 4, 7)

    assert [found["former"] + found["new"] for found in counts.values()] == [4, 4, 4]
