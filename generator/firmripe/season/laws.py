"""Joint normal laws of many days, parted into the few unknowns that all share and what is a tree's own.

With u the shared unknowns, independent and of spread 1, days deviate from their mean by F u + e, where those of
different blocks (trees) have nothing in common in e. Notes leave a law of the same form, which takes as much room as
there are days and not as there are pairs of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]

_LOST = 1e-15
"""What is shared along a direction of this part of the widest is left out: less than a millionth of a day."""
_AT_ONCE = 2**20
"""So many weights are looked at together where all are."""


class JointLaw(Struct, frozen=True):
    """The joint normal law of some days.

    `mean` are season days. Their covariance (days²) is `shared @ shared.T`, and between days of one `block` besides
    `own`: row t of it is that of day t with each place of its block, of which its own is `place[t]`.
    """

    mean: Floats
    shared: Floats
    own: Floats
    block: Whole
    place: Whole

    @property
    def variance(self) -> Floats:
        """The variance (days²) of each day."""
        own = self.own[np.arange(len(self.place)), self.place]
        return np.asarray(np.einsum("tr,tr->t", self.shared, self.shared) + own)

    @property
    def spread_d(self) -> Floats:
        """Standard deviation of each day in days."""
        spread: Floats = np.sqrt(np.maximum(self.variance, 0.0))
        return spread

    def between(self, rows: Whole, columns: Whole) -> Floats:
        """Return the covariance (days²) of some of the days with some of them."""
        same = self.block[rows][:, None] == self.block[columns][None, :]
        own = self.own[rows[:, None], np.where(same, self.place[columns][None, :], 0)]
        return np.asarray(self.shared[rows] @ self.shared[columns].T + same * own)

    def own_between(self, rows: Whole, columns: Whole) -> Floats:
        """Return what is the trees' own of the covariance of days, row by row those of one block."""
        return self.own[rows[:, :, None], self.place[columns][:, None, :]]

    def thin(self) -> JointLaw:
        """Return the same with no more shared unknowns than the days differ in."""
        size, turned = np.linalg.eigh(self.shared.T @ self.shared)
        kept = size > max(size.max(initial=0.0), 1.0) * _LOST
        return structs.replace(self, shared=self.shared @ turned[:, kept])


class InBlocks(Struct, frozen=True):
    """Things in the order of the blocks they belong to: `count` of each block, which `begin` where they do."""

    order: Whole
    count: Whole
    begin: Whole

    @classmethod
    def of(cls, blocks: Whole, many: int) -> InBlocks:
        """Part things of which the block is given, -1 for none, among so many blocks."""
        count = np.bincount(blocks[blocks >= 0], minlength=many)
        order = np.argsort(blocks, kind="stable")[len(blocks) - int(count.sum()) :]
        return cls(order=order, count=count, begin=np.cumsum(count) - count)

    def rows(self, blocks: Whole) -> Whole:
        """Return the things of some blocks that have equally many, a row for each block."""
        return self.order[self.begin[blocks, None] + np.arange(self.count[blocks[0]])]

    def places(self) -> Whole:
        """Return which of its block's each thing is; all must be of a block."""
        place = np.empty(len(self.order), dtype=np.intp)
        place[self.order] = np.arange(len(self.order)) - np.repeat(self.begin, self.count)
        return place


def of_one_size(parts: Sequence[InBlocks]) -> Iterator[list[Whole]]:
    """Yield the blocks of one size after another, by which things of each part they have; not those without any."""
    counts = np.stack([part.count for part in parts], axis=1)
    sizes, size_of = np.unique(counts, axis=0, return_inverse=True)
    for at, size in enumerate(sizes):
        if size[0]:
            blocks = np.flatnonzero(size_of.reshape(-1) == at)
            yield [part.rows(blocks) for part in parts]


