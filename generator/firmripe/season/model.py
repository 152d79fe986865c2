"""The season model: what is expected, how it may deviate, and what the notes make of it.

For event e of a bearing in a year, the day it happens deviates from the expected season day by

    d = kin + tree + year(y, s) + tree-year + noise        (days; s: expected season day)

with independent zero-mean Gaussian parts (see `spreads`). Everything known is an observation: a linear combination of
such days, a value and a spread. What is shown is the mean and variance given all of them:

    mean = m_t + K_to (K_oo + R)^-1 (y - m_o),   variance = K_tt - K_to (K_oo + R)^-1 K_ot

and the shift of each target is the sum of one contribution per observation.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from firmripe.season import spreads
from firmripe.season.because import Group
from firmripe.season.laws import (
    Blocks,
    Floats,
    InBlocks,
    JointLaw,
    Posterior,
    Whole,
    days_noted,
    of_one_size,
    weighed,
)


class Occurrence(Struct, frozen=True, kw_only=True, gc=False):
    """One event of one bearing in one year, or (with `year` None) its usual day over the years.

    `day` is the expected season day and `kin` the unknowns of its error, as in a `Prior`; `tree` is empty for a usual
    day that is stated for the cultivar; `name` tells one event from another on the same tree in the same year. An
    autumn event (leaf fall) shares nothing with those of spring and summer: a late year does not make leaves fall late.
    """

    day: float
    kin: tuple[tuple[str, float], ...]
    tree: str
    name: str
    year: int | None
    is_autumn: bool = False


class Observation(Struct, frozen=True, kw_only=True, gc=False):
    """What is known: the day of `later` (less that of `earlier`, if given) is `value`, give or take `spread_d`.

    `value` is a season day, or a number of days between the two; `taught_d` of these were added because a verdict says
    that the day noted was not the right one. `group` is what it counts under in an explanation.
    """

    later: Occurrence
    earlier: Occurrence | None = None
    value: float
    spread_d: float
    group: Group
    taught_d: float = 0.0

    @property
    def surprise(self) -> float:
        """The value less what was expected, in days."""
        expected = self.later.day - (self.earlier.day if self.earlier else 0.0)
        return self.value - expected


def condition(targets: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float = 1.0) -> Posterior:
    """Return mean, covariance and contributions of the targets given the observations.

    Order changes nothing. Repeated and contradicting observations are met by their spreads, which must be above 0;
    ValueError says which is not.
    """
    _refuse_sure(observations)
    joint = _Joint.of(targets, observations, year_scale)
    surprises = np.array([observation.surprise for observation in observations], dtype=np.float64)
    nodes = _Nodes.of(joint.numbers)
    factor = nodes.factor(joint.shared)
    before = joint.law(nodes, factor)
    return weighed(before, list(joint.blocks(nodes)) if observations else [], surprises, factor)


class Soon(Struct, frozen=True):
    """What further observations make of some days: their means (season days) and spreads (days).

    `weights[t, j]` is how many days day t moves for each day that further observation j surprises.
    """

    mean: Floats
    spread_d: Floats
    weights: Callable[[], Floats]


class Weighed:
    """What observations make of some occurrences, to which a few more of these very occurrences are soon added.

    The answer is that of `condition` for all observations at once: they are weighed in one after another.
    """

    def __init__(
        self, occurrences: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float
    ) -> None:
        self._row = {(one.tree, one.name): row for row, one in enumerate(occurrences)}
        self._occurrences = occurrences
        self._given = condition(occurrences, observations, year_scale)
        self._law = self._given.law.thin()

    def knows(self, occurrences: Iterable[Occurrence]) -> bool:
        """Say whether each of these is among the occurrences."""
        rows = ((self._row.get((one.tree, one.name)), one) for one in occurrences)
        return all(row is not None and self._occurrences[row] == one for row, one in rows)

    def more(self, targets: Sequence[Occurrence], observations: Sequence[Observation]) -> Soon:
        """Return what is made of the targets once further observations are in, each of one of the occurrences alone.

        As many of them as trees share unknowns, and fewer, go through one matrix of them all.
        """
        _refuse_sure(observations)
        at, by = self._rows(targets), self._rows(observation.later for observation in observations)
        spreads_d = np.array([o.spread_d for o in observations], dtype=np.float64)
        surprises = np.array([o.value for o in observations], dtype=np.float64) - self._law.mean[by]
        if len(by) <= self._law.shared.shape[1]:
            cross, system = self._law.between(at, by), self._law.between(by, by)
            system[np.diag_indices_from(system)] += spreads_d**2
            weights = np.asarray(np.linalg.solve(system, cross.T).T, dtype=np.float64)
            variance = self._law.variance[at] - np.einsum("tj,tj->t", weights, cross)
            mean = self._law.mean[at] + weights @ surprises
            return Soon(mean, np.sqrt(np.maximum(variance, 0.0)), lambda: weights)
        found = weighed(self._law, days_noted(self._law, by, spreads_d), surprises)
        return Soon(found.mean[at], found.spread_d[at], lambda: found.weights[at])

    def heard(
        self,
        targets: Sequence[Occurrence],
        observations: Sequence[Observation],
        more: Floats,
        which: NDArray[np.bool_],
    ) -> Floats:
        """Return what some of the first observations still weigh in all once `observations` weigh `more`."""
        ways = np.zeros((len(targets), len(self._occurrences)))
        ways[np.arange(len(targets)), self._rows(targets)] = 1.0
        np.subtract.at(ways.T, self._rows(observation.later for observation in observations), more.T)
        return self._given.heard(ways, which)

    def _rows(self, occurrences: Iterable[Occurrence]) -> Whole:
        return np.array([self._row[one.tree, one.name] for one in occurrences], dtype=np.intp)


def _refuse_sure(observations: Iterable[Observation]) -> None:
    for observation in observations:
        if not observation.spread_d > 0:
            raise ValueError(f"the spread of {observation.group} must be above 0")


def covariance(rows: Sequence[Occurrence], columns: Sequence[Occurrence], year_scale: float = 1.0) -> Floats:
    """Return the prior covariance (days²) of the deviations of two sets of occurrences.

    `year_scale` is how much years differ here against the table of spreads (see `year_scale_of`).
    """
    numbers, profiles = _numbered([*rows, *columns])
    cut = len(rows)
    shared = _Shared(*_of_profiles(profiles), year_scale)
    first, second = numbers.at(slice(cut)), numbers.at(slice(cut, None))
    return shared.between(first, second) + _own(first, second)


def year_scale_of(observations: Iterable[Observation]) -> float:
    """Return how much years differ here, as a factor on the table's spread of years (1: as in the table).

    Days noted of one event on one tree in several years are set against their mean: how far off it an event was in a
    year, and the variance of what is its own, both per spread of a year; what all of a year's events share
    is that year's. From the square of what they share comes off what chance alone would leave in it. The table's
    spread counts as `YEARS_WORTH` years of record, so that it gives way slowly.
    """
    by_year: dict[int, list[tuple[float, float, float]]] = {}
    several = [noted for noted in _noted_days(observations) if len(noted) > 1]
    spread_of = iter(_year_spread(np.array([o.later.day for noted in several for o in noted.values()])).tolist())
    for noted in several:
        middle = sum(o.value for o in noted.values()) / len(noted)
        more = math.sqrt(len(noted) / (len(noted) - 1))  # a mean of few lies too near to each of them
        for year, one in noted.items():
            its_spread = next(spread_of)
            alone = spreads.TREE_YEAR_D**2 + spreads.NOISE_D**2 + one.spread_d**2
            off = more * (one.value - middle) / its_spread
            by_year.setdefault(year, []).append((one.later.day, off, alone / its_spread**2))
    if len(by_year) < 2:
        return 1.0
    over = shared = 0.0
    for offs in by_year.values():
        day, off, alone = np.array(offs).T
        over += float(off.mean() ** 2 - alone.sum() / len(offs) ** 2)
        at, count = np.unique(day, return_counts=True)  # trees of one kind are expected on one day
        fade = np.exp(-np.abs(at[:, None] - at[None, :]) / spreads.YEAR_FADES_D)
        shared += float(count @ fade @ count) / len(offs) ** 2
    freedom = len(by_year) - 1
    variance = (spreads.YEARS_WORTH + freedom * max(0.0, over / shared)) / (spreads.YEARS_WORTH + freedom)
    return math.sqrt(variance)


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


class _Numbers(Struct, frozen=True):
    """What each occurrence of a set shares with others, as numbers: the same number, the same thing; -1: nothing.

    `profile` is what is expected of it: occurrences of one day and kin are alike in all that lasts. `label` is
    the tree without regard to the time of year, no tree being one too.
    """

    profile: Whole
    label: Whole
    tree: Whole
    year: Whole
    tree_year: Whole
    event: Whole

    def __len__(self) -> int:
        return len(self.profile)

    def at(self, which: slice | Whole) -> _Numbers:
        """Return the numbers of some of the occurrences."""
        parts = (self.profile, self.label, self.tree, self.year, self.tree_year, self.event)
        return _Numbers(*(part[which] for part in parts))


def _numbered(items: Sequence[Occurrence]) -> tuple[_Numbers, list[Occurrence]]:
    """Return the numbers of a set of occurrences, and one occurrence of each profile, in order."""
    autumn = np.array([item.is_autumn for item in items], dtype=bool)
    label, years, name = (
        _numbers(keys) for keys in ([o.tree for o in items], [o.year for o in items], [o.name for o in items])
    )
    kin = _numbers_of_kin(items)
    profile = _numbers(list(zip([o.day for o in items], kin, autumn.tolist(), strict=True)))
    _, first = np.unique(profile, return_index=True)
    has_tree = np.array([bool(item.tree) for item in items], dtype=bool)
    has_year = np.array([item.year is not None for item in items], dtype=bool)
    tree, of_tree_year = 2 * label + autumn, label * (len(items) + 1) + years
    found = _Numbers(
        profile=profile,
        label=label,
        tree=np.where(has_tree, tree, -1),
        year=np.where(has_year, _numbers((2 * years + autumn).tolist()), -1),
        tree_year=np.where(has_tree & has_year, 2 * of_tree_year + autumn, -1),
        event=np.where(has_year, of_tree_year * (len(items) + 1) + name, -1),
    )
    return found, [items[at] for at in first.tolist()]


def _numbers(keys: Iterable[Hashable]) -> Whole:
    """Return a number for each key, the same for the same, in the order in which they come first."""
    found: dict[Hashable, int] = {}
    return np.array([found.setdefault(key, len(found)) for key in keys], dtype=np.intp)


def _numbers_of_kin(items: Sequence[Occurrence]) -> list[int]:
    """Return a number for each one's kin; most share theirs with others, so that each is looked at once."""
    kinds = {id(item.kin): item.kin for item in items}
    numbers = dict(zip(kinds, _numbers(kinds.values()).tolist(), strict=True))
    return [numbers[id(item.kin)] for item in items]


