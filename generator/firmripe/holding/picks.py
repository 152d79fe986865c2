"""A household's own days of picking: from a first to a last day of the year, in a rhythm."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from msgspec import Struct

from firmripe.days import Rhythm, Span, Stretch, WorkingYear, parse_rhythm, parse_stretch
from firmripe.holding.figures import Figure
from firmripe.problems import Unreadable

MOST_PICKINGS = 200
"""More goes over one tree in a season are a slip of the pen (our judgement)."""
_HINT = "write it as every 2 days, Dec 6 - Jan 21"


class PickingDays(Struct, frozen=True, kw_only=True):
    """When a household picks: `every` so often within a `stretch` of the year, which may run over New Year."""

    every: Rhythm
    stretch: Stretch

    def days(self, year: WorkingYear) -> tuple[date, ...]:
        """Return the days of picking in a season, in order; the last day of the stretch only where the rhythm has it.

        They are told by a household for its own half of the earth.
        """
        first = year.place_day(self.stretch.first, year.hemisphere)
        last = self.stretch.last.in_year(first.year)
        if last < first:
            last = self.stretch.last.in_year(first.year + 1)
        return tuple(self.every.days_in(Span(first=first, last=last)))


def parse_picking_days(text: str) -> PickingDays:
    """Read `every 2 days, Dec 6 - Jan 21`. Raises Unreadable."""
    plain = " ".join(text.split())
    match = re.fullmatch(r"(every [^,]+), ?([^,]+)", plain, re.IGNORECASE)
    if match is None:
        raise Unreadable(f'"{plain}" does not say how often, and from when to when', _HINT)
    picks = PickingDays(every=parse_rhythm(match[1]), stretch=parse_stretch(match[2]))
    if picks.stretch.first == picks.stretch.last:
        raise Unreadable(f'"{plain}" has one day alone', _HINT)
    many = len(picks.days(WorkingYear(year=2027)))
    if many > MOST_PICKINGS:
        raise Unreadable(f'"{plain}" comes to {many} pickings; {MOST_PICKINGS} are the most', _HINT)
    return picks


def picks_for(told: Sequence[Figure[PickingDays]], crop: str) -> Figure[PickingDays] | None:
    """Return of what is told the days of a crop's picking; None where nothing is told of it."""
    return next((figure for figure in told if figure.crop == crop), None)
