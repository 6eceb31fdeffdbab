"""A copy of a notebook's file while others write it, and a notebook made of such a copy again."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from zincite.errors import DamagedError, InputError, NotebookError
from zincite.notebook.engines import log_of, said, sqlite_reader, still_reader
from zincite.notebook.fresh_files import fresh_path
from zincite.notebook.integrity import check_file
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import Verification, verify

__all__ = ["Copied", "back_up", "restore_backup"]

Progress = Callable[[int, int], None]
_PAGES = 1000
_ZIP = b"PK\x03\x04"


@dataclass(frozen=True, slots=True)
class Copied:
    """A copy of a notebook, verified after it was written.

    Attributes
    ----------
    source, target : str
    events : int
    head_hash : str
        Of the last event, "" in an empty notebook.
    bytes : int
        Size of the file.
    """

    source: str
    target: str
    events: int
    head_hash: str
    bytes: int

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "source": self.source,
            "target": self.target,
            "events": self.events,
            "head_hash": self.head_hash,
            "bytes": self.bytes,
        }


def back_up(
    notebook: Notebook,
    target: str | Path,
    *,
    replace: bool = False,
    progress: Progress | None = None,
) -> Copied:
    """Copy a notebook's file, as it is at one moment, while others may write it; then verify.

    Parameters
    ----------
    notebook : Notebook
        In an SQLite file.
    target : str or Path
    replace : bool
        Whether a file that is there may be replaced.
    progress : callable, optional
        Gets pages copied and all pages, then rows verified and all rows.

    Raises
    ------
    NotebookError
        If it is a database server's, or the copy does not hold.
    InputError
        If the target cannot be written, or is there.
    """
    if not notebook.is_sqlite:
        raise NotebookError(
            f"{notebook.name} is a PostgreSQL database, expected a file: copy it with `zincite "
            "notebook archive`, or with the server's own pg_dump"
        )
    source, path = Path(notebook.name), Path(target)
    if path.exists() and source.exists() and os.path.samefile(source, path):
        raise InputError(f"{path} is the notebook itself, expected another name for the backup")
    _refuse_open(path)
    with fresh_path(path, "the backup", replace=replace) as part:
        with notebook.read() as connection:
            head = notebook.head_in(connection)  # from here on the reader sees this one state
            driver = connection.connection.driver_connection
            assert isinstance(driver, sqlite3.Connection)
            _copy(driver, part, path, progress)
        with contextlib.suppress(OSError):
            shutil.copymode(source, part)
        found = _held(part, notebook.name, progress)
        if (found.events, found.head) != head:
            raise NotebookError(
                f"{path}: the copy ends at event {found.events}, expected event {head[0]}; nothing "
                "was kept"
            )
    return Copied(notebook.name, str(path), found.events, found.head, path.stat().st_size)


def restore_backup(
    backup: str | Path, target: str | Path, *, progress: Progress | None = None
) -> Copied:
    """Make a notebook of a backup; the backup itself is only read.

    Parameters
    ----------
    backup : str or Path
        A file that `back_up` wrote, or any notebook's file that nobody writes.
    target : str or Path
        A new name: a notebook that is there is never replaced.
    progress : callable, optional
        As `back_up`.

    Raises
    ------
    NotebookError
        If there is no backup, or it does not hold.
    InputError
        If the target cannot be written, or is there.
    """
    source, path = Path(backup), Path(target)
    if "://" in str(target):
        raise InputError(
            f"{target}: a backup becomes a file, expected a file name; into PostgreSQL goes an "
            "archive: `zincite notebook restore-archive`"
        )
    _check_backup(source)
    if path.exists():
        raise InputError(
            f"{path} is there already, expected a new name: a notebook is never replaced, move it "
            "away first if it is damaged"
        )
    _refuse_open(path)
    with fresh_path(path, "the notebook") as part:
        try:
            reader = sqlite_reader if log_of(source).exists() else still_reader
            with contextlib.closing(reader(source)) as driver:
                _copy(driver, part, path, progress)
        except sqlite3.Error as error:
            raise DamagedError(
                f"{source} cannot be read (the database says {said(error)!r}), expected a backup"
            ) from None
        found = _held(part, str(source), progress)
    return Copied(str(source), str(path), found.events, found.head, path.stat().st_size)


def _check_backup(source: Path) -> None:
    if not source.is_file():
        raise NotebookError(f"{source}: there is no such backup, expected a file")
    with source.open("rb") as file:
        if file.read(4) == _ZIP:
            raise NotebookError(
                f"{source} is an archive, expected a backup: archives are restored by `zincite "
                "notebook restore-archive`"
            )
    check_file(source)


def _refuse_open(path: Path) -> None:
    """Refuse a name beside which a write-ahead log lies: SQLite would merge it into the copy."""
    log = log_of(path)
    if log.exists() and log.stat().st_size:
        raise InputError(
            f"{log} is there, so {path} is open or was not closed, expected another name"
        )


def _copy(source: sqlite3.Connection, part: Path, path: Path, progress: Progress | None) -> None:
    def told(status: int, left: int, total: int) -> None:
        del status
        if progress is not None:
            progress(total - left, total)

    part.open("xb").close()  # says in plain words where no file can be made
    try:
        with contextlib.closing(sqlite3.connect(part, isolation_level=None)) as made:
            source.backup(made, pages=_PAGES, progress=told, sleep=0.01)
    except sqlite3.Error as error:
        raise NotebookError(
            f"{path}: the copy stopped (the database says {said(error)!r}); nothing was kept, "
            "expected room on the disk and a notebook that can be read"
        ) from None


def _held(part: Path, source: str, progress: Progress | None) -> Verification:
    """Verify the copy, with the log that opening it made merged again."""
    with open_notebook(part) as copy:
        found = verify(copy, progress=progress)
    if not found.holds:
        raise DamagedError(
            f"{source} does not hold: {found.faults[0].sentence}; nothing was copied, see `zincite "
            "notebook verify`"
        )
    return found
