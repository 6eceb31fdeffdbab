"""Tables of a file to drafts of formulas: codes, names, versions side by side, notes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import column_letters, refuse, shown
from zincite.workbench.sheets.amounts import decimal_sign
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.building import Draft, shown_code
from zincite.workbench.sheets.cells import Range, Sheet
from zincite.workbench.sheets.layout import Column, TableArea, find_areas
from zincite.workbench.sheets.prices import read_prices
from zincite.workbench.sheets.rows import Ingredients, read_rows
from zincite.workbench.sheets.shares import Shares, read_shares
from zincite.workbench.sheets.titles import Title, read_title
from zincite.workbench.sheets.words import AMOUNT_ROLES, plain

__all__ = ["ReadTable", "read_formula_tables"]

_DEFAULT_NAMES = re.compile(
    r"(?:sheet|tabelle|blatt|feuil(?:le)?|hoja|table|formula|formulation|rezeptur|formule)? ?\d*"
)
_VERSION = re.compile(
    r"(?:v|ver|vers|version|trial|versuch|essai|ensayo|var|variant|variante|try|run|lot|batch"
    r"|ansatz|prototype|proto|muster|test|lab|no|nr)\s*[.:#-]?\s*\w{1,3}"
    r"|[a-z]?\d{1,3}[a-z]?|[a-z]",
    re.I,
)
_CODE = re.compile(r"[A-Z]{1,6}[-_ ]?\d+(?:[-/_.]\w+)*")
_PREFERRED = ("percent", "fraction", "per_mille", "amount", "version", "grams", "kilograms")

_READ = ("phase", "name", "inci", "code", "function", "note")


@dataclass(frozen=True, slots=True)
class ReadTable:
    """A table as read.

    Attributes
    ----------
    area : TableArea
    table : Ingredients
    drafts : tuple of Draft
    understood : tuple of str
    """

    area: TableArea
    table: Ingredients
    drafts: tuple[Draft, ...]
    understood: tuple[str, ...]

    @property
    def place(self) -> str:
        """Sheet and cells of the table."""
        return _origin(self.area, self.table)


def read_formula_tables(sheet: Sheet, answers: Answers, stem: str) -> list[ReadTable]:
    """Return the formulas of a sheet.

    Parameters
    ----------
    sheet : Sheet
    answers : Answers
    stem : str
        File name without ending: the code where nothing else says one.

    Raises
    ------
    InputError
        If a table cannot be understood; the cell is named.
    """
    found = []
    for area in find_areas(sheet, "formula", answers):
        table = read_rows(area)
        if any(not row.is_sum for row in table.rows):
            found.append(_read(area, table, answers, stem))
    return found


def _read(area: TableArea, table: Ingredients, answers: Answers, stem: str) -> ReadTable:
    title = read_title(area)
    chosen, left = _amount_columns(area)
    shares: list[Shares] = []
    notes: list[str] = []
    for column in chosen:
        made = _column(area, column, table, answers, title)
        if isinstance(made, str):
            notes.append(made)
        else:
            shares.append(made)
    if not shares:
        first = area.sheet.short_place(table.rows[0].number, area.columns[0].index)
        refuse(
            area.sheet.file,
            f"the table from {first} has no column of amounts that sums to 100 %, expected one "
            "under a header such as % (--column says which)",
        )
    notes += [_left_sentence(area, column) for column in left]
    understood = [_table_sentence(area), *(n for s in shares for n in s.understood), *notes]
    prices, said = read_prices(area, table)
    drafts = tuple(
        _draft(area, table, title, one, len(shares), answers, stem, prices) for one in shares
    )
    return ReadTable(area, table, drafts, (*understood, *said, *_hidden(area, table)))


def _amount_columns(area: TableArea) -> tuple[list[Column], list[Column]]:
    """Return the columns that give formulas and those that say the same in another unit."""
    by_role = {role: area.role(role) for role in _PREFERRED}
    for role in ("percent", "fraction", "per_mille"):
        if by_role[role]:
            # amounts beside percent under a header with a unit are the batch, not a version
            left = [c for r in ("amount", "grams", "kilograms") for c in by_role[r]]
            return by_role[role] + by_role["version"], left
    weights = by_role["grams"] or by_role["kilograms"]
    if by_role["amount"]:
        return by_role["amount"] + by_role["version"], weights
    if weights:
        other = by_role["kilograms"] if by_role["grams"] else []
        return weights + by_role["version"], other
    return by_role["version"], []


def _column(
    area: TableArea, column: Column, table: Ingredients, answers: Answers, title: Title
) -> Shares | str:
    """Return a column's shares; a sentence where a column without unit words is no formula."""
    is_sure = column.role != "version" or not area.role(*AMOUNT_ROLES)
    if is_sure or _VERSION.fullmatch(column.header) or _CODE.fullmatch(column.header):
        return read_shares(area, column, table, answers, title.batch)
    # beside a column of percent, numbers under other words may be anything: HLB, an index
    try:
        return read_shares(area, column, table, answers, title.batch)
    except InputError:
        name = area.sheet.named_column(column.index, column.header)
        return f"{name} is not read: its numbers are no amounts that sum to 100 %."


