"""Tables with named columns: find the header, match names, read rows, say what was understood."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Cell, Grid, read_grid
from zincite.evaluation.assay.reading.numbers import is_gap

__all__ = [
    "FoundTable",
    "Table",
    "find_table",
    "header_key",
    "number_at",
    "read_table",
    "text_at",
    "unit_of",
]

_UNIT = re.compile(r"[\[(]([^\])]{0,30})[\])]|(?:\s[/-]\s*|,\s*)([^\s,]{1,12})$")
_IN_BRACKETS = re.compile(r"[\[(][^\])]*[\])]?")
_SUMMARY = re.compile(
    r"(?:mean|average|avg|mittel\w*|moyenne|sd|s\.d\.|std\w*|standard deviation|stdev|cv|rsd|n|"
    r"min|max|median|sum|total|ci|95 ?%? ?ci|count)\s*[:=]?",
    re.I,
)


class Table(Mapping[str, tuple[str | float | None, ...]]):
    """Columns by name, with what the reader understood.

    Attributes
    ----------
    name : str
        File name.
    understood : tuple of str
        Preview in sentences.
    places : tuple of str
        Where each row stands in the file.
    units : dict of str to str
        Unit that each header states, "" where none.
    """

    def __init__(
        self,
        name: str,
        columns: Mapping[str, tuple[str | float | None, ...]],
        understood: tuple[str, ...],
        places: tuple[str, ...],
        units: Mapping[str, str],
    ) -> None:
        self.name = name
        self._columns = dict(columns)
        self.understood = understood
        self.places = places
        self.units = dict(units)

    def __getitem__(self, key: str) -> tuple[str | float | None, ...]:
        return self._columns[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._columns)

    def __len__(self) -> int:
        return len(self._columns)

    def numbers(self, key: str) -> tuple[float, ...]:
        """Return a column of numbers, without the blanks of an optional one."""
        return tuple(value for value in self._columns[key] if isinstance(value, float))

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        columns = {key: list(values) for key, values in self._columns.items()}
        return {
            "file": self.name,
            "columns": columns,
            "units": self.units,
            "understood": list(self.understood),
        }


@dataclass(frozen=True, slots=True)
class FoundTable:
    """A header and the rows under it.

    Attributes
    ----------
    grid : Grid
        The file.
    header : int
        Row index of the header.
    columns : dict of str to int
        Column index by role.
    rows : list of int
        Row indices that hold data.
    skipped : list of str
        Rows left out, as sentences.
    """

    grid: Grid
    header: int
    columns: dict[str, int]
    rows: list[int]
    skipped: list[str]

    def cell(self, row: int, role: str) -> Cell:
        """Return a cell, None beyond the end of its row."""
        cells = self.grid.cells[row]
        column = self.columns[role]
        return cells[column] if column < len(cells) else None

    def header_text(self, role: str) -> str:
        """Return the header of a column together with a unit that stands below it."""
        column = self.columns[role]
        first = self.rows[0] if self.rows else self.header + 1
        texts = [
            self.grid.cells[row][column]
            for row in range(self.header, first)
            if column < len(self.grid.cells[row])
        ]
        return " ".join(text for text in texts if isinstance(text, str))

    def place(self, role: str) -> str:
        """Return where a column's header stands and what it says."""
        column = self.columns[role]
        return f"{self.grid.origin(self.header, column)} ({shown(self.header_text(role))})"


def header_key(text: str) -> str:
    """Return a header without case, units in brackets, signs and blanks.

    Examples
    --------
    >>> header_key("MED_u (mJ/cm2)")
    'medu'
    """
    plain = unicodedata.normalize("NFKC", text[:200]).lower()
    return re.sub(r"[^0-9a-z%\u00e0-\u024f\u0394\u03b1-\u03c9]", "", _IN_BRACKETS.sub(" ", plain))


def unit_of(text: str) -> str:
    """Return the unit of a header: in brackets, or after a slash, dash or comma; "" if none."""
    found = _UNIT.search(unicodedata.normalize("NFKC", text[:200]))
    unit = (found[1] or found[2] or "") if found else ""
    return unit.strip().replace("\u03bc", "u").replace("\u00b5", "u").replace("\u00b7", "*")


