"""The one way to write: rows, their event and the search index in one transaction."""

from __future__ import annotations

import datetime
import hashlib
import secrets
from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import ConflictError, InputError, NotebookError
from zincite.notebook.chain import GENESIS, body_text, event_hash
from zincite.notebook.fitting import check_texts, fitted, fitted_parts
from zincite.notebook.rights import guard
from zincite.notebook.schema import NOUNS, blob, event, search_text
from zincite.notebook.words import indexed

__all__ = ["LARGEST_FILE", "Rows", "Writer", "check_texts", "new_id", "now"]

Rows = Sequence[Mapping[str, Any]]

LARGEST_FILE = 256 * 2**20
"""Bytes of a kept file: PostgreSQL takes few more, and each is in memory once."""


def now() -> str:
    """Return the time as events carry it: ISO 8601, UTC, microseconds."""
    return datetime.datetime.now(datetime.UTC).isoformat(timespec="microseconds")


def new_id(noun: str) -> str:
    """Return a new id, such as "trial-0f3a...": unique without asking the database."""
    return f"{noun}-{secrets.token_hex(10)}"


def _text(where: str, body: Mapping[str, Any]) -> str:
    try:
        text = body_text(body)
        text.encode()
    except UnicodeEncodeError:
        raise InputError(f"{where} holds characters that are no text") from None
    except ValueError:
        raise InputError(f"{where}: a number is not finite, expected plain numbers") from None
    return text


