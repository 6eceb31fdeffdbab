"""Results of a ladder study."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.evaluation.making.basis import Basis
from zincite.statistics.minimum import Parabola

__all__ = ["InProduct", "LadderResult", "Level"]


@dataclass(frozen=True, slots=True)
class Level:
    """One level of the ladder.

    Attributes
    ----------
    dispersant_percent : float
        Of the pigment. [%]
    viscosity_mPas : float
        Geometric mean of the samples. [mPa s]
    samples : int
    fitted : bool
        Whether the curve is laid through it.
    """

    dispersant_percent: float
    viscosity_mPas: float
    samples: int
    fitted: bool


@dataclass(frozen=True, slots=True)
class InProduct:
    """The ladder's answer in a formula.

    Attributes
    ----------
    pigment_percent : float
        Powder that is milled, of the product. [%]
    best_percent, low_percent, high_percent : float or None
        Dispersant of the product at the minimum and at the ends of its interval. [%]
    held_percent : float
        What the formula's mill base holds now. [%]
    """

    pigment_percent: float
    best_percent: float | None
    low_percent: float | None
    high_percent: float | None
    held_percent: float


@dataclass(frozen=True, slots=True)
class LadderResult:
    """A ladder evaluated.

    Attributes
    ----------
    levels : tuple of Level
        Rising.
    solids_percent : float or None
        [%]
    status : str
        "minimum", "weak" (the curve bends too little to place it) or "none" (at an end).
    reason : str
        Why there is no minimum, or none that is placed; "" otherwise.
    best_percent : float or None
        Dispersant at the minimum, of the pigment. [%]
    interval_percent, delta_interval_percent : (float, float) or None
        Places that the data do not exclude (Fieller), and by linear propagation. [%]
    lowest_mPas : float or None
        Fitted viscosity at the minimum. [mPa s]
    sparing_percent : float or None
        Least dispersant whose fitted viscosity is within 10 % of the lowest. [%]
    fit : Parabola or None
        ln viscosity over dispersant.
    confidence : float
    product : InProduct or None
    basis : Basis
    """

    levels: tuple[Level, ...]
    solids_percent: float | None
    status: str
    reason: str
    best_percent: float | None
    interval_percent: tuple[float, float] | None
    delta_interval_percent: tuple[float, float] | None
    lowest_mPas: float | None
    sparing_percent: float | None
    fit: Parabola | None
    confidence: float
    product: InProduct | None
    basis: Basis

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        product = self.product
        return {
            "status": self.status,
            "reason": self.reason,
            "solids_percent": self.solids_percent,
            "best_percent_of_pigment": {
                "value": self.best_percent,
                "low": self.interval_percent[0] if self.interval_percent else None,
                "high": self.interval_percent[1] if self.interval_percent else None,
            },
            "delta_interval_percent_of_pigment": self.delta_interval_percent,
            "confidence": self.confidence,
            "lowest_viscosity_mPas": self.lowest_mPas,
            "sparing_percent_of_pigment": self.sparing_percent,
            "lack_of_fit_p": self.fit.lack_of_fit_p if self.fit else None,
            "levels": [
                {
                    "dispersant_percent_of_pigment": level.dispersant_percent,
                    "viscosity_mPas": level.viscosity_mPas,
                    "samples": level.samples,
                    "fitted": level.fitted,
                }
                for level in self.levels
            ],
            "product": None
            if product is None
            else {
                "pigment_percent": product.pigment_percent,
                "dispersant_percent": {
                    "value": product.best_percent,
                    "low": product.low_percent,
                    "high": product.high_percent,
                },
                "held_percent": product.held_percent,
            },
        }
