"""Where fruit lies, when it moves, what it wants, who gets it, and what is said of it in public."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from conftest import ROOT
from one_tree import entries_of, plan_of_notes, task
from season_notes import note, table

from firmripe.days import DayCount
from firmripe.harvest.because import KeepApart, NoColdSpace, ToBeUsedSoon
from firmripe.harvest.lots import Batch
from firmripe.harvest.shares import account
from firmripe.harvest.spaces import Company, Load, Occupancy, harms, ripening_rooms
from firmripe.harvest.store import is_finished
from firmripe.harvest.takeouts import NoTakeOut, TakeOut
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import Chilling, Cultivar, Traits
from firmripe.holding.place import Ground, Place, Space
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import POUND, Part, Weight, total
from firmripe.plan import Plan, past_entries
from firmripe.problems import Where
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.front import front_page
from firmripe.publish.pages.stand import seasons_of, stand_page
from firmripe.publish.pages.store import Stores
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.units import Interval
from firmripe.wording import words_of
from firmripe.wording.calendar import beside_job
from firmripe.wording.harvest import alert_words
from firmripe.wording.names import title_of
from firmripe.wording.store import warning_words
from firmripe.words import far_day, week_day

WINTER = (
    "name: Hardpear",
    "fruit: pear",
    "conditioning: [{value: 30 days, at: 31 F}, {value: 18 days, at: 41 F}]",
    "counter: {value: 7 days, at: 65-75 F}",
    "keeps ripe: 3 days",
    "keeps: 100 days",
)
A = Bearing("A", "hardpear")


def plan(
    top: Path,
    *rows: str,
    place: tuple[str, ...] = (),
    kind: tuple[str, ...] = WINTER,
    others: dict[str, str] | None = None,
    as_of: date = date(2027, 8, 1),
) -> Plan:
    """Return the plan of one tree of winter pears, expected to give 44 lb on 1 September 2027."""
    notes = {
        "place.md": note("zone: 6a", "last frost: May 12", "first frost: Oct 8", *place),
        "cultivars/hardpear.md": note(*kind),
        "trees/A.md": note("cultivar: Hardpear", "crop: 44 lb", "pinned: [{pick: 2027-09-01}]"),
        "records/2027.csv": table(*rows),
        **(others or {}),
    }
    return plan_of_notes(top, notes, as_of=as_of)


def batch(found: Plan) -> Batch:
    """Return the first batch of the tree."""
    return found.lots[A].batches[0]


FRIDGE = "spaces: [{name: fridge, temperature: 34 F, holds: 2 boxes}, {name: cellar, temperature: 44 F}]"


# Spaces


def test_winter_fruit_lies_in_the_coldest_space(tmp_path: Path) -> None:
    """It needs the cold; its days are those of that space."""
    found = batch(plan(tmp_path, place=(FRIDGE, "box: 22 lb")))

    assert found.space == "fridge"
    assert found.days[Stage.CONDITIONED].likely == date(2027, 10, 1)


def test_what_finds_no_room_goes_to_the_next_space_and_takes_its_days(tmp_path: Path) -> None:
    """A box of 20 lb makes the fridge too small for 44 lb, so the cellar's 18 days count."""
    found = batch(plan(tmp_path, place=(FRIDGE, "box: 20 lb")))

    assert found.space == "cellar"
    assert found.days[Stage.CONDITIONED].likely == date(2027, 9, 19)


def test_a_noted_space_stands_even_when_it_is_too_small(tmp_path: Path) -> None:
    """Then the space is said to be too full, with days and amount."""
    rows = ("2027-09-01,A,pick,44 lb,", "2027-09-02,A,stored,2 boxes,spare fridge by the door")
    place = ("spaces: [{name: spare fridge, temperature: 34 F, holds: 30 lb}, {name: cellar, temperature: 44 F}]",)
    found = plan(tmp_path, *rows, place=place, as_of=date(2027, 9, 3))

    assert batch(found).stored_noted
    (said,) = [
        warning_words(IN_ENGLISH, warning)
        for warning in found.store.warnings
        if "too full" in warning_words(IN_ENGLISH, warning)
    ]
    assert said.startswith("too full from Wed 1 Sep to 21 Oct, by about 14 lb at most.")
    assert said.endswith("Move so much out before, what keeps shortest first: Hardpear (A)")


def test_the_temperature_of_a_month_counts_in_it(tmp_path: Path) -> None:
    """A cellar that is warm in September is no cold space for what is picked then."""
    place = ("spaces: [{name: cellar, temperature: 40 F, Sep: 58 F}]",)
    said = [warning_words(IN_ENGLISH, warning) for warning in plan(tmp_path, place=place).store.warnings]

    assert "Hardpear: it needs days in the cold, and no space told of is at 50 °F (10 °C) or below" in said
    assert any("nothing is printed for so warm a place" in text for text in said)


WARM_CELLAR = "spaces: [{name: cellar, temperature: 58 F}]"


@pytest.mark.parametrize(
    ("place", "kind", "is_said"),
    [
        ((WARM_CELLAR,), WINTER, True),
        ((), WINTER, False),
        ((WARM_CELLAR,), (*WINTER[:2], *WINTER[3:]), False),
    ],
    ids=["no cold space", "no spaces told of", "needs no cold"],
)
def test_a_cold_space_is_missed_only_by_fruit_that_needs_one_where_spaces_are_told_of(
    tmp_path: Path, place: tuple[str, ...], kind: tuple[str, ...], *, is_said: bool
) -> None:
    """Neither by fruit that ripens without the cold nor by a household that tells of no space at all."""
    warnings = plan(tmp_path, place=place, kind=kind).store.warnings

    assert any("it needs days in the cold" in warning_words(IN_ENGLISH, one) for one in warnings) is is_said


