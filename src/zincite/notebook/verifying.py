"""Checking a notebook against its chain: every event, every row, every kept file."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.chain import GENESIS, event_hash
from zincite.notebook.schema import NOUNS, Noun, blob, event
from zincite.notebook.store import Notebook

__all__ = ["Fault", "Verification", "verify"]

Progress = Callable[[int, int], None]
_BATCH = 2000


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that is not as the chain says.

    Attributes
    ----------
    seq : int or None
        Event, None where no event speaks of it.
    where, found : str
        What it concerns and what is wrong with it.
    """

    seq: int | None
    where: str
    found: str

    @property
    def sentence(self) -> str:
        """The fault in one sentence."""
        at = "" if self.seq is None else f"event {self.seq}, "
        return f"{at}{self.where}: {self.found}"


@dataclass(frozen=True, slots=True)
class Verification:
    """What checking found.

    Attributes
    ----------
    events : int
    head : str
        Hash of the last event, "" in an empty notebook.
    faults : tuple of Fault
        In order of events, the first bad one first.
    """

    events: int
    head: str
    faults: tuple[Fault, ...]

    @property
    def holds(self) -> bool:
        """Whether nothing was found."""
        return not self.faults

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "holds": self.holds,
            "events": self.events,
            "head_hash": self.head,
            "faults": [{"event": f.seq, "where": f.where, "found": f.found} for f in self.faults],
        }


def verify(
    notebook: Notebook,
    *,
    head: str = "",
    at_most: int = 20,
    progress: Progress | None = None,
) -> Verification:
    """Check the chain, the rows against it, and the kept files against their hashes.

    Parameters
    ----------
    notebook : Notebook
    head : str
        A head hash printed on an earlier document, or its beginning of 8 digits or more: the
        event must still be there, or the chain was cut.
    at_most : int
        Stop after so many faults.
    progress : callable, optional
        Gets events checked and all events.

    Returns
    -------
    Verification
    """
    with notebook.read() as connection:
        faults: list[Fault] = []
        count, last = _check_chain(connection, faults, at_most, progress)
        for noun in NOUNS.values():
            if len(faults) < at_most:
                faults += _check_rows(connection, noun)[: at_most - len(faults)]
        if len(faults) < at_most:
            faults += _check_blobs(connection)[: at_most - len(faults)]
        if head:
            faults += _check_head(connection, head)
    order = sorted(faults, key=lambda fault: (fault.seq is None, fault.seq or 0))
    return Verification(count, last, tuple(order[:at_most]))


def _events(connection: Connection) -> Iterator[Any]:
    found = connection.execution_options(yield_per=_BATCH).execute(
        event.select().order_by(event.c.seq)
    )
    yield from found


def _check_chain(
    connection: Connection, faults: list[Fault], at_most: int, progress: Progress | None
) -> tuple[int, str]:
    total = int(connection.execute(sa.select(sa.func.count()).select_from(event)).scalar_one())
    before, count = GENESIS, 0
    for row in _events(connection):
        count += 1
        where = f"{row.noun} {row.subject}"
        if row.seq != count:
            faults.append(Fault(count, "the chain", "is missing"))
            return count, row.hash
        made = event_hash(
            row.prev, row.seq, row.at, row.who, row.kind, row.noun, row.subject, row.body
        )
        if row.prev != before:
            faults.append(Fault(row.seq, where, "does not follow the event before it"))
        elif made != row.hash:
            faults.append(Fault(row.seq, where, "was changed after it was written"))
        if len(faults) >= at_most:
            break
        before = row.hash
        if progress is not None and count % _BATCH == 0:
            progress(count, total)
    return count, "" if count == 0 else before


def _check_rows(connection: Connection, noun: Noun) -> list[Fault]:
    """Compare each row, and each row's parts, with the event that wrote them."""
    table = noun.table
    name = table.name
    found: list[Fault] = []
    written = connection.execution_options(yield_per=_BATCH).execute(
        sa.select(table, event.c.body.label("event_body"), event.c.subject.label("event_subject"))
        .join(event, event.c.seq == table.c.event_seq, isouter=True)
        .order_by(table.c.event_seq)
    )
    for row in written.mappings():
        seq, where = row["event_seq"], f"{name} {row['id']}"
        if row["event_body"] is None or row["event_subject"] != row["id"]:
            found.append(Fault(seq, where, "is not what its event is about"))
            continue
        said = _body(row["event_body"]).get("row", {})
        bad = [c.name for c in table.c if c.name != "event_seq" and row[c.name] != said.get(c.name)]
        if bad:
            found.append(Fault(seq, where, f"{', '.join(bad)} differs from what was written"))
    found += _missing(connection, noun)
    for part in noun.parts:
        found += _check_parts(connection, name, part)
    return found


