"""The season model: what is expected, how it may deviate, and what the notes make of it.

For event e of a bearing in a year, the day it happens deviates from the expected season day by

    d = place(s) + kin + tree + year(y, s) + tree-year + noise        (days; s: expected season day)

with independent zero-mean Gaussian parts (see `spreads`). Everything known is an observation: a linear combination of
such days, a value and a spread. What is shown is the mean and variance given all of them:

    mean = m_t + K_to (K_oo + R)^-1 (y - m_o),   variance = K_tt - K_to (K_oo + R)^-1 K_ot

and the shift of each target is the sum of one contribution per observation.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firmripe.season import spreads

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class Occurrence:
    """One event of one bearing in one year, or (with `year` None) its usual day over the years.

    `day` is the expected season day and `kin` the unknowns of its error, as in a `Prior`; `place_d` is the spread of
    one more, which all share the less the farther apart in the season they are. `tree` is empty for a usual day that is
    stated for the cultivar; `name` tells one event from another on the same tree in the same year. An autumn event
    (leaf fall) shares nothing with those of spring and summer: a late place or year does not make leaves fall late.
    """

    day: float
    place_d: float = 0.0
    kin: tuple[tuple[str, float], ...]
    tree: str
    name: str
    year: int | None
    is_autumn: bool = False


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


def condition(targets: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float = 1.0) -> Posterior:
    """Return mean, covariance and contributions of the targets given the observations.

    Order changes nothing. Repeated and contradicting observations are met by their spreads, which must be above 0;
    ValueError says which is not.
    """
    prior_mean = np.array([target.day for target in targets])
    at_targets = covariance(targets, targets, year_scale)
    if not observations:
        nothing = np.zeros((len(targets), 0))
        return Posterior(prior_mean, at_targets, nothing, nothing)
    for observation in observations:
        if not observation.spread_d > 0:
            raise ValueError(f"the spread of {observation.label!r} must be above 0")
    surprise = np.array([observation.surprise for observation in observations])
    system = _between(observations, observations, year_scale)
    system[np.diag_indices_from(system)] += np.array([o.spread_d**2 for o in observations])
    cross = _to_targets(targets, observations, year_scale)
    weights = np.asarray(np.linalg.solve(system, cross.T).T, dtype=np.float64)
    contributions = weights * surprise
    mean = prior_mean + contributions.sum(axis=1)
    return Posterior(mean, at_targets - weights @ cross.T, weights, contributions)


def covariance(rows: Sequence[Occurrence], columns: Sequence[Occurrence], year_scale: float = 1.0) -> Floats:
    """Return the prior covariance (days²) of the deviations of two sets of occurrences.

    `year_scale` is how much years differ here against the table of spreads (see `year_scale_of`).
    """
    first, second, profiles = _numbered(rows, columns)
    lasting, yearly = _of_profiles(profiles)
    total = lasting[np.ix_(first.profile, second.profile)]
    at_rows, at_columns = _pairs(first.year, second.year)
    total[at_rows, at_columns] += year_scale**2 * yearly[first.profile[at_rows], second.profile[at_columns]]
    total[_pairs(first.tree, second.tree)] += spreads.TREE_D**2
    total[_pairs(first.tree_year, second.tree_year)] += spreads.TREE_YEAR_D**2
    total[_pairs(first.event, second.event)] += spreads.NOISE_D**2
    return total


def year_scale_of(observations: Iterable[Observation]) -> float:
    """Return how much years differ here, as a factor on the table's spread of years (1: as in the table).

    Days noted of one event on one tree in several years are set against their mean; what all of a year's events share
    is that year's. From the square of what they share comes off what chance alone would leave in it. The table's
    spread counts as `YEARS_WORTH` years of record, so that it gives way slowly.
    """
    by_year: dict[int, list[_Off]] = {}
    for noted in _noted_days(observations):
        if len(noted) < 2:
            continue
        spread = _year_spread(np.array([o.later.day for o in noted.values()]))
        middle = sum(o.value for o in noted.values()) / len(noted)
        more = math.sqrt(len(noted) / (len(noted) - 1))  # a mean of few lies too near to each of them
        for (year, one), its_spread in zip(noted.items(), spread, strict=True):
            alone = spreads.TREE_YEAR_D**2 + spreads.NOISE_D**2 + one.spread_d**2
            off = _Off(one.later.day, more * (one.value - middle) / its_spread, alone / its_spread**2)
            by_year.setdefault(year, []).append(off)
    if len(by_year) < 2:
        return 1.0
    over = shared = 0.0
    for offs in by_year.values():
        day, off, alone = np.array([(o.day, o.off, o.alone) for o in offs]).T
        over += float(off.mean() ** 2 - alone.sum() / len(offs) ** 2)
        shared += float(np.exp(-np.abs(day[:, None] - day[None, :]) / spreads.YEAR_FADES_D).mean())
    freedom = len(by_year) - 1
    variance = (spreads.YEARS_WORTH + freedom * max(0.0, over / shared)) / (spreads.YEARS_WORTH + freedom)
    return math.sqrt(variance)


@dataclass(frozen=True, slots=True)
class _Off:
    """How far off its mean an event was in a year, and the variance of what is its own; both per spread of a year."""

    day: float
    off: float
    alone: float


def _noted_days(observations: Iterable[Observation]) -> Iterable[Mapping[int, Observation]]:
    """Return the observations of each tree's events by year, of several of one event in a year the surest."""
    found: dict[tuple[str, str], dict[int, Observation]] = {}
    for noted in observations:
        what = noted.later
        if noted.earlier is None and what.year is not None and what.tree and not what.is_autumn:
            of_event = found.setdefault((what.tree, what.name), {})
            kept = of_event.setdefault(what.year, noted)
            if (noted.spread_d, noted.value) < (kept.spread_d, kept.value):
                of_event[what.year] = noted
    return found.values()


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
        seen.setdefault((item.day, item.place_d, item.kin, item.is_autumn), item)

    def numbers(keys: Iterable[Hashable | None]) -> Whole:
        found: dict[Hashable, int] = {}
        return np.array([-1 if key is None else found.setdefault(key, len(found)) for key in keys], dtype=np.intp)

    columns_of = (
        numbers((o.day, o.place_d, o.kin, o.is_autumn) for o in items),
        numbers((o.tree, o.is_autumn) if o.tree else None for o in items),
        numbers((o.year, o.is_autumn) if o.year is not None else None for o in items),
        numbers((o.tree, o.year, o.is_autumn) if o.tree and o.year is not None else None for o in items),
        numbers((o.tree, o.year, o.name) if o.year is not None else None for o in items),
    )
    cut = len(rows)
    first, second = _Numbers(*(n[:cut] for n in columns_of)), _Numbers(*(n[cut:] for n in columns_of))
    return first, second, list(seen.values())


