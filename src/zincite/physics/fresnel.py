"""Reflection at a smooth face between two clear media, for one direction and for diffuse light.

All indices are real ratios: index of the far side divided by index of the near side, or the index
of a medium against air. Light is unpolarised.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "diffuse_external",
    "diffuse_internal",
    "fresnel_normal",
    "fresnel_unpolarised",
    "saunderson",
    "saunderson_inverse",
]

_NEAR_ONE = 5e-2
"""Below this distance from 1 the closed form cancels (its terms grow as 1/(n-1)^3)."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


def _index(index: ArrayLike, name: str = "index", lowest: float = 0.0) -> NDArray[np.float64]:
    n = np.asarray(index, dtype=np.float64)
    if not np.all(np.isfinite(n)) or np.any(n <= 0) or np.any(n < lowest):
        allowed = f"{lowest:g} or more" if lowest else "a number above 0"
        raise OutOfRangeError(f"{name} is {n}, expected {allowed}")
    return n


def fresnel_normal(index: ArrayLike) -> NDArray[np.float64]:
    """Return the reflectance of a smooth face at normal incidence.

    Parameters
    ----------
    index : array_like
        Refractive-index ratio of the two sides, > 0. [-]

    Returns
    -------
    ndarray
        ((n - 1)/(n + 1))^2, the same from both sides. [-]

    Raises
    ------
    OutOfRangeError
        If an index is not above 0.

    Examples
    --------
    >>> print(f"{fresnel_normal(1.5):.2f}")
    0.04
    """
    n = _index(index)
    return np.asarray(((n - 1.0) / (n + 1.0)) ** 2)


def fresnel_unpolarised(cosine: ArrayLike, n_ratio: ArrayLike) -> NDArray[np.float64]:
    """Return the reflectance of a smooth face for unpolarised light of one direction.

    Parameters
    ----------
    cosine : array_like
        Cosine of the angle of incidence, 0..1. [-]
    n_ratio : array_like
        Index of the far side over that of the near side, > 0; below 1 there is total internal
        reflection beyond the critical angle. [-]

    Returns
    -------
    ndarray, broadcast shape
        Reflectance, 0..1. [-]

    Raises
    ------
    OutOfRangeError
        If a cosine is outside 0..1 or an index ratio not above 0.

    Notes
    -----
    Mean of the two polarisations (Born and Wolf, Principles of Optics, section 1.5.3).
    """
    mu, n = np.broadcast_arrays(np.asarray(cosine, dtype=np.float64), _index(n_ratio, "n_ratio"))
    if not np.all((mu >= 0) & (mu <= 1)):
        raise OutOfRangeError(f"cosine of incidence is {mu}, expected 0 to 1")
    # n^2 cos^2 on the far side, in the order that keeps its digits at grazing incidence
    beyond = (n - 1.0) * (n + 1.0) + mu**2
    far = np.sqrt(np.clip(beyond, 0.0, None)) / n
    # At grazing incidence on a matched face both denominators vanish; the face is then absent.
    across = mu + n * far
    along = n * mu + far
    safe_across = np.where(across > 0, across, 1.0)
    safe_along = np.where(along > 0, along, 1.0)
    s = np.where(across > 0, (mu - n * far) / safe_across, 0.0)
    p = np.where(along > 0, (n * mu - far) / safe_along, 0.0)
    return np.where(beyond < 0.0, 1.0, 0.5 * (s**2 + p**2))


def _closed_form(n: NDArray[np.float64]) -> NDArray[np.float64]:
    n2 = n * n
    plus, minus = n2 + 1.0, n2 - 1.0
    return np.asarray(
        0.5
        + (n - 1.0) * (3.0 * n + 1.0) / (6.0 * (n + 1.0) ** 2)
        + n2 * minus**2 / plus**3 * np.log((n - 1.0) / (n + 1.0))
        - 2.0 * n**3 * (n2 + 2.0 * n - 1.0) / (plus * (n2 * n2 - 1.0))
        + 8.0 * n2 * n2 * (n2 * n2 + 1.0) / (plus * (n2 * n2 - 1.0) ** 2) * np.log(n)
    )


def _quadrature(n: NDArray[np.float64]) -> NDArray[np.float64]:
    # cosine = t^4 crowds the points at grazing incidence, where the face turns bright.
    t = 0.5 * (_NODES + 1.0)
    mu = t**4
    weight = 0.5 * _WEIGHTS * 4.0 * t**3
    reflectance = fresnel_unpolarised(mu, n[..., None])
    return np.asarray(2.0 * np.sum(weight * mu * reflectance, axis=-1))


