"""Whose pollen serves a limb, and whom its own serves, in sentences for its tree's page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from firmripe.holding.fruit import Cultivar, Event
from firmripe.holding.matter import Matter
from firmripe.holding.pollination import (
    Pairs,
    Partner,
    Serves,
    asks_for_another,
    bloom_groups_apart,
    gives_no_pollen,
    partners_of,
    sets_alone,
)
from firmripe.holding.standing import gone_by
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.season.estimate import Estimate
from firmripe.tongue import Tongue
from firmripe.wording.holding import whose_words
from firmripe.words import on_tree

APART_D = 8
"""Full blooms so many days apart and more hardly meet. J: a kind is in flower for a week to two."""
TOGETHER_D = 2
"""Full blooms no farther apart than this are said to come together. J: nobody sets the day of full bloom closer."""
MOST_TREES = 3
"""So many trees of a kind are named; a row of forty says no more than its first. J."""


class Pollen:
    """What the pages of one plan say of pollen; who serves whom is asked once for each two kinds, not for each tree.

    Trees of one kind that bloom on one day are told the same, which is put together once.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._tongue = plan.holding.place.tongue
        self._gone = gone_by(plan.holding.trees, plan.holding.records, plan.season.as_of)
        self._pairs = Pairs()
        self._standing = [(plan.holding.limb(other), _bloom_of(plan, other)) for other in plan.season.bearings]
        self._near: dict[int, list[_Near]] = {}
        self._served: dict[int, list[tuple[Cultivar, date | None]]] = {}
        self._told: dict[tuple[int, date | None], tuple[str, ...]] = {}

    def of(self, bearing: Bearing) -> tuple[str, ...]:
        """Return who serves a limb with pollen and who does not, and whom it serves; nothing where none is needed.

        It is said once for a limb, with the first of its crops, and not where the household does without.
        """
        holding, limb = self._plan.holding, self._plan.holding.limb(bearing)
        if Matter.POLLINATION in holding.place.without or bearing.crop != limb.crops[0]:
            return ()
        kind, bloom = self._pairs.kind(limb), _bloom_of(self._plan, bearing)
        if (id(kind), bloom) not in self._told:
            told = tuple(_sentences(self._tongue, kind, bloom, self._near_to(kind)))
            self._told[id(kind), bloom] = (*told, *self._given(kind, bloom)) if told else ()
        return self._told[id(kind), bloom]

    def _near_to(self, kind: Cultivar) -> list[_Near]:
        """Return the partners of a kind that stand, each with the day of its bloom."""
        if id(kind) not in self._near:
            partners = partners_of(self._plan.holding, kind, self._gone, self._pairs)
            as_of = self._plan.season.as_of
            self._near[id(kind)] = [
                (one, _bloom_of_partner(self._plan, one)) for one in partners if _stands(one, as_of)
            ]
        return self._near[id(kind)]

    def _given(self, limb: Cultivar, bloom: date | None) -> Iterator[str]:
        """Yield whom it serves itself."""
        if gives_no_pollen(limb):
            yield self._tongue.say("Its own pollen is of no use to others.")
            return
        takers = {
            taker.key: taker.name for taker, other in self._served_by(limb) if not _is_far(_days_between(bloom, other))
        }
        if takers:
            yield self._tongue.say("Its own pollen serves: {kinds}.", kinds=", ".join(sorted(takers.values())))

    def _served_by(self, kind: Cultivar) -> list[tuple[Cultivar, date | None]]:
        """Return what stands and can take a kind's pollen, where their blooms meet, each with the day of its own."""
        if id(kind) not in self._served:
            self._served[id(kind)] = [
                (taker, bloom)
                for taker, bloom in self._standing
                if self._pairs.serves(kind, taker) in {Serves.TOLD, Serves.LIKELY}
                and not bloom_groups_apart(kind, taker)
            ]
        return self._served[id(kind)]


def _stands(partner: Partner, as_of: date) -> bool:
    return partner.gone is None or partner.gone > as_of


_Near = tuple[Partner, date | None]
"""A partner, and the day of its full bloom; None where none is known."""
_Away = tuple[Partner, int | None]
"""A partner, and how many days after the limb's bloom its own comes."""


def _sentences(tongue: Tongue, limb: Cultivar, bloom: date | None, near: Iterable[_Near]) -> Iterator[str]:
    useful: list[_Away] = []
    apart: list[_Away] = []
    useless: list[_Away] = []
    for one, its in near:
        if one.serves is Serves.NEVER:
            useless.append((one, None))
            continue
        days = _days_between(bloom, its)
        (apart if _is_apart(limb, one.limb, days) else useful).append((one, days))
    if sets_alone(limb):
        yield tongue.say("Sets with its own pollen.")
    if useful:
        yield tongue.say("Pollen from: {trees}.", trees=_listed(tongue, useful))
    elif asks_for_another(limb) and not sets_alone(limb):
        yield tongue.say("Nothing here or near gives it pollen, as far as is told: little will set.")
    if apart:
        yield tongue.say("Blooms too far apart to count on: {trees}.", trees=_listed(tongue, apart))
    if useless:
        yield tongue.say("Of no use to it: {trees}.", trees=_listed(tongue, useless))


def _bloom_of_partner(plan: Plan, partner: Partner) -> date | None:
    if not partner.tag:
        return None
    return _bloom_of(plan, Bearing(partner.tag, partner.limb.key, partner.limb.crops[0]))


def _bloom_of(plan: Plan, bearing: Bearing) -> date | None:
    """Return the day of a limb's full bloom; None where it has no date."""
    bloom = plan.season.of(bearing, Event.FULL_BLOOM)
    return bloom.likely if isinstance(bloom, Estimate) else None


def _days_between(one: date | None, other: date | None) -> int | None:
    """Return how many days the other comes after the one; None where one of them has no date."""
    return (other - one).days if one is not None and other is not None else None


def _is_apart(limb: Cultivar, other: Cultivar, days: int | None) -> bool:
    return bloom_groups_apart(limb, other) or _is_far(days)


def _is_far(days: int | None) -> bool:
    return days is not None and abs(days) >= APART_D


def _listed(tongue: Tongue, partners: Iterable[_Away]) -> str:
    """Name partners kind by kind, with their trees and how far their bloom lies away."""
    kinds: dict[str, list[_Away]] = {}
    for one, days in partners:
        kinds.setdefault(one.limb.key, []).append((one, days))
    return "; ".join(_kind(tongue, of) for of in kinds.values())


def _kind(tongue: Tongue, of: list[_Away]) -> str:
    trees = [whose_words(tongue, one) for one, _days in of[:MOST_TREES]]
    if len(of) > MOST_TREES:
        trees.append(tongue.plural("{number} more", "{number} more", len(of) - MOST_TREES, number=len(of) - MOST_TREES))
    days = [day for _one, day in of if day is not None]
    named = on_tree(of[0][0].limb.name, ", ".join(trees))
    return f"{named}, {_bloom_words(tongue, min(days, key=abs))}" if days else named


def _bloom_words(tongue: Tongue, days: int) -> str:
    if abs(days) <= TOGETHER_D:
        return tongue.say("in bloom with it")
    if days > 0:
        return tongue.plural("in bloom {number} day after it", "in bloom {number} days after it", days, number=days)
    return tongue.plural("in bloom {number} day before it", "in bloom {number} days before it", -days, number=-days)
