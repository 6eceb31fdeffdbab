"""What predicted intervals were worth once the figure was measured."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from zincite.statistics.scoring import crps

__all__ = ["LEVEL", "geometric_mean", "interval_scores", "too_few_inside"]

Array = NDArray[np.float64]

LEVEL = 0.90
"""Probability that a prediction's interval promises."""
_Z = 1.6448536269514722  # standard normal quantile of 0.95
_QUANTILES = 199


def geometric_mean(ratios: Sequence[float]) -> float | None:
    """Return the geometric mean; none of figures that change their sign."""
    if not ratios or min(ratios) <= 0:
        return None
    return math.exp(math.fsum(math.log(ratio) for ratio in ratios) / len(ratios))


def too_few_inside(inside: int, count: int) -> bool:
    """Whether as few or fewer inside have a chance below 1 in 20 under the promise (binomial)."""
    if not count or inside >= LEVEL * count:
        return False
    if count > 1000:  # the sum below would be slow, and the normal limit is close
        spread = math.sqrt(count * LEVEL * (1 - LEVEL))
        return (LEVEL * count - inside) / spread > _Z
    chance = math.fsum(
        math.comb(count, k) * LEVEL**k * (1 - LEVEL) ** (count - k) for k in range(inside + 1)
    )
    return chance < 0.05


def interval_scores(rows: Sequence[Mapping[str, Any]]) -> list[float | None]:
    """Return the continuous ranked probability scores of predictions known by their intervals.

    Parameters
    ----------
    rows : sequence of mapping
        With "low", "median" and "high" of the prediction (90 %) and the measured "value".

    Returns
    -------
    list of float or None
        In the unit of the figure; None where there is no interval.
    """
    usable = [n for n, row in enumerate(rows) if row["low"] is not None and row["high"] is not None]
    found: list[float | None] = [None] * len(rows)
    if usable:
        low, median, high, measured = (
            np.array([rows[n][key] for n in usable], dtype=np.float64)
            for key in ("low", "median", "high", "value")
        )
        scores = crps(_draws(low, median, high), measured, form="empirical")
        for n, score in zip(usable, scores, strict=True):
            found[n] = float(score)
    return found


def _draws(low: Array, median: Array, high: Array) -> Array:
    """Return quantiles of distributions with these medians and 90 % intervals, shape (199, n)."""
    from scipy.special import ndtri

    z = ndtri((np.arange(_QUANTILES) + 0.5) / _QUANTILES)[:, None]
    logarithmic = (low > 0) & (median > 0) & (high > 0)
    a, b, c = (
        np.where(logarithmic, np.log(np.where(logarithmic, x, 1.0)), x) for x in (low, median, high)
    )
    drawn = b + z * np.where(z > 0, c - b, b - a) / _Z
    return np.asarray(np.where(logarithmic, np.exp(np.minimum(drawn, 700.0)), drawn))
