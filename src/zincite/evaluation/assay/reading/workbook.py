"""Cells of an XLSX workbook, read without running, resolving or trusting anything in it.

The zip is judged before it is opened as a workbook: entries, sizes, ratio and markup of its XML.
Macros, links to other files, pictures and charts are never read.
"""

from __future__ import annotations

import io
import re
import struct
import warnings
import zipfile
from typing import TYPE_CHECKING, Any

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import column_letters, refuse, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = [
    "MAX_WORKBOOK_CELLS",
    "SheetRow",
    "check_archive",
    "is_percent_format",
    "open_sheets",
    "read_workbook_rows",
]

MAX_WORKBOOK_CELLS = 300_000
"""Most cells of a workbook; more belongs in a text file."""

_MAX_ENTRIES = 2_000
_MAX_TOTAL_BYTES = 128 * 2**20
_MAX_XML_BYTES = 32 * 2**20
_MAX_PART_BYTES = 8 * 2**20
_MAX_RATIO = 200.0
_RATIO_COUNTS_ABOVE_BYTES = 2**20
_MAX_TAGS = 1_500_000
_MAX_DIRECTORY_BYTES = 2**20
_END_RECORD = b"PK\x05\x06"
_DOCTYPE = re.compile(rb"<\x00?!\x00?(?:D\x00?O\x00?C|E\x00?N\x00?T)")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_LITERAL = re.compile(r'"[^"]*"|\\.|_.')
_CHUNK = 2**20
_MAX_ROW = 1_048_576

Value = str | float | None
SheetRow = tuple[str, int, list[Value]]
"""Sheet name, row number from 1, values from column A."""


def read_workbook_rows(name: str, content: bytes) -> tuple[list[SheetRow], tuple[str, ...]]:
    """Return the rows that hold something, sheet after sheet, and notes on what was left out.

    Parameters
    ----------
    name : str
        File name for messages.
    content : bytes
        The workbook.

    Raises
    ------
    InputError
        If it is no workbook, too large, hostile, or a formula has no saved value.
    """
    has_formulas = check_archive(name, content)
    # openpyxl raises whatever its parsers meet on broken XML: at this boundary every failure
    # means the same, and the chemist needs one sentence
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return _read(name, content, has_formulas)
    except InputError:
        raise
    except MemoryError:
        refuse(name, "needs more memory than there is, expected a smaller workbook")
    except Exception as error:  # noqa: BLE001
        refuse(
            name,
            f"is a broken or incomplete workbook ({type(error).__name__}), "
            "expected a whole .xlsx file",
        )


def check_archive(name: str, content: bytes) -> bool:
    """Judge the zip before anything in it is parsed; return whether any sheet holds formulas.

    Raises
    ------
    InputError
        If it is no workbook, damaged, protected or larger than the limits.
    """
    broken = "is a truncated or damaged zip archive, expected a whole .xlsx workbook"
    end = content.rfind(_END_RECORD, max(0, len(content) - 65_557))
    if end < 0 or len(content) - end < 22:
        refuse(name, broken)
    (directory_bytes,) = struct.unpack_from("<I", content, end + 12)
    if directory_bytes > _MAX_DIRECTORY_BYTES:
        refuse(name, f"is a zip of more than {_MAX_ENTRIES} entries, expected a workbook")
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            _check_entries(name, archive.infolist())
            return _check_markup(name, archive)
    except InputError:
        raise
    except Exception:  # noqa: BLE001 - zipfile, zlib and struct raise many kinds on damage
        refuse(name, broken)


def _check_entries(name: str, entries: list[zipfile.ZipInfo]) -> None:
    names = {entry.filename for entry in entries}
    if len(entries) > _MAX_ENTRIES or len(names) != len(entries):
        refuse(name, f"is a zip of {len(entries)} entries, expected a workbook's few")
    if "[Content_Types].xml" not in names or not any(n.startswith("xl/") for n in names):
        refuse(name, "is a zip archive without a workbook in it, expected .xlsx or delimited text")
    if any(entry.flag_bits & 1 for entry in entries):
        refuse(name, "is protected by a password, expected a workbook without one")
    total = sum(entry.file_size for entry in entries)
    if total > _MAX_TOTAL_BYTES:
        refuse(
            name,
            f"would unpack to {total / 2**20:.0f} MB, expected at most {_MAX_TOTAL_BYTES >> 20} MB",
        )
    for entry in entries:
        ratio = entry.file_size / max(entry.compress_size, 1)
        if entry.file_size > _RATIO_COUNTS_ABOVE_BYTES and ratio > _MAX_RATIO:
            refuse(
                name,
                f"holds {shown(entry.filename)} packed {ratio:.0f} times smaller than it is, "
                f"expected at most {_MAX_RATIO:.0f} times",
            )


