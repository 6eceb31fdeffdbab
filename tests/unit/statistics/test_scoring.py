"""Scores of predictions against closed forms and brute force."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.stats import norm

from zincite.errors import OutOfRangeError
from zincite.statistics.scoring import (
    central_interval,
    crps,
    interval_coverage,
    probability_integral_transform,
)

NUMBERS = st.floats(-100, 100)


def _normal_crps(z: float) -> float:
    """Return the closed form for N(0, 1): Gneiting & Raftery (2007), JASA 102, 359, sec. 4.2."""
    return float(z * (2 * norm.cdf(z) - 1) + 2 * norm.pdf(z) - 1 / np.sqrt(np.pi))


@pytest.mark.parametrize("z", [-3.0, -0.7, 0.0, 0.4, 2.5])
def test_normal_ensemble_meets_the_closed_form(z: float) -> None:
    m = 4000
    draws = norm.ppf((np.arange(m) + 0.5) / m)  # the most even sample of a normal
    assert crps(draws, z, form="empirical") == pytest.approx(_normal_crps(z), abs=5e-4)
    shifted = crps(12.0 + 3.0 * draws, 12.0 + 3.0 * z, form="empirical")
    assert shifted == pytest.approx(3.0 * _normal_crps(z), abs=1.5e-3)


def test_fair_form_is_unbiased_for_few_draws() -> None:
    """Ferro (2014), Q. J. R. Meteorol. Soc. 140, 1917: no penalty for a small ensemble."""
    draws = np.random.default_rng(3).standard_normal((4, 200_000))
    fair = float(crps(draws, np.full(200_000, 0.5)).mean())
    empirical = float(crps(draws, np.full(200_000, 0.5), form="empirical").mean())
    assert fair == pytest.approx(_normal_crps(0.5), abs=4e-3)
    # the closed form of the bias: E|X - X'| / (2 m), with E|X - X'| = 2 / sqrt(pi)
    assert empirical - fair == pytest.approx(1 / (np.sqrt(np.pi) * 4), abs=4e-3)


@given(arrays(np.float64, st.tuples(st.integers(2, 9), st.just(3)), elements=NUMBERS))
def test_crps_is_the_double_sum(draws: np.ndarray) -> None:
    """The definition, written out over all pairs."""
    observed = np.array([-1.0, 0.0, 50.0])
    m = draws.shape[0]
    pairs = np.abs(draws[:, None] - draws[None]).sum(axis=(0, 1))
    first = np.abs(draws - observed).mean(axis=0)
    for form, divisor in (("empirical", m * m), ("fair", m * (m - 1))):
        expected = first - 0.5 * pairs / divisor
        np.testing.assert_allclose(crps(draws, observed, form=form), expected, atol=1e-9)


@given(arrays(np.float64, 7, elements=NUMBERS), NUMBERS, st.floats(0.01, 50), st.randoms())
def test_crps_scales_and_ignores_order(
    draws: np.ndarray, observed: float, factor: float, random: object
) -> None:
    base = float(crps(draws, observed))
    mixed = draws.copy()
    random.shuffle(mixed)  # type: ignore[attr-defined]
    assert float(crps(mixed, observed)) == pytest.approx(base, abs=1e-9)
    assert float(crps(factor * draws, factor * observed)) == pytest.approx(factor * base, abs=1e-6)


def test_a_single_draw_scores_its_distance() -> None:
    assert crps([3.0], 5.0, form="empirical") == 2.0


def test_coverage_counts_bounds_as_inside() -> None:
    draws = np.tile(np.arange(1.0, 10.0)[:, None], (1, 4))
    found = interval_coverage(draws, [1.0, 9.0, 0.99, 9.5], level=0.8)
    assert found.inside.tolist() == [True, True, False, False]
    assert found.share == 0.5
    assert found.mean_width == pytest.approx(8.0)


def test_honest_predictions_cover_as_promised_and_have_a_flat_transform() -> None:
    rng = np.random.default_rng(5)
    centre = rng.normal(size=4000)
    draws = centre + rng.normal(size=(199, 4000))
    observed = centre + rng.normal(size=4000)
    # 199 draws leave 200 places of equal chance; three standard errors of a share of 0.9
    # in 4000 are 0.014
    assert interval_coverage(draws, observed).share == pytest.approx(0.90, abs=0.014)
    shares = np.histogram(probability_integral_transform(draws, observed), 10, (0, 1))[0] / 4000
    np.testing.assert_allclose(shares, 0.1, atol=0.018)  # four standard errors


def test_transform_of_ties_and_extremes() -> None:
    assert probability_integral_transform([1.0, 1.0, 1.0], 1.0) == 0.5
    low, high = probability_integral_transform([[1.0, 1.0]] * 4, [0.0, 2.0])
    assert (low, high) == (0.1, 0.9)


def test_bad_input_is_named() -> None:
    with pytest.raises(OutOfRangeError, match="holds 1 draws, expected at least 2"):
        crps([1.0], 1.0)
    with pytest.raises(OutOfRangeError, match=r"expected \(n_draws, \.\.\.\)"):
        crps(np.ones((5, 2)), [1.0, 2.0, 3.0])
    with pytest.raises(OutOfRangeError, match="not a finite number"):
        crps([1.0, np.nan], 1.0)
    with pytest.raises(OutOfRangeError, match="expected 'fair'"):
        crps([1.0, 2.0], 1.0, form="other")  # type: ignore[arg-type]
    with pytest.raises(OutOfRangeError, match="level of an interval is 1"):
        central_interval([1.0, 2.0], 1.0)
    with pytest.raises(OutOfRangeError, match="no measured value"):
        interval_coverage(np.ones((5, 0)), [])
