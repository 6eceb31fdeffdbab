"""Several coating grades compared on replicates: which differ, and which is likely the best."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.screening_words import GradeRank, rank_grades, screening_sentences
from zincite.statistics.comparison import GroupAnalysis, analyse_groups
from zincite.statistics.multiple import Difference, dunnett, probability_best, tukey

__all__ = ["GradeRank", "GradeScreening", "RawPoint", "screen_grades", "screen_grades_wide"]


@dataclass(frozen=True, slots=True)
class RawPoint:
    """One measured value as entered, for a plot of raw points."""

    grade: str
    block: str
    value: float


@dataclass(frozen=True, slots=True)
class GradeScreening:
    """A screening evaluated.

    Attributes
    ----------
    method, quantity, unit : str
    larger_is_better : bool
    confidence : float
        Of all intervals of `pairs` together, of all of `against_control` together, and of each
        mean's.
    analysis : GroupAnalysis
    ranking : tuple of GradeRank
        Best first.
    pairs : tuple of Difference
        All pairs (Tukey).
    control : str or None
    against_control : tuple of Difference
        Others less the control (Dunnett), empty without one.
    points : tuple of RawPoint
    valid : bool
        Whether no assumption is doubted.
    reasons : tuple of str
        Assumptions that are doubted.
    sentences : tuple of str
        The result in words.
    marks : tuple of str
        Empty: nothing here is from memory.
    """

    method: str
    quantity: str
    unit: str
    larger_is_better: bool
    confidence: float
    analysis: GroupAnalysis
    ranking: tuple[GradeRank, ...]
    pairs: tuple[Difference, ...]
    control: str | None
    against_control: tuple[Difference, ...]
    points: tuple[RawPoint, ...]
    valid: bool
    reasons: tuple[str, ...]
    sentences: tuple[str, ...]
    marks: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        analysis = self.analysis
        shown: dict[str, object] = plain(
            {
                "method": self.method,
                "quantity": self.quantity,
                "unit": self.unit,
                "larger_is_better": self.larger_is_better,
                "confidence": self.confidence,
                "p_grades_differ": analysis.group_p,
                "residual_sd": analysis.residual_sd,
                "residual_df": analysis.residual_df,
                "variance_table": analysis.rows,
                "checks": analysis.checks,
                "rank_test": {"name": analysis.rank_test, "p": analysis.rank_p},
                "ranking": self.ranking,
                "pairs": self.pairs,
                "control": self.control,
                "against_control": self.against_control,
                "points": self.points,
                "valid": self.valid,
                "reasons": self.reasons,
                "sentences": self.sentences,
                "marks": self.marks,
            }
        )
        return shown


def screen_grades(
    values: ArrayLike,
    grades: Sequence[str],
    *,
    blocks: Sequence[str] | None = None,
    control: str | None = None,
    quantity: str = "value",
    unit: str = "",
    larger_is_better: bool = True,
    confidence: float = 0.95,
    seed: int = 0,
) -> GradeScreening:
    """Compare grades from a long table: one row for each measured value.

    Parameters
    ----------
    values : array_like, shape (n,)
        Measured values, all of one quantity and unit. nan rows are refused, not dropped.
    grades : sequence of str, length n
        Grade of each value.
    blocks : sequence of str, length n, optional
        Day, base batch or plate lot of each value.
    control : str, optional
        Grade that the others are held against, such as the uncoated one.
    quantity, unit : str
        For the words, such as "SPF in vitro" and "".
    larger_is_better : bool
    confidence : float
        Between 0 and 1.
    seed : int
        Of the simulation behind the probabilities.

    Returns
    -------
    GradeScreening

    Raises
    ------
    OutOfRangeError
        If lengths differ, a value is not finite, there are no repeats, the grades share no blocks,
        all repeats are equal, or the control is not among the grades.

    Notes
    -----
    See `zincite.statistics.comparison` and `zincite.statistics.multiple`.
    """
    analysis = analyse_groups(values, grades, blocks)
    if control is not None and control not in analysis.groups:
        raise OutOfRangeError(
            f"control {control!r} is not among the grades, expected one of "
            f"{', '.join(analysis.groups)}"
        )
    pairs = tukey(analysis, confidence)
    best = probability_best(analysis, larger_is_better=larger_is_better, seed=seed)
    ranking = rank_grades(analysis, pairs, best, larger_is_better, confidence)
    versus = () if control is None else dunnett(analysis, control, confidence, seed=seed)
    reasons = tuple(
        f"{check.test} doubts that {check.assumption} (p = {check.p:.3f})"
        for check in analysis.checks
        if check.doubted
    )
    names = [""] * len(grades) if blocks is None else blocks
    points = tuple(
        RawPoint(grade, block, float(value))
        for grade, block, value in zip(
            grades, names, np.asarray(values, dtype=np.float64), strict=True
        )
    )
    return GradeScreening(
        method=("blocked" if analysis.blocks else "one-way")
        + " analysis of variance, Tukey"
        + ("" if control is None else " and Dunnett"),
        quantity=quantity,
        unit=unit,
        larger_is_better=larger_is_better,
        confidence=confidence,
        analysis=analysis,
        ranking=ranking,
        pairs=pairs,
        control=control,
        against_control=versus,
        points=points,
        valid=not reasons,
        reasons=reasons,
        sentences=screening_sentences(analysis, ranking, versus, unit, confidence),
    )


def screen_grades_wide(
    columns: Mapping[str, ArrayLike],
    *,
    block_names: Sequence[str] | None = None,
    control: str | None = None,
    quantity: str = "value",
    unit: str = "",
    larger_is_better: bool = True,
    confidence: float = 0.95,
    seed: int = 0,
) -> GradeScreening:
    """Compare grades from a wide table: one column for each grade.

    Parameters
    ----------
    columns : mapping of str to array_like, shape (n_rows,)
        Values by grade; nan is an empty cell.
    block_names : sequence of str, length n_rows, optional
        Block of each row; all columns then have n_rows cells.
    control, quantity, unit, larger_is_better, confidence, seed
        As `screen_grades`.

    Returns
    -------
    GradeScreening

    Raises
    ------
    OutOfRangeError
        As `screen_grades`, and if a column has more or fewer cells than there are blocks.
    """
    values: list[float] = []
    grades: list[str] = []
    blocks: list[str] = []
    for grade, column in columns.items():
        cells = np.asarray(column, dtype=np.float64).ravel()
        if block_names is not None and cells.size != len(block_names):
            raise OutOfRangeError(
                f"grade {grade} has {cells.size} cells and there are {len(block_names)} blocks, "
                "expected one cell for each block"
            )
        for row, value in enumerate(cells):
            if np.isnan(value):
                continue
            values.append(float(value))
            grades.append(grade)
            blocks.append("" if block_names is None else block_names[row])
    return screen_grades(
        values,
        grades,
        blocks=None if block_names is None else blocks,
        control=control,
        quantity=quantity,
        unit=unit,
        larger_is_better=larger_is_better,
        confidence=confidence,
        seed=seed,
    )
