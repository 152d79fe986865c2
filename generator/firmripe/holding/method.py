"""The steps of putting fruit up, in the order of work."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from firmripe.holding.figures import Figure


class Act(Enum):
    """What is done at a step. The order is that of the work; steps of several ways share it."""

    SORT = "sort and wash"
    JARS = "jars"
    STERILISE = "sterilise"
    LIDS = "lids"
    PREPARE = "prepare"
    BROWNING = "keep from browning"
    LIQUID = "liquid"
    HEAT = "heat"
    PRINTED = "printed recipe"
    PACK = "pack"
    ACID = "acid"
    FILL = "fill"
    BUBBLES = "bubbles"
    HEADSPACE = "headspace"
    RIM = "rim"
    LID = "lid"
    POT = "pot"
    WATER = "water"
    VENT = "vent"
    COUNT = "count"
    AGAIN = "begin again"
    REST = "rest"
    OUT = "take out"
    UNTOUCHED = "untouched"
    TEST = "test"
    FAILED = "failed seal"
    DRY = "dry"
    DONE = "test for done"
    CONDITION = "condition"
    FREEZE = "freeze"
    LABEL = "label"
    KEEP = "keep"
    DOUBT = "doubt"


class WrittenStep(Struct, frozen=True, kw_only=True):
    """A step in the shelf's words. `needs` are the facts that must all hold for it, as `steam` or `hot pack`."""

    act: Act
    words: Figure[str]
    needs: frozenset[str] = frozenset()


FACTS = frozenset(
    {
        "jars",
        "packed in liquid",
        "filled as it is",
        "with bubbles",
        "hot pack",
        "raw pack",
        "boiling water",
        "steam",
        "pressure",
        "printed recipe",
        "freezer",
        "dryer",
        "refrigerator",
    }
)
"""What a step may need: something in jars, how they are filled, a pack, a pot, or a way of putting up."""
