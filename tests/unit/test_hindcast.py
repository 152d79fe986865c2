"""Past seasons played again from what was known before them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace
from season_notes import NORTH, SOUTH, VALLEY, note, read, table

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.tree import Bearing
from firmripe.plan import make_plan
from firmripe.publish.pages.hindcast import farthest_off
from firmripe.publish.pages.scores import off_words, score_words
from firmripe.publish.site import make_site
from firmripe.season import hindcast as past
from firmripe.season.estimate import Basis, Dated, Estimate, Happens
from firmripe.season.hindcast import Moment, PastSeasons, Replay, Score, hindcast, scores, together
from firmripe.season.season import SeasonModel
from firmripe.season.usual import usual_of
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH

NOTES = {
    "place.md": note("zone: 7b", "latitude: 42 N", "longitude: 72 W", "elevation: 200 m"),
    "fruits/pear.md": note(f"windows: [{{bloom: Apr 20, {VALLEY}}}, {{leaf fall: Nov 1, {VALLEY}}}]"),
    "cultivars/bosc.md": note("fruit: pear", f"windows: [{{pick: Sep 8, {VALLEY}}}]"),
    "fruits/quince.md": note(f"windows: [{{bloom: Apr 20, {VALLEY}}}]"),
    "cultivars/seedling.md": note("fruit: quince"),
    "trees/1.md": note("cultivar: bosc"),
    "trees/2.md": note("cultivar: bosc"),
    "trees/3.md": note("cultivar: seedling"),
}
Row = tuple[date, str, str]
ROWS: list[Row] = [
    (date(2023, 4, 14), "1", "full bloom"),
    (date(2023, 4, 19), "2", "full bloom"),
    (date(2023, 8, 30), "1", "first pick"),
    (date(2023, 10, 8), "3", "first pick"),
    (date(2024, 4, 25), "1", "full bloom"),
    (date(2024, 9, 14), "1", "first pick"),
    (date(2024, 9, 20), "2", "first pick"),
    (date(2024, 10, 1), "3", "first pick"),
    (date(2025, 9, 4), "1", "first pick"),
    (date(2026, 4, 8), "2", "full bloom"),
    (date(2026, 9, 2), "2", "first pick"),
    (date(2026, 9, 26), "3", "first pick"),
    (date(2026, 11, 6), "1", "leaf fall"),
]


def played(top: Path, rows: Sequence[Row], before: WorkingYear = NORTH) -> dict[tuple[int, Bearing, Event], Replay]:
    """Return the replays of a household with these records, by season, bearing and event."""
    holding = read(top, {**NOTES, "records/a.csv": table(*(f"{day},{tree},{what},," for day, tree, what in rows))})
    found = hindcast(holding, before)
    assert [replay.season for replay in found] == sorted(replay.season for replay in found)
    by_event = {(replay.season, replay.bearing, replay.event): replay for replay in found}
    assert len(by_event) == len(found)
    return by_event


def test_each_noted_bloom_and_pick_is_played_again_once(tmp_path: Path) -> None:
    """Leaf fall is not: no task hangs on how well it is foretold."""
    found = played(tmp_path, ROWS)
    assert {(season, bearing.tree, event) for season, bearing, event in found} == {
        (day.year, tree, Event.FULL_BLOOM if what == "full bloom" else Event.PICK)
        for day, tree, what in ROWS
        if what != "leaf fall"
    }
    assert all(
        replay.seen == day
        for day, tree, what in ROWS
        for replay in found.values()
        if (replay.season, replay.bearing.tree, replay.event.value) == (day.year, tree, what.removeprefix("first "))
    )


def test_this_season_and_those_to_come_are_not_played(tmp_path: Path) -> None:
    """Only seasons that ended before the given one began."""
    found = played(tmp_path, ROWS, WorkingYear(year=2025))
    assert {season for season, _, _ in found} == {2023, 2024}


MOMENTS = {2023: date(2023, 4, 19), 2024: date(2024, 4, 25), 2026: date(2026, 4, 8)}
"""The last full bloom noted in each season that has one."""


@pytest.mark.parametrize("season", MOMENTS)
@pytest.mark.parametrize("days", [-25, 40])
def test_nothing_of_after_the_moment_is_used(tmp_path: Path, season: int, days: int) -> None:
    """Whatever comes after the bloom is noted, later seasons too, moves nothing of what was said then."""
    plain = played(tmp_path / "plain", ROWS)
    moment = MOMENTS[season]
    other = played(
        tmp_path / "other",
        [row if row[0] <= moment else (row[0] + timedelta(days=days), *row[1:]) for row in ROWS],
    )
    compared = [key for key in plain if key[0] <= season]
    assert any(key[0] == season and plain[key].by_moment.get(Moment.AFTER_BLOOM) for key in compared)
    for key in compared:
        one, two = plain[key], other[key]
        if key[0] < season:
            assert one == two
        moments = Moment.BEFORE, Moment.AFTER_BLOOM
        assert [said_at(one, moment) for moment in moments] == [said_at(two, moment) for moment in moments]
        assert one.plain == two.plain


def said_at(replay: Replay, moment: Moment) -> Estimate | None:
    """Return what was said at a moment, without the last digits, which hang on what else the sums are made with."""
    said = replay.by_moment.get(moment)
    return None if said is None else replace(said, spread_d=round(said.spread_d, 9))


@pytest.mark.parametrize("season", [2024, 2025, 2026])
def test_before_a_season_nothing_of_it_is_used(tmp_path: Path, season: int) -> None:
    """Records of the season itself moved about move nothing of what was said before it began."""
    plain = played(tmp_path / "plain", ROWS)
    rows = [(row[0] + timedelta(days=11), *row[1:]) if row[0].year == season else row for row in ROWS]
    other = played(tmp_path / "other", rows)
    compared = [key for key in plain if key[0] == season]
    assert compared
    for key in compared:
        assert (plain[key].by_moment.get(Moment.BEFORE), plain[key].plain) == (
            other[key].by_moment.get(Moment.BEFORE),
            other[key].plain,
        )
        assert plain[key].seen != other[key].seen


def test_earlier_seasons_are_used(tmp_path: Path) -> None:
    """Late years before make what is said later, and the plain mean."""
    rows = [(row[0] + timedelta(days=20), *row[1:]) if row[0].year < 2026 else row for row in ROWS]
    plain, late = played(tmp_path / "plain", ROWS), played(tmp_path / "late", rows)
    key = (2026, Bearing("2", "bosc"), Event.PICK)
    first, second = plain[key], late[key]
    assert first.by_moment.get(Moment.BEFORE) is not None
    assert second.by_moment.get(Moment.BEFORE) is not None
    assert second.by_moment.get(Moment.BEFORE).likely > first.by_moment.get(Moment.BEFORE).likely
    assert first.plain is not None
    assert second.plain == first.plain + timedelta(days=20)


def test_the_bloom_noted_is_used_once_it_is_noted(tmp_path: Path) -> None:
    """An early bloom brings what is said after it forward; a bloom itself is only said before."""
    found = played(tmp_path, ROWS)
    pick = found[2026, Bearing("2", "bosc"), Event.PICK]
    assert pick.by_moment.get(Moment.BEFORE) is not None
    assert pick.by_moment.get(Moment.AFTER_BLOOM) is not None
    assert pick.by_moment.get(Moment.AFTER_BLOOM).likely < pick.by_moment.get(Moment.BEFORE).likely
    assert pick.by_moment.get(Moment.AFTER_BLOOM).spread_d < pick.by_moment.get(Moment.BEFORE).spread_d
    assert found[2026, Bearing("2", "bosc"), Event.FULL_BLOOM].by_moment.get(Moment.AFTER_BLOOM) is None
    assert (
        found[2025, Bearing("1", "bosc"), Event.PICK].by_moment.get(Moment.AFTER_BLOOM) is None
    )  # no bloom was noted that year


def test_the_plain_mean_is_that_of_the_trees_own_earlier_days(tmp_path: Path) -> None:
    """Season days averaged: 30 August 2023, 14 September 2024 and 4 September 2025 are numbers 241, 257 and 246."""
    found = played(tmp_path, [*ROWS, (date(2026, 9, 12), "1", "first pick")])
    assert found[2023, Bearing("1", "bosc"), Event.PICK].plain is None
    assert found[2024, Bearing("1", "bosc"), Event.PICK].plain == date(2024, 8, 29)  # the same number in a leap year
    assert found[2026, Bearing("1", "bosc"), Event.PICK].plain == date(2026, 9, 6)


def test_a_tree_of_which_nothing_was_known_had_no_date(tmp_path: Path) -> None:
    """Before a seedling's first pick nothing could be said, after it something could."""
    found = played(tmp_path, ROWS)
    first, second = (found[season, Bearing("3", "seedling"), Event.PICK] for season in (2023, 2024))
    assert (first.by_moment.get(Moment.BEFORE), first.plain) == (None, None)
    assert second.by_moment.get(Moment.BEFORE) is not None
    assert second.plain is not None


