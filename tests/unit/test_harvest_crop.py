"""How much a tree gives, in how many pickings and of which grades."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from one_tree import plan_of_notes
from season_notes import note, table

from firmripe.harvest.crop import Crop, Unweighed
from firmripe.harvest.grades import percents, why_not
from firmripe.harvest.lots import Lot
from firmripe.harvest.passes import usual_without_days
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import POUND, Grade, Weight, parse_container, parse_yield, read_amount
from firmripe.problems import Unreadable, Where
from firmripe.publish.pages.pack_outs import pack_outs
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH, Tongue
from firmripe.wording import words_of
from firmripe.wording.holding import weight_words

HARD = ("name: Hardpear", "fruit: pear", "counter: 5 days")
BUSHELS = ("yield: [3-4 bu, 1 bu]", "weight per container: [50 lb a bushel]")


def lot_of(
    top: Path,
    *rows: str,
    kind: tuple[str, ...] = (),
    tree: tuple[str, ...] = (),
    as_of: date = date(2027, 8, 1),
) -> Lot:
    """Return the lot of one tree to be picked on 1 September 2027, with these records."""
    notes = {
        "cultivars/hardpear.md": note(*HARD, *kind),
        "trees/A.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-01}]", *tree),
        "records/2027.csv": table(*rows),
    }
    return plan_of_notes(top, notes, as_of=as_of).lots[Bearing("A", "hardpear")]


def pounds(lot: Lot) -> tuple[float, float]:
    """Return the expected crop in pounds."""
    assert isinstance(lot.crop, Crop), lot.crop
    return float(lot.crop.weight.low / POUND), float(lot.crop.weight.high / POUND)


OWN = ("2025-09-01,A,pick,40 lb,", "2026-09-01,A,first pick,30 lb,", "2026-09-05,A,last pick,60 lb,")


def test_own_weights_go_before_everything(tmp_path: Path) -> None:
    """The least and the most of one's own seasons, whatever is printed, counted or written in the note."""
    lot = lot_of(tmp_path, *OWN, kind=(*BUSHELS, "weight per fruit: 6 oz"), tree=("crop: 160 fruits",))

    assert pounds(lot) == (40, 90)
    assert isinstance(lot.crop, Crop)
    assert words_of(lot.crop.reasons[0].why, IN_ENGLISH) == "Own weights: 40 lb in 2025, 90 lb in 2026"


def test_of_one_day_a_trees_own_word_goes_before_the_places(tmp_path: Path) -> None:
    """Wherever it stands in the table; a later word of the place goes before an earlier one of the tree."""
    light, heavy = "2027-06-10,,light crop,,", "2027-06-10,A,heavy crop,,"
    assert (
        pounds(lot_of(tmp_path / "1", *OWN, heavy, light))
        == pounds(lot_of(tmp_path / "2", *OWN, light, heavy))
        == (65, 90)
    )
    assert pounds(lot_of(tmp_path / "3", *OWN, heavy, "2027-07-10,,light crop,,")) == (0, 65)


def test_one_season_alone_is_no_certainty(tmp_path: Path) -> None:
    """Half as much less or more is thought possible, so that no bare number stands there."""
    assert pounds(lot_of(tmp_path, OWN[0])) == (20, 60)


def test_a_season_with_a_picking_that_nobody_weighed_does_not_count(tmp_path: Path) -> None:
    """A part of the crop is not the crop."""
    assert pounds(lot_of(tmp_path, *OWN, "2024-09-01,A,first pick,9 lb,", "2024-09-04,A,last pick,,")) == (40, 90)


@pytest.mark.parametrize(
    ("row", "range_lb"),
    [
        ("2027-06-10,A,light crop,,", (0, 65)),
        ("2027-06-10,,light crop,,", (0, 65)),
        ("2026-06-10,,light crop,,", (40, 90)),
        ("2027-06-10,A,part crop,1/5,", (8, 18)),
        ("2027-06-10,A,part crop,20 %,", (8, 18)),
        ("2027-06-10,A,part crop,,", (0, 65)),
        ("2027-06-10,A,heavy crop,,", (65, 90)),
        ("2026-06-10,A,light crop,,", (40, 90)),
    ],
)
def test_what_is_said_of_the_crop_takes_half_the_range(tmp_path: Path, row: str, range_lb: tuple[float, float]) -> None:
    """A light crop gives the middle at most, a heavy one at least that, said of the tree or of the whole place.

    Last year's word is last year's.
    """
    assert pounds(lot_of(tmp_path, *OWN, row)) == range_lb


