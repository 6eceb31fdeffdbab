"""What a decision, a comment or a file can be about, and whether it still stands."""

from __future__ import annotations

from sqlalchemy.engine import Connection

from zincite.errors import InputError, NotebookError
from zincite.notebook.locating import name_of
from zincite.notebook.schema import NOUNS

__all__ = ["SUBJECTS", "checked_noun", "refuse_withdrawn", "row_of"]

SUBJECTS = (
    "project",
    "brief",
    "material",
    "lot",
    "formula",
    "prediction",
    "trial",
    "result",
    "decision",
    "attachment",
    "comment",
)
"""Nouns of the work at the bench; accounts, signatures and mappings have their own acts."""


def checked_noun(noun: str) -> str:
    """Return a noun that something can be about.

    Raises
    ------
    InputError
        If it is none of `SUBJECTS`.
    """
    if noun not in SUBJECTS:
        raise InputError(f"{noun[:40]!r} is no noun, expected one of {', '.join(SUBJECTS)}")
    return noun


def row_of(connection: Connection, noun: str, id: str) -> dict[str, object]:
    """Return the row of a thing by its id.

    Raises
    ------
    NotebookError
        If there is none.
    """
    table = NOUNS[checked_noun(noun)].table
    row = connection.execute(table.select().where(table.c.id == id)).mappings().first()
    if row is None:
        raise NotebookError(f"no {noun} has the id {id!r}, expected one in the notebook")
    return {str(key): value for key, value in row.items()}


def refuse_withdrawn(connection: Connection, noun: str, id: str) -> None:
    """Refuse a withdrawn thing for new work.

    Raises
    ------
    NotebookError
        With the reason of its withdrawal.
    """
    reason = row_of(connection, noun, id)["withdrawn"]
    if reason:
        called = name_of(connection, noun, id)
        raise NotebookError(f"{noun} {called} is withdrawn ({reason}), expected one that stands")
