"""Evaluated tests as sheets: one description that terminal and page both show."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from zincite.interfaces.documents.sheet import Number, Sheet, SheetTable
from zincite.workbench.assay.report import AssayReport

__all__ = ["Number", "Sheet", "SheetTable", "sheet_of"]

_SHEETS = {
    "uva": ("plates", "uva_sheet"),
    "photostability": ("plates", "photostability_sheet"),
    "broad-spectrum": ("plates", "broad_spectrum_sheet"),
    "spf": ("panels", "spf_sheet"),
    "uva-pf": ("panels", "uva_pf_sheet"),
    "water": ("panels", "water_sheet"),
    "double-plate": ("recorded", "reported_sheet"),
    "hybrid": ("recorded", "reported_sheet"),
    "colour": ("appearance", "colour_sheet"),
    "contrast": ("appearance", "contrast_sheet"),
    "screening": ("powders", "screening_sheet"),
    "size": ("powders", "size_sheet"),
    "flow": ("powders", "flow_sheet"),
}


def sheet_of(report: AssayReport[Any, Any]) -> Sheet:
    """Return the sheet of an evaluated test; only that test's module is loaded."""
    module, name = _SHEETS[report.kind]
    found: Sheet = getattr(import_module(f"{__name__}.{module}"), name)(report)
    return found
