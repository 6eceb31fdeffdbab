"""One column of amounts while it is understood."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from zincite.evaluation.assay.reading.files import shown
from zincite.workbench.sheets.amounts import Amount
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.layout import Column, TableArea
from zincite.workbench.sheets.rows import Ingredients, Row

__all__ = ["SUM_TOLERANCE", "TO_GRAMS", "Batch", "Reading"]

SUM_TOLERANCE = 0.00015
"""How far a stated sum may be from the amounts above it, as a share of the whole."""

TO_GRAMS = {"g": 1.0, "kg": 1000.0, "mg": 0.001}
"""Grams in the units of weight."""


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch size that the sheet states: amount and unit, "g", "kg" or ""."""

    value: float
    unit: str


@dataclass
class Reading:
    """One column while it is understood.

    Attributes
    ----------
    area, column, table, answers, batch
        As `shares.read_shares` gets them.
    amounts : dict of int to Amount
        By row.
    rest : Row or None
        The row that fills up to the whole.
    notes : list of str
    """

    area: TableArea
    column: Column
    table: Ingredients
    answers: Answers
    batch: Batch | None
    amounts: dict[int, Amount] = field(default_factory=dict)
    rest: Row | None = None
    notes: list[str] = field(default_factory=list)

    @property
    def index(self) -> int:
        """Number of the column."""
        return self.column.index

    @property
    def name(self) -> str:
        """The column as messages name it."""
        header = f" ({shown(self.column.header)})" if self.column.header else ""
        sheet = self.area.sheet
        on = f" of sheet {shown(sheet.name)}" if sheet.name else ""
        return f"{sheet.column_name(self.index)}{header}{on}"

    def at(self, row: Row) -> str:
        """Return the place of the column's cell in a row."""
        return self.area.sheet.short_place(row.number, self.index)

    def ingredients(self) -> list[Row]:
        """Return the rows that are no sums."""
        return [row for row in self.table.rows if not row.is_sum]

    def plain_sum(self, rows: Sequence[Row]) -> float:
        """Return the sum of the numbers in rows."""
        return math.fsum(
            self.amounts[row.number].value
            for row in rows
            if row.number in self.amounts and self.amounts[row.number].kind == "number"
        )

    def text(self, row: Row) -> str:
        """Return what stands in the column's cell in a row."""
        cell = self.area.sheet.cell(row.number, self.index)
        return cell.text or cell.formula

    def others(self) -> list[Row]:
        """Return the ingredients beside the one that fills up."""
        return [row for row in self.ingredients() if row is not self.rest]
