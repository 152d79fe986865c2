"""Remarks in words: one module for each room that makes remarks."""

from firmripe.wording import (
    calendar,
    clashes,
    clock,
    crops,
    harvest,
    holding,
    kitchen,
    minutes,
    names,
    season,
    store,
    warmth,
)
from firmripe.wording.remarks import words_of

__all__ = [
    "calendar",
    "clashes",
    "clock",
    "crops",
    "harvest",
    "holding",
    "kitchen",
    "minutes",
    "names",
    "season",
    "store",
    "warmth",
    "words_of",
]
