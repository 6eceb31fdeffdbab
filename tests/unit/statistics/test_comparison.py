"""Comparison of groups: second opinions, identities and plain refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from zincite.errors import OutOfRangeError
from zincite.statistics.comparison import analyse_groups
from zincite.statistics.multiple import dunnett, probability_best, tukey

NAMES = ["a"] * 5 + ["b"] * 4 + ["c"] * 6


def _values(seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return np.repeat([10.0, 11.0, 12.5], [5, 4, 6]) + rng.normal(size=15)


@pytest.mark.parametrize("seed", range(3))
def test_one_way_is_that_of_scipy(seed: int) -> None:
    values = _values(seed)
    samples = [values[:5], values[5:9], values[9:]]
    found = analyse_groups(values, NAMES)
    f, p = stats.f_oneway(*samples)
    assert (found.rows[0].f, found.group_p) == pytest.approx((f, p), rel=1e-9)
    normal, alike = found.checks
    residuals = np.concatenate([sample - sample.mean() for sample in samples])
    assert normal.p == pytest.approx(stats.shapiro(residuals).pvalue, rel=1e-6)
    assert alike.p == pytest.approx(stats.levene(*samples).pvalue, rel=1e-9)
    assert found.rank_p == pytest.approx(stats.kruskal(*samples).pvalue, rel=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_intervals_of_unequal_groups_are_those_of_scipy(seed: int) -> None:
    values = _values(seed)
    samples = [values[:5], values[5:9], values[9:]]
    found = analyse_groups(values, NAMES)
    result = stats.tukey_hsd(*samples)
    bounds = result.confidence_interval(0.90)
    for pair, (i, j) in zip(tukey(found, 0.90), [(0, 1), (0, 2), (1, 2)], strict=True):
        assert pair.p == pytest.approx(result.pvalue[i, j], abs=1e-9)
        assert (pair.low, pair.high) == pytest.approx((bounds.low[i, j], bounds.high[i, j]))
    reference = stats.dunnett(*samples[1:], control=samples[0], rng=np.random.default_rng(1))
    limits = reference.confidence_interval(0.95)
    for pair, p, low, high in zip(
        dunnett(found, "a"), reference.pvalue, limits.low, limits.high, strict=True
    ):
        assert pair.second == "a"
        assert pair.p == pytest.approx(p, abs=5e-4)
        assert (pair.low, pair.high) == pytest.approx((low, high), abs=0.01)


def test_a_block_takes_its_shift_out() -> None:
    """Days that differ by 50 must not blur grades that differ by 2 (by hand: exact differences)."""
    day = np.tile([0.0, 50.0, 100.0], 3)
    noise = np.array([0.1, -0.1, 0.0, -0.1, 0.0, 0.1, 0.0, 0.1, -0.1])
    values = np.repeat([10.0, 12.0, 14.0], 3) + day + noise
    grades = np.repeat(["a", "b", "c"], 3).tolist()
    days = ["Mon", "Tue", "Wed"] * 3
    assert analyse_groups(values, grades).group_p > 0.9
    found = analyse_groups(values, grades, days)
    assert found.group_p < 1e-4
    np.testing.assert_allclose(found.means, [60.0, 62.0, 64.0], atol=1e-9)
    rows = values.reshape(3, 3)
    assert found.rank_p == pytest.approx(stats.friedmanchisquare(*rows).pvalue)


def test_a_missing_cell_is_made_up_for_by_its_block() -> None:
    """Grade c misses the high day: its raw mean is 10 too low, its adjusted mean is not."""
    values = [0.0, 20.0, 1.1, 20.9, 2.0]
    found = analyse_groups(values, ["a", "a", "b", "b", "c"], ["1", "2", "1", "2", "1"])
    # by hand: a and b give the days 0.55 and 20.45; c misses the second, +19.9, half of it counts
    np.testing.assert_allclose(found.means, [10.0, 11.0, 2.0 + 19.9 / 2], atol=1e-9)


def test_one_block_is_no_block() -> None:
    values = _values(0)
    plain, blocked = analyse_groups(values, NAMES), analyse_groups(values, NAMES, ["x"] * 15)
    assert blocked.blocks == ()
    assert blocked.group_p == plain.group_p


def test_doubts_are_raised() -> None:
    rng = np.random.default_rng(4)
    skewed = np.exp(2.0 * rng.normal(size=40))
    names = ["a"] * 20 + ["b"] * 20
    assert analyse_groups(skewed, names).checks[0].doubted
    uneven = np.concatenate([rng.normal(size=20), 10 * rng.normal(size=20)])
    assert analyse_groups(uneven, names).checks[1].doubted
    growth = np.outer([1.0, 2.0, 3.0], [1.0, 4.0, 9.0, 16.0]).ravel() + rng.normal(size=12) / 100
    blocked = analyse_groups(growth, np.repeat(list("abc"), 4).tolist(), list("1234") * 3)
    assert blocked.checks[2].doubted


def test_two_values_a_group_are_too_few_for_levene() -> None:
    found = analyse_groups([1.0, 2.0, 3.0, 5.0], ["a", "a", "b", "b"])
    assert found.checks[1].p is None
    assert not found.checks[1].doubted


def test_best_of_two_is_a_t_probability() -> None:
    """Closed form for two groups: the t distribution of the standardised difference."""
    values = [10.0, 11.0, 12.0, 11.5, 12.5, 13.0]
    found = analyse_groups(values, ["a"] * 3 + ["b"] * 3)
    t = (found.means[1] - found.means[0]) / found.difference_sd(0, 1)
    expected = stats.t.cdf(t, found.residual_df)
    chances = probability_best(found)
    assert chances.sum() == pytest.approx(1.0)
    assert chances[1] == pytest.approx(expected, abs=0.01)  # three errors of 20 000 draws
    assert probability_best(found, larger_is_better=False)[0] == chances[1]
    assert np.array_equal(probability_best(found, seed=7), probability_best(found, seed=7))


@given(st.floats(0.01, 100.0), st.floats(-1000.0, 1000.0), st.permutations(range(15)))
def test_verdicts_know_no_scale_no_zero_and_no_order(
    factor: float, shift: float, order: list[int]
) -> None:
    values = _values(1)
    base = analyse_groups(values, NAMES)
    changed = analyse_groups(factor * values[order] + shift, [NAMES[i] for i in order])
    assert changed.group_p == pytest.approx(base.group_p, rel=1e-5)
    place = [changed.groups.index(name) for name in base.groups]
    np.testing.assert_allclose(
        changed.means[place], factor * base.means + shift, rtol=1e-7, atol=1e-7
    )
    assert changed.residual_sd == pytest.approx(factor * base.residual_sd, rel=1e-5)


def test_bad_input_is_named() -> None:
    with pytest.raises(OutOfRangeError, match="3 values, 2 group names are given"):
        analyse_groups([1.0, 2.0, 3.0], ["a", "b"])
    with pytest.raises(OutOfRangeError, match="and 1 block names"):
        analyse_groups([1.0, 2.0], ["a", "b"], ["x"])
    with pytest.raises(OutOfRangeError, match="not a finite number"):
        analyse_groups([1.0, np.nan, 2.0], ["a", "a", "b"])
    with pytest.raises(OutOfRangeError, match="1 group is given"):
        analyse_groups([1.0, 2.0], ["a", "a"])
    with pytest.raises(OutOfRangeError, match="expected repeats"):
        analyse_groups([1.0, 2.0], ["a", "b"])
    with pytest.raises(OutOfRangeError, match="exactly equal"):
        analyse_groups([1.1, 1.1, 2.3, 2.3], ["a", "a", "b", "b"])
    with pytest.raises(OutOfRangeError, match="do not share enough blocks"):
        analyse_groups([1.0, 2.0, 3.0, 4.0], ["a", "a", "b", "b"], ["1", "1", "2", "2"])
    found = analyse_groups(_values(0), NAMES)
    with pytest.raises(OutOfRangeError, match="control 'z' is not among the groups"):
        dunnett(found, "z")
    with pytest.raises(OutOfRangeError, match="confidence is 1"):
        tukey(found, 1.0)
    with pytest.raises(OutOfRangeError, match="number of draws is 0"):
        probability_best(found, draws=0)
