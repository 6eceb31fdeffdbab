"""Every event against its own hash and the event before it."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from zincite.notebook.chain import GENESIS, event_hash
from zincite.notebook.checking.findings import Findings, rows_of
from zincite.notebook.schema import event

__all__ = ["check_chain", "check_head"]


def check_chain(connection: Connection, findings: Findings) -> tuple[int, str]:
    """Check all events and return how many there are and the hash of the last one."""
    count, before, expected = 0, GENESIS, 1
    for row in rows_of(connection, event.select().order_by(event.c.seq)):
        if findings.full:
            break
        count += 1
        found = _judged(row, before, expected, findings)
        if found:
            findings.add(row.seq, f"{row.noun} {row.subject}", found)
        if isinstance(row.seq, int):
            if found:
                findings.bad.add(row.seq)
            expected = row.seq + 1
        before = str(row.hash)
        findings.step()
    return count, "" if count == 0 else before


def _judged(row: Row[Any], before: str, expected: int, findings: Findings) -> str:
    values = tuple(row)
    if not isinstance(row.seq, int) or not all(isinstance(value, str) for value in values[1:]):
        return "holds values that are not of their column's kind"
    gap = row.seq != expected
    if gap and row.seq > expected:
        last = row.seq - 1
        many = f"events {expected} to {last} are" if last > expected else f"event {expected} is"
        findings.add(expected, "the chain", f"{many} missing")
    made = event_hash(row.prev, row.seq, *values[3:])
    if made != row.hash:
        return "was changed after it was written"
    if gap and row.seq < expected:
        return "is no part of the chain"
    return "" if gap or row.prev == before else "does not follow the event before it"


def check_head(connection: Connection, head: str, findings: Findings) -> None:
    """Look for an event whose hash begins so."""
    there = connection.execute(
        sa.select(event.c.seq).where(event.c.hash.startswith(head, autoescape=True)).limit(1)
    ).first()
    if there is None:
        last = connection.execute(sa.select(sa.func.max(event.c.seq))).scalar() or 0
        findings.add(
            None,
            f"head hash {head[:16]}",
            f"is not in the chain of {last} events: its end was cut off or written anew, or the "
            "document is of another notebook",
        )
