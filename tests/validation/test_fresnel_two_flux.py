"""Faces, two-flux layers and the skin model against closed forms and other solvers."""

import json
from pathlib import Path

import numpy as np
import pytest
from PythonicDISORT import pydisort
from scipy.integrate import quad
from scipy.linalg import expm

from zincite.data.colour_tables import haemoglobin
from zincite.physics import skin
from zincite.physics.fresnel import (
    diffuse_external,
    diffuse_internal,
    fresnel_normal,
    fresnel_unpolarised,
    saunderson,
    saunderson_inverse,
)
from zincite.physics.two_flux import infinite_reflectance, k_over_s, kubelka_munk_layer

CASES = json.loads((Path(__file__).parent / "cases" / "fresnel_two_flux.json").read_text("utf-8"))


def _evaluate(inputs):
    if "n" in inputs:
        n = inputs["n"]
        return {
            "normal": fresnel_normal(n),
            "diffuse_external": diffuse_external(n),
            "diffuse_internal": diffuse_internal(n),
        }
    if "k1" in inputs:
        return {"R_measured": saunderson(inputs["R_internal"], inputs["k1"], inputs["k2"])}
    if "K" in inputs:
        layer = kubelka_munk_layer(*(inputs[k] for k in ("K", "S", "X", "R_background")))
        return dict(zip(("R0_black", "T", "R_over_background"), layer, strict=True))
    assert infinite_reflectance(k_over_s(inputs["R_inf"])) == pytest.approx(inputs["R_inf"])
    return {"K_over_S": k_over_s(inputs["R_inf"])}


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_worked_examples(case):
    """Duntley, Judd, Stern, Saunderson, Kubelka and Munk: source and tolerance in each case."""
    result = _evaluate(case["inputs"])
    for quantity, expected in case["expected"].items():
        tolerance = case["tolerance_abs"][quantity]
        assert result[quantity] == pytest.approx(expected, abs=tolerance), quantity


def _fresnel_by_angles(theta, n):
    """Textbook sine and tangent form, a second route to the same reflectance."""
    if theta == 0:
        return ((n - 1) / (n + 1)) ** 2
    if np.sin(theta) >= n:
        return 1.0
    inner = np.arcsin(np.sin(theta) / n)
    s = np.sin(theta - inner) / np.sin(theta + inner)
    p = np.tan(theta - inner) / np.tan(theta + inner)
    return 0.5 * (s**2 + p**2)


@pytest.mark.parametrize("n", [1.001, 1.03, 1.06, 1.33, 1.45, 1.5, 2.0, 3.0])
def test_diffuse_faces_are_the_integral_of_fresnel(n):
    """Adaptive quadrature (scipy) over angles from both sides, split at the critical angle."""

    def integrand(theta, ratio):
        return _fresnel_by_angles(theta, ratio) * np.sin(2 * theta)

    external = quad(integrand, 0, np.pi / 2, args=(n,), epsabs=1e-12, limit=200)[0]
    critical = np.arcsin(1 / n)
    below = quad(integrand, 0, critical, args=(1 / n,), epsabs=1e-12, limit=200)[0]
    assert diffuse_external(n) == pytest.approx(external, abs=1e-9)
    assert diffuse_internal(n) == pytest.approx(below + np.cos(critical) ** 2, abs=1e-7)


def test_fresnel_over_angles():
    """Sine and tangent form (Born and Wolf); reflection is total beyond the critical angle."""
    theta = np.deg2rad([1, 20, 41, 42, 56.3, 80, 89.9])
    for n in (1.5, 1 / 1.5, 1.4):
        expected = [_fresnel_by_angles(t, n) for t in theta]
        np.testing.assert_allclose(fresnel_unpolarised(np.cos(theta), n), expected, atol=1e-12)
    assert fresnel_unpolarised(0.5, 1 / 1.5) == 1.0
    assert fresnel_unpolarised(0.0, 1.5) == 1.0
    np.testing.assert_allclose(fresnel_unpolarised([0.0, 0.3, 1.0], 1.0), 0.0, atol=1e-30)


def test_printed_literature_values_for_glass():
    """0.092 and 0.596 for n = 1.5 (quoted widely after Judd 1942; from memory)."""
    assert round(float(diffuse_external(1.5)), 3) == 0.092
    assert round(float(diffuse_internal(1.5)), 3) == 0.596


def test_saunderson_inverse_undoes_it():
    internal = np.linspace(0, 1, 21)
    outside = saunderson(internal, 0.034, 0.565)
    np.testing.assert_allclose(saunderson_inverse(outside, 0.034, 0.565), internal, atol=1e-12)


