"""Which row fills up to the whole."""

from __future__ import annotations

from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.workbench.sheets.reading import SUM_TOLERANCE, Reading
from zincite.workbench.sheets.rows import Row
from zincite.workbench.sheets.water import is_water
from zincite.workbench.sheets.words import plain

__all__ = ["choose_rest"]

_LEAST_FILLER_PERCENT = 5.0
"""What fills up is most of a formula; an acid "q.s. to pH 5" beside a wrong sum is not it."""


def choose_rest(reading: Reading) -> None:
    """Find the one row that fills up; leave the others "as needed" out."""
    rows = reading.ingredients()
    kinds = {
        kind: [r for r in rows if reading.amounts[r.number].kind == kind]
        for kind in ("rest", "enough")
    }
    if reading.answers.rest:
        wanted = plain(reading.answers.rest)
        named = [r for r in rows if wanted in (plain(r.name), plain(r.inci), plain(r.code))]
        if len(named) != 1:
            refuse(
                reading.area.sheet.file,
                f"{len(named)} rows of {reading.name} are called {shown(reading.answers.rest)}, "
                "expected one for --rest",
            )
        kinds["rest"] = named
    if len(kinds["rest"]) > 1:
        first, second = kinds["rest"][:2]
        refuse(
            reading.area.sheet.file,
            f"{reading.name} fills up twice, in {reading.at(first)} ({shown(first.called)}) and "
            f"{reading.at(second)} ({shown(second.called)}), expected one rest",
        )
    if kinds["rest"]:
        reading.rest = kinds["rest"][0]
    else:
        _rest_of_enough(reading, kinds["enough"])
    for row in kinds["enough"]:
        if row is not reading.rest:
            reading.notes.append(
                f"{shown(row.called)} says {shown(reading.text(row))} in {reading.at(row)}, "
                "which is no amount: it is left out and named in the note."
            )


def _rest_of_enough(reading: Reading, enough: list[Row]) -> None:
    """Let the one q.s. fill up, or the water among several, where anything is missing."""
    total = reading.plain_sum(reading.ingredients())
    is_whole = any(abs(total - whole) <= SUM_TOLERANCE * whole for whole in (1.0, 100.0))
    if not enough or (is_whole and not any(is_water(row.called) for row in enough)):
        return
    water = [row for row in enough if is_water(row.name) or is_water(row.inci)]
    if len(enough) > 1 and len(water) != 1:
        first, second = enough[:2]
        refuse(
            reading.area.sheet.file,
            f"{reading.name} says q.s. in {reading.at(first)} ({shown(first.called)}) and "
            f"{reading.at(second)} ({shown(second.called)}), expected one that fills up to 100 % "
            "(--rest NAME)",
        )
    chosen = water[0] if len(enough) > 1 else enough[0]
    missing = 100.0 - total
    if chosen not in water and 0.0 < missing < _LEAST_FILLER_PERCENT:
        reading.area.sheet.fail(
            chosen.number,
            reading.index,
            f"says {shown(reading.text(chosen))} of {shown(chosen.called)} where {missing:.6g} % "
            "is missing, expected an amount, or --rest NAME if it fills up",
        )
    reading.rest = chosen
