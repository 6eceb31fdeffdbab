"""Protection of a formula's film on skin: transmittance and the measures made from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from zincite.data.colour_tables import uv_skin
from zincite.data.photobiology import photobiology
from zincite.evaluation.film import UV_COARSE, DriedFilm, optical_properties
from zincite.evaluation.parameters import ModelDraws
from zincite.evaluation.pigments import SPECTRUM_NM, UV_SLICE
from zincite.physics.films import HEIGHT_NODES, gamma_film_weights
from zincite.physics.photoprotection import (
    critical_wavelength_nm,
    uva1_share,
    uva_to_uvb,
)
from zincite.physics.slab import slab
from zincite.physics.slab_fast import slab_fast

__all__ = ["ProtectionDraws", "film_transmittance", "protection_measures", "reference_ratio"]

Array = NDArray[np.float64]

_UV_NM = SPECTRUM_NM[UV_SLICE]
_FEW_HEIGHTS = np.geomspace(2e-4, 12.0, 16)
"""Heights of posterior draws and of the reference slab; below, a film passes all light."""
_REFERENCE_POINTS = 6
_REFERENCE_PLACES = np.arange(UV_SLICE.start, UV_SLICE.stop, 10)


@dataclass(frozen=True, slots=True)
class ProtectionDraws:
    """Protection measures, one value a draw.

    Attributes
    ----------
    spf, uva_pf, uva_pf_to_spf, critical_wavelength_nm, uva_to_uvb, uva1_share : ndarray
    """

    spf: Array
    uva_pf: Array
    critical_wavelength_nm: Array
    uva_to_uvb: Array
    uva1_share: Array

    @property
    def uva_pf_to_spf(self) -> Array:
        """UVA-PF divided by SPF. [-]"""
        return np.divide(self.uva_pf, self.spf)


def film_transmittance(
    film: DriedFilm,
    draws: ModelDraws,
    *,
    mass_factor: Array | None = None,
    coarse: bool = False,
    ratio: Array | None = None,
    over_black: bool = False,
) -> Array:
    """Return transmittance of the uneven film relative to bare skin.

    Parameters
    ----------
    film : DriedFilm
    draws : ModelDraws
        n draws.
    mass_factor : ndarray, shape (n, n_pigments), optional
        Multiplies each pigment's mass. [-]
    coarse : bool
        Work out few wavelengths and heights and interpolate the logarithm.
    ratio : ndarray, shape (111,), optional
        Reference over fast transmittance from `reference_ratio`.
    over_black : bool
        Whether nothing comes back from below, as over an integrating sphere, in place of skin.

    Returns
    -------
    ndarray, shape (n, 111)
        290-400 nm at 1 nm, 0..1. [-]
    """
    places = UV_COARSE if coarse else np.arange(UV_SLICE.start, UV_SLICE.stop)
    depth, albedo, asymmetry = optical_properties(film, draws, places, mass_factor)
    index = film.medium_index[places]
    ground = np.zeros(index.size) if over_black else uv_skin().internal_reflectance[places]
    heights = _FEW_HEIGHTS if coarse else HEIGHT_NODES
    kind = np.float32 if coarse else np.float64  # draws need no more, and it moves half as much
    flux = slab_fast(
        depth.astype(kind)[..., None] * heights.astype(kind),
        albedo[..., None],
        asymmetry[..., None],
        film_index=index[:, None],
        ground_reflectance=ground[:, None],
    ).transmitted
    bare = slab_fast(0.0, 0.0, 0.0, film_index=index, ground_reflectance=ground).transmitted
    weights = gamma_film_weights(np.clip(draws.film_shape, 0.3, 20.0), heights)
    transmittance: Array = np.einsum("dwh,dh->dw", flux, weights) / bare
    if coarse:
        logs = np.log(np.maximum(transmittance, 1e-30))
        transmittance = np.exp(logs @ _interpolation())
    if ratio is not None:
        transmittance = transmittance * ratio
    return np.asarray(np.minimum(transmittance, 1.0))


@lru_cache(maxsize=1)
def _interpolation() -> Array:
    """Return the matrix from few wavelengths to all, linear."""
    coarse = SPECTRUM_NM[UV_COARSE]
    return np.stack([np.interp(_UV_NM, coarse, row) for row in np.eye(coarse.size)])


def reference_ratio(film: DriedFilm, draws: ModelDraws) -> Array:
    """Return reference over fast transmittance at one draw, shape (111,).

    The posterior draws use the fast slab; this ratio, worked out once at the centre, gives them
    the reference slab's fidelity. It is taken without faces and ground, which both slabs treat
    alike within 1 % in the ultraviolet.

    Parameters
    ----------
    film : DriedFilm
    draws : ModelDraws
        One draw.

    Returns
    -------
    ndarray, shape (111,)
    """
    places = _REFERENCE_PLACES
    depth, albedo, asymmetry = optical_properties(film, draws, places)
    weights = gamma_film_weights(draws.film_shape, _FEW_HEIGHTS)[0]
    layer = (depth[0][:, None] * _FEW_HEIGHTS, albedo[0][:, None], asymmetry[0][:, None])
    exact = slab(*layer, points=_REFERENCE_POINTS).transmitted @ weights
    quick = slab_fast(*layer).transmitted @ weights
    return np.asarray(np.interp(_UV_NM, SPECTRUM_NM[places], exact / quick))


def protection_measures(transmittance: Array, draws: ModelDraws) -> ProtectionDraws:
    """Return SPF, UVA-PF and spectral measures with the lamps' uncertainty.

    Parameters
    ----------
    transmittance : ndarray, shape (n, 111)
        Of each draw. [-]
    draws : ModelDraws
        n draws.

    Returns
    -------
    ProtectionDraws

    Notes
    -----
    What the film model misses of a measured SPF (`residual`) is read as a film of another mean
    thickness of the same kind: SPF - 1 and UVA-PF - 1 grow by the same factor.
    """
    data = photobiology()
    tilt = data.uncertainty
    simulator = data.simulator_W_m2_nm * np.exp(
        draws.lamp[:, None] * tilt["simulator_W_m2_nm"].tilt
    )
    uva_lamp = data.uva_source_relative * np.exp(
        draws.uva_lamp[:, None] * tilt["uva_source_relative"].tilt
    )
    darkening = data.ppd * np.exp(draws.darkening[:, None] * tilt["ppd"].tilt)
    erythemal = data.erythema * simulator
    pigmenting = darkening * uva_lamp
    spf = erythemal.sum(1) / np.sum(erythemal * transmittance, axis=1)
    uva = pigmenting.sum(1) / np.sum(pigmenting * transmittance, axis=1)
    more = np.exp(draws.residual)
    return ProtectionDraws(
        spf=1 + (spf - 1) * more,
        uva_pf=1 + (uva - 1) * more,
        critical_wavelength_nm=critical_wavelength_nm(transmittance),
        uva_to_uvb=uva_to_uvb(transmittance),
        uva1_share=uva1_share(transmittance),
    )
