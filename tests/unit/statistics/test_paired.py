"""Paired differences against a published table and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from zincite.errors import OutOfRangeError
from zincite.statistics.paired import paired_difference

SLEEP_FIRST = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
SLEEP_SECOND = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]
"""Hours of sleep gained with two drugs, Student (1908), Biometrika 6, 1."""


def test_student_sleep_data() -> None:
    """Student (1908): mean difference 1.58, sd 1.17 (with n; 1.23 with n - 1), t = 4.06 with 9."""
    found = paired_difference(SLEEP_FIRST, SLEEP_SECOND)
    assert found.mean == pytest.approx(1.58, abs=0.005)
    assert found.sd * np.sqrt(0.9) == pytest.approx(1.17, abs=0.005)
    t = found.mean / (found.sd / np.sqrt(10))
    assert t == pytest.approx(4.06, abs=0.005)
    reference = stats.ttest_rel(SLEEP_SECOND, SLEEP_FIRST)
    bounds = reference.confidence_interval(0.95)
    assert found.p == pytest.approx(reference.pvalue)
    assert (found.low, found.high) == pytest.approx((bounds.low, bounds.high))


@given(
    st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=2, max_size=9),
    st.floats(-100, 100),
)
def test_a_common_shift_of_a_pair_changes_nothing(
    pairs: list[tuple[float, float]], shift: float
) -> None:
    before, after = np.array(pairs).T
    base, moved = paired_difference(before, after), paired_difference(before + shift, after + shift)
    assert moved.mean == pytest.approx(base.mean, abs=1e-9)
    assert moved.high - moved.low == pytest.approx(base.high - base.low, abs=1e-9)
    back = paired_difference(after, before)
    assert (back.low, back.high) == pytest.approx((-base.high, -base.low), abs=1e-9)


def test_equal_changes_are_certain() -> None:
    assert paired_difference([1.0, 2.0], [2.0, 3.0]).p == 0.0
    assert paired_difference([1.0, 2.0], [1.0, 2.0]).p == 1.0


def test_bad_input_is_named() -> None:
    with pytest.raises(OutOfRangeError, match="one of each for every pair"):
        paired_difference([1.0, 2.0], [1.0])
    with pytest.raises(OutOfRangeError, match="at least 2"):
        paired_difference([1.0], [1.0])
