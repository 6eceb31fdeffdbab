"""Results: what a trial measured, with the raw file byte for byte and its evaluation."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.errors import InputError
from zincite.notebook.attachments import attached
from zincite.notebook.chain import body_text
from zincite.notebook.locating import locate
from zincite.notebook.measured import measured_values
from zincite.notebook.quantities import MeasuredValue
from zincite.notebook.records import (
    SOFTWARE,
    Record,
    columns_of,
    day,
    finite,
    join_words,
    needed,
    parts_of,
    standing,
)
from zincite.notebook.schema import result as table
from zincite.notebook.schema import result_value, trial
from zincite.notebook.trials import get_trial
from zincite.notebook.writer import Writer

__all__ = ["RawFile", "ResultRecord", "add_result", "get_result", "list_results", "raw_file"]


@dataclass(frozen=True, slots=True)
class RawFile:
    """A file as the instrument or the laboratory gave it.

    Attributes
    ----------
    name : str
    data : bytes
    """

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class ResultRecord(Record):
    """A result.

    Attributes
    ----------
    trial_id, trial : str
        Id and code.
    number : int
        Counted from 1 for each trial.
    kind : str
        Assay such as "spf", or a plain quantity such as "viscosity".
    measured_on : str
        Date.
    method, software : str
        Standard and edition, and which release of what evaluated it.
    valid : bool
        Whether the test meets what could be checked.
    file_name, sha256 : str or None
        Of the raw file; "" and None without one.
    evaluation : str
        JSON as the evaluation gave it, "{}" for a plain value.
    values : tuple of MeasuredValue
    """

    trial_id: str
    trial: str
    number: int
    kind: str
    measured_on: str
    method: str
    software: str
    valid: bool
    file_name: str
    sha256: str | None
    evaluation: str
    values: tuple[MeasuredValue, ...]

    @property
    def called(self) -> str:
        """Trial and number, such as "T-001/2"."""
        return f"{self.trial}/{self.number}"

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints, the evaluation as an object."""
        return {**Record.to_dict(self), "evaluation": json.loads(self.evaluation)}


def add_result(
    writer: Writer,
    trial: str,
    kind: str,
    *,
    measured_on: str,
    evaluation: Mapping[str, Any] | None = None,
    values: Sequence[MeasuredValue] | None = None,
    method: str | None = None,
    valid: bool | None = None,
    raw: RawFile | None = None,
    software: str = SOFTWARE,
) -> str:
    """Add a result and return its id.

    Parameters
    ----------
    writer : Writer
    trial : str
        Code or id.
    kind : str
        Assay such as "spf", or a plain quantity such as "viscosity".
    measured_on : str
        Date.
    evaluation : mapping, optional
        What the evaluation's `to_dict` returns.
    values : sequence of MeasuredValue, optional
        The figures; those of the evaluation when left out.
    method : str, optional
        That of the evaluation when left out.
    valid : bool, optional
        Whether the test meets what could be checked; as the evaluation says when left out.
    raw : RawFile, optional
        Kept byte for byte.
    software : str
        This release when left out.

    Raises
    ------
    NotebookError
        If the trial is unknown or withdrawn.
    InputError
        If there is nothing to keep, or a date or number cannot be one.
    """
    owner = get_trial(writer.connection, trial)
    standing(owner, "trial")
    what = f"trial {owner.code}, {kind}"
    said = evaluation or {}
    if values is None:
        values = measured_values(kind, said) if said else ()
    if not values and raw is None:
        raise InputError(f"{what}: has neither a value nor a file, expected one of them")
    highest = writer.connection.execute(
        sa.select(sa.func.max(table.c.number)).where(table.c.trial_id == owner.id)
    ).scalar()
    row: dict[str, Any] = {
        "trial_id": owner.id,
        "number": (highest or 0) + 1,
        "kind": needed(kind, f"trial {owner.code}: the kind of result", "a name such as spf"),
        "measured_on": day(measured_on, f"{what}: measured on"),
        "method": str(said.get("method", "")) if method is None else method.strip(),
        "software": software,
        "valid": int(said.get("valid", True) if valid is None else valid),
        "file_name": "" if raw is None else raw.name,
        "sha256": None if raw is None else writer.blob(raw.data),
        "evaluation": _evaluation(said, what),
    }
    parts = {"result_value": [_value_row(value, what) for value in values]}
    named = (owner.code, kind, row["method"], row["file_name"])
    words = join_words(*named, *(value.quantity for value in values))
    return writer.add("result", row, parts, words=words)


def _evaluation(evaluation: Mapping[str, Any], what: str) -> str:
    try:
        return body_text(evaluation)
    except ValueError:
        raise InputError(
            f"{what}: the evaluation holds a number that is not finite, expected plain numbers"
        ) from None


def _value_row(value: MeasuredValue, what: str) -> dict[str, Any]:
    quantity = needed(value.quantity, f"{what}: a quantity", "a name")
    numbers = {
        key: finite(getattr(value, key), f"{what}: {quantity}") for key in ("value", "low", "high")
    }
    return {**asdict(value), "quantity": quantity, **numbers}


def get_result(connection: Connection, code_or_id: str) -> ResultRecord:
    """Return a result: "T-001/2", or the latest of a trial "T-001".

    Raises
    ------
    NotebookError
        If there is none.
    """
    id = locate(connection, "result", code_or_id)
    rows = connection.execute(_question().where(table.c.id == id)).mappings().all()
    return _records(connection, rows)[0]


def raw_file(connection: Connection, record: ResultRecord) -> RawFile | None:
    """Return the raw file of a result, None where it has none."""
    if record.sha256 is None:
        return None
    return RawFile(record.file_name, attached(connection, record.sha256))


def list_results(
    connection: Connection, *, trial: str = "", kind: str = "", at_most: int | None = None
) -> tuple[ResultRecord, ...]:
    """Return results, the latest measured first; those of one trial in order of entry.

    Parameters
    ----------
    connection : Connection
    trial : str
        Only those of a trial, by code or id.
    kind : str
        Only those of a kind.
    at_most : int, optional
        So many of them.
    """
    question = _question()
    if trial:
        owner = locate(connection, "trial", trial)
        question = question.where(table.c.trial_id == owner).order_by(table.c.number)
    else:
        order = (table.c.measured_on.desc(), _trial.c.code.desc(), table.c.number.desc())
        question = question.order_by(*order)
    if kind:
        question = question.where(table.c.kind == kind)
    if at_most is not None:
        question = question.limit(at_most)
    return _records(connection, connection.execute(question).mappings().all())


_trial = trial


def _question() -> sa.Select[tuple[object, ...]]:
    joined = _trial.c.id == table.c.trial_id
    return sa.select(table, _trial.c.code.label("trial")).join(_trial, joined)


def _records(connection: Connection, rows: Iterable[RowMapping]) -> tuple[ResultRecord, ...]:
    listed = list(rows)
    ids = [str(row["id"]) for row in listed]
    parts = parts_of(connection, "result", result_value.name, ids)
    return tuple(
        ResultRecord(
            **columns_of(
                ResultRecord,
                row,
                valid=bool(row["valid"]),
                values=tuple(
                    MeasuredValue(**columns_of(MeasuredValue, part)) for part in parts[row["id"]]
                ),
            )
        )
        for row in listed
    )
