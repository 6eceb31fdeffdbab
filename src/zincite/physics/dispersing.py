"""Dispersing of powders: surface, what covers it, volume from mass, fineness of grind."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "dispersant_percent_of_pigment",
    "effective_volume_fraction",
    "hegman_to_um",
    "mass_fraction_from_volume",
    "specific_surface_m2_g",
    "um_to_hegman",
    "volume_fraction_from_mass",
]

Array = NDArray[np.float64]

_HEGMAN_STEP_UM, _HEGMAN_FINEST = 12.7, 8.0  # half a mil; the gauge's end without depth


def _positive(value: ArrayLike, what: str, unit: str) -> Array:
    found = np.asarray(value, dtype=float)
    wrong = ~(np.isfinite(found) & (found > 0))
    if np.any(wrong):
        raise OutOfRangeError(f"{what} is {found[wrong].flat[0]:g} {unit}, expected above 0")
    return found


def _not_negative(value: ArrayLike, what: str, unit: str) -> Array:
    found = np.asarray(value, dtype=float)
    wrong = ~(np.isfinite(found) & (found >= 0))
    if np.any(wrong):
        raise OutOfRangeError(f"{what} is {found[wrong].flat[0]:g} {unit}, expected 0 or more")
    return found


def _share(value: ArrayLike, what: str) -> Array:
    found = np.asarray(value, dtype=float)
    wrong = ~((found >= 0) & (found <= 1))
    if np.any(wrong):
        raise OutOfRangeError(f"{what} is {found[wrong].flat[0]:g}, expected 0 to 1")
    return found


def specific_surface_m2_g(density_g_ml: ArrayLike, diameter_nm: ArrayLike) -> Array:
    """Return the surface of smooth spheres per gram (trade relation R03).

    Parameters
    ----------
    density_g_ml : array_like
        Of the particle. [g/mL]
    diameter_nm : array_like
        Diameter; of a size distribution the volume-to-surface mean d32 (Sauter). [nm]

    Returns
    -------
    ndarray
        6 / (rho d). [m2/g]

    Raises
    ------
    OutOfRangeError
        If a density or a diameter is not above 0.

    Examples
    --------
    >>> print(round(float(specific_surface_m2_g(5.606, 100)), 1))
    10.7
    """
    rho = _positive(density_g_ml, "density", "g/mL")
    d = _positive(diameter_nm, "diameter", "nm")
    # g/mL = 1e6 g/m3 and nm = 1e-9 m
    return np.asarray(6.0e3 / (rho * d))


def dispersant_percent_of_pigment(adsorbed_mg_m2: ArrayLike, surface_m2_g: ArrayLike) -> Array:
    """Return the dispersant that covers a powder (trade relation R04).

    Parameters
    ----------
    adsorbed_mg_m2 : array_like
        Mass held on the surface, >= 0. [mg/m2]
    surface_m2_g : array_like
        Surface of the powder, >= 0. [m2/g]

    Returns
    -------
    ndarray
        Gamma SSA / 10, per mass of pigment. [%]

    Raises
    ------
    OutOfRangeError
        If an argument is negative.

    Examples
    --------
    >>> print(round(float(dispersant_percent_of_pigment(2, 10.7)), 1))
    2.1
    """
    gamma = _not_negative(adsorbed_mg_m2, "adsorbed amount", "mg/m2")
    surface = _not_negative(surface_m2_g, "surface", "m2/g")
    return np.asarray(gamma * surface / 10.0)


def volume_fraction_from_mass(
    mass_fraction: ArrayLike, powder_g_ml: ArrayLike, liquid_g_ml: ArrayLike
) -> Array:
    """Return the volume share of a powder in a liquid (trade relation R09).

    Parameters
    ----------
    mass_fraction : array_like
        Of the powder, 0..1. [-]
    powder_g_ml, liquid_g_ml : array_like
        Densities. [g/mL]

    Returns
    -------
    ndarray
        (w/rho_p) / (w/rho_p + (1 - w)/rho_l). [-]

    Raises
    ------
    OutOfRangeError
        If the share is not 0..1 or a density is not above 0.

    Examples
    --------
    >>> print(round(100 * float(volume_fraction_from_mass(0.5, 5.606, 0.945)), 1))
    14.4
    """
    w = _share(mass_fraction, "mass fraction")
    solid = w / _positive(powder_g_ml, "density of the powder", "g/mL")
    liquid = (1 - w) / _positive(liquid_g_ml, "density of the liquid", "g/mL")
    return np.asarray(solid / (solid + liquid))


def mass_fraction_from_volume(
    volume_fraction: ArrayLike, powder_g_ml: ArrayLike, liquid_g_ml: ArrayLike
) -> Array:
    """Return the mass share of a powder in a liquid, the inverse of trade relation R09.

    Parameters
    ----------
    volume_fraction : array_like
        Of the powder, 0..1. [-]
    powder_g_ml, liquid_g_ml : array_like
        Densities. [g/mL]

    Returns
    -------
    ndarray
        [-]

    Raises
    ------
    OutOfRangeError
        If the share is not 0..1 or a density is not above 0.
    """
    phi = _share(volume_fraction, "volume fraction")
    solid = phi * _positive(powder_g_ml, "density of the powder", "g/mL")
    liquid = (1 - phi) * _positive(liquid_g_ml, "density of the liquid", "g/mL")
    return np.asarray(solid / (solid + liquid))


def effective_volume_fraction(
    volume_fraction: ArrayLike, layer_nm: ArrayLike, radius_nm: ArrayLike
) -> Array:
    """Return the volume share of particles with the layer adsorbed on them (trade relation R06).

    Parameters
    ----------
    volume_fraction : array_like
        Of the bare particles, 0..1. [-]
    layer_nm : array_like
        Thickness of the layer, >= 0. [nm]
    radius_nm : array_like
        Of the particle. [nm]

    Returns
    -------
    ndarray
        phi (1 + delta/a)^3, which may pass any packing. [-]

    Raises
    ------
    OutOfRangeError
        If an argument is out of its range.

    Notes
    -----
    The form is from memory; for a size distribution take the mean over the volume.

    Examples
    --------
    >>> print(round(float(effective_volume_fraction(0.1, 5, 10)), 4))
    0.3375
    """
    phi = _share(volume_fraction, "volume fraction")
    layer = _not_negative(layer_nm, "layer", "nm")
    return np.asarray(phi * (1 + layer / _positive(radius_nm, "radius", "nm")) ** 3)


def hegman_to_um(hegman: ArrayLike) -> Array:
    """Return the depth of a Hegman reading on the grind gauge (trade relation R34).

    Parameters
    ----------
    hegman : array_like
        0 (coarse) to 8 (fine). [-]

    Returns
    -------
    ndarray
        12.7 (8 - H). [um]

    Raises
    ------
    OutOfRangeError
        If a reading is not 0..8.

    Examples
    --------
    >>> print(round(float(hegman_to_um(7)), 1))
    12.7
    """
    reading = np.asarray(hegman, dtype=float)
    if np.any(~((reading >= 0) & (reading <= _HEGMAN_FINEST))):
        raise OutOfRangeError(f"Hegman reading is {reading}, expected 0 to {_HEGMAN_FINEST:g}")
    return np.asarray(_HEGMAN_STEP_UM * (_HEGMAN_FINEST - reading))


def um_to_hegman(depth_um: ArrayLike) -> Array:
    """Return the Hegman reading of a depth on the grind gauge (trade relation R34).

    Parameters
    ----------
    depth_um : array_like
        0 to 101.6, the depth of the gauge. [um]

    Returns
    -------
    ndarray
        8 - depth / 12.7. [-]

    Raises
    ------
    OutOfRangeError
        If a depth is off the gauge.
    """
    depth = np.asarray(depth_um, dtype=float)
    deepest = _HEGMAN_STEP_UM * _HEGMAN_FINEST
    if np.any(~((depth >= 0) & (depth <= deepest))):
        raise OutOfRangeError(f"depth is {depth} um, expected 0 to {deepest:g} um")
    return np.asarray(_HEGMAN_FINEST - depth / _HEGMAN_STEP_UM)
