"""Tables of a file to drafts of formulas: codes, names, versions side by side, notes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import refuse
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.building import Draft, shown_code
from zincite.workbench.sheets.cells import Sheet
from zincite.workbench.sheets.layout import Column, TableArea, find_areas
from zincite.workbench.sheets.prices import read_prices
from zincite.workbench.sheets.rows import Ingredients, read_rows
from zincite.workbench.sheets.saying import hidden_sentences, origin, remarks, table_sentence
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


@dataclass(frozen=True, slots=True)
class _Context:
    """A table while it is understood: its area, rows, title, the answers, the file's stem."""

    area: TableArea
    table: Ingredients
    title: Title
    answers: Answers
    stem: str


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
        return origin(self.area, self.table)


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
            found.append(_read(_Context(area, table, read_title(area), answers, stem)))
    return found


def _read(context: _Context) -> ReadTable:
    area, table = context.area, context.table
    chosen, left = _amount_columns(area)
    shares: list[Shares] = []
    notes: list[str] = []
    for column in chosen:
        made = _column(context, column)
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
    understood = [table_sentence(area), *(n for s in shares for n in s.understood), *notes]
    prices, said = read_prices(area, table)
    drafts = tuple(_draft(context, one, prices, several=len(shares) > 1) for one in shares)
    return ReadTable(area, table, drafts, (*understood, *said, *hidden_sentences(area, table)))


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


def _column(context: _Context, column: Column) -> Shares | str:
    """Return a column's shares; a sentence where a column without unit words is no formula."""
    area, given = context.area, (context.table, context.answers, context.title.batch)
    is_sure = column.role != "version" or not area.role(*AMOUNT_ROLES)
    if is_sure or _VERSION.fullmatch(column.header) or _CODE.fullmatch(column.header):
        return read_shares(area, column, *given)
    # beside a column of percent, numbers under other words may be anything: HLB, an index
    try:
        return read_shares(area, column, *given)
    except InputError:
        name = area.sheet.named_column(column.index, column.header)
        return f"{name} is not read: its numbers are no amounts that sum to 100 %."


def _left_sentence(area: TableArea, column: Column) -> str:
    name = area.sheet.named_column(column.index, column.header)
    return f"{name} repeats the amounts as weights and is not needed."


def _draft(
    context: _Context,
    shares: Shares,
    prices: dict[int, tuple[float, str]],
    *,
    several: bool,
) -> Draft:
    area, title = context.area, context.title
    label = shares.column.label if several else ""
    code = _code(context, shares.column.label)
    name = title.name or code
    column = shares.column if len(area.role(*_PREFERRED)) > 1 else None
    rows = {share.row.number for share in shares.shares}
    return Draft(
        code=code,
        name=f"{name} {label}".strip() if label and label != code else name,
        emulsion=title.emulsion,
        label=label,
        shares=shares.shares,
        origin=origin(area, context.table, column),
        remarks=remarks(area, context.table, title.lines or [], rows),
        prices={row: price for row, price in prices.items() if row in rows},
    )


def _code(context: _Context, label: str) -> str:
    """Return the code: answered, of the column's own, of the title, of the sheet, of the file."""
    title, sheet = context.title, context.area.sheet
    if context.answers.code:
        return context.answers.code
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
    return shown_code(context.stem)
