"""Tasks and the days they hang on, as written."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from firmripe.days import Hemisphere, MonthDay
from firmripe.holding.holding import Holding
from firmripe.holding.task import Anchor, Condition, Each, Stage, Task, Thing, Topic
from firmripe.problems import FaultyNotes, Unreadable
from firmripe.reading.tasks import parse_anchor, parse_last_anchor

Reading = Callable[..., Holding]


def note(*front: str) -> str:
    return "\n".join(["---", *front, "---", ""])


def task_of(holding_of: Reading, *front: str, files: Mapping[str, str] | None = None) -> Task:
    """Return the task of a household's note of these lines."""
    notes = {"trees/1-01.md": note("cultivar: Bartlett"), "tasks/our-task.md": note(*front)}
    found = [task for task in holding_of({**notes, **(files or {})}).tasks if task.key == "our-task"]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize(
    ("text", "stage", "months", "days"),
    [
        ("full bloom", Stage.FULL_BLOOM, 0, 0),
        ("Earliest  Pick", Stage.EARLIEST_PICK, 0, 0),
        ("at the latest pick", Stage.LATEST_PICK, 0, 0),
        ("at full bloom", Stage.FULL_BLOOM, 0, 0),
        ("5 weeks after full bloom", Stage.FULL_BLOOM, 0, 35),
        ("1 day before ready", Stage.READY, 0, -1),
        ("2 months before last frost", Stage.LAST_FROST, -2, 0),
        ("10 days after the petal fall", Stage.PETAL_FALL, 0, 10),
    ],
)
def test_a_task_hangs_on_a_stage(text: str, stage: Stage, months: int, days: int) -> None:
    """Before counts down, a month stays a month of the calendar, and small words are let be."""
    anchor = parse_anchor(text)
    assert (anchor.stage, anchor.months, anchor.days, anchor.day) == (stage, months, days, None)


@pytest.mark.parametrize(
    ("text", "day", "days"),
    [
        ("Mar 1", MonthDay(3, 1), 0),
        ("on 1 March", MonthDay(3, 1), 0),
        ("mid-August", MonthDay(8, 11), 0),
        ("2 weeks before Feb 29", MonthDay(2, 29), -14),
        ("September", MonthDay(9, 1), 0),
    ],
)
def test_a_task_hangs_on_a_day_of_the_year(text: str, day: MonthDay, days: int) -> None:
    """Of a stretch, on its first day."""
    anchor = parse_anchor(text)
    assert (anchor.day, anchor.days, anchor.stage) == (day, days, None)


@pytest.mark.parametrize(("text", "day"), [("mid-August", 20), ("August", 31), ("Aug 5", 5)])
def test_a_task_lasts_until_the_end_of_a_stretch(text: str, day: int) -> None:
    """Its last day is the last of what is named."""
    assert parse_last_anchor(text).day == MonthDay(8, day)


@pytest.mark.parametrize(
    ("front", "last"),
    [
        (["when: Aug 20 - Sep 5"], MonthDay(9, 5)),
        (["when: 2 days before Aug 20 to Sep 5"], MonthDay(9, 5)),
        (["when: Aug 20 - Sep 5", "until: Sep 1"], MonthDay(9, 1)),
        (["when: mid-August"], None),
        (["when: last day to buy jars"], None),
    ],
)
def test_a_first_and_a_last_day_in_one_are_both_read(
    holding_of: Reading, front: list[str], last: MonthDay | None
) -> None:
    """No day that is written is passed over; a word for a part of a month is the day that the job begins."""
    until = task_of(holding_of, *front).until
    assert (until and until.day) == last


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("5 weeks after ful bloom", 'did you mean "full bloom"?'),
        (
            "picking",
            "write a stage or a day, as 2 weeks before earliest pick, full bloom or Mar 1; stages are full bloom,",
        ),
        ("1000 days after pick", "write a stage or a day"),
        ("5 weeks full bloom", 'did you mean "full bloom"?'),
        ("", "write a stage or a day"),
    ],
)
def test_a_day_that_is_no_day_is_told_with_the_nearest_stage(text: str, hint: str) -> None:
    """Or with all of them."""
    with pytest.raises(Unreadable) as raised:
        parse_anchor(text)
    assert raised.value.message == f'"{text}" is neither a stage nor a day of the year'
    assert raised.value.hint.startswith(hint)


@pytest.mark.parametrize("kept", [{}, {"stage": Stage.PICK, "day": MonthDay(3, 1)}])
def test_an_anchor_hangs_on_one_thing(kept: dict[str, Stage | MonthDay]) -> None:
    """On a stage or on a day, never on both or neither."""
    with pytest.raises(ValueError, match="an anchor hangs on a stage or on a day of the year"):
        Anchor(text="x", **kept)  # type: ignore[arg-type]


