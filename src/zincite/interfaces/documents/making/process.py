"""Sheet and pictures of a process plan."""

from __future__ import annotations

from zincite.evaluation.making.heat import HeatWay
from zincite.evaluation.making.melting import Melting
from zincite.evaluation.making.plan_basis import HOTTEST_C
from zincite.evaluation.making.process_plan import PlanStep, ProcessPlan
from zincite.evaluation.making.windows import WindowLine
from zincite.interfaces.documents.figures.making_process import heat_bars, temperature_windows
from zincite.interfaces.documents.numbers import number_text, signed_text, unit_text
from zincite.interfaces.documents.sheet import (
    Number,
    Picture,
    Sheet,
    SheetTable,
    interval,
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
    tables = [_ways(plan)]
    if plan.melting:
        tables.append(_melting(plan.melting))
    if plan.windows:
        tables.append(_windows(plan.windows))
    if plan.steps:
        tables.append(_steps(plan.steps))
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


def _temperatures(way: HeatWay) -> str:
    return ", ".join(f"{name} {found:.0f}" for name, found in way.phase_C)


def _ways(plan: ProcessPlan) -> SheetTable:
    columns = (
        ("way", "left"),
        ("phases, °C", "left"),
        ("kJ/kg", "right"),
        ("kWh/kg", "right"),
        ("saves", "right"),
        ("meet", "right"),
        ("stays solid", "left"),
    )
    rows = tuple(
        (
            way.name,
            _temperatures(way),
            number_text(1e3 * way.MJ_kg),
            number_text(way.kWh_kg, digits=2),
            _saved(way, plan.hot),
            number_text(way.meets_C, decimals=0),
            joined(
                (", ".join(way.solid) or "-", "above the brief" if plan.beyond_brief(way) else "")
            ),
        )
        for way in plan.ways
    )
    return SheetTable("Ways of heating", columns, rows, f"saved against {plan.hot.name}",
                      widths=(10, 22, 5, 6, 5, 4, 28))  # fmt: skip


def _saved(way: HeatWay, hot: HeatWay) -> str:
    saved = way.saving_percent(hot)
    if way is hot or saved is None:
        return ""
    return f"{number_text(saved, decimals=0)} %"


def _melting(checks: tuple[Melting, ...]) -> SheetTable:
    columns = (
        ("material", "left"),
        ("%", "right"),
        ("melts, °C", "right"),
        ("", "left"),
        ("phase, °C", "right"),
        ("hottest", "right"),
        ("verdict", "left"),
    )
    rows = tuple(
        (
            c.material,
            number_text(c.percent),
            number_text(c.melting_C, digits=3),
            joined((_range(c), "assumed" if c.is_assumed else ""), ", "),
            f"{c.phase} {number_text(c.phase_C, decimals=0)}",
            number_text(c.hottest_C, decimals=0),
            c.verdict,
        )
        for c in checks
    )
    return SheetTable("Melting points", columns, rows, widths=(28, 4, 9, 18, 9, 7, 12))


def _range(check: Melting) -> str:
    return interval(check.low_C, check.high_C, percent=90).partition(": ")[2]


def _end(limit: float | None, why: str) -> str:
    return "" if limit is None else joined((number_text(limit), why), ", ")


def _windows(windows: tuple[WindowLine, ...]) -> SheetTable:
    columns = (
        ("where", "left"),
        ("quantity", "left"),
        ("lower limit", "left"),
        ("set", "right"),
        ("upper limit", "left"),
        ("verdict", "left"),
    )
    rows = tuple(
        (
            w.where,
            f"{w.quantity}, {unit_text(w.unit)}",
            _end(w.low, w.low_why),
            "" if w.set_point is None else number_text(w.set_point),
            _end(w.high, w.high_why),
            w.verdict,
        )
        for w in windows
    )
    return SheetTable("Process window", columns, rows, "limits of habit and memory unless the "
                      "brief sets them", widths=(8, 16, 28, 7, 20, 10))  # fmt: skip


def _steps(steps: tuple[PlanStep, ...]) -> SheetTable:
    columns = (
        ("", "right"),
        ("device", "left"),
        ("adds", "left"),
        ("%", "right"),
        ("min", "right"),
        ("°C", "right"),
        ("J/mL", "right"),
        ("kJ/kg", "right"),
        ("rise, K", "right"),
        ("uncooled, °C", "right"),
    )
    rows = tuple(
        (
            str(s.contents.number),
            s.contents.step.device,
            ", ".join(s.contents.added),
            number_text(s.contents.percent),
            _or_blank(s.contents.step.settings.get("minutes")),
            number_text(s.temperature.end_C, decimals=0),
            _or_blank(s.energy_J_mL),
            _or_blank(s.energy_kJ_kg),
            ""
            if s.temperature.rise_K is None or s.temperature.rise_K > HOTTEST_C
            else number_text(s.temperature.rise_K, digits=2),
            _uncooled(s.temperature.uncooled_C),
        )
        for s in steps
    )
    return SheetTable("Steps", columns, rows, "rise and uncooled: if no jacket cools",
                      widths=(2, 21, 10, 5, 5, 5, 8, 7, 8, 12))  # fmt: skip


def _uncooled(found: float | None) -> str:
    if found is None:
        return ""
    beyond = found > HOTTEST_C
    return f"above {HOTTEST_C:g}" if beyond else number_text(found, decimals=0)


def _or_blank(found: float | None, *, digits: int = 3) -> str:
    return "" if found is None else number_text(found, digits=digits)


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
