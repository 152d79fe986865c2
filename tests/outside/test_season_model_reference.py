"""The season model beside other implementations of the same arithmetic and a published worked example."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, DotProduct, Kernel, Matern

from firmripe.holding.fruit import Event
from firmripe.season import spreads
from firmripe.season.because import Evidence, Group
from firmripe.season.laws import Floats, Posterior
from firmripe.season.model import Observation, Occurrence, Weighed, condition, covariance

NOTE = Group.of(Evidence.EARLIER_SEASONS, Event.PICK, "1", "bosc")

SEEDS = range(12)
SCALES = (1.0, 0.6, 1.8)
"""How much years differ against the table of spreads."""
TREES = ("", "1", "2", "3", "4")
NAMES = ("pick", "full bloom", "leaf fall")
KINDS = ("bartlett", "bosc", "comice beside bartlett", "seckel")


def some_occurrence(rng: np.random.Generator) -> Occurrence:
    """Return an occurrence with any parts, one in five of them the usual day over the years."""
    kinds = rng.choice(KINDS, size=rng.integers(0, 3), replace=False)
    return Occurrence(
        day=float(rng.uniform(60, 320)),
        kin=(
            *((str(kind), float(rng.uniform(-20, 20))) for kind in kinds),
            (f"its own, {rng.integers(1_000_000_000)}", float(rng.uniform(1, 5))),
        ),
        tree=str(rng.choice(TREES)),
        name=str(rng.choice(NAMES)),
        year=None if rng.random() < 0.2 else int(rng.integers(2024, 2028)),
        is_autumn=bool(rng.random() < 0.25),
    )


def some_observation(rng: np.random.Generator, pool: Sequence[Occurrence], *, of_days_only: bool) -> Observation:
    """Return a note of a day of the pool, or of the days between two of them."""
    later = pool[rng.integers(len(pool))]
    earlier = None if of_days_only or rng.random() < 0.6 else pool[rng.integers(len(pool))]
    expected = later.day - (earlier.day if earlier else 0.0)
    return Observation(
        later=later,
        earlier=earlier,
        value=expected + float(rng.normal(0, 12)),
        spread_d=float(rng.uniform(0.5, 6)),
        group=NOTE,
    )


def some_problem(seed: int, *, of_days_only: bool = False) -> tuple[list[Occurrence], list[Observation]]:
    """Return targets and observations; some are about the same days, some repeat one another."""
    rng = np.random.default_rng(seed)
    pool = [some_occurrence(rng) for _ in range(25)]
    count = int(rng.integers(1, 40))
    observations = [some_observation(rng, pool, of_days_only=of_days_only) for _ in range(count)]
    observations.append(observations[0])
    return [*pool[:8], *(some_occurrence(rng) for _ in range(4))], observations


# Written from the definition of the deviations alone, one pair of days at a time.


def shared(first: Occurrence, second: Occurrence, year_scale: float) -> float:
    """Return the covariance of two days' deviations: the parts that they have in common.

    Autumn has nothing in common with spring and summer but the chance of one event, where both are the same.
    """
    same_event = first.year is not None and same(first, second, "tree", "year", "name")
    if first.is_autumn != second.is_autumn:
        return 2.0**2 if same_event else 0.0
    gap = abs(first.day - second.day)
    theirs = dict(second.kin)
    total = sum(own * theirs.get(kind, 0.0) for kind, own in first.kin)
    same_tree = first.tree == second.tree and first.tree != ""
    if same_tree:
        total += 2.0**2
    if first.year is not None and first.year == second.year:
        total += year_scale**2 * year_sd(first.day) * year_sd(second.day) * math.exp(-gap / 400)
        if same_tree:
            total += 1.5**2
    if same_event:
        total += 2.0**2
    return total


def same(first: Occurrence, second: Occurrence, *names: str) -> bool:
    """Say whether two days are alike in these parts."""
    return all(getattr(first, name) == getattr(second, name) for name in names)


def year_sd(day: float) -> float:
    """Return 7.5 days at season day 120, 5 at 240, in a line between, level outside."""
    return 7.5 - 2.5 * min(1.0, max(0.0, (day - 120) / 120))


def joint_law(
    targets: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float
) -> tuple[Floats, Floats, Floats]:
    """Return mean and covariance of targets and noted values together, and what was noted."""
    days = [*targets, *(o.later for o in observations), *(o.earlier or o.later for o in observations)]
    number, notes = len(targets), len(observations)
    combined = np.zeros((number + notes, len(days)))
    combined[:number, :number] = np.eye(number)
    for row, observation in enumerate(observations):
        combined[number + row, number + row] = 1.0
        if observation.earlier is not None:
            combined[number + row, number + notes + row] = -1.0
    between = np.array([[shared(one, other, year_scale) for other in days] for one in days])
    law = combined @ between @ combined.T
    law[number:, number:] += np.diag([o.spread_d**2 for o in observations])
    noted = np.array([o.value for o in observations])
    return combined @ np.array([d.day for d in days]), law, noted


def conditioned_densely(
    targets: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float
) -> tuple[Floats, Floats]:
    """Return mean and covariance of the targets by the block formula, with an explicit inverse."""
    mean, law, noted = joint_law(targets, observations, year_scale)
    number = len(targets)
    gain = law[:number, number:] @ np.linalg.inv(law[number:, number:])
    return mean[:number] + gain @ (noted - mean[number:]), law[:number, :number] - gain @ law[number:, :number]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("year_scale", SCALES)
def test_posterior_equals_dense_conditioning_by_definition(seed: int, year_scale: float) -> None:
    """Mean and covariance are those of a joint normal written out pair by pair."""
    targets, observations = some_problem(seed)
    result = condition(targets, observations, year_scale)
    mean, law = conditioned_densely(targets, observations, year_scale)
    assert np.allclose(result.mean, mean, rtol=0, atol=1e-8)
    assert np.allclose(result.covariance, law, rtol=0, atol=1e-8)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("year_scale", SCALES)
def test_notes_weighed_in_later_say_the_same_as_all_at_once(seed: int, year_scale: float) -> None:
    """Mean, covariance and weights are those of the joint normal, whichever notes come first, and however many."""
    targets, observations = some_problem(seed)
    rng = np.random.default_rng(seed)
    named = [replace(t, name=f"event {row}") for row, t in enumerate(targets)]
    later = [
        Observation(later=named[rng.integers(len(named))], value=float(rng.uniform(60, 320)), spread_d=1.5, group=NOTE)
        for _ in range(seed * 3)
    ]
    weighed = Weighed(named, observations, year_scale)
    result = weighed.more(named[2:9], later)
    mean, law = conditioned_densely(named[2:9], [*observations, *later], year_scale)
    assert np.allclose(result.mean, mean, rtol=0, atol=1e-8)
    assert np.allclose(result.spread_d, np.sqrt(np.diag(law)), rtol=0, atol=1e-6)

    whole = condition(named[2:9], [*observations, *later], year_scale).weights
    assert np.allclose(result.weights(), whole[:, len(observations) :], rtol=0, atol=1e-8)
    which = rng.random(len(observations)) < 0.5
    heard = weighed.heard(named[2:9], later, result.weights(), which)
    assert np.allclose(heard, np.abs(whole[:, : len(observations)][:, which]).sum(axis=1), rtol=0, atol=1e-7)


def test_a_note_weighed_in_later_is_never_sure() -> None:
    """A spread of 0 is refused there too, and an occurrence that is not known of is told apart."""
    targets, observations = some_problem(3)
    weighed = Weighed(targets[:4], observations, 1.0)
    with pytest.raises(ValueError, match="must be above 0"):
        weighed.more(targets[:2], [Observation(later=targets[0], value=100.0, spread_d=0.0, group=NOTE)])
    assert weighed.knows(targets[:4])
    assert not weighed.knows([replace(targets[0], day=targets[0].day + 1)])


@pytest.mark.parametrize("seed", SEEDS)
def test_a_tree_of_which_nothing_was_noted_learns_from_the_others(
    seed: int,
) -> None:
    """By definition too: it has a share in the years and in its kin."""
    targets, observations = some_problem(seed)
    unnoted = [replace(target, tree=tree) for target, tree in zip(targets, ("new", "newer"), strict=False)]
    result = condition([*targets, *unnoted], observations, 1.0)
    mean, law = conditioned_densely([*targets, *unnoted], observations, 1.0)
    assert np.allclose(result.mean, mean, rtol=0, atol=1e-8)
    assert np.allclose(result.covariance, law, rtol=0, atol=1e-8)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("year_scale", SCALES)
def test_posterior_density_is_joint_density_over_that_of_the_notes(seed: int, year_scale: float) -> None:
    """Bayes' rule holds at any point, with the densities of scipy."""
    targets, observations = some_problem(seed)
    targets = list(dict.fromkeys(targets))
    result = condition(targets, observations, year_scale)
    mean, law, noted = joint_law(targets, observations, year_scale)
    number = len(targets)
    point = result.mean + np.random.default_rng(seed).normal(0, 2, number)
    joint = stats.multivariate_normal(mean, law).logpdf(np.concatenate([point, noted]))
    notes = stats.multivariate_normal(mean[number:], law[number:, number:]).logpdf(noted)
    posterior = stats.multivariate_normal(result.mean, result.covariance).logpdf(point)
    assert posterior == pytest.approx(joint - notes, abs=1e-7)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("year_scale", SCALES)
