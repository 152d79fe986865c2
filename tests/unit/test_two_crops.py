"""Trees that bear twice a year: each crop has its own bloom, and nothing of the one dates the other."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from one_tree import task
from season_notes import dated, estimate, note, read, season_of

from firmripe.doubts import doubts_of
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.plan import make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.pages.asks import all_asks
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.tree import tree_page
from firmripe.publish.paths import Paths
from firmripe.reading.warnings import warnings_of
from firmripe.season.estimate import Basis, Estimate, NoDate
from firmripe.tongue import IN_ENGLISH
from firmripe.wording.names import name_of

FAR = "place: far, mark: M, source: memory"
BLOOMS = (("2026-02-10", "2026-08-15"), ("2027-02-12", "2027-08-17"))


def lines(*rows: str) -> str:
    """Return a table of records that name crops."""
    return "\n".join(["date,tree,crop,what", *rows, ""])


NOTES = {
    "place.md": note("latitude: 2 N", "longitude: 78 W", "elevation: 2400 m"),
    "fruits/apple.md": note("name: Apple"),
    "cultivars/anna.md": note(
        "name: Anna", "fruit: apple", "crops: [early rains, late rains]", "days from bloom: 100 days"
    ),
    "trees/A.md": note("cultivar: Anna"),
    "records/a.csv": lines(
        *(f"{first},A,early rains,full bloom\n{second},A,late rains,full bloom" for first, second in BLOOMS),
        "2026-05-22,A,early rains,first pick",
        "2026-11-24,A,late rains,first pick",
    ),
}


@pytest.mark.parametrize("is_first", [True, False])
def test_an_interval_of_one_crop_goes_before_one_of_all(tmp_path: Path, is_first: bool) -> None:  # noqa: FBT001
    """Whichever is written first: the crop that it names is counted by it, on own records and on a printed bloom."""
    both = ["100 days", "{crop: late rains, value: 80 days}"]
    days = f"days from bloom: [{', '.join(both if is_first else reversed(both))}]"
    kind = ["name: Anna", "fruit: apple", "crops: [early rains, late rains]", days]
    blooms = lines("2027-02-12,A,early rains,full bloom", "2027-08-17,A,late rains,full bloom")
    windows = (
        "windows: [{bloom: Feb 12, place: here, crop: early rains}, {bloom: Aug 17, place: here, crop: late rains}]"
    )
    home = {**NOTES, "place.md": note("name: here", "latitude: 2 N", "longitude: 78 W", "elevation: 2400 m")}
    for number, more in enumerate(
        ({"records/a.csv": blooms, "cultivars/anna.md": note(*kind)}, {"cultivars/anna.md": note(*kind, windows)})
    ):
        season = season_of(tmp_path / str(number), {**home, "records/a.csv": lines(), **more})
        picks = [estimate(season, "A", "anna", crop=crop).likely for crop in ("early rains", "late rains")]
        assert picks == [date(2027, 5, 23), date(2027, 11, 5)]


def test_own_days_of_one_crop_are_not_the_others(tmp_path: Path) -> None:
    """Told in the tree's note of the late rains alone, they date those; the early ones go by their kind."""
    tree = note("cultivar: Anna", "days from bloom: {crop: late rains, value: 80 days}")
    season = season_of(tmp_path, {**NOTES, "trees/A.md": tree})
    early, late = (estimate(season, "A", "anna", crop=crop) for crop in ("early rains", "late rains"))
    assert (late.basis, late.likely) == (Basis.STATED_INTERVAL, date(2027, 11, 5))
    assert early.basis is Basis.MODEL
    assert abs((early.likely - date(2027, 5, 23)).days) <= 2


def test_own_days_are_of_a_crop_that_the_tree_bears(tmp_path: Path) -> None:
    """The hint names its crops."""
    tree = note("cultivar: Anna", "days from bloom: {crop: rains, value: 80 days}")
    with pytest.raises(FaultyNotes) as faulty:
        season_of(tmp_path, {**NOTES, "trees/A.md": tree})
    (problem,) = faulty.value.problems
    assert (problem.where.line, problem.message) == (3, 'this tree has no crop "rains"')
    assert problem.hint == "write early rains or late rains"