def find_table(
    grid: Grid,
    classify: Callable[[str], str | None],
    *,
    required: Collection[str],
    numeric: Collection[str],
    names: Mapping[str, Sequence[str]] | None = None,
) -> FoundTable:
    """Return the table whose header names all required columns.

    Parameters
    ----------
    grid : Grid
        The file.
    classify : callable
        Returns the role of a header text, or None.
    required : collection of str
        Roles that must be there; "a|b" is satisfied by either.
    numeric : collection of str
        Roles that hold numbers; a row without any of them is no data row.
    names : mapping of str to sequence of str, optional
        Names of each role, for the message about a missing one.

    Raises
    ------
    InputError
        If no header fits, two columns or two sheets fit equally, or no row follows.
    """
    found: list[tuple[int, dict[str, int], range]] = []
    best: tuple[int, int, dict[str, int]] | None = None
    for _, rows in grid.sheets():
        for row in rows:
            columns = _match(grid, row, classify)
            have = sum(1 for role in required if _has(role, columns))
            if have == len(required):
                _refuse_twice(grid, row, classify)
                found.append((row, columns, rows))
                break
            if have and (best is None or have > best[0]):
                best = (have, row, columns)
    if not found:
        _refuse_header(grid, names or {}, required, best)
    if len(found) > 1:
        sheets = [shown(grid.row_origin[row][0]) for row, _, _ in found]
        grid.fail(f"holds such a table on sheets {' and '.join(sheets[:3])}, expected one")
    header, columns, rows = found[0]
    return _rows_under(grid, header, columns, rows, numeric=numeric)


def _has(role: str, columns: Mapping[str, int]) -> bool:
    return any(part in columns for part in role.split("|"))


def _match(grid: Grid, row: int, classify: Callable[[str], str | None]) -> dict[str, int]:
    columns: dict[str, int] = {}
    for column, cell in enumerate(grid.cells[row]):
        role = classify(cell) if isinstance(cell, str) else None
        if role is not None:
            columns.setdefault(role, column)
    return columns


def _refuse_twice(grid: Grid, row: int, classify: Callable[[str], str | None]) -> None:
    seen: dict[str, int] = {}
    for column, cell in enumerate(grid.cells[row]):
        role = classify(cell) if isinstance(cell, str) else None
        if role is not None and seen.setdefault(role, column) != column:
            grid.fail(
                f"and {grid.origin(row, seen[role])} both name the column {role}, expected one",
                row,
                column,
            )


def _refuse_header(
    grid: Grid,
    names: Mapping[str, Sequence[str]],
    required: Collection[str],
    best: tuple[int, int, dict[str, int]] | None,
) -> NoReturn:
    words = {
        role: " or ".join(role.split("|")) if role.count("|") < 3 else names[role][0]
        for role in required
    }
    wanted = ", ".join(words.values())
    if best is None:
        likest = max(range(len(grid.cells)), key=lambda row: len(_texts(grid, row)), default=0)
        texts = _texts(grid, likest) if grid.cells else []
        kind = ""
        if len(texts) > 1:
            kind = f" of this kind ({_line(grid, likest)} has {', '.join(texts)})"
        grid.fail(f"has no header row{kind}, expected one that names the columns {wanted}")
    _, row, columns = best
    missing = next(role for role in required if not _has(role, columns))
    beside = ", ".join(_texts(grid, row))
    also = f" (such as {', '.join(names[missing][:3])})" if names.get(missing) else ""
    grid.fail(
        f"has no column {words[missing]}{also} beside {beside} in "
        f"{_line(grid, row)}, expected columns {wanted}"
    )


def _texts(grid: Grid, row: int) -> list[str]:
    return [shown(cell, 20) for cell in grid.cells[row] if isinstance(cell, str)][:6]


def _rows_under(
    grid: Grid,
    header: int,
    columns: dict[str, int],
    rows: range,
    *,
    numeric: Collection[str],
) -> FoundTable:
    needed = [columns[role] for role in numeric if role in columns]
    first = min(columns.values())
    data: list[int] = []
    skipped: list[str] = []
    for row in range(header + 1, rows.stop):
        cells = grid.cells[row]
        picked = [cells[c] if c < len(cells) else None for c in columns.values()]
        if all(cell is None for cell in picked) or grid.cells[row] == grid.cells[header]:
            continue
        lead = cells[first] if first < len(cells) else None
        if isinstance(lead, str) and _SUMMARY.fullmatch(lead.strip()) and data:
            skipped.append(f"{_line(grid, row)} ({shown(lead, 20)}) is a summary and not read.")
            continue
        holds = any(isinstance(cells[c], float) for c in needed if c < len(cells))
        if not holds and (not data or sum(cell is not None for cell in cells) == 1):
            if data:
                skipped.append(f"{_line(grid, row)} is a note and not read.")
            continue
        data.append(row)
    if not data:
        grid.fail(
            f"has a header in {_line(grid, header)} but no rows of numbers under it, expected data"
        )
    return FoundTable(grid, header, columns, data, skipped)


