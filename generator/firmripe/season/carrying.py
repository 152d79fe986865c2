"""Dates carried by warmth: one regression over all that is printed, which tells the usual days of any ground.

An event's usual day on a ground is

    day = fruit + cultivar + slopes(event, fruit) * warmth + site + site(fruit) + site(cultivar)      (days)

where warmth is what counts of the usual early spring, spring, summer and autumn of the ground, and a site is what one
ground has and its neighbours have less of the farther off they are: a part of it fades over a part of the earth, the
rest over a country or two.
Every part is an unknown with a zero mean and a spread; what is printed is an observation of such sums, or of the
difference of two. Windows that their neighbours belie (some tell of the time in season and not of the first pick)
weigh less, by how far they are off: Student's t.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct, field
from numpy.typing import NDArray

from firmripe.days import Hemisphere
from firmripe.holding.figures import Source
from firmripe.holding.fruit import Event
from firmripe.holding.place import Ground
from firmripe.holding.stations import VALUES, Floats
from firmripe.season import spreads
from firmripe.season.climate import AUTUMN, EARLY_SPRING, SPRING, SUMMER, Climate
from firmripe.season.climates import Climates
from firmripe.season.interpolating import from_midwinter
from firmripe.season.printed import Printed, PrintedItem, source_of

Whole = NDArray[np.intp]

SEASONS = (EARLY_SPRING, SPRING, SUMMER, AUTUMN)


class Law(Struct, frozen=True, kw_only=True, eq=False):
    """How warmth moves dates.

    The `SEASONS` count up to the means `counts_to_c` (°C). A °C more of each brings so many days by event:
    `shrunk_to` before anything printed is looked at, with the spread `common_d`, and `of_fruit_d` from fruit to fruit.
    """

    counts_to_c: tuple[float, float, float, float] = (15.0, 15.0, 19.0, math.inf)
    shrunk_to: Mapping[Event, Sequence[float]] = field(default_factory=lambda: spreads.DAYS_PER_C)
    common_d: Mapping[Event, Sequence[float]] = field(default_factory=lambda: spreads.DAYS_PER_C_SPREAD_D)
    of_fruit_d: Mapping[Event, Sequence[float]] = field(default_factory=lambda: spreads.DAYS_PER_C_OF_FRUIT_D)


LAW = Law()
"""Trees bloom by the warmth before bloom, and ripen by that of all spring and of summer. Where winters are warm, want
of chill holds bloom back as much as a warmer spring would bring it on, and beyond a mild summer fruit ripens no sooner.
Chosen by leaving places out (tests/bench/places.py)."""
USUAL_C = np.array([9.0, 11.0, 18.5, 12.0])
"""The `SEASONS` as they count on the middle of the grounds that dates are printed for (°C). A number of days between
two events, or two cultivars, is taken to hold there."""
_USUAL_SPREAD_C = np.array([4.0, 4.0, 1.5, 4.0])
_EARTH_KM = 6371.0
_HALF = (
    (0.799129068324548, 0.5826965579477281),
    (1.6067100690287297, 0.2241371742044197),
    (2.432436827009758, 0.04352954135285795),
    (3.2890824243987664, 0.003928782634853378),
    (4.1962077112690155, 0.00014142763708854477),
    (5.190093591304781, 1.4978155716931977e-06),
    (6.363947888829839, 2.1531059307602043e-09),
)
"""Half of the fifteen points of Gauss and Hermite, where a bell curve is looked at, with the weight of each; the other
half mirrors them. They are written down since the package that works them out takes long to load."""
_POINTS, _SHARES = np.array([*((-at, of) for at, of in reversed(_HALF)), (0.0, 0.7977583071397493), *_HALF]).T.copy()
_UNKNOWN = Ground()
_LEVEL_D = 1000.0
_UNTOLD_D = 100.0
"""Less sure than so many days, a day is not told at all: its fruit's level, which is free, is behind it."""
_ROUNDS = 4
_KNOWN_ELSEWHERE_D = 20.0
"""Told surer than so, a window's kind is printed for other places too: it shows how well its fruit is carried."""
_EVENTS = tuple(Event)
_BY_EVENT = {event: number for number, event in enumerate(_EVENTS)}


