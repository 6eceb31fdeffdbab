"""Viscosity of suspensions and emulsions from the volume they fill."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = ["krieger_dougherty", "krieger_dougherty_volume_fraction", "log_mixed_viscosity"]

Array = NDArray[np.float64]


def krieger_dougherty(
    volume_fraction: ArrayLike, packing: ArrayLike, intrinsic: ArrayLike = 2.5
) -> Array:
    """Return the relative viscosity of a suspension or of an emulsion of stiff drops.

    Parameters
    ----------
    volume_fraction : array_like
        Of particles or drops, 0 or more. [-]
    packing : array_like
        Volume fraction at which it no longer flows. [-]
    intrinsic : array_like
        Intrinsic viscosity, 2.5 for spheres. [-]

    Returns
    -------
    ndarray
        (1 - phi/phi_m)^(-[eta] phi_m), inf from phi_m on. [-]

    Raises
    ------
    OutOfRangeError
        If a fraction is negative or a packing is not in 0..1.

    References
    ----------
    Krieger I.M., Dougherty T.J. (1959) Trans. Soc. Rheol. 3, 137 (trade relations R07, R14).

    Examples
    --------
    Trade relation R14, half water with packing 0.74 and 0.84:

    >>> print([round(float(v), 1) for v in krieger_dougherty(0.5, np.array([0.74, 0.84]))])
    [8.0, 6.7]
    """
    phi = np.asarray(volume_fraction, dtype=float)
    limit = np.asarray(packing, dtype=float)
    if np.any(~(phi >= 0)):
        raise OutOfRangeError(f"volume fraction is {phi.min():g}, expected 0 or more")
    if np.any(~((limit > 0) & (limit <= 1))):
        raise OutOfRangeError(f"packing is {limit.min():g}, expected above 0 to 1")
    room = np.maximum(1 - phi / limit, 0.0)
    with np.errstate(divide="ignore"):
        relative: Array = room ** (-np.asarray(intrinsic, dtype=float) * limit)
    return relative


def log_mixed_viscosity(viscosity_mPas: ArrayLike, share: ArrayLike) -> float:
    """Return the viscosity of a blend of oils, ln eta = sum x ln eta (trade relation R61).

    Parameters
    ----------
    viscosity_mPas : array_like, shape (n,)
        Of each oil, > 0. [mPa s]
    share : array_like, shape (n,)
        Volume shares in any scale, >= 0. [-]

    Returns
    -------
    float
        [mPa s]

    Raises
    ------
    OutOfRangeError
        If a viscosity is not positive or the shares are all 0.
    """
    eta, x = np.asarray(viscosity_mPas, dtype=float), np.asarray(share, dtype=float)
    if eta.size == 0 or np.any(~(eta > 0)):
        raise OutOfRangeError("viscosity of an oil is not above 0 mPa s")
    if not x.sum() > 0:
        raise OutOfRangeError("shares of the oils are all 0, expected some above 0")
    return float(np.exp(np.sum(x * np.log(eta)) / x.sum()))


def krieger_dougherty_volume_fraction(
    relative_viscosity: ArrayLike, packing: ArrayLike, intrinsic: ArrayLike = 2.5
) -> Array:
    """Return the volume fraction at which a suspension has a relative viscosity.

    Parameters
    ----------
    relative_viscosity : array_like
        1 or more. [-]
    packing : array_like
        Volume fraction at which it no longer flows. [-]
    intrinsic : array_like
        Intrinsic viscosity, 2.5 for spheres. [-]

    Returns
    -------
    ndarray
        phi_m (1 - eta_r^(-1/([eta] phi_m))), the inverse of `krieger_dougherty`. [-]

    Raises
    ------
    OutOfRangeError
        If a relative viscosity is below 1 or a packing is not in 0..1.

    References
    ----------
    Trade relation R07.
    """
    relative = np.asarray(relative_viscosity, dtype=float)
    limit = np.asarray(packing, dtype=float)
    if np.any(~(relative >= 1)):
        raise OutOfRangeError(f"relative viscosity is {relative.min():g}, expected 1 or more")
    if np.any(~((limit > 0) & (limit <= 1))):
        raise OutOfRangeError(f"packing is {limit.min():g}, expected above 0 to 1")
    exponent = -1.0 / (np.asarray(intrinsic, dtype=float) * limit)
    return np.asarray(limit * (1 - relative**exponent))