def test_neighbours_that_must_not_lie_together_are_named(tmp_path: Path) -> None:
    """Both vegetables of the household and fruit of its own trees."""
    others = {
        "fruits/apple.md": note("name: Apple", "ripens off the tree: yes", "counter: 0 days", "keeps: 90 days"),
        "cultivars/red.md": note("name: Red", "fruit: apple"),
        "trees/B.md": note("cultivar: Red", "pinned: [{pick: 2027-09-10}]"),
    }
    place = ("spaces: [{name: cellar, temperature: 38 F, beside: [potato]}]",)
    found = plan(tmp_path, place=place, kind=(*WINTER, "keep apart: [apples, potatoes, onions]"), others=others)

    assert {(w.day, warning_words(IN_ENGLISH, w)) for w in found.store.warnings} == {
        (date(2027, 9, 1), "Hardpear: keep it apart from potatoes, which lie there too"),
        (date(2027, 9, 10), "Hardpear: keep it apart from apples (Red)"),
    }


@pytest.mark.parametrize(
    ("beside", "apart", "language"),
    [
        ("peaches", "peach", "en"),
        ("cherry", "cherries", "en"),
        ("tomato", "tomatoes", "en"),
        ("patatas", "potatoes", "es"),
        ("Zwiebeln", "onions", "de"),
        ("potatoes", "potatoes", "es"),
    ],
)
def test_a_neighbour_is_known_as_one_and_as_several_and_in_the_households_language(
    tmp_path: Path, beside: str, apart: str, language: str
) -> None:
    """Whether a cherry or cherries lie there, potatoes or patatas, pears are to be kept apart from them."""
    place = (f"language: {language}", f"spaces: [{{name: cellar, temperature: 38 F, beside: [{beside}]}}]")
    (found,) = plan(tmp_path, place=place, kind=(*WINTER, f"keep apart: [{apart}]")).store.warnings

    assert isinstance(found.what, KeepApart)


@pytest.mark.parametrize("what", ["used up,", "sold,44 lb", "taken out,"])
def test_no_cold_is_missed_for_fruit_that_lies_nowhere(tmp_path: Path, what: str) -> None:
    """What was picked and used, sold or taken out on one day asks for no space."""
    rows = ("2027-09-01,A,pick,44 lb,", f"2027-09-01,A,{what},")
    found = plan(tmp_path, *rows, place=(FRIDGE,), as_of=date(2027, 9, 1))

    assert not any(isinstance(one.what, NoColdSpace) for one in found.store.warnings)


@pytest.mark.parametrize(("house", "said"), [(80, "ripens poorly"), (90, "no day is promised"), (68, "")])
def test_a_warm_house_is_told_of(tmp_path: Path, house: int, said: str) -> None:
    """With its temperature and what to do."""
    place = (f"spaces: [{{name: fridge, temperature: 34 F}}, {{name: house, temperature: {house} F}}]",)
    found = plan(tmp_path, place=place, kind=(*WINTER, "too warm: 85 F", "ripens poorly above: 75 F"))
    texts = [warning_words(IN_ENGLISH, warning) for warning in found.store.warnings]

    assert len(texts) == (1 if said else 0)
    assert all(said in text and f"{house} °F" in text and "less at a time" in text for text in texts)
    assert (Stage.READY in batch(found).days) is (house != 90)


CITED = Cited(mark=Mark.OWN, source=None, page="", where=Where("x"))


def kind_with(traits: Traits) -> Cultivar:
    """Return a cultivar of which no more is known than these traits."""
    return Cultivar(key="k", name="K", fruit=None, own=Traits(), traits=traits)


def load(first: int, last: int, limb: Cultivar, *, ripe: bool = False) -> Load:
    """Return 20 kg of fruit that lie in the cellar from a day of September 2027 to another."""
    days = {"first": date(2027, 9, first), "last": date(2027, 9, last)}
    return Load(space="cellar", weight=Weight.of(20), limb=limb, ripe=ripe, **days)


@pytest.mark.parametrize(("comes", "finds_room"), [(9, False), (10, False), (11, True)])
def test_fruit_fills_its_room_on_its_last_day_too(comes: int, *, finds_room: bool) -> None:
    """A cellar of 30 kg holds 20 kg until the 10th: as much again finds room from the 11th on."""
    limb = kind_with(Traits())
    cellar = Space(name="cellar", temperature_c=3, capacity=Part(low=Fraction(30), high=Fraction(30)))
    place = Place(name="", ground=Ground(), spaces=(cellar,))
    new, lying = [load(comes, 20, limb)], Occupancy(place)
    lying.put([load(1, 10, limb)])

    assert lying.fits(new, cellar) is finds_room
    assert lying.room_left(new, cellar) == (30 if finds_room else 10)


@pytest.mark.parametrize(
    ("rooms_c", "first"), [((22, 18), "18"), ((18, 22), "18"), ((21, 17), "21"), ((25, 16), "16"), ((23, 26), "23")]
)
def test_fruit_ripens_in_the_room_nearest_to_what_its_days_are_told_for(rooms_c: tuple[int, int], first: str) -> None:
    """Told for 20 °C; of two rooms as near the cooler one goes first."""
    counter = Figure(value=DayCount(low=5, high=5), text="5 days", cited=CITED, at_c=Interval(low=20, high=20))
    spaces = tuple(Space(name=str(at), temperature_c=at) for at in rooms_c)
    place = Place(name="", ground=Ground(), spaces=spaces)

    assert ripening_rooms(place, kind_with(Traits(counter=counter)), date(2027, 9, 1))[0].name == first


@pytest.mark.parametrize(
    ("harm", "last", "day"),
    [
        (Chilling(low_c=None, high_c=5, after_d=9), 10, 10),
        (Chilling(low_c=None, high_c=5, after_d=9), 9, None),
        (Chilling(low_c=None, high_c=5, after_d=9, more_than=True), 10, None),
        (Chilling(low_c=None, high_c=5, after_d=9, more_than=True), 11, 11),
        (Chilling(low_c=2, high_c=7), 9, 1),
        (Chilling(low_c=4, high_c=7), 9, None),
        (Chilling(low_c=None, high_c=3, below=True), 9, None),
    ],
)
def test_cold_that_harms_is_told_with_its_first_day(harm: Chilling, last: int, day: int | None) -> None:
    """Fruit lies at 3 °C from the 1st; harm on its very last day there is harm."""
    limb = kind_with(Traits(chilling=(Figure(value=harm, text="so cold", cited=CITED),)))
    cellar = {"cellar": Space(name="cellar", temperature_c=3)}

    assert [told.day.day for told in harms(load(1, last, limb), cellar, Company([]), IN_ENGLISH)] == (
        [day] if day else []
    )


