"""De-agglomeration of powders under stress, and what the stress does to their coating.

A powder's state is the mass share of its particles that sit in aggregates, and the median
diameter of these. Both move towards an end that the device sets, at a rate of the energy density;
moving in two steps is the same as moving once, and nothing is ever made coarser.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import expit, logit

from zincite.errors import OutOfRangeError

__all__ = ["approached", "end_size_nm", "exposed_share", "fines_fraction", "fines_limit"]

Array = NDArray[np.float64]


def _not_negative(value: ArrayLike, name: str, unit: str) -> Array:
    found = np.asarray(value, dtype=float)
    if np.any(~(found >= 0)):
        raise OutOfRangeError(f"{name} is {float(found.min()):g} {unit}, expected 0 or more")
    return found


def fines_fraction(energy_J_mL: ArrayLike, limit: ArrayLike, rate_mL_J: ArrayLike) -> Array:
    """Return the mass share freed from aggregates, Finf (1 - exp(-k Ev)). [-]

    Parameters
    ----------
    energy_J_mL : array_like
        Energy density, >= 0. [J/mL]
    limit : array_like
        Share that endless stress frees, 0..1. [-]
    rate_mL_J : array_like
        [mL/J]

    References
    ----------
    Erosion of primary aggregates off larger lumps: trade relation R31 (sources S32, S33); the
    form of the fit is a proposal.

    Examples
    --------
    >>> round(float(fines_fraction(50.0, 0.8, 0.02)), 3)
    0.506
    """
    energy = _not_negative(energy_J_mL, "energy density", "J/mL")
    return np.asarray(-np.asarray(limit) * np.expm1(-np.asarray(rate_mL_J) * energy))


def approached(
    value: ArrayLike, end: ArrayLike, rate_mL_J: ArrayLike, energy_J_mL: ArrayLike
) -> Array:
    """Return a state after a step: nearer its end by exp(-k Ev), unchanged if already beyond.

    Parameters
    ----------
    value, end : array_like
        State before, and where endless stress leads: a share, or a logarithm of a size.
    rate_mL_J, energy_J_mL : array_like
        [mL/J], [J/mL]

    Examples
    --------
    From a powder all in aggregates it is 1 - `fines_fraction`:

    >>> round(float(approached(1.0, 1 - 0.8, 0.02, 50.0)), 3)
    0.494
    """
    energy = _not_negative(energy_J_mL, "energy density", "J/mL")
    before, goal = np.asarray(value, dtype=float), np.asarray(end, dtype=float)
    left = np.exp(-np.asarray(rate_mL_J) * energy)
    return np.asarray(np.where(before > goal, goal + (before - goal) * left, before))


def fines_limit(limit: ArrayLike, intensity: ArrayLike, exponent: ArrayLike) -> Array:
    """Return the limit of fines at another strength of stress. [-]

    Parameters
    ----------
    limit : array_like
        At the reference strength, between 0 and 1. [-]
    intensity : array_like
        Strength relative to it, > 0: of tip speed, shear rate or pressure. [-]
    exponent : array_like
        The odds grow with this power of the strength. [-]

    Notes
    -----
    The strongest local dissipation sets the end (trade relation R32); the form is assumed.
    """
    return np.asarray(expit(logit(np.asarray(limit)) + np.asarray(exponent) * np.log(intensity)))


def end_size_nm(size_nm: ArrayLike, intensity: ArrayLike, exponent: ArrayLike) -> Array:
    """Return the end size at another strength of stress, d I^-n (trade relation R32). [nm]"""
    return np.asarray(np.asarray(size_nm) * np.asarray(intensity) ** -np.asarray(exponent))


def exposed_share(stress: ArrayLike, exposed_before: ArrayLike = 0.0) -> Array:
    """Return the share of surface without coating after stress, 1 - (1 - e0) exp(-S). [-]

    Parameters
    ----------
    stress : array_like
        Sum over the steps of susceptibility times energy density, >= 0. [-]
    exposed_before : array_like
        Share exposed as supplied, 0..1; 1 is an uncoated powder. [-]

    Notes
    -----
    Each unit of energy strips the same share of what is still covered. Assumed: no published law
    was found.
    """
    done = _not_negative(stress, "stress", "")
    return np.asarray(1 - (1 - np.asarray(exposed_before)) * np.exp(-done))
