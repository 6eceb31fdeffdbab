"""A pigment grade as particles: sizes, index, coating, free and in aggregates."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from zincite.data.optical_constants import optical_constants
from zincite.formula.defaults import coating_density_g_ml
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

__all__ = [
    "AGGREGATE_GSD",
    "AGGREGATE_SOLID_FRACTION",
    "aggregates",
    "coating_layer",
    "coating_volume_ratio",
    "core_index",
    "free_particles",
    "grade_sizes",
]

Array = NDArray[np.float64]

AGGREGATE_GSD = 1.6
"""Breadth of the aggregates' size distribution, assumed. [-]"""
AGGREGATE_SOLID_FRACTION = 0.5
"""Volume share of pigment inside an aggregate, assumed (somewhat looser than the 0.58-0.64 of
randomly packed spheres). [-]"""

_PRIMARY_POINTS, _AGGREGATE_POINTS = 16, 7
_SMALLEST_CLUSTER = 2.0  # diameters of a primary particle
_ORGANIC_INDEX = 1.46  # fatty acids, silanes, silicones; assumed
_COATING_INDICES = {
    # at 589 nm; hydrated oxides from memory
    "silica": 1.46,
    "hydrated silica": 1.45,
    "alumina": 1.65,
    "aluminum hydroxide": 1.58,
    "manganese dioxide": 2.2,
}


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
    index = coating.refractive_index
    if index is None:
        index = _COATING_INDICES.get(coating.inci.strip().lower(), _ORGANIC_INDEX)
    return coating_density_g_ml(coating), index


def coating_volume_ratio(grade: Grade) -> tuple[float, float]:
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


def free_particles(
    grade: Grade,
    core: NDArray[np.complex128],
    medium: Array | float,
    wavelength_nm: Array,
) -> tuple[CrossSections, float]:
    """Return the cross-sections of single coated particles and the coating's thickness.

    Parameters
    ----------
    grade : Grade
    core : ndarray of complex, shape (..., n)
        Index of the core. [-]
    medium : float or ndarray, shape (n,)
        Index of the oil. [-]
    wavelength_nm : ndarray, shape (n,)
        [nm]

    Returns
    -------
    CrossSections, float
        Shape (..., n) per mass of core [m2/g]; thickness [nm].
    """
    sizes = grade_sizes(grade)
    volume_ratio, shell_index = coating_volume_ratio(grade)
    shell = uniform_shell_nm(sizes, volume_ratio)
    sections = primary_cross_sections(
        sizes, shell, core, shell_index, medium, wavelength_nm, grade.core_density_g_ml
    )
    return sections, shell


def aggregates(
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
    volume_ratio, shell_index = coating_volume_ratio(grade)
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