def test_cold_that_harms_unripe_fruit_spares_ripe_fruit() -> None:
    """Where it is so told."""
    harm = Chilling(low_c=None, high_c=5, unripe=True)
    limb = kind_with(Traits(chilling=(Figure(value=harm, text="so cold before ripe", cited=CITED),)))
    cellar = {"cellar": Space(name="cellar", temperature_c=3)}

    assert harms(load(1, 5, limb), cellar, Company([]), IN_ENGLISH)
    assert not harms(load(1, 5, limb, ripe=True), cellar, Company([]), IN_ENGLISH)


# Taking out


def test_winter_fruit_leaves_week_by_week_over_its_keeping_life(tmp_path: Path) -> None:
    """Equal parts from the day it is conditioned to its last day, and together they are the whole."""
    found = batch(plan(tmp_path, place=("spaces: [{name: fridge, temperature: 34 F}]",)))
    days = [out.day for out in found.outs]

    assert days[0] == date(2027, 10, 1)
    assert days[-1] <= date(2027, 12, 10) < days[-1] + timedelta(days=7)
    assert total([out.weight for out in found.outs if out.weight]) == Weight.of(44 * POUND)


def test_a_noted_box_leaves_the_rest(tmp_path: Path) -> None:
    """A box of 22 lb out of 44 lb leaves 22 lb, planned for the weeks after."""
    rows = ("2027-09-01,A,pick,44 lb,", "2027-10-10,A,taken out,1 box,")
    place = ("spaces: [{name: fridge, temperature: 34 F}]", "box: 22 lb")
    found = batch(plan(tmp_path, *rows, place=place, as_of=date(2027, 10, 12)))

    assert (found.outs[0].day, found.outs[0].weight, found.outs[0].noted) == (
        date(2027, 10, 10),
        Weight.of(22 * POUND),
        True,
    )
    assert found.left(date(2027, 10, 11)) == Weight.of(22 * POUND)
    assert all(out.day > date(2027, 10, 10) for out in found.outs[1:])


WANTED = "wanted: [{cultivar: hardpear, on: %s, amount: a dozen, for: the table}]"


@pytest.mark.parametrize(
    ("on", "expected"),
    [
        ("2027-11-20", date(2027, 11, 13)),
        ("2027-10-08", date(2027, 10, 1)),
        ("2027-10-07", "so it is ready on Fri 8 Oct at the soonest"),
        ("2027-12-20", "it would have to lie 3 days longer"),
    ],
)
def test_the_day_to_take_out_is_counted_back_from_the_day_it_is_wanted(
    tmp_path: Path, on: str, expected: date | str
) -> None:
    """Seven counter days earlier, but neither before it is conditioned nor past its last day."""
    place = ("spaces: [{name: fridge, temperature: 34 F}]", WANTED % on)
    (answer,) = plan(tmp_path, place=place).store.take_outs

    if isinstance(expected, date):
        assert isinstance(answer, TakeOut)
        assert answer.day == expected
    else:
        assert isinstance(answer, NoTakeOut)
        assert expected in words_of(answer.reason, IN_ENGLISH)


def test_fruit_that_grows_nowhere_here_is_said_to(tmp_path: Path) -> None:
    """A want without a lot is answered."""
    (answer,) = plan(tmp_path, place=("wanted: [{cultivar: Softpear, on: 2027-10-01}]",)).store.take_outs

    assert isinstance(answer, NoTakeOut)
    assert words_of(answer.reason, IN_ENGLISH) == "there is no Softpear this season"


# Own days


def test_own_days_that_ended_well_take_the_place_of_printed_ones_as_they_gather(tmp_path: Path) -> None:
    """Forty days in the cold, five on the counter, and good: the printed 30 and 7 count as one year beside each own."""
    rows = [
        f"{year}-{day},A,{what}"
        for year in (2026, 2025, 2024)
        for day, what in (
            ("09-01", "pick,44 lb,"),
            ("10-11", "taken out,1 box,"),
            ("10-16", "ready,,"),
            ("10-20", "verdict,,good"),
        )
    ]
    fridge = ("spaces: [{name: fridge, temperature: 31 F}]",)
    one, three = (batch(plan(tmp_path / str(n), *rows[: 4 * n], place=fridge)) for n in (1, 3))

    assert one.days[Stage.CONDITIONED].likely == date(2027, 10, 6)  # (30 + 40) / 2 = 35 days
    assert one.days[Stage.READY].likely == date(2027, 10, 12)  # (7 + 5) / 2 = 6 more
    assert three.days[Stage.CONDITIONED].likely == date(2027, 10, 9)  # (30 + 3 * 40) / 4 = 37.5
    assert three.days[Stage.READY].likely == date(2027, 10, 15)  # (7 + 3 * 5) / 4 = 5.5
    told = [words_of(reason.why, IN_ENGLISH) for reason in one.reasons]
    assert "In the cold: 30–40 days, your own fruit of 2026, with 30 days as printed" in told


@pytest.mark.parametrize("verdict", ["not good", "mealy", "brown at the core"])
def test_cold_that_ended_badly_teaches_nothing(tmp_path: Path, verdict: str) -> None:
    """Then the printed days stay."""
    rows = ("2026-09-01,A,pick,44 lb,", "2026-10-11,A,taken out,1 box,", f"2026-10-20,A,verdict,,{verdict}")
    found = batch(plan(tmp_path, *rows, place=("spaces: [{name: fridge, temperature: 34 F}]",)))

    assert found.days[Stage.CONDITIONED].likely == date(2027, 10, 1)


