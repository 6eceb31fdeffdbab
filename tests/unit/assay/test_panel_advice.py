"""How many more subjects, and whether the panel will reach its target."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.panel_advice import panel_advice, panel_probability
from zincite.statistics.intervals import half_width_percent


def _sample(n: int, cv_percent: float, mean: float = 30.0) -> np.ndarray:
    shape = np.linspace(-1.0, 1.0, n)
    return mean * (1.0 + 0.01 * cv_percent * shape / shape.std(ddof=1))


def test_total_at_the_present_scatter_by_hand() -> None:
    """CV 27 %: 17 sqrt(12)/2.201 = 26.8 misses, 17 sqrt(13)/2.179 = 28.1 meets: 13 subjects."""
    found = panel_advice(_sample(10, 27.0))
    assert not found.met
    assert (found.total_at_present_cv, found.more_at_present_cv) == (13, 3)
    assert "13 subjects meet the 17 % criterion, 3 more than now" in found.sentence


def test_a_panel_that_passes_needs_no_more() -> None:
    found = panel_advice(_sample(10, 23.0))
    assert found.met
    assert found.more_at_present_cv == 0
    assert found.chance_by_total == ((10, 1.0),)


def test_a_small_panel_needs_at_least_ten() -> None:
    found = panel_advice(_sample(5, 10.0))
    assert (found.total_at_present_cv, found.more_at_present_cv) == (10, 5)
    assert found.chance_by_total[0][0] == 10


def test_beyond_twenty_there_is_no_more() -> None:
    """Largest passing CV of 20 subjects is 36.3 %."""
    found = panel_advice(_sample(10, 45.0))
    assert found.total_at_present_cv is None
    assert "even 20 subjects miss" in found.sentence
    assert panel_advice(_sample(20, 45.0)).chance_by_total == ()
    assert "no more than 20 are permitted" in panel_advice(_sample(20, 45.0)).sentence


def test_two_subjects_say_too_little() -> None:
    found = panel_advice([30.0, 31.0])
    assert found.chance_by_total == ()
    assert "too little" in found.sentence


def test_chance_is_that_of_a_plain_simulation() -> None:
    """Second opinion, written out subject by subject."""
    sample = _sample(10, 27.0)
    rng = np.random.default_rng(11)
    by_13, runs = 0, 1500
    for _ in range(runs):
        sd = sample.std(ddof=1) * np.sqrt(9 / rng.chisquare(9))
        mean = rng.normal(sample.mean(), sd / np.sqrt(10))
        values = list(sample)
        for _ in range(3):
            values.append(rng.normal(mean, sd))
            if half_width_percent(values) <= 17.0:
                by_13 += 1
                break
    found = dict(panel_advice(sample).chance_by_total)
    # 0.05: four standard errors of the two simulations together
    assert found[13] == pytest.approx(by_13 / runs, abs=0.05)


@given(st.integers(3, 19), st.floats(5.0, 60.0), st.floats(0.1, 100.0))
def test_chances_rise_and_know_no_scale(n: int, cv: float, scale: float) -> None:
    base = panel_advice(_sample(n, cv))
    scaled = panel_advice(_sample(n, cv, mean=scale))
    chances = [chance for _, chance in base.chance_by_total]
    assert chances == sorted(chances)
    assert base.total_at_present_cv == scaled.total_at_present_cv
    assert [c for _, c in scaled.chance_by_total] == pytest.approx(chances, abs=2e-3)


def test_probability_of_one_draw_by_hand() -> None:
    """SPF 33, target 30, 10 subjects, CV 20 %: z = 3/(6.6/sqrt(10)) = 1.437, normal table 0.925."""
    found = panel_probability([33.0], 30.0)
    assert found.probability == pytest.approx(0.925, abs=5e-4)
    assert found.cv_assumed
    assert "(assumed)" in found.sentence
    assert not panel_probability([33.0], 30.0, cv_percent=20.0).cv_assumed


def test_probability_over_draws_is_a_wider_normal() -> None:
    """Closed form for normal draws and an absolute scatter, near the mean where both agree."""
    draws = 35.0 + 4.0 * norm.ppf((np.arange(4000) + 0.5) / 4000)
    expected = norm.cdf((35.0 - 30.0) / np.hypot(4.0, 35.0 * 0.15 / np.sqrt(12)))
    found = panel_probability(draws, 30.0, n=12, cv_percent=15.0)
    assert found.probability == pytest.approx(expected, abs=0.01)


def test_no_scatter_counts_draws() -> None:
    assert panel_probability([29.0, 30.0, 31.0, 32.0], 30.0, cv_percent=0.0).probability == 0.75


def test_bad_input_is_named() -> None:
    with pytest.raises(OutOfRangeError, match="not a list of SPF above 0"):
        panel_probability([30.0, -1.0], 30.0)
    with pytest.raises(OutOfRangeError, match="target SPF is 0"):
        panel_probability([30.0], 0.0)
    with pytest.raises(OutOfRangeError, match="number of subjects is 0"):
        panel_probability([30.0], 30.0, n=0)
    with pytest.raises(OutOfRangeError, match="scatter of subjects is -1 %"):
        panel_probability([30.0], 30.0, cv_percent=-1.0)
