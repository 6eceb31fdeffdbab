"""What belongs to one project: its briefs, formulas and trials, and what hangs on them."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import NotebookError
from zincite.notebook.frames.columns import FrameTable
from zincite.notebook.schema import (
    NOUNS,
    brief,
    event,
    formula,
    formula_item,
    lot,
    material,
    prediction,
    project,
    result,
    trial,
    trial_weight,
)

__all__ = ["belonging", "project_id"]

_CORE = ("project", "brief", "material", "lot", "formula", "prediction", "trial", "result")
_ABOUT = ("decision", "comment", "attachment", "signature")


def project_id(connection: Connection, code: str) -> str:
    """Return the id of a project.

    Raises
    ------
    NotebookError
        If there is none of that code.
    """
    found = connection.execute(sa.select(project.c.id).where(project.c.code == code)).scalar()
    if found is not None:
        return str(found)
    codes = connection.execute(sa.select(project.c.code).order_by(project.c.code).limit(20))
    known = ", ".join(codes.scalars()) or "one that was added before"
    raise NotebookError(f"no project has the code {code[:60]!r}, expected {known}")


def belonging(frame: FrameTable, of: str) -> sa.ColumnElement[bool]:
    """Return which rows of a frame belong to a project, by its id.

    Lots and materials belong to it where a formula or trial of it uses them; accounts and
    remembered mappings belong to none.
    """
    if frame.table is event:
        return _about(event, of, (*_CORE, *_ABOUT))
    if frame.noun not in (*_CORE, *_ABOUT):
        return sa.false()
    parent = frame.table.c.get(f"{frame.noun}_id")
    return (frame.table.c.id if parent is None else parent).in_(_ids(frame.noun, of))


def _ids(noun: str, of: str) -> sa.Select[Any]:
    """Return the ids of a noun that belong to a project."""
    formulas = sa.select(formula.c.id).where(formula.c.project_id == of)
    trials = sa.select(trial.c.id).where(trial.c.formula_id.in_(formulas))
    match noun:
        case "project":
            return sa.select(project.c.id).where(project.c.id == of)
        case "brief":
            return sa.select(brief.c.id).where(brief.c.project_id == of)
        case "formula":
            return formulas
        case "prediction":
            return sa.select(prediction.c.id).where(prediction.c.formula_id.in_(formulas))
        case "trial":
            return trials
        case "result":
            return sa.select(result.c.id).where(result.c.trial_id.in_(trials))
        case "lot":
            used = sa.select(trial_weight.c.lot_id).where(
                trial_weight.c.trial_id.in_(trials), trial_weight.c.lot_id.is_not(None)
            )
            return sa.select(lot.c.id).where(lot.c.id.in_(used))
        case "material":
            named = sa.select(formula_item.c.material_key).where(
                formula_item.c.formula_id.in_(formulas)
            )
            weighed = sa.select(trial_weight.c.material_key).where(
                trial_weight.c.trial_id.in_(trials)
            )
            either = sa.or_(material.c.key.in_(named), material.c.key.in_(weighed))
            return sa.select(material.c.id).where(either)
        case _:
            table = NOUNS[noun].table
            return sa.select(table.c.id).where(_about(table, of, _CORE))


def _about(table: sa.Table, of: str, nouns: tuple[str, ...]) -> sa.ColumnElement[bool]:
    return sa.or_(
        *(sa.and_(table.c.noun == noun, table.c.subject.in_(_ids(noun, of))) for noun in nouns)
    )
