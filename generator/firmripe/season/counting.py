"""Ways to count warmth up to an event, each fitted to a household's own springs, and their mean.

No single way of counting is right everywhere, and few springs can't tell which is: the mean of many misses by less than
the one that fitted best. A way that misses more in springs that it was not fitted to counts for less.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from firmripe.season.heat import FloatArray
from firmripe.season.springs import AUTUMN_D, DAYS, Springs, Sums

BASES_C: Final = (0.0, 2.0, 4.0, 6.0, 8.0)
STARTS: Final = (0, 15, 31, 46, 59)
"""Heat is counted above each of these from each of these season days: 1 January to 1 March, south half a year on. J."""
CHILL: Final = (20.0, 30.0, 40.0, 50.0)
CHILL_BASES_C: Final = (2.0, 4.0, 6.0)
"""Or from the day on which so many chill portions are gathered. J."""
WARM_WINTER_C: Final = 0.0
"""Chill is counted where the usual temperature from December to February is above this: in colder winters every year
has chill enough, and frozen days gather none, so that counting it only adds noise. J."""
RECENT_YEARS: Final = 20.0
"""A spring so many years away counts e-fold less: springs come earlier by about 0.2 days a year. J."""
USUAL_ERROR_D: Final = 3.5
"""How far a count of warmth misses where nothing is known of it, in days. J; on simulated springs and on blueberries at
Petersham 1.5 to 4."""
ERROR_WORTH: Final = 4.0
"""So many springs of the household's own are worth as much as that. J."""
WAY_WORTH: Final = 4.0
"""The same, where one way of counting is weighed against another. J."""
FAVOUR: Final = 3.0
"""The share of a way falls with this power of its mean squared error: between the plain mean (0) and the choice of the
best (without end). J; on simulated springs 1 to 4 do alike, and both ends worse."""
LEAST_COVERED: Final = 0.5
"""A way is left out where it can count less than this share of the springs that are known. J."""
LEAST_RATE: Final = 0.5
"""A day's heat counts as no less than this (C-days) where a miss in heat is turned into one in days. J."""


class HeatSum(Struct, frozen=True):
    """Heat above a base (°C), from a season day on or, in its place, from so many chill portions on."""

    base_c: float
    start: int | None = None
    chill: float = 0.0


FROM_DAYS: Final = tuple(HeatSum(base, start=start) for base in BASES_C for start in STARTS)
FROM_CHILL: Final = tuple(HeatSum(base, chill=chill) for base in CHILL_BASES_C for chill in CHILL)


class NotedSpring(Struct, frozen=True):
    """A spring to fit to: its row, the season day of the event, and how much it counts."""

    row: int
    day: int
    weight: float


class FittedHeatSum(Struct, frozen=True):
    """A way with the heat (C-days) at which the event comes, and its share in the mean."""

    way: HeatSum
    threshold: float
    share: float


class FittedHeatSums(Struct, frozen=True):
    """Every way that could be fitted. Their shares add up to 1.

    `errors_d` holds for each spring the day foretold from the other springs less the day noted (NaN where none of the
    ways can tell), `error_d` is one standard deviation of that, the table's error for few springs mixed in.
    """

    ways: tuple[FittedHeatSum, ...]
    errors_d: tuple[float, ...]
    error_d: float


@lru_cache(maxsize=256)
def fit(springs: Springs, noted: tuple[NotedSpring, ...]) -> FittedHeatSums | None:
    """Fit every way to some springs; None where no way can count any of them.

    The springs themselves (by identity: they can't change) and all that is noted are the key under which it is kept.
    """
    if not noted:
        return None
    ways = [*FROM_DAYS, *(FROM_CHILL if _has_warm_winters(springs, noted) else ())]
    thresholds, errors = fit_ways(springs, ways, noted)
    known = np.isfinite(errors)
    weight = np.array([one.weight for one in noted])
    covered = known.mean(axis=1) if len(noted) > 1 else np.ones(len(ways))
    usable = np.isfinite(thresholds) & (covered >= LEAST_COVERED * covered.max())
    if not usable.any():
        return None
    thresholds, errors, known = thresholds[usable], errors[usable], known[usable]
    squares, counts = np.where(known, errors**2, 0.0) * weight, known * weight
    shares = _shares(squares.sum(axis=1), counts.sum(axis=1))
    # The mean that foretells a spring has shares that don't know it.
    others = known * _shares(squares.sum(axis=1, keepdims=True) - squares, counts.sum(axis=1, keepdims=True) - counts)
    told = known.any(axis=0)
    mean = np.full(len(noted), np.nan)
    mean[told] = (others * np.where(known, errors, 0.0)).sum(axis=0)[told] / others.sum(axis=0)[told]
    usual = ERROR_WORTH * USUAL_ERROR_D**2 * (1 + 1 / len(noted))
    error = math.sqrt((usual + float((weight * mean**2)[told].sum())) / (ERROR_WORTH + float(weight[told].sum())))
    kept = [way for way, use in zip(ways, usable, strict=True) if use]
    fitted = zip(kept, thresholds.tolist(), (shares / shares.sum()).tolist(), strict=True)
    return FittedHeatSums(tuple(FittedHeatSum(*one) for one in fitted), tuple(mean.tolist()), error)


