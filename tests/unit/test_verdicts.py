"""What verdicts on fruit teach: only where its own days leave one cause, by a stated prior, and gone with the note."""

from __future__ import annotations

from datetime import date
from gettext import NullTranslations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from season_notes import estimate, moved_by, note, read, table

from firmripe.days import DayCount, WorkingYear
from firmripe.harvest.following import follow
from firmripe.harvest.own import drawn_on
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.verdict import CAUSES, Cause, Fault, heard
from firmripe.publish.verdict_words import answer, open_verdicts, prior_words, question, taught
from firmripe.season.season import Season, SeasonModel
from firmripe.season.verdicts import PICK_OFF_D, Judged
from firmripe.tongue import IN_ENGLISH, Tongue

BARE = {
    "place.md": note("zone: 6a", "spaces: [{name: kitchen, temperature: 66 F}, {name: cellar, temperature: 38 F}]"),
    "fruits/pear.md": note("name: Pear", "ripens off the tree: yes"),
    "cultivars/hardpear.md": note(
        "name: Hardpear",
        "fruit: pear",
        "conditioning: [{value: 20 days, at: 38 F}]",
        "counter: {value: 5 days, at: 65 F}",
        "ripens poorly above: 75 F",
        "firmness at pick: 13-16 lbf",
        "keeps ripe: 3 days",
        "keeps: 100 days",
    ),
    "trees/A.md": note("cultivar: Hardpear"),
    "trees/B.md": note("cultivar: Hardpear"),
}
A = Bearing("A", "hardpear")
DAY = date(2027, 8, 1)


def holding(top: Path, *rows: str, kind: str = "") -> Holding:
    """Return a household of two pear trees, of which A was picked on 10 September in other years."""
    usual = (f"{year}-09-10,A,first pick,44 lb," for year in (2022, 2023, 2024))
    notes = {**BARE, "records/all.csv": table(*usual, *rows)}
    if kind:
        notes["cultivars/hardpear.md"] = notes["cultivars/hardpear.md"].replace("keeps: 100 days", kind)
    return read(top, notes)


def season(top: Path, *rows: str, kind: str = "") -> Season:
    return SeasonModel(holding(top, *rows, kind=kind), WorkingYear(year=2027), DAY).season()


def judged(top: Path, *rows: str, kind: str = "") -> Judged:
    (one,) = season(top, *rows, kind=kind).verdicts[A]
    return one


def days_of(found: Season, stage: Stage) -> int:
    """Return how many days after its pick a stage of tree A's fruit is."""
    lot = follow(found)[A]
    return (lot.days[stage].likely - lot.days[Stage.PICK].likely).days


# Words


@pytest.mark.parametrize(
    ("text", "faults", "told", "ruled_out"),
    [
        ("brown at the core", {Fault.BROWN_CORE}, set(), set()),
        ("the last box went soft at the core", {Fault.BROWN_CORE}, set(), set()),
        ("Mealy, picked too late", {Fault.MEALY}, {Cause.PICKED_LATE}, set()),
        ("not mealy", set(), set(), set()),
        ("never softened; not too warm, no closed bag", {Fault.HARD}, set(), {Cause.HEAT, Cause.CLOSED_BAG}),
        ("shrivelled and stayed hard", {Fault.SHRIVELED, Fault.HARD}, set(), set()),
        ("a core of friends came by", set(), set(), set()),
        ("cellar apples wrinkled but sweet", set(), set(), set()),
    ],
)
def test_words_of_a_verdict(text: str, faults: set[Fault], told: set[Cause], ruled_out: set[Cause]) -> None:
    """Faults, causes named and causes denied, in plain words."""
    found = heard(text, Tongue())
    assert (set(found.faults), set(found.told_causes), set(found.ruled_out)) == (faults, told, ruled_out)


def test_a_verdict_in_the_households_language() -> None:
    """The words are those that the site offers there, and English ones hold too."""

    class Spanish(NullTranslations):
        def gettext(self, message: str) -> str:
            return {"mealy": "harinosa", "picked late": "cosechada tarde"}.get(message, message)

    tongue = Tongue(code="es", translations=Spanish())
    assert heard("harinosa, cosechada tarde", tongue).told_causes == (Cause.PICKED_LATE,)
    assert heard("harinosa", tongue).faults == heard("mealy", tongue).faults == (Fault.MEALY,)


@pytest.mark.parametrize(("text", "good"), [("perfect", True), ("not good", False), ("good, but mealy", False)])
def test_what_is_good(text: str, good: bool) -> None:  # noqa: FBT001 - a case
    """Nothing denied, and nothing beside a fault."""
    assert heard(text, Tongue()).good is good


