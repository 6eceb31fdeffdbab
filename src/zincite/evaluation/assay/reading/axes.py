"""Where the wavelengths of a file stand: columns or rows, one block or many."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Cell, Grid
from zincite.evaluation.assay.reading.numbers import is_value_like
from zincite.evaluation.assay.reading.views import View, views_of

__all__ = ["FIRST_NM", "LAST_NM", "Block", "find_blocks", "wavelength_of"]

FIRST_NM = 290.0
LAST_NM = 400.0

_LEAST_NM, _MOST_NM = 150.0, 3000.0
_LEAST_POINTS = 5
_RESTART_NM = 50.0
"""A jump back as large as this begins another scan; a smaller one is disorder."""
_PAGE_JUMP_NM = 10.0
_MONOTONE_SHARE = 0.8
_WITH_UNIT = re.compile(r"[a-z%]{0,4}[ _.]?(\d{3,4}(?:[.,]\d{1,4})?)\s*(?:nm|nanometer)?", re.I)
_AXIS_WORDS = re.compile(r"wave|\bnm\b|lambda|\u03bb|\bwl\b|longueur|wellen|onda", re.I)
_HEADER_DEPTH = 8


@dataclass(slots=True)
class Block:
    """One run of wavelengths and the columns of readings that belong to it.

    Attributes
    ----------
    view : View
        Sheet that holds it.
    column : int
        Column of the wavelengths.
    lines : list of int
        Lines that hold a wavelength.
    wavelength_nm : list of float
        As printed, in file order. [nm]
    columns : range
        Columns that may hold its readings.
    region_start : int
        First line (turned: first column) after the block before; headers stand from here.
    left_neighbour : int
        Column of the axis to the left on the same lines, -1 where there is none.
    header_line : int
        Line that names the axis, if need be above earlier blocks of its column; -1 where none.
    """

    view: View
    column: int
    lines: list[int]
    wavelength_nm: list[float]
    columns: range = range(0)
    region_start: int = 0
    left_neighbour: int = field(default=-1)
    header_line: int = field(default=-1)

    @property
    def direction(self) -> float:
        """Positive where wavelengths rise."""
        return self.wavelength_nm[-1] - self.wavelength_nm[0]

    @property
    def overlap(self) -> int:
        """Number of wavelengths within 290-400 nm."""
        return sum(1 for w in self.wavelength_nm if FIRST_NM <= w <= LAST_NM)

    def is_axis(self) -> bool:
        """Return whether the run is long and orderly enough to be wavelengths."""
        if len(self.lines) < _LEAST_POINTS:
            return False
        pairs = zip(self.wavelength_nm, self.wavelength_nm[1:], strict=False)
        steps = [b - a for a, b in pairs]
        rising = sum(1 for step in steps if step >= 0)
        falling = sum(1 for step in steps if step <= 0)
        moves = any(step != 0 for step in steps)
        return moves and max(rising, falling) >= _MONOTONE_SHARE * len(steps)


def wavelength_of(cell: Cell) -> float | None:
    """Return a cell as a wavelength, from 290, "290 nm" or "A290", or None. [nm]"""
    if isinstance(cell, str):
        found = _WITH_UNIT.fullmatch(cell.strip()) if len(cell) <= 24 else None
        if found is None:
            return None
        cell = float(found[1].replace(",", "."))
    return cell if cell is not None and _LEAST_NM <= cell <= _MOST_NM else None


def find_blocks(grid: Grid) -> list[Block]:
    """Return the blocks of a file with wavelengths in columns or in rows, whichever explains more.

    Raises
    ------
    InputError
        If there is no axis of wavelengths, or an axis is interrupted by an unreadable wavelength.
    """
    best: list[Block] = []
    for turned in (False, True):
        blocks = [b for view in views_of(grid, turned=turned) for b in _blocks_of(view)]
        if _score(blocks) > _score(best):
            best = blocks
    if not best:
        grid.fail(
            "holds no column or row of at least 5 wavelengths in nm, expected 290 to 400 nm in "
            "steps of at most 5 nm with readings beside them"
        )
    return best


def _score(blocks: Sequence[Block]) -> tuple[int, int]:
    return sum(block.overlap for block in blocks), sum(len(block.lines) for block in blocks)


def _blocks_of(view: View) -> list[Block]:
    runs = _join_pages(_runs(view))
    axes = [run for run in runs if run.is_axis()]
    inside = [run for run in axes if run.overlap >= 3]
    axes = _named_only(inside or axes)
    _assign_columns(axes)
    return axes


def _runs(view: View) -> list[Block]:
    """Return, for each column, stretches of lines that hold wavelengths, blank lines between."""
    done: list[Block] = []
    current: dict[int, Block] = {}
    last = -1
    for index, line in enumerate(view.lines):
        filled = False
        for column, cell in enumerate(line):
            if cell is None:
                continue
            filled = True
            if type(cell) is float and not _LEAST_NM <= cell <= _MOST_NM:
                continue  # nearly all cells of a file
            wavelength = wavelength_of(cell)
            if wavelength is None:
                continue
            run = current.get(column)
            if run is None or run.lines[-1] != last or _restarts(run, wavelength):
                fresh = Block(view, column, [], [])
                done.append(fresh)
                current[column] = run = fresh
            run.lines.append(index)
            run.wavelength_nm.append(wavelength)
        if filled:
            last = index
    return done


def _restarts(run: Block, wavelength: float) -> bool:
    step = wavelength - run.wavelength_nm[-1]
    return len(run.lines) >= 3 and run.direction * step < 0 and abs(step) >= _RESTART_NM


def _join_pages(runs: list[Block]) -> list[Block]:
    """Join runs of one column that a repeated page header, or a stray end, cut in two."""
    joined: list[Block] = []
    last: dict[int, Block] = {}
    for run in sorted(runs, key=lambda block: (block.column, block.lines[0])):
        before = last.get(run.column)
        if before is not None and before.is_axis() and _belongs(before, run):
            _refuse_lost_wavelength(before, run)
            before.lines += run.lines
            before.wavelength_nm += run.wavelength_nm
            continue
        joined.append(run)
        last[run.column] = run
    return joined


def _belongs(before: Block, run: Block) -> bool:
    between = range(before.lines[-1] + 1, run.lines[0])
    blank = all(before.view.is_blank(line) for line in between)
    if blank and len(run.lines) < _LEAST_POINTS:
        return True  # too short for a scan of its own: judged as repeated or disordered
    covered = min(before.wavelength_nm) <= FIRST_NM and max(before.wavelength_nm) >= LAST_NM
    step = run.wavelength_nm[0] - before.wavelength_nm[-1]
    return not covered and before.direction * step > 0 and abs(step) <= _PAGE_JUMP_NM


def _refuse_lost_wavelength(before: Block, run: Block) -> None:
    view = before.view
    for line in range(before.lines[-1] + 1, run.lines[0]):
        axis = view.cell(line, before.column)
        if isinstance(axis, str) and _AXIS_WORDS.search(axis):
            continue
        if any(isinstance(cell, float) for cell in view.lines[line][before.column + 1 :]):
            view.fail(
                line,
                before.column,
                f"holds {shown(axis)} where a wavelength near "
                f"{before.wavelength_nm[-1]:g} nm is expected",
            )


def _named_only(axes: list[Block]) -> list[Block]:
    """Keep the axes whose header says wavelength where any does: readings may pose as one."""
    named = [axis for axis in axes if _says_wavelength(axis)]
    columns = {axis.column for axis in named}
    return [axis for axis in axes if axis.column in columns] if named else axes


def _says_wavelength(axis: Block) -> bool:
    first = axis.lines[0]
    for line in range(first - 1, max(-1, first - 1 - _HEADER_DEPTH), -1):
        cell = axis.view.cell(line, axis.column)
        if isinstance(cell, str) and _AXIS_WORDS.search(cell[:80]):
            return True
    return any(isinstance(axis.view.cell(line, axis.column), str) for line in axis.lines[:3])


def _assign_columns(axes: list[Block]) -> None:
    """Give each axis the columns up to the next axis on the same lines, and its header region."""
    width = axes[0].view.width if axes else 0
    for axis in axes:
        beside = [other for other in axes if other is not axis and _overlaps(axis, other)]
        right = min((o.column for o in beside if o.column > axis.column), default=width)
        axis.columns = range(axis.column + 1, right)
        axis.left_neighbour = max((o.column for o in beside if o.column < axis.column), default=-1)
        if axis.view.turned:
            axis.region_start = 0 if axis.left_neighbour < 0 else axis.left_neighbour + 1
        else:
            above = [o.lines[-1] for o in axes if o.lines[-1] < axis.lines[0]]
            axis.region_start = max(above, default=-1) + 1
    headers: dict[int, int] = {}
    for axis in sorted(axes, key=lambda block: block.lines[0]):
        named = range(axis.lines[0] - 1, axis.region_start - 1, -1)
        texts = (line for line in named if isinstance(axis.view.cell(line, axis.column), str))
        axis.header_line = next(texts, headers.get(axis.column, -1))
        headers[axis.column] = axis.header_line
    for axis in axes:
        alone = axis.left_neighbour < 0 and axis.columns.stop == width
        if alone and not _holds_numbers(axis, axis.columns):
            axis.columns = range(axis.column)  # wavelengths stand right of their readings


def _overlaps(one: Block, other: Block) -> bool:
    return one.lines[0] <= other.lines[-1] and other.lines[0] <= one.lines[-1]


def _holds_numbers(axis: Block, columns: range) -> bool:
    cells = (axis.view.cell(line, column) for line in axis.lines for column in columns)
    return any(isinstance(c, float) or (isinstance(c, str) and is_value_like(c)) for c in cells)
