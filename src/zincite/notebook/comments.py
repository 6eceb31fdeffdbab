"""Comments about anything in the notebook, withdrawn things too."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.engine import Connection, RowMapping

from zincite.notebook.locating import locate
from zincite.notebook.records import Record, columns_of, join_words, needed
from zincite.notebook.schema import comment as table
from zincite.notebook.subjects import checked_noun
from zincite.notebook.writer import Writer

__all__ = ["CommentRecord", "add_comment", "get_comment", "list_comments"]


@dataclass(frozen=True, slots=True)
class CommentRecord(Record):
    """A comment.

    Attributes
    ----------
    noun, subject : str
        What it is about and its id.
    text : str
    """

    noun: str
    subject: str
    text: str


def add_comment(writer: Writer, noun: str, subject: str, text: str) -> str:
    """Add a comment and return its id.

    Parameters
    ----------
    writer : Writer
    noun, subject : str
        Such as "lot" and its code or id.
    text : str

    Raises
    ------
    NotebookError
        If there is no such thing.
    InputError
        If the text is empty.
    """
    id = locate(writer.connection, checked_noun(noun), subject)
    said = needed(text, "the comment", "some words")
    row = {"noun": noun, "subject": id, "text": said}
    return writer.add("comment", row, words=join_words(said))


def get_comment(connection: Connection, id: str) -> CommentRecord:
    """Return a comment by its id or the beginning of it.

    Raises
    ------
    NotebookError
        If there is none.
    """
    found = locate(connection, "comment", id)
    return _record(connection.execute(table.select().where(table.c.id == found)).mappings().one())


def list_comments(
    connection: Connection, noun: str = "", subject: str = ""
) -> tuple[CommentRecord, ...]:
    """Return the comments on something, or all, in order of entry."""
    question = table.select().order_by(table.c.event_seq)
    if noun:
        id = locate(connection, noun, subject)
        question = question.where(table.c.noun == noun, table.c.subject == id)
    return tuple(_record(row) for row in connection.execute(question).mappings())


def _record(row: RowMapping) -> CommentRecord:
    return CommentRecord(**columns_of(CommentRecord, row))
