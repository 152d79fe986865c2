"""Fruits and cultivars: what is known of how they ripen, each figure with its source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from enum import Enum

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import DayCount, Hemisphere, Stretch
from firmripe.holding.figures import Cited, Figure
from firmripe.holding.picks import PickingDays
from firmripe.holding.place import Ground
from firmripe.holding.task import Stage
from firmripe.holding.weight import Container, Part, Weight
from firmripe.units import Interval


class Event(Enum):
    """What happens to a tree in a season and can be dated; the text is the word for it everywhere."""

    FULL_BLOOM = "full bloom"
    PICK = "pick"
    LEAF_FALL = "leaf fall"

    __hash__ = (
        object.__hash__
    )  # there is one of each, which is soon told apart; that of its name takes four times as long


class Flesh(Enum):
    """The color of a peach's or nectarine's flesh, on which its acid hangs."""

    YELLOW = "yellow"
    WHITE = "white"
    RED = "red"


class Ripens(Enum):
    """Whether fruit goes on ripening once it is off the tree."""

    YES = "yes"
    PARTLY = "partly"
    NO = "no"


class Sets(Enum):
    """How far a kind sets fruit with its own pollen."""

    YES = "yes"
    PARTLY = "partly"
    NO = "no"


class Gives(Enum):
    """Whether the pollen of a kind is of use to others; that of triploids hardly ever is."""

    YES = "yes"
    POORLY = "poorly"
    NO = "no"


class Shows(Enum):
    """Whether people see a fruit bloom; figs flower inside, and nobody dates the catkins of nut trees."""

    YES = "yes"
    NO = "no"


class FlowerGroup(Struct, frozen=True, kw_only=True):
    """When a kind blooms beside others of its fruit: from group `low` to `high` of `of`, 1 being the earliest.

    Without numbers (`of` is 0) 1 is early, 2 middle and 3 late. Groups of one scale alone can be compared.
    """

    low: int
    high: int
    of: int = 0

    def blooms_with(self, other: FlowerGroup) -> bool:
        """Say whether two kinds are in bloom together: a numbered group with the one before and behind it as well."""
        apart = max(self.low - other.high, other.low - self.high)
        return self.of == other.of and apart <= (1 if self.of else 0)


class Window(Struct, frozen=True, kw_only=True):
    """A published (or own) date: on this ground the event falls in this stretch of the year.

    `written_for` is the half of the earth that the stretch is written for.
    """

    event: Event
    stretch: Stretch
    crop: str
    place_name: str
    ground: Ground
    written_for: Hemisphere
    cited: Cited
    text: str
    note: str = ""


class Offset(Struct, frozen=True, kw_only=True):
    """Its first pick falls `days` after that of the cultivar with the key `base` (negative: before)."""

    base: str
    days: float
    text: str
    cited: Cited


class Sign(Struct, frozen=True, kw_only=True):
    """A pick test: the sense it uses (touch, sight, smell, taste, lift, sound) and what to find.

    One that is `of_ripe` fruit tells when to eat it, and whoever waits for it on the tree picks too late.
    """

    sense: str
    text: str
    cited: Cited
    of_ripe: bool = False


class DropPeriod(Struct, frozen=True, kw_only=True):
    """From `low` to `high` days after a stage (`before`: before it)."""

    low: float
    high: float
    stage: Stage
    before: bool


class Drop(Struct, frozen=True, kw_only=True):
    """A time of fruit falling: when, and what it looks like and means. Without a period it is any other time."""

    when: str
    period: DropPeriod | None
    text: str
    cited: Cited


class Fact(Struct, frozen=True, kw_only=True):
    """Anything else worth printing."""

    what: str
    text: str
    cited: Cited


class RuleGives(Enum):
    """What a heat rule gives; the text is the word for it in the notes."""

    DAY_OF_YEAR = "day of the year"
    DAYS_FROM_BLOOM = "days from full bloom"


class SpringHeatRule(Struct, frozen=True, kw_only=True):
    """A published rule: the warmer the spring, the earlier the pick.

    Picked on day `day_of_year` (1 January is day 1), sooner by `less_d` days for each C-day of heat (sine) above
    `above_c` in the stretch `during`, which is written for the north. `within` is how far off it may be, in days.
    """

    day_of_year: float
    less_d: float
    above_c: float
    during: Stretch
    within: Figure[DayCount]
    cited: Cited


class BloomNightsRule(Struct, frozen=True, kw_only=True):
    """A published rule: the milder the nights after bloom, the earlier the pick.

    Picked `days_from_bloom` days after full bloom, sooner by `less_d` days for each °C by which the mean lowest
    temperature of the first `nights` days after bloom is above `above_c`, later below. `within` as above.
    """

    days_from_bloom: float
    less_d: float
    above_c: float
    nights: int
    within: Figure[DayCount]
    cited: Cited


HeatRule = SpringHeatRule | BloomNightsRule


class Chilling(Struct, frozen=True, kw_only=True):
    """Cold that harms: from `low_c` (None: from any colder) to `high_c`, after so many days.

    `below` leaves `high_c` itself out, `unripe` means that ripe fruit is spared, `more_than` that harm begins past
    `after_d` days and not with them.
    """

    low_c: float | None
    high_c: float
    after_d: float = 0.0
    below: bool = False
    unripe: bool = False
    more_than: bool = False

    def harms(self, space_c: float, days: float, *, ripe: bool) -> bool:
        """Say whether fruit is harmed by so many days at a temperature (°C)."""
        if self.unripe and ripe:
            return False
        slack = 0.05  # a temperature written in °F and one in °C for the same place
        cold = space_c < self.high_c - slack if self.below else space_c <= self.high_c + slack
        if self.low_c is not None:
            cold = cold and space_c >= self.low_c - slack
        return cold and (days > self.after_d if self.more_than else days >= self.after_d)


class Treatment(Struct, frozen=True, kw_only=True):
    """A way to make fruit ready that is no plain waiting: how long it takes, and how many days after.

    It works on fruit that has been stored no longer than `stored_at_most` days (None: however long).
    """

    what: str
    takes: Figure[DayCount]
    then: DayCount | None = None
    then_text: str = ""
    stored_at_most: DayCount | None = None

    @property
    def days(self) -> DayCount:
        """Days from its beginning until the fruit is ready."""
        after = self.then or DayCount(low=0, high=0)
        return DayCount(low=self.takes.value.low + after.low, high=self.takes.value.high + after.high)


class Traits(Struct, frozen=True, kw_only=True):
    """What is known of a fruit or a cultivar. A part that is not known is None or empty.

    Firmness in newtons, softening in newtons a day; temperatures in °C; the interval from bloom to pick, conditioning,
    counter and keeping in days. `yields` is what a full-grown tree gives, `containers` what each weighs full.
    `conditioning_late` is the cold needed when picked `LATE_D` days after first maturity, `counter_after_storage` the
    counter days after long cold, `ripe_apple` the days beside ripe apples that do instead of the cold.
    `keeps_published` is the limit of the shelf where a household's own `keeps` stands over it.
    `warmer_storage` is how many times shorter it keeps in a place as warm as that figure is told for.
    `cold_nights` is how cold two nights running must be to start it ripening on the tree, `freezes` where the fruit
    itself freezes. `conditioning_early` is the cold needed by fruit picked before it was mature, `counter_by_room`
    the counter days in rooms of other temperatures than that of `counter`. `flower_groups` tell when it blooms beside
    others of its fruit, `own_pollen` how far it sets with its own, `gives_pollen` whether others set with it,
    `shows_bloom` whether anybody sees it bloom. `picking_days` are the household's own days of picking.
    """

    ripens_off_the_tree: Figure[Ripens] | None = None
    windows: tuple[Window, ...] = ()
    offset: Offset | None = None
    days_from_bloom: tuple[Figure[DayCount], ...] = ()
    heat_rule: HeatRule | None = None
    signs: tuple[Sign, ...] = ()
    firmness_at_pick: Figure[Interval] | None = None
    firmness_when_ready: Figure[Interval] | None = None
    passes: Figure[Interval] | None = None
    pass_interval: Figure[DayCount] | None = None
    picking_days: tuple[Figure[PickingDays], ...] = ()
    conditioning: tuple[Figure[DayCount], ...] = ()
    counter: Figure[DayCount] | None = None
    too_warm: Figure[Interval] | None = None
    keeps: Figure[DayCount] | None = None
    keeps_published: Figure[DayCount] | None = None
    warmer_storage: Figure[Interval] | None = None
    keeps_ripe: Figure[DayCount] | None = None
    drops: tuple[Drop, ...] = ()
    uses: tuple[Figure[str], ...] = ()
    partners: tuple[Figure[str], ...] = ()
    bad_partners: tuple[Figure[str], ...] = ()
    flower_groups: tuple[Figure[FlowerGroup], ...] = ()
    own_pollen: Figure[Sets] | None = None
    gives_pollen: Figure[Gives] | None = None
    shows_bloom: Figure[Shows] | None = None
    facts: tuple[Fact, ...] = ()
    cautions: tuple[Figure[str], ...] = ()
    yields: tuple[Figure[Part], ...] = ()
    fruit_weight: Figure[Weight] | None = None
    containers: tuple[Figure[Container], ...] = ()
    conditioning_late: tuple[Figure[DayCount], ...] = ()
    counter_after_storage: Figure[DayCount] | None = None
    ripe_apple: Figure[DayCount] | None = None
    ripens_poorly_above: Figure[Interval] | None = None
    softens: Figure[Interval] | None = None
    chilling: tuple[Figure[Chilling], ...] = ()
    treatments: tuple[Treatment, ...] = ()
    keep_apart: tuple[Figure[str], ...] = ()
    cold_nights: Figure[Interval] | None = None
    freezes: Figure[Interval] | None = None
    conditioning_early: tuple[Figure[DayCount], ...] = ()
    counter_by_room: tuple[Figure[DayCount], ...] = ()

    @property
    def published_limit(self) -> Figure[DayCount] | None:
        """The published limit of keeping, whatever a household's own `keeps` stands over it; None without one."""
        return self.keeps if self.keeps is not None and not self.keeps.cited.is_own else self.keeps_published

    def over(self, general: Traits, crops: Sequence[str] = ("",)) -> Traits:
        """Return these traits with the general ones in the gaps; `crops` are those borne in a year.

        Facts and cautions add up. Dates don't lean part by part: a cultivar with a date of its own of a crop takes
        neither windows nor an interval of that crop from its fruit, and of its other crops all there is.
        """
        dated = bool(self.windows or self.offset or self.days_from_bloom)
        others = frozenset(crops) - self._dated_crops(crops)
        merged = {}
        for name in self.__struct_fields__:
            own, other = getattr(self, name), getattr(general, name)
            if name in {"facts", "cautions"}:
                merged[name] = own + other
            elif name == "windows" and dated:
                merged[name] = own + tuple(window for window in other if window.crop in others - {""})
            elif name == "days_from_bloom" and dated:
                merged[name] = own + tuple(of_crops(other, sorted(others - {""})))
            elif name in DATING_TRAITS and dated:
                merged[name] = own
            else:
                merged[name] = own or other
        return Traits(**merged)

    def _dated_crops(self, crops: Sequence[str]) -> frozenset[str]:
        """Return the crops of which these traits tell a date; what names no crop tells of the first, or of each."""
        named = {window.crop or crops[0] for window in self.windows} | ({crops[0]} if self.offset else set())
        for figure in self.days_from_bloom:
            named |= {figure.crop} if figure.crop else set(crops)
        return frozenset(named)


