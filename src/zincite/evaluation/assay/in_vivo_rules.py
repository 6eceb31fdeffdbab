"""Limits, equations and reference sunscreens of the tests on people, read or remembered."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from zincite.data.tables import read_rows
from zincite.errors import MissingDataError

__all__ = [
    "InVivoLimit",
    "ReferenceSunscreen",
    "in_vivo_formula_marks",
    "in_vivo_limit",
    "in_vivo_limit_marks",
    "reference_sunscreen",
    "reference_sunscreens",
]


@dataclass(frozen=True, slots=True)
class InVivoLimit:
    """One acceptance limit of a method on people.

    Attributes
    ----------
    method, quantity, unit, note : str
        As in data/assay/in_vivo_limits.csv; the note says in words what is limited.
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


@dataclass(frozen=True, slots=True)
class ReferenceSunscreen:
    """A reference sunscreen of ISO 24444 with its mean SPF and acceptance range."""

    name: str
    mean: float
    low: float
    high: float
    verified: bool
    source: str


@lru_cache(maxsize=1)
def _limits() -> dict[tuple[str, str], InVivoLimit]:
    return {
        (row["method"], row["quantity"]): InVivoLimit(
            row["method"],
            row["quantity"],
            float(row["low"]) if row["low"] else -math.inf,
            float(row["high"]) if row["high"] else math.inf,
            row["unit"],
            row["note"],
            row["confidence"] == "verified",
            row["source"],
        )
        for row in read_rows("assay/in_vivo_limits.csv")
    }


def in_vivo_limit(method: str, quantity: str) -> InVivoLimit:
    """Return one limit.

    Parameters
    ----------
    method : str
        Such as "ISO 24444".
    quantity : str
        Such as "half_width_percent".

    Raises
    ------
    MissingDataError
        If the method has no such limit.

    Examples
    --------
    >>> in_vivo_limit("ISO 24444", "half_width_percent").high
    17.0
    """
    try:
        return _limits()[method, quantity]
    except KeyError:
        known = ", ".join(q for m, q in _limits() if m == method) or "nothing"
        raise MissingDataError(
            f"no limit {quantity!r} is held for {method!r}, which holds {known}"
        ) from None


def in_vivo_limit_marks(limits: Iterable[InVivoLimit]) -> tuple[str, ...]:
    """Return one line for each limit that is only remembered."""
    return tuple(f"{x.note} ({x.method}): from memory" for x in limits if not x.verified)


def in_vivo_formula_marks(method: str) -> tuple[str, ...]:
    """Return one line for each equation of a method that is only remembered.

    Parameters
    ----------
    method : str
        Such as "ISO 24444", "USA label" or "ISO 6504-3".
    """
    return tuple(
        f"{row['formula']} ({method}): from memory"
        for row in read_rows("assay/in_vivo_formulas.csv")
        if row["method"] == method and row["confidence"] != "verified"
    )


@lru_cache(maxsize=1)
def reference_sunscreens() -> tuple[ReferenceSunscreen, ...]:
    """Return the reference sunscreens of ISO 24444."""
    return tuple(
        ReferenceSunscreen(
            row["name"],
            float(row["mean"]),
            float(row["low"]),
            float(row["high"]),
            row["confidence"] == "verified",
            row["source"],
        )
        for row in read_rows("assay/in_vivo_reference_sunscreens.csv")
    )


def reference_sunscreen(name: str) -> ReferenceSunscreen:
    """Return a reference sunscreen by name, such as "P2".

    Raises
    ------
    MissingDataError
        If there is none of that name.
    """
    wanted = name.strip().upper()
    for item in reference_sunscreens():
        if item.name == wanted:
            return item
    known = ", ".join(item.name for item in reference_sunscreens())
    raise MissingDataError(f"reference sunscreen {name!r} is not known, expected one of {known}")
