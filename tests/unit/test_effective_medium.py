"""Mixing rules against their limits and published closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zincite.errors import OutOfRangeError
from zincite.physics.effective_medium import bruggeman, lorentz_lorenz_mix, maxwell_garnett

FRACTION = st.floats(0.0, 1.0)
EPSILON = st.builds(complex, st.floats(1.0, 10.0), st.floats(0.0, 6.0))


def test_lorentz_lorenz_of_one_is_that_one() -> None:
    np.testing.assert_allclose(lorentz_lorenz_mix([[1.40], [1.55]], [1.0]), [1.40, 1.55])


@given(st.floats(1.3, 1.6), st.floats(1.3, 1.6), FRACTION)
def test_lorentz_lorenz_stays_between(a: float, b: float, fraction: float) -> None:
    n = float(lorentz_lorenz_mix([a, b], [fraction, 1.0 - fraction]))
    assert min(a, b) - 1e-12 <= n <= max(a, b) + 1e-12


def test_lorentz_lorenz_adds_molar_refraction() -> None:
    """Definition, by hand: r = (n^2 - 1)/(n^2 + 2) is 0.25 for n = sqrt 2 and 0.4 for sqrt 3."""
    n = float(lorentz_lorenz_mix([2**0.5, 3**0.5], [0.5, 0.5]))
    assert (n**2 - 1) / (n**2 + 2) == pytest.approx((0.25 + 0.4) / 2)


@pytest.mark.parametrize(
    ("fraction", "match"),
    [([0.5, 0.4], "sum to 0.9, expected 1"), ([1.5, -0.5], "expected 0 to 1")],
)
def test_lorentz_lorenz_refuses(fraction: list[float], match: str) -> None:
    with pytest.raises(OutOfRangeError, match=match):
        lorentz_lorenz_mix([1.4, 1.5], fraction)


@given(EPSILON, EPSILON)
def test_pure_materials_come_back(a: complex, b: complex) -> None:
    for rule in (maxwell_garnett, bruggeman):
        assert complex(rule(a, b, 1.0)) == pytest.approx(a)
        assert complex(rule(a, b, 0.0)) == pytest.approx(b)


@given(EPSILON, EPSILON, FRACTION)
def test_bruggeman_solves_its_equation_and_absorbs(a: complex, b: complex, f: float) -> None:
    e = complex(bruggeman(a, b, f))
    assert e.imag >= -1e-12
    residual = f * (a - e) / (a + 2 * e) + (1 - f) * (b - e) / (b + 2 * e)
    assert abs(residual) < 1e-9
    assert complex(bruggeman(b, a, 1 - f)) == pytest.approx(e, rel=1e-9)


@given(st.floats(1.0, 10.0), st.floats(1.0, 10.0), FRACTION)
def test_bruggeman_lies_within_hashin_shtrikman(a: float, b: float, f: float) -> None:
    """Bounds of Hashin and Shtrikman 1962, J. Appl. Phys. 33, 3125; their lower is the host's."""
    bounds = sorted((maxwell_garnett(a, b, f).real, maxwell_garnett(b, a, 1 - f).real))
    e = bruggeman(a, b, f).real
    assert bounds[0] - 1e-9 <= e <= bounds[1] + 1e-9


def test_maxwell_garnett_is_the_hashin_shtrikman_bound() -> None:
    """Closed form of 1962: eh + f / (1/(ei - eh) + (1 - f)/(3 eh))."""
    ei, eh, f = 6.0, 2.1, 0.3
    closed = eh + f / (1 / (ei - eh) + (1 - f) / (3 * eh))
    assert maxwell_garnett(ei, eh, f) == pytest.approx(closed)


def test_bruggeman_percolates_at_one_third() -> None:
    """Landauer 1952, J. Appl. Phys. 23, 779: eb/(1 - 3 f) below a third for a perfect conductor."""
    assert bruggeman(1e12, 2.0, 0.2).real == pytest.approx(2.0 / (1 - 0.6), rel=1e-6)
    assert bruggeman(1e12, 2.0, 0.5).real == pytest.approx(1e12 * (3 * 0.5 - 1) / 2, rel=1e-6)


def test_rules_agree_when_dilute() -> None:
    """Clausius-Mossotti to first order in the fraction."""
    ei, eh, f = 4.0 + 1.5j, 2.1 + 0j, 1e-4
    first = eh * (1 + 3 * f * (ei - eh) / (ei + 2 * eh))
    assert complex(maxwell_garnett(ei, eh, f)) == pytest.approx(first, rel=1e-7)
    assert complex(bruggeman(ei, eh, f)) == pytest.approx(first, rel=1e-7)


def test_rules_broadcast() -> None:
    eps = np.full((4, 1), 5.0 + 1j)
    assert maxwell_garnett(eps, 2.0, np.linspace(0, 1, 3)).shape == (4, 3)
    assert bruggeman(eps, 2.0, np.linspace(0, 1, 3)).shape == (4, 3)


@pytest.mark.parametrize("rule", [maxwell_garnett, bruggeman])
def test_rules_refuse_impossible_fractions(rule) -> None:
    with pytest.raises(OutOfRangeError, match="expected 0 to 1"):
        rule(5.0, 2.0, 1.2)
