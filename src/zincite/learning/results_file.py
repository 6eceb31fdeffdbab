"""The file in which a laboratory lists its results for learning.

```toml
[laboratory]
name = "Applications lab"

[[result]]
formula = "fluid.toml"          # relative to this file
kind = "spf-in-vivo"            # see `observations.KINDS`
value = 31.4
standard_error = 2.1            # optional
disperser = "bead mill"         # optional; else the formula's last process device
material = "zinc-oxide-100-silane"   # for aggregate-fraction
```
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from zincite.errors import InputError, OutOfRangeError
from zincite.formula.documents import read_document
from zincite.formula.formula import Formula
from zincite.formula.reading import load_formula
from zincite.learning.observations import KINDS, Observation

__all__ = ["LabResults", "load_results"]

_KEYS = ("formula", "kind", "value", "standard_error", "disperser", "material")
_MOST_RESULTS = 2000

LabResults = tuple[str, tuple[Observation, ...]]


def load_results(path: str | Path, *, cards: str | Path | None = None) -> LabResults:
    """Return the laboratory's name and its results.

    Parameters
    ----------
    path : str or Path
    cards : str or Path, optional
        File or folder of the laboratory's own cards.

    Returns
    -------
    str, tuple of Observation

    Raises
    ------
    InputError
        If the file or one of its formulas cannot be read, or a result is impossible.
    """
    source = Path(path)
    content = read_document(source, "a list of results").data
    head = content.get("laboratory", {})
    rows = content.get("result", [])
    if not isinstance(head, dict) or not isinstance(rows, list) or not rows:
        raise InputError(f"{source}: no [[result]] found, expected at least one")
    if len(rows) > _MOST_RESULTS:
        raise InputError(f"{source}: {len(rows)} results, expected at most {_MOST_RESULTS}")
    formulas: dict[str, Formula] = {}
    found = tuple(
        _observation(row, f"{source}: [[result]] {number}", source.parent, formulas, cards)
        for number, row in enumerate(rows, start=1)
    )
    return str(head.get("name", "")), found


def _observation(
    row: object,
    where: str,
    folder: Path,
    formulas: dict[str, Formula],
    cards: str | Path | None,
) -> Observation:
    if not isinstance(row, dict):
        raise InputError(f"{where}: expected a table")
    unknown = [key for key in row if key not in _KEYS]
    if unknown:
        raise InputError(f"{where}: unknown key {unknown[0]!r}, expected {', '.join(_KEYS)}")
    for key in ("formula", "kind", "value"):
        if key not in row:
            raise InputError(f"{where}: no {key}, expected one of each in {', '.join(_KEYS[:3])}")
    name = _text(row, "formula", where)
    if name not in formulas:
        formulas[name] = load_formula(folder / name, cards=cards)
    formula = formulas[name]
    device = formula.process[-1].device if formula.process else ""
    kind = _text(row, "kind", where)
    if kind not in KINDS:
        raise InputError(f"{where}: kind is {kind!r}, expected one of {', '.join(KINDS)}")
    try:
        return Observation(
            formula,
            kind,
            _number(row, "value", where),
            _number(row, "standard_error", where) if "standard_error" in row else 0.0,
            _text(row, "material", where) if "material" in row else "",
            _text(row, "disperser", where) if "disperser" in row else device,
        )
    except OutOfRangeError as error:
        raise InputError(f"{where}: {error}") from error


def _text(row: dict[str, Any], key: str, where: str) -> str:
    value = row[key]
    if not isinstance(value, str) or not value:
        raise InputError(f"{where}: {key} is {value!r}, expected text")
    return value


def _number(row: dict[str, Any], key: str, where: str) -> float:
    value = row[key]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"{where}: {key} is {value!r}, expected a number")
    return float(value)
