"""Reading of briefs: a file of its own or the `[brief]` table of a formula file."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any

from zincite.errors import OutOfRangeError
from zincite.formula.brief import Brief
from zincite.formula.documents import Place, read_document
from zincite.formula.values import check_keys, number, text, texts, truth

__all__ = ["load_brief", "read_brief"]

_RESERVED = ("search",)
"""Tables of a brief file that other rooms read."""


def load_brief(path: str | Path) -> Brief:
    """Return the brief of a TOML file.

    Parameters
    ----------
    path : str or Path
        File with the keys of `Brief`, either at its top or in a `[brief]` table. A `[search]`
        table beside it is left to the search.

    Returns
    -------
    Brief

    Raises
    ------
    InputError
        If the file cannot be read, a key is unknown or a value impossible.
    """
    document = read_document(path, "a brief")
    place = document.top()
    table = {key: value for key, value in document.data.items() if key not in _RESERVED}
    if isinstance(table.get("brief"), dict):
        check_keys(table, ("brief",), place)
        table = table["brief"]
        place = place.inside("[brief]").at("brief", 0)
    return read_brief(table, place)


def read_brief(table: dict[str, Any], place: Place) -> Brief:
    """Return the brief of a table; see `load_brief`.

    Raises
    ------
    InputError
        If a key is unknown or a value impossible.
    """
    known = {field.name: field for field in fields(Brief)}
    check_keys(table, tuple(known), place)
    values: dict[str, Any] = {}
    for key, value in table.items():
        kind = str(known[key].type)
        if kind.startswith("float"):
            values[key] = number(value, key, place)
        elif kind.startswith("tuple"):
            values[key] = texts(value, key, place)
        elif kind == "bool":
            values[key] = truth(value, key, place)
        else:
            values[key] = text(value, key, place)
    try:
        return Brief(**values)
    except OutOfRangeError as error:
        place.fail(str(error), kind=OutOfRangeError)
