"""All that can be said of a formula's making at once, for its report."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from zincite.errors import ZinciteError
from zincite.evaluation.making.dispersion.bench import bench_of
from zincite.evaluation.making.emulsions.emulsion import judge_emulsion
from zincite.evaluation.making.emulsions.feel import judge_feel
from zincite.evaluation.making.process.process_plan import process_plan
from zincite.evaluation.making.stress.what_if import what_if
from zincite.evaluation.making.water.ions import evaluate_ions
from zincite.formula.formula import Formula
from zincite.workbench.making.report import MakingReport, MakingResult

__all__ = ["Overview", "overview"]

_QUESTIONS: dict[str, Callable[[Formula], MakingResult]] = {
    "bench": bench_of,
    "deagglomeration": what_if,
    "ions": evaluate_ions,
    "emulsion": judge_emulsion,
    "feel": judge_feel,
    "process": process_plan,
}


@dataclass(frozen=True, slots=True)
class Overview:
    """Answers on a formula's making.

    Attributes
    ----------
    reports : tuple of MakingReport
        In the order of the work.
    unanswered : tuple of (str, str)
        Questions that do not apply to the formula or lack data, and why.
    """

    reports: tuple[MakingReport[Any], ...]
    unanswered: tuple[tuple[str, str], ...]


def overview(formula: Formula) -> Overview:
    """Return every answer on making that the formula file alone allows.

    Parameters
    ----------
    formula : Formula
    """
    reports: list[MakingReport[Any]] = []
    unanswered: list[tuple[str, str]] = []
    for kind, ask in _QUESTIONS.items():
        try:
            reports.append(MakingReport(kind, ask(formula), formula))
        except ZinciteError as error:
            unanswered.append((kind, str(error)))
    return Overview(tuple(reports), tuple(unanswered))
