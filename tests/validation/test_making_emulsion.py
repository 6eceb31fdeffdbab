"""Emulsion relations against the numbers that the trade relations state, and closed forms.

Tolerances are half a unit of the last printed digit unless a comment says otherwise.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from zincite.errors import OutOfRangeError
from zincite.physics.colloids import (
    diffusion_m2_s,
    emulsifier_need_kg_m3,
    hindrance,
    laplace_pressure_Pa,
    osmotic_pressure_Pa,
    peclet_number,
    ripening_rate_m3_s,
    stokes_velocity_m_s,
    yield_stress_to_hold_Pa,
)
from zincite.physics.droplets import d32_from_energy_um, d32_from_flow_m, weber_number
from zincite.physics.emulsion_rheology import (
    calibrated_packing,
    calibrated_phi100,
    pal_viscosity,
    phi100_viscosity,
    yaron_gal_or_viscosity,
)
from zincite.physics.rheology import krieger_dougherty

MM_A_DAY = 86400e3
"""From m/s."""
ZNO_IN_CCT = 5606.0 - 945.0
"""Zinc oxide (trade source S07) less caprylic/capric triglyceride (S12). [kg/m3]"""

ratios = st.floats(0.0, 1e4)
fractions = st.floats(1e-4, 0.72)


# --- viscosity -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("phi", "tight", "loose"),
    [(0.40, 4.2, 3.9), (0.50, 8.0, 6.7), (0.60, 21.8, 13.9), (0.70, 221, 43)],
)
def test_krieger_dougherty_numbers_of_r14(phi: float, tight: float, loose: float) -> None:
    half = 0.5 if tight > 100 else 0.05
    assert float(krieger_dougherty(phi, 0.74)) == pytest.approx(tight, abs=half)
    assert float(krieger_dougherty(phi, 0.84)) == pytest.approx(loose, abs=min(half, 0.5))


def test_phi100_of_r11_means_a_hundredfold_viscosity() -> None:
    """The constants 1.187 and 2.49 are printed to three digits: 1 % of eta_r."""
    assert float(phi100_viscosity(0.55, 0.55)) == pytest.approx(100, rel=0.01)


def test_phi100_of_r11_as_printed() -> None:
    x = 0.4 / 0.6
    assert float(phi100_viscosity(0.4, 0.6)) == pytest.approx((1 + x / (1.187 - x)) ** 2.49)


@pytest.mark.parametrize(("ratio", "slope"), [(1e12, 5.5), (math.inf, 5.5), (1e-12, 2.2), (0, 2.2)])
def test_yaron_gal_or_limits_of_r13(ratio: float, slope: float) -> None:
    phi = 1e-9  # the next term is of order phi^(2/3)
    assert float(yaron_gal_or_viscosity(phi, ratio) - 1) / phi == pytest.approx(slope, rel=1e-5)


def test_yaron_gal_or_of_r13_as_printed() -> None:
    phi, k = 0.45, 0.3
    p = phi ** (1 / 3)
    above = 4 * p**7 + 10 - (84 / 11) * p**2 + (4 / k) * (1 - p**7)
    below = 10 * (1 - p**10) - 25 * phi * (1 - p**4) + (10 / k) * (1 - phi) * (1 - p**7)
    assert float(yaron_gal_or_viscosity(phi, k)) == pytest.approx(1 + 5.5 * phi * above / below)


@pytest.mark.parametrize("ratio", [0.0, 0.01, 0.5, 1.0, 7.0, 1e3, math.inf])
def test_pal_of_r12_meets_taylor_where_drops_are_few(ratio: float) -> None:
    """Taylor 1932 (from memory): 1 + 2.5 phi (K + 0.4)/(K + 1); rigid spheres give Einstein's."""
    phi = 1e-7
    slope = 2.5 if math.isinf(ratio) else 2.5 * (ratio + 0.4) / (ratio + 1)
    assert float(pal_viscosity(phi, 0.7, ratio) - 1) / phi == pytest.approx(slope, rel=1e-5)


def test_krieger_dougherty_meets_einstein() -> None:
    assert float(krieger_dougherty(1e-7, 0.74) - 1) / 1e-7 == pytest.approx(2.5, rel=1e-5)


@given(phi=fractions, ratio=ratios)
def test_pal_of_r12_solves_its_equation_as_a_bracketing_solver_does(
    phi: float, ratio: float
) -> None:
    def missing(log_eta: float) -> float:
        eta = math.exp(log_eta)
        left = log_eta + 1.5 * math.log((2 * eta + 5 * ratio) / (2 + 5 * ratio))
        return left + 2.5 * 0.74 * math.log(1 - phi / 0.74)

    expected = math.exp(brentq(missing, 0.0, 60.0, xtol=1e-14))
    assert float(pal_viscosity(phi, 0.74, ratio)) == pytest.approx(expected, rel=1e-9)


