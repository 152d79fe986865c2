"""Builders that every test may use."""

from __future__ import annotations

import importlib.util
import os
import sys
from collections.abc import Callable, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import settings

from firmripe.holding.holding import Holding
from firmripe.lately import Lately
from firmripe.plan import Plan, make_plan
from firmripe.publish.rendered import Rendered
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder

# Workers that share a machine would wait for each other's threads; they take this over before they load anything.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Nothing is kept between runs but by tests of just that, in folders of their own.
os.environ["FIRMRIPE_CACHE"] = ""

# A busy machine is no reason for a test to fail.
settings.register_profile("firmripe", deadline=None)
settings.load_profile("firmripe")

ROOT = Path(__file__).resolve().parent.parent
SHELF = ROOT / "content" / "reference"
EXAMPLE = ROOT / "content" / "example"
EXAMPLE_DAY = date(2027, 8, 28)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Let half as many more run as there are cores: tests wait for browsers a quarter of their time."""
    del config
    return max(2, (os.cpu_count() or 1) * 3 // 2)


@cache
def script(name: str) -> ModuleType:
    """Return a script that lies beside the package and is run by hand."""
    spec = importlib.util.spec_from_file_location(name, ROOT / "generator" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module  # dataclasses look for it there
    spec.loader.exec_module(module)
    return module


def write_notes(top: Path, files: Mapping[str, str]) -> Path:
    """Write notes by their names and return the folder."""
    for name, text in files.items():
        path = top / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return top


@pytest.fixture(autouse=True)
def _a_day_in_spring(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the command line take this day for today, so that no test waits for another year."""
    monkeypatch.setattr("firmripe.cli._today", lambda: date(2027, 6, 1))


def made_anew(self: Lately[Any, Any], of: object, make: Callable[[], object], **_: object) -> object:
    """Make what would be found again: in place of `Lately.made_of`, so that nothing is kept."""
    del self, of
    return make()


@pytest.fixture
def nothing_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let nothing be kept that was made, for tests that change the program itself."""
    monkeypatch.setattr(Lately, "made_of", made_anew)
    monkeypatch.setattr("firmripe.publish.site.PAGES", Rendered())


@pytest.fixture
def holding_of(tmp_path: Path) -> Callable[..., Holding]:
    """Return a function from notes by name to a holding over the shipped shelf, or another."""

    def build(files: Mapping[str, str], shelf: Path = SHELF) -> Holding:
        return read_holding(write_notes(tmp_path / "notes", files), shelf)

    return build


@pytest.fixture
def plan_of(holding_of: Callable[..., Holding]) -> Callable[..., Plan]:
    """Return a function from notes by name to the plan of a season as known on a day."""

    def build(
        files: Mapping[str, str], year: int = 2027, as_of: date = date(2027, 12, 31), shelf: Path = SHELF
    ) -> Plan:
        return make_plan(holding_of(files, shelf), year, as_of)

    return build


@pytest.fixture(scope="session")
def example_plan() -> Plan:
    """Return the example household's plan for the season shown."""
    return make_plan(read_holding(EXAMPLE, SHELF), 2027, EXAMPLE_DAY)


@pytest.fixture(scope="session")
def example_site(example_plan: Plan) -> dict[str, bytes]:
    """Return the example's site in the theme that ships first, made once for all tests that only look at it."""
    return make_site(example_plan, theme_folder())
