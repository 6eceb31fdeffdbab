"""Briefs of projects: numbered, so that what was asked for at a time stays known."""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.errors import NotebookError
from zincite.formula.brief import Brief
from zincite.formula.brief_reading import read_brief
from zincite.formula.documents import parse_document
from zincite.formula.writing import brief_text
from zincite.notebook.locating import locate
from zincite.notebook.projects import get_project
from zincite.notebook.records import Record, columns_of, join_words, needed, standing
from zincite.notebook.schema import brief as table
from zincite.notebook.schema import project
from zincite.notebook.writer import Writer

__all__ = ["BriefRecord", "add_brief", "get_brief", "keep_brief", "list_briefs", "open_brief"]


@dataclass(frozen=True, slots=True)
class BriefRecord(Record):
    """A brief.

    Attributes
    ----------
    project_id, project : str
        Id and code of its project.
    number : int
        Counted from 1 in the project.
    name, toml, reason : str
        `reason` says why it took the place of the one before.
    """

    project_id: str
    project: str
    number: int
    name: str
    toml: str
    reason: str

    @property
    def called(self) -> str:
        """Project and number, such as "FLUID/1"."""
        return f"{self.project}/{self.number}"


def add_brief(writer: Writer, project: str, brief: Brief, reason: str = "") -> str:
    """Add a brief to a project and return its id.

    Parameters
    ----------
    writer : Writer
    project : str
        Code or id.
    brief : Brief
    reason : str
        Why it takes the place of the one before; needed from the second on.

    Raises
    ------
    NotebookError
        If the project is unknown or withdrawn, or its latest brief is the same.
    InputError
        If the reason is missing.
    """
    owner = get_project(writer.connection, project)
    standing(owner, "project")
    before = list_briefs(writer.connection, owner.id)
    text = brief_text(brief)
    if before:
        if before[-1].toml == text and not before[-1].withdrawn:
            raise NotebookError(f"the brief is the same as {before[-1].called}, expected a change")
        reason = needed(reason, "the reason", f"why it takes the place of {before[-1].called}")
    row = {
        "project_id": owner.id,
        "number": len(before) + 1,
        "name": brief.name or owner.name,
        "toml": text,
        "reason": reason,
    }
    words = join_words(owner.code, brief.name, reason, brief.note, brief.product, *brief.markets)
    return writer.add("brief", row, words=words)


def keep_brief(writer: Writer, project: str, brief: Brief, reason: str) -> tuple[str, bool]:
    """Add a brief unless one of the project that stands is the same.

    Returns
    -------
    str
        Id of the brief.
    bool
        Whether it was added now.
    """
    owner = get_project(writer.connection, project)
    text = brief_text(brief)
    for known in reversed(list_briefs(writer.connection, owner.id)):
        if known.toml == text and not known.withdrawn:
            return known.id, False
    return add_brief(writer, owner.id, brief, reason), True


def get_brief(connection: Connection, code_or_id: str) -> BriefRecord:
    """Return a brief, called "PROJECT/1", or by the project alone for the latest.

    Raises
    ------
    NotebookError
        If there is none.
    """
    id = locate(connection, "brief", code_or_id)
    return _record(connection.execute(_question().where(table.c.id == id)).mappings().one())


def open_brief(connection: Connection, code_or_id: str) -> Brief:
    """Return a brief as it was entered."""
    found = get_brief(connection, code_or_id)
    document = parse_document(found.toml, f"brief {found.called}")
    return read_brief(document.data["brief"], document.top().inside("[brief]").at("brief", 0))


def list_briefs(connection: Connection, project: str = "") -> tuple[BriefRecord, ...]:
    """Return the briefs of a project, or of all, by project and number."""
    question = _question()
    if project:
        owner = locate(connection, "project", project)
        question = question.where(table.c.project_id == owner)
    return tuple(_record(row) for row in connection.execute(question).mappings())


def _question() -> sa.Select[tuple[object, ...]]:
    return (
        sa.select(table, project.c.code.label("project"))
        .join(project, project.c.id == table.c.project_id)
        .order_by(project.c.code, table.c.number)
    )


def _record(row: RowMapping) -> BriefRecord:
    return BriefRecord(**columns_of(BriefRecord, row))