def test_pal_with_rigid_drops_is_krieger_dougherty() -> None:
    phi = np.linspace(0, 0.73, 20)
    np.testing.assert_allclose(pal_viscosity(phi, 0.74, np.inf), krieger_dougherty(phi, 0.74))


@given(phi=st.floats(0.001, 0.6), step=st.floats(0.005, 0.1), ratio=ratios)
def test_more_drops_never_thin(phi: float, step: float, ratio: float) -> None:
    more = phi + step
    assert pal_viscosity(more, 0.74, ratio) > pal_viscosity(phi, 0.74, ratio)
    assert yaron_gal_or_viscosity(more, ratio) > yaron_gal_or_viscosity(phi, ratio)
    assert phi100_viscosity(more, 0.65) > phi100_viscosity(phi, 0.65)


@given(phi=fractions, ratio=st.floats(0.0, 1e3), factor=st.floats(1.5, 100.0))
def test_stiffer_drops_never_thin(phi: float, ratio: float, factor: float) -> None:
    stiffer = factor * ratio + 0.01
    assert pal_viscosity(phi, 0.74, stiffer) > pal_viscosity(phi, 0.74, ratio)
    assert yaron_gal_or_viscosity(phi, stiffer) > yaron_gal_or_viscosity(phi, ratio)


def test_all_models_diverge_where_drops_jam() -> None:
    assert math.isinf(pal_viscosity(0.74, 0.74, 0.02))
    assert math.isinf(krieger_dougherty(0.74, 0.74))
    assert math.isinf(phi100_viscosity(0.9, 0.6))
    assert math.isinf(yaron_gal_or_viscosity(1.0, 0.02))
    assert float(pal_viscosity(0.74 * (1 - 1e-6), 0.74, 0.02)) > 1e4
    assert float(krieger_dougherty(0.74 * (1 - 1e-6), 0.74)) > 1e4
    assert float(yaron_gal_or_viscosity(1 - 1e-6, math.inf)) > 1e4


@given(phi=st.floats(0.05, 0.7), packing=st.floats(0.72, 0.99), ratio=ratios)
def test_one_point_gives_back_the_packing(phi: float, packing: float, ratio: float) -> None:
    measured = float(pal_viscosity(phi, packing, ratio))
    found = calibrated_packing(phi, measured, ratio)
    assert found is not None
    assert float(pal_viscosity(phi, found, ratio)) == pytest.approx(measured, rel=1e-8)


@given(phi=st.floats(0.05, 0.9), phi100=st.floats(0.3, 1.5))
def test_one_point_gives_back_phi100(phi: float, phi100: float) -> None:
    measured = float(phi100_viscosity(phi, phi100))
    if math.isfinite(measured):
        assert calibrated_phi100(phi, measured) == pytest.approx(phi100, rel=1e-8)


def test_a_point_thinner_than_any_packing_allows_has_none() -> None:
    thinnest = float(krieger_dougherty(0.5, 1.0))
    assert calibrated_packing(0.5, 0.9 * thinnest) is None
    assert calibrated_packing(0.5, 1.01 * thinnest) is not None


@pytest.mark.parametrize("relative", [1.0, 0.5, math.nan, math.inf])
def test_drops_never_thin_what_is_around_them(relative: float) -> None:
    with pytest.raises(OutOfRangeError, match="drops never thin"):
        calibrated_phi100(0.5, relative)


@pytest.mark.parametrize("phi", [-0.1, 1.1, math.nan])
def test_fractions_outside_0_to_1_are_refused(phi: float) -> None:
    with pytest.raises(OutOfRangeError, match="expected 0 to 1"):
        pal_viscosity(phi, 0.74, 0.1)
    with pytest.raises(OutOfRangeError, match="expected 0 to 1"):
        hindrance(phi)


# --- settling ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("diameter_um", "expected", "half"), [(0.2, 0.29, 0.005), (1, 7.3, 0.05), (5, 183, 0.5)]
)
def test_lumps_of_r15(diameter_um: float, expected: float, half: float) -> None:
    found = float(stokes_velocity_m_s(ZNO_IN_CCT, diameter_um * 1e-6, 0.030)) * MM_A_DAY
    assert found == pytest.approx(expected, abs=half)


def test_drop_of_r15() -> None:
    """Densities are not printed with it; a salted water phase is about 60 kg/m3 above the oil."""
    assert float(stokes_velocity_m_s(60, 2e-6, 0.030)) * MM_A_DAY == pytest.approx(0.38, abs=0.005)


