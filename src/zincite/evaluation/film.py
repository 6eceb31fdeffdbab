"""The dried film of a formula: which pigments, in which oil, how much of each per area."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.data.optical_constants import oil_index
from zincite.evaluation.density import density_g_ml, pigment_volume
from zincite.evaluation.dispersion_state import state_weights
from zincite.evaluation.parameters import ModelDraws
from zincite.evaluation.particles import AGGREGATE_GSD, AGGREGATE_SOLID_FRACTION
from zincite.evaluation.pigments import (
    AGGREGATE_NODES_NM,
    SPECTRUM_NM,
    GradeOptics,
    grade_optics,
)
from zincite.formula.defaults import density_g_ml_of, refractive_index_of
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves
from zincite.physics.effective_medium import lorentz_lorenz_mix
from zincite.physics.phase import crowded_scattering
from zincite.physics.suspension import size_coherence
from zincite.units import mg_cm2_to_g_m2

__all__ = [
    "COARSE",
    "DOSE_SKIN_MG_CM2",
    "UV_COARSE",
    "VISIBLE",
    "VISIBLE_COARSE",
    "DriedFilm",
    "PigmentInFilm",
    "build_film",
    "optical_properties",
]

Array = NDArray[np.float64]
Index = NDArray[np.intp]

DOSE_SKIN_MG_CM2 = 2.0
"""Dose of the SPF method (ISO 24444). [mg/cm2]"""

VISIBLE = np.flatnonzero(np.isin(SPECTRUM_NM, np.arange(380.0, 785.0, 5.0)))
"""Places of 380-780 nm every 5 nm in `SPECTRUM_NM`."""
UV_COARSE = np.flatnonzero(
    np.isin(SPECTRUM_NM, [*range(290, 320, 5), *range(320, 360, 10), *range(360, 401, 5)])
)
"""Wavelengths of the posterior draws in the ultraviolet, closer where ZnO's edge lies."""
VISIBLE_COARSE = np.flatnonzero(
    np.isin(SPECTRUM_NM, [380, 405, 430, 455, 480, 505, 530, 550, 570, 590, 610, 640, 680, 780])
)
"""Visible wavelengths of the posterior draws, closer where iron oxides and skin bend."""
COARSE = np.union1d(UV_COARSE, VISIBLE_COARSE)
"""Wavelengths at which posterior draws and crowding are worked out."""

_WATER_INDEX_FALLBACK = 1.45
_MOST_CROWDED = 0.55
_AGGREGATE_COHERENCE = float(np.exp(-9 * np.log(AGGREGATE_GSD) ** 2))  # <V>^2/<V^2>, lognormal


@dataclass(frozen=True, slots=True)
class PigmentInFilm:
    """One pigment of the film.

    Attributes
    ----------
    material : Material
        Its card.
    percent : float
        Powder in the formula. [%]
    core_mass_g_m2 : float
        Core material per area at the dose. [g/m2]
    optics : GradeOptics
        In the film's oil.
    scattering_factor, asymmetry_shift : ndarray, shape (1 + n_aggregate_nodes, n_wavelengths)
        Effect of crowding on single particles and aggregates. [-]
    """

    material: Material
    percent: float
    core_mass_g_m2: float
    optics: GradeOptics
    scattering_factor: Array
    asymmetry_shift: Array

    @property
    def k_name(self) -> str:
        """Name of the draw that moves this core's k."""
        core = self.material.grade.core if self.material.grade else ""
        if core.startswith("zinc"):
            return "zinc_k"
        return "titanium_k" if core.startswith("titanium") else "iron_k"


@dataclass(frozen=True, slots=True)
class DriedFilm:
    """The film on skin after drying.

    Attributes
    ----------
    pigments : tuple of PigmentInFilm
    medium_index : ndarray, shape (n_wavelengths,)
        Index of the oil blend on `SPECTRUM_NM`. [-]
    pigment_volume_fraction : float
        In the dried film. [-]
    dose_mg_cm2, dose_uL_cm2 : float
        Applied dose by mass and by volume.
    wet_thickness_um, dry_thickness_um : float
        Mean thickness as applied and dried. [um]
    """

    pigments: tuple[PigmentInFilm, ...]
    medium_index: Array
    pigment_volume_fraction: float
    dose_mg_cm2: float
    dose_uL_cm2: float
    wet_thickness_um: float
    dry_thickness_um: float


def _medium_index(formula: Formula, parts: tuple[tuple[Material, float], ...]) -> Array:
    """Return the index of the non-volatile liquids (Lorentz-Lorenz by volume)."""
    volumes: list[float] = []
    indices: list[Array] = []
    for material, percent in parts:
        if material.grade is not None or material.volatile or material.phase == "pigment":
            continue
        if "oil_absorption_g_100g" in material.properties or material.id == "water":
            continue
        index = refractive_index_of(material, formula.materials).value
        density = density_g_ml_of(material, formula.materials).value
        if not 1.30 <= index <= 1.60:
            continue  # a mineral powder, not part of the liquid
        volumes.append(percent / density)
        indices.append(oil_index(index, material.dispersion_shape, SPECTRUM_NM))
    if not volumes:
        return oil_index(_WATER_INDEX_FALLBACK, "ester", SPECTRUM_NM)
    share = np.array(volumes) / sum(volumes)
    return lorentz_lorenz_mix(np.stack(indices, axis=-1), share)


