"""Two-flux theory of a diffusing layer (Kubelka and Munk)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "TwoFlux",
    "infinite_reflectance",
    "k_over_s",
    "kubelka_munk_layer",
]


class TwoFlux(NamedTuple):
    """Diffuse fluxes of a layer, as fractions of the diffuse light that falls on it.

    Attributes
    ----------
    reflectance : ndarray
        Over a perfectly black background. [-]
    transmittance : ndarray
        Of the layer alone. [-]
    over_background : ndarray
        Reflectance over the background given. [-]
    """

    reflectance: NDArray[np.float64]
    transmittance: NDArray[np.float64]
    over_background: NDArray[np.float64]


def _tanh_over(y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return tanh(y)/y with its limit 1 at 0."""
    small = y < 1e-4
    # The next term of the series is 2 y^4/15, below rounding here.
    return np.where(small, 1.0 - y * y / 3.0, np.tanh(y) / np.where(small, 1.0, y))


def kubelka_munk_layer(
    absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike, background: ArrayLike = 0.0
) -> TwoFlux:
    """Return reflectance and transmittance of a layer by two-flux theory.

    Parameters
    ----------
    absorption : array_like
        Kubelka-Munk absorption coefficient K, >= 0, per unit of thickness.
    scattering : array_like
        Kubelka-Munk scattering coefficient S, >= 0, per unit of thickness.
    thickness : array_like
        Layer thickness X, >= 0; any unit, with K and S per the same unit.
    background : array_like
        Diffuse reflectance of what lies below, 0..1. [-]

    Returns
    -------
    TwoFlux
        Arrays of the broadcast shape.

    Raises
    ------
    OutOfRangeError
        If a coefficient or thickness is negative or a background outside 0..1.

    Notes
    -----
    Kubelka P. (1948), J. Opt. Soc. Am. 38, 448, hyperbolic solution, written with
    t = tanh(bSX)/b and b^2 = K(K + 2S)/S^2 so that K = 0 (R = SX/(1 + SX)) and S = 0
    (T = exp(-KX)) are reached without a jump and thick layers do not overflow. Faces are matched:
    add Saunderson's correction where the layer meets air.

    Examples
    --------
    >>> layer = kubelka_munk_layer(0.0, 1.0, 3.0)
    >>> print(f"{layer.reflectance:.2f} {layer.transmittance:.2f}")
    0.75 0.25
    """
    k, s, x, below = (
        np.asarray(v, dtype=np.float64) for v in (absorption, scattering, thickness, background)
    )
    for name, value in (("absorption", k), ("scattering", s), ("thickness", x)):
        if not np.all(np.isfinite(value) & (value >= 0)):
            raise OutOfRangeError(f"two-flux {name} holds {np.min(value)}, expected 0 or more")
    if not np.all((below >= 0) & (below <= 1)):
        raise OutOfRangeError(f"background reflectance is {below}, expected 0 to 1")
    y = x * np.sqrt(k * (k + 2.0 * s))
    rise = _tanh_over(y) * x
    # Kubelka's a sinh + b cosh, divided by b cosh: 1 + (K + S) X tanh(y)/y.
    denominator = 1.0 + (k + s) * rise
    reflectance = s * rise / denominator
    # 1/cosh written with the decaying exponential only.
    decay = np.exp(-y)
    transmittance = 2.0 * decay / (1.0 + decay * decay) / denominator
    over = reflectance + transmittance**2 * below / (1.0 - reflectance * below)
    shape = np.broadcast_shapes(reflectance.shape, over.shape)
    return TwoFlux(
        np.broadcast_to(reflectance, shape), np.broadcast_to(transmittance, shape), np.asarray(over)
    )


def k_over_s(infinite: ArrayLike) -> NDArray[np.float64]:
    """Return K/S of a layer so thick that more of it changes nothing.

    Parameters
    ----------
    infinite : array_like
        Reflectance of the infinite layer, above 0 and up to 1. [-]

    Returns
    -------
    ndarray
        (1 - R)^2 / (2 R). [-]

    Raises
    ------
    OutOfRangeError
        If a reflectance is not above 0 and up to 1.

    Notes
    -----
    Kubelka P., Munk F. (1931), Z. Tech. Phys. 12, 593.

    Examples
    --------
    >>> print(f"{k_over_s(0.5):.2f}")
    0.25
    """
    r = np.asarray(infinite, dtype=np.float64)
    if not np.all((r > 0) & (r <= 1)):
        raise OutOfRangeError(f"reflectance is {r}, expected above 0 and up to 1")
    return np.asarray((1.0 - r) ** 2 / (2.0 * r))


def infinite_reflectance(ratio: ArrayLike) -> NDArray[np.float64]:
    """Return the reflectance of an infinite layer from its K/S.

    Parameters
    ----------
    ratio : array_like
        K/S, >= 0. [-]

    Returns
    -------
    ndarray
        1 / (1 + q + sqrt(q^2 + 2 q)), the form of Kubelka and Munk that does not cancel. [-]

    Raises
    ------
    OutOfRangeError
        If a ratio is negative.
    """
    q = np.asarray(ratio, dtype=np.float64)
    if not np.all(q >= 0):
        raise OutOfRangeError(f"K/S is {q}, expected 0 or more")
    return np.asarray(1.0 / (1.0 + q + np.sqrt(q * (q + 2.0))))