def test_prior_covariance_is_the_sum_of_shared_parts(seed: int, year_scale: float) -> None:
    """Every entry of the covariance is what the two days have in common."""
    rng = np.random.default_rng(seed)
    rows, columns = [some_occurrence(rng) for _ in range(15)], [some_occurrence(rng) for _ in range(9)]
    expected = [[shared(row, column, year_scale) for column in columns] for row in rows]
    assert np.allclose(covariance(rows, columns, year_scale), expected, rtol=0, atol=1e-10)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("year_scale", SCALES)
def test_contributions_add_up_to_the_shift(seed: int, year_scale: float) -> None:
    """What each note moves a day by sums to the day's whole shift."""
    targets, observations = some_problem(seed)
    result = condition(targets, observations, year_scale)
    shift = result.mean - np.array([target.day for target in targets])
    assert np.allclose(result.contributions.sum(axis=1), shift, rtol=0, atol=1e-9)


# The same model in the parts of scikit-learn: equal marks are products of indicator columns.


class On(Kernel):  # type: ignore[misc]
    """A kernel that looks at some columns only."""

    def __init__(self, columns: slice, kernel: Kernel) -> None:
        self.columns = columns
        self.kernel = kernel

    def __call__(self, X: Floats, Y: Floats | None = None) -> Any:  # noqa: ANN401, N803
        """Return the covariance of rows with rows."""
        return self.kernel(X[:, self.columns], None if Y is None else Y[:, self.columns])

    def diag(self, X: Floats) -> Any:  # noqa: ANN401, N803
        """Return the variance of each row."""
        return self.kernel.diag(X[:, self.columns])

    def is_stationary(self) -> bool:
        """Say no: it is a product of columns."""
        return False


