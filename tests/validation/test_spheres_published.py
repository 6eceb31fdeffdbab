"""Homogeneous and coated spheres against published tables (each case names its source).

H: Bohren and Huffman (1983), Wiscombe (1979), Du (2004), Maetzler (2002). C: Bohren and Huffman
(1983) App. B, Yang (2003), Wu and Wang (1991), limits of those, and computed 100-digit values.
"""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from zincite.errors import OutOfRangeError
from zincite.physics.phase import (
    backscattering_efficiency,
    legendre_moments,
    scattering_amplitudes,
    scattering_coefficients,
)
from zincite.physics.sizes import effective_radius_and_variance, lognormal_nodes
from zincite.physics.spheres import coated_sphere

CASES = json.loads((Path(__file__).parent / "cases" / "optics_cases.json").read_text("utf-8"))
SPHERES = [case for case in CASES["cases"] if case["group"].startswith("mie_")]
SIZES = {case["id"]: case for case in CASES["cases"] if case["group"] == "psd"}
NAMES = {"Qext": "extinction", "Qsca": "scattering", "g": "asymmetry", "Qabs": "absorption"}
# the verified values are given to 12 digits, summed with 60 and more
RELATIVE = 1e-9
# backscattering is an alternating sum of amplitudes: what the series leaves out beyond Wiscombe's
# order is first order in it and second order in the efficiencies
RELATIVE_BACK = 2e-6
LARGE = 50.0


def _id(case):
    return f"{case['id']} {case['source'][:60]}"


def _sizes(inputs):
    core_size = inputs["x_core"] if "x_core" in inputs else inputs["x"]
    return core_size, inputs.get("y_outer", core_size)


def _indices(inputs):
    if "core_m_real" not in inputs:
        m = complex(inputs["m_real"], inputs["m_imag"])
        return m, m
    return (
        complex(inputs["core_m_real"], inputs["core_m_imag"]),
        complex(inputs["shell_m_real"], inputs["shell_m_imag"]),
    )


@cache
def _evaluate(place):
    """Efficiencies by the public function, backscattering by the coefficients."""
    inputs = SPHERES[place]["inputs"]
    x, y = _sizes(inputs)
    core, shell = _indices(inputs)
    wavelength = 1000.0
    core_nm, thickness_nm = x * wavelength / np.pi, (y - x) * wavelength / (2 * np.pi)
    q = coated_sphere(core_nm, thickness_nm, core, shell, 1.0, wavelength)
    a, b = scattering_coefficients(x, y, core, shell)
    result = {key: float(getattr(q, name)) for key, name in NAMES.items()}
    return result | {"Qback": float(backscattering_efficiency(a, b, y)[0])}


@pytest.mark.parametrize("case", SPHERES, ids=_id)
def test_published_efficiencies(case):
    """Printed numbers, within half a unit of the last printed digit (in the case)."""
    result = _evaluate(SPHERES.index(case))
    for quantity, printed in case["expected"].items():
        tolerance = case["tolerance_abs"][quantity]
        assert result[quantity] == pytest.approx(printed, rel=0, abs=tolerance), quantity


@pytest.mark.parametrize("case", SPHERES, ids=_id)
def test_many_digit_efficiencies(case):
    """The Mie series summed with 60 to 120 digits (mpmath), given to 12 digits."""
    result = _evaluate(SPHERES.index(case))
    values = case["verified"]["values"]
    assert set(values) >= {"Qext", "Qsca", "g", "Qback"}
    for quantity, value in values.items():
        loose = quantity == "Qback" and _sizes(case["inputs"])[1] > LARGE
        relative = RELATIVE_BACK if loose else RELATIVE
        assert result[quantity] == pytest.approx(value, rel=relative), quantity
    absorption = values["Qext"] - values["Qsca"]
    spread = 3e-11 * values["Qext"] + RELATIVE * absorption  # 12 digits subtracted
    assert result["Qabs"] == pytest.approx(absorption, rel=0, abs=spread)


