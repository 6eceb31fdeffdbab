"""A delimited text file as one sheet."""

from __future__ import annotations

from collections.abc import Sequence

from zincite.evaluation.assay.reading.delimited import split_lines
from zincite.evaluation.assay.reading.encodings import decode, lines_of
from zincite.notebook.formats.guarding import unguarded
from zincite.workbench.sheets.cells import Sheet, SheetCell
from zincite.workbench.sheets.words import role_of

__all__ = ["read_text_sheet"]

_DELIMITERS = ("\t", ";", ",", "|")
_SAMPLE_LINES = 200


def read_text_sheet(name: str, content: bytes) -> Sheet:
    """Return a text file's cells; the delimiter is the one that shows a header best.

    The apostrophe that an export puts before a text that begins like a formula is taken away.

    Raises
    ------
    InputError
        If it is no text or too large.
    """
    text, _ = decode(name, content)
    lines = lines_of(name, text)
    _, rows, starts = split_lines(name, lines, _delimiter(lines[:_SAMPLE_LINES]))
    cells = {
        (start, column): SheetCell(" ".join(unguarded(value).split()))
        for row, start in zip(rows, starts, strict=True)
        for column, value in enumerate(row, start=1)
        if value.strip()
    }
    return Sheet(name, "", cells)


def _delimiter(lines: Sequence[str]) -> str:
    """Return the sign between cells: first by header words, then by how often it stands there."""

    def score(sign: str) -> tuple[int, int]:
        headers = max(
            (sum(1 for part in line.split(sign) if role_of(part)) for line in lines), default=0
        )
        return (headers if headers > 1 else 0, sum(1 for line in lines if sign in line))

    return max(_DELIMITERS, key=score)