def test_a_warmer_space_than_printed_is_told_of(tmp_path: Path) -> None:
    """A limit for 31 °F is no promise at 44 °F, and none shorter is made up."""
    kind = (*WINTER[:-1], "keeps: {value: 100 days, at: 30-31 F}")
    found = batch(plan(tmp_path, place=("spaces: [{name: cellar, temperature: 44 F}]",), kind=kind))

    assert Stage.KEEP_UNTIL not in found.days
    assert "too warm for your 100 days" in words_of(found.undated[Stage.KEEP_UNTIL], IN_ENGLISH)
    assert "too warm for your 100 days" in alert_words(IN_ENGLISH, found.alerts)


# The store across the new year


def test_unfinished_lots_come_over_and_finished_ones_are_history(tmp_path: Path) -> None:
    """In November last year's pears are in store until their last day, then they are told of and no more."""
    notes = {"trees/A.md": note("cultivar: Hardpear", "crop: 44 lb", "pinned: [{pick: 2026-11-01}]")}
    rows = ("2026-11-01,A,pick,44 lb,",)
    place = ("spaces: [{name: fridge, temperature: 34 F}]",)
    january = plan(tmp_path / "a", *rows, place=place, others=notes, as_of=date(2027, 1, 20))
    spring = plan(tmp_path / "b", *rows, place=place, others=notes, as_of=date(2027, 5, 20))

    assert [b.bearing for b in january.store.carried] == [A]
    assert january.store.finished == ()
    assert spring.store.carried == ()
    assert [b.bearing for b in spring.store.finished] == [A]


def test_what_has_least_time_left_is_eaten_first(example_plan: Plan) -> None:
    """The order of the store is that of the last days, and nothing finished stands in it."""
    limits = [
        min(batch.days[stage].likely for stage in (Stage.KEEP_UNTIL, Stage.USE_BY) if stage in batch.days)
        for batch in example_plan.store.batches
        if {Stage.KEEP_UNTIL, Stage.USE_BY} & set(batch.days)
    ]

    assert limits
    assert limits == sorted(limits)
    assert not any(is_finished(batch, example_plan.season.as_of) for batch in example_plan.store.batches)


# Shares


def test_shares_are_by_grade_with_the_rest_stated(tmp_path: Path) -> None:
    """Two of three thirds are given; boxes are whole ones; culls and windfalls are not divided."""
    rows = ("2027-09-01,A,pick,66 lb keepers + 6 lb culls + 4 lb windfalls,",)
    place = ("box: 10 lb", "shares: [{name: gate house, part: 1/3}, {name: mill, part: 1/3}]")
    (division,) = plan(tmp_path, *rows, place=place, as_of=date(2027, 9, 2)).store.divisions

    assert division.whole == Weight.of(66 * POUND)
    assert [(d.name, d.weight, d.boxes, d.over) for d in division.dues] == [
        ("gate house", Weight.of(22 * POUND), 2, -2 * POUND),
        ("mill", Weight.of(22 * POUND), 2, -2 * POUND),
    ]
    assert division.loose == 4 * POUND
    assert division.rest == Weight.of(22 * POUND)


def test_whole_boxes_tell_who_is_over_and_who_is_short(tmp_path: Path) -> None:
    """Of seven boxes one house is given three, one two and two; the grade after it evens that out."""
    rows = ("2027-09-01,A,pick,70 lb keepers + 50 lb seconds,",)
    houses = "shares: [{name: gate, part: 1/3}, {name: mill, part: 1/3}, {name: lane, part: 1/3}]"
    made = plan(tmp_path, *rows, place=("box: 10 lb", houses), as_of=date(2027, 9, 2))
    keepers, seconds = made.store.divisions
    page = make_site(made, theme_folder("box-tag"))["store.html"].decode()

    assert [due.boxes for due in keepers.dues] == [3, 2, 2]
    assert [due.boxes for due in seconds.dues] == [1, 2, 2]
    assert [due.over for due in account(made.store.divisions).values()] == [0, 0, 0]
    assert "23 lb: 3 boxes, 7 lb over its part" in page
    assert "23 lb: 2 boxes, 3 lb short of its part" in page
    assert "40 lb: 4 boxes" in page


def test_what_fills_no_box_for_each_house_is_weighed_out(tmp_path: Path) -> None:
    """A single box is not given to one of three houses."""
    houses = "shares: [{name: gate, part: 1/3}, {name: mill, part: 1/3}, {name: lane, part: 1/3}]"
    made = plan(tmp_path, "2027-09-01,A,pick,12 lb,", place=("box: 10 lb", houses), as_of=date(2027, 9, 2))

    assert [(due.boxes, due.over, due.weight) for due in made.store.divisions[0].dues] == [
        (0, 0, Weight.of(4 * POUND))
    ] * 3


# Sprays


def test_nobody_is_sent_in_before_the_label_lets_them(tmp_path: Path) -> None:
    """A job in the orchard moves past the re-entry time and says why; one in the store stays."""
    spray = {
        "records/2027.csv": '\ndate,tree,what,amount,note\n2027-08-20,A,spray,"1 day, re-entry 36 hours",\n'.lstrip()
    }
    job = task("topic: orchard", "when: Aug 20", "until: Aug 22", "every: 1 day")
    (orchard,) = entries_of(tmp_path / "a", spray, job, as_of=date(2027, 8, 20))
    (store,) = entries_of(tmp_path / "b", spray, task("topic: store", "when: Aug 20"), as_of=date(2027, 8, 20))

    assert orchard.days == (date(2027, 8, 22),)
    assert "nobody goes in for 36 hours after it, and not before Sun 22 Aug. The label is the law." in beside_job(
        IN_ENGLISH, orchard
    )
    assert store.days == (date(2027, 8, 20),)
    assert store.held == ()


