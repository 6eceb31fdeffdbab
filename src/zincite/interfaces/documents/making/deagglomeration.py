"""Sheet and pictures of the aggregates after a process, and of changes of it."""

from __future__ import annotations

from zincite.data.devices import device, devices
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.stress.energy import StepEnergy
from zincite.evaluation.making.stress.process_cases import Deagglomeration, ProcessCase
from zincite.interfaces.documents.figures.making_deagglomeration import fines_curves
from zincite.interfaces.documents.making.fit import kinetics_rows
from zincite.interfaces.documents.numbers import number_text, signed_text
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

_WORTH_PERCENT = 2.0
_HOW = {"power": "power x time", "none": "not known"}


def sheet(report: MakingReport[Deagglomeration]) -> Sheet:
    """Return the sheet of a process and its changes."""
    result = report.result
    verdict, headline, sentence = _decision(result)
    tables = [_cases(result), _grades(result), _steps(result.cases[0])]
    tables.append(_kinetics(result))
    return Sheet(
        "De-agglomeration",
        "freed pigment F = Finf (1 - exp(-k Ev)) step by step, then the optics",
        verdict,
        headline,
        sentence,
        numbers=_numbers(result),
        tables=tuple(tables),
        notes=(
            "Exposed surface: geometric surface of the cores that no coating covers; uncoated "
            "grades count whole.",
            "A state on the card, or learnt, holds for the process as written; a change moves it "
            "by what the model says of the change alone.",
        ),
    )


def _decision(result: Deagglomeration) -> tuple[str, str, str]:
    written, others = result.cases[0], result.cases[1:]
    first = written.grades[0]
    state = (
        f"{first.share.median:.0f} % of {first.material} stays in aggregates of "
        f"{first.median_nm.median:.0f} nm"
    )
    if not others or written.optics is None:
        best = min(others, key=lambda c: c.grades[0].share.median, default=None)
        more = "" if best is None else (
            f"; {best.name} leaves {best.grades[0].share.median:.0f} %"
        )  # fmt: skip
        return "unknown", "Aggregates reckoned", f"{state}{more}."
    best = max(others, key=_gain)
    gain = _gain(best)
    told = f"{state}; {_change_words(best)}."
    if not result.asked:
        most = gain > _WORTH_PERCENT
        return ("short", "More can be had", told) if most else ("passes", "Near its end", told)
    if gain > _WORTH_PERCENT:
        return "passes", "Worth it for SPF", told
    if gain < -_WORTH_PERCENT:
        return "fails", "SPF falls", told
    return "short", "Changes little", told


def _gain(case: ProcessCase) -> float:
    found = case.optics.spf_change_percent if case.optics else None
    return 0.0 if found is None else found.median


def _change_words(case: ProcessCase) -> str:
    optics = case.optics
    if optics is None or optics.spf_change_percent is None or optics.delta_l_change is None:
        return case.name
    gain, cast = optics.spf_change_percent, optics.delta_l_change
    return (
        f"{case.name}: SPF {signed_text(gain.median, decimals=0)} % (90 %: "
        f"{signed_text(gain.low, decimals=0)} to {signed_text(gain.high, decimals=0)} %), "
        f"white cast {signed_text(cast.median, decimals=1)} dL* on {optics.skin} skin"
    )


def _numbers(result: Deagglomeration) -> tuple[Number, ...]:
    written = result.cases[0]
    first = written.grades[0]
    assumed = result.kinetics[written.main.device].is_assumed
    found = [
        Number(
            "in aggregates",
            value(first.share.median, "%", decimals=0),
            joined((_interval(first.share, 0), first.material, str(first.rule),
                    "devices assumed" if assumed else "")),
        ),
        Number("median of aggregates", value(first.median_nm.median, "nm"),
               _interval(first.median_nm)),
        Number("energy that frees", value(written.energy_J_mL, "J/mL"),
               f"most in step {written.main.contents.number}, "
               f"{device(written.main.device).name}"),
        Number("exposed pigment surface", value(written.exposed_m2_kg, "m2/kg"),
               "of product; model and susceptibilities assumed"),
    ]  # fmt: skip
    if written.optics is not None:
        found[1:1] = [
            Number("SPF", value(written.optics.spf.median), _interval(written.optics.spf)),
            Number(
                "white cast",
                value(written.optics.delta_l.median, "dL*", decimals=1),
                f"{_interval(written.optics.delta_l)}; {written.optics.skin} skin",
            ),
        ]
    return tuple(found)


def _interval(found: Estimate, decimals: int | None = None) -> str:
    return interval(found.low, found.high, percent=90, decimals=decimals)