class Spot(Struct, frozen=True, kw_only=True, eq=False):
    """Where a date holds: what counts of each of the `SEASONS` (°C, with the covariance of its error), and where.

    `usual_c` are these as they are, `at` is the position as a point of the unit sphere; nought where it is not
    known.
    """

    warmth_c: Floats
    usual_c: Floats
    covariance: Floats
    at: Floats


NOWHERE = Spot(warmth_c=USUAL_C, usual_c=USUAL_C, covariance=np.zeros((len(SEASONS), len(SEASONS))), at=np.zeros(3))
MOST_KEPT = 2_000
"""Predictions that are kept, by item and spot: some of a dozen households' on the same ground."""


def spot_of(climate: Climate | None, ground: Ground = _UNKNOWN, law: Law = LAW) -> Spot:
    """Return what counts for dates of a ground; without a climate it is any ground that dates are printed for."""
    at = _position(ground)
    if climate is None:
        return Spot(warmth_c=USUAL_C, usual_c=USUAL_C, covariance=np.diag(_USUAL_SPREAD_C**2), at=at)
    terms = _means_of_seasons(climate.half)
    mean, covariance = terms @ climate.usual_c, terms @ climate.covariance @ terms.T
    spread = np.sqrt(np.diag(covariance))
    drawn = np.minimum(mean[:, None] + spread[:, None] * _POINTS, np.array(law.counts_to_c)[:, None])
    share = _SHARES / _SHARES.sum()
    counted = drawn @ share
    kept = np.sqrt(((drawn - counted[:, None]) ** 2) @ share) / np.maximum(spread, 1e-9)
    return Spot(warmth_c=counted, usual_c=mean, covariance=covariance * np.outer(kept, kept), at=at)


@lru_cache
def _means_of_seasons(half: Hemisphere) -> Floats:
    """Return what makes the means of the `SEASONS` of 24 usual temperatures."""
    terms = np.zeros((len(SEASONS), VALUES))
    order = from_midwinter(half)
    for row, months in enumerate(SEASONS):
        for month in months:
            terms[row, [order[month], order[month] + 12]] = 1 / (2 * len(months))
    terms.setflags(write=False)
    return terms


def _spot_of_row(row: Printed, climates: Climates, law: Law) -> Spot:
    return NOWHERE if row.ground is None else spot_of(climates.of(row.ground, row.half), row.ground, law)


def _position(ground: Ground) -> Floats:
    if ground.latitude is None or ground.longitude is None:
        return np.zeros(3)
    north, east = math.radians(ground.latitude), math.radians(ground.longitude)
    return np.array([math.cos(north) * math.cos(east), math.cos(north) * math.sin(east), math.sin(north)])


class _Days(Struct, frozen=True, kw_only=True, eq=False):
    """Days to be told of, each by the numbers of its event, fruit, crop and cultivar (-1: of none), and its spot.

    `at` are the positions that there are, of which each day's is `place`.
    """

    event: Whole
    fruit: Whole
    crop: Whole
    cultivar: Whole
    warmth_c: Floats
    at: Floats
    place: Whole

    @classmethod
    def joined(cls, parts: Sequence[_Days]) -> _Days:
        """Return several days as one set, in order."""
        begin = np.cumsum([0, *(len(part.at) for part in parts)])
        return cls(
            event=np.concatenate([part.event for part in parts]),
            fruit=np.concatenate([part.fruit for part in parts]),
            crop=np.concatenate([part.crop for part in parts]),
            cultivar=np.concatenate([part.cultivar for part in parts]),
            warmth_c=np.concatenate([part.warmth_c for part in parts]),
            at=np.concatenate([part.at for part in parts]),
            place=np.concatenate([part.place + first for part, first in zip(parts, begin, strict=False)]),
        )


class Prediction(Struct, frozen=True, kw_only=True, eq=False):
    """What all that is printed says of one day on one spot.

    `day` is a day of the table's year. `by` tells how it hangs on what is printed: two of these make a covariance.
    `slopes` are the days that a °C more of each of the `SEASONS` brings, `breadth` is that of its fruit.
    """

    day: float
    slopes: Floats
    breadth: float
    spot: Spot
    days: _Days
    to_rows: Floats
    solved: Floats


