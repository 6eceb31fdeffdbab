"""A formula's prediction held against a measured result."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.evaluation.assay.panel_advice import PanelProbability
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.estimate import Estimate, estimate_from_draws
from zincite.evaluation.parameters import ModelDraws, shipped_draws
from zincite.evaluation.plates import PlateFilm, simulate_plate
from zincite.evaluation.predicting import SHIPPED_MODEL, FilmResult, simulate_film
from zincite.formula.formula import Formula
from zincite.learning.posterior import LabPosterior
from zincite.physics.photoprotection import UV_GRID_NM
from zincite.statistics.scoring import crps, probability_integral_transform
from zincite.workbench.formulas import FormulaSource, open_formula
from zincite.workbench.learning import open_laboratory

__all__ = [
    "Comparison",
    "Expected",
    "Overlay",
    "PredictedAbsorbance",
    "against_estimate",
    "compared",
    "known",
    "open_expected",
]

Array = NDArray[np.float64]

_TAILS = (0.05, 0.95)
_LEAST = 1e-6


@dataclass(frozen=True, slots=True)
class Comparison:
    """One measured figure against its prediction.

    Attributes
    ----------
    key, label : str
        Name in JSON and in words.
    measured : float
        In the unit of `predicted`.
    predicted : Estimate
        Median and 90 % interval.
    inside : bool
        Whether the measured value lies in the interval.
    quantile : float or None
        Where in the prediction it lies, 0..1; None where there are no draws.
    crps : float or None
        Score in the unit of the figure; small is good.
    """

    key: str
    label: str
    measured: float
    predicted: Estimate
    inside: bool
    quantile: float | None = None
    crps: float | None = None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = plain(
            {
                "quantity": self.key,
                "unit": self.predicted.unit,
                "measured": self.measured,
                "predicted": self.predicted.to_dict(),
                "inside_90_percent_interval": self.inside,
                "quantile": self.quantile,
                "crps": self.crps,
            }
        )
        return shown


@dataclass(frozen=True, slots=True, eq=False)
class PredictedAbsorbance:
    """Absorbance of the film on plates, C = 1: median and 90 % band, shape (111,) each. [-]"""

    wavelength_nm: Array
    median: Array
    low: Array
    high: Array

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = plain(self)
        return shown


@dataclass(frozen=True, slots=True)
class Overlay:
    """What the prediction said of a test.

    Attributes
    ----------
    formula, model : str
        Code and name of the formula; which parameters predicted.
    comparisons : tuple of Comparison
    absorbance : PredictedAbsorbance or None
    panel : PanelProbability or None
        Chance that a panel reaches the target.
    notes : tuple of str
        What the comparison rests on.
    """

    formula: str
    model: str
    comparisons: tuple[Comparison, ...]
    absorbance: PredictedAbsorbance | None = None
    panel: PanelProbability | None = None
    notes: tuple[str, ...] = ()

    def of(self, key: str) -> Comparison | None:
        """Return the comparison of one figure, None where it was not predicted."""
        return next((item for item in self.comparisons if item.key == key), None)

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "formula": self.formula,
            "model": self.model,
            "comparisons": [item.to_dict() for item in self.comparisons],
            "absorbance": None if self.absorbance is None else self.absorbance.to_dict(),
            "panel": None if self.panel is None else self.panel.to_dict(),
            "notes": list(self.notes),
        }


@dataclass(frozen=True)
class Expected:
    """A formula with the parameters that predict it; films are worked out when asked for.

    Attributes
    ----------
    formula : Formula
    path : str or None
        As the user gave it; None of a formula that came open.
    laboratory : LabPosterior or None
    """

    formula: Formula
    path: str | None
    laboratory: LabPosterior | None = None

    @property
    def model(self) -> str:
        """Which parameters predict."""
        return SHIPPED_MODEL if self.laboratory is None else self.laboratory.title

    @cached_property
    def draws(self) -> ModelDraws:
        """Parameters for films on skin."""
        if self.laboratory is None:
            return shipped_draws()
        return self.laboratory.draws_for(self.formula)

    @cached_property
    def skin(self) -> FilmResult:
        """The film on skin at 2 mg/cm2."""
        return simulate_film(self.formula, self.draws)

    @cached_property
    def plate(self) -> PlateFilm:
        """The film on plates, with a laboratory's own evenness and bias where it has them."""
        shape = None if self.laboratory is None else self.laboratory.columns["plate_shape"]
        draws = replace(self.draws, residual=self.plate_residual)
        return simulate_plate(self.formula, draws, film_shape=shape)

    def absorbance(self) -> PredictedAbsorbance:
        """Return the band of the absorbance on plates, what the model misses included.

        The residual scales 1/T - 1 as it scales SPF - 1.
        """
        more = np.exp(self.plate_residual)[:, None]
        passed = 1.0 / (1.0 + (1.0 / self.plate.transmittance_draws - 1.0) * more)
        low, median, high = np.quantile(
            -np.log10(np.maximum(passed, _LEAST)), [_TAILS[0], 0.5, _TAILS[1]], axis=0
        )
        return PredictedAbsorbance(UV_GRID_NM, median, low, high)

    @cached_property
    def plate_residual(self) -> Array:
        """Logarithm of what the film model misses of SPF - 1 on plates, one a draw."""
        if self.laboratory is None:
            return self.draws.residual
        c = self.laboratory.columns
        about_skin = np.random.default_rng(0).standard_normal(self.draws.size)
        return np.asarray(
            self.draws.residual
            - c["panel_bias"]
            + c["plate_bias"]
            + c["method_scatter"] * about_skin
        )

    def overlay(self, comparisons: tuple[Comparison, ...], **more: Any) -> Overlay:
        """Return the overlay of this formula."""
        title = f"{self.formula.code} {self.formula.name}".strip()
        return Overlay(title, self.model, comparisons, **more)


