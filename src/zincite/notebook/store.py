"""Opening a notebook: an SQLite file or a PostgreSQL database."""

from __future__ import annotations

import os
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import make_url
from sqlalchemy.exc import SQLAlchemyError

from zincite.errors import NotebookError, ReadOnlyError
from zincite.notebook.engines import any_text, postgres_engine, shown, sqlite_engine, unwritable
from zincite.notebook.handle import Notebook
from zincite.notebook.integrity import broken_end, check_file, check_owner
from zincite.notebook.migrating import migrate, schema_version

__all__ = ["Notebook", "open_notebook"]


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
            return _ready(notebook, path)
        except SQLAlchemyError as error:
            reason = unwritable(error)
            if not reason:
                raise notebook.failure(error) from error
    return _answering(Notebook(name, sqlite_engine(path, read_only=True), reason), path)


def _open_server(text: str) -> Notebook:
    try:
        url = make_url(text)
    except (SQLAlchemyError, ValueError):  # the latter where the port is no number
        raise NotebookError("the notebook's URL cannot be read, expected one such as "
                            "postgresql://user@host/database") from None  # fmt: skip
    if url.get_backend_name() != "postgresql":
        raise NotebookError(
            f"{shown(url)}: {url.get_backend_name()} is not supported, expected a file or a "
            "postgresql:// URL"
        )
    return _answering(Notebook(shown(url), postgres_engine(url)))


def _answering(notebook: Notebook, file: Path | None = None) -> Notebook:
    try:
        return _ready(notebook, file)
    except SQLAlchemyError as error:
        raise notebook.failure(error) from error


def _ready(notebook: Notebook, file: Path | None) -> Notebook:
    """Look at a notebook and bring it to the present layout; close it where that fails."""
    try:
        _look_before(notebook)
        if notebook.read_only:
            schema_version(notebook.engine, notebook.name, migrated=True)
        else:
            migrate(notebook.engine, notebook.name)
        _look_after(notebook)
        if file is not None:
            notebook.settle(file)
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
