"""Evaluation of a measured particle-size distribution: percentiles, nano decision, aggregates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.size_fits import (
    AggregateSplit,
    LognormalFit,
    fit_lognormal,
    fit_two_lognormals,
    split_at,
)
from zincite.evaluation.assay.size_nano import NanoFinding, find_nano
from zincite.evaluation.particles import AGGREGATE_SOLID_FRACTION
from zincite.formula.material import CORE_DENSITIES_G_ML

__all__ = ["SizeEvaluation", "Weighting", "convert_weighting", "evaluate_sizes"]

Array = NDArray[np.float64]
Weighting = Literal["number", "volume", "intensity"]

_POWERS = {"number": 0, "volume": 3}
_OPEN_END = 0.05
"""Share of an end class from which the distribution counts as cut off; own rule, no source."""
_SMALLEST_NM, _LARGEST_NM = 1.0, 20_000.0  # as a grade's histogram allows


@dataclass(frozen=True, slots=True)
class SizeEvaluation:
    """Result of a size measurement.

    Attributes
    ----------
    method, weighting : str
        How sizes were evaluated and weighted as measured.
    constituent : bool
        Whether constituent particles were sized, as by electron microscopy.
    percentiles_nm : dict of str to dict of str to float
        `d10_nm`, `d50_nm`, `d90_nm` by "number", "volume" or "intensity".
    sauter_diameter_nm, vssa_m2_cm3, specific_surface_m2_g : float or None
        d32; 6 / d32 of smooth spheres; the same over the core's density.
    nano : NanoFinding
    lognormal : LognormalFit
        By the weighting as measured.
    lognormal_volume : LognormalFit or None
        By volume, as a material card takes it (`primary_median_nm`, `primary_gsd`).
    aggregates : AggregateSplit or None
        None where no second mode is seen or the sizes are by intensity.
    valid : bool
    reasons, marks, notes : tuple of str
    """

    method: str
    weighting: str
    constituent: bool
    percentiles_nm: dict[str, dict[str, float]]
    sauter_diameter_nm: float | None
    vssa_m2_cm3: float | None
    specific_surface_m2_g: float | None
    nano: NanoFinding
    lognormal: LognormalFit
    lognormal_volume: LognormalFit | None
    aggregates: AggregateSplit | None
    valid: bool
    reasons: tuple[str, ...]
    marks: tuple[str, ...]
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return dict(plain(self))


def convert_weighting(
    diameter_nm: ArrayLike, share: ArrayLike, *, weighting: str, to: str
) -> Array:
    """Return shares of a distribution by number as shares by volume, or the reverse.

    Parameters
    ----------
    diameter_nm, share : array_like, shape (n,)
        Class middles, > 0 [nm], and shares in any scale.
    weighting, to : {"number", "volume"}

    Returns
    -------
    ndarray, shape (n,)
        Sum 1: share d^3 for number to volume.

    Raises
    ------
    OutOfRangeError
        If a weighting is another; intensity depends on how the particles scatter and is not
        converted.

    Examples
    --------
    Eight particles of 1 nm have the volume of one of 2 nm:

    >>> print(convert_weighting([1.0, 2.0], [8.0, 1.0], weighting="number", to="volume"))
    [0.5 0.5]
    """
    for given in (weighting, to):
        if given not in _POWERS:
            raise OutOfRangeError(
                f"weighting is {given!r}, expected 'number' or 'volume' for a conversion"
            )
    power = float(_POWERS[to] - _POWERS[weighting])
    weight = np.asarray(share, dtype=float) * np.asarray(diameter_nm, dtype=float) ** power
    return np.asarray(weight / weight.sum())


def _classes(diameter_nm: ArrayLike, share: ArrayLike | None) -> tuple[Array, Array, int | None]:
    """Return rising class middles, shares of sum 1 and the count where particles were counted."""
    diameter = np.asarray(diameter_nm, dtype=float)
    if diameter.ndim != 1 or diameter.size < 2:
        raise OutOfRangeError(
            f"sizes have shape {diameter.shape}, expected a list of at least 2 diameters"
        )
    wrong = ~((diameter >= _SMALLEST_NM) & (diameter <= _LARGEST_NM))
    if wrong.any():
        raise OutOfRangeError(
            f"diameter {float(diameter[wrong][0]):g} nm found, expected {_SMALLEST_NM:g} to "
            f"{_LARGEST_NM:g} nm"
        )
    if share is None:
        middles, counts = np.unique(diameter, return_counts=True)
        if middles.size < 2:
            raise OutOfRangeError("all particles have one diameter, expected a distribution")
        return middles, counts / counts.sum(), int(diameter.size)
    weight = np.asarray(share, dtype=float)
    if weight.shape != diameter.shape:
        raise OutOfRangeError(
            f"{diameter.size} diameters and {weight.size} shares found, expected as many of each"
        )
    if not (np.isfinite(weight).all() and (weight >= 0).all() and weight.sum() > 0):
        raise OutOfRangeError("a share is missing or below 0, or all are 0, expected shares >= 0")
    order = np.argsort(diameter)
    middles = diameter[order]
    if np.any(np.diff(middles) == 0):
        twice = float(middles[:-1][np.diff(middles) == 0][0])
        raise OutOfRangeError(f"diameter {twice:g} nm occurs twice, expected one share for each")
    if np.count_nonzero(weight) < 2:
        raise OutOfRangeError("all particles are in one class, expected a distribution")
    return middles, weight[order] / weight.sum(), None


def _edges(middles: Array) -> Array:
    """Return geometric class edges, the outer ones as far as the inner ones."""
    logs = np.log(middles)
    inner = 0.5 * (logs[1:] + logs[:-1])
    return np.asarray(
        np.exp(np.concatenate([[2 * logs[0] - inner[0]], inner, [2 * logs[-1] - inner[-1]]]))
    )


def _cumulated(share: Array) -> Array:
    return np.concatenate([[0.0], np.cumsum(share) / share.sum()])


def _percentiles(edges: Array, share: Array) -> dict[str, float]:
    logs, cumulated = np.log(edges), _cumulated(share)
    # an empty class makes a flat step: its first edge is where the share is reached
    first = np.concatenate([[True], np.diff(cumulated) > 0])
    found = np.exp(np.interp([0.1, 0.5, 0.9], cumulated[first], logs[first]))
    return dict(zip(("d10_nm", "d50_nm", "d90_nm"), map(float, found), strict=True))


def evaluate_sizes(
    diameter_nm: ArrayLike,
    share: ArrayLike | None = None,
    *,
    weighting: Weighting,
    constituent: bool,
    core: str | None = None,
    aggregate_cut_nm: float | None = None,
    aggregate_solid_fraction: float = AGGREGATE_SOLID_FRACTION,
) -> SizeEvaluation:
    """Evaluate a measured size distribution.

    Parameters
    ----------
    diameter_nm : array_like, shape (n,)
        Class middles, or single particles where `share` is left out. 1 to 20000. [nm]
    share : array_like, shape (n,), optional
        Share in each class (not cumulated), >= 0, in any scale.
    weighting : {"number", "volume", "intensity"}
        What the shares are of; single particles are by number.
    constituent : bool
        Whether constituent particles were sized (electron microscopy), not lumps of them.
    core : str, optional
        Key of `zincite.formula.material.CORE_DENSITIES_G_ML`, for the surface per gram.
    aggregate_cut_nm : float, optional
        Diameter above which everything counts as aggregate; two lognormals are fitted if left
        out. [nm]
    aggregate_solid_fraction : float
        Volume share of pigment inside an aggregate; assumed unless measured. [-]

    Returns
    -------
    SizeEvaluation

    Raises
    ------
    OutOfRangeError
        If sizes, shares or options are impossible.

    Notes
    -----
    Shares are spread evenly in ln d over classes with geometric edges. Surfaces are those of
    smooth spheres. Intensity is never converted and never decides.

    References
    ----------
    Commission Recommendation 2022/C 229/01 (50 % by number below 100 nm; never below 6 m2/cm3);
    Hatch T., Choate S.P. (1929), J. Franklin Inst. 207, 369 (number and volume).
    """
    middles, weight, count = _classes(diameter_nm, share)
    if weighting not in ("number", "volume", "intensity"):
        raise OutOfRangeError(
            f"weighting is {weighting!r}, expected 'number', 'volume' or 'intensity'"
        )
    if count is not None and weighting != "number":
        raise OutOfRangeError(f"single particles are by number, found weighting {weighting!r}")
    if core is not None and core not in CORE_DENSITIES_G_ML:
        raise OutOfRangeError(f"core is {core!r}, expected one of {', '.join(CORE_DENSITIES_G_ML)}")
    edges, by = _edges(middles), _by_weighting(middles, weight, weighting)
    volume = by.get("volume")
    sauter, vssa, surface = _surfaces(middles, volume, core)
    split = _aggregates(edges, volume, aggregate_cut_nm, aggregate_solid_fraction)
    reasons, notes = _remarks(by, weighting, middles)
    return SizeEvaluation(
        "size distribution, classes spread evenly in ln d",
        weighting,
        constituent,
        {kind: _percentiles(edges, values) for kind, values in by.items()},
        sauter,
        vssa,
        surface,
        find_nano(middles, weight, weighting=weighting, constituent=constituent, count=count),
        fit_lognormal(edges, _cumulated(weight), weighting),
        None if volume is None else fit_lognormal(edges, _cumulated(volume), "volume"),
        split,
        not reasons,
        tuple(reasons),
        _marks(split, aggregate_solid_fraction),
        tuple(notes),
    )


def _by_weighting(middles: Array, share: Array, weighting: str) -> dict[str, Array]:
    """Return shares by number and by volume; by intensity alone where that was measured."""
    if weighting not in _POWERS:
        return {weighting: share}
    return {
        kind: convert_weighting(middles, share, weighting=weighting, to=kind) for kind in _POWERS
    }


def _surfaces(
    middles: Array, volume: Array | None, core: str | None
) -> tuple[float | None, float | None, float | None]:
    """Return d32 [nm], 6 / d32 [m2/cm3] and the same per gram [m2/g]."""
    if volume is None:
        return None, None, None
    sauter = 1.0 / float(np.sum(volume / middles))
    vssa = 6000.0 / sauter
    return sauter, vssa, None if core is None else vssa / CORE_DENSITIES_G_ML[core]


def _aggregates(
    edges: Array, volume: Array | None, cut_nm: float | None, solid: float
) -> AggregateSplit | None:
    if volume is None:
        return None
    if cut_nm is not None:
        return split_at(cut_nm, edges, _cumulated(volume), solid_fraction=solid)
    return fit_two_lognormals(edges, _cumulated(volume), solid_fraction=solid)


def _marks(split: AggregateSplit | None, solid: float) -> tuple[str, ...]:
    if split is None or solid != AGGREGATE_SOLID_FRACTION:
        return ()
    return (f"share of pigment inside an aggregate, {solid:g}: assumed",)


def _remarks(by: dict[str, Array], weighting: str, middles: Array) -> tuple[list[str], list[str]]:
    measured = by[weighting]
    reasons = [
        f"the {name} class, {middles[place]:g} nm, holds {100 * measured[place]:.0f} % by "
        f"{weighting}: the distribution is cut off there"
        for name, place in (("finest", 0), ("coarsest", -1))
        if measured[place] > _OPEN_END
    ]
    notes = []
    if weighting == "volume":
        finest = float(by["number"][np.cumsum(by["volume"]) <= 0.01].sum())
        notes.append(
            f"the finest 1 % of the volume holds {100 * finest:.0f} % of the number: figures by "
            "number are as sure as that tail"
        )
    if weighting == "intensity":
        notes.append("by intensity only: number and volume depend on how the particles scatter")
    return reasons, notes
