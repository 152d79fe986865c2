"""Processes: what a published guide prints about fruit in jars, row by row. Nothing here is worked out."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from enum import Enum
from functools import lru_cache

from msgspec import Struct, field

from firmripe.holding.figures import Cited, Figure
from firmripe.holding.jar import JarSize
from firmripe.holding.method import WrittenStep
from firmripe.problems import folded


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


class Band(Struct, frozen=True, kw_only=True):
    """A band of height (ft), both ends within it; `high_ft` is None for all above the last."""

    low_ft: int
    high_ft: int | None


class Bands(Struct, frozen=True, kw_only=True):
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

    def band(self, height_ft: float) -> Band:
        """Return the band that a height lies in."""
        low = 0
        for top in self.tops_ft:
            if height_ft <= top:
                return Band(low_ft=low, high_ft=top)
            low = top + 1
        return Band(low_ft=low, high_ft=None)


class Process(Struct, frozen=True, kw_only=True):
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


class PressureProcess(Struct, frozen=True, kw_only=True):
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


class GaugeTable(Struct, frozen=True, kw_only=True):
    """The pressure (psi) by height, for one kind of gauge and one setting."""

    gauge: Gauge
    setting: Setting
    psi: Bands
    cited: Cited


class AcidDose(Struct, frozen=True, kw_only=True):
    """The acid that goes into each jar, in words, by the sizes it is printed for."""

    product: str
    doses: Mapping[JarSize, str]
    cited: Cited


class Syrup(Struct, frozen=True, kw_only=True):
    """Cups of water and of sugar for one load of quarts, and for one of pints."""

    name: str
    loads: Mapping[JarSize, tuple[int, float, float]]
    cited: Cited


class NotForCanning(Struct, frozen=True, kw_only=True):
    """What must not be canned, why, and what to do instead.

    `fruits` are names of fruits and cultivars, `of` the keys of the fruits whose cultivars alone are meant, empty for
    any; `only_as` are the products it is refused as, empty for all.
    """

    what: str
    fruits: tuple[str, ...]
    of: tuple[str, ...] = ()
    only_as: tuple[str, ...]
    because: str
    instead: str
    cited: Cited


class ToldApart(Struct, frozen=True, kw_only=True):
    """Names and words that mean one fruit (by its keys) and must not be given to another, whose acid differs.

    `names` are whole names, also those of its cultivars; `words` mean it wherever they stand in a text.
    """

    fruits: tuple[str, ...]
    names: tuple[str, ...]
    words: tuple[str, ...]
    because: str
    cited: Cited

    @property
    def name(self) -> str:
        """The fruit in words, as its first key says it."""
        return self.fruits[0].replace("-", " ")


class Vague(Struct, frozen=True, kw_only=True):
    """A fruit's name that can mean several fruits (by their keys) whose acid differs."""

    names: tuple[str, ...]
    fruits: tuple[str, ...]
    because: str
    cited: Cited


class WhiteFlesh(Struct, frozen=True, kw_only=True):
    """Fruits (by their keys) that go into jars only where their flesh is known to be yellow.

    `words` speak of white flesh wherever they stand in a text.
    """

    fruits: tuple[str, ...]
    words: tuple[str, ...]
    because: str
    instead: str
    cited: Cited


class ProcessTable(Struct, frozen=True, kw_only=True, dict=True):
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
    refused: tuple[NotForCanning, ...] = ()
    told_apart: tuple[ToldApart, ...] = ()
    vague: tuple[Vague, ...] = ()
    white_flesh: tuple[WhiteFlesh, ...] = ()
    cautions: tuple[Figure[str], ...] = ()
    steam_at_most: Figure[int] | None = None
    sterilise_below: Figure[int] | None = None
    deep_water_above: Figure[int] | None = None
    steps: tuple[WrittenStep, ...] = ()

    @property
    def names(self) -> frozenset[str]:
        """The names of all processes."""
        return frozenset(row.name for row in self.boiled) | frozenset(row.name for row in self.pressed)

    def is_vague(self, name: str) -> bool:
        """Say whether a fruit's name leaves open which fruit is meant."""
        return any(folded(name) == folded(other) for row in self.vague for other in row.names)

    def other_fruit(self, names: Iterable[str], fruit: str) -> ToldApart | None:
        """Return what says that one of these names belongs to another fruit than the one with this key."""
        told = [name for name in names if name.strip()]
        for row in self.told_apart:
            whole = {folded(name) for name in row.names}
            if fruit not in row.fruits and any(folded(name) in whole or speaks_of(name, row.words) for name in told):
                return row
        return None


def speaks_of(text: str, words: Iterable[str]) -> bool:
    """Say whether a text holds one of some words or phrases, whatever its capitals, accents and punctuation."""
    return holds_any(_spaced(text), words)


def folded_texts(texts: Iterable[str]) -> str:
    """Return texts without capitals, accents and punctuation, each in a line of its own, for `holds_any`."""
    return "\n".join(dict.fromkeys(_spaced(text) for text in texts))


def holds_any(told: str, words: Iterable[str]) -> bool:
    """Say whether one of some folded texts holds one of some words or phrases."""
    return any(phrase in told for phrase in _phrases(tuple(words)))


@lru_cache(maxsize=1024)
def _phrases(words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(_spaced(phrase) for phrase in words)


_UNSEEN = frozenset({"Mn", "Cf"})
"""Accents, and what stands within words unseen, as soft hyphens."""


@lru_cache(maxsize=8192)
def _spaced(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text).casefold()
    seen = (c for c in plain if unicodedata.category(c) not in _UNSEEN)
    kept = "".join(c if c.isalnum() else " " for c in seen)
    return f" {' '.join(kept.split())} "
