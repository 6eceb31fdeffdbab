"""Mappings of sheets that were imported: what was said about a layout, kept for the next file."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.records import Record, columns_of
from zincite.notebook.schema import mapping as table
from zincite.notebook.writer import Writer

__all__ = ["MappingRecord", "list_mappings", "remember_mapping"]


@dataclass(frozen=True, slots=True)
class MappingRecord(Record):
    """What is remembered of one layout.

    Attributes
    ----------
    fingerprint : str
        Of the layout, its own in the notebook.
    body : str
        JSON.
    """

    fingerprint: str
    body: str

    @property
    def content(self) -> dict[str, dict[str, str]]:
        """The body as tables of texts by name."""
        found: dict[str, dict[str, str]] = json.loads(self.body)
        return found


def remember_mapping(
    writer: Writer, fingerprint: str, content: Mapping[str, Mapping[str, str]]
) -> bool:
    """Keep what is known of a layout in the place of what was; return whether it is news.

    Parameters
    ----------
    writer : Writer
    fingerprint : str
    content : mapping of str to mapping of str to str
        Tables of texts by name.
    """
    body = json.dumps(content, ensure_ascii=False, sort_keys=True)
    question = sa.select(table.c.id, table.c.revision, table.c.body)
    there = writer.connection.execute(
        question.where(table.c.fingerprint == fingerprint, table.c.withdrawn == "")
    ).first()
    if there is None:
        writer.add("mapping", {"fingerprint": fingerprint, "body": body})
        return True
    if there.body == body:
        return False
    writer.change("mapping", there.id, {"body": body}, revision=there.revision)
    return True


def list_mappings(connection: Connection) -> tuple[MappingRecord, ...]:
    """Return all mappings that stand, in order of entry."""
    question = table.select().where(table.c.withdrawn == "").order_by(table.c.event_seq)
    rows = connection.execute(question).mappings()
    return tuple(MappingRecord(**columns_of(MappingRecord, row)) for row in rows)
