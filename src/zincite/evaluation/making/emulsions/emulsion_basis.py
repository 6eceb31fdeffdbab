"""Grounds of what is said of an emulsion: relations, assumptions, warnings."""

from __future__ import annotations

from zincite.data.emulsions import emulsion_constant
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.emulsions.drop_size import DropSize
from zincite.evaluation.making.emulsions.electrolyte import Electrolyte, Ripening
from zincite.evaluation.making.emulsions.emulsifier_budget import EmulsifierBudget
from zincite.evaluation.making.emulsions.emulsion_phases import EmulsionPhases
from zincite.evaluation.making.emulsions.emulsion_viscosity import EmulsionViscosity
from zincite.evaluation.making.emulsions.hlb import HlbScreen
from zincite.evaluation.making.emulsions.settling import Settling
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves

__all__ = ["emulsion_basis"]

_NEAR_JAM = 5.0  # % of the drops' phase, how close a calibrated curve's end deserves a warning


def emulsion_basis(
    formula: Formula,
    phases: EmulsionPhases,
    viscosity: EmulsionViscosity,
    drops: DropSize | None,
    *,
    budget: EmulsifierBudget | None,
    salt: Electrolyte | None,
    ripening: tuple[Ripening, ...],
    settling: Settling,
    hlb: HlbScreen,
) -> Basis:
    """Return the grounds of what was worked out; what was left out adds none."""
    basis = _of_flow(formula, phases, viscosity)
    if drops is not None:
        basis = basis.with_more(
            relations=drops.relations, assumed=drops.assumed, warnings=drops.warnings
        )
    if settling.bodies:
        basis = basis.with_more(
            relations=("R15", "R16", "R17"),
            assumed=(
                "Settling in the plain liquid without its structure, lumps as solid pigment; "
                "yield stress with Y 0.1 (0.05 to 0.2); above 1 mm a day it shows.",
            ),
        )
    if salt is not None:
        basis = _of_salt(basis, salt)
    if budget is not None:
        basis = _of_emulsifier(basis, budget)
    if ripening:
        basis = basis.with_more(
            relations=("R19",),
            assumed=(
                "Ripening: water that an oil dissolves by its class of polarity (0.005, 0.1 or "
                "0.2 % by volume), few drops, no salt; orders of magnitude to rank oils by.",
            ),
        )
    relations = ("R21",) if phases.emulsion != "anhydrous" else ()
    return basis.with_more(relations=(*relations, *(("R22",) if hlb.mix is not None else ())))


def _of_flow(formula: Formula, phases: EmulsionPhases, viscosity: EmulsionViscosity) -> Basis:
    if phases.liquid_mPas is None:
        return Basis()
    guessed = [
        m.inci for m, share in leaves(formula)
        if share > 0 and m.phase == "oil" and m.grade is None
        and "viscosity_mPas" not in m.properties
        and {"emollient", "plant oil", "butter"} & set(m.functions)
    ]  # fmt: skip
    assumed = ["Viscosity of the oil: ln eta = sum(x ln eta) over the liquids' cards."]
    if guessed:
        assumed.append(f"Viscosity of {', '.join(guessed)}: 15 mPa s, no card value.")
    warnings = []
    for model in viscosity.models:
        if viscosity.measured_mPas is None or model.jams_at_percent is None:
            continue
        drops = phases.water_percent
        if phases.emulsion == "oil-in-water":
            drops = 100 - drops
        if model.jams_at_percent < drops + _NEAR_JAM:
            warnings.append(
                f"{model.model}: the tied curve ends at {model.jams_at_percent:g} %, close to "
                "the formula: a second measured water content tells whether that is real."
            )
    relations = ["R07", "R61", *(m.relation for m in viscosity.models if m.relation != "R11"
                                 or m.viscosity_mPas is not None)]  # fmt: skip
    if viscosity.models and viscosity.measured_mPas is None and phases.emulsion == "water-in-oil":
        assumed.append(
            "Viscosity of the product: drops and pigment in plain oil times 18 for structure "
            "(two published formulas; a factor of 5 either way); --measured-viscosity replaces it."
        )
    return Basis(tuple(relations), tuple(assumed), tuple(warnings))


def _of_salt(basis: Basis, salt: Electrolyte) -> Basis:
    tension = emulsion_constant("interfacial_tension")
    assumed = [
        f"Interfacial tension with emulsifier {tension.value:g} mN/m ({tension.low:g} to "
        f"{tension.high:g}).",
    ]
    if salt.solutes:
        assumed.append(
            "Osmotic coefficients: magnesium sulfate 0.61, sodium chloride 0.93, other salts "
            "0.8, the rest 1."
        )
    warnings = []
    if salt.unknown:
        warnings.append(
            f"Not counted in the osmotic pressure, no molar mass or ions on the card: "
            f"{', '.join(salt.unknown)}."
        )
    return basis.with_more(relations=("R18",), assumed=assumed, warnings=warnings)


def _of_emulsifier(basis: Basis, budget: EmulsifierBudget) -> Basis:
    relations = ["R20", *(("R04",) if budget.pigment_percent.median > 0 else ())]
    warnings = []
    if budget.coated_share > 0.5:
        warnings.append(
            f"{100 * budget.coated_share:.0f} % of the pigment's surface is organically coated "
            "and takes less dispersant than worked out here."
        )
    return basis.with_more(
        relations=relations,
        assumed=("Adsorbed on drops and on pigment: 2 mg/m2 (1 to 3) each.",),
        warnings=warnings,
    )