def test_the_former_trees_days_are_not_in_the_mean_of_the_new_one(tmp_path: Path) -> None:
    """A tree planted in another's place begins anew."""
    rows = [
        *ROWS,
        (date(2025, 1, 10), "2", "removed"),
        (date(2025, 3, 10), "2", "note"),
    ]
    found = played(tmp_path, rows)
    assert found[2026, Bearing("2", "bosc"), Event.PICK].plain is None
    assert found[2024, Bearing("2", "bosc"), Event.PICK].seen == date(2024, 9, 20)


def test_southern_seasons_are_played_over_new_year(tmp_path: Path) -> None:
    """Bloom in October and the pick in March are of one season."""
    notes = {**NOTES, "place.md": note("zone: 7b", "latitude: 42 S", "elevation: 200 m")}
    rows = ("2024-10-20,1,full bloom,,", "2025-03-01,1,first pick,,", "2026-03-11,1,first pick,,")
    found = hindcast(read(tmp_path, {**notes, "records/a.csv": table(*rows)}), SOUTH)
    assert [(replay.season, replay.event) for replay in found] == [
        (2025, Event.FULL_BLOOM),
        (2025, Event.PICK),
        (2026, Event.PICK),
    ]
    assert found[1].by_moment.get(Moment.AFTER_BLOOM) is not None
    assert found[2].plain == date(2026, 3, 1)


