"""Withdrawing: nothing is deleted, a thing is marked as no longer standing, with the reason."""

from __future__ import annotations

from zincite.notebook.locating import locate
from zincite.notebook.subjects import checked_noun, row_of
from zincite.notebook.writer import Writer

__all__ = ["withdraw"]


def withdraw(
    writer: Writer, noun: str, subject: str, reason: str, *, revision: int | None = None
) -> str:
    """Withdraw a thing and return its id; it stays readable, and new work may not refer to it.

    Parameters
    ----------
    writer : Writer
    noun, subject : str
        Such as "trial" and its code or id.
    reason : str
    revision : int, optional
        Of the thing as the user saw it; as it is now when left out.

    Raises
    ------
    NotebookError
        If there is no such thing.
    ConflictError
        If somebody changed it since that revision.
    InputError
        If the reason is empty or it is withdrawn already.
    """
    id = locate(writer.connection, checked_noun(noun), subject)
    now = row_of(writer.connection, noun, id)["revision"]
    writer.withdraw(noun, id, reason, revision=int(str(now)) if revision is None else revision)
    return id
