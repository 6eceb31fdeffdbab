"""The table of measured figures beside their prediction."""

from __future__ import annotations

from zincite.interfaces.documents.numbers import (
    decimals_for,
    decimals_of,
    found_text,
    number_text,
    percent_text,
    with_unit,
)
from zincite.interfaces.documents.sheet import SheetTable
from zincite.workbench.assay.overlay import Comparison, Overlay

__all__ = ["prediction_table"]


def _lies(item: Comparison) -> str:
    if item.inside:
        return "inside"
    return "above" if item.measured > item.predicted.median else "below"


def _measured(item: Comparison) -> str:
    """Return the measured value as finely as the prediction, at least with three digits."""
    places = max(decimals_for(item.predicted) or 0, decimals_of(item.measured))
    return with_unit(number_text(item.measured, decimals=places), item.predicted.unit)


def prediction_table(overlay: Overlay) -> SheetTable:
    """Return measured figures beside their prediction.

    Parameters
    ----------
    overlay : Overlay
        With at least one comparison.
    """
    rows = tuple(
        (
            item.label,
            _measured(item),
            found_text(item.predicted),
            _lies(item),
            percent_text(item.quantile),
            "" if item.crps is None else number_text(item.crps),
        )
        for item in overlay.comparisons
    )
    columns = (
        ("", "left"),
        ("measured", "right"),
        ("predicted (90 % interval)", "left"),
        ("it lies", "left"),
        ("quantile", "right"),
        ("CRPS", "right"),
    )
    return SheetTable(
        "Against the prediction", columns, rows, overlay.formula, widths=(26, 12, 26, 7, 10, 9)
    )