def test_a_count_times_the_weight_of_one(tmp_path: Path) -> None:
    """Without own weights, this season's count; the note's own comes after it."""
    kind = (*BUSHELS, "weight per fruit: 6-8 oz")

    assert pounds(lot_of(tmp_path / "a", "2027-06-20,A,set,160 fruits,", kind=kind, tree=("crop: 20 lb",))) == (60, 80)
    assert pounds(lot_of(tmp_path / "b", kind=kind, tree=("crop: 80 fruits",))) == (30, 40)
    assert pounds(lot_of(tmp_path / "c", kind=BUSHELS, tree=("crop: 20-30 lb",))) == (20, 30)


def test_a_printed_yield_stays_a_range_and_counts_trees(tmp_path: Path) -> None:
    """Where the size of the tree is not told, all printed sizes are possible, for each of a row of trees."""
    assert pounds(lot_of(tmp_path, kind=BUSHELS, tree=("count: 2",))) == (100, 400)


def test_without_any_figure_nothing_is_made_up(tmp_path: Path) -> None:
    """Then the lot has no weight, and says why."""
    lot = lot_of(tmp_path)

    assert isinstance(lot.crop, Unweighed)
    assert [batch.weight for batch in lot.batches] == [None]


def test_what_an_earlier_tree_gave_is_not_asked(tmp_path: Path) -> None:
    """A tag goes to the tree that stands in the place now."""
    lot = lot_of(tmp_path, OWN[0], "2025-11-09,A,removed,,", "2026-04-19,A,note,,new tree")

    assert isinstance(lot.crop, Unweighed)


# Pack-out


PACKED = (
    "2026-09-01,A,pick,30 lb keepers + 10 lb culls,",
    "2027-09-01,A,first pick,20 lb keepers + 10 lb seconds,",
    "2027-09-04,A,last pick,3 lb use now,",
    "2027-09-05,A,note,,dry",
)


def test_pack_out_is_told_beside_the_seasons_before(tmp_path: Path) -> None:
    """33 lb sorted in 2027, 40 in 2026: on the page of the harvest now, on that of the review a year later."""
    now = plan_of_notes(tmp_path, {"records/2027.csv": table(*PACKED)}, as_of=date(2027, 9, 6))
    later = plan_of_notes(tmp_path, {"records/2027.csv": table(*PACKED)}, year=2028, as_of=date(2028, 3, 1))

    assert pack_outs(now, 2027) == (
        (
            "Hardpear",
            "61 % keepers, 30 % seconds, 9 % use now, of 33 lb sorted; in seasons before 75 % keepers, 25 % culls",
        ),
    )
    assert pack_outs(now, 2026) == (("Hardpear", "75 % keepers, 25 % culls, of 40 lb sorted"),)
    for theme in ("box-tag", "plain"):
        assert "61 % keepers" in make_site(now, theme_folder(theme))["harvest.html"].decode()
    assert "61 % keepers" in make_site(later, theme_folder("box-tag"))["review.html"].decode()


def test_what_nobody_sorted_has_no_pack_out(tmp_path: Path) -> None:
    """A weight alone says nothing of grades."""
    made = plan_of_notes(tmp_path, {"records/2027.csv": table("2027-09-01,A,pick,30 lb,")}, as_of=date(2027, 9, 6))

    assert pack_outs(made, 2027) == ()
    assert "Pack-out" not in make_site(made, theme_folder("box-tag"))["harvest.html"].decode()


