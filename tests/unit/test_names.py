"""Finding a fruit or a cultivar by any of its names."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from firmripe.problems import folded
from firmripe.reading.names import Names


@dataclass(frozen=True)
class Thing:
    """Something with names."""

    key: str
    name: str
    also: tuple[str, ...] = ()


NAMES = Names.of(
    [
        Thing("bartlett", "Bartlett", ("Williams", "Williams' Bon Chrétien")),
        Thing("anjou", "d'Anjou", ("Winter Williams",)),
        Thing("dray", "Dray", ("Lane pear",)),
        Thing("winnal", "Winnal", ("Lane pear", "Dray")),
    ]
)


@pytest.mark.parametrize(
    ("written", "keys"),
    [
        ("Bartlett", ("bartlett",)),
        ("BARTLETT ", ("bartlett",)),
        ("williams bon chretien", ("bartlett",)),
        ("D’Anjou", ("anjou",)),
        ("Lane Pear", ("dray", "winnal")),
        ("Dray", ("dray",)),
        ("Bartlet", ()),
        ("", ()),
    ],
)
def test_a_name_is_found_in_any_spelling(written: str, keys: tuple[str, ...]) -> None:
    """Without capitals, accents and signs; a name goes before another's alias, two aliases are two choices."""
    assert NAMES.find(written) == keys


def test_a_near_name_is_offered_as_it_is_shown() -> None:
    """An alias is a name like any other."""
    assert NAMES.hint("Wiliams", "no") == 'did you mean "Williams"?'
    assert NAMES.hint("Montmorency", "write one of the shelf") == "write one of the shelf"


@pytest.mark.parametrize(
    ("name", "longer"),
    [
        ("lane", ("Lane pear", "Lane pear")),
        ("WILLIAMS", ("Winter Williams",)),
        ("Bart", ()),
        ("pear ", ("Lane pear",) * 2),
    ],
)
def test_a_short_name_brings_the_longer_ones_to_mind(name: str, longer: tuple[str, ...]) -> None:
    """Those that begin or end with its whole words."""
    assert NAMES.longer(name) == longer
    assert NAMES.longer("") == ()


@pytest.mark.parametrize(
    ("name", "plain"), [("Bon Chrétien", "bonchretien"), ("1-01", "101"), ("Straße", "strasse"), ("!", "")]
)
def test_folding_leaves_letters_and_digits(name: str, plain: str) -> None:
    """What people leave out or spell in their own way."""
    assert folded(name) == plain
