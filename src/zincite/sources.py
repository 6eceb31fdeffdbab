"""A value with its unit, range, evidence and source, so that no number travels without them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from zincite.errors import OutOfRangeError

__all__ = ["Evidence", "Sourced"]


class Evidence(StrEnum):
    """How a value is known, from the strongest to the weakest."""

    MEASURED = "measured"
    DATA_SHEET = "data sheet"
    LITERATURE = "literature"
    CALCULATED = "calculated"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Sourced:
    """A number as known: best value, range, unit, evidence and source key.

    Attributes
    ----------
    value : float
        Best value, in `unit`.
    unit : str
        Unit as printed; "" for a pure number.
    evidence : Evidence
        How the value is known.
    source : str
        Key of a source, or a short statement such as "from memory".
    low, high : float or None
        Range in which the value is believed to lie, where one is stated.
    """

    value: float
    unit: str = ""
    evidence: Evidence = Evidence.ASSUMED
    source: str = ""
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise OutOfRangeError(f"value is {self.value}, expected a finite number")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise OutOfRangeError(f"range {self.low} to {self.high} runs backwards")

    @property
    def is_assumed(self) -> bool:
        """Whether the value is an assumption and must look different where it is shown."""
        return self.evidence is Evidence.ASSUMED