class _Shared(Struct, frozen=True):
    """What trees share: the covariance (days²) of profiles in what lasts, and in what a year brings."""

    lasting: Floats
    yearly: Floats
    year_scale: float

    def between(self, rows: _Numbers, columns: _Numbers) -> Floats:
        """Return the covariance of two sets of occurrences in what trees share."""
        total = self.lasting[np.ix_(rows.profile, columns.profile)]
        same = _same(rows.year, columns.year)
        return total + same * self.year_scale**2 * self.yearly[np.ix_(rows.profile, columns.profile)]


def _own(rows: _Numbers, columns: _Numbers) -> Floats:
    """Return the covariance (days²) of two sets of occurrences in what is a tree's own."""
    total: Floats = spreads.TREE_D**2 * _same(rows.tree, columns.tree)
    total += spreads.TREE_YEAR_D**2 * _same(rows.tree_year, columns.tree_year)
    total += spreads.NOISE_D**2 * _same(rows.event, columns.event)
    return total


def _same(rows: Whole, columns: Whole) -> Floats:
    """Return 1 where two occurrences have the same thing, else 0."""
    rows, columns = rows[..., :, None], columns[..., None, :]
    return np.asarray((rows == columns) & (rows >= 0), dtype=np.float64)


def _of_profiles(profiles: Sequence[Occurrence]) -> tuple[Floats, Floats]:
    """Return the covariance of the profiles in what lasts (their kin), and in what a year brings."""
    day = np.array([item.day for item in profiles])
    gap = np.abs(day[:, None] - day[None, :])
    columns: dict[str, int] = {}
    at = [
        (row, columns.setdefault(name, len(columns)), moved)
        for row, item in enumerate(profiles)
        for name, moved in item.kin
    ]
    kin = np.zeros((len(profiles), len(columns)))
    for row, column, moved in at:
        kin[row, column] = moved
    autumn = np.array([item.is_autumn for item in profiles])
    lasting = (kin @ kin.T) * (autumn[:, None] == autumn[None, :])
    year = _year_spread(day)
    return lasting, np.outer(year, year) * np.exp(-gap / spreads.YEAR_FADES_D)