def columns_of(items: Sequence[Occurrence]) -> tuple[Floats, dict[str, slice]]:
    """Return one row of numbers for each item, and where in it each part stands."""
    kinds = sorted({kind for item in items for kind, _ in item.kin})
    trees = sorted({item.tree for item in items if item.tree})
    years = sorted({item.year for item in items if item.year is not None})
    tree_years = sorted({(i.tree, i.year) for i in items if i.tree and i.year is not None})
    events = sorted({(i.tree, i.year, i.name) for i in items if i.year is not None})
    blocks = {
        "day": [[item.day] for item in items],
        "kin": [[dict(item.kin).get(kind, 0.0) for kind in kinds] for item in items],
        "tree": [[item.tree == tree for tree in trees] for item in items],
        "year": [[(item.year == year) * year_sd(item.day) for year in years] for item in items],
        "tree-year": [[(i.tree, i.year) == pair for pair in tree_years] for i in items],
        "half": [[item.is_autumn, not item.is_autumn] for item in items],
        "event": [[(i.tree, i.year, i.name) == event for event in events] for i in items],
    }
    at, where = 0, {}
    for name, block in blocks.items():
        where[name] = slice(at, at + len(block[0]))
        at += len(block[0])
    return np.hstack([np.array(block, dtype=float) for block in blocks.values()]), where


