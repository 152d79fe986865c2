"""The week as plain text in short lines, to emboss, to send or to have read out."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from firmripe.publish.views import Item, Stretch
from firmripe.saying import _

WIDTH = 40
"""The cells of a braille line on common paper; common practice."""


def week_text(name: str, made_on: str, weeks: Iterable[Stretch]) -> str:
    """Return weeks in lines of at most 40 characters; a word longer than that is broken.

    What is what is said by words and order alone, and cautions stand below their job.
    """
    lines = [*_fold(name), *_fold(_("Made on {day}.", day=made_on))]
    for week in weeks:
        lines += ["", *_fold(week.title)]
        if not week.days and not week.going_on:
            lines += _fold(_("Nothing is due."))
        for day in week.days:
            lines += ["", *_fold(day.heading)]
            lines += [line for item in day.items for line in _item(item)]
        if week.going_on:
            lines += ["", *_fold(_("Still going on"))]
            lines += [line for item in week.going_on for line in _item(item)]
    return "\n".join(lines) + "\n"


def _item(item: Item) -> Iterator[str]:
    """Return a job's lines, those after the first set in by two."""
    subjects = ", ".join(subject.text for subject in item.subjects)
    said = f"{item.task.text}: {subjects}" if subjects else item.task.text
    rough = [_("The date is rough.")] if item.rough else []
    told = [*rough, *([item.span] if item.span else []), *([item.who] if item.who else [])]
    yield from _fold(said, later="  ")
    for part in told:
        yield from _fold(part, first="  ", later="  ")
    for caution in item.cautions:
        yield from _fold(_("Take care: {caution}", caution=caution), first="  ", later="  ")


def _fold(text: str, first: str = "", later: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=later)
