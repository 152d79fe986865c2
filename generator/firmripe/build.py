"""One run: notes in, plan worked out, site written."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from firmripe.calendar.plan import Plan, make_plan
from firmripe.days import WorkingYear
from firmripe.publish.folder import write_site
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.shipped import shelf_folder, theme_folder

THEME = "ledger"


def plan_of(folder: Path, season: int | None, known_on: date) -> Plan:
    """Read a household's notes and work out the plan of a season, or of the one that `known_on` lies in.

    Raises FaultyNotes.
    """
    holding = read_holding(folder, shelf_folder())
    year = season or WorkingYear.of(known_on, holding.place.hemisphere).year
    return make_plan(holding, year, known_on)


def write_plan(plan: Plan, out: Path) -> int:
    """Write a plan's site and return the number of files.

    Raises Refused, ThemeFault and OSError; then a former site stands as it was.
    """
    files = make_site(plan, theme_folder(THEME))
    write_site(out, files)
    return len(files)
