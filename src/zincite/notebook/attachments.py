"""Files kept byte for byte, each about something in the notebook."""

from __future__ import annotations

import mimetypes
from dataclasses import dataclass
from pathlib import PurePath

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.notebook.locating import locate
from zincite.notebook.records import Record, columns_of, join_words, needed
from zincite.notebook.schema import attachment as table
from zincite.notebook.schema import blob
from zincite.notebook.subjects import refuse_withdrawn
from zincite.notebook.writer import Writer

__all__ = ["AttachmentRecord", "add_attachment", "attached", "get_attachment", "list_attachments"]


@dataclass(frozen=True, slots=True)
class AttachmentRecord(Record):
    """A kept file.

    Attributes
    ----------
    noun, subject : str
        What it is about and its id.
    name, media_type : str
    sha256 : str
        Of its bytes, in hexadecimal.
    """

    noun: str
    subject: str
    name: str
    media_type: str
    sha256: str


def add_attachment(
    writer: Writer, noun: str, subject: str, name: str, data: bytes, *, media_type: str = ""
) -> str:
    """Keep a file about something and return the attachment's id.

    Parameters
    ----------
    writer : Writer
    noun, subject : str
        Such as "trial" and its code or id.
    name : str
        File name; a folder in it is left out.
    data : bytes
    media_type : str
        Guessed from the name when left out.

    Raises
    ------
    NotebookError
        If there is no such thing, or it is withdrawn.
    InputError
        If the name is empty.
    """
    id = locate(writer.connection, noun, subject)
    refuse_withdrawn(writer.connection, noun, id)
    plain = needed(
        PurePath(name.replace("\\", "/")).name, "the file's name", "a name to keep it by"
    )
    guessed = mimetypes.guess_type(plain)[0] or "application/octet-stream"
    row = {
        "noun": noun,
        "subject": id,
        "name": plain,
        "media_type": media_type or guessed,
        "sha256": writer.blob(data),
    }
    return writer.add("attachment", row, words=join_words(plain))


def get_attachment(connection: Connection, id: str) -> AttachmentRecord:
    """Return an attachment by its id or the beginning of it.

    Raises
    ------
    NotebookError
        If there is none.
    """
    found = locate(connection, "attachment", id)
    return _record(connection.execute(table.select().where(table.c.id == found)).mappings().one())


def attached(connection: Connection, sha256: str) -> bytes:
    """Return kept bytes by their hash, of an attachment or a result's file.

    Raises
    ------
    sqlalchemy.exc.NoResultFound
        If there are none; the notebook's own hashes always have theirs.
    """
    question = sa.select(blob.c.data).where(blob.c.sha256 == sha256)
    return bytes(connection.execute(question).scalar_one())


def list_attachments(
    connection: Connection, noun: str = "", subject: str = ""
) -> tuple[AttachmentRecord, ...]:
    """Return what is attached to something, or all, in order of entry."""
    question = table.select().order_by(table.c.event_seq)
    if noun:
        id = locate(connection, noun, subject)
        question = question.where(table.c.noun == noun, table.c.subject == id)
    return tuple(_record(row) for row in connection.execute(question).mappings())


def _record(row: RowMapping) -> AttachmentRecord:
    return AttachmentRecord(**columns_of(AttachmentRecord, row))