@given(st.text(max_size=300))
def test_any_text_is_understood_as_something_or_nothing(text: str) -> None:
    """No words make it fail, and what is denied is not said."""
    found = heard(text, Tongue())
    assert not (found.good and found.faults)
    assert heard(f"not {Fault.MEALY.value}; {text}", Tongue()).faults == found.faults


# The pick


def test_a_late_pick_moves_the_next_one_of_that_tree_sooner_and_says_why(tmp_path: Path) -> None:
    """Eaten from the counter, in a cool room, so that of the causes of a brown core the pick alone is left."""
    others = [f"{year}-09-10,B,first pick,," for year in (2022, 2023, 2024, 2025)]
    rows = ("2026-09-24,A,first pick,44 lb,", "2026-09-24,A,taken out,,", "2026-09-28,A,verdict,,brown at the core")
    before, after = season(tmp_path / "a", *others, *rows[:2]), season(tmp_path / "b", *others, *rows)
    (one,) = after.verdicts[A]

    assert one.cause is Cause.PICKED_LATE
    moved = (estimate(after, "A", "hardpear").likely - estimate(before, "A", "hardpear").likely).days
    assert -PICK_OFF_D < moved < 0
    by = moved_by(estimate(after, "A", "hardpear").reasons, "What verdicts say of earlier picks, of this tree")
    assert -PICK_OFF_D < by < 0
    other = [(estimate(found, "B", "hardpear").likely) for found in (before, after)]
    assert abs((other[1] - other[0]).days) <= abs(moved)
    (told,) = taught(after, A)
    assert "picked 24 Sep, 14 days later than expected" in told
    assert "of its causes this leaves: picked late." in told
    assert "7 days too late, give or take 3.5" in told
    assert "4 to 10 days" in prior_words(IN_ENGLISH)


def test_reasons_add_up_to_the_whole_shift_with_verdicts_among_them(tmp_path: Path) -> None:
    """As without them."""
    rows = ("2026-09-24,A,first pick,,", "2026-09-28,A,verdict,,picked too late")
    model = SeasonModel(holding(tmp_path, *rows), WorkingYear(year=2027), DAY)
    pick = estimate(model.season(judge_picks=False), "A", "hardpear")
    prior = model.occurrence(next(subject for subject in model.subjects if subject.bearing == A), Event.PICK)
    assert prior is not None
    assert WorkingYear(year=2027).date_of(prior.day + sum(r.days or 0 for r in pick.reasons)) == pick.likely


def test_more_years_say_more_than_the_prior_and_good_ones_speak_against_it(tmp_path: Path) -> None:
    """Two late years move further than one; a good year at the same day takes back more than half of one."""

    def line(year: int, word: str) -> tuple[str, str]:
        return f"{year}-09-20,A,first pick,,", f'{year}-09-28,A,verdict,,"{word}"'

    def pick(name: str, *words: str) -> float:
        rows = [row for n, word in enumerate(words) for row in line(2025 + n, word)]
        found = season(tmp_path / name, *rows)
        return moved_by(estimate(found, "A", "hardpear").reasons, "What verdicts say of earlier picks, of this tree")

    late = "brown at the core, picked late"
    one, two, with_good = pick("a", late, "eaten"), pick("b", late, late), pick("c", late, "perfect")
    assert two < one < 0
    assert one <= with_good < 0


def test_striking_the_note_takes_back_what_it_taught(tmp_path: Path) -> None:
    """To the day: whatever was learned is worked out from the records each time."""
    rows = ("2026-09-24,A,first pick,44 lb,", "2026-09-24,A,taken out,,")
    bad = "2026-09-28,A,verdict,,brown at the core"
    plain, taught_by, struck = (
        season(tmp_path / name, *lines)
        for name, lines in (("a", rows), ("b", (*rows, bad)), ("c", (*rows, f"# {bad}")))
    )
    assert plain.dates == struck.dates != taught_by.dates


