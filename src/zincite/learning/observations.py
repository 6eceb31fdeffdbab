"""What a laboratory measured on formulas, in the form the learning model reads."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.errors import OutOfRangeError
from zincite.formula.formula import Formula

__all__ = ["KINDS", "Observation"]

KINDS: dict[str, str] = {
    "spf-in-vivo": "SPF of a panel (ISO 24444)",
    "uva-pf-in-vivo": "UVA-PF of a panel (ISO 24442)",
    "spf-in-vitro": "SPF on plates before any scaling (ISO 24443, SPF0)",
    "critical-wavelength": "critical wavelength on plates [nm]",
    "aggregate-fraction": "mass share of one grade in aggregates, from a size analysis",
}
"""Kinds of results and what they mean."""

_LARGEST = {"critical-wavelength": 400.0, "aggregate-fraction": 1.0}


@dataclass(frozen=True, slots=True)
class Observation:
    """One measured number.

    Attributes
    ----------
    formula : Formula
        The formula as made.
    kind : str
        One of `KINDS`.
    value : float
        Mean of the test, in the unit of the kind.
    standard_error : float
        Of that mean, in the same unit; 0 takes the kind's usual scatter.
    material : str
        The grade, for "aggregate-fraction".
    disperser : str
        Device or route that dispersed the pigment; grades are told apart by it.
    """

    formula: Formula
    kind: str
    value: float
    standard_error: float = 0.0
    material: str = ""
    disperser: str = ""

    def __post_init__(self) -> None:
        where = f"result {self.kind!r} of formula {self.formula.code!r}"
        if self.kind not in KINDS:
            raise OutOfRangeError(f"{where}: unknown kind, expected one of {', '.join(KINDS)}")
        low = {"critical-wavelength": 290.0, "aggregate-fraction": 0.0}.get(self.kind, 1.0)
        high = _LARGEST.get(self.kind, 500.0)
        if not (math.isfinite(self.value) and low < self.value < high):
            raise OutOfRangeError(
                f"{where}: value is {self.value}, expected above {low:g} to below {high:g}"
            )
        if not (math.isfinite(self.standard_error) and self.standard_error >= 0):
            raise OutOfRangeError(
                f"{where}: standard_error is {self.standard_error}, expected 0 or more"
            )
        if self.kind == "aggregate-fraction" and not self.material:
            raise OutOfRangeError(f"{where}: no material named, expected the id of a grade")