def _left_sentence(area: TableArea, column: Column) -> str:
    name = area.sheet.named_column(column.index, column.header)
    return f"{name} repeats the amounts as weights and is not needed."


def _table_sentence(area: TableArea) -> str:
    where = f"Sheet {shown(area.sheet.name)}: " if area.sheet.name else ""
    head = f"header in row {area.header}" if area.header else "no header row"
    read, unread = [], []
    for column in area.columns:
        name = area.sheet.column_name(column.index).split()[-1]
        header = shown(column.header) if column.header else "without header"
        how = f", {column.how}" if column.how else ""
        if column.role in _READ:
            read.append(f"{name} {header} = {column.role}{how}")
        elif column.role not in (*_PREFERRED, "price"):
            unread.append(f"{name} {header}")
    left = f" Not read: {', '.join(unread)}." if unread else ""
    return f"{where}{head}; {', '.join(read)}.{left}"


def _hidden(area: TableArea, table: Ingredients) -> list[str]:
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


def _origin(area: TableArea, table: Ingredients, column: Column | None = None) -> str:
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


def _draft(
    area: TableArea,
    table: Ingredients,
    title: Title,
    shares: Shares,
    count: int,
    answers: Answers,
    stem: str,
    prices: dict[int, tuple[float, str]],
) -> Draft:
    label = shares.column.label if count > 1 else ""
    code = _code(area.sheet, title, shares.column.label, answers, stem)
    name = title.name or code
    several = area.role(*_PREFERRED)
    column = shares.column if len(several) > 1 else None
    rows = {share.row.number for share in shares.shares}
    return Draft(
        code=code,
        name=f"{name} {label}".strip() if label and label != code else name,
        emulsion=title.emulsion,
        label=label,
        shares=shares.shares,
        origin=_origin(area, table, column),
        remarks=_remarks(area, table, title, rows),
        prices={row: price for row, price in prices.items() if row in rows},
    )


def _code(sheet: Sheet, title: Title, label: str, answers: Answers, stem: str) -> str:
    """Return the code: answered, of the column's own, of the title, of the sheet, of the file."""
    if answers.code:
        return answers.code
    own = label.strip()
    if (
        _CODE.fullmatch(own)
        and not _VERSION.fullmatch(own)
        and not (title.code and plain(own).startswith(plain(title.code)))
    ):
        return shown_code(own)
    if title.code:
        return shown_code(title.code)
    if sheet.name and not _DEFAULT_NAMES.fullmatch(plain(sheet.name)):
        return shown_code(sheet.name)
    return shown_code(stem)


def _remarks(area: TableArea, table: Ingredients, title: Title, rows: set[int]) -> tuple[str, ...]:
    """Return everything the sheet says beside amounts, so that nothing of it is lost."""
    found = list(title.lines or ())
    signs = area.role("note")
    for row in table.rows:
        if row.is_sum or row.number not in rows:
            continue
        said = [area.sheet.cell(row.number, c.index).text for c in signs]
        text = "; ".join(filter(None, said))
        if text:
            found.append(f"{row.called}: {text}.")
    amounts = [c.index for c in area.role(*_PREFERRED)]
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
