"""Why there are no minutes for fruit in a jar, one kind for each reason."""

from __future__ import annotations

from dataclasses import dataclass

from firmripe.holding.figures import Cited
from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.process import Gauge, NotForCanning, ToldApart, WhiteFlesh
from firmripe.remark import Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class NoMinutes(Remark):
    """Why there are no minutes: one kind for each reason. `cited` is where it is printed, if it is."""

    cited: Cited | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsaid(NoMinutes):
    """Something that minutes hang on, and that the household can say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightUnsaid(Unsaid):
    """How high the kitchen lies has not been said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeUnsaid(Unsaid):
    """Whether the pressure canner has a dial or a weight has not been said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FruitUnsaid(Unsaid):
    """Which fruit it is has not been said, as of pears that may be European or Asian."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpokenOf(Unsaid):
    """A note of the household's speaks of the fruit as of another, whose acid differs."""

    other: ToldApart


@dataclass(frozen=True, slots=True, kw_only=True)
class FleshUnsaid(Unsaid):
    """Whether the flesh is yellow or white has not been said."""

    row: WhiteFlesh


@dataclass(frozen=True, slots=True, kw_only=True)
class FleshWhite(NoMinutes):
    """The flesh is white, or something here says that it may be."""

    row: WhiteFlesh


@dataclass(frozen=True, slots=True, kw_only=True)
class FruitRefused(NoMinutes):
    """The fruit must not go into jars, or not as this product."""

    row: NotForCanning


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductRefused(NoMinutes):
    """The product must not be canned, whatever is in it."""

    row: NotForCanning


@dataclass(frozen=True, slots=True, kw_only=True)
class NoProcess(NoMinutes):
    """No tested process has this name."""

    process: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DryerMakesNoJars(NoMinutes):
    """The pot is a dryer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JarTooLarge(NoMinutes):
    """The jar is larger than any that is printed."""

    jar: Jar


@dataclass(frozen=True, slots=True, kw_only=True)
class JarNotPrinted(NoMinutes):
    """Nothing is printed for a process in a jar of this size, but for others (`sizes`, smallest first)."""

    process: str
    jar: Jar
    sizes: tuple[JarSize, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightNotPrinted(NoMinutes):
    """Nothing is printed for a process as high as the kitchen lies."""

    process: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TooLongInSteam(NoMinutes):
    """It takes longer here than a steam canner may run: `most` minutes, None where no time is printed."""

    most: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUnderPressure(NoMinutes):
    """No time in a pressure canner is printed for a process."""

    process: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureNotPrinted(NoMinutes):
    """No pressure by this gauge is printed for the kitchen's height."""

    gauge: Gauge


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseNotPrinted(NoMinutes):
    """A process needs acid in each jar, and the dose for a jar of this size is not printed."""

    process: str
    size: JarSize
