"""Any instrument file as one grid of cells that knows where each came from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

from zincite.errors import InputError
from zincite.evaluation.assay.reading.delimited import DELIMITER_NAMES, split_lines
from zincite.evaluation.assay.reading.encodings import decode, lines_of
from zincite.evaluation.assay.reading.files import (
    column_letters,
    is_workbook,
    read_bytes,
    refuse,
    shown,
)
from zincite.evaluation.assay.reading.numbers import (
    NumberForm,
    evidence_of_sign,
    is_number_like,
    is_value_like,
)
from zincite.evaluation.assay.reading.workbook import read_workbook_rows

__all__ = ["Cell", "Grid", "Origin", "read_grid"]

Cell = str | float | None
"""Text, a number, or nothing."""

_JUDGED_CELLS = 100
"""Cells by which a row counts as one of readings."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a cell stands in its file.

    Attributes
    ----------
    sheet : str
        Sheet of a workbook, "" in a text file.
    row, column : int
        From 1.
    """

    sheet: str
    row: int
    column: int

    def __str__(self) -> str:
        if self.sheet:
            return f"cell {column_letters(self.column)}{self.row} of sheet {shown(self.sheet)}"
        return f"row {self.row}, column {self.column}"


@dataclass(frozen=True, slots=True)
class Grid:
    """The cells of an instrument's file.

    Attributes
    ----------
    name : str
        File name without folders.
    cells : tuple of tuple of Cell
        Rows of uneven length; numbers are parsed under the file's decimal sign.
    row_origin : tuple of (str, int)
        Sheet ("" in a text file) and row or line number from 1 of each row.
    encoding : str
        "UTF-8", "UTF-16 LE", "UTF-16 BE", "Latin-1" or "XLSX".
    delimiter : str
        Tab, semicolon, comma, blank, or "" for a workbook.
    form : NumberForm
        Decimal sign and grouping of thousands.
    notes : tuple of str
        What was left out, in sentences.
    """

    name: str
    cells: tuple[tuple[Cell, ...], ...]
    row_origin: tuple[tuple[str, int], ...]
    encoding: str
    delimiter: str
    form: NumberForm = field(default_factory=NumberForm)
    notes: tuple[str, ...] = ()

    @property
    def decimal(self) -> str:
        """Decimal sign, "." or ","."""
        return self.form.decimal

    def origin(self, row: int, column: int) -> Origin:
        """Return where the cell at indices from 0 stands in the file."""
        sheet, number = self.row_origin[row]
        return Origin(sheet, number, column + 1)

    def fail(self, what: str, row: int | None = None, column: int | None = None) -> NoReturn:
        """Raise the one sentence on this file, on a cell of it where one is given.

        Raises
        ------
        InputError
            Always.
        """
        if row is not None:
            what = f"{self.origin(row, column or 0)} {what}"
        refuse(self.name, what)

    def sheets(self) -> Iterator[tuple[str, range]]:
        """Yield name and row indices of each sheet; one, named "", for a text file."""
        start = 0
        for index in range(1, len(self.row_origin) + 1):
            ends = index == len(self.row_origin)
            if ends or self.row_origin[index][0] != self.row_origin[start][0]:
                yield self.row_origin[start][0], range(start, index)
                start = index

    def describe(self) -> str:
        """Return in one sentence what kind of file it is."""
        comma = "decimal comma" if self.decimal == "," else "decimal point"
        if not self.delimiter:
            names = [name for name, _ in self.sheets()]
            count = "1 sheet" if len(names) == 1 else f"{len(names)} sheets"
            return f"Workbook with {count}."
        return f"{self.encoding} text, cells between {DELIMITER_NAMES[self.delimiter]}, {comma}."


def read_grid(
    path: str | Path, *, decimal: str | None = None, thousands_possible: bool = True
) -> Grid:
    """Return the cells of a delimited text file or an XLSX workbook.

    Parameters
    ----------
    path : str or Path
        File to read: text of at most 64 MB between tabs, semicolons, commas or blanks in UTF-8,
        UTF-16 with mark or Latin-1; or XLSX.
    decimal : str, optional
        "." or "," where the file itself cannot tell.
    thousands_possible : bool
        False where values of 1000 and more cannot occur, so that "1,234" is 1.234.

    Returns
    -------
    Grid

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    if decimal not in (None, ".", ","):
        raise InputError(f"decimal sign is {shown(decimal)}, expected '.' or ','")
    name, content = read_bytes(path)
    raw: list[list[Cell]]
    if is_workbook(content):
        rows, notes = read_workbook_rows(name, content)
        raw = [list(values) for _, _, values in rows]
        origin = tuple((sheet, number) for sheet, number, _ in rows)
        encoding, delimiter = "XLSX", ""
    else:
        text, encoding = decode(name, content)
        del content
        delimiter, texts, starts = split_lines(name, lines_of(name, text))
        raw = [[cell or None for cell in row] for row in texts]
        origin = tuple(("", start) for start in starts)
        notes = ()
    draft = Grid(name, tuple(map(tuple, raw)), origin, encoding, delimiter, notes=notes)
    form = NumberForm(decimal) if decimal else _number_form(draft, thousands_possible)
    cells = tuple(tuple(_parsed(cell, form) for cell in row) for row in draft.cells)
    return Grid(name, cells, origin, encoding, delimiter, form, notes)


