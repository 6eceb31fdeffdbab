"""Sauter diameter of the drops that a device leaves."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = ["d32_from_energy_um", "d32_from_flow_m", "weber_number"]

Array = NDArray[np.float64]

_CROWDING = 20.0  # of (1 + 20 phi), one in-line study (trade relation R30, source S31)
_TURBULENT_RE = 1e4  # trade relation R26 (source S29)


def _above_zero(value: ArrayLike, what: str, unit: str) -> Array:
    found = np.asarray(value, dtype=float)
    if np.any(~(found > 0)):
        raise OutOfRangeError(f"{what} is {found.min():g} {unit}, expected above 0")
    return found


def d32_from_energy_um(
    energy_J_mL: ArrayLike,
    exponent: ArrayLike,
    *,
    reference_um: ArrayLike,
    reference_J_mL: ArrayLike,
) -> Array:
    """Return the drop size after an energy, d32 = C Ev^-b.

    Parameters
    ----------
    energy_J_mL : array_like
        Energy density, > 0. [J/mL]
    exponent : array_like
        b, about 0.25 to 0.4 in turbulent flow, up to 1 in laminar shear. [-]
    reference_um, reference_J_mL : array_like
        One known pair, which is C. [um], [J/mL]

    Returns
    -------
    ndarray
        [um]

    Raises
    ------
    OutOfRangeError
        If an energy is not positive.

    References
    ----------
    Trade relation R29, from memory (after Karbstein and Schubert 1995).

    Examples
    --------
    >>> round(float(d32_from_energy_um(80, 1 / 3, reference_um=4, reference_J_mL=10)), 6)
    2.0
    """
    energy = _above_zero(energy_J_mL, "energy density", "J/mL")
    known = _above_zero(reference_J_mL, "reference energy density", "J/mL")
    return np.asarray(np.asarray(reference_um) * (energy / known) ** -np.asarray(exponent))


def weber_number(
    speed_rpm: ArrayLike, diameter_m: ArrayLike, density_g_ml: ArrayLike, tension_mN_m: ArrayLike
) -> Array:
    """Return a rotor's Weber number, rho N^2 D^3/gamma. [-]

    Parameters
    ----------
    speed_rpm : array_like
        [1/min]
    diameter_m : array_like
        Of the rotor. [m]
    density_g_ml : array_like
        Of the contents. [g/mL]
    tension_mN_m : array_like
        Interfacial tension with emulsifier, > 0. [mN/m]

    Examples
    --------
    >>> round(float(weber_number(6000, 0.1, 1.0, 5.0)))
    2000000
    """
    turns = np.asarray(speed_rpm, dtype=float) / 60
    tension = _above_zero(tension_mN_m, "interfacial tension", "mN/m") * 1e-3
    return np.asarray(1e3 * np.asarray(density_g_ml) * turns**2 * np.asarray(diameter_m) ** 3
                      / tension)  # fmt: skip


def d32_from_flow_m(
    weber: ArrayLike,
    reynolds: ArrayLike,
    diameter_m: ArrayLike,
    volume_fraction: ArrayLike,
    *,
    inertial: ArrayLike,
    viscous: ArrayLike,
) -> Array:
    """Return the drop size that a rotor leaves. [m]

    Parameters
    ----------
    weber, reynolds : array_like
        Of the rotor, > 0. [-]
    diameter_m : array_like
        Of the rotor. [m]
    volume_fraction : array_like
        Of drops. [-]
    inertial, viscous : array_like
        Constants of the device before We^-0.6 and (We Re^4)^(-1/7). [-]

    Notes
    -----
    d/D = c We^-0.6 above Re 1e4, where eddies are larger than drops; else, in the viscous
    subrange, c (We Re^4)^(-1/7); both times (1 + 20 phi) as one in-line study found at low phi.

    References
    ----------
    Trade relation R30 (sources S31, S29; exponents after Chen and Middleman 1967, from memory).
    """
    we, re = _above_zero(weber, "Weber number", ""), _above_zero(reynolds, "Reynolds number", "")
    share = np.where(
        re > _TURBULENT_RE,
        np.asarray(inertial) * we**-0.6,
        np.asarray(viscous) * (we * re**4) ** (-1 / 7),
    )
    return np.asarray(
        share * np.asarray(diameter_m) * (1 + _CROWDING * np.asarray(volume_fraction))
    )