class Blocks(Struct, frozen=True):
    """The observations of trees of one size, a row of each array being a tree: which they are, of which targets.

    `nodes` are the shared unknowns that the observations hang on by their `incidence`, None for all in their order.
    `solved` is the incidence divided by the observations' covariance in what is the tree's own and in their spreads,
    `own` the covariance of the targets with them in what is the tree's own, `weights` that divided likewise.
    """

    observations: Whole
    targets: Whole
    nodes: Whole | None
    incidence: Floats
    solved: Floats
    own: Floats
    weights: Floats

    @classmethod
    def of(
        cls, rows: tuple[Whole, Whole], nodes: Whole | None, incidence: Floats, system: Floats, own: Floats
    ) -> Blocks:
        """Return blocks of observations and targets (`rows`), the observations' covariance being `system`."""
        both = np.concatenate((incidence, own.swapaxes(1, 2)), axis=2)
        solved: Floats = np.asarray(np.linalg.solve(system, both), dtype=np.float64)
        width = incidence.shape[2]
        weights = solved[:, :, width:].swapaxes(1, 2)
        return cls(rows[0], rows[1], nodes, incidence, solved[:, :, :width], own, weights)

    def add_pull(self, among: Floats, own_pull: Floats) -> None:
        """Add how the observations pull at pairs of nodes, and set how they do at the targets' own and a node."""
        if self.nodes is None:
            width = len(among)
            among += self.incidence.reshape(-1, width).T @ self.solved.reshape(-1, width)
            own_pull[self.targets] = self.own @ self.solved
            return
        pairs = self.nodes[:, :, None], self.nodes[:, None, :]
        np.add.at(among, pairs, self.incidence.swapaxes(1, 2) @ self.solved)
        own_pull[self.targets[:, :, None], pairs[1]] = self.own @ self.solved

    def add_moved(self, at_nodes: Floats, surprises: Floats) -> None:
        """Add how far the observations pull at each node."""
        moved = (self.solved * surprises[self.observations][:, :, None]).sum(axis=1)
        if self.nodes is None:
            at_nodes += moved.sum(axis=0)
        else:
            np.add.at(at_nodes, self.nodes, moved)

    def of_nodes(self, pull: Floats) -> Floats:
        """Return the weight of the observations, by what is shared, on rows that hang so on the nodes: rows first."""
        at = np.broadcast_to(pull, (len(self.targets), *pull.shape)) if self.nodes is None else self._at_nodes(pull)
        return np.asarray(at @ self.solved.swapaxes(1, 2))

    def _at_nodes(self, pull: Floats) -> Floats:
        return pull[:, self.nodes].swapaxes(0, 1)

    def within(self, pull: Floats) -> Floats:
        """Return the weight of the observations on the targets of their own tree by what is shared."""
        at = pull[self.targets] if self.nodes is None else pull[self.targets[:, :, None], self.nodes[:, None, :]]
        return np.asarray(at @ self.solved.swapaxes(1, 2))

    def part(self, rows: slice) -> Blocks:
        """Return some of the blocks."""
        nodes = None if self.nodes is None else self.nodes[rows]
        arrays = self.incidence, self.solved, self.own, self.weights
        return Blocks(self.observations[rows], self.targets[rows], nodes, *(array[rows] for array in arrays))