@pytest.mark.parametrize(
    ("amount", "days", "held"),
    [
        # the hour told: until what hour, and open only where that is before work
        ("re-entry 4 hours from 3:00", (20, 21), "nobody goes in before 07:00 on Fri 20 Aug, 4 hours after it"),
        ("re-entry 4 hours from 9:00", (21,), "nobody goes in before 13:00 on Fri 20 Aug, 4 hours after it"),
        ("re-entry 4 hours from 14:00", (21,), "nobody goes in before 18:00 on Fri 20 Aug, 4 hours after it"),
        ("re-entry 12 hours from 20:00", (21,), "nobody goes in before 08:00 on Sat 21 Aug, 12 hours after it"),
        # the hour not told: it may end as late as an evening's spray gives
        ("re-entry 4 hours", (21,), "nobody goes in for 4 hours after it, and not before Sat 21 Aug"),
        ("re-entry 12 hours", (21,), "nobody goes in for 12 hours after it, and not before Sat 21 Aug"),
        ("re-entry 0 hours", (20, 21), ""),
    ],
)
def test_re_entry_hours_stay_hours(tmp_path: Path, amount: str, days: tuple[int, ...], held: str) -> None:
    """A few hours close the day of the spray, unless they are known to be over before work."""
    spray = {"records/2027.csv": f'date,tree,what,amount,note\n2027-08-20,A,spray,"1 day, {amount}",\n'}
    job = task("topic: orchard", "when: Aug 20", "until: Aug 21", "every: 1 day")
    (entry,) = entries_of(tmp_path, spray, job, as_of=date(2027, 8, 20))

    assert tuple(day.day for day in entry.days) == days
    assert held in beside_job(IN_ENGLISH, entry)
    assert bool(beside_job(IN_ENGLISH, entry)) is bool(held)


def test_an_hour_that_is_none_is_refused(tmp_path: Path) -> None:
    """A time of day has 24 hours."""
    spray = {
        "records/2027.csv": 'date,tree,what,amount,note\n2027-08-20,A,spray,"1 day, re-entry 4 hours from 25:00",\n'
    }
    with pytest.raises(Exception, match="from 25:00"):
        entries_of(tmp_path, spray)


# Rooms by their place


TWO_ROOMS = "spaces: [{name: fridge, temperature: 34 F}, {name: kitchen, temperature: 66 F, holds: %s}, %s]"


@pytest.mark.parametrize(
    ("holds", "other", "rooms"),
    [
        ("4 boxes", "{name: hall, temperature: 62 F}", {"kitchen"}),
        ("2 boxes", "{name: hall, temperature: 62 F}", {"kitchen", "hall"}),
        ("2 boxes", "{name: loft, temperature: 88 F}", {"kitchen"}),
        ("2 boxes", "{name: shed, temperature: 78 F}", {"kitchen", "shed"}),
    ],
)
def test_a_room_is_chosen_by_the_place_left_in_it(tmp_path: Path, holds: str, other: str, rooms: set[str]) -> None:
    """The next best takes what the best has no place for, but never one in which it fails."""
    kind = (*WINTER[:-1], "keeps: 32 days", "too warm: 85 F", "ripens poorly above: 75 F")
    others = {"trees/B.md": note("cultivar: Hardpear", "crop: 44 lb", "pinned: [{pick: 2027-09-01}]")}
    place = ("box: 22 lb", TWO_ROOMS % (holds, other))
    found = plan(tmp_path, place=place, kind=kind, others=others)

    assert {batch.room for lot in found.lots.values() for batch in lot.batches} == rooms
    assert any("too full" in warning_words(IN_ENGLISH, w) for w in found.store.warnings) is (
        len(rooms) == 1 and holds == "2 boxes"
    )


def test_a_room_has_days_of_its_own_where_they_are_published(tmp_path: Path) -> None:
    """Of several temperatures the nearest at or below the room's; the household's own days go before."""
    kind = (*WINTER[:3], "counter: {value: 10 days, at: 68 F}", "counter by room: [{value: 8 days, at: 77 F}]")

    def days(house: int) -> int:
        place = (f"spaces: [{{name: fridge, temperature: 34 F}}, {{name: house, temperature: {house} F}}]",)
        found = batch(plan(tmp_path / str(house), place=place, kind=kind)).days
        return (found[Stage.READY].likely - found[Stage.TAKE_OUT].likely).days

    assert [days(house) for house in (60, 68, 72, 77, 80)] == [10, 10, 10, 8, 8]


@pytest.mark.parametrize(
    ("house", "said"), [(60, "it takes longer there"), (70, ""), (80, "ready sooner, so look early")]
)
def test_a_cooler_or_warmer_room_than_printed_is_told_of(tmp_path: Path, house: int, said: str) -> None:
    """And no number is made up for it."""
    place = (f"spaces: [{{name: fridge, temperature: 34 F}}, {{name: house, temperature: {house} F}}]",)
    found = batch(plan(tmp_path, place=place))
    texts = [
        words_of(reason.why, IN_ENGLISH)
        for reason in found.reasons
        if words_of(reason.why, IN_ENGLISH).startswith("The house")
    ]

    assert len(texts) == bool(said)
    assert all(said in text for text in texts)
    assert (found.days[Stage.READY].likely - found.days[Stage.TAKE_OUT].likely).days == 7


# Wanted days in the calendar


WANT_TASKS = {
    "tasks/out.md": note("name: Take out", "topic: store", "when: take out for a wanted day", "reminder: yes"),
    "tasks/want.md": note("name: Wanted", "topic: kitchen", "when: wanted day"),
}


def test_a_wanted_day_and_its_take_out_stand_in_the_calendar(tmp_path: Path) -> None:
    """Each on its day, with what it is for."""
    place = ("spaces: [{name: fridge, temperature: 34 F}]", WANTED % "2027-11-20")
    found = plan(tmp_path, place=place, others=WANT_TASKS)

    assert [(e.days, title_of(IN_ENGLISH, e), beside_job(IN_ENGLISH, e)) for e in found.calendar.entries] == [
        ((date(2027, 11, 13),), "Take out: a dozen of Hardpear (A) for the table, Sat 20 Nov", ""),
        ((date(2027, 11, 20),), "Wanted: a dozen of Hardpear (A) for the table, Sat 20 Nov", ""),
    ]


