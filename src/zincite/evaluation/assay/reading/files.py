"""Opening of instrument files: what they are, how large they may be, how messages name them."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import NoReturn

from zincite.errors import InputError

__all__ = [
    "MAX_TEXT_BYTES",
    "MAX_WORKBOOK_BYTES",
    "column_letters",
    "is_workbook",
    "read_bytes",
    "refuse",
    "shown",
]

MAX_TEXT_BYTES = 64 * 1024 * 1024
"""Largest text file that is read. [byte]"""

MAX_WORKBOOK_BYTES = 32 * 1024 * 1024
"""Largest workbook that is opened, as stored (zipped). [byte]"""

_ZIP = b"PK\x03\x04"
_COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_WORKBOOK_ENDINGS = {".xlsx", ".xlsm", ".xltx", ".xltm"}


def shown(value: object, length: int = 40) -> str:
    """Return a found value as a chemist would recognise it: quoted, on one line, cut short."""
    if isinstance(value, float):
        return f"{value:g}"
    if value is None:
        return "nothing"
    found = str(value)[: 4 * length]
    text = "".join(c if c.isprintable() else " " if c.isspace() else "\ufffd" for c in found)
    return f"'{text if len(text) <= length else text[: length - 3] + '...'}'"


def refuse(name: str, what: str, kind: type[InputError] = InputError) -> NoReturn:
    """Raise the one sentence that says what is wrong with a file.

    Raises
    ------
    InputError
        Always.
    """
    raise kind(f"{shown(name, 120)[1:-1]}: {what}")


def column_letters(column: int) -> str:
    """Return the letters of a spreadsheet column counted from 1.

    Examples
    --------
    >>> column_letters(28)
    'AB'
    """
    letters = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def read_bytes(path: str | Path) -> tuple[str, bytes]:
    """Return name and content of a file after its kind and size were checked.

    Parameters
    ----------
    path : str or Path
        File to read.

    Returns
    -------
    name : str
        File name without folders, as messages call it.
    content : bytes
        All bytes.

    Raises
    ------
    InputError
        If it is missing, not a plain file, unreadable, empty or larger than the limits.
    """
    path = Path(path)
    name = path.name or str(path)
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            refuse(name, "is a folder, expected a text file or an .xlsx workbook")
        if not stat.S_ISREG(status.st_mode):
            refuse(name, "is a device or a pipe, expected a text file or an .xlsx workbook")
        if status.st_size == 0:
            refuse(name, "is empty, expected a text file or an .xlsx workbook")
        with path.open("rb") as stream:
            head = stream.read(len(_COMPOUND))
            zipped = head.startswith(_ZIP)
            limit = MAX_WORKBOOK_BYTES if zipped else MAX_TEXT_BYTES
            if status.st_size > limit:
                refuse(
                    name,
                    f"holds {status.st_size / 2**20:.0f} MB, expected at most {limit >> 20} MB "
                    "(export fewer spectra or rows per file)",
                )
            # one byte beyond the limit shows a file that grew since its size was asked for
            content = head + stream.read(limit + 1 - len(head))
    except FileNotFoundError:
        refuse(name, "no such file, expected a text file or an .xlsx workbook")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is impossible"
        refuse(name, f"cannot be opened ({reason}), expected a file that may be read")
    if len(content) > limit:
        refuse(name, f"grew beyond {limit >> 20} MB while it was read, expected a finished file")
    _check_kind(name, path.suffix.lower(), head)
    return name, content


def is_workbook(content: bytes) -> bool:
    """Return whether the content is a zip archive, as workbooks are, whatever its name says."""
    return content.startswith(_ZIP)


def _check_kind(name: str, ending: str, head: bytes) -> None:
    if head.startswith(_COMPOUND):
        refuse(
            name,
            "is an old binary or a password-protected workbook, expected .xlsx without password "
            "or delimited text",
        )
    if ending in _WORKBOOK_ENDINGS and not head.startswith(_ZIP):
        refuse(
            name,
            f"is named {ending} but is no such workbook, expected the file as it was exported, "
            "under its own ending",
        )
