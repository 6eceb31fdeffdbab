"""Rows of headers: which they are, which tables they begin, what they say over each column."""

from __future__ import annotations

from zincite.workbench.sheets.amounts import looks_like_amount
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.cells import Sheet
from zincite.workbench.sheets.phases import heading
from zincite.workbench.sheets.vocabulary import ROLE_WORDS
from zincite.workbench.sheets.words import (
    AMOUNT_ROLES,
    NAME_ROLES,
    is_header_text,
    is_total,
    plain,
    role_of,
)

__all__ = ["blocks", "header_texts", "is_header", "is_subheader", "label", "width"]


def is_header(sheet: Sheet, row: int, answers: Answers) -> bool:
    """Return whether a row names a column of names and at least one more."""
    texts = [cell.text for _, cell in sheet.row_cells(row, width(sheet))]
    said = [answers.header_role(text) for text in texts]
    words = [text for text, role in zip(texts, said, strict=True) if role or is_header_text(text)]
    roles = [role or role_of(text) for text, role in zip(texts, said, strict=True)]
    named = {answers.header_role(text) or role_of(text) for text in words}
    if not named.intersection(NAME_ROLES):
        return False
    below = [cell.text for _, cell in sheet.row_cells(row + 1, width(sheet))]
    others = named | {role_of(text) for text in below if is_header_text(text)}
    has_amounts = any(role in AMOUNT_ROLES for role in roles)
    return len(others) > 1 or has_amounts or len(texts) > len(words)


def width(sheet: Sheet) -> range:
    """Return the columns from the first to the last that holds something."""
    columns = sheet.columns()
    return range(1, (columns[-1] if columns else 0) + 1)


def blocks(sheet: Sheet, row: int, answers: Answers) -> list[tuple[int, int]]:
    """Return first and last column of each table that starts in a header row."""
    cells = [
        (column, answers.header_role(cell.text) or role_of(cell.text))
        for column, cell in sheet.row_cells(row, width(sheet))
    ]
    starts: list[int] = []
    seen: set[str] = set()
    for column, role in cells:
        again = role in ("name", "inci", "phase", "code") and role in seen
        if not starts or (again and seen.intersection((*AMOUNT_ROLES, "function", "note"))):
            # the block begins after its gap, with whatever column precedes its names
            while starts and column - 1 > starts[-1] and sheet.cell(row, column - 1).text:
                before = role_of(sheet.cell(row, column - 1).text)
                if before not in ("phase", "code", "ignore"):
                    break
                column -= 1
            starts.append(column)
            seen = set()
        seen.add(role)
    ends = [start - 1 for start in starts[1:]] + [width(sheet)[-1]]
    return list(zip(starts, ends, strict=True))


def is_subheader(sheet: Sheet, row: int, header: int, names: list[int], columns: list[int]) -> bool:
    """Return whether a row continues the header: no name in it, words where amounts will be."""
    for column in names:
        area = sheet.merged.get((row, column))
        covered = area is not None and area.top <= header
        if covered:
            return True
        if sheet.cell(row, column).text:
            return False
    area_width = range(columns[0], columns[-1] + 1)
    cells = [cell for _, cell in sheet.row_cells(row, area_width)]
    return (
        bool(cells)
        and not any(looks_like_amount(c) or is_total(c.text) for c in cells)
        and any(role_of(cell.text) for cell in cells if heading(cell.text) is None)
    )


def header_texts(
    sheet: Sheet, column: int, rows: tuple[int, int, int], names: list[int]
) -> list[str]:
    """Return the texts over a column, top down: group, header, lines below it.

    Parameters
    ----------
    sheet : Sheet
    column : int
    rows : tuple of int
        Top of the title, header, first row of the body.
    names : list of int
        Columns of names.
    """
    top, header, first = rows
    texts = [_group(sheet, column, header, names) if header > top else ""]
    texts += [sheet.filled(row, column).text for row in range(header, first)]
    return [text for n, text in enumerate(texts) if text and text not in texts[:n]]


def _group(sheet: Sheet, column: int, header: int, names: list[int]) -> str:
    """Return the text above a header cell that groups columns, not a title over the table."""
    if column in names:
        return ""
    area = sheet.merged.get((header - 1, column))
    if area is not None and area.left <= max(names):
        return ""
    text = sheet.filled(header - 1, column).text
    return "" if text.endswith(":") or sheet.cell(header - 1, names[0]).text else text


def label(texts: list[str]) -> str:
    """Return what a header says beside the role of its column, such as "V2"."""
    own = [text for text in texts if not role_of(text)]
    return " ".join(own or [_beside_role(text) for text in texts]).strip()


def _beside_role(text: str) -> str:
    """Return the words of a header that do not name its role."""
    words = f" {plain(text)} "
    for phrase in sorted(ROLE_WORDS[role_of(text)], key=len, reverse=True):
        words = words.replace(f" {phrase} ", "  ")
    return _without(text, words.split()) if words.strip() else ""


def _without(text: str, kept: list[str]) -> str:
    """Return the pieces of a text whose plain words are kept."""
    pieces = [piece.strip("()[],;:") for piece in text.split()]
    return " ".join(p for p in pieces if plain(p) and set(plain(p).split()) <= set(kept))