# Scores and words


def replay(before: int | None, after: int | None, plain: int | None, event: Event = Event.PICK) -> Replay:
    """Return a replay of a pick on 1 September, said so many days off with windows of 5 days either way."""
    seen = date(2025, 9, 1)

    def said(off: int | None) -> Estimate | None:
        if off is None:
            return None
        return Estimate(likely=seen + timedelta(days=off), spread_d=5 / 1.2816, basis=Basis.MODEL)

    made = {Moment.BEFORE: said(before), Moment.AFTER_BLOOM: said(after)}
    return Replay(
        season=2025,
        bearing=Bearing("1", "bosc"),
        event=event,
        seen=seen,
        by_moment={moment: one for moment, one in made.items() if one is not None},
        plain=None if plain is None else seen + timedelta(days=plain),
    )


def test_scores_are_mean_errors_and_how_many_windows_held() -> None:
    """Signs are left off, a window's first and last day are in it, and bloom is judged apart from picks."""
    replays = [replay(5, -1, 8), replay(-6, 0, None), replay(0, None, -3), replay(90, None, 80, Event.FULL_BLOOM)]
    bloom, pick = Event.FULL_BLOOM, Event.PICK
    assert scores(replays) == (
        Score(event=bloom, moment=Moment.BEFORE, count=1, error_days=90, held=0),
        Score(event=bloom, moment=None, count=1, error_days=80, held=None),
        Score(event=pick, moment=Moment.BEFORE, count=3, error_days=11, held=2),
        Score(event=pick, moment=Moment.AFTER_BLOOM, count=2, error_days=1, held=2),
        Score(event=pick, moment=None, count=2, error_days=11, held=None),
    )


