"""Cross-sections of pigment in oil: single coated particles and porous aggregates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics.effective_medium import bruggeman
from zincite.physics.phase import crowded_scattering
from zincite.physics.sizes import SizeNodes
from zincite.physics.spheres import coated_sphere

__all__ = [
    "CrossSections",
    "aggregate_cross_sections",
    "primary_cross_sections",
    "size_coherence",
    "uniform_shell_nm",
    "with_graininess",
]

Array = NDArray[np.float64]
_PER_MASS = 1.5e3
"""(pi d^2/4) / (density pi d^3/6) = 1.5/(density d), in m2/g for d in nm and density in g/mL."""


@dataclass(frozen=True, slots=True)
class CrossSections:
    """Napierian cross-sections per mass of core material, on a wavelength grid.

    Attributes
    ----------
    absorption, scattering : ndarray
        [m2/g]
    asymmetry : ndarray
        Mean cosine, weighted by scattering. [-]
    """

    absorption: Array
    scattering: Array
    asymmetry: Array

    @property
    def extinction(self) -> Array:
        """Absorption plus scattering. [m2/g]"""
        return np.add(self.absorption, self.scattering)


def uniform_shell_nm(sizes: SizeNodes, volume_ratio: float) -> float:
    """Return the coating thickness that gives all cores together the coating's volume.

    Parameters
    ----------
    sizes : SizeNodes
        Cores.
    volume_ratio : float
        Coating volume over core volume, >= 0. [-]

    Returns
    -------
    float
        Thickness, the same on each core. [nm]

    Raises
    ------
    OutOfRangeError
        If the ratio is negative.

    Notes
    -----
    Solves sum N [(d + 2t)^3 - d^3] = ratio sum N d^3, a cubic in t.
    """
    if not volume_ratio >= 0:
        raise OutOfRangeError(f"coating volume ratio is {volume_ratio}, expected 0 or more")
    if volume_ratio == 0:
        return 0.0
    d = sizes.diameter_nm
    share = sizes.volume_weight  # proportional to N d^3
    first, second = float(np.sum(share / d)), float(np.sum(share / d**2))
    third = float(np.sum(share / d**3))
    thickness = volume_ratio / (6 * first)  # the thin coat; too thick, so Newton falls steadily
    for _ in range(60):
        slope = 6 * first + 24 * second * thickness + 24 * third * thickness**2
        volume = thickness * (6 * first + 12 * second * thickness + 8 * third * thickness**2)
        step = (volume - volume_ratio) / slope
        thickness -= step
        if abs(step) <= 1e-15 * thickness:
            break
    return thickness


def size_coherence(sizes: SizeNodes) -> float:
    """Return <V>^2/<V^2> by number: 1 for one size, small for a broad distribution.

    It is the long-wavelength limit of <F>^2/<F^2> in the decoupling approximation (Kotlarchyk
    and Chen 1983).
    """
    number = sizes.number_weight
    volume = sizes.diameter_nm**3
    return float(np.sum(number * volume) ** 2 / np.sum(number * volume**2))


def primary_cross_sections(
    sizes: SizeNodes,
    shell_nm: float,
    core_index: ArrayLike,
    shell_index: ArrayLike,
    medium_index: ArrayLike,
    wavelength_nm: ArrayLike,
    core_density_g_ml: float,
) -> CrossSections:
    """Return cross-sections of single coated particles averaged over sizes.

    Parameters
    ----------
    sizes : SizeNodes
        Cores.
    shell_nm : float
        Coating thickness. [nm]
    core_index : array_like, shape (..., n)
        On the wavelength grid. [-]
    shell_index, medium_index : array_like, shape (n,) or float
        On the wavelength grid. [-]
    wavelength_nm : array_like, shape (n,)
        Vacuum wavelength. [nm]
    core_density_g_ml : float
        [g/mL]

    Returns
    -------
    CrossSections
        Shape (..., n), per mass of core.
    """
    diameter = sizes.diameter_nm[:, None]
    core = np.asarray(core_index)[..., None, :]
    q = coated_sphere(diameter, shell_nm, core, shell_index, medium_index, wavelength_nm)
    outer = (1 + 2 * shell_nm / diameter) ** 2
    per_mass = sizes.volume_weight[:, None] * outer * _PER_MASS / (core_density_g_ml * diameter)
    return _averaged(q, per_mass)


def aggregate_cross_sections(
    diameter_nm: ArrayLike,
    volume_weight: ArrayLike,
    solid_fraction: float,
    particle_index: ArrayLike,
    medium_index: ArrayLike,
    wavelength_nm: ArrayLike,
    core_density_g_ml: float,
    core_share_of_solid: float = 1.0,
) -> CrossSections:
    """Return cross-sections of aggregates as porous effective spheres.

    The inside of an aggregate is oil and pigment mixed by Bruggeman's rule.

    Parameters
    ----------
    diameter_nm : array_like, shape (..., n_sizes)
        Size nodes of aggregates, with leading axes for several medians. [nm]
    volume_weight : array_like, shape (n_sizes,)
        Share of volume at each node. [-]
    solid_fraction : float
        Volume share of pigment (coating included) in an aggregate, 0..1 exclusive. [-]
    particle_index : array_like, shape (..., n)
        Index of the pigment; leading axes broadcast against those of the diameters. [-]
    medium_index, wavelength_nm : array_like, shape (n,)
        Of the oil; vacuum wavelength. [-], [nm]
    core_density_g_ml : float
        [g/mL]
    core_share_of_solid : float
        Volume share of core in the coated particle. [-]

    Returns
    -------
    CrossSections
        Shape (..., n), per mass of core.

    Raises
    ------
    OutOfRangeError
        If the solid fraction is impossible.

    References
    ----------
    Bruggeman D.A.G. (1935) Ann. Phys. 416, 636. Porous effective spheres for aggregates are a
    model; they do not resolve the primary particles.
    """
    if not 0 < solid_fraction < 1:
        raise OutOfRangeError(f"solid_fraction is {solid_fraction}, expected between 0 and 1")
    host = np.asarray(medium_index)
    mixed = bruggeman(np.asarray(particle_index) ** 2, host**2, solid_fraction)
    index = np.sqrt(np.asarray(mixed, dtype=complex))[..., None, :]
    diameter = np.asarray(diameter_nm, dtype=float)[..., None]
    q = coated_sphere(diameter, 0.0, index, index, host, wavelength_nm)
    density = core_density_g_ml * solid_fraction * core_share_of_solid
    return _averaged(q, np.asarray(volume_weight)[:, None] * _PER_MASS / (density * diameter))


def with_graininess(
    aggregate: CrossSections,
    primary: CrossSections,
    sizes: SizeNodes,
    solid_fraction: float,
    medium_index: ArrayLike,
    wavelength_nm: ArrayLike,
    *,
    grains_per_aggregate: ArrayLike,
) -> CrossSections:
    """Add the light that the grains inside an aggregate scatter on their own.

    An effective sphere scatters as the mean of its inside; the fluctuations about the mean add
    what the primary particles scatter at their packing (Percus-Yevick), dimmed where the
    aggregate's depth shades its grains. Without this term clusters of particles near half a
    wavelength would scatter backward less than theory and practice find.

    Parameters
    ----------
    aggregate, primary : CrossSections
        Of the effective spheres and of the free particles, per mass of core, shape (n,).
    sizes : SizeNodes
        Primary particles.
    solid_fraction : float
        Volume share of pigment in the aggregate. [-]
    medium_index, wavelength_nm : array_like, shape (n,)
        [-], [nm]
    grains_per_aggregate : array_like
        Mean number N, broadcast; a single grain has no fluctuations, so they count by 1 - 1/N. [-]

    Returns
    -------
    CrossSections
        Shape (n,).

    Notes
    -----
    Coherent plus fluctuation scattering is the usual split for a random medium (Ishimaru A.
    (1978) Wave Propagation and Scattering in Random Media; from memory). Shading is taken as the
    ratio of absorption in the aggregate to that of free particles.
    """
    grains, grain_asymmetry = crowded_scattering(
        primary.scattering,
        primary.asymmetry,
        diameter_nm=sizes.sauter_diameter_nm,
        volume_fraction=min(solid_fraction, 0.6),
        coherence=size_coherence(sizes),
        medium_index=medium_index,
        wavelength_nm=wavelength_nm,
    )
    negligible = 1e-3 * primary.extinction
    shading = (aggregate.absorption + negligible) / (primary.absorption + negligible)
    fluctuating = np.maximum(1 - 1 / np.asarray(grains_per_aggregate, dtype=float), 0.0)
    grains = grains * np.clip(shading, 0.0, 1.0) * fluctuating
    scattering = aggregate.scattering + grains
    forward = aggregate.scattering * aggregate.asymmetry + grains * grain_asymmetry
    return CrossSections(aggregate.absorption, scattering, forward / scattering)


def _averaged(q: Any, per_mass: Array) -> CrossSections:
    """Sum efficiencies over the sizes, the last but one axis."""
    absorption = np.sum(q.absorption * per_mass, axis=-2)
    scattering = np.sum(q.scattering * per_mass, axis=-2)
    forward = np.sum(q.scattering * q.asymmetry * per_mass, axis=-2)
    return CrossSections(absorption, scattering, forward / np.maximum(scattering, 1e-300))
