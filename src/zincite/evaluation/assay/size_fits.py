"""Lognormal and two-lognormal fits to a measured size distribution."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, ndtr

from zincite.errors import OutOfRangeError
from zincite.evaluation.particles import AGGREGATE_SOLID_FRACTION
from zincite.sources import Evidence, Sourced

__all__ = ["AggregateSplit", "LognormalFit", "fit_lognormal", "fit_two_lognormals", "split_at"]

Array = NDArray[np.float64]

_GOOD_DEVIATION = 0.02
"""Largest deviation in the cumulated share up to which one lognormal is enough; own rule."""
_LEAST_SHARE, _LEAST_RATIO = 0.01, 1.5
"""Share and ratio of medians from which a second mode is a mode; own rules."""


@dataclass(frozen=True, slots=True)
class LognormalFit:
    """A lognormal distribution fitted to cumulated shares.

    Attributes
    ----------
    median_nm, gsd : float
        By `weighting`. [nm], [-]
    weighting : str
        "number", "volume" or "intensity".
    largest_deviation : float
        Largest distance from the measured cumulated share. [-]
    """

    median_nm: float
    gsd: float
    weighting: str
    largest_deviation: float


@dataclass(frozen=True, slots=True)
class AggregateSplit:
    """Primary particles and aggregates told apart, by volume.

    Attributes
    ----------
    method : str
        "two lognormals" or "cut".
    primary_median_nm, primary_gsd : float or None
        Of the finer part; the deviation is None for a cut. [nm], [-]
    aggregate_median_nm, aggregate_gsd : float or None
        Of the coarser part. [nm], [-]
    aggregate_volume_fraction : float
        Share of the coarser part in the measured volume, pores included. [-]
    aggregate_fraction : float
        Share of the pigment in aggregates: the same without pores. [-]
    largest_deviation : float or None
        Of the fit from the measured cumulated share; None for a cut. [-]
    """

    method: str
    primary_median_nm: float | None
    primary_gsd: float | None
    aggregate_median_nm: float | None
    aggregate_gsd: float | None
    aggregate_volume_fraction: float
    aggregate_fraction: float
    largest_deviation: float | None

    def for_grade(self) -> dict[str, Sourced]:
        """Return the fields of `zincite.formula.material.Grade` that this measurement gives."""
        source = f"measured size distribution, {self.method}"
        found = {
            "aggregate_fraction": Sourced(self.aggregate_fraction, "", Evidence.MEASURED, source)
        }
        if self.aggregate_median_nm is not None:
            found["aggregate_median_nm"] = Sourced(
                self.aggregate_median_nm, "nm", Evidence.MEASURED, source
            )
        return found


def _pigment_share(volume_share: float, solid_fraction: float) -> float:
    """Return the share of pigment in porous aggregates of a given share of outer volume."""
    if not 0 < solid_fraction <= 1:
        raise OutOfRangeError(
            f"solid fraction of aggregates is {solid_fraction:g}, expected above 0 to 1"
        )
    solid = solid_fraction * volume_share
    return solid / (solid + 1.0 - volume_share)


def _start(edges: Array, cumulated: Array) -> tuple[float, float]:
    """Return mean and deviation of ln d from the quantiles."""
    low, middle, high = np.interp([0.159, 0.5, 0.841], cumulated, np.log(edges))
    return float(middle), float(max(0.5 * (high - low), 0.02))


def fit_lognormal(edges_nm: Array, cumulated: Array, weighting: str) -> LognormalFit:
    """Fit a lognormal to cumulated shares by least squares.

    Parameters
    ----------
    edges_nm : ndarray, shape (n,)
        Class edges, rising. [nm]
    cumulated : ndarray, shape (n,)
        Share below each edge, 0..1.
    weighting : str
        Copied to the result.

    Returns
    -------
    LognormalFit
    """
    from scipy.optimize import least_squares

    logs = np.log(edges_nm)

    def residual(p: Array) -> Array:
        return np.asarray(ndtr((logs - p[0]) / math.exp(p[1])) - cumulated)

    mean, sigma = _start(edges_nm, cumulated)
    found = least_squares(residual, [mean, math.log(sigma)], xtol=1e-12, ftol=1e-12, gtol=1e-12)
    deviation = float(np.max(np.abs(found.fun)))
    return LognormalFit(math.exp(found.x[0]), math.exp(math.exp(found.x[1])), weighting, deviation)


def fit_two_lognormals(
    edges_nm: Array,
    cumulated_volume: Array,
    *,
    solid_fraction: float = AGGREGATE_SOLID_FRACTION,
) -> AggregateSplit | None:
    """Tell primary particles from aggregates by a mixture of two lognormals, by volume.

    Parameters
    ----------
    edges_nm, cumulated_volume : ndarray, shape (n,)
        Class edges [nm] and share of volume below each, at least 6.
    solid_fraction : float
        Volume share of pigment inside an aggregate (assumed unless given). [-]

    Returns
    -------
    AggregateSplit or None
        None where one lognormal describes the distribution, or the second mode is not one.
    """
    single = fit_lognormal(edges_nm, cumulated_volume, "volume")
    if edges_nm.size < 6 or single.largest_deviation < _GOOD_DEVIATION:
        return None
    logs = np.log(edges_nm)

    def model(p: Array) -> Array:
        share = expit(p[4])
        fine = ndtr((logs - p[0]) / np.exp(p[1]))
        return np.asarray((1 - share) * fine + share * ndtr((logs - p[2]) / np.exp(p[3])))

    best = _best_mixture(model, logs, cumulated_volume)
    if best[0] > best[2]:
        best = np.array([best[2], best[3], best[0], best[1], -best[4]])
    share, ratio = float(expit(best[4])), math.exp(best[2] - best[0])
    deviation = float(np.max(np.abs(model(best) - cumulated_volume)))
    distinct = _LEAST_SHARE <= share <= 1 - _LEAST_SHARE and ratio >= _LEAST_RATIO
    if not distinct or deviation > 0.5 * single.largest_deviation:
        return None
    return AggregateSplit(
        "two lognormals",
        math.exp(best[0]),
        math.exp(math.exp(best[1])),
        math.exp(best[2]),
        math.exp(math.exp(best[3])),
        share,
        _pigment_share(share, solid_fraction),
        deviation,
    )


def _best_mixture(model: object, logs: Array, cumulated: Array) -> Array:
    """Return the best parameters of several starts: cuts at rising shares of the volume."""
    from scipy.optimize import least_squares

    def residual(p: Array) -> Array:
        return np.asarray(model(p) - cumulated)  # type: ignore[operator]

    low = [logs[0] - 1, -4.0, logs[0] - 1, -4.0, -7.0]
    high = [logs[-1] + 1, 1.2, logs[-1] + 1, 1.2, 7.0]
    tries = []
    for cut in (0.15, 0.3, 0.5, 0.7, 0.85):
        fine, coarse = np.interp([0.5 * cut, 0.5 * (1 + cut)], cumulated, logs)
        start = [fine, math.log(0.3), coarse, math.log(0.3), math.log((1 - cut) / cut)]
        inside = np.clip(start, np.array(low) + 1e-6, np.array(high) - 1e-6)
        tries.append(least_squares(residual, inside, bounds=(low, high), x_scale="jac"))
    return np.asarray(min(tries, key=lambda found: float(found.cost)).x)


def split_at(
    cut_nm: float,
    edges_nm: Array,
    cumulated_volume: Array,
    *,
    solid_fraction: float = AGGREGATE_SOLID_FRACTION,
) -> AggregateSplit:
    """Count everything above a diameter as aggregates, by volume.

    Parameters
    ----------
    cut_nm : float
        Within the measured range. [nm]
    edges_nm, cumulated_volume : ndarray, shape (n,)
        Class edges [nm] and share of volume below each.
    solid_fraction : float
        Volume share of pigment inside an aggregate (assumed unless given). [-]

    Returns
    -------
    AggregateSplit

    Raises
    ------
    OutOfRangeError
        If the cut lies outside the measured range.
    """
    if not edges_nm[0] <= cut_nm <= edges_nm[-1]:
        raise OutOfRangeError(
            f"cut is {cut_nm:g} nm, expected within the measured {edges_nm[0]:g} to "
            f"{edges_nm[-1]:g} nm"
        )
    logs = np.log(edges_nm)
    below = float(np.interp(math.log(cut_nm), logs, cumulated_volume))
    middles = np.exp(np.interp([0.5 * below, 0.5 * (1 + below)], cumulated_volume, logs))
    share = 1.0 - below
    return AggregateSplit(
        "cut",
        float(middles[0]) if below > 0 else None,
        None,
        float(middles[1]) if share > 0 else None,
        None,
        share,
        _pigment_share(share, solid_fraction),
        None,
    )
