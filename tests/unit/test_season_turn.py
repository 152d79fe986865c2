"""Where one season ends and the next begins: by midwinter, or on the day that a household says."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from season_notes import estimate, note, read

from firmripe.days import Hemisphere, MonthDay, WorkingYear, parse_day_of_year
from firmripe.doubts import doubts_of
from firmripe.holding.fruit import Event
from firmripe.holding.verdict import Cause
from firmripe.plan import make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.site import make_site
from firmripe.season.estimate import Estimate
from firmripe.season.hindcast import hindcast
from firmripe.season.season import SeasonModel
from firmripe.shipped import theme_folder

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
    season = SeasonModel(holding, holding.place.working_year(2027), date(2026, 12, 1)).season()
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
    season = SeasonModel(holding, holding.place.working_year(2026), date(2026, 12, 1)).season()
    assert estimate(season, "A", "anna").likely < estimate(season, "A", "anna", Event.FULL_BLOOM).likely


def test_the_plan_of_a_day_is_that_of_its_season(tmp_path: Path) -> None:
    """A build in December is already of the season that is picked in January."""
    holding = read(tmp_path, NOTES)
    assert holding.place.working_year_of(date(2026, 12, 1)).year == 2027
    plan = make_plan(holding, 2027, date(2026, 12, 1))
    assert all(entry.season == 2027 for entry in plan.calendar.entries)


@pytest.mark.parametrize("said", ["July", "Jul 1 - Jul 3", "sometimes"])
def test_a_season_begins_on_one_day(tmp_path: Path, said: str) -> None:
    """The message says what to write."""
    with pytest.raises(FaultyNotes) as faulty:
        read(tmp_path, {**NOTES, "place.md": note(f"season begins: {said}")})
    assert faulty.value.problems[0].hint.startswith("write")


# Crops that hang, and fruit that lies, over the turn

CITRUS = {
    "place.md": note(
        "latitude: 37 N", "longitude: 120 W", "elevation: 200 m", "spaces: [{name: cellar, temperature: 38 F}]"
    ),
    "fruits/citrus.md": note("name: Citrus", "ripens off the tree: no", "passes: 3", "pass interval: 14 days"),
    "trees/C.md": note("fruit: citrus", "crop: 60 lb", "pinned: [{pick: 2026-12-20}]"),
    "tasks/pick.md": note("name: Pick", "topic: orchard", "each: tree", "when: pick", "until: latest pick"),
    "tasks/note.md": note("name: Note the last pick", "topic: orchard", "each: tree", "when: 1 day after latest pick"),
}


def jobs(top: Path, rows: str, as_of: date, notes: dict[str, str] | None = None) -> list[tuple[str, int]]:
    """Return the jobs of the season 2027 that belong to the one before, as known on a day."""
    home = {**CITRUS, "records/a.csv": f"date,tree,what,amount\n{rows}", **(notes or {})}
    plan = make_plan(read(top, home), 2027, as_of)
    return [(entry.task.name, entry.season) for entry in plan.calendar.entries if entry.season == 2026]


def test_a_crop_under_way_stands_in_the_next_season_until_it_is_done(tmp_path: Path) -> None:
    """Its picking stays among the jobs after New Year, and goes once a last pick is noted."""
    begun = "2026-12-20,C,first pick,20 lb\n"
    assert ("Pick", 2026) in jobs(tmp_path / "a", begun, date(2027, 1, 2))
    assert jobs(tmp_path / "b", f"{begun}2026-12-31,C,last pick,40 lb\n", date(2027, 1, 2)) == []
    assert jobs(tmp_path / "c", f"{begun}2027-01-03,C,last pick,40 lb\n", date(2027, 1, 4)) == []


def test_what_nobody_noted_is_still_asked_for_a_while(tmp_path: Path) -> None:
    """For sixty days, and of trees alone of which somebody noted anything that season."""
    seen = "2026-06-01,C,note,\n"
    once = {"fruits/citrus.md": note("name: Citrus", "ripens off the tree: no")}
    assert ("Pick", 2026) in jobs(tmp_path / "a", seen, date(2027, 1, 10), once)
    assert ("Pick", 2026) in jobs(tmp_path / "d", "", date(2027, 1, 10), once), "its day was fixed by hand"
    once["trees/C.md"] = note("fruit: citrus")
    once["fruits/citrus.md"] = note("name: Citrus", "windows: [{pick: Dec 20, place: here}]")
    assert jobs(tmp_path / "b", "", date(2027, 1, 20), once) == []
    assert jobs(tmp_path / "c", seen, date(2027, 4, 1), once) == []


def test_pickings_over_new_year_are_one_crop(tmp_path: Path) -> None:
    """They are weighed together, and are no pick of the season to come; one called the first is."""
    days = ("2026-12-20,C,first pick", "2027-01-08,C,pick", "2027-01-20,C,last pick", "2027-12-18,C,first pick")
    rows = "".join(f"{day},10 lb\n" for day in days)
    records = read(tmp_path, {**CITRUS, "records/a.csv": f"date,tree,what,amount\n{rows}"}).records
    assert [record.season for record in records] == [2026, 2026, 2026, 2027]


def test_of_two_winters_that_begin_in_one_year_the_second_goes_on_over_new_year(tmp_path: Path) -> None:
    """What a line calls a first pick begins a crop, though one that was picked in January is of the same season."""
    days = ("2026-01-06,C,first pick", "2026-12-29,C,first pick", "2027-01-12,C,last pick")
    rows = "".join(f"{day},10 lb\n" for day in days)
    records = read(
        tmp_path, {**CITRUS, "trees/C.md": note("fruit: citrus"), "records/a.csv": f"date,tree,what,amount\n{rows}"}
    ).records
    assert [record.season for record in records] == [2026, 2026, 2026]


def test_a_tree_that_is_picked_all_year_has_a_season_a_year(tmp_path: Path) -> None:
    """Pickings month after month don't belong to the year they began in for ever."""
    months = [f"{year}-{month:02}-05,C,pick,5 lb" for year in (2025, 2026, 2027) for month in range(1, 13)]
    rows = "\n".join(["date,tree,what,amount", *months, ""])
    seasons = [record.season for record in read(tmp_path, {**CITRUS, "records/a.csv": rows}).records]
    assert {seasons.count(year) for year in (2025, 2026, 2027)} == {12}


