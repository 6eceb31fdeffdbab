"""Tables of a test's single results: named columns, of which some may lack or hold blanks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Grid, read_grid
from zincite.evaluation.assay.reading.numbers import is_gap
from zincite.evaluation.assay.reading.tables import (
    FoundTable,
    find_table,
    header_key,
    number_at,
    text_at,
    unit_of,
)

__all__ = ["ColumnRule", "Record", "Records", "read_records"]

_INFINITY = float("inf")


@dataclass(frozen=True, slots=True)
class ColumnRule:
    """What a column may be called and hold.

    Attributes
    ----------
    names : tuple of str
        Other names of the header; case, blanks, signs and units in brackets do not count.
    text : bool
        Whether it holds text; numbers otherwise.
    needed : bool
        Whether the file must have it.
    blank : bool
        Whether a cell may be blank.
    above, most : float
        Limits of a number.
    """

    names: tuple[str, ...] = ()
    text: bool = False
    needed: bool = True
    blank: bool = False
    above: float = 0.0
    most: float = _INFINITY


@dataclass(frozen=True, slots=True)
class Record:
    """One row: its place in the file and its cells by column."""

    place: str
    cells: Mapping[str, str | float | None]

    def text(self, column: str) -> str:
        """Return a cell as text, "" where blank or where the column lacks."""
        value = self.cells.get(column)
        return "" if value is None else f"{value:.10g}" if isinstance(value, float) else value

    def number(self, column: str) -> float | None:
        """Return a cell as a number, None where blank or where the column lacks."""
        value = self.cells.get(column)
        return value if isinstance(value, float) else None


@dataclass(frozen=True, slots=True)
class Records:
    """The rows of a file.

    Attributes
    ----------
    name : str
        File name.
    layout : int
        Which of the layouts it has, from 0.
    rows : tuple of Record
    columns : tuple of str
        Columns that the file has.
    headers, units : dict of str to str
        Header text and the unit in it, by column; "" where there is none.
    understood : tuple of str
        Preview in sentences.
    """

    name: str
    layout: int
    rows: tuple[Record, ...]
    columns: tuple[str, ...]
    headers: dict[str, str]
    units: dict[str, str]
    understood: tuple[str, ...]

    def fail(self, what: str) -> NoReturn:
        """Raise the one sentence about this file.

        Raises
        ------
        InputError
            Always.
        """
        raise InputError(f"{shown(self.name, 120)[1:-1]}: {what}")

    def each_once(self, *columns: str) -> None:
        """Refuse rows that share what columns together name.

        Raises
        ------
        InputError
            If two rows do.
        """
        seen: dict[tuple[str, ...], str] = {}
        for record in self.rows if columns else ():
            key = tuple(record.text(name) for name in columns)
            if key in seen:
                what = " ".join(f"{n} {shown(v)}" for n, v in zip(columns, key, strict=True))
                self.fail(f"{seen[key]} and {record.place} both hold {what}, expected each once")
            seen[key] = record.place

    def one_unit(self, *columns: str) -> str:
        """Return the unit that columns share, "" where none is stated.

        Raises
        ------
        InputError
            If they state different ones.
        """
        stated = {c: self.units[c] for c in columns if self.units.get(c)}
        if len({unit.lower() for unit in stated.values()}) > 1:
            said = " and ".join(f"{c} in {shown(unit)}" for c, unit in stated.items())
            self.fail(f"holds {said}, expected one unit for both")
        return next(iter(stated.values()), "")


def read_records(
    path: str | Path,
    *layouts: Mapping[str, ColumnRule],
    unique: Sequence[str] = (),
    decimal: str | None = None,
) -> Records:
    """Return the named columns of a delimited text file or XLSX, row by row.

    Parameters
    ----------
    path : str or Path
    *layouts : mapping of str to ColumnRule
        Columns by name; the first layout whose needed columns a header names is read, the last
        where none is.
    unique : sequence of str
        Columns that together name a row once (those of them that the file has).
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Returns
    -------
    Records

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    grid = read_grid(path, decimal=decimal)
    number = next((n for n, columns in enumerate(layouts) if _fits(grid, columns)), -1)
    columns = layouts[number]
    keys = _keys(columns)
    table = find_table(
        grid,
        lambda header: keys.get(header_key(header)),
        required=[role for role, rule in columns.items() if rule.needed],
        numeric=[role for role, rule in columns.items() if not rule.text],
        names={role: rule.names for role, rule in columns.items()},
    )
    present = {role: rule for role, rule in columns.items() if role in table.columns}
    rows = tuple(
        Record(
            str(grid.origin(row, table.columns[next(iter(present))])),
            {role: _cell(table, row, role, rule) for role, rule in present.items()},
        )
        for row in table.rows
    )
    headers = {role: table.header_text(role) for role in present}
    count = "1 row" if len(rows) == 1 else f"{len(rows)} rows"
    found = Records(
        grid.name,
        number % len(layouts),
        rows,
        tuple(present),
        headers,
        {role: unit_of(text) for role, text in headers.items()},
        (
            grid.describe(),
            *grid.notes,
            f"{count}: "
            + ", ".join(f"{role.replace('_', ' ')} from {shown(headers[role])}" for role in present)
            + ".",
            *table.skipped[:5],
        ),
    )
    found.each_once(*(name for name in unique if name in present))
    return found


def _keys(columns: Mapping[str, ColumnRule]) -> dict[str, str]:
    return {
        header_key(name): role for role, rule in columns.items() for name in (role, *rule.names)
    }


def _fits(grid: Grid, columns: Mapping[str, ColumnRule]) -> bool:
    """Return whether a row names all needed columns."""
    keys = _keys(columns)
    needed = {role for role, rule in columns.items() if rule.needed}
    return any(
        needed <= {keys.get(header_key(cell)) for cell in row if isinstance(cell, str)}
        for row in grid.cells
        if len(row) >= len(needed)
    )


def _cell(table: FoundTable, row: int, role: str, rule: ColumnRule) -> str | float | None:
    cell = table.cell(row, role)
    if cell is None or (isinstance(cell, str) and is_gap(cell)):
        if rule.blank or not rule.needed:
            return None
        table.grid.fail(
            f"holds nothing for {role}, expected {'a name' if rule.text else 'a number'}",
            row,
            table.columns[role],
        )
    if rule.text:
        return text_at(table, row, role)
    return number_at(table, row, role, above=rule.above, most=rule.most)
