"""From a small rotor to a large one: turnovers, and the speed that keeps a quantity."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics.mixing import batch_power_W

__all__ = ["hoop_stress_MPa", "pumping_L_s", "similar_diameter_m", "speed_for_power_rpm"]

Array = NDArray[np.float64]


def similar_diameter_m(
    diameter_m: ArrayLike, volume_L: ArrayLike, target_volume_L: ArrayLike
) -> Array:
    """Return the rotor's diameter in a geometrically similar vessel, D (V2/V1)^(1/3). [m]

    Examples
    --------
    >>> round(float(similar_diameter_m(0.06, 3.0, 3000.0)), 6)
    0.6
    """
    return np.asarray(
        np.asarray(diameter_m) * np.cbrt(np.asarray(target_volume_L) / np.asarray(volume_L))
    )


def pumping_L_s(  # noqa: N802
    speed_rpm: ArrayLike, diameter_m: ArrayLike, flow_number: ArrayLike
) -> Array:
    """Return the flow that a rotor pumps, Fl N D^3. [L/s]

    Parameters
    ----------
    speed_rpm : array_like
        [1/min]
    diameter_m : array_like
        [m]
    flow_number : array_like
        Fl, specific to the device. [-]

    Examples
    --------
    >>> round(float(pumping_L_s(600.0, 0.1, 0.2)), 9)
    2.0
    """
    turns = np.asarray(speed_rpm, dtype=float) / 60
    return np.asarray(1e3 * np.asarray(flow_number) * turns * np.asarray(diameter_m) ** 3)


def speed_for_power_rpm(
    power_W: float,
    diameter_m: float,
    density_g_ml: float,
    viscosity_mPas: float,
    *,
    power_number: float,
    laminar_constant: float,
) -> float:
    """Return the speed at which a rotor draws a power, the inverse of `batch_power_W`. [1/min]

    Raises
    ------
    OutOfRangeError
        If the power is not positive.

    Examples
    --------
    >>> round(speed_for_power_rpm(1555.5, 0.06, 1.0, 1.0, power_number=2, laminar_constant=200))
    6000
    """
    if not power_W > 0:
        raise OutOfRangeError(f"power is {power_W:g} W, expected above 0")

    def drawn(power: float, laminar: float) -> float:
        """Return the power at one turn a second."""
        return float(
            batch_power_W(60.0, diameter_m, density_g_ml, viscosity_mPas,
                          power_number=power, laminar_constant=laminar)
        )  # fmt: skip

    roots = np.roots([drawn(power_number, 0.0), drawn(0.0, laminar_constant), 0.0, -power_W])
    # the cubic rises for positive speeds, so exactly one root is real and positive
    real = roots.real[(np.abs(roots.imag) < 1e-9 * np.abs(roots)) & (roots.real > 0)]
    return float(60 * real.max())


def hoop_stress_MPa(  # noqa: N802
    tip_speed_m_s: ArrayLike, density_g_ml: ArrayLike
) -> Array:
    """Return the stress in a thin ring that turns, rho v^2. [MPa]

    Examples
    --------
    >>> float(hoop_stress_MPa(200.0, 8.0))
    320.0
    """
    return np.asarray(1e-3 * np.asarray(density_g_ml) * np.asarray(tip_speed_m_s) ** 2)
