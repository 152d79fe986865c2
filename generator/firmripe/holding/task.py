"""Tasks: a job and the stage it hangs on."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from firmripe.days import Hemisphere, MonthDay, Rhythm
from firmripe.holding.figures import Figure
from firmripe.holding.matter import Matter
from firmripe.problems import Where
from firmripe.units import HardinessZone


class Stage(Enum):
    """Days of the season that a task can hang on."""

    __hash__ = object.__hash__  # as that of `Event`

    FULL_BLOOM = "full bloom"
    PETAL_FALL = "petal fall"
    EARLIEST_PICK = "earliest pick"
    PICK = "pick"
    LATEST_PICK = "latest pick"
    CONDITIONED = "conditioned"
    TAKE_OUT = "take out"
    READY = "ready"
    USE_BY = "use by"
    KEEP_UNTIL = "keep until"
    TAKE_OUT_WANTED = "take out for a wanted day"
    WANTED = "wanted day"
    CANNING_DAY = "canning day"
    KITCHEN_DAY = "kitchen day"
    KITCHEN_TAKE_OUT = "take out for the kitchen"
    BUY_BY = "last day to buy jars"
    LEAF_FALL = "leaf fall"
    LAST_FROST = "last frost"
    FIRST_FROST = "first frost"


OF_THE_KITCHEN = frozenset({Stage.CANNING_DAY, Stage.KITCHEN_DAY, Stage.KITCHEN_TAKE_OUT, Stage.BUY_BY})
"""Days of the kitchen plan; without a plan they don't come."""


class Topic(Enum):
    """Where a task is done."""

    ORCHARD = "orchard"
    STORE = "store"
    KITCHEN = "kitchen"


class Each(Enum):
    """What a task is done once for."""

    TREE = "tree"
    CULTIVAR = "cultivar"
    FRUIT = "fruit"
    PLACE = "place"


class Condition(Enum):
    """What must hold for a task to be due."""

    BEARS = "bears"
    RIPENS_OFF = "ripens off the tree"
    RIPENS_ON = "ripens on the tree"
    NEEDS_COLD = "needs cold"
    CAN_BE_PUT_UP = "can be put up"
    CAN_BE_CANNED = "can be canned"
    CANNOT_BE_CANNED = "can't be canned"
    NO_KITCHEN_PLAN = "no kitchen plan"
    NOT_FIXED = "pick not fixed"
    DRIES = "dries"
    NEWLY_PLANTED = "newly planted"
    YOUNG = "young"
    HANGS_LATE = "hangs late"
    MORE_HANGS = "more hangs"


class Anchor(Struct, frozen=True, kw_only=True):
    """A day that hangs on a stage, or on the calendar: exactly one of `stage` and `day` is set.

    `months` and `days` are added (negative: before); `written_for` is the half of the earth that a day of the year
    is written for.
    """

    stage: Stage | None = None
    day: MonthDay | None = None
    months: int = 0
    days: int = 0
    text: str
    written_for: Hemisphere = Hemisphere.NORTH

    def __post_init__(self) -> None:
        if (self.stage is None) == (self.day is None):
            raise ValueError("an anchor hangs on a stage or on a day of the year, one of the two")


class Thing(Struct, frozen=True, kw_only=True):
    """Something to bring to a job, and what it is, or is not, needed for, as a figure tells it."""

    name: str
    subjects: frozenset[str] = frozenset()
    not_for: frozenset[str] = frozenset()


class Task(Struct, frozen=True, kw_only=True):
    """A job. `subjects` are whose it is, by keys and tags; empty means every tree's but of those it is `not_for`.

    `calendar_name` is a shorter name for calendars, whose lines are narrow; where it is empty the name serves.
    `zone` is the zone that a calendar day is meant for. `only_for` names the one person whose feed it stands in, and
    nothing else does. `private` says that it is for the household alone. `instead_of` are the keys of the jobs that it
    takes the place of where it is due: a round that comes again and again, of the picking of each tree.
    `about` is the matter it belongs to, with which a household may have nothing to do.
    """

    key: str
    name: str
    calendar_name: str = ""
    topic: Topic
    about: Matter | None = None
    subjects: frozenset[str]
    not_for: frozenset[str] = frozenset()
    each: Each
    when: Anchor
    until: Anchor | None = None
    every: Rhythm | None = None
    zone: HardinessZone | None = None
    only_if: frozenset[Condition] = frozenset()
    reminder: bool = False
    who: str = ""
    only_for: str = ""
    instead_of: frozenset[str] = frozenset()
    private: bool = False
    bring: tuple[Thing, ...] = ()
    why: tuple[Figure[str], ...] = ()
    look_for: tuple[Figure[str], ...] = ()
    cautions: tuple[Figure[str], ...] = ()
    text: str = ""
    where: Where
