"""The history in words: who did what to which thing, the latest first."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.notebook.locating import PARENTS, VERSIONED
from zincite.notebook.naming import names_of
from zincite.notebook.schema import NOUNS, event

__all__ = ["Entry", "family_of", "first_entry", "list_entries"]

_ABOUT = ("decision", "attachment", "comment", "signature")
_CHUNK = 200  # pairs of noun and subject in one question


@dataclass(frozen=True, slots=True)
class Entry:
    """One event in words.

    Attributes
    ----------
    seq : int
        Its number in the chain.
    at, who : str
        Time in UTC, and account or name.
    kind : str
        Such as "trial added".
    noun, subject, called : str
        What it is about: id and short name.
    said : str
        The reason, or what was said: of a withdrawal, a change, a comment, a decision.
    hash : str
        Of the event.
    """

    seq: int
    at: str
    who: str
    kind: str
    noun: str
    subject: str
    called: str
    said: str
    hash: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return asdict(self)


def list_entries(
    connection: Connection,
    subjects: Iterable[tuple[str, str]] | None = None,
    *,
    at_most: int | None = None,
) -> tuple[Entry, ...]:
    """Return events, the latest first.

    Parameters
    ----------
    connection : Connection
    subjects : iterable of (str, str), optional
        Nouns and ids that they are about; of everything when left out.
    at_most : int, optional
        So many of them.
    """
    newest = event.select().order_by(event.c.seq.desc())
    if subjects is None:
        limited = newest if at_most is None else newest.limit(at_most)
        return _entries(connection, connection.execute(limited).mappings().all())
    wanted = list(dict.fromkeys(subjects))
    rows: list[RowMapping] = []
    for start in range(0, len(wanted), _CHUNK):
        pairs = [
            sa.and_(event.c.noun == noun, event.c.subject == id)
            for noun, id in wanted[start : start + _CHUNK]
        ]
        rows += connection.execute(newest.where(sa.or_(*pairs))).mappings().all()
    rows.sort(key=lambda row: -int(row["seq"]))
    return _entries(connection, rows if at_most is None else rows[:at_most])


def first_entry(connection: Connection, noun: str, id: str) -> Entry:
    """Return the event that added a thing: who entered it, and when."""
    added = event.select().where(event.c.noun == noun, event.c.subject == id)
    rows = connection.execute(added.order_by(event.c.seq).limit(1)).mappings().all()
    return _entries(connection, rows)[0]


def family_of(connection: Connection, noun: str, id: str) -> list[tuple[str, str]]:
    """Return a thing with what hangs on it: other versions, results, predictions, what is said.

    Parameters
    ----------
    connection : Connection
    noun, id : str

    Returns
    -------
    list of (str, str)
        Nouns and ids, the thing itself first.
    """
    found = [(noun, id)]
    if noun in VERSIONED:
        table, code = NOUNS[noun].table, VERSIONED[noun]
        mine = sa.select(table.c[code]).where(table.c.id == id).scalar_subquery()
        found += _pairs(connection, noun, sa.select(table.c.id).where(table.c[code] == mine))
    for child, parent in PARENTS.items():
        if parent == noun:
            table = NOUNS[child].table
            owners = [subject for name, subject in found if name == noun]
            owned = sa.select(table.c.id).where(table.c[f"{noun}_id"].in_(owners))
            found += _pairs(connection, child, owned)
    for about in _ABOUT:
        table = NOUNS[about].table
        for name in dict.fromkeys(name for name, _ in found if name not in _ABOUT):
            ids = [subject for other, subject in found if other == name]
            told = sa.select(table.c.id).where(table.c.noun == name, table.c.subject.in_(ids))
            found += _pairs(connection, about, told)
    return list(dict.fromkeys(found))


def _pairs(connection: Connection, noun: str, question: sa.Select[Any]) -> list[tuple[str, str]]:
    return [(noun, str(id)) for id in connection.execute(question).scalars()]


def _entries(connection: Connection, rows: Iterable[RowMapping]) -> tuple[Entry, ...]:
    listed = list(rows)
    ids: dict[str, list[str]] = {}
    for row in listed:
        ids.setdefault(row["noun"], []).append(row["subject"])
    names = {noun: names_of(connection, noun, of) for noun, of in ids.items() if noun in NOUNS}
    found = []
    for row in listed:
        named = names.get(row["noun"], {}).get(row["subject"])
        shown = {key: row[key] for key in ("seq", "at", "who", "kind", "noun", "subject", "hash")}
        called = row["subject"] if named is None else named.name
        found.append(Entry(**shown, called=called, said=_said(row["kind"], row["body"])))
    return tuple(found)


def _said(kind: str, body: str) -> str:
    held = json.loads(body)
    row = held.get("row", {})
    if kind.endswith(" withdrawn"):
        return str(row.get("withdrawn", ""))
    if held.get("reason"):
        return str(held["reason"])
    if kind == "decision added":
        return f"{row.get('verdict', '')}: {row.get('reason', '')}"
    if kind == "attachment added":
        return str(row.get("name", ""))
    for key in ("reason", "text", "meaning"):
        if row.get(key):
            return str(row[key])
    return ""
