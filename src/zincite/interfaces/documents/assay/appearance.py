"""Sheets of measured appearance: white cast and contrast ratio."""

from __future__ import annotations

from zincite.evaluation.assay.colour import Change, ColourTest
from zincite.evaluation.assay.contrast import ContrastRatio
from zincite.evaluation.assay.reading import ColourFile
from zincite.evaluation.assay.reading.contrast import ContrastFile
from zincite.interfaces.documents.numbers import number_text, percent_text, signed_text
from zincite.interfaces.documents.sheet import Number, Sheet, SheetTable, interval, value
from zincite.workbench.assay.report import AssayReport

__all__ = ["colour_sheet", "contrast_sheet"]

_NAMES = {"delta_l": "dL*", "delta_e00": "dE00", "delta_ita_deg": "dITA"}
_HEADLINES = {
    "passes": "Within the limit",
    "short": "Above the limit, not surely",
    "fails": "Above the limit",
    "": "No limit was given, so nothing is judged",
}


def change_text(change: Change | None, *, signed: bool = True) -> str:
    """Return a mean change with its interval, such as "+3.1 (+2.2 to +4.0)"."""
    if change is None:
        return "none on a card"
    show = signed_text if signed else number_text
    middle = show(change.mean, decimals=1)
    if change.low is None or change.high is None:
        return middle
    return f"{middle} ({show(change.low, decimals=1)} to {show(change.high, decimals=1)})"


def colour_sheet(report: AssayReport[ColourTest, ColourFile]) -> Sheet:
    """Return the sheet of a white cast measurement."""
    r = report.result
    worst = max(r.classes, key=lambda item: item.delta_e00.mean)
    where = worst.name if r.surface == "card" else f"{worst.name} skin"
    sentence = (
        f"Most changed: {where}, dE00 {change_text(worst.delta_e00, signed=False)}, "
        f"dL* {change_text(worst.delta_l)}, {worst.n} subject{'s' * (worst.n > 1)}."
    )
    if r.limit is not None:
        sentence += f" Limit: {_NAMES[r.limit.quantity]} at most {r.limit.at_most:g}."
    rows = tuple(
        (
            item.name,
            str(item.n),
            change_text(item.delta_l),
            change_text(item.delta_e00, signed=False),
            number_text(item.delta_e00_of_means, decimals=1),
            change_text(item.delta_ita_deg),
            item.verdict,
            percent_text(item.probability),
        )
        for item in r.classes
    )
    columns = (
        ("class" if r.surface == "skin" else "card", "left"),
        ("n", "right"),
        ("dL* (95 %)", "left"),
        ("dE00 (95 %)", "left"),
        ("dE00 of means", "right"),
        ("dITA, deg (95 %)", "left"),
        ("limit", "left"),
        ("chance", "right"),
    )
    return Sheet(
        f"White cast measured on {r.surface}",
        r.method,
        "fails" if not r.valid else r.verdict or "unknown",
        _HEADLINES[r.verdict] if r.valid else "Not valid",
        sentence,
        (*r.reasons, *report.missed),
        (),
        (SheetTable("Changes", columns, rows, "with the film less bare; dL* above 0 whitens"),),
        ("Paired: each subject is its own control, repeats are averaged first.", *report.notes),
    )


def contrast_sheet(report: AssayReport[ContrastRatio, ContrastFile]) -> Sheet:
    """Return the sheet of a contrast ratio."""
    r = report.result
    rows = tuple(
        (str(n), number_text(black), number_text(white), number_text(ratio, decimals=1))
        for n, (black, white, ratio) in enumerate(
            zip(
                report.readings.over_black,
                report.readings.over_white,
                r.ratios_percent,
                strict=True,
            ),
            start=1,
        )
    )
    scale = report.readings.scale
    columns = (
        ("card", "left"),
        (f"{scale} over black", "right"),
        (f"{scale} over white", "right"),
        ("contrast ratio, %", "right"),
    )
    return Sheet(
        "Contrast ratio",
        r.method,
        "passes" if r.valid else "fails",
        "Measured" if r.valid else "Not valid",
        f"{value(r.mean_percent, '%', decimals=1)} of the light over white comes back over black; "
        "100 % hides wholly.",
        r.reasons,
        (
            Number(
                "contrast ratio, mean",
                value(r.mean_percent, "%", decimals=1),
                interval(r.low_percent, r.high_percent, decimals=1),
            ),
            Number("standard deviation", value(r.sd_percent, "%", decimals=2), ""),
        ),
        (SheetTable("Cards", columns, rows),),
    )
