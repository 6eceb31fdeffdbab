"""One sheet looked at with wavelengths running down, whichever way the file has them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import NoReturn

from zincite.evaluation.assay.reading.files import column_letters, shown
from zincite.evaluation.assay.reading.grid import Cell, Grid, Origin

__all__ = ["View", "views_of"]


@dataclass(frozen=True, slots=True)
class View:
    """A sheet's cells by line and column; turned, its lines are the sheet's columns.

    Attributes
    ----------
    grid : Grid
        The file.
    sheet : str
        Sheet name, "" for a text file.
    lines : sequence of sequence of Cell
        Cells; lines may be of uneven length.
    first_row : int
        Row index in the grid of the sheet's first row.
    turned : bool
        Whether lines are the sheet's columns.
    """

    grid: Grid
    sheet: str
    lines: Sequence[Sequence[Cell]]
    first_row: int
    turned: bool

    def cell(self, line: int, column: int) -> Cell:
        """Return a cell, None beyond the end of its line."""
        row = self.lines[line]
        return row[column] if column < len(row) else None

    def origin(self, line: int, column: int) -> Origin:
        """Return where a cell stands in the file."""
        if self.turned:
            return self.grid.origin(self.first_row + column, line)
        return self.grid.origin(self.first_row + line, column)

    def fail(self, line: int, column: int, what: str) -> NoReturn:
        """Raise the one sentence on a cell."""
        self.grid.fail(f"{self.origin(line, column)} {what}")

    def line_name(self, line: int) -> str:
        """Return what the sheet calls a line, such as "row 7"."""
        where = self.origin(line, 0)
        sheet = f" of sheet {shown(where.sheet)}" if where.sheet else ""
        if not self.turned:
            return f"row {where.row}{sheet}"
        return f"column {self._column(where)}{sheet}"

    def column_name(self, column: int) -> str:
        """Return what the sheet calls a column, such as "column B" or, turned, "row 3"."""
        where = self.origin(0, column)
        sheet = f" of sheet {shown(where.sheet)}" if where.sheet else ""
        if self.turned:
            return f"row {where.row}{sheet}"
        return f"column {self._column(where)}{sheet}"

    def _column(self, where: Origin) -> str:
        return column_letters(where.column) if where.sheet else str(where.column)

    def is_blank(self, line: int) -> bool:
        """Return whether a line holds nothing."""
        return all(cell is None for cell in self.lines[line])

    @property
    def width(self) -> int:
        """Number of columns of the longest line."""
        return max((len(line) for line in self.lines), default=0)


def views_of(grid: Grid, *, turned: bool) -> Iterator[View]:
    """Yield each sheet of a grid, its rows as lines or, turned, its columns."""
    for sheet, rows in grid.sheets():
        lines: Sequence[Sequence[Cell]] = grid.cells[rows.start : rows.stop]
        if turned:
            lines = list(zip_longest(*lines, fillvalue=None))
        yield View(grid, sheet, lines, rows.start, turned)
