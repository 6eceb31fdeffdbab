"""Flow curves: models of known parameters, intervals that cover, hand interpolation."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.flow import evaluate_flow

RATES = np.geomspace(0.1, 500.0, 20)


@given(st.floats(0.05, 50.0), st.floats(0.2, 1.2))
def test_exact_power_law_is_found_and_has_no_yield_stress(k: float, n: float) -> None:
    found = evaluate_flow(RATES, stress_Pa=k * RATES**n)
    assert found.power_law.consistency_Pa_s_n.value == pytest.approx(k, rel=1e-9)
    assert found.power_law.exponent.value == pytest.approx(n, rel=1e-9)
    assert found.chosen == "power law"


@given(st.floats(1.0, 50.0), st.floats(0.2, 20.0), st.floats(0.3, 0.9))
def test_exact_herschel_bulkley_is_found(stress0: float, k: float, n: float) -> None:
    found = evaluate_flow(RATES, stress_Pa=stress0 + k * RATES**n)
    fit = found.herschel_bulkley
    assert fit is not None
    assert fit.yield_stress_Pa is not None
    assert fit.yield_stress_Pa.value == pytest.approx(stress0, rel=1e-4)
    assert fit.consistency_Pa_s_n.value == pytest.approx(k, rel=1e-4)
    assert fit.exponent.value == pytest.approx(n, rel=1e-4)
    assert found.chosen == "Herschel-Bulkley"
    assert found.valid


def test_power_law_interval_is_that_of_linear_regression() -> None:
    """scipy.stats.linregress on the logarithms; t(0.975; 18) = 2.101 (tables)."""
    random = np.random.default_rng(3)
    stress = 4.0 * RATES**0.4 * np.exp(0.05 * random.normal(size=20))
    line = linregress(np.log(RATES), np.log(stress))
    fit = evaluate_flow(RATES, stress_Pa=stress).power_law
    assert fit.exponent.value == pytest.approx(line.slope)
    assert fit.exponent.high - fit.exponent.value == pytest.approx(2.101 * line.stderr, rel=3e-4)
    reach = math.log(fit.consistency_Pa_s_n.high / fit.consistency_Pa_s_n.value)
    assert reach == pytest.approx(2.101 * line.intercept_stderr, rel=3e-4)


def test_intervals_cover_and_false_yield_stresses_are_rare() -> None:
    """95 % intervals and a 5 % F test, 200 curves with 3 % noise; three standard errors of 200."""
    random = np.random.default_rng(20)
    covered = false = 0
    for _ in range(200):
        noise = np.exp(0.03 * random.normal(size=20))
        fit = evaluate_flow(RATES, stress_Pa=(5 + 3 * RATES**0.5) * noise).herschel_bulkley
        covered += fit.yield_stress_Pa.low <= 5 <= fit.yield_stress_Pa.high
        false += evaluate_flow(RATES, stress_Pa=3 * RATES**0.5 * noise).chosen != "power law"
    assert covered / 200 == pytest.approx(0.95, abs=0.047)
    assert false / 200 <= 0.05 + 0.047


def test_viscosity_at_stated_rates_by_hand() -> None:
    """1000 mPa s at 1 and 250 at 16 1/s: halved for each factor 4, so 500 at 4 1/s."""
    found = evaluate_flow(
        [1.0, 16.0, 256.0], viscosity_mPas=[1000.0, 250.0, 62.5], at_shear_rates_1_s=[4, 16, 300]
    )
    assert found.viscosity_mPas["4"] == pytest.approx(500)
    assert found.viscosity_mPas["16"] == pytest.approx(250)
    assert found.viscosity_mPas["300"] is None
    assert "viscosity at 300 1/s lies outside" in found.notes[0]
    assert found.herschel_bulkley is None
    json.dumps(found.to_dict(), allow_nan=False)


def test_stress_and_viscosity_are_the_same_curve() -> None:
    stress = 5 + 3 * RATES**0.5
    one = evaluate_flow(RATES, stress_Pa=stress)
    other = evaluate_flow(RATES[::-1], viscosity_mPas=(1e3 * stress / RATES)[::-1])
    assert other.viscosity_mPas == pytest.approx(one.viscosity_mPas)
    assert other.herschel_bulkley.yield_stress_Pa.value == pytest.approx(5, rel=1e-6)


def test_up_and_down_ramps_are_averaged() -> None:
    rate = [1.0, 10.0, 100.0, 100.0, 10.0, 1.0]
    found = evaluate_flow(
        rate, viscosity_mPas=[400, 200, 50, 50, 200, 100], at_shear_rates_1_s=[1.0]
    )
    assert found.viscosity_mPas["1"] == pytest.approx(200)  # geometric mean of 400 and 100


def test_newtonian_oil() -> None:
    found = evaluate_flow(RATES, viscosity_mPas=np.full(20, 50.0))
    assert found.power_law.exponent.value == pytest.approx(1.0)
    assert found.power_law.consistency_Pa_s_n.value == pytest.approx(0.05)
    assert found.chosen == "power law"


def test_curve_that_no_model_describes_is_not_valid() -> None:
    stress = 3 * RATES**0.5 * np.where(np.arange(20) % 2, 2.0, 0.5)
    found = evaluate_flow(RATES, stress_Pa=stress)
    assert not found.valid
    assert "neither model describes" in found.reasons[0]


@pytest.mark.parametrize(
    ("rate", "stress", "sentence"),
    [
        ([1.0, 2.0], [1.0, 2.0], "at least 3"),
        ([1.0, 2.0, 3.0], [1.0, 2.0], "3 shear rates and 2 values"),
        ([1.0, 1.0, 2.0], [1.0, 2.0, 3.0], "fewer than 3 different shear rates"),
        ([0.0, 1.0, 2.0], [1.0, 2.0, 3.0], "shear rate 0 found in row 1"),
        ([1.0, 2.0, 3.0], [1.0, math.nan, 3.0], "stress or viscosity nan found in row 2"),
        ([1.0, 2.0, 3.0], [1.0, 2.0, -3.0], "stress or viscosity -3 found in row 3"),
    ],
)
def test_impossible_curves_get_one_sentence(rate, stress, sentence) -> None:
    with pytest.raises(OutOfRangeError, match=sentence):
        evaluate_flow(rate, stress_Pa=stress)


def test_exactly_one_of_stress_and_viscosity() -> None:
    with pytest.raises(OutOfRangeError, match="found neither"):
        evaluate_flow(RATES)
    with pytest.raises(OutOfRangeError, match="found both"):
        evaluate_flow(RATES, stress_Pa=RATES, viscosity_mPas=RATES)
    with pytest.raises(OutOfRangeError, match="shear rate is -1"):
        evaluate_flow(RATES, stress_Pa=RATES, at_shear_rates_1_s=[-1.0])
