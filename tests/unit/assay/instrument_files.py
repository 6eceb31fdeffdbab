"""Invented instrument files for the readers' tests."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from openpyxl import Workbook

WAVELENGTH = np.arange(290.0, 401.0)


def absorbance(count: int = 2, wavelength: NDArray[np.float64] = WAVELENGTH) -> NDArray[np.float64]:
    """Return made-up spectra of a sunscreen's shape, shape (count, n)."""
    scale = np.linspace(1.0, 1.2, count)[:, None]
    return np.round(scale * (1.2 - 0.6 / (1.0 + np.exp((370.0 - wavelength) / 8.0))), 6)


def number(value: float, decimal: str = ".", digits: int = 6) -> str:
    """Return a number as printed."""
    return f"{value:.{digits}f}".rstrip("0").rstrip(".").replace(".", decimal)


def down(
    spectra: NDArray[np.float64],
    names: Sequence[str],
    *,
    wavelength: NDArray[np.float64] = WAVELENGTH,
    axis: str = "Wavelength (nm)",
    decimal: str = ".",
) -> list[list[str]]:
    """Return a table with wavelengths in the first column."""
    rows = [[axis, *names]]
    for index, w in enumerate(wavelength):
        rows.append([number(w, decimal), *(number(s[index], decimal) for s in spectra)])
    return rows


def turned(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Return a table with rows and columns exchanged."""
    return [list(column) for column in zip(*rows, strict=True)]


def text(rows: Sequence[Sequence[str]], delimiter: str = ",", end: str = "\n") -> str:
    """Return rows as delimited text, quoted where needed."""
    if delimiter == " ":
        return end.join("   ".join(row) for row in rows) + end
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter, lineterminator=end).writerows(rows)
    return stream.getvalue()


def write(folder: Path, content: str | bytes, name: str = "scan.csv") -> Path:
    """Write a file and return its path."""
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def xlsx(folder: Path, sheets: dict[str, Sequence[Sequence[Any]]], name: str = "scan.xlsx") -> Path:
    """Write a workbook and return its path."""
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(list(row))
    path = folder / name
    book.save(path)
    return path