def of_crops(figures: Iterable[Figure[DayCount]], crops: Sequence[str]) -> Iterator[Figure[DayCount]]:
    """Yield the intervals of some crops; one that names no crop is of each that none of them names."""
    told = list(figures)
    named = {figure.crop for figure in told if figure.crop}
    for figure in told:
        means = {figure.crop} if figure.crop else set(crops) - named
        yield from (replace(figure, crop=crop) for crop in crops if crop in means)


LATE_D = 28
"""`conditioning_late` holds for fruit picked so many days after first maturity (Sugar and Einhorn 2012)."""

DATING_TRAITS = frozenset({"windows", "offset", "days_from_bloom", "heat_rule"})


class Abroad(Struct, frozen=True, kw_only=True):
    """What a fruit is called in other languages, each by its code (BCP 47, as `fr`)."""

    name: str
    languages: tuple[str, ...]
    cited: Cited


class Habit(Enum):
    """How a plant grows, which decides what is needed to reach its fruit."""

    TREE = "tree"
    BUSH = "bush"
    CANE = "cane"
    VINE = "vine"
    HERB = "herb"

    @property
    def key(self) -> str:
        """What plants of this habit go by where fruits, cultivars and trees go by keys and tags."""
        return f"habit {self.value}"


class Fruit(Struct, frozen=True, kw_only=True):
    """A kind of fruit, and the habit of its plant. `crops` names its crops where one bears more than one a year.

    `abroad` are its names in other languages, by which it is found as well as by those in `also`.

    `private` says that the household's note on it is for the household alone.
    """

    key: str
    name: str
    also: tuple[str, ...] = ()
    abroad: tuple[Abroad, ...] = ()
    crops: tuple[str, ...] = ()
    habit: Habit = Habit.TREE
    traits: Traits
    text: str = ""
    private: bool = False


