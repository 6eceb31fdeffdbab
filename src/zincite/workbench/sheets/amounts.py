"""Amounts as laboratories write them: 12,5 %, q.s., ad 100, rest, 1 250 g."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass

from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.numbers import NumberForm, evidence_of_sign
from zincite.workbench.sheets.cells import Sheet, SheetCell

__all__ = [
    "BLANK",
    "BLANKS",
    "Amount",
    "decimal_sign",
    "looks_like_amount",
    "number_in",
    "read_amount",
]

BLANKS = frozenset({"", "-", "--", "–", "—", "/", "./.", "n/a", "."})
_UNITS = {"%": "%", "g": "g", "gr": "g", "kg": "kg", "mg": "mg"}
_UNIT = re.compile(r"(.*?)\s*(%|gr?|kg|mg)(?:\s*(?:w/w|m/m|p/p))?", re.I)
_SPACED = re.compile(r"[+-]?\d{1,3}(?:[ \u00a0\u202f]\d{3})+(?:[.,]\d*)?")
_ENOUGH = r"(?:q\.?\s?s\.?(?:\s?p\.?)?|q\.?\s?b\.?|c\.?\s?s\.?(?:\s?p\.?)?)"
_TO = r"(?:ad\.?|to|up to|make up to|auf|bis|zu|a|à|al|hasta|pour|jusqu'?[aà]|on)"
_NUMBER = r"(\d[\d.,]*)\s*(%|g|kg)?"
_FILL = rf"(?:{_ENOUGH}|rest|reste|resto|balance|remainder|bal\.?)"
_TO_WHOLE = re.compile(rf"{_FILL}?\s*{_TO}\s*{_NUMBER}", re.I)
_ENOUGH_WHOLE = re.compile(rf"{_FILL}\s*{_NUMBER}", re.I)
_REST = re.compile(
    r"(?:the )?(?:rest|remainder|balance|bal\.?|reste|resto|rem\.?|solde|compl[eé]ment|restmenge"
    r"|auff[uü]llen|fill ?up|make up)",
    re.I,
)
_BARE = re.compile(
    rf"(?:{_ENOUGH}|quantum satis|quantum sufficit|as needed|as required|nach bedarf|n\. ?b\."
    r"|selon besoin|seg[uú]n necesidad)",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount as written.

    Attributes
    ----------
    kind : str
        "number", "rest" (fills up), "enough" (q.s. without a whole) or "blank".
    value : float
        The number; of a rest the whole that it fills up to, 0 where none is said.
    unit : str
        "%", "g", "kg", "mg" or "" where the cell itself says none.
    """

    kind: str
    value: float = 0.0
    unit: str = ""


BLANK = Amount("blank")


def decimal_sign(cells: Iterable[SheetCell]) -> str:
    """Return the decimal sign that texts show beyond doubt, "" where none or both do."""
    signs = set()
    for cell in cells:
        if isinstance(cell.value, str):
            found = _UNIT.fullmatch(cell.value)
            evidence = evidence_of_sign(found[1] if found else cell.value)
            if evidence is not None and evidence[1]:
                signs.add(evidence[0])
    return signs.pop() if len(signs) == 1 else ""


def looks_like_amount(cell: SheetCell) -> bool:
    """Return whether a cell can stand in a column of amounts."""
    if isinstance(cell.value, float) or cell.fault:
        return True
    text = cell.text
    if not text or text.casefold() in BLANKS:
        return False
    if any(p.fullmatch(text) for p in (_TO_WHOLE, _ENOUGH_WHOLE, _REST, _BARE)):
        return True
    found = _UNIT.fullmatch(text)
    bare = found[1] if found else text
    return any(_parse(bare, sign) is not None for sign in ",.")


def number_in(
    sheet: Sheet, row: int, column: int, text: str, sign: str, *, small: bool = False
) -> float | None:
    """Return the number that a text of a cell is, None where it is none.

    Parameters
    ----------
    sheet : Sheet
    row, column : int
        The cell, for messages.
    text : str
        Its text, without unit.
    sign : str
        Decimal sign of the file's other texts, "" where they show none.
    small : bool
        Whether 1000 and more cannot occur, so that "1,234" is 1.234.

    Raises
    ------
    InputError
        If it may be one of two numbers.
    """
    evidence = evidence_of_sign(text)
    if evidence is None or small or evidence[1]:
        return _parse(text, evidence[0] if evidence else ".")
    if not sign:
        sheet.fail(
            row,
            column,
            f"holds {shown(text)}, which may be a decimal number or thousands, expected a number "
            "without doubt, such as one typed as a number",
        )
    return _parse(text, sign)


def _parse(text: str, sign: str) -> float | None:
    text = text.strip()
    if _SPACED.fullmatch(text):
        text = re.sub(r"[ \u00a0\u202f]", "", text)
    return NumberForm(sign, grouped=True).parse(text)


def read_amount(sheet: Sheet, row: int, column: int, sign: str, *, small: bool) -> Amount:
    """Return the amount of a cell.

    Parameters
    ----------
    sheet : Sheet
    row, column : int
    sign, small
        As in `number_in`.

    Raises
    ------
    InputError
        If it is no amount, or its value was not saved; the cell is named.
    """
    cell = sheet.cell(row, column)
    if cell.fault:
        how = " (open the file, let it compute and save it)" if cell.formula else ""
        sheet.fail(row, column, f"holds {cell.fault}, expected an amount{how}")
    if isinstance(cell.value, float):
        return _checked(sheet, row, column, Amount("number", cell.value, "%" * cell.is_percent))
    if isinstance(cell.value, datetime.date):
        sheet.fail(
            row,
            column,
            f"holds the date {cell.value.isoformat()}, expected an amount (a spreadsheet may have "
            "taken a number such as 1.5 for a date)",
        )
    return _of_text(sheet, row, column, sign, small=small)


def _of_text(sheet: Sheet, row: int, column: int, sign: str, *, small: bool) -> Amount:
    text = sheet.cell(row, column).text
    if text.casefold() in BLANKS:
        return BLANK
    whole = _TO_WHOLE.fullmatch(text) or _ENOUGH_WHOLE.fullmatch(text)
    if whole:
        value = number_in(sheet, row, column, whole[1], sign, small=True)
        if value:
            return Amount("rest", value, (whole[2] or "").lower())
    if _REST.fullmatch(text):
        return Amount("rest")
    if _BARE.fullmatch(text):
        return Amount("enough")
    found = _UNIT.fullmatch(text)
    unit = _UNITS[found[2].lower()] if found else ""
    bare = found[1] if found else text
    number = number_in(sheet, row, column, bare, sign, small=small or unit == "%")
    if number is None:
        sheet.fail(
            row, column, f"holds {shown(text)}, expected one amount such as 12.5, 'q.s.' or 'rest'"
        )
    return _checked(sheet, row, column, Amount("number", number, unit))


def _checked(sheet: Sheet, row: int, column: int, amount: Amount) -> Amount:
    if amount.value < 0:
        sheet.fail(row, column, f"holds {amount.value:g}, expected an amount of 0 or more")
    return amount
