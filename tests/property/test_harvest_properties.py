"""What holds of fruit after the pick, whatever the household: no weight comes or goes, and no day runs backwards."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from conftest import write_notes
from hypothesis import given, settings
from hypothesis import strategies as st

from firmripe.calendar.entries import expand
from firmripe.days import WorkingYear
from firmripe.harvest.allotting import Claim, allot, key_of
from firmripe.harvest.crop import Crop
from firmripe.harvest.eating import eaten
from firmripe.harvest.following import follow
from firmripe.harvest.lots import LEAST_KG, Goes, Lot
from firmripe.harvest.shares import divide
from firmripe.harvest.takeouts import NoTakeOut, take_outs
from firmripe.holding.place import Ground, Place, Share, Space, Wanted
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import POUND, Part, Weight, read_amount, total
from firmripe.reading.reader import read_holding
from firmripe.season.season import SeasonModel

PICK = date(2027, 9, 1)


def note(*lines: str) -> str:
    """Return a note of these lines of front matter."""
    return "\n".join(["---", *lines, "---", ""])


@st.composite
def households(draw: st.DrawFn) -> tuple[dict[str, str], date]:
    """Draw a household of two trees with spaces, own weights, this year's pickings and what was taken out."""
    cold = draw(st.integers(0, 40))
    kind = [
        "name: Hardpear",
        "fruit: pear",
        f"conditioning: [{{value: {cold} days, at: 31 F}}, {{value: {cold // 2} days, at: 41 F}}]",
        f"conditioning late: [{{value: {cold // 3} days, at: 31 F}}]",
        f"counter: {draw(st.integers(0, 9))} days",
        f"keeps ripe: {draw(st.integers(0, 4))} days",
    ]
    if draw(st.booleans()):
        kind.append(f"keeps: {draw(st.integers(1, 200))} days")
    kind.append(f"passes: {draw(st.integers(1, 4))}")
    if draw(st.booleans()):
        kind.append(f"pass interval: {draw(st.integers(1, 9))} days")
    spaces = [f"{{name: fridge, temperature: {draw(st.integers(30, 44))} F, holds: {draw(st.integers(1, 9))} boxes}}"]
    spaces += draw(st.sampled_from([[], ["{name: house, temperature: 68 F}"], ["{name: cellar, temperature: 48 F}"]]))
    rows = [f"2026-09-0{day},{tree},first pick,{draw(st.integers(1, 90))} lb," for tree in "AB" for day in (1,)]
    day = PICK
    for step in range(draw(st.integers(0, 3))):
        amount = draw(
            st.sampled_from(
                ["", "31 lb", "2 boxes", "20 lb keepers + 5 lb use now + 3 lb culls", "1-2 boxes", "a heap"]
            )
        )
        rows.append(f"{day},A,{'first pick' if not step else 'pick'},{amount},")
        day += timedelta(days=draw(st.integers(1, 8)))
    for _ in range(draw(st.integers(0, 3))):
        day += timedelta(days=draw(st.integers(0, 30)))
        what = draw(st.sampled_from(["taken out", "taken out", "lost", "shared", "sold", "used up"]))
        rows.append(f"{day},A,{what},{draw(st.sampled_from(['', '1 box', '12.5 lb', '900 lb', '4 lb culls']))},")
    notes = {
        "place.md": note("zone: 6a", f"box: {draw(st.integers(10, 40))} lb", f"spaces: [{', '.join(spaces)}]"),
        "fruits/pear.md": note("name: Pear", "ripens off the tree: yes"),
        "cultivars/hardpear.md": note(*kind),
        "trees/A.md": note("cultivar: Hardpear", f"pinned: [{{pick: {PICK}}}]"),
        "trees/B.md": note("cultivar: Hardpear", f"pinned: [{{pick: {PICK + timedelta(days=3)}}}]"),
        "records/r.csv": "\n".join(["date,tree,what,amount,note", *rows, ""]),
    }
    return notes, PICK + timedelta(days=draw(st.integers(-60, 250)))


def lots_of(household: tuple[Mapping[str, str], date]) -> dict[Bearing, Lot]:
    """Return the lots of a household."""
    notes, day = household
    with tempfile.TemporaryDirectory() as top:
        shelf = Path(top) / "shelf"
        shelf.mkdir()
        holding = read_holding(write_notes(Path(top) / "home", notes), shelf)
    return follow(SeasonModel(holding, WorkingYear(year=2027), day).season())


