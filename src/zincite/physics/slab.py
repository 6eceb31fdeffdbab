"""Reflected, transmitted and absorbed flux of a scattering slab with Fresnel faces."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics.discrete_ordinates import (
    Layer,
    hemisphere_nodes,
    henyey_greenstein_moments,
    make_layer,
)
from zincite.physics.fresnel import fresnel_unpolarised

__all__ = ["Fluxes", "slab"]

Array = NDArray[np.float64]
_CHUNK = 512  # slabs worked on together
_LARGEST_DEPTH = 1e12
_TOTAL = 1 - 1e-14  # total reflection inside; 1 would trap light for ever in an empty slab


class Fluxes(NamedTuple):
    """Fractions of the incident flux; they sum to 1.

    Attributes
    ----------
    reflected : ndarray
        Flux leaving upward, the specular part included. [-]
    transmitted : ndarray
        Net flux into the ground. [-]
    absorbed : ndarray
        Absorbed in the layer, integrated there and not taken as a difference. [-]
    """

    reflected: Array
    transmitted: Array
    absorbed: Array


def _checked(name: str, value: ArrayLike, low: float, high: float) -> Array:
    number = np.asarray(value, dtype=float)
    bad = ~((number >= low) & (number <= high))
    if np.any(bad):
        raise OutOfRangeError(
            f"{name} is {float(number[bad].ravel()[0]):g}, expected {low:g} to {high:g}"
        )
    return number


def slab(
    optical_depth: ArrayLike,
    albedo: ArrayLike,
    asymmetry: ArrayLike,
    *,
    film_index: ArrayLike = 1.0,
    above_index: ArrayLike = 1.0,
    below_index: ArrayLike = 1.0,
    ground_reflectance: ArrayLike = 0.0,
    incidence_cosine: ArrayLike | str = 1.0,
    points: int = 8,
) -> Fluxes:
    """Return where the light goes that falls on a slab (reference fidelity).

    Discrete ordinates with `points` Gauss directions a hemisphere and, where a face reflects
    totally, 2 `points` more in each cone that light can leave by; Henyey-Greenstein phase
    function, delta-M scaled; unpolarised Fresnel faces; Lambertian ground in the medium below.
    All arguments broadcast.

    Parameters
    ----------
    optical_depth : array_like
        Extinction optical depth, >= 0; inf below albedo 1. [-]
    albedo : array_like
        Single-scattering albedo, 0..1. [-]
    asymmetry : array_like
        Mean cosine of scattering, -0.99..0.99. [-]
    film_index, above_index, below_index : array_like
        Real refractive indices of the slab and its neighbours. [-]
    ground_reflectance : array_like
        Lambertian reflectance of the ground, 0..1. [-]
    incidence_cosine : array_like or "diffuse"
        Cosine of a collimated beam in the medium above, or isotropic radiance there.
    points : int
        Directions a hemisphere, 2 or more; moments up to 2 `points` - 1 are exact.

    Returns
    -------
    Fluxes
        reflected, transmitted (net into the ground), absorbed (in the layer). [-]

    Raises
    ------
    OutOfRangeError
        If an argument is out of its range or not a number.

    Notes
    -----
    For asymmetry up to 0.8 the default is within 1.3e-5 of 128-stream results without faces and
    within 2.2e-4 of 48 directions with faces (median 1e-8). Accuracy falls for asymmetry above
    0.85 and beams below cosine 0.1, where `points` may be raised.

    References
    ----------
    Stamnes K., Tsay S.-C., Wiscombe W., Jayaweera K. (1988) Appl. Opt. 27, 2502;
    Wiscombe W.J. (1977) J. Atmos. Sci. 34, 1408; the closed form is zincite's
    (`discrete_ordinates`).

    Examples
    --------
    van de Hulst's slab (albedo 0.9, optical depth 2, asymmetry 0.75): R 0.09739, T 0.66096.

    >>> r, t, a = slab(2.0, 0.9, 0.75)
    >>> print(f"{float(r):.4f} {float(t):.4f} {float(r + t + a):.10f}")
    0.0974 0.6610 1.0000000000
    """
    diffuse = isinstance(incidence_cosine, str)
    if diffuse and incidence_cosine != "diffuse":
        raise OutOfRangeError(
            f"incidence_cosine is {incidence_cosine!r}, expected a number or 'diffuse'"
        )
    if points < 2:
        raise OutOfRangeError(f"points is {points}, expected 2 or more")
    inputs = (
        _checked("optical_depth", optical_depth, 0.0, np.inf),
        _checked("albedo", albedo, 0.0, 1.0),
        _checked("asymmetry", asymmetry, -0.99, 0.99),
        _checked("film_index", film_index, 0.5, 10.0),
        _checked("above_index", above_index, 0.5, 10.0),
        _checked("below_index", below_index, 0.5, 10.0),
        _checked("ground_reflectance", ground_reflectance, 0.0, 1.0),
        np.asarray(1.0) if diffuse else _checked("incidence_cosine", incidence_cosine, 1e-6, 1.0),
    )
    shape = np.broadcast_shapes(*(i.shape for i in inputs))
    flat = [np.broadcast_to(i, shape).ravel() for i in inputs]
    result = np.empty((3, flat[0].size))
    for group in _by_faces(flat):
        for start in range(0, group.size, _CHUNK):
            pick = group[start : start + _CHUNK]
            result[:, pick] = _solve([f[pick] for f in flat], diffuse, points)
    return Fluxes(*(row.reshape(shape) for row in result))


def _by_faces(flat: list[Array]) -> list[NDArray[np.intp]]:
    """Group slabs by which faces' cosines of total reflection cut their hemisphere."""
    _, _, _, film, above, below, ground, _ = flat
    cuts = (film > above) + 2 * ((film > below) & (below != above))
    plain = (film == above) & (film == below) & (ground == 0)
    kind = np.where(plain, -1, cuts)
    return [np.flatnonzero(kind == k) for k in np.unique(kind)]


