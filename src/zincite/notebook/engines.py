"""Connections to SQLite and PostgreSQL, set so that an acknowledged write stays written."""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import URL, Connection, Engine, make_url
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from zincite.errors import NotebookError

__all__ = [
    "any_text",
    "is_damage",
    "log_of",
    "postgres_engine",
    "said",
    "shown",
    "sqlite_engine",
    "sqlite_reader",
    "still_reader",
    "take_turn",
    "unwritable",
]

# Ctrl-C closes connections under open cursors; what the library then logs is nobody's concern
# unless the program that uses us listens
logging.getLogger("sqlalchemy").addHandler(logging.NullHandler())

_LOCK = 0x7A696E63  # a number of our own for PostgreSQL's advisory lock
BUSY_S = 60.0
_FULL = "the disk is full"
_REFUSED = "the database may not be written"
_SQLITE_REASONS = {
    "SQLITE_FULL": _FULL,
    "SQLITE_IOERR_SHMSIZE": _FULL,  # no room for the index of the write-ahead log
    "SQLITE_IOERR_WRITE": "the disk takes no writes",
    "SQLITE_READONLY": _REFUSED,
    "SQLITE_READONLY_DBMOVED": "its file was moved or deleted since it was opened",
}
_POSTGRES_REASONS = {
    "53100": _FULL,
    "25006": "the database takes no writes",
    "42501": "its user may not write",
}
_READ_ONLY = ("mode=ro", "mode=ro&readonly_shm=1")


def log_of(path: Path) -> Path:
    """Return SQLite's write-ahead log, which holds what is not merged into the file yet."""
    return path.with_name(path.name + "-wal")


def sqlite_engine(path: Path, *, read_only: bool) -> Engine:
    """Return connections to a file.

    Parameters
    ----------
    path : Path
    read_only : bool
        Whether nothing is written, not even beside the file.
    """

    def connect() -> sqlite3.Connection:
        made = sqlite_reader(path) if read_only else _connect(path, "mode=rwc")
        made.execute("PRAGMA foreign_keys=ON")
        if not read_only:
            made.execute("PRAGMA journal_mode=WAL")
            # FULL: an acknowledged write survives a power cut, not only a killed process
            made.execute("PRAGMA synchronous=FULL")
        return made

    # a reader looks anew each time whether somebody else writes by now
    many: dict[str, Any] = {"poolclass": sa.pool.NullPool}
    if not read_only:
        many = {"poolclass": sa.pool.QueuePool, "max_overflow": 40, "pool_timeout": BUSY_S}
    engine = sa.create_engine("sqlite://", creator=connect, **many)

    @sa.event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # writers queue at the start instead of failing at the end
        writing = connection.get_execution_options().get("zincite_write")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def _connect(path: Path, how: str) -> sqlite3.Connection:
    return sqlite3.connect(
        f"{path.resolve().as_uri()}?{how}",
        uri=True,
        timeout=BUSY_S,
        isolation_level=None,
        check_same_thread=False,
    )


def sqlite_reader(path: Path) -> sqlite3.Connection:
    """Connect without writing; what stands in the write-ahead log is seen or nothing is."""
    failed: sqlite3.Error | None = None
    for how in _READ_ONLY:
        made = _connect(path, how)
        try:
            made.execute("SELECT count(*) FROM sqlite_master").fetchone()
            return made
        except sqlite3.Error as error:
            made.close()
            failed = failed or error
    log = log_of(path)
    if log.exists() and log.stat().st_size:
        raise sqlite3.OperationalError(
            f"{log.name} holds writes that can only be read where the folder can be written; "
            f"copy {path.name} and {log.name} together into such a folder"
        ) from failed
    return still_reader(path)


def still_reader(path: Path) -> sqlite3.Connection:
    """Connect to a file that nobody writes and that has no log; nothing is made beside it."""
    return _connect(path, "mode=ro&immutable=1")


def postgres_engine(url: URL) -> Engine:
    """Return connections to a PostgreSQL database.

    Raises
    ------
    NotebookError
        If the driver is not installed.
    """
    wait = {} if "connect_timeout" in url.query else {"connect_timeout": 10}
    try:
        return sa.create_engine(
            url.set(drivername="postgresql+psycopg"),
            pool_pre_ping=True,
            pool_timeout=BUSY_S,
            connect_args=wait,
        )
    except ModuleNotFoundError:
        raise NotebookError(
            f"{shown(url)}: the PostgreSQL driver is not installed, expected the extra: "
            "pip install 'zincite[postgres]'"
        ) from None


def shown(url: URL | str) -> str:
    """Return a URL without its password."""
    return make_url(url).render_as_string(hide_password=True)


def take_turn(connection: Connection) -> None:
    """Wait until nobody else writes; SQLite has done so at the beginning of the transaction."""
    if connection.dialect.name == "sqlite":
        return
    # whatever the server's defaults are: the end of the chain is read after waiting, and an
    # answer means that the write is on the disk
    connection.execute(sa.text("SET TRANSACTION ISOLATION LEVEL READ COMMITTED"))
    connection.execute(
        sa.text(
            "SELECT set_config('synchronous_commit', 'on', true) "
            "WHERE current_setting('synchronous_commit') = 'off'"
        )
    )
    connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_LOCK)))


@contextmanager
def any_text(connection: Connection) -> Iterator[None]:
    """Read texts that are none as well: anything may have come into a file past the notebook."""
    if connection.dialect.name != "sqlite":
        yield
        return
    driver = connection.connection.driver_connection
    assert driver is not None
    before = driver.text_factory
    driver.text_factory = lambda data: str(data, "utf-8", "surrogateescape")
    try:
        yield
    finally:
        driver.text_factory = before


def unwritable(error: SQLAlchemyError) -> str:
    """Return why a database takes no writes, "" where the error is of another kind."""
    cause: Any = error.orig if isinstance(error, DBAPIError) else None
    state = getattr(cause, "sqlstate", None)
    if state is not None or not isinstance(cause, sqlite3.Error):
        reason = _POSTGRES_REASONS.get(state or "", "")
        return _FULL if "could not extend file" in str(cause) else reason
    name = getattr(cause, "sqlite_errorname", "") or ""
    found = _SQLITE_REASONS.get(name, "")
    return found or (_REFUSED if name.startswith("SQLITE_READONLY") else "")


def is_damage(error: SQLAlchemyError) -> bool:
    """Return whether the file itself is broken."""
    cause: Any = error.orig if isinstance(error, DBAPIError) else None
    name = str(getattr(cause, "sqlite_errorname", "") or "")
    broken_text = str(cause).startswith("Could not decode to UTF-8")
    return name.startswith("SQLITE_CORRUPT") or name == "SQLITE_NOTADB" or broken_text


def said(error: Exception) -> str:
    """Return what a database says, in one line."""
    cause = error.orig if isinstance(error, DBAPIError) and error.orig else error
    if getattr(cause, "sqlite_errorname", "") == "SQLITE_BUSY":
        return f"somebody else has been writing for {BUSY_S:.0f} s"
    return " ".join(str(cause).split())[:300]
