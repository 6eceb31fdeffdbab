"""The decision which columns are transmittance and which absorbance, over a whole file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Grid
from zincite.evaluation.assay.reading.labels import column_headers, region_texts
from zincite.evaluation.assay.reading.quantity import (
    Kind,
    kind_from_values,
    kind_of_text,
    kind_of_texts,
    scale_of_transmittance,
)
from zincite.evaluation.assay.reading.readings import Column

__all__ = ["Decision", "decide_kinds"]

_ARBITRARY = re.compile(r"\s*[\[(]?\s*a\.?\s?u\.?\s*[\])]?\s*", re.I)
_FALL = 1.2
"""Ratio of readings below 320 nm to those above 390 nm that only absorbance shows."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What the columns of a file hold.

    Attributes
    ----------
    keep : tuple of bool
        Which of the given columns are used.
    kinds : tuple of Kind
        Kind of each kept column: per cent, fraction or absorbance.
    sentence : str
        What was decided and why.
    """

    keep: tuple[bool, ...]
    kinds: tuple[Kind, ...]
    sentence: str


def decide_kinds(
    grid: Grid, columns: Sequence[Column], requested: tuple[Kind, ...] | None
) -> Decision:
    """Return what each column holds: from its header, the lines above, the values, the option.

    Raises
    ------
    InputError
        If headers and values leave two readings, or the file mixes quantities.
    """
    kinds = [_said(grid, column) for column in columns]
    for column, (kind, place) in zip(columns, kinds, strict=True):
        if kind is Kind.REFLECTANCE:
            grid.fail(
                f"{column.place} holds reflectance ({place}), expected transmittance or absorbance"
            )
    said = [kind for kind, _ in kinds]
    keep = _select(grid, columns, said, requested)
    kept = [column for column, use in zip(columns, keep, strict=True) if use]
    said = [kind for kind, use in zip(said, keep, strict=True) if use]
    reason = next((place for kind, place in kinds if kind is not None), "")
    if any(kind is None for kind in said):
        fallback, reason = _silent(grid, kept, said, requested)
        said = [kind or fallback for kind in said]
    final, scale_reason = _scaled(grid, kept, [kind for kind in said if kind is not None])
    parts = [part for part in (reason, scale_reason) if part]
    found = sorted({kind.value for kind in final})
    sentence = f"Readings are {' and '.join(found)}" + (f": {', '.join(parts)}." if parts else ".")
    return Decision(tuple(keep), tuple(final), sentence)


def _said(grid: Grid, column: Column) -> tuple[Kind | None, str]:
    """Return what headers say of one column, and where."""
    if column.percent_cells:
        return Kind.PERCENT, "cells carry a % sign"
    view = column.block.view
    vague: tuple[Kind, str] | None = None
    for line, cell in column_headers(column.block, column.index):
        if not isinstance(cell, str) or _is_letter_of_row(column, line, cell):
            continue
        kind = kind_of_text(cell)
        place = f"{view.origin(line, column.index)} says {shown(cell)}"
        if kind is None:
            continue
        if vague is None and kind is not Kind.TRANSMITTANCE and not _ARBITRARY.fullmatch(cell):
            return kind, place
        # "Transmittance" may stand below its scale; "a.u." says nothing where another header does
        if vague is None or vague[0] is Kind.ABSORBANCE or kind in (Kind.PERCENT, Kind.FRACTION):
            vague = kind, place
    if vague is not None:
        return vague
    kind = kind_of_texts(region_texts(column.block)) or kind_of_texts([view.sheet])
    if kind is None:
        kind = kind_of_texts(_sheet_texts(column))
    return kind, "the header lines say so" if kind is not None else ""


def _is_letter_of_row(column: Column, line: int, cell: str) -> bool:
    """Return whether a header "A" or "T" is one of several letters, so a name and no quantity."""
    if len(cell.strip()) != 1:
        return False
    block = column.block
    letters = {block.view.cell(line, other) for other in block.columns}
    return len({text for text in letters if isinstance(text, str) and len(text) == 1}) > 1


def _sheet_texts(column: Column) -> list[str]:
    """Return the texts of a sheet outside its first 1000 lines of readings."""
    view = column.block.view
    readings = set(column.block.lines) if not view.turned else set()
    return [
        cell
        for index, line in enumerate(view.lines[:3000])
        if index not in readings
        for cell in line[:100]
        if isinstance(cell, str)
    ][:2000]


def _is_transmittance(kind: Kind | None) -> bool:
    return kind in (Kind.TRANSMITTANCE, Kind.PERCENT, Kind.FRACTION)


def _select(
    grid: Grid,
    columns: Sequence[Column],
    said: Sequence[Kind | None],
    requested: tuple[Kind, ...] | None,
) -> list[bool]:
    transmittance = [i for i, kind in enumerate(said) if _is_transmittance(kind)]
    absorbance = [i for i, kind in enumerate(said) if kind is Kind.ABSORBANCE]
    if requested is None:
        if transmittance and absorbance:
            grid.fail(
                f"{columns[transmittance[0]].place} holds transmittance and "
                f"{columns[absorbance[0]].place} absorbance, expected one quantity "
                "(or say quantity='transmittance' or quantity='absorbance')"
            )
        return [True] * len(columns)
    keep = [kind is None or kind in requested for kind in said]
    if not any(keep):
        found = next(kind for kind in said if kind is not None)
        grid.fail(
            f"holds {found.value} by its headers, though {requested[0].value} was asked for, "
            "expected the quantity that the file names"
        )
    return keep


def _finite(columns: Sequence[Column]) -> NDArray[np.float64]:
    values = np.concatenate([column.values for column in columns])
    return np.asarray(values[np.isfinite(values)])


def _silent(
    grid: Grid,
    columns: Sequence[Column],
    said: Sequence[Kind | None],
    requested: tuple[Kind, ...] | None,
) -> tuple[Kind, str]:
    """Return the kind of columns whose headers are silent, and why."""
    others = {kind for kind in said if kind is not None}
    if len(others) == 1:
        return others.pop(), "other columns of the file say so"
    if requested is not None:
        return requested[0], "the quantity option says so"
    silent = [column for column, kind in zip(columns, said, strict=True) if kind is None]
    values = _finite(silent)
    if values.size == 0:
        return Kind.ABSORBANCE, "readings are over range, as only absorbance is"
    any_over = any(beyond.above for column in silent for beyond in column.beyond.values())
    kind, reason = kind_from_values(values, _falls(silent), any_percent=False, any_over=any_over)
    if kind is None:
        grid.fail(
            f"no header names the quantity and {reason}, expected a header such as "
            "'Absorbance' or '%T' (or say quantity='absorbance' or quantity='transmittance')"
        )
    return kind, reason


def _falls(columns: Sequence[Column]) -> bool:
    short: list[NDArray[np.float64]] = []
    long: list[NDArray[np.float64]] = []
    for column in columns:
        wavelength = np.asarray(column.block.wavelength_nm)
        for band, mask in ((short, wavelength <= 320), (long, wavelength >= 390)):
            picked = column.values[mask & (wavelength >= 290) & (wavelength <= 400)]
            band.append(picked[np.isfinite(picked)])
    low, high = np.concatenate(short), np.concatenate(long)
    if low.size == 0 or high.size == 0:
        return False
    return float(low.mean()) > _FALL * max(float(high.mean()), 0.0)


def _scaled(grid: Grid, columns: Sequence[Column], kinds: Sequence[Kind]) -> tuple[list[Kind], str]:
    """Resolve transmittance of unknown scale by its values, all such columns together."""
    open_ones = [
        column for column, kind in zip(columns, kinds, strict=True) if kind is Kind.TRANSMITTANCE
    ]
    values = _finite(open_ones) if open_ones else np.empty(0)
    if values.size == 0:
        return [Kind.FRACTION if k is Kind.TRANSMITTANCE else k for k in kinds], ""
    scale, reason = scale_of_transmittance(values)
    if scale is None:
        grid.fail(
            f"{reason}, expected a header such as '%T' (or say quantity='transmittance_percent' "
            "or quantity='transmittance_fraction')"
        )
    return [scale if kind is Kind.TRANSMITTANCE else kind for kind in kinds], reason
