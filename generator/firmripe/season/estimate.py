"""A dated event: when, how sure, and why."""

from __future__ import annotations

import math
from datetime import date, timedelta
from enum import Enum
from typing import NamedTuple

from msgspec import Struct

from firmripe.holding.figures import Cited
from firmripe.holding.fruit import Event
from firmripe.holding.tree import Bearing
from firmripe.remark import Remark
from firmripe.season.clashes import Clash
from firmripe.season.spreads import EIGHTY_PERCENT


class Basis(Enum):
    """Whose word a date rests on, strongest first. The text is what the page says."""

    PINNED = "fixed by hand"
    RECORDED = "seen and noted"
    OWN_DAYS = "your own days of picking"
    STATED_INTERVAL = "your own days from bloom"
    MODEL = "estimated"


class Reason(Struct, frozen=True, kw_only=True):
    """One line of why. `days` is how far it moves the likely day (negative: earlier), None where it moves nothing."""

    why: Remark
    days: float | None = None
    cited: tuple[Cited, ...] = ()


class Estimate(Struct, frozen=True, kw_only=True):
    """When something happens.

    `likely` is the middle; from `earliest` to `latest` are the central 80 of 100 chances. `spread_d` is one standard
    deviation in days (0: certain). `rough` says that neither notes nor latitude and height bring the date to this
    ground: a zone alone does, or nothing, or it comes from too far. No day of it lies before `not_before`, where a
    spray's label says so, or after `not_after`, where a freeze is forecast. `clash` is set where the one pushes the
    date later than everything else says, or the other draws it forward; and where a day was noted, `seen`, and another
    is fixed by hand.
    """

    likely: date
    spread_d: float
    basis: Basis
    reasons: tuple[Reason, ...] = ()
    rough: bool = False
    not_before: date | None = None
    not_after: date | None = None
    seen: date | None = None
    clash: Clash | None = None

    @property
    def waits_for_label(self) -> bool:
        """Whether it tells of a spray's label that it waits for."""
        return self.clash is not None and self.clash.is_of_a_label

    @property
    def earliest(self) -> date:
        """The first day of the window."""
        day = self.likely - timedelta(days=round(EIGHTY_PERCENT * self.spread_d))
        return max(day, self.not_before) if self.not_before else day

    @property
    def latest(self) -> date:
        """The last day of the window."""
        day = self.likely + timedelta(days=round(EIGHTY_PERCENT * self.spread_d))
        return min(day, self.not_after) if self.not_after else day

    def moved(self, days: int) -> date:
        """Return its likely day in a season so many days later (negative: earlier), on no day that is barred."""
        day = self.likely + timedelta(days=days)
        return max(day, self.not_before) if self.not_before else day

    @property
    def reach(self) -> Reach:
        """Earliest, likely and latest day alone."""
        return Reach(earliest=self.earliest, likely=self.likely, latest=self.latest)

    @property
    def is_past(self) -> bool:
        """Whether its day is one that was seen and noted."""
        return self.basis is Basis.RECORDED

    @property
    def is_over(self) -> bool:
        """Whether it has been seen, on whatever day."""
        return self.is_past or self.seen is not None


class Reach(Struct, frozen=True, kw_only=True):
    """A day that may come early or late: `earliest` to `latest`, with the `likely` one between."""

    earliest: date
    likely: date
    latest: date

    @classmethod
    def on(cls, day: date) -> Reach:
        """Return a day that is certain."""
        return cls(earliest=day, likely=day, latest=day)

    def after(self, least: float, usual: float, most: float) -> Reach:
        """Return the reach so many days on; parts of a day are rounded up."""
        return Reach(
            earliest=self.earliest + timedelta(days=math.ceil(least)),
            likely=self.likely + timedelta(days=math.ceil(usual)),
            latest=self.latest + timedelta(days=math.ceil(most)),
        )

    def not_before(self, first: date) -> Reach:
        """Return the reach with no day of it before another."""
        return Reach(earliest=max(self.earliest, first), likely=max(self.likely, first), latest=max(self.latest, first))


class NoDate(Struct, frozen=True, kw_only=True):
    """Why there is no date, and what to write to get one."""

    reason: Remark
    remedy: Remark | None = None


Dated = Estimate | NoDate


_NAMES = {event: event.value for event in Event}
_EVENTS = {name: event for event, name in _NAMES.items()}


class Happens(NamedTuple):
    """What is dated: an event of a bearing. Leaf fall belongs to a limb, whatever its crop; each crop has its bloom."""

    bearing: Bearing
    event_name: str

    @property
    def event(self) -> Event:
        """The event itself."""
        return _EVENTS[self.event_name]

    @classmethod
    def of(cls, bearing: Bearing, event: Event) -> Happens:
        """Name an event of a bearing."""
        if event is Event.LEAF_FALL:
            bearing = Bearing(bearing.tree, bearing.cultivar)
        return cls(bearing, _NAMES[event])
