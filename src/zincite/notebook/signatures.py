"""Signatures as they are shown: who, when, what for, and whether the content is still the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.locating import name_of
from zincite.notebook.schema import NOUNS, event, signature
from zincite.notebook.signed_content import content_hash, content_hash_then

__all__ = ["Signature", "all_signatures", "signatures_of"]


@dataclass(frozen=True, slots=True)
class Signature:
    """A signature and how what it is over stands now.

    Attributes
    ----------
    id : str
    noun, subject, name : str
        What is signed: kind, id and what people call it.
    signed_by, full_name : str
        Account, or the given name in a personal notebook; full name as it was then.
    proven : bool
        Whether an account signed, with its password.
    at : str
        ISO 8601, UTC.
    meaning : str
    of_revision : int
        Revision that was signed.
    content_hash : str
    withdrawn : str
        Why the signature was withdrawn, "" while it stands.
    state : str
        "unchanged", "changed", "withdrawn" or "false", of the thing since it was signed.
    since : str
        The state in words.
    """

    id: str
    noun: str
    subject: str
    name: str
    signed_by: str
    full_name: str
    proven: bool
    at: str
    meaning: str
    of_revision: int
    content_hash: str
    withdrawn: str
    state: str
    since: str

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        names = [name for name in self.__slots__ if name != "subject"]
        return {name: getattr(self, name) for name in names}


def signatures_of(connection: Connection, noun: str, subject: str) -> tuple[Signature, ...]:
    """Return all signatures of a thing, the first one first, the withdrawn ones too."""
    rows = connection.execute(
        sa.select(signature, event.c.at)
        .join(event, event.c.subject == signature.c.id)
        .where(
            event.c.noun == "signature",
            event.c.kind == "signature added",
            signature.c.noun == noun,
            signature.c.subject == subject,
        )
        .order_by(event.c.seq)
    ).all()
    if not rows:
        return ()
    table = NOUNS[noun].table
    now = connection.execute(table.select().where(table.c.id == subject)).one()
    digest, name = content_hash(connection, noun, subject), name_of(connection, noun, subject)
    return tuple(_signature(connection, row, now, digest, name) for row in rows)


def _signature(connection: Connection, row: Any, now: Any, digest: str, name: str) -> Signature:
    if row.of_revision == now.revision:
        held, since = digest, ""
    else:
        held = content_hash_then(connection, row.noun, row.subject, row.of_revision)
        since = "withdrawn" if now.withdrawn else "changed"
    signed = f"signed as of revision {row.of_revision}"
    if held != row.content_hash:
        state = "false"
        words = f"what is kept of revision {row.of_revision} is not what was signed"
    elif not since:
        state, words = "unchanged", "signed content unchanged"
    elif since == "withdrawn":
        state, words = since, f"{signed}; withdrawn since then: {now.withdrawn}"
    else:
        state, words = since, f"{signed}; changed since then, now revision {now.revision}"
    return Signature(
        row.id,
        row.noun,
        row.subject,
        name,
        row.signed_by,
        row.full_name,
        row.account_id is not None,
        row.at,
        row.meaning,
        row.of_revision,
        row.content_hash,
        row.withdrawn,
        state,
        words,
    )


def all_signatures(connection: Connection) -> tuple[Signature, ...]:
    """Return the signatures of the whole notebook, the first one first."""
    signed = connection.execute(sa.select(signature.c.noun, signature.c.subject).distinct()).all()
    found = (one for noun, subject in signed for one in signatures_of(connection, noun, subject))
    return tuple(sorted(found, key=lambda one: (one.at, one.id)))
