"""Where the tables of a sheet lie, and what each of their columns holds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.workbench.sheets.amounts import looks_like_amount
from zincite.workbench.sheets.answers import Answers, fingerprint
from zincite.workbench.sheets.cells import Range, Sheet
from zincite.workbench.sheets.headers import (
    blocks,
    header_texts,
    is_header,
    is_subheader,
    label,
    width,
)
from zincite.workbench.sheets.phases import heading
from zincite.workbench.sheets.words import AMOUNT_ROLES, NAME_ROLES, is_total, plain, role_of

__all__ = [
    "Column",
    "TableArea",
    "answered_columns",
    "find_areas",
    "require_columns",
]

_MAX_HEADER_ROWS = 400
"""Most rows that may be headers; a sheet of more is no laboratory's."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Attributes
    ----------
    index : int
        From 1.
    role : str
        Key of `ROLE_WORDS`, "version" for amounts under a header that names no unit, "" unknown.
    header : str
        Its header's texts.
    label : str
        What tells it from other columns of its role.
    how : str
        How the role is known: "", "as you said", "remembered".
    """

    index: int
    role: str
    header: str
    label: str = ""
    how: str = ""


@dataclass(frozen=True, slots=True)
class TableArea:
    """A header and the area under it.

    Attributes
    ----------
    sheet : Sheet
    title : Range
        Area above the header, back to the table before.
    header : int
        Row of the header, 0 where the table has none.
    body : tuple of int
        Filled rows below the header.
    columns : tuple of Column
    layout : str
        Fingerprint of the headers.
    """

    sheet: Sheet
    title: Range
    header: int
    body: tuple[int, ...]
    columns: tuple[Column, ...]
    layout: str

    def role(self, *roles: str) -> list[Column]:
        """Return the columns of some roles, in order of the roles."""
        return [column for role in roles for column in self.columns if column.role == role]

    def text(self, row: int, role: str) -> str:
        """Return the text of a row in the first column of a role that is filled, else ""."""
        texts = (self.sheet.filled(row, column.index).text for column in self.role(role))
        return next(filter(None, texts), "")


def find_areas(sheet: Sheet, kind: str, answers: Answers) -> list[TableArea]:
    """Return the tables of a sheet, those side by side from left to right.

    Parameters
    ----------
    sheet : Sheet
    kind : str
        "formula" or "materials": part of the layout's fingerprint.
    answers : Answers

    Raises
    ------
    InputError
        If a column that was answered for is not there.
    """
    rows = sheet.rows()
    likely = [row for row in rows[:_MAX_HEADER_ROWS] if is_header(sheet, row, answers)]
    headers = [
        row
        for row, end in zip(likely, [*likely[1:], rows[-1] + 1 if rows else 1], strict=False)
        if any(_has_rows(area, kind) for area in _areas(sheet, kind, (1, row, end), answers))
    ]
    tops = [_title_top(sheet, row, n and headers[n - 1]) for n, row in enumerate(headers)]
    ends = [*tops[1:], rows[-1] + 1 if rows else 1]
    found = [
        area
        for row, end, top in zip(headers, ends, tops, strict=False)
        for area in _areas(sheet, kind, (top, row, end), answers)
        if _has_rows(area, kind)
    ]
    if not found and kind == "formula" and rows:
        found = headerless(sheet, kind)
    return found


def _areas(
    sheet: Sheet, kind: str, rows: tuple[int, int, int], answers: Answers
) -> list[TableArea]:
    """Return the tables under a header; `rows`: top of the title, header, end of the body."""
    found = blocks(sheet, rows[1], answers)
    made = (_area(sheet, kind, rows, block, answers) for block in found)
    return [area for area in made if area is not None]


def _has_rows(area: TableArea, kind: str) -> bool:
    """Return whether a likely header has a table under it."""
    names = [column.index for column in area.role(*NAME_ROLES)]
    filled = [row for row in area.body if any(area.sheet.cell(row, c).text for c in names)]
    if kind == "materials":
        return bool(filled) and len({c.role for c in area.columns if c.role}) > 2
    amounts = [column.index for column in area.role(*AMOUNT_ROLES, "version")]
    return any(looks_like_amount(area.sheet.cell(row, c)) for row in filled for c in amounts)


def _title_top(sheet: Sheet, header: int, above: int) -> int:
    """Return the first row of the lines over a header: those up to a gap, or to the sheet's top."""
    if not above:
        return 1
    filled = set(sheet.rows())
    row = header
    while row - 1 > above and row - 1 not in filled:
        row -= 1
    while row - 1 > above and row - 1 in filled and not _is_sum_or_share(sheet, row - 1):
        row -= 1
    return row


