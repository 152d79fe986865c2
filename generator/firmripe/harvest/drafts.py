"""A lot being worked out: what is expected of it, what was noted about it, and what has left it already."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from fractions import Fraction
from functools import cached_property

from msgspec import Struct, field
from msgspec.structs import replace

from firmripe.harvest.because import PickedEarly
from firmripe.harvest.conditioning import conditioning_for
from firmripe.harvest.crop import Crop, Unweighed, expect, records_of
from firmripe.harvest.early import picked_early
from firmripe.harvest.grades import pack_out
from firmripe.harvest.leaving import GOES, Left, leavings_of, left_of
from firmripe.harvest.lots import Batch
from firmripe.harvest.own import own_cold, own_counter, own_limit
from firmripe.harvest.passes import Picking, more_is_to_come, pickings, usual_without_days
from firmripe.holding.fruit import Cultivar, Traits
from firmripe.holding.place import Space
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weight import Grade
from firmripe.lately import answered_once
from firmripe.season.estimate import Estimate
from firmripe.season.season import Season
from firmripe.season.verdicts import LONGEST_IN_STORE_D


class Draft(Struct, dict=True):
    """A lot being worked out: its pickings are known, its batches are still to be put into spaces.

    `left` is what each batch still holds by the records, and what has left it; `early` is set where it was picked too
    soon. `spaces` are all that are told of, also where it is one house's part, which may lie in some of them.
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
    early: PickedEarly | None = None
    left: Mapping[tuple[int, Grade], Left] = field(default_factory=dict)
    spaces: tuple[Space, ...] = ()

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
            spaces=season.holding.place.spaces,
        )
        leavings = leavings_of(season.holding, bearing, limb, draft.noted(*GOES))
        draft.left = left_of(draft.pickings, draft.shares, leavings, season.holding.place.shares)
        return draft

    @cached_property
    def kept_limb(self) -> Cultivar:
        """The limb as its own fruit is known to keep."""
        return replace(self.limb, traits=self.traits)

    def noted(self, *whats: Happening) -> list[Record]:
        """Return the lines of some kinds about this lot.

        Last season's fruit is still leaving the store in winter, so a line counts for this lot only from its pick on,
        and once the next crop is being picked for that one.
        """
        lines = records_of(self.season, self.bearing)
        first, year = self.pick.earliest, self.season.year.year
        following = min((r.day for r in lines if r.what in PICKINGS and r.season > year), default=date.max)
        last = min(self.season.as_of, first + timedelta(days=LONGEST_IN_STORE_D), following - timedelta(days=1))
        return [record for record in lines if record.what in whats and first <= record.day <= last]

    def of_house(self, house: str, left: Mapping[tuple[int, Grade], Left]) -> Draft:
        """Return it as a house's part of it, of which that is left: it may lie in the house's own and common spaces."""
        return replace(self, season=_as_of_house(self.season, house), left=left)

    @cached_property
    def several(self) -> bool:
        """Whether it is picked more than once: noted so, planned so, or usual where nothing tells the later days."""
        if len(self.pickings) > 1 or more_is_to_come(self.season, self.bearing):
            return True
        is_over = all(picking.noted for picking in self.pickings)
        return not is_over and usual_without_days(self.season, self.limb, self.bearing) > 1

    @property
    def tasted(self) -> bool:
        """Whether somebody has noted how it turned out: then nothing need be feared of it any more."""
        return bool(self.noted(Happening.READY) or self.noted(Happening.VERDICT))

    def space_noted(self, day: date) -> Space | None:
        """Return the space that a line about storing names, for fruit picked on a day; a house's own before another."""
        place = self.season.holding.place
        found = []
        for record in self.noted(Happening.STORED):
            named = [space for space in self.spaces if space.is_named_in(record.note)] if record.day >= day else []
            space = max(named, key=lambda space: len(space.name), default=None)
            if space is not None and space in place.spaces:
                found.append(space)
        own = [space for space in found if space.house and place.is_put_away_by_house]
        return next(iter([*own, *found]), None)


@answered_once
def _as_of_house(season: Season, house: str) -> Season:
    """Return a season in whose place are the spaces alone that a house's part may lie in."""
    holding = season.holding
    return replace(season, holding=replace(holding, place=holding.place.as_of_house(house)))


def _with_own(season: Season, bearing: Bearing, traits: Traits, early: PickedEarly | None) -> Traits:
    """Return the traits with the household's own days in the place of printed ones, where it has some.

    Fruit picked too soon needs at least what is printed: own days were found on mature fruit.
    """
    counter = own_counter(season, bearing, traits.counter) or traits.counter
    limit = own_limit(season, bearing, traits.keeps)
    if limit is not None:
        traits = replace(traits, keeps=limit, keeps_published=traits.published_limit)
    printed = conditioning_for(traits, season.holding.place.coldest_c)
    cold = own_cold(season, bearing, printed, traits.keeps.value.high if traits.keeps else None) if printed else None
    if cold is None or (early and printed and cold.value.high < printed.value.high):
        return replace(traits, counter=counter)
    return replace(traits, counter=counter, conditioning=(cold,), conditioning_late=())
