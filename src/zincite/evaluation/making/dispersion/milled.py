"""What goes through the disperser: powders, the oil that wets them, dispersants."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from zincite.errors import FormulaError
from zincite.evaluation.density import is_powder
from zincite.evaluation.making.dispersion.powders import (
    Part,
    Powder,
    is_dispersant,
    merged_parts,
    parts_of,
    powder_of,
    powders_of,
)
from zincite.formula.formula import Formula, Phase
from zincite.formula.substances import leaves_of

__all__ = ["MillBase", "mill_base_of"]


@dataclass(frozen=True, slots=True)
class MillBase:
    """What goes through the disperser.

    Attributes
    ----------
    powders : tuple of Powder
    oils : tuple of Part
        Liquids without the dispersants.
    dispersants : tuple of Part
        Materials with "dispersant" among their functions.
    where : str
        In words: which phases, or the bought dispersion.
    bought : bool
        Whether the pigment comes in dispersions that were bought.
    dry : bool
        Whether the pigment's phases hold no liquid, so that `oils` are those of the formula.
    """

    powders: tuple[Powder, ...]
    oils: tuple[Part, ...]
    dispersants: tuple[Part, ...]
    where: str
    bought: bool = False
    dry: bool = False

    @property
    def powder_percent(self) -> float:
        """Powders, of the formula. [%]"""
        return math.fsum(p.percent for p in self.powders)

    @property
    def dispersant_percent(self) -> float:
        """Dispersants, of the formula. [%]"""
        return math.fsum(share for _, share in self.dispersants)

    @property
    def solids_percent(self) -> float | None:
        """Powder by mass of the mill base, None where it is dry. [%]"""
        if self.dry:
            return None
        liquid = math.fsum(share for _, share in self.oils) + self.dispersant_percent
        return 100 * self.powder_percent / (self.powder_percent + liquid)

    @property
    def is_aqueous(self) -> bool:
        """Whether most of the liquid is of the water phase."""
        water = math.fsum(share for m, share in self.oils if m.phase == "water")
        return water > 0.5 * math.fsum(share for _, share in self.oils)


def _holding(formula: Formula) -> tuple[list[Part], str, bool]:
    """Return the parts that are milled together, where they stand, and whether they are bought."""
    own = tuple(phase for phase in formula.phases if phase.kind == "pigment" and phase.ingredients)
    if any(m.grade for m, _ in parts_of(own, formula)):
        return parts_of(own, formula), _phase_words(own), False
    blends: list[tuple[str, float]] = []
    holding: list[Phase] = []
    for phase in formula.phases:
        for item in (i for i in phase.ingredients if i.percent > 0):
            card = formula.materials[item.material]
            if any(m.grade for m, _ in leaves_of(card, formula.materials)):
                blends += [(item.material, item.percent)] if card.composition else []
                holding += [] if card.composition or phase in holding else [phase]
    if holding:
        return parts_of(tuple(holding), formula), _phase_words(tuple(holding)), False
    parts = [
        (leaf, percent * fraction)
        for name, percent in blends
        for leaf, fraction in leaves_of(formula.materials[name], formula.materials)
    ]
    return merged_parts(parts), "bought " + " and ".join(name for name, _ in blends), True


def _phase_words(phases: tuple[Phase, ...]) -> str:
    return ("phase " if len(phases) == 1 else "phases ") + " and ".join(p.name for p in phases)


def _wets_oil(liquids: list[Part], formula: Formula) -> bool:
    """Return whether oil wets the powder: oil is there, and it does not stand in a water phase."""
    in_water = formula.emulsion == "oil-in-water" and all(
        phase.kind == "water"
        for phase in formula.phases
        for item in phase.ingredients
        if item.percent > 0 and formula.materials[item.material].grade is not None
    )
    return not in_water and any(m.phase == "oil" and not is_dispersant(m) for m, _ in liquids)


def mill_base_of(formula: Formula, bet_m2_g: Mapping[str, float] | None = None) -> MillBase:
    """Return what goes through the disperser.

    Parameters
    ----------
    formula : Formula
    bet_m2_g : mapping of str to float, optional
        As `powders_of`.

    Raises
    ------
    FormulaError
        As `powders_of`, or if no liquid is there to disperse in.

    Notes
    -----
    The phases of kind "pigment"; without one the phases that hold powder, of which water is left
    out unless the powder stands in a water phase of an oil-in-water emulsion; where all pigment
    comes in bought dispersions, those as they are.
    """
    by_id = {p.material.id: p for p in powders_of(formula, bet_m2_g)}
    parts, where, bought = _holding(formula)
    powders = tuple(
        powder_of(m, share, formula, by_id[m.id].measured_m2_g)
        for m, share in parts
        if is_powder(m)
    )
    liquids = [(m, share) for m, share in parts if not is_powder(m)]
    if not bought and _wets_oil(liquids, formula):
        kept = [(m, share) for m, share in liquids if m.phase != "water"]
        where += " without its water" if len(kept) < len(liquids) else ""
        liquids = kept
    dispersants = tuple(part for part in liquids if is_dispersant(part[0]))
    oils = tuple(part for part in liquids if not is_dispersant(part[0]))
    dry = not oils
    if dry:
        oils = tuple(
            (m, share)
            for m, share in parts_of(formula.phases, formula)
            if m.phase == "oil" and not (is_powder(m) or is_dispersant(m))
        )
    if not oils:
        raise FormulaError(
            f"formula {formula.code!r} holds no oil beside its pigment, expected one to disperse in"
        )
    return MillBase(powders, oils, dispersants, where, bought, dry)