def _nodes(film: Array, above: Array, below: Array, points: int) -> tuple[Array, Array]:
    first = [above] if film[0] > above[0] else []
    if film[0] > below[0] and (not first or below[0] != above[0]):
        first.append(below)
    breaks = [np.sqrt(1 - (outside / film) ** 2) for outside in first]
    stacked = np.sort(np.stack(breaks, axis=1), axis=1) if breaks else np.empty((film.size, 0))
    return hemisphere_nodes(stacked, points, 2 * points)


def _solve(flat: list[Array], diffuse: bool, points: int) -> Array:
    depth, albedo, asymmetry, film, above, below, ground, incidence = flat
    depth = np.where(albedo == 1, np.minimum(depth, _LARGEST_DEPTH), depth)
    nodes = _nodes(film, above, below, points)
    sine2 = (above / film) ** 2 * (1 - incidence**2)
    beam_cosine = None if diffuse else np.sqrt(np.maximum(1 - sine2, 1e-12))
    moments = henyey_greenstein_moments(asymmetry, 2 * points + 1)
    layer = make_layer(depth, albedo, moments, nodes, beam_cosine)
    if np.all(film == above) and np.all(film == below) and not np.any(ground):
        return _bare(layer)
    fresnel_in = (
        None if diffuse else np.where(sine2 >= 1, 1.0, fresnel_unpolarised(incidence, film / above))
    )
    return _with_faces(layer, film, above, below, ground, fresnel_in, beam_cosine)


def _sum(row: Array, field: Array) -> Array:
    total: Array = np.einsum("ij,ij->i", row, field)
    return total


def _bare(layer: Layer) -> Array:
    """Return fluxes without faces and ground: nothing comes back."""
    flux = layer.flux_row
    if layer.beam is not None:
        near, far = layer.beam.out_near, layer.beam.out_far
        direct, absorbed = layer.beam.transmission, layer.beam.absorbed
        entered = np.zeros_like(near)
    else:
        entered = 2.0 * flux  # isotropic radiance of unit flux
        near = np.matmul(layer.reflection, entered[..., None])[..., 0]
        far = np.matmul(layer.transmission, entered[..., None])[..., 0]
        direct, absorbed = np.zeros(flux.shape[0]), np.zeros(flux.shape[0])
    absorbed = absorbed + _sum(layer.absorption_row, near + far + entered)
    return np.stack([_sum(flux, near), _sum(flux, far) + direct, absorbed])


