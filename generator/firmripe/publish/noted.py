"""What a record says, as a page shows it."""

from __future__ import annotations

from firmripe.holding.record import Happening, Record
from firmripe.saying import term


def noted_words(record: Record) -> tuple[str, str]:
    """Return the amount and the word of a record; a verdict's own words are those of the trade, in any language."""
    if record.what is Happening.VERDICT:
        return term(record.amount), term(record.note)
    return record.amount, record.note