def test_scores_of_all_seasons_are_those_of_each_together() -> None:
    """However the dates are parted, and with nothing said in some of them."""
    replays = [replay(5, -1, 8), replay(-6, 0, None), replay(0, None, -3), replay(90, None, 80, Event.FULL_BLOOM)]
    assert together([scores(replays[:1]), (), scores(replays[1:])]) == scores(replays)
    assert [score.mean_error_days for score in scores(replays)] == [90, 80, pytest.approx(11 / 3), 0.5, 5.5]


def test_without_replays_there_is_no_score() -> None:
    """Nothing was said, so nothing was wrong."""
    assert scores([]) == ()
    assert scores([replay(None, None, None)]) == ()
    assert score_words(IN_ENGLISH, scores([])) == ()


def test_an_error_is_above_nothing_where_too_late_was_said() -> None:
    """What was said less what came."""
    one = replay(4, -2, 0)
    assert [one.error_of(said) for said in (*one.by_moment.values(), one.plain, None)] == [4, -2, 0, None]


def test_scores_are_said_in_words() -> None:
    """One sentence for each moment at which any date was said."""
    assert score_words(IN_ENGLISH, scores([replay(5, -1, 8), replay(-6, 0, None)])) == (
        "Pick, said before the season began: 5.5 days off on average in 2 cases; 1 inside the window.",
        "Pick, said once the bloom was noted: 0.5 days off on average in 2 cases; 2 inside the window.",
        "Pick, the plain mean of earlier seasons: 8.0 days off in 1 case.",
    )


def test_seasons_are_played_when_they_are_asked_for_and_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever doesn't show them doesn't pay for them; they are of their notes, whatever is left out."""
    played: list[int] = []
    both = (replay(1, 2, 3), replay(4, 5, 6, Event.FULL_BLOOM))
    monkeypatch.setattr(past, "hindcast", lambda *_: played.append(1) or both)
    holding = read(tmp_path, NOTES)
    seasons = PastSeasons(holding, NORTH.named(1999))
    picks = seasons.without(lambda one: one.event is not Event.PICK)
    assert not played
    assert (len(seasons), len(picks), tuple(picks.whole)) == (2, 1, both)
    assert len(played) == 1
    assert seasons == picks == picks.whole
    assert seasons != PastSeasons(holding, NORTH.named(1998))


def test_past_seasons_are_played_once_whatever_is_noted_this_season(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is kept is what would be played anew; another past line, tree or season is played by itself."""
    played_by: list[Holding] = []
    play = past.hindcast

    def counted(holding: Holding, before: WorkingYear) -> tuple[Replay, ...]:
        played_by.append(holding)
        return play(holding, before)

    monkeypatch.setattr(past, "hindcast", counted)
    later = [(date(2027, 4, 20), "1", "full bloom")]
    households = [
        (ROWS, NOTES, NORTH, 1),
        ([*ROWS, *later], NOTES, NORTH, 1),
        ([*ROWS, *later, (date(2027, 9, 1), "2", "first pick")], NOTES, NORTH, 1),
        ([*ROWS[:-1], *later], NOTES, NORTH, 2),
        ([*ROWS[:-1], *later], {**NOTES, "trees/2.md": note("cultivar: bosc", "planted: 2001")}, NORTH, 3),
        ([*ROWS[:-1], *later], {**NOTES, "trees/2.md": note("cultivar: bosc", "planted: 2001")}, NORTH.named(2026), 4),
        (ROWS, NOTES, NORTH, 5),
    ]
    for number, (rows, notes, before, times) in enumerate(households):
        table_of = table(*(f"{day},{tree},{what},," for day, tree, what in rows))
        holding = read(tmp_path / str(number), {**notes, "records/a.csv": table_of})
        assert [*PastSeasons(holding, before)] == [*play(holding, before)]
        assert len(played_by) == times


