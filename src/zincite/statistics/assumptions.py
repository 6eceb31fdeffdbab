"""What an analysis of variance takes for granted, tested."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["DOUBT_BELOW", "AssumptionCheck", "check_assumptions", "rank_test"]

Array = NDArray[np.float64]

DOUBT_BELOW = 0.05
"""An assumption is doubted where its test gives a smaller p (common practice, no source)."""

_ROUNDING = 1e-13
"""Share of the fit below which the extra column of the additivity test is rounding."""


@dataclass(frozen=True, slots=True)
class AssumptionCheck:
    """A test of what the analysis takes for granted.

    Attributes
    ----------
    assumption : str
        What is assumed, in words.
    test : str
        Name of the test.
    p : float or None
        None where there are too few values for the test.
    doubted : bool
        Whether p is below 0.05.
    """

    assumption: str
    test: str
    p: float | None
    doubted: bool


def _check(assumption: str, test: str, p: float | None) -> AssumptionCheck:
    return AssumptionCheck(assumption, test, p, p is not None and p < DOUBT_BELOW)


def check_assumptions(
    centred: Array, residuals: Array, codes: NDArray[np.intp], design: Array, *, blocked: bool
) -> tuple[AssumptionCheck, ...]:
    """Return the checks of a fitted analysis of variance.

    Parameters
    ----------
    centred, residuals : ndarray, shape (n,)
        Values less their mean, and what the model leaves of them.
    codes : ndarray of int, shape (n,)
        Group of each value, counted from 0.
    design : ndarray, shape (n, n_columns)
        Of the model.
    blocked : bool
        Whether the model holds blocks.

    Returns
    -------
    tuple of AssumptionCheck
        Normal scatter, equal scatter and, with blocks, additivity.
    """
    samples = [residuals[codes == group] for group in range(int(codes.max()) + 1)]
    found = [
        _check("the scatter is normal", "Shapiro-Wilk on the residuals", _shapiro_p(residuals)),
        _check(
            "all groups scatter alike",
            "Levene (median) on the " + ("residuals" if blocked else "groups"),
            _levene_p(samples),
        ),
    ]
    if blocked:
        p = _additivity_p(centred, residuals, design)
        found.append(_check("group and block add up", "Tukey's one degree of freedom", p))
    return tuple(found)


def _shapiro_p(residuals: Array) -> float | None:
    from scipy.stats import shapiro

    if not 3 <= residuals.size <= 5000:  # the range for which its p value holds
        return None
    return float(shapiro(residuals).pvalue)


def _levene_p(samples: list[Array]) -> float | None:
    """Return p of the Brown-Forsythe form; None below three values in each group.

    With two values a group's deviations from its median are equal by construction.
    """
    from scipy.stats import levene

    if min(sample.size for sample in samples) < 3:
        return None
    deviations = [np.abs(sample - np.median(sample)) for sample in samples]
    if max(float(np.ptp(deviation)) for deviation in deviations) == 0:
        return None
    return float(levene(*samples, center="median").pvalue)


def _additivity_p(centred: Array, residuals: Array, design: Array) -> float | None:
    """Return p of Tukey J.W. (1949), Biometrics 5, 232: does the squared fit explain the rest."""
    from scipy.special import fdtrc

    df = centred.size - design.shape[1] - 1
    fitted = centred - residuals
    squared = fitted**2
    extra = squared - design @ np.linalg.lstsq(design, squared, rcond=None)[0]
    size = float(extra @ extra)
    if df < 1 or size <= _ROUNDING * float(np.sum(fitted**4)):
        return None
    explained = float(extra @ residuals) ** 2 / size
    left = float(residuals @ residuals) - explained
    return float(fdtrc(1, df, explained / (left / df))) if left > 0 else 0.0


def rank_test(
    sample: Array, groups: NDArray[np.intp], blocks: NDArray[np.intp], k: int, b: int
) -> tuple[str, float | None]:
    """Return name and p of the test by ranks, which needs no normal scatter.

    Parameters
    ----------
    sample : ndarray, shape (n,)
    groups, blocks : ndarray of int, shape (n,)
        Counted from 0.
    k, b : int
        Number of groups and of blocks, 0 for none.

    Returns
    -------
    tuple of str and float or None
        Kruskal-Wallis, or Friedman on the cell means; None where a cell is empty or, for Friedman,
        there are fewer than three groups.
    """
    from scipy.stats import friedmanchisquare, kruskal

    if not b:
        return "Kruskal-Wallis", float(kruskal(*(sample[groups == g] for g in range(k))).pvalue)
    cells = [[sample[(groups == g) & (blocks == i)] for i in range(b)] for g in range(k)]
    if k < 3 or any(cell.size == 0 for row in cells for cell in row):
        return "Friedman", None
    return "Friedman", float(friedmanchisquare(*([c.mean() for c in row] for row in cells)).pvalue)
