"""One workbook: a sheet for the notebook, then one for each table; no cell is ever a formula.

Texts are text cells whatever they begin with, numbers are numbers, days are dates. What a
workbook cannot hold is told: texts longer than a cell are cut and say so, characters that XML does
not know become the replacement character.
"""

from __future__ import annotations

import datetime
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, BinaryIO

from zincite.notebook.formats.guarding import is_risky
from zincite.notebook.frames.reading import Rows

__all__ = ["Losses", "write_workbook"]

_LONGEST = 32_767
_CUT = " ... (cut: whole in the JSON export)"
_MOST_ROWS = 1_048_576
_NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_FIRST_DAY = "1900-03-01"  # spreadsheets count days wrongly before it
_WIDTHS = {"reason": 40, "note": 40, "text": 40, "toml": 30, "evaluation": 30, "process": 40}
_WIDE, _NARROW = 22, 13
_APPLICATION = (
    b'<?xml version="1.0"?><Properties xmlns="http://schemas.openxmlformats.org/officeDocument/'
    b'2006/extended-properties"><Application>zincite</Application></Properties>'
)


@dataclass(slots=True)
class Losses:
    """What a workbook could not hold.

    Attributes
    ----------
    cut : int
        Texts that were longer than a cell.
    replaced : int
        Texts with characters that a workbook cannot hold.
    """

    cut: int = 0
    replaced: int = 0

    def sentences(self) -> tuple[str, ...]:
        """Return what to tell the reader."""
        found = []
        if self.cut:
            found.append(
                f"{self.cut} texts are longer than the {_LONGEST:,} characters of a cell and "
                "are cut: they are whole in the JSON and CSV exports"
            )
        if self.replaced:
            found.append(
                f"{self.replaced} texts hold control characters, shown as \ufffd: they are as "
                "they were in the JSON and CSV exports"
            )
        return tuple(found)


def write_workbook(
    file: BinaryIO,
    about: Mapping[str, Any],
    tables: Iterable[Rows],
    done: Callable[[str, int], None],
) -> Losses:
    """Write the workbook and return what it could not hold.

    Parameters
    ----------
    file : binary file
    about : mapping
        Told on the first sheet.
    tables : iterable of Rows
        Read one after the other, in bounded memory.
    done : callable
        Told each table's name and number of rows.
    """
    from openpyxl import Workbook
    from openpyxl.writer.excel import ExcelWriter
    from openpyxl.writer.theme import theme_xml

    book = Workbook(write_only=True)
    book.properties.creator = "zincite"
    book.loaded_theme = re.sub(r'<a:font script="[^"]*" typeface="[^"]*"/>', "", theme_xml)
    cells = _Cells()
    _write_sheets(book, Rows("notebook", ("what", "value"), iter(about.items())), cells)
    for rows in tables:
        done(rows.name, _write_sheets(book, rows, cells))
    ExcelWriter(book, _Archive(file, "w", zipfile.ZIP_DEFLATED)).save()
    return cells.losses


class _Archive(zipfile.ZipFile):
    """The workbook's zip; the library's own description of the program is not what made it."""

    def writestr(
        self,
        zinfo_or_arcname: str | zipfile.ZipInfo,
        data: Any,
        compress_type: int | None = None,
        compresslevel: int | None = None,
    ) -> None:
        """Write an entry."""
        is_about = zinfo_or_arcname == "docProps/app.xml"
        content = _APPLICATION if is_about else data
        super().writestr(zinfo_or_arcname, content, compress_type, compresslevel)


def _write_sheets(book: Any, rows: Rows, cells: _Cells) -> int:
    """Write a table, on further sheets where it is longer than one."""
    total, number = 0, 1
    values = iter(rows.values)
    while True:
        title = rows.name if number == 1 else f"{rows.name} ({number})"
        sheet = book.create_sheet(title)
        count = _write_sheet(sheet, rows.columns, values, cells)
        total += count
        if count < _MOST_ROWS - 1:
            return total
        number += 1


def _write_sheet(
    sheet: Any, columns: tuple[str, ...], values: Iterator[tuple[Any, ...]], cells: _Cells
) -> int:
    from openpyxl.utils import get_column_letter

    sheet.freeze_panes = "A2"
    for number, name in enumerate(columns, start=1):
        width = _WIDTHS.get(name, _WIDE if number == 1 else max(_NARROW, len(name) + 4))
        sheet.column_dimensions[get_column_letter(number)].width = width
    sheet.append([cells.header(sheet, name) for name in columns])
    days = [name.endswith("_on") for name in columns]
    count = 0
    while count < _MOST_ROWS - 1:
        row = next(values, None)
        if row is None:
            break
        sheet.append([cells.cell(sheet, v, day) for v, day in zip(row, days, strict=True)])
        count += 1
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(columns))}{count + 1}"
    return count


class _Cells:
    """Makes cells; keeps count of what they could not hold."""

    def __init__(self) -> None:
        from openpyxl.cell import WriteOnlyCell
        from openpyxl.styles import Font

        self.losses = Losses()
        self._made, self._bold = WriteOnlyCell, Font(bold=True)

    def header(self, sheet: Any, name: str) -> Any:
        """Return the cell of a column's name."""
        cell = self._made(sheet, name)
        cell.font = self._bold
        return cell

    def cell(self, sheet: Any, value: Any, is_day: bool) -> Any:
        """Return a value as a cell takes it, None for a cell that is not there."""
        if not isinstance(value, str):
            return value
        if not value:
            return None
        if is_day and value >= _FIRST_DAY:
            try:
                return datetime.date.fromisoformat(value)
            except ValueError:
                pass
        return self._text(sheet, value)

    def _text(self, sheet: Any, text: str) -> Any:
        if _NO_XML.search(text):
            text = _NO_XML.sub("\ufffd", text)
            self.losses.replaced += 1
        if "\r" in text:
            text = text.replace("\r\n", "\n").replace("\r", "\n")
        if len(text) > _LONGEST:
            text = text[: _LONGEST - len(_CUT)] + _CUT
            self.losses.cut += 1
        risky = is_risky(text)
        if not risky and not text.startswith("#"):
            return text
        cell = self._made(sheet, text)
        cell.data_type = "s"  # the library would make a formula or an error of it
        cell.quotePrefix = risky  # a spreadsheet keeps it a text when it is edited, too
        return cell
