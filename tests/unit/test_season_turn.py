"""Where one season ends and the next begins: by midwinter, or on the day that a household says."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from season_notes import estimate, note, read

from firmripe.days import Hemisphere, MonthDay, WorkingYear
from firmripe.doubts import doubts_of
from firmripe.holding.fruit import Event
from firmripe.plan import make_plan
from firmripe.problems import FaultyNotes
from firmripe.season.season import SeasonModel

DAYS_OF_YEAR = st.dates(date(2000, 1, 1), date(2000, 12, 31)).map(lambda day: MonthDay(day.month, day.day))


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.sampled_from(Hemisphere), st.none() | DAYS_OF_YEAR)
def test_each_day_belongs_to_one_season(day: date, half: Hemisphere, begins: MonthDay | None) -> None:
    """Seasons follow each other without a gap, whichever day they begin on; the way to a season day and back is one."""
    year = WorkingYear.of(day, half, begins)
    assert day in year
    assert year.named(year.year + 1).first == year.last + timedelta(days=1)
    assert year.date_of(year.day_number(day)) == day
    assert abs((year.first - year.midwinter).days) <= 184


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.sampled_from(Hemisphere))
def test_a_season_that_begins_at_midwinter_is_the_usual_one(day: date, half: Hemisphere) -> None:
    """Saying what holds anyway changes nothing."""
    midwinter = MonthDay(1, 1) if half is Hemisphere.NORTH else MonthDay(7, 1)
    usual, said = WorkingYear.of(day, half), WorkingYear.of(day, half, midwinter)
    assert (usual.year, usual.first, usual.last) == (said.year, said.first, said.last)


PLACE = ("latitude: 2 N", "longitude: 78 W", "elevation: 2400 m")
NOTES = {
    "place.md": note(*PLACE, "season begins: Jul 1"),
    "fruits/apple.md": note("name: Apple"),
    "cultivars/anna.md": note("name: Anna", "fruit: apple", "days from bloom: 120 days"),
    "trees/A.md": note("cultivar: Anna"),
    "records/a.csv": "date,tree,what\n"
    "2024-09-15,A,full bloom\n2025-01-12,A,first pick\n2025-09-11,A,full bloom\n2026-01-10,A,first pick\n"
    "2026-09-12,A,full bloom\n",
}


def test_a_crop_over_new_year_is_one_season(tmp_path: Path) -> None:
    """Its bloom in September dates its pick in January, of the season that is named for the pick's year."""
    holding = read(tmp_path, NOTES)
    season = SeasonModel(holding, holding.place.season(2027), date(2026, 12, 1)).season()
    bloom, pick = estimate(season, "A", "anna", Event.FULL_BLOOM), estimate(season, "A", "anna")

    assert (season.year.first, season.year.last) == (date(2026, 7, 1), date(2027, 6, 30))
    assert bloom.likely == date(2026, 9, 12)
    assert abs((pick.likely - date(2027, 1, 10)).days) <= 4
    assert pick.spread_d < 12
    assert season.forecasts == ()
    assert [doubt.message for doubt in doubts_of(holding, date(2026, 12, 1))] == []


def test_the_same_records_by_the_calendar_year_tear_it_apart(tmp_path: Path) -> None:
    """Without the key a bloom in September comes after the pick of its year: what the key is for."""
    holding = read(tmp_path, {**NOTES, "place.md": note(*PLACE)})
    season = SeasonModel(holding, holding.place.season(2026), date(2026, 12, 1)).season()
    assert estimate(season, "A", "anna").likely < estimate(season, "A", "anna", Event.FULL_BLOOM).likely


def test_the_plan_of_a_day_is_that_of_its_season(tmp_path: Path) -> None:
    """A build in December is already of the season that is picked in January."""
    holding = read(tmp_path, NOTES)
    assert holding.place.season_of(date(2026, 12, 1)).year == 2027
    plan = make_plan(holding, 2027, date(2026, 12, 1))
    assert all(entry.season == 2027 for entry in plan.calendar.entries)


@pytest.mark.parametrize("said", ["July", "Jul 1 - Jul 3", "sometimes"])
def test_a_season_begins_on_one_day(tmp_path: Path, said: str) -> None:
    """The message says what to write."""
    with pytest.raises(FaultyNotes) as faulty:
        read(tmp_path, {**NOTES, "place.md": note(f"season begins: {said}")})
    assert faulty.value.problems[0].hint.startswith("write")