def foretell(
    springs: Springs, fitted: FittedHeatSums, row: int, known: int, others: Iterable[int]
) -> tuple[FloatArray, float]:
    """Return the season day of the event for each manner in which a season may go on, and what share of ways says so.

    Its weather is that of `row` before the column `known`, and that of each of `others` in turn from there on. A way
    whose sum is not reached in all of them, or for which what is known has a gap, is left out; NaN where none is left.
    """
    answers = _go_on(springs, fitted.ways, row, known, np.array(list(others), dtype=np.intp))
    told = np.isfinite(answers).all(axis=1)  # the same ways for all, so that only the weather tells them apart
    shares = np.array([one.share for one in fitted.ways])[told]
    share = float(shares.sum())
    return (shares @ answers[told] / share if share else np.full(answers.shape[1], np.nan)), share


def _shares(squares: FloatArray, counts: FloatArray) -> FloatArray:
    variance = (WAY_WORTH * USUAL_ERROR_D**2 + squares) / (WAY_WORTH + counts)
    shares: FloatArray = variance**-FAVOUR
    return shares


def _has_warm_winters(springs: Springs, noted: Iterable[NotedSpring]) -> bool:
    winter = slice(AUTUMN_D - 31, AUTUMN_D + 59)
    rows = [one.row for one in noted]
    days = (springs.tmin_c[rows, winter] + springs.tmax_c[rows, winter]) / 2
    known = np.isfinite(days)
    return bool(known.any() and days[known].mean() > WARM_WINTER_C)


# Each way
# --------


