"""From the notes to the dates of one season."""

from __future__ import annotations

import math
from datetime import date, timedelta
from pathlib import Path

import pytest
from season_notes import (
    NORTH,
    SOUTH,
    VALLEY,
    dated,
    estimate,
    moved_by,
    no_date,
    note,
    read,
    season_of,
    table,
)

from firmripe.calendar.entries import expand
from firmripe.days import WorkingYear
from firmripe.harvest.following import follow
from firmripe.holding.fruit import Event
from firmripe.holding.tree import Bearing
from firmripe.season.estimate import Basis, Estimate
from firmripe.season.overdue import overdue
from firmripe.season.season import Season, SeasonModel
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.clashes import clash_words

HERE = {
    "place.md": note("zone: 7b", "latitude: 42 N", "longitude: 72 W", "elevation: 200 m"),
    "fruits/pear.md": note(f"windows: [{{bloom: Apr 20, {VALLEY}}}, {{leaf fall: Nov 1, {VALLEY}}}]"),
    "cultivars/bosc.md": note("fruit: pear", f"windows: [{{pick: Sep 8, {VALLEY}}}]"),
    "cultivars/comice.md": note("fruit: pear", "offset: {from: bosc, value: 14 days after}"),
    "cultivars/anjou.md": note("fruit: pear", f"windows: [{{pick: Sep 8, {VALLEY}}}]"),
    "trees/1.md": note("cultivar: bosc"),
    "trees/2.md": note("cultivar: bosc"),
    "trees/3.md": note("cultivar: comice"),
}
BOSC = date(2027, 9, 8)
FIG = {
    "place.md": note("zone: 9a"),
    "fruits/fig.md": note(
        "crops: [breba, main]",
        "windows: [{pick: Jun 25, zone: 9a, crop: breba}, {pick: Sep 1, zone: 9a, crop: main}]",
    ),
    "cultivars/adam.md": note("fruit: fig"),
    "trees/5.md": note("cultivar: adam"),
}


def with_records(top: Path, *rows: str, year: WorkingYear = NORTH, as_of: date | None = None, **trees: str) -> Season:
    """Return the season of the usual household with these records, and these trees in place of its own."""
    own = {f"trees/{tag.removeprefix('tree')}.md": text for tag, text in trees.items()}
    return season_of(top, {**HERE, **own, "records/a.csv": table(*rows)}, year, as_of)


# What the notes do to a date


def test_without_notes_the_printed_date_stands(tmp_path: Path) -> None:
    """A tree on the ground that its date is printed for is picked that day, within two weeks or so."""
    found = estimate(season_of(tmp_path, HERE), "1", "bosc")
    assert (found.likely, found.basis) == (BOSC, Basis.MODEL)
    assert 8 < found.spread_d < 10
    assert BOSC - found.earliest == found.latest - BOSC
    assert 10 <= (found.latest - BOSC).days <= 13


def test_an_early_bloom_brings_picking_forward_by_half_to_all(tmp_path: Path) -> None:
    """Bloom ten days early leaves 5 to 10 of them at harvest, and makes the harvest surer."""
    plain = estimate(season_of(tmp_path, HERE), "1", "bosc")
    found = estimate(with_records(tmp_path, "2027-04-10,1,full bloom,,"), "1", "bosc")
    assert 4 <= (plain.likely - found.likely).days <= 10
    assert found.spread_d < plain.spread_d


def test_a_printed_interval_ties_picking_to_bloom_more_closely(tmp_path: Path) -> None:
    """With days from bloom known, an early bloom moves picking farther and leaves less unsure."""
    rows = "2027-04-10,1,full bloom,,"
    loose = estimate(with_records(tmp_path / "loose", rows), "1", "bosc")
    tied = season_of(
        tmp_path / "tied",
        {
            **HERE,
            "cultivars/bosc.md": note(
                "fruit: pear", f"windows: [{{pick: Sep 8, {VALLEY}}}]", "days from bloom: 136-146 days"
            ),
            "records/a.csv": table(rows),
        },
    )
    found = estimate(tied, "1", "bosc")
    assert found.likely < loose.likely
    assert found.spread_d < loose.spread_d


def test_a_weak_interval_pulls_less_than_a_sure_one(tmp_path: Path) -> None:
    """From memory or judgement it may nudge a date; read in print it pulls."""
    moved = {}
    for mark in ("M", "J", "R, page: '1'"):
        interval = f"days from bloom: {{value: 120 days, source: chart, mark: {mark}}}"
        shelf = {
            "../shelf/sources.md": note("sources: {chart: {author: A. Grower, title: A chart}}"),
            "../shelf/fruits/pear.md": note("name: Pear"),
            "../shelf/cultivars/bosc.md": note("fruit: pear", interval),
        }
        found = estimate(season_of(tmp_path / mark[0], {**HERE, **shelf}), "1", "bosc")
        moved[mark[0]] = (BOSC - found.likely).days
    assert 0 < moved["M"] == moved["J"] < moved["R"]


def test_leaf_fall_keeps_to_itself(tmp_path: Path) -> None:
    """Nothing seen in spring or summer moves it, and it moves nothing but leaf fall."""
    plain = season_of(tmp_path / "plain", HERE)
    summer = with_records(tmp_path / "summer", "2027-04-02,1,full bloom,,", "2026-08-20,1,first pick,,")
    autumn = with_records(tmp_path / "autumn", "2026-11-20,1,leaf fall,,", "2025-11-25,1,leaf fall,,")
    for tree in ("1", "2"):
        fall = [estimate(each, tree, "bosc", Event.LEAF_FALL) for each in (plain, summer, autumn)]
        assert fall[1].reach == fall[0].reach
        assert fall[2].likely > fall[0].likely
        for event in (Event.FULL_BLOOM, Event.PICK):
            assert estimate(autumn, tree, "bosc", event).reach == estimate(plain, tree, "bosc", event).reach