def _is_sum_or_share(sheet: Sheet, row: int) -> bool:
    cells = [cell for _, cell in sheet.row_cells(row, width(sheet))]
    numbers = sum(1 for cell in cells if looks_like_amount(cell))
    return bool(numbers) and (numbers > 1 or any(not looks_like_amount(c) for c in cells))


def _area(
    sheet: Sheet,
    kind: str,
    rows: tuple[int, int, int],
    block: tuple[int, int],
    answers: Answers,
) -> TableArea | None:
    top, row, end = rows
    left = block[0] if sheet.row_cells(row, range(1, block[0])) else 1
    columns = [c for c in sheet.columns() if left <= c <= block[1]]
    heads = {column: sheet.cell(row, column).text for column in columns}
    roles = {c: answers.header_role(text) or role_of(text) for c, text in heads.items()}
    names = [column for column, role in roles.items() if role in NAME_ROLES]
    if not names:
        return None
    first = row + 1
    while first < end and is_subheader(sheet, first, row, names, columns):
        first += 1
    body = tuple(row for row in sheet.rows() if first <= row < end)
    texts = [header_texts(sheet, column, (top, row, first), names) for column in columns]
    layout = fingerprint(kind, [" ".join(text) for text in texts if any(text)])
    made = []
    for column, text in zip(columns, texts, strict=True):
        header = " ".join(text)
        role, how = answers.column_role(sheet, column, header, layout)
        role = role or _column_role(sheet, column, text, body)
        if role or header:
            made.append(Column(column, role, header, label(text), how))
    title = Range(top, left, row - 1, columns[-1])
    return TableArea(sheet, title, row, body, tuple(made), layout)


def _column_role(sheet: Sheet, index: int, texts: list[str], body: tuple[int, ...]) -> str:
    """Return the role that a column's header names, or else what it holds."""
    role = next((role for text in reversed(texts) if (role := role_of(text))), "")
    if not role and texts and _holds_amounts(sheet, index, body):
        return "version"
    if not role and not texts and _holds_phases(sheet, index, body):
        return "phase"
    return role


def _holds_amounts(sheet: Sheet, column: int, body: tuple[int, ...]) -> bool:
    cells = [cell for row in body if (cell := sheet.cells.get((row, column)))]
    good = sum(1 for cell in cells if looks_like_amount(cell))
    return bool(cells) and good >= 0.6 * len(cells)


def _holds_phases(sheet: Sheet, column: int, body: tuple[int, ...]) -> bool:
    texts = [cell.text for row in body if (cell := sheet.cells.get((row, column)))]
    return bool(texts) and all(heading(text) and not is_total(text) for text in texts)


def headerless(sheet: Sheet, kind: str) -> list[TableArea]:
    """Return the one table of a sheet without header words, where its columns are plain.

    One column of amounts and one of names before it, beside at most one of phases.
    """
    rows = tuple(sheet.rows())
    columns = sheet.columns()
    amounts = [c for c in columns if _holds_amounts(sheet, c, rows)]
    phases = [c for c in columns if c not in amounts and _holds_phases(sheet, c, rows)]
    names = [c for c in columns if c not in amounts and c not in phases]
    if len(amounts) != 1 or len(names) != 1 or len(phases) > 1:
        return []
    roles = {amounts[0]: "amount", names[0]: "name", **dict.fromkeys(phases, "phase")}
    made = tuple(Column(column, role, "") for column, role in sorted(roles.items()))
    layout = fingerprint(kind, [f"{column.index} {column.role}" for column in made])
    title = Range(rows[0], columns[0], rows[0] - 1, columns[-1])
    return [TableArea(sheet, title, 0, rows, made, layout)]


def require_columns(sheet: Sheet, areas: list[TableArea], answers: Answers) -> None:
    """Refuse answers for columns that no table has.

    Raises
    ------
    InputError
        Naming the first.
    """
    columns = [column for area in areas for column in area.columns]
    used = {plain(column.header) for column in columns}
    letters = {sheet.column_name(column.index).split()[-1] for column in columns}
    for key in answers.columns:
        if key not in letters and plain(key) not in used:
            refuse(sheet.file, f"has no column {shown(key)}, expected a header or letter in it")


def answered_columns(areas: Iterable[TableArea]) -> dict[str, dict[str, str]]:
    """Return the roles that were answered, by layout and header in plain words."""
    found: dict[str, dict[str, str]] = {}
    for area in areas:
        roles = {plain(c.header): c.role for c in area.columns if c.how and c.header}
        found.setdefault(area.layout, {}).update(roles)
    return found