def test_two_flux_meets_the_matrix_exponential():
    """The two coupled equations of Kubelka and Munk (1931), integrated by scipy's expm."""
    rng = np.random.default_rng(1931)
    for k, s, x, ground in rng.uniform([0, 0.01, 0.1, 0], [2, 3, 3, 1], (60, 4)):
        # d/dz of (down, up) with z downward
        m = expm(np.array([[-(k + s), s], [-s, k + s]]) * x)
        reflectance = -(m[1, 0] - ground * m[0, 0]) / (m[1, 1] - ground * m[0, 1])
        black = -m[1, 0] / m[1, 1]
        transmittance = m[0, 0] + m[0, 1] * black
        layer = kubelka_munk_layer(k, s, x, ground)
        assert layer.over_background == pytest.approx(reflectance, abs=1e-9)
        assert layer.reflectance == pytest.approx(black, abs=1e-9)
        assert layer.transmittance == pytest.approx(transmittance, abs=1e-9)


def test_two_flux_has_no_jump_at_zero_absorption():
    """Limits R = SX/(1 + SX), T = 1/(1 + SX) (Kubelka 1948) and exp(-KX) without scattering."""
    k = np.array([0.0, 1e-300, 1e-16, 1e-12, 1e-10])
    layer = kubelka_munk_layer(k, 1.0, 3.0)
    np.testing.assert_allclose(layer.reflectance, 0.75, atol=1e-9)
    np.testing.assert_allclose(layer.reflectance + layer.transmittance, 1.0, atol=1e-9)
    clear = kubelka_munk_layer(0.7, 0.0, 2.0, 0.5)
    assert clear.transmittance == pytest.approx(np.exp(-1.4), rel=1e-14)
    assert clear.over_background == pytest.approx(0.5 * np.exp(-2.8), rel=1e-14)
    endless = kubelka_munk_layer(0.25, 1.0, 1e5)
    assert endless.reflectance == pytest.approx(0.5, abs=1e-12)
    assert endless.transmittance == 0.0


def _disort(absorption, reduced_scattering, thickness_cm, asymmetry=0.8, streams=16):
    """Reflectance for diffuse light of a stack of Henyey-Greenstein layers."""
    scattering = np.asarray(reduced_scattering) / (1 - asymmetry)
    total = scattering + absorption
    solution = pydisort(
        np.cumsum(total * thickness_cm),
        scattering / total,
        streams,
        np.tile(asymmetry ** np.arange(streams), (len(total), 1)),
        1.0,
        0.0,
        0.0,
        NLeg=streams,
        NFourier=1,
        only_flux=True,
        f_arr=np.full(len(total), asymmetry**streams),
        b_neg=1 / np.pi,
    )
    return solution[1](0.0)


@pytest.mark.parametrize("absorption", [0.1, 0.5, 2.0, 10.0, 40.0])
def test_deep_reflectance_meets_discrete_ordinates(absorption):
    """Oracle: PythonicDISORT, 16 streams, Henyey-Greenstein g = 0.8, 5 cm of 46/cm."""
    expected = _disort(np.array([absorption]), np.array([46.0]), np.array([5.0]))
    assert skin.deep_reflectance(absorption, 46.0) == pytest.approx(expected, abs=2e-3)


@pytest.mark.parametrize("melanin", [0.0, 0.02, 0.08, 0.25, 0.4])
@pytest.mark.parametrize("wavelength_nm", [450.0, 560.0, 700.0])
def test_skin_meets_two_layer_discrete_ordinates(melanin, wavelength_nm):
    """Oracle: PythonicDISORT on the same two layers; 0.025 is the stated accuracy of the model."""
    composition = skin.SkinComposition(melanin, 0.01)
    blood = haemoglobin().at(wavelength_nm)
    extinction = blood.oxy_per_cm_molar, blood.deoxy_per_cm_molar
    base = skin.baseline_absorption_per_cm(wavelength_nm)
    whole_blood = skin.blood_absorption_per_cm(*extinction, composition.oxygen_saturation)[0]
    above = melanin * skin.melanosome_absorption_per_cm(wavelength_nm) + (1 - melanin) * base
    below = 0.01 * whole_blood + 0.99 * base
    expected = _disort(
        np.array([above, below]),
        np.full(2, skin.reduced_scattering_per_cm(wavelength_nm)),
        np.array([skin.EPIDERMIS_THICKNESS_UM * 1e-4, 5.0]),
    )
    ours = skin.internal_reflectance([wavelength_nm], *extinction, composition)
    assert ours[0] == pytest.approx(expected, abs=0.025)
