"""What keeps drops and lumps in place: settling, yield stress, osmotic and Laplace pressure."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.constants import Boltzmann, R, g

from zincite.errors import OutOfRangeError

__all__ = [
    "ROOM_K",
    "diffusion_m2_s",
    "emulsifier_need_kg_m3",
    "hindrance",
    "laplace_pressure_Pa",
    "osmotic_pressure_Pa",
    "peclet_number",
    "ripening_rate_m3_s",
    "stokes_velocity_m_s",
    "yield_stress_to_hold_Pa",
]

Array = NDArray[np.float64]

ROOM_K = 298.15
"""25 degC. [K]"""

_BROWNIAN, _NON_BROWNIAN, _CROSSOVER = 5.6, 4.48, 1e8  # trade relation R16 (source S38)


def _above_zero(value: ArrayLike, what: str, unit: str) -> Array:
    found = np.asarray(value, dtype=float)
    if np.any(~(found > 0)):
        raise OutOfRangeError(f"{what} is {found.min():g} {unit}, expected above 0")
    return found


def stokes_velocity_m_s(
    density_difference_kg_m3: ArrayLike, diameter_m: ArrayLike, viscosity_Pa_s: ArrayLike
) -> Array:
    """Return the speed at which a lone sphere sinks; negative where it rises. [m/s]

    Parameters
    ----------
    density_difference_kg_m3 : array_like
        Of sphere less liquid. [kg/m3]
    diameter_m : array_like
        [m]
    viscosity_Pa_s : array_like
        Of the liquid, > 0. [Pa s]

    Raises
    ------
    OutOfRangeError
        If a viscosity is not positive.

    References
    ----------
    Trade relation R15 (source S107).

    Examples
    --------
    A lump of zinc oxide of 1 um in caprylic/capric triglyceride, in mm a day:

    >>> round(float(stokes_velocity_m_s(4661, 1e-6, 0.03)) * 86400e3, 1)
    7.3
    """
    viscosity = _above_zero(viscosity_Pa_s, "viscosity", "Pa s")
    return np.asarray(
        np.asarray(density_difference_kg_m3) * g * np.square(diameter_m) / (18 * viscosity)
    )


def diffusion_m2_s(
    diameter_m: ArrayLike, viscosity_Pa_s: ArrayLike, temperature_K: float = ROOM_K
) -> Array:
    """Return the diffusion coefficient of a sphere, k T/(3 pi eta d) (Stokes and Einstein).

    Parameters
    ----------
    diameter_m : array_like
        > 0. [m]
    viscosity_Pa_s : array_like
        Of the liquid, > 0. [Pa s]
    temperature_K : float
        [K]

    Returns
    -------
    ndarray
        [m2/s]
    """
    size = _above_zero(diameter_m, "diameter", "m")
    viscosity = _above_zero(viscosity_Pa_s, "viscosity", "Pa s")
    return np.asarray(Boltzmann * temperature_K / (3 * math.pi * viscosity * size))


def peclet_number(
    density_difference_kg_m3: ArrayLike, diameter_m: ArrayLike, temperature_K: float = ROOM_K
) -> Array:
    """Return settling against diffusion, v0 (d/2)/D; the viscosity cancels. [-]

    Parameters
    ----------
    density_difference_kg_m3 : array_like
        [kg/m3]
    diameter_m : array_like
        [m]
    temperature_K : float
        [K]
    """
    radius = np.asarray(diameter_m, dtype=float) / 2
    weight = 4 / 3 * math.pi * radius**3 * np.abs(np.asarray(density_difference_kg_m3)) * g
    return np.asarray(weight * radius / (Boltzmann * temperature_K))


def hindrance(volume_fraction: ArrayLike, peclet: ArrayLike = 0.0) -> Array:
    """Return the share of the lone sphere's speed that a crowd leaves, (1 - phi)^n.

    Parameters
    ----------
    volume_fraction : array_like
        Of everything that does not flow with the liquid, 0 to 1. [-]
    peclet : array_like
        n is 5.6 below 1e8 (Brownian), 4.48 from there on. [-]

    Raises
    ------
    OutOfRangeError
        If a fraction is outside 0 to 1.

    References
    ----------
    Trade relation R16 (source S38).

    Examples
    --------
    >>> print([round(float(h), 3) for h in hindrance(0.5, [1.0, 1e9])])
    [0.021, 0.045]
    """
    phi = np.asarray(volume_fraction, dtype=float)
    if np.any(~((phi >= 0) & (phi <= 1))):
        raise OutOfRangeError(f"volume fraction is {phi.min():g}, expected 0 to 1")
    exponent = np.where(np.asarray(peclet) < _CROSSOVER, _BROWNIAN, _NON_BROWNIAN)
    return np.asarray((1 - phi) ** exponent)


def yield_stress_to_hold_Pa(  # noqa: N802  pascal keeps its capital
    density_difference_kg_m3: ArrayLike, diameter_m: ArrayLike, criterion: ArrayLike
) -> Array:
    """Return the yield stress that holds a sphere, Y d_rho g d. [Pa]

    Parameters
    ----------
    density_difference_kg_m3 : array_like
        [kg/m3]
    diameter_m : array_like
        [m]
    criterion : array_like
        Y, about 0.05 to 0.2, from memory. [-]

    References
    ----------
    Trade relation R17.
    """
    difference = np.abs(np.asarray(density_difference_kg_m3))
    return np.asarray(np.asarray(criterion) * difference * g * np.asarray(diameter_m))


def osmotic_pressure_Pa(  # noqa: N802
    particles_mol_m3: ArrayLike, coefficient: ArrayLike = 1.0, temperature_K: float = ROOM_K
) -> Array:
    """Return the osmotic pressure of a dissolved substance, i phi_os c R T. [Pa]

    Parameters
    ----------
    particles_mol_m3 : array_like
        Ions or molecules per volume of water, i c, >= 0. [mol/m3]
    coefficient : array_like
        Osmotic coefficient, 1 for the ideal solution. [-]
    temperature_K : float
        [K]

    References
    ----------
    Trade relation R18.

    Examples
    --------
    0.057 mol/kg of magnesium sulfate, ideal, in kPa:

    >>> round(float(osmotic_pressure_Pa(2 * 56.8)) / 1e3)
    282
    """
    return np.asarray(
        np.asarray(coefficient) * np.asarray(particles_mol_m3, dtype=float) * R * temperature_K
    )


def laplace_pressure_Pa(tension_N_m: ArrayLike, radius_m: ArrayLike) -> Array:  # noqa: N802
    """Return the pressure that its interface puts on a drop, 2 gamma/r (trade relation R18). [Pa]

    Examples
    --------
    >>> float(laplace_pressure_Pa(3e-3, 1e-6))
    6000.0
    """
    return np.asarray(2 * np.asarray(tension_N_m) / _above_zero(radius_m, "radius", "m"))


def ripening_rate_m3_s(
    tension_N_m: ArrayLike,
    dissolved_fraction: ArrayLike,
    diffusion_m2_s: ArrayLike,
    molar_volume_m3_mol: float,
    temperature_K: float = ROOM_K,
) -> Array:
    """Return the growth of the cubed mean radius by Ostwald ripening. [m3/s]

    Parameters
    ----------
    tension_N_m : array_like
        Interfacial tension. [N/m]
    dissolved_fraction : array_like
        Volume of the drops' liquid dissolved in the liquid around them, by volume. [-]
    diffusion_m2_s : array_like
        Of that liquid's molecules. [m2/s]
    molar_volume_m3_mol : float
        Of the drops' liquid. [m3/mol]
    temperature_K : float
        [K]

    Notes
    -----
    Lifshitz, Slyozov and Wagner: d(r^3)/dt = 8 gamma C V_m D/(9 R T). C is a volume fraction here;
    the units only agree so (a concentration in mol/m3 asks for the square of V_m). It holds for
    few drops, without salt.

    References
    ----------
    Trade relation R19, from memory.
    """
    return np.asarray(
        8
        * np.asarray(tension_N_m)
        * np.asarray(dissolved_fraction)
        * molar_volume_m3_mol
        * np.asarray(diffusion_m2_s)
        / (9 * R * temperature_K)
    )


def emulsifier_need_kg_m3(
    volume_fraction: ArrayLike, adsorbed_kg_m2: ArrayLike, d32_m: ArrayLike
) -> Array:
    """Return the emulsifier that covers the drops, 6 phi Gamma/d32, per volume of product.

    Parameters
    ----------
    volume_fraction : array_like
        Of drops. [-]
    adsorbed_kg_m2 : array_like
        Gamma, on the drop's surface. [kg/m2]
    d32_m : array_like
        Sauter diameter of the drops, > 0. [m]

    Returns
    -------
    ndarray
        [kg/m3]

    References
    ----------
    Trade relation R20.

    Examples
    --------
    Half drops of 2 um with 2 mg/m2 take 3 kg/m3, 0.3 % of a product of density 1:

    >>> round(float(emulsifier_need_kg_m3(0.5, 2e-6, 2e-6)), 6)
    3.0
    """
    size = _above_zero(d32_m, "drop diameter", "m")
    return np.asarray(6 * np.asarray(volume_fraction) * np.asarray(adsorbed_kg_m2) / size)
