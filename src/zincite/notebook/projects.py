"""Projects: what formulas are developed for."""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.errors import NotebookError
from zincite.notebook.locating import locate
from zincite.notebook.records import Record, checked_code, columns_of, join_words
from zincite.notebook.schema import project as table
from zincite.notebook.writer import Writer

__all__ = ["ProjectRecord", "add_project", "get_project", "list_projects"]


@dataclass(frozen=True, slots=True)
class ProjectRecord(Record):
    """A project.

    Attributes
    ----------
    code, name, note : str
    """

    code: str
    name: str
    note: str


def add_project(writer: Writer, code: str, name: str = "", note: str = "") -> str:
    """Add a project and return its id.

    Parameters
    ----------
    writer : Writer
    code : str
        Of its own.
    name : str
        The code when left out.
    note : str

    Raises
    ------
    NotebookError
        If the code is taken.
    """
    code = checked_code(code, "project")
    taken = sa.select(table.c.id).where(table.c.code == code)
    if writer.connection.execute(taken).first() is not None:
        raise NotebookError(f"project {code} is there already, expected a new code")
    row = {"code": code, "name": name.strip() or code, "note": note.strip()}
    return writer.add("project", row, words=join_words(*row.values()))


def get_project(connection: Connection, code_or_id: str) -> ProjectRecord:
    """Return a project.

    Raises
    ------
    NotebookError
        If there is none.
    """
    id = locate(connection, "project", code_or_id)
    return _record(connection.execute(table.select().where(table.c.id == id)).mappings().one())


def list_projects(connection: Connection) -> tuple[ProjectRecord, ...]:
    """Return all projects by code, withdrawn ones too."""
    rows = connection.execute(table.select().order_by(table.c.code)).mappings()
    return tuple(_record(row) for row in rows)


def _record(row: RowMapping) -> ProjectRecord:
    return ProjectRecord(**columns_of(ProjectRecord, row))
