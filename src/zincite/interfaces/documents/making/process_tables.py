"""Tables of a process plan: ways of heating, melting points, window, steps."""

from __future__ import annotations

from zincite.evaluation.making.process.heat import HeatWay
from zincite.evaluation.making.process.melting import Melting
from zincite.evaluation.making.process.plan_basis import HOTTEST_C
from zincite.evaluation.making.process.process_plan import PlanStep, ProcessPlan
from zincite.evaluation.making.process.windows import WindowLine
from zincite.interfaces.documents.numbers import number_text, unit_text
from zincite.interfaces.documents.sheet import SheetTable, interval, joined

__all__ = ["melting_table", "steps_table", "ways_table", "windows_table"]


def _temperatures(way: HeatWay) -> str:
    return ", ".join(f"{name} {found:.0f}" for name, found in way.phase_C)


def ways_table(plan: ProcessPlan) -> SheetTable:
    """Return the heat of each way."""
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


def melting_table(checks: tuple[Melting, ...]) -> SheetTable:
    """Return each solid against its phase."""
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


def windows_table(windows: tuple[WindowLine, ...]) -> SheetTable:
    """Return set points between their limits."""
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


def steps_table(steps: tuple[PlanStep, ...]) -> SheetTable:
    """Return each step with temperature and energy."""
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
    rows = tuple(_step(step) for step in steps)
    return SheetTable("Steps", columns, rows, "rise and uncooled: if no jacket cools",
                      widths=(2, 21, 10, 5, 5, 5, 8, 7, 8, 12))  # fmt: skip


def _step(step: PlanStep) -> tuple[str, ...]:
    item, at = step.contents, step.temperature
    return (
        str(item.number),
        item.step.device,
        ", ".join(item.added),
        number_text(item.percent),
        _or_blank(item.step.settings.get("minutes")),
        number_text(at.end_C, decimals=0),
        _or_blank(step.energy_J_mL),
        _or_blank(step.energy_kJ_kg),
        _rise(at.rise_K),
        _uncooled(at.uncooled_C),
    )


def _rise(found: float | None) -> str:
    return "" if found is None or found > HOTTEST_C else number_text(found, digits=2)


def _uncooled(found: float | None) -> str:
    if found is not None and found > HOTTEST_C:
        return f"above {HOTTEST_C:g}"
    return "" if found is None else number_text(found, decimals=0)


def _or_blank(found: float | None) -> str:
    return "" if found is None else number_text(found)
