"""Acts on grades, sizes and flow: screening of coatings, size analysis, flow curve."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, cast

from zincite.evaluation.assay.flow import FlowEvaluation, evaluate_flow
from zincite.evaluation.assay.reading import (
    FlowFile,
    SizeFile,
    read_flow_curve,
    read_size_distribution,
)
from zincite.evaluation.assay.reading.screening import ScreeningFile, read_screening
from zincite.evaluation.assay.screening import GradeScreening, screen_grades
from zincite.evaluation.assay.sizes import SizeEvaluation, evaluate_sizes
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.viscosity import viscosity_mPas
from zincite.workbench.assay.lines import LearntResult, card_lines, result_lines
from zincite.workbench.assay.overlay import Expected, Overlay, against_estimate, known
from zincite.workbench.assay.report import AssayReport, FileRead, in_file

__all__ = ["flow", "screening", "size"]

_NO_SCATTER = "no standard_error: one analysis tells no scatter, so learning takes its usual one"


def screening(
    path: str | Path,
    *,
    control: str | None = None,
    larger_is_better: bool = True,
    quantity: str | None = None,
    confidence: float = 0.95,
    decimal: str | None = None,
) -> AssayReport[GradeScreening, ScreeningFile]:
    """Return a comparison of grades.

    Parameters
    ----------
    path, decimal
        As `read_screening`.
    control, larger_is_better, confidence
        As `screen_grades`.
    quantity : str, optional
        What was measured; the header of the values when left out.
    """
    found = read_screening(path, decimal=decimal)
    with in_file(found.name):
        result = screen_grades(
            found.values,
            found.grades,
            blocks=found.blocks or None,
            control=control,
            quantity=quantity or found.quantity,
            unit=found.unit,
            larger_is_better=larger_is_better,
            confidence=confidence,
        )
    return AssayReport(
        "screening", result, found, (FileRead("values", found.name, found.understood),)
    )


def size(
    path: str | Path,
    *,
    constituent: bool = False,
    core: str | None = None,
    cut_nm: float | None = None,
    weighting: str | None = None,
    unit: str | None = None,
    material: str = "",
    formula: str | None = None,
    decimal: str | None = None,
) -> AssayReport[SizeEvaluation, SizeFile]:
    """Return a size analysis with the lines that it gives to a card.

    Parameters
    ----------
    path, weighting, unit, decimal
        As `read_size_distribution`.
    constituent, core
        As `evaluate_sizes`.
    cut_nm : float, optional
        Diameter above which all counts as aggregate. [nm]
    material : str
        Id of the grade's card, for the lines.
    formula : str, optional
        Path of the formula whose dispersion was sized, for the lines.
    """
    found = read_size_distribution(path, weighting=weighting, unit=unit, decimal=decimal)
    with in_file(found.name):
        result = evaluate_sizes(
            found.diameter_nm,
            found.share,
            weighting=cast(Any, found.weighting),
            constituent=constituent,
            core=core,
            aggregate_cut_nm=cut_nm,
        )
    split = None if constituent else result.aggregates  # constituent particles are no aggregates
    lines = card_lines(found, result.lognormal_volume if constituent else None, split)
    learnt = []
    if split is not None:
        learnt.append(LearntResult("aggregate-fraction", split.aggregate_fraction, None, material,
                                   _NO_SCATTER))  # fmt: skip
    notes = [*found.flags]
    if constituent and result.aggregates is not None:
        notes.append("The sizes have two modes; both are of constituent particles.")
    return AssayReport(
        "size",
        result,
        found,
        (FileRead("sizes", found.name, found.understood),),
        lines=(*lines, *result_lines(learnt, formula=formula, valid=result.valid)),
        notes=tuple(notes),
    )


def flow(
    path: str | Path,
    *,
    rates_1_s: Sequence[float] = (),
    decimal: str | None = None,
    expected: Expected | None = None,
) -> AssayReport[FlowEvaluation, FlowFile]:
    """Return an evaluated flow curve.

    Parameters
    ----------
    path, decimal
        As `read_flow_curve`.
    rates_1_s : sequence of float
        Where to report the viscosity; 1, 10 and 100 when left out. [1/s]
    expected : Expected, optional
        Formula whose prediction is laid over.
    """
    found = read_flow_curve(path, decimal=decimal)
    more: dict[str, Any] = {"at_shear_rates_1_s": tuple(rates_1_s)} if rates_1_s else {}
    with in_file(found.name):
        result = evaluate_flow(found.shear_rate_1_s, stress_Pa=found.stress_Pa, **more)
    files = (FileRead("flow curve", found.name, found.understood),)
    overlay = None if expected is None else _flow_overlay(result, expected)
    return AssayReport("flow", result, found, files, overlay)


def _flow_overlay(result: FlowEvaluation, expected: Expected) -> Overlay:
    predicted = viscosity_mPas(expected.formula, expected.draws)
    at = next(((rate, v) for rate, v in result.viscosity_mPas.items() if v is not None), None)
    if not isinstance(predicted, Estimate):
        return expected.overlay((), notes=(", ".join(predicted.missing) or "not predicted",))
    if at is None:
        return expected.overlay((), notes=("No shear rate asked for was measured.",))
    item = against_estimate("viscosity_mPas", f"viscosity at {at[0]} per s", at[1], predicted)
    return expected.overlay(
        known(item),
        notes=("Predicted for slow shear, roughly; the interval is mostly an assumption.",),
    )
