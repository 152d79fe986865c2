"""Heavy and light years that take turns: what a tree's own past years, weighed or only noted, foretell of the next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import Enum
from fractions import Fraction
from itertools import pairwise
from typing import Final

from msgspec import Struct

from firmripe.holding.record import Happening, Record
from firmripe.holding.weight import Weight

LEAST_TURNS: Final = 2
"""So many pairs of years must speak before turns are foretold. J."""
SURE: Final = Fraction(2, 3)
"""At least this part of them must be turns. J."""
FAR: Final = Fraction(1, 4)
"""A year weighed so much above or below the middle of all is a heavy or a light one. J."""


class Year(Enum):
    """How a year was borne."""

    HEAVY = "heavy"
    LIGHT = "light"
    NONE = "none"


_SAID: Final = {
    Happening.HEAVY_CROP: Year.HEAVY,
    Happening.LIGHT_CROP: Year.LIGHT,
    Happening.PART_CROP: Year.LIGHT,
    Happening.NO_CROP: Year.NONE,
}


class Alternation(Struct, frozen=True, kw_only=True):
    """What the last year foretells, as seen in `turns` of `pairs` of years.

    `may_be_none` says that it was nothing in such a year before, `noted` that somebody called the last year so.
    """

    after: Year
    noted: bool
    heavy: bool
    turns: int
    pairs: int
    may_be_none: bool

    @property
    def is_sure(self) -> bool:
        """Whether this tree's own years have shown it often enough."""
        return self.pairs >= LEAST_TURNS and self.turns >= SURE * self.pairs


def turn_of(records: Iterable[Record], weights: Mapping[int, Weight], season: int) -> Alternation | None:
    """Return what the years before a season foretell of it; None where the last one was neither heavy nor light."""
    lines = list(records)
    years = _years(lines, weights, season)
    last = years.get(season - 1)
    if last is None:
        return None
    pairs = [(years[one], years[other]) for one, other in pairwise(sorted(years)) if other == one + 1]
    turns = sum((before is Year.HEAVY) != (after is Year.HEAVY) for before, after in pairs)
    return Alternation(
        after=last,
        noted=any(record.what in _SAID and record.season == season - 1 for record in lines),
        heavy=last is not Year.HEAVY,
        turns=turns,
        pairs=len(pairs),
        may_be_none=Year.NONE in years.values(),
    )


def _years(records: Iterable[Record], weights: Mapping[int, Weight], season: int) -> dict[int, Year]:
    past = {year: weight.middle for year, weight in weights.items() if year < season}
    found: dict[int, Year] = {}
    if len(past) > 1:
        middle = (min(past.values()) + max(past.values())) / 2
        light, heavy = (1 - FAR) * middle, (1 + FAR) * middle
        for year, kg in past.items():
            if not light <= kg <= heavy:
                found[year] = Year.HEAVY if kg > heavy else Year.LIGHT
    for record in records:
        if record.season < season and record.what in _SAID:
            found[record.season] = _SAID[record.what]
    return found
