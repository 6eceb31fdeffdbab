"""Trials: batches of a formula version, with their lots, weights, steps and deviations."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.errors import InputError, NotebookError
from zincite.notebook.formulas import get_formula
from zincite.notebook.locating import locate
from zincite.notebook.records import (
    Record,
    checked_code,
    columns_of,
    day,
    finite,
    join_words,
    needed,
    parts_of,
    standing,
)
from zincite.notebook.schema import formula
from zincite.notebook.schema import trial as table
from zincite.notebook.trial_parts import (
    TrialDeviation,
    TrialWeight,
    deviation_rows,
    weight_rows,
    weights_of,
)
from zincite.notebook.writer import Writer

__all__ = ["TrialRecord", "add_trial", "get_trial", "list_trials", "next_code"]

_CODE = re.compile(r"T-(\d{1,9})")


@dataclass(frozen=True, slots=True)
class TrialRecord(Record):
    """A batch made.

    Attributes
    ----------
    code : str
    formula_id, formula : str
        Id and name of the formula version, such as "K-07@2".
    made_on : str
        Date.
    made_by : str
    batch_kg : float or None
        [kg]
    process : str
        The steps as made, one a line.
    note : str
    weights : tuple of TrialWeight
    deviations : tuple of TrialDeviation
    """

    code: str
    formula_id: str
    formula: str
    made_on: str
    made_by: str
    batch_kg: float | None
    process: str
    note: str
    weights: tuple[TrialWeight, ...]
    deviations: tuple[TrialDeviation, ...]


def add_trial(
    writer: Writer,
    formula: str,
    *,
    made_on: str,
    made_by: str,
    code: str = "",
    batch_kg: float | None = None,
    process: str = "",
    note: str = "",
    weights: Sequence[TrialWeight] = (),
    deviations: Sequence[TrialDeviation] = (),
) -> str:
    """Add a trial and return its id.

    Parameters
    ----------
    writer : Writer
    formula : str
        Version made, such as "K-07@2", or an id.
    made_on, made_by : str
        Date and name.
    code : str
        The next such as "T-001" when left out.
    batch_kg : float, optional
        [kg]
    process, note : str
        `process` holds the steps as made.
    weights : sequence of TrialWeight
    deviations : sequence of TrialDeviation

    Raises
    ------
    NotebookError
        If the code is taken; if formula, material or lot are unknown or withdrawn.
    InputError
        If a date, number or text cannot be one.
    """
    connection = writer.connection
    made = get_formula(connection, formula)
    standing(made, "formula")
    code = checked_code(code, "trial") if code.strip() else next_code(connection)
    if connection.execute(sa.select(table.c.id).where(table.c.code == code)).first() is not None:
        raise NotebookError(f"trial {code} is there already, expected a new code")
    size = finite(batch_kg, f"trial {code}: the batch in kg")
    if size is not None and size <= 0:
        raise InputError(f"trial {code}: the batch has {size:g} kg, expected more than 0 kg")
    row: dict[str, Any] = {
        "code": code,
        "formula_id": made.id,
        "made_on": day(made_on, f"trial {code}: made on"),
        "made_by": needed(made_by, f"trial {code}: made by", "a name"),
        "batch_kg": size,
        "process": process.strip(),
        "note": note.strip(),
    }
    parts = {
        "trial_weight": weight_rows(connection, weights, made, f"trial {code}"),
        "trial_deviation": deviation_rows(deviations, f"trial {code}"),
    }
    told = [text for deviation in deviations for text in (deviation.what, deviation.decision)]
    lots = [weight.lot for weight in weights]
    words = join_words(
        *(code, made.called, made.name, row["made_by"], row["process"], row["note"]),
        *told,
        *lots,
    )
    return writer.add("trial", row, parts, words=words)


def next_code(connection: Connection) -> str:
    """Return the code after the highest of the form "T-001"."""
    codes = connection.execute(sa.select(table.c.code).where(table.c.code.like("T-%"))).scalars()
    numbers = (int(match[1]) for match in map(_CODE.fullmatch, codes) if match is not None)
    return f"T-{max(numbers, default=0) + 1:03d}"


def get_trial(connection: Connection, code_or_id: str) -> TrialRecord:
    """Return a trial.

    Raises
    ------
    NotebookError
        If there is none.
    """
    id = locate(connection, "trial", code_or_id)
    rows = connection.execute(_question().where(table.c.id == id)).mappings().all()
    return _records(connection, rows)[0]


def list_trials(
    connection: Connection, *, formula: str = "", at_most: int | None = None
) -> tuple[TrialRecord, ...]:
    """Return trials, the latest made first, withdrawn ones too.

    Parameters
    ----------
    connection : Connection
    formula : str
        Only those of a version "K-07@2", or of all versions of a code "K-07".
    at_most : int, optional
        So many of them.
    """
    question = _question().order_by(table.c.made_on.desc(), table.c.code.desc())
    if formula:
        made = get_formula(connection, formula)
        one = "@" in formula or formula == made.id
        wanted = table.c.formula_id == made.id if one else _formula.c.code == made.code
        question = question.where(wanted)
    if at_most is not None:
        question = question.limit(at_most)
    return _records(connection, connection.execute(question).mappings().all())


_formula = formula


def _question() -> sa.Select[tuple[object, ...]]:
    return sa.select(
        table, _formula.c.code.label("formula_code"), _formula.c.number.label("formula_number")
    ).join(_formula, _formula.c.id == table.c.formula_id)


def _records(connection: Connection, rows: Iterable[RowMapping]) -> tuple[TrialRecord, ...]:
    listed = list(rows)
    ids = [str(row["id"]) for row in listed]
    weights = weights_of(connection, ids)
    deviations = parts_of(connection, "trial", "trial_deviation", ids)
    return tuple(
        TrialRecord(
            **columns_of(
                TrialRecord,
                row,
                formula=f"{row['formula_code']}@{row['formula_number']}",
                weights=weights[row["id"]],
                deviations=tuple(
                    TrialDeviation(part["what"], part["decision"]) for part in deviations[row["id"]]
                ),
            )
        )
        for row in listed
    )
