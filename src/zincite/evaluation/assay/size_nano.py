"""The nano decision of a measured size distribution, where it may decide at all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.formula.ingredient_list import nano_decision
from zincite.formula.material import Grade

__all__ = ["NanoFinding", "find_nano"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class NanoFinding:
    """The nano decision of a measurement.

    Attributes
    ----------
    verdict : str
        "nano", "not nano", "border" (40 to 60 % by number) or "undecided".
    number_fraction_below_100nm, low, high : float or None
        Best value; range by 10 % in size, widened by the 95 % counting interval where single
        particles were counted. None by intensity. [-]
    reason : str
    """

    verdict: str
    number_fraction_below_100nm: float | None
    low: float | None
    high: float | None
    reason: str


def _counting_interval(fraction: float, count: int) -> tuple[float, float]:
    """Return the exact binomial interval, 95 % (Clopper and Pearson 1934)."""
    from scipy.special import betaincinv

    hits = round(fraction * count)
    low = float(betaincinv(hits, count - hits + 1, 0.025)) if hits else 0.0
    high = float(betaincinv(hits + 1, count - hits, 0.975)) if hits < count else 1.0
    return low, high


def find_nano(
    middles: Array, share: Array, *, weighting: str, constituent: bool, count: int | None
) -> NanoFinding:
    """Decide whether a measured distribution is nano, where the measurement may decide it.

    Parameters
    ----------
    middles, share : ndarray, shape (n,)
        Class middles, rising [nm], and their shares.
    weighting : {"number", "volume", "intensity"}
    constituent : bool
        Whether constituent particles were sized.
    count : int or None
        Particles counted one by one.

    Returns
    -------
    NanoFinding

    References
    ----------
    Commission Recommendation 2022/C 229/01, as `zincite.formula.ingredient_list.nano_decision`.
    """
    if weighting == "intensity":
        reason = (
            "sizes by scattered intensity never decide: count constituent particles by "
            "electron microscopy"
        )
        return NanoFinding("undecided", None, None, None, reason)
    # any core: its sizes alone decide
    grade = Grade(
        "zinc-oxide",
        float(middles[0]),
        weighting=weighting,
        histogram_nm=tuple(map(float, middles)),
        histogram_share=tuple(map(float, share)),
    )
    found = nano_decision(grade)
    best, low, high = found.number_fraction_below_100nm, found.low, found.high
    if count is not None:
        least, most = _counting_interval(best, count)
        low, high = min(low, least), max(high, most)
    if not constituent:
        reason = (
            f"{100 * best:.0f} % by number would be below 100 nm, but sizes of a dispersion are "
            "those of aggregates and must not decide: count constituent particles by electron "
            "microscopy"
        )
        return NanoFinding("undecided", best, low, high, reason)
    return NanoFinding(found.verdict, best, low, high, found.reason)