@settings(max_examples=60)
@given(households())
def test_every_batch_gives_out_exactly_what_was_put_in(household: tuple[dict[str, str], date]) -> None:
    """From a batch into its take-outs nothing is lost and nothing comes to it, at either end of the range."""
    for lot in lots_of(household).values():
        for batch in lot.batches:
            parts = [out.weight for out in batch.outs if out.weight is not None]
            if batch.weight is not None and len(parts) == len(batch.outs):
                assert total(parts) == batch.weight


@settings(max_examples=60)
@given(households())
def test_what_is_gone_weighs_no_more_than_was_noted(household: tuple[dict[str, str], date]) -> None:
    """No line takes out of the store what it does not tell of, and what is left is the rest of what was picked."""
    notes, day = household
    box = read_amount(notes["place.md"].split("box: ")[1].split("\n")[0])[0].low * POUND / POUND
    told = Fraction(0)
    for row in (line.split(",") for line in notes["records/r.csv"].splitlines()[1:]):
        if row[2] in {"lost", "shared", "sold", "used up"} and date.fromisoformat(row[0]) <= day:
            parts = read_amount(row[3])
            if row[2] == "used up" and not parts:
                return
            told += sum((part.low * box if part.measure else part.low for part in parts), Fraction(0))
    lot = lots_of(household).get(Bearing("A", "hardpear"))
    batches = lot.batches if lot else ()  # none where all of it was lost before a pick
    gone = [out.weight.middle for batch in batches for out in batch.outs if out.gone and out.weight is not None]
    assert sum(gone, Fraction(0)) <= told


@settings(max_examples=60)
@given(households())
def test_planned_pickings_add_up_to_the_crop(household: tuple[dict[str, str], date]) -> None:
    """A tree of which nothing is picked yet gives in all its pickings and grades what it is expected to give."""
    lot = lots_of(household).get(Bearing("B", "hardpear"))
    if lot is None:  # all of it was lost before a pick
        assert ",B,lost," in household[0]["records/r.csv"]
        return

    assert isinstance(lot.crop, Crop)
    assert total([batch.weight for batch in lot.batches if batch.weight is not None]) == lot.crop.weight


@settings(max_examples=60)
@given(households())
def test_noted_pickings_weigh_what_was_noted(household: tuple[dict[str, str], date]) -> None:
    """The grades of a noted picking add up to the weight of its line, and its boxes to boxes."""
    notes, day = household
    box = {"box": total([p.weight({}) or Weight.of(0) for p in read_amount(notes["place.md"].split("box: ")[1][:5])])}
    rows = [line.split(",") for line in notes["records/r.csv"].splitlines() if ",A," in line and "pick" in line]
    said = [read_amount(row[3]) for row in rows if row[0].startswith("2027") and date.fromisoformat(row[0]) <= day]
    lot = lots_of(household).get(Bearing("A", "hardpear"))
    if lot is None:
        assert ",A,lost," in notes["records/r.csv"]  # all of it was lost before a pick
        assert not said
        return

    for number, parts in enumerate(said, start=1):
        batches = [batch for batch in lot.batches if batch.picking == number]
        assert batches
        if parts:
            whole = total([weight for part in parts if (weight := part.weight(box)) is not None])
            assert total([batch.weight for batch in batches if batch.weight is not None]) == whole


@settings(max_examples=60)
@given(households())
def test_no_lot_runs_backwards(household: tuple[dict[str, str], date]) -> None:
    """Nothing is ready before it is picked, or out before, or to be used up before it is ready."""
    order = (Stage.PICK, Stage.TAKE_OUT, Stage.READY, Stage.USE_BY)
    for lot in lots_of(household).values():
        for batch in lot.batches:
            days = [batch.days[stage] for stage in order if stage in batch.days]
            for earlier, later in pairwise(days):
                assert earlier.likely <= later.likely
            assert all(out.day >= batch.picked.likely for out in batch.outs)
            assert all(out.ready is None or out.ready.earliest >= out.day for out in batch.outs)


