"""Processes: what a published guide prints about fruit in jars, row by row. Nothing here is worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from firmripe.holding.figures import Cited, Figure
from firmripe.holding.jar import JarSize
from firmripe.holding.method import WrittenStep
from firmripe.saying import _


class Pack(Enum):
    """Whether fruit is heated before it is filled in."""

    HOT = "hot"
    RAW = "raw"


class Gauge(Enum):
    """How a pressure canner shows its pressure."""

    DIAL = "dial"
    WEIGHTED = "weighted"


class Setting(Enum):
    """The pressure that a row is printed for: 6 psi by a dial or a weight of 5, and 11 psi or a weight of 10."""

    LOW = "low"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bands:
    """A value for each band of height: `tops_ft` are the bands' highest heights, each still within its band (ft).

    `values` has one more than `tops_ft` where something is printed for above the last, else as many.
    """

    tops_ft: tuple[int, ...]
    values: tuple[int, ...]

    def at(self, height_ft: float) -> int | None:
        """Return the value of the band that a height lies in; None above what is printed."""
        for top, value in zip(self.tops_ft, self.values, strict=False):
            if height_ft <= top:
                return value
        return self.values[-1] if len(self.values) > len(self.tops_ft) else None

    def words(self, height_ft: float) -> str:
        """Say the band that a height lies in, as `1,001-3,000 ft`."""
        below = 0
        for top in self.tops_ft:
            if height_ft <= top:
                return _("{low:,}–{high:,} ft", low=below, high=top)
            below = top + 1
        return _("above {height:,} ft", height=self.tops_ft[-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Process:
    """One printed row: a product, its pack and its jars, and the minutes of a full boil in each band of height.

    `headspace` is in words (`1/2 in`, empty where not printed), `acid` names the dose it needs.
    `recipe_only` says that it holds for the printed recipe alone.
    """

    product: str
    pack: Pack
    jars: frozenset[JarSize]
    minutes: Bands
    headspace: str = ""
    acid: str = ""
    recipe_only: bool = False
    cited: Cited

    @property
    def name(self) -> str:
        """What preserves call it, as `pears, halved, hot pack`."""
        return f"{self.product}, {self.pack.value} pack"


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureProcess:
    """One printed row for a pressure canner: minutes that stay the same at any height, at a pressure that does not."""

    product: str
    pack: Pack
    jars: frozenset[JarSize]
    setting: Setting
    minutes: int
    acid: str = ""
    cited: Cited

    @property
    def name(self) -> str:
        """What preserves call it."""
        return f"{self.product}, {self.pack.value} pack"


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeTable:
    """The pressure (psi) by height, for one kind of gauge and one setting."""

    gauge: Gauge
    setting: Setting
    psi: Bands
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class AcidDose:
    """The acid that goes into each jar, in words, by the sizes it is printed for."""

    product: str
    doses: Mapping[JarSize, str]
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Syrup:
    """Cups of water and of sugar for one load of quarts, and for one of pints."""

    name: str
    loads: Mapping[JarSize, tuple[int, float, float]]
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """What must not be canned, why, and what to do instead.

    `fruits` are names of fruits and cultivars; `only_as` the products it is refused as, empty for all.
    """

    what: str
    fruits: tuple[str, ...]
    only_as: tuple[str, ...]
    because: str
    instead: str
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcessTable:
    """All that the shelf knows of canning.

    `cautions` hold for every jar, `steam_at_most` is the longest time in a steam canner (minutes), and `steps` are
    those of each way of putting up, whatever the product. Jars processed less than `sterilise_below` are boiled empty
    first, and more than `deep_water_above` stand under 2 inches of water, both in minutes.
    """

    boiled: tuple[Process, ...] = ()
    pressed: tuple[PressureProcess, ...] = ()
    gauges: tuple[GaugeTable, ...] = ()
    acids: Mapping[str, AcidDose] = field(default_factory=dict)
    syrups: Mapping[str, Syrup] = field(default_factory=dict)
    refused: tuple[Refused, ...] = ()
    cautions: tuple[Figure[str], ...] = ()
    steam_at_most: Figure[int] | None = None
    sterilise_below: Figure[int] | None = None
    deep_water_above: Figure[int] | None = None
    steps: tuple[WrittenStep, ...] = ()

    @property
    def names(self) -> frozenset[str]:
        """The names of all processes."""
        return frozenset(row.name for row in self.boiled) | frozenset(row.name for row in self.pressed)
