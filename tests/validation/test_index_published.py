"""Refractive indices against published values; each test names its source."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from zincite.data.colour_tables import observer_illuminants
from zincite.data.optical_constants import oil_index, optical_constants
from zincite.evaluation.film import VISIBLE
from zincite.evaluation.pigments import SPECTRUM_NM, grade_optics
from zincite.formula.material import Grade
from zincite.physics.colour import lab_from_xyz, tristimulus_weights, white_point
from zincite.physics.dielectric import (
    HC_EV_NM,
    exciton_dielectric_tanguy1995,
    zinc_oxide_index,
    zinc_oxide_sellmeier_bond1965,
)
from zincite.physics.slab import slab

CASES = Path(__file__).parent / "cases"
OPTICS = tomllib.loads((CASES / "optics.toml").read_text("utf-8"))
FINE_NM = np.arange(330.0, 430.0, 0.25)


def _csv(name: str) -> list[dict[str, str]]:
    lines = [
        line for line in (CASES / name).read_text("utf-8").splitlines() if not line.startswith("#")
    ]
    header = lines[0].split(",")
    return [dict(zip(header, line.split(","), strict=True)) for line in lines[1:]]


def _absorption_per_cm(wavelength_nm: np.ndarray, k: np.ndarray) -> np.ndarray:
    return 4 * np.pi * k / (wavelength_nm * 1e-7)


@pytest.mark.parametrize("ray", ["ordinary", "extraordinary"])
def test_bond_1965(ray: str) -> None:
    """Bond 1965 as evaluated by the open refractive-index database; half the last digit."""
    wavelength, expected = np.array(OPTICS["bond1965"][ray]).T
    np.testing.assert_allclose(
        zinc_oxide_sellmeier_bond1965(wavelength, ray), expected, rtol=0, atol=5.1e-5
    )


def test_exciton_series_is_rydberg() -> None:
    """Peaks at Eg - R/j^2 (Elliott 1957, Phys. Rev. 108, 1384)."""
    energy = np.linspace(3.3, 3.376, 38001)
    absorption = exciton_dielectric_tanguy1995(
        energy, gap_eV=3.38, binding_meV=60.0, broadening_meV=0.2
    ).imag
    peak = (absorption[1:-1] > absorption[:-2]) & (absorption[1:-1] > absorption[2:])
    expected = [3.38 - 0.060 / j**2 for j in (1, 2, 3)]
    np.testing.assert_allclose(energy[1:-1][peak], expected, rtol=0, atol=5e-6)


def test_exciton_continuum_is_elliott() -> None:
    """2 pi sqrt R / E^2 over 1 - exp(-2 pi sqrt(R/(E - Eg))) (Elliott 1957, eq. 3.12 as normed)."""
    energy = np.array([3.45, 3.6, 4.0, 4.4])
    model = exciton_dielectric_tanguy1995(
        energy, gap_eV=3.38, binding_meV=60.0, broadening_meV=0.05
    ).imag
    enhancement = 1 - np.exp(-2 * np.pi * np.sqrt(0.060 / (energy - 3.38)))
    elliott = 2 * np.pi * np.sqrt(0.060) / energy**2 / enhancement
    np.testing.assert_allclose(model, elliott, rtol=1e-4)


def test_zinc_oxide_model_second_evaluation() -> None:
    """A second evaluation of the same model; half a unit of its last printed digit."""
    rows = _csv("zinc_oxide_model.csv")
    wavelength = np.array([float(row["wavelength_nm"]) for row in rows])
    for ray, suffix in (("ordinary", "_o"), ("extraordinary", "_e"), ("powder", "")):
        n, k = zinc_oxide_index(wavelength, ray=ray)
        expected_n = np.array([float(row[f"n{suffix}"]) for row in rows])
        expected_k = np.array([float(row[f"k{suffix}"]) for row in rows])
        np.testing.assert_allclose(n, expected_n, rtol=0, atol=5.5e-5)
        np.testing.assert_allclose(k, expected_k, rtol=6e-4)


def test_zinc_oxide_edge_lies_at_3_3_ev() -> None:
    """Band gap 3.3 eV (376 nm), Srikant and Clarke 1998, J. Appl. Phys. 83, 5447, abstract."""
    _, k = optical_constants("zinc-oxide", FINE_NM)
    half = FINE_NM[k >= 0.5 * k.max()].max()
    assert HC_EV_NM / half == pytest.approx(3.3, abs=0.03)


def test_zinc_oxide_exciton_peak() -> None:
    """Washington 1998, Appl. Phys. Lett. 72, 3261 and Yoshikawa and Adachi 1997: 3.32-3.4 eV."""
    _, k = optical_constants("zinc-oxide", FINE_NM)
    peak = HC_EV_NM / FINE_NM[np.argmax(_absorption_per_cm(FINE_NM, k))]
    assert 3.32 <= peak <= 3.40


def test_zinc_oxide_absorption_level() -> None:
    """From memory: 1.6e5 to 2.2e5 per cm at 300-375 nm, Muth 1999, J. Appl. Phys. 85, 7884."""
    wavelength = np.arange(300.0, 375.5)
    _, k = optical_constants("zinc-oxide", wavelength)
    absorption = _absorption_per_cm(wavelength, k)
    assert absorption.min() >= 1.6e5
    assert absorption.max() <= 2.2e5


@pytest.mark.xfail(
    reason="the exciton model gives both rays one edge: it keeps n_e - n_o 0.02 where the "
    "crystal has none; irrelevant to a powder, fixed only by a measured table",
    strict=True,
)
def test_zinc_oxide_isotropic_point() -> None:
    """n_o = n_e at 3.114 eV, Jellison and Boatner 1998, Phys. Rev. B 58, 3586, abstract."""
    wavelength = HC_EV_NM / 3.114
    n_o, _ = zinc_oxide_index(wavelength, ray="ordinary")
    n_e, _ = zinc_oxide_index(wavelength, ray="extraordinary")
    assert abs(float(n_e - n_o)) < 0.005


def test_rutile_edge() -> None:
    """100 per cm at 3.023 eV, slope 30.2 meV (Jellison 2024, secondary), ordinary ray.

    Ours is the powder average with a modelled edge that ends at 410 nm, known to a factor of 2 to
    4 in k; that is up to ln 4 slopes, 42 meV.
    """
    _, k = optical_constants("titanium-dioxide-rutile", FINE_NM)
    above = FINE_NM[_absorption_per_cm(FINE_NM, k) >= 100.0].max()
    assert HC_EV_NM / above == pytest.approx(3.023, abs=0.042)


def test_magnetite_face_reflects_a_fifth() -> None:
    """From memory: polished magnetite reflects about 20 % (Fresnel at normal incidence)."""
    n, k = optical_constants("iron-oxide-black", np.arange(450.0, 700.0, 5.0))
    reflectance = ((n - 1) ** 2 + k**2) / ((n + 1) ** 2 + k**2)
    np.testing.assert_allclose(reflectance, 0.20, atol=0.01)


def test_goethite_anchors() -> None:
    """k 0.09 (Bedidi and Cervelle 1993 as tabulated by Conny 2017, wavelength not stated there)
    is met in the visible; n_D 2.26-2.40 from memory.
    """
    wavelength = np.arange(420.0, 701.0)
    _, k = optical_constants("iron-oxide-yellow", wavelength)
    assert 440 < wavelength[np.argmin(np.abs(k - 0.09))] < 590
    n, _ = optical_constants("iron-oxide-yellow", [589.3])
    assert 2.26 <= n[0] <= 2.40


def test_yellow_iron_oxide_is_yellow() -> None:
    """Hardly absorbs in the red; k has fallen to a tenth within the gaps 2.25-2.55 eV (Shao 2022),
    and its full shade is a usual yellow iron oxide (L* 60, a* 18, b* 48, from memory).
    """
    wavelength = np.arange(420.0, 701.0)
    _, k = optical_constants("iron-oxide-yellow", wavelength)
    edge = wavelength[k >= 0.1 * k.max()].max()
    assert 2.25 <= HC_EV_NM / edge <= 2.55
    assert k[-1] < 0.03 * k.max()
    lightness, redness, yellowness = _full_shade("iron-oxide-yellow", 250.0)
    assert 55 < lightness < 70
    assert 10 < redness < 27
    assert 40 < yellowness < 58


def _full_shade(core: str, median_nm: float) -> tuple[float, ...]:
    """L*, a*, b* (D65, 10 deg) of a thick layer of pigment in oil, face included."""
    medium = oil_index(1.48, "ester", SPECTRUM_NM)
    optics = grade_optics(Grade(core, median_nm, 1.4), medium)
    absorbed, scattered = (t[0, 0, VISIBLE] for t in (optics.absorption, optics.scattering))
    reflected = slab(
        np.inf,
        np.minimum(scattered / (absorbed + scattered), 1 - 1e-6),
        optics.asymmetry[0, 0, VISIBLE],
        film_index=medium[VISIBLE],
        below_index=medium[VISIBLE],
    ).reflected
    tables = observer_illuminants()
    weights = tristimulus_weights(tables.cie_1964_10deg, tables.d65)
    return tuple(float(v) for v in lab_from_xyz(reflected @ weights, white_point(weights)))


@pytest.mark.parametrize(
    "row", _csv("oil_dispersion.csv"), ids=lambda row: f"{row['n_D']}-{row['shape']}"
)
def test_oil_dispersion(row: dict[str, str]) -> None:
    """A second evaluation of the scaling by n^2 - 1, printed to 4 decimals."""
    wavelength = [300.0, 320.0, 360.0, 400.0, 450.0, 550.0, 640.0]
    expected = [float(row[f"n{value:.0f}"]) for value in wavelength]
    computed = oil_index(float(row["n_D"]), row["shape"], wavelength)
    np.testing.assert_allclose(computed, expected, rtol=0, atol=1.6e-4)


def test_water_is_the_iapws_index() -> None:
    """IAPWS R9-97 (coefficients from memory) at 20 C and 998.21 kg/m3, index against vacuum.

    The release states 1.5e-5 in the visible; in the ultraviolet 5e-4 is allowed for.
    """
    wavelength = np.arange(300.0, 781.0, 20.0)
    square, t, rho = (wavelength / 589.0) ** 2, 293.15 / 273.15, 0.99821
    refraction = rho * (
        0.244257733
        + 9.74634476e-3 * rho
        - 3.73234996e-3 * t
        + 2.68678472e-4 * square * t
        + 1.58920570e-3 / square
        + 2.45934259e-3 / (square - 0.2292020**2)
        + 0.900704920 / (square - 5.432937**2)
        - 1.66626219e-2 * rho**2
    )
    expected = np.sqrt((1 + 2 * refraction) / (1 - refraction))
    n, _ = optical_constants("water", wavelength)
    visible = wavelength >= 400
    np.testing.assert_allclose(n[visible], expected[visible], rtol=0, atol=3e-5)
    np.testing.assert_allclose(n, expected, rtol=0, atol=5e-4)


def test_fused_silica_d_line() -> None:
    """Malitson 1965: 1.45846 at 587.56 nm, from memory."""
    n, _ = optical_constants("silica", 587.56)
    assert n == pytest.approx(1.45846, abs=2e-5)
