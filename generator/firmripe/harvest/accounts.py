"""The running account of shares: over the seasons, what each household was due by the rule, and what it had."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from msgspec import Struct

from firmripe.harvest.grades import SHARED
from firmripe.harvest.leaving import house_named
from firmripe.harvest.weighing import containers_of
from firmripe.holding.fruit import Traits
from firmripe.holding.holding import Holding
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Tree
from firmripe.holding.weight import Grade
from firmripe.season.season import Season


class Reckoning(Struct, frozen=True, kw_only=True):
    """One season in kilograms: picked and fit to share, due to each household, had by each; exact sums.

    Each is taken in the middle of its range. `due` and `undivided` add up to `picked`; `had` and `unnamed`, which
    nobody is named for, with `still` to all that was picked: below 0 where more was taken than was weighed in.
    `unweighed` counts the lines whose weight nobody knows.
    """

    season: int
    picked: Fraction
    due: tuple[tuple[str, Fraction], ...]
    undivided: Fraction
    had: tuple[tuple[str, Fraction], ...]
    unnamed: Fraction
    unweighed: int

    @property
    def still(self) -> Fraction:
        """What was picked and not taken by anybody."""
        return self.picked - sum((kg for _, kg in self.had), Fraction(0)) - self.unnamed


class Account(Struct, frozen=True, kw_only=True):
    """All seasons from the first in which somebody wrote down who took what, oldest first."""

    seasons: tuple[Reckoning, ...]

    @property
    def balances(self) -> tuple[tuple[str, Fraction], ...]:
        """What each household still has to come over all seasons; below 0 where it has had more than its part."""
        sums: dict[str, Fraction] = {}
        for reckoning in self.seasons:
            had = dict(reckoning.had)
            for name, due in reckoning.due:
                sums[name] = sums.get(name, Fraction(0)) + due - had[name]
        return tuple(sums.items())


def account_of(season: Season) -> Account:
    """Return the account as known on the season's day, by the rule of the place as it stands today."""
    holding = season.holding
    known = [r for r in holding.records if r.day <= season.as_of and r.season <= season.year.year]
    taken = [record for record in known if record.what is Happening.SHARED]
    if not taken or not holding.place.shares:
        return Account(seasons=())
    years = range(min(record.season for record in taken), season.year.year + 1)
    return Account(seasons=tuple(_reckoning(holding, [r for r in known if r.season == year], year) for year in years))


def _reckoning(holding: Holding, records: Iterable[Record], year: int) -> Reckoning:
    shares = holding.place.shares
    had = {share.name: Fraction(0) for share in shares}
    picked, unnamed, unweighed = Fraction(0), Fraction(0), 0
    for record in records:
        if record.what not in PICKINGS and record.what is not Happening.SHARED:
            continue
        weight = _shared_weight(holding, record)
        if weight is None:
            unweighed += 1
        elif record.what in PICKINGS:
            picked += weight
        elif not (name := house_named(shares, record.note)):
            unnamed += weight
        else:
            had[name] += weight
    due = tuple((share.name, picked * share.part) for share in shares)
    return Reckoning(
        season=year,
        picked=picked,
        due=due,
        undivided=picked - sum((kg for _, kg in due), Fraction(0)),
        had=tuple(had.items()),
        unnamed=unnamed,
        unweighed=unweighed,
    )


def _shared_weight(holding: Holding, record: Record) -> Fraction | None:
    """Return what a line weighs of the grades that are shared, in kilograms; None where that is not known."""
    containers = containers_of(_traits(holding.trees, record), holding.place)
    if not record.parts:
        return None
    whole = Fraction(0)
    for part in record.parts:
        if (part.grade or Grade.UNSORTED) not in SHARED:
            continue
        weight = part.weight(containers)
        if weight is None:
            return None
        whole += weight.middle
    return whole


def _traits(trees: Iterable[Tree], record: Record) -> Traits:
    """Return the traits of the fruit that a line is about; none where it names no tree."""
    for tree in trees:
        if tree.tag == record.tree:
            limb = next((limb for limb in tree.limbs if limb.key == record.cultivar), tree.limbs[0])
            return limb.traits
    return Traits()
