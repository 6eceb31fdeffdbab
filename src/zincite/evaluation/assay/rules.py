"""Limits and equations of test methods, with what is only remembered of them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from zincite.data.tables import read_rows
from zincite.errors import MissingDataError

__all__ = ["Limit", "formula_marks", "limit", "limit_marks"]

_LIMITS = ("assay/in_vitro_limits.csv", "assay/in_vivo_limits.csv")
_FORMULAS = ("assay/in_vitro_formulas.csv", "assay/in_vivo_formulas.csv")


@dataclass(frozen=True, slots=True)
class Limit:
    """One acceptance limit of a method.

    Attributes
    ----------
    method, quantity, unit, note : str
        As in the limits tables of data/assay; the note says in words what is limited.
    low, high : float
        Bounds, both inclusive; infinite where there is none.
    verified : bool
        Whether the figure was read in a source; else it is from memory.
    source : str
        Source key.
    """

    method: str
    quantity: str
    low: float
    high: float
    unit: str
    note: str
    verified: bool
    source: str

    def holds(self, value: float) -> bool:
        """Return whether a value lies within the bounds; rounding of a sum does not break it."""
        slack = 1e-9 * max(abs(value), 1.0)
        return self.low - slack <= value <= self.high + slack


@lru_cache(maxsize=1)
def _limits() -> dict[tuple[str, str], Limit]:
    return {
        (row["method"], row["quantity"]): Limit(
            row["method"],
            row["quantity"],
            float(row["low"]) if row["low"] else -math.inf,
            float(row["high"]) if row["high"] else math.inf,
            row["unit"],
            row["note"],
            row["confidence"] == "verified",
            row["source"],
        )
        for table in _LIMITS
        for row in read_rows(table)
    }


def limit(method: str, quantity: str) -> Limit:
    """Return one limit.

    Parameters
    ----------
    method : str
        Such as "ISO 24443:2021" or "ISO 24444".
    quantity : str
        Such as "c" or "half_width_percent".

    Raises
    ------
    MissingDataError
        If the method has no such limit.

    Examples
    --------
    >>> limit("ISO 24443:2021", "c").low, limit("ISO 24444", "half_width_percent").high
    (0.8, 17.0)
    """
    try:
        return _limits()[method, quantity]
    except KeyError:
        known = ", ".join(q for m, q in _limits() if m == method) or "nothing"
        raise MissingDataError(
            f"no limit {quantity!r} is held for {method!r}, which holds {known}"
        ) from None


def limit_marks(limits: Iterable[Limit]) -> tuple[str, ...]:
    """Return one line for each limit that is only remembered."""
    return tuple(f"{x.note} ({x.method}): from memory" for x in limits if not x.verified)


def formula_marks(method: str) -> tuple[str, ...]:
    """Return one line for each equation of a method that is only remembered.

    Parameters
    ----------
    method : str
        Such as "ISO 24443", "ISO 24444", "USA label" or "21 CFR 201.327(j)".
    """
    return tuple(
        f"{row['formula']} ({method}): from memory"
        for table in _FORMULAS
        for row in read_rows(table)
        if row["method"] == method and row["confidence"] != "verified"
    )
