"""Impossible sizes, indices, slabs and films: one clear sentence, and never a number."""

import numpy as np
import pytest

from zincite.errors import InputError, OutOfRangeError
from zincite.physics.films import (
    gamma_film_transmittance,
    gamma_film_weights,
    gamma_height_density,
    step_film,
)
from zincite.physics.layers import layered
from zincite.physics.phase import percus_yevick_structure_factor
from zincite.physics.photoprotection import protection_factor
from zincite.physics.sizes import (
    SizeNodes,
    effective_radius_and_variance,
    histogram_nodes,
    lognormal_nodes,
    number_fraction_below,
)
from zincite.physics.slab import slab
from zincite.physics.spheres import coated_sphere
from zincite.physics.suspension import uniform_shell_nm

NAN = float("nan")
INF = float("inf")
SPHERE = {
    "core_diameter_nm": 100.0,
    "shell_thickness_nm": 2.0,
    "core_index": 2.0,
    "shell_index": 1.45,
    "medium_index": 1.45,
    "wavelength_nm": 500.0,
}
SLAB = {"optical_depth": 1.0, "albedo": 0.9, "asymmetry": 0.5}
STACK = {"optical_depths": [1.0, 2.0], "albedos": 0.9, "moments": [1.0, 0.5, 0.25]}
ONE_SIZE = SizeNodes(np.array([100.0]), np.array([1.0]))


def _refused(call, *arguments, match, **named):
    """Raise is expected: one short sentence that says what was found and what is expected."""
    with pytest.raises(OutOfRangeError, match=match) as caught:
        call(*arguments, **named)
    sentence = str(caught.value)
    assert isinstance(caught.value, InputError)
    assert "\n" not in sentence
    assert "expected" in sentence
    assert len(sentence) < 120


@pytest.mark.parametrize(
    ("name", "value", "match"),
    [
        ("core_diameter_nm", 0.0, "core_diameter_nm is 0, expected a finite number above 0"),
        ("core_diameter_nm", -5.0, "core_diameter_nm is -5"),
        ("core_diameter_nm", [100.0, NAN], "core_diameter_nm is nan"),
        ("core_diameter_nm", INF, "core_diameter_nm is inf"),
        ("core_diameter_nm", 1e9, "size parameter is"),
        ("shell_thickness_nm", -0.1, "shell_thickness_nm is -0.1, expected 0 or more"),
        ("shell_thickness_nm", NAN, "shell_thickness_nm is nan"),
        ("core_index", 0.0, "core_index has n = 0, expected n > 0"),
        ("core_index", -1.5 + 1j, "core_index has n = -1.5"),
        ("core_index", 2.0 - 0.1j, "core_index has k = -0.1, expected k >= 0"),
        ("shell_index", [1.4, 1.4 - 1e-9j], "shell_index has k = -1e-09"),
        ("shell_index", complex(1.4, NAN), "shell_index holds a missing number"),
        ("medium_index", 0.0, "medium_index has n = 0"),
        ("medium_index", 1.45 + 0.1j, "medium_index has k = 0.1, expected a transparent medium"),
        ("wavelength_nm", 0.0, "wavelength_nm is 0"),
        ("wavelength_nm", -400.0, "wavelength_nm is -400"),
        ("wavelength_nm", NAN, "wavelength_nm is nan"),
    ],
)
def test_impossible_spheres(name, value, match):
    _refused(coated_sphere, match=match, **(SPHERE | {name: value}))


@pytest.mark.parametrize(
    ("name", "value", "match"),
    [
        ("optical_depth", -1e-3, "optical_depth is -0.001, expected 0 to inf"),
        ("optical_depth", NAN, "optical_depth is nan"),
        ("albedo", -0.1, "albedo is -0.1, expected 0 to 1"),
        ("albedo", [0.5, 1.1], "albedo is 1.1"),
        ("albedo", NAN, "albedo is nan"),
        ("asymmetry", 1.0, "asymmetry is 1, expected -0.99 to 0.99"),
        ("asymmetry", NAN, "asymmetry is nan"),
        ("film_index", 0.0, "film_index is 0"),
        ("above_index", -1.0, "above_index is -1"),
        ("below_index", NAN, "below_index is nan"),
        ("ground_reflectance", 1.2, "ground_reflectance is 1.2"),
        ("ground_reflectance", -0.2, "ground_reflectance is -0.2"),
        ("incidence_cosine", 0.0, "incidence_cosine is 0"),
        ("incidence_cosine", 1.5, "incidence_cosine is 1.5"),
        ("incidence_cosine", "scattered", "'scattered', expected a number or 'diffuse'"),
        ("points", 1, "points is 1, expected 2 or more"),
    ],
)
def test_impossible_slabs(name, value, match):
    _refused(slab, match=match, **(SLAB | {name: value}))


