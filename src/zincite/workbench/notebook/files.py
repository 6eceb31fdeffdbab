"""Files that the notebook keeps byte for byte."""

from __future__ import annotations

from pathlib import Path

from zincite.errors import InputError
from zincite.notebook.attachments import attached
from zincite.notebook.records import Record
from zincite.notebook.results import RawFile
from zincite.workbench.notebook.opening import Where, opened

__all__ = ["MAX_KEPT_BYTES", "read_kept", "save_kept"]

MAX_KEPT_BYTES = 100_000_000
"""Largest file that is kept; instruments export far less."""


def read_kept(path: str | Path) -> RawFile:
    """Return a file as it is.

    Raises
    ------
    InputError
        If it is not there, no ordinary file, too large or cannot be read.
    """
    where = Path(path)
    try:
        if not where.is_file():
            found = "is no ordinary file" if where.exists() else "no such file"
            raise InputError(f"{path}: {found}, expected a file to keep")
        size = where.stat().st_size
        if size > MAX_KEPT_BYTES:
            raise InputError(
                f"{path}: the file has {size / 1e6:.0f} MB, expected at most "
                f"{MAX_KEPT_BYTES / 1e6:.0f} MB"
            )
        return RawFile(where.name, where.read_bytes())
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(f"{path}: cannot be read ({reason}), expected a file to keep") from None


def save_kept(where: Where, record: Record, path: str | Path) -> None:
    """Write the kept file of a result or an attachment, byte for byte.

    Parameters
    ----------
    where : str, Path or Notebook
    record : Record
    path : str or Path
        A new file.

    Raises
    ------
    InputError
        If the record has no kept file, or the file is there already or cannot be written.
    """
    sha256 = getattr(record, "sha256", None)
    if sha256 is None:
        raise InputError(f"{record.called} has no kept file, expected a result or an attachment")
    with opened(where) as notebook, notebook.read() as connection:
        data = attached(connection, sha256)
    try:
        with open(path, "xb") as file:
            file.write(data)
    except FileExistsError:
        raise InputError(f"{path}: is there already, expected a new name") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(f"{path}: cannot be written ({reason}), expected a file name") from None