@given(st.dictionaries(st.sampled_from(Grade), st.fractions(0, 500)))
def test_percents_add_up(kgs: dict[Grade, Fraction]) -> None:
    """To 100, each less than one away from its exact share; nothing of nothing."""
    found, whole = percents(kgs), sum(kgs.values())

    assert sum(found.values()) == (100 if whole else 0)
    assert all(abs(percent - 100 * kgs[grade] / whole) < 1 for grade, percent in found.items())


# Several limbs, several crops

LIMBS = {
    "cultivars/hardpear.md": note(*HARD, "weight per fruit: 200 g"),
    "cultivars/soft.md": note("name: Softpear", "fruit: pear", "counter: 3 days", "weight per fruit: 200 g"),
    "trees/A.md": note(
        "limbs: [Hardpear, Softpear]",
        "pinned: [{pick: 2027-09-20, cultivar: Hardpear}, {pick: 2027-09-01, cultivar: Softpear}]",
    ),
}


@pytest.mark.parametrize(
    ("rows", "kg"),
    [
        (("2027-06-01,A,thinned,100 fruits,",), 20),
        (("2027-06-01,A,set,100 fruits,", "2027-07-01,A,lost,4 kg,hail"), 16),
    ],
)
def test_what_is_told_of_a_tree_of_several_kinds_is_told_once(tmp_path: Path, rows: tuple[str, ...], kg: int) -> None:
    """A hundred fruits counted on two limbs are a hundred, not two, and four kilograms lost of both are four."""
    lots = plan_of_notes(tmp_path, {**LIMBS, "records/2027.csv": table(*rows)}, as_of=date(2027, 8, 1)).lots
    crops = [lot.crop.weight for lot in lots.values() if isinstance(lot.crop, Crop)]

    assert crops == [Weight.of(Fraction(kg, 2))] * 2


def test_what_leaves_the_store_is_of_what_was_picked_by_then(tmp_path: Path) -> None:
    """Of a tree whose late limb still hangs all that is taken out is of its early one, and later of both."""
    rows = (
        *("2027-09-01,A,Softpear,pick,20 kg", "2027-09-04,A,,taken out,6 kg"),
        *("2027-09-20,A,Hardpear,pick,20 kg", "2027-09-21,A,,taken out,8 kg"),
    )
    records = "\n".join(["date,tree,cultivar,what,amount", *rows, ""])
    lots = plan_of_notes(tmp_path, {**LIMBS, "records/2027.csv": records}, as_of=date(2027, 9, 22)).lots
    out = {
        bearing.cultivar: [(one.day.day, one.weight) for batch in lot.batches for one in batch.outs if one.noted]
        for bearing, lot in lots.items()
    }

    assert out == {"soft": [(4, Weight.of(6)), (21, Weight.of(4))], "hardpear": [(21, Weight.of(4))]}


def test_what_a_tree_gives_is_not_promised_by_each_of_its_crops(tmp_path: Path) -> None:
    """A fig with two crops a year gives its 40 lb once; how they fall to them nobody knows, and check asks."""
    notes = {
        "cultivars/hardpear.md": note(*HARD, "crops: [early, main]"),
        "trees/A.md": note(
            "cultivar: Hardpear",
            "crop: 40 lb",
            "pinned: [{pick: 2027-06-20, crop: early}, {pick: 2027-08-20, crop: main}]",
        ),
        "records/2027.csv": "",
    }
    plan = plan_of_notes(tmp_path, notes, as_of=date(2027, 5, 1))

    assert [isinstance(lot.crop, Unweighed) for lot in plan.lots.values()] == [True, True]
    assert [problem.where.file for problem in plan.holding.asked] == ["trees/A.md"]


# Pickings


def test_planned_pickings_share_the_crop_and_stand_apart(tmp_path: Path) -> None:
    """Three equal parts, four days from each other."""
    lot = lot_of(tmp_path, OWN[0], kind=("passes: 3", "pass interval: 4 days"), tree=())

    # one own season picked once is the household's own habit
    assert [batch.picking for batch in lot.batches] == [1]
    lot = lot_of(tmp_path / "b", kind=("passes: 3", "pass interval: 4 days"), tree=("crop: 30 lb",))
    assert [b.picked.likely.day for b in lot.batches] == [1, 5, 9]
    assert {b.weight for b in lot.batches} == {Weight.of(10 * POUND)}


