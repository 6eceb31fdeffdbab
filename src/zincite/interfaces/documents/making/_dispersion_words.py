"""Phrases that the sheets of dispersion share."""

from __future__ import annotations

import math

from zincite.evaluation.estimate import Estimate
from zincite.interfaces.documents.numbers import number_text, with_unit

__all__ = ["NO_FLOW", "range_text", "thick_text"]

NO_FLOW = "no flow"


def thick_text(viscosity: float, unit: str = "") -> str:
    """Return a viscosity with its unit; where it has no bound nothing flows."""
    return NO_FLOW if math.isinf(viscosity) else with_unit(number_text(viscosity), unit)


def range_text(found: Estimate, unit: str = "", *, digits: int = 3) -> str:
    """Return "20 to 67 %", marked where the range is that of assumed values."""
    ends = [
        NO_FLOW if math.isinf(end) else number_text(end, digits=digits)
        for end in (found.low, found.high)
    ]
    text = ends[0] if ends[0] == ends[1] else " to ".join(ends)
    shown = text if ends[1] == NO_FLOW and not unit else with_unit(text, unit)
    return f"{shown}, assumed" if found.assumed else shown
