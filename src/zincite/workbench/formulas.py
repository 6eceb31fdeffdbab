"""Acts on a formula: open, predict, check, compare, tint."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from zincite.evaluation.making.stress.deagglomeration import Kinetics
from zincite.evaluation.predicting import predict_formula
from zincite.evaluation.prediction import Prediction
from zincite.evaluation.regulation import MarketAssessment, assess_market
from zincite.evaluation.tint import TintProposal, solve_tint
from zincite.formula.brief import skins_asked
from zincite.formula.formula import Formula
from zincite.formula.reading import load_formula
from zincite.learning.posterior import LabPosterior

__all__ = [
    "Comparison",
    "FormulaSource",
    "check",
    "compare",
    "open_formula",
    "predict",
    "tint",
]

DEFAULT_MARKETS = ("eu",)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two predictions side by side.

    Attributes
    ----------
    first, second : Prediction
    """

    first: Prediction
    second: Prediction

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints: both predictions and the changes of amounts."""
        before = self.first.formula.percent_by_material()
        after = self.second.formula.percent_by_material()
        names = list(dict.fromkeys([*before, *after]))
        return {
            "changes_percent": {
                name: {"from": before.get(name, 0.0), "to": after.get(name, 0.0)}
                for name in names
                if abs(before.get(name, 0.0) - after.get(name, 0.0)) > 1e-9
            },
            "first": self.first.to_dict(),
            "second": self.second.to_dict(),
        }


FormulaSource = str | Path | Formula
"""A formula file, or a formula that is open already."""


def open_formula(path: FormulaSource, *, cards: str | Path | None = None) -> Formula:
    """Return the formula of a file, with the cards of a file or folder where given."""
    return path if isinstance(path, Formula) else load_formula(path, cards=cards)


def predict(
    formula: Formula,
    *,
    laboratory: LabPosterior | None = None,
    dose_mg_cm2: float = 2.0,
    kinetics: Kinetics | None = None,
) -> Prediction:
    """Return the judged prediction of a formula.

    Parameters
    ----------
    formula : Formula
    laboratory : LabPosterior, optional
        What the laboratory's own results taught; the shipped model when left out.
    dose_mg_cm2 : float
        Applied dose. [mg/cm2]
    kinetics : mapping of str to DeviceKinetics, optional
        De-agglomeration of devices fitted to own sizes.

    Returns
    -------
    Prediction
        `.to_dict()` is what `--json` prints.
    """
    if laboratory is None:
        return predict_formula(formula, dose_mg_cm2=dose_mg_cm2, kinetics=kinetics)
    return predict_formula(
        formula,
        draws=laboratory.draws_for(formula),
        model=laboratory.title,
        dose_mg_cm2=dose_mg_cm2,
        kinetics=kinetics,
    )


def check(
    formula: Formula,
    markets: tuple[str, ...] = (),
    *,
    prediction: Prediction | None = None,
) -> tuple[MarketAssessment, ...]:
    """Return what each market says to a formula.

    Parameters
    ----------
    formula : Formula
    markets : tuple of str
        Market keys; those of the brief, else the EU, when left out.
    prediction : Prediction, optional
        Its prediction if at hand, so that it is not made twice.

    Returns
    -------
    tuple of MarketAssessment
        In the order asked.
    """
    brief = formula.brief
    names = markets or (brief.markets if brief and brief.markets else DEFAULT_MARKETS)
    made = predict_formula(formula) if prediction is None else prediction
    return tuple(
        assess_market(
            formula,
            name,
            spf=made.spf,
            uva_pf=made.uva_pf,
            critical_wavelength_nm=made.critical_wavelength_nm,
            brief=brief,
            probabilities={
                key: line.probability
                for line in made.brief
                for topic, key in (
                    ("SPF", "spf"),
                    ("UVA-PF", "uva_pf"),
                    ("critical wavelength", "critical_wavelength_nm"),
                )
                if line.topic == topic and line.probability is not None
            },
        )
        for name in names
    )


def compare(first: Formula, second: Formula) -> Comparison:
    """Return two formulas' predictions side by side."""
    return Comparison(predict_formula(first), predict_formula(second))


def tint(
    formula: Formula,
    skin_classes: tuple[str, ...] = (),
    *,
    limit_percent: float = 3.0,
) -> TintProposal:
    """Return iron-oxide levels that leave chosen skins least changed.

    Parameters
    ----------
    formula : Formula
    skin_classes : tuple of str
        Those of the brief, else all six, when left out.
    limit_percent : float
        Largest sum of iron oxides. [%]
    """
    names = skin_classes or skins_asked(formula.brief)
    return solve_tint(formula, names, limit_percent=limit_percent)
