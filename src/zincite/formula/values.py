"""Checked reading of single TOML values: numbers, texts, lists and sourced values."""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from typing import Any, NoReturn

from zincite.errors import OutOfRangeError
from zincite.formula.documents import Place, nearest
from zincite.sources import Evidence, Sourced

__all__ = [
    "OWN_FILE",
    "check_keys",
    "evidence_of",
    "number",
    "numbers",
    "optional_number",
    "optional_text",
    "sourced",
    "tables",
    "text",
    "texts",
    "truth",
]

OWN_FILE = "own file"
"""Source of a plain number in a user's file."""

_COMMA_NUMBER = re.compile(r"\s*([+-]?\d+),(\d+)\s*%?\s*")
_SOURCED_KEYS = ("value", "low", "high", "evidence", "source")


def _shown(value: object) -> str:
    """Return a found value as a chemist would recognise it, cut to a readable length."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"the text {_cut(repr(value))}"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return _cut(str(value))


def _cut(shown: str) -> str:
    return shown if len(shown) <= 60 else shown[:57] + "..."


def check_keys(table: dict[str, Any], known: Collection[str], place: Place) -> None:
    """Refuse keys that the format does not have, naming the nearest that it has.

    Raises
    ------
    InputError
        If the table holds an unknown key.
    """
    for key in table:
        if key in known:
            continue
        close = nearest(key, known, count=1) or nearest(key.lower(), known, count=1)
        hint = f"expected {close[0]!r}?" if close else f"expected one of {', '.join(sorted(known))}"
        place.fail(f"unknown key {_cut(repr(key))}, {hint}", key=key)


def _range_words(low: float, high: float) -> str:
    if math.isinf(low) and math.isinf(high):
        return "a number"
    if math.isinf(high):
        return f"a number of {low:g} or more"
    return f"a number from {low:g} to {high:g}"


def number(
    value: object, key: str, place: Place, low: float = -math.inf, high: float = math.inf
) -> float:
    """Return a value as a finite number within a range.

    Raises
    ------
    OutOfRangeError
        If it is text, true or false, NaN, infinite or outside the range.
    """
    expected = _range_words(low, high)

    def refuse(found: str) -> NoReturn:
        place.fail(f"{key} is {found}, expected {expected}", key=key, kind=OutOfRangeError)

    if isinstance(value, str):
        comma = _COMMA_NUMBER.fullmatch(value)
        if comma:
            refuse(
                f"the text {_cut(repr(value))} with a decimal comma (write {comma[1]}.{comma[2]} "
                "without quotes)"
            )
    if isinstance(value, bool) or not isinstance(value, int | float):
        refuse(_shown(value))
    try:
        found = float(value)
    except OverflowError:
        refuse("a number too large to hold")
    if math.isnan(found):
        refuse("not a number (nan)")
    if not low <= found <= high:
        refuse(f"{found:g}")
    if math.isinf(found):
        refuse(f"{found:g}")
    return found


def optional_number(
    table: dict[str, Any], key: str, place: Place, low: float = -math.inf, high: float = math.inf
) -> float | None:
    """Return a table's number, or None where the key is absent."""
    return number(table[key], key, place, low, high) if key in table else None


def numbers(
    value: object, key: str, place: Place, low: float = -math.inf, high: float = math.inf
) -> tuple[float, ...]:
    """Return a list of numbers, at most 10 000 of them.

    Raises
    ------
    InputError
        If it is no list, or too long, or one entry is not such a number.
    """
    if not isinstance(value, list):
        place.fail(f"{key} is {_shown(value)}, expected a list of numbers", key=key)
    if len(value) > 10_000:
        place.fail(f"{key} has {len(value)} entries, expected at most 10000", key=key)
    return tuple(number(item, key, place, low, high) for item in value)


def text(value: object, key: str, place: Place) -> str:
    """Return a value as non-empty text of at most 2000 characters.

    Raises
    ------
    InputError
        If it is not such a text.
    """
    if not isinstance(value, str) or not value.strip():
        found = "empty" if isinstance(value, str) else _shown(value)
        place.fail(f"{key} is {found}, expected a text in quotes", key=key)
    if len(value) > 2000:
        place.fail(f"{key} has {len(value)} characters, expected at most 2000", key=key)
    return value.strip()


def optional_text(table: dict[str, Any], key: str, place: Place, default: str = "") -> str:
    """Return a table's text, or the default where the key is absent or empty."""
    if key not in table or table[key] == "":
        return default
    return text(table[key], key, place)


def texts(value: object, key: str, place: Place) -> tuple[str, ...]:
    """Return a list of texts.

    Raises
    ------
    InputError
        If it is no list of texts.
    """
    if not isinstance(value, list):
        place.fail(f"{key} is {_shown(value)}, expected a list of texts", key=key)
    return tuple(text(item, key, place) for item in value)


def truth(value: object, key: str, place: Place) -> bool:
    """Return true or false.

    Raises
    ------
    InputError
        If it is anything else.
    """
    if not isinstance(value, bool):
        place.fail(f"{key} is {_shown(value)}, expected true or false", key=key)
    return value


def tables(value: object, key: str, place: Place) -> list[dict[str, Any]]:
    """Return a list of tables.

    Raises
    ------
    InputError
        If it is no list of tables.
    """
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        place.fail(f"{key} is {_shown(value)}, expected [[{key}]] tables", key=key)
    return value


def sourced(
    value: object,
    key: str,
    place: Place,
    unit: str,
    low: float = -math.inf,
    high: float = math.inf,
) -> Sourced:
    """Return a plain number or `{ value, low, high, evidence, source }` as a sourced value.

    A plain number is the user's own data sheet: evidence "data sheet", source "own file".

    Raises
    ------
    InputError
        If a key is unknown, a number is impossible or the evidence word is not one of `Evidence`.
    """
    if not isinstance(value, dict):
        best = number(value, key, place, low, high)
        return Sourced(best, unit, Evidence.DATA_SHEET, OWN_FILE)
    inner = place.inside(key)
    check_keys(value, _SOURCED_KEYS, inner)
    if "value" not in value:
        inner.fail("has no value, expected { value = number, evidence = ..., source = ... }")
    bounds = [optional_number(value, side, inner, low, high) for side in ("low", "high")]
    best = number(value["value"], "value", inner, low, high)
    if bounds[0] is not None and bounds[1] is not None and bounds[0] > bounds[1]:
        inner.fail(f"low = {bounds[0]:g} is above high = {bounds[1]:g}, expected low <= high")
    if (bounds[0] is not None and best < bounds[0]) or (bounds[1] is not None and best > bounds[1]):
        inner.fail(f"value = {best:g} lies outside low to high, expected it within")
    return Sourced(
        best,
        unit,
        evidence_of(value, inner),
        optional_text(value, "source", inner, OWN_FILE),
        *bounds,
    )


def evidence_of(table: dict[str, Any], place: Place, key: str = "evidence") -> Evidence:
    """Return a table's evidence word, "data sheet" where it has none.

    Raises
    ------
    InputError
        If it is not one of `Evidence`.
    """
    word = optional_text(table, key, place, Evidence.DATA_SHEET.value)
    try:
        return Evidence(word)
    except ValueError:
        words = ", ".join(e.value for e in Evidence)
        place.fail(f"{key} is {_cut(repr(word))}, expected one of {words}", key=key)
