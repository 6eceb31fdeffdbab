"""Sheet and pictures of a process plan."""

from __future__ import annotations

from zincite.evaluation.making.process.process_plan import ProcessPlan
from zincite.interfaces.documents.figures.making_process import heat_bars, temperature_windows
from zincite.interfaces.documents.making.process_tables import (
    melting_table,
    steps_table,
    ways_table,
    windows_table,
)
from zincite.interfaces.documents.numbers import number_text, signed_text
from zincite.interfaces.documents.sheet import (
    Number,
    Picture,
    Sheet,
    joined,
    value,
)
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_FUSION = (
    "Heat of fusion of waxes and the plant's own losses (walls, pipes, holding) are left out: the "
    "bill is higher, the order of the ways stays."
)
_HOT_COLD = (
    "Where a hot oil side meets cold water, waxes freeze at the contact: add slowly under shear "
    "and look for grains in the microscope."
)


def sheet(report: MakingReport[ProcessPlan]) -> Sheet:
    """Return the sheet of a process plan."""
    plan = report.result
    headline, sentence = _decision(plan)
    tables = [ways_table(plan)]
    if plan.melting:
        tables.append(melting_table(plan.melting))
    if plan.windows:
        tables.append(windows_table(plan.windows))
    if plan.steps:
        tables.append(steps_table(plan.steps))
    return Sheet(
        "Process",
        "heat by specific heats, melting points of the cards, ranges of the devices",
        plan.verdict,
        headline,
        sentence,
        (),
        _numbers(plan),
        tuple(tables),
        _notes(plan),
    )


def _decision(plan: ProcessPlan) -> tuple[str, str]:
    own = plan.as_written
    saved = own.saving_percent(plan.hot)
    heat = f"{number_text(1e3 * own.MJ_kg)} kJ of heat per kg"
    against = "" if not saved else f", {signed_text(-saved, decimals=0)} % against {plan.hot.name}"
    if plan.solid:
        names = ", ".join(c.material for c in plan.solid)
        return "A wax stays solid", f"{names} never reaches its melting point; {heat}{against}."
    closed = [w for w in plan.outside if w.verdict == "closed"]
    if closed:
        return "No room in the window", f"{closed[0].where} cannot melt within its limit."
    hot = [w for w in plan.outside if w.quantity == "temperature" and w.verdict == "above"]
    if hot:
        return (
            "Too hot",
            f"{joined([w.where for w in hot], ', ')} above the limit; {heat}{against}.",
        )
    if plan.verdict == "short":
        return "Look at the limits", f"{heat}{against}; the notes say what lies at an edge."
    if plan.verdict == "unknown":
        return (
            "Melting not known",
            f"{heat}{against}; a usually solid material has no melting point.",
        )
    if own.MJ_kg == 0:
        return "Cold", "Nothing is heated and nothing has to melt."
    return "All melts, all in its window", f"{heat}{against}."


def _numbers(plan: ProcessPlan) -> tuple[Number, ...]:
    own = plan.as_written
    lowest = next((w for w in plan.ways if w.name == "lowest"), None)
    span = f"{number_text(1e3 * own.low)} to {number_text(1e3 * own.high)} kJ/kg"
    found = [
        Number(
            "heat as written",
            value(1e3 * own.MJ_kg, "kJ/kg"),
            f"{number_text(own.kWh_kg)} kWh/kg; {span} by the specific heats" if own.MJ_kg else "",
        ),
        Number("to cool away before filling", value(1e3 * plan.cooling_MJ_kg, "kJ/kg"), ""),
    ]
    if plan.device_kJ_kg is not None:
        share = plan.device_kJ_kg / (plan.device_kJ_kg + 1e3 * own.MJ_kg)
        found.append(
            Number(
                "energy of the devices",
                value(plan.device_kJ_kg, "kJ/kg"),
                f"into the product, {100 * share:.0f} % of heat and devices; the motor draws more",
            )
        )
    if lowest is not None and lowest.MJ_kg < own.MJ_kg:
        hottest = max(lowest.phase_C, key=lambda item: item[1])
        found.append(
            Number(
                "lowest possible heat",
                value(1e3 * lowest.MJ_kg, "kJ/kg"),
                f"phase {hottest[0]} at {hottest[1]:.0f} °C, what need not melt cold",
            )
        )
    return tuple(found)


def _notes(plan: ProcessPlan) -> tuple[str, ...]:
    notes = []
    hot_cold = next((w for w in plan.ways if w.name == "hot-cold"), None)
    saved = None if hot_cold is None else hot_cold.saving_percent(plan.hot)
    if saved is not None:
        notes.append(
            f"Hot-cold saves {saved:.0f} % of the heat here; a published comparison found about "
            "82 % (oil-in-water) and 86 % (water-in-oil) of the thermal energy for its products."
        )
        if plan.melting:
            notes.append(_HOT_COLD)
    if not plan.steps:
        notes.append("The file states no [process], so there are no steps, energies or devices.")
    notes.append(_FUSION)
    if plan.melting:
        notes.append("In much oil a wax dissolves some degrees below its melting point.")
    return tuple(notes)


def pictures(report: MakingReport[ProcessPlan]) -> tuple[Picture, ...]:
    """Return heat of each way, and the temperature windows where there are any."""
    plan = report.result
    found = [
        Picture(
            "Heat of each way",
            heat_bars(plan.ways, plan.hot),
            "Heat per kg of product; the tick spans the ranges of the specific heats. Hollow: a "
            "material would stay solid.",
        )
    ]
    lines = tuple(w for w in plan.windows if w.quantity == "temperature")
    if lines:
        found.append(
            Picture(
                "Temperature windows",
                temperature_windows(lines),
                "Bar: from what must melt to what is allowed; dot: as written, hollow where it "
                "lies outside.",
            )
        )
    return tuple(found)
