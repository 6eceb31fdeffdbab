"""Rows of a list of materials: names, values of cards, lots."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from zincite.evaluation.assay.reading.files import shown
from zincite.formula.card_reading import PROPERTIES
from zincite.workbench.sheets.amounts import BLANKS, decimal_sign, number_in
from zincite.workbench.sheets.cells import Range, Sheet
from zincite.workbench.sheets.dates import day_order, read_date
from zincite.workbench.sheets.layout import Column, TableArea
from zincite.workbench.sheets.prices import currency_of, price_at
from zincite.workbench.sheets.words import NAME_ROLES

__all__ = ["MaterialRow", "list_origin", "read_material_rows", "value_sentences"]

_PROPERTY_ROLES = {
    "density": "density_g_ml",
    "refractive_index": "refractive_index",
    "natural_origin_index": "natural_origin_index",
    "oil_absorption": "oil_absorption_g_100g",
}
_UNIT_TEXT = re.compile(r"\s*(?:g/ml|g/cm3|g/cm³|kg/l|g/100\s?g|%)\s*$", re.I)
_SPAN = re.compile(r"([\d.,]+)\s*(?:-|–|to|bis|à|a)\s*([\d.,]+)")
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One row of a list.

    Attributes
    ----------
    number : int
        In the sheet.
    name, inci, code, function, supplier, phase, note : str
        As written, "" where the list does not say.
    values : dict of str to (float, float, float)
        Best, lowest and highest value of properties of cards, in their units.
    lot, received_on, expires_on : str
        Code of a lot and its dates.
    """

    number: int
    name: str = ""
    inci: str = ""
    code: str = ""
    function: str = ""
    supplier: str = ""
    phase: str = ""
    note: str = ""
    values: dict[str, tuple[float, float, float]] = field(default_factory=dict)
    lot: str = ""
    received_on: str = ""
    expires_on: str = ""

    @property
    def called(self) -> str:
        """What the list calls the material."""
        return self.name or self.inci or self.code


def list_origin(area: TableArea) -> str:
    """Return file, sheet and cells of a list."""
    sheet = area.sheet
    columns = [column.index for column in area.columns]
    last = max((row for row in sheet.rows() if row in area.body), default=area.header)
    if not sheet.name:
        return f"{sheet.file}, rows {area.header} to {last}"
    cells = Range(area.header, min(columns), last, max(columns))
    return f"{sheet.file}, sheet {shown(sheet.name)}, cells {cells}"


def read_material_rows(area: TableArea) -> list[MaterialRow]:
    """Return the rows of a list that name a material.

    Raises
    ------
    InputError
        If a value, price or date cannot be one; the cell is named.
    """
    sheet = area.sheet
    names = [column.index for column in area.role(*NAME_ROLES)]
    rows = [row for row in area.body if any(sheet.filled(row, c).text for c in names)]
    orders = {
        role: day_order(sheet.cell(r, c.index) for r in rows)
        for role in ("expires", "received")
        for c in area.role(role)
    }
    return [_row(area, row, orders) for row in rows]


def _row(area: TableArea, row: int, orders: dict[str, str]) -> MaterialRow:
    texts = {}
    for role in ("name", "inci", "code", "function", "supplier", "phase", "note", "lot"):
        columns = area.role(role)
        texts[role] = area.text(row, role)
        if len(texts[role]) > _LONGEST and role != "note":
            area.sheet.fail(
                row,
                columns[0].index,
                f"holds {len(texts[role])} characters beginning {shown(texts[role])}, expected at "
                f"most {_LONGEST}",
            )
    dates = {
        role: read_date(area.sheet, row, area.role(role)[0].index, orders[role]) for role in orders
    }
    lot = "" if texts["lot"] in BLANKS else texts["lot"]
    if not lot and any(dates.values()):
        role = next(role for role in dates if dates[role])
        area.sheet.fail(
            row,
            area.role(role)[0].index,
            f"holds the date {dates[role]} of {shown(texts['name'] or texts['inci'])} without a "
            "lot, expected the lot's code beside it",
        )
    return MaterialRow(
        row,
        **{key: texts[key] for key in ("name", "inci", "code", "function", "supplier", "phase")},
        note=texts["note"],
        values=_values(area, row),
        lot=lot,
        received_on=dates.get("received", ""),
        expires_on=dates.get("expires", ""),
    )


def _values(area: TableArea, row: int) -> dict[str, tuple[float, float, float]]:
    found = {}
    for role, key in _PROPERTY_ROLES.items():
        for column in area.role(role)[:1]:
            value = _property(area, row, column, key)
            if value is not None:
                found[key] = value
    for column in area.role("price")[:1]:
        # cards hold EUR per kg: a price in another money is said not to be read
        price = price_at(area, column, row) if currency_of(column.header) == "EUR" else None
        if price is not None:
            found["price_per_kg"] = (price, price, price)
    return found


def _property(
    area: TableArea, row: int, column: Column, key: str
) -> tuple[float, float, float] | None:
    sheet: Sheet = area.sheet
    cell = sheet.cell(row, column.index)
    if cell.is_blank or cell.text in BLANKS:
        return None
    unit, lowest, highest = PROPERTIES[key]
    numbers: list[float | None] = [cell.value if isinstance(cell.value, float) else None]
    scale = 0.01 if cell.is_percent else 1.0
    if isinstance(cell.value, str):
        text = _UNIT_TEXT.sub("", cell.value)
        scale = 0.01 if cell.value.endswith("%") else 1.0
        span = _SPAN.fullmatch(text)
        sign = decimal_sign(sheet.cell(r, column.index) for r in area.body)
        parts = (span[1], span[2]) if span else (text,)
        numbers = [number_in(sheet, row, column.index, p, sign, small=True) for p in parts]
    if key == "natural_origin_index" and "%" in column.header and scale == 1.0:
        scale = 0.01
    values = [number * scale for number in numbers if number is not None]
    bad = len(values) < len(numbers) or any(not lowest <= v <= highest for v in values)
    if bad or cell.fault or values[0] > values[-1]:
        sheet.fail(
            row,
            column.index,
            f"holds {cell.fault or shown(cell.text)}, expected {key} from {lowest:g} to "
            f"{highest:g}{f' {unit}' if unit else ''}",
        )
    best = (values[0] + values[-1]) / 2 if len(values) > 1 else values[0]
    return best, values[0], values[-1]


def value_sentences(area: TableArea) -> list[str]:
    """Return which columns of values are read, and which are not and why."""
    said = []
    for column in area.role("price"):
        currency = currency_of(column.header)
        name = area.sheet.named_column(column.index, column.header)
        if not currency:
            said.append(f"{name} is not read: its header names no currency per kg.")
        elif currency != "EUR":
            said.append(f"{name} is not read: cards hold prices in EUR/kg, not {currency}/kg.")
    return said