def test_a_want_that_can_not_be_met_says_why_on_its_day(tmp_path: Path) -> None:
    """There is no take-out for it, and it stands among what has no date."""
    place = ("spaces: [{name: fridge, temperature: 34 F}]", WANTED % "2027-12-20")
    found = plan(tmp_path, place=place, others=WANT_TASKS)
    (entry,) = found.calendar.entries

    assert entry.task.name == "Wanted"
    assert beside_job(IN_ENGLISH, entry).startswith(
        "It can't be met: Hardpear (A) keeps until Fri 10 Dec; it would have to lie 3 days"
    )
    assert any(words_of(item.what, IN_ENGLISH) == "hardpear wanted on Mon 20 Dec" for item in found.calendar.undated)


@pytest.mark.parametrize(("grade", "kept"), [("keepers", True), ("seconds", True), ("use soon", False)])
def test_what_is_to_be_used_soon_is_kept_for_no_day_months_ahead(tmp_path: Path, grade: str, *, kept: bool) -> None:
    """Fruit that was sorted so leaves the cold as soon as it may, and no last day there is told of it."""
    want = ("wanted: [{cultivar: Hardpear, on: 2027-11-20, amount: 10 lb}]", FRIDGE)
    jobs = task("topic: store", "when: keep until")
    found = plan(tmp_path, f"2027-09-01,A,pick,40 lb {grade},", place=want, others=jobs, as_of=date(2027, 9, 2))
    (answer,) = found.store.take_outs

    assert isinstance(answer, TakeOut) is kept
    assert bool(found.calendar.entries) is kept
    assert kept or isinstance(batch(found).undated[Stage.KEEP_UNTIL], ToBeUsedSoon)
    assert batch(found).days[Stage.TAKE_OUT].likely <= date(2027, 11, 20)


def test_a_want_may_be_a_single_fruit(tmp_path: Path) -> None:
    """A fruit of 80 g is promised like a box."""
    kind = (*WINTER, "weight per fruit: 80 g")
    found = plan(tmp_path, place=("wanted: [{cultivar: Hardpear, on: 2027-11-20, amount: 1 fruit}]",), kind=kind)
    (answer,) = found.store.take_outs

    assert isinstance(answer, TakeOut)
    assert (answer.kg, answer.is_whole) == (Fraction(8, 100), True)


def test_what_was_taken_out_already_is_not_promised(tmp_path: Path) -> None:
    """All of it left the cold before the day."""
    rows = ("2027-09-01,A,pick,44 lb,", "2027-10-10,A,taken out,,")
    place = ("spaces: [{name: fridge, temperature: 34 F}]", WANTED % "2027-11-20")
    (answer,) = plan(tmp_path, *rows, place=place, as_of=date(2027, 10, 12)).store.take_outs

    assert isinstance(answer, NoTakeOut)
    assert words_of(answer.reason, IN_ENGLISH) == "Hardpear (A): all of it was taken out by Sun 10 Oct"


# Carried over


def test_fruit_carried_over_keeps_its_jobs_and_its_wants_once(tmp_path: Path) -> None:
    """On the pages of the new season and once in the feeds, under the identity they had."""
    others = {
        **WANT_TASKS,
        "trees/A.md": note("cultivar: Hardpear", "crop: 44 lb", "pinned: [{pick: 2026-11-20}]"),
        "tasks/check.md": note(
            "name: Check",
            "topic: store",
            "each: place",
            "when: 1 week after pick",
            "until: keep until",
            "every: 1 week",
            "reminder: yes",
        ),
        "tasks/last.md": note("name: Take out the last", "topic: store", "when: keep until", "reminder: yes"),
        "tasks/prune.md": note("name: Prune", "when: 1 week before keep until"),
    }
    place = ("spaces: [{name: fridge, temperature: 34 F}]", WANTED % "2027-01-30")
    rows = ("2026-11-20,A,pick,44 lb,",)
    january = plan(tmp_path / "a", *rows, place=place, others=others, as_of=date(2027, 1, 10))
    carried = {entry.task.name: entry for entry in january.calendar.entries if entry.season == 2026}

    assert set(carried) == {"Check", "Take out", "Wanted", "Take out the last"}
    assert carried["Check"].days[0] == date(2027, 1, 1)
    assert carried["Take out"].days == (date(2027, 1, 23),)
    assert carried["Take out the last"].days == (date(2027, 2, 28),)
    feed = make_feeds(january, Ledger(), date(2027, 1, 10)).files["feeds/reminders.ics"].decode()
    last = [event for event in feed.split("BEGIN:VEVENT") if "SUMMARY:Take out the last A Hardpear" in event]
    assert len([event for event in last if "DATE:20270228" in event]) == 1
    assert {e.identity for e in carried.values()} <= {e.identity for e in past_entries(january)}
    spring = plan(tmp_path / "b", *rows, place=place, others=others, as_of=date(2027, 5, 10))
    assert not [entry for entry in spring.calendar.entries if entry.season == 2026]


# The pages


@pytest.fixture(scope="module")
def site(example_site: dict[str, bytes]) -> dict[str, str]:
    """Return the example's pages."""
    files = example_site
    return {name: data.decode() for name, data in files.items() if name.endswith(".html")}


def test_the_stand_gives_nothing_private_away(site: dict[str, str], example_plan: Plan) -> None:
    """No tag, person, space, household, weight or way to another page stands there."""
    page, holding = site["stand.html"], example_plan.holding
    private = [
        *(tree.tag for tree in holding.trees),
        *(person.name for person in holding.place.people),
        *(person.household for person in holding.place.people if person.household),
        *(space.name for space in holding.place.spaces),
        *(share.name for share in holding.place.shares),
    ]

    assert not [word for word in private if re.search(rf"\b{re.escape(word)}\b", page)]
    assert "<a " not in page
    assert " lb" not in page


def test_the_stand_is_made_only_where_fruit_is_offered(tmp_path: Path) -> None:
    """Without the word in place.md there is no public page."""
    kind = ("name: Hardpear", "fruit: pear", "counter: 0 days", "keeps ripe: 3 days")
    as_of = date(2027, 8, 28)
    offered = plan(tmp_path / "a", place=("farm stand: yes",), kind=kind, as_of=as_of)
    kept = plan(tmp_path / "b", kind=kind, as_of=as_of)
    theme = ROOT / "themes" / "box-tag"

    assert "Hardpear" in make_site(offered, theme)["stand.html"].decode()
    assert "stand.html" not in make_site(kept, theme)


