"""The place: ground, frosts, spaces, kitchens and people."""

from __future__ import annotations

import re
from datetime import date
from enum import Enum
from fractions import Fraction

from msgspec import Struct, field
from msgspec.structs import replace

from firmripe.days import Days, Hemisphere, MonthDay, Stretch, WorkingYear
from firmripe.holding.figures import Figure
from firmripe.holding.kitchen import Kitchen, KitchenMeans
from firmripe.holding.matter import Matter
from firmripe.holding.weight import Part, Weight
from firmripe.problems import Where, folded, plainly
from firmripe.tongue import Tongue
from firmripe.units import HardinessZone

USUAL_THEME = "box-tag"
FORMER_THEME = "ledger"
"""What the usual theme was called: said, not read, since a household may have written against its files."""
_PLACE = Where("place.md")
EVERYBODY = "everybody"
HOUSEHOLD = "household"
"""Whom a site can be for, besides a person or a house by name."""


def stands_in(name: str, text: str) -> bool:
    """Say whether a name stands in a text whole, not within a longer word: `bin` not in `cabinet`."""
    plain = plainly(name)
    return bool(plain) and re.search(rf"(?<!\w){re.escape(plain)}(?!\w)", plainly(text)) is not None


class Ground(Struct, frozen=True, kw_only=True):
    """What places a garden on the earth: each part None where it isn't known.

    Latitude and longitude in degrees (north and east positive), elevation in metres; `zone_map` is the year of the map
    that the zone comes from, empty where that is not said.
    """

    zone: HardinessZone | None = None
    zone_map: str = ""
    latitude: float | None = None
    longitude: float | None = None
    elevation_m: float | None = None


class UsualTemperatures(Struct, frozen=True, kw_only=True):
    """The usual lowest and highest temperature of each month on a ground, from January on (°C, 12 each)."""

    low_c: tuple[float, ...]
    high_c: tuple[float, ...]


class ReferencePlace(Struct, frozen=True, kw_only=True):
    """A place that published dates come from."""

    key: str
    name: str
    zone: Figure[HardinessZone] | None = None
    zone_map: str = ""
    latitude: Figure[float] | None = None
    longitude: Figure[float] | None = None
    elevation_m: Figure[float] | None = None

    @property
    def ground(self) -> Ground:
        """Its zone, position and elevation as plain values."""
        return Ground(
            zone=self.zone.value if self.zone else None,
            zone_map=self.zone_map,
            latitude=self.latitude.value if self.latitude else None,
            longitude=self.longitude.value if self.longitude else None,
            elevation_m=self.elevation_m.value if self.elevation_m else None,
        )


