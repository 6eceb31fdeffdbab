"""The rows of a table: ingredients, headings of phases, sums and remarks."""

from __future__ import annotations

from dataclasses import dataclass, replace

from zincite.evaluation.assay.reading.files import shown
from zincite.workbench.sheets.amounts import looks_like_amount
from zincite.workbench.sheets.cells import Sheet
from zincite.workbench.sheets.layout import TableArea
from zincite.workbench.sheets.phases import PhaseLabel, heading, phase_label
from zincite.workbench.sheets.words import AMOUNT_ROLES, NAME_ROLES, is_total

__all__ = ["Ingredients", "Row", "read_rows"]

_LONGEST_NAME = 200


@dataclass(frozen=True, slots=True)
class Row:
    """An ingredient's row, or a sum's.

    Attributes
    ----------
    number : int
        In the sheet.
    name, inci, code : str
        As written, "" where the table has no such column.
    phase : PhaseLabel or None
        None where the table names none.
    is_sum : bool
        Whether its amounts add up rows above.
    text : str
        Of a sum: what stands beside it.
    """

    number: int
    name: str = ""
    inci: str = ""
    code: str = ""
    phase: PhaseLabel | None = None
    is_sum: bool = False
    text: str = ""

    @property
    def called(self) -> str:
        """What the sheet calls the ingredient: its name, else its INCI name or code."""
        return self.name or self.inci or self.code


@dataclass(frozen=True, slots=True)
class Ingredients:
    """The rows of one table.

    Attributes
    ----------
    rows : tuple of Row
        Ingredients and sums in order.
    remarks : tuple of str
        Other lines of the table and below it.
    last_row : int
        Where ingredients and sums end.
    """

    rows: tuple[Row, ...]
    remarks: tuple[str, ...]
    last_row: int


class _Reader:
    """Goes down a table once."""

    def __init__(self, area: TableArea) -> None:
        self.area = area
        self.sheet: Sheet = area.sheet
        self.names = [column.index for column in area.role(*NAME_ROLES)]
        self.amounts = [column.index for column in area.role(*AMOUNT_ROLES, "version")]
        self.phases = [column.index for column in area.role("phase")]
        self.width = range(area.title.left, area.title.right + 1)
        self.phase: PhaseLabel | None = None
        self.rows: list[Row] = []
        self.remarks: list[str] = []
        self.opening: list[str] = []  # headings below which no ingredient has come yet

    def read(self) -> Ingredients:
        for row in self.area.body:
            if self.sheet.row_cells(row, self.width):  # a table beside may go on further down
                self._take(row)
        self.remarks += self.opening
        last = self.rows[-1].number if self.rows else self.area.header
        return Ingredients(tuple(self.rows), tuple(self.remarks), last)

    def _take(self, row: int) -> None:
        cells = self.sheet.row_cells(row, self.width)
        texts = [cell.text for column, cell in cells if column not in self.amounts and cell.text]
        filled = [c for c in self.amounts if self._is_filled(row, c)]
        named = any(self.sheet.filled(row, column).text for column in self.names)
        total = next((text for text in texts if is_total(text)), "")
        if total:
            self.rows.append(Row(row, phase=self.phase, is_sum=True, text=total))
        elif not filled:
            self._take_words(row, texts)
        elif self._is_heading_with_sum(row, texts):
            self.phase = phase_label(texts[0])
            self.rows.append(Row(row, phase=self.phase, is_sum=True, text=texts[0]))
        elif named:
            self._add(row)
        elif all(looks_like_amount(self.sheet.cell(row, c)) for c in filled):
            self.rows.append(Row(row, phase=self.phase, is_sum=True))
        else:
            self.remarks.append(_line(self.sheet, row, self.width))

    def _is_filled(self, row: int, column: int) -> bool:
        """Return whether an amount stands in the cell itself, not in one merged from above."""
        return not self.sheet.cell(row, column).is_blank

    def _is_heading_with_sum(self, row: int, texts: list[str]) -> bool:
        """Return whether a row such as "Phase A | 25.0" opens a phase and states its sum."""
        if len(texts) != 1 or any(self.sheet.cell(row, c).text for c in self.phases):
            return False
        opened = heading(texts[0])
        return opened is not None and "phase" in texts[0].casefold()

    def _take_words(self, row: int, texts: list[str]) -> None:
        """Read a row without amounts: more INCI names, a heading, or a remark."""
        inci = self.area.text(row, "inci")
        if inci and self._continues(row):
            before = self.rows[-1]
            self.rows[-1] = replace(before, inci=f"{before.inci} (and) {inci}")
            return
        own = [self.sheet.filled(row, c).text for c in self.names]
        in_phase_column = any(self.sheet.cell(row, c).text for c in self.phases) and any(own)
        opened = heading(texts[0]) if texts and not in_phase_column else None
        if opened is not None and (len(texts) == 1 or not inci):
            self.phase = opened
            self.remarks += texts[1:]
            self.opening.append(texts[0])
        elif any(own) and self._has_more(row):
            self._add(row)
        elif texts:
            self.remarks.append(_line(self.sheet, row, self.width))

    def _continues(self, row: int) -> bool:
        """Return whether name or amount of the row are merged with those of the row above."""
        if not self.rows or self.rows[-1].is_sum:
            return False
        for column in (*(c.index for c in self.area.role("name", "code")), *self.amounts):
            area = self.sheet.merged.get((row, column))
            if area is not None and area.top < row:
                return area.top <= self.rows[-1].number
        return False

    def _has_more(self, row: int) -> bool:
        """Return whether an ingredient without amount is meant: other columns say more of it."""
        roles = ("function", "supplier", "inci", "code", "phase", "price", "density")
        said = [c for c in self.area.role(*roles) if self.sheet.cell(row, c.index).text]
        name = self.area.role("name")
        has_name = bool(name) and bool(self.sheet.cell(row, name[0].index).text)
        return bool(said) and (has_name or len(said) > 1)

    def _add(self, row: int) -> None:
        area = self.area
        self.opening.clear()
        if self.phases:
            written = self.sheet.filled(row, self.phases[0]).text
            if written:
                self.phase = phase_label(written)
        texts = {role: area.text(row, role) for role in NAME_ROLES}
        for role, text in texts.items():
            if len(text) > _LONGEST_NAME:
                self.sheet.fail(
                    row,
                    area.role(role)[0].index,
                    f"holds {len(text)} characters beginning {shown(text)}, expected a name of at "
                    f"most {_LONGEST_NAME}",
                )
        self.rows.append(Row(row, texts["name"], texts["inci"], texts["code"], self.phase))


def _line(sheet: Sheet, row: int, width: range) -> str:
    return " | ".join(cell.text for _, cell in sheet.row_cells(row, width) if cell.text)


def read_rows(area: TableArea) -> Ingredients:
    """Return the rows of a table.

    Raises
    ------
    InputError
        If a name is no name.
    """
    return _Reader(area).read()
