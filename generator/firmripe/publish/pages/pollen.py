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

APART_D = 8
"""Full blooms so many days apart and more hardly meet. J: a kind is in flower for a week to two."""
TOGETHER_D = 2
"""Full blooms no farther apart than this are said to come together. J: nobody sets the day of full bloom closer."""
MOST_TREES = 3
"""So many trees of a kind are named; a row of forty says no more than its first. J."""


class Pollen:
    """What the pages of one plan say of pollen; who serves whom is asked once for each two kinds, not for each tree."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._tongue = plan.holding.place.tongue
        self._gone = gone_by(plan.holding.trees, plan.holding.records, plan.season.as_of)
        self._pairs = Pairs()
        self._standing = [(other, plan.holding.limb(other)) for other in plan.season.bearings]

    def of(self, bearing: Bearing) -> tuple[str, ...]:
        """Return who serves a limb with pollen and who does not, and whom it serves; nothing where none is needed.

        It is said once for a limb, with the first of its crops, and not where the household does without.
        """
        holding, limb = self._plan.holding, self._plan.holding.limb(bearing)
        if Matter.POLLINATION in holding.place.without or bearing.crop != limb.crops[0]:
            return ()
        near = partners_of(holding, limb, self._gone, self._pairs)
        standing = [one for one in near if _stands(one, self._plan.season.as_of)]
        told = tuple(_sentences(self._plan, bearing, limb, standing))
        return (*told, *self._given(bearing, limb)) if told else ()

    def _given(self, bearing: Bearing, limb: Cultivar) -> Iterator[str]:
        """Yield whom it serves itself."""
        if gives_no_pollen(limb):
            yield self._tongue.say("Its own pollen is of no use to others.")
            return
        takers = {
            other.cultivar: taker.name
            for other, taker in self._standing
            if self._pairs.serves(limb, taker) in {Serves.TOLD, Serves.LIKELY}
            and not _is_apart(limb, taker, _days_between(self._plan, bearing, other))
        }
        if takers:
            yield self._tongue.say("Its own pollen serves: {kinds}.", kinds=", ".join(sorted(takers.values())))


def _stands(partner: Partner, as_of: date) -> bool:
    return partner.gone is None or partner.gone > as_of


_Away = tuple[Partner, int | None]
"""A partner, and how many days after the limb's bloom its own comes."""


def _sentences(plan: Plan, bearing: Bearing, limb: Cultivar, near: list[Partner]) -> Iterator[str]:
    tongue = plan.holding.place.tongue
    useful: list[_Away] = []
    apart: list[_Away] = []
    useless: list[_Away] = []
    for one in near:
        if one.serves is Serves.NEVER:
            useless.append((one, None))
            continue
        days = _days_after(plan, bearing, one)
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


def _days_after(plan: Plan, bearing: Bearing, partner: Partner) -> int | None:
    """Return how many days after a limb's full bloom that of a partner comes; None where one of them has no date."""
    if not partner.tag:
        return None
    return _days_between(plan, bearing, Bearing(partner.tag, partner.limb.key, partner.limb.crops[0]))


def _days_between(plan: Plan, one: Bearing, other: Bearing) -> int | None:
    mine, its = (plan.season.of(bearing, Event.FULL_BLOOM) for bearing in (one, other))
    return (its.likely - mine.likely).days if isinstance(mine, Estimate) and isinstance(its, Estimate) else None


def _is_apart(limb: Cultivar, other: Cultivar, days: int | None) -> bool:
    return bloom_groups_apart(limb, other) or (days is not None and abs(days) >= APART_D)


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
    named = f"{of[0][0].limb.name} ({', '.join(trees)})"
    return f"{named}, {_bloom_words(tongue, min(days, key=abs))}" if days else named


def _bloom_words(tongue: Tongue, days: int) -> str:
    if abs(days) <= TOGETHER_D:
        return tongue.say("in bloom with it")
    if days > 0:
        return tongue.plural("in bloom {number} day after it", "in bloom {number} days after it", days, number=days)
    return tongue.plural("in bloom {number} day before it", "in bloom {number} days before it", -days, number=-days)