EARLY = (
    "name: Hardpear",
    "fruit: pear",
    "counter: 0 days",
    "keeps ripe: 3 days",
    "windows: [{pick: Sep 1, place: here}]",
)


def test_the_stand_tells_when_there_is_what_and_how_sure(tmp_path: Path) -> None:
    """Likely from the first of September to the fourth, and as early and as late as its pick may come."""
    place = ("farm stand: yes", "stand days: [Wednesday, Saturday]")
    notes = {
        "place.md": note("zone: 6a", "latitude: 42 N", *place),
        "cultivars/hardpear.md": note(*EARLY),
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2027.csv": "",
    }
    made = plan_of_notes(tmp_path, notes, as_of=date(2027, 8, 10))
    pick = made.lots[Bearing("A", "hardpear")].days[Stage.PICK]
    (season,) = seasons_of(made)
    view = stand_page(made)
    page = make_site(made, theme_folder("plain"))["stand.html"].decode()

    assert season.perhaps.first == pick.earliest < season.likely.first == pick.likely
    assert pick.likely <= season.likely.last < season.perhaps.last
    assert (view.heading, view.title) == ("Ripe on the next day of the stand", "Wed 11 Aug")
    assert {date.fromisoformat(day[0]).weekday() for day in view.days} <= {2, 5}
    assert all(
        (sure == "Hardpear") is (date.fromisoformat(iso) in season.likely)
        and (unsure == "Hardpear") is (date.fromisoformat(iso) in season.perhaps and sure == "")
        for iso, _words, sure, unsure in view.days
    )
    assert "Hardpear: likely" in page
    assert "; perhaps 23 Aug to " in page


def test_the_stand_tells_how_late_fruit_may_come_of_unknown_keeping(tmp_path: Path) -> None:
    """Nobody knows how long it stays good; its pick may come late all the same."""
    notes = {
        "place.md": note("zone: 6a", "latitude: 42 N", "farm stand: yes"),
        "cultivars/hardpear.md": note(*(line for line in EARLY if not line.startswith("keeps ripe"))),
        "trees/A.md": note("cultivar: Hardpear"),
        "records/2027.csv": "",
    }
    made = plan_of_notes(tmp_path, notes, as_of=date(2027, 8, 10))
    pick = made.lots[Bearing("A", "hardpear")].days[Stage.PICK]
    (season,) = seasons_of(made)

    assert season.perhaps.first == pick.earliest < pick.likely == season.likely.first
    assert season.perhaps.last - season.likely.last == pick.latest - pick.likely > timedelta(0)


def test_the_seasons_of_a_cultivar_join_where_they_touch(tmp_path: Path) -> None:
    """Two trees of it a week apart are one season, two crops of it with weeks between are two."""
    notes = {
        "place.md": note("zone: 6a", "latitude: 42 N", "farm stand: yes"),
        "cultivars/hardpear.md": note(*EARLY[:4]),
        "records/2027.csv": "",
        **{
            f"trees/{tag}.md": note("cultivar: Hardpear", f"pinned: [{{pick: {day}}}]")
            for tag, day in (("A", "2027-08-30"), ("B", "2027-09-02"), ("C", "2027-10-20"))
        },
    }
    found = seasons_of(plan_of_notes(tmp_path, notes, as_of=date(2027, 8, 10)))

    assert [one.likely.first for one in found] == [date(2027, 8, 30), date(2027, 10, 20)]
    assert found[0].likely.last >= date(2027, 9, 2)


def test_the_stand_has_what_is_left_from_last_season(tmp_path: Path) -> None:
    """Winter fruit of November is still offered in January."""
    rows = {"records/2026.csv": table("2026-09-20,A,pick,40 lb,"), "records/2027.csv": ""}
    notes = {"place.md": note("zone: 6a", "farm stand: yes", "spaces: [{name: cellar, temperature: 38 F}]"), **rows}
    kind = {
        "cultivars/hardpear.md": note(
            *EARLY[:2], "conditioning: [{value: 30 days, at: 38 F}]", "keeps: 180 days", "counter: 5 days"
        )
    }
    made = plan_of_notes(tmp_path, {**notes, **kind}, as_of=date(2027, 1, 6))

    assert [fruit[0] for fruit in stand_page(made).fruits] == ["Hardpear"]
    assert seasons_of(made)[0].likely.last > date(2027, 2, 1)


def test_an_open_question_of_last_season_takes_nothing_from_this_one(tmp_path: Path) -> None:
    """While it is asked whether last December's fruit was picked, the stand tells of the fruit of next December."""
    notes = {
        "place.md": note("zone: 9b", "latitude: 34 N", "farm stand: yes"),
        "cultivars/hardpear.md": note(*EARLY[:4]),
        "trees/A.md": note("cultivar: Hardpear", "pinned: [{pick: 2026-12-10}, {pick: 2027-12-12}]"),
        "records/2026.csv": table("2026-05-01,A,full bloom,,"),
        "records/2027.csv": "",
    }
    made = plan_of_notes(tmp_path, notes, as_of=date(2027, 1, 20))

    assert [(one.season, one.is_past) for one in made.asked] == [(2026, True)]
    assert [one.likely.first.year for one in seasons_of(made)] == [2027]


def test_days_of_a_stand_that_is_not_told_are_asked_about(tmp_path: Path) -> None:
    """The key alone opens nothing."""
    made = plan(tmp_path, place=("stand days: Saturday",))

    assert [one.hint for one in made.holding.asked if "stand" in one.message] == ["add farm stand: yes"]
    assert "stand.html" not in make_site(made, theme_folder("box-tag"))


