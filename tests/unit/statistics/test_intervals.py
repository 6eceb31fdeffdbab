"""Intervals of a mean against printed tables and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zincite.errors import OutOfRangeError
from zincite.statistics.intervals import (
    half_width_percent,
    largest_passing_cv_percent,
    lower_limit,
    mean_interval,
    student_t_quantile,
    upper_limit,
)

SAMPLES = st.lists(st.floats(1.0, 100.0), min_size=2, max_size=20)


@pytest.mark.parametrize(
    ("probability", "degrees_of_freedom", "printed"),
    [
        # Student's t table of the NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2
        (0.975, 9, 2.262),
        (0.975, 19, 2.093),
        (0.95, 9, 1.833),
        (0.95, 19, 1.729),
        (0.90, 9, 1.383),
        (0.90, 19, 1.328),
        (0.975, 1, 12.706),
        (0.975, 4, 2.776),
    ],
)
def test_t_quantiles_of_the_printed_table(
    probability: float, degrees_of_freedom: int, printed: float
) -> None:
    assert student_t_quantile(probability, degrees_of_freedom) == pytest.approx(printed, abs=5e-4)


def test_interval_by_hand() -> None:
    """4, 6, 8: mean 6, sd sqrt((4 + 0 + 4)/2) = 2, t(0.975; 2) = 4.303, reach 4.303 x 2/sqrt(3)."""
    found = mean_interval([4.0, 6.0, 8.0])
    assert (found.mean, found.sd, found.n) == (6.0, 2.0, 3)
    assert found.half_width == pytest.approx(4.303 * 2 / math.sqrt(3), abs=1e-3)
    assert found.cv_percent == pytest.approx(100 / 3)
    assert half_width_percent([4.0, 6.0, 8.0]) == pytest.approx(82.81, abs=0.01)


def test_one_sided_limits_by_hand() -> None:
    """t(0.90; 2) = 1.886 (same table): 6 -/+ 1.886 x 2/sqrt(3) = 3.822 and 8.178."""
    assert lower_limit([4.0, 6.0, 8.0], 0.90) == pytest.approx(3.822, abs=1e-3)
    assert upper_limit([4.0, 6.0, 8.0], 0.90) == pytest.approx(8.178, abs=1e-3)


@given(SAMPLES, st.floats(0.01, 100.0), st.randoms())
def test_relative_width_knows_no_scale_and_no_order(
    values: list[float], factor: float, random: object
) -> None:
    base = half_width_percent(values)
    mixed = list(values)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    assert half_width_percent(mixed) == pytest.approx(base, abs=1e-6)
    scaled = half_width_percent([factor * value for value in values])
    assert scaled == pytest.approx(base, abs=1e-6)


@given(st.integers(2, 30), st.floats(1.0, 60.0))
def test_largest_passing_cv_is_where_the_width_meets_the_limit(n: int, limit: float) -> None:
    cv = largest_passing_cv_percent(n, limit)
    sample = np.linspace(-1.0, 1.0, n)
    sample = 100.0 + cv * sample / sample.std(ddof=1)
    assert half_width_percent(sample) == pytest.approx(limit, rel=1e-9)


def test_equal_values_have_no_width() -> None:
    assert mean_interval([0.1] * 7).half_width == 0.0


def test_bad_input_is_named() -> None:
    with pytest.raises(OutOfRangeError, match="at least 2 for an interval"):
        mean_interval([5.0])
    with pytest.raises(OutOfRangeError, match="not a finite number"):
        mean_interval([5.0, math.inf])
    with pytest.raises(OutOfRangeError, match=r"confidence is 1\.5, expected between 0 and 1"):
        mean_interval([5.0, 6.0], 1.5)
    with pytest.raises(OutOfRangeError, match="confidence is 0"):
        lower_limit([5.0, 6.0], 0.0)
    with pytest.raises(OutOfRangeError, match="probability is 1"):
        student_t_quantile(1.0, 5)
    with pytest.raises(OutOfRangeError, match="degrees of freedom are 0"):
        student_t_quantile(0.9, 0)
    with pytest.raises(OutOfRangeError, match="mean is 0, expected above 0"):
        half_width_percent([-1.0, 1.0])
    with pytest.raises(OutOfRangeError, match="number of values is 1"):
        largest_passing_cv_percent(1, 17.0)
    with pytest.raises(OutOfRangeError, match="largest half width is 0 %"):
        largest_passing_cv_percent(10, 0.0)
