"""What the harvest remarks: how much hangs, what a step rests on, why a day is lacking, what to mind. Facts, no words.

Whose fruit it is, which space it lies in and which figure speaks are parts of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum, auto

from firmripe.days import DayCount
from firmripe.harvest.alternating import Alternation
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import Chilling, Cultivar, Treatment
from firmripe.holding.place import Space
from firmripe.holding.record import Happening
from firmripe.holding.weight import Weight
from firmripe.remark import Remark
from firmripe.season.freezing import Freeze
from firmripe.units import Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class FruitOf:
    """Whose fruit it is: a cultivar's, by its key and name, on one tree; `tree` is empty where it is of all of them."""

    cultivar: str
    name: str
    tree: str = ""

    @classmethod
    def on(cls, limb: Cultivar, tree: str = "") -> FruitOf:
        """Name the fruit of a limb, on a tree or on all that have it."""
        return cls(cultivar=limb.key, name=limb.name, tree=tree)


# How much there will be
# ----------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnWeights(Remark):
    """What was weighed in former seasons, oldest first; one season alone makes the range wider."""

    seasons: tuple[tuple[int, Weight], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted(Remark):
    """What was counted this season, as written, times the weight of one."""

    amount: str


@dataclass(frozen=True, slots=True)
class NoteExpects(Remark):
    """What the tree's own note expects of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedYields(Remark):
    """What is printed of a full-grown tree, an equal part for each of its `limbs`."""

    yields: tuple[str, ...]
    limbs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PerhapsNoneYet(Remark):
    """The tree was `planted` so lately that it may bear nothing yet, and at most the least of the range."""

    planted: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CropNoted(Remark):
    """This season's crop was noted as light, heavy or of a part; `share` is the part as written, or empty."""

    what: Happening
    share: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class InTurn(Remark):
    """Heavy and light years take turns, by this tree's own years or by common practice alone."""

    turn: Alternation


@dataclass(frozen=True, slots=True, kw_only=True)
class LostOnTheTree(Remark):
    """So much was lost before anything was picked."""

    weight: Weight


# What each step after the pick rests on
# --------------------------------------


class RipeningStep(Enum):
    """A step of picked fruit that a figure speaks for.

    The cold it needs, and less of it when picked late; the counter; good once ready; the most it keeps in the cold,
    and the rule that shortens that in a warmer space.
    """

    COLD = auto()
    COLD_WHEN_LATE = auto()
    COUNTER = auto()
    STAYS_GOOD = auto()
    KEEPS = auto()
    WARMER_STORAGE = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTakes(Remark):
    """How long a step takes, by a figure; `days_past` is how long after the first the fruit was picked."""

    step: RipeningStep
    figure: Figure[DayCount] | Figure[Interval]
    days_past: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomUnlike(Remark):
    """A room is cooler or warmer than the days on the counter are told for; no number is made up for it."""

    room: Space
    is_cooler: bool


@dataclass(frozen=True, slots=True)
class UsedSoon(Remark):
    """Bruised, pecked or stemless fruit lasts for few days, by our own judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crowded(Remark):
    """What lies in the space that would be best for it, the most first; nothing where that is too small by itself."""

    space: Space
    beside: tuple[FruitOf, ...]


# Why a day is lacking
# --------------------


class NotKnown(Remark, Enum):
    """What nobody has told, so that a day is lacking.

    Days to ripen indoors; days good once ready; how warm any space is; a limit of keeping; a weight by which to
    foretell the crop.
    """

    RIPENING = auto()
    STAYS_GOOD = auto()
    WARMTH_OF_SPACES = auto()
    KEEPING = auto()
    YIELD = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class MayNotRipen(Remark):
    """A room is so warm (°C) that no day is promised in it."""

    room: Space
    at_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepingNotTold(Remark):
    """Nothing tells how long it keeps in a space: how warm that is (°C) nobody has said, or `limit` is for colder."""

    space: Space
    at_c: float | None
    limit: Figure[DayCount]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitTooShort(Remark):
    """A limit of keeping is over before the cold that the fruit needs is."""

    limit: Figure[DayCount]


@dataclass(frozen=True, slots=True)
class NothingLeft(Remark):
    """All of it is gone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StraightFromTree(Remark):
    """It needs no cold, and goes from the tree to the table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AllClaimed(Remark):
    """All of it has a day of its own before that, the last of them this."""

    last: date


# What is to be looked at
# -----------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class CutShort(Remark):
    """It came out on a day after so many days in the cold, fewer than `cold` tells; ripe apples may do instead."""

    day: date
    lain_d: int
    cold: Figure[DayCount]
    apple: Figure[DayCount] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LookOver(Remark):
    """It is to be looked over every week, for the reason that its last day is lacking."""

    why: Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdNights(Remark):
    """Two nights running were so cold, up to a day, that fruit may ripen on the tree before its time."""

    limit: Figure[Interval]
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class BringIn(Remark):
    """A freeze is forecast, and what is left on the tree is to be in before it."""

    freeze: Freeze


@dataclass(frozen=True, slots=True, kw_only=True)
class PickedEarly(Remark):
    """A first pick before the window opened in which it would have been looked for."""

    picked: date
    mature_from: date


# What is wrong in a space
# ------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class OverFull(Remark):
    """A space holds too much from a day to another, at most so much; what keeps shortest leaves first."""

    first: date
    last: date
    too_much: Weight
    leaving: tuple[FruitOf, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdHarms(Remark):
    """The cold of its space harms it, by a figure."""

    figure: Figure[Chilling]


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepApart(Remark):
    """What it is to be kept apart from lies there too: `near` is picked fruit, None where it is another thing."""

    figure: Figure[str]
    near: FruitOf | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmRoom(Remark):
    """A room is so warm (°C) that fruit ripens poorly in it, or fails to."""

    room: Space
    at_c: float
    fails: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NoCoolerRoom(WarmRoom):
    """The same of fruit that is to come into it, where no room is cooler."""


@dataclass(frozen=True, slots=True)
class NoColdSpace(Remark):
    """It needs days in the cold, and no space told of is cold enough."""


# Other ways, and what can't be had
# ---------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class RipeApples(Remark):
    """Ripe apples beside it for so long, instead of the cold."""

    figure: Figure[DayCount]


@dataclass(frozen=True, slots=True, kw_only=True)
class Treated(Remark):
    """A treatment that makes it ready, as it is published."""

    treatment: Treatment


@dataclass(frozen=True, slots=True, kw_only=True)
class NotReady(Remark):
    """Nothing tells when fruit is ready, and why."""

    fruit: FruitOf
    why: Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class PickNotNoted(Remark):
    """It was due to be picked on a day that is past, and nobody noted whether it was."""

    fruit: FruitOf
    due: date


@dataclass(frozen=True, slots=True, kw_only=True)
class StillCold(Remark):
    """It lies in the cold until a day, and is ready on another at the soonest."""

    fruit: FruitOf
    until: date
    ready: date


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOut(Remark):
    """All of it was taken out by a day."""

    fruit: FruitOf
    last: date


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepsTooShort(Remark):
    """It would have to lie so many days longer than it keeps; `until` is None where no limit is known."""

    fruit: FruitOf
    until: date | None = None
    longer_d: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreThanThere(Remark):
    """So much more is wanted than is there to be promised."""

    weight: Weight


@dataclass(frozen=True, slots=True, kw_only=True)
class NoLot(Remark):
    """There is no fruit of what is wanted this season; `cultivar` is by the name that the want gives it."""

    cultivar: str


# What leaves the store, and what must not become a preserve
# ----------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ForWant(Remark):
    """It leaves for something that the household wants on a day; the `purpose` may be empty.

    `unweighed` is what is wanted in the household's own words if nobody can weigh it, None where its weight is known.
    """

    purpose: str
    day: date
    unweighed: str | None = None


@dataclass(frozen=True, slots=True)
class ForSale(Remark):
    """It is more than is eaten at the stated rate, and there is a stand."""


@dataclass(frozen=True, slots=True)
class NotEaten(Remark):
    """It is more than is eaten by its last day."""


class NotForIt(Remark, Enum):
    """What fruit of a grade must not become.

    Culls go out; windfalls go neither into jars nor into juice; bruised or pecked fruit does not go into jars.
    """

    CULLS = auto()
    WINDFALLS_IN_JARS = auto()
    BRUISED_IN_JARS = auto()
    WINDFALLS_IN_JUICE = auto()
