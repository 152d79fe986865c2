"""The season model on open records of bloom, every year foretold from earlier years only."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

from backtest import Score, blueberry, cherries, foretell, from_own_years, noted, swiss, washington

SAMPLE = 6
"""Every sixth of the Swiss places' years is enough here; the script takes all."""
LEAST_HELD, MOST_HELD = 0.75, 0.88
"""An 80 % window that is neither too narrow nor uselessly wide."""


@pytest.fixture(scope="module")
def swiss_scores() -> Mapping[int, Score]:
    """Return how Swiss cherry bloom was foretold, by the number of own years."""
    return {years: Score.of(swiss(years, one_in=SAMPLE)) for years in (0, 1, 2, 3, 5)}


# Source of the Swiss records: MeteoSwiss, cherry bloom at 164 places, 1951-2023.


@pytest.mark.parametrize("years", [0, 1, 2, 3, 5])
def test_swiss_bloom_falls_into_the_window_about_four_times_in_five(
    swiss_scores: Mapping[int, Score], years: int
) -> None:
    """With and without own years the 80 % window holds its share of the days."""
    assert swiss_scores[years].count > 600
    assert LEAST_HELD <= swiss_scores[years].held <= MOST_HELD


def test_swiss_bloom_is_foretold_better_with_each_own_year(swiss_scores: Mapping[int, Score]) -> None:
    """The error falls and the window narrows as own years add to the printed dates of other places."""
    errors = [swiss_scores[years].rmse_d for years in (0, 1, 3, 5)]
    spreads = [swiss_scores[years].spread_d for years in (0, 1, 3, 5)]
    assert errors == sorted(errors, reverse=True)
    assert spreads == sorted(spreads, reverse=True)
    assert errors[0] - errors[-1] > 1.0


@pytest.mark.parametrize(("years", "days"), [(1, 1.0), (2, 0.4), (3, 0.2), (5, 0.0)])
def test_swiss_bloom_is_foretold_better_than_by_the_mean_of_the_own_years(
    swiss_scores: Mapping[int, Score], years: int, days: float
) -> None:
    """The fewer the own years, the more the printed dates of other places are worth."""
    score = swiss_scores[years]
    assert score.plain_rmse_d - score.rmse_d > days


# Source: US Environmental Protection Agency and National Park Service, peak bloom at the Tidal Basin, 1921-2026.


@pytest.mark.parametrize("years", [1, 3, 10])
def test_washington_bloom_is_foretold_from_own_years_alone(years: int) -> None:
    """Where nothing is printed the model is as good as the mean of the own years, and its window is wide enough."""
    # Years differ less there (7.1 days) than at the Swiss places (9.0), so that the window holds more than 80 %.
    score = Score.of(washington(years))
    assert score.count > 90
    assert score.rmse_d <= score.plain_rmse_d + 0.1
    assert LEAST_HELD <= score.held <= 0.95


# Source: highbush blueberry at Harvard Forest, Petersham, Massachusetts, 1990-2001, from pyPhenology, with PRISM's
# temperatures.


def test_heat_narrows_the_window_and_the_error_of_bloom() -> None:
    """With the season's heat counted in, blueberry bloom is foretold within two days, not within six."""
    without, with_heat = Score.of(blueberry(with_heat=False)), Score.of(blueberry(with_heat=True))
    assert without.count == with_heat.count == 9
    assert with_heat.rmse_d < 2
    assert without.rmse_d > 5
    assert with_heat.spread_d < without.spread_d / 3
    assert with_heat.held >= 7 / 9


def test_what_came_later_is_not_looked_at() -> None:
    """A year is foretold alike whatever came in it and after it."""
    (series,) = cherries("cherry_bloom_washington_dc.csv")
    own = series.before(1990, 5)
    assert list(own) == [1985, 1986, 1987, 1988, 1989]
    prior = from_own_years(own)
    notes = noted(prior, "1", own)
    first, second = (foretell(prior, notes, own, came, 1990) for came in (60, 120))
    assert second.error_d - first.error_d == -60
    assert first.spread_d == second.spread_d
