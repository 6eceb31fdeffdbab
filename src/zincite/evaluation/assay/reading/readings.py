"""Columns of readings: numbers, over range and gaps, each with its place in the file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.assay.reading.axes import Block
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Cell, Origin
from zincite.evaluation.assay.reading.numbers import Beyond, is_gap, over_range

__all__ = ["Column", "read_column"]

_LEAST_SHARE = 0.1


@dataclass(slots=True)
class Column:
    """Readings beside one axis of wavelengths, in file order.

    Attributes
    ----------
    block : Block
        Where the wavelengths stand.
    index : int
        Column of the view.
    values : ndarray, shape (n,)
        As printed; NaN where there is no number.
    beyond : dict of int to Beyond
        Readings out of the instrument's range by their position.
    percent_cells : int
        How many cells carry a per cent sign.
    """

    block: Block
    index: int
    values: NDArray[np.float64]
    beyond: dict[int, Beyond]
    percent_cells: int

    def origin(self, position: int) -> Origin:
        """Return where a reading stands in the file."""
        return self.block.view.origin(self.block.lines[position], self.index)

    @property
    def place(self) -> str:
        """What the file calls the column, such as "column B"."""
        return self.block.view.column_name(self.index)


def read_column(block: Block, index: int) -> tuple[Column | None, str]:
    """Return a column of readings, or None with the reason to leave it out ("" where blank).

    Raises
    ------
    InputError
        If a cell among readings is neither a number, a gap nor over range.
    """
    view = block.view
    form = view.grid.form
    column = Column(block, index, np.full(len(block.lines), np.nan), {}, 0)
    unknown: tuple[int, Cell] | None = None
    texts = 0
    for position, line in enumerate(block.lines):
        cell = view.cell(line, index)
        if cell is None:
            continue
        if isinstance(cell, float):
            column.values[position] = cell
            continue
        percent = form.parse_percent(cell)
        if percent is not None:
            column.values[position] = percent
            column.percent_cells += 1
            continue
        found = over_range(cell, form)
        if found is not None:
            column.beyond[position] = found
        elif not is_gap(cell):
            texts += 1
            unknown = unknown or (line, cell)
    readings = int(np.isfinite(column.values).sum()) + len(column.beyond)
    if readings == 0:
        return None, ("holds only text" if texts else "")
    if readings < _LEAST_SHARE * len(block.lines) or (texts > readings and readings < 3):
        return None, "holds few numbers"
    if unknown is not None:
        view.fail(
            unknown[0],
            index,
            f"holds {shown(unknown[1])}, expected a reading, a blank for a gap, or OVER",
        )
    if 0 < column.percent_cells < int(np.isfinite(column.values).sum()):
        mixed = next(
            position
            for position, line in enumerate(block.lines)
            if isinstance(view.cell(line, index), float)
        )
        view.fail(
            block.lines[mixed],
            index,
            "has no % sign though others of its column have, expected one unit",
        )
    return column, ""
