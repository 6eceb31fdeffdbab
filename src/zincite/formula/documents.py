"""Hand-written TOML files: safe opening, and places that an error message can point at.

A chemist edits these files by hand, so every complaint names the file, the line where it can be
found, and the card, phase or ingredient. `tomllib` forgets lines; they are looked up again in the
text, and only once something is wrong.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NoReturn

from zincite.errors import InputError

__all__ = ["MAX_FILE_BYTES", "Document", "Place", "nearest", "parse_document", "read_document"]

MAX_FILE_BYTES = 5_000_000
"""Largest file that is read; hand-written formulas and card collections are far smaller."""

_MAX_NAME = 120
_DECIMAL_COMMA = re.compile(r"=\s*-?\d+,\d+\s*(#.*)?$")
_POSITION = re.compile(r"\(at line (\d+), column (\d+)\)")


def nearest(wanted: str, known: Iterable[str], *, count: int = 3) -> tuple[str, ...]:
    """Return the known names most like the wanted one, best first."""
    return tuple(difflib.get_close_matches(wanted, list(known), n=count, cutoff=0.6))


@dataclass(frozen=True, slots=True)
class Document:
    """A parsed TOML file with its text.

    Attributes
    ----------
    name : str
        The path as the user gave it.
    text : str
        The file's text, for line numbers.
    data : dict
        What `tomllib` read.
    path : Path or None
        Where it lies, for paths relative to it.
    """

    name: str
    text: str
    data: dict[str, Any]
    path: Path | None = None

    def header_line(self, header: str, number: int) -> int | None:
        """Return the line of the number-th (from 0) `[header]` or `[[header]]`, if it is there."""
        pattern = re.compile(r"\s*\[\[?\s*" + re.escape(header) + r"\s*\]\]?\s*(#.*)?$")
        for index, line in enumerate(self.text.splitlines(), start=1):
            if pattern.match(line):
                if number == 0:
                    return index
                number -= 1
        return None

    def key_line(self, key: str, start: int | None) -> int | None:
        """Return the line that sets a key, searched from a table's header to the next header."""
        pattern = re.compile(r"\s*[\"']?" + re.escape(key) + r"[\"']?\s*=")
        for index, line in enumerate(self.text.splitlines(), start=1):
            if index <= (start or 0):
                continue
            if line.lstrip().startswith("["):
                return start
            if pattern.match(line):
                return index
        return start

    def top(self) -> Place:
        """Return the place of the whole file."""
        return Place(self)


@dataclass(frozen=True, slots=True)
class Place:
    """A spot in a document that an error message names.

    Attributes
    ----------
    document : Document
        The file.
    parts : tuple of str
        From the outside in, such as ("phase 'A'", "ingredient 'water'").
    header : tuple of (str, int) or None
        TOML header and its number in the file, from which a line is found.
    """

    document: Document
    parts: tuple[str, ...] = ()
    header: tuple[str, int] | None = None

    def inside(self, part: str) -> Place:
        """Return a place within this one; a name too long to read is cut."""
        shown = part if len(part) <= _MAX_NAME else part[: _MAX_NAME - 3] + "..."
        return replace(self, parts=(*self.parts, shown))

    def at(self, header: str, number: int) -> Place:
        """Return the same place with the number-th `[[header]]` of the file as its line."""
        return replace(self, header=(header, number))

    def describe(self, key: str | None = None) -> str:
        """Return the place in words: file, line where found, then the parts."""
        line = self.document.header_line(*self.header) if self.header else None
        if key is not None and (line is not None or self.header is None):
            line = self.document.key_line(key, line)
        spot = self.document.name + (f", line {line}" if line is not None else "")
        return f"{spot}: {', '.join(self.parts)}" if self.parts else spot

    def fail(
        self, message: str, *, key: str | None = None, kind: type[InputError] = InputError
    ) -> NoReturn:
        """Raise an error that begins with this place.

        Raises
        ------
        InputError
            Always, of class `kind`.
        """
        raise kind(" ".join(f"{self.describe(key)}: {message}".splitlines()))


def _read_bytes(path: Path, name: str, what: str) -> bytes:
    try:
        if path.is_dir():
            raise InputError(f"{name}: is a folder, expected {what} (a TOML file)")
        if not path.exists():
            raise InputError(f"{name}: no such file, expected {what} (a TOML file)")
        if not path.is_file():
            raise InputError(f"{name}: is not an ordinary file, expected {what} (a TOML file)")
        size = path.stat().st_size
        if size > MAX_FILE_BYTES:
            raise InputError(
                f"{name}: the file has {size / 1e6:.1f} MB, expected at most "
                f"{MAX_FILE_BYTES / 1e6:.0f} MB"
            )
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(f"{name}: cannot be read ({reason}), expected {what}") from None


def _decode(raw: bytes, name: str) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"{name}, line {line}: byte 0x{raw[error.start]:02x} is not UTF-8 text, "
            "expected a file saved as UTF-8"
        ) from None


def _syntax_error(name: str, text: str, error: tomllib.TOMLDecodeError) -> InputError:
    message = str(error)
    found = _POSITION.search(message)
    lines = text.splitlines()
    line = int(found[1]) if found else max(len(lines), 1)
    spot = f"{name}, line {line}" + (f", column {found[2]}" if found else "")
    reason = message.split(" (at ")[0].rstrip(".")
    shown = lines[line - 1] if line <= len(lines) else ""
    if _DECIMAL_COMMA.search(shown):
        reason = "a decimal comma, write numbers with a decimal point"
    elif reason:
        reason = reason[0].lower() + reason[1:]
    return InputError(f"{spot}: not valid TOML ({reason}), expected lines such as key = value")


def read_document(path: str | Path, what: str = "a formula") -> Document:
    """Return a TOML file's content.

    Parameters
    ----------
    path : str or Path
        The file, UTF-8 with or without byte-order mark, at most `MAX_FILE_BYTES`.
    what : str
        What the caller expects, for the message.

    Returns
    -------
    Document

    Raises
    ------
    InputError
        If the file is missing, a folder, too large, not UTF-8 or not valid TOML.
    """
    name = str(path)
    where = Path(path)
    text = _decode(_read_bytes(where, name, what), name)
    return parse_document(text, name, where)


def parse_document(text: str, name: str, path: Path | None = None) -> Document:
    """Return TOML text's content; see `read_document`.

    Raises
    ------
    InputError
        If the text is not valid TOML.
    """
    text = text.replace("\r\n", "\n")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(name, text, error) from None
    except (RecursionError, ValueError, OverflowError):
        raise InputError(
            f"{name}: nested too deeply or holds a number too long to read, expected plain TOML"
        ) from None
    return Document(name, text, data, path)
