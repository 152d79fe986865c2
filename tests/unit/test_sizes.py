"""How much a build makes: counts and sizes for an orchard of forty trees, held so that they don't creep up."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import pytest

from firmripe.build import plan_of
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "bench"))

from orchards import write_orchard


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Return the site of forty trees without records, some weeks before harvest."""
    notes = tmp_path_factory.mktemp("orchard")
    write_orchard(notes, 40, "bare")
    return make_site(plan_of(notes, 2027, date(2027, 8, 20)), theme_folder())


def test_pages_of_forty_trees_fit_a_phone(made: dict[str, bytes]) -> None:
    """The front page weighs less than 60 kB and no page more than 150 kB."""
    pages = {path: len(data) for path, data in made.items() if path.endswith(".html")}

    assert pages["index.html"] < 60_000
    assert max(pages.values()) < 150_000


def test_files_grow_by_a_page_a_tree(made: dict[str, bytes]) -> None:
    """Forty trees of ten cultivars make one page each, and no more than 250 files beside those."""
    assert sum(path.startswith("trees/") for path in made) == 40
    assert len(made) < 290


def test_no_feed_is_longer_than_services_take(made: dict[str, bytes]) -> None:
    """Calendar services are reported to read no more than 1,000,000 octets."""
    assert all(len(data) < 1_000_000 for path, data in made.items() if path.endswith(".ics"))
