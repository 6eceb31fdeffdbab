"""Predictions of formula versions, with the model and software that made them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.notebook.formulas import get_formula
from zincite.notebook.locating import locate
from zincite.notebook.quantities import PredictedValue, predicted_values
from zincite.notebook.records import (
    SOFTWARE,
    Record,
    columns_of,
    day,
    join_words,
    needed,
    parts_of,
    standing,
)
from zincite.notebook.schema import formula
from zincite.notebook.schema import prediction as table
from zincite.notebook.writer import Writer

__all__ = ["PredictionRecord", "add_prediction", "get_prediction", "list_predictions"]


@dataclass(frozen=True, slots=True)
class PredictionRecord(Record):
    """A prediction.

    Attributes
    ----------
    formula_id, formula : str
        Id and name of the version, such as "K-07@2".
    number : int
        Counted from 1 for each version.
    model, software : str
        Which parameters predicted, and which release of what.
    made_on : str
        Date.
    values : tuple of PredictedValue
    """

    formula_id: str
    formula: str
    number: int
    model: str
    software: str
    made_on: str
    values: tuple[PredictedValue, ...]

    @property
    def called(self) -> str:
        """Version and number, such as "K-07@2/1"."""
        return f"{self.formula}/{self.number}"

    def of(self, quantity: str) -> PredictedValue | None:
        """Return one figure, None where it was not predicted."""
        return next((value for value in self.values if value.quantity == quantity), None)


def add_prediction(
    writer: Writer,
    formula: str,
    prediction: Mapping[str, Any],
    made_on: str,
    *,
    software: str = SOFTWARE,
) -> str:
    """Keep a prediction of a version and return its id.

    Parameters
    ----------
    writer : Writer
    formula : str
        Version, such as "K-07@2", or an id.
    prediction : mapping
        What `Prediction.to_dict` returns.
    made_on : str
        Date.
    software : str
        This release when left out.

    Raises
    ------
    NotebookError
        If the version is unknown or withdrawn.
    InputError
        If the date is none or the prediction names no model.
    """
    owner = get_formula(writer.connection, formula)
    standing(owner, "formula")
    highest = writer.connection.execute(
        sa.select(sa.func.max(table.c.number)).where(table.c.formula_id == owner.id)
    ).scalar()
    model = needed(str(prediction.get("model", "")), "the prediction's model", "its name")
    row = {
        "formula_id": owner.id,
        "number": (highest or 0) + 1,
        "model": model,
        "software": software,
        "made_on": day(made_on, "the prediction's date"),
    }
    values = [asdict(value) for value in predicted_values(prediction)]
    words = join_words(owner.called, model)
    return writer.add("prediction", row, {"prediction_value": values}, words=words)


def get_prediction(connection: Connection, code_or_id: str) -> PredictionRecord:
    """Return a prediction: "K-07@2/1", or the latest of a version "K-07@2".

    Raises
    ------
    NotebookError
        If there is none.
    """
    id = locate(connection, "prediction", code_or_id)
    rows = connection.execute(_question().where(table.c.id == id)).mappings().all()
    return _records(connection, rows)[0]


def list_predictions(connection: Connection, formula: str = "") -> tuple[PredictionRecord, ...]:
    """Return the predictions of a version, or of all, in order of entry."""
    question = _question().order_by(_formula.c.code, _formula.c.number, table.c.number)
    if formula:
        question = question.where(table.c.formula_id == locate(connection, "formula", formula))
    return _records(connection, connection.execute(question).mappings().all())


_formula = formula


def _question() -> sa.Select[tuple[object, ...]]:
    return sa.select(
        table, _formula.c.code.label("formula_code"), _formula.c.number.label("formula_number")
    ).join(_formula, _formula.c.id == table.c.formula_id)


def _records(connection: Connection, rows: Iterable[RowMapping]) -> tuple[PredictionRecord, ...]:
    listed = list(rows)
    ids = [str(row["id"]) for row in listed]
    parts = parts_of(connection, "prediction", "prediction_value", ids)
    return tuple(
        PredictionRecord(
            **columns_of(
                PredictionRecord,
                row,
                formula=f"{row['formula_code']}@{row['formula_number']}",
                values=tuple(
                    PredictedValue(**columns_of(PredictedValue, part)) for part in parts[row["id"]]
                ),
            )
        )
        for row in listed
    )