@pytest.mark.parametrize(
    ("language", "words", "day"),
    [
        ("en", "last pick mealy", 30),
        ("en", "the last picking was mealy", 30),
        ("en", "first pick mealy", 10),
        ("en", "not the last pick, mealy", 10),
        ("es", "última recogida: harinosa", 30),
        ("es", "primera recogida: harinosa", 10),
        ("de", "letzte Pflücke mehlig", 30),
        ("de", "last pick mehlig", 30),
    ],
)
def test_the_picking_that_a_verdict_names_is_heard_in_the_households_language(
    tmp_path: Path, language: str, words: str, day: int
) -> None:
    """Its days in the cold are counted from that picking, and only the first teaches of the pick."""
    rows = ("2026-09-10,A,first pick,,", "2026-09-30,A,last pick,,", f'2026-11-05,A,verdict,,"{words}"')
    notes = {**BARE, "place.md": note("zone: 6a", f"language: {language}"), "records/all.csv": table(*rows)}
    found = SeasonModel(read(tmp_path, notes), WorkingYear(year=2027), DAY).season().verdicts[A][0]
    assert found.picking.day == date(2026, 9, day)
    assert found.is_first is ("first" in words or "primera" in words)


def test_a_late_pass_says_nothing_of_the_first(tmp_path: Path) -> None:
    """The last pick hung too long; the first was good, and is what the next year is reckoned from."""
    rows = (
        "2026-09-12,A,first pick,,",
        "2026-09-30,A,last pick,,",
        "2026-10-02,A,verdict,,first pick good",
        '2026-10-05,A,verdict,,"last pick brown at the core, picked late"',
    )
    found = season(tmp_path, *rows)
    assert [one.pick_off_d for one in found.verdicts[A]] == [0.0, 0.0]
    assert not moved_by(estimate(found, "A", "hardpear").reasons, "What verdicts say")


# Where more than one cause is left, the page asks


@pytest.mark.parametrize(
    ("rows", "left"),
    [
        # picked late and never cold: nothing but the pick, while the room is cool
        (("24,first pick", "24,taken out", "28,verdict,brown at the core"), {Cause.PICKED_LATE}),
        # long in the cold besides
        (
            ("24,first pick", "95,taken out", "99,verdict,brown at the core"),
            {Cause.PICKED_LATE, Cause.LONG_COLD, Cause.CLOSED_BAG},
        ),
        # picked in time, half a month cold: the bag alone is left
        (("01,first pick", "15,taken out", "26,verdict,brown at the core"), {Cause.CLOSED_BAG}),
        # nobody noted when it came out: nothing of the cold is ruled out
        (("08,first pick", "26,verdict,never softened"), {Cause.PICKED_EARLY, Cause.SHORT_COLD, Cause.LONG_COLD}),
        # firm enough and soft enough at the pick: its day was no cause, whatever it was
        (("22,firmness", "24,first pick", "24,taken out", "28,verdict,brown at the core"), set()),
        (("24,firmness", "24,first pick", "24,taken out", "28,verdict,brown at the core"), set()),
        # what is read after the pick says nothing of its day
        (("24,first pick", "24,taken out", "25,firmness", "28,verdict,brown at the core"), {Cause.PICKED_LATE}),
        # on the very day: it may have been too early or too late, as years differ
        (("10,first pick", "10,taken out", "14,verdict,brown at the core"), {Cause.PICKED_LATE}),
        (("10,first pick", "45,taken out", "55,verdict,never softened"), {Cause.PICKED_EARLY}),
        (("20,first pick", "45,taken out", "55,verdict,never softened"), {Cause.SHORT_COLD}),
    ],
)
def test_causes_that_the_days_of_a_batch_leave(tmp_path: Path, rows: tuple[str, ...], left: set[Cause]) -> None:
    """Days are counted from 1 September; the pick was to be looked for on the 10th."""
    lines = []
    for row in rows:
        number, what, *word = row.split(",")
        day = date.fromordinal(date(2026, 8, 31).toordinal() + int(number))
        amount = "14.5 lbf" if what == "firmness" else ""
        lines.append(f"{day},A,{what},{amount},{','.join(word)}")
    assert set(judged(tmp_path, *lines).causes) == left


def test_a_question_is_answered_by_its_own_line(tmp_path: Path) -> None:
    """It names the causes that are left and the line to send; once that is among the records it asks no more."""
    rows = ("2026-09-24,A,first pick,,", "2026-12-01,A,taken out,,", "2026-12-06,A,verdict,,brown at the core")
    found = season(tmp_path / "a", *rows)
    (one,) = open_verdicts(found, "A")
    line = answer(IN_ENGLISH, one, "A")

    assert line == '2026-12-06,A,verdict,"brown at the core, picked late"'
    assert "Which was it: picked late, too long in the cold, closed bag?" in question(found.holding, one)
    assert taught(found, A) == ()
    date_, tree, what, word = line.split(",", 3)
    answered = season(tmp_path / "b", *rows, f"{date_},{tree},{what},,{word}")
    assert open_verdicts(answered, "A") == []
    (told,) = taught(answered, A)
    assert "you say: picked late" in told


