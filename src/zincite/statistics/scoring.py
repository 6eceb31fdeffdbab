"""How good predictions were once the measurement is in: CRPS, coverage and the PIT.

Draws of the prediction run along the first axis, as everywhere in the model; the measured values
have the shape of the remaining axes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "Coverage",
    "central_interval",
    "crps",
    "interval_coverage",
    "probability_integral_transform",
]

Array = NDArray[np.float64]


def _checked(draws: ArrayLike, observed: ArrayLike, fewest: int) -> tuple[Array, Array]:
    values = np.asarray(draws, dtype=np.float64)
    measured = np.asarray(observed, dtype=np.float64)
    if values.ndim == 0 or values.shape[0] < fewest:
        found = 0 if values.ndim == 0 else values.shape[0]
        raise OutOfRangeError(f"a prediction holds {found} draws, expected at least {fewest}")
    if values.shape[1:] != measured.shape:
        raise OutOfRangeError(
            f"draws have shape {values.shape} and measured values {measured.shape}, "
            "expected (n_draws, ...) and (...)"
        )
    if not (np.isfinite(values).all() and np.isfinite(measured).all()):
        raise OutOfRangeError("a draw or a measured value is not a finite number")
    return values, measured


def crps(
    draws: ArrayLike, observed: ArrayLike, *, form: Literal["fair", "empirical"] = "fair"
) -> Array:
    """Return the continuous ranked probability score; smaller is better.

    Parameters
    ----------
    draws : array_like, shape (n_draws, ...)
        Draws of the prediction, at least 2 (1 for the empirical form).
    observed : array_like, shape (...)
        Measured values, in the unit of the draws.
    form : {"fair", "empirical"}
        "empirical" scores the step function of the draws themselves, >= 0; "fair" is unbiased for
        the distribution behind the draws and may fall below 0 by chance.

    Returns
    -------
    ndarray, shape (...)
        Score, in the unit of the draws.

    Raises
    ------
    OutOfRangeError
        If the shapes do not fit, there are too few draws or a value is not finite.

    Notes
    -----
    mean|x - y| minus half the mean |x - x'|: Gneiting T., Raftery A.E. (2007), J. Am. Stat. Assoc.
    102, 359, eq 21; pairs divided by m^2 (empirical) or m (m - 1) (fair: Ferro C.A.T. (2014),
    Q. J. R. Meteorol. Soc. 140, 1917). The pairs are summed over sorted draws, so memory stays
    that of the draws.

    Examples
    --------
    >>> float(crps([0.0, 2.0], 1.0, form="empirical")), float(crps([0.0, 2.0], 1.0))
    (0.5, 0.0)
    """
    if form not in ("fair", "empirical"):
        raise OutOfRangeError(f"form is {form!r}, expected 'fair' or 'empirical'")
    values, measured = _checked(draws, observed, 2 if form == "fair" else 1)
    m = values.shape[0]
    ordered = np.sort(values, axis=0)
    weight = (2.0 * np.arange(1, m + 1) - m - 1.0).reshape(-1, *(1,) * measured.ndim)
    half_pairs = np.sum(weight * ordered, axis=0)  # sum over i < j of x_j - x_i
    divisor = m * (m - 1) if form == "fair" else m * m
    return np.asarray(np.mean(np.abs(values - measured), axis=0) - half_pairs / divisor)


def central_interval(draws: ArrayLike, level: float = 0.90) -> Array:
    """Return the central interval of draws.

    Parameters
    ----------
    draws : array_like, shape (n_draws, ...)
    level : float
        Probability that it holds, between 0 and 1.

    Returns
    -------
    ndarray, shape (2, ...)
        Lower and upper bound.

    Raises
    ------
    OutOfRangeError
        If the level is not between 0 and 1 or there are no draws.

    Notes
    -----
    Quantiles at rank p (m + 1): a value that comes from the same distribution as the m draws then
    lies inside with exactly the promised probability (where (1 - level)/2 x (m + 1) is whole). The
    usual rank 1 + p (m - 1) is a little too narrow and would make honest predictions look proud.
    """
    if not 0.0 < level < 1.0:
        raise OutOfRangeError(f"level of an interval is {level:g}, expected between 0 and 1")
    values = np.asarray(draws, dtype=np.float64)
    if values.ndim == 0 or values.shape[0] == 0:
        raise OutOfRangeError("a prediction holds no draws, expected at least 1")
    tails = [(1.0 - level) / 2, (1.0 + level) / 2]
    return np.asarray(np.quantile(values, tails, axis=0, method="weibull"))


@dataclass(frozen=True, slots=True)
class Coverage:
    """How often intervals held the measured value.

    Attributes
    ----------
    level : float
        Probability that each interval promises.
    inside : ndarray of bool, shape (...)
        Whether the measured value lies in its interval, bounds included.
    share : float
        Share inside; compare with `level`.
    mean_width : float
        Mean width of the intervals, in the unit of the draws: of two models with the same
        coverage, the narrower is the better.
    """

    level: float
    inside: NDArray[np.bool_]
    share: float
    mean_width: float


def interval_coverage(draws: ArrayLike, observed: ArrayLike, level: float = 0.90) -> Coverage:
    """Return how often the central interval of the draws holds the measured value.

    Parameters
    ----------
    draws : array_like, shape (n_draws, ...)
        Draws of the prediction of a *measurement*, scatter of the measurement included.
    observed : array_like, shape (...)
        Measured values, at least one.
    level : float
        Probability of the interval, between 0 and 1.

    Returns
    -------
    Coverage

    Raises
    ------
    OutOfRangeError
        If the shapes do not fit, a value is not finite or nothing was measured.
    """
    values, measured = _checked(draws, observed, 2)
    if measured.size == 0:
        raise OutOfRangeError("no measured value is given, expected at least 1")
    low, high = central_interval(values, level)
    inside = np.asarray((measured >= low) & (measured <= high))
    return Coverage(level, inside, float(inside.mean()), float(np.mean(high - low)))


def probability_integral_transform(draws: ArrayLike, observed: ArrayLike) -> Array:
    """Return where in its predictive distribution each measured value fell.

    Parameters
    ----------
    draws : array_like, shape (n_draws, ...)
    observed : array_like, shape (...)

    Returns
    -------
    ndarray, shape (...)
        Between 0 and 1, never either; uniform over many values if the predictions are honest.

    Raises
    ------
    OutOfRangeError
        If the shapes do not fit or a value is not finite.

    Notes
    -----
    Dawid A.P. (1984), J. R. Stat. Soc. A 147, 278. A rank among m draws has m + 1 places; the
    middle of its place is returned, ties shared evenly.

    Examples
    --------
    >>> float(probability_integral_transform([1.0, 2.0, 3.0], 2.5))
    0.625
    """
    values, measured = _checked(draws, observed, 1)
    below = np.sum(values < measured, axis=0)
    equal = np.sum(values == measured, axis=0)
    return np.asarray((below + 0.5 * equal + 0.5) / (values.shape[0] + 1.0))
