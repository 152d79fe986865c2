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
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from firmripe.season import spreads
from firmripe.season.because import Group

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]

LARGE: Final = 200
"""With more observations than this they are parted by trees: the same answer, in time that grows with the trees."""


class Occurrence(Struct, frozen=True, kw_only=True):
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


class Observation(Struct, frozen=True, kw_only=True):
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


class Posterior(Struct, frozen=True):
    """What the observations make of the targets.

    `mean` (season days) over the targets; `weights[t, j]` is how many days target t moves for each day that observation
    j surprises, `contributions[t, j]` how far it moves for all of them. `before` is the covariance (days²) of the
    targets without any observation, `cross[t, j]` that of target t with observation j.
    """

    mean: Floats
    before: Floats
    cross: Floats
    weights: Floats
    contributions: Floats

    @property
    def covariance(self) -> Floats:
        """The covariance of the targets (days²) given the observations."""
        return self.before - self.weights @ self.cross.T

    @property
    def spread_d(self) -> Floats:
        """Standard deviation of each target in days."""
        variance = np.diag(self.before) - np.einsum("tj,tj->t", self.weights, self.cross)
        spread: Floats = np.sqrt(np.maximum(variance, 0.0))
        return spread


def condition(targets: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float = 1.0) -> Posterior:
    """Return mean, covariance and contributions of the targets given the observations.

    Order changes nothing. Repeated and contradicting observations are met by their spreads, which must be above 0;
    ValueError says which is not.
    """
    prior_mean = np.array([target.day for target in targets])
    _refuse_sure(observations)
    joint = _Joint.of(targets, observations, year_scale)
    if not observations:
        nothing = np.zeros((len(targets), 0))
        return Posterior(prior_mean, joint.before(), nothing, nothing, nothing)
    weights, cross = joint.by_trees() if joint.is_large else joint.whole()
    contributions = weights * np.array([observation.surprise for observation in observations])
    return Posterior(prior_mean + contributions.sum(axis=1), joint.before(), cross, weights, contributions)


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
        self._law = self._given.covariance

    def knows(self, occurrences: Iterable[Occurrence]) -> bool:
        """Say whether each of these is among the occurrences."""
        rows = ((self._row.get((one.tree, one.name)), one) for one in occurrences)
        return all(row is not None and self._occurrences[row] == one for row, one in rows)

    def more(self, targets: Sequence[Occurrence], observations: Sequence[Observation]) -> Posterior:
        """Return what is made of the targets once further observations are in, each of one of the occurrences alone.

        `before`, `weights`, `cross` and `contributions` are of these further ones.
        """
        _refuse_sure(observations)
        at, by = self._rows(targets), self._rows(observation.later for observation in observations)
        cross, system = self._law[np.ix_(at, by)], self._law[np.ix_(by, by)]
        system[np.diag_indices_from(system)] += np.array([o.spread_d**2 for o in observations], dtype=np.float64)
        weights = _solved(system, cross)
        surprises = np.array([o.value for o in observations], dtype=np.float64) - self._given.mean[by]
        contributions = weights * surprises
        mean = self._given.mean[at] + contributions.sum(axis=1)
        return Posterior(mean, self._law[np.ix_(at, at)], cross, weights, contributions)

    def weights(self, targets: Sequence[Occurrence], observations: Sequence[Observation], more: Floats) -> Floats:
        """Return how much the first observations still weigh on the targets once `observations` weigh `more`."""
        by = self._rows(observation.later for observation in observations)
        return np.asarray(self._given.weights[self._rows(targets)] - more @ self._given.weights[by])

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
        shared += float(np.exp(-np.abs(day[:, None] - day[None, :]) / spreads.YEAR_FADES_D).mean())
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
    seen: dict[Hashable, Occurrence] = {}
    for item in items:
        seen.setdefault((item.day, item.kin, item.is_autumn), item)

    def numbers(keys: Iterable[Hashable | None]) -> Whole:
        found: dict[Hashable, int] = {}
        return np.array([-1 if key is None else found.setdefault(key, len(found)) for key in keys], dtype=np.intp)

    found = _Numbers(
        profile=numbers((o.day, o.kin, o.is_autumn) for o in items),
        label=numbers(o.tree for o in items),
        tree=numbers((o.tree, o.is_autumn) if o.tree else None for o in items),
        year=numbers((o.year, o.is_autumn) if o.year is not None else None for o in items),
        tree_year=numbers((o.tree, o.year, o.is_autumn) if o.tree and o.year is not None else None for o in items),
        event=numbers((o.tree, o.year, o.name) if o.year is not None else None for o in items),
    )
    return found, list(seen.values())


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


