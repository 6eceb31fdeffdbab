"""Files that the notebook keeps byte for byte."""

from __future__ import annotations

from pathlib import Path

from zincite.errors import InputError
from zincite.notebook.results import RawFile

__all__ = ["MAX_KEPT_BYTES", "read_kept"]

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