def test_noted_pickings_take_the_place_of_planned_ones(tmp_path: Path) -> None:
    """What is left of the crop stands in the pickings still planned."""
    rows = (*OWN, "2027-09-01,A,first pick,25 lb,")
    lot = lot_of(tmp_path, *rows, kind=("passes: 2", "pass interval: 4 days"), as_of=date(2027, 9, 2))

    assert [batch.picked_noted for batch in lot.batches] == [True, False]
    assert lot.batches[1].weight == Weight(low=15 * POUND, high=65 * POUND)


@pytest.mark.parametrize(
    ("rows", "usual"),
    [
        ((), 3),
        # what this season has so far is no habit
        (("2027-09-01,A,first pick,25 lb,",), 3),
        (("2027-09-01,A,first pick,25 lb,", "2027-09-04,A,pick,25 lb,"), 3),
        # a year picked once tells of one picking, and one picked twice how far they are apart
        (("2026-09-01,A,pick,25 lb,",), 0),
        (OWN[1:], 0),
    ],
)
def test_how_often_is_told_where_the_days_between_are_not(tmp_path: Path, rows: tuple[str, ...], usual: int) -> None:
    """By what is printed, three pickings without their days, until own years before this one say otherwise."""
    notes = {
        "cultivars/hardpear.md": note(*HARD, "passes: 3"),
        "trees/A.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-01}]"),
        "records/2027.csv": table(*rows),
    }
    plan = plan_of_notes(tmp_path, notes, as_of=date(2027, 9, 5))
    bearing = Bearing("A", "hardpear")

    assert usual_without_days(plan.season, plan.holding.limb(bearing), bearing) == usual


@pytest.mark.parametrize("last", ["2027-09-03,A,last pick,9 lb,", None])
def test_after_the_last_pick_nothing_is_planned(tmp_path: Path, last: str | None) -> None:
    """A last pick, or a single one that was not called the first, ends it."""
    rows = (*OWN, *(["2027-09-01,A,first pick,25 lb,", last] if last else ["2027-09-01,A,pick,25 lb,"]))
    lot = lot_of(tmp_path, *rows, as_of=date(2027, 9, 4))

    assert all(batch.picked_noted for batch in lot.batches)
    assert len(lot.batches) == (2 if last else 1)


def test_lines_of_one_day_are_one_picking(tmp_path: Path) -> None:
    """Three who note their own boxes, or a line for each grade, went over the tree once, as in former years."""
    rows = ("2027-09-01,A,pick,10 lb,", "2027-09-01,A,pick,12 lb,", "2027-09-01,A,pick,8 lb windfalls,")
    lot = lot_of(tmp_path, *rows, as_of=date(2027, 9, 2))

    assert [(b.picking, b.grade, b.weight) for b in lot.batches] == [
        (1, Grade.UNSORTED, Weight.of(22 * POUND)),
        (1, Grade.WINDFALLS, Weight.of(8 * POUND)),
    ]
    assert not any(batch.several for batch in lot.batches)

    past = [row.replace("2027", year) for year in ("2025", "2026") for row in rows]
    interval = ("passes: 3", "pass interval: 4 days")
    assert [one.number for one in lot_of(tmp_path / "past", *past, kind=interval).pickings] == [1]


def test_several_pickings_of_one_day_make_one_day_of_the_job(tmp_path: Path) -> None:
    """A household that notes each of three boxes by a line has one day of picking in its calendar."""
    notes = {
        "tasks/pick.md": note("name: Pick", "when: pick"),
        "records/2027.csv": table(*(f"2027-09-01,A,pick,{lb} lb," for lb in (10, 12, 8))),
    }
    entries = plan_of_notes(tmp_path, notes, as_of=date(2027, 9, 2)).calendar.entries

    assert [(entry.days, entry.pickings) for entry in entries] == [((date(2027, 9, 1),), (1,))]


