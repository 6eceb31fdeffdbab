"""Act on the water phase: ions, chelators, acids and preservatives."""

from __future__ import annotations

from pathlib import Path

from zincite.errors import InputError
from zincite.evaluation.making.water.ions import AUTO, evaluate_ions
from zincite.evaluation.making.water.ions_result import IonsResult
from zincite.workbench.formulas import FormulaSource, open_formula
from zincite.workbench.making.report import MakingReport

__all__ = ["ions"]


def ions(
    formula: FormulaSource | None = None,
    *,
    ph: float | None = None,
    ionic_strength: str | float | None = None,
    exposed: float | None = None,
    cards: str | Path | None = None,
) -> MakingReport[IonsResult]:
    """Return ions and advice of a formula, or of plain water over zinc oxide.

    Parameters
    ----------
    formula : str, Path or Formula, optional
    ph : float, optional
        Held; else the formula's own or the calculated one.
    ionic_strength : str, float or None
        mol/L or "auto"; None takes "auto" with a formula and 0 without.
    exposed : float, optional
        Bare share of the pigment surface, 0 to 1.
    cards : str or Path, optional
        Material cards used before the library's.

    Raises
    ------
    InputError
        If the formula cannot be read or a number is out of range.
    """
    strength: float | str | None = ionic_strength
    if isinstance(ionic_strength, str) and ionic_strength != AUTO:
        try:
            strength = float(ionic_strength)
        except ValueError:
            raise InputError(
                f"--ionic-strength is {ionic_strength!r}, expected a number of mol/L or {AUTO}"
            ) from None
    found = None if formula is None else open_formula(formula, cards=cards)
    result = evaluate_ions(found, ph=ph, ionic_strength=strength, exposed_share=exposed)
    return MakingReport("ions", result, found)
