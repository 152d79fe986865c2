"""Fruit picked before it was mature, ahead of a storm or a freeze: how much too soon, by its dates and its firmness."""

from __future__ import annotations

from datetime import timedelta

from firmripe.harvest.because import PickedEarly
from firmripe.harvest.crop import records_of
from firmripe.holding.fruit import Cultivar, Ripens
from firmripe.holding.record import Happening
from firmripe.holding.tree import Bearing
from firmripe.season.season import Season

READING_D = 5
"""A firmness read so many days before the pick still speaks for the fruit that was picked. J."""


def picked_early(season: Season, bearing: Bearing, limb: Cultivar) -> PickedEarly | None:
    """Return by how much a pick of this season came too soon; None where it did not, or nobody can say.

    A date that only a zone speaks for says nothing here, and firmness read at the pick says more than any date.
    """
    pick, expected = season.picks.get(bearing), season.expected.get(bearing)
    ripens = limb.traits.ripens_off_the_tree
    if pick is None or expected is None or expected.rough:
        return None
    if pick.likely >= expected.earliest or (ripens is not None and ripens.value is Ripens.NO):
        return None
    at_pick = limb.traits.firmness_at_pick
    readings = [
        record.firmness_n
        for record in records_of(season, bearing)
        if record.what is Happening.FIRMNESS
        and record.firmness_n is not None
        and pick.likely - timedelta(days=READING_D) <= record.day <= pick.likely
    ]
    if at_pick is not None and readings and readings[-1] <= at_pick.value.high:
        return None
    return PickedEarly(picked=pick.likely, mature_from=expected.earliest)
