"""What the harvest remarks: how much hangs, what a step rests on, why a day is lacking, what to mind. Facts, no words.

Whose fruit it is, which space it lies in and which figure speaks are parts of their own.
"""

from __future__ import annotations

from datetime import date
from enum import Enum, auto

from msgspec import Struct

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


class FruitOf(Struct, frozen=True, kw_only=True):
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


class OwnWeights(Remark, Struct, frozen=True, kw_only=True):
    """What was weighed in former seasons, oldest first; one season alone makes the range wider."""

    seasons: tuple[tuple[int, Weight], ...]


class Counted(Remark, Struct, frozen=True, kw_only=True):
    """What was counted this season, as written, times the weight of one."""

    amount: str


class NoteExpects(Remark, Struct, frozen=True):
    """What the tree's own note expects of it."""


class PrintedYields(Remark, Struct, frozen=True, kw_only=True):
    """What is printed of a full-grown tree, an equal part for each of its `limbs`."""

    yields: tuple[str, ...]
    limbs: int


class PerhapsNoneYet(Remark, Struct, frozen=True, kw_only=True):
    """The tree was `planted` so lately that it may bear nothing yet, and at most the least of the range."""

    planted: int


class CropNoted(Remark, Struct, frozen=True, kw_only=True):
    """This season's crop was noted as light, heavy or of a part; `share` is the part as written, or empty."""

    what: Happening
    share: str = ""


class InTurn(Remark, Struct, frozen=True, kw_only=True):
    """Heavy and light years take turns, by this tree's own years or by common practice alone."""

    turn: Alternation


class LostOnTheTree(Remark, Struct, frozen=True, kw_only=True):
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


class StepTakes(Remark, Struct, frozen=True, kw_only=True):
    """How long a step takes, by a figure; `days_past` is how long after the first the fruit was picked."""

    step: RipeningStep
    figure: Figure[DayCount] | Figure[Interval]
    days_past: int = 0


class RoomUnlike(Remark, Struct, frozen=True, kw_only=True):
    """A room is cooler or warmer than the days on the counter are told for; no number is made up for it."""

    room: Space
    is_cooler: bool


class UsedSoon(Remark, Struct, frozen=True):
    """Bruised, pecked or stemless fruit lasts for few days, by our own judgement."""


class Crowded(Remark, Struct, frozen=True, kw_only=True):
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


class MayNotRipen(Remark, Struct, frozen=True, kw_only=True):
    """A room is so warm (°C) that no day is promised in it."""

    room: Space
    at_c: float


class KeepingNotTold(Remark, Struct, frozen=True, kw_only=True):
    """Nothing tells how long it keeps in a space: how warm that is (°C) nobody has said, or `limit` is for colder."""

    space: Space
    at_c: float | None
    limit: Figure[DayCount]


class LimitTooShort(Remark, Struct, frozen=True, kw_only=True):
    """A limit of keeping is over before the cold that the fruit needs is."""

    limit: Figure[DayCount]


class NothingLeft(Remark, Struct, frozen=True):
    """All of it is gone."""


class StraightFromTree(Remark, Struct, frozen=True, kw_only=True):
    """It needs no cold, and goes from the tree to the table."""


class ToBeUsedSoon(Remark, Struct, frozen=True):
    """It was sorted to be used soon, and lies in the cold no longer than it needs."""


class AllClaimed(Remark, Struct, frozen=True, kw_only=True):
    """All of it has a day of its own before that, the last of them this."""

    last: date


# What is to be looked at
# -----------------------


class CutShort(Remark, Struct, frozen=True, kw_only=True):
    """It came out on a day after so many days in the cold, fewer than `cold` tells; ripe apples may do instead."""

    day: date
    lain_d: int
    cold: Figure[DayCount]
    apple: Figure[DayCount] | None


class LookOver(Remark, Struct, frozen=True, kw_only=True):
    """It is to be looked over every week, for the reason that its last day is lacking."""

    why: Remark


class ColdNights(Remark, Struct, frozen=True, kw_only=True):
    """Two nights running were so cold, up to a day, that fruit may ripen on the tree before its time."""

    limit: Figure[Interval]
    day: date


