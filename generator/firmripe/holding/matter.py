"""Matters of a season that a household may have nothing to do with."""

from __future__ import annotations

from enum import Enum


class Matter(Enum):
    """What a household can do without: `place.md` names it, and its pages, jobs and reminders stay away.

    What was recorded holds all the same: a spray's label and its re-entry time, a freeze that is forecast.
    """

    CANNING = "canning"
    FROST = "frost"
    POLLINATION = "pollination"
    SPRAYING = "spraying"
    SELLING = "selling"
