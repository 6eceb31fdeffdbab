"""Writing a file whole: it appears under its name when it is finished, or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from zincite.errors import InputError

__all__ = ["fresh_file", "fresh_path"]


@contextlib.contextmanager
def fresh_file(path: Path, what: str, *, replace: bool = False) -> Iterator[BinaryIO]:
    """Give a file to write to; it takes its name at the end, if nothing went wrong.

    Parameters
    ----------
    path : Path
        Its name in the end.
    what : str
        What is written, for messages, such as "the archive".
    replace : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    InputError
        If it cannot be written, or is there and may not be replaced.
    """
    with fresh_path(path, what, replace=replace) as part, part.open("xb") as file:
        yield file


@contextlib.contextmanager
def fresh_path(path: Path, what: str, *, replace: bool = False) -> Iterator[Path]:
    """Give a free name beside a file; what is written there takes the file's name at the end.

    Parameters
    ----------
    path, what, replace
        As `fresh_file`.

    Raises
    ------
    InputError
        As `fresh_file`.
    """
    if path.is_dir():
        raise InputError(f"{path} is a folder, expected a file name for {what}")
    if path.exists() and not path.is_file():  # a device or pipe would be replaced, not written to
        raise InputError(f"{path} is no plain file, expected a file name for {what}")
    _refuse_there(path, what, replace)
    part = path.with_name(f".{path.name[:80]}.{secrets.token_hex(4)}.part")
    try:
        yield part
        _sync(part)
        _refuse_there(path, what, replace)
        part.replace(path)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None)
        if reason is None:
            raise
        raise InputError(
            f"{path}: {what} cannot be written ({reason}), expected a file name in a folder that "
            "exists, may be written to and has room"
        ) from None
    finally:
        with contextlib.suppress(OSError, ValueError):
            part.unlink()


def _sync(path: Path) -> None:
    """Have a file on the disk before it takes the place of another one."""
    with path.open("rb") as file:
        os.fsync(file.fileno())


def _refuse_there(path: Path, what: str, replace: bool) -> None:
    if not replace and path.exists():
        raise InputError(
            f"{path}: is there already, expected a new name for {what}, or --force to replace it"
        )
