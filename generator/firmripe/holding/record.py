"""Records: one line a happening."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime
from enum import Enum
from fractions import Fraction

from msgspec import Struct

from firmripe.holding.private import is_private
from firmripe.holding.weight import Part
from firmripe.problems import Where

_SHARE = re.compile(r"(?:about\s*)?(?:([1-9]\d?)\s*/\s*([1-9]\d?)|(\d{1,3}(?:\.\d+)?)\s*%)")


class Happening(Enum):
    """What a record can say."""

    __hash__ = (
        object.__hash__
    )  # there is one of each, which is soon told apart; that of its name takes four times as long

    FIRST_BLOOM = "first bloom"
    FULL_BLOOM = "full bloom"
    PETAL_FALL = "petal fall"
    SET = "set"
    THINNED = "thinned"
    DROP = "drop"
    WORMY_DROP = "wormy drop"
    FIRMNESS = "firmness"
    STARCH = "starch"
    BRIX = "brix"
    SPRAY = "spray"
    FIRST_PICK = "first pick"
    PICK = "pick"
    LAST_PICK = "last pick"
    STORED = "stored"
    TAKEN_OUT = "taken out"
    READY = "ready"
    VERDICT = "verdict"
    JARS = "jars"
    LEFT = "left"
    LOST = "lost"
    SHARED = "shared"
    SOLD = "sold"
    USED_UP = "used up"
    LEAF_FALL = "leaf fall"
    FROST = "frost"
    FREEZE_FORECAST = "freeze forecast"
    NO_CROP = "no crop"
    PART_CROP = "part crop"
    LIGHT_CROP = "light crop"
    HEAVY_CROP = "heavy crop"
    REMOVED = "removed"
    NOTE = "note"


PICKINGS = frozenset({Happening.FIRST_PICK, Happening.PICK, Happening.LAST_PICK})
LEAVINGS = frozenset(
    {Happening.TAKEN_OUT, Happening.LOST, Happening.SHARED, Happening.SOLD, Happening.USED_UP, Happening.JARS}
)
"""What takes picked fruit out of the store, or out of the house."""


class Record(Struct, frozen=True, kw_only=True):
    """A happening on a day.

    `tree` is a tag, or empty for the whole place; `cultivar` a key, or empty where the tree has one limb or all are
    meant. `season` is the season year the line belongs to. `about` says that the day is from memory,
    `of_season` that none was told: the line is about the season as a whole, and `day` is its first.
    `days_to_harvest` is the label's interval of a spray (days), `firmness_n` a reading (newtons).
    `parts` is the amount where it is one of fruit. `re_entry_h` is the label's re-entry time in hours, `re_entry_d` the
    whole days from a spray on which nobody goes in, `open_again` when it is over, where the hour of the spray is told.
    `forecast_c` is the lowest temperature of a night that ends on the day (°C). `of_row` is the row or
    range of trees that the line is of, as written, of which each tree that stands has its part; empty where the line is
    of one tree or of the whole place. A note that is marked `private:`, or nearly so, is for the household alone.
    """

    day: date
    season: int
    what: Happening
    tree: str = ""
    cultivar: str = ""
    crop: str = ""
    about: bool = False
    of_season: bool = False
    amount: str = ""
    note: str = ""
    days_to_harvest: int | None = None
    firmness_n: float | None = None
    parts: tuple[Part, ...] = ()
    re_entry_d: int = 0
    re_entry_h: float = 0.0
    open_again: datetime | None = None
    forecast_c: float | None = None
    of_row: str = ""
    where: Where

    @property
    def is_private(self) -> bool:
        """Whether its note is for the household alone."""
        return is_private(self.note)

    @property
    def of_many(self) -> bool:
        """Whether the line is of a whole row or range of trees."""
        return bool(self.of_row)

    @property
    def share(self) -> Fraction | None:
        """The share of a whole that the amount tells, as `1/5` or `20 %`; None where it tells of none."""
        match = _SHARE.fullmatch(self.amount.strip())
        if match is None:
            return None
        share = Fraction(match[3]) / 100 if match[3] else Fraction(int(match[1]), int(match[2]))
        return share if share <= 1 else None

    def is_about(self, tree: str, cultivar: str, crop: str) -> bool:
        """Say whether the line speaks of this crop of this cultivar on this tree, alone or among others."""
        return self.tree in {"", tree} and self.cultivar in {"", cultivar} and (self.crop == crop or not self.crop)


def last_word(records: Iterable[Record]) -> Record | None:
    """Return the last of some lines, and of one day that which names most; None where there are none."""
    return max(records, key=lambda r: (r.day, bool(r.tree), bool(r.cultivar), bool(r.crop)), default=None)