def _crowding(
    optics: GradeOptics, fraction: float, aggregate_share: float, medium: Array
) -> tuple[Array, Array]:
    """Return scattering factor and asymmetry shift of free particles and aggregates.

    Worked out on the coarse grid, at the tabulated k, and interpolated: crowding varies slowly.
    """
    sizes = optics.sizes
    diameters = np.array([sizes.sauter_diameter_nm + 2 * optics.shell_nm, *AGGREGATE_NODES_NM])
    lumps = min(fraction * aggregate_share / AGGREGATE_SOLID_FRACTION, _MOST_CROWDED)
    fractions = np.array([min(fraction, _MOST_CROWDED), *([lumps] * len(AGGREGATE_NODES_NM))])
    coherence = np.array(
        [size_coherence(sizes), *([_AGGREGATE_COHERENCE] * len(AGGREGATE_NODES_NM))]
    )
    ones = np.ones((diameters.size, COARSE.size))
    factor, asymmetry = crowded_scattering(
        ones,
        optics.asymmetry[0][:, COARSE],
        diameter_nm=diameters[:, None],
        volume_fraction=fractions[:, None],
        coherence=coherence[:, None],
        medium_index=medium[COARSE],
        wavelength_nm=SPECTRUM_NM[COARSE],
    )
    shift = asymmetry - optics.asymmetry[0][:, COARSE]
    grid = SPECTRUM_NM[COARSE]
    return (
        np.stack([np.interp(SPECTRUM_NM, grid, row) for row in factor]),
        np.stack([np.interp(SPECTRUM_NM, grid, row) for row in shift]),
    )


def build_film(
    formula: Formula,
    *,
    dose_mg_cm2: float = DOSE_SKIN_MG_CM2,
    aggregate_share: float = 0.3,
    grade_share: Mapping[str, float] | None = None,
) -> DriedFilm:
    """Return the dried film of a formula.

    Parameters
    ----------
    formula : Formula
    dose_mg_cm2 : float
        Applied dose. [mg/cm2]
    aggregate_share : float
        Mass share in aggregates, for the crowding of aggregates only. [-]
    grade_share : mapping of str to float, optional
        The same of single grades, by material id, over the card's own. [-]

    Returns
    -------
    DriedFilm
        Water and volatile oils gone.
    """
    parts = leaves(formula)
    medium = _medium_index(formula, parts)
    volume = pigment_volume(formula)
    density = density_g_ml(formula).median
    dose = mg_cm2_to_g_m2(dose_mg_cm2)
    pigments: list[PigmentInFilm] = []
    for material, percent in parts:
        if material.grade is None or percent <= 0:
            continue
        optics = grade_optics(material.grade, medium)
        own = material.grade.aggregate_fraction
        share = aggregate_share if own is None else own.value
        share = (grade_share or {}).get(material.id, share)
        factor, shift = _crowding(optics, volume.film_share, share, medium)
        core = dose * percent / 100 * material.grade.core_mass_fraction
        pigments.append(PigmentInFilm(material, percent, core, optics, factor, shift))
    kept = volume.non_volatile_percent / 100 / volume.film_density_g_ml
    return DriedFilm(
        tuple(pigments),
        medium,
        volume.film_share,
        dose_mg_cm2,
        dose_mg_cm2 / density,
        10 * dose_mg_cm2 / density,
        10 * dose_mg_cm2 * kept,
    )


def optical_properties(
    film: DriedFilm,
    draws: ModelDraws,
    places: Index | slice,
    mass_factor: Array | None = None,
) -> tuple[Array, Array, Array]:
    """Return optical depth, albedo and asymmetry of the even film.

    Parameters
    ----------
    film : DriedFilm
    draws : ModelDraws
        n draws.
    places : slice or ndarray of int
        Which wavelengths of `SPECTRUM_NM`.
    mass_factor : ndarray, shape (n, n_pigments), optional
        Multiplies each pigment's mass, for levers and tint. [-]

    Returns
    -------
    depth, albedo, asymmetry : ndarray, shape (n, n_wavelengths)
    """
    count = SPECTRUM_NM[places].size
    absorbed = np.full((draws.size, count), 1e-12)
    scattered = np.full((draws.size, count), 1e-12)
    forward = np.zeros((draws.size, count))
    for number, pigment in enumerate(film.pigments):
        mass = np.full((draws.size, 1), pigment.core_mass_g_m2)
        if mass_factor is not None:
            mass = mass * mass_factor[:, number, None]
        weights = state_weights(pigment.material, pigment.optics, draws) * mass
        optics, level = pigment.optics, getattr(draws, pigment.k_name)[:, None]
        # at k as tabulated and one standard deviation higher; between, the logarithm is linear
        crowded = optics.scattering[..., places] * pigment.scattering_factor[:, places]
        absorbing = [weights @ table[:, places] + 1e-12 for table in optics.absorption]
        scattering = [weights @ table + 1e-12 for table in crowded]
        asymmetry = np.clip(optics.asymmetry[0] + pigment.asymmetry_shift, -0.9, 0.98)[:, places]
        ahead = weights @ (crowded[0] * asymmetry)
        change = np.exp(level * np.log(scattering[1] / scattering[0]))
        absorbed += absorbing[0] * np.exp(level * np.log(absorbing[1] / absorbing[0]))
        scattered += scattering[0] * change
        forward += ahead * change
    depth = absorbed + scattered
    return depth, scattered / depth, forward / scattered
