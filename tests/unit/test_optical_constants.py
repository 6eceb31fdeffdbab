"""Refractive indices as shipped."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from zincite.data.optical_constants import (
    OIL_SHAPES,
    OPTICAL_MATERIALS,
    index_uncertainty,
    oil_index,
    optical_constants,
    optical_constants_table,
)
from zincite.data.provenance import sources
from zincite.errors import OutOfRangeError, UnknownMaterialError
from zincite.physics.dielectric import zinc_oxide_index
from zincite.sources import Evidence

WAVELENGTH = np.arange(280.0, 781.0)


@pytest.mark.parametrize("name", OPTICAL_MATERIALS)
def test_table_covers_the_range(name: str) -> None:
    table = optical_constants_table(name)
    n, k = optical_constants(name, WAVELENGTH)
    assert table.range_nm == (280.0, 780.0)
    assert np.all(np.diff(table.wavelength_nm) > 0)
    assert np.all((n > 1.3) & (n < 5.0))
    assert np.all((k >= 0) & (k < 4.0))
    assert table.note
    assert set(table.source) <= set(sources())


@pytest.mark.parametrize("name", OPTICAL_MATERIALS)
@pytest.mark.parametrize("wavelength_nm", [279.9, 780.1, float("nan")])
def test_outside_the_range_is_refused(name: str, wavelength_nm: float) -> None:
    with pytest.raises(OutOfRangeError, match=f"{name}: .* expected 280 to 780 nm"):
        optical_constants(name, [500.0, wavelength_nm])


def test_unknown_material_lists_the_known_ones() -> None:
    with pytest.raises(UnknownMaterialError, match="zinc-oxide, titanium-dioxide-rutile"):
        optical_constants("talc", 500.0)
    with pytest.raises(UnknownMaterialError, match="talc"):
        index_uncertainty("talc")


def test_interpolation_is_linear_and_keeps_the_shape() -> None:
    n, k = optical_constants("iron-oxide-black", [[550.0, 552.5, 555.0]])
    assert n.shape == k.shape == (1, 3)
    assert n[0, 1] == pytest.approx((n[0, 0] + n[0, 2]) / 2)
    assert k[0, 1] == pytest.approx((k[0, 0] + k[0, 2]) / 2)


def test_assumed_pigments_say_so() -> None:
    for name in ("iron-oxide-black", "iron-oxide-yellow"):
        assert optical_constants_table(name).status is Evidence.ASSUMED
    assert "Trap" in optical_constants_table("zinc-oxide").note
    assert "300 nm" in optical_constants_table("dimethicone").note


@pytest.mark.parametrize("name", OPTICAL_MATERIALS)
def test_uncertainty_bands_join_over_the_range(name: str) -> None:
    bands = index_uncertainty(name)
    assert bands[0].low_nm == 280.0
    assert bands[-1].high_nm == 780.0
    for left, right in pairwise(bands):
        assert left.high_nm == right.low_nm
    assert all(band.n_relative_sigma > 0 for band in bands)


def test_shipped_zinc_oxide_is_the_model() -> None:
    """The table is a print of the model; half a unit of its last digit."""
    n, k = zinc_oxide_index(WAVELENGTH)
    n_table, k_table = optical_constants("zinc-oxide", WAVELENGTH)
    np.testing.assert_allclose(n_table, n, rtol=0, atol=6e-5)
    np.testing.assert_allclose(k_table, k, rtol=6e-4)


@pytest.mark.parametrize("shape", OIL_SHAPES)
def test_oil_index_meets_its_own_n_d(shape: str) -> None:
    """589.3 nm lies between 5 nm steps of a curved shape, hence 1e-5."""
    assert oil_index(1.45, shape, 589.3) == pytest.approx(1.45, abs=1e-5)
    assert np.all(np.diff(oil_index(1.45, shape, np.arange(300.0, 781.0))) <= 0)


def test_aromatic_oils_disperse_most() -> None:
    spread = {shape: float(oil_index(1.48, shape, 320.0)) for shape in OIL_SHAPES}
    assert max(spread, key=lambda shape: spread[shape]) == "aromatic"


@pytest.mark.parametrize(
    ("n_d", "shape", "wavelength_nm", "match"),
    [
        (1.45, "wax", 500.0, "expected one of ester"),
        (14.5, "ester", 500.0, "n_D of the oil is 14.5"),
        (float("nan"), "ester", 500.0, "n_D of the oil is nan"),
        (1.45, "ester", 250.0, "250 nm found"),
    ],
)
def test_oil_index_refuses(n_d: float, shape: str, wavelength_nm: float, match: str) -> None:
    with pytest.raises(OutOfRangeError, match=match):
        oil_index(n_d, shape, wavelength_nm)
