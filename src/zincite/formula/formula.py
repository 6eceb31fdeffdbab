"""The formula: phases of ingredients that sum to 100 %."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from pathlib import Path

from zincite.errors import FormulaError, OutOfRangeError, UnknownMaterialError
from zincite.formula.brief import Brief
from zincite.formula.material import Material
from zincite.formula.process import ProcessStep
from zincite.sources import Sourced

__all__ = ["EMULSIONS", "PHASE_KINDS", "SUM_TOLERANCE_PERCENT", "Formula", "Ingredient", "Phase"]

EMULSIONS = ("water-in-oil", "oil-in-water", "anhydrous")
PHASE_KINDS = ("oil", "water", "pigment", "cool-down")
SUM_TOLERANCE_PERCENT = 0.01


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A material and its share of the formula.

    Attributes
    ----------
    material : str
        Id of a material card.
    percent : float
        Mass share of the formula. [%]
    is_rest : bool
        Whether the file said "rest", so that the share balances the formula.
    """

    material: str
    percent: float
    is_rest: bool = False

    def __post_init__(self) -> None:
        if not math.isfinite(self.percent) or self.percent < 0 or self.percent > 100:
            raise OutOfRangeError(
                f"ingredient {self.material!r} says percent = {self.percent}, expected 0 to 100"
            )


@dataclass(frozen=True, slots=True)
class Phase:
    """Ingredients that are weighed and heated together."""

    name: str
    kind: str
    ingredients: tuple[Ingredient, ...]
    temperature_C: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in PHASE_KINDS:
            raise FormulaError(
                f"phase {self.name!r} says kind = {self.kind!r}, "
                f"expected one of {', '.join(PHASE_KINDS)}"
            )

    @property
    def percent(self) -> float:
        """Mass share of the phase, in percent."""
        return math.fsum(i.percent for i in self.ingredients)


@dataclass(frozen=True, slots=True)
class Formula:
    """A complete formula with the cards of every material it uses.

    Attributes
    ----------
    code, name : str
        The laboratory's code and the working name.
    emulsion : str
        One of `EMULSIONS`.
    phases : tuple of Phase
        In order of the file.
    materials : dict of str to Material
        Cards of all materials used, blends' parts included.
    brief : Brief or None
        What the formula is to reach.
    process : tuple of ProcessStep
        Steps in order; they set the dispersion state.
    process_batch_kg : float or None
        Batch size that the steps' settings were written for. [kg]
    prices_per_kg : dict of str to Sourced
        Prices of this file, by material id, in `currency`.
    path : Path or None
        Where it was read from.
    note : str
        Free text.
    water_phase_ph : float or None
        Measured or intended pH of the water phase; None lets the chemistry calculate it.
    replaced_cards : tuple of str
        Ids of library cards that the user's own cards replaced.
    """

    code: str
    name: str
    emulsion: str
    phases: tuple[Phase, ...]
    materials: dict[str, Material]
    brief: Brief | None = None
    process: tuple[ProcessStep, ...] = ()
    process_batch_kg: float | None = None
    prices_per_kg: dict[str, Sourced] = field(default_factory=dict)
    currency: str = "EUR"
    path: Path | None = None
    note: str = ""
    water_phase_ph: float | None = None
    replaced_cards: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.emulsion not in EMULSIONS:
            raise FormulaError(
                f"formula {self.code!r} says emulsion = {self.emulsion!r}, "
                f"expected one of {', '.join(EMULSIONS)}"
            )
        if not any(phase.ingredients for phase in self.phases):
            raise FormulaError(
                f"formula {self.code!r} has no ingredients, expected at least one phase with one"
            )
        total = math.fsum(i.percent for i in self.ingredients)
        if abs(total - 100) > SUM_TOLERANCE_PERCENT + 1e-9:
            raise FormulaError(
                f"formula {self.code!r}: percentages sum to {total:.4g} %, expected 100 % "
                f'(tolerance {SUM_TOLERANCE_PERCENT} %); one ingredient may say percent = "rest"'
            )
        for ingredient in self.ingredients:
            if ingredient.material not in self.materials:
                raise UnknownMaterialError(
                    f"formula {self.code!r} uses {ingredient.material!r}, "
                    "expected the id of a library card or of a [[material]] in the file"
                )

    @property
    def ingredients(self) -> tuple[Ingredient, ...]:
        """All ingredients, phase by phase."""
        return tuple(i for phase in self.phases for i in phase.ingredients)

    def percent_by_material(self) -> dict[str, float]:
        """Return the share of each material as weighed in percent, equal ids added up."""
        shares: dict[str, float] = {}
        for ingredient in self.ingredients:
            shares[ingredient.material] = shares.get(ingredient.material, 0.0) + ingredient.percent
        return shares
