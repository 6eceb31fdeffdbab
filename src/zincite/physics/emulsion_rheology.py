"""Relative viscosity of emulsions whose drops flow inside, and its one-point calibration."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "calibrated_packing",
    "calibrated_phi100",
    "pal_viscosity",
    "phi100_viscosity",
    "yaron_gal_or_viscosity",
]

Array = NDArray[np.float64]

_PHI100_LIMIT, _PHI100_EXPONENT = 1.187, 2.49  # trade relation R11 (source S107)
_STEPS = 60  # Newton halves its error at worst and squares it near the end
_CLOSE = 1e-13


def _fraction(volume_fraction: ArrayLike) -> Array:
    phi = np.asarray(volume_fraction, dtype=float)
    if np.any(~((phi >= 0) & (phi <= 1))):
        raise OutOfRangeError(f"volume fraction of drops is {phi.min():g}, expected 0 to 1")
    return phi


def _ratio(viscosity_ratio: ArrayLike) -> Array:
    ratio = np.asarray(viscosity_ratio, dtype=float)
    if np.any(~(ratio >= 0)):
        raise OutOfRangeError(
            f"viscosity of drops over that around them is {ratio.min():g}, expected 0 or more"
        )
    return ratio


def phi100_viscosity(volume_fraction: ArrayLike, phi100: ArrayLike) -> Array:
    """Return the relative viscosity from the fraction at which it is 100.

    Parameters
    ----------
    volume_fraction : array_like
        Of drops, 0 to 1. [-]
    phi100 : array_like
        Fraction at which the relative viscosity is 100, measured, > 0. [-]

    Returns
    -------
    ndarray
        [1 + x/(1.187 - x)]^2.49 with x = phi/phi100, inf from x = 1.187 on. [-]

    Raises
    ------
    OutOfRangeError
        If a fraction is outside 0 to 1 or phi100 is not positive.

    References
    ----------
    Trade relation R11 (source S107).

    Examples
    --------
    >>> round(float(phi100_viscosity(0.6, 0.6)))
    100
    """
    phi, scale = _fraction(volume_fraction), np.asarray(phi100, dtype=float)
    if np.any(~(scale > 0)):
        raise OutOfRangeError(f"phi100 is {scale.min():g}, expected above 0")
    room = np.maximum(_PHI100_LIMIT - phi / scale, 0.0)
    with np.errstate(divide="ignore"):
        return np.asarray((_PHI100_LIMIT / room) ** _PHI100_EXPONENT)


def calibrated_phi100(volume_fraction: float, relative_viscosity: float) -> float:
    """Return the phi100 with which `phi100_viscosity` passes through one measured point.

    Parameters
    ----------
    volume_fraction : float
        Of drops at the point, above 0 to 1. [-]
    relative_viscosity : float
        Measured over that of the continuous phase, > 1. [-]

    Returns
    -------
    float
        May exceed 1: such an emulsion never reaches a hundredfold viscosity. [-]

    Raises
    ------
    OutOfRangeError
        If the fraction or the relative viscosity is outside its range.

    Examples
    --------
    >>> round(calibrated_phi100(0.5, float(phi100_viscosity(0.5, 0.62))), 4)
    0.62
    """
    _check_point(volume_fraction, relative_viscosity)
    grown = relative_viscosity ** (1 / _PHI100_EXPONENT)
    return float(volume_fraction * grown / (_PHI100_LIMIT * (grown - 1)))


def pal_viscosity(
    volume_fraction: ArrayLike, packing: ArrayLike, viscosity_ratio: ArrayLike
) -> Array:
    """Return the relative viscosity of an emulsion after Pal.

    Parameters
    ----------
    volume_fraction : array_like
        Of drops, 0 to 1. [-]
    packing : array_like
        Fraction phi_m at which drops jam, above 0 to 1: 0.637 random to 0.74 and more. [-]
    viscosity_ratio : array_like
        K, viscosity of the drops over that of the continuous phase, 0 to inf. [-]

    Returns
    -------
    ndarray
        eta_r of eta_r [(2 eta_r + 5K)/(2 + 5K)]^1.5 = (1 - phi/phi_m)^(-2.5 phi_m), inf from
        phi_m on. Rigid drops (K = inf) give Krieger-Dougherty, few drops give Taylor's
        1 + 2.5 phi (K + 0.4)/(K + 1). [-]

    Raises
    ------
    OutOfRangeError
        If an argument is outside its range.

    Notes
    -----
    Solved for ln eta_r by Newton's method. The left side's logarithm rises in ln eta_r with a
    slope between 1 and 2.5 that never falls, so starting from the right side the steps go down to
    the root without passing it.

    References
    ----------
    Trade relation R12 (source S37; the formula itself from memory).

    Examples
    --------
    >>> round(float(pal_viscosity(0.01, 0.74, 0.0)), 4)  # bubbles: Taylor's 1 + phi
    1.0101
    """
    phi, limit, ratio = np.broadcast_arrays(
        _fraction(volume_fraction), np.asarray(packing, dtype=float), _ratio(viscosity_ratio)
    )
    if np.any(~((limit > 0) & (limit <= 1))):
        raise OutOfRangeError(f"packing is {limit.min():g}, expected above 0 to 1")
    jammed = phi >= limit
    room = np.where(jammed, 1.0, 1 - phi / limit)
    wanted = -2.5 * limit * np.log(room)
    found = wanted.copy()
    with np.errstate(divide="ignore", over="ignore"):
        # log((2 e^L + 5K)/(2 + 5K)) = log(rigid + soft e^L)
        soft = 2 / (2 + 5 * ratio)
        rigid, fluid = np.log1p(-soft), np.log(soft)
        for _ in range(_STEPS):
            level = np.logaddexp(rigid, fluid + found)
            slope = 1 + 1.5 * np.exp(fluid + found - level)
            step = (found + 1.5 * level - wanted) / slope
            found = found - step
            if np.all(np.abs(step) <= _CLOSE * (1 + np.abs(found))):
                break
        return np.asarray(np.where(jammed, np.inf, np.exp(found)))


def yaron_gal_or_viscosity(volume_fraction: ArrayLike, viscosity_ratio: ArrayLike) -> Array:
    """Return the relative viscosity of an emulsion after the cell model of Yaron and Gal-Or.

    Parameters
    ----------
    volume_fraction : array_like
        Of drops, 0 to 1. [-]
    viscosity_ratio : array_like
        K, viscosity of the drops over that of the continuous phase, 0 to inf. [-]

    Returns
    -------
    ndarray
        inf at 1. [-]

    Notes
    -----
    A cell model for 30 to 60 % drops. Few drops give 5.5 phi (rigid) and 2.2 phi (fluid), not the
    2.5 phi of Einstein and the phi of Taylor; use another model there.

    References
    ----------
    Trade relation R13, from memory.

    Examples
    --------
    >>> round(float(yaron_gal_or_viscosity(1e-6, 0.0) - 1) / 1e-6, 2)
    2.2
    """
    phi, ratio = np.broadcast_arrays(_fraction(volume_fraction), _ratio(viscosity_ratio))
    p = np.cbrt(phi)
    soft = 1 / (1 + ratio)  # both halves times K/(1 + K), so that K = 0 and inf need no division
    rigid = 1 - soft
    above = rigid * (4 * p**7 + 10 - 84 / 11 * p**2) + 4 * soft * (1 - p**7)
    below = rigid * (10 * (1 - p**10) - 25 * phi * (1 - p**4)) + 10 * soft * (1 - phi) * (1 - p**7)
    with np.errstate(divide="ignore", invalid="ignore"):
        relative = 1 + 5.5 * phi * above / below
    return np.asarray(np.where(phi < 1, relative, np.inf))


def calibrated_packing(
    volume_fraction: float, relative_viscosity: float, viscosity_ratio: float = np.inf
) -> float | None:
    """Return the packing with which Pal's equation passes through one measured point.

    Parameters
    ----------
    volume_fraction : float
        Of drops at the point, above 0, below 1. [-]
    relative_viscosity : float
        Measured over that of the continuous phase, > 1. [-]
    viscosity_ratio : float
        K; inf calibrates Krieger-Dougherty. [-]

    Returns
    -------
    float or None
        None where even a packing of 1 gives more than was measured. [-]

    Raises
    ------
    OutOfRangeError
        If the fraction or the relative viscosity is outside its range.

    Examples
    --------
    >>> round(calibrated_packing(0.5, float(pal_viscosity(0.5, 0.74, 0.1)), 0.1), 4)
    0.74
    """
    _check_point(volume_fraction, relative_viscosity)
    soft = 2 / (2 + 5 * float(_ratio(viscosity_ratio)))
    target = np.log(relative_viscosity) + 1.5 * np.log1p(soft * (relative_viscosity - 1))
    # -2.5 m log(1 - phi/m) falls as the packing m grows: halve the distance, in m - phi
    low, high = np.log(1e-300), np.log1p(-volume_fraction) if volume_fraction < 1 else -np.inf
    if volume_fraction >= 1 or -2.5 * np.log1p(-volume_fraction) > target:
        return None
    for _ in range(200):
        middle = (low + high) / 2
        room = float(np.exp(middle))
        packing = volume_fraction + room
        found = -2.5 * packing * (middle - np.log(packing))
        low, high = (middle, high) if found > target else (low, middle)
    return volume_fraction + float(np.exp((low + high) / 2))


def _check_point(volume_fraction: float, relative_viscosity: float) -> None:
    if not 0 < volume_fraction <= 1:
        raise OutOfRangeError(
            f"volume fraction of drops is {volume_fraction:g}, expected above 0 to 1"
        )
    if not (np.isfinite(relative_viscosity) and relative_viscosity > 1):
        raise OutOfRangeError(
            f"relative viscosity is {relative_viscosity:g}, expected above 1: drops never thin"
        )