@pytest.mark.parametrize(
    ("rows", "tree", "season"),
    [
        (("2027-01-05,C,first pick",), "pinned: [{pick: 2026-12-28}]", 2026),
        (("2025-12-27,C,first pick", "2027-01-05,C,first pick"), "where: gate", 2026),
        (("2025-12-27,C,first pick", "2026-12-20,C,first pick", "2027-01-05,C,first pick"), "where: gate", 2027),
        (("2026-01-10,C,first pick", "2027-01-05,C,first pick"), "where: gate", 2027),
        (("2025-12-27,C,first pick", "2027-04-05,C,first pick"), "where: gate", 2027),
    ],
)
def test_a_late_first_pick_is_of_the_season_that_lacks_it(
    tmp_path: Path, rows: tuple[str, ...], tree: str, season: int
) -> None:
    """Where its day was fixed, or its last crop came, at the end of a season, and that season has no picking yet."""
    notes = {**CITRUS, "trees/C.md": note("fruit: citrus", tree)}
    table = "\n".join(["date,tree,what", *rows, ""])
    assert read(tmp_path, {**notes, "records/a.csv": table}).records[-1].season == season


PEAR = {
    "place.md": note("zone: 6a", "latitude: 42 N", "spaces: [{name: cellar, temperature: 34 F}]"),
    "fruits/pear.md": note("name: Pear", "ripens off the tree: yes"),
    "cultivars/keeper.md": note(
        "name: Keeper", "fruit: pear", "windows: [{pick: Sep 20, place: here}]", "keeps: 90 days", "counter: 5 days"
    ),
    "trees/P.md": note("cultivar: Keeper"),
}


