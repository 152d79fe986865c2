"""Names of files from names of notes."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmripe.publish.slugs import slug, slugs


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("1-01", "1-01"),
        ("d’Anjou", "d-anjou"),
        ("Doyenné du Comice", "doyenne-du-comice"),
        ("  Row 2 / far end  ", "row-2-far-end"),
        ("Weißer Klarapfel", "weisser-klarapfel"),
        ("../../etc/passwd", "etc-passwd"),
        ("梨", "x"),
        ("", "x"),
        ("...", "x"),
    ],
)
def test_a_name_becomes_small_letters_digits_and_hyphens(name: str, expected: str) -> None:
    """Accents fall away, all else that is not a letter or a digit becomes one hyphen."""
    assert slug(name) == expected


# Names that Windows keeps for devices, with any ending: Microsoft Learn, "Naming Files, Paths, and Namespaces".
@pytest.mark.parametrize("name", ["CON", "prn", "Aux", "nul", "COM1", "lpt9"])
def test_a_name_of_a_device_is_not_used(name: str) -> None:
    """A tree called CON gets a file that every system can write."""
    assert slug(name) == f"{name.casefold()}-x"


def test_names_that_look_alike_get_files_of_their_own() -> None:
    """No two names share a file, even where a number was part of a name already."""
    found = slugs(["A 1", "a-1", "a 1!", "a-1-2"])

    assert found == {"A 1": "a-1", "a-1": "a-1-2", "a 1!": "a-1-3", "a-1-2": "a-1-2-2"}


@given(st.lists(st.text(max_size=80), unique=True, max_size=12))
def test_any_names_make_safe_and_separate_files(names: list[str]) -> None:
    """Whatever the names, files are safe, short and each its own."""
    found = slugs(names)

    assert list(found) == names
    assert len(set(found.values())) == len(names)
    for name in found.values():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name)
        assert len(name) <= 66