class Posterior(Struct, frozen=True):
    """What observations make of the targets: their `law`, and how much each weighs on each.

    The weight of an observation is its `pull` by what is shared, and that of `blocks` on its own tree. `surprises` is
    how many days each observation is off what was expected.
    """

    law: JointLaw
    blocks: tuple[Blocks, ...]
    pull: Floats
    surprises: Floats

    @property
    def mean(self) -> Floats:
        """The targets' means in season days."""
        return self.law.mean

    @property
    def spread_d(self) -> Floats:
        """Standard deviation of each target in days."""
        return self.law.spread_d

    @property
    def covariance(self) -> Floats:
        """The covariance of the targets (days²), for few of them."""
        all_of_them = np.arange(len(self.mean))
        return self.law.between(all_of_them, all_of_them)

    @property
    def weights(self) -> Floats:
        """How many days target t moves for each day that observation j surprises, for few of them."""
        found = np.zeros((len(self.mean), len(self.surprises)))
        for observations, weights in self.along(np.eye(len(self.mean))):
            found[:, observations] = weights
        return found

    @property
    def contributions(self) -> Floats:
        """How far observation j moves target t, for few of them."""
        return self.weights * self.surprises

    def along(self, ways: Floats) -> Iterator[tuple[Whole, Floats]]:
        """Yield the weights on sums of targets, each row of `ways` being one sum, of some observations after others."""
        pull = ways @ self.pull
        for block in self.blocks:
            step = max(1, _AT_ONCE // (1 + len(ways) * max(block.solved.shape[1:])))
            for start in range(0, len(block.targets), step):
                part = block.part(slice(start, start + step))
                own = ways[:, part.targets].swapaxes(0, 1) @ part.weights
                weights = (part.of_nodes(pull) + own).swapaxes(0, 1)
                yield part.observations.reshape(-1), weights.reshape(len(ways), -1)

    def heard(self, ways: Floats, which: NDArray[np.bool_]) -> Floats:
        """Return what some observations weigh in all on sums of targets, whatever the sign."""
        total = np.zeros(len(ways))
        for observations, weights in self.along(ways):
            total += np.abs(weights[:, which[observations]]).sum(axis=1)
        return total

    def shared_sums(self, values: Floats, classes: Whole, many: int) -> Floats:
        """Return the sum of weight times value over each class of observations, by what is shared alone."""
        at_nodes = np.zeros((self.pull.shape[1], many))
        for block in self.blocks:
            part = block.solved * values[block.observations][:, :, None]
            of_class = classes[block.observations]
            if block.nodes is None:
                np.add.at(at_nodes.T, of_class.reshape(-1), part.reshape(-1, len(at_nodes)))
            else:
                np.add.at(at_nodes, (block.nodes[:, None, :], of_class[:, :, None]), part)
        return np.asarray(self.pull @ at_nodes)


def weighed(before: JointLaw, blocks: Sequence[Blocks], surprises: Floats, factor: Floats | None = None) -> Posterior:
    """Return what observations make of a law, those of each block apart but for what is shared.

    `factor` (L) says how the nodes that the blocks hang on are made of the law's shared unknowns; without it they are
    these. Given the nodes, observations of different blocks have nothing to do with each other: their covariance is
    K = Z L L^T Z^T + D, where Z is the incidence and D a block for each tree, and by the Woodbury identity

        K^-1 = D^-1 - A L M^-1 L^T A^T,   A = D^-1 Z,   M = 1 + L^T Z^T A L.

    The covariance of the targets with the observations is F L^T Z^T + B, where B is again a block for each tree, so
    with G = F - B A L the weights are G M^-1 L^T A^T + B D^-1, and of the targets' covariance G M^-1 G^T is left, and
    of what is a tree's own that less B D^-1 B^T. Only M, as wide as what is shared, is of all trees together.
    """
    width = before.shared.shape[1] if factor is None else len(factor)
    among, own_pull, at_nodes = np.zeros((width, width)), np.zeros((len(before.mean), width)), np.zeros(width)
    own, moved = before.own.copy(), before.mean.copy()
    for block in blocks:
        block.add_pull(among, own_pull)
        block.add_moved(at_nodes, surprises)
        targets, places = block.targets, before.place[block.targets]
        own[targets[:, :, None], places[:, None, :]] -= block.weights @ block.own.swapaxes(1, 2)
        moved[targets] += (block.weights @ surprises[block.observations][:, :, None])[:, :, 0]
    inner = np.eye(width) + among if factor is None else np.eye(factor.shape[1]) + factor.T @ among @ factor
    size, turned = np.linalg.eigh(inner)
    root = turned / np.sqrt(size)
    left = (before.shared - (own_pull if factor is None else own_pull @ factor)) @ root
    pull = left @ (root if factor is None else factor @ root).T
    law = JointLaw(moved + pull @ at_nodes, left, own, before.block, before.place)
    return Posterior(law, tuple(blocks), pull, surprises)


def days_noted(law: JointLaw, rows: Whole, spreads_d: Floats) -> list[Blocks]:
    """Return observations of some days of a law, each of one of them give or take its spread, as blocks of it."""
    many = int(law.block.max(initial=-1)) + 1
    found = []
    for observations, targets in of_one_size((InBlocks.of(law.block[rows], many), InBlocks.of(law.block, many))):
        noted = rows[observations]
        system = law.own_between(noted, noted)
        here = np.arange(observations.shape[1])
        system[:, here, here] += spreads_d[observations] ** 2
        own = law.own_between(targets, noted)
        found.append(Blocks.of((observations, targets), None, law.shared[noted], system, own))
    return found