def test_each_crop_has_its_own_bloom_and_pick(tmp_path: Path) -> None:
    """What was noted of one crop is not shown as the other's, in the season itself and in the next."""
    season = season_of(tmp_path, NOTES)
    blooms = [estimate(season, "A", "anna", Event.FULL_BLOOM, crop) for crop in ("early rains", "late rains")]
    assert [bloom.likely for bloom in blooms] == [date(2027, 2, 12), date(2027, 8, 17)]
    assert all(bloom.is_past for bloom in blooms)
    picks = [estimate(season, "A", "anna", crop=crop).likely for crop in ("early rains", "late rains")]
    assert [
        abs((pick - day).days) < 8 for pick, day in zip(picks, (date(2027, 5, 24), date(2027, 11, 26)), strict=True)
    ]
    after = make_plan(read(tmp_path, NOTES), 2028, date(2028, 1, 10)).season
    told = [
        estimate(after, "A", "anna", event, crop)
        for event in (Event.FULL_BLOOM, Event.PICK)
        for crop in ("early rains", "late rains")
    ]
    near = (date(2028, 2, 11), date(2028, 8, 16), date(2028, 5, 23), date(2028, 11, 25))
    assert [abs((one.likely - day).days) < 10 for one, day in zip(told, near, strict=True)] == [True] * 4


def test_each_bloom_has_its_own_jobs(tmp_path: Path) -> None:
    """A job that hangs on bloom stands once for each crop, under its name, and on the crop's own day."""
    notes = {**NOTES, **task("each: tree", "when: petal fall")}
    calendar = make_plan(read(tmp_path, notes), 2027, date(2027, 1, 5)).calendar
    found = [(entry.crop, entry.span.first.month, name_of(IN_ENGLISH, entry)) for entry in calendar.entries]
    assert [crop for crop, *_ in found] == ["early rains", "late rains"]
    assert [month for _, month, _ in found] == [2, 8]
    assert "late rains crop" in found[1][2]
    assert len({entry.identity for entry in calendar.entries}) == 2


def test_a_date_that_names_no_crop_is_the_first_ones(tmp_path: Path) -> None:
    """What is printed of a fruit that bears once elsewhere does not put two crops on one day."""
    apple = note("name: Apple", "windows: [{bloom: Apr 20, zone: 7b}, {pick: Aug 20, zone: 7b}]")
    season = season_of(tmp_path, {**NOTES, "fruits/apple.md": apple, "records/a.csv": lines()})
    assert isinstance(dated(season, "A", "anna", Event.PICK, "early rains"), Estimate)
    for event in (Event.FULL_BLOOM, Event.PICK):
        assert isinstance(dated(season, "A", "anna", event, "late rains"), NoDate)


def test_one_date_of_a_crop_gives_the_other_of_it(tmp_path: Path) -> None:
    """A bloom noted of a crop dates its pick by the interval, and a pick its bloom."""
    only_bloom = {**NOTES, "records/a.csv": lines("2026-08-15,A,late rains,full bloom")}
    pick = estimate(season_of(tmp_path / "a", only_bloom), "A", "anna", crop="late rains")
    assert abs((pick.likely - date(2027, 11, 23)).days) <= 3
    only_pick = {**NOTES, "records/a.csv": lines("2026-11-24,A,late rains,first pick")}
    bloom = estimate(season_of(tmp_path / "b", only_pick), "A", "anna", Event.FULL_BLOOM, "late rains")
    assert abs((bloom.likely - date(2027, 8, 16)).days) <= 3