def _check_markup(name: str, archive: zipfile.ZipFile) -> bool:
    """Bound the XML that will be parsed: size, tags, no document type; return if formulas."""
    formulas = False
    tags = 0
    for entry in archive.infolist():
        if not entry.filename.lower().endswith((".xml", ".rels")):
            continue
        sheet = entry.filename.lower().startswith("xl/worksheets/")
        limit = _MAX_XML_BYTES if sheet else _MAX_PART_BYTES
        if entry.file_size > limit:
            refuse(
                name,
                f"holds {shown(entry.filename)} of {entry.file_size / 2**20:.0f} MB, "
                f"expected at most {limit >> 20} MB",
            )
        tail = b""
        with archive.open(entry) as stream:
            while chunk := stream.read(_CHUNK):
                tags += chunk.count(b"<")
                window = tail + chunk
                if _DOCTYPE.search(window):
                    refuse(name, "declares XML entities, which no workbook does, expected .xlsx")
                formulas = formulas or (sheet and bool(_FORMULA.search(window)))
                tail = chunk[-16:]
        if tags > _MAX_TAGS:
            refuse(
                name, f"holds more than {MAX_WORKBOOK_CELLS} cells, expected fewer or a text file"
            )
    return formulas


def _read(name: str, content: bytes, has_formulas: bool) -> tuple[list[SheetRow], tuple[str, ...]]:
    sheets = open_sheets(content, data_only=True)
    formulas = _formula_cells(content) if has_formulas else {}
    rows: list[SheetRow] = []
    hidden: list[str] = []
    count = 0
    for sheet in sheets:
        if sheet.sheet_state != "visible":
            hidden.append(sheet.title)
            continue
        marked = formulas.get(sheet.title, set())
        for number, row in enumerate(sheet.iter_rows(), start=1):
            if number > _MAX_ROW:
                refuse(name, f"has a row below {_MAX_ROW}, expected a sheet of ordinary size")
            count += len(row)
            if count > MAX_WORKBOOK_CELLS:
                refuse(
                    name,
                    f"holds more than {MAX_WORKBOOK_CELLS} cells, expected fewer or a text file",
                )
            if marked:
                _refuse_unsaved_formula(name, sheet.title, number, row, marked)
            values = [_value(cell) for cell in row]
            while values and values[-1] is None:
                values.pop()
            if values or (rows and rows[-1][0] == sheet.title and rows[-1][2]):
                rows.append((sheet.title, number, values))
    if not any(values for _, _, values in rows):
        refuse(name, "holds no cells on visible sheets, expected a table")
    return rows, tuple(f"Hidden sheet {shown(title)} is not read." for title in hidden)


def open_sheets(content: bytes, *, data_only: bool) -> list[Any]:
    """Return the sheets of a judged workbook, to be read row by row.

    Parameters
    ----------
    content : bytes
        The workbook, after `check_archive`.
    data_only : bool
        Whether formula cells give their saved values instead of their formulas.
    """
    from openpyxl import load_workbook

    book = load_workbook(
        io.BytesIO(content), read_only=True, data_only=data_only, keep_links=False, keep_vba=False
    )
    sheets = list(book.worksheets)
    for sheet in sheets:
        sheet.reset_dimensions()  # a stated size may be wrong, or vast on purpose
    return sheets


def _formula_cells(content: bytes) -> dict[str, set[tuple[int, int]]]:
    return {
        sheet.title: set(_formulas_of(sheet))
        for sheet in open_sheets(content, data_only=False)
        if sheet.sheet_state == "visible"
    }


def _formulas_of(sheet: Any) -> Iterator[tuple[int, int]]:
    for number, row in enumerate(sheet.iter_rows(), start=1):
        if number > _MAX_ROW:
            return
        for index, cell in enumerate(row):
            if cell.data_type == "f":
                yield number, index


def _refuse_unsaved_formula(
    name: str, title: str, number: int, row: tuple[Any, ...], marked: set[tuple[int, int]]
) -> None:
    for index, cell in enumerate(row):
        # a saved empty text keeps its type "str"; a formula never computed has none
        if cell.value is None and (number, index) in marked and cell.data_type != "str":
            refuse(
                name,
                f"cell {column_letters(index + 1)}{number} of sheet {shown(title)} holds a formula "
                "without a saved value, expected a workbook saved after it was computed",
            )


def is_percent_format(number_format: str | None) -> bool:
    """Return whether a number format shows a number times 100 with a per cent sign.

    A sign in quotes or behind a backslash is only printed.

    Examples
    --------
    >>> is_percent_format("0.00%"), is_percent_format('0.0" %"')
    (True, False)
    """
    return "%" in _LITERAL.sub("", number_format or "")


def _value(cell: Any) -> Value:
    value = cell.value
    if value is None:
        return None
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        number = float(value)
        if number != number or number in (float("inf"), float("-inf")):
            return str(number)
        if is_percent_format(cell.number_format):
            return f"{round(number * 100.0, 12)!r} %"
        return number
    text = str(value).replace("\n", " ").replace("\r", " ").strip()
    return text or None
