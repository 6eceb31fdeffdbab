"""Mixing rules: one index or dielectric function for several materials.

Convention: epsilon = m^2, m = n + ik with k >= 0.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from zincite.errors import OutOfRangeError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = ["bruggeman", "lorentz_lorenz_mix", "maxwell_garnett"]


def _fraction(volume_fraction: ArrayLike) -> NDArray[np.float64]:
    fraction = np.asarray(volume_fraction, dtype=np.float64)
    if not np.all((fraction >= 0.0) & (fraction <= 1.0)):
        raise OutOfRangeError(
            f"volume fraction {float(fraction.min()):g} to {float(fraction.max()):g} found, "
            "expected 0 to 1"
        )
    return fraction


def lorentz_lorenz_mix(n: ArrayLike, volume_fraction: ArrayLike) -> NDArray[np.float64]:
    """Return the index of a mixture of transparent liquids.

    Parameters
    ----------
    n : array_like, shape (..., i)
        Index of each component. [-]
    volume_fraction : array_like, shape (i,) or (..., i)
        Share of the volume before mixing, >= 0, summing to 1 within 1e-6. [-]

    Returns
    -------
    ndarray, shape (...)
        Index of the mixture. [-]

    Raises
    ------
    OutOfRangeError
        If a fraction is impossible or the fractions do not sum to 1.

    Notes
    -----
    (n^2 - 1)/(n^2 + 2) adds by volume (Lorentz 1880, Lorenz 1880); no volume change on mixing.

    Examples
    --------
    >>> round(float(lorentz_lorenz_mix([1.40, 1.50], [0.5, 0.5])), 4)
    1.4491
    """
    index, fraction = np.asarray(n, dtype=np.float64), _fraction(volume_fraction)
    if not np.allclose(fraction.sum(axis=-1), 1.0, rtol=0.0, atol=1e-6):
        raise OutOfRangeError(
            f"volume fractions sum to {float(np.ravel(fraction.sum(axis=-1))[0]):g}, expected 1"
        )
    total = np.sum(fraction * (index**2 - 1.0) / (index**2 + 2.0), axis=-1)
    return np.asarray(np.sqrt((1.0 + 2.0 * total) / (1.0 - total)))


def maxwell_garnett(
    eps_inclusion: ArrayLike, eps_host: ArrayLike, fraction: ArrayLike
) -> NDArray[np.complex128]:
    """Return the dielectric function of small spheres in a host.

    Parameters
    ----------
    eps_inclusion, eps_host : array_like
        Dielectric functions, broadcast. [-]
    fraction : array_like
        Volume fraction of the inclusions, 0-1. [-]

    Returns
    -------
    ndarray of complex, broadcast shape

    Raises
    ------
    OutOfRangeError
        If a fraction is outside 0-1.

    Notes
    -----
    (e - eh)/(e + 2 eh) = f (ei - eh)/(ei + 2 eh) (Bohren and Huffman 1983, eq. 8.50). For
    inclusions far smaller than the wavelength; the host must stay the continuous phase.
    """
    inclusion = np.asarray(eps_inclusion, dtype=np.complex128)
    host = np.asarray(eps_host, dtype=np.complex128)
    share = _fraction(fraction) * (inclusion - host) / (inclusion + 2.0 * host)
    return np.asarray(host * (1.0 + 2.0 * share) / (1.0 - share))


def bruggeman(eps_a: ArrayLike, eps_b: ArrayLike, fraction: ArrayLike) -> NDArray[np.complex128]:
    """Return the dielectric function of two materials that share the space on equal terms.

    Parameters
    ----------
    eps_a, eps_b : array_like
        Dielectric functions with Im >= 0, broadcast. [-]
    fraction : array_like
        Volume fraction of a, 0-1. [-]

    Returns
    -------
    ndarray of complex, broadcast shape
        The root with Im >= 0. [-]

    Raises
    ------
    OutOfRangeError
        If a fraction is outside 0-1.

    Notes
    -----
    f (ea - e)/(ea + 2 e) + (1 - f)(eb - e)/(eb + 2 e) = 0 (Bohren and Huffman 1983, eq. 8.51).
    The two roots multiply to -ea eb/2, so divided by sqrt(ea) sqrt(eb) their real parts differ in
    sign; the positive one is the material. That also decides between two real roots.
    """
    a = np.asarray(eps_a, dtype=np.complex128)
    b = np.asarray(eps_b, dtype=np.complex128)
    f = _fraction(fraction)
    linear = (3.0 * f - 1.0) * a + (2.0 - 3.0 * f) * b
    root = np.sqrt(linear**2 + 8.0 * a * b)
    plus, minus = (linear + root) / 4.0, (linear - root) / 4.0
    mean = np.sqrt(a) * np.sqrt(b)
    return np.asarray(np.where((plus * np.conj(mean)).real > 0.0, plus, minus))