@pytest.mark.parametrize(
    ("name", "value", "match"),
    [
        ("optical_depths", [1.0, -1.0], "optical_depths is -1"),
        ("optical_depths", [], "optical_depths is empty"),
        ("albedos", [0.5, NAN], "albedos is nan"),
        ("moments", [0.9, 0.5], "moments do not begin with 1"),
        ("moments", [1.0, 1.5], "moments is 1.5"),
        ("incidence", 0.0, "incidence is 0"),
        ("incidence", "grey", "'grey', expected a number or 'diffuse'"),
        ("ground_reflectance", 2.0, "ground_reflectance is 2"),
        ("points", 0, "points is 0"),
    ],
)
def test_impossible_stacks(name, value, match):
    _refused(layered, match=match, **(STACK | {name: value}))


@pytest.mark.parametrize(
    ("median", "gsd", "match"),
    [
        (0.0, 1.5, "median diameter is 0.0 nm"),
        (-10.0, 1.5, "median diameter is -10.0 nm"),
        (NAN, 1.5, "median diameter is nan nm"),
        (INF, 1.5, "median diameter is inf nm"),
        (100.0, 0.9, "geometric standard deviation is 0.9, expected 1 or more"),
        (100.0, NAN, "geometric standard deviation is nan"),
    ],
)
def test_impossible_lognormals(median, gsd, match):
    _refused(lognormal_nodes, median, gsd, match=match)
    _refused(number_fraction_below, 100.0, median, gsd, match=match)
    _refused(effective_radius_and_variance, median, gsd, match=match)


def test_an_unknown_weighting():
    _refused(lognormal_nodes, 100.0, 1.5, weighting="mass", match="'volume' or 'number'")


@pytest.mark.parametrize(
    ("diameter", "share", "match"),
    [
        ([], [], "size histogram is empty or uneven"),
        ([10.0, 20.0], [1.0], "size histogram is empty or uneven"),
        ([10.0, 20.0], [0.0, 0.0], "all shares are 0"),
        ([10.0, 20.0], [1.0, -0.1], "negative or missing share"),
        ([10.0, 20.0], [1.0, NAN], "negative or missing share"),
        ([0.0, 20.0], [1.0, 1.0], "a diameter of 0 nm"),
        ([10.0, NAN], [1.0, 1.0], "a diameter of nan nm"),
        ([10.0, INF], [1.0, 1.0], "a diameter of inf nm"),
    ],
)
def test_impossible_histograms(diameter, share, match):
    _refused(histogram_nodes, diameter, share, match=match)


@pytest.mark.parametrize(
    ("call", "arguments", "match"),
    [
        (gamma_film_weights, (0.2,), "film shape is 0.2, expected 0.3 to 20"),
        (gamma_film_weights, ([1.0, NAN],), "film shape is nan"),
        (gamma_film_transmittance, (-1.0, 1.0), "absorbance is -1, expected 0 or more"),
        (gamma_film_transmittance, (NAN, 1.0), "absorbance is nan"),
        (gamma_film_transmittance, (1.0, 0.0), "film shape is 0, expected above 0"),
        (gamma_height_density, (0.0, 1.0), "relative height is 0, expected above 0"),
        (gamma_height_density, (1.0, -2.0), "film shape is -2"),
        (step_film, (0.0, 0.5), "share 0.0"),
        (step_film, (0.3, 1.1), "depth 1.1"),
        (step_film, (NAN, 0.5), "share nan"),
        (percus_yevick_structure_factor, (-1.0, 0.1), "scattering vector times diameter is -1"),
        (percus_yevick_structure_factor, (1.0, 0.7), "volume fraction is 0.7"),
        (percus_yevick_structure_factor, (1.0, NAN), "volume fraction is nan"),
        (uniform_shell_nm, (ONE_SIZE, -0.1), "coating volume ratio is -0.1"),
        (uniform_shell_nm, (ONE_SIZE, NAN), "coating volume ratio is nan"),
        (protection_factor, ([0.5, 1.2], [1, 1], [1, 1]), "transmittance is 1.2"),
        (protection_factor, ([0.5, NAN], [1, 1], [1, 1]), "transmittance is nan"),
    ],
)
def test_impossible_films_and_suspensions(call, arguments, match):
    _refused(call, *arguments, match=match)


def test_a_medium_with_a_trace_of_absorption_is_taken_as_clear():
    clear = coated_sphere(**SPHERE)
    traced = coated_sphere(**(SPHERE | {"medium_index": 1.45 + 1e-6j}))
    np.testing.assert_array_equal(clear, traced)


def test_empty_arrays_give_empty_arrays():
    assert coated_sphere(**(SPHERE | {"wavelength_nm": []})).extinction.shape == (0,)
    assert slab(**(SLAB | {"albedo": []})).reflected.shape == (0,)
