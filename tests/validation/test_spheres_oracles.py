"""Spheres against two independent codes and the small-size limit.

miepython (homogeneous spheres; general-purpose library) and the literal many-digit series of
Bohren and Huffman (1983), eq. 8.2, in `tests/reference/coated_sphere_mpmath.py`.
"""

import warnings

import numpy as np
import pytest

from reference.coated_sphere_mpmath import coated_sphere_series
from zincite.physics.spheres import coated_sphere

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # of the library's own imports
    import miepython

WAVELENGTH = 500.0
QUANTITIES = ("extinction", "scattering", "absorption", "asymmetry")


def _ours(x, y, core, shell):
    """Efficiencies by size parameters, in a medium of index 1."""
    x, y = np.asarray(x), np.asarray(y)
    thickness = np.maximum((y - x) * WAVELENGTH / (2 * np.pi), 0.0)
    return coated_sphere(x * WAVELENGTH / np.pi, thickness, core, shell, 1.0, WAVELENGTH)


def test_homogeneous_table_meets_miepython():
    """1500 spheres, x 0.05 to 30, n 0.7 to 3.2, k 0 and 1e-6 to 1.

    Below x 0.1 the library uses an expansion with a relative error near 1e-6.
    """
    rng = np.random.default_rng(1908)
    count = 1500
    x = np.exp(rng.uniform(np.log(0.05), np.log(30), count))
    k = np.where(rng.random(count) < 0.3, 0.0, 10 ** rng.uniform(-6, 0, count))
    n = rng.uniform(0.7, 3.2, count)
    extinction, scattering, _, asymmetry = miepython.efficiencies_mx(n - 1j * k, x)
    q = _ours(x, x, n + 1j * k, n + 1j * k)
    small = x < 0.12
    assert 100 < small.sum() < 300
    relative = np.where(small, 3e-6, 2e-9)
    assert np.all(np.abs(q.extinction / extinction - 1) < relative)
    assert np.all(np.abs(q.scattering / scattering - 1) < relative)
    assert np.all(np.abs(q.asymmetry - asymmetry) < np.where(small, 3e-6, 2e-9))
    # the library's absorption is a difference: right to its extinction's last digits
    assert np.all(np.abs(q.absorption - (extinction - scattering)) < relative * extinction)


def _agree(x, y, core, shell, *, relative=1e-11, absorption=None):
    expected = coated_sphere_series(x, y, core, shell)
    q = _ours(x, y, core, shell)
    for quantity in QUANTITIES:
        value = float(getattr(q, quantity))
        allowed = absorption if quantity == "absorption" and absorption else relative
        if quantity == "asymmetry":  # tends to 0 with x^2: held to the unit of a cosine
            assert value == pytest.approx(expected[quantity], rel=0, abs=relative), quantity
        else:
            assert value == pytest.approx(expected[quantity], rel=allowed, abs=1e-40), quantity


def _random_spheres(count):
    rng = np.random.default_rng(1951)
    for _ in range(count):
        y = np.exp(rng.uniform(np.log(0.05), np.log(15)))
        x = y * rng.uniform(0.3, 0.999)
        core, shell = (
            complex(rng.uniform(0.8, 3), rng.choice([0.0, 10 ** rng.uniform(-4, 0)]))
            for _ in range(2)
        )
        yield x, y, core, shell


def test_random_coated_spheres():
    """40 coated spheres with clear and absorbing cores and shells, size 0.05 to 15."""
    for sphere in _random_spheres(40):
        _agree(*sphere, absorption=2e-11)


@pytest.mark.parametrize(
    ("x", "y", "core", "shell"),
    [
        (20.0, 50.0, 1.4 + 0.01j, 1.6 + 0.66j),
        (49.5, 50.0, 2.0 + 0.0j, 1.6 + 1.2j),
        (20.0, 100.0, 1.33 + 0.0j, 1.6 + 0.66j),
    ],
)
def test_thick_absorbing_shells(x, y, core, shell):
    """Where upward recurrences are up to 33 % wrong (Yang 2003 on overflow in thick shells)."""
    _agree(x, y, core, shell, relative=2e-11)


