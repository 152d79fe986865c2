"""The season model: what is expected, how it may deviate, and what the notes make of it.

For event e of a bearing in a year, the day it happens deviates from the expected season day by

    d = place(s) + cultivar + tree + year(y, s) + tree-year + noise        (days; s: expected season day)

with independent zero-mean Gaussian parts (see `spreads`). Everything known is an observation: a linear combination of
such days, a value and a spread. What is shown is the mean and variance given all of them:

    mean = m_t + K_to (K_oo + R)^-1 (y - m_o),   variance = K_tt - K_to (K_oo + R)^-1 K_ot

and the shift of each target is the sum of one contribution per observation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firmripe.season import spreads

Floats = NDArray[np.float64]


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

    `mean` (season days) and `covariance` (days²) over the targets; `contributions[t, j]` is how far observation j
    moves target t, in days.
    """

    mean: Floats
    covariance: Floats
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
        return Posterior(prior_mean, at_targets, np.zeros((len(targets), 0)))
    for observation in observations:
        if not observation.spread_d > 0:
            raise ValueError(f"the spread of {observation.label!r} must be above 0")
    surprise = np.array([observation.surprise for observation in observations])
    system = _between(observations, observations)
    system[np.diag_indices_from(system)] += np.array([o.spread_d**2 for o in observations])
    cross = _to_targets(targets, observations)
    factor = np.linalg.cholesky(system)
    half = np.linalg.solve(factor, cross.T)
    weights = np.linalg.solve(factor.T, half).T
    contributions = weights * surprise
    return Posterior(prior_mean + contributions.sum(axis=1), at_targets - half.T @ half, contributions)


def covariance(rows: Sequence[Occurrence], columns: Sequence[Occurrence]) -> Floats:
    """Return the prior covariance (days²) of the deviations of two sets of occurrences."""
    return _covariance(_Parts.of(rows), _Parts.of(columns))


@dataclass(frozen=True, slots=True)
class _Parts:
    """The columns of a set of occurrences that the covariance is made of."""

    day: Floats
    place: Floats
    year_d: Floats
    tree: NDArray[np.str_]
    year: NDArray[np.int64]
    tree_year: NDArray[np.str_]
    name: NDArray[np.str_]
    kin: dict[str, Floats]

    @classmethod
    def of(cls, items: Sequence[Occurrence]) -> _Parts:
        kin: dict[str, Floats] = {}
        for index, item in enumerate(items):
            for code, spread in item.kin:
                kin.setdefault(code, np.zeros(len(items)))[index] = spread
        day = np.array([item.day for item in items])
        return cls(
            day=day,
            place=np.array([item.place_d for item in items]),
            year_d=_year_spread(day),
            tree=np.array([item.tree for item in items]),
            year=np.array([-1 if item.year is None else item.year for item in items]),
            tree_year=np.array([f"{item.tree}\n{item.year}" for item in items]),
            name=np.array([f"{item.tree}\n{item.year}\n{item.name}" for item in items]),
            kin=kin,
        )


def _year_spread(day: Floats) -> Floats:
    at = [spreads.YEAR_BLOOM_DAY, spreads.YEAR_PICK_DAY]
    spread: Floats = np.interp(day, at, [spreads.YEAR_AT_BLOOM_D, spreads.YEAR_AT_PICK_D])
    return spread


def _covariance(rows: _Parts, columns: _Parts) -> Floats:
    gap = np.abs(rows.day[:, None] - columns.day[None, :])
    total = np.outer(rows.place, columns.place) * np.exp(-gap / spreads.PLACE_FADES_D)
    same_cultivar = np.zeros_like(gap)
    for code, spread in rows.kin.items():
        other = columns.kin.get(code)
        if other is not None:
            _add_outer(same_cultivar, spread, other)
    total += same_cultivar * np.exp(-gap / spreads.CULTIVAR_FADES_D)
    named = (rows.tree != "")[:, None] & (columns.tree != "")[None, :]
    total += spreads.TREE_D**2 * (_same(rows.tree, columns.tree) & named)
    dated = (rows.year >= 0)[:, None] & (columns.year >= 0)[None, :]
    one_year = (rows.year[:, None] == columns.year[None, :]) & dated
    total += np.where(
        one_year, np.outer(rows.year_d, columns.year_d) * np.exp(-gap / spreads.YEAR_FADES_D), 0.0
    )
    total += spreads.TREE_YEAR_D**2 * (_same(rows.tree_year, columns.tree_year) & dated & named)
    total += spreads.NOISE_D**2 * (_same(rows.name, columns.name) & dated)
    return total


def _add_outer(total: Floats, rows: Floats, columns: Floats) -> None:
    """Add the outer product of two mostly empty vectors in place."""
    at_rows, at_columns = np.flatnonzero(rows), np.flatnonzero(columns)
    total[np.ix_(at_rows, at_columns)] += np.outer(rows[at_rows], columns[at_columns])


def _same(rows: NDArray[np.str_], columns: NDArray[np.str_]) -> NDArray[np.bool_]:
    _, codes = np.unique(np.concatenate([rows, columns]), return_inverse=True)
    result: NDArray[np.bool_] = codes[: len(rows), None] == codes[None, len(rows) :]
    return result


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
