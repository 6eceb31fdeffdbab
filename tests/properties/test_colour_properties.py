"""What must hold for every colour, film and face, whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from zincite.data.colour_tables import observer_illuminants
from zincite.physics.colour import (
    contrast_ratio,
    delta_e00,
    ita_deg,
    lab_from_xyz,
    srgb_from_lab,
    tristimulus_weights,
    white_point,
    xyz_from_reflectance,
)
from zincite.physics.fresnel import diffuse_external, diffuse_internal, fresnel_unpolarised
from zincite.physics.skin import internal_from_surface, surface_reflectance
from zincite.physics.two_flux import kubelka_munk_layer

TABLES = observer_illuminants()
WEIGHTS = tristimulus_weights(TABLES.cie_1964_10deg, TABLES.d65)
WHITE = white_point(WEIGHTS)

labs = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120)).map(np.array)
fractions = st.floats(0, 1)
spectra = arrays(np.float64, 81, elements=fractions)


@given(labs, labs)
def test_difference_is_symmetric_and_never_negative(first, second):
    forward = delta_e00(first, second)
    assert forward >= 0
    assert forward == pytest.approx(delta_e00(second, first), abs=1e-9)


@given(labs)
def test_a_colour_does_not_differ_from_itself(lab):
    assert delta_e00(lab, lab) == 0


@given(
    arrays(np.float64, (4, 1, 3), elements=st.floats(0, 100)),
    arrays(np.float64, (5, 3), elements=st.floats(0, 100)),
)
def test_batches_give_what_single_pairs_give(first, second):
    batch = delta_e00(first, second)
    assert batch.shape == (4, 5)
    single = [[float(delta_e00(a[0], b)) for b in second] for a in first]
    np.testing.assert_allclose(batch, single, atol=1e-9)


@given(st.floats(0, 1))
def test_a_neutral_grey_has_no_hue(level):
    lab = lab_from_xyz(np.full(81, level) @ WEIGHTS, WHITE)
    np.testing.assert_allclose(lab[1:], 0.0, atol=1e-9)


def test_perfect_white_is_100_0_0():
    lab = lab_from_xyz(xyz_from_reflectance(np.ones(81), TABLES.cie_1964_10deg, TABLES.d65), WHITE)
    np.testing.assert_allclose(lab, [100, 0, 0], atol=1e-10)


@given(spectra, st.floats(0, 1))
def test_less_light_is_never_lighter(spectrum, factor):
    lightness = lab_from_xyz(np.stack([spectrum, spectrum * factor]) @ WEIGHTS, WHITE)[:, 0]
    assert lightness[1] <= lightness[0] + 1e-12
    assert -1e-9 <= lightness[1] <= 100 + 1e-9


@given(st.floats(0.1, 60), st.floats(0, 100), st.floats(1e-3, 50))
def test_typology_angle_grows_with_lightness(b, lightness, step):
    low, high = ita_deg([[lightness, 5.0, b], [lightness + step, 5.0, b]])
    assert high > low
    assert low == pytest.approx(np.rad2deg(np.arctan((lightness - 50) / b)))  # Chardon 1991


@given(st.floats(51, 100), st.floats(-20, 20))
def test_typology_angle_does_not_jump_where_b_changes_sign(lightness, b):
    near = ita_deg([[lightness, 0.0, b], [lightness, 0.0, b - 1e-6]])
    assert 0 < near[1] - near[0] < 1e-3


@given(labs)
def test_screen_colours_stay_in_range(lab):
    screen = srgb_from_lab(lab)
    assert np.all((screen.srgb >= 0) & (screen.srgb <= 1))


@given(spectra, spectra)
def test_contrast_ratio_lies_between_bare_ground_and_full_hiding(first, second):
    black, white = np.minimum(first, second), np.maximum(first, second)
    white = np.maximum(white, 0.01)
    assert -1e-9 <= contrast_ratio(black, white, WEIGHTS) <= 100 + 1e-9


@given(st.floats(0, 50), st.floats(0, 50), st.floats(0, 10), fractions)
def test_two_flux_makes_no_light(absorption, scattering, thickness, ground):
    layer = kubelka_munk_layer(absorption, scattering, thickness, ground)
    assert layer.reflectance >= 0
    assert layer.transmittance >= 0
    assert layer.reflectance + layer.transmittance <= 1 + 1e-12
    assert layer.reflectance - 1e-12 <= layer.over_background <= 1 + 1e-12


@given(st.floats(0, 5), st.floats(0.01, 5), st.floats(0.01, 2), st.floats(0.01, 2), fractions)
def test_two_layers_of_one_stuff_are_one_layer(absorption, scattering, upper, lower, ground):
    below = kubelka_munk_layer(absorption, scattering, lower, ground).over_background
    stacked = kubelka_munk_layer(absorption, scattering, upper, below).over_background
    whole = kubelka_munk_layer(absorption, scattering, upper + lower, ground).over_background
    assert stacked == pytest.approx(float(whole), abs=1e-10)


@given(st.floats(0.02, 1), st.floats(1, 3))
def test_faces_reflect_alike_along_one_ray_from_both_sides(cosine, n):
    """Stokes' reversibility of a ray that crosses the face."""
    inner = np.sqrt(1 - (1 - cosine**2) / n**2)
    outside, inside = fresnel_unpolarised(cosine, n), fresnel_unpolarised(inner, 1 / n)
    assert outside == pytest.approx(float(inside), abs=1e-9)


@given(st.just(0.0) | st.floats(1e-150, 1))  # smaller ones vanish when squared
def test_a_matched_face_is_not_there(cosine):
    assert fresnel_unpolarised(cosine, 1.0) == 0


@given(st.floats(1, 4))
def test_the_dense_side_reflects_more_diffuse_light(n):
    assert -1e-15 <= diffuse_external(n) <= diffuse_internal(n) + 1e-15
    assert diffuse_internal(n) < 1


@given(fractions, st.floats(1, 1.6))
def test_surface_reflectance_and_its_inverse(internal, index):
    outside = surface_reflectance(internal, index)
    assert 0 <= outside <= 1 + 1e-12
    assert internal_from_surface(outside, index) == pytest.approx(internal, abs=1e-9)
