"""Speeds, shear rates, power and energy of dispersing devices."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "adiabatic_rise_K",
    "batch_power_W",
    "energy_density_J_mL",
    "gap_shear_rate_1_s",
    "in_line_power_W",
    "pressure_energy_J_mL",
    "reynolds",
    "roll_energy_J_mL",
    "roll_shear_rate_1_s",
    "speed_rpm",
    "tip_speed_m_s",
]

Array = NDArray[np.float64]

TURBULENT_RE = 1e4
"""Reynolds number above which a rotor-stator's power number holds (trade relation R26)."""


def _positive(value: ArrayLike, name: str, unit: str) -> Array:
    found = np.asarray(value, dtype=float)
    if np.any(~(np.isfinite(found) & (found > 0))):
        raise OutOfRangeError(f"{name} is {float(found.min()):g} {unit}, expected above 0")
    return found


def tip_speed_m_s(speed_rpm: ArrayLike, diameter_m: ArrayLike) -> Array:
    """Return the speed of a rotor's rim, pi D N (trade relation R25).

    Parameters
    ----------
    speed_rpm : array_like
        >= 0. [1/min]
    diameter_m : array_like
        > 0. [m]

    Examples
    --------
    >>> round(float(tip_speed_m_s(6000, 0.06)), 1)
    18.8
    """
    return np.asarray(math.pi * _positive(diameter_m, "diameter", "m") * np.asarray(speed_rpm) / 60)


def speed_rpm(tip_speed_m_s: ArrayLike, diameter_m: ArrayLike) -> Array:
    """Return the speed that gives a tip speed, the inverse of `tip_speed_m_s`. [1/min]"""
    return np.asarray(60 * np.asarray(tip_speed_m_s) / (math.pi * _positive(diameter_m, "diameter",
                                                                            "m")))  # fmt: skip


def gap_shear_rate_1_s(tip_speed_m_s: ArrayLike, gap_um: ArrayLike) -> Array:
    """Return the shear rate in a gap, v/h (trade relation R25). [1/s]

    Examples
    --------
    >>> round(float(gap_shear_rate_1_s(20.0, 200.0)))
    100000
    """
    return np.asarray(np.asarray(tip_speed_m_s) / (_positive(gap_um, "gap", "um") * 1e-6))


def roll_shear_rate_1_s(
    fast_m_s: ArrayLike, gap_um: ArrayLike, speed_ratio: ArrayLike = 3.0
) -> Array:
    """Return the shear rate between two rolls, (v_fast - v_slow)/gap (trade relation R33). [1/s]

    Parameters
    ----------
    fast_m_s : array_like
        Surface speed of the faster roll. [m/s]
    gap_um : array_like
        Between the rolls, > 0. [um]
    speed_ratio : array_like
        Faster to slower roll, 1 or more; 3 is common, from memory. [-]
    """
    ratio = np.asarray(speed_ratio, dtype=float)
    if np.any(ratio < 1):
        raise OutOfRangeError(f"speed ratio is {ratio.min():g}, expected 1 or more")
    return np.asarray(
        np.asarray(fast_m_s) * (1 - 1 / ratio) / (_positive(gap_um, "gap", "um") * 1e-6)
    )


def reynolds(
    speed_rpm: ArrayLike, diameter_m: ArrayLike, density_g_ml: ArrayLike, viscosity_mPas: ArrayLike
) -> Array:
    """Return a rotor's Reynolds number rho N D^2/mu. [-]"""
    turns = np.asarray(speed_rpm, dtype=float) / 60
    viscosity = _positive(viscosity_mPas, "viscosity", "mPa s") * 1e-3
    return np.asarray(1e3 * np.asarray(density_g_ml) * turns * np.asarray(diameter_m) ** 2
                      / viscosity)  # fmt: skip


def batch_power_W(  # noqa: N802  watt keeps its capital
    speed_rpm: ArrayLike,
    diameter_m: ArrayLike,
    density_g_ml: ArrayLike,
    viscosity_mPas: ArrayLike,
    *,
    power_number: ArrayLike,
    laminar_constant: ArrayLike,
) -> Array:
    """Return the power a rotor in a vessel draws (trade relation R26). [W]

    Parameters
    ----------
    speed_rpm : array_like
        [1/min]
    diameter_m : array_like
        Of the rotor. [m]
    density_g_ml, viscosity_mPas : array_like
        Of the contents; the viscosity under the rotor's shear. [g/mL], [mPa s]
    power_number : array_like
        Np in turbulent flow, 1-3 for rotor-stators. [-]
    laminar_constant : array_like
        Kp of P = Kp mu N^2 D^3, specific to the device, from memory. [-]

    Notes
    -----
    P = rho N^3 D^5 (Np + Kp/Re): the turbulent law at high, the laminar one at low Reynolds
    number, and their sum between, as usual where no power curve was measured.

    Examples
    --------
    >>> turbulent = batch_power_W(6000, 0.06, 1.0, 1.0, power_number=2, laminar_constant=200)
    >>> round(float(turbulent))
    1556
    """
    turns = np.asarray(speed_rpm, dtype=float) / 60
    d = _positive(diameter_m, "diameter", "m")
    inertial = 1e3 * np.asarray(density_g_ml) * turns**3 * d**5 * np.asarray(power_number)
    viscous = (
        np.asarray(laminar_constant)
        * _positive(viscosity_mPas, "viscosity", "mPa s")
        * 1e-3
        * turns**2
        * d**3
    )
    return np.asarray(inertial + viscous)