def test_the_first_pick_of_one_tree_moves_the_others(tmp_path: Path) -> None:
    """Its twin follows most, a cultivar counted from it as well, another cultivar less."""
    found = with_records(tmp_path, "2027-08-29,1,first pick,,", tree4=note("cultivar: anjou"))
    twin, after = estimate(found, "2", "bosc"), estimate(found, "3", "comice")
    other = estimate(found, "4", "anjou")
    assert twin.likely < other.likely < BOSC
    assert after.likely < BOSC + timedelta(days=14) - timedelta(days=5)
    assert estimate(found, "1", "bosc").basis is Basis.RECORDED


def test_own_years_outweigh_the_printed_date_as_they_add_up(tmp_path: Path) -> None:
    """Picked each year on 28 September, the tree's date nears that day year by year, and grows surer."""
    years = [f"{year}-09-28,1,first pick,," for year in range(2017, 2027)]
    found = [estimate(with_records(tmp_path / str(n), *years[10 - n :]), "1", "bosc") for n in (0, 1, 2, 5, 10)]
    likely = [item.likely for item in found]
    assert likely == sorted(likely)
    assert likely[0] == BOSC < likely[1] < likely[2] < likely[4]
    assert date(2027, 9, 25) <= likely[-1] <= date(2027, 9, 28)
    spreads = [item.spread_d for item in found]
    assert spreads == sorted(spreads, reverse=True)
    # Ten years to the day say that years differ little here, but no ten years say that they don't differ at all: 5 days
    # count as six years beside the nine that the ten can tell, and the tree-year and chance stay as they are.
    assert spreads[-1] > math.sqrt(5**2 * 6 / (6 + 9) + 1.5**2 + 2**2)


def test_years_that_differ_much_leave_the_next_one_unsure(tmp_path: Path) -> None:
    """Of two trees with the same mean the one whose years were alike has the narrower window."""
    days = (28, 2, 30, 5, 12, 21, 9, 17)
    wild = [f"{2019 + n}-09-{day:02},1,first pick,," for n, day in enumerate(days)]
    calm = [f"{2019 + n}-09-{15 + n % 2},1,first pick,," for n, _ in enumerate(days)]
    found = [
        estimate(with_records(tmp_path / name, *rows), "1", "bosc") for name, rows in (("wild", wild), ("calm", calm))
    ]
    assert abs((found[0].likely - found[1].likely).days) <= 2
    assert found[0].spread_d > 1.5 * found[1].spread_d


@pytest.mark.parametrize("bloom", ["2027-03-20", "2027-04-20", "2027-05-20"])
def test_no_note_of_this_season_makes_a_date_less_sure(tmp_path: Path, bloom: str) -> None:
    """However odd the spring: earlier years alone say how much years differ."""
    years = [f"{year}-09-{10 + year % 3},1,first pick,," for year in range(2020, 2027)]
    years += [f"{year}-04-{20 + year % 2},1,full bloom,," for year in range(2020, 2027)]
    before = with_records(tmp_path / "before", *years)
    after = with_records(tmp_path / "after", *years, f"{bloom},1,full bloom,,")
    for tree, cultivar in (("1", "bosc"), ("2", "bosc"), ("3", "comice")):
        assert estimate(after, tree, cultivar).spread_d <= estimate(before, tree, cultivar).spread_d


def test_a_marker_moves_its_cultivar_and_those_counted_from_it(tmp_path: Path) -> None:
    """A usual pick stated ten days early moves both most of the way, and bloom too, but less."""
    marked = note(
        "zone: 7b",
        "latitude: 42 N",
        "longitude: 72 W",
        "elevation: 200 m",
        "usual picks: [{cultivar: Bosc, pick: Aug 29}]",
    )
    plain = season_of(tmp_path / "plain", HERE)
    found = season_of(tmp_path / "marked", {**HERE, "place.md": marked})
    moved = {
        key: (estimate(plain, *key).likely - estimate(found, *key).likely).days
        for key in (("1", "bosc"), ("3", "comice"))
    }
    assert all(7 <= days <= 10 for days in moved.values())
    bloom = estimate(plain, "1", "bosc", Event.FULL_BLOOM).likely
    early_bloom = estimate(found, "1", "bosc", Event.FULL_BLOOM).likely
    assert 1 <= (bloom - early_bloom).days < moved["1", "bosc"]
    assert estimate(found, "1", "bosc").spread_d < estimate(plain, "1", "bosc").spread_d


def test_a_date_noted_as_about_moves_the_others_less(tmp_path: Path) -> None:
    """A day from memory counts, but less than one written down."""
    exact = estimate(with_records(tmp_path / "exact", "2027-08-01,1,first pick,,"), "2", "bosc")
    about = estimate(with_records(tmp_path / "about", "about 2027-08-01,1,first pick,,"), "2", "bosc")
    assert exact.likely < about.likely < BOSC


def test_the_reasons_add_up_to_the_shift(tmp_path: Path) -> None:
    """The printed day and what each line moves it by make the likely day."""
    rows = (
        "2026-09-20,1,first pick,,",
        "2026-04-25,2,full bloom,,",
        "2027-04-08,1,full bloom,,",
        "2027-05-01,1,light crop,,",
    )
    found = estimate(with_records(tmp_path, *rows), "1", "bosc")
    shift = sum(reason.days or 0.0 for reason in found.reasons)
    assert abs((found.likely - BOSC).days - shift) <= 0.5 + 1e-6
    assert len([reason for reason in found.reasons if reason.days]) >= 3


