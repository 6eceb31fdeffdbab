"""The amounts of one column, in one unit."""

from __future__ import annotations

import re

from zincite.evaluation.assay.reading.files import shown
from zincite.workbench.sheets.amounts import Amount, decimal_sign, read_amount
from zincite.workbench.sheets.layout import Column
from zincite.workbench.sheets.markup import parse_range
from zincite.workbench.sheets.reading import TO_GRAMS, Reading
from zincite.workbench.sheets.rows import Row

__all__ = ["COMPUTED_REST", "read_amounts"]

COMPUTED_REST = re.compile(r"=\s*\(?\s*(?:100(?:\.0+)?%?|1(?:\.0+)?|\$?[A-Z]{1,3}\$?\d+)\s*-.*")
"""A formula that takes something from the whole."""

_REFERENCES = re.compile(r"\$?[A-Z]{1,3}\$?\d{1,7}(?::\$?[A-Z]{1,3}\$?\d{1,7})?")


def read_amounts(reading: Reading) -> None:
    """Read the amounts of a column; a cell that computes what is missing is the rest."""
    sheet, index = reading.area.sheet, reading.index
    cells = [sheet.cell(row.number, index) for row in reading.table.rows]
    sign = decimal_sign(cells)
    small = reading.column.role in ("percent", "fraction")
    for row in reading.table.rows:
        cell = sheet.cell(row.number, index)
        if row.is_sum and cell.fault:
            reading.notes.append(f"The sum in {reading.at(row)} has no usable value and is not "
                                 "checked.")  # fmt: skip
            continue
        if cell.fault and _computes_rest(reading, row):
            reading.amounts[row.number] = Amount("rest")
            reading.notes.append(
                f"{reading.at(row)} computes {shown(cell.formula)} without a saved value and is "
                "taken for the rest."
            )
            continue
        reading.amounts[row.number] = read_amount(sheet, row.number, index, sign, small=small)
    _convert_units(reading)


def _convert_units(reading: Reading) -> None:
    """Bring amounts that state g, kg or mg themselves to one unit: grams."""
    numbers = [(n, a) for n, a in reading.amounts.items() if a.kind == "number"]
    weights = [n for n, a in numbers if a.unit in TO_GRAMS]
    if not weights:
        _drop_units_of_rests(reading)
        return
    percents = [n for n, a in numbers if a.unit == "%"]
    if percents or reading.column.role == "percent":
        odd = weights[0] if reading.column.role == "percent" else percents[0]
        reading.area.sheet.fail(
            odd,
            reading.index,
            f"holds {shown(reading.area.sheet.cell(odd, reading.index).text)} in a column of other "
            "units, expected one unit in a column",
        )
    for number, amount in reading.amounts.items():
        if amount.unit == "%":
            continue
        own = amount.unit or ("kg" if reading.column.role == "kilograms" else "g")
        reading.amounts[number] = Amount(amount.kind, amount.value * TO_GRAMS[own])
    reading.column = Column(reading.index, "grams", reading.column.header, reading.column.label)


def _drop_units_of_rests(reading: Reading) -> None:
    """Bring "ad 10 kg" to the unit of its column: in one of per cent "ad 100 g" means 100."""
    per = {"grams": 1.0, "kilograms": 1000.0}.get(reading.column.role)
    for number, amount in reading.amounts.items():
        if amount.unit in TO_GRAMS:
            scale = TO_GRAMS[amount.unit] / per if per else 1.0
            reading.amounts[number] = Amount(amount.kind, amount.value * scale)


def _computes_rest(reading: Reading, row: Row) -> bool:
    """Return whether a cell without saved value computes the whole less every other amount."""
    sheet = reading.area.sheet
    formula = sheet.cell(row.number, reading.index).formula
    if not COMPUTED_REST.fullmatch(formula):
        return False
    areas = [area for text in _REFERENCES.findall(formula) if (area := parse_range(text))]
    others = [
        other.number
        for other in reading.ingredients()
        if other is not row and not sheet.cell(other.number, reading.index).is_blank
    ]
    return all(
        any(a.top <= n <= a.bottom and a.left <= reading.index <= a.right for a in areas)
        for n in others
    )
