"""Emulsifier that drops and pigment take, against what the formula holds."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.data.emulsions import emulsion_constant
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.dispersion.powders import is_dispersant, powders_of
from zincite.evaluation.making.emulsions.emulsion_phases import EmulsionPhases
from zincite.evaluation.making.emulsions.spread import with_range
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves
from zincite.physics.colloids import emulsifier_need_kg_m3

__all__ = ["EmulsifierBudget", "emulsifier_budget", "is_emulsifier"]


@dataclass(frozen=True, slots=True)
class EmulsifierBudget:
    """Surface-active matter needed and there, all by mass of the formula.

    Attributes
    ----------
    emulsifier_percent, dispersant_percent : float
        In the formula; what is both counts as emulsifier. [%]
    emulsifiers, dispersants : tuple of str
        Their names.
    drops_percent, pigment_percent : Estimate
        What covers the drops, and the pigment where it is bare of organic coating or not. [%]
    coated_share : float
        Share of the pigment's need that stands on organically coated powder, which takes less. [-]
    """

    emulsifier_percent: float
    dispersant_percent: float
    emulsifiers: tuple[str, ...]
    dispersants: tuple[str, ...]
    drops_percent: Estimate
    pigment_percent: Estimate
    coated_share: float

    @property
    def spare_percent(self) -> float:
        """What is there less what drops and pigment take, by best values. [%]"""
        there = self.emulsifier_percent + self.dispersant_percent
        return there - self.drops_percent.median - self.pigment_percent.median

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "emulsifier_percent": self.emulsifier_percent,
            "dispersant_percent": self.dispersant_percent,
            "emulsifiers": list(self.emulsifiers),
            "dispersants": list(self.dispersants),
            "drops_need_percent": self.drops_percent.to_dict(),
            "pigment_needs_percent": self.pigment_percent.to_dict(),
            "spare_percent": self.spare_percent,
        }


def is_emulsifier(material: Material) -> bool:
    """Return whether a card says that the material emulsifies."""
    return any("emulsifier" in function for function in material.functions)


def emulsifier_budget(
    formula: Formula, phases: EmulsionPhases, d32_um: Estimate
) -> EmulsifierBudget:
    """Return the budget of surface-active matter.

    Parameters
    ----------
    formula : Formula
    phases : EmulsionPhases
    d32_um : Estimate
        Of the drops. [um]

    Notes
    -----
    Drops: 6 phi Gamma/d32 (trade relation R20). Pigment: Gamma times its geometric surface (R04).
    """
    parts = leaves(formula)
    emulsifiers = [(m, share) for m, share in parts if is_emulsifier(m)]
    dispersants = [(m, share) for m, share in parts if is_dispersant(m) and not is_emulsifier(m)]
    on_drops, on_pigment = emulsion_constant("adsorbed"), emulsion_constant("pigment_adsorbed")
    need = emulsifier_need_kg_m3(
        phases.drop_fraction, on_drops.value * 1e-6, d32_um.median * 1e-6
    )  # of product
    drops = float(need) / 10 * phases.volume_mL / 100
    pigmented = any(m.grade is not None and share > 0 for m, share in parts)
    surfaces = [
        (p.percent * p.surface_m2_g, p.has_organic_coating)
        for p in (powders_of(formula) if pigmented else ())
        if p.is_pigment and p.surface_m2_g is not None
    ]
    surface = math.fsum(s for s, _ in surfaces)
    coated = math.fsum(s for s, organic in surfaces if organic)
    return EmulsifierBudget(
        math.fsum(share for _, share in emulsifiers),
        math.fsum(share for _, share in dispersants),
        tuple(m.inci for m, _ in emulsifiers),
        tuple(m.inci for m, _ in dispersants),
        with_range(drops, "%", (on_drops, 1.0), (d32_um, -1.0)) if drops > 0 else _none(),
        with_range(on_pigment.value * 1e-3 * surface, "%", (on_pigment, 1.0))
        if surface > 0
        else _none(),
        coated / surface if surface > 0 else 0.0,
    )


def _none() -> Estimate:
    return Estimate(0.0, 0.0, 0.0, "%")
