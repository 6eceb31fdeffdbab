"""From a pigment grade to cross-sections in a given oil: where the cards meet the optics."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from zincite.data.optical_constants import index_uncertainty, optical_constants
from zincite.errors import MissingDataError
from zincite.formula.material import Coating, Grade
from zincite.physics.dielectric import zinc_oxide_index
from zincite.physics.sizes import SizeNodes, histogram_nodes, lognormal_nodes
from zincite.physics.suspension import (
    CrossSections,
    aggregate_cross_sections,
    primary_cross_sections,
    uniform_shell_nm,
    with_graininess,
)
from zincite.sources import Evidence, Sourced
from zincite.units import litre_per_gram_cm_to_m2_per_gram

__all__ = [
    "AGGREGATE_GSD",
    "AGGREGATE_NODES_NM",
    "AGGREGATE_SOLID_FRACTION",
    "SPECTRUM_NM",
    "UV_SLICE",
    "GradeOptics",
    "coating_layer",
    "core_index",
    "grade_optics",
    "grade_sizes",
    "specific_extinction_L_g_cm",
]

Array = NDArray[np.float64]

SPECTRUM_NM = np.concatenate([np.arange(290.0, 401.0), np.arange(405.0, 785.0, 5.0)])
SPECTRUM_NM.flags.writeable = False
UV_SLICE = slice(0, 111)
"""Part of `SPECTRUM_NM` that is the photobiology grid."""

_OPTICS_NM = np.array(
    [
        *range(290, 360, 5),
        *range(360, 375, 2),
        *range(375, 389),
        *range(390, 402, 2),
        *range(415, 780, 15),
        780,
    ],
    dtype=float,
)
"""Wavelengths at which spheres are computed: close at ZnO's edge, wide where all is smooth."""

AGGREGATE_NODES_NM = (70.0, 150.0, 330.0, 730.0, 1600.0)
"""Median diameters for which aggregates are computed; between them ln d is interpolated. [nm]"""
AGGREGATE_GSD = 1.6
"""Breadth of the aggregates' size distribution, assumed. [-]"""
AGGREGATE_SOLID_FRACTION = 0.5
"""Volume share of pigment inside an aggregate, assumed (somewhat looser than the 0.58-0.64 of
randomly packed spheres). [-]"""

_PRIMARY_POINTS, _AGGREGATE_POINTS = 16, 7
_ORGANIC_DENSITY, _ORGANIC_INDEX = 0.95, 1.46  # fatty acids, silanes, silicones; assumed
_COATINGS: dict[str, tuple[float, float]] = {
    # density g/mL, index at 589 nm; hydrated oxides from memory
    "silica": (2.1, 1.46),
    "hydrated silica": (2.0, 1.45),
    "alumina": (3.0, 1.65),
    "aluminum hydroxide": (2.4, 1.58),
    "manganese dioxide": (5.0, 2.2),
}
_DEFAULT_K_SIGMA = 0.25
_SMALLEST_CLUSTER = 2.0  # diameters of a primary particle


def grade_sizes(grade: Grade, points: int = _PRIMARY_POINTS) -> SizeNodes:
    """Return the size nodes of a grade's cores."""
    if grade.histogram_nm:
        return histogram_nodes(grade.histogram_nm, grade.histogram_share, weighting=grade.weighting)
    return lognormal_nodes(
        grade.primary_median_nm, grade.primary_gsd, weighting=grade.weighting, points=points
    )


def core_index(grade: Grade, wavelength_nm: Array) -> NDArray[np.complex128]:
    """Return the index of a grade's core, a card's own ZnO parameters included."""
    model = grade.index_model
    given = (model.gap_eV, model.binding_meV, model.urbach_meV)
    if grade.core == "zinc-oxide" and any(value is not None for value in given):
        n, k = zinc_oxide_index(
            wavelength_nm,
            gap_eV=3.38 if model.gap_eV is None else model.gap_eV,
            binding_meV=60.0 if model.binding_meV is None else model.binding_meV,
            urbach_meV=25.0 if model.urbach_meV is None else model.urbach_meV,
        )
    else:
        n, k = optical_constants(grade.core, wavelength_nm)
    return np.asarray(n + 1j * k)


def coating_layer(coating: Coating) -> tuple[float, float]:
    """Return density and index of a coating: the card's, the table's, else an organic layer."""
    density, index = _COATINGS.get(coating.inci.lower(), (_ORGANIC_DENSITY, _ORGANIC_INDEX))
    return (
        coating.density_g_ml if coating.density_g_ml is not None else density,
        coating.refractive_index if coating.refractive_index is not None else index,
    )


def _shell(grade: Grade) -> tuple[float, float]:
    """Return coating volume per core volume and the coating's volume-mean index."""
    if not grade.coatings:
        return 0.0, _ORGANIC_INDEX
    core_volume = grade.core_mass_fraction / grade.core_density_g_ml
    volumes, weighted = 0.0, 0.0
    for coating in grade.coatings:
        density, index = coating_layer(coating)
        volume = coating.mass_percent / 100 / density
        volumes += volume
        weighted += volume * index
    return volumes / core_volume, weighted / volumes


