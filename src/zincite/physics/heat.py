"""Heat to warm a mass, the time a jacket takes, and the temperature where streams meet."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "heat_MJ",
    "jacket_time_s",
    "mixing_temperature_C",
    "vessel_area_m2",
]

Array = NDArray[np.float64]


def _positive(value: ArrayLike, name: str, unit: str) -> Array:
    found = np.asarray(value, dtype=float)
    if np.any(~(np.isfinite(found) & (found > 0))):
        raise OutOfRangeError(f"{name} is {float(found.min()):g} {unit}, expected above 0")
    return found


def heat_MJ(  # noqa: N802  joule keeps its capital
    mass_kg: ArrayLike,
    specific_heat_kJ_kg_K: ArrayLike,
    rise_K: ArrayLike,
) -> float:
    """Return the heat that warms masses, sum of m cp dT (trade relation R58). [MJ]

    Parameters
    ----------
    mass_kg : array_like, shape (n,)
        >= 0. [kg]
    specific_heat_kJ_kg_K : array_like, shape (n,)
        [kJ/kg/K]
    rise_K : array_like, shape () or (n,)
        Negative where heat is taken out. [K]

    Raises
    ------
    OutOfRangeError
        If a mass is negative.

    Examples
    --------
    >>> round(heat_MJ([45.0], [4.18], 58.0), 2)
    10.91
    """
    mass = np.asarray(mass_kg, dtype=float)
    if np.any(~(np.isfinite(mass) & (mass >= 0))):
        raise OutOfRangeError(f"mass is {float(mass.min()):g} kg, expected 0 or more")
    return float(np.sum(mass * np.asarray(specific_heat_kJ_kg_K) * np.asarray(rise_K)) / 1e3)


def mixing_temperature_C(  # noqa: N802
    heat_capacity: ArrayLike,
    temperature_C: ArrayLike,
) -> float:
    """Return the temperature where masses of different temperature meet without loss. [degC]

    Parameters
    ----------
    heat_capacity : array_like, shape (n,)
        Mass times specific heat, in one unit for all, > 0.
    temperature_C : array_like, shape (n,)
        [degC]

    Notes
    -----
    Neither heat of mixing nor of crystallising waxes.

    Examples
    --------
    >>> mixing_temperature_C([1.0, 1.0], [20.0, 80.0])
    50.0
    """
    capacity = _positive(heat_capacity, "heat capacity", "kJ/K")
    return float(np.sum(capacity * np.asarray(temperature_C)) / np.sum(capacity))


def vessel_area_m2(volume_L: ArrayLike, height_to_diameter: float = 1.0) -> Array:
    """Return the wetted jacket of an upright cylinder with a flat bottom. [m2]

    Parameters
    ----------
    volume_L : array_like
        Of the contents, > 0. [L]
    height_to_diameter : float
        Filling height to diameter, > 0. [-]

    Notes
    -----
    V = pi/4 D^3 r and A = pi D^2 (r + 1/4): the area per volume falls with 1/D.

    Examples
    --------
    >>> round(float(vessel_area_m2(1000.0) / vessel_area_m2(1.0)), 6)
    100.0
    """
    ratio = float(_positive(height_to_diameter, "height to diameter", ""))
    volume_m3 = _positive(volume_L, "volume", "L") / 1e3
    diameter = (4 * volume_m3 / (math.pi * ratio)) ** (1 / 3)
    return np.asarray(math.pi * diameter**2 * (ratio + 0.25))


def jacket_time_s(
    heat_capacity_kJ_K: ArrayLike,
    conductance_W_K: ArrayLike,
    start_C: float,
    end_C: float,
    jacket_C: float,
) -> Array:
    """Return how long a jacket of constant temperature takes. [s]

    Parameters
    ----------
    heat_capacity_kJ_K : array_like
        Mass times specific heat of the contents, > 0. [kJ/K]
    conductance_W_K : array_like
        U A of the jacket, > 0. [W/K]
    start_C, end_C, jacket_C : float
        The end lies between start and jacket. [degC]

    Raises
    ------
    OutOfRangeError
        If the jacket cannot bring the contents to the end temperature.

    Notes
    -----
    Well-stirred contents, t = m cp/(U A) ln((Tj - T0)/(Tj - T)); the wall's own heat is left out.

    Examples
    --------
    >>> round(float(jacket_time_s(100.0, 100.0, 20.0, 60.0, 100.0)), 1)
    693.1
    """
    if start_C == end_C:
        return np.zeros(np.broadcast(heat_capacity_kJ_K, conductance_W_K).shape)
    ratio = math.inf if jacket_C == end_C else (jacket_C - start_C) / (jacket_C - end_C)
    if not (math.isfinite(ratio) and ratio > 1):
        raise OutOfRangeError(
            f"a jacket of {jacket_C:g} degC cannot bring contents from {start_C:g} to "
            f"{end_C:g} degC, expected a jacket beyond the end temperature"
        )
    capacity = 1e3 * _positive(heat_capacity_kJ_K, "heat capacity", "kJ/K")
    return np.asarray(capacity / _positive(conductance_W_K, "U A", "W/K") * math.log(ratio))
