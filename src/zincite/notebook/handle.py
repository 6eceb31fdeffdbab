"""An open notebook: reading one state of it, writing one transaction at a time."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.exc import SQLAlchemyError

from zincite.errors import DamagedError, NotebookError, ReadOnlyError
from zincite.notebook.engines import is_damage, said, take_turn, unwritable
from zincite.notebook.schema import event
from zincite.notebook.writer import Writer

__all__ = ["Notebook"]


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
        self._file: Path | None = None
        self._identity: tuple[int, int] = (0, 0)

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
        self._check_place()
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
        self._check_place()
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

    def settle(self, file: Path) -> None:
        """Remember which file it is: under its name there may be another one later."""
        self._file = file.resolve()
        self._identity = _identity(self._file)

    def _check_place(self) -> None:
        """Refuse to go on with a file that nobody finds any more: its writes would be lost."""
        if self._file is not None and _identity(self._file) != self._identity:
            raise NotebookError(
                f"{self.name}: its file was moved, replaced or deleted since it was opened, "
                "expected it in its place: open the notebook again"
            )

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


def _identity(file: Path) -> tuple[int, int]:
    try:
        found = file.stat()
    except OSError:
        return (0, 0)
    return (found.st_dev, found.st_ino)
