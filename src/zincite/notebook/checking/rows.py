"""Every row, and every row of its parts, against the event that wrote it."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from contextlib import closing
from itertools import groupby
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.checking.findings import Findings, body_of, rows_of
from zincite.notebook.schema import Noun, event

__all__ = ["check_parts", "check_rows"]

Part = tuple[object, list[dict[str, Any]]]


def check_rows(connection: Connection, noun: Noun, findings: Findings) -> None:
    """Compare each row with its event, and look for events whose row is gone."""
    table, name = noun.table, noun.table.name
    written = sa.select(
        table,
        event.c.body.label("event_body"),
        event.c.noun.label("event_noun"),
        event.c.subject.label("event_subject"),
    )
    joined = written.join(event, event.c.seq == table.c.event_seq, isouter=True)
    for found in rows_of(connection, joined.order_by(table.c.event_seq)):
        row = found._mapping
        wrong = _difference(table, row)
        if wrong and row["event_seq"] not in findings.bad:
            findings.add(row["event_seq"], f"{name} {row['id']}", wrong)
        findings.step()
        if findings.full:
            return
    _check_missing(connection, table, findings)


def _difference(table: sa.Table, row: sa.RowMapping) -> str:
    if row["event_body"] is None:
        return "its event is missing"
    if (row["event_noun"], row["event_subject"]) != (table.name, row["id"]):
        return "is not what its event is about"
    said = body_of(row["event_body"]).get("row")
    if not isinstance(said, dict):
        return "its event does not say what was written"
    names = [c.name for c in table.c if c.name != "event_seq"]
    bad = [name for name in names if not _same(row[name], said.get(name))]
    return f"{', '.join(bad)} differs from what was written" if bad else ""


def _same(stored: object, said: object) -> bool:
    """Return whether a stored value is the written one; 18 and 18.0 are, "18" is not."""
    return stored == said and isinstance(stored, str) == isinstance(said, str)


def _check_missing(connection: Connection, table: sa.Table, findings: Findings) -> None:
    """Look for events whose row is gone, and rows that no longer carry their last event."""
    last = (
        sa.select(event.c.subject, sa.func.max(event.c.seq).label("seq"))
        .where(event.c.noun == table.name)
        .group_by(event.c.subject)
        .subquery()
    )
    query = (
        sa.select(last.c.subject, last.c.seq, table.c.event_seq)
        .join(table, table.c.id == last.c.subject, isouter=True)
        .where(sa.or_(table.c.id.is_(None), table.c.event_seq < last.c.seq))
        .order_by(last.c.seq)
    )
    for row in rows_of(connection, query):
        gone = row.event_seq is None
        if row.seq not in findings.bad:
            found = "its row is gone" if gone else f"its row was set back to event {row.event_seq}"
            findings.add(row.seq, f"{table.name} {row.subject}", found)


def check_parts(connection: Connection, noun: Noun, part: sa.Table, findings: Findings) -> None:
    """Compare child rows with the parts in the body of the event that added them."""
    # closed at once where somebody stops it, while the connection is still there
    with closing(_groups(connection, part, findings)) as groups:
        _compare_parts(connection, noun, part, groups, findings)


def _compare_parts(
    connection: Connection, noun: Noun, part: sa.Table, groups: Iterator[Part], findings: Findings
) -> None:
    name = noun.table.name
    here = next(groups, None)
    added = sa.select(event.c.seq, event.c.subject, event.c.body).where(
        event.c.noun == name, event.c.kind == f"{name} added"
    )
    for row in rows_of(connection, added.order_by(event.c.seq)):
        while here is not None and _before(here[0], row.seq):
            findings.add(here[0], part.name, "belongs to no event that added it")
            here = next(groups, None)
        rows: list[dict[str, Any]] = []
        if here is not None and here[0] == row.seq:
            rows = here[1]
            here = next(groups, None)
        if row.seq not in findings.bad and not _as_added(noun, part, rows, row):
            found = f"{part.name} differs from what was written"
            findings.add(row.seq, f"{name} {row.subject}", found)
        if findings.full:
            return
    while here is not None and not findings.full:
        findings.add(here[0], part.name, "belongs to no event that added it")
        here = next(groups, None)


def _as_added(noun: Noun, part: sa.Table, rows: list[dict[str, Any]], added: sa.Row[Any]) -> bool:
    parent = f"{noun.table.name}_id"
    plain = [{k: v for k, v in row.items() if k not in (parent, "event_seq")} for row in rows]
    parts = body_of(added.body).get("parts")
    said = parts.get(part.name, []) if isinstance(parts, dict) else []
    return plain == said and all(row[parent] == added.subject for row in rows)


def _groups(connection: Connection, part: sa.Table, findings: Findings) -> Generator[Part]:
    """Give the child rows of each event, in the order of events."""
    query = part.select().order_by(part.c.event_seq, part.c.position)
    rows = (dict(row._mapping) for row in rows_of(connection, query))
    for seq, group in groupby(rows, key=lambda row: row["event_seq"]):
        found = list(group)
        for _ in found:
            findings.step()
        yield seq, found


def _before(seq: object, other: object) -> bool:
    """Return whether an event number comes before another; one that is no number does."""
    return not isinstance(seq, int) or not isinstance(other, int) or seq < other
