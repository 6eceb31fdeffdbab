"""Dates as laboratories write them: typed, 31.05.2027, 05/2027, 31-May-2027."""

from __future__ import annotations

import calendar
import datetime
import re
from collections.abc import Iterable

from zincite.evaluation.assay.reading.files import shown
from zincite.workbench.sheets.amounts import BLANKS
from zincite.workbench.sheets.cells import Sheet, SheetCell
from zincite.workbench.sheets.words import plain

__all__ = ["day_order", "read_date"]

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?")
_DAY_FIRST = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})")
_SLASHED = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4}|\d{2})")
_MONTH = re.compile(r"(\d{1,2})[./-](\d{4})|(\d{4})[-/](\d{1,2})")
_WORDED = re.compile(r"(?:(\d{1,2})\s)?([a-z]{3,10})\s(\d{4}|\d{2})")
_MONTHS = ("jan ene", "feb fev", "mar maer", "apr avr abr", "may mai", "jun juin", "jul juil",
           "aug aou ago", "sep", "oct okt", "nov", "dec dez dic")  # fmt: skip


def day_order(cells: Iterable[SheetCell]) -> str:
    """Return "day" or "month" first as dates with slashes show beyond doubt, "" otherwise."""
    orders = set()
    for cell in cells:
        found = _SLASHED.fullmatch(cell.text)
        if found and int(found[1]) > 12:
            orders.add("day")
        elif found and int(found[2]) > 12:
            orders.add("month")
    return orders.pop() if len(orders) == 1 else ""


def read_date(sheet: Sheet, row: int, column: int, order: str) -> str:
    """Return a date as YYYY-MM-DD, "" for a blank; a month alone is its last day.

    Parameters
    ----------
    sheet : Sheet
    row, column : int
    order : str
        What `day_order` says of the column.

    Raises
    ------
    InputError
        If it is no date, or may be one of two.
    """
    cell = sheet.cell(row, column)
    if isinstance(cell.value, datetime.date):
        return cell.value.isoformat()
    text = cell.text
    if not cell.fault and text.casefold() in BLANKS:
        return ""
    date = "" if cell.fault else _iso(_parts(sheet, row, column, text, order))
    if not date:
        found = cell.fault or shown(text)
        sheet.fail(row, column, f"holds {found}, expected a date such as 2027-05-31")
    return date


def _iso(parts: tuple[int, int, int] | None) -> str:
    """Return year, month and day as YYYY-MM-DD, day 0 as the month's last, "" for no date."""
    if parts is None or not (1 <= parts[1] <= 12 and 1 <= parts[0] <= 9999):
        return ""
    last = calendar.monthrange(parts[0], parts[1])[1]
    if parts[2] > last:
        return ""
    return datetime.date(parts[0], parts[1], parts[2] or last).isoformat()


def _parts(
    sheet: Sheet, row: int, column: int, text: str, order: str
) -> tuple[int, int, int] | None:
    """Return year, month and day (0 for a month alone), None where the text is no date."""
    if found := _ISO.fullmatch(text):
        return int(found[1]), int(found[2]), int(found[3])
    if found := _DAY_FIRST.fullmatch(text):
        return _year(found[3]), int(found[2]), int(found[1])
    if found := _SLASHED.fullmatch(text):
        first, second = int(found[1]), int(found[2])
        order = "day" if first > 12 else "month" if second > 12 else order
        if not order and first != second:
            sheet.fail(
                row,
                column,
                f"holds {shown(text)}, which may begin with the day or the month, expected a date "
                "such as 2027-05-31",
            )
        day, month = (first, second) if order != "month" else (second, first)
        return _year(found[3]), month, day
    if found := _MONTH.fullmatch(text):
        whole = (found[2], found[1]) if found[2] else (found[3], found[4])
        return int(whole[0]), int(whole[1]), 0
    if found := _WORDED.fullmatch(plain(text)):
        number = next((n for n, words in enumerate(_MONTHS, start=1)
                       if any(found[2].startswith(word) for word in words.split())), 0)  # fmt: skip
        return (_year(found[3]), number, int(found[1] or 0)) if number else None
    return None


def _year(text: str) -> int:
    return int(text) + (2000 if len(text) == 2 else 0)
