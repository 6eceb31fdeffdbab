"""Protection measures of a transmittance spectrum: sums over action spectrum and lamp.

Spectra lie on the photobiology grid, 290-400 nm at 1 nm; transmittance may have leading axes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "UV_GRID_NM",
    "critical_wavelength_nm",
    "cumulative_absorbance",
    "protection_factor",
    "uva1_share",
    "uva_to_uvb",
]

Array = NDArray[np.float64]

UV_GRID_NM = np.arange(290.0, 401.0)
UV_GRID_NM.flags.writeable = False


def protection_factor(transmittance: ArrayLike, action: ArrayLike, lamp: ArrayLike) -> Array:
    """Return the ratio of effective dose without to with the film.

    With erythema and the solar simulator it is the SPF (ISO 24443, SPF in vitro); with pigment
    darkening and the UVA lamp, both 0 below 320 nm, the UVA-PF.

    Parameters
    ----------
    transmittance : array_like, shape (..., n)
        0..1. [-]
    action, lamp : array_like, shape (n,)
        Action spectrum and lamp irradiance. [-], any unit

    Returns
    -------
    ndarray, shape (...)
        sum(action lamp) / sum(action lamp T), sums over 1 nm steps. [-]

    Raises
    ------
    OutOfRangeError
        If a transmittance is outside 0 to 1.

    Examples
    --------
    A flat film that passes one fiftieth protects fifty-fold:

    >>> print(round(float(protection_factor(np.full(111, 0.02), np.ones(111), np.ones(111))), 9))
    50.0
    """
    t = _checked(transmittance)
    weight = np.asarray(action, dtype=float) * np.asarray(lamp, dtype=float)
    factor: Array = weight.sum() / (t @ weight)
    return factor


def _checked(transmittance: ArrayLike) -> Array:
    t = np.asarray(transmittance, dtype=float)
    if not np.all((t >= 0) & (t <= 1 + 1e-9)):
        bad = float(t[~((t >= 0) & (t <= 1 + 1e-9))].ravel()[0])
        raise OutOfRangeError(f"transmittance is {bad:g}, expected 0 to 1")
    return t


def _absorbance(transmittance: ArrayLike) -> Array:
    absorbance: Array = -np.log10(np.maximum(_checked(transmittance), 1e-30))
    return absorbance


def cumulative_absorbance(transmittance: ArrayLike) -> Array:
    """Return the integral of absorbance from 290 nm as a share of the whole.

    Parameters
    ----------
    transmittance : array_like, shape (..., 111)
        On `UV_GRID_NM`. [-]

    Returns
    -------
    ndarray, shape (..., 111)
        0 at 290 nm, 1 at 400 nm (trapezoids). [-]
    """
    a = _absorbance(transmittance)
    steps = (a[..., 1:] + a[..., :-1]) / 2
    total = np.cumsum(steps, axis=-1)
    start = np.zeros((*total.shape[:-1], 1))
    shares: Array = np.concatenate([start, total], axis=-1) / np.maximum(total[..., -1:], 1e-30)
    return shares


def critical_wavelength_nm(transmittance: ArrayLike) -> Array:
    """Return the wavelength below which 90 % of the absorbance from 290 to 400 nm lies.

    Parameters
    ----------
    transmittance : array_like, shape (..., 111)
        On `UV_GRID_NM`. [-]

    Returns
    -------
    ndarray, shape (...)
        Interpolated between grid points. [nm]

    References
    ----------
    Diffey B.L. et al. (2000) J. Am. Acad. Dermatol. 43, 1024 (definition, from memory);
    ISO 24443.

    Examples
    --------
    >>> print(round(float(critical_wavelength_nm(np.full(111, 0.02))), 6))
    389.0
    """
    shares = cumulative_absorbance(transmittance)
    flat = shares.reshape(-1, shares.shape[-1])
    upper = np.argmax(flat >= 0.9, axis=1)
    rows = np.arange(flat.shape[0])
    low, high = flat[rows, upper - 1], flat[rows, upper]
    part = (0.9 - low) / np.maximum(high - low, 1e-30)
    return np.asarray(UV_GRID_NM[upper - 1] + part).reshape(shares.shape[:-1])


def _mean(values: Array, low: float, high: float) -> Array:
    inside = (low <= UV_GRID_NM) & (high >= UV_GRID_NM)
    return np.asarray(np.trapezoid(values[..., inside], axis=-1) / (high - low))


def uva_to_uvb(transmittance: ArrayLike) -> Array:
    """Return mean absorbance of 320-400 nm over that of 290-320 nm.

    Parameters
    ----------
    transmittance : array_like, shape (..., 111)
        On `UV_GRID_NM`. [-]

    Returns
    -------
    ndarray, shape (...)
        1 for a flat film. [-]
    """
    a = _absorbance(transmittance)
    return np.asarray(_mean(a, 320, 400) / np.maximum(_mean(a, 290, 320), 1e-30))


def uva1_share(transmittance: ArrayLike) -> Array:
    """Return mean absorbance of 340-400 nm over that of 290-400 nm (UVA I/UV ratio).

    Parameters
    ----------
    transmittance : array_like, shape (..., 111)
        On `UV_GRID_NM`. [-]

    Returns
    -------
    ndarray, shape (...)
        1 for a flat film. [-]
    """
    a = _absorbance(transmittance)
    return np.asarray(_mean(a, 340, 400) / np.maximum(_mean(a, 290, 400), 1e-30))
