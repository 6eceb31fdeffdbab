"""Sheets of the tests on people: SPF, UVA-PF, water resistance."""

from __future__ import annotations

from zincite.data.regulation_tables import markets
from zincite.evaluation.assay.panel import Panel
from zincite.evaluation.assay.reading.panels import PanelFile, WaterFile
from zincite.evaluation.assay.spf_in_vivo import SpfInVivo
from zincite.evaluation.assay.uva_in_vivo import UvaInVivo
from zincite.evaluation.assay.water_resistance import WaterResistance
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import (
    Number,
    Sheet,
    SheetTable,
    interval,
    joined,
    value,
)
from zincite.workbench.assay.report import AssayReport

__all__ = ["spf_sheet", "uva_pf_sheet", "water_sheet"]


def _counted(n: int) -> str:
    return "1 subject" if n == 1 else f"{n} subjects"


def _panel_numbers(panel: Panel, what: str) -> tuple[Number, ...]:
    width = panel.half_width_percent
    return (
        Number(
            f"{what}, mean",
            number_text(panel.mean, decimals=2),
            joined([f"reported {panel.reported:.1f}, cut not rounded",
                    interval(panel.ci_low, panel.ci_high, decimals=1)]),
        ),
        Number("95 % half width", value(width, "%", decimals=1), "of the mean; at most 17 % asked"),
        Number("standard deviation", number_text(panel.sd, decimals=2), _scatter(panel)),
        Number("subjects that count", str(panel.n), f"{len(panel.rejected)} left out"),
    )  # fmt: skip


def _scatter(panel: Panel) -> str:
    return "" if panel.cv_percent is None else f"{panel.cv_percent:.0f} % of the mean"


def _given(found: float | None, *, decimals: int | None = None) -> str:
    return "none" if found is None else number_text(found, decimals=decimals)


def _subject_table(panel: Panel, dose: str, factor: str, unit: str) -> SheetTable:
    rows = tuple(
        (
            item.subject,
            _given(item.unprotected),
            _given(item.protected),
            _given(item.value),
            "" if item.used else item.reason,
        )
        for item in panel.subjects
    )
    shown = f", {unit}" if unit else ""
    columns = (
        ("subject", "left"),
        (f"{dose} bare{shown}", "right"),
        (f"{dose} covered{shown}", "right"),
        (factor, "right"),
        ("not counted because", "left"),
    )
    return SheetTable("Subjects", columns, rows, widths=(14, 18, 20, 8, 30))


def _start(panel: Panel, what: str) -> str:
    ends = interval(panel.ci_low, panel.ci_high, decimals=1)
    within = f" ({ends})" if ends else ""
    return f"{what} {panel.reported:.1f}{within} of {_counted(panel.n)}"


def _says(outcome: str, valid: bool) -> str:
    return f": {outcome}." if valid else f"; {outcome} if the test were valid."


def spf_sheet(report: AssayReport[SpfInVivo, PanelFile]) -> Sheet:
    """Return the sheet of an ISO 24444 test."""
    r = report.result
    labels = r.label_class_if_valid
    eu = labels.get("eu")
    label = f"label SPF {eu} in the EU" if eu else "no label class in the EU"
    sentence = _start(r.panel, "SPF") + _says(label, r.valid)
    names = {market.key: market.name for market in markets()}
    by_label: dict[str, list[str]] = {}
    for key, text in labels.items():
        by_label.setdefault(text or "none held", []).append(names[key])
    table = SheetTable(
        "Label classes" if r.valid else "Label classes, if the test were valid",
        (("SPF", "left"), ("markets", "left")),
        tuple((text, ", ".join(places)) for text, places in by_label.items()),
        widths=(10, 86),
    )
    subjects = _subject_table(r.panel, "MED", "SPFi", report.readings.dose_unit)
    references = tuple(
        Number(
            f"reference {x.name}",
            number_text(x.mean_spf, decimals=1),
            f"{'accepted' if x.accepted else 'not accepted'}: {x.low:g} to {x.high:g}",
        )
        for x in r.references
    )
    return Sheet(
        "SPF on people",
        r.method,
        "passes" if r.valid else "fails",
        "Valid test" if r.valid else "Not valid",
        sentence,
        r.reasons,
        (*_panel_numbers(r.panel, "SPF"), *references),
        (table, subjects),
        (r.advice.sentence, r.two_panels, *r.notes, *report.notes),
    )


def uva_pf_sheet(report: AssayReport[UvaInVivo, PanelFile]) -> Sheet:
    """Return the sheet of an ISO 24442 test."""
    r = report.result
    grade = r.pa_grade_if_valid or "below PA+"
    sentence = _start(r.panel, "UVA-PF") + _says(grade, r.valid)
    ratio: tuple[Number, ...] = ()
    if r.label_spf is not None:
        ratio = (
            Number(
                "UVA-PF / label SPF",
                value(r.uva_pf_to_label_spf),
                "European recommendation: at least 1/3",
            ),
        )
    return Sheet(
        "UVA-PF on people",
        r.method,
        "passes" if r.valid else "fails",
        "Valid test" if r.valid else "Not valid",
        sentence,
        r.reasons,
        (*_panel_numbers(r.panel, "UVA-PF"), *ratio),
        (_subject_table(r.panel, "MPPDD", "UVA-PFi", report.readings.dose_unit),),
        (r.advice.sentence, *r.notes, *report.notes),
    )


def water_sheet(report: AssayReport[WaterResistance, WaterFile]) -> Sheet:
    """Return the sheet of a water resistance test."""
    r = report.result
    rows = tuple(
        (
            item.subject,
            _given(item.spf_static),
            _given(item.spf_wet),
            _given(item.retention_percent, decimals=1),
            item.reason,
        )
        for item in r.subjects
    )
    columns = (
        ("subject", "left"),
        ("SPF static", "right"),
        ("SPF wet", "right"),
        ("retained, %", "right"),
        ("not counted because", "left"),
    )
    headline = "Water resistant" if r.resistant else "Not water resistant"
    return Sheet(
        f"Water resistance, {r.immersion_min:g} min",
        r.method,
        "passes" if r.valid and r.resistant else "fails",
        headline if r.valid and r.resistant is not None else "Not valid",
        r.verdict,
        r.reasons,
        (
            Number("retention, mean", value(r.mean_retention_percent, "%", decimals=1), ""),
            Number(
                "one-sided 90 % lower limit",
                value(r.lower_limit_percent, "%", decimals=1),
                "at least 50 % asked",
            ),
            Number("standard deviation", value(r.sd_percent, "%", decimals=1), ""),
            Number("SPF static, mean", number_text(r.mean_spf_static, decimals=1), ""),
            Number("SPF wet, mean", number_text(r.mean_spf_wet, decimals=1), ""),
            Number("subjects that count", str(r.n), f"{r.baths} baths of 20 min"),
        ),
        (SheetTable("Subjects", columns, rows, widths=(14, 12, 12, 13, 38)),),
        r.notes,
    )
