"""Short names of things, as people say them: K-07@3, T-012, lot L-5."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.schema import NOUNS

__all__ = ["Named", "names_of"]

_CHUNK = 500
_ABOUT = {"decision": "verdict", "attachment": "name", "comment": "text", "signature": "meaning"}
"""What is said about other things, and the column that says it."""


@dataclass(frozen=True, slots=True)
class Named:
    """A thing by its short name.

    Attributes
    ----------
    noun, id : str
    name : str
        Such as "K-07@3".
    title : str
        What is said beside it: the name of a formula, the material of a lot.
    on : str
        Day that it bears, "" where it has none.
    withdrawn : str
        Reason, "" where it stands.
    """

    noun: str
    id: str
    name: str
    title: str
    on: str
    withdrawn: str


def names_of(connection: Connection, noun: str, ids: Iterable[str]) -> dict[str, Named]:
    """Return the names of things by their ids; an id that is not there is left out.

    Parameters
    ----------
    connection : Connection
    noun : str
        Key of `NOUNS`.
    ids : iterable of str
    """
    wanted = list(dict.fromkeys(ids))
    found: dict[str, Named] = {}
    for start in range(0, len(wanted), _CHUNK):
        part = wanted[start : start + _CHUNK]
        if noun in _ABOUT:
            found |= _about(connection, noun, part)
        else:
            found |= _own(connection, noun, part)
    return found


def _c(noun: str) -> Any:
    return NOUNS[noun].table.c


def _versioned(code: sa.ColumnElement[Any], number: sa.ColumnElement[Any]) -> Any:
    return code.concat("@").concat(sa.cast(number, sa.String))


def _own(connection: Connection, noun: str, ids: Sequence[str]) -> dict[str, Named]:
    table = NOUNS[noun].table
    name, title, on, joined = _columns(noun, table)
    query = sa.select(
        table.c.id, table.c.withdrawn, name.label("name"), title.label("title"), on.label("on")
    )
    rows = connection.execute(query.select_from(joined).where(table.c.id.in_(ids)))
    return {r.id: Named(noun, r.id, r.name, r.title, r.on, r.withdrawn) for r in rows}


def _columns(noun: str, table: sa.Table) -> tuple[Any, Any, Any, Any]:
    """Return what gives name, title and day of a noun, and the tables that hold them."""
    formula, trial = NOUNS["formula"].table, NOUNS["trial"].table
    version = _versioned(formula.c.code, formula.c.number)
    none = sa.literal("")
    match noun:
        case "project":
            return table.c.code, table.c.name, none, table
        case "brief":
            project = NOUNS["project"].table
            name = project.c.code.concat("/").concat(sa.cast(table.c.number, sa.String))
            return name, table.c.name, none, table.join(project)
        case "material":
            return _versioned(table.c.key, table.c.number), table.c.inci, none, table
        case "lot":
            return table.c.code, table.c.material_key, table.c.received_on, table
        case "formula":
            return version, table.c.name, none, table
        case "prediction":
            name = version.concat("/").concat(sa.cast(table.c.number, sa.String))
            return name, table.c.model, table.c.made_on, table.join(formula)
        case "trial":
            return table.c.code, version, table.c.made_on, table.join(formula)
        case "result":
            name = trial.c.code.concat("/").concat(sa.cast(table.c.number, sa.String))
            return name, table.c.kind, table.c.measured_on, table.join(trial)
        case "account":
            return table.c.name, table.c.full_name, none, table
        case _:
            return table.c.id, none, none, table


def _about(connection: Connection, noun: str, ids: Sequence[str]) -> dict[str, Named]:
    """Name what is said about something by what it is about."""
    table = NOUNS[noun].table
    query = sa.select(
        table.c.id,
        table.c.withdrawn,
        table.c.noun,
        table.c.subject,
        table.c[_ABOUT[noun]].label("title"),
    )
    rows = connection.execute(query.where(table.c.id.in_(ids))).all()
    subjects: dict[str, Named] = {}
    for kind in {row.noun for row in rows if row.noun in NOUNS and row.noun not in _ABOUT}:
        subjects |= _own(connection, kind, [row.subject for row in rows if row.noun == kind])
    found = {}
    for row in rows:
        about = subjects.get(row.subject)
        name = f"{noun} on {about.name if about else row.noun}"
        found[row.id] = Named(noun, row.id, name, row.title, "", row.withdrawn)
    return found
