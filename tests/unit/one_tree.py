"""A household of one pear tree over an empty shelf, for tests that need every day of its life to be certain."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from season_notes import note, read, table

from firmripe.calendar.entry import Entry
from firmripe.plan import Plan, make_plan

PEAR = note("name: Pear", "ripens off the tree: yes")
HARD = note(
    "name: Hardpear",
    "fruit: pear",
    "conditioning: [{value: 10 days, at: 38 F}]",
    "counter: 5 days",
    "keeps ripe: 3 days",
    "keeps: 60 days",
)
PLACE = note(
    "name: Home",
    "zone: 6a",
    "latitude: 42 N",
    "last frost: May 12",
    "first frost: Oct 8",
    "spaces: [{name: cellar, temperature: 38 F}]",
)
TREE = note("cultivar: Hardpear", "pinned: [{pick: 2027-09-01}]")
RECORDS = table("2027-04-20,A,full bloom,,", "2027-11-10,A,leaf fall,,")
NOTES = {
    "place.md": PLACE,
    "fruits/pear.md": PEAR,
    "cultivars/hardpear.md": HARD,
    "trees/A.md": TREE,
    "records/2027.csv": RECORDS,
}


def task(*lines: str) -> dict[str, str]:
    """Return the notes of one task called Work."""
    return {"tasks/work.md": note("name: Work", *lines)}


def plan_of_notes(top: Path, notes: Mapping[str, str], year: int = 2027, as_of: date = date(2027, 12, 31)) -> Plan:
    """Return the plan of these notes, with the one-tree household in the gaps."""
    return make_plan(read(top, {**NOTES, **notes}), year, as_of)


def entries_of(top: Path, *notes: Mapping[str, str], year: int = 2027, as_of: date = date(2027, 12, 31)) -> list[Entry]:
    """Return the entries of these notes, with the one-tree household in the gaps."""
    merged = {name: text for part in notes for name, text in part.items()}
    return list(plan_of_notes(top, merged, year, as_of).calendar.entries)
