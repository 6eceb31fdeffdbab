"""The cells of a laboratory's sheet: values, how they are shown, and where they stand."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from typing import NoReturn

from zincite.evaluation.assay.reading.files import column_letters, refuse, shown
from zincite.evaluation.assay.reading.grid import Origin

__all__ = ["EMPTY", "Range", "Sheet", "SheetCell"]

Value = str | float | datetime.date | None


@dataclass(frozen=True, slots=True)
class SheetCell:
    """One cell.

    Attributes
    ----------
    value : str, float, date or None
        Text without blanks around it; a number shown as per cent is times 100 already.
    is_percent : bool
        Whether a number is shown as per cent.
    formula : str
        What the cell computes, "" where it was typed.
    fault : str
        Why its value cannot be used, in words, "" where it can.
    """

    value: Value = None
    is_percent: bool = False
    formula: str = ""
    fault: str = ""

    @property
    def is_blank(self) -> bool:
        """Whether nothing is in it, not even a fault."""
        return self.value is None and not self.fault

    @property
    def text(self) -> str:
        """The value as a person would write it, "" for nothing."""
        if isinstance(self.value, float):
            return f"{self.value:.15g}" + (" %" if self.is_percent else "")
        if isinstance(self.value, datetime.date):
            return self.value.isoformat()
        return self.value or ""


EMPTY = SheetCell()


@dataclass(frozen=True, slots=True)
class Range:
    """A rectangle of cells, rows and columns from 1, both ends included."""

    top: int
    left: int
    bottom: int
    right: int

    def __str__(self) -> str:
        first = f"{column_letters(self.left)}{self.top}"
        return f"{first}:{column_letters(self.right)}{self.bottom}"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of a workbook, or a text file.

    Attributes
    ----------
    file : str
        Name of the file, for messages.
    name : str
        Of the sheet, "" for a text file.
    cells : dict of (int, int) to SheetCell
        What is filled, by row and column from 1.
    merged : dict of (int, int) to Range
        The merged range that each merged cell belongs to.
    hidden_rows, hidden_columns : frozenset of int
    """

    file: str
    name: str
    cells: dict[tuple[int, int], SheetCell]
    merged: dict[tuple[int, int], Range] = field(default_factory=dict)
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    _rows: dict[int, list[int]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        # one forgotten cell in the last row must not make a million empty ones worth a look
        rows: dict[int, list[int]] = {}
        for row, column in sorted(self.cells):
            rows.setdefault(row, []).append(column)
        object.__setattr__(self, "_rows", rows)

    def cell(self, row: int, column: int) -> SheetCell:
        """Return a cell, empty beyond what is filled."""
        return self.cells.get((row, column), EMPTY)

    def filled(self, row: int, column: int) -> SheetCell:
        """Return a cell, with the value of the merged range that it belongs to."""
        area = self.merged.get((row, column))
        return self.cell(row, column) if area is None else self.cell(area.top, area.left)

    def rows(self) -> list[int]:
        """Return the numbers of the rows that hold something."""
        return list(self._rows)

    def columns(self) -> list[int]:
        """Return the numbers of the columns that hold something."""
        return sorted({column for _, column in self.cells})

    def row_cells(self, row: int, columns: range) -> list[tuple[int, SheetCell]]:
        """Return the filled cells of a row within columns."""
        filled = self._rows.get(row, ())
        return [(column, self.cells[row, column]) for column in filled if column in columns]

    def place(self, row: int, column: int) -> str:
        """Return a cell's place as messages name it."""
        return str(Origin(self.name, row, column))

    def short_place(self, row: int, column: int) -> str:
        """Return a cell's place without its sheet, for lists on one sheet."""
        if self.name:
            return f"{column_letters(column)}{row}"
        return f"row {row}, column {column}"

    def column_name(self, column: int) -> str:
        """Return a column as a person would name it."""
        return f"column {column_letters(column) if self.name else column}"

    def named_column(self, column: int, header: str) -> str:
        """Return a column with its header, as sentences begin with it."""
        name = self.column_name(column)
        return f"{name[0].upper()}{name[1:]}{f' ({shown(header)})' if header else ''}"

    def fail(self, row: int, column: int, what: str) -> NoReturn:
        """Raise the one sentence on a cell.

        Raises
        ------
        InputError
            Always.
        """
        refuse(self.file, f"{self.place(row, column)} {what}")
