"""Cross-sections of a grade in a given oil, tabulated for drawing parameters and remembered."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from zincite.data.optical_constants import index_uncertainty
from zincite.evaluation.extinction import fit_optical_size
from zincite.evaluation.particles import (
    aggregates,
    core_index,
    free_particles,
    grade_sizes,
)
from zincite.formula.material import Grade
from zincite.physics.sizes import SizeNodes

__all__ = ["AGGREGATE_NODES_NM", "SPECTRUM_NM", "UV_SLICE", "GradeOptics", "grade_optics"]

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
_DEFAULT_K_SIGMA = 0.25


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
    fitted, error = fit_optical_size(grade)
    optics = _computed(fitted, index)
    return replace(optics, fitted=fitted, fit_error_percent=error)


def _computed(grade: Grade, medium: Array) -> GradeOptics:
    oil = np.interp(_OPTICS_NM, SPECTRUM_NM, medium)
    index = core_index(grade, _OPTICS_NM)
    sigma = _k_sigma(grade.core, _OPTICS_NM)
    core = index.real + 1j * index.imag * np.exp(np.array([[0.0], [1.0]]) * sigma)
    single, shell = free_particles(grade, core, oil, _OPTICS_NM)
    lumps = aggregates(grade, AGGREGATE_NODES_NM, core, single, oil, _OPTICS_NM)

    def states(name: str) -> Array:
        return np.concatenate([getattr(single, name)[:, None], getattr(lumps, name)], axis=1)

    return GradeOptics(
        absorption=_everywhere(states("absorption"), 1e-9),
        scattering=_everywhere(states("scattering"), 1e-9),
        asymmetry=_everywhere(states("asymmetry")),
        sizes=grade_sizes(grade),
        shell_nm=shell,
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
