"""Changing a notebook past its writer, as somebody can who owns the file or the database."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.schema import NOUNS, blob, credential, event, search_text
from zincite.notebook.store import Notebook

__all__ = ["CHAINED", "changed", "copied", "past_the_guards", "rows"]

CHAINED: dict[str, sa.Table] = {
    table.name: table
    for table in (
        event,
        blob,
        search_text,
        credential,
        *(t for noun in NOUNS.values() for t in (noun.table, *noun.parts)),
    )
}
"""Tables in which nothing may be changed unseen."""


@contextmanager
def past_the_guards(notebook: Notebook) -> Iterator[Connection]:
    """Give a connection on which neither triggers nor foreign keys hold anything back."""
    if not notebook.is_sqlite:
        with notebook.engine.begin() as connection:
            connection.execute(sa.text("SET LOCAL session_replication_role = replica"))
            yield connection
        return
    engine = sa.create_engine(f"sqlite:///{notebook.name}")
    with engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
        guards = connection.exec_driver_sql(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'event'"
        ).all()
        assert guards
        for name, _ in guards:
            connection.exec_driver_sql(f"DROP TRIGGER {name}")
        yield connection
        for _, sql in guards:
            connection.exec_driver_sql(sql)
        connection.commit()
    engine.dispose()


def rows(connection: Connection, table: sa.Table) -> list[dict[str, Any]]:
    found = connection.execute(table.select().order_by(*table.primary_key.columns))
    return [dict(row._mapping) for row in found]


def changed(column: sa.Column[Any], value: Any) -> Any:
    """Return another value of the same kind, as near to the old one as can be."""
    if isinstance(column.type, sa.LargeBinary):
        return bytes(value)[:-1] + b"~"
    if isinstance(column.type, sa.String):
        if not value:
            return "~"
        return value[:-1] + ("0" if value[-1] != "0" else "1")
    if isinstance(column.type, sa.Float):
        return 0.0 if value is None else math.nextafter(value, math.inf)
    return value + 1_000_000


def copied(table: sa.Table, row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a row like another one, with keys of its own."""
    unique = {column.name for column in table.primary_key.columns}
    for constraint in table.constraints:
        if isinstance(constraint, sa.UniqueConstraint):
            unique |= {column.name for column in constraint.columns}
    unique |= {column.name for column in table.c if column.unique}
    return {k: changed(table.c[k], v) if k in unique else v for k, v in row.items()}
