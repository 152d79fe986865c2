"""Households that nobody thought of tell one story too; `FIRMRIPE_DRAWN=300` draws so many."""

from __future__ import annotations

import os

import lock_screen  # noqa: F401 - its rules are entered when it is imported
import rules_of_days  # noqa: F401
import rules_of_fruit  # noqa: F401
import rules_of_jobs  # noqa: F401
import rules_of_pages  # noqa: F401
from agreeing import contradictions
from building import files_of
from drawn import households
from forty import Household
from hypothesis import HealthCheck, Phase, assume, given, settings
from known import KNOWN
from statements import read_site

from firmripe.problems import FaultyNotes

DRAWN = int(os.environ.get("FIRMRIPE_DRAWN", "8"))
NOT_ASKED = {
    "a title says what and which at its start": "kitchen jobs of three trees are named by what is put up",
    "no job for fruit that hangs": "a spray in winter lets last season's crop, of which nobody noted a pick, hang on",
}
"""Rules that drawn households are known to break, with what breaks them."""


@settings(
    max_examples=DRAWN,
    suppress_health_check=list(HealthCheck),
    deadline=None,
    derandomize=DRAWN <= 8,
    phases=[Phase.generate],
)
@given(household=households())
def test_a_drawn_household_is_told_one_story(household: Household) -> None:
    """Whatever is drawn builds or is refused with its line, and breaks no rule that is not known to be broken."""
    try:
        files, hearing = files_of(household)
    except FaultyNotes:
        assume(False)
        return
    found = contradictions(read_site(files, hearing, household.day), household)
    new = [one for one in found if one.rule not in {**KNOWN, **NOT_ASKED}]
    assert not new, "\n".join(
        [household.place, household.trees, household.records, str(household.day), *map(str, new[:5])]
    )
