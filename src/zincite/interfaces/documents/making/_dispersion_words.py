"""Phrases that the sheets of dispersion share."""

from __future__ import annotations

import math

from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.batch.record_holds import GRIND_HEGMAN, GRIND_UM
from zincite.interfaces.documents.numbers import number_text, with_unit

__all__ = ["GRIND", "NO_FLOW", "in_brackets", "range_text", "thick_text"]

NO_FLOW = "no flow"
GRIND = (
    f"Accept the mill base at Hegman {GRIND_HEGMAN:g} or finer ({GRIND_UM:.1f} um; common "
    "practice) and look at it in the microscope; a laser size curve gives the share left in "
    "aggregates (`zincite assay size`)."
)


def thick_text(viscosity: float, unit: str = "") -> str:
    """Return a viscosity with its unit; where it has no bound nothing flows."""
    return NO_FLOW if math.isinf(viscosity) else with_unit(number_text(viscosity), unit)


def range_text(found: Estimate, unit: str = "", *, digits: int = 3) -> str:
    """Return "20 to 67 %", marked where the range is that of assumed values; "" without one."""
    if found.low == found.high:
        return NO_FLOW if math.isinf(found.low) else ""
    low = with_unit(number_text(found.low, digits=digits), unit)
    if math.isinf(found.low):
        shown = NO_FLOW
    elif math.isinf(found.high):
        shown = f"{low} to {NO_FLOW}"
    else:
        high = with_unit(number_text(found.high, digits=digits), unit)
        shown = f"{number_text(found.low, digits=digits)} to {high}"
    return f"{shown}, assumed" if found.assumed else shown


def in_brackets(text: str) -> str:
    """Return " (text)", "" where there is none."""
    return f" ({text})" if text else ""
