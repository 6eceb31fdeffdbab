"""Bytes of a text file to lines, whichever encoding and line ends an instrument wrote."""

from __future__ import annotations

import re

from zincite.evaluation.assay.reading.files import refuse

__all__ = ["MAX_LINES", "decode", "lines_of"]

MAX_LINES = 300_000
"""Most lines of a text file; wavelengths times blocks of many spectra."""


_BOMS = (
    (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"),
    (b"\xff\xfe", "utf-16", "UTF-16 LE"),
    (b"\xfe\xff", "utf-16", "UTF-16 BE"),
)
_LINE_END = re.compile(r"\r\n|\r|\n")
_JUNK = re.compile(r"[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f\ufffd]")
_MAX_JUNK = 0.01
"""Share of control characters above which a file is not text; true exports hold none."""


def decode(name: str, content: bytes) -> tuple[str, str]:
    """Return text and the encoding's name.

    UTF-8 with or without mark, UTF-16 with mark, otherwise Latin-1, which maps each byte.

    Parameters
    ----------
    name : str
        File name for messages.
    content : bytes
        All bytes of the file.

    Raises
    ------
    InputError
        If the bytes are not text.
    """
    for mark, codec, encoding in _BOMS:
        if content.startswith(mark):
            try:
                return _checked(name, content.decode(codec)), encoding
            except UnicodeDecodeError as error:
                refuse(
                    name,
                    f"starts as {encoding} but byte {error.start} breaks it, "
                    "expected a whole text file",
                )
    if b"\x00" in content:
        refuse(name, "holds zero bytes, expected text (UTF-8, Latin-1, or UTF-16 with its mark)")
    try:
        return _checked(name, content.decode("utf-8")), "UTF-8"
    except UnicodeDecodeError:
        return _checked(name, content.decode("latin-1")), "Latin-1"


def _checked(name: str, text: str) -> str:
    if not text.strip():
        refuse(name, "holds only blank space, expected a table")
    junk = sum(1 for _ in _JUNK.finditer(text))
    if "\x00" in text or junk > _MAX_JUNK * len(text):
        refuse(name, f"holds {junk} control characters, expected text or an .xlsx workbook")
    return text


def lines_of(name: str, text: str) -> list[str]:
    """Return the lines between LF, CRLF or CR.

    Raises
    ------
    InputError
        If there are more than `MAX_LINES`; they are counted before they are split.
    """
    ends = max(text.count("\n"), text.count("\r"))
    if ends > MAX_LINES:
        refuse(name, f"holds {ends} lines, expected at most {MAX_LINES} in one file")
    return _LINE_END.split(text)
