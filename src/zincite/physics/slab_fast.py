"""The slab for search and posterior draws: delta-scaled two-flux theory, all in closed form."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.physics.fresnel import diffuse_internal, fresnel_normal
from zincite.physics.slab import Fluxes

__all__ = ["TwoFluxLayer", "over_ground", "slab_fast", "two_flux_layer"]

Array = NDArray[np.float64]
Floats = NDArray[np.floating[Any]]
_ALBEDO_LIMIT = 1 - 1e-6


def slab_fast(
    optical_depth: ArrayLike,
    albedo: ArrayLike,
    asymmetry: ArrayLike,
    *,
    film_index: ArrayLike = 1.0,
    above_index: ArrayLike = 1.0,
    ground_reflectance: ArrayLike = 0.0,
) -> Fluxes:
    """Return where normally incident light goes in a slab, fast and roughly.

    Parameters
    ----------
    optical_depth, albedo, asymmetry : array_like
        As for `slab`; they broadcast. [-]
    film_index, above_index : array_like
        Indices of slab and medium above; the medium below is matched to the slab. [-]
    ground_reflectance : array_like
        Lambertian reflectance of the ground. [-]

    Returns
    -------
    Fluxes
        reflected, transmitted (net into the ground), absorbed (by difference). [-]

    Notes
    -----
    Practical improved flux method (Zdunkowski W.G. et al. 1980) in the general two-stream form,
    delta scaled (Joseph, Wiscombe and Weinman 1976); diffuse light meets the upper face with the
    diffuse internal reflectance. Against `slab` the reflected flux of pigment films (optical
    depth to 20, albedo above 0.3, asymmetry 0.1 to 0.8, ground to 0.7) differs by up to 0.036,
    over grounds to 0.3 by 0.016, the transmitted by 0.015. In deep shade it passes too little:
    5 to 20 % at a transmittance of 0.01 to 0.1, 10 to 40 % at 0.001 to 0.01, which a protection
    factor feels in full. A test holds the difference. Inputs are not checked, since it is called
    millions of times, and single precision stays single.

    References
    ----------
    Meador W.E., Weaver W.R. (1980) J. Atmos. Sci. 37, 630, eqs 14, 15, 25, 26.
    """
    depth = np.asarray(optical_depth)
    kind = depth.dtype if depth.dtype == np.float32 else np.dtype(float)
    ratio = np.asarray(film_index, dtype=float) / np.asarray(above_index, dtype=float)
    layer = two_flux_layer(
        depth.astype(kind), np.asarray(albedo, dtype=kind), np.asarray(asymmetry, dtype=kind)
    )
    reflected, transmitted = over_ground(
        layer,
        fresnel_normal(ratio).astype(kind),
        diffuse_internal(ratio).astype(kind),
        np.asarray(ground_reflectance, dtype=kind),
    )
    return Fluxes(
        np.asarray(reflected), np.asarray(transmitted), np.asarray(1 - reflected - transmitted)
    )


class TwoFluxLayer(NamedTuple):
    """A layer without faces.

    Attributes
    ----------
    beam_up, beam_down : ndarray
        Diffuse flux that a normal beam of unit flux sends up and down. [-]
    direct : ndarray
        Share of the beam that crosses. [-]
    back, through : ndarray
        Diffuse reflectance and transmittance. [-]
    """

    beam_up: Floats
    beam_down: Floats
    direct: Floats
    back: Floats
    through: Floats


def over_ground(
    layer: TwoFluxLayer, beam_face: Floats, diffuse_face: Floats, ground: Floats
) -> tuple[Floats, Floats]:
    """Return reflected and net transmitted flux of a layer under a face and over a ground.

    Parameters
    ----------
    layer : TwoFluxLayer
    beam_face, diffuse_face : ndarray
        Reflectance of the upper face for the normal beam and, from inside, for diffuse light. [-]
    ground : ndarray
        Lambertian reflectance below. [-]

    Returns
    -------
    reflected, transmitted : ndarray
        Broadcast shape. [-]
    """
    echo = 1 / (1 - ground * layer.back)
    lit = ground * echo * layer.through
    on_ground = (layer.direct + layer.beam_down) * echo
    below_up = layer.beam_up + (layer.direct + layer.beam_down) * lit
    returned = layer.back + layer.through * lit
    up = below_up * (1 - beam_face) / (1 - diffuse_face * returned)
    reflected = beam_face + (1 - diffuse_face) * up
    arrived = (1 - beam_face) * on_ground + diffuse_face * up * layer.through * echo
    return reflected, (1 - ground) * arrived


def two_flux_layer(depth: Floats, albedo: Floats, asymmetry: Floats) -> TwoFluxLayer:
    """Return a layer's two-flux operators for optical depth, albedo and asymmetry."""
    peak = asymmetry * asymmetry
    lost = 1 - albedo * peak
    tau = depth * lost
    omega = np.minimum(albedo * (1 - peak) / lost, _ALBEDO_LIMIT)
    g = asymmetry / (1 + asymmetry)
    gamma1 = 2 - omega * (1.25 + 0.75 * g)
    gamma2 = 0.75 * omega * (1 - g)
    gamma3 = 0.5 - 0.75 * g
    gamma4 = 1 - gamma3
    k = np.sqrt((gamma1 - gamma2) * (gamma1 + gamma2))
    k = np.where(np.abs(k - 1) < 1e-4, 1 + 1e-4, k)  # beam and diffuse rates must differ
    alpha1 = gamma1 * gamma4 + gamma2 * gamma3
    alpha2 = gamma1 * gamma3 + gamma2 * gamma4
    fade, direct = np.exp(-k * tau), np.exp(-tau)
    fade2 = fade * fade
    inverse = 1 / ((k + gamma1) + (k - gamma1) * fade2)
    scale = omega * inverse / (1 - k * k)
    beam_up = scale * (
        (1 - k) * (alpha2 + k * gamma3)
        - (1 + k) * (alpha2 - k * gamma3) * fade2
        - 2 * k * (gamma3 - alpha2) * fade * direct
    )
    beam_down = -scale * (
        direct * ((1 + k) * (alpha1 + k * gamma4) - (1 - k) * (alpha1 - k * gamma4) * fade2)
        - 2 * k * (gamma4 + alpha1) * fade
    )
    back = gamma2 * (1 - fade2) * inverse
    through = 2 * k * fade * inverse
    return TwoFluxLayer(beam_up, beam_down, direct, back, through)