def _k_sigma(core: str, wavelength_nm: Array) -> Array:
    """Return the standard deviation of ln k on the grid."""
    sigma = np.full(wavelength_nm.size, _DEFAULT_K_SIGMA)
    for band in index_uncertainty(core):
        inside = (wavelength_nm >= band.low_nm) & (wavelength_nm <= band.high_nm)
        sigma[inside] = band.k_log_sigma
    return sigma


@dataclass(frozen=True, slots=True)
class GradeOptics:
    """Cross-sections of a grade in one oil, ready for drawing parameters.

    Attributes
    ----------
    absorption, scattering, asymmetry : ndarray, shape (2, 1 + n_aggregate_nodes, n_wavelengths)
        First axis: k as tabulated and k one standard deviation higher. Second: single
        particles, then aggregates of `AGGREGATE_NODES_NM`. [m2/g of core], [-]
    sizes : SizeNodes
        Of the cores.
    shell_nm : float
        Coating thickness. [nm]
    solid_volume_mL_g : float
        Volume of the coated powder per mass of core. [mL/g]
    fitted : Grade or None
        The optical size fitted to a measured extinction, where the card has one.
    fit_error_percent : float
        Root mean square misfit of that fit. [%]
    """

    absorption: Array
    scattering: Array
    asymmetry: Array
    sizes: SizeNodes
    shell_nm: float
    solid_volume_mL_g: float
    fitted: Grade | None = None
    fit_error_percent: float = 0.0


def grade_optics(grade: Grade, medium_index: Array) -> GradeOptics:
    """Return a grade's cross-sections on `SPECTRUM_NM`, remembered between calls.

    Parameters
    ----------
    grade : Grade
        Pigment grade; with a measured extinction its optical size is fitted first.
    medium_index : ndarray, shape (n_wavelengths,)
        Index of the oil on `SPECTRUM_NM`. [-]

    Returns
    -------
    GradeOptics
    """
    return _remembered(grade, np.round(medium_index, 6).tobytes())


@lru_cache(maxsize=256)
def _remembered(grade: Grade, medium: bytes) -> GradeOptics:
    index = np.frombuffer(medium)
    if not grade.extinction_nm:
        return _computed(grade, index)
    fitted, error = _fit_size(grade)
    optics = _computed(fitted, index)
    return replace(optics, fitted=fitted, fit_error_percent=error)


def _computed(grade: Grade, medium: Array) -> GradeOptics:
    sizes = grade_sizes(grade)
    volume_ratio, shell_index = _shell(grade)
    shell = uniform_shell_nm(sizes, volume_ratio)
    oil = np.interp(_OPTICS_NM, SPECTRUM_NM, medium)
    index = core_index(grade, _OPTICS_NM)
    sigma = _k_sigma(grade.core, _OPTICS_NM)
    density = grade.core_density_g_ml
    core = index.real + 1j * index.imag * np.exp(np.array([[0.0], [1.0]]) * sigma)
    single = primary_cross_sections(sizes, shell, core, shell_index, oil, _OPTICS_NM, density)
    lumps = _aggregates(grade, AGGREGATE_NODES_NM, core, single, oil, _OPTICS_NM)

    def states(name: str) -> Array:
        return np.concatenate([getattr(single, name)[:, None], getattr(lumps, name)], axis=1)

    return GradeOptics(
        absorption=_everywhere(states("absorption"), 1e-9),
        scattering=_everywhere(states("scattering"), 1e-9),
        asymmetry=_everywhere(states("asymmetry")),
        sizes=sizes,
        shell_nm=shell,
        solid_volume_mL_g=(1 + volume_ratio) / density,
    )


@lru_cache(maxsize=1)
def _to_spectrum() -> Array:
    """Return the matrix from `_OPTICS_NM` to `SPECTRUM_NM`, linear."""
    rows = np.eye(_OPTICS_NM.size)
    return np.stack([np.interp(SPECTRUM_NM, _OPTICS_NM, row) for row in rows])


def _everywhere(table: Array, floor: float = 0.0) -> Array:
    """Return a table on `SPECTRUM_NM`; with a floor the logarithm is interpolated."""
    if not floor:
        return np.asarray(table @ _to_spectrum())
    return np.asarray(np.exp(np.log(table + floor) @ _to_spectrum()) - floor)