def _begins(springs: Springs, ways: Sequence[HeatSum], rows: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the column from which each way counts in each row; `DAYS` where that can't be known."""
    starts = np.array([AUTUMN_D + (way.start or 0) for way in ways], dtype=np.intp)
    begins = np.repeat(starts[:, None], len(rows), axis=1)
    cold = [number for number, way in enumerate(ways) if way.start is None]
    if cold:
        need = np.array([ways[number].chill for number in cold])
        gathered = np.minimum((springs.chill.before[rows] < need[:, None, None]).sum(axis=2), DAYS)
        begins[cold] = np.where(springs.missing[rows, gathered] > 0, DAYS, gathered)
    return begins


def fit_ways(springs: Springs, ways: Sequence[HeatSum], noted: Sequence[NotedSpring]) -> tuple[FloatArray, FloatArray]:
    """Return the threshold of each way (C-days), and by how many days it misses each spring when fitted to the others.

    NaN where a spring can't be counted, or there is no other.
    """
    spring = np.array([one.row for one in noted])
    day = np.array([one.day for one in noted])
    weight = np.array([one.weight for one in noted])
    heat, table = _heat_of(springs, ways)
    rows, at, begins = table[:, None] + spring, day + AUTUMN_D, _begins(springs, ways, spring)
    sums = heat.before[rows, at] - heat.before[rows, begins] + heat.day[rows, at] / 2
    whole = springs.missing[spring, at + 1] == springs.missing[spring, begins]
    counted = (begins < at) & whole & (sums > 0)
    week = np.maximum(at - 7, 0)
    rate = np.maximum((heat.before[rows, at + 1] - heat.before[rows, week]) / 8, LEAST_RATE)
    pull = np.where(counted, weight / rate**2, 0.0)  # so that the miss in days is least
    pulled = pull * np.where(counted, sums, 0.0)
    total, heard = pulled.sum(axis=1, keepdims=True), pull.sum(axis=1, keepdims=True)
    rest = heard - pull
    goal = (total - pulled) / np.where(rest <= heard * 1e-12, np.nan, rest)
    errors = _reached(springs, heat, rows.ravel(), begins.ravel(), goal.ravel()).reshape(rows.shape) - day
    errors[~counted] = np.nan
    return (total / np.where(heard > 0, heard, np.nan))[:, 0], errors


def _heat_of(springs: Springs, ways: Iterable[HeatSum]) -> tuple[Sums, NDArray[np.intp]]:
    """Return the heat of some ways in one table, and the row of it that the first season of each way has."""
    bases = tuple(sorted({way.base_c for way in ways}))
    first = [len(springs.missing) * bases.index(way.base_c) for way in ways]
    return springs.heats(bases), np.array(first, dtype=np.intp)


def _reached(
    springs: Springs, heat: Sums, rows: NDArray[np.intp], begins: NDArray[np.intp], goal: FloatArray
) -> FloatArray:
    """Return the season day, parts of it too, on which each row has counted so much heat; NaN where it does not.

    A sum that is reached at noon gives the day itself. Rows count on through the tables of `heat`, should there be
    several below one another (see `Springs.heats`).
    """
    weather = rows % len(springs.missing)
    level = goal + heat.before[rows, begins]
    # A sum within a billionth of the goal has reached it, so that adding up in another order can't move the day.
    after = (heat.before[rows, 1:] < (level - 1e-9 * np.abs(goal))[:, None]).sum(axis=1)
    inside = np.minimum(after, DAYS - 1)
    daily = heat.day[rows, inside]
    part = (level - heat.before[rows, inside]) / np.where(daily > 0, daily, np.nan)
    found: FloatArray = inside + np.clip(part, 0.0, 1.0) - 0.5 - AUTUMN_D
    gap = springs.missing[weather, inside + 1] > springs.missing[weather, np.minimum(begins, inside + 1)]
    found[(after >= DAYS) | gap] = np.nan
    return found


def _go_on(springs: Springs, ways: Sequence[FittedHeatSum], row: int, known: int, at: NDArray[np.intp]) -> FloatArray:
    """Return the day on which each way (a row) comes to its sum, for each way the season may go on (a column)."""
    heat, table = _heat_of(springs, [one.way for one in ways])
    goal = np.array([one.threshold for one in ways])
    begins = np.minimum(_begins_so_far(springs, ways, row, known), DAYS)
    counted = np.where(begins < known, heat.before[table + row, known] - heat.before[table + row, begins], 0.0)
    found: FloatArray = np.full((len(ways), len(at)), np.nan)

    done = np.flatnonzero((begins < known) & (counted >= goal * (1 - 1e-9)))
    found[done] = _reached(springs, heat, table[done] + row, begins[done], goal[done])[:, None]

    whole = springs.missing[row, known] <= springs.missing[row, begins]
    open_ = np.flatnonzero((begins < known) & (counted < goal * (1 - 1e-9)) & whole)
    by_day = np.array([one.way.start is not None for one in ways], dtype=bool)
    later = np.flatnonzero((begins >= known) & by_day)
    for some, starts in ((open_, np.full(len(ways), known)), (later, begins)):
        many = (len(some), len(at))
        rows, first = table[some, None] + at, np.broadcast_to(starts[some, None], many)
        rest = np.broadcast_to((goal - counted)[some, None], many)
        found[some] = _reached(springs, heat, rows.ravel(), first.ravel(), rest.ravel()).reshape(many)

    cold = np.flatnonzero((begins >= known) & ~by_day)
    if len(cold) and not springs.missing[row, known]:
        chill = springs.chill.before
        need = np.array([ways[way].way.chill for way in cold.tolist()])[:, None] - chill[row, known] + chill[at, known]
        first = np.minimum(np.maximum((chill[at] < need[..., None]).sum(axis=2), known), DAYS)
        rows, rest = table[cold, None] + at, np.broadcast_to(goal[cold, None], first.shape)
        days = _reached(springs, heat, rows.ravel(), first.ravel(), rest.ravel()).reshape(first.shape)
        found[cold] = np.where(springs.missing[at, first] > springs.missing[at, known], np.nan, days)
    return found


def _begins_so_far(springs: Springs, ways: Sequence[FittedHeatSum], row: int, known: int) -> NDArray[np.intp]:
    """Return the column from which each way counts, as far as it is known; `known` where it has not begun by then."""
    starts = np.array([AUTUMN_D + (one.way.start or 0) for one in ways], dtype=np.intp)
    cold = [number for number, one in enumerate(ways) if one.way.start is None]
    if cold:
        gathered = springs.chill.before[row, : known + 1]
        begins = (gathered < np.array([ways[number].way.chill for number in cold])[:, None]).sum(axis=1)
        lacks = springs.missing[row, np.minimum(begins, known)] > 0
        starts[cold] = np.where((begins > known) | lacks, known, begins)
    return starts
