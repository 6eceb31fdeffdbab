"""What stands beside the rows: kept files, words of the search, hashes of passwords."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from contextlib import closing
from itertools import groupby
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from zincite.notebook.chain import seal
from zincite.notebook.checking.findings import Findings, body_of, rows_of
from zincite.notebook.schema import NOUNS, blob, credential, event, search_text
from zincite.notebook.words import indexed

__all__ = ["check_blobs", "check_credentials", "check_words"]


def check_blobs(connection: Connection, findings: Findings) -> None:
    """Check kept files against their hash and size, and that something names each."""
    for row in rows_of(connection, sa.select(blob.c.sha256, blob.c.size).order_by(blob.c.sha256)):
        # not LargeBinary, which would trip over what somebody else put there
        raw = sa.type_coerce(blob.c.data, sa.types.NullType())
        data: Any = connection.execute(sa.select(raw).where(blob.c.sha256 == row.sha256)).scalar()
        where = f"kept file {str(row.sha256)[:12]}"
        kept = isinstance(data, bytes | memoryview)
        if not kept or hashlib.sha256(data).hexdigest() != row.sha256:
            findings.add(None, where, "was changed after it was kept")
        elif len(data) != row.size:
            findings.add(None, where, f"has {len(data)} bytes, its row says {row.size}")
        elif not _is_named(connection, row.sha256):
            findings.add(None, where, "is named by no event")
        findings.step()
        if findings.full:
            return
    _check_lost(connection, findings)


def _naming() -> list[sa.Column[Any]]:
    return [noun.table.c["sha256"] for noun in NOUNS.values() if "sha256" in noun.table.c]


def _is_named(connection: Connection, digest: str) -> bool:
    for column in _naming():
        if connection.execute(sa.select(column).where(column == digest).limit(1)).first():
            return True
    # a row may have named it before it was changed
    said = event.c.body.contains(digest, autoescape=True)
    return connection.execute(sa.select(event.c.seq).where(said).limit(1)).first() is not None


def _check_lost(connection: Connection, findings: Findings) -> None:
    for column in _naming():
        table = column.table
        _check_lost_before(connection, table, findings)
        lost = (
            sa.select(table.c.id, table.c.event_seq, column)
            .join(blob, blob.c.sha256 == column, isouter=True)
            .where(column.is_not(None), blob.c.sha256.is_(None))
            .order_by(table.c.event_seq)
        )
        for row in rows_of(connection, lost):
            found = f"its kept file {str(row.sha256)[:12]} is gone"
            findings.add(row.event_seq, f"{table.name} {row.id}", found)


def _check_lost_before(connection: Connection, table: sa.Table, findings: Findings) -> None:
    """Look for the files that a row named before it was changed."""
    earlier = (
        sa.select(event.c.seq, event.c.subject, event.c.body)
        .join(table, table.c.event_seq == event.c.seq, isouter=True)
        .where(event.c.noun == table.name, table.c.id.is_(None))
        .order_by(event.c.seq)
    )
    for row in rows_of(connection, earlier):
        said = body_of(row.body).get("row")
        digest = said.get("sha256") if isinstance(said, dict) else None
        there = sa.select(blob.c.sha256).where(blob.c.sha256 == digest)
        if not isinstance(digest, str) or row.seq in findings.bad:
            continue
        if connection.execute(there).first() is None:
            found = f"its kept file {digest[:12]} is gone"
            findings.add(row.seq, f"{table.name} {row.subject}", found)


def check_words(connection: Connection, findings: Findings) -> None:
    """Check what the search finds a thing by against the last event that said it."""
    same = (search_text.c.noun == event.c.noun) & (search_text.c.subject == event.c.subject)
    query = (
        sa.select(
            event.c.noun,
            event.c.subject,
            event.c.seq,
            event.c.body,
            search_text.c.body.label("words"),
            search_text.c.folded,
        )
        .join(search_text, same, isouter=True)
        .order_by(event.c.noun, event.c.subject, event.c.seq)
    )
    # closed at once where somebody stops it, while the connection is still there
    with closing(rows_of(connection, query)) as rows:
        for (noun, subject), events in groupby(rows, key=lambda row: (row.noun, row.subject)):
            _check_words_of(noun, subject, events, findings)
            if findings.full:
                return
    _check_stray_words(connection, findings)


def _check_words_of(
    noun: str, subject: str, events: Iterable[Row[Any]], findings: Findings
) -> None:
    seq, said, kept, folded = None, None, None, None
    for row in events:
        words = body_of(row.body).get("words")
        seq, said = (row.seq, words) if words or seq is None else (seq, said)
        kept, folded = row.words, row.folded
        findings.step()
    right = kept == said and (said is None or folded == indexed(noun, said))
    if not right and seq not in findings.bad:
        findings.add(seq, f"{noun} {subject}", "what the search finds it by was changed")


def _check_stray_words(connection: Connection, findings: Findings) -> None:
    same = (search_text.c.noun == event.c.noun) & (search_text.c.subject == event.c.subject)
    stray = (
        sa.select(search_text.c.noun, search_text.c.subject)
        .join(event, same, isouter=True)
        .where(event.c.seq.is_(None))
    )
    for row in rows_of(connection, stray):
        found = "the search finds it, but no event speaks of it"
        findings.add(None, f"{row.noun} {row.subject}", found)


def check_credentials(connection: Connection, findings: Findings) -> None:
    """Check hashes of passwords against the seal in the account's last event that set one."""
    for row in rows_of(connection, credential.select().order_by(credential.c.account_id)):
        said = sa.select(event.c.seq, event.c.body).where(
            event.c.noun == "account", event.c.subject == row.account_id
        )
        seals = [
            (one.seq, body_of(one.body)["credential"])
            for one in connection.execute(said.order_by(event.c.seq))
            if "credential" in body_of(one.body)
        ]
        seq, sealed = seals[-1] if seals else (None, None)
        if not isinstance(row.password_hash, str) or seal(row.password_hash) != sealed:
            found = "its password was set past the notebook"
            findings.add(seq, f"account {row.account_id}", found)
        findings.step()
