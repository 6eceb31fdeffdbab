"""Starting values for heat and plant: specific heats by class, and habits of the plant."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from zincite.data.tables import read_rows
from zincite.errors import MissingDataError
from zincite.sources import Evidence, Sourced

__all__ = ["plant_default", "specific_heats"]


def _sourced(row: Mapping[str, str], unit: str) -> Sourced:
    known = row["status"] == "literature"
    return Sourced(
        float(row["value"]),
        unit,
        Evidence.LITERATURE if known else Evidence.ASSUMED,
        row.get("source") or row["status"],
        float(row["low"]),
        float(row["high"]),
    )


@lru_cache(maxsize=1)
def specific_heats() -> Mapping[str, Sourced]:
    """Return the specific heat of each class of materials. [kJ/kg/K]

    A class is a card's id, "core " and a powder's core, a function, "phase " and a usual phase,
    or "coating".
    """
    return MappingProxyType(
        {row["class"]: _sourced(row, "kJ/kg/K") for row in read_rows("making/specific_heats.csv")}
    )


@lru_cache(maxsize=1)
def _plant() -> Mapping[str, dict[str, str]]:
    return MappingProxyType({row["key"]: row for row in read_rows("making/plant_defaults.csv")})


def _row(key: str) -> dict[str, str]:
    if key not in _plant():
        raise MissingDataError(f"no plant default {key!r}, expected one of {', '.join(_plant())}")
    return _plant()[key]


def plant_default(key: str) -> Sourced:
    """Return a starting value of the plant, always assumed.

    Raises
    ------
    MissingDataError
        If there is none of this key.
    """
    row = _row(key)
    return _sourced(row, "" if row["unit"] == "-" else row["unit"])
