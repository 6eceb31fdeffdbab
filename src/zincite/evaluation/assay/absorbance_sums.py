"""Protection factors of absorbance spectra with the shipped spectra, and the scaling to an SPF."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.data.photobiology import photobiology
from zincite.errors import OutOfRangeError
from zincite.physics.photoprotection import UV_GRID_NM, protection_factor

__all__ = ["adjustment_coefficient", "spf_in_vitro", "uva_protection_factor"]

Array = NDArray[np.float64]

_DARKEST = 250.0
"""Largest absorbance in the search for C: beyond, 10^-A leaves the range of numbers. [-]"""


def spf_in_vitro(absorbance: ArrayLike) -> Array:
    """Return the SPF in vitro, SPF0 = sum(E I) / sum(E I 10^-A), 290-400 nm (from memory).

    Parameters
    ----------
    absorbance : array_like, shape (..., 111)
        0 or more. [-]

    Returns
    -------
    ndarray, shape (...)
        With the erythema action spectrum and the UV solar simulator. [-]

    Raises
    ------
    OutOfRangeError
        If an absorbance is below 0.

    References
    ----------
    ISO 24443, equation for the SPF in vitro, remembered; sums over 1 nm.
    """
    light = photobiology()
    transmittance = 10.0 ** -np.asarray(absorbance, dtype=float)
    return protection_factor(transmittance, light.erythema, light.simulator_W_m2_nm)


def uva_protection_factor(absorbance: ArrayLike) -> Array:
    """Return the UVA-PF, sum(P I) / sum(P I 10^-A), 320-400 nm (from memory).

    Parameters
    ----------
    absorbance : array_like, shape (..., 111)
        Already times C; 0 or more. [-]

    Returns
    -------
    ndarray, shape (...)
        With the pigment-darkening spectrum and the UVA lamp stand-in. [-]

    Raises
    ------
    OutOfRangeError
        If an absorbance is below 0.

    References
    ----------
    ISO 24443, equations for UVA-PF0 and UVA-PF, remembered; sums over 1 nm.
    """
    light = photobiology()
    transmittance = 10.0 ** -np.asarray(absorbance, dtype=float)
    return protection_factor(transmittance, light.ppd, light.uva_source_relative)


def adjustment_coefficient(absorbance: ArrayLike, spf: float, *, where: str = "film") -> float:
    """Return C with which the spectrum has a wanted SPF.

    Parameters
    ----------
    absorbance : array_like, shape (111,)
        Of one plate before irradiation, 0 or more. [-]
    spf : float
        Static in vivo SPF, > 1.
    where : str
        What carries the spectrum, for messages.

    Returns
    -------
    float
        C of sum(E I) / sum(E I 10^(-C A0)) = SPF; it reproduces the SPF to 1e-6.

    Raises
    ------
    OutOfRangeError
        If the SPF is not above 1 or no C reaches it.

    References
    ----------
    ISO 24443: scaling to the static in vivo SPF (public abstract); equation from memory.

    Examples
    --------
    A flat film needs log10(SPF) / A:

    >>> print(round(adjustment_coefficient(np.full(111, 1.5), 30.0), 6))
    0.984748
    """
    a = np.asarray(absorbance, dtype=float)
    if not 1 < spf < np.inf:
        raise OutOfRangeError(f"label SPF is {spf:g}, expected above 1")
    target = float(np.log(spf))

    def excess(c: float) -> float:
        return float(np.log(spf_in_vitro(c * a))) - target

    from scipy.optimize import brentq

    high, most = 1.0, _DARKEST / max(float(a.max()), 1e-12)
    while excess(high) < 0:
        if high >= most:
            reached = float(spf_in_vitro(most * a))
            raise OutOfRangeError(
                f"{where}: no coefficient C brings its spectrum to SPF {spf:g}, as it hardly "
                f"absorbs near {UV_GRID_NM[int(np.argmin(a))]:g} nm (SPF {reached:.3g} at most), "
                "expected a film that absorbs at all wavelengths"
            )
        high = min(2 * high, most)
    # the slope of ln SPF is about ln(10) A: 1e-13 in C is far below 1e-6 in SPF
    return float(brentq(excess, 0.0, high, xtol=1e-13, rtol=1e-14, maxiter=200))