def _with_faces(
    layer: Layer,
    film: Array,
    above: Array,
    below: Array,
    ground: Array,
    fresnel_in: Array | None,
    beam_cosine: Array | None,
) -> Array:
    """Return fluxes with Fresnel faces and a Lambertian ground.

    Outside a face light is kept as a flux only. What isotropic light from outside passes through
    a face is counted with the same quadrature as what leaves, so no energy is made or lost.
    """
    flux, cosine = layer.flux_row, layer.cosine
    top = np.minimum(fresnel_unpolarised(cosine, (above / film)[:, None]), _TOTAL)
    bottom = np.minimum(fresnel_unpolarised(cosine, (below / film)[:, None]), _TOTAL)
    enter_top = 2.0 * (film / above)[:, None] ** 2 * flux * (1 - top)
    enter_bottom = 2.0 * (film / below)[:, None] ** 2 * flux * (1 - bottom)
    pass_bottom = _sum(flux, enter_bottom)  # of isotropic light from below
    # light on the ground, its returns from the face included, per flux arriving through it
    gain = 1.0 / (1.0 - ground * (1.0 - pass_bottom))
    returned = (ground * gain)[:, None] * enter_bottom
    down_row = flux * (1 - bottom)

    source_near = source_far = np.zeros_like(flux)
    absorbed = arriving = np.zeros(film.size)
    if beam_cosine is None or fresnel_in is None or layer.beam is None:
        entered = enter_top
        reflected = 1.0 - _sum(flux, enter_top)
    else:
        beam, face = layer.beam, fresnel_unpolarised(beam_cosine, below / film)
        round_trip = beam.transmission**2 * face * fresnel_in
        down = (1 - fresnel_in) / np.where(round_trip < 1, 1 - round_trip, 1.0)
        up = down * beam.transmission * face
        source_near = down[:, None] * beam.out_near + up[:, None] * beam.out_far
        source_far = down[:, None] * beam.out_far + up[:, None] * beam.out_near
        arriving = down * beam.transmission * (1 - face)
        reflected = fresnel_in + up * beam.transmission * (1 - fresnel_in)
        absorbed = (down + up) * beam.absorbed
        entered = np.zeros_like(flux)

    near_out, near_in, far_out, far_in = _balance(
        layer, top, bottom, down_row, returned, entered, arriving, source_near, source_far
    )
    on_ground = arriving + _sum(down_row, far_out)
    return np.stack(
        [
            reflected + _sum(flux * (1 - top), near_out),
            (1 - ground) * gain * on_ground,
            absorbed + _sum(layer.absorption_row, near_out + near_in + far_out + far_in),
        ]
    )


def _balance(
    layer: Layer,
    top: Array,
    bottom: Array,
    down_row: Array,
    returned: Array,
    entered: Array,
    arriving: Array,
    source_near: Array,
    source_far: Array,
) -> tuple[Array, Array, Array, Array]:
    """Solve for the diffuse light at both faces: (out, in) at the top, (out, in) below."""
    n = top.shape[1]
    identity = np.eye(n)
    reflection, transmission = layer.reflection, layer.transmission
    below = identity * bottom[:, None, :] + returned[:, :, None] * down_row[:, None, :]
    first = returned * arriving[:, None]
    known = (np.matmul(reflection, first[..., None])[..., 0] + source_far)[..., None]
    solved = np.linalg.solve(
        identity - reflection @ below, np.concatenate([transmission, known], axis=2)
    )
    through, far_fixed = solved[..., :n], solved[..., n]
    up = transmission @ below
    total = reflection + up @ through
    near_fixed = source_near + np.matmul(transmission, first[..., None])[..., 0]
    near_fixed = near_fixed + np.matmul(up, far_fixed[..., None])[..., 0]
    rhs = np.matmul(total, entered[..., None])[..., 0] + near_fixed
    near_out = np.linalg.solve(identity - total * top[:, None, :], rhs[..., None])[..., 0]
    near_in = entered + top * near_out
    far_out = np.matmul(through, near_in[..., None])[..., 0] + far_fixed
    far_in = np.matmul(below, far_out[..., None])[..., 0] + first
    return near_out, near_in, far_out, far_in