def test_the_words_rough_go_once_something_is_noted(tmp_path: Path) -> None:
    """A date that rests on the zone alone is rough until a note speaks for it."""
    notes = {
        "place.md": note("zone: 7a"),
        "cultivars/bosc.md": note("fruit: pear", "windows: [{pick: Sep 8, zone: 7b}]"),
        "fruits/pear.md": note("name: Pear"),
        "trees/1.md": note("cultivar: bosc"),
        "trees/2.md": note("cultivar: bosc"),
    }
    plain = estimate(season_of(tmp_path, notes), "2", "bosc")
    told = estimate(season_of(tmp_path, {**notes, "records/a.csv": table("2026-09-21,1,first pick,,")}), "2", "bosc")
    assert (plain.rough, told.rough) == (True, False)
    # A printed interval is no note of this household's.
    interval = note("fruit: pear", "windows: [{pick: Sep 8, zone: 7b}]", "days from bloom: 130-140 days")
    blooming = note("windows: [{bloom: Apr 20, zone: 7b}]")
    printed = {**notes, "cultivars/bosc.md": interval, "fruits/pear.md": blooming}
    assert estimate(season_of(tmp_path / "printed", printed), "2", "bosc").rough


@pytest.mark.parametrize("at_once", [1, 2, 3])
def test_a_date_is_as_rough_however_many_are_looked_at_together(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at_once: int
) -> None:
    """What was noted of a pick speaks for picks and not for the fall of leaves, whichever are looked at together."""
    notes = {
        "place.md": note("zone: 7a"),
        "fruits/pear.md": note("name: Pear", "windows: [{leaf fall: Nov 1, zone: 7b}]"),
        "cultivars/bosc.md": note("fruit: pear", "windows: [{pick: Sep 8, zone: 7b}]"),
        **{f"trees/{tag}.md": note("cultivar: bosc") for tag in (1, 2, 4)},
        "records/a.csv": table("2026-09-21,1,first pick,,"),
    }
    holding = read(tmp_path, notes)
    whole = SeasonModel(holding, NORTH, date(2027, 3, 1)).season()
    rough = [(happens.event, dated.rough) for happens, dated in whole.dates.items() if isinstance(dated, Estimate)]
    assert rough == [(Event.PICK, False), (Event.LEAF_FALL, True)] * 3
    monkeypatch.setattr("firmripe.season.season._AT_ONCE", at_once)
    assert SeasonModel(holding, NORTH, date(2027, 3, 1)).season().dates == whole.dates


def test_records_after_the_day_of_knowledge_are_not_looked_at(tmp_path: Path) -> None:
    """A season played again knows what was known on that day."""
    holding = read(tmp_path, {**HERE, "records/a.csv": table("2027-04-10,1,full bloom,,")})
    before = SeasonModel(holding, NORTH, date(2027, 4, 9)).season()
    after = SeasonModel(holding, NORTH, date(2027, 4, 10)).season()
    assert estimate(before, "1", "bosc").likely == BOSC
    assert estimate(after, "1", "bosc").likely < BOSC


def test_the_first_of_several_pickings_is_the_seasons_pick(tmp_path: Path) -> None:
    """Later pickings of the same tree are no new beginning, and the last one is none at all."""
    rows = ("2027-09-14,1,pick,,", "2027-09-05,1,first pick,,", "2027-09-20,1,last pick,,")
    assert estimate(with_records(tmp_path, *rows), "1", "bosc").likely == date(2027, 9, 5)


def test_a_last_pick_alone_ends_a_crop_and_teaches_nothing(tmp_path: Path) -> None:
    """Nothing of it is to be picked any more; when its first fruit was ripe nobody knows, and no other date moves."""
    row = "2027-09-10,1,last pick,,"
    alone = with_records(tmp_path / "a", row)
    found = estimate(alone, "1", "bosc")
    after = SeasonModel(alone.holding, WorkingYear(year=2028), date(2028, 3, 1)).season()
    without = with_records(tmp_path / "b")

    assert (found.likely, found.basis) == (date(2027, 9, 10), Basis.RECORDED)
    assert estimate(alone, "2", "bosc").likely == estimate(without, "2", "bosc").likely
    assert estimate(after, "1", "bosc").likely == BOSC.replace(year=2028)


# Trees of which only the household speaks


def test_own_records_alone_give_a_date(tmp_path: Path) -> None:
    """A seedling with no printed date comes near the middle of its own years."""
    rows = [f"{year}-10-{day},4,first pick,," for year, day in ((2024, 10), (2025, 4), (2026, "07"))]
    found = estimate(
        with_records(tmp_path, *[row.replace("-4,", "-04,") for row in rows], tree4=note("cultivar: seedling")),
        "4",
        "seedling",
    )
    assert abs((found.likely - date(2027, 10, 7)).days) <= 2
    assert 5 < found.spread_d < 12


def test_one_own_year_is_believed_where_nothing_is_printed(tmp_path: Path) -> None:
    """A single year is followed within a day or two, less surely than three."""
    one = with_records(tmp_path, "2026-10-07,4,first pick,,", tree4=note("cultivar: seedling"))
    found = estimate(one, "4", "seedling")
    assert abs((found.likely - date(2027, 10, 7)).days) <= 3
    assert not found.rough


def test_lines_written_over_and_over_change_nothing_of_an_own_date(tmp_path: Path) -> None:
    """How often a season's picking stands in the records does not make it count for more."""
    rows = ("2025-09-10,4,first pick,,", "2026-10-10,4,first pick,,")
    again = ((rows[0],) * 9) + ("2025-09-25,4,pick,,",)
    tree = note("cultivar: seedling")
    once = estimate(with_records(tmp_path / "once", *rows, tree4=tree), "4", "seedling")
    more = estimate(with_records(tmp_path / "more", *rows, *again, tree4=tree), "4", "seedling")
    assert (once.reach, once.spread_d) == (more.reach, pytest.approx(more.spread_d))


def test_one_crops_own_years_make_the_other_no_surer(tmp_path: Path) -> None:
    """Ten years of the breba crop say nothing of when the main crop, noted once, usually comes."""
    notes = {**FIG, "fruits/fig.md": note("crops: [breba, main]")}
    rows = [f"{year}-07-0{year % 7 + 1},5,breba,first pick" for year in range(2017, 2027)]
    columns = "date,tree,crop,what"
    both = "\n".join([columns, *rows, "2026-09-10,5,main,first pick", ""])
    found = season_of(tmp_path, {**notes, "records/a.csv": both})
    breba, main = (estimate(found, "5", "adam", crop=crop) for crop in ("breba", "main"))
    assert main.likely == date(2027, 9, 10)
    assert main.spread_d > breba.spread_d


