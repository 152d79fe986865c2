"""Whatever is sprayed, frozen or taken out, no job among the trees breaks a label, a re-entry time or a removal."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "unit"))

from one_tree import plan_of_notes
from season_notes import note

from firmripe.calendar.among_trees import AmongTrees
from firmripe.calendar.reentry import days_closed
from firmripe.days import Span
from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import gone_by
from firmripe.holding.task import Stage, Topic
from firmripe.season.estimate import Estimate

AS_OF = date(2027, 8, 25)
KIND = ("name: %s", "fruit: pear", "windows: [{pick: Sep 1, place: here}]")
SPRAYS = st.builds(
    lambda day, tree, wait, hours: f'{day},{tree},,spray,"{wait} days, re-entry {hours} hours",',
    st.dates(date(2027, 8, 10), AS_OF),
    st.sampled_from(["A", "B", "C", ""]),
    st.integers(0, 20),
    st.sampled_from([4, 12, 24, 48, 96]),
)
TAKEN_OUT = st.builds(
    lambda day, limb: f"{day},{limb},removed,,",
    st.dates(date(2027, 8, 1), AS_OF),
    st.sampled_from(["A,", "B,", "C,Soft", "C,Hard", "C,"]),
)
OTHERS = st.sampled_from(["2027-08-30,,,freeze forecast,20 F,", "2027-08-20,A,,no crop,,", "2027-08-24,B,,pick,9 lb,"])


def days_of(span: Span) -> list[date]:
    """Return all days of a span."""
    return [span.first + timedelta(days=n) for n in range((span.last - span.first).days + 1)]


ROWS = st.lists(st.one_of(SPRAYS, SPRAYS, TAKEN_OUT, OTHERS), max_size=6, unique=True)
JOBS = st.lists(
    st.tuples(
        st.sampled_from(["tree", "cultivar", "fruit", "place"]),
        st.sampled_from([("when: Aug 12", "until: Sep 5", "every: 2 days"), ("when: Aug 22",), ("when: pick",)]),
    ),
    min_size=1,
    max_size=3,
    unique=True,
)


def notes_of(rows: list[str], jobs: list[tuple[str, tuple[str, ...]]]) -> dict[str, str]:
    """Return the notes of three trees with these lines of records and these jobs."""
    return {
        "fruits/pear.md": note("name: Pear"),
        "cultivars/hard.md": note(*(line % "Hard" if "%" in line else line for line in KIND)),
        "cultivars/soft.md": note(*(line % "Soft" if "%" in line else line for line in KIND)),
        "trees/A.md": note("cultivar: Hard"),
        "trees/B.md": note("cultivar: Hard"),
        "trees/C.md": note("limbs: [Hard, Soft]"),
        "records/2027.csv": "\n".join(["date,tree,cultivar,what,amount,note", *rows, ""]),
        **{f"tasks/t{n}.md": note(f"name: T{n}", f"each: {each}", *when) for n, (each, when) in enumerate(jobs)},
    }


@given(rows=ROWS, jobs=JOBS)
@settings(max_examples=80, deadline=None)
def test_no_job_breaks_a_label_a_re_entry_time_or_a_removal(
    rows: list[str], jobs: list[tuple[str, tuple[str, ...]]]
) -> None:
    """A tree that is closed on a day of a job is left out by name, and one that is gone has no day at all.

    The label and the re-entry time stand above everything, then a removal, then a freeze.
    """
    notes = notes_of(rows, jobs)
    with tempfile.TemporaryDirectory() as top:
        plan = plan_of_notes(Path(top), notes, as_of=AS_OF)
    records = [record for record in plan.holding.records if record.what is Happening.SPRAY]
    gone = gone_by(plan.holding.trees, plan.holding.records, AS_OF)
    for entry in plan.calendar.entries:
        if entry.task.topic is not Topic.ORCHARD or not entry.bearings:
            continue
        trees = {bearing.tree for bearing in entry.bearings}
        left_out = {one.tree for one in entry.waiting}
        for day in entry.days:
            closed = {tree for tree in trees for r in records if r.tree in {"", tree} and day in days_closed(r)}
            standing = {b.tree for b in entry.bearings if gone.get((b.tree, b.cultivar), date.max) > day}
            # What was closed on a day that is over is left out no more: the job goes on.
            assert closed <= left_out or day < AS_OF, (entry.identity, day)
            assert trees - closed, (entry.identity, day)
            assert standing or not entry.subject, (entry.identity, day)
        assert entry.stretches, entry.identity
        for stretch in entry.stretches:
            for day in days_of(stretch):
                closed = {tree for tree in trees for r in records if r.tree in {"", tree} and day in days_closed(r)}
                here = {b.tree for b in entry.bearings if gone.get((b.tree, b.cultivar), date.max) > day}
                assert not here or here - closed, (entry.identity, day)
        if entry.task.when.stage is Stage.PICK and len(trees) == 1:
            (tree,) = trees
            label = [r.day + timedelta(days=r.days_to_harvest or 0) for r in records if r.tree in {"", tree}]
            pick = plan.season.of(entry.bearings[0], Event.PICK)
            if isinstance(pick, Estimate) and not pick.is_over:
                assert entry.span.first >= max(label, default=date.min), entry.identity


class _OfAllTime(AmongTrees):
    """Looks at every spray of a job's trees, whenever that was."""

    def _sprays(self, trees: Iterable[str], _since: date) -> list[Record]:
        tags = {"", *trees}
        told = [record for record in self.records if record.tree in tags and record.day <= AS_OF]
        return [record for record in told if record.what is Happening.SPRAY and record.re_entry_h]


OLD_SPRAYS = st.lists(
    st.builds(
        lambda day, tree, hours: f'{day},{tree},,spray,"0 days, re-entry {hours} hours",',
        st.dates(date(2026, 11, 1), AS_OF),
        st.sampled_from(["A", "B", "C", ""]),
        st.sampled_from([4, 24, 96]),
    ),
    max_size=6,
    unique=True,
)


@given(rows=ROWS, old=OLD_SPRAYS, jobs=JOBS)
@settings(max_examples=40, deadline=None)
def test_sprays_that_are_over_by_its_first_day_change_no_job(
    rows: list[str], old: list[str], jobs: list[tuple[str, tuple[str, ...]]]
) -> None:
    """A job comes on the same days, and says the same, whether all sprays of its trees are looked at or the late."""
    with tempfile.TemporaryDirectory() as top:
        calm = plan_of_notes(Path(top), notes_of([row for row in rows if ",spray," not in row], jobs), as_of=AS_OF)
    with tempfile.TemporaryDirectory() as top:
        holding = plan_of_notes(Path(top), notes_of([*rows, *old], jobs), as_of=AS_OF).holding
    plainly = _OfAllTime(holding, AS_OF)
    plainly.records = holding.records
    for entry in (*calm.calendar.entries, *calm.past):
        if entry.task.topic is Topic.ORCHARD and entry.bearings:
            assert AmongTrees(holding, AS_OF).allowed(entry) == plainly.allowed(entry)
