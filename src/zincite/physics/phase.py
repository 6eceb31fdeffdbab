"""Angular scattering by spheres and structure factors of crowded suspensions."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics._sphere_series import sphere_sums

__all__ = [
    "backscattering_efficiency",
    "crowded_scattering",
    "legendre_moments",
    "percus_yevick_structure_factor",
    "scattering_amplitudes",
    "scattering_coefficients",
]

Array = NDArray[np.float64]


def scattering_coefficients(
    core_size: ArrayLike, outer_size: ArrayLike, core_ratio: ArrayLike, shell_ratio: ArrayLike
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Return the Mie coefficients of coated spheres.

    Parameters
    ----------
    core_size, outer_size : array_like, shape (n,)
        Size parameters x = pi d n_medium / wavelength of core and outer sphere. [-]
    core_ratio, shell_ratio : array_like, complex
        Indices relative to the medium. [-]

    Returns
    -------
    a, b : ndarray, shape (orders, n)
        Electric and magnetic coefficients; orders are those that the largest sphere needs.

    References
    ----------
    Bohren and Huffman (1983), eqs 4.53 and 8.2.
    """
    x, y, m1, m2 = np.broadcast_arrays(
        np.atleast_1d(np.asarray(core_size, dtype=float)),
        np.asarray(outer_size, dtype=float),
        np.asarray(core_ratio),
        np.asarray(shell_ratio),
    )
    collected: list[NDArray[Any]] = []
    sphere_sums(x.ravel(), y.ravel(), m1.ravel(), m2.ravel(), collected)
    table = np.stack(collected)
    return table[:, 0], table[:, 1]


def backscattering_efficiency(
    a: NDArray[np.complex128], b: NDArray[np.complex128], outer_size: ArrayLike
) -> Array:
    """Return the radar backscattering efficiency (Bohren and Huffman 1983, eq. 4.82).

    Parameters
    ----------
    a, b : ndarray, shape (orders, n)
        Mie coefficients.
    outer_size : array_like, shape (n,)
        Size parameter of the outer sphere.

    Returns
    -------
    ndarray, shape (n,)
        |sum (-1)^n (2n+1) (a_n - b_n)|^2 / y^2. [-]
    """
    order = np.arange(1, a.shape[0] + 1)[:, None]
    total = np.sum((-1.0) ** order * (2 * order + 1) * (a - b), axis=0)
    value: Array = np.abs(total) ** 2 / np.asarray(outer_size, dtype=float) ** 2
    return value