@pytest.mark.parametrize("whose", ["cultivars/odd.md", "trees/4.md"])
@pytest.mark.parametrize(("interval", "spread_d"), [("120-170 days", 50 / 12**0.5), ("145 days", 5.0)])
def test_a_pick_counted_from_own_blooms_is_as_unsure_as_the_interval(
    tmp_path: Path, whose: str, interval: str, spread_d: float
) -> None:
    """However well bloom is known by ten years, the days on to the pick are known by the interval alone."""
    rows = [f"{year}-04-{10 + year % 7},4,full bloom,," for year in range(2017, 2027)]
    kind = {"cultivars/odd.md": ["fruit: pear"], "trees/4.md": ["cultivar: odd"]}
    kind[whose].append(f"days from bloom: {interval}")
    own = {"place.md": HERE["place.md"], "fruits/pear.md": note("name: Pear"), "records/a.csv": table(*rows)}
    found = season_of(tmp_path, {**own, **{name: note(*lines) for name, lines in kind.items()}})
    pick, bloom = estimate(found, "4", "odd"), estimate(found, "4", "odd", Event.FULL_BLOOM)
    assert (pick.likely - bloom.likely).days == 145
    assert 0.98 * spread_d < pick.spread_d < math.hypot(bloom.spread_d, spread_d)


def test_a_pick_is_counted_from_one_that_own_records_alone_tell_of(tmp_path: Path) -> None:
    """An offset dates a cultivar where the household's own years date the other; on each day of a season anew."""
    notes = {
        "place.md": HERE["place.md"],
        "fruits/pear.md": note("name: Pear"),
        "cultivars/between.md": note("fruit: pear", "offset: {from: odd, value: 4 days after}"),
        "cultivars/late.md": note("fruit: pear", "offset: {from: between, value: 6 days after}"),
        "trees/4.md": note("cultivar: odd", "fruit: pear"),
        "trees/8.md": note("cultivar: late"),
        "records/a.csv": table("2025-09-10,4,first pick,,", "2026-09-14,4,first pick,,", "2027-09-02,4,first pick,,"),
    }
    holding = read(tmp_path, notes)
    before = SeasonModel(holding, NORTH, date(2027, 9, 1))
    after = SeasonModel(holding, NORTH, date(2027, 9, 2), before)
    odd, late = (estimate(before.season(), *of) for of in (("4", "odd"), ("8", "late")))
    assert (late.likely - odd.likely).days == 10
    assert late.spread_d > odd.spread_d
    moved = SeasonModel(holding, NORTH, date(2027, 9, 2)).season()
    assert estimate(moved, "8", "late").likely < late.likely
    assert after.season().dates == moved.dates


def test_the_households_word_on_the_usual_pick_is_a_date(tmp_path: Path) -> None:
    """A marker dates its cultivar, and those counted from it, where nothing is printed."""
    notes = {
        "place.md": note("zone: 7b", "usual picks: [{cultivar: Plain, pick: Aug 29}]"),
        "fruits/pear.md": note("name: Pear"),
        "cultivars/plain.md": note("fruit: pear"),
        "cultivars/late.md": note("fruit: pear", "offset: {from: plain, value: 10 days after}"),
        "trees/1.md": note("cultivar: plain"),
        "trees/2.md": note("cultivar: late"),
    }
    found = season_of(tmp_path, notes)
    assert estimate(found, "1", "plain").likely == date(2027, 8, 29)
    assert estimate(found, "2", "late").likely == date(2027, 9, 8)
    assert not estimate(found, "1", "plain").rough


def test_a_marker_moves_the_crop_that_it_is_of(tmp_path: Path) -> None:
    """Of two crops a year the one that the household names is picked near its day."""
    crops = {}
    for crop in ("breba", "main"):
        marked = note("zone: 9a", f"usual picks: [{{cultivar: Adam, crop: {crop}, pick: Jun 5}}]")
        found = season_of(tmp_path / crop, {**FIG, "place.md": marked})
        crops[crop] = {each: estimate(found, "5", "adam", crop=each).likely for each in ("breba", "main")}
    assert crops["breba"]["breba"] < date(2027, 6, 20)
    assert crops["breba"]["main"] > crops["main"]["main"]


def test_a_tree_of_which_nothing_is_known_says_what_to_note(tmp_path: Path) -> None:
    """No date is made up; there is a reason, and a remedy."""
    found = no_date(with_records(tmp_path, tree4=note("cultivar: unknown")), "4", "unknown")
    assert "unknown" in words_of(found.reason, IN_ENGLISH)
    assert "pick" in words_of(found.remedy, IN_ENGLISH)


def test_an_own_interval_gives_a_date_where_only_bloom_is_known(tmp_path: Path) -> None:
    """Bloom of the fruit and the household's own interval are enough."""
    notes = {
        **HERE,
        "fruits/quince.md": note(f"windows: [{{bloom: Apr 20, {VALLEY}}}]"),
        "trees/4.md": note("cultivar: seedling", "fruit: quince", "days from bloom: 140 days"),
    }
    found = estimate(season_of(tmp_path, notes), "4", "seedling")
    assert found.likely == date(2027, 4, 20) + timedelta(days=140)
    assert found.basis is Basis.MODEL


# Whose word counts


def test_a_pinned_day_stands_against_what_was_seen(tmp_path: Path) -> None:
    """What the household fixes by hand is not argued with, and its reason is kept."""
    pinned = note("cultivar: bosc", "pinned: [{pick: 2027-09-01, because: the club comes}]")
    found = estimate(with_records(tmp_path, "2027-08-20,1,first pick,,", tree1=pinned), "1", "bosc")
    assert (found.likely, found.spread_d, found.basis) == (date(2027, 9, 1), 0.0, Basis.PINNED)
    assert "the club comes" in words_of(found.reasons[0].why, IN_ENGLISH)


