"""Sums that a sheet states, held against the amounts above them."""

from __future__ import annotations

from collections.abc import Sequence

from zincite.evaluation.assay.reading.files import shown
from zincite.workbench.sheets.reading import SUM_TOLERANCE, Reading
from zincite.workbench.sheets.rows import Row

__all__ = ["check_sums"]


def check_sums(reading: Reading, whole: float) -> None:
    """Compare every stated sum with the amounts above it: of all, of the phase, of the part."""
    rest = whole - reading.plain_sum(reading.others())
    since: list[Row] = []
    upto: list[Row] = []
    for row in reading.table.rows:
        if not row.is_sum:
            since.append(row)
            upto.append(row)
            continue
        amount = reading.amounts.get(row.number)
        if amount is None or amount.kind != "number":
            since = []
            continue
        below = [
            r
            for r in reading.ingredients()
            if r.number > row.number and r.phase == row.phase and row.phase is not None
        ]
        phase = [r for r in upto if r.phase == row.phase]
        scale = 1.0 if amount.unit != "%" or whole == 100.0 else whole / 100.0
        sums = [_sum(reading, rows, rest) for rows in (upto, since, phase, below) if rows]
        if not any(abs(amount.value * scale - s) <= 1e-9 + SUM_TOLERANCE * whole for s in sums):
            _refuse_sum(reading, row, amount.value, upto or below, rest)
        since = []


def _sum(reading: Reading, rows: Sequence[Row], rest: float) -> float:
    own = [row for row in rows if row is not reading.rest]
    return reading.plain_sum(own) + (rest if len(own) < len(rows) else 0.0)


def _refuse_sum(reading: Reading, row: Row, found: float, rows: Sequence[Row], rest: float) -> None:
    what = f"beside {shown(row.text)} " if row.text else "without a name beside it "
    if not rows:
        reading.area.sheet.fail(
            row.number, reading.index, f"holds {found:g} {what}, expected amounts that it sums"
        )
    reading.area.sheet.fail(
        row.number,
        reading.index,
        f"holds {found:.6g} {what}but {reading.at(rows[0])} to {reading.at(rows[-1])} sum to "
        f"{_sum(reading, rows, rest):.6g}, expected the same",
    )
