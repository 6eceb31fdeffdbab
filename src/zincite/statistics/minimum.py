"""Where a curve through scattered points has its minimum, with intervals of the place."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.statistics.intervals import student_t_quantile

__all__ = ["Parabola", "fit_parabola"]

Array = NDArray[np.float64]

_ROUNDING = 1e-12  # residual below this share of the values' spread is rounding


@dataclass(frozen=True, slots=True)
class Parabola:
    """y = c0 + c1 (x - centre) + c2 (x - centre)^2 by least squares.

    Attributes
    ----------
    centre : float
        Mean of x, about which it was fitted.
    coefficients : tuple of float
        c0, c1, c2.
    covariance : ndarray, shape (3, 3)
        Of the coefficients.
    residual_sd : float
    degrees_of_freedom : int
    lack_of_fit_p : float or None
        Chance of so much deviation from a parabola by the scatter of the replicates alone; None
        without replicates or without a spare level.
    """

    centre: float
    coefficients: tuple[float, float, float]
    covariance: Array
    residual_sd: float
    degrees_of_freedom: int
    lack_of_fit_p: float | None

    def __call__(self, x: ArrayLike) -> Array:
        """Return the fitted curve."""
        c0, c1, c2 = self.coefficients
        u = np.asarray(x, dtype=float) - self.centre
        return np.asarray(c0 + c1 * u + c2 * u**2)

    @property
    def minimum_x(self) -> float | None:
        """Place of the minimum, None where the curve bends down or not at all."""
        _, c1, c2 = self.coefficients
        return self.centre - c1 / (2 * c2) if c2 > 0 else None

    def delta_interval(self, confidence: float = 0.95) -> tuple[float, float] | None:
        """Return the place's interval by linear propagation (delta method), None without one.

        Notes
        -----
        x0 = centre - c1/(2 c2), its variance g' V g with g = (-1/(2 c2), c1/(2 c2^2)).
        """
        place = self.minimum_x
        if place is None:
            return None
        _, c1, c2 = self.coefficients
        slope = np.array([-1 / (2 * c2), c1 / (2 * c2**2)])
        reach = self._t(confidence) * math.sqrt(float(slope @ self.covariance[1:, 1:] @ slope))
        return place - reach, place + reach

    def profile_interval(self, confidence: float = 0.95) -> tuple[float, float] | None:
        """Return the places that the data do not exclude; None where that is no finite stretch.

        Notes
        -----
        A place x0 stands if the slope there, c1 + 2 c2 (x0 - centre), is within t standard errors
        of 0: Fieller's theorem for the ratio -c1/(2 c2), which here is the profile of the least
        squares. It is no finite stretch where c2 itself is within t standard errors of 0.

        References
        ----------
        Fieller E.C. (1954) J. R. Stat. Soc. B 16, 175 (from memory).
        """
        if self.minimum_x is None:
            return None
        _, c1, c2 = self.coefficients
        v, t2, u = self.covariance, self._t(confidence) ** 2, -c1 / (2 * c2)
        # w from the minimum: (2 c2 w)^2 = t2 (v11 + 4 (u+w) v12 + 4 (u+w)^2 v22), quadratic in w
        a = 4 * (c2**2 - t2 * float(v[2, 2]))
        b = -4 * t2 * float(v[1, 2] + 2 * u * v[2, 2])
        c = -t2 * max(float(v[1, 1] + 4 * u * v[1, 2] + 4 * u**2 * v[2, 2]), 0.0)
        if a <= 0:
            return None
        half = math.sqrt(b**2 - 4 * a * c)
        centre = self.centre + u
        return centre + (-b - half) / (2 * a), centre + (-b + half) / (2 * a)

    def _t(self, confidence: float) -> float:
        return student_t_quantile(0.5 + confidence / 2, self.degrees_of_freedom)


def fit_parabola(x: ArrayLike, y: ArrayLike) -> Parabola:
    """Return the least-squares parabola through points.

    Parameters
    ----------
    x, y : array_like, shape (n,)
        At least 4 points at 3 or more places.

    Returns
    -------
    Parabola

    Raises
    ------
    OutOfRangeError
        If there are too few points or places, or one is not finite.

    Notes
    -----
    With replicates the residual is split into scatter at equal x and lack of fit, whose ratio
    follows F (Draper and Smith, Applied Regression Analysis, from memory).

    Examples
    --------
    >>> found = fit_parabola([0, 1, 2, 3], [4, 1, 0, 1])
    >>> f"{found.minimum_x:.3f}"
    '2.000'
    """
    place, value = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if place.ndim != 1 or place.shape != value.shape or place.size < 4:
        raise OutOfRangeError(f"{place.size} points are there, expected at least 4 of x and y")
    if not (np.isfinite(place).all() and np.isfinite(value).all()):
        raise OutOfRangeError("a point of the curve is not a finite number")
    levels = np.unique(place)
    if levels.size < 3:
        raise OutOfRangeError(f"points stand at {levels.size} places, expected at least 3")
    centre = float(place.mean())
    columns = np.vander(place - centre, 3, increasing=True)
    coefficients, _, _, _ = np.linalg.lstsq(columns, value, rcond=None)
    residual = value - columns @ coefficients
    residual[np.abs(residual) <= _ROUNDING * max(float(np.ptp(value)), 1e-300)] = 0.0
    free = place.size - 3
    squares = float(residual @ residual)
    covariance = np.linalg.inv(columns.T @ columns) * squares / free
    c0, c1, c2 = (float(c) for c in coefficients)
    return Parabola(
        centre,
        (c0, c1, c2),
        np.asarray(covariance),
        math.sqrt(squares / free),
        free,
        _lack_of_fit(place, value, levels, squares),
    )


def _lack_of_fit(place: Array, value: Array, levels: Array, squares: float) -> float | None:
    """Return the p value of the F test of lack of fit, None where it cannot be made."""
    from scipy.special import fdtrc

    pure_free, spare = place.size - levels.size, levels.size - 3
    if pure_free < 1 or spare < 1:
        return None
    pure = math.fsum(
        float(np.sum((value[place == x] - value[place == x].mean()) ** 2)) for x in levels
    )
    if pure <= 0:
        return None
    ratio = max(squares - pure, 0.0) / spare / (pure / pure_free)
    return float(fdtrc(spare, pure_free, ratio))