def diffuse_external(index: ArrayLike) -> NDArray[np.float64]:
    """Return the reflectance of a smooth face for perfectly diffuse light from the thinner side.

    Parameters
    ----------
    index : array_like
        Index of the denser side over the thinner one, >= 1. [-]

    Returns
    -------
    ndarray
        Reflectance, 0..1. [-]

    Raises
    ------
    OutOfRangeError
        If an index is below 1.

    Notes
    -----
    Closed form of the cosine-weighted mean of Fresnel's reflectance, Duntley S.Q. (1942),
    J. Opt. Soc. Am. 32, 61, and Judd D.B. (1942), J. Res. NBS 29, 329 (form from memory, held
    against quadrature by the tests). Near 1, where it cancels, a 64-point quadrature is used.

    Examples
    --------
    >>> print(f"{diffuse_external(1.5):.6f}")
    0.091778
    """
    n = _index(index, lowest=1.0)
    near = n - 1.0 < _NEAR_ONE
    closed = _closed_form(np.where(near, 1.5, n))
    if not np.any(near):
        return closed
    return np.where(near, _quadrature(n), closed)


def diffuse_internal(index: ArrayLike) -> NDArray[np.float64]:
    """Return the reflectance of a smooth face for perfectly diffuse light from the denser side.

    Parameters
    ----------
    index : array_like
        Index of the denser side over the thinner one, >= 1. [-]

    Returns
    -------
    ndarray
        1 - (1 - r_external)/n^2, total internal reflection included. [-]

    Raises
    ------
    OutOfRangeError
        If an index is below 1.

    Notes
    -----
    Follows from reciprocity: Judd D.B. (1942), J. Res. NBS 29, 329; Stern F. (1964), Appl. Opt.
    3, 111.

    Examples
    --------
    >>> print(f"{diffuse_internal(1.5):.6f}")
    0.596346
    """
    n = _index(index, lowest=1.0)
    return np.asarray(1.0 - (1.0 - diffuse_external(n)) / n**2)


def saunderson(internal: ArrayLike, k1: ArrayLike, k2: ArrayLike) -> NDArray[np.float64]:
    """Return the reflectance seen outside a smooth face over a diffusing body.

    Parameters
    ----------
    internal : array_like
        Diffuse reflectance of the body below the face, 0..1. [-]
    k1 : array_like
        Reflectance of the face for the light from outside, 0..1. [-]
    k2 : array_like
        Reflectance of the face for diffuse light from inside, 0..1. [-]

    Returns
    -------
    ndarray, broadcast shape
        k1 + (1 - k1)(1 - k2) R / (1 - k2 R), the mirror reflection included. [-]

    Notes
    -----
    Saunderson J.L. (1942), J. Opt. Soc. Am. 32, 727. Subtract `k1` for a reading without the
    mirror reflection.

    Examples
    --------
    >>> print(f"{saunderson(0.5, 0.04, 0.6):.7f}")
    0.3142857
    """
    r, first, second = (np.asarray(x, dtype=np.float64) for x in (internal, k1, k2))
    return np.asarray(first + (1.0 - first) * (1.0 - second) * r / (1.0 - second * r))


def saunderson_inverse(outside: ArrayLike, k1: ArrayLike, k2: ArrayLike) -> NDArray[np.float64]:
    """Return the reflectance below a smooth face from the one seen outside.

    Parameters
    ----------
    outside : array_like
        Reflectance seen outside, the mirror reflection included, >= k1. [-]
    k1, k2 : array_like
        As in `saunderson`.

    Returns
    -------
    ndarray, broadcast shape
        Diffuse reflectance of the body. [-]

    Raises
    ------
    OutOfRangeError
        If a reflectance is below that of the face alone.
    """
    r, first, second = (np.asarray(x, dtype=np.float64) for x in (outside, k1, k2))
    if np.any(r < first):
        raise OutOfRangeError(
            f"reflectance is {float(np.min(r)):.4g}, below that of the bare face "
            f"({float(np.max(first)):.4g}); expected a reading with the mirror reflection included"
        )
    through = (r - first) / (1.0 - first)
    return np.asarray(through / (1.0 - second + second * through))
