"""Wet points and flow points: which liquid wets and loosens a powder with the least of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.screening import GradeScreening, screen_grades
from zincite.evaluation.making.basis import Basis

__all__ = ["LiquidPoints", "PointsResult", "evaluate_points"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LiquidPoints:
    """One liquid, means over its replicates.

    Attributes
    ----------
    liquid : str
    rank : int
        1 has the smallest gap.
    replicates : int
    wet_g_100g, flow_g_100g, gap_g_100g : float
        Liquid per 100 g of pigment. [g]
    wet_sd_g, flow_sd_g, gap_sd_g : float or None
        Standard deviations, None for one replicate. [g]
    gap_low_g, gap_high_g : float or None
        Interval of the mean gap from the scatter of all liquids. [g]
    as_good_as_best : bool or None
        Whether its gap cannot be told from the smallest (Tukey); None without replicates.
    flowing_solids_percent : float
        Pigment by mass at the flow point. [%]
    """

    liquid: str
    rank: int
    replicates: int
    wet_g_100g: float
    flow_g_100g: float
    gap_g_100g: float
    wet_sd_g: float | None
    flow_sd_g: float | None
    gap_sd_g: float | None
    gap_low_g: float | None
    gap_high_g: float | None
    as_good_as_best: bool | None
    flowing_solids_percent: float


@dataclass(frozen=True, slots=True)
class PointsResult:
    """Liquids ranked.

    Attributes
    ----------
    liquids : tuple of LiquidPoints
        Smallest gap first.
    scatter_sd_g : float or None
        Of one gap, pooled over the liquids. [g]
    confidence : float
    basis : Basis
    """

    liquids: tuple[LiquidPoints, ...]
    scatter_sd_g: float | None
    confidence: float
    basis: Basis

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "liquids": [
                {name: getattr(item, name) for name in LiquidPoints.__slots__}
                for item in self.liquids
            ],
            "scatter_sd_g": self.scatter_sd_g,
            "confidence": self.confidence,
        }


def evaluate_points(
    liquids: Sequence[str],
    wet_g_100g: Sequence[float],
    flow_g_100g: Sequence[float],
    *,
    confidence: float = 0.95,
) -> PointsResult:
    """Return liquids ranked by the gap of flow point and wet point (trade relation R10).

    Parameters
    ----------
    liquids : sequence of str
        Liquid of each measurement; replicates repeat its name.
    wet_g_100g, flow_g_100g : sequence of float
        First coherent paste, and flow off the spatula, per 100 g of pigment. [g]
    confidence : float
        Of the intervals and of all comparisons together.

    Raises
    ------
    OutOfRangeError
        If lengths differ, nothing is there, or a flow point lies below its wet point.

    Notes
    -----
    A small gap shows a good dispersant. Gaps are compared by analysis of variance with Tukey's
    intervals where at least two liquids and one replicate are there.
    """
    names = list(liquids)
    wet, flow = np.asarray(wet_g_100g, dtype=float), np.asarray(flow_g_100g, dtype=float)
    if not names or wet.shape != (len(names),) or flow.shape != wet.shape:
        raise OutOfRangeError(
            f"{len(names)} liquids, {wet.size} wet and {flow.size} flow points are given, expected "
            "as many of each and at least one"
        )
    if not (np.isfinite(flow).all() and (wet > 0).all() and (flow >= wet).all()):
        raise OutOfRangeError("a flow point is below its wet point or one is not above 0 g")
    gap = flow - wet
    screened = _screened(names, gap, confidence)
    order = sorted(
        dict.fromkeys(names), key=lambda name: (float(np.mean(gap[_at(names, name)])), name)
    )
    found = tuple(
        _liquid(name, rank, wet[_at(names, name)], flow[_at(names, name)], screened)
        for rank, name in enumerate(order, start=1)
    )
    return PointsResult(
        found,
        None if screened is None else screened.analysis.residual_sd,
        confidence,
        _basis(found, screened),
    )


def _at(names: list[str], name: str) -> NDArray[np.bool_]:
    return np.array([other == name for other in names])


def _screened(names: list[str], gap: Array, confidence: float) -> GradeScreening | None:
    """Return the comparison of the gaps, None where there is nothing to compare by."""
    groups = set(names)
    scatters = any(np.ptp(gap[_at(names, name)]) > 0 for name in groups)
    if len(groups) < 2 or not scatters:
        return None
    return screen_grades(gap, names, larger_is_better=False, quantity="gap", unit="g",
                         confidence=confidence)  # fmt: skip


def _sd(values: Array) -> float | None:
    return float(values.std(ddof=1)) if values.size > 1 else None


def _liquid(
    name: str,
    rank: int,
    wet: Array,
    flow: Array,
    screened: GradeScreening | None,
) -> LiquidPoints:
    ranked = next((r for r in screened.ranking if r.grade == name), None) if screened else None
    return LiquidPoints(
        liquid=name,
        rank=rank,
        replicates=int(wet.size),
        wet_g_100g=float(wet.mean()),
        flow_g_100g=float(flow.mean()),
        gap_g_100g=float((flow - wet).mean()),
        wet_sd_g=_sd(wet),
        flow_sd_g=_sd(flow),
        gap_sd_g=_sd(flow - wet),
        gap_low_g=None if ranked is None else ranked.low,
        gap_high_g=None if ranked is None else ranked.high,
        as_good_as_best=None if ranked is None else ranked.not_worse_than_best,
        flowing_solids_percent=100 * 100 / (100 + float(flow.mean())),
    )


def _basis(found: tuple[LiquidPoints, ...], screened: GradeScreening | None) -> Basis:
    warnings = []
    if screened is None:
        warnings.append(
            "Without scattering repeats of at least two liquids the order has no interval: "
            "measure each liquid at least twice."
        )
    else:
        warnings += [f"{reason}." for reason in screened.reasons]
    once = [item.liquid for item in found if item.replicates == 1]
    if screened is not None and once:
        warnings.append(f"Measured once only: {', '.join(once)}.")
    return Basis(
        ("R10",),
        ("That a small gap shows a good dispersant is from memory; confirm the first with a "
         "ladder.",),
        tuple(warnings),
    )  # fmt: skip
