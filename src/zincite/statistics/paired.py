"""Paired differences: the same subject or spot before and after."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.statistics.intervals import mean_interval

__all__ = ["PairedDifference", "paired_difference"]


@dataclass(frozen=True, slots=True)
class PairedDifference:
    """Mean change of pairs with its t interval.

    Attributes
    ----------
    mean, sd : float
        Of the changes, in the unit of the values.
    n : int
        Number of pairs.
    low, high : float
        Bounds of the mean change.
    confidence : float
        Two-sided.
    p : float
        Probability of a mean change this large if there were none (two-sided t test).
    differences : ndarray, shape (n,)
        After less before.
    """

    mean: float
    sd: float
    n: int
    low: float
    high: float
    confidence: float
    p: float
    differences: NDArray[np.float64]


def paired_difference(
    before: ArrayLike, after: ArrayLike, confidence: float = 0.95
) -> PairedDifference:
    """Return the mean of after less before with its t interval.

    Parameters
    ----------
    before, after : array_like, shape (n,)
        Values of the same n subjects or spots in the same order, n at least 2.
    confidence : float
        Two-sided, between 0 and 1.

    Returns
    -------
    PairedDifference

    Raises
    ------
    OutOfRangeError
        If the lengths differ, there are fewer than 2 pairs or a value is not finite.

    Examples
    --------
    >>> found = paired_difference([10.0, 20.0, 30.0], [11.0, 22.0, 33.0])
    >>> f"{found.mean:.1f} {found.sd:.1f} {found.p:.3f}"
    '2.0 1.0 0.074'
    """
    first, second = np.asarray(before, dtype=np.float64), np.asarray(after, dtype=np.float64)
    if first.ndim != 1 or first.shape != second.shape:
        raise OutOfRangeError(
            f"values before have shape {first.shape} and after {second.shape}, "
            "expected one of each for every pair"
        )
    changes = second - first
    found = mean_interval(changes, confidence)
    return PairedDifference(
        found.mean,
        found.sd,
        found.n,
        found.low,
        found.high,
        confidence,
        _two_sided_p(found.mean, found.sd, found.n),
        changes,
    )


def _two_sided_p(mean: float, sd: float, n: int) -> float:
    if sd == 0:  # every pair changed alike: certain, or no change at all
        return 1.0 if mean == 0 else 0.0
    from scipy.special import stdtr

    return float(2.0 * stdtr(n - 1, -abs(mean) / (sd / math.sqrt(n))))