class Carrying:
    """The regression over a table of what is printed; it is made once and asked for any ground."""

    def __init__(self, table: Sequence[Printed], climates: Climates, law: Law = LAW) -> None:
        self.table = tuple(table)
        self._law = _Slopes(*(_table(of) for of in (law.shrunk_to, law.common_d, law.of_fruit_d)))
        self._numbers: dict[Hashable, int] = {}
        known: dict[tuple[Ground | None, Hemisphere], Spot] = {}
        self.spots = tuple(
            known.get((row.ground, row.half))
            or known.setdefault((row.ground, row.half), _spot_of_row(row, climates, law))
            for row in table
        )
        earlier = [(at, row.earlier) for at, row in enumerate(table) if row.earlier is not None]
        items = [row.later for row in table] + [item for _, item in earlier]
        self._days = self._numbered(items, [*self.spots, *(NOWHERE for _ in earlier)])
        self._apart = np.array([at for at, _ in earlier], dtype=np.intp)
        self._fit()
        self._breadths = self._borne_out()
        self._predicted: dict[tuple[PrintedItem, bytes], Prediction | None] = {}

    def _of_rows(self, of_days: Floats) -> Floats:
        """Return what stands along the last axis for the table's days for its rows: for two days, the difference."""
        count = len(self.table)
        of_rows: Floats = of_days[..., :count].copy()
        of_rows[..., self._apart] -= of_days[..., count:]
        return of_rows

    def _fit(self) -> None:
        """Solve the regression, the windows that are off by more than chance weighing less and less.

        What is no window weighs the same all along, so that in each round the windows alone are solved, given the rest.
        """
        expected = self._of_rows(self._expected(self._days))
        self._surprise = np.array([row.day for row in self.table]) - expected
        prior = self._of_rows(self._of_rows(self._covariance(self._days, self._days)).T)
        noise = np.array([row.spread_d**2 for row in self.table]) + self._warmth_noise()
        is_window = np.array([row.window is not None for row in self.table], dtype=bool)
        at, others = np.flatnonzero(is_window), np.flatnonzero(~is_window)
        by_others = np.linalg.solve(prior[np.ix_(others, others)] + np.diag(noise[others]), prior[np.ix_(others, at)]).T
        given = prior[np.ix_(at, at)] - by_others @ prior[np.ix_(others, at)]
        surprise = self._surprise[at] - by_others @ self._surprise[others]
        self.weights: Floats = np.ones(len(self.table))
        for _ in range(_ROUNDS):
            kept = noise[at] / self.weights[at]
            inverse = np.linalg.inv(given + np.diag(kept))
            rest = kept * (inverse @ surprise)
            spread = np.maximum(kept - kept**2 * np.diag(inverse), 0.0)
            self.weights[at] = (spreads.T_DEGREES + 1) / (spreads.T_DEGREES + (rest**2 + spread) / noise[at])
        self._inverse = np.linalg.inv(prior + np.diag(noise / self.weights))
        self._pull = self._inverse @ self._surprise
        self._spread_d = np.sqrt(noise)

    def _warmth_noise(self) -> Floats:
        """Return what the doubt of each window's own warmth makes of its day (days²)."""
        slopes = self._law.shrunk_to[self._days.event[: len(self.table)]]
        doubts = np.array([spot.covariance for spot in self.spots]).reshape(-1, len(SEASONS), len(SEASONS))
        noise: Floats = np.einsum("ij,ijk,ik->i", slopes, doubts, slopes)
        return noise

    def _borne_out(self) -> dict[tuple[Event, str], float]:
        """Return how wide each fruit's windows are to be told, each place being told by all others.

        Of a Gaussian with precision A, the rows B are off by A_BB^-1 (A y)_B.
        """
        off: dict[tuple[Event, str], list[float]] = {}
        for windows, beside in self._places():
            among = np.linalg.inv(self._inverse[np.ix_(windows + beside, windows + beside)])
            squares = (among @ self._pull[windows + beside]) ** 2
            doubts = self._spread_d[windows] ** 2 * (1 / self.weights[windows] - 1)
            for at, square, spread, doubt in zip(windows, squares, np.diag(among), doubts, strict=False):
                if spread - doubt < _KNOWN_ELSEWHERE_D**2:
                    later = self.table[at].later
                    off.setdefault((later.event, later.fruit), []).append(float(square / (spread - doubt)))
        worth = spreads.BREADTH_WORTH
        return {of: math.sqrt((worth + math.fsum(squares)) / (worth + len(squares))) for of, squares in off.items()}

    def _places(self) -> list[tuple[list[int], list[int]]]:
        """Return the rows of each ground's windows, and of what else their sources print.

        A number of days in a source of such windows may well be their difference.
        """
        windows: dict[tuple[Ground, Hemisphere], list[int]] = {}
        others: dict[Source, list[int]] = {}
        for at, row in enumerate(self.table):
            if row.window is None and (source := source_of(row)):
                others.setdefault(source, []).append(at)
            elif row.window is not None and row.ground is not None:
                windows.setdefault((row.ground, row.half), []).append(at)
        found = []
        for rows in windows.values():
            sources = dict.fromkeys(source for at in rows if (source := source_of(self.table[at])))
            found.append((rows, [at for source in sources for at in others.get(source, ())]))
        return found

    def breadth(self, item: PrintedItem) -> float:
        """Return how wide windows of a fruit are to be told, as a part of what the spreads of all fruits make them.

        It is how far those lie off that are told without their place, held to 1 where few are.
        """
        return self._breadths.get((item.event, item.fruit), 1.0)

    def predict(self, item: PrintedItem, spot: Spot) -> Prediction | None:
        """Return what is to be expected of a day on a spot; None where nothing that is printed tells of it."""
        key = item, b"".join(part.tobytes() for part in (spot.warmth_c, spot.usual_c, spot.covariance, spot.at))
        if key not in self._predicted:
            while len(self._predicted) >= MOST_KEPT:
                del self._predicted[next(iter(self._predicted))]
            self._predicted[key] = self._predict(item, spot)
        return self._predicted[key]

    def _predict(self, item: PrintedItem, spot: Spot) -> Prediction | None:
        days = self._numbered([item], [spot])
        to_rows = self._of_rows(self._covariance(days, self._days)[0])
        solved = self._inverse @ to_rows
        if self._covariance(days, days)[0, 0] - to_rows @ solved > _UNTOLD_D**2:
            return None
        return Prediction(
            day=float(self._expected(days)[0] + to_rows @ self._pull),
            slopes=self._slopes(days),
            breadth=self.breadth(item),
            spot=spot,
            days=days,
            to_rows=to_rows,
            solved=solved,
        )

    def between(self, one: Prediction, other: Prediction) -> float:
        """Return the covariance of the errors of two days told of (days²), that of the ground's warmth among them."""
        return float(self.between_each(one, [other])[0])

    def between_each(self, one: Prediction, others: Sequence[Prediction]) -> Floats:
        """Return the same for one day with each of some others."""
        covariance = self._covariance(one.days, _Days.joined([other.days for other in others]))[0]
        shared = covariance - np.array([other.solved for other in others]) @ one.to_rows
        breadth = one.breadth * np.array([other.breadth for other in others])
        warmth = np.array([other.slopes for other in others]) @ (one.spot.covariance @ one.slopes)
        return np.asarray(breadth * shared + warmth, dtype=np.float64)

    def windows_for(self, item: PrintedItem) -> list[tuple[int, float]]:
        """Return the windows printed of an item, or else of its fruit in general: their rows, and each one's share."""
        of_item = [at for at, row in enumerate(self.table) if row.window and row.later == item]
        if not of_item:
            in_general = PrintedItem(event=item.event, fruit=item.fruit, cultivar="", crop=item.crop)
            of_item = [at for at, row in enumerate(self.table) if row.window and row.later == in_general]
        shares = np.array([self.weights[at] / self._spread_d[at] ** 2 for at in of_item])
        return list(zip(of_item, (shares / shares.sum()).tolist(), strict=True)) if of_item else []

    def slopes(self, item: PrintedItem) -> Floats:
        """Return the days that a °C more of each of the `SEASONS` brings, as far as they count."""
        return self._slopes(self._numbered([item], [NOWHERE]))

    def _slopes(self, days: _Days) -> Floats:
        same = days.event[:, None] == self._days.event
        kin = same & (days.fruit[:, None] == self._days.fruit)
        event = days.event[0]
        of_each = same * (self._law.common_d[event] ** 2)[:, None] + kin * (self._law.of_fruit_d[event] ** 2)[:, None]
        to_rows = self._of_rows(of_each * (self._days.warmth_c - USUAL_C).T)
        slopes: Floats = self._law.shrunk_to[event] + to_rows @ self._pull
        return slopes

    def _expected(self, days: _Days) -> Floats:
        slopes = self._law.shrunk_to[days.event]
        expected: Floats = _LEVELS[days.event] + ((days.warmth_c - USUAL_C) * slopes).sum(axis=1)
        return expected

    def _covariance(self, first: _Days, second: _Days) -> Floats:
        """Return the covariance of two sets of days before anything printed is looked at (days²)."""
        at, other = first.event[:, None], second.event[None, :]
        same = at == other
        kin = first.fruit[:, None] == second.fruit
        own = (first.cultivar[:, None] == second.cultivar) & (first.cultivar[:, None] >= 0)
        total: Floats = np.where(same & (first.crop[:, None] == second.crop), _LEVEL_D**2, 0.0)
        total += np.where(same & own, _OWN_D[at] * _OWN_D[other], 0.0)
        for which, spread in ((same, self._law.common_d), (same & kin, self._law.of_fruit_d)):
            warm = (first.warmth_c - USUAL_C) * spread[first.event]
            total += which * (warm @ ((second.warmth_c - USUAL_C) * spread[second.event]).T)
        together = np.where(same, 1.0, np.where(_IS_AUTUMN[at] | _IS_AUTUMN[other], 0.0, spreads.SITE_BLOOM_AND_PICK))
        sites = _SITE_D[at] * _SITE_D[other] + kin * (_SITE_OF_FRUIT_D[at] * _SITE_OF_FRUIT_D[other])
        sites += own * (_SITE_OF_CULTIVAR_D[at] * _SITE_OF_CULTIVAR_D[other])
        apart_km = _apart_km(first.at, second.at)
        where = first.place[:, None], second.place
        total += np.exp(-apart_km / spreads.SITES_ALIKE_KM)[where] * together * sites
        total += np.exp(-apart_km / spreads.REGIONS_ALIKE_KM)[where] * together * _REGION_D[at] * _REGION_D[other]
        return total

    def _numbered(self, items: Sequence[PrintedItem], spots: Sequence[Spot]) -> _Days:
        def number(key: Hashable) -> int:
            return self._numbers.setdefault(key, len(self._numbers))

        places = {spot.at.tobytes(): spot.at for spot in spots}
        numbers = {key: at for at, key in enumerate(places)}
        return _Days(
            event=np.array([_BY_EVENT[item.event] for item in items], dtype=np.intp),
            fruit=np.array([number(item.fruit) for item in items], dtype=np.intp),
            crop=np.array([number((item.fruit, item.crop)) for item in items], dtype=np.intp),
            cultivar=np.array(
                [number((item.fruit, item.cultivar, item.crop)) if item.cultivar else -1 for item in items],
                dtype=np.intp,
            ),
            warmth_c=np.array([spot.warmth_c for spot in spots]).reshape(-1, len(SEASONS)),
            at=np.array(list(places.values())).reshape(-1, 3),
            place=np.array([numbers[spot.at.tobytes()] for spot in spots], dtype=np.intp),
        )


