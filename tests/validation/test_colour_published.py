"""Colour against published values and the open library colour-science."""

import warnings
from pathlib import Path

import numpy as np
import pytest

from zincite.data.colour_tables import observer_illuminants, skin_like_reflectances
from zincite.physics.colour import (
    delta_e00,
    hex_from_srgb,
    ita_deg,
    lab_from_xyz,
    srgb_from_lab,
    tristimulus_weights,
    white_point,
    xyz_from_lab,
    xyz_from_reflectance,
)

with warnings.catch_warnings():
    # The library warns at import about optional plotting packages; no concern of these tests.
    warnings.simplefilter("ignore")
    import colour

CASES = Path(__file__).parent / "cases"
SHARMA = np.loadtxt(CASES / "ciede2000_pairs.csv", delimiter=",", skiprows=2)
OBSERVERS = {
    "cie_1931_2deg": "CIE 1931 2 Degree Standard Observer",
    "cie_1964_10deg": "CIE 1964 10 Degree Standard Observer",
}


def _weights(observer="cie_1964_10deg", illuminant="d65"):
    tables = observer_illuminants()
    return tristimulus_weights(getattr(tables, observer), getattr(tables, illuminant))


def test_sharma_2005_table_is_whole():
    assert SHARMA.shape == (34, 7)


@pytest.mark.parametrize("pair", SHARMA, ids=[str(i + 1) for i in range(34)])
def test_ciede2000_meets_sharma_2005(pair):
    """Sharma, Wu, Dalal (2005), table 1; half a unit of the fourth decimal."""
    assert delta_e00(pair[:3], pair[3:6]) == pytest.approx(pair[6], abs=5.0001e-5)
    assert delta_e00(pair[3:6], pair[:3]) == pytest.approx(pair[6], abs=5.0001e-5)


def test_ciede2000_meets_colour_science_everywhere():
    """Oracle: colour-science, method CIE 2000; rounding only."""
    rng = np.random.default_rng(2005)
    first = rng.uniform([0, -110, -110], [100, 110, 110], (20000, 3))
    near = first + rng.normal(0, 2, first.shape)
    grey = rng.uniform(0, 100, first.shape) * [1, 0, 0]
    for second in (first[::-1], near, grey):
        expected = colour.delta_E(first, second, method="CIE 2000")
        np.testing.assert_allclose(delta_e00(first, second), expected, atol=1e-10)


def test_tables_are_those_of_colour_science():
    """The shipped observers and lights against the library's own, to their printed digits."""
    tables = observer_illuminants()
    np.testing.assert_array_equal(tables.wavelength_nm, np.arange(380, 781, 5))
    for ours, theirs in OBSERVERS.items():
        library = colour.MSDS_CMFS[theirs]
        expected = np.array([library[w] for w in tables.wavelength_nm])
        np.testing.assert_allclose(getattr(tables, ours), expected, atol=2e-7)
    for ours, theirs in (("d65", "D65"), ("d50", "D50")):
        library = colour.SDS_ILLUMINANTS[theirs]
        expected = np.array([library[w] for w in tables.wavelength_nm])
        # five significant digits: half a unit of the second decimal
        np.testing.assert_allclose(getattr(tables, ours), expected, atol=5.001e-3)


@pytest.mark.parametrize(
    ("observer", "illuminant", "white"),
    [
        ("cie_1964_10deg", "d65", (94.811, 100.0, 107.304)),
        ("cie_1931_2deg", "d65", (95.047, 100.0, 108.883)),
        ("cie_1931_2deg", "d50", (96.422, 100.0, 82.521)),
    ],
)
def test_white_points_meet_the_standard(observer, illuminant, white):
    """ISO 11664-2 and ASTM E308 white points (1 nm, 360-830 nm).

    Ours end at 380 and 780 nm and step by 5 nm, which costs up to 0.02 in Z.
    """
    np.testing.assert_allclose(white_point(_weights(observer, illuminant)), white, atol=0.025)


@pytest.mark.parametrize("observer", OBSERVERS)
def test_tristimulus_values_meet_colour_science(observer):
    """Oracle: its integration method on the same 5 nm grid; illuminants differ by rounding."""
    samples, tables = skin_like_reflectances(), observer_illuminants()
    shape = colour.SpectralShape(380, 780, 5)
    cmfs = colour.MSDS_CMFS[OBSERVERS[observer]].copy().align(shape)
    light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape)
    ours = xyz_from_reflectance(samples.reflectance, getattr(tables, observer), tables.d65)
    for spectrum, xyz in zip(samples.reflectance, ours, strict=True):
        sd = colour.SpectralDistribution(spectrum, shape.wavelengths)
        expected = colour.sd_to_XYZ(sd, cmfs, light, method="Integration")
        np.testing.assert_allclose(xyz, expected, atol=2e-3)


def test_lab_meets_colour_science_down_to_black():
    """Oracle: colour-science XYZ to Lab, the linear part included."""
    rng = np.random.default_rng(15)
    white = white_point(_weights())
    xyz = np.concatenate(
        [rng.uniform(0, 100, (2000, 3)), rng.uniform(0, 1, (2000, 3)), [[0, 0, 0]]]
    )
    chromaticity = white[:2] / white.sum()
    expected = colour.XYZ_to_Lab(xyz / 100.0, chromaticity)
    lab = lab_from_xyz(xyz, white)
    np.testing.assert_allclose(lab, expected, atol=1e-9)
    np.testing.assert_allclose(xyz_from_lab(lab, white), xyz, atol=1e-9)


@pytest.mark.parametrize(("derived", "tolerance"), [(True, 2e-7), (False, 0.5 / 255)])
def test_srgb_meets_colour_science(derived, tolerance):
    """Oracle: its sRGB, with the matrix derived from the primaries or the printed one.

    The first differs by rounding, the second (four decimals) by less than half an 8-bit step.
    """
    rgb = np.random.default_rng(61966).uniform(0, 1, (3000, 3))
    space = colour.RGB_COLOURSPACES["sRGB"].copy()
    space.use_derived_matrix_RGB_to_XYZ = derived
    lab = colour.XYZ_to_Lab(
        colour.RGB_to_XYZ(rgb, space, apply_cctf_decoding=True), space.whitepoint
    )
    np.testing.assert_allclose(srgb_from_lab(lab).srgb, rgb, atol=tolerance)


def test_srgb_of_white_black_and_middle_grey():
    """White and black by definition (IEC 61966-2-1); L* 50 is 119 of 255 by its transfer curve.

    Y(L* 50) = ((50 + 16)/116)^3 = 0.184187; 1.055 Y^(1/2.4) - 0.055 = 0.46633; times 255 = 118.9.
    """
    screen = srgb_from_lab([[100.0, 0, 0], [0.0, 0, 0], [50.0, 0, 0], [60.0, -90, 80]])
    assert hex_from_srgb(screen.srgb)[:3] == ["#ffffff", "#000000", "#777777"]
    assert screen.in_gamut.tolist() == [True, True, True, False]


def test_skin_like_samples_have_their_typology_angles():
    """Standard samples: angles noted when they were collected (D65, 10 deg), in whole degrees."""
    lab = lab_from_xyz(skin_like_reflectances().reflectance @ _weights(), white_point(_weights()))
    np.testing.assert_allclose(ita_deg(lab), [-42, 42, 55, 40, 48, 5], atol=0.5)