def kernel_over(where: dict[str, slice], year_scale: float) -> Kernel:
    """Return the season model's covariance as a sum and product of scikit-learn's kernels."""

    def equal(part: str) -> Kernel:
        return On(where[part], DotProduct(sigma_0=0.0, sigma_0_bounds="fixed"))

    def fading(days: float) -> Kernel:
        return On(where["day"], Matern(length_scale=days, length_scale_bounds="fixed", nu=0.5))

    def variance(spread: float) -> Kernel:
        return ConstantKernel(spread**2, constant_value_bounds="fixed")

    in_common = (
        equal("kin")
        + variance(2.0) * equal("tree")
        + variance(year_scale) * equal("year") * fading(400)
        + variance(1.5) * equal("tree-year")
    )
    return in_common * equal("half") + variance(2.0) * equal("event")


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("year_scale", SCALES)
def test_posterior_equals_that_of_scikit_learn(seed: int, year_scale: float) -> None:
    """A Gaussian process regressor with the same kernel gives the same mean and covariance."""
    targets, observations = some_problem(seed, of_days_only=True)
    items = [*targets, *(observation.later for observation in observations)]
    table, where = columns_of(items)
    regressor = GaussianProcessRegressor(
        kernel_over(where, year_scale), alpha=np.array([o.spread_d**2 for o in observations]), optimizer=None
    )
    regressor.fit(table[len(targets) :], [o.value - o.later.day for o in observations])
    shift, law = regressor.predict(table[: len(targets)], return_cov=True)
    result = condition(targets, observations, year_scale)
    assert np.allclose(result.mean - [target.day for target in targets], shift, rtol=0, atol=1e-8)
    assert np.allclose(result.covariance, law, rtol=0, atol=1e-8)


# One unknown mean and notes of it.


def usual_day(day: float, spread_d: float) -> Occurrence:
    """Return a usual day of which one thing is unknown."""
    return Occurrence(day=day, kin=(("level", spread_d),), tree="", name="usual", year=None)


def noted(day: Occurrence, values: Sequence[float], spread_d: float) -> list[Observation]:
    """Return one note of the day for each value."""
    return [Observation(later=day, value=value, spread_d=spread_d, group=NOTE) for number, value in enumerate(values)]


def test_one_unknown_mean_gives_the_published_normal_normal_result() -> None:
    """25 notes that average 5.735 move a prior of 6.5 to 5.78."""
    # Johnson, Ott and Dogucu, Bayes Rules!, chapter 5: prior N(6.5, 0.4²), sigma 0.5, n 25, mean 5.735 gives
    # mean 5.78, variance 0.009411765 and standard deviation 0.09701425.
    mean = usual_day(6.5, 0.4)
    values = 5.735 + np.linspace(-1.2, 1.2, 25)
    result = condition([mean], noted(mean, values, 0.5))
    assert result.mean[0] == pytest.approx(5.78, abs=5e-7)
    assert result.covariance[0, 0] == pytest.approx(0.009411765, abs=5e-10)
    assert result.spread_d[0] == pytest.approx(0.09701425, abs=5e-9)


# The normal-normal update of the same chapter, with a printed date at 0 give or take 10 days, years that
# differ by 7 and own years that average 8 days late: weight n 10² / (n 10² + 7²), mean, its spread, and that
# with the 7 days of a year added in quadrature; worked out by hand.
OWN_YEARS = [(1, 0.6711, 5.37, 5.73, 9.05), (3, 0.8596, 6.88, 3.75, 7.94), (10, 0.9533, 7.63, 2.16, 7.33)]


@pytest.mark.parametrize("row", OWN_YEARS)
def test_own_years_outweigh_the_printed_date_as_they_add_up(
    monkeypatch: pytest.MonkeyPatch, row: tuple[int, float, float, float, float]
) -> None:
    """Own years pull the usual day by their weight, and next year's day stays as unsure as a year is."""
    count, weight, mean, spread, next_year = row
    for name in ("TREE_D", "TREE_YEAR_D", "NOISE_D"):
        monkeypatch.setattr(spreads, name, 0.0)
    monkeypatch.setattr(spreads, "YEAR_AT_BLOOM_D", 7.0)
    usual = usual_day(0.0, 10.0)
    years = [day_in(year) for year in range(2017, 2017 + count)]
    notes = [note for year in years for note in noted(year, [8.0], 1e-3)]
    result: Posterior = condition([usual, day_in(2027)], notes)
    assert result.mean[0] / 8 == pytest.approx(weight, abs=5e-5)
    assert result.mean == pytest.approx([mean, mean], abs=5e-3)
    assert result.spread_d == pytest.approx([spread, next_year], abs=5e-3)


def day_in(year: int) -> Occurrence:
    """Return the same event in one year."""
    return Occurrence(day=0.0, kin=(("level", 10.0),), tree="1", name="pick", year=year)
