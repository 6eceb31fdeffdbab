"""Several groups compared: one-way or blocked analysis of variance with its assumptions checked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.statistics.assumptions import AssumptionCheck, check_assumptions, rank_test

__all__ = ["GroupAnalysis", "VarianceRow", "analyse_groups"]

Array = NDArray[np.float64]

_NO_SCATTER = 1e-13
"""Residual scatter below this share of the values is rounding, not measurement."""


@dataclass(frozen=True, slots=True)
class VarianceRow:
    """One row of the table of variance; `f` and `p` are None for the residual."""

    source: str
    sum_of_squares: float
    degrees_of_freedom: int
    mean_square: float
    f: float | None = None
    p: float | None = None


@dataclass(frozen=True, slots=True)
class GroupAnalysis:
    """The fitted model: value = group + block + residual.

    Attributes
    ----------
    groups, blocks : tuple of str
        Names in order of first appearance; `blocks` is empty for a one-way analysis.
    counts : tuple of int
        Values per group.
    means : ndarray, shape (n_groups,)
        Group means; with blocks, each averaged evenly over all blocks by the model.
    covariance : ndarray, shape (n_groups, n_groups)
        Of the means, divided by the residual variance.
    rows : tuple of VarianceRow
        Groups (blocks taken out), blocks (groups taken out) where given, residual.
    residual_sd : float
        Standard deviation of a single value, in its unit.
    residual_df : int
    residuals : ndarray, shape (n,)
        In the order of the values.
    checks : tuple of AssumptionCheck
    rank_p : float or None
        p of the test that needs no normal scatter (Kruskal-Wallis, or Friedman for complete
        blocks); None where it cannot be done.
    rank_test : str
    """

    groups: tuple[str, ...]
    blocks: tuple[str, ...]
    counts: tuple[int, ...]
    means: Array
    covariance: Array
    rows: tuple[VarianceRow, ...]
    residual_sd: float
    residual_df: int
    residuals: Array
    checks: tuple[AssumptionCheck, ...]
    rank_p: float | None
    rank_test: str

    @property
    def group_p(self) -> float:
        """Probability of group differences this large if there were none."""
        p = self.rows[0].p
        return math.nan if p is None else p

    def difference_sd(self, first: int, second: int) -> float:
        """Return the standard error of the difference of two group means, in their unit."""
        v = self.covariance
        return self.residual_sd * math.sqrt(
            v[first, first] + v[second, second] - 2.0 * v[first, second]
        )


def _codes(labels: Sequence[str]) -> tuple[tuple[str, ...], NDArray[np.intp]]:
    names = tuple(dict.fromkeys(labels))
    place = {name: i for i, name in enumerate(names)}
    return names, np.array([place[label] for label in labels], dtype=np.intp)


def _indicators(codes: NDArray[np.intp], count: int) -> Array:
    return np.asarray(codes[:, None] == np.arange(count), dtype=np.float64)


def _effects(codes: NDArray[np.intp], count: int) -> Array:
    """Return columns that sum to zero over the blocks, so group columns stay the even means."""
    columns = _indicators(codes, count)
    return np.asarray(columns[:, :-1] - columns[:, -1:])


def _residuals(design: Array, values: Array) -> Array:
    solution = np.linalg.lstsq(design, values, rcond=None)[0]
    return np.asarray(values - design @ solution)


def _checked_values(
    values: ArrayLike, groups: Sequence[str], blocks: Sequence[str] | None
) -> Array:
    sample = np.asarray(values, dtype=np.float64)
    lengths = {sample.size, len(groups)} | ({len(blocks)} if blocks is not None else set())
    if sample.ndim != 1 or len(lengths) != 1:
        raise OutOfRangeError(
            f"{sample.size} values, {len(groups)} group names"
            + (f" and {len(blocks)} block names" if blocks is not None else "")
            + " are given, expected one name for each value"
        )
    if not np.isfinite(sample).all():
        raise OutOfRangeError("a value to compare is not a finite number")
    if len(set(groups)) < 2:
        raise OutOfRangeError(f"{len(set(groups))} group is given, expected at least 2 to compare")
    return sample


def _degrees_of_freedom(design: Array, groups: int) -> int:
    if np.linalg.matrix_rank(design) < design.shape[1]:
        raise OutOfRangeError(
            "the groups do not share enough blocks to be compared, expected each block to hold "
            "several groups"
        )
    df = design.shape[0] - design.shape[1]
    if df < 1:
        raise OutOfRangeError(
            f"{design.shape[0]} values in {groups} groups leave nothing to judge the scatter by, "
            "expected repeats"
        )
    return int(df)


def _variance_rows(
    centred: Array, residuals: Array, own: Array, other: Array, df: int
) -> tuple[VarianceRow, ...]:
    """Return the rows, each factor with the other taken out."""
    from scipy.special import fdtrc

    error = float(residuals @ residuals)

    def row(source: str, left: Array, factor_df: int) -> VarianceRow:
        # a difference of sums may round to a hair below zero
        squares = max(float(left @ left) - error, 0.0)
        f = squares / factor_df / (error / df) if error else math.inf
        p = float(fdtrc(factor_df, df, f))
        return VarianceRow(source, squares, factor_df, squares / factor_df, f, p)

    ones = np.ones((centred.size, 1))
    rows = [row("groups", _residuals(np.hstack([ones, other]), centred), own.shape[1] - 1)]
    if other.shape[1]:
        rows.append(row("blocks", _residuals(own, centred), other.shape[1]))
    return (*rows, VarianceRow("residual", error, df, error / df))


def analyse_groups(
    values: ArrayLike, groups: Sequence[str], blocks: Sequence[str] | None = None
) -> GroupAnalysis:
    """Return the one-way or blocked analysis of variance.

    Parameters
    ----------
    values : array_like, shape (n,)
        Measured values, any unit.
    groups : sequence of str, length n
        Group of each value, such as the grade.
    blocks : sequence of str, length n, optional
        Block of each value, such as the day or the base batch. Cells may be missing as long as the
        groups stay comparable.

    Returns
    -------
    GroupAnalysis

    Raises
    ------
    OutOfRangeError
        If lengths differ, a value is not finite, fewer than two groups are given, there are no
        repeats, the groups share no blocks, or all repeats are exactly equal.

    Notes
    -----
    Least squares; sums of squares of groups and blocks each with the other taken out (equal to the
    textbook sums for complete blocks): Montgomery D.C., Design and Analysis of Experiments,
    chapters 3 and 4.
    """
    sample = _checked_values(values, groups, blocks)
    group_names, group_codes = _codes(groups)
    block_names, block_codes = _codes(blocks) if blocks is not None else ((), group_codes)
    if len(block_names) < 2:  # one block is no block
        block_names = ()
    k, b = len(group_names), len(block_names)
    own = _indicators(group_codes, k)
    other = _effects(block_codes, b) if b else np.empty((sample.size, 0))
    design = np.hstack([own, other])
    df = _degrees_of_freedom(design, k)
    # Without the grand mean the sums keep their digits where values are large and scatter small.
    centre = float(sample.mean())
    centred = sample - centre
    residuals = _residuals(design, centred)
    rows = _variance_rows(centred, residuals, own, other, df)
    error = rows[-1].mean_square
    if math.sqrt(error) <= _NO_SCATTER * float(np.abs(sample).max()):
        raise OutOfRangeError(
            "all repeats are exactly equal, expected values that were measured anew"
        )
    rank_name, rank_p = rank_test(sample, group_codes, block_codes, k, b)
    means = np.linalg.lstsq(design, centred, rcond=None)[0][:k]
    return GroupAnalysis(
        groups=group_names,
        blocks=block_names,
        counts=tuple(int(count) for count in own.sum(axis=0)),
        means=np.asarray(centre + means, dtype=np.float64),
        covariance=np.asarray(np.linalg.inv(design.T @ design)[:k, :k]),
        rows=rows,
        residual_sd=math.sqrt(error),
        residual_df=df,
        residuals=residuals,
        checks=check_assumptions(centred, residuals, group_codes, design, blocked=bool(b)),
        rank_p=rank_p,
        rank_test=rank_name,
    )