def test_a_pinned_day_beside_another_that_was_noted_is_a_clash(tmp_path: Path) -> None:
    """Both are shown, and the pick is over all the same; the same day is no clash."""
    pinned = note("cultivar: bosc", "pinned: [{pick: 2027-09-01}]")
    found = estimate(with_records(tmp_path / "a", "2027-08-20,1,first pick,,", tree1=pinned), "1", "bosc")
    same = estimate(with_records(tmp_path / "b", "2027-09-01,1,first pick,,", tree1=pinned), "1", "bosc")
    unseen = estimate(with_records(tmp_path / "c", tree1=pinned), "1", "bosc")

    assert (
        clash_words(IN_ENGLISH, found)
        == "The records say Fri 20 Aug: take out the day fixed by hand, or mend the record."
    )
    assert (found.seen, found.is_over, found.is_past) == (date(2027, 8, 20), True, False)
    assert (same.clash, same.is_over) == (None, True)
    assert (unseen.clash, unseen.is_over) == (None, False)


@pytest.mark.parametrize(
    ("as_of", "rows", "asked"),
    [
        (date(2027, 9, 1), (), ()),
        (date(2027, 9, 2), (), ("was looked for until Wed 1 Sep, and none is noted",)),
        (date(2027, 9, 2), ("2027-08-20,1,first pick,,",), ()),
        (date(2027, 9, 2), ("2027-06-20,1,no crop,,",), ()),
    ],
)
def test_a_pick_whose_time_is_over_is_asked_after(
    tmp_path: Path, as_of: date, rows: tuple[str, ...], asked: tuple[str, ...]
) -> None:
    """Unless it was noted, or there was none."""
    pinned = note("cultivar: bosc", "pinned: [{pick: 2027-09-01}]")
    notes = {**HERE, "trees/1.md": pinned, "records/a.csv": table(*rows)}
    model = SeasonModel(read(tmp_path, notes), NORTH, as_of)
    season = model.season()
    told = (overdue(one, season.of(one.bearing, Event.PICK), as_of) for one in model.subjects if one.tree.tag == "1")
    found = [words_of(odd, IN_ENGLISH) for odd in told if odd is not None]

    assert len(found) == len(asked)
    assert all(said.endswith(end) for said, end in zip(found, asked, strict=True))


def test_a_pinned_pick_leaves_bloom_alone(tmp_path: Path) -> None:
    """A pin holds for its own event."""
    pinned = note("cultivar: bosc", "pinned: [{pick: 2027-09-01}]")
    bloom = estimate(with_records(tmp_path, tree1=pinned), "1", "bosc", Event.FULL_BLOOM)
    assert bloom.basis is Basis.MODEL


def test_a_day_fixed_for_another_season_says_nothing_of_this_one(tmp_path: Path) -> None:
    """A pin is a date with its year."""
    pinned = note("cultivar: bosc", "pinned: [{pick: 2026-09-01}]")
    found = estimate(with_records(tmp_path, tree1=pinned), "1", "bosc")
    assert (found.basis, found.likely) == (Basis.MODEL, BOSC)


def test_what_was_seen_is_past(tmp_path: Path) -> None:
    """A noted day is shown as it is noted, as certain."""
    bloom = estimate(with_records(tmp_path, "2027-04-10,1,full bloom,,"), "1", "bosc", Event.FULL_BLOOM)
    assert (bloom.likely, bloom.spread_d, bloom.is_past) == (date(2027, 4, 10), 0.0, True)


def test_the_households_own_interval_counts_from_its_noted_bloom_to_the_day(tmp_path: Path) -> None:
    """The printed windows are not mixed in; only the width is the model's.

    It is no narrower than an interval is from year to year (5 days at least), and narrower than without the bloom.
    """
    tree = note("cultivar: bosc", "days from bloom: 132 days")
    before = estimate(with_records(tmp_path / "before", tree1=tree), "1", "bosc")
    found = estimate(with_records(tmp_path, "2027-04-10,1,full bloom,,", tree1=tree), "1", "bosc")
    assert (found.likely, found.basis) == (date(2027, 4, 10) + timedelta(days=132), Basis.STATED_INTERVAL)
    assert 5 <= found.spread_d < before.spread_d


def test_the_households_own_interval_pulls_before_bloom_is_noted(tmp_path: Path) -> None:
    """Without this year's bloom it is one more thing known, and the model decides."""
    tree = note("cultivar: bosc", "days from bloom: 125 days")
    found = estimate(with_records(tmp_path, tree1=tree), "1", "bosc")
    assert found.basis is Basis.MODEL
    assert date(2027, 4, 20) + timedelta(days=125) < found.likely < BOSC


# Sprays

SPRAYED = date(2027, 8, 26)


def test_no_picking_falls_before_the_label_allows(tmp_path: Path) -> None:
    """The window is cut at the first free day, and the page says why."""
    found = estimate(with_records(tmp_path, "2027-08-25,1,spray,14 days,", as_of=SPRAYED), "1", "bosc")
    assert (found.earliest, found.likely) == (date(2027, 9, 8), BOSC)
    assert "label" in clash_words(IN_ENGLISH, found)


def test_a_label_that_has_run_is_said_no_more(tmp_path: Path) -> None:
    """The days stay as they were; what is over warns of nothing."""
    rows = ("2027-08-25,1,spray,14 days,",)
    before, after = (
        estimate(with_records(tmp_path, *rows, as_of=day), "1", "bosc") for day in (SPRAYED, date(2027, 9, 9))
    )
    assert (after.earliest, after.clash) == (before.earliest, None)


def test_a_spray_moves_the_likely_day_where_it_must(tmp_path: Path) -> None:
    """A label's interval that runs past the likely day pushes it back."""
    found = estimate(with_records(tmp_path, "2027-08-25,1,spray,21 days,"), "1", "bosc")
    assert (found.earliest, found.likely) == (date(2027, 9, 15), date(2027, 9, 15))
    assert found.latest > found.likely
    assert found.basis is Basis.MODEL


