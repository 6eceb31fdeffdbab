"""Finding a thing by what people call it: a code, CODE@N, CODE/N, an id or its beginning."""

from __future__ import annotations

import re
from difflib import get_close_matches

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import NotebookError
from zincite.notebook.naming import names_of
from zincite.notebook.schema import NOUNS

__all__ = ["CODED", "PARENTS", "VERSIONED", "locate", "name_of", "subjects_called"]

CODED = {
    "project": "code",
    "brief": "",
    "material": "key",
    "lot": "code",
    "formula": "code",
    "prediction": "",
    "trial": "code",
    "result": "",
    "decision": "",
    "attachment": "",
    "comment": "",
    "signature": "",
    "mapping": "fingerprint",
    "account": "name",
}
"""Column with the code of each noun, "" where it has none of its own."""

PARENTS = {"brief": "project", "prediction": "formula", "result": "trial"}
"""Nouns that are called by their parent's code and a number, such as "T-001/2"."""
VERSIONED = {"formula": "code", "material": "key"}
"""Nouns that are called by their code and a version, such as "K-07@2", and the code's column."""

_NUMBERED = re.compile(r"(.+)/(\d{1,9})")
_VERSION = re.compile(r"(.+)@(\d{1,9})")
_LEAST_ID = 4  # digits of an id's beginning that are taken for one
_KNOWN = 500  # codes among which a close one is looked for


def locate(connection: Connection, noun: str, wanted: str) -> str:
    """Return the id of what is called so.

    Parameters
    ----------
    connection : Connection
    noun : str
    wanted : str
        Its code; of a version "K-07@2", or "K-07" for the latest that stands; of a result
        "T-001/2", a prediction "K-07@2/1", a brief "PROJECT/1", or the parent alone for the
        latest; an id or a beginning of one that fits no other.

    Raises
    ------
    NotebookError
        If there is none, or several ids begin so.
    """
    found = _located(connection, noun, wanted.strip())
    if found is None:
        raise NotebookError(_unknown(connection, noun, wanted))
    return found


def subjects_called(connection: Connection, wanted: str) -> list[tuple[str, str]]:
    """Return noun and id of everything that has this very code or id, in order of `CODED`."""
    found = []
    for noun in CODED:
        exact = noun not in PARENTS or _NUMBERED.fullmatch(wanted) is not None
        id = _located(connection, noun, wanted) if exact else _by_id(connection, noun, wanted)
        if id is not None:
            found.append((noun, id))
    return found


def name_of(connection: Connection, noun: str, id: str) -> str:
    """Return what a thing is called, its id where it is not there."""
    found = names_of(connection, noun, [id]).get(id)
    return id if found is None else found.name


def _located(connection: Connection, noun: str, wanted: str) -> str | None:
    if noun in PARENTS:
        found = _numbered(connection, noun, wanted)
    elif CODED[noun]:
        found = _coded(connection, noun, wanted)
    else:
        found = None
    return found or _by_id(connection, noun, wanted)


def _coded(connection: Connection, noun: str, wanted: str) -> str | None:
    table = NOUNS[noun].table
    code = table.c[CODED[noun]]
    question = sa.select(table.c.id)
    if noun not in VERSIONED:
        return connection.execute(question.where(code == wanted)).scalar()
    match = _VERSION.fullmatch(wanted)
    if match is not None:
        exact = question.where(code == match[1], table.c.number == int(match[2]))
        return connection.execute(exact).scalar()
    # the latest version that stands, else the latest
    order = (sa.case((table.c.withdrawn == "", 0), else_=1), table.c.number.desc())
    return connection.execute(question.where(code == wanted).order_by(*order).limit(1)).scalar()


def _numbered(connection: Connection, noun: str, wanted: str) -> str | None:
    parent = PARENTS[noun]
    table = NOUNS[noun].table
    owner = table.c[f"{parent}_id"]
    match = _NUMBERED.fullmatch(wanted)
    if match is not None:
        above = _coded(connection, parent, match[1])
        found = connection.execute(
            sa.select(table.c.id).where(owner == above, table.c.number == int(match[2]))
        ).scalar()
        if found is not None:
            return str(found)
    above = _coded(connection, parent, wanted)
    order = (sa.case((table.c.withdrawn == "", 0), else_=1), table.c.number.desc())
    latest = sa.select(table.c.id).where(owner == above).order_by(*order).limit(1)
    return connection.execute(latest).scalar()


def _by_id(connection: Connection, noun: str, wanted: str) -> str | None:
    begins = f"{noun}-"
    if not wanted.startswith(begins) or len(wanted) < len(begins) + _LEAST_ID:
        return None
    column = NOUNS[noun].table.c.id
    like = column.startswith(wanted, autoescape=True)
    found = connection.execute(sa.select(column).where(like).limit(2)).scalars().all()
    if len(found) > 1:
        raise NotebookError(
            f"several ids of {noun} begin with {wanted!r}, expected more of the one that is meant"
        )
    return str(found[0]) if found else None


def _unknown(connection: Connection, noun: str, wanted: str) -> str:
    above = PARENTS.get(noun, noun)
    if not CODED[above]:
        return (
            f"no {noun} is called {wanted!r}, expected the beginning of an id such as {noun}-0f3a"
        )
    code = NOUNS[above].table.c[CODED[above]]
    known = [
        str(found)
        for found in connection.execute(
            sa.select(code).distinct().order_by(code).limit(_KNOWN)
        ).scalars()
    ]
    if not known:
        return (
            f"no {noun} is called {wanted!r}: the notebook has no {above} yet, expected one first"
        )
    shown = get_close_matches(wanted, known, n=3, cutoff=0.5) or known[:3]
    listed = ", ".join(shown)
    if above != noun:
        return f"no {noun} is called {wanted!r}, expected one of a {above} such as {listed}"
    return f"no {noun} is called {wanted!r}, expected a code such as {listed}"
