"""In which unit a column of amounts is, and what its whole is."""

from __future__ import annotations

import re

from zincite.evaluation.assay.reading.files import shown
from zincite.formula.formula import SUM_TOLERANCE_PERCENT
from zincite.workbench.sheets.amounts import Amount, number_in
from zincite.workbench.sheets.reading import SUM_TOLERANCE, TO_GRAMS, Reading

__all__ = ["unit_and_whole"]

_FRACTION_TOLERANCE = 0.0001
_UNIT_WORDS = {"grams": "g", "kilograms": "kg"}


def unit_and_whole(reading: Reading) -> tuple[str, float]:
    """Return the unit of a column and the whole in it."""
    role = reading.column.role
    target = _target(reading)
    if any(reading.amounts[row.number].unit == "%" for row in reading.others()):
        return _unit_of_marked(reading)
    total = reading.plain_sum(reading.others())
    if role == "per_mille":
        return "g/kg", 1000.0
    if role == "fraction":
        return "fraction", 1.0
    if role in ("grams", "kilograms"):
        return _UNIT_WORDS[role], _batch_whole(reading, total, target, _UNIT_WORDS[role])
    if reading.rest is None and abs(total - 1.0) <= _FRACTION_TOLERANCE:
        return "fraction", 1.0
    is_small = target != 1.0 and 0.0 < total <= 1.0
    if reading.rest is not None and is_small and not reading.column.how:
        _refuse_small(reading, total)
    if role == "percent" or target in (1.0, 100.0):
        return ("fraction", 1.0) if target == 1.0 else ("%", 100.0)
    tolerance = SUM_TOLERANCE_PERCENT + 1e-9
    if (reading.rest is None and abs(total - 100.0) <= tolerance) or (
        reading.rest is not None and not target and total <= 100 and not _stated(reading)
    ):
        return "%", 100.0
    return _unit_of_amounts(reading, total, target)


def _target(reading: Reading) -> float:
    """Return the whole that the rest fills up to as its cell says, 0 where it does not."""
    if reading.rest is None:
        return 0.0
    amount = reading.amounts[reading.rest.number]
    if amount.kind != "rest":
        return 0.0
    per_cent = amount.unit == "%" or reading.column.role == "percent"
    if per_cent and amount.value not in (0.0, 1.0, 100.0):
        reading.area.sheet.fail(
            reading.rest.number,
            reading.index,
            f"holds {shown(reading.text(reading.rest))}, expected a rest that fills up to 100 %",
        )
    # "ad 100 %" beside weights says nothing of the batch
    weighs = reading.column.role in _UNIT_WORDS
    return 0.0 if weighs and amount.unit == "%" else amount.value


def _refuse_small(reading: Reading, total: float) -> None:
    """Refuse a rest beside amounts that are all together at most 1: 1 % or the whole of 1."""
    first = next(row for row in reading.others() if reading.amounts[row.number].value > 0)
    sheet = reading.area.sheet
    column = sheet.column_name(reading.index).split()[-1]
    sheet.fail(
        first.number,
        reading.index,
        f"holds {shown(reading.text(first))} and all amounts beside the rest sum to {total:.6g}, "
        f"which may be per cent or fractions of 1, expected --column {column}=percent or "
        f"{column}=fraction",
    )


def _unit_of_amounts(reading: Reading, total: float, target: float) -> tuple[str, float]:
    """Return unit and whole of a column that names no unit and does not sum to 100."""
    whole = target or _stated(reading)
    unit = "g"
    if not whole and reading.batch is not None:
        whole, unit = reading.batch.value, reading.batch.unit or "g"
    if abs(whole - 100.0) <= 0.5:
        return "%", 100.0
    fits = reading.rest is not None or abs(total - whole) <= SUM_TOLERANCE * whole
    if not whole or not fits:
        reading.area.sheet.fail(
            reading.ingredients()[0].number,
            reading.index,
            f"begins {reading.name}, which sums to {total:.6g} and names no unit, expected 100 % "
            "or a sum of the batch below it (--column says what it holds)",
        )
    return unit, whole


def _unit_of_marked(reading: Reading) -> tuple[str, float]:
    """Return the unit where some cells show per cent; plain ones may be percent or fractions."""
    rows = reading.others()
    bare = [
        row
        for row in rows
        if reading.amounts[row.number].kind == "number" and not reading.amounts[row.number].unit
    ]
    # "12,5 %" typed as text says nothing of its neighbours; a format of per cent may
    sheet = reading.area.sheet
    formatted = any(sheet.cell(row.number, reading.index).is_percent for row in rows)
    if not formatted or any(reading.amounts[row.number].value > 1.0 for row in bare) or not bare:
        return "%", 100.0
    marked = reading.plain_sum(rows) - reading.plain_sum(bare)
    as_percent = marked + reading.plain_sum(bare)
    as_fraction = marked + 100.0 * reading.plain_sum(bare)
    fits = [abs(total - 100.0) <= SUM_TOLERANCE_PERCENT for total in (as_percent, as_fraction)]
    if reading.rest is not None or fits[0] == fits[1]:
        reading.area.sheet.fail(
            bare[0].number,
            reading.index,
            f"holds {shown(reading.text(bare[0]))} among cells shown as per cent, which may be "
            "per cent or a fraction, expected one form in a column",
        )
    if fits[1]:
        for row in bare:
            value = round(reading.amounts[row.number].value * 100.0, 12)
            reading.amounts[row.number] = Amount("number", value, "%")
    return "%", 100.0


def _stated(reading: Reading) -> float:
    """Return the whole that a sum below all ingredients states, 0 where there is none.

    A sum of the last phase alone is not the whole.
    """
    rows = reading.ingredients()
    last = max((row.number for row in rows), default=0)
    sums = [
        (row, reading.amounts[row.number].value)
        for row in reading.table.rows
        if row.is_sum and row.number > last and row.number in reading.amounts
    ]
    if reading.rest is None:
        total = reading.plain_sum(rows)
        if any(abs(value - total) <= SUM_TOLERANCE * total for _, value in sums):
            return total
        parts = {row.number: [r for r in rows if r.phase == row.phase] for row, _ in sums}
        sums = [
            (row, value)
            for row, value in sums
            if abs(value - reading.plain_sum(parts[row.number])) > SUM_TOLERANCE * total
        ]
    return max((value for _, value in sums), default=0.0)


def _batch_whole(reading: Reading, total: float, target: float, unit: str) -> float:
    """Return the batch of a column of weights."""
    stated = target or _stated(reading)
    if stated:
        return stated
    header = re.search(r"(\d[\d.,]*)\s*(kg|g)\b", reading.column.header)
    if header:
        sheet, row = reading.area.sheet, reading.area.header
        value = number_in(sheet, row, reading.index, header[1], "") or 0.0
        return value * TO_GRAMS[header[2]] / TO_GRAMS[unit]
    if reading.batch is not None:
        factor = TO_GRAMS[reading.batch.unit or unit] / TO_GRAMS[unit]
        return reading.batch.value * factor
    digits = f"{total:.9g}".replace(".", "").strip("0")
    if reading.rest is not None or total <= 0 or len(digits) > 2:
        reading.area.sheet.fail(
            reading.ingredients()[0].number,
            reading.index,
            f"begins {reading.name} of weights that sum to {total:.6g} {unit} without a stated "
            "batch, expected a sum below them or a batch size above the table",
        )
    reading.notes.append(f"No batch size is stated; the sum of {total:g} {unit} is taken.")
    return total