def _year_spread(day: Floats) -> Floats:
    at = [spreads.YEAR_BLOOM_DAY, spreads.YEAR_PICK_DAY]
    spread: Floats = np.interp(day, at, [spreads.YEAR_AT_BLOOM_D, spreads.YEAR_AT_PICK_D])
    return spread


class _Joint(Struct, frozen=True):
    """Targets and observations together.

    The numbers are of the `many` targets, then of the later and of the earlier occurrences of the observations.
    Observation j is the later occurrence j less the earlier one, which `earlier_of` gives for those that have one.
    """

    numbers: _Numbers
    day: Floats
    count: int
    earlier_of: Whole
    variance: Floats
    shared: _Shared

    @classmethod
    def of(cls, targets: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float) -> _Joint:
        """Return targets and observations, numbered."""
        later = [observation.later for observation in observations]
        earlier = [observation.earlier for observation in observations if observation.earlier is not None]
        numbers, profiles = _numbered([*targets, *later, *earlier])
        return cls(
            numbers=numbers,
            day=np.array([target.day for target in targets], dtype=np.float64),
            count=len(observations),
            earlier_of=np.array([j for j, o in enumerate(observations) if o.earlier is not None], dtype=np.intp),
            variance=np.array([observation.spread_d**2 for observation in observations], dtype=np.float64),
            shared=_Shared(*_of_profiles(profiles), year_scale),
        )

    @property
    def many(self) -> int:
        """How many targets there are."""
        return len(self.day)

    @property
    def targets(self) -> _Numbers:
        """The numbers of the targets."""
        return self.numbers.at(slice(self.many))

    @property
    def items(self) -> _Numbers:
        """The numbers of what is observed: the later occurrences, then the earlier ones."""
        return self.numbers.at(slice(self.many, None))

    def law(self, nodes: _Nodes, factor: Floats) -> JointLaw:
        """Return the law of the targets without any observation, a block for each tree."""
        hangs, of_targets = nodes.of_items(np.arange(self.many))
        block = self._roots()[self.targets.label]
        parted = InBlocks.of(block, int(block.max(initial=-1)) + 1)
        own = np.zeros((self.many, int(parted.count.max(initial=1))))
        for (rows,) in of_one_size((parted,)):
            numbers = self.targets.at(rows)
            own[rows, : rows.shape[1]] = _own(numbers, numbers)
        return JointLaw(self.day, of_targets @ factor[hangs], own, block, parted.places())

    def _roots(self) -> Whole:
        """Return for each label the least of those of the trees that observations tie to it."""
        labels = self.numbers.label
        later, earlier = np.split(labels[self.many :], [self.count])
        return _joined(later[self.earlier_of], earlier, int(labels.max(initial=-1)) + 1)

    def blocks(self, nodes: _Nodes) -> Iterator[Blocks]:
        """Yield the observations of each tree, or of several that one observation speaks of together, size by size."""
        root = self._roots()
        many = len(root)
        of_observation = root[self.items.label[: self.count]]
        of_item = np.concatenate((of_observation, of_observation[self.earlier_of]))
        hangs = nodes.of_item[self.many :]
        code = of_item[:, None] * len(nodes) + hangs
        used = np.unique(code[hangs >= 0])
        parts = (
            InBlocks.of(of_observation, many),
            InBlocks.of(of_observation[self.earlier_of], many),
            InBlocks.of(used // len(nodes), many),
            InBlocks.of(root[self.targets.label], many),
        )
        for rows in of_one_size(parts):
            yield self._of_one_size(rows, used, code, len(nodes))

    def _of_one_size(self, rows: Sequence[Whole], used: Whole, code: Whole, nodes: int) -> Blocks:
        """Return the blocks of one size: a row of each array is one of them.

        The rows are of observations, earlier occurrences, nodes and targets. A node within a block has a number of its
        own, so many more for each block: `used` are all there are, `code` those of each occurrence.
        """
        observations, tied, at_used, targets = rows
        within = used[at_used]
        items = np.concatenate((observations, self.count + tied), axis=1)
        sign: Floats = np.zeros((len(items), observations.shape[1], items.shape[1]))
        here = np.arange(observations.shape[1])
        sign[:, here, here] = 1.0
        sign[:, :, len(here) :] = -_same(observations, self.earlier_of[tied])
        numbers = self.items.at(items)
        incidence = sign @ (code[items][..., None] == within[:, None, None, :]).any(axis=2).astype(np.float64)
        system = sign @ _own(numbers, numbers) @ sign.swapaxes(1, 2)
        system[:, here, here] += self.variance[observations]
        own = _own(self.targets.at(targets), numbers) @ sign.swapaxes(1, 2)
        return Blocks.of((observations, targets), within % nodes, incidence, system, own)


class _Nodes(Struct, frozen=True):
    """The unknowns that trees share: what lasts of each profile, and what each year brings to it.

    `profile` and `year` are the node's (-1: what lasts), `of_item` the two nodes of each occurrence, of which the
    second is -1 for a usual day.
    """

    profile: Whole
    year: Whole
    of_item: NDArray[np.intp]

    def __len__(self) -> int:
        return len(self.profile)

    @classmethod
    def of(cls, items: _Numbers) -> _Nodes:
        """Return the nodes of some occurrences."""
        many = int(items.profile.max(initial=0)) + 1
        code = (np.concatenate((np.full(len(items), -1), items.year)) + 1) * many + np.tile(items.profile, 2)
        found, at = np.unique(code, return_inverse=True)
        of_item = at.reshape(2, len(items)).T.copy()
        of_item[items.year < 0, 1] = -1
        return cls(profile=found % many, year=found // many - 1, of_item=of_item)

    def of_items(self, items: Whole) -> tuple[Whole, Floats]:
        """Return the nodes of some of the occurrences, and with 1 which of them hangs on which."""
        at = self.of_item[items]
        used = np.unique(at[at >= 0])
        hangs: Floats = np.zeros((len(items), len(used)))
        for column in at.T:
            some = np.flatnonzero(column >= 0)
            hangs[some, np.searchsorted(used, column[some])] = 1.0
        return used, hangs

    def factor(self, shared: _Shared) -> Floats:
        """Return L, where L L^T is the covariance of the nodes; what is lost is below a billionth of a day."""
        parts = [np.zeros((len(self), 0))]
        for year in np.unique(self.year):
            at = np.flatnonzero(self.year == year)
            some = np.ix_(self.profile[at], self.profile[at])
            size, turned = np.linalg.eigh(
                shared.lasting[some] if year < 0 else shared.year_scale**2 * shared.yearly[some]
            )
            kept = size > size.max() * 1e-15
            part = np.zeros((len(self), int(kept.sum())))
            part[at] = turned[:, kept] * np.sqrt(size[kept])
            parts.append(part)
        return np.concatenate(parts, axis=1)


def _joined(first: Whole, second: Whole, count: int) -> Whole:
    """Return for each of so many labels the least of those that it is tied to."""
    root = np.arange(count)
    ties = [(int(a), int(b)) for a, b in zip(first, second, strict=True) if a != b]
    for _ in ties:
        before = root.copy()
        for one, other in ties:
            root[[one, other]] = min(root[one], root[other])
        if (root == before).all():
            break
    return root
