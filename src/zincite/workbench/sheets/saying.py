"""What a table of a formula says beside its amounts, and what is said of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from zincite.evaluation.assay.reading.files import column_letters, shown
from zincite.workbench.sheets.amounts import decimal_sign
from zincite.workbench.sheets.cells import Range
from zincite.workbench.sheets.layout import Column, TableArea
from zincite.workbench.sheets.rows import Ingredients
from zincite.workbench.sheets.words import AMOUNT_ROLES

__all__ = ["hidden_sentences", "origin", "remarks", "table_sentence"]

_READ = ("phase", "name", "inci", "code", "function", "note")


def table_sentence(area: TableArea) -> str:
    """Return which columns are read as what, and which are not read."""
    where = f"Sheet {shown(area.sheet.name)}: " if area.sheet.name else ""
    head = f"header in row {area.header}" if area.header else "no header row"
    read, unread = [], []
    for column in area.columns:
        name = area.sheet.column_name(column.index).split()[-1]
        header = shown(column.header) if column.header else "without header"
        how = f", {column.how}" if column.how else ""
        if column.role in _READ:
            read.append(f"{name} {header} = {column.role}{how}")
        elif column.role not in (*AMOUNT_ROLES, "version", "price"):
            unread.append(f"{name} {header}")
    left = f" Not read: {', '.join(unread)}." if unread else ""
    return f"{where}{head}; {', '.join(read)}.{left}"


def hidden_sentences(area: TableArea, table: Ingredients) -> list[str]:
    """Return which hidden rows and columns are read."""
    sheet = area.sheet
    rows = [r.number for r in table.rows if r.number in sheet.hidden_rows]
    columns = [c.index for c in area.columns if c.index in sheet.hidden_columns]
    said = []
    if rows:
        said.append(f"Hidden rows are read too: {', '.join(map(str, rows[:10]))}.")
    if columns:
        letters = ", ".join(column_letters(c) for c in columns[:10])
        said.append(f"Hidden columns are read too: {letters}.")
    return said


def origin(area: TableArea, table: Ingredients, column: Column | None = None) -> str:
    """Return file, sheet and cells of a table, and the column where it has several."""
    columns = [c.index for c in area.columns]
    first = area.header or table.rows[0].number
    cells = Range(first, min(columns), table.last_row, max(columns))
    if not area.sheet.name:
        where = f"rows {first} to {table.last_row}"
        at = f", column {column.index}" if column else ""
    else:
        where = f"sheet {shown(area.sheet.name)}, cells {cells}"
        at = f", column {column_letters(column.index)}" if column else ""
    return f"{area.sheet.file}, {where}{at}"


def remarks(
    area: TableArea, table: Ingredients, lines: Sequence[str], rows: Collection[int]
) -> tuple[str, ...]:
    """Return everything the sheet says beside amounts, so that nothing of it is lost.

    Parameters
    ----------
    area : TableArea
    table : Ingredients
    lines : sequence of str
        From above the table.
    rows : collection of int
        Rows that have an amount.
    """
    found = list(lines)
    signs = area.role("note")
    for row in table.rows:
        if row.is_sum or row.number not in rows:
            continue
        said = [area.sheet.cell(row.number, c.index).text for c in signs]
        text = "; ".join(filter(None, said))
        if text:
            found.append(f"{row.called}: {text}.")
    amounts = [c.index for c in area.role(*AMOUNT_ROLES, "version")]
    for row in table.rows:
        if not row.is_sum and row.number not in rows:
            texts = [area.sheet.cell(row.number, c) for c in amounts]
            words = [c.text for c in texts if isinstance(c.value, str)]
            if words and not decimal_sign(texts):
                found.append(f"{row.called}: {words[0]}.")
    phases = {row.phase.name: row.phase.remark for row in table.rows
              if row.phase is not None and row.phase.remark}  # fmt: skip
    found += [f"Phase {name}: {text}." for name, text in phases.items()]
    return (*found, *table.remarks)
