"""Specific extinction of a dispersion, and the optical size fitted to a measured one."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from zincite.errors import MissingDataError
from zincite.evaluation.particles import aggregates, core_index, free_particles
from zincite.formula.material import Grade
from zincite.sources import Evidence, Sourced
from zincite.units import litre_per_gram_cm_to_m2_per_gram

__all__ = ["fit_optical_size", "specific_extinction_L_g_cm"]

Array = NDArray[np.float64]

_AGGREGATE_NM = 330.0
_MEDIUM_INDEX = 1.46  # an ester near 350 nm; data sheets rarely name the medium
_FRACTIONS = np.linspace(0.0, 0.95, 20)


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
    core = core_index(grade, wavelength_nm)
    free, _ = free_particles(grade, core, medium_index, wavelength_nm)
    extinction = free.extinction
    if aggregate_fraction > 0:
        lumps = aggregates(grade, (_AGGREGATE_NM,), core, free, medium_index, wavelength_nm)
        extinction = (1 - aggregate_fraction) * extinction + aggregate_fraction * lumps.extinction[
            0
        ]
    per_powder = grade.core_mass_fraction / litre_per_gram_cm_to_m2_per_gram(1.0)
    return np.asarray(extinction * per_powder)


_LEVEL_SIGMA = 0.15  # ln: solids of the dispersion and absolute k are known no better
_SHAPE_SIGMA = 0.05  # ln: of each value about the common level
_SIZE_SIGMA = 0.35  # ln: how far the optical size may lie from the card's own


@lru_cache(maxsize=256)
def fit_optical_size(grade: Grade) -> tuple[Grade, float]:
    """Return the grade with the size and aggregate share that meet its measured extinction.

    Parameters
    ----------
    grade : Grade
        With `extinction_nm` and `extinction_L_g_cm`.

    Returns
    -------
    Grade, float
        Lognormal by volume with the card's breadth, and the root mean square misfit. [%]

    Notes
    -----
    Large single particles and fine ones in clusters can look alike at three wavelengths, so the
    card's size counts as knowledge (a factor of 1.4) and the level of the curve less than its
    shape.
    """
    wavelength = np.array(grade.extinction_nm)
    measured = np.array(grade.extinction_L_g_cm)
    best: tuple[float, float, float, float] | None = None
    for median in np.geomspace(10.0, 600.0, 50):
        trial = _sized(grade, float(median))
        alone = specific_extinction_L_g_cm(trial, wavelength, _MEDIUM_INDEX)
        lumped = specific_extinction_L_g_cm(trial, wavelength, _MEDIUM_INDEX, 1.0)
        model = np.outer(1 - _FRACTIONS, alone) + np.outer(_FRACTIONS, lumped)
        miss = np.log(model / measured)
        away = math.log(median / grade.primary_median_nm) / _SIZE_SIGMA
        cost = _curve_cost(miss) + away**2
        lowest = int(np.argmin(cost))
        if best is None or cost[lowest] < best[0]:
            rms = float(np.sqrt(np.mean(miss[lowest] ** 2)))
            best = (float(cost[lowest]), rms, float(median), float(_FRACTIONS[lowest]))
    if best is None:  # pragma: no cover - the grid is never empty
        raise MissingDataError("no optical size could be fitted")
    _, rms, median, fraction = best
    fitted = replace(
        _sized(grade, median),
        aggregate_fraction=Sourced(fraction, "", Evidence.CALCULATED, "fitted to the extinction"),
        aggregate_median_nm=Sourced(
            _AGGREGATE_NM, "nm", Evidence.ASSUMED, "size assumed in the fit"
        ),
    )
    return fitted, 100 * (math.exp(rms) - 1)


def _sized(grade: Grade, median_nm: float) -> Grade:
    return replace(
        grade,
        primary_median_nm=median_nm,
        weighting="volume",
        histogram_nm=(),
        histogram_share=(),
    )


def _curve_cost(miss: Array) -> Array:
    """Return chi squared of ln misfits, shape (n, n_wavelengths), a common level integrated out."""
    count = miss.shape[1]
    ratio = (_LEVEL_SIGMA / _SHAPE_SIGMA) ** 2
    square = np.sum(miss**2, axis=1)
    shared = ratio / (1 + count * ratio) * np.sum(miss, axis=1) ** 2
    return np.asarray((square - shared) / _SHAPE_SIGMA**2)