def _table(values: Mapping[Event, Sequence[float]]) -> Floats:
    return np.array([values[event] for event in _EVENTS], dtype=np.float64)


class _Slopes(Struct, frozen=True, eq=False):
    """A law's slopes by event and season: what they are shrunk to, its spread, and the spread from fruit to fruit."""

    shrunk_to: Floats
    common_d: Floats
    of_fruit_d: Floats


_LEVELS = np.array([spreads.MIDDLE_DAY[event] for event in _EVENTS])
_OWN_D = np.array([spreads.CULTIVAR_ON_FRUIT_D[event] for event in _EVENTS])
_SITE_D = np.array([spreads.SITE_D[event] for event in _EVENTS])
_SITE_OF_FRUIT_D = np.array([spreads.SITE_OF_FRUIT_D[event] for event in _EVENTS])
_SITE_OF_CULTIVAR_D = np.array([spreads.SITE_OF_CULTIVAR_D[event] for event in _EVENTS])
_REGION_D = np.array([spreads.REGION_D[event] for event in _EVENTS])
_IS_AUTUMN = np.array([event is Event.LEAF_FALL for event in _EVENTS])


def _apart_km(first: Floats, second: Floats) -> Floats:
    """Return how far apart grounds lie along the earth; without end where it is not known."""
    apart_km = _EARTH_KM * np.arccos(np.clip(first @ second.T, -1.0, 1.0))
    known = (first**2).sum(axis=1)[:, None] * (second**2).sum(axis=1) > 0.5
    return np.where(known, apart_km, np.inf)
