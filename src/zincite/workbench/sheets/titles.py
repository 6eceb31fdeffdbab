"""What stands above a table: code, name, type of emulsion, batch size and other lines."""

from __future__ import annotations

import re
from dataclasses import dataclass

from zincite.evaluation.assay.reading.numbers import NumberForm, evidence_of_sign
from zincite.workbench.sheets.cells import Sheet
from zincite.workbench.sheets.layout import TableArea
from zincite.workbench.sheets.reading import Batch
from zincite.workbench.sheets.vocabulary import EMULSION_WORDS
from zincite.workbench.sheets.words import plain, title_key

__all__ = ["Title", "emulsion_in", "read_title"]

_KEYED = re.compile(r"([^:=]{1,40})\s*[:=]\s*(.*)")
_SIZE = re.compile(r"(\d[\d.,\u00a0 ]*?)\s*(kg|g)\b\.?.*", re.I)
_CODE_WORD = re.compile(
    r"(?:formula|formulation|rezeptur|formel|formule|code|trial)\s+"
    r"(?:no\.?|nr\.?|n°|code)?\s*([A-Z]{0,5}[-_ ]?\d[\w./-]{0,20})",
    re.I,
)
_CODE_FIRST = re.compile(r"([A-Z]{1,5}[-_]\d[\w./]{0,12})\s*[-–:,]?\s+(.{3,})")
_LONGEST = 200


@dataclass(slots=True)
class Title:
    """What the lines above a table say; "" and None where they do not.

    Attributes
    ----------
    code, name, emulsion : str
    batch : Batch or None
    lines : list of str
        All other lines.
    headline : str
        First line that is no keyword with a value: the name where no keyword gives one.
    """

    code: str = ""
    name: str = ""
    emulsion: str = ""
    batch: Batch | None = None
    lines: list[str] | None = None
    headline: str = ""

    def add_line(self, text: str) -> None:
        """Keep a line that says nothing known."""
        self.lines = [*(self.lines or []), text]


def emulsion_in(text: str) -> str:
    """Return the emulsion type that a text names, "" for none or several.

    Examples
    --------
    >>> emulsion_in("Sun fluid SPF 50 (W/O)"), emulsion_in("Wasser-in-Öl")
    ('water-in-oil', 'water-in-oil')
    """
    folded = plain(text)
    words = text.casefold().replace("ö", "o") + " " + folded
    found = [
        emulsion
        for pattern, emulsion in EMULSION_WORDS
        if re.search(rf"(?<![a-z])(?:{pattern})(?![a-z])", words)
    ]
    return found[0] if len(found) == 1 else ""


def read_title(area: TableArea) -> Title:
    """Return what the area above a table says."""
    title = Title()
    columns = range(area.title.left, area.title.right + 1)
    for row in range(area.title.top, area.title.bottom + 1):
        cells = area.sheet.row_cells(row, columns)
        _read_line(title, area.sheet, row, [(c, cell.text) for c, cell in cells if cell.text])
    if title.name and title.headline:
        title.lines = [title.headline, *(title.lines or [])]
    title.name = title.name or title.headline
    return title


def _read_line(title: Title, sheet: Sheet, row: int, cells: list[tuple[int, str]]) -> None:
    index = 0
    while index < len(cells):
        column, text = cells[index]
        keyed = _KEYED.fullmatch(text)
        key = title_key(keyed[1]) if keyed else title_key(text)
        following = cells[index + 1] if index + 1 < len(cells) else None
        if keyed and key and keyed[2].strip():
            _set(title, key, keyed[2].strip(), text)
        elif key and following is not None and not title_key(following[1].rstrip(":= ")):
            _set(title, key, following[1], text)
            index += 1
        elif not _is_group(sheet, row, column):
            _free(title, _with_value(text, following))
            index += bool(following and text.endswith((":", "=")))
        index += 1


def _is_group(sheet: Sheet, row: int, column: int) -> bool:
    """Return whether a text groups columns of the table rather than saying something of it."""
    area = sheet.merged.get((row, column))
    return area is not None and area.left > 2 and area.right > area.left


def _with_value(text: str, following: tuple[int, str] | None) -> str:
    return f"{text} {following[1]}" if following and text.endswith((":", "=")) else text


def _set(title: Title, key: str, value: str, text: str) -> None:
    if key == "batch":
        title.batch = title.batch or _batch(value, text)
    elif key == "emulsion":
        title.emulsion = title.emulsion or emulsion_in(value)
        if not emulsion_in(value):
            title.add_line(f"{text.rstrip(': ')}: {value}")
    elif key == "ph":
        title.add_line(f"pH {value}")
    elif getattr(title, key):
        title.add_line(f"{text.rstrip(': ')}: {value}")
    else:
        setattr(title, key, value[:_LONGEST])


def _number(text: str) -> float | None:
    evidence = evidence_of_sign(text)
    return NumberForm(evidence[0] if evidence else ".").parse(text)


def _batch(value: str, text: str) -> Batch | None:
    found = _SIZE.fullmatch(value)
    number = _number((found[1] if found else value).replace(" ", ""))
    if number is None or number <= 0:
        return None
    words = plain(text).split()
    unit = found[2].lower() if found else next((u for u in ("kg", "g") if u in words), "")
    return Batch(number, unit)


def _free(title: Title, text: str) -> None:
    """Take a line without a known key: a code, the name, or a remark."""
    coded = _CODE_WORD.search(text)
    if coded and not title.code:
        title.code = coded[1].strip()
    first = _CODE_FIRST.fullmatch(text)
    if first and not title.code:
        title.code = first[1]
        text = first[2]
    title.emulsion = title.emulsion or emulsion_in(text)
    if coded and coded[0].strip() == text.strip():
        return
    if not title.headline and ":" not in text and _number(text) is None:
        title.headline = text[:_LONGEST]
    else:
        title.add_line(text)
