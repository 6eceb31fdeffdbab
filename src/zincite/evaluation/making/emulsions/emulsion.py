"""What can be said of an emulsion before the bench: phases, flow, drops, salt, settling."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.errors import OutOfRangeError
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.emulsions.drop_size import DropSize, drop_size
from zincite.evaluation.making.emulsions.electrolyte import (
    Electrolyte,
    Ripening,
    electrolyte,
    ripening,
)
from zincite.evaluation.making.emulsions.emulsifier_budget import (
    EmulsifierBudget,
    emulsifier_budget,
)
from zincite.evaluation.making.emulsions.emulsion_basis import emulsion_basis
from zincite.evaluation.making.emulsions.emulsion_phases import EmulsionPhases, emulsion_phases
from zincite.evaluation.making.emulsions.emulsion_viscosity import (
    EmulsionViscosity,
    emulsion_viscosity,
)
from zincite.evaluation.making.emulsions.hlb import HlbScreen, hlb_screen
from zincite.evaluation.making.emulsions.settling import VISIBLE_MM_DAY, Settling, settling
from zincite.evaluation.making.emulsions.water_share import WaterShare, water_share
from zincite.evaluation.parameters import shipped_draws
from zincite.evaluation.viscosity import viscosity_mPas
from zincite.formula.formula import Formula

__all__ = ["EmulsionOutlook", "judge_emulsion"]

_CRITICAL_LUMP_UM = 5.0


@dataclass(frozen=True, slots=True)
class EmulsionOutlook:
    """What is to be expected of an emulsion.

    Attributes
    ----------
    phases : EmulsionPhases
    share : WaterShare
        What the share of water means.
    viscosity : EmulsionViscosity
    drops : DropSize or None
        None without drops; so are `budget`, `salt` and, outside water-in-oil, `ripening`.
    budget : EmulsifierBudget or None
    salt : Electrolyte or None
    ripening : tuple of Ripening
    settling : Settling
    hlb : HlbScreen
    basis : Basis
    """

    phases: EmulsionPhases
    share: WaterShare
    viscosity: EmulsionViscosity
    drops: DropSize | None
    budget: EmulsifierBudget | None
    salt: Electrolyte | None
    ripening: tuple[Ripening, ...]
    settling: Settling
    hlb: HlbScreen
    basis: Basis

    @property
    def verdict(self) -> str:
        """Return "fails", "short", "unknown" or "passes"."""
        if self.share.impossible or self._no_emulsifier:
            return "fails"
        if self.reasons:
            return "short"
        if self.phases.has_both and self.drops is not None and self.drops.how == "target":
            return "unknown"
        return "passes"

    @property
    def reasons(self) -> tuple[str, ...]:
        """Return what stands against it, one sentence each."""
        found = [self.share.statement] if not self.share.fine else []
        found += self._emulsifier_reasons() + self._salt_reasons()
        if self.hlb.speaks_against and self.phases.has_both:
            found.append(self.hlb.statement)
        lump = self._not_held()
        if lump:
            found.append(lump)
        return tuple(found)

    @property
    def _no_emulsifier(self) -> bool:
        budget = self.budget
        return budget is not None and budget.emulsifier_percent + budget.dispersant_percent <= 0

    def _emulsifier_reasons(self) -> list[str]:
        budget = self.budget
        if budget is None:
            return []
        if self._no_emulsifier:
            return ["No card of the formula emulsifies or disperses: drops would run together."]
        found = []
        if budget.emulsifier_percent <= 0:
            found.append("No emulsifier, only dispersants: these do not hold drops for long.")
        if budget.spare_percent < 0:
            found.append(
                f"Drops and pigment take {-budget.spare_percent:.2g} % more surface-active "
                "matter than the formula holds."
            )
        return found

    def _salt_reasons(self) -> list[str]:
        salt = self.salt
        if salt is None or salt.holds:
            return []
        if salt.salt_percent <= 0:
            return [
                "No electrolyte in the water phase: drops ripen; 0.5 to 1 % magnesium sulfate "
                "is the habit."
            ]
        return [
            f"The salt's {salt.salt_kPa:.3g} kPa do not stand above the "
            f"{salt.laplace_kPa.high:.3g} kPa that the smallest likely drops have: use more."
        ]

    def _not_held(self) -> str:
        given = self.settling.yield_stress_Pa
        lumps = [
            b for b in self.settling.bodies if b.diameter_um == _CRITICAL_LUMP_UM and b.is_lump
        ]
        if lumps and given is None and not self.settling.gellants:
            speed = lumps[0].hindered_mm_day
            if speed > VISIBLE_MM_DAY:
                return (
                    f"A lump of {_CRITICAL_LUMP_UM:g} um sinks {speed:.2g} mm a day and nothing "
                    "in the formula gives a yield stress: add a gellant or measure one."
                )
        if given is None or not lumps or lumps[0].held(given) != "not held":
            return ""
        return (
            f"A yield stress of {given:g} Pa does not hold a lump of {_CRITICAL_LUMP_UM:g} um, "
            f"which needs {lumps[0].needs_low_Pa:.2g} to {lumps[0].needs_high_Pa:.2g} Pa."
        )

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "verdict": self.verdict,
            "reasons": list(self.reasons),
            "phases": self.phases.to_dict(),
            "water_share": self.share.to_dict(),
            "viscosity": self.viscosity.to_dict(),
            "drops": None if self.drops is None else self.drops.to_dict(),
            "emulsifier": None if self.budget is None else self.budget.to_dict(),
            "electrolyte": None if self.salt is None else self.salt.to_dict(),
            "ripening": [item.to_dict() for item in self.ripening],
            "settling": self.settling.to_dict(),
            "hlb": self.hlb.to_dict(),
        }


def judge_emulsion(
    formula: Formula,
    *,
    measured_viscosity_mPas: float | None = None,
    d32_um: float | None = None,
    yield_stress_Pa: float | None = None,
) -> EmulsionOutlook:
    """Return what is to be expected of a formula's emulsion.

    Parameters
    ----------
    formula : Formula
    measured_viscosity_mPas : float, optional
        Low-shear viscosity of the formula: ties the models. [mPa s]
    d32_um : float, optional
        Measured Sauter diameter of its drops. [um]
    yield_stress_Pa : float, optional
        Measured, 0 for none. [Pa]

    Raises
    ------
    OutOfRangeError
        If a measurement is impossible.
    FormulaError
        If a step of its process is.
    """
    _check("measured viscosity", measured_viscosity_mPas, (0.1, 1e8), "mPa s")
    _check("yield stress", yield_stress_Pa, (0.0, 1e5), "Pa")
    phases = emulsion_phases(formula)
    share = water_share(phases)
    predicted = viscosity_mPas(formula, shipped_draws())
    viscosity = emulsion_viscosity(phases, predicted, measured_viscosity_mPas)
    judged = phases.has_both and not share.impossible
    drops = drop_size(formula, phases, d32_um) if judged else None
    size: Estimate | None = None if drops is None else drops.d32_um
    water_in_oil = phases.emulsion == "water-in-oil"
    salt = electrolyte(formula, size) if size is not None and water_in_oil else None
    outlook = EmulsionOutlook(
        phases,
        share,
        viscosity,
        drops,
        None if size is None else emulsifier_budget(formula, phases, size),
        salt,
        ripening(formula, size) if size is not None and water_in_oil else (),
        settling(formula, phases, size, yield_stress_Pa, stands=judged or not phases.has_both),
        hlb_screen(formula),
        Basis(),
    )
    return _with_basis(outlook, formula)


def _with_basis(outlook: EmulsionOutlook, formula: Formula) -> EmulsionOutlook:
    basis = emulsion_basis(formula, outlook.phases, outlook.viscosity, outlook.drops,
                           budget=outlook.budget, salt=outlook.salt, ripening=outlook.ripening,
                           settling=outlook.settling, hlb=outlook.hlb)  # fmt: skip
    fields = {name: getattr(outlook, name) for name in EmulsionOutlook.__slots__}
    return EmulsionOutlook(**{**fields, "basis": basis})


def _check(name: str, given: float | None, limits: tuple[float, float], unit: str) -> None:
    low, high = limits
    if given is not None and not (math.isfinite(given) and low <= given <= high):
        raise OutOfRangeError(f"{name} is {given:g} {unit}, expected {low:g} to {high:g} {unit}")