def test_one_tree_of_several_limbs_is_judged_limb_by_limb(tmp_path: Path) -> None:
    """A verdict that names a limb says nothing of the other."""
    notes = {
        **BARE,
        "cultivars/softpear.md": note("name: Softpear", "fruit: pear"),
        "trees/A.md": note("limbs: [Hardpear, Softpear]"),
        "records/all.csv": "date,tree,cultivar,what,note\n2026-09-24,A,Hardpear,first pick,\n"
        "2026-09-24,A,Softpear,first pick,\n2026-09-28,A,Softpear,verdict,mealy\n",
    }
    found = SeasonModel(read(tmp_path, notes), WorkingYear(year=2027), DAY).season()
    assert set(found.verdicts) == {Bearing("A", "softpear")}


# Cold, counter, keeping


def test_too_little_cold_asks_for_ten_days_more(tmp_path: Path) -> None:
    """Twenty days as told and never soft: (20 + 30) / 2. With fewer days than told, what is told stays."""
    told = ("2026-09-22,A,first pick,,", "2026-10-12,A,taken out,,", "2026-10-20,A,verdict,,never softened")
    short = ("2026-09-22,A,first pick,,", "2026-09-30,A,taken out,,", "2026-10-08,A,verdict,,never softened")
    assert days_of(season(tmp_path / "a"), Stage.CONDITIONED) == 20
    assert days_of(season(tmp_path / "b", *told), Stage.CONDITIONED) == 25
    assert days_of(season(tmp_path / "c", *short), Stage.CONDITIONED) == 20


def test_cold_is_never_learned_past_the_limit_of_keeping(tmp_path: Path) -> None:
    """However many years say more."""
    rows = [
        f"{year}-{line}"
        for year in (2023, 2024, 2025, 2026)
        for line in ("09-10,A,pick,,", "11-20,A,taken out,,", '12-05,A,verdict,,"never softened, too little cold"')
    ]
    free, kept = season(tmp_path / "a", *rows), season(tmp_path / "b", *rows, kind="keeps: 45 days")
    assert days_of(free, Stage.CONDITIONED) > 45
    assert days_of(kept, Stage.CONDITIONED) <= 45


def test_fruit_that_failed_in_long_cold_is_out_sooner_and_never_later_than_published(tmp_path: Path) -> None:
    """It had kept for two thirds of 90 days; with the published 100 that is a limit of 80."""
    rows = ("2026-09-09,A,first pick,,", "2026-12-08,A,taken out,,", '2026-12-12,A,verdict,,"mealy, stored too long"')
    assert days_of(season(tmp_path / "a"), Stage.KEEP_UNTIL) == 100
    assert days_of(season(tmp_path / "b", *rows), Stage.KEEP_UNTIL) == 80
    assert days_of(season(tmp_path / "c", *rows, kind="keeps: 50 days"), Stage.KEEP_UNTIL) <= 50


def test_fruit_left_too_long_on_the_counter_is_no_witness_for_more_days_there(tmp_path: Path) -> None:
    """Noted as ready after 11 days and mealy: the printed 5 stay."""
    rows = ("2026-09-09,A,first pick,,", "2026-09-29,A,taken out,,", "2026-10-10,A,ready,,")
    late = '2026-10-12,A,verdict,,"mealy, too long on the counter"'
    plain, after = season(tmp_path / "a", *rows), season(tmp_path / "b", *rows, late)
    assert days_of(plain, Stage.READY) - days_of(plain, Stage.TAKE_OUT) == 8
    assert days_of(after, Stage.READY) - days_of(after, Stage.TAKE_OUT) == 5


def test_own_days_gather_about_their_mean() -> None:
    """Printed days count as one year; the range is as wide as the years lie about the mean."""
    assert drawn_on(DayCount(low=15, high=15), []) == DayCount(low=15, high=15)
    assert drawn_on(DayCount(low=30, high=30), [40]) == DayCount(low=30, high=40)
    many = drawn_on(DayCount(low=30, high=30), [40] * 30)
    assert 39 <= many.middle <= 40
    assert drawn_on(None, [4, 9]) == DayCount(low=4, high=9)


def test_every_fault_has_causes_and_every_cause_its_words() -> None:
    """So that each is asked about, and each answer is understood."""
    assert set(CAUSES) == set(Fault)
    for cause in Cause:
        assert cause in heard(f"mealy, {cause.value}", Tongue()).told_causes
        assert cause in heard(f"mealy, not {cause.value}", Tongue()).ruled_out
    for fault in Fault:
        assert heard(fault.value, Tongue()).faults == (fault,)