def test_a_bloom_of_a_tree_with_several_crops_names_one(tmp_path: Path) -> None:
    """Without its crop nobody could say which of two blooms a line means, so it is asked for."""
    with pytest.raises(FaultyNotes) as faulty:
        read(tmp_path, {**NOTES, "records/a.csv": lines("2027-02-10,A,,full bloom")})
    (problem,) = faulty.value.problems
    assert 'bears several crops a year, and "full bloom" does not say which' in problem.message
    assert problem.hint == "write early rains or late rains in the column crop"


def test_two_blooms_of_two_crops_are_no_doubt(tmp_path: Path) -> None:
    """Two full blooms of one season are odd only where they are one crop's, and so is a bloom after a pick."""
    assert [doubt for doubt in doubts_of(read(tmp_path, NOTES), date(2027, 12, 1)) if "bloom" in doubt.message] == []


def test_a_fixed_date_says_of_which_crop(tmp_path: Path) -> None:
    """One day fixed for both crops would put them on the same day."""
    with pytest.raises(FaultyNotes) as faulty:
        read(tmp_path, {**NOTES, "trees/A.md": note("cultivar: Anna", "pinned: [{pick: 2027-05-20}]")})
    (problem,) = faulty.value.problems
    assert problem.message == "this tree bears several crops a year: which is fixed?"
    assert problem.hint == "add crop: early rains or late rains"


def test_a_limb_that_bears_once_needs_no_crop(tmp_path: Path) -> None:
    """Only lines of the limb that bears twice are asked which crop they mean."""
    notes = {
        **NOTES,
        "cultivars/dorsett.md": note("name: Dorsett", "fruit: apple"),
        "trees/A.md": note("limbs: [Anna, Dorsett]"),
        "records/a.csv": "date,tree,cultivar,crop,what\n2027-06-01,A,Dorsett,,first pick\n",
    }
    assert read(tmp_path, notes).records[0].crop == ""


def test_a_household_names_the_crops_of_the_shelf(tmp_path: Path) -> None:
    """The shelf's dates of a crop are those of what the household calls it; another number of crops is told."""
    shelf = tmp_path / "shelf"
    (shelf / "fruits").mkdir(parents=True)
    (shelf / "sources.md").write_text(note("sources:", "  memory: {author: Nobody}"))
    (shelf / "places.md").write_text(note("places:", "  far: {name: Far, zone: {value: 9a, mark: M, source: memory}}"))
    windows = "windows: [{pick: Jul 1, place: here, crop: breba}, {pick: Sep 10, place: here, crop: main}]"
    (shelf / "fruits" / "fig.md").write_text(
        note("name: Fig", "crops: [breba, main]", windows.replace("place: here", FAR))
    )
    notes = {"place.md": NOTES["place.md"], "trees/F.md": note("fruit: fig")}
    season = season_of(tmp_path, {**notes, "fruits/fig.md": note("crops: [brevas, higos]")})
    assert [bearing.crop for bearing in season.bearings] == ["brevas", "higos"]
    picks = [season.of(bearing, Event.PICK) for bearing in season.bearings]
    assert all(isinstance(pick, Estimate) for pick in picks)
    with pytest.raises(FaultyNotes, match="the shelf tells of 2 crops: breba or main"):
        read(tmp_path, {**notes, "fruits/fig.md": note("crops: [higos]")})


def test_check_asks_for_no_bloom_that_nobody_sees(holding_of: Callable[..., Holding]) -> None:
    """Of a fig it asks for the first pick alone, of a pear for the bloom as well."""
    trees = {"trees/F.md": note("fruit: fig"), "trees/P.md": note("fruit: european-pear")}
    found = warnings_of(holding_of({"place.md": note("name: Home"), **trees}), date(2027, 4, 1))
    hints = [doubt.hint for doubt in found if "leans on" in doubt.message]

    assert hints == ["note its first pick in records/", "note its bloom and its first pick in records/"]


