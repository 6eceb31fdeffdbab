"""Lines of a delimited text file to raw cells: which delimiter, which quotes."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence

from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.evaluation.assay.reading.numbers import is_number_like, is_value_like

__all__ = ["DELIMITER_NAMES", "MAX_TEXT_CELLS", "split_lines"]

DELIMITER_NAMES = {"\t": "tabs", ";": "semicolons", ",": "commas", " ": "blank space"}

MAX_TEXT_CELLS = 500_000
"""Most cells of a text file; a measurement holds 111 wavelengths times its spectra."""

_SAMPLE_LINES = 1500
_SCORED_CELLS = 60
_BLANKS = re.compile(r"[ \t\u00a0]+")
_WIDE_BLANKS = re.compile(r"\t|[ \u00a0]{2,}")
_MAX_JOINED = 5

RawRow = list[str]


def split_lines(
    name: str, lines: Sequence[str], delimiter: str = ""
) -> tuple[str, list[RawRow], list[int]]:
    """Return delimiter, rows of raw cells and the line each row starts at (from 1).

    Where none is given, the delimiter is the one under which most cells of the numeric rows are
    readings; blank space only where no other sign explains the file.

    Raises
    ------
    InputError
        If the file holds too many cells or its commas cannot be told apart.
    """
    delimiter = delimiter or _delimiter(_sample(lines))
    count = sum(line.count(delimiter) for line in lines) + len(lines)
    if count > MAX_TEXT_CELLS:
        refuse(name, f"holds {count} cells, expected at most {MAX_TEXT_CELLS} in one file")
    rows: list[RawRow] = []
    starts: list[int] = []
    index = 0
    while index < len(lines):
        taken, row = _split_at(lines, index, delimiter)
        if row or (rows and rows[-1]):  # one empty row stands for any run of empty lines
            rows.append(row)
            starts.append(index + 1)
        index += taken
    if delimiter == ",":
        _refuse_decimal_commas(name, rows, starts)
    return delimiter, rows, starts


def _sample(lines: Sequence[str]) -> list[str]:
    if len(lines) <= _SAMPLE_LINES:
        return list(lines)
    third = _SAMPLE_LINES // 3
    middle = len(lines) // 2
    return [*lines[:third], *lines[middle : middle + third], *lines[-third:]]


def _delimiter(lines: Sequence[str]) -> str:
    scores = {sign: sum(_score(line, sign) for line in lines) for sign in DELIMITER_NAMES}
    best = max(("\t", ";", ","), key=lambda sign: scores[sign])
    if scores[" "] > 2 * scores[best]:
        return " "
    if scores[best] == 0:
        # no numeric rows: the sign that is there at all, so that messages can name cells
        return max(("\t", ";", ","), key=lambda sign: sum(line.count(sign) for line in lines))
    return best


def _score(line: str, delimiter: str) -> int:
    """Return readings less other cells of one line, 0 where it is no row of readings."""
    if delimiter != " " and delimiter not in line[:4000]:
        return 0
    cells = [cell for cell in _split(line[:4000], delimiter) if cell][:_SCORED_CELLS]
    if delimiter != " " and any(_holds_several(cell) for cell in cells):
        return 0  # "0,51   0,48" is two numbers between blanks, not three between commas
    readings = sum(1 for cell in cells if is_value_like(cell))
    numbers = sum(1 for cell in cells if is_number_like(cell)) if readings >= 2 else 0
    return max(0, 2 * readings - len(cells)) if numbers else 0


def _holds_several(cell: str) -> bool:
    if " " not in cell or len(cell) > 200:
        return False
    pieces = cell.split()
    return len(pieces) > 1 and all(is_number_like(piece) for piece in pieces)


def _split(line: str, delimiter: str) -> RawRow:
    if delimiter == " ":
        return _split_blank(line)
    if '"' not in line:
        return _trimmed([cell.strip() for cell in line.split(delimiter)])
    try:
        cells = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        cells = line.split(delimiter)
    return _trimmed([cell.strip() for cell in cells])


def _split_blank(line: str) -> RawRow:
    stripped = line.strip()
    if not stripped:
        return []
    cells = _BLANKS.split(stripped)
    if all(is_value_like(cell) for cell in cells[:50]):
        return cells
    wide = [cell.strip() for cell in _WIDE_BLANKS.split(stripped)]
    return wide if len(wide) > 1 else cells


def _trimmed(cells: RawRow) -> RawRow:
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _split_at(lines: Sequence[str], index: int, delimiter: str) -> tuple[int, RawRow]:
    """Return how many lines a row takes (more than 1 where a quoted cell breaks) and its cells."""
    line = lines[index]
    if delimiter == " " or not _opens_quote(line, delimiter):
        return 1, _split(line, delimiter)
    joined = line
    for extra in range(1, min(_MAX_JOINED, len(lines) - index)):
        joined += " " + lines[index + extra]
        if joined.count('"') % 2 == 0:
            return extra + 1, _split(joined, delimiter)
    return 1, _trimmed([cell.strip().strip('"') for cell in line.split(delimiter)])


def _opens_quote(line: str, delimiter: str) -> bool:
    if line.count('"') % 2 == 0:
        return False
    last = line.rfind('"')
    return line[:last].rstrip(" ").endswith(delimiter) or not line[:last].strip()


def _refuse_decimal_commas(name: str, rows: list[RawRow], starts: list[int]) -> None:
    """Refuse commas that both separate cells and stand in numbers ("290,0,512")."""
    numeric = [
        index
        for index, row in enumerate(rows)
        if len(row) >= 3 and all(is_value_like(cell) for cell in row if cell)
    ]
    if not numeric:
        return
    cells = [cell for index in numeric for cell in row_texts(rows[index])]
    if any("." in cell or "," in cell for cell in cells if is_number_like(cell)):
        return
    first = numeric[0]
    width = len(rows[first])
    header = max((len(row) for row in rows[max(0, first - 3) : first]), default=0)
    odd = next((i for i in numeric if len(rows[i]) != width), None)
    # a fraction follows its whole number, so the first cell is none: "01" there is a code
    zero = next((i for i in numeric if any(map(_leading_zero, rows[i][1:]))), None)
    if zero is None and odd is None and header >= width:
        return
    row = next((i for i in (zero, odd) if i is not None), first)
    refuse(
        name,
        f"row {starts[row]} reads {shown(','.join(rows[row]))}, where a comma may separate cells "
        "or be a decimal sign, expected semicolons or tabs between cells, or decimal points",
    )


def row_texts(row: RawRow) -> list[str]:
    """Return the cells of a row that hold something."""
    return [cell for cell in row if cell]


def _leading_zero(cell: str) -> bool:
    return len(cell) > 1 and cell[0] == "0" and cell.isdigit()
