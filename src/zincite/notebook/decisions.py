"""Decisions about a formula, a trial, a result or anything else, each with its reason."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.engine import Connection, RowMapping

from zincite.errors import InputError
from zincite.notebook.locating import locate
from zincite.notebook.records import Record, columns_of, join_words, needed
from zincite.notebook.schema import decision as table
from zincite.notebook.subjects import checked_noun, refuse_withdrawn
from zincite.notebook.writer import Writer

__all__ = ["VERDICTS", "DecisionRecord", "add_decision", "get_decision", "list_decisions"]

VERDICTS = ("go on", "fix", "drop", "release")
"""What can be decided."""


@dataclass(frozen=True, slots=True)
class DecisionRecord(Record):
    """A decision.

    Attributes
    ----------
    noun, subject : str
        What it is about and its id.
    verdict : str
        One of `VERDICTS`.
    reason : str
    """

    noun: str
    subject: str
    verdict: str
    reason: str


def add_decision(writer: Writer, noun: str, subject: str, verdict: str, reason: str) -> str:
    """Add a decision and return its id.

    Parameters
    ----------
    writer : Writer
    noun, subject : str
        Such as "formula" and its code or id.
    verdict : str
        One of `VERDICTS`.
    reason : str

    Raises
    ------
    NotebookError
        If there is no such thing, or it is withdrawn.
    InputError
        If the verdict is none, or the reason is empty.
    """
    id = locate(writer.connection, checked_noun(noun), subject)
    refuse_withdrawn(writer.connection, noun, id)
    said = " ".join(verdict.split()).lower()
    if said not in VERDICTS:
        raise InputError(f"the verdict is {verdict[:40]!r}, expected one of {', '.join(VERDICTS)}")
    why = needed(reason, "the reason", f"why the verdict is {said!r}")
    row = {"noun": noun, "subject": id, "verdict": said, "reason": why}
    return writer.add("decision", row, words=join_words(said, why))


def get_decision(connection: Connection, id: str) -> DecisionRecord:
    """Return a decision by its id or the beginning of it.

    Raises
    ------
    NotebookError
        If there is none.
    """
    found = locate(connection, "decision", id)
    return _record(connection.execute(table.select().where(table.c.id == found)).mappings().one())


def list_decisions(
    connection: Connection, noun: str = "", subject: str = ""
) -> tuple[DecisionRecord, ...]:
    """Return what was decided about something, or all, the latest first."""
    question = table.select().order_by(table.c.event_seq.desc())
    if noun:
        id = locate(connection, noun, subject)
        question = question.where(table.c.noun == noun, table.c.subject == id)
    return tuple(_record(row) for row in connection.execute(question).mappings())


def _record(row: RowMapping) -> DecisionRecord:
    return DecisionRecord(**columns_of(DecisionRecord, row))