def test_hindrance_of_r16() -> None:
    """0.02 to 0.04 at half drops: the two branches, rounded outwards."""
    brownian, coarse = (round(float(h), 2) for h in hindrance(0.5, [1.0, 1e9]))
    assert (brownian, coarse) == (0.02, 0.04)


def test_peclet_number_is_speed_times_radius_over_diffusion() -> None:
    speed = stokes_velocity_m_s(ZNO_IN_CCT, 3e-6, 0.05)
    expected = float(speed * 1.5e-6 / diffusion_m2_s(3e-6, 0.05))
    assert float(peclet_number(ZNO_IN_CCT, 3e-6)) == pytest.approx(expected, rel=1e-12)


def test_lone_spheres_are_not_hindered_and_a_full_crowd_stands() -> None:
    assert float(hindrance(0.0)) == 1.0
    assert float(hindrance(1.0)) == 0.0


@given(phi=st.floats(0, 0.9), step=st.floats(1e-3, 0.1))
def test_a_denser_crowd_is_never_faster(phi: float, step: float) -> None:
    assert hindrance(phi + step) < hindrance(phi)


def test_yield_stress_of_r17() -> None:
    """A 5 um lump needs about 0.01 to 0.05 Pa with Y 0.05 to 0.2."""
    low, high = yield_stress_to_hold_Pa(ZNO_IN_CCT, 5e-6, np.array([0.05, 0.2]))
    assert round(float(low), 2) == 0.01
    assert round(float(high), 2) == 0.05


# --- salt, ripening, emulsifier ------------------------------------------------------------------


def _salt_Pa(percent: float) -> float:  # noqa: N802
    """Ideal osmotic pressure of MgSO4.7H2O (246.47 g/mol) in 50 % water of 997 kg/m3."""
    return float(osmotic_pressure_Pa(2 * percent / 246.47 / 50 * 1e3 * 997))


def test_salt_of_r18() -> None:
    assert _salt_Pa(0.7) == pytest.approx(281e3, abs=0.5e3)
    assert float(laplace_pressure_Pa(3e-3, 1e-6)) == pytest.approx(6e3)


def test_a_tenth_of_a_percent_of_salt_would_do_by_r18() -> None:
    assert _salt_Pa(0.1) > float(laplace_pressure_Pa(3e-3, 1e-6))


def test_ripening_of_r19_has_the_unit_of_a_volume_a_second() -> None:
    """Kabalnov and Shchukin 1992 (from memory) write it with C M/rho for C V_m: the same number.

    Water, 0.1 % by volume in an ester: 55.5 mol/m3 of 18.02 g/mol and 998 kg/m3.
    """
    ours = float(ripening_rate_m3_s(3e-3, 55.38e0 * 18.06e-6, 5e-11, 18.06e-6))
    theirs = 8 * 55.38 * 0.01802 * 3e-3 * 18.06e-6 * 5e-11 / (9 * 998 * 8.314 * 298.15)
    assert ours == pytest.approx(theirs, rel=1e-3)


def test_emulsifier_need_of_r20() -> None:
    """0.3 % of a product of density 1 g/mL."""
    assert float(emulsifier_need_kg_m3(0.5, 2e-6, 2e-6)) / 10 == pytest.approx(0.3)


# --- drop size -----------------------------------------------------------------------------------


@given(energy=st.floats(0.1, 1e3), factor=st.floats(1.1, 10), b=st.floats(0.25, 1.0))
def test_energy_follows_the_power_of_r29(energy: float, factor: float, b: float) -> None:
    def size(ev: float) -> float:
        return float(d32_from_energy_um(ev, b, reference_um=3, reference_J_mL=10))

    assert size(factor * energy) / size(energy) == pytest.approx(factor**-b)


def test_flow_follows_the_powers_of_r30() -> None:
    """Twice the speed: We times 4 and Re times 2, so 4^-0.6 or (4 * 16)^(-1/7)."""
    constants = {"inertial": 0.05, "viscous": 0.05}
    for reynolds, expected in ((2e4, 4**-0.6), (1e3, 64 ** (-1 / 7))):
        slow = d32_from_flow_m(1e5, reynolds, 0.05, 0.0, **constants)
        fast = d32_from_flow_m(4e5, 2 * reynolds, 0.05, 0.0, **constants)
        assert float(fast / slow) == pytest.approx(expected)


def test_crowding_of_r30() -> None:
    constants = {"inertial": 0.05, "viscous": 0.05}
    lone, crowd = (d32_from_flow_m(1e5, 2e4, 0.05, phi, **constants) for phi in (0.0, 0.1))
    assert float(crowd / lone) == pytest.approx(1 + 20 * 0.1)


def test_weber_number_of_r30() -> None:
    assert float(weber_number(3000, 0.05, 0.95, 3.0)) == pytest.approx(950 * 50**2 * 0.05**3 / 3e-3)