def _line(grid: Grid, row: int) -> str:
    sheet, number = grid.row_origin[row]
    return f"row {number} of sheet {shown(sheet)}" if sheet else f"row {number}"


def number_at(
    table: FoundTable,
    row: int,
    role: str,
    *,
    least: float = float("-inf"),
    most: float = float("inf"),
    above: float = float("-inf"),
) -> float:
    """Return a cell as a number within limits.

    Raises
    ------
    InputError
        If the cell is blank, text or out of the limits.
    """
    cell = table.cell(row, role)
    grid, column = table.grid, table.columns[role]
    if isinstance(cell, str):
        percent = grid.form.parse_percent(cell)
        cell = cell if percent is None else percent
    if not isinstance(cell, float):
        missing = cell is None or is_gap(cell)
        found = "holds nothing" if missing else f"holds {shown(cell)}"
        grid.fail(f"{found} for {role}, expected a number", row, column)
    if not (least <= cell <= most and cell > above):
        low = f"above {above:g}" if above > float("-inf") else f"of at least {least:g}"
        limits = low if most == float("inf") else f"{low} and at most {most:g}"
        grid.fail(f"holds {cell:g} for {role}, expected a number {limits}", row, column)
    return cell


def text_at(table: FoundTable, row: int, role: str) -> str | None:
    """Return a cell as text, a whole number without its decimals, or None where blank."""
    cell = table.cell(row, role)
    if isinstance(cell, float):
        return f"{cell:.10g}"
    return cell


def read_table(
    path: str | Path,
    columns: Mapping[str, Sequence[str]],
    *,
    text: Collection[str] = ("subject",),
    optional: Collection[str] = (),
    unique: Sequence[str] = ("subject",),
    decimal: str | None = None,
) -> Table:
    """Return the named columns of a delimited text file or XLSX.

    Parameters
    ----------
    path : str or Path
        File to read.
    columns : mapping of str to sequence of str
        Synonyms by column name; case, blanks, signs and units in brackets do not count.
    text : collection of str
        Columns that hold text; all others hold numbers above 0.
    optional : collection of str
        Columns that may lack, or be blank in a row.
    unique : sequence of str
        Columns that together name a row once (those of them that the file has).
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Returns
    -------
    Table
        A mapping of column name to its cells; `dict(table)` is a plain dictionary.

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    grid = read_grid(path, decimal=decimal)
    required = [name for name in columns if name not in optional]
    numeric = [name for name in columns if name not in text]
    keys = {header_key(n): role for role, names in columns.items() for n in (role, *names)}
    table = find_table(
        grid,
        lambda header: keys.get(header_key(header)),
        required=required,
        numeric=numeric,
        names=columns,
    )
    read: dict[str, tuple[str | float | None, ...]] = {}
    for name in columns:
        if name in table.columns:
            read[name] = tuple(_cell_at(table, row, name, text, optional) for row in table.rows)
    _refuse_repeats(table, read, [name for name in unique if name in read])
    count = len(table.rows)
    understood = (
        grid.describe(),
        *grid.notes,
        f"{'1 row' if count == 1 else f'{count} rows'} under the header of "
        f"{_line(grid, table.header)}: "
        + ", ".join(f"{name} from {shown(table.header_text(name))}" for name in read)
        + ".",
        *table.skipped[:5],
    )
    places = tuple(_line(grid, row) for row in table.rows)
    units = {name: unit_of(table.header_text(name)) for name in read}
    return Table(grid.name, read, understood, places, units)


def _cell_at(
    table: FoundTable, row: int, name: str, text: Collection[str], optional: Collection[str]
) -> str | float | None:
    cell = table.cell(row, name)
    if name in optional and (cell is None or (isinstance(cell, str) and is_gap(cell))):
        return None
    if name in text:
        found = text_at(table, row, name)
        if found is None:
            table.grid.fail(f"holds nothing for {name}, expected a name", row, table.columns[name])
        return found
    return number_at(table, row, name, above=0.0)


def _refuse_repeats(
    table: FoundTable,
    read: Mapping[str, tuple[str | float | None, ...]],
    names: Sequence[str],
) -> None:
    if not names:
        return
    seen: dict[tuple[str | float | None, ...], int] = {}
    for index, row in enumerate(table.rows):
        key = tuple(read[name][index] for name in names)
        before = seen.setdefault(key, row)
        if before != row:
            what = " ".join(
                f"{name} {shown(value)}" for name, value in zip(names, key, strict=True)
            )
            table.grid.fail(
                f"{_line(table.grid, before)} and {_line(table.grid, row)} both hold {what}, "
                "expected each once"
            )
