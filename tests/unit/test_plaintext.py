"""The week in plain text: short lines, nothing left out."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from firmripe.plan import Plan
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.days import Period, fortnight
from firmripe.publish.pages.plaintext import WIDTH, week_text
from firmripe.publish.paths import Paths
from firmripe.publish.views import DayBlock, Item, Link
from firmripe.tongue import IN_ENGLISH


def stretch_of(task: str, caution: str = "") -> Period:
    """Return a week of one job."""
    item = Item(
        task=Link(text=task, href=""),
        subjects=(Link(text="Bosc (1-04)", href=""), Link(text="Seckel (1-03)", href="")),
        topic="orchard",
        span="",
        who="Wren",
        rough=True,
        seen=False,
        cautions=(caution,) if caution else (),
    )
    day = DayBlock(iso="2027-08-30", heading="Monday 30 August", items=(item,))
    return Period(title="This week, 30 Aug to 5 Sep", iso="2027-08-30", days=(day,), going_on=())


def test_a_week_reads_as_it_should() -> None:
    """Each thing on lines of its own, the caution below its job."""
    text = week_text(
        IN_ENGLISH, "Home", "Monday 30 August 2027", [stretch_of("Start checking", "Mind the wasps in the grass.")]
    )

    assert text == (
        "Home\n"
        "Made on Monday 30 August 2027.\n"
        "\n"
        "This week, 30 Aug to 5 Sep\n"
        "\n"
        "Monday 30 August\n"
        "Start checking: Bosc (1-04), Seckel\n"
        "  (1-03)\n"
        "  The date is rough.\n"
        "  Wren\n"
        "  Take care: Mind the wasps in the\n"
        "  grass.\n"
    )


def test_a_week_without_jobs_says_so() -> None:
    """Silence could mean that something is missing."""
    week = Period(title="This week", iso="2027-01-04", days=(), going_on=())

    assert week_text(IN_ENGLISH, "Home", "Monday", [week]).endswith("This week\nNothing is due.\n")


@given(st.text(max_size=200), st.text(max_size=200))
def test_no_line_is_longer_than_the_paper(task: str, caution: str) -> None:
    """Whatever the notes hold; a word that is too long is broken and not cut off."""
    text = week_text(IN_ENGLISH, "Home", "Monday", [stretch_of(task, caution)])

    assert all(len(line) <= WIDTH for line in text.split("\n"))
    kept = "".join(text.split())
    assert "".join(task.split()) in kept
    assert "".join(caution.split()) in kept


def test_each_job_and_caution_of_the_example_stands_in_it(example_plan: Plan) -> None:
    """As on the first page."""
    weeks = fortnight(PageContext(example_plan, Paths(example_plan), "", set()))
    kept = "".join(week_text(IN_ENGLISH, "Home", "Monday", weeks).split())

    items = [item for week in weeks for day in week.days for item in day.items]
    assert items
    for item in items:
        assert "".join(item.task.text.split()) in kept
        assert all("".join(caution.split()) in kept for caution in item.cautions)
