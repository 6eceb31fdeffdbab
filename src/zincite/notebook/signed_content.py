"""What a signature is over: the row of a thing and its parts, as their event carries them."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.chain import body_text
from zincite.notebook.schema import NOUNS, event

__all__ = ["content_hash", "content_hash_then", "writers_of"]

Parts = Mapping[str, Sequence[Mapping[str, Any]]]


def content_hash(connection: Connection, noun: str, subject: str) -> str:
    """Return the hash of a thing as its rows are now; it must be there."""
    table = NOUNS[noun].table
    row = connection.execute(table.select().where(table.c.id == subject)).mappings().one()
    parts = {}
    for part in NOUNS[noun].parts:
        rows = connection.execute(
            part.select().where(part.c[f"{noun}_id"] == subject).order_by(part.c.position)
        ).mappings()
        parts[part.name] = [_without(item, "event_seq", f"{noun}_id") for item in rows]
    return _hash(_without(row, "event_seq"), parts)


def content_hash_then(connection: Connection, noun: str, subject: str, revision: int) -> str:
    """Return the hash of a thing as its event of a revision says, "" where there is none."""
    bodies = connection.execute(
        sa.select(event.c.body)
        .where(event.c.noun == noun, event.c.subject == subject)
        .order_by(event.c.seq)
    ).scalars()
    parts: Parts = {}
    for text in bodies:
        body = json.loads(text)
        parts = parts or body.get("parts", {})
        if body["row"]["revision"] == revision:
            return _hash(body["row"], parts)
    return ""


def writers_of(connection: Connection, noun: str, subject: str) -> set[str]:
    """Return who added or changed a thing."""
    found = connection.execute(
        sa.select(event.c.who).where(event.c.noun == noun, event.c.subject == subject).distinct()
    )
    return set(found.scalars())


def _without(row: Mapping[Any, Any], *names: str) -> dict[str, Any]:
    return {str(key): value for key, value in row.items() if key not in names}


def _hash(row: Mapping[str, Any], parts: Parts) -> str:
    filled = {name: list(rows) for name, rows in parts.items() if rows}
    text = body_text({"row": row, "parts": filled})
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