@pytest.mark.parametrize("case", [c for c in SPHERES if "shell_nm" in c["inputs"]], ids=_id)
def test_sizes_in_nanometres_give_the_same(case):
    """The computed pigment-like cases state nm, absolute indices and medium as well."""
    i = case["inputs"]
    q = coated_sphere(
        2 * i["core_radius_nm"],
        i["shell_nm"],
        complex(i["core_n"], i["core_k"]),
        complex(i["shell_n"], i["shell_k"]),
        i["medium_n"],
        i["wavelength_nm"],
    )
    for quantity in ("Qext", "Qsca", "g"):
        expected = case["expected"][quantity]
        assert float(getattr(q, NAMES[quantity])) == pytest.approx(expected, rel=1e-6)


def test_haze_l_moments():
    """P01: Garcia and Siewert (1985), Table 10: Mie spheres over Deirmendjian's (1969) haze L."""
    case = SIZES["P01"]
    inputs = case["inputs"]
    nodes, weights = np.polynomial.legendre.leggauss(1200)  # enough for the ripple over sizes
    radius_um = inputs["r_max_um"] * (nodes + 1) / 2
    size = 2 * np.pi * radius_um / inputs["wavelength_um"]
    number = radius_um**2 * np.exp(-15.1186 * np.sqrt(radius_um)) * weights
    cosine, angle_weight = np.polynomial.legendre.leggauss(96)
    intensity = np.zeros_like(cosine)
    for pick in np.array_split(np.arange(size.size), 12):
        a, b = scattering_coefficients(size[pick], size[pick], inputs["m_real"], inputs["m_real"])
        s1, s2 = scattering_amplitudes(a, b, cosine)
        intensity += number[pick] @ (np.abs(s1) ** 2 + np.abs(s2) ** 2)
    printed = np.array(case["expected"]["moments_2l_plus_1"])
    moments = legendre_moments(intensity, cosine, angle_weight, printed.size)
    factor = 2 * np.arange(printed.size) + 1
    tolerance = case["tolerance_abs"]["moments_2l_plus_1"]
    np.testing.assert_allclose(factor * moments, printed, rtol=0, atol=tolerance)
    values = case["verified"]["values"]
    np.testing.assert_allclose(factor * moments, values["moments"], rtol=0, atol=1e-6)
    assert moments[1] == pytest.approx(values["g"], abs=2e-7)
    # the same asymmetry, and the extinction per km, by the efficiencies
    q = coated_sphere(2e3 * radius_um, 0.0, 1.33, 1.33, 1.0, 1e3 * inputs["wavelength_um"])
    section = number * radius_um**2 * q.scattering
    assert np.sum(section * q.asymmetry) / section.sum() == pytest.approx(values["g"], abs=1e-6)
    # number in 1/cm3, areas in um2: 1e-3 makes it 1/km
    per_km = 1e-3 * np.pi * inputs["A_per_cm3_um"] * section.sum() * inputs["r_max_um"] / 2
    assert per_km == pytest.approx(values["beta_ext_per_km"], rel=1e-5)


def test_lognormal_moments():
    """P03: Hansen and Travis (1974), effective radius and variance of a lognormal by number."""
    case = SIZES["P03"]
    inputs, expected = case["inputs"], case["expected"]
    moments = effective_radius_and_variance(inputs["r_g"], inputs["sigma_g"])
    for value, key in zip(moments, ("r_eff", "v_eff", "mean_r3"), strict=True):
        assert value == pytest.approx(expected[key], rel=0, abs=case["tolerance_abs"][key])
    # the quadrature nodes have the same effective radius, half of their Sauter diameter
    nodes = lognormal_nodes(2 * inputs["r_g"], inputs["sigma_g"], weighting="number")
    assert nodes.sauter_diameter_nm / 2 == pytest.approx(expected["r_eff"], rel=1e-6)


def test_the_reader_finds_all_cases():
    """13 homogeneous and 12 coated spheres: a lost case must not pass unseen."""
    assert [c["group"] for c in SPHERES].count("mie_homogeneous") == 13
    assert [c["group"] for c in SPHERES].count("mie_coated") == 12
    with pytest.raises(OutOfRangeError, match="size parameter"):
        coated_sphere(1e9, 0.0, 1.5, 1.5, 1.0, 500.0)
