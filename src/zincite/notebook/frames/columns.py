"""Columns of every table as people read it: short names for ids, yes and no for 1 and 0."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from zincite.errors import InputError
from zincite.notebook.frames.naming import SHORT_NAMED, short_name, subject_name
from zincite.notebook.schema import NOUNS, event

__all__ = ["FRAMES", "FrameColumn", "FrameTable", "frame_tables"]

HISTORY = "history"
_LAST = ("withdrawn", "revision", "written_at", "written_by", "id")
"""What every noun has, after what it says."""


@dataclass(frozen=True, slots=True)
class FrameColumn:
    """A column of a frame.

    Attributes
    ----------
    name : str
        With its unit where it has one.
    value : column
        What the database gives.
    read : callable or None
        What makes it plain.
    """

    name: str
    value: sa.ColumnElement[Any]
    read: Callable[[Any], Any] | None = None


@dataclass(frozen=True, slots=True)
class FrameTable:
    """A frame and where it comes from.

    Attributes
    ----------
    name : str
        In the plural, such as "trial_weights".
    noun : str
        What it tells of, "history" for the events.
    table : Table
    columns : tuple of FrameColumn
    """

    name: str
    noun: str
    table: sa.Table
    columns: tuple[FrameColumn, ...]


def _noun_columns(noun: str, table: sa.Table) -> tuple[FrameColumn, ...]:
    found = {}
    if noun in SHORT_NAMED:
        found[noun] = FrameColumn(noun, short_name(noun, table.c.id))
    for column in table.c:
        made = _column(noun, table, column)
        if made is not None:
            found.setdefault(made.name, made)
    found["written_at"] = FrameColumn("written_at", _written(table, event.c.at))
    found["written_by"] = FrameColumn("written_by", _written(table, event.c.who))
    first = [one for name, one in found.items() if name not in _LAST]
    return (*first, *(found[name] for name in _LAST))


def _written(table: sa.Table, column: sa.Column[Any]) -> sa.ColumnElement[Any]:
    return sa.select(column).where(event.c.seq == table.c.event_seq).scalar_subquery()


def _column(noun: str, table: sa.Table, column: sa.Column[Any]) -> FrameColumn | None:
    """Return how a column is shown, None where it is left out."""
    name = column.name
    if name == "event_seq" or (name, noun) in _SAME_AS_NAME:
        return None
    if name.endswith("_id") and column.foreign_keys:
        of = next(iter(column.foreign_keys)).column.table.name
        return FrameColumn(name.removesuffix("_id"), short_name(of, column))
    if name == "noun":
        return FrameColumn("about_noun", column)
    if name == "subject":
        return FrameColumn("about", subject_name(table.c.noun, column))
    if name == "position":
        return FrameColumn("position", column + 1)
    return FrameColumn(name, column, bool if name in _YES_OR_NO else None)


_SAME_AS_NAME = {("code", "project"), ("code", "lot"), ("code", "trial"), ("name", "account")}
_YES_OR_NO = ("valid", "active")


def _part_columns(noun: str, table: sa.Table) -> tuple[FrameColumn, ...]:
    made = (_column(table.name, table, column) for column in table.c)
    return tuple(column for column in made if column is not None)


def _reason(body: str) -> str:
    try:
        found = json.loads(body)
        return str(found.get("reason") or found["row"]["withdrawn"])
    except (ValueError, KeyError, TypeError, AttributeError):
        return ""  # not as written: `verify` says so, and reading goes on


def _history_columns() -> tuple[FrameColumn, ...]:
    return (
        FrameColumn("event", event.c.seq),
        FrameColumn("at", event.c.at),
        FrameColumn("who", event.c.who),
        FrameColumn("what", event.c.kind),
        FrameColumn("about_noun", event.c.noun),
        FrameColumn("about", subject_name(event.c.noun, event.c.subject)),
        FrameColumn("reason", event.c.body, _reason),
        FrameColumn("hash", event.c.hash),
    )


_ORDER = (
    "project",
    "brief",
    "formula",
    "prediction",
    "material",
    "lot",
    "trial",
    "result",
    "decision",
    "comment",
    "attachment",
    "signature",
    "account",
    "mapping",
)
"""As a reader meets them; a noun that is not named here follows."""


def _made() -> dict[str, FrameTable]:
    found = []
    for noun in sorted(NOUNS, key=lambda n: _ORDER.index(n) if n in _ORDER else len(_ORDER)):
        table = NOUNS[noun].table
        found.append(FrameTable(f"{noun}s", noun, table, _noun_columns(noun, table)))
        for part in NOUNS[noun].parts:
            found.append(FrameTable(f"{part.name}s", noun, part, _part_columns(noun, part)))
    found.append(FrameTable(HISTORY, HISTORY, event, _history_columns()))
    return {frame.name: frame for frame in found}


FRAMES: dict[str, FrameTable] = _made()
"""All frames by name."""


def frame_tables(names: tuple[str, ...] = ()) -> tuple[FrameTable, ...]:
    """Return the frames of nouns or names, all of them where none is given.

    Parameters
    ----------
    names : tuple of str
        A noun stands for its frame and those of its parts, a frame's name for itself.

    Raises
    ------
    InputError
        If there is no such frame.
    """
    if not names:
        return tuple(FRAMES.values())
    wanted = []
    for name in names:
        found = [frame.name for frame in FRAMES.values() if name in (frame.noun, frame.name)]
        if not found:
            nouns = dict.fromkeys(frame.noun for frame in FRAMES.values())
            raise InputError(
                f"the notebook has no table {name[:40]!r}, expected {', '.join(nouns)}, or one of "
                f"{', '.join(FRAMES)}"
            )
        wanted += found
    return tuple(frame for frame in FRAMES.values() if frame.name in wanted)
