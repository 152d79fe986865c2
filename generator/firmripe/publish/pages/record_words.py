"""What a record says, as a page shows it."""

from __future__ import annotations

from firmripe.holding.record import Happening, Record
from firmripe.tongue import Tongue
from firmripe.wording.holding import noted_amount
from firmripe.words import about_day, short_day


def noted_words(tongue: Tongue, record: Record) -> tuple[str, str]:
    """Return the amount and the word of a record; a verdict's own words are those of the trade, in any language."""
    if record.what is Happening.VERDICT:
        return tongue.term(record.amount), tongue.term(record.note)
    return noted_amount(record), record.note


def noted_day(tongue: Tongue, record: Record) -> tuple[str, str]:
    """Return the day of a record in words, and as a machine reads it; of a line about a whole season only its year."""
    if record.of_season:
        return tongue.say("that season"), str(record.season)
    return about_day(tongue, short_day(tongue, record.day), is_about=record.about), record.day.isoformat()
