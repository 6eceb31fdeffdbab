"""Formulas in versions that never change, each with its reason and the version it came from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.errors import NotebookError
from zincite.formula.formula import Formula
from zincite.formula.reading import parse_formula
from zincite.formula.writing import formula_text
from zincite.notebook.attachments import add_attachment
from zincite.notebook.formula_items import FormulaItem, formula_words, items_of
from zincite.notebook.locating import locate
from zincite.notebook.projects import get_project
from zincite.notebook.records import (
    Record,
    checked_code,
    columns_of,
    needed,
    parts_of,
    standing,
)
from zincite.notebook.schema import formula as table
from zincite.notebook.schema import project
from zincite.notebook.writer import Writer

__all__ = [
    "FormulaRecord",
    "add_formula",
    "formula_of",
    "get_formula",
    "list_formulas",
    "open_formula",
]

_parent = table.alias("parent")


@dataclass(frozen=True, slots=True)
class FormulaRecord(Record):
    """A version of a formula.

    Attributes
    ----------
    project_id, project : str
        Id and code.
    code : str
    number : int
        Version, counted from 1.
    parent_id, parent : str or None
        Id and name of the version it came from.
    name, reason : str
        `reason` says why it was made.
    toml : str
        The whole formula: its brief and every card that is not the library's are in it.
    items : tuple of FormulaItem
    """

    project_id: str
    project: str
    code: str
    number: int
    parent_id: str | None
    parent: str | None
    name: str
    reason: str
    toml: str
    items: tuple[FormulaItem, ...]

    @property
    def called(self) -> str:
        """Code and version, such as "K-07@2"."""
        return f"{self.code}@{self.number}"


def add_formula(
    writer: Writer,
    formula: Formula,
    toml_text: str,
    project: str,
    reason: str = "",
    *,
    parent: str | None = None,
) -> str:
    """Add a version of a formula and return its id.

    Parameters
    ----------
    writer : Writer
    formula : Formula
        As read, its code is the version's.
    toml_text : str
        As the user wrote it; kept as an attachment where it differs from what is stored. "" where
        there is none.
    project : str
        Code or id.
    reason : str
        Why it was made; needed from version 2 on.
    parent : str, optional
        Version it came from, of this or another code; the latest of its own code when left out.

    Raises
    ------
    NotebookError
        If project or parent are unknown or withdrawn, or the latest version is the same.
    InputError
        If the code cannot be one, or the reason is missing.
    """
    code = checked_code(formula.code, "formula")
    owner = get_project(writer.connection, project)
    standing(owner, "project")
    text = formula_text(formula)
    number, last = _last(writer.connection, code)
    above = last if parent is None else get_formula(writer.connection, parent)
    if parent is not None and above is not None:
        standing(above, "formula")
    if last is not None and last.toml == text:
        raise NotebookError(
            f"formula {code} is the same as {last.called}, expected a change for a new version"
        )
    if number > 0:
        reason = needed(reason, f"formula {code}: the reason", "why a new version was made")
    row = {
        "project_id": owner.id,
        "code": code,
        "number": number + 1,
        "parent_id": None if above is None else above.id,
        "name": formula.name,
        "reason": reason.strip(),
        "toml": text,
    }
    items = items_of(formula)
    words = formula_words(formula, f"{code}@{number + 1}", reason, items)
    parts = {"formula_item": [item.to_dict() for item in items]}
    id = writer.add("formula", row, parts, words=words)
    if toml_text and toml_text != text:
        name = formula.path.name if formula.path else f"{code}.toml"
        add_attachment(
            writer, "formula", id, name, toml_text.encode("utf-8"), media_type="application/toml"
        )
    return id


def _last(connection: Connection, code: str) -> tuple[int, FormulaRecord | None]:
    """Return the highest number of a code, and its latest version that stands."""
    highest = connection.execute(
        sa.select(sa.func.max(table.c.number)).where(table.c.code == code)
    ).scalar()
    if highest is None:
        return 0, None
    latest = get_formula(connection, code)
    return int(highest), None if latest.withdrawn else latest


def get_formula(connection: Connection, code_or_id: str) -> FormulaRecord:
    """Return a version: "K-07@2", or by the code alone the latest that stands.

    Raises
    ------
    NotebookError
        If there is none.
    """
    id = locate(connection, "formula", code_or_id)
    rows = connection.execute(_question().where(table.c.id == id)).mappings().all()
    return _records(connection, rows)[0]


def open_formula(connection: Connection, code_or_id: str) -> Formula:
    """Return a version as the formula that it is, with the cards it was entered with.

    Raises
    ------
    NotebookError
        If there is none.
    """
    return formula_of(get_formula(connection, code_or_id))


def formula_of(record: FormulaRecord) -> Formula:
    """Return the formula that a record holds."""
    return parse_formula(record.toml, name=f"formula {record.called}")


def list_formulas(
    connection: Connection, *, project: str = "", code: str = "", latest: bool = False
) -> tuple[FormulaRecord, ...]:
    """Return versions by code and number, withdrawn ones too.

    Parameters
    ----------
    connection : Connection
    project, code : str
        Only those of a project (code or id) or of a formula's code.
    latest : bool
        Whether only the latest version of each code that stands, where one does.
    """
    question = _question().order_by(table.c.code, table.c.number)
    if project:
        question = question.where(table.c.project_id == locate(connection, "project", project))
    if code:
        question = question.where(table.c.code == code)
    rows = connection.execute(question).mappings().all()
    if latest:
        rows = _latest(rows)
    return _records(connection, rows)


def _latest(rows: Iterable[RowMapping]) -> list[RowMapping]:
    found: dict[str, RowMapping] = {}
    for row in rows:
        before = found.get(row["code"])
        if before is None or before["withdrawn"] or not row["withdrawn"]:
            found[row["code"]] = row
    return list(found.values())


def _question() -> sa.Select[tuple[object, ...]]:
    return (
        sa.select(
            table,
            project.c.code.label("project"),
            _parent.c.code.label("parent_code"),
            _parent.c.number.label("parent_number"),
        )
        .join(project, project.c.id == table.c.project_id)
        .join(_parent, _parent.c.id == table.c.parent_id, isouter=True)
    )


def _records(connection: Connection, rows: Iterable[RowMapping]) -> tuple[FormulaRecord, ...]:
    listed = list(rows)
    parts = parts_of(connection, "formula", "formula_item", [str(row["id"]) for row in listed])
    found = []
    for row in listed:
        items = (FormulaItem(**columns_of(FormulaItem, part)) for part in parts[row["id"]])
        parent = row["parent_code"] and f"{row['parent_code']}@{row['parent_number']}"
        more = {"parent": parent, "items": tuple(items)}
        found.append(FormulaRecord(**columns_of(FormulaRecord, row, **more)))
    return tuple(found)
