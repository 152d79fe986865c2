"""What the season remarks: why a date is what it is, why there is none, and what to ask or mind about it.

Names are those of the notes and the shelf, figures stand as they are written there.
"""

from __future__ import annotations

from datetime import date
from enum import Enum, IntEnum, auto

from msgspec import Struct

from firmripe.days import Rhythm, Span
from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening
from firmripe.remark import Remark

# What is expected before anything is noted
# -----------------------------------------


class PlacedWindow(Struct, frozen=True):
    """A window as it is written, and the name of the place that it is of; empty where a zone alone is named."""

    text: str
    place: str


class OwnWindows(Remark, Struct, frozen=True):
    """The household's own dates for its own ground, as written."""

    windows: tuple[str, ...]


class Windows(Remark, Struct, frozen=True):
    """Windows for other ground, printed or the household's own (`is_own`), what counts most first.

    `fruit` is named where they are of the fruit in general; `more` is how many are left out.
    """

    windows: tuple[PlacedWindow, ...]
    is_own: bool
    fruit: str = ""
    more: int = 0


class PlaceInOrder(Remark, Struct, frozen=True):
    """So long before or after the pick of another cultivar, printed or the household's own."""

    offset: str
    base: str
    is_own: bool


class IntervalFromBloom(Remark, Struct, frozen=True):
    """The days from full bloom to pick, printed or the household's own, as seen from the event that is counted."""

    interval: str
    event: Event
    is_own: bool


class OwnInterval(Remark, Struct, frozen=True):
    """The household's own days from this limb's full bloom to its pick."""

    interval: str


class KnownOfFruit(Remark, Struct, frozen=True):
    """Only others of its fruit, or days counted from them, tell of it; `fruit` is empty where it is of none."""

    fruit: str
    cultivar: str


class UsualPickStated(Remark, Struct, frozen=True):
    """The usual pick of a cultivar here, which the household states."""

    cultivar: str


class OfTheGround(Remark, Enum):
    """How a printed date came to this ground, where no figure tells it.

    Taken as printed, as nothing says where this is; no winter here sets bloom its time; set beside all else that is
    printed.
    """

    NOT_KNOWN = auto()
    NO_WINTER = auto()
    BESIDE_ALL = auto()


class Reckoned(Remark, Struct, frozen=True):
    """No date of an event is printed for any ground: it is reckoned for this one, by its warmth (°C).

    That is the mean of early spring for bloom, of spring for a pick, of autumn for the fall of leaves.
    """

    event: Event
    mean_c: float


class CarriedByWarmth(Remark, Struct, frozen=True):
    """A printed date of an event carried here by the means of early spring, spring, summer and autumn (°C)."""

    event: Event
    here_c: tuple[float, float, float, float]
    there_c: tuple[float, float, float, float]


class OwnRecordsAlone(Remark, Struct, frozen=True):
    """No date is printed: only the household's own records speak for it."""


# What was noted
# --------------


class Evidence(IntEnum):
    """What an observation is; what moves a date alike is told in this order."""

    FIRMNESS = auto()
    EARLIER_SEASONS = auto()
    FIRST_DROP = auto()
    INTERVAL = auto()
    USUAL_DAY = auto()
    THIS_SEASON = auto()
    WARMTH = auto()
    VERDICTS = auto()


class Group(Struct, frozen=True, order=True, gc=False):
    """Observations that share a line of every explanation: what they are, and of which event of which limb.

    A usual day is stated for a cultivar, and names no tree.
    """

    evidence: Evidence
    event_name: str
    tree: str
    cultivar: str

    @classmethod
    def of(cls, evidence: Evidence, event: Event, tree: str, cultivar: str) -> Group:
        """Name the group of observations of an event."""
        return cls(evidence, event.value, tree, cultivar)

    @property
    def event(self) -> Event:
        """The event observed."""
        return Event(self.event_name)


class Whose(IntEnum):
    """Whose an observation is, seen from an event.

    It is of other trees, of its kind or of others, of the same limb, or of another limb of the same tree.
    """

    KIN = 0
    OTHERS = 1
    OWN = 2
    LIMBS = 3


