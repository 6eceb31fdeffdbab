"""Viscosity of an emulsion by several models side by side, each tied to one measured point."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.making.emulsions.emulsion_phases import EmulsionPhases
from zincite.evaluation.viscosity import STRUCTURE_FACTOR
from zincite.physics.emulsion_rheology import (
    calibrated_packing,
    calibrated_phi100,
    pal_viscosity,
    phi100_viscosity,
    yaron_gal_or_viscosity,
)
from zincite.physics.rheology import krieger_dougherty

__all__ = [
    "DEFORM_FRACTION",
    "RANDOM_PACKING",
    "EmulsionViscosity",
    "ModelViscosity",
    "emulsion_viscosity",
]

Array = NDArray[np.float64]
Relative = Callable[[Any], Array]
"""Relative viscosity as a function of the drops' volume fraction."""

DEFORM_FRACTION = 0.74
"""Volume fraction above which drops deform (trade relation R21). [-]"""
RANDOM_PACKING = 0.637
"""Random packing of equal spheres (trade relation R12). [-]"""

_TIGHT, _LOOSE = 0.74, 0.84  # packings of trade relation R14
_DROP_PERCENT = np.arange(5.0, 85.5, 0.5)
_STIFF = 1e4  # relative viscosity at which a curve counts as having jammed


@dataclass(frozen=True, slots=True)
class ModelViscosity:
    """What one model says.

    Attributes
    ----------
    model, relation : str
        Its name and the id of its relation.
    relative : float or None
        Viscosity over that of the continuous phase, without calibration; None where drops jam or
        where the model knows nothing before a measurement. [-]
    viscosity_mPas : float or None
        At the formula's water, calibrated or with the assumed structure. [mPa s]
    tied : str
        What the measured point has set, or what was assumed in its place.
    jams_at_percent : float or None
        Share of the drops' phase by mass at which it says that nothing flows. [%]
    drop_percent, curve_mPas : ndarray
        The curve: share of the drops' phase by mass [%] and viscosity [mPa s], inf where it jams,
        NaN where drops deform.
    """

    model: str
    relation: str
    relative: float | None
    viscosity_mPas: float | None
    tied: str
    jams_at_percent: float | None
    drop_percent: Array
    curve_mPas: Array

    def at(self, drop_percent: float) -> float | None:
        """Return the viscosity at a share of the drops' phase, None where it jams. [mPa s]"""
        found = float(np.interp(drop_percent, self.drop_percent, self.curve_mPas))
        return found if math.isfinite(found) else None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown = np.isclose(self.drop_percent % 5, 0)
        return {
            "model": self.model,
            "relation": self.relation,
            "relative_viscosity": self.relative,
            "viscosity_mPas": self.viscosity_mPas,
            "tied": self.tied,
            "jams_at_percent": self.jams_at_percent,
            "curve": [
                {"drop_phase_percent": float(x), "viscosity_mPas": self.at(float(x))}
                for x in self.drop_percent[shown]
            ],
        }


@dataclass(frozen=True, slots=True)
class EmulsionViscosity:
    """Viscosity of the emulsion.

    Attributes
    ----------
    predicted : Estimate or Exact
        As `zincite predict` gives it. [mPa s]
    measured_mPas : float or None
        The point that ties the models. [mPa s]
    structure : float or None
        Measured viscosity over what drops and pigment alone explain. [-]
    models : tuple of ModelViscosity
        Empty where there is nothing to model.
    why_not : str
        Why there are no numbers, where there are none.
    """

    predicted: Estimate | Exact
    measured_mPas: float | None
    structure: float | None
    models: tuple[ModelViscosity, ...]
    why_not: str = ""

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "predicted_mPas": self.predicted.to_dict(),
            "measured_mPas": self.measured_mPas,
            "structure_factor": self.structure,
            "models": [m.to_dict() for m in self.models],
            "why_not": self.why_not or None,
        }


def emulsion_viscosity(
    phases: EmulsionPhases, predicted: Estimate | Exact, measured_mPas: float | None = None
) -> EmulsionViscosity:
    """Return the viscosity of an emulsion by its models.

    Parameters
    ----------
    phases : EmulsionPhases
    predicted : Estimate or Exact
        Of `evaluation.viscosity`. [mPa s]
    measured_mPas : float, optional
        Measured low-shear viscosity of the formula. [mPa s]

    Notes
    -----
    Krieger-Dougherty and Pal take the packing from the point where that packing is one that
    drops can have (0.637 to 1), else the whole curve is scaled: structure, not crowding, then
    carries the difference. R11 takes phi100. Yaron and Gal-Or's model has nothing to fit and is
    scaled. Without a point all pass through one start value, as their steepness is what differs.
    Along a curve the two phases stay as they are and only their ratio changes.
    """
    why_not = _why_not(phases)
    continuous, ratio = phases.continuous_mPas, phases.viscosity_ratio
    if why_not or continuous is None or ratio is None:
        return EmulsionViscosity(predicted, measured_mPas, None, (), why_not)
    given = None if measured_mPas is None else measured_mPas / continuous
    point = _Point(phases, continuous, given)
    models = (
        point.packed("Krieger-Dougherty", "R14", math.inf),
        point.packed("Pal", "R12", ratio),
        point.scaled("Yaron and Gal-Or", "R13", lambda phi: yaron_gal_or_viscosity(phi, ratio)),
        point.phi100(),
    )
    plain = models[0].relative
    structure = None if given is None or plain is None else given / plain
    return EmulsionViscosity(predicted, measured_mPas, structure, models)