@pytest.mark.parametrize(("last", "days"), [("2027-09-05", [1, 5]), ("2027-08-28", [25, 28]), ("2027-09-01", [25, 1])])
def test_a_day_fixed_by_hand_moves_no_picking_past_the_next(tmp_path: Path, last: str, days: list[int]) -> None:
    """Fixed for 1 September and first picked on 25 August, it is moved; not where a second was noted by then."""
    rows = ("2027-08-25,A,first pick,4 lb,", f"{last},A,last pick,9 lb,")
    lot = lot_of(tmp_path, *rows, as_of=date(2027, 9, 9))

    assert [one.day.likely.day for one in lot.pickings] == days


def test_pickings_to_come_are_counted_from_those_noted(tmp_path: Path) -> None:
    """The second of four was due and nobody noted it: what comes next is the second, and no fourth of three."""
    kind, tree = ("passes: 4", "pass interval: 3 days"), ("crop: 40 lb",)
    lot = lot_of(tmp_path, "2027-09-01,A,first pick,4 lb,", kind=kind, tree=tree, as_of=date(2027, 9, 9))

    assert [(one.number, one.day.likely.day) for one in lot.pickings] == [(1, 1), (2, 9), (3, 12)]


def test_pickings_that_wait_for_one_label_are_one(tmp_path: Path) -> None:
    """Sprayed the day after the first, the next three, on the 4th, 7th and 10th, fall together when it has run."""
    kind, tree = ("passes: 4", "pass interval: 3 days"), ("crop: 40 lb",)
    first = "2027-09-01,A,first pick,4 lb,"
    spray = "2027-09-02,A,spray,{days} days,"
    days = {}
    for wait in (1, 6, 14):
        lot = lot_of(tmp_path / str(wait), first, spray.format(days=wait), kind=kind, tree=tree, as_of=date(2027, 9, 2))
        days[wait] = [(one.number, one.day.likely.day, one.weight) for one in lot.pickings if not one.noted]

    twelve = 12 * POUND
    assert days[1] == [(2, 4, Weight.of(twelve)), (3, 7, Weight.of(twelve)), (4, 10, Weight.of(twelve))]
    assert days[6] == [(2, 8, Weight.of(2 * twelve)), (3, 10, Weight.of(twelve))]
    assert days[14] == [(2, 16, Weight.of(3 * twelve))]


# Grades


def test_a_sorted_picking_is_a_batch_for_each_grade(tmp_path: Path) -> None:
    """Each grade has its weight and its own last day."""
    row = "2027-09-01,A,pick,20 lb keepers + 5 lb use now + 2 lb culls,"
    lot = lot_of(tmp_path, row, kind=("keeps: 60 days",), as_of=date(2027, 9, 2))

    assert [(b.grade, b.weight) for b in lot.batches] == [
        (Grade.KEEPERS, Weight.of(20 * POUND)),
        (Grade.USE_NOW, Weight.of(5 * POUND)),
        (Grade.CULLS, Weight.of(2 * POUND)),
    ]
    assert lot.days == {stage: day for stage, day in lot.batches[0].days.items() if stage is not Stage.KEEP_UNTIL}


def test_planned_fruit_is_parted_as_own_fruit_was(tmp_path: Path) -> None:
    """Three quarters keepers and a quarter seconds last year, so this year too."""
    lot = lot_of(tmp_path, "2026-09-01,A,pick,30 lb keepers + 10 lb seconds,")

    assert [b.grade for b in lot.batches] == [Grade.KEEPERS, Grade.SECONDS]
    assert lot.batches[0].weight == Weight(low=15 * POUND, high=45 * POUND)