def test_the_line_to_send_is_of_the_crop_that_is_next(holding_of: Callable[..., Holding]) -> None:
    """Its early figs are picked to the last: what comes next is the first pick of the main crop."""
    rows = ["2027-07-20,F,breba,first pick", "2027-07-28,F,breba,last pick", "2027-08-01,F,breba,used up"]
    notes = {"place.md": note("name: Home"), "trees/F.md": note("fruit: fig"), "records/2027.csv": lines(*rows)}
    plan = make_plan(holding_of(notes), 2027, date(2027, 8, 3))
    page = tree_page(PageContext(plan, Paths(plan), "", set()), plan.holding.tree("F"))

    assert page.note is not None
    assert page.note.line == "2027-08-03,F/main,first pick,"


def test_of_a_tree_noted_to_bear_nothing_no_pick_is_to_be_sent(holding_of: Callable[..., Holding]) -> None:
    """Its off year is noted: the line to send is a free one, and no first pick."""
    notes = {"trees/P.md": note("fruit: european-pear"), "records/a.csv": lines("2027,P,,no crop")}
    plan = make_plan(holding_of({"place.md": note("name: Home"), **notes}), 2027, date(2027, 9, 3))
    page = tree_page(PageContext(plan, Paths(plan), "", set()), plan.holding.tree("P"))

    assert page.note is not None
    assert page.note.line.startswith("2027-09-03,P,note")


def test_a_cultivar_that_tells_of_one_crop_leans_on_its_fruit_for_the_other(tmp_path: Path) -> None:
    """Whichever crop it tells of, by a window or by the days from bloom: the fruit's other crop keeps its date."""
    there = "zone: 6b, latitude: 42 N, longitude: 74 W, elevation: 300 ft"
    windows = f"windows: [{{pick: Jun 20, {there}, crop: breba}}, {{pick: Sep 1, {there}, crop: main}}]"
    place = note("zone: 6b", "latitude: 42 N", "longitude: 74 W", "elevation: 300 ft")
    told = {"place.md": place, "trees/A.md": note("cultivar: Ours")}
    told["fruits/gate-fruit.md"] = note("name: Gate fruit", "crops: [breba, main]", windows)

    def picks(*lines: str) -> list[date | None]:
        notes = {**told, "cultivars/ours.md": note("name: Ours", "fruit: gate-fruit", *lines)}
        season = season_of(tmp_path, notes)
        found = [dated(season, "A", "ours", Event.PICK, crop) for crop in ("breba", "main")]
        return [one.likely if isinstance(one, Estimate) else None for one in found]

    of_fruit = picks()
    assert of_fruit[0] is not None
    assert of_fruit[1] is not None
    assert of_fruit[0] < date(2027, 7, 10) < of_fruit[1]
    assert picks("windows: [{pick: Sep 15, place: here, crop: main}]") == [of_fruit[0], date(2027, 9, 15)]
    assert picks("windows: [{pick: Jul 4, place: here, crop: breba}]") == [date(2027, 7, 4), of_fruit[1]]
    assert picks("windows: [{pick: Jul 4, place: here}]") == [date(2027, 7, 4), of_fruit[1]]
    both = picks("windows: [{pick: Jul 4, place: here, crop: breba}, {pick: Sep 15, place: here, crop: main}]")
    assert both == [date(2027, 7, 4), date(2027, 9, 15)]


def test_each_tree_of_a_round_has_its_own_line_to_answer(holding_of: Callable[..., Holding]) -> None:
    """Two figs are one round of picking: whether each was picked is answered by a line with its own tag."""
    trees = {f"trees/{tag}.md": note("fruit: fig") for tag in ("F", "G")}
    place = note("name: Home", "latitude: 38 N", "longitude: 1 W", "elevation: 20 m")
    plan = make_plan(holding_of({"place.md": place, **trees}), 2027, date(2027, 8, 20))
    asks = all_asks(PageContext(plan, Paths(plan), "", set()))
    sent = {(ask.tree.text, ask.note.line) for ask in asks if ask.note is not None}

    assert sent == {(tag, f"2027-08-20,{tag}/{crop},first pick,") for tag in ("F", "G") for crop in ("breba", "main")}
