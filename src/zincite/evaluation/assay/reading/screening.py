"""Reading of grade screenings: a row a value with its grade, or a column a grade."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Cell, Grid, read_grid
from zincite.evaluation.assay.reading.numbers import is_gap
from zincite.evaluation.assay.reading.tables import header_key, unit_of

__all__ = ["ScreeningFile", "read_screening"]

_GRADE = {"grade", "coating", "sample", "material", "variant", "treatment", "group", "formula"}
_BLOCK = {"block", "day", "batch", "date", "lot", "platelot", "operator", "base", "basebatch"}
_REPEAT = {"replicate", "rep", "repeat", "no", "number", "run", "plate", "n", "id", "index"}
_VALUE = {"value", "result", "measured", "response"}


@dataclass(frozen=True, slots=True)
class ScreeningFile:
    """Values with their grades.

    Attributes
    ----------
    name : str
        File name.
    values : tuple of float
    grades, blocks : tuple of str
        Of each value; `blocks` is empty where the file has none.
    quantity, unit : str
        From the header of the values, "value" and "" where it does not say.
    understood : tuple of str
    """

    name: str
    values: tuple[float, ...]
    grades: tuple[str, ...]
    blocks: tuple[str, ...]
    quantity: str
    unit: str
    understood: tuple[str, ...]


def read_screening(path: str | Path, *, decimal: str | None = None) -> ScreeningFile:
    """Return values with grades and blocks.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX. Either a row a value, with a column named grade (or coating,
        sample ...) and one column of numbers; or a column a grade. A column named block, day or
        batch is the block.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    grid = read_grid(path, decimal=decimal)
    header, last = _header(grid)
    names = {c: v for c, v in enumerate(grid.cells[header]) if isinstance(v, str)}
    keys = {column: header_key(name) for column, name in names.items()}
    grade = next((c for c, key in keys.items() if key in _GRADE), None)
    block = next((c for c, key in keys.items() if key in _BLOCK), None)
    rows = [r for r in range(header + 1, last) if any(c is not None for c in grid.cells[r])]
    others = [c for c, key in keys.items() if c not in (grade, block) and key not in _REPEAT]
    if grade is not None:
        return _long(grid, names, rows, grade, block, others)
    return _wide(grid, names, rows, block, others)


def _header(grid: Grid) -> tuple[int, int]:
    """Return the row of the header and the end of its sheet."""
    for _, rows in grid.sheets():
        for row in rows[:-1]:
            texts = sum(isinstance(cell, str) for cell in grid.cells[row])
            below = sum(isinstance(cell, float) for cell in grid.cells[row + 1])
            if (
                texts >= 2
                and below >= 1
                and not any(isinstance(cell, float) for cell in grid.cells[row])
            ):
                return row, rows.stop
    return grid.fail(
        "has no header row above numbers, expected columns grade and value, or one for each grade"
    )


def _at(grid: Grid, row: int, column: int) -> Cell:
    cells = grid.cells[row]
    cell = cells[column] if column < len(cells) else None
    return None if isinstance(cell, str) and is_gap(cell) else cell


def _label(cell: Cell) -> str:
    return f"{cell:.10g}" if isinstance(cell, float) else cell or ""


def _number(grid: Grid, row: int, column: int, what: str) -> float:
    cell = _at(grid, row, column)
    if not isinstance(cell, float):
        found = "nothing" if cell is None else shown(cell)
        grid.fail(f"holds {found} for {what}, expected a number", row, column)
    return cell


def _named(grid: Grid, row: int, column: int, what: str) -> str:
    cell = _at(grid, row, column)
    if cell is None:
        grid.fail(f"holds nothing for {what}, expected a name", row, column)
    return _label(cell)


def _long(
    grid: Grid,
    names: dict[int, str],
    rows: list[int],
    grade: int,
    block: int | None,
    others: list[int],
) -> ScreeningFile:
    numeric = [c for c in others if any(isinstance(_at(grid, r, c), float) for r in rows)]
    stated = [c for c in numeric if header_key(names[c]) in _VALUE]
    chosen = stated or numeric
    if len(chosen) != 1:
        found = ", ".join(shown(names[c], 20) for c in chosen) or "none"
        grid.fail(f"holds {found} as columns of numbers beside the grade, expected one (or value)")
    column = chosen[0]
    values = tuple(_number(grid, row, column, "the value") for row in rows)
    grades = tuple(_named(grid, row, grade, "the grade") for row in rows)
    blocks = () if block is None else tuple(_named(grid, r, block, "the block") for r in rows)
    text = names[column]
    quantity = "value" if stated else text.split("(")[0].split("[")[0].strip()
    understood = (
        f"{len(values)} values of {len(set(grades))} grades from {shown(text)}, grades from "
        f"{shown(names[grade])}"
        + ("." if block is None else f", blocks from {shown(names[block])}.")
    )
    return ScreeningFile(
        grid.name,
        values,
        grades,
        blocks,
        quantity,
        unit_of(text),
        (grid.describe(), *grid.notes, understood),
    )


def _wide(
    grid: Grid, names: dict[int, str], rows: list[int], block: int | None, others: list[int]
) -> ScreeningFile:
    columns = [c for c in others if any(isinstance(_at(grid, r, c), float) for r in rows)]
    if len(columns) < 2:
        grid.fail(
            "has neither a column named grade nor a column of numbers for each of several grades, "
            "expected one of the two"
        )
    names_used = [names[c] for c in columns]
    twice = next((name for name in names_used if names_used.count(name) > 1), None)
    if twice is not None:
        grid.fail(f"has two columns {shown(twice)}, expected one for each grade")
    values, grades, blocks = [], [], []
    for row in rows:
        for column in columns:
            if _at(grid, row, column) is None:
                continue
            values.append(_number(grid, row, column, f"grade {shown(names[column])}"))
            grades.append(names[column])
            if block is not None:
                blocks.append(_named(grid, row, block, "the block"))
    understood = (
        f"{len(values)} values, a column for each of {len(columns)} grades: "
        f"{', '.join(shown(name, 20) for name in names_used[:6])}"
        + ("." if block is None else f"; blocks from {shown(names[block])}.")
    )
    return ScreeningFile(
        grid.name,
        tuple(values),
        tuple(grades),
        tuple(blocks),
        "value",
        "",
        (grid.describe(), *grid.notes, understood),
    )
