"""Minimum of a parabola: against numpy, scipy, profiles of the squares, and its own coverage."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import optimize, stats

from zincite.errors import OutOfRangeError
from zincite.statistics.minimum import fit_parabola

RNG = np.random.default_rng(11)
X = np.repeat([1.0, 2.0, 3.0, 4.0, 5.0], 2)
Y = 6 + 0.15 * (X - 3.2) ** 2 + RNG.normal(0, 0.06, X.size)


def test_coefficients_and_covariance_are_numpys() -> None:
    """`numpy.polyfit` with its scaled covariance, an independent least squares."""
    found = fit_parabola(X, Y)
    rising, covariance = np.polyfit(X - X.mean(), Y, 2, cov=True)
    assert found.coefficients == pytest.approx(tuple(rising[::-1]))
    assert found.covariance == pytest.approx(covariance[::-1, ::-1])


def test_minimum_and_its_delta_interval_are_those_of_a_fit_of_the_vertex() -> None:
    """scipy's curve_fit of a + c (x - x0)^2 gives x0 with its linear standard error itself."""
    found = fit_parabola(X, Y)
    best, covariance = optimize.curve_fit(
        lambda x, a, c, x0: a + c * (x - x0) ** 2, X, Y, p0=(6, 0.1, 3)
    )
    assert found.minimum_x == pytest.approx(best[2], rel=1e-6)
    low, high = found.delta_interval(0.95)
    reach = stats.t.ppf(0.975, X.size - 3) * math.sqrt(covariance[2, 2])
    assert (high - low) / 2 == pytest.approx(reach, rel=1e-4)


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_profile_interval_is_where_the_squares_rise_by_f(confidence: float) -> None:
    """The profile by brute force: squares with the vertex held, found by numpy alone."""
    found = fit_parabola(X, Y)
    free = X.size - 3
    least = found.residual_sd**2 * free

    def squares(vertex: float) -> float:
        columns = np.column_stack([np.ones_like(X), (X - vertex) ** 2])
        _, left, *_ = np.linalg.lstsq(columns, Y, rcond=None)
        return float(left[0])

    limit = least * (1 + stats.f.ppf(confidence, 1, free) / free)
    ends = found.profile_interval(confidence)
    assert ends is not None
    assert ends[0] < found.minimum_x < ends[1]
    for end in ends:
        assert squares(end) == pytest.approx(limit, rel=1e-6)


def test_a_flat_curve_places_no_minimum() -> None:
    """Fieller: with the curvature within t standard errors of 0 no finite stretch remains."""
    y = 6 + np.tile([0.1, -0.1], 5) + 0.001 * (X - 3) ** 2
    found = fit_parabola(X, y)
    assert found.minimum_x is not None
    assert found.delta_interval() is not None
    assert found.profile_interval() is None


def test_a_curve_that_bends_down_has_no_minimum() -> None:
    found = fit_parabola(X, -Y)
    assert found.minimum_x is None
    assert found.delta_interval() is None
    assert found.profile_interval() is None


def test_the_profile_interval_covers_as_often_as_it_says() -> None:
    """1500 invented ladders: 90 % covered within 3 standard errors (0.77 %) of the count."""
    rng = np.random.default_rng(3)
    hits = 0
    for _ in range(1500):
        y = 0.2 * (X - 2.7) ** 2 + rng.normal(0, 0.1, X.size)
        ends = fit_parabola(X, y).profile_interval(0.9)
        hits += ends is not None and ends[0] <= 2.7 <= ends[1]
    assert hits / 1500 == pytest.approx(0.9, abs=3 * math.sqrt(0.09 / 1500))


def test_lack_of_fit_is_the_f_test_of_the_means() -> None:
    """By hand: between-level squares about the parabola against squares within the levels."""
    found = fit_parabola(X, Y)
    levels = np.unique(X)
    means = np.array([Y[level == X].mean() for level in levels])
    between = 2 * np.sum((means - found(levels)) ** 2) / (5 - 3)
    within = sum(np.sum((Y[level == X] - Y[level == X].mean()) ** 2) for level in levels) / 5
    assert found.lack_of_fit_p == pytest.approx(stats.f.sf(between / within, 2, 5))
    wave = fit_parabola(X, Y + np.repeat([0, 1.0, 0, 1.0, 0], 2))
    assert wave.lack_of_fit_p < 1e-3
    assert fit_parabola(X[::2], Y[::2]).lack_of_fit_p is None


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        ([1, 2, 3], [1, 2, 3], "3 points are there"),
        ([1, 1, 2, 2], [1, 2, 3, 4], "at 2 places"),
        ([1, 2, 3, 4], [1, math.nan, 2, 3], "not a finite number"),
        ([1, 2, 3, 4], [1, 2, 3], "expected at least 4 of x and y"),
    ],
)
def test_too_little_is_refused(x, y, words) -> None:
    with pytest.raises(OutOfRangeError, match=words):
        fit_parabola(x, y)
