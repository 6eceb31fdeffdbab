"""Opening a notebook: an SQLite file or a PostgreSQL database, one transaction at a time."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import URL, Connection, Engine, make_url
from sqlalchemy.exc import DBAPIError, OperationalError, SQLAlchemyError

from zincite.errors import NotebookError, ReadOnlyError
from zincite.notebook.migrating import migrate, schema_version
from zincite.notebook.schema import event
from zincite.notebook.writer import Writer

__all__ = ["Notebook", "open_notebook"]

_LOCK = 0x7A696E63  # a number of our own for PostgreSQL's advisory lock
_BUSY_S = 60.0


class Notebook:
    """An open notebook.

    Attributes
    ----------
    name : str
        File or database as shown to people; never a password.
    engine : Engine
    read_only : str
        Why it is open for reading only, "" where it can be written.
    """

    def __init__(self, name: str, engine: Engine, read_only: str = "") -> None:
        self.name = name
        self.engine = engine
        self.read_only = read_only

    @property
    def is_sqlite(self) -> bool:
        """Whether it is a file."""
        return self.engine.dialect.name == "sqlite"

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """Give a connection whose reads see one state of the notebook.

        Raises
        ------
        NotebookError
            If the database fails.
        """
        try:
            with self.engine.connect() as connection:
                if not self.is_sqlite:
                    connection.execute(sa.text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ"))
                yield connection
        except SQLAlchemyError as error:
            raise NotebookError(self._sentence(error)) from error

    @contextmanager
    def write(self, who: str) -> Iterator[Writer]:
        """Give a writer; all it writes is kept at the end, or nothing of it.

        Parameters
        ----------
        who : str
            Name that the events carry; a `Login` in a notebook with accounts.

        Raises
        ------
        ReadOnlyError
            If the notebook cannot be written, or the disk is full.
        NotAllowedError
            If a login is needed, or the role of the account does not include what is written.
        NotebookError
            If the database fails.
        """
        if not who.strip():
            raise NotebookError(f"{self.name}: nobody is named as writer, expected a name")
        with self.transaction() as connection:
            writer = Writer(connection, who)
            yield writer
            writer.finish()

    @contextmanager
    def transaction(self) -> Iterator[Connection]:
        """Give a connection that holds the write lock, for what stands outside the chain.

        Passwords, sessions and failed logins; everything else is written by `write`.

        Raises
        ------
        ReadOnlyError, NotebookError
            As `write`.
        """
        if self.read_only:
            raise ReadOnlyError(f"{self.name} is open for reading only: {self.read_only}")
        try:
            with self.engine.connect() as plain:
                connection = plain.execution_options(zincite_write=True)
                with connection.begin():
                    if not self.is_sqlite:
                        connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_LOCK)))
                    yield connection
        except SQLAlchemyError as error:
            reason = _unwritable(error)
            if reason:
                self.read_only = reason
                raise ReadOnlyError(
                    f"{self.name}: nothing was written, {reason}; it stays readable"
                ) from error
            raise NotebookError(self._sentence(error)) from error

    def head(self) -> tuple[int, str]:
        """Return number and hash of the last event, (0, "") while there is none."""
        with self.read() as connection:
            row = connection.execute(
                sa.select(event.c.seq, event.c.hash).order_by(event.c.seq.desc()).limit(1)
            ).first()
        return (0, "") if row is None else (int(row.seq), str(row.hash))

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()

    def __enter__(self) -> Notebook:
        return self

    def __exit__(self, *exception: object) -> None:
        self.close()

    def _sentence(self, error: Exception) -> str:
        cause = error.orig if isinstance(error, DBAPIError) and error.orig else error
        said = " ".join(str(cause).split())[:300]
        return f"{self.name}: the database says {said!r}, expected it to answer"


def open_notebook(where: str | Path, *, create: bool = False) -> Notebook:
    """Open a notebook.

    Parameters
    ----------
    where : str or Path
        A file, or a URL such as "postgresql://user@host/lab".
    create : bool
        Whether a file that is not there is made; a database must exist, its tables are made.

    Returns
    -------
    Notebook
        Brought to the present layout; for reading only where it cannot be written.

    Raises
    ------
    NotebookError
        If there is none, it is no notebook, it is damaged or of a later version.
    """
    text = str(where)
    return _open_server(text) if "://" in text else _open_file(Path(text), create)


def _open_file(path: Path, create: bool) -> Notebook:
    name = str(path)
    if not path.exists():
        if not create:
            raise NotebookError(
                f"{name}: there is no such notebook, expected a file made by "
                "`zincite notebook create` or `zincite demo`"
            )
        if not path.parent.is_dir():
            raise NotebookError(f"{name}: its folder is not there, expected one that is")
    elif path.is_dir():
        raise NotebookError(f"{name} is a folder, expected a notebook file")
    else:
        _check_header(path)
    read_only = _why_not_writable(path)
    engine = _sqlite_engine(path, bool(read_only))
    return _ready(Notebook(name, engine, read_only))


def _open_server(text: str) -> Notebook:
    try:
        url = make_url(text)
    except SQLAlchemyError:
        raise NotebookError("the notebook's URL cannot be read, expected one such as "
                            "postgresql://user@host/database") from None  # fmt: skip
    if url.get_backend_name() != "postgresql":
        raise NotebookError(
            f"{_shown(url)}: {url.get_backend_name()} is not supported, expected a file or a "
            "postgresql:// URL"
        )
    try:
        engine = sa.create_engine(url.set(drivername="postgresql+psycopg"), pool_pre_ping=True)
    except ModuleNotFoundError:
        raise NotebookError(
            f"{_shown(url)}: the PostgreSQL driver is not installed, expected the extra: "
            "pip install 'zincite[postgres]'"
        ) from None
    return _ready(Notebook(_shown(url), engine))


def _shown(url: URL) -> str:
    return url.render_as_string(hide_password=True)


def _ready(notebook: Notebook) -> Notebook:
    try:
        with notebook.engine.connect() as connection:
            if (
                not notebook.is_sqlite
                and connection.execute(sa.text("SHOW transaction_read_only")).scalar() == "on"
            ):
                notebook.read_only = "the database takes no writes"
        if notebook.read_only:
            schema_version(notebook.engine, notebook.name, migrated=True)
        else:
            migrate(notebook.engine, notebook.name)
    except OperationalError as error:
        notebook.close()
        raise NotebookError(notebook._sentence(error)) from error
    except SQLAlchemyError as error:
        notebook.close()
        raise NotebookError(
            f"{notebook.name} is damaged or no notebook ({' '.join(str(error).split())[:200]}), "
            "expected a notebook; restore a backup"
        ) from error
    except BaseException:
        notebook.close()
        raise
    return notebook


def _check_header(path: Path) -> None:
    try:
        with path.open("rb") as file:
            head = file.read(16)
    except OSError as error:
        raise NotebookError(
            f"{path}: cannot be read ({error.strerror}), expected a notebook file"
        ) from None
    if head and head != b"SQLite format 3\x00":
        raise NotebookError(f"{path} is not a notebook, expected a file made by zincite")


def _why_not_writable(path: Path) -> str:
    """Return why a file cannot be written, "" where it can; SQLite needs its folder too."""
    if path.exists() and not os.access(path, os.W_OK):
        return "the file may not be written"
    if not os.access(path.parent, os.W_OK):
        return "its folder may not be written"
    return ""


def _sqlite_engine(path: Path, read_only: bool) -> Engine:
    mode = "ro" if read_only else "rwc"
    quoted = path.resolve().as_uri()
    # a write-ahead log that cannot be made is not looked for in a folder that is not writable
    extra = "&immutable=1" if read_only and not os.access(path.parent, os.W_OK) else ""

    def connect() -> sqlite3.Connection:
        made = sqlite3.connect(
            f"{quoted}?mode={mode}{extra}",
            uri=True,
            timeout=_BUSY_S,
            isolation_level=None,
            check_same_thread=False,
        )
        made.execute("PRAGMA foreign_keys=ON")
        if not read_only:
            made.execute("PRAGMA journal_mode=WAL")
            # FULL: an acknowledged write survives a power cut, not only a killed process
            made.execute("PRAGMA synchronous=FULL")
        return made

    engine = sa.create_engine("sqlite://", creator=connect, poolclass=sa.pool.QueuePool)

    @sa.event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # writers queue at the start instead of failing at the end
        writing = connection.get_execution_options().get("zincite_write")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def _unwritable(error: SQLAlchemyError) -> str:
    cause: Any = error.orig if isinstance(error, DBAPIError) else None
    said = str(cause).lower()
    if "disk is full" in said or "could not extend file" in said or "no space left" in said:
        return "the disk is full"
    if "readonly database" in said or "read-only transaction" in said:
        return "the database may not be written"
    return ""
