"""Every check against a value from outside is listed with its source in the notes, three hundred of them and more."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from conftest import script


@pytest.fixture(scope="module")
def outside() -> ModuleType:
    """Return the script that makes the list."""
    return script("outside")


@pytest.fixture(scope="module")
def found(outside: ModuleType) -> list[Any]:
    """Return every check that there is."""
    checks: list[Any] = outside.checks()
    return checks


def test_the_list_is_made_from_the_tests(outside: ModuleType, found: list[Any]) -> None:
    """Run `python generator/outside.py` after a value was added."""
    assert outside.PAGE.read_text(encoding="utf-8") == outside.page(found)


def test_there_are_many_and_each_has_a_source(outside: ModuleType, found: list[Any]) -> None:
    """No row is without what it is known by, and none comes from tables that were made of the shelf itself."""
    assert sum(check.count for check in found) >= 300
    assert all(len(check.source) > 5 and check.value for check in found)
    assert not [check for check in found if any(name in check.value for name in outside.OWN_TABLES)]


TESTS = """
import pytest

@pytest.mark.parametrize(
    ("given", "due"),
    [
        # Wren, On pears (1999): days
        (1, 2),
        (3, 4),
        # 3 and a day
        (4, 5),
        # The same, page 8
        (5, 6),
    ],
)
def test_rows(given, due):
    assert given < due


@pytest.mark.parametrize("given", [(7, 8)])
def test_without_a_source(given):
    # Printed by the library pears 1.0
    assert given == (7, 8)
    assert given


@pytest.mark.parametrize("row", [*rows("pears.csv"), *rows("own.csv"), *rows("unknown.csv")])
def test_files(row):
    assert row
"""
SOURCES = """
| file | rows | what | from |
|---|---|---|---|
| `pears.csv` | 1,012 | days | Wren, On pears |
| `own.csv` | 12 | days | the shelf itself |
"""


def test_what_counts_is_a_row_below_a_source(
    outside: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows below a source, an assertion right below one, a file of data whose source is told, and nothing else."""
    path = tmp_path / "tests" / "outside" / "test_pears.py"
    path.parent.mkdir(parents=True)
    path.write_text(TESTS, encoding="utf-8")
    (tmp_path / "tests" / "data").mkdir()
    (tmp_path / "tests" / "data" / "SOURCES.md").write_text(SOURCES, encoding="utf-8")
    monkeypatch.setattr(outside, "ROOT", tmp_path)
    monkeypatch.setattr(outside, "OWN_TABLES", {"own.csv"})

    checks = outside.checks()
    assert [(check.test, check.source, check.value) for check in checks] == [
        ("test_rows", "Wren, On pears (1999): days", "(1, 2)"),
        ("test_rows", "Wren, On pears (1999): days", "(3, 4)"),
        ("test_rows", "Wren, On pears (1999): days", "(4, 5)"),
        ("test_rows", "Wren, On pears (1999): days | The same, page 8", "(5, 6)"),
        ("test_without_a_source", "Printed by the library pears 1.0", "given == (7, 8)"),
        ("test_files", "Wren, On pears", "1012 rows of tests/data/pears.csv"),
    ]
    assert [check.count for check in checks] == [1] * 5 + [1012]
