"""Delimited text: UTF-8, commas, a header line, texts in quotes, numbers bare.

A text stands in double quotes, a double quote in it twice; a number, true and false stand without
quotes, with a decimal point; nothing between two commas is "no number". Lines end with CR LF. A
text that a spreadsheet would run gets an apostrophe in front (see `guarding`).
"""

from __future__ import annotations

from typing import Any, BinaryIO

from zincite.notebook.formats.guarding import guarded
from zincite.notebook.frames.reading import Rows

__all__ = ["write_delimited"]

_MARK = b"\xef\xbb\xbf"  # without it spreadsheets take UTF-8 for something else
_BATCH = 500


def write_delimited(file: BinaryIO, rows: Rows) -> int:
    """Write a table and return its number of rows."""
    file.write(_MARK)
    file.write(_line(rows.columns))
    count = 0
    lines: list[bytes] = []
    for row in rows.values:
        lines.append(_line(row))
        count += 1
        if len(lines) >= _BATCH:
            file.write(b"".join(lines))
            lines.clear()
    file.write(b"".join(lines))
    return count


def _line(row: tuple[Any, ...]) -> bytes:
    return (",".join(map(_cell, row)) + "\r\n").encode()


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = guarded(value).replace('"', '""')
        return f'"{text}"'
    return repr(value)
