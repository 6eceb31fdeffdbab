"""Acts on a formula's emulsion and on its feel."""

from __future__ import annotations

from pathlib import Path

from zincite.evaluation.making.emulsions.emulsion import EmulsionOutlook, judge_emulsion
from zincite.evaluation.making.emulsions.feel import FeelOutlook, judge_feel
from zincite.workbench.formulas import FormulaSource, open_formula
from zincite.workbench.making.report import MakingReport

__all__ = ["emulsion", "feel"]


def emulsion(
    path: FormulaSource,
    *,
    measured_viscosity_mPas: float | None = None,
    d32_um: float | None = None,
    yield_stress_Pa: float | None = None,
    cards: str | Path | None = None,
) -> MakingReport[EmulsionOutlook]:
    """Return what is to be expected of a formula's emulsion.

    Parameters
    ----------
    path : str, Path or Formula
        Formula file.
    measured_viscosity_mPas, d32_um, yield_stress_Pa : float, optional
        Measured on the formula; as `judge_emulsion`.
    cards : str or Path, optional
        Material cards used before the library's.
    """
    formula = open_formula(path, cards=cards)
    outlook = judge_emulsion(
        formula,
        measured_viscosity_mPas=measured_viscosity_mPas,
        d32_um=d32_um,
        yield_stress_Pa=yield_stress_Pa,
    )
    return MakingReport("emulsion", outlook, formula)


def feel(path: FormulaSource, *, cards: str | Path | None = None) -> MakingReport[FeelOutlook]:
    """Return the indicators of a formula's feel.

    Parameters
    ----------
    path : str, Path or Formula
        Formula file.
    cards : str or Path, optional
        Material cards used before the library's.
    """
    formula = open_formula(path, cards=cards)
    return MakingReport("feel", judge_feel(formula), formula)