def test_a_lots_days_agree_wherever_they_stand(site: dict[str, str], example_plan: Plan) -> None:
    """Tree, store, rooms, story, week and feed have the same days for its first picking."""
    feed = make_feeds(example_plan, Ledger(), example_plan.season.as_of).files["feeds/reminders.ics"].decode()
    events = feed.replace("\r\n ", "").split("BEGIN:VEVENT")
    jobs = {(entry.task.key, entry.bearings): entry for entry in example_plan.calendar.entries}
    seen = told = 0
    for bearing, lot in example_plan.lots.items():
        after = {stage: day for stage, day in lot.days.items() if stage is not Stage.PICK}
        batch = next((b for b in lot.batches if after.items() <= b.days.items()), lot.batches[0])
        if batch not in example_plan.store.batches or Stage.READY not in batch.days:
            continue
        seen += 1
        out, ready = batch.outs[0].day.isoformat(), batch.days[Stage.READY].likely.isoformat()
        tree = site[f"trees/{bearing.tree.lower()}.html"]
        assert f'datetime="{out}"' in site["harvest.html"]
        for page in (tree, site["store.html"]):
            assert far_day(IN_ENGLISH, batch.outs[0].day, example_plan.season.as_of) in page
        for page in (tree, site["harvest.html"]):
            assert f'datetime="{ready}"' in page
        if batch.space or batch.room:
            assert f'datetime="{out}"' in site["rooms.html"]
        for key, stage in (("take-out", Stage.TAKE_OUT), ("ready", Stage.READY), ("use-by", Stage.USE_BY)):
            entry = jobs.get((key, (bearing,)))
            if entry is None:
                continue
            told += 1
            day = lot.days[stage].likely
            assert entry.days == (day,)
            monday = day - timedelta(days=day.weekday())
            week = site[f"weeks/{monday.isoformat()}.html"]
            assert f'datetime="{day.isoformat()}"' in week
            assert f">{bearing.tree}</a>" in week
            if entry.task.reminder:
                at = re.compile(
                    rf"DATE:{day:%Y%m%d}|{re.escape(week_day(IN_ENGLISH, day))}"
                )  # a deadline stands in what it ends
                assert [e for e in events if bearing.tree in e and at.search(e)], title_of(IN_ENGLISH, entry)
    assert seen > 10
    assert told > 20


def test_the_year_reads_as_a_story_in_order(site: dict[str, str]) -> None:
    """Last season's boxes are told of day by day: into the fridge, out of it, ready."""
    story = site["harvest.html"]
    lines = re.findall(r'<li[^>]*><time datetime="([\d-]+)">.*?</a>: (.*?)</li>', story.split("Season 2026</h2>")[1])
    of_anjou = [(day, text) for day, text in lines if text.startswith("Anjou")]

    assert [day for day, _ in lines] == sorted(day for day, _ in lines)
    assert of_anjou[0][1].startswith("Anjou, 52 lb: picked, into the spare fridge")
    assert of_anjou[1][0] == "2026-11-25"
    assert "22 lb out of the spare fridge, into the back kitchen" in of_anjou[1][1]
    assert "noted" in of_anjou[1][1]


BOX = (
    "2027-08-28,A,first pick,30 lb,",
    "2027-08-28,A,stored,,fridge",
    "2027-09-10,A,taken out,10 lb,",
)


@pytest.mark.parametrize(
    ("day", "weight", "said"),
    [
        (date(2027, 9, 12), "", ""),
        (date(2027, 9, 17), "10 lb", "Eat now, by"),
        (date(2027, 9, 24), "", ""),
    ],
)
def test_ripe_now_is_what_came_out_and_not_what_lies_in_the_cold(
    tmp_path: Path, day: date, weight: str, said: str
) -> None:
    """Of thirty pounds ten came out, ripe in five days; past their day they are asked after, and no more ripe."""
    others = {"trees/A.md": note("cultivar: Hardpear", "crop: 30 lb")}
    found = plan(tmp_path, *BOX, place=("spaces: [{name: fridge, temperature: 34 F}]",), others=others, as_of=day)
    ripe = [line for line in front_page(PageContext(found, Paths(found), "", set())).ripe if line.weight == "10 lb"]

    assert [(line.weight, said in line.doing) for line in ripe] == ([(weight, True)] if weight else [])


@pytest.mark.parametrize(
    ("temperature", "said"), [("38 F", ""), ("54 F", "Too warm to store"), ("66 F", ""), ("", "Its temperature is not")]
)
def test_a_room_that_serves_for_nothing_says_why(tmp_path: Path, temperature: str, said: str) -> None:
    """Between a cold store and a room to ripen in lies a pantry: its page does not leave open why it stays empty."""
    told = f", temperature: {temperature}" if temperature else ""
    spaces = f"spaces: [{{name: pantry{told}}}]"
    plan = plan_of_notes(tmp_path, {"place.md": note("name: Home", spaces)}, as_of=date(2027, 8, 1))
    (room,) = Stores(PageContext(plan, Paths(plan), "", set())).rooms().rooms

    assert room.why_empty.startswith(said)
    assert bool(room.why_empty) is bool(said)


def test_what_was_put_away_lies_there_until_somebody_says_otherwise(plan_of: Callable[..., Plan]) -> None:
    """Where nobody knows how long it keeps: it was gone from all pages two months after its pick."""
    notes = {
        "place.md": "---\nname: Spy\nzone: 5b\nlatitude: 44 N\nspaces: [{name: root cellar, temperature: 45 F}]\n---\n",
        "cultivars/keeper.md": "---\nname: Keeper\nfruit: apple\n---\n",
        "trees/A.md": "---\ncultivar: Keeper\n---\n",
    }
    head, picked = "date,tree,what,amount,note\n", "2027-10-14,A,pick,90 lb,\n"
    stored, used = "2027-10-15,A,stored,90 lb,root cellar\n", "2028-02-01,A,used up,90 lb,\n"

    def lying(rows: str, day: date, season: int = 2027) -> int:
        store = plan_of({**notes, "records/2027.csv": head + rows}, season, day).store
        return len([*store.batches, *store.carried])

    assert [lying(picked + stored, day) for day in (date(2027, 11, 1), date(2027, 12, 30))] == [1, 1]
    assert lying(picked, date(2027, 12, 30)) == 0
    assert lying(picked + stored, date(2028, 1, 20), 2028) == 2  # this season's, still to be picked, is the other
    assert lying(picked + stored + used, date(2028, 2, 2), 2028) == 1
