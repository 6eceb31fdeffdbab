"""What advice on the water phase is drawn from, and the pH range to aim at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from zincite.evaluation.making.water.acids import AcidTaken
from zincite.evaluation.making.water.chelators import ChelatorShare
from zincite.evaluation.making.water.ion_solving import WaterState
from zincite.evaluation.making.water.ions_result import IonCurve
from zincite.evaluation.making.water.preservation import PreservativeFit
from zincite.evaluation.making.water.water_phase import WaterPhase
from zincite.formula.formula import Formula

__all__ = ["LABILE_ZINC_LIMIT_MG_L", "Findings", "ph_window"]

LABILE_ZINC_LIMIT_MG_L = 15.0
"""Unchelated zinc at the lower end of the pH window, assumed: plain water at pH 7.5 (R36)."""
_HIGHEST_PH = 9.0  # methicone layers are stable at pH 3-9, trade source S50
_WITHOUT_ZINC = (5.0, 8.0)  # common practice for TiO2: skin's side of neutral, alumina stays


@dataclass(frozen=True, slots=True)
class Findings:
    """What advice is drawn from; None where it does not apply."""

    formula: Formula | None
    water: WaterPhase | None
    ph: float | None
    ph_at_equilibrium: float | None
    labile_zinc_mg_l: float | None
    acids: tuple[AcidTaken, ...]
    chelators: tuple[ChelatorShare, ...]
    preservatives: tuple[PreservativeFit, ...]
    window: tuple[float, float] | None
    acid_to_hold_mmol_kg: float | None
    exposed_share: float | None
    state: WaterState | None

    @property
    def has_zinc_oxide(self) -> bool:
        """Whether zinc oxide is in the formula; plain water stands over it."""
        return self.water is None or self.water.zinc_oxide_percent > 0


def ph_window(water: WaterPhase | None, curve: IonCurve | None) -> tuple[float, float] | None:
    """Return the pH range to aim at, None where zinc stays above its limit in all of it.

    Parameters
    ----------
    water : WaterPhase or None
        None for plain water over zinc oxide.
    curve : IonCurve or None
        Whose unchelated zinc counts; None takes the limit's own pH of plain water.

    Notes
    -----
    Lower end: unchelated zinc comes down to `LABILE_ZINC_LIMIT_MG_L`. Upper end: pH 9, from where
    layers and esters suffer. Without zinc oxide pH 5 to 8. All three are assumed.
    """
    if water is not None and water.zinc_oxide_percent <= 0:
        return _WITHOUT_ZINC
    if curve is None or curve.labile_zinc_mg_l is None:
        return (7.5, _HIGHEST_PH)
    inside = (curve.labile_zinc_mg_l <= LABILE_ZINC_LIMIT_MG_L) & (curve.ph <= _HIGHEST_PH)
    if not np.any(inside):
        return None
    return (float(curve.ph[inside][0]), _HIGHEST_PH)
