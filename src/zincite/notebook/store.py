"""Opening a notebook: an SQLite file or a PostgreSQL database, one transaction at a time."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine, make_url
from sqlalchemy.exc import SQLAlchemyError

from zincite.errors import DamagedError, NotebookError, ReadOnlyError
from zincite.notebook.engines import (
    any_text,
    is_damage,
    postgres_engine,
    said,
    shown,
    sqlite_engine,
    take_turn,
    unwritable,
)
from zincite.notebook.integrity import broken_end, check_file, check_owner
from zincite.notebook.migrating import migrate, schema_version
from zincite.notebook.schema import event
from zincite.notebook.writer import Writer

__all__ = ["Notebook", "open_notebook"]


class Notebook:
    """An open notebook.

    Attributes
    ----------
    name : str
        File or database as shown to people; never a password.
    engine : Engine
    read_only : str
        Why it is open for reading only, "" where it can be written. A full disk may have room
        again: writing is tried each time then.
    """

    def __init__(self, name: str, engine: Engine, read_only: str = "") -> None:
        self.name = name
        self.engine = engine
        self.read_only = read_only
        self._may_pass = False

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
            If the database fails, or cannot take what it is asked for.
        """
        try:
            with self.engine.connect() as connection:
                if not self.is_sqlite:
                    connection.execute(sa.text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ"))
                yield connection
        except SQLAlchemyError as error:
            raise self.failure(error) from error
        except UnicodeEncodeError:
            # such as a code that came from a terminal with another encoding
            raise NotebookError(
                f"{self.name}: what is asked for holds characters that are no text, expected a "
                "code or words"
            ) from None
        except OverflowError:
            raise NotebookError(
                f"{self.name}: a number that is asked for is larger than a database counts, "
                "expected a smaller one"
            ) from None

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
        if self.read_only and not self._may_pass:
            raise ReadOnlyError(f"{self.name} is open for reading only: {self.read_only}")
        try:
            with self.engine.connect() as plain:
                connection = plain.execution_options(zincite_write=True)
                with connection.begin():
                    take_turn(connection)
                    yield connection
        except SQLAlchemyError as error:
            reason = unwritable(error)
            if not reason:
                raise self.failure(error) from error
            self.read_only, self._may_pass = reason, True
            raise ReadOnlyError(
                f"{self.name}: nothing was written, {reason}; it stays readable"
            ) from error
        self.read_only = ""

    def head(self) -> tuple[int, str]:
        """Return number and hash of the last event, (0, "") while there is none."""
        with self.read() as connection:
            return self.head_in(connection)

    def head_in(self, connection: Connection) -> tuple[int, str]:
        """Return number and hash of the last event as a reader sees them."""
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

    def failure(self, error: SQLAlchemyError) -> NotebookError:
        """Return what went wrong with the database, as one sentence."""
        if is_damage(error):
            return DamagedError(
                f"{self.name} is damaged (the database says {said(error)!r}), expected a whole "
                "notebook: restore a backup with `zincite notebook restore`"
            )
        return NotebookError(
            f"{self.name}: the database says {said(error)!r}, expected it to answer"
        )


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
        If there is none, it is no notebook, or of a later version.
    DamagedError
        If the file is broken. Where only the end of its history is, it is open for reading.
    """
    text = str(where)
    return _open_server(text) if "://" in text else _open_file(Path(text), create)


def _open_file(path: Path, create: bool) -> Notebook:
    name = str(path)
    if path.is_dir():
        raise NotebookError(f"{name} is a folder, expected a notebook file")
    if path.exists():
        check_file(path)
    elif not create:
        raise NotebookError(
            f"{name}: there is no such notebook, expected a file made by "
            "`zincite notebook create` or `zincite demo`"
        )
    elif not path.parent.is_dir():
        raise NotebookError(f"{name}: its folder is not there, expected one that is")
    reason = _why_not_writable(path)
    if reason and not path.exists():
        raise ReadOnlyError(f"{name} cannot be made: {reason}, expected a folder with room")
    if not reason:
        notebook = Notebook(name, sqlite_engine(path, read_only=False))
        try:
            return _ready(notebook)
        except SQLAlchemyError as error:
            reason = unwritable(error)
            if not reason:
                raise notebook.failure(error) from error
    return _answering(Notebook(name, sqlite_engine(path, read_only=True), reason))


def _open_server(text: str) -> Notebook:
    try:
        url = make_url(text)
    except SQLAlchemyError:
        raise NotebookError("the notebook's URL cannot be read, expected one such as "
                            "postgresql://user@host/database") from None  # fmt: skip
    if url.get_backend_name() != "postgresql":
        raise NotebookError(
            f"{shown(url)}: {url.get_backend_name()} is not supported, expected a file or a "
            "postgresql:// URL"
        )
    return _answering(Notebook(shown(url), postgres_engine(url)))


def _answering(notebook: Notebook) -> Notebook:
    try:
        return _ready(notebook)
    except SQLAlchemyError as error:
        raise notebook.failure(error) from error


def _ready(notebook: Notebook) -> Notebook:
    """Look at a notebook and bring it to the present layout; close it where that fails."""
    try:
        _look_before(notebook)
        if notebook.read_only:
            schema_version(notebook.engine, notebook.name, migrated=True)
        else:
            migrate(notebook.engine, notebook.name)
        _look_after(notebook)
    except BaseException:
        notebook.close()
        raise
    return notebook


def _look_before(notebook: Notebook) -> None:
    if schema_version(notebook.engine, notebook.name) == "":
        return
    with notebook.engine.connect() as connection:
        if notebook.is_sqlite:
            check_owner(connection, notebook.name)
        elif connection.execute(sa.text("SHOW transaction_read_only")).scalar() == "on":
            notebook.read_only = "the database takes no writes"


def _look_after(notebook: Notebook) -> None:
    with notebook.engine.connect() as connection, any_text(connection):
        may_write = (
            notebook.is_sqlite
            or connection.execute(sa.text("SELECT has_table_privilege('event', 'INSERT')")).scalar()
        )
        broken = broken_end(connection)
    if not may_write:
        notebook.read_only = notebook.read_only or "its user may not write"
    if broken:
        notebook.read_only = (
            f"its history does not hold ({broken}): look with `zincite notebook verify`, then "
            "restore a backup"
        )


def _why_not_writable(path: Path) -> str:
    """Return why a file cannot be written, "" where it can; SQLite needs its folder too."""
    if path.exists() and not os.access(path, os.W_OK):
        return "the file may not be written"
    if not os.access(path.parent, os.W_OK):
        return "its folder may not be written"
    return ""