def in_line_power_W(  # noqa: N802
    speed_rpm: ArrayLike,
    diameter_m: ArrayLike,
    density_g_ml: ArrayLike,
    flow_kg_s: ArrayLike,
    *,
    zero_flow_number: ArrayLike,
    flow_constant: ArrayLike,
) -> Array:
    """Return an in-line rotor-stator's power, Poz rho N^3 D^5 + k1 M N^2 D^2 (R27). [W]

    Parameters
    ----------
    speed_rpm, diameter_m, density_g_ml
        As `batch_power_W`.
    flow_kg_s : array_like
        Mass flow M, >= 0. [kg/s]
    zero_flow_number, flow_constant : array_like
        Poz and k1, of the device, from a zero-flow and a zero-head test. [-]
    """
    turns = np.asarray(speed_rpm, dtype=float) / 60
    d = _positive(diameter_m, "diameter", "m")
    return np.asarray(
        np.asarray(zero_flow_number) * 1e3 * np.asarray(density_g_ml) * turns**3 * d**5
        + np.asarray(flow_constant) * np.asarray(flow_kg_s) * turns**2 * d**2
    )


def energy_density_J_mL(  # noqa: N802
    power_W: ArrayLike,
    time_s: ArrayLike,
    volume_L: ArrayLike,
) -> Array:
    """Return the energy brought into a volume, P t/V (trade relation R28). [J/mL]

    Per pass of an in-line device, `time_s` is 1 and `volume_L` what passes in a second.

    Examples
    --------
    >>> float(energy_density_J_mL(1000.0, 300.0, 3.0))
    100.0
    """
    return np.asarray(
        np.asarray(power_W) * np.asarray(time_s) / (1e3 * _positive(volume_L, "volume", "L"))
    )


def pressure_energy_J_mL(pressure_bar: ArrayLike, passes: ArrayLike = 1.0) -> Array:  # noqa: N802
    """Return the energy of homogenising passes: a pressure is an energy per volume. [J/mL]

    Examples
    --------
    >>> float(pressure_energy_J_mL(500.0))
    50.0
    """
    return np.asarray(0.1 * np.asarray(pressure_bar) * np.asarray(passes))


def roll_energy_J_mL(  # noqa: N802
    shear_rate_1_s: ArrayLike,
    viscosity_mPas: ArrayLike,
    gap_um: ArrayLike,
    roll_radius_m: ArrayLike,
    passes: ArrayLike = 1.0,
) -> Array:
    """Return the energy that passes through a nip bring in. [J/mL]

    Parameters
    ----------
    shear_rate_1_s : array_like
        Between the rolls. [1/s]
    viscosity_mPas : array_like
        At that shear rate. [mPa s]
    gap_um : array_like
        [um]
    roll_radius_m : array_like
        [m]
    passes : array_like
        [-]

    Notes
    -----
    Shear stress times strain: the nip is about sqrt(R h) long, so that a fluid element is
    strained by sqrt(R/h) (lubrication scaling, a factor near 1 left out).
    """
    strain = np.sqrt(np.asarray(roll_radius_m) / (_positive(gap_um, "gap", "um") * 1e-6))
    stress_Pa = np.asarray(viscosity_mPas) * 1e-3 * np.asarray(shear_rate_1_s)
    return np.asarray(1e-6 * stress_Pa * strain * np.asarray(passes))


def adiabatic_rise_K(  # noqa: N802
    energy_J_mL: ArrayLike,
    heat_capacity_J_mL_K: ArrayLike = 2.0,
) -> Array:
    """Return the temperature rise without cooling, Ev/(rho cp) (trade relation R28). [K]

    Examples
    --------
    >>> float(adiabatic_rise_K(100.0))
    50.0
    """
    return np.asarray(
        np.asarray(energy_J_mL) / _positive(heat_capacity_J_mL_K, "heat capacity", "J/mL/K")
    )
