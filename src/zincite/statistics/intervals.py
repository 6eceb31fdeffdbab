"""Intervals of a mean from few repeated values."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "MeanInterval",
    "half_width_percent",
    "largest_passing_cv_percent",
    "lower_limit",
    "mean_interval",
    "student_t_quantile",
    "upper_limit",
]


def student_t_quantile(probability: float, degrees_of_freedom: float) -> float:
    """Return the quantile of Student's t distribution.

    Parameters
    ----------
    probability : float
        Below the quantile, between 0 and 1.
    degrees_of_freedom : float
        > 0.

    Raises
    ------
    OutOfRangeError
        If an argument is out of range.

    Examples
    --------
    >>> f"{student_t_quantile(0.975, 9):.3f}"
    '2.262'
    """
    if not 0.0 < probability < 1.0:
        raise OutOfRangeError(f"probability is {probability:g}, expected between 0 and 1")
    if not degrees_of_freedom > 0:
        raise OutOfRangeError(f"degrees of freedom are {degrees_of_freedom:g}, expected above 0")
    from scipy.special import stdtrit

    return float(stdtrit(degrees_of_freedom, probability))


@dataclass(frozen=True, slots=True)
class MeanInterval:
    """A mean with its two-sided interval.

    Attributes
    ----------
    mean, sd : float
        Arithmetic mean and standard deviation with n - 1, in the unit of the values.
    n : int
        Number of values.
    low, high : float
        Bounds of the mean.
    confidence : float
        Two-sided confidence of the bounds.
    """

    mean: float
    sd: float
    n: int
    low: float
    high: float
    confidence: float

    @property
    def half_width(self) -> float:
        """Half of the interval's width, in the unit of the values."""
        return 0.5 * (self.high - self.low)

    @property
    def cv_percent(self) -> float:
        """Standard deviation in percent of the mean; nan where the mean is 0."""
        return 100.0 * self.sd / abs(self.mean) if self.mean else math.nan


def _sample(values: ArrayLike) -> NDArray[np.float64]:
    sample = np.asarray(values, dtype=np.float64)
    if sample.ndim != 1 or sample.size < 2:
        raise OutOfRangeError(
            f"values have shape {sample.shape}, expected a list of at least 2 for an interval"
        )
    if not np.isfinite(sample).all():
        raise OutOfRangeError("a value of the sample is not a finite number")
    return sample


def _check_confidence(confidence: float) -> None:
    if not 0.0 < confidence < 1.0:
        raise OutOfRangeError(f"confidence is {confidence:g}, expected between 0 and 1")


def _spread(sample: NDArray[np.float64]) -> float:
    """Return the standard deviation; exactly 0 for equal values, where rounding would leak."""
    return 0.0 if np.ptp(sample) == 0 else float(sample.std(ddof=1))


def mean_interval(values: ArrayLike, confidence: float = 0.95) -> MeanInterval:
    """Return mean, standard deviation and the two-sided t interval of the mean.

    Parameters
    ----------
    values : array_like, shape (n,)
        At least 2 independent values.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    MeanInterval

    Raises
    ------
    OutOfRangeError
        If there are fewer than 2 values, one is not finite or the confidence is out of range.

    Notes
    -----
    mean +/- t(1 - (1 - confidence)/2; n - 1) s / sqrt(n), for values that are near normal.

    Examples
    --------
    >>> found = mean_interval([1.0, 2.0, 3.0])
    >>> f"{found.low:.3f} {found.mean:.3f} {found.high:.3f}"
    '-0.484 2.000 4.484'
    """
    sample = _sample(values)
    _check_confidence(confidence)
    mean, sd = float(sample.mean()), _spread(sample)
    reach = (
        student_t_quantile(0.5 * (1.0 + confidence), sample.size - 1) * sd / math.sqrt(sample.size)
    )
    return MeanInterval(mean, sd, sample.size, mean - reach, mean + reach, confidence)


def lower_limit(values: ArrayLike, confidence: float = 0.95) -> float:
    """Return the one-sided lower confidence limit of the mean.

    Parameters
    ----------
    values : array_like, shape (n,)
        At least 2 independent values.
    confidence : float
        One-sided, between 0 and 1.

    Returns
    -------
    float
        mean - t(confidence; n - 1) s / sqrt(n), in the unit of the values.

    Raises
    ------
    OutOfRangeError
        As `mean_interval`.
    """
    sample = _sample(values)
    _check_confidence(confidence)
    quantile = student_t_quantile(confidence, sample.size - 1)
    return float(sample.mean()) - quantile * _spread(sample) / math.sqrt(sample.size)


def upper_limit(values: ArrayLike, confidence: float = 0.95) -> float:
    """Return the one-sided upper confidence limit of the mean; see `lower_limit`."""
    return -lower_limit(-_sample(values), confidence)


def half_width_percent(values: ArrayLike, confidence: float = 0.95) -> float:
    """Return half the width of the mean's interval in percent of the mean.

    Parameters
    ----------
    values : array_like, shape (n,)
        At least 2 independent values of positive mean.
    confidence : float
        Two-sided, between 0 and 1.

    Raises
    ------
    OutOfRangeError
        As `mean_interval`, and if the mean is not above 0.
    """
    found = mean_interval(values, confidence)
    if not found.mean > 0:
        raise OutOfRangeError(f"mean is {found.mean:g}, expected above 0 for a share of it")
    return 100.0 * found.half_width / found.mean


def largest_passing_cv_percent(
    n: int, half_width_limit_percent: float, confidence: float = 0.95
) -> float:
    """Return the largest coefficient of variation whose interval still meets a limit.

    Parameters
    ----------
    n : int
        Number of values, at least 2.
    half_width_limit_percent : float
        Largest half width of the interval, > 0. [% of the mean]
    confidence : float
        Two-sided, between 0 and 1.

    Returns
    -------
    float
        limit x sqrt(n) / t. [%]

    Raises
    ------
    OutOfRangeError
        If an argument is out of range.

    Examples
    --------
    >>> f"{largest_passing_cv_percent(10, 17.0):.1f}"
    '23.8'
    """
    if n < 2:
        raise OutOfRangeError(f"number of values is {n}, expected at least 2 for an interval")
    if not half_width_limit_percent > 0:
        raise OutOfRangeError(
            f"largest half width is {half_width_limit_percent:g} %, expected above 0"
        )
    _check_confidence(confidence)
    return (
        half_width_limit_percent
        * math.sqrt(n)
        / student_t_quantile(0.5 * (1.0 + confidence), n - 1)
    )
