"""Acts on what laboratories report under ISO 23675 and ISO 23698: recorded, never computed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from zincite.evaluation.assay.reading.reported import ReportedFile, read_reported
from zincite.evaluation.assay.reported import ReportedResult, record_double_plate, record_hybrid
from zincite.workbench.assay.overlay import Expected, Overlay, compared, known
from zincite.workbench.assay.report import AssayReport, FileRead, in_file

__all__ = ["double_plate", "hybrid"]

_LABELS = {
    "spf": ("SPF", ""),
    "uva_pf": ("UVA-PF", ""),
    "critical_wavelength_nm": ("critical wavelength", "nm"),
}
_NOTES = (
    "The prediction is that of people: the reported method correlates with it, it is not the same.",
)

Report = AssayReport[ReportedResult, ReportedFile]


def double_plate(
    path: str | Path,
    *,
    laboratory_valid: bool | None = None,
    product_form: str | None = None,
    laboratory: str = "",
    report: str = "",
    decimal: str | None = None,
    expected: Expected | None = None,
) -> Report:
    """Return a double-plate SPF (ISO 23675) as reported.

    Parameters
    ----------
    path, decimal
        As `read_reported`, with the figure spf.
    laboratory_valid, product_form, laboratory, report
        As `record_double_plate`.
    expected : Expected, optional
        Formula whose prediction is laid over.
    """
    found = read_reported(path, ("spf",), decimal=decimal)
    about: dict[str, Any] = {
        "laboratory_valid": laboratory_valid,
        "product_form": product_form,
        "laboratory": laboratory,
        "report": report,
    }
    with in_file(found.name):
        result = record_double_plate(found.figures.get("spf", ()), **about)
    return _report("double-plate", result, found, expected)


def hybrid(
    path: str | Path,
    *,
    laboratory_valid: bool | None = None,
    product_form: str | None = None,
    laboratory: str = "",
    report: str = "",
    decimal: str | None = None,
    expected: Expected | None = None,
) -> Report:
    """Return a hybrid diffuse-reflectance result (ISO 23698) as reported.

    Parameters
    ----------
    path, decimal
        As `read_reported`, with the figures spf, uva_pf, critical_wavelength_nm.
    laboratory_valid, product_form, laboratory, report
        As `record_hybrid`.
    expected : Expected, optional
        Formula whose prediction is laid over.
    """
    found = read_reported(path, tuple(_LABELS), decimal=decimal)
    with in_file(found.name):
        result = record_hybrid(
            found.figures.get("spf"),
            uva_pf=found.figures.get("uva_pf"),
            critical_wavelength_nm=found.figures.get("critical_wavelength_nm"),
            laboratory_valid=laboratory_valid,
            product_form=product_form,
            laboratory=laboratory,
            report=report,
        )
    return _report("hybrid", result, found, expected)


def _report(
    kind: str, result: ReportedResult, found: ReportedFile, expected: Expected | None
) -> Report:
    files = (FileRead("reported", found.name, found.understood),)
    overlay = None if expected is None else _overlay(result, expected)
    return AssayReport(kind, result, found, files, overlay)


def _overlay(result: ReportedResult, expected: Expected) -> Overlay:
    skin = expected.skin
    items = [
        compared(
            key,
            _LABELS[key][0],
            figure.mean,
            getattr(skin.draws, key),
            unit=_LABELS[key][1],
            centre=float(getattr(skin.centre, key)[0]),
        )
        for key, figure in result.figures.items()
    ]
    return expected.overlay(known(*items), notes=_NOTES)