def test_a_spray_goes_before_a_pin(tmp_path: Path) -> None:
    """Safety stands above what is fixed by hand, and the clash is shown."""
    pinned = note("cultivar: bosc", "pinned: [{pick: 2027-09-01}]")
    found = estimate(with_records(tmp_path, "2027-08-25,1,spray,14 days,", as_of=SPRAYED, tree1=pinned), "1", "bosc")
    assert (found.likely, found.earliest, found.basis) == (
        date(2027, 9, 8),
        date(2027, 9, 8),
        Basis.PINNED,
    )
    assert found.clash


def test_a_spray_goes_before_the_households_own_interval(tmp_path: Path) -> None:
    """An own interval from bloom is pushed back by the label like any other date."""
    tree = note("cultivar: bosc", "days from bloom: 132 days")
    rows = ("2027-04-10,1,full bloom,,", "2027-08-15,1,spray,30 days,")
    found = estimate(with_records(tmp_path, *rows, as_of=SPRAYED, tree1=tree), "1", "bosc")
    assert (found.likely, found.basis) == (date(2027, 9, 14), Basis.STATED_INTERVAL)
    assert found.clash


@pytest.mark.parametrize(
    "rows",
    [
        ("2027-08-25,1,spray,14 days,", "2027-08-20,1,spray,28 days,"),
        ("2027-08-20,,spray,28 days,", "2027-08-25,1,spray,14 days,"),
    ],
)
def test_of_several_sprays_the_last_to_run_out_counts(tmp_path: Path, rows: tuple[str, ...]) -> None:
    """Also where it was given to the whole place."""
    assert estimate(with_records(tmp_path, *rows), "1", "bosc").earliest == date(2027, 9, 17)


@pytest.mark.parametrize(
    "row",
    [
        "2026-08-25,1,spray,14 days,",
        "2027-08-25,2,spray,40 days,",
        "2027-06-01,1,spray,14 days,",
        "2026-12-20,1,spray,200 days,",
    ],
)
def test_a_spray_of_another_season_tree_or_time_changes_nothing(tmp_path: Path, row: str) -> None:
    """Only a spray on this tree whose interval reaches the window counts."""
    found = estimate(with_records(tmp_path, row), "1", "bosc")
    assert (found.likely, found.clash) == (BOSC, None)
    assert found.likely - found.earliest == found.latest - found.likely


def test_a_spray_late_last_season_counts_while_its_interval_runs(tmp_path: Path) -> None:
    """The label does not end with the season."""
    found = estimate(with_records(tmp_path, "2026-12-20,1,spray,280 days,"), "1", "bosc")
    assert found.earliest == date(2027, 9, 26)


def test_a_picking_that_was_made_is_not_moved_by_a_spray(tmp_path: Path) -> None:
    """What happened, happened."""
    rows = ("2027-08-25,1,spray,14 days,", "2027-08-30,1,first pick,,")
    found = estimate(with_records(tmp_path, *rows), "1", "bosc")
    assert (found.likely, found.basis) == (date(2027, 8, 30), Basis.RECORDED)


def test_a_spray_leaves_bloom_and_leaf_fall_alone(tmp_path: Path) -> None:
    """The label speaks of picking."""
    found = with_records(tmp_path, "2027-08-25,1,spray,120 days,")
    for event in (Event.FULL_BLOOM, Event.LEAF_FALL):
        assert estimate(found, "1", "bosc", event).not_before is None


# The crop


@pytest.mark.parametrize("row", ["2027,1,no crop,,frost at bloom", "2027-05-20,,no crop,,frost at bloom"])
def test_no_crop_takes_picking_out_and_leaves_the_tree(tmp_path: Path, row: str) -> None:
    """Said of one tree or of the whole place, with its note as the reason; bloom and leaf fall stay."""
    found = with_records(tmp_path, row)
    assert "no crop" in words_of(no_date(found, "1", "bosc").reason, IN_ENGLISH)
    assert "frost at bloom" in words_of(no_date(found, "1", "bosc").reason, IN_ENGLISH)
    assert not found.bears(Bearing("1", "bosc"))
    assert isinstance(dated(found, "1", "bosc", Event.LEAF_FALL), Estimate)
    assert Bearing("1", "bosc") in found.bearings


def test_no_crop_on_one_tree_leaves_the_others_theirs(tmp_path: Path) -> None:
    """Its twin is picked as usual."""
    found = with_records(tmp_path, "2027,1,no crop,,")
    assert estimate(found, "2", "bosc").likely == BOSC


def test_no_crop_last_year_is_past(tmp_path: Path) -> None:
    """Each season speaks for itself."""
    assert estimate(with_records(tmp_path, "2026,1,no crop,,"), "1", "bosc").likely == BOSC


def test_a_later_word_on_the_crop_takes_the_place_of_an_earlier_one(tmp_path: Path) -> None:
    """Some fruit was found after all."""
    found = with_records(tmp_path, "2027-05-01,1,no crop,,", "2027-06-20,1,light crop,,")
    assert estimate(found, "1", "bosc").likely < BOSC


@pytest.mark.parametrize("is_first", [True, False])
def test_a_word_on_one_trees_crop_goes_before_one_on_all(tmp_path: Path, is_first: bool) -> None:  # noqa: FBT001
    """Said of the same season or day, whichever stands first: frost took all but what hangs on this tree."""
    rows = ["2027,,no crop,,frost", "2027,1,light crop,,"]
    found = with_records(tmp_path, *(rows if is_first else reversed(rows)))
    assert estimate(found, "1", "bosc").likely < BOSC
    assert "no crop" in words_of(no_date(found, "2", "bosc").reason, IN_ENGLISH)


