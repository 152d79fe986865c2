"""Small households written as notes, read as any other, for the tests of the season."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from firmripe.days import Hemisphere, WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.tree import Bearing
from firmripe.reading.reader import read_holding
from firmripe.reading.stations import FILE as STATIONS
from firmripe.season.estimate import Dated, Estimate, NoDate, Reason
from firmripe.season.season import Season, SeasonModel
from firmripe.shipped import shelf_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

NORTH = WorkingYear(year=2027)
SOUTH = WorkingYear(year=2027, hemisphere=Hemisphere.SOUTH)
VALLEY = "zone: 7b, latitude: 42 N, longitude: 72 W, elevation: 200 m"
"""The ground of a window, as written in a cultivar's note."""


def note(*lines: str) -> str:
    """Return a note of these lines of front matter."""
    return "\n".join(["---", *lines, "---", ""])


def table(*rows: str) -> str:
    """Return a table of records with the columns date, tree, what, amount, note."""
    return "\n".join(["date,tree,what,amount,note", *rows, ""])


def read(top: Path, notes: Mapping[str, str]) -> Holding:
    """Write the notes of a household, beside a shelf of nothing but weather stations, and read them."""
    for name, text in notes.items():
        path = top / "home" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    (top / "shelf").mkdir(exist_ok=True)
    if not (top / "shelf" / STATIONS).exists():
        (top / "shelf" / STATIONS).symlink_to(shelf_folder() / STATIONS)
    return read_holding(top / "home", top / "shelf")


def season_of(top: Path, notes: Mapping[str, str], year: WorkingYear = NORTH, as_of: date | None = None) -> Season:
    """Return the season of a household as known on a day, its last where none is named."""
    return SeasonModel(read(top, notes), year, as_of or year.last).season()


def dated(season: Season, tree: str, cultivar: str, event: Event = Event.PICK, crop: str = "") -> Dated:
    """Return when an event of a tree happens, or why that is not known."""
    return season.of(Bearing(tree, cultivar, crop), event)


def estimate(season: Season, tree: str, cultivar: str, event: Event = Event.PICK, crop: str = "") -> Estimate:
    """Return when an event of a tree happens; fails where that is not known."""
    found = dated(season, tree, cultivar, event, crop)
    assert isinstance(found, Estimate), found
    return found


def no_date(season: Season, tree: str, cultivar: str, event: Event = Event.PICK, crop: str = "") -> NoDate:
    """Return why an event has no date; fails where it has one."""
    found = dated(season, tree, cultivar, event, crop)
    assert isinstance(found, NoDate), found
    return found


def moved_by(reasons: tuple[Reason, ...], words: str) -> float:
    """Return by how many days the lines that hold these words move a date."""
    return sum(reason.days or 0.0 for reason in reasons if words in words_of(reason.why, IN_ENGLISH))
