"""What terminal and page show of an evaluated test: decision, numbers, then detail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from zincite.interfaces.documents.numbers import (
    NOT_KNOWN,
    decimals_for,
    decimals_of,
    found_text,
    number_text,
    percent_text,
    with_unit,
)
from zincite.workbench.assay.overlay import Comparison, Overlay

__all__ = ["Number", "Sheet", "SheetTable", "interval", "joined", "prediction_table", "value"]


@dataclass(frozen=True, slots=True)
class Number:
    """One line of results.

    Attributes
    ----------
    name, shown : str
        What it is and its value as printed.
    beside : str
        Interval, limit or what it rests on.
    """

    name: str
    shown: str
    beside: str = ""


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of detail.

    Attributes
    ----------
    heading, about : str
        The about stands small beside the heading.
    columns : tuple of (str, str)
        Heading with unit, and "left" or "right".
    rows : tuple of tuple of str
    widths : tuple of int
        Of a terminal's columns; empty lets each take what it needs.
    """

    heading: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    about: str = ""
    widths: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """A test as shown.

    Attributes
    ----------
    title, method : str
        Name of the test; standard and edition.
    verdict : str
        "passes", "short", "fails" or "unknown": which mark stands before the headline.
    headline, sentence : str
        The decision in few words, and in one sentence.
    reasons : tuple of str
        What stands against it.
    numbers : tuple of Number
    tables : tuple of SheetTable
    notes : tuple of str
    """

    title: str
    method: str
    verdict: str
    headline: str
    sentence: str
    reasons: tuple[str, ...] = ()
    numbers: tuple[Number, ...] = ()
    tables: tuple[SheetTable, ...] = ()
    notes: tuple[str, ...] = ()


def value(found: float | None, unit: str = "", *, decimals: int | None = None) -> str:
    """Return a number with its unit, in words where there is none."""
    if found is None:
        return NOT_KNOWN
    return with_unit(number_text(found, decimals=decimals), unit)


def interval(
    low: float | None, high: float | None, *, percent: int = 95, decimals: int | None = None
) -> str:
    """Return "95 %: 20 to 30", "" where there is no interval."""
    if low is None or high is None:
        return ""
    ends = " to ".join(number_text(end, decimals=decimals) for end in (low, high))
    return f"{percent} %: {ends}"


def joined(parts: Sequence[str], sign: str = "; ") -> str:
    """Return the parts that say something in one line."""
    return sign.join(part for part in parts if part)


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