def test_a_part_crop_widens_the_window_and_moves_nothing(tmp_path: Path) -> None:
    """Where only some of the bloom set, often the late part, the day is less sure."""
    plain = estimate(season_of(tmp_path, HERE), "1", "bosc")
    found = estimate(with_records(tmp_path, "2027-05-20,1,part crop,,"), "1", "bosc")
    assert found.likely == plain.likely
    assert found.spread_d == pytest.approx(math.hypot(plain.spread_d, 3))


# Michigan State University Extension, on apples: a light crop ripens 3 to 4 days sooner than foretold, a heavy
# one 7 days later.
@pytest.mark.parametrize(("what", "days"), [("light crop", -3.5), ("heavy crop", 7.0)])
def test_the_size_of_the_crop_moves_its_ripening(tmp_path: Path, what: str, days: float) -> None:
    """Few fruits ripen sooner, many later, and the reason says by how much."""
    found = estimate(with_records(tmp_path, f"2027-06-20,1,{what},,"), "1", "bosc")
    assert abs((found.likely - BOSC).days - days) <= 0.5
    assert moved_by(found.reasons, what.partition(" ")[0]) == days


@pytest.mark.parametrize(("year", "bears"), [(2029, False), (2028, False), (2027, True), (2020, True)])
def test_a_young_tree_bears_from_the_year_it_is_said_to(tmp_path: Path, year: int, bears: bool) -> None:  # noqa: FBT001
    """Before that year no crop is looked for, and the page says until when."""
    found = with_records(tmp_path, tree1=note("cultivar: bosc", f"bears from: {year}"))
    assert found.bears(Bearing("1", "bosc")) is bears
    if not bears:
        assert str(year) in words_of(no_date(found, "1", "bosc").reason, IN_ENGLISH)


# Trees that go and come


def test_a_removed_tree_has_no_dates(tmp_path: Path) -> None:
    """From its removal it is left out; on the day before it still stood."""
    holding = read(tmp_path, {**HERE, "records/a.csv": table("2027-03-01,1,removed,,")})
    after = SeasonModel(holding, NORTH, date(2027, 3, 1)).season()
    before = SeasonModel(holding, NORTH, date(2027, 2, 28)).season()
    assert Bearing("1", "bosc") not in after.bearings
    assert Bearing("1", "bosc") in before.bearings
    assert Bearing("2", "bosc") in after.bearings


def test_a_later_line_means_that_a_new_tree_stands_in_its_place(tmp_path: Path) -> None:
    """The tag is used again."""
    found = with_records(tmp_path, "2020-03-01,1,removed,,", "2021-03-20,1,note,,planted a new one")
    assert estimate(found, "1", "bosc").likely == BOSC


def test_what_the_former_tree_did_is_not_the_new_ones(tmp_path: Path) -> None:
    """Records from before a removal don't move the tree that was planted in its place."""
    rows = ("2015-10-08,1,first pick,,", "2020-03-01,1,removed,,", "2021-03-20,1,note,,planted a new one")
    assert estimate(with_records(tmp_path, *rows), "1", "bosc").likely == BOSC


def test_a_bloom_of_the_former_tree_is_not_this_seasons_of_the_new_one(tmp_path: Path) -> None:
    """A tree taken out and another planted in the same season."""
    rows = ("2027-02-01,1,full bloom,,", "2027-03-01,1,removed,,", "2027-03-20,1,note,,planted a new one")
    assert estimate(with_records(tmp_path, *rows), "1", "bosc", Event.FULL_BLOOM).basis is Basis.MODEL


@pytest.mark.parametrize(
    "row",
    [
        "2026-11-30,1,spray,14 days,",
        "2027-01-20,1,jars,7 pints,",
        "2027-01-20,1,taken out,,",
        "2027-03-01,,spray,14 days,",
        "2027-03-01,2,note,,pruned",
    ],
)
def test_a_line_of_the_day_of_the_fruit_or_of_other_trees_is_no_new_tree(tmp_path: Path, row: str) -> None:
    """Its fruit is eaten long after a tree is gone."""
    rows = ("2026-09-10,1,first pick,,", "2026-11-30,1,removed,,", row)
    assert Bearing("1", "bosc") not in with_records(tmp_path, *rows).bearings


# Several crops, several limbs


def test_two_crops_a_year_are_dated_apart(tmp_path: Path) -> None:
    """Each has its own day and its own record; where no bloom is known, that is said once for both."""
    notes = {**FIG, "records/a.csv": "date,tree,crop,what\n2027-06-20,5,breba,first pick\n"}
    found = season_of(tmp_path, notes)
    breba, main = estimate(found, "5", "adam", crop="breba"), estimate(found, "5", "adam", crop="main")
    assert (breba.likely, breba.basis) == (date(2027, 6, 20), Basis.RECORDED)
    assert main.basis is Basis.MODEL
    assert date(2027, 8, 20) < main.likely < date(2027, 9, 1)
    assert found.bearings == (Bearing("5", "adam", "breba"), Bearing("5", "adam", "main"))
    undated = [words_of(one.what, IN_ENGLISH) for one in expand(found, follow(found)).undated]
    assert [what for what in undated if what.startswith("full bloom")] == ["full bloom of Adam (5)"]


def test_no_crop_can_be_said_of_one_crop_alone(tmp_path: Path) -> None:
    """Frost took the breba crop; the main crop comes."""
    found = season_of(tmp_path, {**FIG, "records/a.csv": "date,tree,crop,what\n2027,5,breba,no crop\n"})
    assert words_of(no_date(found, "5", "adam", crop="breba").reason, IN_ENGLISH).startswith("no crop")
    assert estimate(found, "5", "adam", crop="main").likely == date(2027, 9, 1)


def test_limbs_of_one_tree_have_dates_of_their_own(tmp_path: Path) -> None:
    """Each cultivar on a tree is picked in its time; a record names its limb."""
    records = "date,tree,cultivar,what\n2027-08-30,7,Bosc,first pick\n"
    notes = {**HERE, "trees/7.md": note("limbs: [bosc, comice]"), "records/a.csv": records}
    found = season_of(tmp_path, notes)
    bosc, comice = estimate(found, "7", "bosc"), estimate(found, "7", "comice")
    assert (bosc.likely, bosc.basis) == (date(2027, 8, 30), Basis.RECORDED)
    assert comice.basis is Basis.MODEL
    assert bosc.likely < comice.likely < BOSC + timedelta(days=14)
    assert comice.spread_d < estimate(found, "3", "comice").spread_d


