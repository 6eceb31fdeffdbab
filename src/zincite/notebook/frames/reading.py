"""Reading frames row by row, in bounded memory."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.frames.choosing import belonging
from zincite.notebook.frames.columns import FrameTable
from zincite.notebook.schema import event

__all__ = ["Rows", "count_rows", "read_rows"]

_BATCH = 1000


@dataclass(frozen=True, slots=True)
class Rows:
    """A frame as it is read.

    Attributes
    ----------
    name : str
    columns : tuple of str
    values : iterator of tuple
        Row by row; once.
    """

    name: str
    columns: tuple[str, ...]
    values: Iterator[tuple[Any, ...]]


def read_rows(connection: Connection, frame: FrameTable, project: str = "") -> Rows:
    """Return a frame's rows in the order in which they were entered.

    Parameters
    ----------
    connection : Connection
    frame : FrameTable
    project : str
        Id of the project that the rows belong to, "" for all.
    """
    return Rows(
        frame.name,
        tuple(column.name for column in frame.columns),
        _values(connection, frame, project),
    )


def _values(connection: Connection, frame: FrameTable, project: str) -> Iterator[tuple[Any, ...]]:
    chosen = [column.value.label(column.name) for column in frame.columns]
    query = _ordered(frame, sa.select(*chosen))
    if project:
        query = query.where(belonging(frame, project))
    reads = [column.read for column in frame.columns]
    plain = not any(reads)
    with connection.execution_options(yield_per=_BATCH).execute(query) as found:
        for row in found:
            yield (
                tuple(row)
                if plain
                else tuple(
                    v if read is None else read(v) for read, v in zip(reads, row, strict=True)
                )
            )


def _ordered(frame: FrameTable, query: sa.Select[Any]) -> sa.Select[Any]:
    table = frame.table
    if table is event:
        return query.select_from(table).order_by(event.c.seq)
    position = table.c.get("position")
    if position is not None:  # a part keeps the event that added it
        return query.select_from(table).order_by(table.c.event_seq, position)
    added = (
        sa.select(event.c.subject, sa.func.min(event.c.seq).label("seq"))
        .where(event.c.noun == frame.noun)
        .group_by(event.c.subject)
        .subquery()
    )
    joined = table.join(added, added.c.subject == table.c.id)
    return query.select_from(joined).order_by(added.c.seq)


def count_rows(connection: Connection, frame: FrameTable, project: str = "") -> int:
    """Return how many rows a frame has."""
    query = sa.select(sa.func.count()).select_from(frame.table)
    if project:
        query = query.where(belonging(frame, project))
    return int(connection.execute(query).scalar_one())
