"""The zinc oxide index model and its exciton."""

from __future__ import annotations

import numpy as np
import pytest

from zincite.errors import OutOfRangeError
from zincite.physics.dielectric import (
    HC_EV_NM,
    exciton_dielectric_tanguy1995,
    powder_average,
    zinc_oxide_index,
    zinc_oxide_sellmeier_bond1965,
)

WAVELENGTH = np.arange(280.0, 781.0)


def test_exciton_is_causal() -> None:
    """Real part from the imaginary part alone (Kramers-Kronig, Maclaurin's alternate sum)."""
    step = 0.002
    grid = np.arange(step / 2, 400.0, step)
    imaginary = exciton_dielectric_tanguy1995(
        grid, gap_eV=3.38, binding_meV=60, broadening_meV=45
    ).imag
    for energy in (1.6, 2.5, 3.3, 4.0):
        at = step * round(energy / step)
        real = 2 / np.pi * step * np.sum(grid * imaginary / (grid**2 - at**2))
        model = exciton_dielectric_tanguy1995(at, gap_eV=3.38, binding_meV=60, broadening_meV=45)
        assert real == pytest.approx(float(model.real), rel=0.01)


def test_moving_the_gap_moves_n_and_k() -> None:
    n, k = zinc_oxide_index(WAVELENGTH)
    n_low, k_low = zinc_oxide_index(WAVELENGTH, gap_eV=3.36)
    assert np.max(np.abs(k_low - k)) > 0.05
    assert np.max(np.abs(n_low - n)) > 0.03
    assert np.all(n_low[WAVELENGTH >= 400] > n[WAVELENGTH >= 400])


def test_edge_follows_the_urbach_slope() -> None:
    """Two decades of k lie 2 ln 10 slopes apart in energy."""
    energy = np.array([3.2, 3.2 - 2 * np.log(10) * 0.060])
    _, k = zinc_oxide_index(HC_EV_NM / energy, urbach_meV=60.0)
    assert k[0] / k[1] == pytest.approx(100.0)
    _, crystal = zinc_oxide_index(390.0)
    _, defective = zinc_oxide_index(390.0, urbach_meV=60.0)
    assert defective > 2 * crystal


def test_k_is_continuous_where_the_tail_starts() -> None:
    edge = HC_EV_NM / 3.255
    _, k = zinc_oxide_index([edge - 1e-6, edge + 1e-6])
    assert k[0] == pytest.approx(k[1], rel=1e-4)


def test_step_at_450_nm_is_as_documented() -> None:
    n, _ = zinc_oxide_index([449.999, 450.0])
    assert n[0] - n[1] == pytest.approx(0.006, abs=0.001)


def test_powder_is_the_average_of_the_rays() -> None:
    n, k = zinc_oxide_index(WAVELENGTH)
    ordinary = zinc_oxide_index(WAVELENGTH, ray="ordinary")
    extraordinary = zinc_oxide_index(WAVELENGTH, ray="extraordinary")
    np.testing.assert_allclose(n, powder_average(ordinary[0], extraordinary[0]))
    np.testing.assert_allclose(k, powder_average(ordinary[1], extraordinary[1]))


def test_shapes_follow_the_wavelengths() -> None:
    assert zinc_oxide_index(360.0)[0].shape == ()
    assert zinc_oxide_index(WAVELENGTH.reshape(3, -1))[1].shape == (3, 167)


@pytest.mark.parametrize(
    ("wavelength_nm", "options", "match"),
    [
        (279.0, {}, "279 nm found, expected 280 to 780 nm"),
        (float("nan"), {}, "nan nm found"),
        (360.0, {"gap_eV": 2.0}, "band gap of zinc oxide is 2.0 eV"),
        (360.0, {"binding_meV": 0.0}, "exciton binding energy"),
        (360.0, {"broadening_meV": 0.0}, "broadening"),
        (360.0, {"urbach_meV": 0.0}, "slope of the exponential edge"),
        (360.0, {"ray": "sideways"}, "expected 'powder'"),
    ],
)
def test_impossible_input_is_refused(
    wavelength_nm: float, options: dict[str, float], match: str
) -> None:
    with pytest.raises(OutOfRangeError, match=match):
        zinc_oxide_index(wavelength_nm, **options)


def test_bond_is_not_extrapolated() -> None:
    with pytest.raises(OutOfRangeError, match="expected 450 to 4000 nm"):
        zinc_oxide_sellmeier_bond1965(449.0)
    with pytest.raises(OutOfRangeError, match="expected 'ordinary' or 'extraordinary'"):
        zinc_oxide_sellmeier_bond1965(500.0, "powder")


def test_exciton_refuses_impossible_parameters() -> None:
    with pytest.raises(OutOfRangeError, match="expected numbers above 0"):
        exciton_dielectric_tanguy1995(3.0, gap_eV=3.38, binding_meV=-60, broadening_meV=45)