def _parsed(cell: Cell, form: NumberForm) -> Cell:
    if not isinstance(cell, str):
        return cell
    number = form.parse(cell)
    return cell if number is None else number


def _number_form(grid: Grid, thousands_possible: bool) -> NumberForm:
    """Infer the decimal sign from the rows of readings, refusing what could be either."""
    if not any(_may_not_be_point(cell) for row in grid.cells for cell in row):
        return NumberForm(".")
    certain: dict[str, tuple[int, int]] = {}
    unsure: dict[str, tuple[int, int]] = {}
    grouped = False
    for row, column, text in _number_texts(grid):
        evidence = evidence_of_sign(text)
        if evidence is None:
            continue
        sign, is_certain, groups = evidence
        (certain if is_certain else unsure).setdefault(sign, (row, column))
        grouped = grouped or groups
    if len(certain) == 2:
        first, second = certain["."], certain[","]
        grid.fail(
            f"uses a decimal point in {grid.origin(*first)} ({_text(grid, first)}) and a decimal "
            f"comma in {grid.origin(*second)} ({_text(grid, second)}), expected one of them"
        )
    if certain:
        sign = next(iter(certain))
        other = "," if sign == "." else "."
        if other in unsure and not grouped:
            grid.fail(
                f"is {_text(grid, unsure[other])}, where the sign may group thousands or be "
                f"decimal though the file's decimal sign is {sign!r}, expected one meaning",
                *unsure[other],
            )
        return NumberForm(sign, grouped)
    if "," in unsure:
        if thousands_possible or "." in unsure:
            found = _text(grid, unsure[","])
            grid.fail(
                f"is {found}, which may be a decimal comma or thousands, expected numbers without "
                "thousands separators (or say decimal=',' or decimal='.')",
                *unsure[","],
            )
        return NumberForm(",")
    return NumberForm(".")


def _may_not_be_point(cell: Cell) -> bool:
    return isinstance(cell, str) and ("," in cell or cell.count(".") > 1)


def _text(grid: Grid, place: tuple[int, int]) -> str:
    return shown(grid.cells[place[0]][place[1]])


def _number_texts(grid: Grid) -> Iterator[tuple[int, int, str]]:
    """Yield the number texts of rows of readings; of all rows where no row is one."""
    found = False
    for strict in (True, False):
        for index, row in enumerate(grid.cells):
            filled = [cell for cell in row if cell is not None]
            if len(filled) > _JUDGED_CELLS:
                filled = filled[:_JUDGED_CELLS]
            numbers = sum(1 for cell in filled if not isinstance(cell, str) or is_value_like(cell))
            # header lines hold versions and dates: they have no say in the decimal sign
            if strict and (numbers < 2 or numbers < 0.6 * len(filled)):
                continue
            for column, cell in enumerate(row):
                if isinstance(cell, str) and is_number_like(cell):
                    found = True
                    yield index, column, cell
        if found:
            return
