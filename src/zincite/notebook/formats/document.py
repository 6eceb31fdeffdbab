"""One JSON document: the notebook, then each table as a list of objects, a row a line."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any, BinaryIO

from zincite.notebook.frames.reading import Rows

__all__ = ["write_document"]


def write_document(
    file: BinaryIO,
    about: Mapping[str, Any],
    tables: Iterable[Rows],
    done: Callable[[str, int], None],
) -> None:
    """Write the document.

    Parameters
    ----------
    file : binary file
    about : mapping
        Said under "notebook".
    tables : iterable of Rows
        Read one after the other.
    done : callable
        Told each table's name and number of rows.
    """
    file.write(b'{\n"notebook": ' + _text(about))
    for rows in tables:
        file.write(b",\n" + _text(rows.name) + b": [")
        count = 0
        for row in rows.values:
            count += 1
            file.write(b"\n " if count == 1 else b",\n ")
            file.write(_text(dict(zip(rows.columns, row, strict=True))))
        file.write(b"\n]" if count else b"]")
        done(rows.name, count)
    file.write(b"\n}\n")


def _text(value: Any) -> bytes:
    return json.dumps(value, ensure_ascii=False, allow_nan=False).encode()