def _aggregates(
    grade: Grade,
    medians_nm: tuple[float, ...],
    core: NDArray[np.complex128],
    primary: CrossSections,
    medium: Array | float,
    wavelength_nm: Array,
) -> CrossSections:
    """Return the cross-sections of a grade's aggregates of several median diameters.

    `core` and `primary` have shape (..., n); the result has shape (..., n_medians, n).
    """
    volume_ratio, shell_index = _shell(grade)
    sizes = grade_sizes(grade)
    # a cluster is at least a few particles across, whatever the parameter says
    medians = np.maximum(medians_nm, _SMALLEST_CLUSTER * sizes.sauter_diameter_nm)
    nodes = lognormal_nodes(1.0, AGGREGATE_GSD, points=_AGGREGATE_POINTS)
    effective = aggregate_cross_sections(
        medians[:, None] * nodes.diameter_nm,
        nodes.volume_weight,
        AGGREGATE_SOLID_FRACTION,
        _powder_index(core, shell_index, volume_ratio)[..., None, :],
        medium,
        wavelength_nm,
        grade.core_density_g_ml,
        1 / (1 + volume_ratio),
    )
    grains = AGGREGATE_SOLID_FRACTION * (medians / sizes.sauter_diameter_nm) ** 3
    free = CrossSections(
        primary.absorption[..., None, :],
        primary.scattering[..., None, :],
        primary.asymmetry[..., None, :],
    )
    return with_graininess(
        effective,
        free,
        sizes,
        AGGREGATE_SOLID_FRACTION,
        medium,
        wavelength_nm,
        grains_per_aggregate=grains[:, None],
    )


def _powder_index(
    core: NDArray[np.complex128], shell_index: float, volume_ratio: float
) -> NDArray[np.complex128]:
    """Return the volume-mean permittivity's root of the coated particle."""
    mixed = (core**2 + volume_ratio * shell_index**2) / (1 + volume_ratio)
    return np.asarray(np.sqrt(mixed))


def specific_extinction_L_g_cm(  # noqa: N802
    grade: Grade, wavelength_nm: Array, medium_index: Array | float, aggregate_fraction: float = 0.0
) -> Array:
    """Return the decadic specific extinction of a dilute dispersion per mass of powder.

    Parameters
    ----------
    grade : Grade
    wavelength_nm : ndarray, shape (n,)
        [nm]
    medium_index : float or ndarray, shape (n,)
        [-]
    aggregate_fraction : float
        Mass share in aggregates of 330 nm. [-]

    Returns
    -------
    ndarray, shape (n,)
        [L/(g cm)]
    """
    sizes = grade_sizes(grade)
    volume_ratio, shell_index = _shell(grade)
    shell = uniform_shell_nm(sizes, volume_ratio)
    core = core_index(grade, wavelength_nm)
    density = grade.core_density_g_ml
    primary = primary_cross_sections(
        sizes, shell, core, shell_index, medium_index, wavelength_nm, density
    )
    single = primary.extinction
    if aggregate_fraction > 0:
        lumps = _aggregates(
            grade, (_FIT_AGGREGATE_NM,), core, primary, medium_index, wavelength_nm
        ).extinction[0]
        single = (1 - aggregate_fraction) * single + aggregate_fraction * lumps
    return single * grade.core_mass_fraction / litre_per_gram_cm_to_m2_per_gram(1.0)


_FIT_AGGREGATE_NM = 330.0
_FIT_MEDIUM_INDEX = 1.46  # an ester near 350 nm; data sheets rarely name the medium
_FIT_FRACTIONS = np.linspace(0.0, 0.95, 20)


@lru_cache(maxsize=256)
def _fit_size(grade: Grade) -> tuple[Grade, float]:
    """Return the grade with the size and aggregate share that meet its measured extinction."""
    wavelength = np.array(grade.extinction_nm)
    measured = np.array(grade.extinction_L_g_cm)
    best: tuple[float, float, float] | None = None
    for median in np.geomspace(10.0, 600.0, 50):
        trial = replace(
            grade,
            primary_median_nm=float(median),
            weighting="volume",
            histogram_nm=(),
            histogram_share=(),
        )
        alone = specific_extinction_L_g_cm(trial, wavelength, _FIT_MEDIUM_INDEX)
        lumped = specific_extinction_L_g_cm(trial, wavelength, _FIT_MEDIUM_INDEX, 1.0)
        model = np.outer(1 - _FIT_FRACTIONS, alone) + np.outer(_FIT_FRACTIONS, lumped)
        misfit = np.sqrt(np.mean(np.log(model / measured) ** 2, axis=1))
        lowest = int(np.argmin(misfit))
        if best is None or misfit[lowest] < best[0]:
            best = (float(misfit[lowest]), float(median), float(_FIT_FRACTIONS[lowest]))
    if best is None:  # pragma: no cover - the grid is never empty
        raise MissingDataError("no optical size could be fitted")
    error, median, fraction = best
    fitted = replace(
        grade,
        primary_median_nm=median,
        weighting="volume",
        histogram_nm=(),
        histogram_share=(),
        aggregate_fraction=Sourced(fraction, "", Evidence.CALCULATED, "fitted to the extinction"),
        aggregate_median_nm=Sourced(
            _FIT_AGGREGATE_NM, "nm", Evidence.ASSUMED, "size assumed in the fit"
        ),
    )
    return fitted, 100 * (math.exp(error) - 1)