class Space(Struct, frozen=True, kw_only=True):
    """Where picked fruit can lie: `temperature_c` its usual temperature, `months_c` that of some months (1 to 12).

    `holds` is as the household says it, `capacity` the same understood; `beside` is what else lies there, and `eats`
    what is eaten of it in a week. `house` is the one whose own it is, empty for a common space.
    """

    name: str
    temperature_c: float | None = None
    holds: str = ""
    months_c: tuple[tuple[int, float], ...] = ()
    capacity: Part | None = None
    beside: tuple[str, ...] = ()
    eats: Part | None = None
    house: str = ""

    def is_named_in(self, note: str) -> bool:
        """Say whether a note names it, by its whole name."""
        return stands_in(self.name, note)

    def at(self, day: date) -> float | None:
        """Return its temperature on a day (°C): that of the month where it is told, otherwise the usual one."""
        return dict(self.months_c).get(day.month, self.temperature_c) if self.months_c else self.temperature_c

    def as_warm_until(self, day: date) -> date:
        """Return the first day after one on which its temperature may be another."""
        if not self.months_c:
            return date.max
        return date(day.year + day.month // 12, day.month % 12 + 1, 1)


class Share(Struct, frozen=True, kw_only=True):
    """A household's part of every grade, as a fraction of the whole."""

    name: str
    part: Fraction

    def is_named_in(self, note: str) -> bool:
        """Say whether a note names it."""
        return stands_in(self.name, note)


class Wanted(Struct, frozen=True, kw_only=True):
    """Fruit that is to be ready on a day: the cultivar by any of its names, how much in words, and what for."""

    cultivar: str
    day: date
    amount: str = ""
    purpose: str = ""
    where: Where = _PLACE


class Alarm(Enum):
    """When a reminder rings, in apps that let a subscribed calendar ring at all."""

    DAY_BEFORE = "day before"
    SAME_DAY = "same day"
    NONE = "none"


class Person(Struct, frozen=True, kw_only=True):
    """Somebody who helps, the kinds of work they do, the house they share a calendar with, and how to reach them.

    `away` are the days on which they are not here, of every year or of one, `picks` what they pick in a day.
    """

    name: str
    does: tuple[str, ...] = ()
    household: str = ""
    phone: str = ""
    email: str = ""
    away: tuple[Days, ...] = ()
    picks: Part | None = None

    def is_away(self, day: date) -> bool:
        """Say whether they are not here on a day."""
        return any(day in days for days in self.away)


class NoAccess(Struct, frozen=True, kw_only=True):
    """Days on which nobody can get to the trees, and why: a bus that does not run, a road under snow."""

    days: tuple[Days, ...]
    because: str = ""


class UsualPick(Struct, frozen=True, kw_only=True):
    """The usual first pick of a cultivar on this ground, as a stretch of days of the year.

    `crop` names one of several crops a year.
    """

    cultivar: str
    pick: Stretch
    crop: str = ""
    where: Where


class Near(Struct, frozen=True, kw_only=True):
    """A tree of somebody else's as place.md tells of it: its cultivar or fruit by name, and where it stands."""

    cultivar: str
    fruit: str
    place: str = ""
    removed: date | None = None
    where: Where


class PlanRow(Struct, frozen=True, kw_only=True):
    """A row of the household's plan of its ground: tags from left to right as seen from the gate, empty at a gap."""

    name: str
    tags: tuple[str, ...]
    where: Where


class Place(Struct, frozen=True, kw_only=True):
    """The household's own ground and what belongs to it. `week_starts` is 0 for Monday to 6 for Sunday.

    `usual_temperatures` are those that it states. `feed_secret` goes into the names of the feeds of people and houses,
    which then stand on no page. `notes_to` is the address of whoever keeps the notes.
    `box` is what a full box of the household's weighs, `stand` says that fruit is offered at the gate,
    on `stand_days` (0 is Monday), without them at weekends;
    `theme` names how the site looks, `tongue` is the language that pages and feeds are in. `private` says that the
    note's own text is for the household alone, `is_open` that a site is for everybody where nothing else is asked for.
    `season_begins` is None where seasons run from midwinter; `up_and_down` says that even rows are walked backwards.
    `picks` is what all hands together pick in a day.
    `without` are the matters that it has nothing to do with. `plan` are its rows, the farthest from the gate first.
    """

    name: str
    ground: Ground
    usual_temperatures: UsualTemperatures | None = None
    hemisphere: Hemisphere = Hemisphere.NORTH
    metric_first: bool = False
    week_starts: int = 0
    last_frost: Stretch | None = None
    first_frost: Stretch | None = None
    usual_picks: tuple[UsualPick, ...] = ()
    spaces: tuple[Space, ...] = ()
    kitchens: tuple[Kitchen, ...] = ()
    people: tuple[Person, ...] = ()
    site_address: str = ""
    calendar_identity: str = ""
    reminder_alarm: Alarm = Alarm.DAY_BEFORE
    feed_secret: str = ""
    notes_to: str = ""
    text: str = ""
    box: Weight | None = None
    shares: tuple[Share, ...] = ()
    stand: bool = False
    stand_days: frozenset[int] = frozenset()
    private: bool = False
    is_open: bool = False
    theme: str = USUAL_THEME
    tongue: Tongue = field(default_factory=Tongue)
    wanted: tuple[Wanted, ...] = ()
    neighbors: tuple[Near, ...] = ()
    no_access: tuple[NoAccess, ...] = ()
    season_begins: MonthDay | None = None
    up_and_down: bool = False
    picks: Part | None = None
    kitchen_means: KitchenMeans = field(default_factory=KitchenMeans)
    without: frozenset[Matter] = frozenset()
    plan: tuple[PlanRow, ...] = ()

    @property
    def houses(self) -> tuple[str, ...]:
        """The houses that are told of: those that share, then those of people, each once."""
        told: dict[str, str] = {}
        for name in (*(share.name for share in self.shares), *(person.household for person in self.people)):
            told.setdefault(folded(name), name)
        return tuple(name for name in told.values() if name)

    @property
    def is_put_away_by_house(self) -> bool:
        """Whether fruit is divided when it is put away: one of the houses that share has a space of its own."""
        return bool({share.name for share in self.shares} & {space.house for space in self.spaces})

    def as_of_house(self, house: str) -> Place:
        """Return it with the spaces alone that a house's part may lie in: its own and the common ones."""
        return replace(self, spaces=tuple(space for space in self.spaces if space.house in {"", house}))

    def working_year(self, year: int) -> WorkingYear:
        """Return the season of a year here."""
        return WorkingYear(year=year, hemisphere=self.hemisphere, begins=self.season_begins)

    def working_year_of(self, day: date) -> WorkingYear:
        """Return the season that a day belongs to here."""
        return WorkingYear.of(day, self.hemisphere, self.season_begins)

    def no_access_on(self, day: date) -> NoAccess | None:
        """Return what keeps everybody from the trees on a day; None where nothing does."""
        return next((one for one in self.no_access if any(day in days for days in one.days)), None)

    @property
    def coldest_c(self) -> float | None:
        """Temperature of the coldest space (°C), where picked fruit is held; None where none is told of."""
        return min((s.temperature_c for s in self.spaces if s.temperature_c is not None), default=None)
