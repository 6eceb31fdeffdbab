"""Sheet and pictures of an emulsion."""

from __future__ import annotations

from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.emulsions.electrolyte import Electrolyte
from zincite.evaluation.making.emulsions.emulsifier_budget import EmulsifierBudget
from zincite.evaluation.making.emulsions.emulsion import EmulsionOutlook
from zincite.interfaces.documents.figures.making_emulsion import settling_map, viscosity_curves
from zincite.interfaces.documents.making.emulsion_tables import emulsion_tables
from zincite.interfaces.documents.numbers import found_text, interval_text, number_text, value_text
from zincite.interfaces.documents.sheet import Number, Picture, Sheet, joined, value
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_HEADLINES = {
    "fails": "No such emulsion",
    "short": "Something stands against it",
    "unknown": "Nothing speaks against it, drop size not known",
    "passes": "Nothing speaks against it",
}
_HOW = {
    "given": "measured",
    "process": "assumed constants of the device",
    "target": "assumed: as usually aimed for",
}


def sheet(report: MakingReport[EmulsionOutlook]) -> Sheet:
    """Return the sheet of an emulsion."""
    found = report.result
    return Sheet(
        "Emulsion" if found.phases.emulsion != "anhydrous" else "Suspension without water",
        "phase volumes from the cards, published relations side by side",
        found.verdict,
        _headline(found),
        found.share.statement,
        tuple(r for r in found.reasons if r != found.share.statement),
        _numbers(found),
        emulsion_tables(found),
        _notes(found),
    )


def _headline(found: EmulsionOutlook) -> str:
    if found.verdict == "fails" and not found.share.impossible:
        return "No emulsifier"
    if found.verdict == "fails" and found.phases.emulsion == "anhydrous":
        return "No suspension"
    return _HEADLINES[found.verdict]


def _numbers(found: EmulsionOutlook) -> tuple[Number, ...]:
    rows = [*_phase_numbers(found)]
    if found.drops is not None:
        drops = found.drops
        about = joined((interval_text(drops.d32_um) if drops.how != "given" else "",
                        _HOW[drops.how]), ", ")  # fmt: skip
        rows.append(Number("drops, d32", value_text(drops.d32_um), about))
    if found.budget is not None:
        rows += _emulsifier_numbers(found.budget)
    if found.salt is not None:
        rows += _salt_numbers(found.salt)
    lump = next((b for b in found.settling.bodies if b.is_lump and b.diameter_um == 5), None)
    if lump is not None:
        rows.append(
            Number(
                "a lump of 5 um sinks",
                value(lump.hindered_mm_day, "mm/d"),
                f"{number_text(lump.needs_low_Pa, digits=2)} to "
                f"{number_text(lump.needs_high_Pa, digits=2)} Pa yield stress hold it",
            )
        )
    return tuple(rows)


def _phase_numbers(found: EmulsionOutlook) -> list[Number]:
    phases, flow = found.phases, found.viscosity
    rows = []
    if phases.has_both:
        inside = "water phase" if phases.emulsion == "water-in-oil" else "oil phase, pigment in it"
        rows.append(Number("drops by volume", value(100 * phases.drop_fraction, "%"), inside))
    if phases.oil_phase_mPas is not None:
        rows.append(
            Number(
                "oil phase with pigment",
                value(phases.oil_phase_mPas, "mPa s"),
                f"oil alone {value(phases.liquid_mPas, 'mPa s')}; without structure",
            )
        )
    if flow.measured_mPas is not None and flow.models:
        times = "" if flow.structure is None else (
            f"measured, {number_text(flow.structure, digits=2)} times what drops and pigment "
            "explain"
        )  # fmt: skip
        rows.append(Number("viscosity", value(flow.measured_mPas, "mPa s"), times))
    elif isinstance(flow.predicted, Estimate) and flow.models:
        about = f"{interval_text(flow.predicted)}, assumed"
        rows.append(Number("viscosity, low shear", value_text(flow.predicted), about))
    return rows


