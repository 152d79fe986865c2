"""The packages leant on: bounded on both sides, each with its reason, installed as asked; all without the network."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import PackageNotFoundError, version

import pytest
from conftest import ROOT
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NEEDED = [Requirement(line) for line in PROJECT["dependencies"]]
FOR_PHOTOS = [Requirement(line) for line in PROJECT["optional-dependencies"]["photos"]]
FOR_CLUSTERS = [Requirement(line) for line in PROJECT["optional-dependencies"]["dask"]]
FOR_TESTS = [Requirement(line) for line in PROJECT["optional-dependencies"]["test"]]
CHAPTER = (ROOT / "generator" / "notes" / "dependencies.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("package", NEEDED + FOR_CLUSTERS + FOR_TESTS, ids=lambda package: package.name)
def test_a_package_is_bounded_below_and_above(package: Requirement) -> None:
    """The next great version comes in when somebody has tried it."""
    assert sorted(bound.operator for bound in package.specifier) == ["<", ">="]


@pytest.mark.parametrize("package", NEEDED + FOR_TESTS, ids=lambda package: package.name)
def test_a_package_is_installed_within_its_bounds(package: Requirement) -> None:
    """What the tests run with is what a household gets."""
    try:
        found = version(package.name)
    except PackageNotFoundError:
        pytest.fail(f"{package.name} is not installed")
    assert package.specifier.contains(found)


def test_every_package_has_its_reason_and_none_is_left_over() -> None:
    """Those a household gets in a line of the table, those for tests by name below it."""
    rows = dict(re.findall(r"^\| ([a-z0-9-]+) \| (.+) \|$", CHAPTER, re.MULTILINE))
    rows.pop("package")
    _, _, below = CHAPTER.partition("For tests only: ")

    assert {canonicalize_name(package.name) for package in NEEDED + FOR_PHOTOS + FOR_CLUSTERS} == set(rows)
    assert all(len(reason.split()) > 3 for reason in rows.values())
    assert [
        package.name
        for package in FOR_TESTS
        if package not in FOR_PHOTOS and not re.search(rf"\b{package.name}\b", below)
    ] == []


def test_no_package_is_needed_twice() -> None:
    """What a household gets is not named for the tests again."""
    names = [canonicalize_name(package.name) for package in NEEDED + FOR_TESTS]
    assert len(names) == len(set(names))
