"""What a job is for, and what it is that has no date: the facts that it is named by, no words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from firmripe.holding.task import Stage
from firmripe.holding.weight import Weight
from firmripe.remark import Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class OfFruit(Remark):
    """All trees of a fruit, or those of one of its crops."""

    fruit: str
    crop: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfCultivar(Remark):
    """All trees of a cultivar, or of a crop of it."""

    limb: str
    crop: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfLimb(Remark):
    """A cultivar on one tree, or a crop of it there."""

    limb: str
    tree: str
    crop: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfTree(Remark):
    """A tree with several cultivars, as a whole."""

    tree: str
    crop: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfKitchen(Remark):
    """A session in a kitchen."""

    kitchen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OfWant(Remark):
    """Fruit of a tree that is wanted on a `day` for a purpose; the amount is empty where nobody said."""

    limb: str
    tree: str
    amount: Weight | str
    purpose: str
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class OfTakeOut(Remark):
    """Fruit of a picking that is taken out for the kitchen on a `day`: a weight of it, or all where that is None."""

    limb: str
    tree: str
    picking: int
    weight: Weight | None
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class StageOf(Remark):
    """A stage that jobs hang on, of a cultivar on a tree, or of the place where that is None."""

    stage: Stage
    of: OfLimb | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterPickings(Remark):
    """The pickings of a crop after its first."""

    of: OfCultivar


@dataclass(frozen=True, slots=True, kw_only=True)
class CultivarWanted(Remark):
    """A cultivar, as the household calls it, that is wanted on a day."""

    cultivar: str
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class PreserveWanted(Remark):
    """A preserve that is wanted."""

    preserve: str