def scattering_amplitudes(
    a: NDArray[np.complex128], b: NDArray[np.complex128], cosine: ArrayLike
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Return the amplitudes S1 and S2 (Bohren and Huffman 1983, eq. 4.74).

    Parameters
    ----------
    a, b : ndarray, shape (orders, n)
        Mie coefficients.
    cosine : array_like, shape (n_angles,)
        Cosines of the scattering angle.

    Returns
    -------
    s1, s2 : ndarray, shape (n, n_angles)
    """
    mu = np.asarray(cosine, dtype=float)
    s1 = np.zeros((a.shape[1], mu.size), dtype=complex)
    s2 = np.zeros_like(s1)
    before, angular = np.zeros_like(mu), np.ones_like(mu)  # pi_0, pi_1
    for index in range(a.shape[0]):
        n = index + 1
        slope = n * mu * angular - (n + 1) * before
        factor = (2 * n + 1) / (n * (n + 1))
        s1 += factor * (a[index, :, None] * angular + b[index, :, None] * slope)
        s2 += factor * (a[index, :, None] * slope + b[index, :, None] * angular)
        before, angular = angular, ((2 * n + 1) * mu * angular - (n + 1) * before) / n
    return s1, s2


def legendre_moments(
    intensity: ArrayLike, cosine: ArrayLike, weight: ArrayLike, count: int
) -> Array:
    """Return the Legendre moments chi_l of a phase function, chi_0 = 1.

    Parameters
    ----------
    intensity : array_like, shape (n_angles,)
        |S1|^2 + |S2|^2 in any scale.
    cosine, weight : array_like, shape (n_angles,)
        Gauss nodes and weights on [-1, 1].
    count : int
        Number of moments.

    Returns
    -------
    ndarray, shape (count,)
    """
    shape = np.asarray(intensity) * np.asarray(weight)
    table = np.polynomial.legendre.legvander(np.asarray(cosine), count - 1)
    moments = shape @ table
    scaled: Array = moments / moments[0]
    return scaled


def percus_yevick_structure_factor(q_diameter: ArrayLike, volume_fraction: ArrayLike) -> Array:
    """Return the structure factor of hard spheres.

    Parameters
    ----------
    q_diameter : array_like
        Scattering vector times sphere diameter, >= 0. [-]
    volume_fraction : array_like
        Of the spheres, 0 to 0.6. [-]

    Returns
    -------
    ndarray
        S(q), 1 for dilute suspensions. [-]

    Raises
    ------
    OutOfRangeError
        If the volume fraction is negative or above 0.6, or the scattering vector is negative.

    References
    ----------
    Percus J.K., Yevick G.J. (1958) Phys. Rev. 110, 1; closed form of Wertheim M.S. (1963)
    Phys. Rev. Lett. 10, 321. Limit S(0) = (1-phi)^4/(1+2 phi)^2.

    Examples
    --------
    >>> print(f"{float(percus_yevick_structure_factor(0.0, 0.1)):.4f}")
    0.4556
    """
    x = np.asarray(q_diameter, dtype=float)
    phi = np.asarray(volume_fraction, dtype=float)
    if np.any(~(x >= 0)):
        raise OutOfRangeError(
            f"scattering vector times diameter is {float(x[~(x >= 0)].ravel()[0]):g}, "
            "expected 0 or more"
        )
    if np.any(~((phi >= 0) & (phi <= 0.6))):
        raise OutOfRangeError(f"volume fraction is {phi.max():g}, expected 0 to 0.6")
    alpha = (1 + 2 * phi) ** 2 / (1 - phi) ** 4
    beta = -6 * phi * (1 + phi / 2) ** 2 / (1 - phi) ** 4
    gamma = phi * alpha / 2
    small = x < 0.3
    z = np.where(small, 1.0, x)
    sine, cosine = np.sin(z), np.cos(z)
    first = (sine - z * cosine) / z**3
    second = (2 * z * sine + (2 - z**2) * cosine - 2) / z**4
    third = (-(z**4) * cosine + 4 * ((3 * z**2 - 6) * cosine + (z**3 - 6 * z) * sine + 6)) / z**6
    # series of the three integrals for small z, where the closed forms cancel
    s2 = x**2
    first = np.where(small, 1 / 3 - s2 / 30 + s2**2 / 840, first)
    second = np.where(small, 1 / 4 - s2 / 36 + s2**2 / 960, second)
    third = np.where(small, 1 / 6 - s2 / 48 + s2**2 / 1200, third)
    direct = -24 * phi * (alpha * first + beta * second + gamma * third)
    value: Array = 1.0 / (1.0 - direct)
    return value


_ANGLES, _ANGLE_WEIGHTS = np.polynomial.legendre.leggauss(24)


def crowded_scattering(
    scattering: ArrayLike,
    asymmetry: ArrayLike,
    *,
    diameter_nm: ArrayLike,
    volume_fraction: ArrayLike,
    coherence: ArrayLike,
    medium_index: ArrayLike,
    wavelength_nm: ArrayLike,
) -> tuple[Array, Array]:
    """Return scattering and asymmetry of particles that hinder each other's neighbourhood.

    The phase function (Henyey-Greenstein of the particles' asymmetry) is multiplied by
    S'(q) = 1 + coherence (S(q) - 1), S of Percus and Yevick; all arguments broadcast.

    Parameters
    ----------
    scattering : array_like
        Scattering cross-section, in any scale.
    asymmetry : array_like
        Mean cosine of the isolated particles. [-]
    diameter_nm, volume_fraction : array_like
        Of the equivalent hard spheres. [nm], [-]
    coherence : array_like
        Share of the amplitude that is alike from particle to particle, <F>^2/<F^2>; 1 for one
        size, lower for a distribution (decoupling approximation). [-]
    medium_index, wavelength_nm : array_like
        Of the medium; vacuum wavelength. [-], [nm]

    Returns
    -------
    scattering, asymmetry : ndarray

    References
    ----------
    Kotlarchyk M., Chen S.-H. (1983) J. Chem. Phys. 79, 2461 (decoupling approximation);
    Fraden S., Maret G. (1990) Phys. Rev. Lett. 65, 512 (transport with S(q)).
    """
    shape = [
        np.asarray(v, dtype=float)[..., None]
        for v in (asymmetry, diameter_nm, volume_fraction, coherence, medium_index, wavelength_nm)
    ]
    g, diameter, phi, share, index, wavelength = shape
    wave_number = 2 * np.pi * index / wavelength
    q_diameter = 2 * wave_number * np.sqrt((1 - _ANGLES) / 2) * diameter
    factor = 1 + share * (percus_yevick_structure_factor(q_diameter, phi) - 1)
    phase = (1 - g**2) / (1 + g**2 - 2 * g * _ANGLES) ** 1.5 / 2
    weighted = phase * factor * _ANGLE_WEIGHTS
    # the quadrature of the undisturbed phase function cancels its own error
    norm = np.sum(phase * _ANGLE_WEIGHTS, axis=-1)
    total = np.sum(weighted, axis=-1)
    mean = np.sum(weighted * _ANGLES, axis=-1)
    lone_mean = np.sum(phase * _ANGLE_WEIGHTS * _ANGLES, axis=-1)
    corrected = np.clip(mean / total + (np.asarray(asymmetry) - lone_mean / norm), -0.99, 0.99)
    return np.asarray(scattering) * (total / norm), corrected
