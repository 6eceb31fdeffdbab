"""The powders of a formula as a disperser meets them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.data.dispersing import oil_absorption_default_g_100g
from zincite.errors import FormulaError, OutOfRangeError
from zincite.evaluation.density import is_powder
from zincite.evaluation.particles import coating_volume_ratio, grade_sizes
from zincite.formula.defaults import density_g_ml_of
from zincite.formula.formula import Formula, Phase
from zincite.formula.material import Grade, Material
from zincite.formula.substances import leaves_of
from zincite.physics.dispersing import effective_volume_fraction, specific_surface_m2_g
from zincite.physics.sizes import SizeNodes
from zincite.physics.suspension import uniform_shell_nm
from zincite.sources import Sourced

__all__ = ["Part", "Powder", "is_dispersant", "merged_parts", "parts_of", "powder_of", "powders_of"]

Array = NDArray[np.float64]
Part = tuple[Material, float]
"""A leaf material and its share of the formula. [%]"""

_MINERAL_LAYERS = {"silica", "hydrated silica", "alumina", "aluminum hydroxide",
                   "manganese dioxide"}  # fmt: skip
_LARGEST_BET_M2_G = 1000.0


@dataclass(frozen=True, slots=True)
class Powder:
    """A powder of the formula as the disperser meets it.

    Attributes
    ----------
    material : Material
    percent : float
        Of the formula. [%]
    density_g_ml : float
        Coating included. [g/mL]
    oil_absorption_g_100g : Sourced
        Of the card, else an assumed one. [g/100 g]
    sizes : SizeNodes or None
        Outer diameters of the coated particles by volume; None where the card has no sizes.
    geometric_m2_g : float or None
        Surface of the particles as smooth spheres. [m2/g]
    measured_m2_g : float or None
        BET surface that was given. [m2/g]
    """

    material: Material
    percent: float
    density_g_ml: float
    oil_absorption_g_100g: Sourced
    sizes: SizeNodes | None
    geometric_m2_g: float | None
    measured_m2_g: float | None = None

    @property
    def surface_m2_g(self) -> float | None:
        """Measured surface, else the geometric one. [m2/g]"""
        return self.geometric_m2_g if self.measured_m2_g is None else self.measured_m2_g

    @property
    def is_pigment(self) -> bool:
        """Whether the card has a grade; otherwise it is a filler."""
        return self.material.grade is not None

    @property
    def has_organic_coating(self) -> bool:
        """Whether the outermost layer is a silane, silicone, fatty acid or the like."""
        coatings = self.material.grade.coatings if self.material.grade else ()
        return bool(coatings) and coatings[-1].inci.strip().lower() not in _MINERAL_LAYERS

    def swelling(self, layer_nm: float) -> float:
        """Return volume with an adsorbed layer per volume without it, 1 without sizes. [-]"""
        if self.sizes is None:
            return 1.0
        grown = effective_volume_fraction(1.0, layer_nm, self.sizes.diameter_nm / 2)
        return float(np.sum(self.sizes.volume_weight * grown))


def is_dispersant(material: Material) -> bool:
    """Return whether a card says that the material disperses powders."""
    return any("dispersant" in function for function in material.functions)


def _outer(grade: Grade) -> tuple[SizeNodes, float]:
    """Return the coated particles' sizes and their surface per gram of powder. [m2/g]"""
    cores = grade_sizes(grade)
    shell = uniform_shell_nm(cores, coating_volume_ratio(grade)[0])
    outer = cores.diameter_nm + 2 * shell
    grown = (outer / cores.diameter_nm) ** 2
    surface = specific_surface_m2_g(grade.core_density_g_ml, cores.diameter_nm)
    of_core = float(np.sum(cores.volume_weight * grown * surface))
    weight = cores.volume_weight * (outer / cores.diameter_nm) ** 3
    return SizeNodes(outer, weight / weight.sum()), of_core * grade.core_mass_fraction


def powder_of(material: Material, percent: float, formula: Formula, bet: float | None) -> Powder:
    """Return a leaf of a formula as a powder, with its measured surface where there is one."""
    grade = material.grade
    sizes, surface = _outer(grade) if grade else (None, None)
    oil = material.properties.get("oil_absorption_g_100g")
    if oil is None:
        core, median = (grade.core, grade.primary_median_nm) if grade else (None, None)
        oil = oil_absorption_default_g_100g(core, median)
    density = density_g_ml_of(material, formula.materials).value
    return Powder(material, percent, density, oil, sizes, surface, bet)


def merged_parts(parts: list[Part]) -> list[Part]:
    """Return each material once, in order of first appearance, with its shares added."""
    cards = {m.id: m for m, _ in parts}
    return [(card, math.fsum(s for m, s in parts if m.id == key)) for key, card in cards.items()]


def parts_of(phases: tuple[Phase, ...], formula: Formula) -> list[Part]:
    """Return the leaf materials of phases with their shares of the formula."""
    return merged_parts([
        (leaf, ingredient.percent * fraction)
        for phase in phases
        for ingredient in phase.ingredients
        if ingredient.percent > 0
        for leaf, fraction in leaves_of(formula.materials[ingredient.material], formula.materials)
    ])  # fmt: skip


def powders_of(formula: Formula, bet_m2_g: Mapping[str, float] | None = None) -> tuple[Powder, ...]:
    """Return all powders of a formula, pigments and fillers.

    Parameters
    ----------
    formula : Formula
    bet_m2_g : mapping of str to float, optional
        Measured surface by id of the powder. [m2/g]

    Raises
    ------
    FormulaError
        If the formula holds no pigment, or a measured surface is of no powder of it.
    OutOfRangeError
        If a measured surface is not above 0 to 1000 m2/g.
    """
    given = dict(bet_m2_g or {})
    found = [(m, share) for m, share in parts_of(formula.phases, formula) if is_powder(m)]
    if not any(m.grade for m, _ in found):
        raise FormulaError(
            f"formula {formula.code!r} holds no pigment powder, "
            "expected one with a grade to disperse"
        )
    for name, value in given.items():
        if name not in {m.id for m, _ in found}:
            raise FormulaError(
                f"a BET surface is given for {name!r}, expected a powder of formula "
                f"{formula.code!r}: {', '.join(m.id for m, _ in found)}"
            )
        if not 0 < value <= _LARGEST_BET_M2_G:
            raise OutOfRangeError(
                f"BET surface of {name} is {value:g} m2/g, expected above 0 to "
                f"{_LARGEST_BET_M2_G:g} m2/g"
            )
    return tuple(powder_of(m, share, formula, given.get(m.id)) for m, share in found)