def test_each_event_is_said_days_ahead_from_what_was_known_then(tmp_path: Path) -> None:
    """30, 14 and 7 days ahead; what is noted between two of them is in the later one alone."""
    found = played(tmp_path, ROWS)
    pick = found[2024, Bearing("2", "bosc"), Event.PICK]  # 20 September; tree 1 was picked on the 14th
    ahead = [pick.by_moment[moment] for moment in (Moment.AHEAD_30, Moment.AHEAD_14, Moment.AHEAD_7)]
    assert list(pick.by_moment) == list(Moment)
    without = played(tmp_path / "without", [row for row in ROWS if row[0] < date(2024, 9, 7)] + [ROWS[6]])
    assert without[2024, Bearing("2", "bosc"), Event.PICK].by_moment[Moment.AHEAD_14].likely == ahead[1].likely


@pytest.mark.parametrize(
    ("error", "words"),
    [(None, ""), (0, "to the day"), (1, "1 day late"), (-1, "1 day early"), (12, "12 days late"), (-3, "3 days early")],
)
def test_how_far_off_a_date_was_is_said_in_words(error: int | None, words: str) -> None:
    """Early or late, with the number of days."""
    assert off_words(IN_ENGLISH, error) == words


def of_days(dates: Mapping[Happens, Dated]) -> dict[Happens, object]:
    """Return what is said of each date but for its reasons."""
    return {
        happens: (d.likely, d.earliest, d.latest, d.basis, d.rough) if isinstance(d, Estimate) else d
        for happens, d in dates.items()
    }


@pytest.mark.parametrize("forwards", [True, False])
def test_a_model_beside_another_knows_what_it_knows_alone(tmp_path: Path, *, forwards: bool) -> None:
    """What is taken over from another day of the season is what would have been looked up: new lines, lessons, gaps."""
    rows = [
        *((day, tree, what) for day, tree, what in ROWS),
        (date(2025, 9, 20), "1", "verdict,mealy"),
        (date(2026, 3, 2), "2", "removed"),
        (date(2026, 4, 20), "3", "full bloom"),
    ]
    lines = (f"{day},{tree},{what if ',' in what else what + ','}," for day, tree, what in rows)
    holding = read(tmp_path, {**NOTES, "records/a.csv": table(*lines)})
    year = holding.place.working_year(2026)
    days = [year.first + timedelta(days=off) for off in range(-400, 360, 23)]
    model = SeasonModel(holding, year, year.last)
    told = set()
    for day in days if forwards else reversed(days):
        model, alone = SeasonModel(holding, year, day, model), SeasonModel(holding, year, day)
        assert model.observations == alone.observations
        season = alone.season()
        assert model.season() == season
        assert of_days(model.dates(season.dates)) == of_days(season.dates)
        told.add(model.observations)
    assert len(told) > 5


def test_of_many_dates_those_farthest_off_are_listed() -> None:
    """One for each season, kind and event, whichever tree it is of; one that nothing was said of only where alone."""

    def replay(tree: str, kind: str, event: Event, **days_off: int) -> Replay:
        seen = date(2026, 9, 10)
        said = {
            Moment[moment]: Estimate(likely=seen + timedelta(days=off), spread_d=3.0, basis=Basis.MODEL)
            for moment, off in days_off.items()
        }
        return Replay(
            season=2026, bearing=Bearing(tree, kind), event=event, seen=seen, by_moment=said, plain=date(2026, 12, 1)
        )

    mild = replay("1", "bosc", Event.PICK, BEFORE=3, AHEAD_7=1)
    worst = replay("2", "bosc", Event.PICK, BEFORE=2, AHEAD_7=-6)
    bloom = replay("1", "bosc", Event.FULL_BLOOM, BEFORE=1)
    unsaid = replay("3", "bosc", Event.FULL_BLOOM)
    alone = replay("4", "seckel", Event.PICK)

    assert farthest_off([mild, worst, unsaid, bloom, alone]) == [worst, bloom, alone]


