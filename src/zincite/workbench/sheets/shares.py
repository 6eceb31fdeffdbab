"""One column of amounts as shares in percent: per cent, fractions, grams, rest, sums checked."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.formula.formula import SUM_TOLERANCE_PERCENT
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.column_amounts import COMPUTED_REST, read_amounts
from zincite.workbench.sheets.layout import Column, TableArea
from zincite.workbench.sheets.reading import Batch, Reading
from zincite.workbench.sheets.rests import choose_rest
from zincite.workbench.sheets.rows import Ingredients, Row
from zincite.workbench.sheets.sums import check_sums
from zincite.workbench.sheets.wholes import unit_and_whole
from zincite.workbench.sheets.words import AMOUNT_ROLES

__all__ = ["Share", "Shares", "read_shares"]


@dataclass(frozen=True, slots=True)
class Share:
    """A row's share.

    Attributes
    ----------
    row : Row
    percent : float
    is_rest : bool
    """

    row: Row
    percent: float
    is_rest: bool = False


@dataclass(frozen=True, slots=True)
class Shares:
    """A column as shares that sum to 100 %.

    Attributes
    ----------
    column : Column
    shares : tuple of Share
        In order of the sheet, without rows that have no amount.
    understood : tuple of str
    """

    column: Column
    shares: tuple[Share, ...]
    understood: tuple[str, ...]


def read_shares(
    area: TableArea, column: Column, table: Ingredients, answers: Answers, batch: Batch | None
) -> Shares:
    """Return the shares of one column of amounts.

    Parameters
    ----------
    area : TableArea
    column : Column
    table : Ingredients
    answers : Answers
    batch : Batch or None
        Size that the sheet states elsewhere.

    Raises
    ------
    InputError
        If an amount is none, the unit cannot be told, or the sum is not 100 %.
    """
    reading = Reading(area, column, table, answers, batch)
    read_amounts(reading)
    choose_rest(reading)
    unit, whole = unit_and_whole(reading)
    check_sums(reading, whole)
    filled = _filled(reading, whole)
    reading.notes.insert(0, _column_sentence(reading, unit, whole, len(filled)))
    return Shares(column, filled, tuple(reading.notes))


def _filled(reading: Reading, whole: float) -> tuple[Share, ...]:
    """Return the shares, the rest worked out; refuse a sum that is not the whole."""
    rows = reading.ingredients()
    others = reading.plain_sum(reading.others())
    scale = 100.0 / whole
    missing = 100.0 - others * scale
    tolerance = SUM_TOLERANCE_PERCENT + 1e-9
    if missing < -tolerance or (reading.rest is None and missing > tolerance):
        _refuse_whole(reading, rows, others, others * scale, whole)
    found: list[Share] = []
    empty: list[Row] = []
    for row in rows:
        amount = reading.amounts[row.number]
        if row is reading.rest:
            found.append(Share(row, max(round(missing, 10), 0.0), True))
        elif amount.kind == "number" and amount.value > 0:
            computed = _is_computed_rest(reading, row)
            found.append(Share(row, round(amount.value * scale, 10), computed))
        elif amount.kind != "enough":
            empty.append(row)
    _say_empty(reading, empty)
    if reading.rest is not None:
        reading.notes.append(
            f"{shown(reading.rest.called)} in {reading.at(reading.rest)} "
            f"({shown(reading.text(reading.rest))}) fills up to 100 %: {max(missing, 0.0):.6g} %."
        )
    return tuple(found)


def _say_empty(reading: Reading, empty: list[Row]) -> None:
    several = len(reading.area.role(*AMOUNT_ROLES, "version")) > 1
    if not several and empty:
        listed = ", ".join(f"{shown(r.called)} ({reading.at(r)})" for r in empty[:5])
        more = f" and {len(empty) - 5} more" if len(empty) > 5 else ""
        reading.notes.append(f"Left out, without an amount or with 0: {listed}{more}.")


def _is_computed_rest(reading: Reading, row: Row) -> bool:
    """Return whether a cell computes what is missing, as 100 less the others."""
    cell = reading.area.sheet.cell(row.number, reading.index)
    if reading.rest is not None or not COMPUTED_REST.fullmatch(cell.formula):
        return False
    computed = [
        r
        for r in reading.ingredients()
        if COMPUTED_REST.fullmatch(reading.area.sheet.cell(r.number, reading.index).formula)
    ]
    if len(computed) != 1:
        return False
    reading.notes.append(
        f"{shown(row.called)} in {reading.at(row)} is computed as {shown(cell.formula)} and taken "
        "for the rest."
    )
    return True


def _refuse_whole(
    reading: Reading, rows: list[Row], total: float, percent: float, whole: float
) -> None:
    first, last = reading.at(rows[0]), reading.at(rows[-1])
    if reading.rest is not None:
        reading.area.sheet.fail(
            reading.rest.number,
            reading.index,
            f"is to fill up to 100 %, but the other amounts of {reading.name} sum to "
            f"{percent:.6g} % already, expected less",
        )
    in_unit = "" if whole == 100.0 else f" ({total:.6g} of {whole:g})"
    refuse(
        reading.area.sheet.file,
        f"{reading.name} sums to {percent:.6g} %{in_unit} from {first} to {last}, expected 100 % "
        "(or one ingredient that fills up: --rest NAME)",
    )


def _column_sentence(reading: Reading, unit: str, whole: float, count: int) -> str:
    name = reading.name[:1].upper() + reading.name[1:]
    how = f", {reading.column.how}" if reading.column.how else ""
    if unit == "%":
        what = "per cent"
    elif unit == "fraction":
        what = "fractions of 1, times 100"
    elif unit == "g/kg":
        what = "g/kg, divided by 10"
    else:
        what = f"{unit} of a batch of {whole:g} {unit}, as per cent of it"
    return f"{name} holds {what}{how}: {count} ingredients, sum 100 %."
