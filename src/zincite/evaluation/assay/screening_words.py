"""Grades in order, and the outcome of a screening in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from zincite.statistics.comparison import GroupAnalysis
from zincite.statistics.intervals import student_t_quantile
from zincite.statistics.multiple import Difference

__all__ = ["GradeRank", "rank_grades", "screening_sentences"]


@dataclass(frozen=True, slots=True)
class GradeRank:
    """Place of one grade.

    Attributes
    ----------
    grade : str
    rank : int
        1 is the best mean.
    n : int
        Replicates.
    mean : float
        In the unit of the values; with blocks averaged evenly over them.
    low, high : float
        Interval of this mean alone.
    probability_best : float
        That its true mean is the best.
    not_worse_than_best : bool
        Whether it cannot be told from the best mean (Tukey).
    """

    grade: str
    rank: int
    n: int
    mean: float
    low: float
    high: float
    probability_best: float
    not_worse_than_best: bool


def rank_grades(
    analysis: GroupAnalysis,
    pairs: Sequence[Difference],
    best: ArrayLike,
    larger_is_better: bool,
    confidence: float,
) -> tuple[GradeRank, ...]:
    """Return the grades, best first.

    Parameters
    ----------
    analysis : GroupAnalysis
    pairs : sequence of Difference
        All pairs of `tukey`.
    best : array_like, shape (n_groups,)
        From `probability_best`, in the order of the groups.
    larger_is_better : bool
    confidence : float
        Of each mean's own interval.
    """
    chances = np.asarray(best, dtype=np.float64)
    order = np.argsort(-analysis.means if larger_is_better else analysis.means, kind="stable")
    top = analysis.groups[int(order[0])]
    worse = {x.first for x in pairs if x.second == top and x.differs}
    worse |= {x.second for x in pairs if x.first == top and x.differs}
    t = student_t_quantile(0.5 * (1.0 + confidence), analysis.residual_df)
    ranks = []
    for rank, i in enumerate(int(place) for place in order):
        name = analysis.groups[i]
        mean = float(analysis.means[i])
        reach = t * analysis.residual_sd * float(np.sqrt(analysis.covariance[i, i]))
        ranks.append(
            GradeRank(
                name,
                rank + 1,
                analysis.counts[i],
                mean,
                mean - reach,
                mean + reach,
                float(chances[i]),
                name not in worse,
            )
        )
    return tuple(ranks)


def screening_sentences(
    analysis: GroupAnalysis,
    ranking: Sequence[GradeRank],
    versus: Sequence[Difference],
    unit: str,
    confidence: float,
) -> tuple[str, ...]:
    """Return the outcome in words.

    Parameters
    ----------
    analysis : GroupAnalysis
    ranking : sequence of GradeRank
        Best first.
    versus : sequence of Difference
        From `dunnett`, empty without a control.
    unit : str
    confidence : float
    """
    after = f" {unit}" if unit else ""
    first = ranking[0]
    words = [
        f"{first.grade} has the best mean, {first.mean:.4g}{after}, and is the best with "
        f"probability {100 * first.probability_best:.0f} %."
    ]
    tied = [item.grade for item in ranking[1:] if item.not_worse_than_best]
    if len(tied) == len(ranking) - 1:
        words.append(f"No grade can be told from it at {100 * confidence:g} %.")
    elif tied:
        words.append(f"Not to be told from it: {', '.join(tied)}.")
    else:
        words.append("All other grades are worse.")
    p = analysis.group_p
    shown = "p < 0.001" if p < 0.001 else f"p = {p:.3f}"
    words.append(
        f"One value scatters by {analysis.residual_sd:.3g}{after} (standard deviation, "
        f"{analysis.residual_df} degrees of freedom); differences among grades: {shown}."
    )
    if versus:
        other = [f"{x.first} ({x.difference:+.3g}{after})" for x in versus if x.differs]
        words.append(
            f"Different from {versus[0].second}: {', '.join(other)}."
            if other
            else f"No grade can be told from {versus[0].second}."
        )
    if any(check.doubted for check in analysis.checks) and analysis.rank_p is not None:
        words.append(
            f"An assumption is doubted; by ranks ({analysis.rank_test}) p = {analysis.rank_p:.3f}."
        )
    return tuple(words)
