"""Values as their column keeps them on every database, or one sentence why that cannot be."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from zincite.errors import InputError
from zincite.notebook.schema import NOUNS

__all__ = ["check_texts", "fitted", "fitted_parts"]

_LARGEST = {"INTEGER": 2**31 - 1, "BIGINT": 2**63 - 1}


def check_texts(table: sa.Table, row: Mapping[str, Any]) -> None:
    """Refuse texts that not every database can keep: too long, or with characters that are none.

    Raises
    ------
    InputError
        Naming the column.
    """
    for name, value in row.items():
        if not isinstance(value, str):
            continue
        length = getattr(table.c[name].type, "length", None)
        if length is not None and len(value) > length:
            raise InputError(
                f"{table.name} {name} has {len(value)} characters, expected at most {length}"
            )
        if not _is_text(value):
            raise InputError(f"{table.name} {name} holds characters that are no text")


def _is_text(value: str) -> bool:
    if "\x00" in value:
        return False
    try:
        value.encode()  # fails at surrogates; a look at each character takes fifty times as long
    except UnicodeEncodeError:
        return False
    return True


def fitted(table: sa.Table, row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a row with numbers of the kind that its columns keep.

    One database would turn a number into a text, another refuse it: then a row would no longer
    be what its event says.

    Raises
    ------
    InputError
        Naming the column whose value it cannot keep, or that the table does not have.
    """
    unknown = [name for name in row if name not in table.c]
    if unknown:
        raise InputError(
            f"{table.name} has no {unknown[0]!r}, expected {', '.join(table.c.keys())}"
        )
    check_texts(table, row)
    return {name: _fitted(table.c[name], value) for name, value in row.items()}


def fitted_parts(
    noun: str, parts: Mapping[str, Sequence[Mapping[str, Any]]]
) -> dict[str, list[dict[str, Any]]]:
    """Return parts with their positions and all their columns, as they will be read back.

    Raises
    ------
    InputError
        As `fitted`, or for parts that the noun does not have.
    """
    tables = {table.name: table for table in NOUNS[noun].parts}
    unknown = parts.keys() - tables
    if unknown:
        raise InputError(f"{noun} has no parts {min(unknown)!r}, expected {', '.join(tables)}")
    found = {}
    for name, rows in parts.items():
        table = tables[name]
        columns = {c.name: None for c in table.c if c.name not in ("event_seq", f"{noun}_id")}
        numbered = [{**columns, "position": n, **row} for n, row in enumerate(rows)]
        if numbered:
            found[name] = [fitted(table, row) for row in numbered]
    return found


def _fitted(column: sa.Column[Any], value: Any) -> Any:
    if value is None and column.nullable:
        return None
    where = f"{column.table.name} {column.name}"
    if isinstance(column.type, sa.String):
        if not isinstance(value, str):
            raise InputError(f"{where} is {value!r}, expected a text")
        return str(value)
    number = _number(where, value)
    if isinstance(column.type, sa.Float):
        return number
    largest = _LARGEST["BIGINT" if isinstance(column.type, sa.BigInteger) else "INTEGER"]
    if number != int(number) or abs(int(value)) > largest:
        raise InputError(f"{where} is {value!r}, expected a whole number up to {largest}")
    return int(value)


def _number(where: str, value: Any) -> float:
    try:
        if isinstance(value, str | bytes):
            raise TypeError
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        raise InputError(f"{where} is {value!r}, expected a number") from None
    if not math.isfinite(number):
        raise InputError(f"{where} is not finite, expected a plain number")
    return number