class FromNotes(Remark, Struct, frozen=True):
    """What observations of one sort say together; `limb` is the kind that the date is of."""

    evidence: Evidence
    event: Event
    whose: Whose
    limb: str


class UsualDayStated(Remark, Struct, frozen=True):
    """The usual bloom or pick of a cultivar here, as the household states it."""

    event: Event
    cultivar: str


class AllElseNoted(Remark, Struct, frozen=True):
    """All else that was noted, taken together: each moves the date by part of a day."""


class SomethingNoted(Remark, Struct, frozen=True):
    """Something was noted here that is not for whoever reads this."""


class CropSize(Remark, Struct, frozen=True):
    """How a light, heavy or partial crop moves its pick, or widens its window."""

    size: Happening


# Whose word counts
# -----------------


class FixedByHand(Remark, Struct, frozen=True):
    """A day fixed in the tree's note, and because of what, if that is told."""

    because: str


class NotedOn(Remark, Struct, frozen=True):
    """It was seen and noted on a day, or about that day."""

    day: date
    is_about: bool


class OwnPicks(Remark, Struct, frozen=True):
    """The household's own days of picking: how often, from which day to which."""

    every: Rhythm
    days: Span


class FromOwnBloom(Remark, Struct, frozen=True):
    """The household's own interval, counted from the full bloom noted this season."""

    interval: str
    bloom: date


class FreezesAt(Remark, Struct, frozen=True):
    """The fruit itself freezes at a temperature that is published."""

    limit: str


class NoFreezingFigure(Remark, Struct, frozen=True):
    """How much cold the fruit stands is nowhere published."""


# Why there is no date
# --------------------


class NothingSays(Remark, Struct, frozen=True):
    """Neither the shelf nor the records say when an event of a cultivar is."""

    event: Event
    cultivar: str


class NoteIt(Remark, Struct, frozen=True):
    """What dates an event of a cultivar of which nothing is known: one noted day, or a window or an offset."""

    event: Event
    cultivar: str


class PlantedOnly(Remark, Struct, frozen=True):
    """The tree is planted in a later year only."""

    year: int


class TooYoung(Remark, Struct, frozen=True):
    """No crop of a young tree is looked for before a year."""

    bears_from: int


class NoCrop(Remark, Struct, frozen=True):
    """There is no crop this season, with what was noted beside it."""

    note: str


class CropLost(Remark, Struct, frozen=True):
    """The crop was lost, with the day on which that was noted and what was noted beside it."""

    noted: date
    note: str


class NotThere(Remark, Enum):
    """It was taken out, nobody sees it bloom, or nothing is known of it."""

    TAKEN_OUT = auto()
    UNSEEN = auto()
    NOT_KNOWN = auto()


# What to ask
# -----------


class EventOf(Remark, Struct, frozen=True):
    """An event of a limb: its name, its tree, and the crop where there are several."""

    event: Event
    limb: str
    tree: str
    crop: str


class Overdue(Remark, Struct, frozen=True):
    """A pick was looked for until a day, and none is noted."""

    pick: EventOf
    latest: date


class PerhapsTooYoung(Remark, Struct, frozen=True):
    """A tree was planted so lately that it may bear nothing yet, and nobody said from when it bears."""

    limb: str
    tree: str
    planted: int


class OutOfTime(Remark, Struct, frozen=True):
    """Fruit fell on a day outside its usual times; the causes that are usual then, in sentences of the shelf.

    `cultivar` is the key of whose fruit it was, empty where the line names none.
    """

    day: date
    causes: tuple[str, ...]
    cultivar: str


class NotFalling(Remark, Struct, frozen=True):
    """So many firmness readings don't fall, or fall too slowly, so that nothing can be carried forward.

    That is no mistake of the reader's.
    """

    readings: int
    too_slowly: bool


class MovesNothing(Remark, Struct, frozen=True):
    """Readings of this season that are kept and move no date: firmness without a target, starch or brix."""

    reading: Happening


class FirmnessStands(Remark, Struct, frozen=True):
    """A limb's firmness readings can't be carried forward."""

    limb: str
    line: NotFalling
