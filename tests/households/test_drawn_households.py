"""Households that nobody thought of tell one story too; `FIRMRIPE_DRAWN=300` draws so many."""

from __future__ import annotations

import os

import lock_screen  # noqa: F401 - its rules are entered when it is imported
import rules_of_days  # noqa: F401
import rules_of_fruit  # noqa: F401
import rules_of_jobs  # noqa: F401
from agreeing import contradictions
from building import files_of
from drawn import households
from forty import Household
from hypothesis import HealthCheck, assume, given, settings
from known import KNOWN
from statements import read_site

from firmripe.problems import FaultyNotes

DRAWN = int(os.environ.get("FIRMRIPE_DRAWN", "8"))


@settings(max_examples=DRAWN, suppress_health_check=list(HealthCheck), derandomize=DRAWN <= 8)
@given(household=households())
def test_a_drawn_household_is_told_one_story(household: Household) -> None:
    """Whatever is drawn builds or is refused with its line, and breaks no rule that is not known to be broken."""
    try:
        files, hearing = files_of(household)
    except FaultyNotes:
        assume(False)
        return
    found = contradictions(read_site(files, hearing, household.day), household)
    new = [one for one in found if one.rule not in KNOWN]
    assert not new, "\n".join(
        [household.place, household.trees, household.records, str(household.day), *map(str, new[:5])]
    )