def _emulsifier_numbers(budget: EmulsifierBudget) -> list[Number]:
    there = budget.emulsifier_percent + budget.dispersant_percent
    return [
        Number(
            "emulsifier and dispersant",
            value(there, "%"),
            f"{value(budget.emulsifier_percent, '%')} and {value(budget.dispersant_percent, '%')}",
        ),
        Number("taken by the drops", value_text(budget.drops_percent),
               f"{interval_text(budget.drops_percent)}, assumed"),
        *((Number("taken by the pigment", value_text(budget.pigment_percent),
                  f"{interval_text(budget.pigment_percent)}, assumed"),)
          if budget.pigment_percent.median > 0 else ()),
        Number("left over", value(budget.spare_percent, "%", decimals=2),
               "margin for powders, cold and time"),
    ]  # fmt: skip


def _salt_numbers(salt: Electrolyte) -> list[Number]:
    least = salt.balancing_percent
    about = f"against {found_text(salt.laplace_kPa)} in the drops"
    rows = [Number("osmotic pressure of salt", value(salt.salt_kPa, "kPa"), about)]
    if least is not None:
        rows.append(
            Number(
                "salt that would balance",
                f"{number_text(least, digits=2)} %",
                f"{value(salt.salt_percent, '%')} in the formula; 0.5 to 1 % is the habit",
            )
        )
    return rows


def _notes(found: EmulsionOutlook) -> tuple[str, ...]:
    notes = []
    if found.viscosity.why_not and found.phases.emulsion != "anhydrous" and found.phases.has_both:
        notes.append(found.viscosity.why_not)
    if found.settling.bodies or found.settling.lumps_inside:
        notes += _settling_notes(found)
    if found.drops is not None and found.hlb.statement not in found.reasons:
        notes.append(found.hlb.statement)
    if found.drops is not None and found.phases.emulsion == "oil-in-water":
        notes.append(
            "Electrolyte and ripening are judged for water drops only; oil drops of esters hardly "
            "dissolve in water."
        )
    return tuple(notes)


def _settling_notes(found: EmulsionOutlook) -> list[str]:
    settling = found.settling
    notes = []
    if settling.lumps_inside:
        notes.append("Pigment sits in the oil drops: lumps do not settle on their own, the "
                     "loaded drops do, here in water without its thickener.")  # fmt: skip
    elif found.phases.pigment_mL > 0 and any(
        not body.is_lump and body.density_difference_kg_m3 < 0 for body in settling.bodies
    ):
        notes.append("Fine pigment makes the oil phase heavier than water: water drops rise in it.")
    if settling.yield_stress_Pa is None:
        names = ", ".join(f"{name} {number_text(share)} %" for name, share in settling.gellants)
        notes.append(
            f"Can give a yield stress: {names}. How much is a matter of measuring: "
            "`zincite assay flow`, then --yield-stress-pa."
            if names
            else "Nothing in the formula is known to give a yield stress."
        )
    return notes


def pictures(report: MakingReport[EmulsionOutlook]) -> tuple[Picture, ...]:
    """Return viscosity against water and the settling map, those that there are."""
    found = report.result
    made = []
    curve = viscosity_curves(found)
    if curve:
        made.append(
            Picture(
                "Viscosity against drops", curve,
                "Both phases stay as they are, only their ratio changes; "
                + ("tied to the measured point." if found.viscosity.measured_mPas is not None
                   else "all pass through one assumed start value: read the steepness."),
            )
        )  # fmt: skip
    map_ = settling_map(found)
    if map_:
        made.append(
            Picture(
                "Settling map", map_,
                "Hindered speed by size in this crowd, the plain liquid, "
                "no yield stress. Discs: what this formula holds.",
            )
        )  # fmt: skip
    return tuple(made)
