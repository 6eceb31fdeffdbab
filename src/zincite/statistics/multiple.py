"""Which groups differ: simultaneous intervals, and the probability that each is the best."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.errors import OutOfRangeError
from zincite.statistics.comparison import GroupAnalysis

__all__ = ["Difference", "dunnett", "probability_best", "tukey"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Difference:
    """Difference of two group means with its simultaneous interval.

    Attributes
    ----------
    first, second : str
        Groups; for `dunnett` the second is the control.
    difference : float
        Mean of the first less mean of the second, in the unit of the values.
    low, high : float
        Bounds that hold for all differences together with the stated confidence.
    p : float
        Adjusted for the number of differences looked at.
    differs : bool
        Whether the interval leaves out 0.
    """

    first: str
    second: str
    difference: float
    low: float
    high: float
    p: float
    differs: bool


def _confidence(confidence: float) -> None:
    if not 0.0 < confidence < 1.0:
        raise OutOfRangeError(f"confidence is {confidence:g}, expected between 0 and 1")


def _difference(
    analysis: GroupAnalysis, first: int, second: int, reach: float, p: float
) -> Difference:
    delta = float(analysis.means[first] - analysis.means[second])
    return Difference(
        analysis.groups[first],
        analysis.groups[second],
        delta,
        delta - reach,
        delta + reach,
        min(max(p, 0.0), 1.0),
        abs(delta) > reach,
    )


def tukey(analysis: GroupAnalysis, confidence: float = 0.95) -> tuple[Difference, ...]:
    """Return all pairs of groups with simultaneous intervals.

    Parameters
    ----------
    analysis : GroupAnalysis
    confidence : float
        Of all intervals together, between 0 and 1.

    Returns
    -------
    tuple of Difference
        In the order of the groups.

    Raises
    ------
    OutOfRangeError
        If the confidence is out of range.

    Notes
    -----
    Tukey-Kramer: studentized range of the groups with the residual degrees of freedom, divided by
    sqrt 2, times the standard error of the difference (Kramer C.Y. (1956), Biometrics 12, 307);
    exact for equal counts, a little wide otherwise. With blocks the difference is that of the
    adjusted means.
    """
    _confidence(confidence)
    from scipy.stats import studentized_range

    k, df = len(analysis.groups), analysis.residual_df
    critical = float(studentized_range.ppf(confidence, k, df)) / math.sqrt(2.0)
    pairs = [(i, j) for i in range(k) for j in range(i + 1, k)]
    errors = np.array([analysis.difference_sd(i, j) for i, j in pairs])
    deltas = np.array([abs(analysis.means[i] - analysis.means[j]) for i, j in pairs])
    p = np.atleast_1d(studentized_range.sf(math.sqrt(2.0) * deltas / errors, k, df))
    return tuple(
        _difference(analysis, i, j, critical * float(error), float(chance))
        for (i, j), error, chance in zip(pairs, errors, p, strict=True)
    )


def dunnett(
    analysis: GroupAnalysis, control: str, confidence: float = 0.95, *, seed: int = 0
) -> tuple[Difference, ...]:
    """Return every other group against a control with simultaneous intervals.

    Parameters
    ----------
    analysis : GroupAnalysis
    control : str
        Name of the control group.
    confidence : float
        Of all intervals together, between 0 and 1.
    seed : int
        Of the numerical integral over the multivariate t distribution (error about 1e-4).

    Returns
    -------
    tuple of Difference
        In the order of the groups, two-sided.

    Raises
    ------
    OutOfRangeError
        If the control is not among the groups or the confidence is out of range.

    Notes
    -----
    Dunnett C.W. (1955), J. Am. Stat. Assoc. 50, 1096, with the correlations of the fitted
    differences, so unequal counts and blocks are allowed for.
    """
    _confidence(confidence)
    if control not in analysis.groups:
        raise OutOfRangeError(
            f"control {control!r} is not among the groups, expected one of "
            f"{', '.join(analysis.groups)}"
        )
    base = analysis.groups.index(control)
    others = [i for i in range(len(analysis.groups)) if i != base]
    contrast = np.zeros((len(others), len(analysis.groups)))
    contrast[np.arange(len(others)), others] = 1.0
    contrast[:, base] = -1.0
    spread = contrast @ analysis.covariance @ contrast.T
    scale = np.sqrt(np.diag(spread))
    correlation = spread / np.outer(scale, scale)
    critical = _largest_t(confidence, correlation, analysis.residual_df, seed)
    errors = analysis.residual_sd * scale
    found = []
    for i, error in zip(others, errors, strict=True):
        t = abs(float(analysis.means[i] - analysis.means[base])) / float(error)
        p = 1.0 - _within(t, correlation, analysis.residual_df, seed)
        found.append(_difference(analysis, i, base, critical * float(error), p))
    return tuple(found)


def _within(t: float, correlation: Array, df: int, seed: int) -> float:
    """Return the probability that all |t| stay within a bound."""
    m = correlation.shape[0]
    if m == 1:
        from scipy.special import stdtr

        return float(1.0 - 2.0 * stdtr(df, -t))
    from scipy.stats import multivariate_t

    bound = np.full(m, t)
    return float(
        multivariate_t.cdf(
            bound,
            loc=np.zeros(m),
            shape=correlation,
            df=df,
            lower_limit=-bound,
            random_state=np.random.default_rng(seed),
        )
    )


def _largest_t(confidence: float, correlation: Array, df: int, seed: int) -> float:
    """Return the bound that all |t| keep with the given probability."""
    from scipy.optimize import brentq
    from scipy.special import stdtrit

    # One comparison gives the least bound, Bonferroni's the largest; both are widened for rounding.
    low = float(stdtrit(df, 0.5 * (1.0 + confidence)))
    high = float(stdtrit(df, 1.0 - 0.5 * (1.0 - confidence) / correlation.shape[0]))
    return float(
        brentq(
            lambda t: _within(t, correlation, df, seed) - confidence,
            0.9 * low,
            1.2 * high,
            xtol=1e-5,
        )
    )


def probability_best(
    analysis: GroupAnalysis,
    *,
    larger_is_better: bool = True,
    draws: int = 20_000,
    seed: int = 0,
) -> Array:
    """Return the probability that each group has the best true mean.

    Parameters
    ----------
    analysis : GroupAnalysis
    larger_is_better : bool
    draws : int
        Number of simulated sets of means, at least 1; the error of a probability is below
        0.5/sqrt(draws).
    seed : int

    Returns
    -------
    ndarray, shape (n_groups,)
        Sums to 1. [-]

    Raises
    ------
    OutOfRangeError
        If there are no draws.

    Notes
    -----
    Means from the multivariate t posterior of the fitted model under flat priors of the effects
    and of the logarithm of the residual standard deviation: Gelman A. et al. (2013), Bayesian Data
    Analysis, 3rd ed., section 14.2.
    """
    if draws < 1:
        raise OutOfRangeError(f"number of draws is {draws}, expected at least 1")
    rng = np.random.default_rng(seed)
    df, k = analysis.residual_df, len(analysis.groups)
    sd = analysis.residual_sd * np.sqrt(df / rng.chisquare(df, draws))
    root = np.linalg.cholesky(analysis.covariance)
    # Taken from their centre: large values with small differences would lose digits.
    means = analysis.means - analysis.means.mean()
    simulated = means + sd[:, None] * (rng.standard_normal((draws, k)) @ root.T)
    best = np.argmax(simulated if larger_is_better else -simulated, axis=1)
    return np.asarray(np.bincount(best, minlength=k) / draws)