class BringIn(Remark, Struct, frozen=True, kw_only=True):
    """A freeze is forecast, and what is left on the tree is to be in before it."""

    freeze: Freeze


class PickedEarly(Remark, Struct, frozen=True, kw_only=True):
    """A first pick before the window opened in which it would have been looked for."""

    picked: date
    mature_from: date


# What is wrong in a space
# ------------------------


class OverFull(Remark, Struct, frozen=True, kw_only=True):
    """A space holds too much from a day to another, at most so much; what keeps shortest leaves first."""

    first: date
    last: date
    too_much: Weight
    leaving: tuple[FruitOf, ...]


class ColdHarms(Remark, Struct, frozen=True, kw_only=True):
    """The cold of its space harms it, by a figure."""

    figure: Figure[Chilling]


class KeepApart(Remark, Struct, frozen=True, kw_only=True):
    """What it is to be kept apart from lies there too: `near` is picked fruit, None where it is another thing."""

    figure: Figure[str]
    near: FruitOf | None = None


class WarmRoom(Remark, Struct, frozen=True, kw_only=True):
    """A room is so warm (°C) that fruit ripens poorly in it, or fails to."""

    room: Space
    at_c: float
    fails: bool


class NoCoolerRoom(WarmRoom, frozen=True, kw_only=True):
    """The same of fruit that is to come into it, where no room is cooler."""


class NoColdSpace(Remark, Struct, frozen=True):
    """It needs days in the cold, and no space told of is cold enough."""


# Other ways, and what can't be had
# ---------------------------------


class RipeApples(Remark, Struct, frozen=True, kw_only=True):
    """Ripe apples beside it for so long, instead of the cold."""

    figure: Figure[DayCount]


class Treated(Remark, Struct, frozen=True, kw_only=True):
    """A treatment that makes it ready, as it is published."""

    treatment: Treatment


class NotReady(Remark, Struct, frozen=True, kw_only=True):
    """Nothing tells when fruit is ready, and why."""

    fruit: FruitOf
    why: Remark


class PickNotNoted(Remark, Struct, frozen=True, kw_only=True):
    """It was due to be picked on a day that is past, and nobody noted whether it was."""

    fruit: FruitOf
    due: date


class StillCold(Remark, Struct, frozen=True, kw_only=True):
    """It lies in the cold until a day, and is ready on another at the soonest."""

    fruit: FruitOf
    until: date
    ready: date


class TakenOut(Remark, Struct, frozen=True, kw_only=True):
    """All of it was taken out by a day."""

    fruit: FruitOf
    last: date


class KeepsTooShort(Remark, Struct, frozen=True, kw_only=True):
    """It would have to lie so many days longer than it keeps; `until` is None where no limit is known."""

    fruit: FruitOf
    until: date | None = None
    longer_d: int = 0


class MoreThanThere(Remark, Struct, frozen=True, kw_only=True):
    """So much more is wanted than is there to be promised."""

    weight: Weight


class NoLot(Remark, Struct, frozen=True, kw_only=True):
    """There is no fruit of what is wanted this season; `cultivar` is by the name that the want gives it."""

    cultivar: str


# What leaves the store, and what must not become a preserve
# ----------------------------------------------------------


class ForWant(Remark, Struct, frozen=True, kw_only=True):
    """It leaves for something that the household wants on a day; the `purpose` may be empty.

    `unweighed` is what is wanted in the household's own words if nobody can weigh it, None where its weight is known.
    """

    purpose: str
    day: date
    unweighed: str | None = None


class ForSale(Remark, Struct, frozen=True):
    """There is a stand, and it is more than is eaten at the stated rate; or `is_untold` how much is eaten."""

    is_untold: bool = False


class NotEaten(Remark, Struct, frozen=True):
    """It is more than is eaten by its last day."""


class NotForIt(Remark, Enum):
    """What fruit of a grade must not become.

    Culls go out; windfalls go neither into jars nor into juice; bruised or pecked fruit does not go into jars.
    """

    CULLS = auto()
    WINDFALLS_IN_JARS = auto()
    BRUISED_IN_JARS = auto()
    WINDFALLS_IN_JUICE = auto()
