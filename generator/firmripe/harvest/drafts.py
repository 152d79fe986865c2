"""A lot being worked out: what is expected of it, what was noted about it, and what has left it already."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from fractions import Fraction

from firmripe.harvest.conditioning import conditioning_for
from firmripe.harvest.crop import Crop, Unweighed, expect, records_of
from firmripe.harvest.early import Early, picked_early
from firmripe.harvest.grades import STORED, graded, pack_out
from firmripe.harvest.lots import Batch, Out
from firmripe.harvest.own import LONGEST_IN_STORE_D, own_cold, own_counter
from firmripe.harvest.passes import Picking, pickings
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Cultivar, Traits
from firmripe.holding.place import Space
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weight import NOTHING, Grade, Weight
from firmripe.season.estimate import Estimate
from firmripe.season.season import Season


@dataclass(slots=True)
class Draft:
    """A lot being worked out: its pickings are known, its batches are still to be put into spaces.

    `gone` holds what was noted as taken out, each with its weight; `early` is set where it was picked too soon.
    """

    season: Season
    limb: Cultivar
    bearing: Bearing
    pick: Estimate
    crop: Crop | Unweighed
    pickings: tuple[Picking, ...]
    shares: dict[Grade, Fraction]
    batches: list[Batch] = field(default_factory=list)
    traits: Traits = field(default_factory=Traits)
    early: Early | None = None
    gone: list[tuple[Record, Weight | None]] = field(default_factory=list)

    @classmethod
    def of(cls, season: Season, tree: Tree, limb: Cultivar, bearing: Bearing, pick: Estimate) -> Draft:
        """Gather what is known of a bearing that is picked."""
        crop = expect(season, tree, limb, bearing)
        early = picked_early(season, bearing, limb)
        draft = cls(
            season=season,
            limb=limb,
            bearing=bearing,
            pick=pick,
            crop=crop,
            pickings=pickings(season, limb, bearing, pick, crop),
            shares=pack_out(season, limb, bearing),
            traits=_with_own(season, bearing, limb.traits, early),
            early=early,
        )
        containers = containers_of(limb.traits, season.holding.place)
        draft.gone = [(r, weigh(r.parts, containers)) for r in draft.noted(Happening.TAKEN_OUT)]
        return draft

    def noted(self, what: Happening) -> list[Record]:
        """Return the lines of one kind about this lot.

        Last season's fruit is still leaving the store in winter, so a line counts for this lot only from its pick on.
        """
        last = min(self.season.as_of, self.pick.earliest + timedelta(days=LONGEST_IN_STORE_D))
        return [
            record
            for record in records_of(self.season, self.bearing)
            if record.what is what and self.pick.earliest <= record.day <= last
        ]

    @property
    def tasted(self) -> bool:
        """Whether somebody has noted how it turned out: then nothing need be feared of it any more."""
        return bool(self.noted(Happening.READY) or self.noted(Happening.VERDICT))

    def space_noted(self, day: date) -> Space | None:
        """Return the space that a line about storing names, for fruit picked on a day."""
        for record in self.noted(Happening.STORED):
            if record.day < day:
                continue
            named = [space for space in self.season.holding.place.spaces if space.is_named_in(record.note)]
            if named:
                return max(named, key=lambda space: len(space.name))
        return None


def _with_own(season: Season, bearing: Bearing, traits: Traits, early: Early | None) -> Traits:
    """Return the traits with the household's own days in the place of printed ones, where it has some.

    Fruit picked too soon needs at least what is printed: own days were found on mature fruit.
    """
    counter = own_counter(season, bearing) or traits.counter
    printed = conditioning_for(traits, None)
    cold = own_cold(season, bearing) if printed else None
    if cold is None or (early and printed and cold.value.high < printed.value.high):
        return replace(traits, counter=counter)
    return replace(traits, counter=counter, conditioning=(cold,), conditioning_late=())


def taken_from(draft: Draft, picking: Picking, grade: Grade, weight: Weight | None) -> tuple[list[Out], Weight | None]:
    """Return what was noted as taken out of this batch, and what is left of it.

    What leaves is taken from the earliest picking first. Without a weight the line stands for all of the batch.
    """
    stored = [
        (earlier.number, of, kg)
        for earlier in draft.pickings
        for of, kg in graded(earlier, draft.shares)
        if of in STORED
    ]
    at = next(i for i, (number, of, _) in enumerate(stored) if (number, of) == (picking.number, grade))
    lefts = [kg for _, _, kg in stored]
    mine: list[Out] = []
    for record, out in draft.gone:
        here = next((i for i, left in enumerate(lefts) if left != NOTHING), None)
        asked = None if out is None else Weight.of(out.middle)
        while here is not None:
            left = lefts[here]
            takes_all = left is None or asked is None or asked.low >= left.low
            part = left if takes_all and left is not None else asked
            if here == at:
                mine.append(Out(day=record.day, weight=part, noted=True))
            if left is not None:
                lefts[here] = NOTHING if takes_all else left.less(asked or NOTHING)
            if left is None or asked is None or asked.low <= left.low:
                break
            asked = Weight.of(max(Fraction(0), asked.low - left.middle))
            here = next((i for i, still in enumerate(lefts) if still != NOTHING), None)
    if weight is not None:
        return mine, lefts[at]
    whole = any(out.weight is None for out in mine)
    return mine, NOTHING if whole else None
