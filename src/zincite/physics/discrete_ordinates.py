"""Operators of a homogeneous scattering layer by discrete ordinates, closed in optical depth.

The azimuth-averaged transfer equation on N directions a hemisphere (Stamnes K. et al. 1988,
Appl. Opt. 27, 2502) is written for sum and difference of the two hemispheres,

    ds/dt = -A d + a,   dd/dt = -B s + b,   s, d = sqrt(mu w) (I+ +- I-),

with symmetric A and B. Fields even and odd about the middle of the layer decouple, and each obeys
d = -Z s at the faces with Z a smooth function of the eigenvalues k^2 of A B: k tanh(kh) for even,
k coth(kh) for odd fields, h half the optical depth. So there is no doubling from a thin layer, no
overflow in thick layers and no special case at albedo 1. A collimated beam brings divided
differences of the same functions, smooth where its 1/mu0 meets an eigenvalue.

Forward peaks are delta-M scaled (Wiscombe W.J. 1977, J. Atmos. Sci. 34, 1408). Radiances are
2 pi I, so the flux of a hemisphere is sum(mu w I) = sum(sqrt(mu w) s / ...) of one hemisphere.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Beam", "Layer", "hemisphere_nodes", "henyey_greenstein_moments", "make_layer"]

Array = NDArray[np.float64]
_RESONANCE = 1e-5  # relative gap below which a divided difference becomes a derivative


def henyey_greenstein_moments(asymmetry: Array, count: int) -> Array:
    """Return chi_l = g^l for l = 0..count-1, shape asymmetry.shape + (count,)."""
    powers: Array = asymmetry[..., None] ** np.arange(count)
    return powers


def hemisphere_nodes(breaks: Array, points: int, cone_points: int) -> tuple[Array, Array]:
    """Return quadrature nodes and weights on [0, 1] cut at the cosines of total reflection.

    Above a cut Fresnel transmittance starts as a square root, so there the variable is
    s = sqrt(mu - cut) and Gauss nodes are taken in s: polynomials up to degree
    `cone_points` - 1 and square roots are both integrated exactly.

    Parameters
    ----------
    breaks : ndarray, shape (n, n_breaks)
        Ascending cosines in (0, 1); n_breaks may be 0.
    points, cone_points : int
        Nodes below the first cut and in each piece above a cut.

    Returns
    -------
    cosine, weight : ndarray, shape (n, points + cone_points * n_breaks)
    """
    x, w = np.polynomial.legendre.leggauss(points)
    s, v = np.polynomial.legendre.leggauss(cone_points)
    s, v = (s + 1) / 2, v / 2
    n = breaks.shape[0]
    edges = np.concatenate([np.zeros((n, 1)), breaks, np.ones((n, 1))], axis=1)
    low, width = edges[:, :-1], np.diff(edges, axis=1)
    cosine = [low[:, :1] + width[:, :1] * (x + 1) / 2]
    weight = [width[:, :1] * w / 2]
    for piece in range(1, low.shape[1]):
        cosine.append(low[:, piece, None] + width[:, piece, None] * s**2)
        weight.append(width[:, piece, None] * 2 * s * v)
    return np.concatenate(cosine, axis=1), np.concatenate(weight, axis=1)


def _legendre(cosine: Array, count: int) -> Array:
    """Return P_l(cosine), l = 0..count-1, on a new axis before the last."""
    table = np.empty((*cosine.shape[:-1], count, cosine.shape[-1]))
    table[..., 0, :] = 1.0
    if count > 1:
        table[..., 1, :] = cosine
    for order in range(2, count):
        table[..., order, :] = (
            (2 * order - 1) * cosine * table[..., order - 1, :]
            - (order - 1) * table[..., order - 2, :]
        ) / order
    return table


def _tanh_times(root: Array, half: Array) -> Array:
    """k tanh(k h)."""
    value: Array = root * np.tanh(root * half)
    return value


def _coth_times(root: Array, half: Array) -> Array:
    """k coth(k h), 1/h at k = 0."""
    depth = root * half
    small = depth < 1e-8
    with np.errstate(divide="ignore", invalid="ignore"):
        value: Array = np.where(small, 1.0 / half, root / np.tanh(np.where(small, 1.0, depth)))
    return value


def _tanh_over(root: Array, half: Array) -> Array:
    """tanh(k h) / k, h at k = 0."""
    depth = root * half
    small = depth < 1e-8
    safe = np.where(small, 1.0, root)
    value: Array = np.where(small, half, np.tanh(depth) / safe)
    return value


def _slope_tanh_times(root: Array, half: Array) -> Array:
    depth = np.minimum(root * half, 300)
    value: Array = (np.tanh(depth) + depth / np.cosh(depth) ** 2) / (2 * root)
    return value


def _slope_coth_times(root: Array, half: Array) -> Array:
    depth = np.minimum(root * half, 300)
    value: Array = (1 / np.tanh(depth) - depth / np.sinh(depth) ** 2) / (2 * root)
    return value


def _slope_tanh_over(root: Array, half: Array) -> Array:
    depth = root * half
    sech2 = 1 / np.cosh(np.minimum(depth, 300)) ** 2
    finite_half = np.where(np.isfinite(half), half, 0.0)
    value: Array = (finite_half * sech2 / root - np.tanh(depth) / root**2) / (2 * root)
    return value


def _divided_difference(
    function: Callable[[Array, Array], Array],
    slope: Callable[[Array, Array], Array],
    beam_root: Array,
    roots: Array,
    half: Array,
) -> Array:
    """Return [f(kappa^2) - f(k^2)] / (kappa^2 - k^2), the derivative where they meet."""
    gap = beam_root**2 - roots**2
    near = np.abs(gap) < _RESONANCE * beam_root**2
    value: Array = (function(beam_root, half) - function(roots, half)) / np.where(near, 1.0, gap)
    if np.any(near):
        middle = np.sqrt((beam_root**2 + roots**2) / 2)
        middle, half_near = np.broadcast_arrays(middle, half)
        value[near] = slope(middle[near], half_near[near])
    return value


def _smallest_eigenvalue(
    eigenvalues: Array, vectors: Array, isotropic: Array, isotropic_pull: Array, absorbing: Array
) -> Array:
    """Return the smallest k^2 with all its digits, which decides how deep light goes.

    Near albedo 1 it is lost in the rounding of the largest. The matrix M turns the isotropic
    field y into `absorbing` * b exactly (light of all directions only decays by absorption), so
    with v = c y + z, v M v = absorbing (c^2 y b + 2 c z b) + z M z, y b = 1 and z is small.
    """
    first = vectors[..., 0]
    share = np.sum(first * isotropic, axis=1) / np.sum(isotropic * isotropic, axis=1)
    rest = first - share[:, None] * isotropic
    spread = _dot(vectors.swapaxes(1, 2), rest)
    linear = share * (share + 2 * np.sum(rest * isotropic_pull, axis=1))
    return np.asarray(absorbing * linear + np.sum(eigenvalues * spread * spread, axis=1))


@dataclass(frozen=True, slots=True)
class Beam:
    """Response of a layer to a beam of unit flux entering one face.

    Attributes
    ----------
    out_near, out_far : ndarray, shape (n, N)
        Diffuse light leaving the face the beam enters and the other face (scaled).
    transmission : ndarray, shape (n,)
        Share of the beam that crosses unscattered (delta-M scaled).
    absorbed : ndarray, shape (n,)
        Absorbed share that does not depend on what the faces return.
    """

    out_near: Array
    out_far: Array
    transmission: Array
    absorbed: Array


@dataclass(frozen=True, slots=True)
class Layer:
    """Operators of layers, batched over the first axis, in scaled radiances.

    Attributes
    ----------
    cosine, weight : ndarray, shape (n, N)
        Directions and quadrature weights.
    flux_row : ndarray, shape (n, N)
        sqrt(mu w): its product with a scaled radiance is a flux.
    inverse_even, inverse_odd : ndarray, shape (n, N, N)
        (1 + Z)^-1 of even and odd fields; reflection +- transmission = 2 (1 + Z)^-1 - 1.
    absorption_row : ndarray, shape (n, N)
        Product with the sum of all four scaled boundary fields is the absorbed flux.
    beam : Beam or None
        For the beam asked for.
    """

    cosine: Array
    weight: Array
    flux_row: Array
    inverse_even: Array
    inverse_odd: Array
    absorption_row: Array
    beam: Beam | None

    @property
    def reflection(self) -> Array:
        """Reflection matrix, shape (n, N, N)."""
        return self.inverse_even + self.inverse_odd - np.eye(self.cosine.shape[-1])

    @property
    def transmission(self) -> Array:
        """Diffuse transmission matrix (uncollided light included), shape (n, N, N)."""
        return np.subtract(self.inverse_even, self.inverse_odd)


def _dot(matrix: Array, vector: Array) -> Array:
    return np.asarray(np.matmul(matrix, vector[..., None])[..., 0])


def make_layer(
    optical_depth: Array,
    albedo: Array,
    moments: Array,
    nodes: tuple[Array, Array],
    beam_cosine: Array | None = None,
) -> Layer:
    """Return the operators of homogeneous layers.

    Parameters
    ----------
    optical_depth, albedo : ndarray, shape (n,)
        Extinction optical depth (may be inf below albedo 1) and single-scattering albedo.
    moments : ndarray, shape (n, L + 1)
        Legendre moments chi_0 = 1, chi_1 = g, ...; the last is the delta-M peak.
    nodes : tuple of ndarray, shape (n, N)
        Cosines and weights of one hemisphere.
    beam_cosine : ndarray, shape (n,), optional
        Cosine of a collimated beam inside the layer.

    Returns
    -------
    Layer
    """
    cosine, weight = nodes
    peak = moments[:, -1]
    lost = 1.0 - albedo * peak
    with np.errstate(invalid="ignore"):
        half = np.maximum(lost * optical_depth / 2, 1e-150)[:, None]
    scaled_albedo = albedo * (1 - peak) / lost
    absorbing = (1 - albedo) / lost  # = 1 - scaled albedo, without the difference
    chi = (moments[:, :-1] - peak[:, None]) / (1 - peak[:, None])
    count = chi.shape[1]
    strength = scaled_albedo[:, None] * chi * (2 * np.arange(count) + 1)
    root_w, inverse_root_mu = np.sqrt(weight), 1 / np.sqrt(cosine)
    legendre = _legendre(cosine, count) * (root_w * inverse_root_mu)[:, None, :]
    identity = np.eye(cosine.shape[1])

    def coupling(parity: int) -> Array:
        part = legendre[:, parity::2]
        scattered = np.matmul(part.swapaxes(1, 2), part * strength[:, parity::2, None])
        return np.asarray(identity * (1 / cosine)[:, None, :] - scattered)

    lower = np.linalg.cholesky(coupling(1))
    upper = np.asarray(lower.swapaxes(1, 2), dtype=float)
    eigenvalues, vectors = np.linalg.eigh(upper @ coupling(0) @ lower)
    inverse_upper = np.linalg.inv(upper)
    flux_row = np.asarray(root_w / inverse_root_mu, dtype=float)
    isotropic = _dot(inverse_upper.swapaxes(1, 2), flux_row)
    pull = _dot(upper, root_w * inverse_root_mu)
    eigenvalues[:, 0] = _smallest_eigenvalue(eigenvalues, vectors, isotropic, pull, absorbing)
    roots = np.sqrt(np.maximum(eigenvalues, 0.0))
    modes = inverse_upper @ vectors
    even = _tanh_times(roots, half)
    odd = _coth_times(roots, half)
    inverse_even = np.linalg.inv(identity + (modes * even[:, None, :]) @ modes.swapaxes(1, 2))
    inverse_odd = np.linalg.inv(identity + (modes * odd[:, None, :]) @ modes.swapaxes(1, 2))
    # integral of s over the layer, projected on sum(w S): rows L V (tanh(kh)/k) V^T L^-1
    project = _dot((lower @ vectors).swapaxes(1, 2), root_w * inverse_root_mu)
    absorption_row = absorbing[:, None] * _dot(modes, project * _tanh_over(roots, half))
    layer = Layer(cosine, weight, flux_row, inverse_even, inverse_odd, absorption_row, None)
    if beam_cosine is None:
        return layer
    spectrum = (lower, vectors, modes, inverse_upper, roots, half, project)
    beam = _beam(layer, spectrum, beam_cosine, strength, legendre, absorbing)
    return Layer(cosine, weight, flux_row, inverse_even, inverse_odd, absorption_row, beam)


def _beam(
    layer: Layer,
    spectrum: tuple[Any, ...],
    beam_cosine: Array,
    strength: Array,
    legendre: Array,
    absorbing: Array,
) -> Beam:
    """Return the diffuse response to a beam of unit flux (irradiance 1/mu0 across it)."""
    lower, vectors, modes, inverse_upper, roots, half, project = spectrum
    count = strength.shape[1]
    kappa = 1.0 / beam_cosine[:, None]
    polynomials = _legendre(beam_cosine[:, None], count)[..., 0]
    load = strength * polynomials
    source_d = _dot(legendre[:, 1::2].swapaxes(1, 2), load[:, 1::2])  # a, from odd moments
    source_s = _dot(legendre[:, 0::2].swapaxes(1, 2), load[:, 0::2])  # b, from even moments
    inner = _dot(inverse_upper.swapaxes(1, 2), source_d)  # L^-1 a
    drive = -_dot(vectors.swapaxes(1, 2), _dot(lower.swapaxes(1, 2), source_s) + kappa * inner)
    once = _dot(inverse_upper, inner)  # A^-1 a
    fade = np.exp(-2 * kappa * half)
    even_gap = _divided_difference(_tanh_times, _slope_tanh_times, kappa, roots, half)
    odd_gap = _divided_difference(_coth_times, _slope_coth_times, kappa, roots, half)
    area_gap = _divided_difference(_tanh_over, _slope_tanh_over, kappa, roots, half)
    more, less = (1 + fade) * kappa / 2, -np.expm1(-2 * kappa * half) * kappa / 2
    even = -(less * once + more * _dot(modes, drive * even_gap))
    # coth is unbounded in thin layers: (1 - fade) tames it
    odd = more * once + _dot(modes, drive * (less * odd_gap))
    out_even, out_odd = _dot(layer.inverse_even, even), _dot(layer.inverse_odd, odd)
    direct = -np.expm1(-2 * kappa[:, 0] * half[:, 0])
    scattered = np.sum(project * drive * area_gap, axis=1) * more[:, 0] * 2
    absorbed = absorbing * (direct + scattered)
    return Beam(out_even - out_odd, out_even + out_odd, fade[:, 0], absorbed)