class Cultivar(Struct, frozen=True, kw_only=True):
    """A named kind of a fruit.

    `own` holds what its own file says, `traits` the same with its fruit's figures in the gaps.
    `dates_lean` says that no date or interval of its own is known, so that the fruit's must do. `private` says that
    the household's note on it, or on its fruit, is for the household alone. `unsure` says that its fruit was told by a
    name that can mean another one too. `own_crops` are its crops in a year where its own file names them. `from_bloom`
    are the days from full bloom to pick that the household tells of it on one tree.
    """

    key: str
    name: str
    fruit: Fruit | None
    own_crops: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    own: Traits
    traits: Traits
    flesh: Figure[Flesh] | None = None
    from_bloom: Figure[DayCount] | None = None
    text: str = ""
    private: bool = False
    unsure: bool = False

    @property
    def dates_lean(self) -> bool:
        """Whether its dates lean on its fruit."""
        return not (self.own.windows or self.own.offset or self.own.days_from_bloom)

    @property
    def crops(self) -> tuple[str, ...]:
        """Its crops in a year; one without a name is usual."""
        return self.own_crops or (self.fruit.crops if self.fruit else ()) or ("",)

    @property
    def blooms_unseen(self) -> bool:
        """Whether nobody sees it bloom, so that a bloom without a date is nothing to ask about."""
        shows = self.traits.shows_bloom
        return shows is not None and shows.value is Shows.NO

    def means(self, said: str, crop: str) -> bool:
        """Say whether a date that names a crop, or none, is one of this crop: without a name it is of the first."""
        return said == crop or (not said and crop == self.crops[0])

    def own_interval(self, crop: str) -> Figure[DayCount] | None:
        """Return what the household tells of one tree of it: the days from full bloom to pick of a crop."""
        own = self.from_bloom
        return own if own is not None and own.crop in {"", crop} else None

    def interval(self, crop: str) -> Figure[DayCount] | None:
        """Return the days from full bloom to pick of a crop; those that name no crop are of each without its own."""
        return next(of_crops(self.traits.days_from_bloom, (crop,)), None)
