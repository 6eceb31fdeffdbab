"""Sheet of double-plate and hybrid results: as the laboratory reported them."""

from __future__ import annotations

from zincite.evaluation.assay.reading.reported import ReportedFile
from zincite.evaluation.assay.reported import DOUBLE_PLATE, ReportedResult
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

__all__ = ["FIGURE_NAMES", "reported_sheet"]

FIGURE_NAMES = {
    "spf": ("SPF", ""),
    "uva_pf": ("UVA-PF", ""),
    "critical_wavelength_nm": ("critical wavelength", "nm"),
}


def reported_sheet(report: AssayReport[ReportedResult, ReportedFile]) -> Sheet:
    """Return the sheet of a result recorded as reported."""
    r = report.result
    double = r.method == DOUBLE_PLATE
    told = ", ".join(
        f"{FIGURE_NAMES[key][0]} {value(found.mean, FIGURE_NAMES[key][1], decimals=1)}"
        for key, found in r.figures.items()
    )
    numbers = tuple(
        Number(
            f"{FIGURE_NAMES[key][0]}, mean",
            value(found.mean, FIGURE_NAMES[key][1], decimals=2),
            joined(
                [
                    interval(found.low, found.high, decimals=1),
                    "" if found.sd is None else f"standard deviation {number_text(found.sd)}",
                    f"{found.n} value{'s' * (found.n > 1)}",
                ]
            ),
        )
        for key, found in r.figures.items()
    )
    tables = tuple(
        SheetTable(
            f"{FIGURE_NAMES[key][0]} as reported",
            (("values", "left"),),
            ((", ".join(number_text(x, digits=4) for x in values),),),
        )
        for key, values in r.values.items()
    )
    where = joined([r.laboratory, r.report], ", ")
    return Sheet(
        "Double-plate SPF in vitro" if double else "Hybrid diffuse reflectance",
        r.method,
        "passes" if r.valid else "fails",
        "Recorded as valid" if r.valid else "Recorded, not valid",
        f"{told}, as reported{f' by {where}' if where else ''}; nothing was computed here but "
        "means and intervals.",
        r.reasons,
        numbers,
        tables,
        (r.statement,),
    )
