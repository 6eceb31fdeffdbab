"""Rebuilding rows from events: each event's body holds the row as it was written.

The first event of a subject adds its row and parts, each later one replaces the row. This is the
one place besides the writer that fills tables, and it only fills an empty notebook.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DataError, IntegrityError

from zincite.errors import InputError, NotebookError
from zincite.notebook.chain import GENESIS, Event, event_hash
from zincite.notebook.fitting import check_texts, fitted
from zincite.notebook.schema import NOUNS, event, search_text
from zincite.notebook.words import indexed

__all__ = ["Replay"]

_BATCH = 500
_FIELDS = tuple(column.name for column in event.c)


class Replay:
    """Writes events and what they say into an empty notebook, in batches.

    Attributes
    ----------
    count : int
        Events taken in.
    head : str
        Hash of the last one, "" before the first.
    nouns : Counter of str
        Rows added, by noun.
    """

    def __init__(self, connection: Connection, name: str, blobs: Container[str]) -> None:
        """Begin.

        Parameters
        ----------
        connection : Connection
            In the transaction that holds the write lock.
        name : str
            Where the events come from, for messages.
        blobs : container of str
            Hashes of the kept files there are.
        """
        self.count, self.head = 0, ""
        self.nouns: Counter[str] = Counter()
        self._connection, self._name, self._blobs = connection, name, blobs
        self._events: list[dict[str, Any]] = []
        self._rows: dict[sa.Table, list[dict[str, Any]]] = {}
        self._tables = [t for noun in NOUNS.values() for t in (noun.table, *noun.parts)]
        self._tables.append(search_text)

    def take(self, one: Event, body: Mapping[str, Any]) -> None:
        """Take in the next event.

        Raises
        ------
        NotebookError
            If it does not follow the last one, was changed, or says what no table can hold.
        """
        self._check_chain(one)
        try:
            line = fitted(event, {name: getattr(one, name) for name in _FIELDS})
            if one.noun not in NOUNS:
                raise InputError("is of a kind that this version of zincite does not know")
            if one.kind == f"{one.noun} added":
                self._add(one, body, line)
            else:
                self._change(one, body, line)
            self._index(one, body.get("words", ""))
        except InputError as error:
            raise NotebookError(
                f"{self._name}: event {one.seq} ({one.noun} {one.subject}): {error}, expected an "
                "event as zincite writes it"
            ) from None
        self.count, self.head = one.seq, one.hash
        if len(self._events) >= _BATCH:
            self.flush()

    def flush(self) -> None:
        """Write what was taken in.

        Raises
        ------
        NotebookError
            If the events contradict each other.
        """
        try:
            if self._events:
                self._connection.execute(event.insert(), self._events)
            for table in self._tables:
                rows = self._rows.get(table)
                if rows:
                    self._connection.execute(table.insert(), rows)
        except (IntegrityError, DataError) as error:
            first = self._events[0]["seq"] if self._events else self.count
            raise NotebookError(
                f"{self._name}: events {first} to {self.count} contradict each other "
                f"({' '.join(str(error.orig).split())[:120]}), expected events as zincite writes "
                "them"
            ) from error
        self._events, self._rows = [], {}

    def _check_chain(self, one: Event) -> None:
        where = f"{self._name}: event {self.count + 1} ({one.noun} {one.subject})"
        if one.seq != self.count + 1 or one.prev != (self.head or GENESIS):
            raise NotebookError(
                f"{where} does not follow the event before it, expected an unbroken chain"
            )
        made = event_hash(
            one.prev, one.seq, one.at, one.who, one.kind, one.noun, one.subject, one.body
        )
        if made != one.hash:
            raise NotebookError(
                f"{where} was changed after it was written, expected the hash {one.hash[:16]}"
            )

    def _add(self, one: Event, body: Mapping[str, Any], line: dict[str, Any]) -> None:
        noun = NOUNS[one.noun]
        row = self._row(one, body)
        if row["revision"] != 1:
            raise InputError("is added with another revision than 1")
        parts = body.get("parts")
        if not isinstance(parts, dict) or set(parts) - {part.name for part in noun.parts}:
            raise InputError("has parts that it cannot have")
        self._events.append(line)
        self._rows.setdefault(noun.table, []).append(row)
        parent = {f"{one.noun}_id": one.subject, "event_seq": one.seq}
        for part in noun.parts:
            items = parts.get(part.name, [])
            if not isinstance(items, list):
                raise InputError(f"has {part.name} that are no list")
            for number, item in enumerate(items):
                fit = _checked(part, item, leave=tuple(parent))
                if fit["position"] != number:
                    raise InputError(f"has {part.name} out of order")
                self._rows.setdefault(part, []).append({**parent, **fit})
        self.nouns[one.noun] += 1

    def _change(self, one: Event, body: Mapping[str, Any], line: dict[str, Any]) -> None:
        row = self._row(one, body)
        if body.get("parts") != {}:
            raise InputError("changes parts, which never change")
        self._events.append(line)
        self.flush()  # in order: it may need what was added, or free what is added next
        table = NOUNS[one.noun].table
        try:
            done = self._connection.execute(
                table.update()
                .where(table.c.id == one.subject, table.c.revision == row["revision"] - 1)
                .values(**row)
            )
        except (IntegrityError, DataError) as error:
            raise InputError(
                f"contradicts what was added ({' '.join(str(error.orig).split())[:120]})"
            ) from error
        if done.rowcount != 1:
            raise InputError("changes what was not added, or not the revision before it")

    def _row(self, one: Event, body: Mapping[str, Any]) -> dict[str, Any]:
        fit = _checked(NOUNS[one.noun].table, body.get("row"), leave=("event_seq",))
        if fit["id"] != one.subject:
            raise InputError("is about something else than its row")
        kept = fit.get("sha256")
        if kept is not None and kept not in self._blobs:
            raise InputError(f"keeps file {kept[:12]}, which is not there")
        return {**fit, "event_seq": one.seq}

    def _index(self, one: Event, words: object) -> None:
        if not isinstance(words, str):
            raise InputError("has words that are no text")
        if not words:
            return
        check_texts(search_text, {"body": words})
        if one.kind != f"{one.noun} added":
            self._connection.execute(
                search_text.delete().where(
                    search_text.c.noun == one.noun, search_text.c.subject == one.subject
                )
            )
        self._rows.setdefault(search_text, []).append(
            {
                "noun": one.noun,
                "subject": one.subject,
                "body": words,
                "folded": indexed(one.noun, words),
            }
        )


def _checked(table: sa.Table, row: object, *, leave: tuple[str, ...]) -> dict[str, Any]:
    """Return a row as the table takes it; refuse other columns and values that do not fit."""
    columns = {c.name for c in table.c if c.name not in leave}
    if not isinstance(row, dict) or set(row) != columns:
        raise InputError(f"has a {table.name} with other columns than this version knows")
    return fitted(table, row)
