"""Sheet and picture of a scale-up."""

from __future__ import annotations

from zincite.data.devices import device
from zincite.evaluation.making.process.scale_rules import RULES, Scaled
from zincite.evaluation.making.process.scale_state import QUANTITIES
from zincite.evaluation.making.process.scale_up import EQUAL, ScaleUp
from zincite.interfaces.documents.figures.making_scale_up import scale_ratios
from zincite.interfaces.documents.numbers import number_text, unit_text
from zincite.interfaces.documents.sheet import Number, Picture, Sheet, SheetTable, value
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_AT_ONCE = 3
"""Sizes beside each other in a table of a terminal."""

_OF_COURSE = ("speed", "Reynolds number", "power", "flow")
"""Quantities whose change with size says nothing on the product."""

_BOTH = (
    "Equal tip speed and equal energy together are the usual rule for pigment: the speed sets the "
    "finest size, the energy how far the batch gets there."
)


def sheet(report: MakingReport[ScaleUp]) -> Sheet:
    """Return the sheet of a scale-up."""
    found = report.result
    name = device(found.step.device).name
    headline, sentence = _decision(found, name)
    groups = [found.scaled[i : i + _AT_ONCE] for i in range(0, len(found.scaled), _AT_ONCE)]
    return Sheet(
        "Scale-up",
        "similar rotors, power laws of the device, jacketed vessel",
        found.verdict,
        headline,
        sentence,
        (),
        _numbers(found),
        tuple(_table(found, group) for group in groups),
        (_BOTH,) if found.rule in ("tip-speed", "energy") else (),
    )


def _decision(found: ScaleUp, name: str) -> tuple[str, str]:
    step = f"Step {found.step.contents.number}, {name}"
    if found.rule == "throughput":
        return "Throughput only", f"{step}: stress, energy and passes stay; only the time changes."
    rule = RULES[found.rule]
    lost = ", ".join(name for name in found.not_kept if name not in _OF_COURSE) or "nothing"
    if found.verdict == "fails":
        sizes = ", ".join(f"{s.state.batch_kg:g} kg" for s in found.scaled if not s.kept)
        return f"{rule.capitalize()} cannot be kept", f"{step}, at {sizes}; the notes say why."
    if found.verdict == "short":
        return "Nearest feasible", (
            f"{step}: {rule} is kept by a longer time at a lower speed than the rule asks for."
        )
    return f"{rule.capitalize()} kept", f"{step}; not equal to the laboratory: {lost}."


def _numbers(found: ScaleUp) -> tuple[Number, ...]:
    rows = []
    for item in found.scaled:
        state = item.state
        rotor = "" if state.speed_rpm is None else (
            f"{number_text(state.diameter_m)} m at {number_text(state.speed_rpm)} 1/min, "
            f"{value(state.tip_speed_m_s, 'm/s')}")  # fmt: skip
        shown = value(state.minutes, "min")
        rows.append(Number(f"time for {number_text(state.batch_kg)} kg", shown, rotor))
    return tuple(rows)


def _table(found: ScaleUp, group: tuple[Scaled, ...]) -> SheetTable:
    lab = found.lab
    columns = [("", "left"), (f"lab, {number_text(lab.batch_kg)} kg", "right")]
    for item in group:
        columns += [(f"{number_text(item.state.batch_kg)} kg", "right"), ("of lab", "left")]
    sized = any(s.diameter_m for s in (lab, *(item.state for item in group)))
    rows = [_diameters(found, group)] if sized else []
    for key, name, unit in QUANTITIES:
        own = getattr(lab, key)
        if own is None:
            continue
        row = [f"{name}, {unit_text(unit)}" if unit else name, number_text(own)]
        for item in group:
            shown = getattr(item.state, key)
            row += [number_text(shown), _ratio(item.state.ratio(key, lab))]
        rows.append(tuple(row))
    widths = (30, 12, *((11, 8) * len(group)))
    return SheetTable("Sizes", tuple(columns), tuple(rows), "kept: equal to the laboratory",
                      widths=widths)  # fmt: skip


def _diameters(found: ScaleUp, group: tuple[Scaled, ...]) -> tuple[str, ...]:
    row = ["diameter, m", "" if found.lab.diameter_m is None else number_text(found.lab.diameter_m)]
    for item in group:
        own = item.state.diameter_m
        row += ["" if own is None else number_text(own),
                _ratio(item.state.ratio("diameter_m", found.lab))]  # fmt: skip
    return tuple(row)


def _ratio(ratio: float | None) -> str:
    if ratio is None:
        return ""
    if abs(ratio - 1) < EQUAL:
        return "kept"
    return f"\u00d7 {number_text(ratio, digits=3 if abs(ratio - 1) < 0.1 else 2)}"


def pictures(report: MakingReport[ScaleUp]) -> tuple[Picture, ...]:
    """Return what each size has of the laboratory's."""
    found = report.result
    return (
        Picture(
            "Of the laboratory's",
            scale_ratios(found),
            "Each quantity divided by the laboratory's; on the line of 1 it is kept equal.",
        ),
    )
