"""Reading of the tables that ship inside the package.

A table is a CSV file: comment lines that start with '#', one header row, then rows. Cells are
parsed by hand because general readers are too slow for a command that reads some twenty tables
at start; a row is handed to the csv module only where it holds a quote.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING

import numpy as np

from zincite.errors import InputError, MissingDataError

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["read_header", "read_rows", "read_table", "read_text"]


def read_text(relative_path: str) -> str:
    """Return the text of a file in the package's data folder.

    Parameters
    ----------
    relative_path : str
        Path below the data folder, with forward slashes.

    Raises
    ------
    MissingDataError
        If there is no such file.
    """
    try:
        return files("zincite.data").joinpath(*relative_path.split("/")).read_text("utf-8")
    except (FileNotFoundError, IsADirectoryError, NotADirectoryError) as error:
        raise MissingDataError(
            f"data file {relative_path} is not in the package, expected a file in its data folder"
        ) from error


def _split(line: str) -> list[str]:
    if '"' not in line:
        return [cell.strip() for cell in line.split(",")]
    import csv

    return [cell.strip() for cell in next(csv.reader([line], skipinitialspace=True))]


@lru_cache(maxsize=64)
def _cells(relative_path: str) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    header: tuple[str, ...] | None = None
    rows: list[tuple[str, ...]] = []
    for number, line in enumerate(read_text(relative_path).splitlines(), start=1):
        if not line.strip() or line.startswith("#"):
            continue
        cells = tuple(_split(line))
        if header is None:
            header = cells
            continue
        if len(cells) != len(header):
            raise InputError(
                f"data file {relative_path}, line {number}: {len(cells)} cells found, "
                f"expected {len(header)} as in the header"
            )
        rows.append(cells)
    if header is None:
        raise InputError(f"data file {relative_path} has no header row, expected column names")
    return header, tuple(rows)


def read_header(relative_path: str) -> dict[str, str]:
    """Return the '# key: value' comment lines of a data file.

    Parameters
    ----------
    relative_path : str
        Path below the data folder, with forward slashes.

    Returns
    -------
    dict of str to str
        Text by key, such as "source", "unit" and "note"; a repeated key is joined by a blank.

    Raises
    ------
    MissingDataError
        If there is no such file.
    """
    header: dict[str, str] = {}
    for line in read_text(relative_path).splitlines():
        if not line.startswith("#"):
            continue
        key, colon, value = line.lstrip("#").strip().partition(":")
        if colon and key and " " not in key:
            header[key] = f"{header[key]} {value.strip()}" if key in header else value.strip()
    return header


def read_rows(relative_path: str) -> list[dict[str, str]]:
    """Return the rows of a table as text.

    Parameters
    ----------
    relative_path : str
        Path below the data folder, with forward slashes.

    Returns
    -------
    list of dict of str to str
        One dict per row, by column name; a blank cell is "".

    Raises
    ------
    MissingDataError
        If there is no such file.
    InputError
        If a row has more or fewer cells than the header.
    """
    header, rows = _cells(relative_path)
    return [dict(zip(header, row, strict=True)) for row in rows]


def _number(cell: str) -> float:
    return float(cell) if cell else float("nan")


@lru_cache(maxsize=64)
def _columns(relative_path: str) -> dict[str, NDArray[np.float64]]:
    header, rows = _cells(relative_path)
    columns: dict[str, NDArray[np.float64]] = {}
    for name, cells in zip(header, zip(*rows, strict=True), strict=bool(rows)):
        try:
            column = np.array([_number(cell) for cell in cells], dtype=np.float64)
        except ValueError:
            continue
        column.flags.writeable = False
        columns[name] = column
    return columns


def read_table(relative_path: str) -> dict[str, NDArray[np.float64]]:
    """Return the numeric columns of a table.

    Parameters
    ----------
    relative_path : str
        Path below the data folder, with forward slashes, such as "spectra/photobiology.csv".

    Returns
    -------
    dict of str to ndarray, shape (n_rows,)
        Read-only arrays by column name, in the file's order. A blank cell is nan; a column that
        holds text in any cell is left out (`read_rows` gives it).

    Raises
    ------
    MissingDataError
        If there is no such file.
    InputError
        If a row has more or fewer cells than the header.
    """
    return dict(_columns(relative_path))
