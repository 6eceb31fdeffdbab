"""Ranges of products of powers of assumed values."""

from __future__ import annotations

import math

from zincite.evaluation.estimate import Estimate
from zincite.sources import Sourced

__all__ = ["with_range"]


def with_range(
    best: float, unit: str, *parts: tuple[Sourced | Estimate, float], assumed: bool = True
) -> Estimate:
    """Return a value with the range that its factors give it.

    Parameters
    ----------
    best : float
        > 0. In `unit`.
    unit : str
    *parts : tuple of (Sourced or Estimate, float)
        A factor with its range, and the power with which it enters; a factor without a range or
        at 0 adds nothing.
    assumed : bool

    Notes
    -----
    Independent factors: logarithms of upper and of lower ratios add in quadrature.
    """
    up = down = 0.0
    for factor, power in parts:
        middle = factor.value if isinstance(factor, Sourced) else factor.median
        if factor.low is None or factor.high is None or min(middle, factor.low) <= 0:
            continue
        ends = sorted(
            (power * math.log(factor.low / middle), power * math.log(factor.high / middle))
        )
        down, up = math.hypot(down, min(ends[0], 0.0)), math.hypot(up, max(ends[1], 0.0))
    return Estimate(best, best * math.exp(-down), best * math.exp(up), unit, assumed)