@settings(max_examples=60)
@given(households())
def test_nothing_is_planned_to_stay_past_its_limit(household: tuple[dict[str, str], date]) -> None:
    """No planned take-out lies past the last day in the cold, unless the fruit needs cold, or was out, past it."""
    for lot in lots_of(household).values():
        for batch in lot.batches:
            keep = batch.days.get(Stage.KEEP_UNTIL)
            if keep is None:
                continue
            noted = max((out.day for out in batch.outs if out.noted), default=batch.picked.likely)
            if batch.is_gone:
                continue
            latest = max(keep.likely, batch.days[Stage.TAKE_OUT].likely, noted + timedelta(days=1))
            assert all(out.day <= latest for out in batch.outs)


@settings(max_examples=60)
@given(households())
def test_a_lot_has_the_days_of_its_first_picking(household: tuple[dict[str, str], date]) -> None:
    """Tasks hang on the lot's days, the store shows the batch's: they are the same, of the first that is not gone."""
    for lot in lots_of(household).values():
        after = {stage: day for stage, day in lot.days.items() if stage is not Stage.PICK}
        assert any(after.items() <= batch.days.items() for batch in lot.batches)
        assert lot.days[Stage.PICK] == lot.pickings[0].day


@settings(max_examples=40)
@given(households(), st.integers(-20, 20), st.integers(20, 36))
def test_no_planned_picking_waits_for_a_freeze_that_harms(
    household: tuple[dict[str, str], date], off: int, fahrenheit: int
) -> None:
    """What can be moved is planned for a day before it, no weight is lost, and what it does not harm stays."""
    notes, _ = household
    day = PICK + timedelta(days=off)
    night = day + timedelta(days=4)
    with_freeze = dict(notes)
    with_freeze["records/r.csv"] += f"{night},B,freeze forecast,{fahrenheit} F,\n"
    with_freeze["trees/B.md"] = note("cultivar: Hardpear")
    without = {**notes, "trees/B.md": with_freeze["trees/B.md"]}
    bearing = Bearing("B", "hardpear")
    before, after = lots_of((without, day)).get(bearing), lots_of((with_freeze, day)).get(bearing)
    if before is None or after is None:
        assert before is after
        return
    weights = [[batch.weight for batch in lot.batches if batch.weight is not None] for lot in (before, after)]
    assert total(weights[0]) == total(weights[1])
    moved = {batch.picked.likely for batch in after.batches}
    if moved != {batch.picked.likely for batch in before.batches}:
        assert fahrenheit <= 32
        assert max(moved) < night


@settings(max_examples=40)
@given(households(), st.integers(0, 260))
def test_what_is_wanted_is_taken_out_inside_its_storage(household: tuple[dict[str, str], date], after: int) -> None:
    """Never before it is conditioned or past its last day; a want unmet has its reason."""
    wanted = Wanted(cultivar="hardpear", day=PICK + timedelta(days=after))
    (answer,) = take_outs((wanted,), lots_of(household))
    if isinstance(answer, NoTakeOut):
        assert answer.reason
        return
    batch = answer.batch
    assert answer.day >= batch.days.get(Stage.CONDITIONED, batch.picked).likely
    assert Stage.KEEP_UNTIL not in batch.days or answer.day <= batch.days[Stage.KEEP_UNTIL].likely
    assert answer.day + timedelta(days=answer.counter_d) == wanted.day


@settings(max_examples=40)
@given(households(), st.lists(st.tuples(st.integers(0, 200), st.integers(0, 60), st.booleans()), max_size=5))
def test_what_is_claimed_comes_from_what_is_there(
    household: tuple[dict[str, str], date], asked: list[tuple[int, int, bool]]
) -> None:
    """However much is claimed of a batch, its parts weigh what it does, and nothing that is gone comes back."""
    lots = lots_of(household)
    batches = [batch for lot in lots.values() for batch in lot.batches]
    claims = [
        Claim(
            of=key_of(batches[at % len(batches)]),
            day=PICK + timedelta(days=at),
            used=PICK + timedelta(days=at + 5),
            ready=PICK + timedelta(days=at + 5),
            kg=Fraction(pounds) * POUND,
            to=Goes.KITCHEN if kitchen else Goes.WANTED,
            why="",
        )
        for at, pounds, kitchen in asked
    ]
    for bearing, lot in allot(lots, claims).items():
        for before, batch in zip(lots[bearing].batches, lot.batches, strict=True):
            parts = [out.weight for out in batch.outs if out.weight is not None]
            if before.weight is not None and len(parts) == len(batch.outs):
                assert total(parts) == before.weight
            assert [out for out in batch.outs if out.gone] == [out for out in before.outs if out.gone]
            taken = [out.weight.middle for out in batch.outs if out.to in {Goes.KITCHEN, Goes.WANTED} and out.weight]
            most = sum((claim.kg for claim in claims if claim.of == key_of(batch)), Fraction(0))
            assert sum(taken, Fraction(0)) <= most + LEAST_KG * len(claims)


