"""Trees, and what each of their limbs bears."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from msgspec import Struct

from firmripe.holding.figures import Figure
from firmripe.holding.fruit import Cultivar, Event, Flesh
from firmripe.holding.picks import PickingDays, picks_for
from firmripe.holding.weight import Part
from firmripe.problems import Where


class Pin(Struct, frozen=True, kw_only=True):
    """A date fixed by hand. `cultivar` is a key, or empty for all limbs; `crop` likewise."""

    event: Event
    day: date
    because: str = ""
    cultivar: str = ""
    crop: str = ""
    where: Where


class Bearing(NamedTuple):
    """What is dated and picked as one: a crop of a cultivar on a tree (all three by key).

    It is looked up by more often than anything else, hence a tuple.
    """

    tree: str
    cultivar: str
    crop: str = ""


class Neighbor(Struct, frozen=True, kw_only=True):
    """A tree of somebody else's near by, which counts for its pollen alone. `removed` is when it was taken out."""

    limb: Cultivar
    place: str = ""
    removed: date | None = None


class Tree(Struct, frozen=True, kw_only=True):
    """A tree, or a row of `count` like trees, by the tag it carries. `walk` is its place in walking order.

    `crop` is what the household expects of it in a usual year, by weight or by count. `private` says that its note is
    for the household alone. `flesh` is the color of its fruit's flesh, where its note says it. `unsure` are the keys of
    limbs whose fruit was told by a name that can mean another one too. `picking_days` are its own, by crop.
    """

    tag: str
    limbs: tuple[Cultivar, ...]
    place: str = ""
    walk: float | None = None
    count: int = 1
    planted: int | None = None
    bears_from: int | None = None
    kept_by: str = ""
    picking_days: tuple[Figure[PickingDays], ...] = ()
    pins: tuple[Pin, ...] = ()
    text: str = ""
    crop: Part | None = None
    flesh: Flesh | None = None
    unsure: frozenset[str] = frozenset()
    private: bool = False
    where: Where

    def picks_of(self, limb: Cultivar, crop: str) -> Figure[PickingDays] | None:
        """Return the household's own days of picking a crop: this tree's, else its cultivar's; None without any."""
        return picks_for(self.picking_days, crop) or picks_for(limb.traits.picking_days, crop)

    @property
    def part(self) -> str:
        """The row, bed or corner in which it stands: what its note says of that before the first comma."""
        return self.place.partition(",")[0].strip()

    @property
    def blooms_unseen(self) -> bool:
        """Whether nobody sees any of its limbs bloom."""
        return all(limb.blooms_unseen for limb in self.limbs)

    @property
    def bearings(self) -> tuple[Bearing, ...]:
        """Each crop of each limb, in the order of the note."""
        return tuple(Bearing(self.tag, limb.key, crop) for limb in self.limbs for crop in limb.crops)

    def limb(self, key: str) -> Cultivar:
        """Return its limb of a cultivar. Raises KeyError where it has none."""
        for limb in self.limbs:
            if limb.key == key:
                return limb
        raise KeyError((self.tag, key))