def _cases(result: Deagglomeration) -> SheetTable:
    with_film = result.cases[0].optics is not None
    columns = [("process", "left"), ("Ev", "right"), ("F", "right"), ("size", "right")]
    if with_film:
        columns += [("SPF (90 %)", "left"), ("change, % (90 %)", "left"),
                    ("UVA-PF", "right"), ("dL*", "right")]  # fmt: skip
    columns.append(("bare", "right"))
    rows = []
    for case in result.cases:
        first = case.grades[0]
        row = [case.name, number_text(case.energy_J_mL), number_text(100 - first.share.median,
               decimals=0), number_text(first.median_nm.median)]  # fmt: skip
        if case.optics is not None:
            optics, gain = case.optics, case.optics.spf_change_percent
            row += [
                _ends(number_text(optics.spf.median), optics.spf),
                "" if gain is None else _ends(signed_text(gain.median, decimals=0), gain),
                number_text(optics.uva_pf.median),
                number_text(optics.delta_l.median, decimals=1),
            ]
        row.append(number_text(case.exposed_m2_kg))
        rows.append(tuple(row))
    skin = result.cases[0].optics.skin if result.cases[0].optics else ""
    parts = (
        "Ev of all steps, J/mL",
        f"F freed share, %, and size of aggregates, nm, of {result.cases[0].grades[0].material}",
        f"dL* on {skin} skin" if skin else "",
        "bare pigment surface, m2/kg",
    )
    about = joined(parts)
    widths = (22, 5, 3, 5, 16, 16, 6, 5, 5) if with_film else ()
    return SheetTable("What a change does", tuple(columns), tuple(rows), about, widths=widths)


def _ends(middle: str, found: Estimate) -> str:
    """Return a value with its 90 % interval in whole numbers."""
    ends = (number_text(end, decimals=0) for end in (found.low, found.high))
    return f"{middle} ({' to '.join(ends)})"


def _grades(result: Deagglomeration) -> SheetTable:
    columns = [
        ("pigment", "left"), ("state from", "left"), ("in aggregates, %", "right"),
        ("size, nm", "right"), ("exposed, %", "right"), ("coating, nm", "right"),
    ]  # fmt: skip
    case = result.cases[0]
    exposed = {part.material: part for part in case.exposed}
    rows = []
    for grade in case.grades:
        part = exposed[grade.material]
        rows.append(
            (
                grade.material,
                str(grade.rule),
                f"{number_text(grade.share.median, decimals=0)} "
                f"({number_text(grade.share.low, decimals=0)} to "
                f"{number_text(grade.share.high, decimals=0)})",
                number_text(grade.median_nm.median),
                number_text(part.share.median, digits=2),
                "none" if part.coating_nm == 0 else number_text(part.coating_nm, digits=2),
            )
        )
    return SheetTable("Pigments", tuple(columns), tuple(rows), "process as written; 90 % interval",
                      widths=(30, 24, 15, 5, 8, 8))  # fmt: skip


def _steps(case: ProcessCase) -> SheetTable:
    columns = (
        ("step", "left"), ("phases", "left"), ("Ev, J/mL", "right"), ("known from", "left"),
        ("m/s", "right"), ("1/s", "right"), ("Re", "right"), ("W", "right"), ("+K", "right"),
    )  # fmt: skip
    rows = tuple(
        (
            f"{step.contents.number} {_device_name(step)}",
            ", ".join(phase.name for phase in step.contents.phases) or "-",
            "-" if step.energy is None else number_text(step.energy_J_mL),
            _HOW.get(step.how, step.how),
            _optional(step.tip_speed_m_s),
            _optional(step.shear_rate_1_s, 2),
            _optional(step.reynolds, 2),
            _optional(step.power_W),
            _optional(step.rise_K),
        )
        for step in case.energies
    )
    about = "m/s tip speed, 1/s shear rate in the gap, W drawn, +K warming without cooling"
    return SheetTable("Steps as written", columns, rows, about)


def _device_name(step: StepEnergy) -> str:
    return device(step.device).name if step.device in devices() else step.device


def _optional(found: float | None, digits: int = 3) -> str:
    return "-" if found is None else number_text(found, digits=digits)


def _kinetics(result: Deagglomeration) -> SheetTable:
    used = dict.fromkeys(step.device for case in result.cases for step in case.energies)
    rows = []
    for key in used:
        if key not in result.kinetics:
            continue
        found = result.kinetics[key]
        name, (k, f, d) = device(key).name, kinetics_rows(found, found)
        rows.append((name, *(f"{cell[2]} ({cell[3]})" for cell in (k, f, d)),
                     "assumed" if found.is_assumed else f"{found.points} own sizes"))  # fmt: skip
    columns = (("device", "left"), ("rate k, mL/J", "left"), ("limit, %", "left"),
               ("end size, nm", "left"), ("from", "left"))  # fmt: skip
    return SheetTable(
        "Devices", columns, tuple(rows), "90 % interval; limit: freed by endless stress"
    )


def pictures(report: MakingReport[Deagglomeration]) -> tuple[Picture, ...]:
    """Return the curves of the devices with the formula's process."""
    result = report.result
    return (
        Picture(
            "Freed pigment against energy",
            fines_curves(result.cases, result.kinetics),
            "The full dot is the process as written, by its strongest step; circles are the "
            "changes. Ochre is its device with a 90 % interval. Dashed devices are assumed.",
        ),
    )