@settings(max_examples=40)
@given(households(), st.integers(1, 40))
def test_what_is_eaten_weighs_what_lay_there(household: tuple[dict[str, str], date], pounds: int) -> None:
    """At any rate a batch gives out what was put in, never before its first day out nor past its last."""
    rate = Part(low=pounds * POUND, high=pounds * POUND)
    place = Place(name="Home", ground=Ground(), spaces=(Space(name="fridge", eats=rate),))
    lots = lots_of(household)
    for bearing, lot in eaten(lots, place).items():
        for before, batch in zip(lots[bearing].batches, lot.batches, strict=True):
            parts = [out.weight for out in batch.outs if out.weight is not None]
            if before.weight is not None and len(parts) == len(batch.outs):
                assert total(parts) == before.weight
            if batch.outs != before.outs:
                assert min(out.day for out in batch.outs) >= min(out.day for out in before.outs)
                assert batch.last_out <= max(before.last_out, before.days[Stage.KEEP_UNTIL].likely)


@settings(max_examples=40)
@given(households())
def test_the_jobs_of_a_lot_stand_on_its_days(household: tuple[dict[str, str], date]) -> None:
    """Taking out, ready, use by and the last day are the same in the calendar as in the lot."""
    notes, day = household
    stages = (Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL)
    tasks = {f"tasks/t{at}.md": note(f"name: {s.value}", f"when: {s.value}") for at, s in enumerate(stages)}
    with tempfile.TemporaryDirectory() as top:
        shelf = Path(top) / "shelf"
        shelf.mkdir()
        holding = read_holding(write_notes(Path(top) / "home", {**notes, **tasks}), shelf)
    season = SeasonModel(holding, WorkingYear(year=2027), day).season()
    lots = follow(season)
    entries = {(e.task.name, e.bearings[0]): e.days for e in expand(season, lots).entries}

    assert entries == {
        (stage.value, bearing): (lot.days[stage].likely,)
        for bearing, lot in lots.items()
        for stage in stages
        if stage in lot.days and stage not in lot.settled
    }


@given(
    st.integers(0, 10**7),
    st.integers(0, 10**7),
    st.lists(st.integers(1, 50), min_size=1, max_size=9),
    st.integers(1, 60),
    st.integers(0, 20),
)
def test_shares_and_their_rest_are_the_whole(low: int, more: int, parts: list[int], box: int, undivided: int) -> None:
    """Dues and rest add up exactly; all full boxes are given, no house is a whole one off, the loose fill none."""
    whole = Weight(low=Fraction(low, 997), high=Fraction(low + more, 997))
    shares = [Share(name=str(i), part=Fraction(part, sum(parts) + undivided)) for i, part in enumerate(parts)]
    dues, rest = divide(whole, shares, box * POUND)

    assert total([*(due.weight for due in dues), rest]) == whole
    full = sum(due.boxes for due in dues)
    if full:
        assert 0 <= sum(due.weight.middle for due in dues) - full * box * POUND < box * POUND
        assert all(due.boxes * box * POUND == due.weight.middle + due.over for due in dues)
        assert all(abs(due.over) < box * POUND for due in dues)
    else:
        assert not any(due.over for due in dues)
        assert any(due.weight.middle < box * POUND for due in dues)


@given(st.lists(st.tuples(st.integers(0, 500), st.sampled_from(["lb", "kg", "oz", "g"])), min_size=1, max_size=6))
def test_parts_of_an_amount_add_up(parts: list[tuple[int, str]]) -> None:
    """An amount of several parts weighs what its parts weigh each alone."""
    words = [f"{number} {unit}" for number, unit in parts]
    together = [part.weight({}) for part in read_amount(" + ".join(words))]
    alone = [read_amount(word)[0].weight({}) for word in words]

    assert together == alone
