"""A quick look at a notebook when it is opened: cheap, so that it can be taken every time.

It finds a file of something else, a file that was cut off, and a broken end of the chain.
`verify` looks at everything.
"""

from __future__ import annotations

import time
from pathlib import Path

from sqlalchemy.engine import Connection

from zincite.errors import DamagedError, NotebookError
from zincite.notebook.chain import GENESIS, event_hash
from zincite.notebook.engines import log_of
from zincite.notebook.schema import event

__all__ = ["APPLICATION_ID", "broken_end", "check_file", "check_owner"]

APPLICATION_ID = 0x7A696E63
"""What an SQLite file says it is: bytes 68 to 71 of its header."""

_MAGIC = b"SQLite format 3\x00"
_LAST = 50
_TRIES = 3


def check_file(path: Path) -> None:
    """Look at the header of a file.

    Raises
    ------
    NotebookError
        If it cannot be read, or is no SQLite file.
    DamagedError
        If it is shorter than it says.
    """
    for left in reversed(range(_TRIES)):
        pages, size = _pages(path)
        if size >= 0 and pages <= size:
            return
        if left:
            time.sleep(0.05)  # somebody may be merging the write-ahead log at this moment
    raise DamagedError(
        f"{path} is damaged: it has {size} of the {pages} pages that it says, so its end was cut "
        "off, expected a whole file: restore a backup with `zincite notebook restore`"
    )


def _pages(path: Path) -> tuple[int, int]:
    """Return pages as the header says and as the file has; (0, 0) where that is not known."""
    log = log_of(path)
    try:
        pending = log.exists() and log.stat().st_size > 0
        with path.open("rb") as file:
            head = file.read(100)
            size = file.seek(0, 2)
    except OSError as error:
        raise NotebookError(
            f"{path}: cannot be read ({error.strerror}), expected a notebook file"
        ) from None
    if pending:  # the log holds what the file lacks: a power cut may have torn any page
        return 0, 0
    if head and head[:16] != _MAGIC:
        raise NotebookError(f"{path} is not a notebook, expected a file made by zincite")
    if len(head) < 100:
        return 0, 0
    page = int.from_bytes(head[16:18], "big")
    found = size // (65536 if page == 1 else page or 1)
    owner = int.from_bytes(head[68:72], "big")
    # a file whose making was interrupted has one page and says nothing yet
    if owner != APPLICATION_ID and (owner or found > 1):
        raise _foreign(str(path), owner)
    # a header whose two counters differ does not keep the count of pages
    return (int.from_bytes(head[28:32], "big"), found) if head[24:28] == head[92:96] else (0, 0)


def _foreign(name: str, owner: object) -> NotebookError:
    return NotebookError(
        f"{name} is a file of another program (application {owner}), expected a notebook"
    )


def check_owner(connection: Connection, name: str) -> None:
    """Refuse an SQLite file that holds tables of another program.

    Raises
    ------
    NotebookError
        If it is another program's.
    """
    found = connection.exec_driver_sql("PRAGMA application_id").scalar()
    if found != APPLICATION_ID:
        raise _foreign(name, found)


def broken_end(connection: Connection) -> str:
    """Return what is wrong with the last events of the chain, "" where they hold."""
    rows = connection.execute(event.select().order_by(event.c.seq.desc()).limit(_LAST)).all()
    after = None
    for row in rows:
        where = f"event {row.seq} ({row.noun} {row.subject})"
        if not isinstance(row.seq, int):
            return f"{where} has no number"
        if after is not None and (after.prev != row.hash or after.seq != row.seq + 1):
            return f"event {after.seq} does not follow {where}"
        try:
            made = event_hash(row.prev, row.seq, *tuple(row)[3:])
        except (TypeError, ValueError):
            made = ""
        if made != row.hash:
            return f"{where} was changed after it was written"
        after = row
    if after is not None and len(rows) < _LAST and (after.seq, after.prev) != (1, GENESIS):
        return f"the events before event {after.seq} are gone"
    return ""
