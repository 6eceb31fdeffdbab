"""Fluxes in a stack of different scattering layers, added from the ground up."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics.discrete_ordinates import Layer, hemisphere_nodes, make_layer

__all__ = ["LayeredFluxes", "layered"]

Array = NDArray[np.float64]
_LARGEST_DEPTH = 1e12


class LayeredFluxes(NamedTuple):
    """Fractions of the incident flux; reflected + transmitted + sum of absorbed is 1.

    Attributes
    ----------
    reflected : ndarray, shape (...)
        Flux leaving upward. [-]
    transmitted : ndarray, shape (...)
        Net flux into the ground. [-]
    absorbed : ndarray, shape (..., n_layers)
        Absorbed in each layer, integrated there and not taken as a difference. [-]
    """

    reflected: Array
    transmitted: Array
    absorbed: Array


def _within(name: str, value: ArrayLike, low: float, high: float) -> Array:
    number = np.asarray(value, dtype=float)
    bad = ~((number >= low) & (number <= high))
    if np.any(bad):
        raise OutOfRangeError(
            f"{name} is {float(number[bad].ravel()[0]):g}, expected {low:g} to {high:g}"
        )
    return number


def layered(
    optical_depths: ArrayLike,
    albedos: ArrayLike,
    moments: ArrayLike,
    *,
    points: int = 8,
    incidence: ArrayLike | str = 1.0,
    ground_reflectance: ArrayLike = 0.0,
) -> LayeredFluxes:
    """Return where the light goes that falls on a stack of layers of one refractive index.

    Parameters
    ----------
    optical_depths, albedos : array_like, shape (..., n_layers)
        Extinction optical depth (>= 0; inf below albedo 1) and single-scattering albedo (0..1)
        of the layers from the top. [-]
    moments : array_like, shape (..., n_layers, n_moments)
        Legendre moments of the phase functions, chi_0 = 1, chi_1 the asymmetry; missing ones
        count as 0, those above 2 `points` are left out by the delta-M scaling. [-]
    points : int
        Directions a hemisphere, 2 or more.
    incidence : array_like, shape (...), or "diffuse"
        Cosine of a collimated beam, or isotropic radiance.
    ground_reflectance : array_like, shape (...)
        Lambertian reflectance of the ground, 0..1. [-]

    Returns
    -------
    LayeredFluxes

    Raises
    ------
    OutOfRangeError
        If an argument is out of its range, not a number, or there is no layer.

    Notes
    -----
    The star product of layer operators: with R' and s' the reflection and emission of all below,
    the light between is d = (1 - R R')^-1 (T d_top + R s' + s_far).

    References
    ----------
    Grant I.P., Hunt G.E. (1969) Proc. R. Soc. A 313, 183 (star product, from memory);
    Wiscombe W.J. (1977) J. Atmos. Sci. 34, 1408 (delta-M).

    Examples
    --------
    Two halves make the whole (van de Hulst's slab of `slab`, R 0.09739):

    >>> half = layered([1.0, 1.0], [0.9, 0.9], 0.75 ** np.arange(40))
    >>> print(f"{float(half.reflected):.4f} {float(half.transmitted):.4f}")
    0.0974 0.6610
    """
    depth, albedo, chi, cosine, ground = _read(
        optical_depths, albedos, moments, points, incidence, ground_reflectance
    )
    stack = np.broadcast_shapes(depth.shape, albedo.shape, chi.shape[:-1])
    beam_shape = () if cosine is None else cosine.shape
    shape, count = np.broadcast_shapes(stack[:-1], beam_shape, ground.shape), stack[-1]
    if count == 0:
        raise OutOfRangeError("optical_depths is empty, expected one layer or more")
    depth = np.where(albedo == 1, np.minimum(depth, _LARGEST_DEPTH), depth)
    depth = np.broadcast_to(depth, (*shape, count)).reshape(-1, count)
    albedo = np.broadcast_to(albedo, (*shape, count)).reshape(-1, count)
    chi = np.broadcast_to(chi, (*shape, count, chi.shape[-1])).reshape(-1, count, chi.shape[-1])
    beam = None if cosine is None else np.broadcast_to(cosine, shape).ravel()
    layers = _layers(depth, albedo, _padded(chi, 2 * points + 1), beam, points)
    result = _stacked(layers, np.broadcast_to(ground, shape).ravel())
    return LayeredFluxes(
        result.reflected.reshape(shape),
        result.transmitted.reshape(shape),
        result.absorbed.reshape(*shape, count),
    )


def _read(
    optical_depths: ArrayLike,
    albedos: ArrayLike,
    moments: ArrayLike,
    points: int,
    incidence: ArrayLike | str,
    ground_reflectance: ArrayLike,
) -> tuple[Array, Array, Array, Array | None, Array]:
    cosine = None
    if not isinstance(incidence, str):
        cosine = _within("incidence", incidence, 1e-6, 1.0)
    elif incidence != "diffuse":
        raise OutOfRangeError(f"incidence is {incidence!r}, expected a number or 'diffuse'")
    if points < 2:
        raise OutOfRangeError(f"points is {points}, expected 2 or more")
    depth = np.atleast_1d(_within("optical_depths", optical_depths, 0.0, np.inf))
    albedo = np.atleast_1d(_within("albedos", albedos, 0.0, 1.0))
    chi = np.atleast_1d(_within("moments", moments, -1.0, 1.0))
    if not (chi.size and np.all(chi[..., 0] == 1)):
        raise OutOfRangeError("moments do not begin with 1, expected chi_0 = 1")
    ground = _within("ground_reflectance", ground_reflectance, 0.0, 1.0)
    return depth, albedo, chi, cosine, ground


def _padded(chi: Array, count: int) -> Array:
    room = np.zeros((*chi.shape[:-1], count))
    taken = min(count, chi.shape[-1])
    room[..., :taken] = chi[..., :taken]
    return room


def _layers(
    depth: Array, albedo: Array, chi: Array, beam: Array | None, points: int
) -> list[Layer]:
    nodes = hemisphere_nodes(np.empty((depth.shape[0], 0)), points, points)
    return [
        make_layer(depth[:, k], albedo[:, k], chi[:, k], nodes, beam) for k in range(depth.shape[1])
    ]


def _times(matrix: Array, vector: Array) -> Array:
    return np.asarray(np.matmul(matrix, vector[..., None])[..., 0])


def _stacked(layers: list[Layer], ground: Array) -> LayeredFluxes:
    """Add layers from the ground up, then follow the light down."""
    flux = layers[0].flux_row
    arriving = [np.ones_like(ground)]  # beam at the top of each layer, and last on the ground
    for layer in layers:
        fade = layer.beam.transmission if layer.beam else np.zeros_like(ground)
        arriving.append(arriving[-1] * fade)
    under = 2.0 * ground[:, None, None] * flux[:, :, None] * flux[:, None, :]
    emitted = 2.0 * (ground * arriving[-1])[:, None] * flux
    steps = []
    for layer, beam_flux in zip(reversed(layers), reversed(arriving[:-1]), strict=True):
        step, under_next, emitted_next = _put_on(layer, beam_flux, under, emitted)
        steps.append((under, emitted, *step))
        under, emitted = under_next, emitted_next
    down = np.zeros_like(flux) if layers[0].beam else 2.0 * flux  # isotropic, of unit flux
    up = _times(under, down) + emitted
    reflected = np.sum(flux * up, axis=1)
    absorbed = []
    for layer, beam_flux, (under, emitted, through, fixed) in zip(
        layers, arriving[:-1], reversed(steps), strict=True
    ):
        far_down = _times(through, down) + fixed
        far_up = _times(under, far_down) + emitted
        lost = np.sum(layer.absorption_row * (down + up + far_down + far_up), axis=1)
        absorbed.append(lost + beam_flux * layer.beam.absorbed if layer.beam else lost)
        down, up = far_down, far_up
    on_ground = np.sum(flux * down, axis=1)
    if layers[0].beam:
        on_ground = on_ground + arriving[-1]
    return LayeredFluxes(reflected, (1 - ground) * on_ground, np.stack(absorbed, axis=1))


def _put_on(
    layer: Layer, beam_flux: Array, under: Array, emitted: Array
) -> tuple[tuple[Array, Array], Array, Array]:
    """Put a layer on what lies below, which reflects by `under` and sends up `emitted`.

    Returns what reaches its lower face, as a matrix on what enters above and a fixed part, and
    the reflection and emission of the whole.
    """
    reflection, transmission = layer.reflection, layer.transmission
    near = far = np.zeros_like(emitted)
    if layer.beam:
        near = beam_flux[:, None] * layer.beam.out_near
        far = beam_flux[:, None] * layer.beam.out_far
    known = _times(reflection, emitted) + far
    solved = np.linalg.solve(
        np.eye(emitted.shape[1]) - reflection @ under,
        np.concatenate([transmission, known[..., None]], axis=2),
    )
    through, fixed = solved[..., :-1], solved[..., -1]
    sent = near + _times(transmission, _times(under, fixed) + emitted)
    return (through, fixed), reflection + transmission @ under @ through, sent
