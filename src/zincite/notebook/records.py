"""What all nouns share: rows as frozen records, their parts, dates, texts and the withdrawn."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite import __version__
from zincite.errors import InputError, NotebookError
from zincite.notebook.schema import NOUNS

__all__ = [
    "SOFTWARE",
    "Record",
    "checked_code",
    "columns_of",
    "day",
    "finite",
    "join_words",
    "needed",
    "parts_of",
    "rows_of",
    "standing",
]

SOFTWARE = f"zincite {__version__}"
"""What evaluates and predicts now."""

_CHUNK = 500  # ids of one question; SQLite takes at most 32766 values


@dataclass(frozen=True, slots=True)
class Record:
    """A thing in the notebook.

    Attributes
    ----------
    id : str
        Never changes.
    revision : int
        Counts from 1; a change hands it back, so that nobody overwrites unseen.
    withdrawn : str
        Why it was withdrawn, "" while it stands.
    """

    id: str
    revision: int
    withdrawn: str

    @property
    def called(self) -> str:
        """What people call it: its code, or its id where it has none."""
        return str(getattr(self, "code", self.id))

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {"called": self.called, **asdict(self)}


def columns_of(kind: type[Any], row: RowMapping, **more: Any) -> dict[str, Any]:
    """Return what a row gives to a record's fields; `more` wins."""
    return {**{f.name: row[f.name] for f in fields(kind) if f.name in row}, **more}


def rows_of(
    connection: Connection,
    question: sa.Select[Any],
    column: sa.ColumnElement[Any],
    ids: Iterable[str],
) -> list[RowMapping]:
    """Return the rows of a question whose column is one of many ids."""
    wanted = list(dict.fromkeys(ids))
    found: list[RowMapping] = []
    for start in range(0, len(wanted), _CHUNK):
        chunk = wanted[start : start + _CHUNK]
        found += connection.execute(question.where(column.in_(chunk))).mappings().all()
    return found


def parts_of(
    connection: Connection, noun: str, name: str, ids: Sequence[str]
) -> dict[str, list[RowMapping]]:
    """Return the rows of a child table by parent, in their order; every id has a list."""
    table = next(part for part in NOUNS[noun].parts if part.name == name)
    parent = table.c[f"{noun}_id"]
    question = sa.select(table).order_by(parent, table.c.position)
    found: dict[str, list[RowMapping]] = {id: [] for id in ids}
    for row in rows_of(connection, question, parent, ids):
        found[str(row[parent.name])].append(row)
    return found


def standing(record: Record, noun: str) -> None:
    """Refuse a withdrawn thing for new work.

    Raises
    ------
    NotebookError
        With the reason of its withdrawal.
    """
    if record.withdrawn:
        raise NotebookError(
            f"{noun} {record.called} is withdrawn ({record.withdrawn}), expected one that stands"
        )


def checked_code(code: str, noun: str) -> str:
    """Return a code without blanks around it.

    Raises
    ------
    InputError
        If it is empty, or has an at sign, which names of versions use, or a line break.
    """
    found = code.strip()
    if not found:
        raise InputError(f"{noun}: the code is empty, expected one such as K-07")
    bad = next((c for c in found if c == "@" or not c.isprintable()), "")
    if bad:
        raise InputError(
            f"{noun} {found[:40]!r}: the code holds {bad!r}, expected letters, digits and signs "
            "other than @"
        )
    return found


def needed(text: str, what: str, expected: str) -> str:
    """Return a text without blanks around it, refused where nothing is left.

    Raises
    ------
    InputError
        "<what> is empty, expected <expected>".
    """
    found = text.strip()
    if not found:
        raise InputError(f"{what} is empty, expected {expected}")
    return found


def day(text: str, what: str, *, may_be_empty: bool = False) -> str:
    """Return a date as the notebook keeps it.

    Raises
    ------
    InputError
        If it is no date such as 2027-01-31.
    """
    found = text.strip()
    if may_be_empty and not found:
        return ""
    try:
        return datetime.date.fromisoformat(found).isoformat()
    except ValueError:
        raise InputError(f"{what} is {found[:40]!r}, expected a date such as 2027-01-31") from None


def finite(value: float | None, what: str) -> float | None:
    """Return a number as a plain float.

    Raises
    ------
    InputError
        If it is not finite.
    """
    if value is None:
        return None
    if not math.isfinite(value):
        raise InputError(f"{what} is {value}, expected a number")
    return float(value)


def join_words(*texts: str) -> str:
    """Return texts as one line of words for the search, each text once."""
    return " ".join(dict.fromkeys(" ".join(text.split()) for text in texts if text.strip()))
