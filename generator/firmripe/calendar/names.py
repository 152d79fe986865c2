"""What a job is for, and what it is that has no date: the facts that it is named by, no words."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from firmripe.holding.task import Stage
from firmripe.holding.weight import Weight
from firmripe.remark import Remark


class OfFruit(Remark, Struct, frozen=True, kw_only=True):
    """All trees of a fruit, or those of one of its crops."""

    fruit: str
    crop: str = ""


class OfCultivar(Remark, Struct, frozen=True, kw_only=True):
    """All trees of a cultivar, or of a crop of it."""

    limb: str
    crop: str = ""


class OfLimb(Remark, Struct, frozen=True, kw_only=True):
    """A cultivar on one tree, or a crop of it there."""

    limb: str
    tree: str
    crop: str = ""


class OfTree(Remark, Struct, frozen=True, kw_only=True):
    """A tree with several cultivars, as a whole."""

    tree: str
    crop: str = ""


class OfKitchen(Remark, Struct, frozen=True, kw_only=True):
    """A session in a kitchen."""

    kitchen: str


class OfWant(Remark, Struct, frozen=True, kw_only=True):
    """Fruit of a tree that is wanted on a `day` for a purpose; the amount is empty where nobody said."""

    limb: str
    tree: str
    amount: Weight | str
    purpose: str
    day: date


class OfTakeOut(Remark, Struct, frozen=True, kw_only=True):
    """Fruit of a picking that is taken out for the kitchen on a `day`: a weight of it, or all where that is None."""

    limb: str
    tree: str
    picking: int
    weight: Weight | None
    day: date


class StageOf(Remark, Struct, frozen=True, kw_only=True):
    """A stage that jobs hang on, of a cultivar on a tree, or of the place where that is None."""

    stage: Stage
    of: OfLimb | None = None


class LaterPickings(Remark, Struct, frozen=True, kw_only=True):
    """The pickings of a crop after its first."""

    of: OfCultivar


class CultivarWanted(Remark, Struct, frozen=True, kw_only=True):
    """A cultivar, as the household calls it, that is wanted on a day."""

    cultivar: str
    day: date


class PreserveWanted(Remark, Struct, frozen=True, kw_only=True):
    """A preserve that is wanted."""

    preserve: str
