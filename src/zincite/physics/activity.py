"""Activity coefficients of ions in salt water."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = ["DAVIES_LIMIT_MOL_L", "davies_log10_gamma", "ionic_strength_mol_l"]

Array = NDArray[np.float64]

DAVIES_LIMIT_MOL_L = 0.5
"""Ionic strength up to which the Davies equation is used. [mol/L]"""

_DEBYE_HUECKEL = 0.509  # water at 25 degC, handbook value from memory


def davies_log10_gamma(charge: ArrayLike, ionic_strength: ArrayLike) -> Array:
    """Return log10 of single-ion activity coefficients after Davies.

    Parameters
    ----------
    charge : array_like
        Charge numbers. [-]
    ionic_strength : array_like
        Broadcast against the charges, 0 to `DAVIES_LIMIT_MOL_L`. [mol/L]

    Returns
    -------
    ndarray
        -0.509 z^2 (sqrt(I)/(1 + sqrt(I)) - 0.3 I) at 25 degC; 0 for uncharged species. [-]

    Raises
    ------
    OutOfRangeError
        If an ionic strength is outside the range.

    References
    ----------
    Davies C.W. (1962) Ion Association, Butterworths (equation from memory).

    Examples
    --------
    >>> davies_log10_gamma([1, 2], 0.1).round(3).tolist()
    [-0.107, -0.428]
    """
    strength = np.asarray(ionic_strength, dtype=float)
    if np.any(~((strength >= 0) & (strength <= DAVIES_LIMIT_MOL_L))):
        raise OutOfRangeError(
            f"ionic strength is {float(np.ravel(strength)[0]):g} mol/L, expected 0 to "
            f"{DAVIES_LIMIT_MOL_L:g} mol/L, where the Davies equation holds"
        )
    root = np.sqrt(strength)
    shape = root / (1 + root) - 0.3 * strength
    gamma: Array = -_DEBYE_HUECKEL * np.asarray(charge, dtype=float) ** 2 * shape
    return gamma


def ionic_strength_mol_l(concentration_mol_l: ArrayLike, charge: ArrayLike) -> Array:
    """Return half the sum of c z^2 over the last axis. [mol/L]"""
    squared = np.asarray(charge, dtype=float) ** 2
    total: Array = 0.5 * np.asarray(concentration_mol_l, dtype=float) @ squared
    return total
