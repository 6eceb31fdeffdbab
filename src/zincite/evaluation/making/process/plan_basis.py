"""On what a process plan rests, and what in it asks for a look."""

from __future__ import annotations

from typing import TYPE_CHECKING

from zincite.data.plant_defaults import plant_default
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.process.heat import heat_capacity
from zincite.evaluation.making.process.windows import COOL_DOWN, VOLATILE, WindowLine
from zincite.evaluation.making.stress.energy import StepEnergy
from zincite.formula.formula import Formula

if TYPE_CHECKING:
    from zincite.evaluation.making.process.process_plan import ProcessPlan

__all__ = ["HOTTEST_C", "plan_basis"]

HOTTEST_C = 150.0
"""A temperature without cooling beyond this is only said to be beyond, no batch gets there."""

_BOILING_C = 95.0  # water boils off and oils fume from here on; from memory


def plan_basis(formula: Formula, plan: ProcessPlan, energies: tuple[StepEnergy, ...]) -> Basis:
    """Return the grounds of a plan."""
    own = Basis(
        ("R58", "R59") if any(w.name == "hot-cold" for w in plan.ways) else ("R58",),
        tuple(_assumed(formula, plan)),
        (*_melting(plan), *_windows(plan), *_cool_down(plan), *_boiling(plan)),
    )
    # a tip speed outside its range is said once, as a line of the window
    return own.with_more(
        relations=sorted({key for found in energies for key in found.relations}),
        assumed=[said for found in energies for said in found.assumed],
        warnings=[said for found in energies for said in found.warnings if "tip speed" not in said],
    )


def _assumed(formula: Formula, plan: ProcessPlan) -> list[str]:
    heat = heat_capacity(formula, formula.phases)
    hot = plan.hot
    said = [
        f"Specific heats by class of material, {100 * heat.assumed_share:.0f} % of the heat "
        f"capacity from memory; {heat.kJ_kg_K:.2f} kJ/kg/K for the whole formula.",
        f"Raw materials at {plant_default('room_C').value:g} degC, filling at "
        f"{plant_default('fill_C').value:g} degC, common practice.",
        f"{hot.name.capitalize()} means {max(t for _, t in hot.phase_C):g} degC, warm "
        f"{max(t for _, t in plan.ways[2].phase_C):g} degC; common practice unless you gave them.",
    ]
    if plan.melting:
        said.append(
            f"A phase is held {plant_default('melting_margin_K').value:g} K above its highest "
            "melting point, common practice; melting points of the library are from memory."
        )
    if any(w.high_why == COOL_DOWN for w in plan.windows):
        said.append(
            f"A cool-down phase goes in below {plant_default('cool_down_C').value:g} degC, "
            "common practice."
        )
    if any(w.high_why == VOLATILE for w in plan.windows):
        said.append(
            f"A volatile oil stays below {plant_default('volatile_C').value:g} degC, common "
            "practice; look up its flash point."
        )
    if plan.unstated:
        said.append(
            f"Without a temperature in the file, taken at room temperature: phase "
            f"{', '.join(plan.unstated)}."
        )
    return said


def _melting(plan: ProcessPlan) -> list[str]:
    said = [f"{check.advice}." for check in plan.melting if check.advice]
    if plan.unknown_melting:
        said.append(
            f"Melting point not on the card, so not judged: {', '.join(plan.unknown_melting)}. "
            "Add melting_point_C from the data sheet."
        )
    return said


def _windows(plan: ProcessPlan) -> list[str]:
    return [_outside(line) for line in plan.outside if not _said_by_melting(line)]


def _said_by_melting(line: WindowLine) -> bool:
    return line.quantity == "temperature" and line.verdict == "below"


def _outside(line: WindowLine) -> str:
    where = f"{line.where[0].upper()}{line.where[1:]}"
    if line.verdict == "closed":
        way_out = (
            "melt without the volatile oil and add that later"
            if line.high_why == VOLATILE
            else "swap the wax or relax the limit"
        )
        return (
            f"{where} has no possible temperature: {line.low_why} needs {line.low:g} degC, but "
            f"{line.high_why} allows {line.high:g} degC; {way_out}."
        )
    limit, why = (line.low, line.low_why) if line.verdict == "below" else (line.high, line.high_why)
    said = (
        f"{where}: {line.quantity} {line.set_point:.3g} {line.unit} is {line.verdict} the limit "
        f"of {limit:.3g} {line.unit} ({why})."
    )
    if line.where.startswith("step") and why == COOL_DOWN:
        said += " Put a cooling step before the one that adds that phase."
    return said


def _cool_down(plan: ProcessPlan) -> list[str]:
    said = []
    for step in plan.steps:
        names = [p.name for p in step.contents.phases
                 if p.kind == "cool-down" and p.name in step.contents.added]  # fmt: skip
        uncooled, limit = step.temperature.uncooled_C, plant_default("cool_down_C").value
        if names and uncooled is not None and uncooled > limit >= step.temperature.hottest_C:
            said.append(
                f"Step {step.contents.number} without cooling would bring phase "
                f"{', '.join(names)} to {uncooled:.0f} degC: cool, or stir more gently."
            )
    if not plan.steps and plan.as_written.meets_C > plant_default("cool_down_C").value:
        names = [w.where for w in plan.windows if w.high_why == COOL_DOWN]
        if names:
            said.append(
                f"The phases meet at {plan.as_written.meets_C:.0f} degC: cool the bulk below "
                f"{plant_default('cool_down_C').value:g} degC before {', '.join(names)} goes in."
            )
    return said


def _boiling(plan: ProcessPlan) -> list[str]:
    said = []
    for step in plan.steps:
        reached = step.temperature.uncooled_C
        if reached is None or reached <= _BOILING_C:
            continue
        bound = f"{reached:.0f} degC" if reached <= HOTTEST_C else f"more than {HOTTEST_C:g} degC"
        said.append(
            f"Step {step.contents.number} without cooling would reach {bound}: the jacket has to "
            "take the energy away, or work in shorter runs. State power_W where you measured it."
        )
    return said