def _solved(system: Floats, rows: Floats) -> Floats:
    """Return rows times the inverse of a symmetric matrix."""
    return np.asarray(np.linalg.solve(system, rows.T).T, dtype=np.float64)


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
    many: int
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
            many=len(targets),
            count=len(observations),
            earlier_of=np.array([j for j, o in enumerate(observations) if o.earlier is not None], dtype=np.intp),
            variance=np.array([observation.spread_d**2 for observation in observations]),
            shared=_Shared(*_of_profiles(profiles), year_scale),
        )

    @property
    def targets(self) -> _Numbers:
        """The numbers of the targets."""
        return self.numbers.at(slice(self.many))

    @property
    def items(self) -> _Numbers:
        """The numbers of what is observed: the later occurrences, then the earlier ones."""
        return self.numbers.at(slice(self.many, None))

    @property
    def is_large(self) -> bool:
        """Whether there are so many observations that it pays to part them by trees."""
        return self.count > LARGE

    def before(self) -> Floats:
        """Return the covariance of the targets without any observation."""
        return self.shared.between(self.targets, self.targets) + _own(self.targets, self.targets)

    def whole(self) -> tuple[Floats, Floats]:
        """Return the weights of the observations and their covariance with the targets, by one matrix of them all."""
        among = self.shared.between(self.items, self.items) + _own(self.items, self.items)
        cross = self._less(self.shared.between(self.targets, self.items) + _own(self.targets, self.items))
        system = self._less(self._less(among).T)
        system[np.diag_indices_from(system)] += self.variance
        return _solved(system, cross), cross

    def _less(self, columns: Floats) -> Floats:
        """Turn columns of occurrences into columns of observations, each the later less the earlier."""
        found = columns[:, : self.count].copy()
        found[:, self.earlier_of] -= columns[:, self.count :]
        return found

    def by_trees(self) -> tuple[Floats, Floats]:
        """Return the same as `whole`, the observations of each tree apart but for what trees share.

        Given what trees share (Z u, where u has the covariance S = L L^T), those of different trees have nothing to do
        with each other: K = Z S Z^T + D, where D is a block for each tree, and by the Woodbury identity

            K^-1 = D^-1 - A L M^-1 L^T A^T,   A = D^-1 Z,   M = 1 + L^T Z^T A L.

        The covariance of the targets with the observations is W S Z^T + B, where B is again a block for each tree, so

            (W S Z^T + B) K^-1 = (W - B A) L M^-1 L^T A^T + B D^-1.

        Only M, as wide as what is shared, is of all trees together.
        """
        nodes = _Nodes.of(self.numbers)
        factor = nodes.factor(self.shared)
        at_targets = nodes.to(self.targets, self.shared)
        hangs, of_targets = nodes.of_items(np.arange(len(self.targets)))
        blocks = list(self._blocks(nodes))
        weights, cross = np.zeros((2, len(self.targets), self.count))
        pull, own_pull = np.zeros((len(nodes), len(nodes))), np.zeros((len(self.targets), len(nodes)))
        for block in blocks:
            apart = block.nodes[:, :, None], block.nodes[:, None, :]
            np.add.at(pull, apart, block.incidence.swapaxes(1, 2) @ block.solved)
            np.add.at(own_pull, block.at_targets(block.nodes), block.own @ block.solved)
            own_weights = np.linalg.solve(block.system, block.own.swapaxes(1, 2)).swapaxes(1, 2)
            weights[block.at_targets(block.observations)] = own_weights
            cross[block.at_targets(block.observations)] = block.own
        inner = np.eye(factor.shape[1]) + factor.T @ pull @ factor
        rest = _solved(inner, of_targets @ factor[hangs] - own_pull @ factor) @ factor.T
        for block in blocks:
            shared = rest[:, block.nodes].swapaxes(0, 1) @ block.solved.swapaxes(1, 2)
            weights[:, block.observations] += shared.swapaxes(0, 1)
            shared = at_targets[:, block.nodes].swapaxes(0, 1) @ block.incidence.swapaxes(1, 2)
            cross[:, block.observations] += shared.swapaxes(0, 1)
        return weights, cross

    def _blocks(self, nodes: _Nodes) -> Iterator[_Blocks]:
        """Yield the observations of each tree, or of several that one observation speaks of together, size by size."""
        later, earlier = self.items.label[: self.count], self.items.label[self.count :]
        root = _joined(later[self.earlier_of], earlier, max(self.items.label, default=-1) + 1)
        _, of_observation = np.unique(root[later], return_inverse=True)
        block_of = np.full(len(root), -1)
        block_of[root[later]] = of_observation
        of_target = np.full(len(self.targets), -1)
        known = self.targets.label < len(root)
        of_target[known] = block_of[root[self.targets.label[known]]]
        of_item = np.concatenate((of_observation, of_observation[self.earlier_of]))
        hangs = nodes.of_item[self.many :]
        code = of_item[:, None] * len(nodes) + hangs
        used = np.unique(code[hangs >= 0])
        many = int(of_observation.max()) + 1
        parts = (
            _Parted.of(of_observation, many),
            _Parted.of(of_observation[self.earlier_of], many),
            _Parted.of(used // len(nodes), many),
            _Parted.of(of_target, many),
        )
        sizes, size_of = np.unique(np.stack([part.count for part in parts], axis=1), axis=0, return_inverse=True)
        for size in range(len(sizes)):
            rows = [part.rows(np.flatnonzero(size_of == size)) for part in parts]
            yield self._of_one_size(rows, used, code, len(nodes))

    def _of_one_size(self, rows: Sequence[Whole], used: Whole, code: Whole, nodes: int) -> _Blocks:
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
        return _Blocks(
            observations=observations,
            targets=targets,
            nodes=within % nodes,
            incidence=incidence,
            system=system,
            solved=np.linalg.solve(system, incidence),
            own=_own(self.targets.at(targets), numbers) @ sign.swapaxes(1, 2),
        )


class _Parted(Struct, frozen=True):
    """Things in the order of the blocks they belong to: `count` of each block, which `begin` where they do."""

    order: Whole
    count: Whole
    begin: Whole

    @classmethod
    def of(cls, blocks: Whole, many: int) -> _Parted:
        """Part things of which the block is given, -1 for none, among so many blocks."""
        count = np.bincount(blocks[blocks >= 0], minlength=many)
        order = np.argsort(blocks, kind="stable")[len(blocks) - int(count.sum()) :]
        return cls(order=order, count=count, begin=np.cumsum(count) - count)

    def rows(self, blocks: Whole) -> Whole:
        """Return the things of some blocks that have equally many, a row for each block."""
        return self.order[self.begin[blocks, None] + np.arange(self.count[blocks[0]])]


class _Blocks(Struct, frozen=True):
    """The observations of trees of one size, a row each: which they are, and the targets and shared unknowns (`nodes`).

    `incidence` is how they hang on these nodes, `system` their covariance in what is the tree's own and in their
    spreads, `solved` the one divided by the other, `own` the covariance of the targets with them in the tree's own.
    """

    observations: Whole
    targets: Whole
    nodes: Whole
    incidence: Floats
    system: Floats
    solved: Floats
    own: Floats

    def at_targets(self, columns: Whole) -> tuple[Whole, Whole]:
        """Return where the targets of each block meet some of its columns."""
        return self.targets[:, :, None], columns[:, None, :]


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
        pairs = np.stack((np.concatenate((np.full(len(items), -1), items.year)), np.tile(items.profile, 2)), axis=1)
        found, at = np.unique(pairs, axis=0, return_inverse=True)
        of_item = at.reshape(2, len(items)).T.copy()
        of_item[items.year < 0, 1] = -1
        return cls(profile=found[:, 1], year=found[:, 0], of_item=of_item)

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
        parts = []
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

    def to(self, targets: _Numbers, shared: _Shared) -> Floats:
        """Return the covariance of some occurrences with the nodes."""
        some = np.ix_(targets.profile, self.profile)
        same = (targets.year[:, None] == self.year[None, :]) & (self.year >= 0)
        return np.where(self.year < 0, shared.lasting[some], same * shared.year_scale**2 * shared.yearly[some])


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