def _body(text: str) -> dict[str, Any]:
    try:
        found = json.loads(text)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _missing(connection: Connection, noun: Noun) -> list[Fault]:
    """Return events whose row is gone, and rows that no longer carry their last event."""
    table, name = noun.table, noun.table.name
    last = (
        sa.select(event.c.subject, sa.func.max(event.c.seq).label("seq"))
        .where(event.c.noun == name)
        .group_by(event.c.subject)
        .subquery()
    )
    rows = connection.execute(
        sa.select(last.c.subject, last.c.seq, table.c.event_seq)
        .join(table, table.c.id == last.c.subject, isouter=True)
        .where(sa.or_(table.c.id.is_(None), table.c.event_seq != last.c.seq))
        .order_by(last.c.seq)
    )
    return [
        Fault(
            row.seq,
            f"{name} {row.subject}",
            "its row is gone" if row.event_seq is None else "its row was set back",
        )
        for row in rows
    ]


def _check_parts(connection: Connection, noun: str, part: sa.Table) -> list[Fault]:
    """Compare child rows with the parts in the body of the event that added them."""
    parent = f"{noun}_id"
    skipped = {parent, "event_seq"}
    stored = connection.execution_options(yield_per=_BATCH).execute(
        part.select().order_by(part.c.event_seq, part.c.position)
    )
    groups = groupby(stored.mappings(), key=lambda row: int(row["event_seq"]))
    found: list[Fault] = []
    here = next(groups, None)
    added = sa.select(event.c.seq, event.c.subject, event.c.body).where(
        event.c.kind == f"{noun} added"
    )
    with_parts = connection.execution_options(yield_per=_BATCH).execute(added.order_by(event.c.seq))
    for row in with_parts:
        said = _body(row.body).get("parts", {}).get(part.name, [])
        rows: list[dict[str, Any]] = []
        while here is not None and here[0] < row.seq:
            found.append(Fault(here[0], part.name, "belongs to no event that added it"))
            here = next(groups, None)
        if here is not None and here[0] == row.seq:
            rows = [dict(item) for item in here[1]]
            here = next(groups, None)
        plain = [{k: v for k, v in item.items() if k not in skipped} for item in rows]
        if plain != said or any(item[parent] != row.subject for item in rows):
            found.append(
                Fault(
                    row.seq, f"{noun} {row.subject}", f"{part.name} differs from what was written"
                )
            )
    while here is not None:
        found.append(Fault(here[0], part.name, "belongs to no event that added it"))
        here = next(groups, None)
    return found


def _check_blobs(connection: Connection) -> list[Fault]:
    names = connection.execute(sa.select(blob.c.sha256).order_by(blob.c.sha256)).scalars().all()
    found = []
    for name in names:
        data = connection.execute(sa.select(blob.c.data).where(blob.c.sha256 == name)).scalar_one()
        if hashlib.sha256(bytes(data)).hexdigest() != name:
            found.append(Fault(None, f"kept file {name[:12]}", "was changed after it was kept"))
    for noun in NOUNS.values():
        column = noun.table.c.get("sha256")
        if column is None:
            continue
        lost = connection.execute(
            sa.select(noun.table.c.id, noun.table.c.event_seq, column)
            .join(blob, blob.c.sha256 == column, isouter=True)
            .where(column.is_not(None), blob.c.sha256.is_(None))
        )
        found += [
            Fault(row.event_seq, f"{noun.table.name} {row.id}", "its kept file is gone")
            for row in lost
        ]
    return found


def _check_head(connection: Connection, head: str) -> list[Fault]:
    there = connection.execute(
        sa.select(event.c.seq).where(event.c.hash.startswith(head.lower(), autoescape=True))
    ).first()
    if there is not None:
        return []
    return [
        Fault(
            None,
            f"head hash {head[:16]}",
            "is not in the chain: its end was cut off, or the document is of another notebook",
        )
    ]