@pytest.mark.parametrize(
    ("rows", "is_lost"),
    [
        (("2026-09-20,P,pick", "2027-02-10,P,lost"), False),
        (("2026-09-20,P,pick", "2027-03-10,P,lost", "2027-05-01,P,full bloom"), False),
        # nothing tells that it hung no fruit by then
        (("2026-09-20,P,pick", "2027-03-10,P,lost"), True),
        # it hung fruit, or nothing can have lain so long
        (("2026-09-20,P,pick", "2027-05-01,P,full bloom", "2027-06-10,P,lost"), True),
        (("2026-07-01,P,pick", "2027-02-10,P,lost"), True),
        (("2025-09-20,P,pick", "2027-02-10,P,lost"), True),
    ],
)
def test_what_rots_in_store_after_new_year_is_no_loss_of_the_crop_to_come(
    tmp_path: Path, rows: tuple[str, ...], *, is_lost: bool
) -> None:
    """Pears of autumn thrown out in winter leave the tree its pick; what hung on it when it was lost is gone."""
    table = "\n".join(["date,tree,what", *rows, ""])
    plan = make_plan(read(tmp_path, {**PEAR, "records/a.csv": table}), 2027, date(2027, 6, 30))

    assert (not plan.season.picks) is is_lost


def test_what_was_lost_in_store_takes_nothing_from_the_crop_to_come(tmp_path: Path) -> None:
    """Of 40 lb expected 40 lb hang, though 4 lb of last year's were thrown out in January."""
    tree = {"trees/P.md": note("cultivar: Keeper", "crop: 40 lb")}
    rows = "date,tree,what,amount\n2026-09-20,P,pick,30 lb\n2027-01-10,P,lost,4 lb\n"
    told = [
        make_plan(read(tmp_path / name, {**PEAR, **tree, "records/a.csv": rows[:end]}), 2027, date(2027, 3, 1)).lots
        for name, end in (("lost", None), ("kept", rows.index("2027")))
    ]
    (lost,), (kept,) = ([lot.crop for lot in lots.values()] for lots in told)

    assert lost == kept


def test_a_whole_site_is_made_where_a_crop_hangs_over_the_turn(tmp_path: Path) -> None:
    """The first page asks first whether it was picked, and pages and feeds read the fruit of the season it is of."""
    rows = "date,tree,what,amount\n2026-06-01,C,note,\n"
    plan = make_plan(read(tmp_path, {**CITRUS, "records/a.csv": rows}), 2027, date(2027, 1, 2))
    made = make_site(plan, theme_folder())

    assert [one.bearing.tree for one in plan.asked] == ["C"]
    assert "Was it picked?" in made["index.html"].decode()


KIWI = {
    "place.md": note("zone: 8a", "latitude: 42 N", "spaces: [{name: fridge, temperature: 32 F}]"),
    "fruits/kiwi.md": note(
        "name: Kiwi",
        "ripens off the tree: yes",
        "conditioning: [{value: 5 weeks, at: 32 F}]",
        "keeps: {value: 20 weeks, at: 32 F}",
    ),
    "cultivars/vine.md": note("name: Vine", "fruit: kiwi"),
    "trees/K.md": note("cultivar: Vine"),
    "records/2026.csv": "date,tree,what,amount,note\n2026-11-02,K,pick,40 lb,\n",
}
LAST_DAY = date(2026, 11, 2) + timedelta(weeks=20)


@pytest.mark.parametrize("as_of", [date(2027, 1, 1), LAST_DAY - timedelta(days=8), LAST_DAY + timedelta(days=3)])
@pytest.mark.parametrize("theme", ["box-tag", "plain"])
def test_what_is_in_store_stands_on_the_first_page_of_the_next_season(tmp_path: Path, as_of: date, theme: str) -> None:
    """Also where nobody knows when it is ready to eat, until its last day; 40 lb are then not forgotten."""
    plan = make_plan(read(tmp_path, KIWI), 2027, as_of)
    page = make_site(plan, theme_folder(theme))["index.html"].decode()

    assert bool(plan.store.carried) is (as_of <= LAST_DAY)
    assert ("rom last season" in page) is (as_of <= LAST_DAY)


# Dates that fall about the turn

NORTHERN = ("latitude: 37 N", "longitude: 120 W", "elevation: 200 m"), "Dec 20 - Jan 5", "Jan 6"
SOUTHERN = ("latitude: 37 S", "longitude: 145 E", "elevation: 200 m"), "Jun 20 - Jul 5", "Jul 6"
HALVES = pytest.mark.parametrize(("ground", "printed", "day"), [NORTHERN, SOUTHERN])


