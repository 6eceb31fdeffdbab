"""Short names in questions to the database: K-07@3 in place of an id."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa

from zincite.notebook.schema import NOUNS

__all__ = ["SHORT_NAMED", "short_name", "subject_name"]

SHORT_NAMED = (
    "account",
    "project",
    "brief",
    "material",
    "lot",
    "formula",
    "prediction",
    "trial",
    "result",
)
"""Nouns that have a short name; the others are told by their id."""

Text = sa.ColumnElement[Any]


def _numbered(name: Text, sign: str, number: Text) -> Text:
    return name.concat(sign).concat(sa.cast(number, sa.String))


def short_name(noun: str, id: Text) -> Text:
    """Return the short name of a thing with an id, as a question within a question.

    Parameters
    ----------
    noun : str
        One of `SHORT_NAMED`.
    id : column
        Of the outer question.
    """
    table = NOUNS[noun].table.alias()
    joined: sa.FromClause = table
    match noun:
        case "project" | "lot" | "trial":
            name: Text = table.c.code
        case "account":
            name = table.c.name
        case "material":
            name = _numbered(table.c.key, "@", table.c.number)
        case "formula":
            name = _numbered(table.c.code, "@", table.c.number)
        case "brief":
            above = NOUNS["project"].table.alias()
            joined = table.join(above, above.c.id == table.c.project_id)
            name = _numbered(above.c.code, "/", table.c.number)
        case "prediction":
            above = NOUNS["formula"].table.alias()
            joined = table.join(above, above.c.id == table.c.formula_id)
            version = _numbered(above.c.code, "@", above.c.number)
            name = _numbered(version, "/", table.c.number)
        case _:
            above = NOUNS["trial"].table.alias()
            joined = table.join(above, above.c.id == table.c.trial_id)
            name = _numbered(above.c.code, "/", table.c.number)
    return sa.select(name).select_from(joined).where(table.c.id == id).scalar_subquery()


def subject_name(noun: Text, subject: Text) -> Text:
    """Return the short name of what something is about, its id where it has none."""
    return sa.case(*((noun == one, short_name(one, subject)) for one in SHORT_NAMED), else_=subject)