def test_a_task_of_one_line_has_the_usual_for_the_rest(holding_of: Reading) -> None:
    """In the orchard, for every tree, and named for its file."""
    task = task_of(holding_of, "when: full bloom")
    assert (task.name, task.topic, task.each, task.subjects) == ("Our task", Topic.ORCHARD, Each.TREE, frozenset())
    assert (task.until, task.every, task.zone, task.reminder, task.only_if) == (None, None, None, False, frozenset())


def test_everything_that_can_be_said_of_a_task_is_read(holding_of: Reading) -> None:
    """Each key finds its place."""
    task = task_of(
        holding_of,
        "name: Sort the boxes",
        "topic: store",
        "for: [pear, Bosc, 1-01]",
        "each: place",
        "when: 3 days after pick",
        "until: keep until",
        "every: 1 week",
        "zone: 6b",
        "only if: [needs cold, ripens off the tree]",
        "reminder: yes",
        "who: sorting",
        "bring: [lamp, knife]",
        "why: one bad pear spoils a box",
        "look for: [soft spots, mould]",
        "cautions: lift with the knees",
    )
    assert (task.topic, task.each, str(task.every), str(task.zone)) == (Topic.STORE, Each.PLACE, "every week", "6b")
    assert task.subjects == {"european-pear", "bosc", "1-01"}
    assert task.only_if == {Condition.NEEDS_COLD, Condition.RIPENS_OFF}
    assert (task.reminder, task.who, task.bring) == (True, "sorting", (Thing(name="lamp"), Thing(name="knife")))
    assert [figure.text for figure in task.look_for] == ["soft spots", "mould"]
    assert (task.why[0].text, task.cautions[0].text) == ("one bad pear spoils a box", "lift with the knees")


def test_a_southern_households_day_is_written_for_the_south(holding_of: Reading) -> None:
    """The shelf's is written for the north, and a household's note over it mends only what it says."""
    place = {"place.md": note("latitude: 41.2 S")}
    own = task_of(holding_of, "when: Mar 1", "until: Apr 1", files=place)
    assert own.until is not None
    assert {own.when.written_for, own.until.written_for} == {Hemisphere.SOUTH}


def test_a_households_note_lies_over_the_shelfs_task(holding_of: Reading) -> None:
    """What it leaves out stays as the shelf has it."""
    task = task_of(holding_of, "when: full bloom", files={"tasks/start-checking.md": note("who: Maud")})
    assert task.key == "our-task"
    tree = {"trees/1-01.md": note("cultivar: Bartlett")}
    plain = {task.key: task for task in holding_of(tree).tasks}["start-checking"]
    laid = {task.key: task for task in holding_of({**tree, "tasks/start-checking.md": note("who: Maud")}).tasks}[
        "start-checking"
    ]
    assert (laid.who, laid.when, laid.why) == ("Maud", plain.when, plain.why)


def test_a_shelf_task_is_skipped_by_a_household(holding_of: Reading) -> None:
    """Without saying anything else of it."""
    notes = {"trees/1-01.md": note("cultivar: Bartlett"), "tasks/start-checking.md": note("skip: yes")}
    assert "start-checking" not in {task.key for task in holding_of(notes).tasks}


@pytest.mark.parametrize(
    ("front", "message"),
    [
        (("name: Sort",), "a task does not say when"),
        (("when: ful bloom",), '"ful bloom" is neither a stage nor a day of the year'),
        (("when: Mar 1", "topic: garden"), '"garden" is not known here'),
        (("when: Mar 1", "each: box"), '"box" is not known here'),
        (("when: Mar 1", "every: fortnight"), '"fortnight" is not a rhythm'),
        (("when: Mar 1", "only if: [bears, hungry]"), '"hungry" is not known here'),
        (("when: Mar 1", "for: [9-99]"), '"9-99" is no fruit, cultivar or tree'),
        (("when: Mar 1", "reminder: maybe"), '"maybe" is neither yes nor no'),
        (("when: Mar 1", "wen: Apr 1"), 'the key "wen" is not known'),
    ],
)
def test_a_faulty_task_is_told_and_not_left_out_in_silence(
    holding_of: Reading, front: tuple[str, ...], message: str
) -> None:
    """A missing task looks like no work."""
    with pytest.raises(FaultyNotes) as raised:
        task_of(holding_of, *front)
    assert [problem.message for problem in raised.value.problems] == [message]