@pytest.mark.parametrize(
    ("grade", "method", "name", "refused"),
    [
        (Grade.WINDFALLS, PutUp.CANNER, "Pear halves", True),
        (Grade.WINDFALLS, PutUp.REFRIGERATOR, "Fresh juice", True),
        (Grade.WINDFALLS, PutUp.REFRIGERATOR, "Cider", True),
        (Grade.WINDFALLS, PutUp.REFRIGERATOR, "Süßmost", True),
        (Grade.WINDFALLS, PutUp.FREEZER, "Apfelsaft", True),
        (Grade.WINDFALLS, PutUp.REFRIGERATOR, "Zumo de pera", True),
        (Grade.WINDFALLS, PutUp.FREEZER, "Sauce", False),
        (Grade.WINDFALLS, PutUp.FREEZER, "Almost jam", False),
        (Grade.CULLS, PutUp.FREEZER, "Sauce", True),
        (Grade.SECONDS, PutUp.CANNER, "Pear halves", False),
    ],
)
def test_windfalls_never_go_into_jars_or_juice(grade: Grade, method: PutUp, name: str, *, refused: bool) -> None:
    """The careful rule of the extension services."""
    preserve = Preserve(key="x", name=name, subjects=frozenset(), method=method, where=Where("x.md"))

    assert bool(why_not(grade, preserve)) is refused


# Amounts


@pytest.mark.parametrize("text", ["", "a heap", "3 lb of something", "5", "9-3 lb", "14 jars"])
def test_an_amount_that_is_none_of_fruit_is_left_alone(text: str) -> None:
    """People write in that column what they like."""
    assert read_amount(text) == ()


def test_amounts_are_exact() -> None:
    """A pound is so many kilograms by law, and a third of it stays a third."""
    assert read_amount("1 lb")[0].low == Fraction("0.45359237")
    assert Weight.of(1).times(Fraction(1, 3)).times(Fraction(3)) == Weight.of(1)
    assert read_amount("1,200 lb")[0].low == 1200 * POUND


@pytest.mark.parametrize(
    ("text", "reader"), [("many", parse_yield), ("50 lb", parse_container), ("a bushel", parse_container)]
)
def test_figures_of_weight_say_what_is_wrong(text: str, reader: object) -> None:
    """On the shelf a slip is a problem."""
    assert callable(reader)
    with pytest.raises(Unreadable):
        reader(text)


def test_weights_are_said_in_the_households_unit() -> None:
    """A range as a range, and next to nothing as that."""
    assert weight_words(IN_ENGLISH, Weight(low=10 * POUND, high=12 * POUND)) == "10–12 lb"
    assert weight_words(Tongue(metric=True), Weight.of(20)) == "20 kg"
    assert weight_words(IN_ENGLISH, Weight.of(POUND / 4)) == "under 1 lb"


TURNS = (
    *("2022-09-01,A,pick,20 lb,", "2023-09-01,A,pick,90 lb,", "2024-09-01,A,pick,10 lb,"),
    *("2025-09-01,A,pick,100 lb,",),
)


@pytest.mark.parametrize(
    ("rows", "expected", "said"),
    [
        ((*TURNS, "2026-06-01,A,light crop,,"), (55, 100), "took turns in 4 of 4"),
        (TURNS, (10, 100), ""),
        ((*TURNS[:3], "2025,A,no crop,,", "2026-09-01,A,pick,100 lb,"), (0, 55), "perhaps nothing"),
        ((*TURNS, "2026,A,no crop,,"), (55, 100), "the upper half of that"),
        (("2025,A,no crop,,", "2026-09-01,A,pick,90 lb,", "2026-07-01,A,heavy crop,,"), (22.5, 135), "perhaps half"),
        (
            ("2024,A,heavy crop,,", "2025,A,no crop,,", "2026,A,heavy crop,,", "2026-09-01,A,pick,90 lb,"),
            (0, 90),
            "perhaps nothing",
        ),
    ],
)
def test_heavy_and_light_years_foretell_the_next(
    tmp_path: Path, rows: tuple[str, ...], expected: tuple[float, float], said: str
) -> None:
    """As sure as this tree's own years have shown it, weighed or only noted; without last year nothing."""
    lot = lot_of(tmp_path, *rows)
    assert isinstance(lot.crop, Crop)

    assert pounds(lot) == pytest.approx(expected)
    assert (said in words_of(lot.crop.reasons[-1].why, IN_ENGLISH)) if said else len(lot.crop.reasons) == 1
