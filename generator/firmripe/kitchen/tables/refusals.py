"""Why there are no minutes for fruit in a jar, one kind for each reason."""

from __future__ import annotations

from msgspec import Struct

from firmripe.holding.figures import Cited
from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.process import Gauge, NotForCanning, ToldApart, WhiteFlesh
from firmripe.remark import Remark


class NoMinutes(Remark, Struct, frozen=True, kw_only=True):
    """Why there are no minutes: one kind for each reason. `cited` is where it is printed, if it is."""

    cited: Cited | None = None


class Unsaid(NoMinutes, frozen=True, kw_only=True):
    """Something that minutes hang on, and that the household can say."""


class HeightUnsaid(Unsaid, frozen=True, kw_only=True):
    """How high the kitchen lies has not been said."""


class GaugeUnsaid(Unsaid, frozen=True, kw_only=True):
    """Whether the pressure canner has a dial or a weight has not been said."""


class FruitUnsaid(Unsaid, frozen=True, kw_only=True):
    """Which fruit it is has not been said, as of pears that may be European or Asian."""


class SpokenOf(Unsaid, frozen=True, kw_only=True):
    """A note of the household's speaks of the fruit as of another, whose acid differs."""

    other: ToldApart


class FleshUnsaid(Unsaid, frozen=True, kw_only=True):
    """Whether the flesh is yellow or white has not been said."""

    row: WhiteFlesh


class FleshWhite(NoMinutes, frozen=True, kw_only=True):
    """The flesh is white, or something here says that it may be."""

    row: WhiteFlesh


class FruitRefused(NoMinutes, frozen=True, kw_only=True):
    """The fruit must not go into jars, or not as this product."""

    row: NotForCanning


class ProductRefused(NoMinutes, frozen=True, kw_only=True):
    """The product must not be canned, whatever is in it."""

    row: NotForCanning


class NoProcess(NoMinutes, frozen=True, kw_only=True):
    """No tested process has this name."""

    process: str


class DryerMakesNoJars(NoMinutes, frozen=True, kw_only=True):
    """The pot is a dryer."""


class JarTooLarge(NoMinutes, frozen=True, kw_only=True):
    """The jar is larger than any that is printed."""

    jar: Jar


class JarNotPrinted(NoMinutes, frozen=True, kw_only=True):
    """Nothing is printed for a process in a jar of this size, but for others (`sizes`, smallest first)."""

    process: str
    jar: Jar
    sizes: tuple[JarSize, ...]


class HeightNotPrinted(NoMinutes, frozen=True, kw_only=True):
    """Nothing is printed for a process as high as the kitchen lies."""

    process: str


class TooLongInSteam(NoMinutes, frozen=True, kw_only=True):
    """It takes longer here than a steam canner may run: `most` minutes, None where no time is printed."""

    most: int | None


class NotUnderPressure(NoMinutes, frozen=True, kw_only=True):
    """No time in a pressure canner is printed for a process."""

    process: str


class PressureNotPrinted(NoMinutes, frozen=True, kw_only=True):
    """No pressure by this gauge is printed for the kitchen's height."""

    gauge: Gauge


class DoseNotPrinted(NoMinutes, frozen=True, kw_only=True):
    """A process needs acid in each jar, and the dose for a jar of this size is not printed."""

    process: str
    size: JarSize
