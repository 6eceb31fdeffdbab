"""Action spectra and lamps against the standards; each test names its source."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from zincite.data.photobiology import erythema, photobiology, sunlight

OPTICS = tomllib.loads((Path(__file__).parent / "cases" / "optics.toml").read_text("utf-8"))


@pytest.mark.parametrize(
    ("wavelength_nm", "expected"),
    [
        (250.0, 1.0),
        (298.0, 1.0),
        (308.0, 10**-0.94),
        (328.0, 10**-2.82),
        (340.0, 10**-3.0),
        (400.0, 10**-3.9),
    ],
)
def test_erythema_formula(wavelength_nm: float, expected: float) -> None:
    """ISO/CIE 17166, exponents worked out by hand from its three branches."""
    assert erythema(wavelength_nm) == pytest.approx(expected, rel=1e-12)


def test_erythema_branches_join() -> None:
    """ISO/CIE 17166 with the constant 140: both branches are 10^-2.82 at 328 nm."""
    below, above = erythema([328.0, 328.0 + 1e-9])
    assert below == pytest.approx(above, rel=1e-6)


@pytest.mark.parametrize(
    ("wavelength_nm", "expected"), [(320, 1.0), (330, 0.75), (340, 0.5), (370, 0.32), (400, 0.14)]
)
def test_ppd_anchors(wavelength_nm: int, expected: float) -> None:
    """From memory: ISO 24443, 1.0, 0.5 and 0.14 at 320, 340 and 400 nm, straight in between."""
    assert photobiology().ppd[wavelength_nm - 290] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("upper_nm", "low", "high"), OPTICS["simulator_bands"]["bands"])
def test_simulator_is_within_the_acceptance_bands(upper_nm: int, low: float, high: float) -> None:
    """ISO 24444, relative cumulative erythemal effectiveness, by a plain sum over 1 nm."""
    data = photobiology()
    effective = data.simulator_W_m2_nm * data.erythema
    percent = 100 * effective[data.wavelength_nm <= upper_nm].sum() / effective.sum()
    assert low <= percent <= high + 1e-9


def test_simulator_uva_shares() -> None:
    """21 CFR 201.327 and ISO 24444, from memory: UVA-I at least 60 %, UVA-II 20 % of UV."""
    data = photobiology()
    total = data.simulator_W_m2_nm.sum()
    uva1 = data.simulator_W_m2_nm[data.wavelength_nm >= 340].sum() / total
    uva2 = data.simulator_W_m2_nm[(data.wavelength_nm >= 320) & (data.wavelength_nm < 340)].sum()
    assert 100 * uva1 >= OPTICS["simulator_share"]["uva1_percent_min"]
    assert 100 * uva2 / total >= OPTICS["simulator_share"]["uva2_percent_min"]


def test_sunlight_is_astm_g173() -> None:
    """ASTM G173-03 as the general-purpose colour-science library ships it."""
    dataset = pytest.importorskip("colour.plotting.datasets.astm_g_173")
    standard = dataset.SD_ASTMG173_GLOBAL_TILT
    wavelength = np.arange(300.0, 781.0, 10.0)
    np.testing.assert_allclose(sunlight(wavelength), [standard[w] for w in wavelength], rtol=1e-6)


def test_uva_carries_a_third_of_the_erythema_of_g173() -> None:
    """A high summer sun has 15 % (Herzog and Osterwalder 2015); AM 1.5 has 32 % by our own sum.

    The sum runs from 320 nm with half of that cell, so that UVB and UVA share the border.
    """
    data = photobiology()
    effective = data.sunlight_W_m2_nm * data.erythema
    uva = effective[data.wavelength_nm > 320].sum() + 0.5 * effective[data.wavelength_nm == 320]
    share = 100 * float(uva[0]) / effective.sum()
    assert share == pytest.approx(32.0, abs=0.5)
    assert share > 15.0


def test_both_grids_of_sunlight_agree() -> None:
    data = photobiology()
    np.testing.assert_allclose(sunlight(data.wavelength_nm), data.sunlight_W_m2_nm, rtol=1e-12)


def test_uva_stand_in_follows_the_remembered_lamp() -> None:
    """From memory: ISO 24443 UVA lamp at 325, 332 and 339 nm, relative; rms of the fit 1.5 %."""
    remembered = np.array([4.294e-05, 2.132e-04, 4.778e-04])
    ours = photobiology().uva_source_relative[np.array([325, 332, 339]) - 290]
    ratio = ours / remembered
    np.testing.assert_allclose(ratio / ratio.mean(), 1.0, atol=0.04)
