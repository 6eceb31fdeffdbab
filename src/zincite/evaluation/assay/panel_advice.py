"""How many more subjects a panel is likely to need, and whether it will reach a target."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.rules import limit
from zincite.statistics.intervals import (
    half_width_percent,
    largest_passing_cv_percent,
    student_t_quantile,
)

__all__ = [
    "ASSUMED_CV_PERCENT",
    "PanelAdvice",
    "PanelProbability",
    "panel_advice",
    "panel_probability",
]

Array = NDArray[np.float64]

ASSUMED_CV_PERCENT = 20.0
"""Scatter of individual SPF within a panel where none was measured (assumed, no source)."""

_FEWEST = 3
"""Below three values the scatter is known too badly for advice (our rule, no source)."""

_SIMULATIONS = 4000


@dataclass(frozen=True, slots=True)
class PanelAdvice:
    """How many subjects meet the interval criterion.

    Attributes
    ----------
    met : bool
        Whether the panel meets number and interval already.
    total_at_present_cv : int or None
        Smallest number of valid subjects whose interval meets the limit if the coefficient of
        variation stays as it is; None where the largest permitted number does not.
    more_at_present_cv : int or None
        How many more that is.
    chance_by_total : tuple of (int, float)
        For each total from now to the largest, the probability that the criterion has been met by
        then, when it is looked at after every subject.
    sentence : str
        The same in words.
    """

    met: bool
    total_at_present_cv: int | None
    more_at_present_cv: int | None
    chance_by_total: tuple[tuple[int, float], ...]
    sentence: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "met": self.met,
            "total_at_present_cv": self.total_at_present_cv,
            "more_at_present_cv": self.more_at_present_cv,
            "chance_by_total": [
                {"n": n, "probability": chance} for n, chance in self.chance_by_total
            ],
            "sentence": self.sentence,
        }


def panel_advice(values: ArrayLike, method: str = "ISO 24444", *, seed: int = 0) -> PanelAdvice:
    """Return how many more subjects a panel is likely to need.

    Parameters
    ----------
    values : array_like, shape (n,)
        Individual factors that count, > 0.
    method : str
        "ISO 24444" or "ISO 24442", whose limits hold.
    seed : int
        Of the simulation of subjects still to come.

    Returns
    -------
    PanelAdvice

    Notes
    -----
    At the present coefficient of variation v the criterion needs v <= limit sqrt(n)/t(0.975;
    n - 1). The probability draws mean and scatter from their t posterior (flat priors, normal
    values) and the new subjects from those.
    """
    sample = np.asarray(values, dtype=np.float64)
    count = limit(method, "subjects")
    width = limit(method, "half_width_percent")
    most_percent = width.high
    least, most, n = int(count.low), int(count.high), sample.size
    if n < _FEWEST:
        return PanelAdvice(
            False, None, None, (), f"{n} valid subjects say too little of the scatter for advice."
        )
    if count.holds(n) and width.holds(half_width_percent(sample)):
        return PanelAdvice(
            True,
            n,
            0,
            ((n, 1.0),),
            f"{n} subjects meet the {most_percent:g} % criterion; none is missing.",
        )
    cv = 100.0 * float(sample.std(ddof=1)) / float(sample.mean())
    totals = range(max(n + 1, least), most + 1)
    total = next((m for m in totals if cv <= largest_passing_cv_percent(m, most_percent)), None)
    chances = _chances(sample, least, most, most_percent, seed)
    more = None if total is None else total - n
    return PanelAdvice(
        False, total, more, chances, _sentence(cv, n, total, most, most_percent, chances)
    )


def _chances(
    sample: Array, least: int, most: int, limit: float, seed: int
) -> tuple[tuple[int, float], ...]:
    n, extra = sample.size, most - sample.size
    if extra < 1:
        return ()
    rng = np.random.default_rng(seed)
    sd = float(sample.std(ddof=1)) * np.sqrt((n - 1) / rng.chisquare(n - 1, _SIMULATIONS))
    centre = float(sample.mean()) + sd / math.sqrt(n) * rng.standard_normal(_SIMULATIONS)
    new = centre[:, None] + sd[:, None] * rng.standard_normal((_SIMULATIONS, extra))
    totals = n + np.arange(1, extra + 1)
    # about the present mean, so that the sums of squares keep their digits
    shifted = new - sample.mean()
    sums = np.cumsum(shifted, axis=1)
    squares = float(np.sum((sample - sample.mean()) ** 2)) + np.cumsum(shifted**2, axis=1)
    spread = np.sqrt(np.maximum(squares - sums**2 / totals, 0.0) / (totals - 1))
    mean = sample.mean() + sums / totals
    t = np.array([student_t_quantile(0.975, int(total) - 1) for total in totals])
    meets = (t * spread / np.sqrt(totals) <= 0.01 * limit * mean) & (totals >= least)
    by_then = np.mean(np.logical_or.accumulate(meets, axis=1), axis=0)
    return tuple(
        (int(total), float(chance))
        for total, chance in zip(totals, by_then, strict=True)
        if total >= least
    )


def _sentence(
    cv: float,
    n: int,
    total: int | None,
    most: int,
    limit: float,
    chances: Sequence[tuple[int, float]],
) -> str:
    if not chances:
        return f"{n} subjects do not meet the criterion and no more than {most} are permitted."
    by_most = f"by {most}, the largest number, {100 * chances[-1][1]:.0f} %"
    if total is None:
        return (
            f"With the present scatter ({cv:.0f} % of the mean) even {most} subjects miss the "
            f"{limit:g} % criterion; chance of meeting it {by_most}."
        )
    chance = dict(chances)[total]
    start = (
        f"With the present scatter ({cv:.0f} % of the mean) {total} subjects meet the {limit:g} % "
        f"criterion, {total - n} more than now; chance of meeting it by then {100 * chance:.0f} %"
    )
    return f"{start}." if total == most else f"{start}, {by_most}."


@dataclass(frozen=True, slots=True)
class PanelProbability:
    """Probability that a panel's mean reaches a target, given the prediction.

    Attributes
    ----------
    probability : float
    target_spf : float
    n : int
        Subjects in the panel.
    cv_percent : float
        Scatter of individual values in percent of the true SPF.
    cv_assumed : bool
        Whether the scatter is the shipped assumption.
    """

    probability: float
    target_spf: float
    n: int
    cv_percent: float
    cv_assumed: bool

    @property
    def sentence(self) -> str:
        """The result in words."""
        kind = "assumed" if self.cv_assumed else "given"
        return (
            f"A panel of {self.n} reaches a mean of {self.target_spf:g} with probability "
            f"{100 * self.probability:.0f} %, if the prediction holds and subjects scatter by "
            f"{self.cv_percent:.0f} % ({kind})."
        )

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = plain(self)
        return {**shown, "sentence": self.sentence}


def panel_probability(
    prediction_draws: ArrayLike,
    target_spf: float,
    *,
    n: int = 10,
    cv_percent: float | None = None,
) -> PanelProbability:
    """Return the probability that a panel's mean will reach a target.

    Parameters
    ----------
    prediction_draws : array_like, shape (n_draws,)
        Draws of the true SPF from the prediction, > 0.
    target_spf : float
        Mean that the panel must reach, such as `label_target(...).tested_spf_min`, > 0.
    n : int
        Subjects in the panel, at least 1.
    cv_percent : float, optional
        Standard deviation of individual SPF in percent of the true SPF, >= 0; left out, the
        assumed `ASSUMED_CV_PERCENT`.

    Returns
    -------
    PanelProbability

    Raises
    ------
    OutOfRangeError
        If an argument is out of range.

    Notes
    -----
    For each draw the panel's mean is normal about it with the standard deviation
    draw x CV / sqrt(n); the probability is averaged over the draws. Differences between
    laboratories are in it only as far as the draws hold them.

    Examples
    --------
    >>> panel_probability([30.0], 30.0).probability
    0.5
    """
    draws = np.asarray(prediction_draws, dtype=np.float64)
    if draws.ndim != 1 or draws.size == 0 or not np.all(np.isfinite(draws) & (draws > 0)):
        raise OutOfRangeError("draws of the prediction are not a list of SPF above 0")
    if not (math.isfinite(target_spf) and target_spf > 0):
        raise OutOfRangeError(f"target SPF is {target_spf:g}, expected above 0")
    if n < 1:
        raise OutOfRangeError(f"number of subjects is {n}, expected at least 1")
    scatter = ASSUMED_CV_PERCENT if cv_percent is None else float(cv_percent)
    if not (math.isfinite(scatter) and scatter >= 0):
        raise OutOfRangeError(f"scatter of subjects is {scatter:g} %, expected 0 or more")
    if scatter == 0:
        probability = float(np.mean(draws >= target_spf))
    else:
        from scipy.special import ndtr

        sd = draws * scatter / 100.0 / math.sqrt(n)
        probability = float(np.mean(ndtr((draws - target_spf) / sd)))
    return PanelProbability(probability, float(target_spf), n, scatter, cv_percent is None)
