"""Acts on a formula's process: its heat, melting points and window; its scale-up."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from zincite.evaluation.making.process.process_plan import ProcessPlan, process_plan
from zincite.evaluation.making.process.scale_rules import Limits
from zincite.evaluation.making.process.scale_up import ScaleUp, Target, scale_up
from zincite.workbench.formulas import FormulaSource, open_formula
from zincite.workbench.making.report import MakingReport

__all__ = ["process", "scale"]


def process(
    path: FormulaSource,
    *,
    hot_C: float | None = None,
    warm_C: float | None = None,
    cards: str | Path | None = None,
) -> MakingReport[ProcessPlan]:
    """Return a formula's process with heat, melting points and window.

    Parameters
    ----------
    path : str, Path or Formula
        Formula file.
    hot_C, warm_C : float, optional
        Of the ways that it is compared with. [degC]
    cards : str or Path, optional
        Material cards used before the library's.
    """
    formula = open_formula(path, cards=cards)
    return MakingReport("process", process_plan(formula, hot_C=hot_C, warm_C=warm_C), formula)


def scale(
    path: FormulaSource,
    targets: Sequence[tuple[float, float | None]],
    *,
    rule: str,
    keep: str = "tip-speed",
    step: int | None = None,
    lab_kg: float | None = None,
    limits: Limits | None = None,
    cards: str | Path | None = None,
) -> MakingReport[ScaleUp]:
    """Return a process step at larger sizes.

    Parameters
    ----------
    path : str, Path or Formula
        Formula file whose [process] is the laboratory's.
    targets : sequence of (float, float or None)
        Batch [kg] and diameter of the rotor [m], None for a similar one.
    rule, keep, step, lab_kg, limits
        As `scale_up`.
    cards : str or Path, optional
        Material cards used before the library's.
    """
    formula = open_formula(path, cards=cards)
    found = scale_up(
        formula,
        tuple(Target(kg, diameter) for kg, diameter in targets),
        rule=rule,
        keep=keep,
        step=step,
        lab_kg=lab_kg,
        limits=limits,
    )
    return MakingReport("scale-up", found, formula)