def mandarin(ground: tuple[str, ...], printed: str, *place: str, rows: str = "") -> dict[str, str]:
    """Return a household of one tree, with a pick printed for its ground where one is given."""
    windows = [f"windows: [{{pick: {printed}, {', '.join(ground)}}}]"] if printed else []
    return {
        "place.md": note(*ground, *place),
        "fruits/mandarin.md": note("name: Mandarin"),
        "cultivars/owari.md": note("name: Owari", "fruit: mandarin", *windows),
        "trees/A.md": note("cultivar: Owari"),
        "records/a.csv": f"date,tree,what\n{rows}",
    }


def off(found: Estimate, day: str) -> int:
    """Return how many days the likely day is from a day of any year, the short way round."""
    return min((abs((found.likely - day_in).days) for day_in in _years_of(day)), default=999)


def _years_of(day: str) -> list[date]:
    return [parse_day_of_year(day).in_year(year) for year in (2026, 2027, 2028)]


@HALVES
def test_a_usual_pick_across_the_turn_is_near(tmp_path: Path, ground: tuple[str, ...], printed: str, day: str) -> None:
    """A week after the printed pick it moves the date by days, though their numbers in the season are a year apart."""
    plain = in_2027(tmp_path / "plain", mandarin(ground, printed))
    for number, said in enumerate((day, {"Jan 6": "Dec 26 - Jan 16", "Jul 6": "Jun 26 - Jul 16"}[day])):
        told = mandarin(ground, printed, f"usual picks: [{{cultivar: Owari, pick: {said}}}]")
        found = in_2027(tmp_path / str(number), told)
        assert 0 < (found.likely - plain.likely).days <= 9
        assert found.spread_d < plain.spread_d


@HALVES
def test_picks_across_the_turn_are_near_what_is_printed(
    tmp_path: Path, ground: tuple[str, ...], printed: str, day: str
) -> None:
    """Three years picked just after the turn, beside a pick printed for just before it: the next comes there too."""
    days = [(parse_day_of_year(day).in_year(year) + timedelta(days=year % 3 - 1)) for year in (2024, 2025, 2026)]
    rows = "".join(f"{day},A,first pick\n" for day in days)
    found = in_2027(tmp_path / "printed", mandarin(ground, printed, rows=rows))
    assert off(found, day) <= 5
    assert found.spread_d < 10
    assert off(in_2027(tmp_path / "own", mandarin(ground, "", rows=rows)), day) <= 1


@pytest.mark.parametrize("printed", ["Dec 20 - Jan 5", ""])
def test_picks_on_both_sides_of_the_turn_have_their_middle_there(tmp_path: Path, printed: str) -> None:
    """January's and December's are a week apart, not a year: their middle is no day in summer."""
    rows = "2024-01-03,A,first pick\n2025-12-27,A,first pick\n2026-12-29,A,first pick\n"
    home = mandarin(NORTHERN[0], printed, rows=rows)
    assert off(in_2027(tmp_path, home), "Dec 30") <= 4
    holding = read(tmp_path, home)
    plain = [replay.plain for replay in hindcast(holding, holding.place.working_year(2027)) if replay.plain]
    assert all(day.month in {12, 1} for day in plain)


def test_a_pick_across_the_turn_is_judged_by_the_days_about_it(tmp_path: Path) -> None:
    """One of 3 January was looked for about New Year before it, a week off at most, and not a year later."""
    rows = "2024-01-03,A,first pick\n2024-03-20,A,verdict\n2025-12-27,A,first pick\n2026-12-29,A,first pick\n"
    home = mandarin(NORTHERN[0], "Dec 20 - Jan 5", rows=rows)
    home["records/a.csv"] = home["records/a.csv"].replace("what\n", "what,note\n").replace("verdict", "verdict,mealy")
    holding = read(tmp_path, home)
    ((judged,),) = SeasonModel(holding, holding.place.working_year(2027), date(2027, 1, 1)).season().verdicts.values()
    assert judged.looked_for is not None
    assert abs((judged.looked_for - judged.picking.day).days) <= 8
    assert Cause.PICKED_LATE in judged.causes


def in_2027(top: Path, notes: dict[str, str]) -> Estimate:
    """Return the pick of the season 2027 as known when it begins."""
    holding = read(top, notes)
    year = holding.place.working_year(2027)
    return estimate(SeasonModel(holding, year, year.first - timedelta(days=1)).season(), "A", "owari")