class Writer:
    """Writes of one transaction; made by `Notebook.write`, which holds the lock.

    Attributes
    ----------
    connection : Connection
        For reading what was written in the same transaction.
    who : str
        Name that the events carry; a `Login` where the notebook has accounts.

    Raises
    ------
    NotAllowedError
        At the start where a login is needed and missing, and before every event that the role of
        the account does not include.
    """

    def __init__(self, connection: Connection, who: str) -> None:
        check_texts(event, {"who": str(who)})
        self.connection = connection
        self.who = str(who)
        self._allowed = guard(connection, who, now())
        head = connection.execute(
            sa.select(event.c.seq, event.c.hash).order_by(event.c.seq.desc()).limit(1)
        ).first()
        self._seq, self._hash = (0, GENESIS) if head is None else (int(head.seq), str(head.hash))
        self._unnamed: set[str] = set()

    @property
    def head(self) -> str:
        """Hash of the last event, those of this transaction included."""
        return self._hash

    def add(
        self,
        noun: str,
        row: Mapping[str, Any],
        parts: Mapping[str, Rows] | None = None,
        *,
        words: str = "",
        id: str | None = None,
        also: Mapping[str, Any] | None = None,
    ) -> str:
        """Add a thing and return its id.

        Parameters
        ----------
        noun : str
            Key of `NOUNS`.
        row : mapping
            Its columns without id, revision and withdrawn.
        parts : mapping of str to sequence of mapping, optional
            Rows of its child tables, in order.
        words : str
            What the search finds it by.
        id : str, optional
            A new one when left out.
        also : mapping, optional
            What else the event says, such as the hash of something kept outside the chain.

        Raises
        ------
        InputError
            If a column cannot keep its value on every database.
        """
        subject = id or new_id(noun)
        first = {"id": subject, "revision": 1, "withdrawn": ""}
        empty = {c.name: None for c in NOUNS[noun].table.c if c.nullable}
        whole = fitted(NOUNS[noun].table, {**empty, **first, **row})
        numbered = fitted_parts(noun, parts or {})
        body = {**(also or {}), "row": whole, "parts": numbered}
        if words:
            body["words"] = words
        seq = self._append(f"{noun} added", noun, subject, body)
        self._insert(noun, seq, whole, numbered)
        self._index(noun, subject, words)
        return subject

    def change(
        self,
        noun: str,
        subject: str,
        changes: Mapping[str, Any],
        *,
        revision: int,
        reason: str = "",
        kind: str = "changed",
        words: str | None = None,
        also: Mapping[str, Any] | None = None,
    ) -> None:
        """Change columns of a thing, if it still is as the caller saw it.

        Raises
        ------
        ConflictError
            If its revision is another one by now.
        NotebookError
            If there is no such thing.
        """
        before = self.current(noun, subject, revision)
        whole = fitted(NOUNS[noun].table, {**before, **changes, "revision": revision + 1})
        body = {**(also or {}), "row": whole, "parts": {}}
        if reason:
            body["reason"] = reason
        if words:
            body["words"] = words
        seq = self._append(f"{noun} {kind}", noun, subject, body)
        table = NOUNS[noun].table
        self.connection.execute(
            table.update().where(table.c.id == subject).values(**{**whole, "event_seq": seq})
        )
        if words is not None:
            self._index(noun, subject, words)

    def withdraw(self, noun: str, subject: str, reason: str, *, revision: int) -> None:
        """Mark a thing as withdrawn; it stays readable with the reason.

        Raises
        ------
        InputError
            If no reason is given or it is withdrawn already.
        ConflictError, NotebookError
            As `change`.
        """
        if not reason.strip():
            raise InputError(f"{noun} {subject}: no reason given, expected why it is withdrawn")
        if self.current(noun, subject, revision)["withdrawn"]:
            raise InputError(f"{noun} {subject} is withdrawn already, expected one that stands")
        self.change(noun, subject, {"withdrawn": reason}, revision=revision, kind="withdrawn")

    def current(self, noun: str, subject: str, revision: int | None = None) -> dict[str, Any]:
        """Return a row without its event number.

        Raises
        ------
        ConflictError
            If a revision is given and the row has another one by now.
        NotebookError
            If there is no such thing.
        """
        table = NOUNS[noun].table
        found = self.connection.execute(table.select().where(table.c.id == subject)).mappings()
        row = found.first()
        if row is None:
            raise NotebookError(f"no {noun} has the id {subject!r}, expected one in the notebook")
        whole = {str(key): value for key, value in row.items()}
        if revision is not None and whole["revision"] != revision:
            raise ConflictError(self._conflict(noun, whole, revision))
        del whole["event_seq"]
        return whole

    def blob(self, data: bytes) -> str:
        """Keep bytes as they are and return their SHA-256; equal bytes are kept once.

        A row written after it in the same transaction must name them, so that they are chained.

        Raises
        ------
        InputError
            If there are more than `LARGEST_FILE`.
        """
        if len(data) > LARGEST_FILE:
            raise InputError(
                f"a file to keep has {len(data):,} bytes, expected at most {LARGEST_FILE:,}"
            )
        digest = hashlib.sha256(data).hexdigest()
        if self._allowed is not None:
            self._allowed("kept file added", "kept file", digest, {})
        there = self.connection.execute(
            sa.select(blob.c.sha256).where(blob.c.sha256 == digest)
        ).first()
        if there is None:
            self.connection.execute(blob.insert().values(sha256=digest, size=len(data), data=data))
            self._unnamed.add(digest)
        return digest

    def finish(self) -> None:
        """Refuse to end a transaction that keeps a file which no event names.

        Raises
        ------
        NotebookError
            If there is such a file.
        """
        if self._unnamed:
            raise NotebookError(
                f"kept file {min(self._unnamed)[:12]} is named by nothing that was written, "
                "expected a result or an attachment with it"
            )

    def _conflict(self, noun: str, row: Mapping[str, Any], revision: int) -> str:
        last = self.connection.execute(
            sa.select(event.c.who, event.c.at).where(event.c.seq == row["event_seq"])
        ).one()
        name = row.get("code") or row.get("name") or row["id"]
        return (
            f"{noun} {name} was changed by {last.who} at {last.at[:10]} {last.at[11:19]} UTC (now "
            f"revision {row['revision']}), expected revision {revision} as you opened it: open it "
            "again and repeat your change"
        )

    def _append(self, kind: str, noun: str, subject: str, body: Mapping[str, Any]) -> int:
        if self._allowed is not None:
            self._allowed(kind, noun, subject, body["row"])
        text = _text(f"{noun} {subject}", body)
        seq, at = self._seq + 1, now()
        made = event_hash(self._hash, seq, at, self.who, kind, noun, subject, text)
        row = {"seq": seq, "prev": self._hash, "hash": made, "at": at, "who": self.who}
        row |= {"kind": kind, "noun": noun, "subject": subject, "body": text}
        self.connection.execute(event.insert().values(fitted(event, row)))
        self._unnamed = {digest for digest in self._unnamed if digest not in text}
        self._seq, self._hash = seq, made
        return seq

    def _insert(
        self, noun: str, seq: int, row: Mapping[str, Any], parts: Mapping[str, Rows]
    ) -> None:
        self.connection.execute(NOUNS[noun].table.insert().values(event_seq=seq, **row))
        for table in NOUNS[noun].parts:
            rows = parts.get(table.name)
            if rows:
                parent = {f"{noun}_id": row["id"], "event_seq": seq}
                self.connection.execute(table.insert(), [{**parent, **part} for part in rows])

    def _index(self, noun: str, subject: str, words: str) -> None:
        if not words:
            return
        check_texts(search_text, {"body": words})
        self.connection.execute(
            search_text.delete().where(search_text.c.noun == noun, search_text.c.subject == subject)
        )
        self.connection.execute(
            search_text.insert().values(
                noun=noun, subject=subject, body=words, folded=indexed(noun, words)
            )
        )
