"""Whitening: what the film does to the colour of six skin classes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from zincite.data.colour_tables import observer_illuminants, skin_classes
from zincite.evaluation.film import VISIBLE, VISIBLE_COARSE, DriedFilm, optical_properties
from zincite.evaluation.parameters import ModelDraws
from zincite.evaluation.pigments import SPECTRUM_NM
from zincite.physics.colour import (
    contrast_ratio,
    delta_e00,
    ita_deg,
    lab_from_xyz,
    tristimulus_weights,
    white_point,
)
from zincite.physics.films import gamma_film_weights
from zincite.physics.fresnel import diffuse_internal, fresnel_normal
from zincite.physics.slab import slab
from zincite.physics.slab_fast import over_ground, slab_fast, two_flux_layer

__all__ = [
    "SkinColours",
    "bare_lab",
    "film_contrast_ratio",
    "film_reflectance",
    "reference_shift",
    "skin_colours",
]

Array = NDArray[np.float64]

_HEIGHTS = np.geomspace(0.04, 7.0, 6)
_HEIGHTS.flags.writeable = False
_COARSE_ROWS = np.searchsorted(SPECTRUM_NM[VISIBLE], SPECTRUM_NM[VISIBLE_COARSE])
_REFERENCE_PLACES = np.flatnonzero(np.isin(SPECTRUM_NM, [380, 450, 520, 590, 680, 780]))
_REFERENCE_GROUNDS = np.array([0.0, 0.4, 0.8])
_REFERENCE_POINTS = 4


@dataclass(frozen=True, slots=True)
class SkinColours:
    """Colour changes of the six skin classes.

    Attributes
    ----------
    lab : ndarray, shape (n, 6, 3)
        Skin with film, D65, 10 deg. [-]
    delta_l, delta_e00, delta_ita_deg : ndarray, shape (n, 6)
        Against bare skin; positive delta_l is whitening. For the angle b* below 1 counts as 1.
    """

    lab: Array
    delta_l: Array
    delta_e00: Array
    delta_ita_deg: Array


@lru_cache(maxsize=1)
def _weights() -> tuple[Array, Array]:
    tables = observer_illuminants()
    weights = tristimulus_weights(tables.cie_1964_10deg, tables.d65)
    return weights, white_point(weights)


@lru_cache(maxsize=1)
def _grounds() -> Array:
    """Return the internal reflectance of the skin classes on `VISIBLE`, shape (81, 6)."""
    return np.stack([skin.internal_reflectance for skin in skin_classes()], axis=-1)


@lru_cache(maxsize=1)
def bare_lab() -> Array:
    """Return L*a*b* of the bare skin classes, specular included, shape (6, 3)."""
    index = np.array([skin.surface_index for skin in skin_classes()])
    bare = slab_fast(0.0, 0.0, 0.0, film_index=index, ground_reflectance=_grounds()).reflected
    weights, white = _weights()
    return lab_from_xyz(bare.T @ weights, white)


@lru_cache(maxsize=1)
def _spread() -> Array:
    """Return the matrix from the coarse visible grid to `VISIBLE`, natural cubic spline.

    Written out, since importing a spline library would cost a command 0.3 s.
    """
    x, fine = SPECTRUM_NM[VISIBLE_COARSE], SPECTRUM_NM[VISIBLE]
    width = np.diff(x)
    identity = np.eye(x.size)
    system, right = np.eye(x.size), np.zeros((x.size, x.size))
    for i in range(1, x.size - 1):
        system[i, i - 1 : i + 2] = width[i - 1], 2 * (width[i - 1] + width[i]), width[i]
        slope = (identity[i + 1] - identity[i]) / width[i]
        right[i] = 6 * (slope - (identity[i] - identity[i - 1]) / width[i - 1])
    bend = np.linalg.solve(system, right)  # second derivatives at the nodes
    left = np.clip(np.searchsorted(x, fine, side="right") - 1, 0, x.size - 2)
    h = width[left]
    a, b = (x[left + 1] - fine) / h, (fine - x[left]) / h
    cubic_a, cubic_b = (a**3 - a) * h**2 / 6, (b**3 - b) * h**2 / 6
    rows = (
        a[:, None] * identity[left]
        + b[:, None] * identity[left + 1]
        + cubic_a[:, None] * bend[left]
        + cubic_b[:, None] * bend[left + 1]
    )
    return np.asarray(rows.T)


def film_reflectance(
    film: DriedFilm,
    draws: ModelDraws,
    *,
    mass_factor: Array | None = None,
    shift: Array | None = None,
    grounds: Array | None = None,
) -> Array:
    """Return the reflectance of skin under the uneven film.

    Parameters
    ----------
    film : DriedFilm
    draws : ModelDraws
        n draws.
    mass_factor : ndarray, shape (n, n_pigments), optional
        Multiplies each pigment's mass. [-]
    shift : ndarray, shape (81, n_grounds), optional
        Reference minus fast reflectance from `reference_shift`.
    grounds : ndarray, shape (81, n_grounds), optional
        Internal reflectance below the film; the six skin classes when left out.

    Returns
    -------
    ndarray, shape (n, n_grounds, 81)
        380-780 nm at 5 nm, light near the normal, specular included. [-]
    """
    ground = (_grounds() if grounds is None else grounds)[_COARSE_ROWS]
    depth, albedo, asymmetry = optical_properties(film, draws, VISIBLE_COARSE, mass_factor)
    index = film.medium_index[VISIBLE_COARSE]
    single = np.float32  # seven digits are plenty here, and half the memory to move
    layer = two_flux_layer(
        depth.astype(single)[..., None, None] * _HEIGHTS.astype(single),
        albedo.astype(single)[..., None, None],
        asymmetry.astype(single)[..., None, None],
    )
    reflected, _ = over_ground(
        layer,
        fresnel_normal(index).astype(single)[:, None, None],
        diffuse_internal(index).astype(single)[:, None, None],
        ground.astype(single)[..., None],
    )
    weights = gamma_film_weights(np.clip(draws.film_shape, 0.3, 20.0), _HEIGHTS)
    mean = np.matmul(reflected, weights.astype(single)[:, None, :, None])[..., 0]
    spectrum: Array = np.matmul(mean.swapaxes(1, 2).astype(float), _spread())
    if shift is not None:
        spectrum = spectrum + shift.T
    return spectrum


def reference_shift(film: DriedFilm, draws: ModelDraws) -> Array:
    """Return reference minus fast reflectance at one draw, shape (81, 6).

    Over a Lambertian ground rho a slab reflects R0 + A rho/(1 - S rho); three grounds give R0, A
    and S of the reference slab, hence every skin.

    Parameters
    ----------
    film : DriedFilm
    draws : ModelDraws
        One draw.

    Returns
    -------
    ndarray, shape (81, 6)
    """
    places = _REFERENCE_PLACES
    depth, albedo, asymmetry = optical_properties(film, draws, places)
    index = film.medium_index[places]
    weights = gamma_film_weights(draws.film_shape, _HEIGHTS)[0]
    black, half, bright = np.moveaxis(
        slab(
            (depth[0][:, None] * _HEIGHTS)[..., None],
            albedo[0][:, None, None],
            asymmetry[0][:, None, None],
            film_index=index[:, None, None],
            below_index=index[:, None, None],
            ground_reflectance=_REFERENCE_GROUNDS,
            points=_REFERENCE_POINTS,
        ).reflected,
        -1,
        0,
    )
    first, second = _REFERENCE_GROUNDS[1:]
    a, b = (half - black) / first, (bright - black) / second
    # an opaque film gives a = b = 0: nothing comes back from below
    span = second * b - first * a
    echo = np.where(span > 1e-12, (b - a) / np.maximum(span, 1e-12), 0.0)
    gain = a * (1 - echo * first)
    ground = _grounds()[np.searchsorted(SPECTRUM_NM[VISIBLE], SPECTRUM_NM[places])]
    rho = ground[:, None, :]
    exact = black[..., None] + gain[..., None] * rho / (1 - echo[..., None] * rho)
    quick = slab_fast(
        (depth[0][:, None] * _HEIGHTS)[..., None],
        albedo[0][:, None, None],
        asymmetry[0][:, None, None],
        film_index=index[:, None, None],
        ground_reflectance=rho,
    ).reflected
    gap = np.einsum("whs,h->ws", exact - quick, weights)
    grid = SPECTRUM_NM[places]
    return np.stack([np.interp(SPECTRUM_NM[VISIBLE], grid, row) for row in gap.T], axis=-1)


def skin_colours(reflectance: Array) -> SkinColours:
    """Return colour changes against bare skin.

    Parameters
    ----------
    reflectance : ndarray, shape (n, 6, 81)
        Of the skin classes with film. [-]

    Returns
    -------
    SkinColours
    """
    weights, white = _weights()
    lab = lab_from_xyz(reflectance @ weights, white)
    bare = bare_lab()
    turn = ita_deg(_yellowish(lab)) - ita_deg(_yellowish(bare))
    return SkinColours(lab, lab[..., 0] - bare[:, 0], delta_e00(lab, bare), turn)


def _yellowish(lab: Array) -> Array:
    """Return colours with b* of at least 1, for the typology angle alone.

    The angle is made for skin, which is yellowish; under a bluish film it would jump by a half
    turn. So it stays within 90 deg and keeps the sign of L* - 50.
    """
    kept = lab.copy()
    kept[..., 2] = np.maximum(kept[..., 2], 1.0)
    return kept


def film_contrast_ratio(film: DriedFilm, draws: ModelDraws) -> Array:
    """Return 100 Y over black / Y over white of the film, shape (n,). [%]

    Grounds of internal reflectance 0 and 0.9 below the dried film; drawdown cards of the paint
    trade are used the same way (ISO 6504-3).
    """
    grounds = np.broadcast_to([0.0, 0.9], (VISIBLE.size, 2))
    over = film_reflectance(film, draws, grounds=grounds)
    return contrast_ratio(over[:, 0], over[:, 1], _weights()[0])
