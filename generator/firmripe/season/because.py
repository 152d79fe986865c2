"""What the season remarks: why a date is what it is, why there is none, and what to ask or mind about it.

Names are those of the notes and the shelf, figures stand as they are written there.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum, IntEnum, auto

from firmripe.days import Rhythm, Span
from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening
from firmripe.remark import Remark

# What is expected before anything is noted
# -----------------------------------------


@dataclass(frozen=True, slots=True)
class PlacedWindow:
    """A window as it is written, and the name of the place that it is of; empty where a zone alone is named."""

    text: str
    place: str


@dataclass(frozen=True, slots=True)
class OwnWindows(Remark):
    """The household's own dates for its own ground, as written."""

    windows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Windows(Remark):
    """Windows for other ground, printed or the household's own (`is_own`), what counts most first.

    `fruit` is named where they are of the fruit in general; `more` is how many are left out.
    """

    windows: tuple[PlacedWindow, ...]
    is_own: bool
    fruit: str = ""
    more: int = 0


@dataclass(frozen=True, slots=True)
class PlaceInOrder(Remark):
    """So long before or after the pick of another cultivar, printed or the household's own."""

    offset: str
    base: str
    is_own: bool


@dataclass(frozen=True, slots=True)
class IntervalFromBloom(Remark):
    """The days from full bloom to pick, printed or the household's own, as seen from the event that is counted."""

    interval: str
    event: Event
    is_own: bool


@dataclass(frozen=True, slots=True)
class OwnInterval(Remark):
    """The household's own days from this limb's full bloom to its pick."""

    interval: str


@dataclass(frozen=True, slots=True)
class KnownOfFruit(Remark):
    """Only others of its fruit, or days counted from them, tell of it; `fruit` is empty where it is of none."""

    fruit: str
    cultivar: str


@dataclass(frozen=True, slots=True)
class UsualPickStated(Remark):
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


@dataclass(frozen=True, slots=True)
class Reckoned(Remark):
    """No date of an event is printed for any ground: it is reckoned for this one, by its warmth (°C).

    That is the mean of early spring for bloom, of spring for a pick, of autumn for the fall of leaves.
    """

    event: Event
    mean_c: float


@dataclass(frozen=True, slots=True)
class CarriedByWarmth(Remark):
    """A printed date of an event carried here by the means of early spring, spring, summer and autumn (°C)."""

    event: Event
    here_c: tuple[float, float, float, float]
    there_c: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class OwnRecordsAlone(Remark):
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


@dataclass(frozen=True, slots=True, order=True)
class Group:
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
    """Whose an observation is, seen from an event: another limb's of its kind, of other trees, or the same limb's."""

    KIN = 0
    OTHERS = 1
    OWN = 2


@dataclass(frozen=True, slots=True)
class FromNotes(Remark):
    """What observations of one sort say together; `limb` is the kind that the date is of."""

    evidence: Evidence
    event: Event
    whose: Whose
    limb: str


@dataclass(frozen=True, slots=True)
class UsualDayStated(Remark):
    """The usual bloom or pick of a cultivar here, as the household states it."""

    event: Event
    cultivar: str


@dataclass(frozen=True, slots=True)
class AllElseNoted(Remark):
    """All else that was noted, taken together: each moves the date by part of a day."""


@dataclass(frozen=True, slots=True)
class SomethingNoted(Remark):
    """Something was noted here that is not for whoever reads this."""


@dataclass(frozen=True, slots=True)
class CropSize(Remark):
    """How a light, heavy or partial crop moves its pick, or widens its window."""

    size: Happening


# Whose word counts
# -----------------


@dataclass(frozen=True, slots=True)
class FixedByHand(Remark):
    """A day fixed in the tree's note, and because of what, if that is told."""

    because: str


@dataclass(frozen=True, slots=True)
class NotedOn(Remark):
    """It was seen and noted on a day, or about that day."""

    day: date
    is_about: bool


@dataclass(frozen=True, slots=True)
class OwnPicks(Remark):
    """The household's own days of picking: how often, from which day to which."""

    every: Rhythm
    days: Span


@dataclass(frozen=True, slots=True)
class FromOwnBloom(Remark):
    """The household's own interval, counted from the full bloom noted this season."""

    interval: str
    bloom: date


@dataclass(frozen=True, slots=True)
class FreezesAt(Remark):
    """The fruit itself freezes at a temperature that is published."""

    limit: str


@dataclass(frozen=True, slots=True)
class NoFreezingFigure(Remark):
    """How much cold the fruit stands is nowhere published."""


# Why there is no date
# --------------------


@dataclass(frozen=True, slots=True)
class NothingSays(Remark):
    """Neither the shelf nor the records say when an event of a cultivar is."""

    event: Event
    cultivar: str


@dataclass(frozen=True, slots=True)
class NoteIt(Remark):
    """What dates an event of a cultivar of which nothing is known: one noted day, or a window or an offset."""

    event: Event
    cultivar: str


@dataclass(frozen=True, slots=True)
class PlantedOnly(Remark):
    """The tree is planted in a later year only."""

    year: int


@dataclass(frozen=True, slots=True)
class TooYoung(Remark):
    """No crop of a young tree is looked for before a year."""

    bears_from: int


@dataclass(frozen=True, slots=True)
class NoCrop(Remark):
    """There is no crop this season, with what was noted beside it."""

    note: str


@dataclass(frozen=True, slots=True)
class CropLost(Remark):
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


@dataclass(frozen=True, slots=True)
class EventOf(Remark):
    """An event of a limb: its name, its tree, and the crop where there are several."""

    event: Event
    limb: str
    tree: str
    crop: str


@dataclass(frozen=True, slots=True)
class Overdue(Remark):
    """A pick was looked for until a day, and none is noted."""

    pick: EventOf
    latest: date


@dataclass(frozen=True, slots=True)
class PerhapsTooYoung(Remark):
    """A tree was planted so lately that it may bear nothing yet, and nobody said from when it bears."""

    limb: str
    tree: str
    planted: int


@dataclass(frozen=True, slots=True)
class OutOfTime(Remark):
    """Fruit fell on a day outside its usual times; the causes that are usual then, in sentences of the shelf.

    `cultivar` is the key of whose fruit it was, empty where the line names none.
    """

    day: date
    causes: tuple[str, ...]
    cultivar: str


@dataclass(frozen=True, slots=True)
class NotFalling(Remark):
    """So many firmness readings don't fall, or fall too slowly, so that nothing can be carried forward.

    That is no mistake of the reader's.
    """

    readings: int
    too_slowly: bool


@dataclass(frozen=True, slots=True)
class MovesNothing(Remark):
    """Readings of this season that are kept and move no date: firmness without a target, starch or brix."""

    reading: Happening


@dataclass(frozen=True, slots=True)
class FirmnessStands(Remark):
    """A limb's firmness readings can't be carried forward."""

    limb: str
    line: NotFalling
