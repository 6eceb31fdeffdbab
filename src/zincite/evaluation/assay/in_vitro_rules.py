"""Limits and equations of the in-vitro methods, with what is only remembered of them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from zincite.data.photobiology import photobiology
from zincite.data.tables import read_rows
from zincite.errors import MissingDataError

__all__ = [
    "LAMPS",
    "InVitroLimit",
    "formula_marks",
    "lamp_labels",
    "lamp_marks",
    "limit",
    "limit_marks",
]

LAMPS = ("erythema", "simulator_W_m2_nm", "ppd", "uva_source_relative")
"""Spectra that an evaluation uses, as fields of `zincite.data.photobiology.Photobiology`."""

_LIMITS, _FORMULAS = "assay/in_vitro_limits.csv", "assay/in_vitro_formulas.csv"


@dataclass(frozen=True, slots=True)
class InVitroLimit:
    """One acceptance limit of a method.

    Attributes
    ----------
    method, quantity, unit, note : str
        Method with edition, quantity and unit as in data/assay/in_vitro_limits.csv.
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
        """Return whether a value lies within the bounds."""
        return self.low <= value <= self.high


@lru_cache(maxsize=1)
def _limits() -> dict[tuple[str, str], InVitroLimit]:
    found = {}
    for row in read_rows(_LIMITS):
        low = float(row["low"]) if row["low"] else -math.inf
        high = float(row["high"]) if row["high"] else math.inf
        key = (row["method"], row["quantity"])
        found[key] = InVitroLimit(
            *key,
            low,
            high,
            row["unit"],
            row["note"],
            row["confidence"] == "verified",
            row["source"],
        )
    return found


def limit(method: str, quantity: str) -> InVitroLimit:
    """Return one limit.

    Raises
    ------
    MissingDataError
        If the method has no such limit.

    Examples
    --------
    >>> limit("ISO 24443:2021", "c").low, limit("ISO 24443:2021", "c").high
    (0.8, 1.6)
    """
    try:
        return _limits()[method, quantity]
    except KeyError:
        known = ", ".join(f"{m} {q}" for m, q in _limits())
        raise MissingDataError(
            f"no limit {quantity!r} is held for {method}, expected one of {known}"
        ) from None


def limit_marks(limits: Iterable[InVitroLimit]) -> tuple[str, ...]:
    """Return one line for each limit that is only remembered."""
    return tuple(f"{x.note} ({x.method}): from memory" for x in limits if not x.verified)


def formula_marks(method: str) -> tuple[str, ...]:
    """Return one line for each equation of a method that is only remembered.

    Parameters
    ----------
    method : str
        "ISO 24443" or "21 CFR 201.327(j)".
    """
    return tuple(
        f"{row['formula']} ({method}): from memory"
        for row in read_rows(_FORMULAS)
        if row["method"] == method and row["confidence"] != "verified"
    )


def lamp_labels(columns: Iterable[str]) -> tuple[dict[str, str], ...]:
    """Return label, status and note of the spectra that an evaluation used, to print beside it.

    Parameters
    ----------
    columns : iterable of str
        Fields of `zincite.data.photobiology.Photobiology`.
    """
    info = photobiology().info
    return tuple(
        {"label": x.label, "status": x.status.value, "note": x.note}
        for x in (info[column] for column in columns)
    )


def lamp_marks(columns: Iterable[str]) -> tuple[str, ...]:
    """Return one line for each spectrum that is an assumption."""
    return tuple(
        f"{x['label']}: assumed ({x['note']})"
        for x in lamp_labels(columns)
        if x["status"] == "assumed"
    )
