"""Invented sheets as laboratories keep them, and what an import must read from them."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from zincite.errors import InputError
from zincite.workbench.sheets import FormulaPlan, answers_of, understand_formulas
from zincite.workbench.sheets.plan import PlannedFormula

ZINC = "zinc-oxide-100-silane"
OIL = "caprylic-capric-triglyceride"
EMULSIFIER = "polyglyceryl-3-polyricinoleate"
SALT = "magnesium-sulfate"

Shares = list[tuple[str, str, float, bool]]

FLUID: Shares = [
    ("A", ZINC, 18.0, False),
    ("A", OIL, 12.5, False),
    ("A", EMULSIFIER, 3.0, False),
    ("B", "water", 61.8, True),
    ("B", SALT, 0.7, False),
    ("B", "glycerin", 4.0, False),
]
"""The invented fluid that most sheets describe."""

FIXED: Shares = [(phase, card, percent, False) for phase, card, percent, _ in FLUID]
"""The same where the sheet states the water as a number."""


@dataclass(frozen=True)
class Computed:
    """A formula cell with the value that a spreadsheet program saved beside it."""

    formula: str
    saved: float | str | None = None


def workbook(
    folder: Path,
    sheets: Mapping[str, Sequence[Sequence[Any]]],
    *,
    merged: Sequence[tuple[str, str]] = (),
    formats: Mapping[str, str] | None = None,
    name: str = "lab.xlsx",
) -> Path:
    """Write sheets by name; `merged` and `formats` name cells of the first one or of SHEET!CELL."""
    book = Workbook()
    book.remove(book.active)
    saved: dict[tuple[int, str], float | str] = {}
    for number, (title, rows) in enumerate(sheets.items(), start=1):
        sheet = book.create_sheet(title)
        for r, row in enumerate(rows, start=1):
            for c, value in enumerate(row, start=1):
                if value is None:
                    continue
                cell = sheet.cell(r, c)
                if isinstance(value, Computed):
                    cell.value = value.formula
                    if value.saved is not None:
                        saved[number, cell.coordinate] = value.saved
                else:
                    cell.value = value
                    if isinstance(value, str) and value.startswith("="):
                        cell.data_type = "s"
    for title, cells in merged:
        book[title].merge_cells(cells)
    for cells, shown in (formats or {}).items():
        for row in book.worksheets[0][cells] if ":" in cells else ((book.worksheets[0][cells],),):
            for cell in row:
                cell.number_format = shown
    path = folder / name
    book.save(path)
    if saved:
        _save_values(path, saved)
    return path


def _save_values(path: Path, saved: Mapping[tuple[int, str], float | str]) -> None:
    """Write saved values into formula cells, as a spreadsheet program does."""
    with zipfile.ZipFile(path) as old:
        parts = {entry: old.read(entry) for entry in old.namelist()}
    for (number, cell), value in saved.items():
        part = f"xl/worksheets/sheet{number}.xml"
        kind = b' t="str"' if isinstance(value, str) else b""
        pattern = rb'<c r="%s"([^>]*)>(<f>.*?</f>)<v\s*(?:/>|></v>)' % cell.encode()
        put = rb'<c r="%s"\1%s>\2<v>%s</v>' % (cell.encode(), kind, str(value).encode())
        parts[part], count = re.subn(pattern, put, parts[part])
        assert count == 1, cell
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for entry, data in parts.items():
            new.writestr(entry, data)


def patched(path: Path, changes: Mapping[str, bytes | tuple[bytes, bytes]]) -> Path:
    """Change or add parts of a workbook: new content, or (old, new) bytes within a part."""
    with zipfile.ZipFile(path) as old:
        parts = {entry: old.read(entry) for entry in old.namelist()}
    for entry, change in changes.items():
        if isinstance(change, tuple):
            assert change[0] in parts[entry], entry
            parts[entry] = parts[entry].replace(*change)
        else:
            parts[entry] = change
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for entry, data in parts.items():
            new.writestr(entry, data)
    return path


def understood(path: Path, *maps: str, **given: Any) -> FormulaPlan:
    """Return the plan of a file, with --map and other answers."""
    return understand_formulas(path, answers_of(maps, **given))


def shares(planned: PlannedFormula) -> Shares:
    """Return phase, card, percent and rest of each ingredient."""
    assert planned.formula is not None
    return [
        (phase.name, item.material, round(item.percent, 6), item.is_rest)
        for phase in planned.formula.phases
        for item in phase.ingredients
    ]


def only(path: Path, *maps: str, **given: Any) -> Shares:
    """Return the shares of a file's one formula."""
    plan = understood(path, *maps, **given)
    assert [match.name for match in plan.unnamed] == []
    (planned,) = plan.formulas
    return shares(planned)


def refused(path: Path, *maps: str, **given: Any) -> str:
    """Return the sentence that a file is refused with: one line, beginning with its name."""
    with pytest.raises(InputError) as caught:
        understood(path, *maps, **given)
    text = str(caught.value)
    assert "\n" not in text
    assert text.startswith(path.name + ": ")
    assert "expected" in text
    return text
