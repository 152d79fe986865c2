"""What the calendar remarks, in words."""

from __future__ import annotations

from firmripe.calendar.entry import Undated
from firmripe.saying import _, term
from firmripe.wording.remarks import words_of


def undated_words(item: Undated) -> str:
    """Say why something has no date, and which jobs have no day for it."""
    reason = words_of(item.reason)
    if not item.jobs:
        return reason
    names = {_("a job of one person") if task.only_for else term(task.name) for task in item.jobs}
    return _("{reason}; no day for: {tasks}", reason=reason, tasks=", ".join(sorted(names)))
