"""Opening of a workbook or a text file as sheets, without running or following anything in it."""

from __future__ import annotations

import datetime
import io
import math
import posixpath
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import is_workbook, read_bytes, refuse, shown
from zincite.evaluation.assay.reading.workbook import (
    MAX_WORKBOOK_CELLS,
    check_archive,
    is_percent_format,
    open_sheets,
)
from zincite.workbench.sheets.cells import Range, Sheet, SheetCell
from zincite.workbench.sheets.markup import Marks, read_marks
from zincite.workbench.sheets.texts import read_text_sheet

__all__ = ["Opened", "open_file"]

_MAX_ROW = 1_048_576
_MAX_MERGED_CELLS = 50_000
_LEFT_OUT = {
    "xl/vbaProject.bin": "Macros in the workbook are neither read nor run.",
    "xl/connections.xml": "Data connections of the workbook are not opened.",
    "xl/model/item.data": "The data model of the workbook is not opened.",
}


@dataclass(frozen=True, slots=True)
class Opened:
    """A file as sheets.

    Attributes
    ----------
    name : str
        File name without folders.
    content : bytes
        The file, byte for byte.
    sheets : tuple of Sheet
        Visible ones first to last; a hidden one only where it was asked for.
    notes : tuple of str
        What was left out, in sentences.
    """

    name: str
    content: bytes
    sheets: tuple[Sheet, ...]
    notes: tuple[str, ...]


def open_file(path: str | Path, *, sheet: str | None = None) -> Opened:
    """Return the sheets of a file.

    Parameters
    ----------
    path : str or Path
        XLSX workbook, or text between tabs, semicolons, commas or bars.
    sheet : str, optional
        The only sheet that is wanted.

    Raises
    ------
    InputError
        If the file is none of these, hostile, damaged or too large, or lacks the sheet.
    """
    name, content = read_bytes(path)
    if not is_workbook(content):
        if sheet is not None:
            refuse(name, f"is a text file without sheets, expected no --sheet {shown(sheet)}")
        return Opened(name, content, (read_text_sheet(name, content),), ())
    _refuse_other_kinds(name, content)
    has_formulas = check_archive(name, content)
    # the parsers raise whatever they meet on broken XML: one sentence is what the chemist needs
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            sheets, notes = _read_workbook(name, content, has_formulas, sheet)
    except InputError:
        raise
    except MemoryError:
        refuse(name, "needs more memory than there is, expected a smaller workbook")
    except Exception as error:  # noqa: BLE001
        _broken(name, error, "")
    return Opened(name, content, sheets, notes)


def _broken(name: str, error: Exception, where: str) -> NoReturn:
    refuse(
        name,
        f"is a broken or incomplete workbook ({type(error).__name__}{where}), "
        "expected a whole .xlsx file",
    )


