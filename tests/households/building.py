"""Builds a household in this process and reads back what its site says."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

from conftest import SHELF, write_notes
from forty import Household
from saying_back import Hearing
from statements import Site, read_site

from firmripe.days import WorkingYear
from firmripe.plan import make_plan
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder


def files_of(household: Household) -> tuple[dict[str, bytes], Hearing]:
    """Return the files of a household's site, and how its words are understood."""
    with TemporaryDirectory() as top:
        holding = read_holding(write_notes(Path(top), household.files), SHELF)
    year = household.season or WorkingYear.of(household.day, holding.place.hemisphere).year
    plan = make_plan(holding, year, household.day)
    files = make_site(plan, theme_folder(holding.place.theme), kept=False)
    return files, Hearing(holding.place.tongue, household.day.year)


@lru_cache(maxsize=2)
def site_of(household: Household) -> Site:
    """Return what a household's site says."""
    files, hearing = files_of(household)
    return read_site(files, hearing, household.day)