@pytest.mark.parametrize("k", [1e-6, 1e-8, 1e-10])
@pytest.mark.parametrize(("x", "y"), [(0.01, 0.011), (0.8, 1.0), (5.0, 6.0), (20.0, 20.3)])
def test_weak_absorption_keeps_its_digits(x, y, k):
    """Absorption by an oxide core in a clear coat: 1e-7 wanted, 1e-12 reached."""
    _agree(x, y, 2.0 + k * 1j, 1.45 + 0j, absorption=1e-12)
    _agree(y, y, 2.0 + k * 1j, 2.0 + k * 1j, absorption=1e-12)


@pytest.mark.parametrize("k", [1e-6, 1e-8, 1e-10])
def test_weakly_absorbing_shell(k):
    """In the shell alone absorption is right to 1e-14 of a geometric cross-section, no better.

    Relative to the absorption of a thin shell that is about 1e-15/k.
    """
    for x, y in ((0.8, 1.0), (5.0, 6.0), (20.0, 20.3)):
        expected = coated_sphere_series(x, y, 2.0 + 0j, 1.45 + k * 1j)
        q = _ours(x, y, 2.0 + 0j, 1.45 + k * 1j)
        assert q.absorption == pytest.approx(expected["absorption"], rel=0, abs=1e-14)
        assert q.extinction == pytest.approx(expected["extinction"], rel=1e-13)


@pytest.mark.parametrize("shell", [1.5 + 0j, 1.5 + 0.2j])
@pytest.mark.parametrize("core", [2.6 + 0j, 2.6 + 0.3j])
def test_tiny_spheres(core, shell):
    """x = 1e-3 and 1e-4, where every term but the first vanishes."""
    for x, y in ((1e-3, 1.2e-3), (1e-4, 1.0001e-4), (1e-3, 1e-3)):
        _agree(x, y, core, shell if y > x else core)


ZEROS = {
    "pi": np.pi,
    "2 pi": 2 * np.pi,
    "7 pi": 7 * np.pi,
    "psi_1": 4.493409457909064,
    "psi_2": 5.76345919689455,
    "psi_3": 6.987932000500519,
    "psi_1 again": 7.725251836937707,
}


@pytest.mark.parametrize("zero", ZEROS.values(), ids=ZEROS.keys())
def test_zeros_of_the_riccati_bessel_functions(zero):
    """Each of y, m1 x, m2 x and m2 y at a zero of psi_n: ratios of psi are 0 or infinite there.

    A diameter times index that is a multiple of the wavelength is an everyday input.
    """
    for x, y, core, shell in (
        (zero, zero, 2.0, 2.0),
        (zero / 2, zero / 2, 2.0, 2.0),
        (zero / 2, zero / 2 * 1.1, 2.0, 1.5),
        (zero / 1.5, zero / 1.5 * 1.2, 2.1 + 0.1j, 1.5),
        (0.8 * zero / 1.5, zero / 1.5, 2.1 + 0.1j, 1.5),
        (0.8 * zero, zero, 2.1 + 0.1j, 1.5),
    ):
        _agree(x, y, complex(core), complex(shell))


def test_a_zero_in_company():
    """A sphere at a zero must not spoil, nor be spoiled by, the others of its block."""
    sizes = np.concatenate([np.linspace(2.9, 3.3, 41), [np.pi, 5.76345919689455]])
    together = _ours(0.9 * sizes, sizes, 2.1 + 0.1j, 1.5)
    for index, y in enumerate(sizes):
        alone = _ours(0.9 * y, y, 2.1 + 0.1j, 1.5)
        for quantity in QUANTITIES:
            np.testing.assert_allclose(
                getattr(together, quantity)[index], getattr(alone, quantity), rtol=1e-12
            )