def _refuse_other_kinds(name: str, content: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = set(archive.namelist())
    except Exception:  # noqa: BLE001 - the check of the archive words the damage
        return
    if "mimetype" in names and "content.xml" in names:
        refuse(name, "is an OpenDocument file (.ods), expected it saved as .xlsx")
    if "xl/workbook.bin" in names:
        refuse(name, "is a binary workbook (.xlsb), expected it saved as .xlsx")


def _read_workbook(
    name: str, content: bytes, has_formulas: bool, wanted: str | None
) -> tuple[tuple[Sheet, ...], tuple[str, ...]]:
    values = open_sheets(content, data_only=True)
    formulas = open_sheets(content, data_only=False) if has_formulas else [None] * len(values)
    titles = [sheet.title for sheet in values]
    if wanted is not None and wanted not in titles:
        names = ", ".join(shown(title) for title in titles[:10])
        refuse(name, f"has no sheet {shown(wanted)}, expected one of {names}")
    notes = list(_left_out(content))
    found: list[Sheet] = []
    count = 0
    for sheet, twin in zip(values, formulas, strict=True):
        if wanted is not None and sheet.title != wanted:
            continue
        if wanted is None and sheet.sheet_state != "visible":
            notes.append(f"Hidden sheet {shown(sheet.title)} is not read; --sheet names it.")
            continue
        read = _read_sheet(name, content, sheet, twin, MAX_WORKBOOK_CELLS - count)
        count += len(read.cells)
        found.append(read)
    if not any(sheet.cells for sheet in found):
        refuse(name, "holds no cells on visible sheets, expected a table")
    return tuple(found), tuple(notes)


def _read_sheet(name: str, content: bytes, values: Any, formulas: Any, room: int) -> Sheet:
    marks = read_marks(name, values.title, content, values._worksheet_path)
    cells: dict[tuple[int, int], SheetCell] = {}
    visited = 0
    last = 0
    rows = values.iter_rows()
    twins = formulas.iter_rows() if formulas is not None else None
    while True:
        try:
            row = next(rows, None)
            twin = next(twins, ()) if twins is not None else ()
        except Exception as error:  # noqa: BLE001 - a number that is none, a broken reference
            _broken(name, error, f" below row {last} of sheet {shown(values.title)}")
        if row is None:
            break
        last += 1
        visited += len(row)
        if last > _MAX_ROW or visited > MAX_WORKBOOK_CELLS or len(cells) > room:
            refuse(name, f"holds more than {MAX_WORKBOOK_CELLS} cells, expected fewer")
        for column, cell in enumerate(row, start=1):
            made = _cell(cell, twin[column - 1] if column <= len(twin) else None)
            if not made.is_blank:
                cells[last, column] = made
    merged = _merged(name, values.title, marks, cells)
    return Sheet(
        name, values.title, cells, merged, marks.hidden_rows, frozenset(marks.hidden_columns())
    )


def _merged(
    name: str, title: str, marks: Marks, cells: dict[tuple[int, int], SheetCell]
) -> dict[tuple[int, int], Range]:
    bottom = max((row for row, _ in cells), default=0)
    right = max((column for _, column in cells), default=0)
    merged: dict[tuple[int, int], Range] = {}
    for area in marks.merged:
        below, beside = min(area.bottom, bottom + 1), min(area.right, right)
        size = max(below - area.top + 1, 0) * max(beside - area.left + 1, 0)
        if len(merged) + size > _MAX_MERGED_CELLS:
            refuse(
                name,
                f"sheet {shown(title)} merges {area} and more, expected at most "
                f"{_MAX_MERGED_CELLS} merged cells",
            )
        for row in range(area.top, below + 1):
            for column in range(area.left, beside + 1):
                merged[row, column] = area
    return merged


def _cell(cell: Any, twin: Any) -> SheetCell:
    formula = ""
    if twin is not None and twin.data_type == "f":
        formula = str(getattr(twin.value, "text", twin.value))
    value = cell.value
    if value is None:
        # a saved empty text keeps its type "str"; a formula never computed has none
        unsaved = formula and cell.data_type != "str"
        fault = "a formula without a saved value" if unsaved else ""
        return SheetCell(None, formula=formula, fault=fault)
    if cell.data_type == "e":
        return SheetCell(None, formula=formula, fault=f"the error {value}")
    if isinstance(value, bool):
        return SheetCell("true" if value else "false", formula=formula)
    if isinstance(value, int | float):
        return _number(float(value), is_percent_format(cell.number_format), formula)
    if isinstance(value, datetime.datetime):
        return SheetCell(value.date(), formula=formula)
    if isinstance(value, datetime.date):
        return SheetCell(value, formula=formula)
    text = " ".join("".join(c if c.isprintable() else " " for c in str(value)).split())
    return SheetCell(text or None, formula=formula)


def _number(value: float, is_percent: bool, formula: str) -> SheetCell:
    if not math.isfinite(value):
        return SheetCell(None, formula=formula, fault=f"the number {value}")
    # 0.07 shown as 7 % is 7, not 7.000000000000001
    best = round(value * 100.0, 12) if is_percent else value
    return SheetCell(best, is_percent, formula)


def _left_out(content: bytes) -> Iterator[str]:
    """Yield what a workbook holds beside its sheets, none of which is touched."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        names = archive.namelist()
        yield from (text for part, text in _LEFT_OUT.items() if part in names)
        links = [n for n in names if n.startswith("xl/externalLinks/") and n.endswith(".xml")]
        if links:
            targets = [target for n in links for target in _targets(archive, n)]
            listed = ", ".join(shown(target) for target in targets[:5])
            yield (
                f"{len(links)} link{'s' if len(links) > 1 else ''} to other files"
                f"{f' ({listed})' if listed else ''} not followed; the saved values are read."
            )


def _targets(archive: zipfile.ZipFile, link: str) -> Iterator[str]:
    """Yield the last part of the addresses that an external link names."""
    import defusedxml.ElementTree as Xml

    part = f"xl/externalLinks/_rels/{posixpath.basename(link)}.rels"
    try:
        tree = Xml.fromstring(archive.read(part))
    except Exception:  # noqa: BLE001 - a link that is broken is not followed either
        return
    for entry in tree:
        address = entry.get("Target", "").replace("\\", "/").rstrip("/")
        if address:
            yield address.rsplit("/", 1)[-1]