@pytest.mark.usefixtures("nothing_kept")
@pytest.mark.parametrize(("most", "lines"), [(9, 5), (10, 10)])
def test_the_page_of_past_seasons_lists_less_of_many_dates(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, most: int, lines: int
) -> None:
    """Beyond `MOST_LINES` a line stands for each kind and event of a season, and the page says so."""
    rows = [(date(year, 9, 1) + timedelta(days=n), str(n), "first pick") for year in range(2022, 2027) for n in (1, 2)]
    records = table(*(f"{day},{tree},{what},,to {most}" for day, tree, what in rows))  # other notes: no page is kept
    plan = make_plan(read(tmp_path, {**NOTES, "records/a.csv": records}), 2027, date(2027, 6, 1))
    monkeypatch.setattr("firmripe.publish.pages.hindcast.MOST_LINES", most)

    page = make_site(plan, theme_folder())["hindcast.html"].decode()

    assert page.count('<tr><th scope="row">') == lines
    assert ("There are many dates" in page) == (most == 9)


def test_a_bloom_that_comes_after_a_pick_is_not_waited_for(tmp_path: Path) -> None:
    """Another tree's bloom in November, as loquats have it, takes nothing from what was known of a pick in autumn."""
    rows: list[Row] = [(date(2026, 4, 8), "1", "full bloom"), (date(2026, 9, 2), "1", "first pick")]
    late = [*rows, (date(2026, 11, 10), "3", "full bloom")]
    key = 2026, Bearing("1", "bosc"), Event.PICK
    known, beside = (played(tmp_path / str(len(some)), some)[key].by_moment for some in (rows, late))
    assert known[Moment.AFTER_BLOOM] == beside.get(Moment.AFTER_BLOOM)


def test_a_season_played_again_knows_nothing_of_its_own_weather(tmp_path: Path) -> None:
    """A spring four degrees warmer is not usual before it came, nor is one that came later; once over it counts."""
    home = {**NOTES, "records/a.csv": table("2026-04-20,1,full bloom,,", "2026-09-02,1,first pick,,")}
    before = [replay.by_moment[Moment.BEFORE] for replay in _with_weather(tmp_path / "before", home, 2025)]
    after = [replay.by_moment[Moment.BEFORE] for replay in _with_weather(tmp_path / "after", home, 2027)]
    assert before == after
    holding = read(tmp_path / "after", home)
    usual = [usual_of(holding, NORTH.named(year)).climate for year in (2026, 2027, 2028)]
    springs = [climate.spring_mean() for climate in usual if climate is not None]
    assert springs[0] + 0.1 < springs[1] < springs[2] - 0.1


def _with_weather(top: Path, home: Mapping[str, str], last: int) -> tuple[Replay, ...]:
    """Play a household again whose springs were usual from 2021 to 2025 and four degrees warmer from 2026 on."""
    rows = ["date,tmin_c,tmax_c"]
    for ordinal in range(date(2021, 1, 1).toordinal(), date(last, 12, 31).toordinal() + 1):
        day = date.fromordinal(ordinal)
        mean = 10 - 12 * math.cos((day.timetuple().tm_yday - 20) / 58) + 3 * math.sin(ordinal * 1.7)
        mean += 4 if day.year >= 2026 and day.month in {3, 4, 5} else 0
        rows.append(f"{day},{mean - 5:.1f},{mean + 6:.1f}")
    return hindcast(read(top, {**home, "weather/a.csv": "\n".join([*rows, ""])}), NORTH)