def test_what_moves_a_limb_is_told_of_its_own_tree_apart_from_others(tmp_path: Path) -> None:
    """The pick of a tree's other limb is not that of another tree, of which there may be none; the days add up."""
    one = {name: text for name, text in HERE.items() if not name.startswith("trees/")}
    one["trees/7.md"] = note("limbs: [bosc, anjou]")
    rows = "date,tree,cultivar,what\n2027-08-20,7,bosc,first pick\n2027-04-08,7,bosc,full bloom\n"
    alone = estimate(season_of(tmp_path / "alone", {**one, "records/a.csv": rows}), "7", "anjou")
    assert moved_by(alone.reasons, "of another limb of this tree") < -2
    assert not moved_by(alone.reasons, "other trees")
    assert abs((alone.likely - BOSC).days - sum(reason.days or 0.0 for reason in alone.reasons)) <= 0.5 + 1e-6
    of_another = "date,tree,cultivar,what\n2027-08-20,1,,first pick\n"
    beside = {**one, "trees/1.md": note("cultivar: bosc"), "records/a.csv": of_another}
    found = estimate(season_of(tmp_path / "beside", beside), "7", "anjou")
    assert moved_by(found.reasons, "of other trees") < -2
    assert not moved_by(found.reasons, "of another limb")


def test_a_pin_can_hold_for_one_limb(tmp_path: Path) -> None:
    """The other limbs keep their own dates."""
    tree = note("limbs: [bosc, comice]", "pinned: [{pick: 2027-09-01, cultivar: comice}]")
    found = season_of(tmp_path, {**HERE, "trees/7.md": tree})
    assert estimate(found, "7", "comice").basis is Basis.PINNED
    assert estimate(found, "7", "bosc").basis is Basis.MODEL


@pytest.mark.parametrize("is_first", [True, False])
def test_a_pin_of_one_limb_goes_before_that_of_its_whole_tree(tmp_path: Path, is_first: bool) -> None:  # noqa: FBT001
    """Whichever is written first, what is told of the one limb holds for it, and of the tree for the others."""
    pins = ["{pick: 2027-09-20, cultivar: comice}", "{pick: 2027-09-01}"]
    tree = note("limbs: [bosc, comice]", f"pinned: [{', '.join(pins if is_first else reversed(pins))}]")
    found = season_of(tmp_path, {**HERE, "trees/7.md": tree})
    assert estimate(found, "7", "comice").likely == date(2027, 9, 20)
    assert estimate(found, "7", "bosc").likely == date(2027, 9, 1)


# The calendar


@pytest.mark.parametrize("year", [2027, 2028, 2100])
def test_leap_years_move_no_date(tmp_path: Path, year: int) -> None:
    """Printed days, noted days and intervals fall on the same days with and without 29 February."""
    season = WorkingYear(year=year)
    tree = note("cultivar: bosc", "days from bloom: 132 days")
    rows = [f"{year}-02-28,1,full bloom,,"]
    found = with_records(tmp_path, *rows, year=season, tree1=tree)
    assert estimate(found, "1", "bosc").likely == date(year, 2, 28) + timedelta(days=132)
    plain = season_of(tmp_path / "plain", HERE, season)
    assert estimate(plain, "1", "bosc").likely == date(year, 9, 8)


def test_a_bloom_on_the_leap_day_is_kept(tmp_path: Path) -> None:
    """29 February is a day like any other."""
    season = WorkingYear(year=2028)
    found = with_records(tmp_path, "2028-02-29,1,full bloom,,", year=season)
    assert estimate(found, "1", "bosc", Event.FULL_BLOOM).likely == date(2028, 2, 29)


def test_a_southern_season_runs_over_new_year(tmp_path: Path) -> None:
    """Bloom in October and picking in March belong to one season, named for the harvest."""
    notes = {
        **HERE,
        "place.md": note("zone: 7b", "latitude: 42 S", "elevation: 200 m"),
        "trees/1.md": note("cultivar: bosc", "days from bloom: 132 days"),
        "records/a.csv": table("2026-10-20,1,full bloom,,"),
    }
    notes["fruits/pear.md"] = note(f"windows: [{{bloom: Apr 20, {VALLEY}}}]")
    found = season_of(tmp_path, notes, SOUTH)
    pick = estimate(found, "1", "bosc")
    assert (pick.likely, pick.basis) == (date(2027, 3, 1), Basis.STATED_INTERVAL)
    assert estimate(found, "2", "bosc").likely.year == 2027
    assert estimate(found, "2", "bosc", Event.FULL_BLOOM).likely.year == 2026


@pytest.mark.parametrize("event", list(Event))
def test_a_tree_that_is_planted_later_has_no_season_yet(tmp_path: Path, event: Event) -> None:
    """Neither bloom nor pick nor leaf fall before its year; from then on the dates of its kind."""
    windows = "[{pick: Sep 1, place: here}, {bloom: Apr 20, place: here}]"
    kind = note("name: Bosc", "fruit: pear", f"windows: {windows}")
    notes = {
        "place.md": note("name: Home", "latitude: 42 N"),
        "fruits/pear.md": note("name: Pear"),
        "cultivars/bosc.md": kind,
        "trees/A.md": note("cultivar: Bosc", "planted: 2029"),
    }
    found = no_date(season_of(tmp_path, notes), "A", "bosc", event)

    assert words_of(found.reason, IN_ENGLISH) == "it is planted only in 2029"
    assert "planted" not in str(
        season_of(tmp_path / "later", notes, WorkingYear(year=2029)).of(Bearing("A", "bosc"), event)
    )
