"""Acts on a formula's process: its heat, melting points and window; its scale-up."""

from __future__ import annotations

from pathlib import Path

from zincite.evaluation.making.process_plan import ProcessPlan, process_plan
from zincite.workbench.formulas import open_formula
from zincite.workbench.making.report import MakingReport

__all__ = ["process"]


def process(
    path: str | Path,
    *,
    hot_C: float | None = None,
    warm_C: float | None = None,
    cards: str | Path | None = None,
) -> MakingReport[ProcessPlan]:
    """Return a formula's process with heat, melting points and window.

    Parameters
    ----------
    path : str or Path
        Formula file.
    hot_C, warm_C : float, optional
        Of the ways that it is compared with. [degC]
    cards : str or Path, optional
        Material cards used before the library's.
    """
    formula = open_formula(path, cards=cards)
    return MakingReport("process", process_plan(formula, hot_C=hot_C, warm_C=warm_C), formula)