def _why_not(phases: EmulsionPhases) -> str:
    if not phases.has_both or phases.continuous_mPas is None or phases.viscosity_ratio is None:
        return "There are no drops in a liquid, so no emulsion model applies."
    if phases.drop_fraction >= DEFORM_FRACTION:
        return (
            f"Drops fill {100 * phases.drop_fraction:.0f} % of the volume: above "
            f"{100 * DEFORM_FRACTION:.0f} % they are squeezed against each other and these "
            "models, made for round drops, say nothing."
        )
    return ""


@dataclass(frozen=True, slots=True)
class _Point:
    """The formula's point and how a model is tied to it."""

    phases: EmulsionPhases
    continuous_mPas: float
    given: float | None

    @property
    def thickened(self) -> bool:
        """Whether a point ties curves at all; a thickened water phase has no plain viscosity."""
        return self.phases.emulsion == "water-in-oil"

    def packed(self, name: str, relation: str, ratio: float) -> ModelViscosity:
        phi = self.phases.drop_fraction
        if self.given is not None and self.given > 1 and self.thickened:
            packing = calibrated_packing(phi, self.given, ratio)
            if packing is not None and packing >= RANDOM_PACKING:
                return self._tied(
                    name, relation, lambda x: _packed(x, packing, ratio),
                    f"packing {packing:.2f} from the point", plain=_packed_middle(phi, ratio),
                )  # fmt: skip
        return self.scaled(name, relation, lambda x: _packed(x, (_TIGHT + _LOOSE) / 2, ratio))

    def scaled(self, name: str, relation: str, relative: Relative) -> ModelViscosity:
        plain = float(relative(self.phases.drop_fraction))
        if self.given is not None:
            factor = self.given / plain
            tied = f"scaled {factor:.3g} times to the point"
            if not self.thickened:
                tied = "scaled, thickener not modelled"
        elif self.thickened:
            # the structure factor was found with Krieger-Dougherty, so it is worth that much
            middle = _packed_middle(self.phases.drop_fraction, math.inf)
            factor = STRUCTURE_FACTOR * middle / plain
            tied = "start value, assumed"
        else:
            factor, tied = math.nan, "relative only, no thickener modelled"
        return self._tied(name, relation, lambda x: factor * relative(x), tied, plain=plain)

    def phi100(self) -> ModelViscosity:
        if self.given is None or self.given <= 1 or not self.thickened:
            why = "needs one measured viscosity"
            if self.given is not None:
                why = "the point is not above the oil phase's own viscosity"
                if not self.thickened:
                    why = "needs the viscosity of the thickened water phase"
            empty = np.full(_DROP_PERCENT.shape, np.nan)
            return ModelViscosity("phi100", "R11", None, None, why, None, _DROP_PERCENT, empty)
        scale = calibrated_phi100(self.phases.drop_fraction, self.given)
        return self._tied(
            "phi100", "R11", lambda x: phi100_viscosity(x, scale),
            f"phi100 {scale:.2f} from the point", plain=None,
        )  # fmt: skip

    def _tied(
        self, name: str, relation: str, relative: Relative, tied: str, *, plain: float | None
    ) -> ModelViscosity:
        phi = np.array([self.phases.drop_fraction_at(float(x)) for x in _DROP_PERCENT])
        found = np.where(phi < DEFORM_FRACTION, relative(phi), np.nan)
        start = float(relative(0.0))
        jammed = np.flatnonzero(~np.isnan(found) & (found >= _STIFF * start))
        at = float(relative(self.phases.drop_fraction)) * self.continuous_mPas
        return ModelViscosity(
            name,
            relation,
            plain,
            at if math.isfinite(at) else None,
            tied,
            float(_DROP_PERCENT[jammed[0]]) if jammed.size else None,
            _DROP_PERCENT,
            np.where(found >= _STIFF * start, np.inf, found) * self.continuous_mPas,
        )


def _packed(phi: Any, packing: float, ratio: float) -> Array:
    if math.isinf(ratio):
        return krieger_dougherty(phi, packing)
    return pal_viscosity(phi, packing, ratio)


def _packed_middle(phi: float, ratio: float) -> float:
    return float(_packed(phi, (_TIGHT + _LOOSE) / 2, ratio))
