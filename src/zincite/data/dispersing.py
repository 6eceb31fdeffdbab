"""Defaults of dispersing where neither a card nor the chemist gives a value: all assumed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from zincite.data.tables import read_rows
from zincite.errors import MissingDataError
from zincite.sources import Evidence, Sourced

__all__ = ["dispersing_default", "oil_absorption_default_g_100g"]


@lru_cache(maxsize=1)
def _rows() -> Mapping[str, Mapping[str, str]]:
    return MappingProxyType({row["key"]: row for row in read_rows("making/dispersing.csv")})


def dispersing_default(key: str) -> Sourced:
    """Return a default with its range; the key ends in its unit.

    Raises
    ------
    MissingDataError
        If there is none of this key.
    """
    if key not in _rows():
        raise MissingDataError(
            f"no dispersing default {key!r}, expected one of {', '.join(_rows())}"
        )
    row = _rows()[key]
    low, high = (float(row[end]) if row[end] else None for end in ("low", "high"))
    return Sourced(float(row["value"]), "", Evidence.ASSUMED, row["basis"], low, high)


def oil_absorption_default_g_100g(core: str | None, median_nm: float | None) -> Sourced:
    """Return the oil absorption of a powder whose card has none. [g/100 g]

    Parameters
    ----------
    core : str or None
        Core material, None for a filler.
    median_nm : float or None
        Median diameter of its primary particles, None where not known. [nm]
    """
    fine = median_nm is not None and median_nm < dispersing_default("fine_below_nm").value
    kind = "fine" if fine else core or "other"
    key = f"oil_absorption_{kind}_g_100g"
    return dispersing_default(key if key in _rows() else "oil_absorption_other_g_100g")
