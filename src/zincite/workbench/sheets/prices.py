"""Prices per kilogram in a table."""

from __future__ import annotations

import re

from zincite.evaluation.assay.reading.files import shown
from zincite.workbench.sheets.amounts import BLANKS, decimal_sign, number_in
from zincite.workbench.sheets.layout import Column, TableArea
from zincite.workbench.sheets.rows import Ingredients
from zincite.workbench.sheets.words import plain

__all__ = ["currency_of", "price_at", "read_prices"]

_CURRENCIES = {"€": "EUR", "eur": "EUR", "euro": "EUR", "$": "USD", "usd": "USD", "£": "GBP",
               "gbp": "GBP", "chf": "CHF"}  # fmt: skip
_SIGNS = re.compile(r"[€$£]|\b(?:EUR|USD|CHF|GBP|euro)\b|/\s?kg", re.I)


def currency_of(header: str) -> str:
    """Return the currency that a header names beside "kg", "" where either is missing.

    Examples
    --------
    >>> currency_of("Price [EUR/kg]"), currency_of("Cost")
    ('EUR', '')
    """
    words = plain(header).split()
    if "kg" not in words:
        return ""
    return next((unit for word, unit in _CURRENCIES.items() if word in words), "")


def read_prices(
    area: TableArea, table: Ingredients
) -> tuple[dict[int, tuple[float, str]], list[str]]:
    """Return prices and currency by row, and what is said of them."""
    columns = area.role("price")
    if not columns:
        return {}, []
    column = columns[0]
    name = area.sheet.named_column(column.index, column.header)
    currency = currency_of(column.header)
    if not currency:
        return {}, [f"{name} is not read: its header names no currency per kg."]
    found = {}
    for row in table.rows:
        if row.is_sum:
            continue
        price = price_at(area, column, row.number)
        if price is not None:
            found[row.number] = (price, currency)
    return found, [f"{name} gives {len(found)} prices in {currency}/kg."]


def price_at(area: TableArea, column: Column, row: int) -> float | None:
    """Return the price in a cell, None where it is blank.

    Raises
    ------
    InputError
        If it is no price.
    """
    sheet = area.sheet
    cell = sheet.cell(row, column.index)
    if cell.is_blank:
        return None
    value = cell.value if isinstance(cell.value, float) else None
    if isinstance(cell.value, str):
        text = _SIGNS.sub("", cell.value).strip()
        if text in BLANKS:
            return None
        sign = decimal_sign(sheet.cell(r, column.index) for r in area.body)
        value = number_in(sheet, row, column.index, text, sign)
    if value is None or not 0 <= value <= 1e6:
        sheet.fail(
            row,
            column.index,
            f"holds {cell.fault or shown(cell.text)}, expected a price per kg",
        )
    return value
