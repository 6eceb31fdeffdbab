"""Acts on a dispersion: its bench, the mill base for a device, ladders, wet and flow points."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from zincite.evaluation.making.dispersion.bench import bench_of
from zincite.evaluation.making.dispersion.bench_result import DispersionBench
from zincite.evaluation.making.dispersion.ladder import evaluate_ladder
from zincite.evaluation.making.dispersion.ladder_result import LadderResult
from zincite.evaluation.making.dispersion.mill_base_design import MillBaseDesign, design_mill_base
from zincite.evaluation.making.dispersion.points import PointsResult, evaluate_points
from zincite.evaluation.making.dispersion.reading import read_ladder, read_points
from zincite.workbench.assay.report import in_file
from zincite.workbench.formulas import FormulaSource, open_formula
from zincite.workbench.making.report import MakingReport

__all__ = ["bench", "ladder", "mill_base", "points"]


def bench(
    path: FormulaSource,
    *,
    bet_m2_g: Mapping[str, float] | None = None,
    gamma_mg_m2: float | None = None,
    cards: str | Path | None = None,
) -> MakingReport[DispersionBench]:
    """Return the dispersion bench of a formula file.

    Parameters
    ----------
    path : str, Path or Formula
        Formula file.
    bet_m2_g, gamma_mg_m2
        As `bench_of`.
    cards : str or Path, optional
        Material cards used before the library's.
    """
    formula = open_formula(path, cards=cards)
    result = bench_of(formula, bet_m2_g=bet_m2_g, gamma_mg_m2=gamma_mg_m2)
    return MakingReport("bench", result, formula)


def mill_base(
    path: FormulaSource,
    device: str,
    *,
    solids_percent: float | None = None,
    oil_viscosity_mPas: float | None = None,
    dispersant_percent: float | None = None,
    bet_m2_g: Mapping[str, float] | None = None,
    gamma_mg_m2: float | None = None,
    cards: str | Path | None = None,
) -> MakingReport[MillBaseDesign]:
    """Return the mill base of a formula file for a device.

    Parameters
    ----------
    path : str, Path or Formula
        Formula file.
    device, solids_percent, oil_viscosity_mPas, dispersant_percent, bet_m2_g, gamma_mg_m2
        As `design_mill_base`.
    cards : str or Path, optional
        Material cards used before the library's.
    """
    formula = open_formula(path, cards=cards)
    result = design_mill_base(
        formula,
        device,
        solids_percent=solids_percent,
        oil_viscosity_mPas=oil_viscosity_mPas,
        dispersant_percent=dispersant_percent,
        bet_m2_g=bet_m2_g,
        gamma_mg_m2=gamma_mg_m2,
    )
    return MakingReport("mill-base", result, formula)


def ladder(
    path: str | Path,
    *,
    formula: FormulaSource | None = None,
    confidence: float = 0.95,
    decimal: str | None = None,
    cards: str | Path | None = None,
) -> MakingReport[LadderResult]:
    """Return a ladder study evaluated, translated to a formula where one is given.

    Parameters
    ----------
    path, decimal
        As `read_ladder`.
    formula : str, Path or Formula, optional
        Formula file.
    confidence : float
        Of the interval.
    cards : str or Path, optional
        Material cards used before the library's.
    """
    found = read_ladder(path, decimal=decimal)
    product = None if formula is None else open_formula(formula, cards=cards)
    with in_file(found.name):
        result = evaluate_ladder(
            found.dispersant_percent,
            found.viscosity_mPas,
            solids_percent=found.solids_percent,
            formula=product,
            confidence=confidence,
        )
    return MakingReport("ladder", result, product, (found.name,))


def points(
    path: str | Path, *, confidence: float = 0.95, decimal: str | None = None
) -> MakingReport[PointsResult]:
    """Return liquids ranked by their wet and flow points.

    Parameters
    ----------
    path, decimal
        As `read_points`.
    confidence : float
        Of the intervals.
    """
    found = read_points(path, decimal=decimal)
    with in_file(found.name):
        result = evaluate_points(
            found.liquids, found.wet_g_100g, found.flow_g_100g, confidence=confidence
        )
    return MakingReport("points", result, None, (found.name,))
