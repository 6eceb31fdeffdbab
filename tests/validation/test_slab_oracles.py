"""Slabs and stacks against general-purpose transfer codes.

PythonicDISORT (discrete ordinates, 64 streams, no faces) and iadpython (adding-doubling with
Fresnel faces, 16 points, good to 1e-3 by its own check against Monte Carlo). Faces and ground
together: photons counted one by one, `tests/reference/slab_monte_carlo.py`.
"""

import warnings

import numpy as np
import pytest

from reference.slab_monte_carlo import slab_by_photons
from zincite.physics.layers import layered
from zincite.physics.slab import slab

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # of the libraries' own imports
    import iadpython
    from PythonicDISORT import pydisort

STREAMS = 64
# the library itself moves by 3e-9 between 62, 64 and 66 streams when albedo nears 1
TOLERANCE = 1e-8


def _disort(depths, albedos, asymmetries, mu0, ground):
    """Reflected and net transmitted share of the incident flux, layers from the top."""
    g = np.asarray(asymmetries, dtype=float)[:, None]
    total = np.cumsum(depths)
    diffuse = mu0 is None
    _, upward, downward = pydisort(
        total,
        np.asarray(albedos, dtype=float),
        STREAMS,
        g ** np.arange(STREAMS + 1),
        1.0 if diffuse else mu0,
        0.0 if diffuse else 1.0 / mu0,
        0.0,
        NLeg=STREAMS,
        NFourier=1,
        only_flux=True,
        f_arr=g[:, 0] ** STREAMS,
        b_neg=1 / np.pi if diffuse else 0,
        BDRF_Fourier_modes=[ground] if ground else [],
    )[:3]
    spread, direct = downward(total[-1])
    return float(upward(0.0)), float((1 - ground) * (spread + direct))


def _cases(count):
    rng = np.random.default_rng(1988)
    for number in range(count):
        depth = float(10 ** rng.uniform(-2, 1.6))
        albedo = float(1 - 10 ** rng.uniform(-5, 0))
        g = float(rng.uniform(0, 0.85))
        mu0 = None if number % 4 == 0 else float(rng.uniform(0.2, 1))
        yield depth, albedo, g, mu0, float(rng.choice([0.0, 0.0, rng.uniform(0.05, 0.95)]))


def test_slabs_meet_pythonic_disort():
    """80 slabs: optical depth 0.01 to 40, albedo 0 to 0.99999, g to 0.85, any ground."""
    for depth, albedo, g, mu0, ground in _cases(80):
        expected = _disort([depth], [albedo], [g], mu0, ground)
        flux = slab(
            depth,
            albedo,
            g,
            incidence_cosine="diffuse" if mu0 is None else mu0,
            ground_reflectance=ground,
            points=STREAMS // 2,
        )
        got = (flux.reflected, flux.transmitted)
        np.testing.assert_allclose(
            got, expected, rtol=0, atol=TOLERANCE, err_msg=str((depth, albedo, g, mu0, ground))
        )


def test_stacks_meet_pythonic_disort():
    """12 stacks of 2 to 5 unlike layers over black and grey ground."""
    rng = np.random.default_rng(1969)
    for number in range(12):
        count = int(rng.integers(2, 6))
        depths = 10 ** rng.uniform(-1.5, 1, count)
        albedos = 1 - 10 ** rng.uniform(-4, 0, count)
        g = rng.uniform(0, 0.8, count)
        mu0 = None if number % 3 == 0 else float(rng.uniform(0.2, 1))
        ground = 0.6 if number % 2 else 0.0
        expected = _disort(depths, albedos, g, mu0, ground)
        flux = layered(
            depths,
            albedos,
            g[:, None] ** np.arange(STREAMS + 1),
            points=STREAMS // 2,
            incidence="diffuse" if mu0 is None else mu0,
            ground_reflectance=ground,
        )
        got = (flux.reflected, flux.transmitted)
        np.testing.assert_allclose(got, expected, rtol=0, atol=TOLERANCE)


@pytest.mark.parametrize("index", [1.33, 1.45, 1.6])
def test_slabs_with_faces_meet_adding_doubling(index):
    """8 slabs an index in air; the library is off by up to 5e-4 normal and 8e-4 diffuse."""
    rng = np.random.default_rng(1993)
    for _ in range(8):
        depth, g = float(10 ** rng.uniform(-1, 1.3)), float(rng.uniform(0, 0.8))
        albedo = float(1 - 10 ** rng.uniform(-4, -0.2))
        sample = iadpython.ad.Sample(a=albedo, b=depth, g=g, n=index, quad_pts=16)
        r_normal, t_normal, r_diffuse, t_diffuse = map(float, sample.rt())
        normal = slab(depth, albedo, g, film_index=index)
        diffuse = slab(depth, albedo, g, film_index=index, incidence_cosine="diffuse")
        np.testing.assert_allclose(normal[:2], (r_normal, t_normal), rtol=0, atol=6e-4)
        np.testing.assert_allclose(diffuse[:2], (r_diffuse, t_diffuse), rtol=0, atol=1.2e-3)


@pytest.mark.parametrize(
    "case",
    [
        # a pigment film in air over skin of a lower index
        {"depth": 1.5, "albedo": 0.95, "g": 0.6, "film": 1.46, "below": 1.4, "ground": 0.5},
        {"depth": 0.3, "albedo": 0.8, "g": 0.3, "film": 1.5, "below": 1.0, "ground": 0.8},
        {"depth": 2.0, "albedo": 0.7, "g": 0.5, "film": 1.33, "below": 1.6, "ground": 0.3},
        {"depth": 1.0, "albedo": 0.99, "g": 0.7, "film": 1.2, "above": 1.5, "below": 1.3},
        {"depth": 4.0, "albedo": 1.0, "g": 0.0, "film": 1.5, "above": 1.33, "ground": 0.9},
        {"depth": 0.7, "albedo": 0.9, "g": 0.4, "film": 1.0, "above": 1.4, "ground": 0.6},
    ],
)
@pytest.mark.parametrize("incidence", [1.0, 0.6, "diffuse"])
def test_faces_and_ground_meet_photons(case, incidence):
    """300,000 photons a case: four standard errors of a share are at most 0.0037."""
    photons = 300_000
    counted = slab_by_photons(
        **case, incidence=incidence, photons=photons, rng=np.random.default_rng(1995)
    )
    flux = slab(
        case["depth"],
        case["albedo"],
        case["g"],
        film_index=case["film"],
        above_index=case.get("above", 1.0),
        below_index=case.get("below", 1.0),
        ground_reflectance=case.get("ground", 0.0),
        incidence_cosine=incidence,
    )
    error = 4 * np.sqrt(counted * (1 - counted) / photons) + 1e-4
    assert np.all(np.abs(np.array(flux) - counted) < error), (np.array(flux), counted)
