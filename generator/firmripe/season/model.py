"""The season model: what is expected, how it may deviate, and what the notes make of it.

For event e of a bearing in a year, the day it happens deviates from the expected season day by

    d = place(s) + cultivar + tree + year(y, s) + tree-year + noise        (days; s: expected season day)

with independent zero-mean Gaussian parts (see `spreads`). Everything known is an observation: a linear combination of
such days, a value and a spread. What is shown is the mean and variance given all of them:

    mean = m_t + K_to (K_oo + R)^-1 (y - m_o),   variance = K_tt - K_to (K_oo + R)^-1 K_ot

and the shift of each target is the sum of one contribution per observation.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firmripe.season import spreads

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class Occurrence:
    """One event of one bearing in one year, or (with `year` None) its usual day over the years.

    `day` is the expected season day; `place_d` and `kin` as in a `Prior`; `tree` is empty for a usual day that is
    stated for the cultivar; `name` tells one event from another on the same tree in the same year.
    """

    day: float
    place_d: float
    kin: tuple[tuple[str, float], ...]
    tree: str
    name: str
    year: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """What is known: the day of `later` (less that of `earlier`, if given) is `value`, give or take `spread_d`.

    `value` is a season day, or a number of days between the two. `label` says in words what it is and `group` under
    which line of the explanation it counts.
    """

    later: Occurrence
    earlier: Occurrence | None = None
    value: float
    spread_d: float
    label: str
    group: str

    @property
    def surprise(self) -> float:
        """The value less what was expected, in days."""
        expected = self.later.day - (self.earlier.day if self.earlier else 0.0)
        return self.value - expected


@dataclass(frozen=True, slots=True)
class Posterior:
    """What the observations make of the targets.

    `mean` (season days) and `covariance` (days²) over the targets; `weights[t, j]` is how many days target t moves for
    each day that observation j surprises, `contributions[t, j]` how far it moves for all of them.
    """

    mean: Floats
    covariance: Floats
    weights: Floats
    contributions: Floats

    @property
    def spread_d(self) -> Floats:
        """Standard deviation of each target in days."""
        spread: Floats = np.sqrt(np.maximum(np.diag(self.covariance), 0.0))
        return spread


def condition(targets: Sequence[Occurrence], observations: Sequence[Observation]) -> Posterior:
    """Return mean, covariance and contributions of the targets given the observations.

    Order changes nothing. Repeated and contradicting observations are met by their spreads, which must be above 0;
    ValueError says which is not.
    """
    prior_mean = np.array([target.day for target in targets])
    at_targets = covariance(targets, targets)
    if not observations:
        nothing = np.zeros((len(targets), 0))
        return Posterior(prior_mean, at_targets, nothing, nothing)
    for observation in observations:
        if not observation.spread_d > 0:
            raise ValueError(f"the spread of {observation.label!r} must be above 0")
    surprise = np.array([observation.surprise for observation in observations])
    system = _between(observations, observations)
    system[np.diag_indices_from(system)] += np.array([o.spread_d**2 for o in observations])
    cross = _to_targets(targets, observations)
    weights = np.asarray(np.linalg.solve(system, cross.T).T, dtype=np.float64)
    contributions = weights * surprise
    mean = prior_mean + contributions.sum(axis=1)
    return Posterior(mean, at_targets - weights @ cross.T, weights, contributions)


def covariance(rows: Sequence[Occurrence], columns: Sequence[Occurrence]) -> Floats:
    """Return the prior covariance (days²) of the deviations of two sets of occurrences."""
    first, second, profiles = _numbered(rows, columns)
    lasting, yearly = _of_profiles(profiles)
    total = lasting[np.ix_(first.profile, second.profile)]
    at_rows, at_columns = _pairs(first.year, second.year)
    total[at_rows, at_columns] += yearly[first.profile[at_rows], second.profile[at_columns]]
    total[_pairs(first.tree, second.tree)] += spreads.TREE_D**2
    total[_pairs(first.tree_year, second.tree_year)] += spreads.TREE_YEAR_D**2
    total[_pairs(first.event, second.event)] += spreads.NOISE_D**2
    return total


@dataclass(frozen=True, slots=True)
class _Numbers:
    """What each occurrence of a set shares with others, as numbers: the same number, the same thing; -1: nothing.

    `profile` is what is expected of it: occurrences of one day, place and kin are alike in all that lasts.
    """

    profile: Whole
    tree: Whole
    year: Whole
    tree_year: Whole
    event: Whole


def _numbered(rows: Sequence[Occurrence], columns: Sequence[Occurrence]) -> tuple[_Numbers, _Numbers, list[Occurrence]]:
    """Return the numbers of two sets of occurrences, and one occurrence of each profile, in order."""
    items = [*rows, *columns]
    seen: dict[Hashable, Occurrence] = {}
    for item in items:
        seen.setdefault((item.day, item.place_d, item.kin), item)

    def numbers(keys: Iterable[Hashable | None]) -> Whole:
        found: dict[Hashable, int] = {}
        return np.array([-1 if key is None else found.setdefault(key, len(found)) for key in keys], dtype=np.intp)

    columns_of = (
        numbers((o.day, o.place_d, o.kin) for o in items),
        numbers(o.tree or None for o in items),
        numbers(o.year for o in items),
        numbers((o.tree, o.year) if o.tree and o.year is not None else None for o in items),
        numbers((o.tree, o.year, o.name) if o.year is not None else None for o in items),
    )
    cut = len(rows)
    first, second = _Numbers(*(n[:cut] for n in columns_of)), _Numbers(*(n[cut:] for n in columns_of))
    return first, second, list(seen.values())


def _of_profiles(profiles: Sequence[Occurrence]) -> tuple[Floats, Floats]:
    """Return the covariance of the profiles in what lasts (place and cultivar), and in what a year brings."""
    day = np.array([item.day for item in profiles])
    place = np.array([item.place_d for item in profiles])
    gap = np.abs(day[:, None] - day[None, :])
    kin: dict[str, Floats] = {}
    for index, item in enumerate(profiles):
        for name, spread in item.kin:
            kin.setdefault(name, np.zeros(len(profiles)))[index] = spread
    same_cultivar = np.zeros_like(gap)
    for part in kin.values():
        at = np.flatnonzero(part)
        same_cultivar[np.ix_(at, at)] += np.outer(part[at], part[at])
    lasting = np.outer(place, place) * np.exp(-gap / spreads.PLACE_FADES_D)
    lasting += same_cultivar * np.exp(-gap / spreads.CULTIVAR_FADES_D)
    year = _year_spread(day)
    return lasting, np.outer(year, year) * np.exp(-gap / spreads.YEAR_FADES_D)


def _year_spread(day: Floats) -> Floats:
    at = [spreads.YEAR_BLOOM_DAY, spreads.YEAR_PICK_DAY]
    spread: Floats = np.interp(day, at, [spreads.YEAR_AT_BLOOM_D, spreads.YEAR_AT_PICK_D])
    return spread


def _pairs(rows: Whole, columns: Whole) -> tuple[Whole, Whole]:
    """Return where the numbers of two sets are the same (and not -1): the places in the one, and in the other."""
    order = np.argsort(columns, kind="stable")
    first = np.searchsorted(columns[order], rows, side="left")
    count = np.where(rows < 0, 0, np.searchsorted(columns[order], rows, side="right") - first)
    at_rows = np.repeat(np.arange(len(rows)), count)
    within = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    return at_rows, order[np.repeat(first, count) + within]


def _split(observations: Sequence[Observation]) -> tuple[list[Occurrence], list[int], list[Occurrence]]:
    later = [observation.later for observation in observations]
    at = [index for index, observation in enumerate(observations) if observation.earlier is not None]
    earlier = [observation.earlier for observation in observations if observation.earlier is not None]
    return later, at, earlier


def _to_targets(targets: Sequence[Occurrence], observations: Sequence[Observation]) -> Floats:
    """Return the covariance of the targets with what the observations are about."""
    later, at, earlier = _split(observations)
    cross = covariance(targets, later)
    if at:
        cross[:, at] -= covariance(targets, earlier)
    return cross


def _between(first: Sequence[Observation], second: Sequence[Observation]) -> Floats:
    """Return the covariance of what two sets of observations are about."""
    later, at, earlier = _split(first)
    total = _to_targets(later, second)
    if at:
        total[at, :] -= _to_targets(earlier, second)
    return total