def _of_profiles(profiles: Sequence[Occurrence]) -> tuple[Floats, Floats]:
    """Return the covariance of the profiles in what lasts (place and kin), and in what a year brings."""
    day = np.array([item.day for item in profiles])
    place = np.array([item.place_d for item in profiles])
    gap = np.abs(day[:, None] - day[None, :])
    kin: dict[str, Floats] = {}
    for index, item in enumerate(profiles):
        for name, spread in item.kin:
            kin.setdefault(name, np.zeros(len(profiles)))[index] = spread
    same_kin = np.zeros_like(gap)
    for part in kin.values():
        at = np.flatnonzero(part)
        same_kin[np.ix_(at, at)] += np.outer(part[at], part[at])
    lasting = np.outer(place, place) * np.exp(-gap / spreads.PLACE_FADES_D)
    lasting += same_kin
    autumn = np.array([item.is_autumn for item in profiles])
    lasting *= autumn[:, None] == autumn[None, :]
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


def _to_targets(targets: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float) -> Floats:
    """Return the covariance of the targets with what the observations are about."""
    later, at, earlier = _split(observations)
    cross = covariance(targets, later, year_scale)
    if at:
        cross[:, at] -= covariance(targets, earlier, year_scale)
    return cross


def _between(first: Sequence[Observation], second: Sequence[Observation], year_scale: float) -> Floats:
    """Return the covariance of what two sets of observations are about."""
    later, at, earlier = _split(first)
    total = _to_targets(later, second, year_scale)
    if at:
        total[at, :] -= _to_targets(earlier, second, year_scale)
    return total
