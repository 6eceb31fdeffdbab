"""Mean and interval of values read on a few plates, and how many more plates would do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from zincite.errors import OutOfRangeError
from zincite.statistics.intervals import mean_interval, student_t_quantile

__all__ = ["PlateMean", "plate_mean", "plate_mean_of_summary", "plates_needed"]

_MOST = 100


@dataclass(frozen=True, slots=True)
class PlateMean:
    """Mean over plates with its 95 % interval.

    Attributes
    ----------
    mean : float
        In the unit of the values.
    sd, low, high : float or None
        Standard deviation with n - 1 and 95 % bounds of the mean; None with a single value.
    n : int
        Number of values.
    """

    mean: float
    n: int
    sd: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def half_width_percent(self) -> float | None:
        """Half the interval in percent of the mean, None where it does not exist."""
        if self.low is None or self.high is None or not self.mean > 0:
            return None
        return 50.0 * (self.high - self.low) / self.mean


def plate_mean(values: ArrayLike) -> PlateMean:
    """Return mean, standard deviation and t interval (95 %, n - 1) of values.

    Parameters
    ----------
    values : array_like, shape (n,)
        One value a plate, at least one.

    Raises
    ------
    OutOfRangeError
        If there is no value or one is not a finite number.

    Examples
    --------
    >>> found = plate_mean([10.0, 11.0, 12.0])
    >>> f"{found.mean:g} {found.sd:g} {found.half_width_percent:.1f}"
    '11 1 22.6'
    """
    sample = np.atleast_1d(np.asarray(values, dtype=float))
    if sample.ndim != 1 or sample.size == 0:
        raise OutOfRangeError(f"values have shape {sample.shape}, expected a list of at least one")
    if not np.isfinite(sample).all():
        raise OutOfRangeError("a value is missing or not finite, expected a number for each plate")
    if sample.size == 1:
        return PlateMean(float(sample[0]), 1)
    found = mean_interval(sample)
    return PlateMean(found.mean, found.n, found.sd, found.low, found.high)


def plate_mean_of_summary(mean: float, sd: float | None, n: int) -> PlateMean:
    """Return the same from a mean, standard deviation and number that somebody else reported.

    Parameters
    ----------
    mean : float
    sd : float or None
        0 or more; None where it was not reported, and no interval is given.
    n : int
        At least 1.

    Raises
    ------
    OutOfRangeError
        If a number is impossible.
    """
    if not math.isfinite(mean) or n < 1 or (sd is not None and not 0 <= sd < math.inf):
        raise OutOfRangeError(
            f"mean {mean:g}, standard deviation {sd} and number {n} found, expected finite "
            "numbers with at least one value and a deviation of 0 or more"
        )
    if n == 1 or sd is None:
        return PlateMean(float(mean), n, sd)
    reach = student_t_quantile(0.975, n - 1) * sd / math.sqrt(n)
    return PlateMean(float(mean), n, float(sd), mean - reach, mean + reach)


def plates_needed(values: Sequence[float] | ArrayLike, limit_percent: float) -> int | None:
    """Return the smallest number of plates whose interval would meet a limit.

    Parameters
    ----------
    values : array_like, shape (n,)
        One value a plate, at least two, of positive mean.
    limit_percent : float
        Largest half width of the 95 % interval. [% of the mean]

    Returns
    -------
    int or None
        At least n; None where a hundred would not do.

    Raises
    ------
    OutOfRangeError
        If there are fewer than 2 values or their mean is not above 0.

    Notes
    -----
    Takes the relative standard deviation of these plates as that of more: an expectation, not a
    promise.

    Examples
    --------
    A relative standard deviation of 9.1 % needs 4 plates for 17 % (t = 3.182, 14.5 %), not 3
    (t = 4.303, 22.6 %):

    >>> plates_needed([10.0, 11.0, 12.0], 17.0)
    4
    """
    found = mean_interval(values)
    if not found.mean > 0:
        raise OutOfRangeError(f"mean of the plates is {found.mean:g}, expected above 0")
    for n in range(found.n, _MOST + 1):
        reach = student_t_quantile(0.975, n - 1) * found.cv_percent / math.sqrt(n)
        if reach <= limit_percent:
            return n
    return None