def open_expected(
    formula: FormulaSource | None,
    *,
    cards: str | Path | None = None,
    model: str | Path | None = None,
) -> Expected | None:
    """Return the formula whose prediction is laid over a result, None where none is named.

    Parameters
    ----------
    formula : str, Path or Formula, optional
        Formula file, or a formula that is open already.
    cards : str or Path, optional
        Cards used before the library's.
    model : str or Path, optional
        A laboratory's posterior.
    """
    if formula is None:
        return None
    laboratory = None if model is None else open_laboratory(model)
    path = None if isinstance(formula, Formula) else str(formula)
    return Expected(open_formula(formula, cards=cards), path, laboratory)


def compared(
    key: str,
    label: str,
    measured: float | None,
    draws: ArrayLike,
    *,
    unit: str = "",
    centre: float | None = None,
) -> Comparison | None:
    """Return a measured figure against draws of its prediction, None where it was not measured.

    Parameters
    ----------
    key, label : str
    measured : float or None
    draws : array_like, shape (n_draws,)
        Of the prediction, in the unit of the figure.
    unit : str
    centre : float, optional
        Printed as the best value, as `predict` does; the draws' median when left out.
    """
    if measured is None:
        return None
    values = np.asarray(draws, dtype=float)
    found = estimate_from_draws(values, unit=unit, centre=centre)
    return Comparison(
        key,
        label,
        float(measured),
        found,
        found.low <= measured <= found.high,
        float(probability_integral_transform(values, measured)),
        float(crps(values, measured)),
    )


def against_estimate(
    key: str, label: str, measured: float | None, predicted: Estimate | None
) -> Comparison | None:
    """Return a measured figure against an interval of which no draws are at hand."""
    if measured is None or predicted is None:
        return None
    inside = predicted.low <= measured <= predicted.high
    return Comparison(key, label, float(measured), predicted, inside)


def known(*items: Comparison | None) -> tuple[Comparison, ...]:
    """Return the comparisons that exist."""
    return tuple(item for item in items if item is not None)
