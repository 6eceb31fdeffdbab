"""Predicted against measured over time: what the predictions were worth."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
import sqlalchemy as sa
from numpy.typing import NDArray
from sqlalchemy.engine import Connection

from zincite.notebook.schema import (
    formula,
    prediction,
    prediction_value,
    result,
    result_value,
    trial,
)
from zincite.statistics.scoring import crps

__all__ = ["LEVEL", "Accuracy", "Pair", "QuantityAccuracy", "accuracy"]

Array = NDArray[np.float64]

LEVEL = 0.90
"""Probability that a prediction's interval promises."""
_Z = 1.6448536269514722  # standard normal quantile of 0.95
_QUANTILES = 199
_MOST = 5000


@dataclass(frozen=True, slots=True)
class Pair:
    """A measured figure and the prediction that stood when its trial was made.

    Attributes
    ----------
    on : str
        Day of the measurement.
    trial, formula, result, prediction : str
        Names, such as "T-012", "K-07@2", "T-012/2" and "K-07@2/1".
    kind : str
        The test.
    measured, measured_low, measured_high : float or None
        With its confidence interval, None where there is none.
    median, low, high : float or None
        Predicted, with the 90 % interval; None where it is exact.
    ratio : float or None
        Measured over predicted, None where that is no number.
    inside : bool or None
        Whether the measured value lies in the predicted interval.
    crps : float or None
        Score in the unit of the figure; smaller is better.
    ahead : bool
        Whether the prediction was made no later than the trial; one made afterwards is shown but
        counts for nothing.
    coverage : float or None
        Share inside up to here, of those that count.
    """

    on: str
    trial: str
    formula: str
    result: str
    prediction: str
    kind: str
    measured: float
    measured_low: float | None
    measured_high: float | None
    median: float
    low: float | None
    high: float | None
    ratio: float | None
    inside: bool | None
    crps: float | None
    ahead: bool
    coverage: float | None = None


@dataclass(frozen=True, slots=True)
class QuantityAccuracy:
    """All pairs of one figure.

    Attributes
    ----------
    quantity, unit : str
    pairs : tuple of Pair
        In order of time.
    count, inside_count : int
        Pairs that count, with an interval and predicted ahead, and how many lie inside it.
    coverage : float or None
        Their share.
    promised : float
        What the interval promises.
    too_proud : bool
        Whether fewer lie inside than chance allows (1 in 20) if the promise held: the intervals
        are too narrow or off.
    mean_ratio : float or None
        Geometric mean of measured over predicted, of the pairs that count.
    mean_crps : float or None
        In the unit of the figure.
    """

    quantity: str
    unit: str
    pairs: tuple[Pair, ...]
    count: int
    inside_count: int
    coverage: float | None
    promised: float
    too_proud: bool
    mean_ratio: float | None
    mean_crps: float | None


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Predicted against measured.

    Attributes
    ----------
    quantities : tuple of QuantityAccuracy
        Those with most pairs first.
    more : bool
        Whether there are earlier pairs that are not shown.
    """

    quantities: tuple[QuantityAccuracy, ...]
    more: bool

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return asdict(self)


def accuracy(
    connection: Connection, *, quantity: str = "", project: str = "", at_most: int = _MOST
) -> Accuracy:
    """Return how predictions compare with what was measured, in order of time.

    Parameters
    ----------
    connection : Connection
    quantity : str
        Key such as "spf"; all that were both predicted and measured when left out.
    project : str
        Id; all projects when left out.
    at_most : int
        Pairs, the latest.

    Returns
    -------
    Accuracy
        Withdrawn things and results that are not valid are left out.

    Notes
    -----
    Of the version that was made, the latest prediction no later than the trial is taken. The score
    is the continuous ranked probability score of a distribution with the predicted median and
    interval: log-normal on either side of the median where all three are above 0, else normal.
    """
    rows = connection.execute(_question(quantity, project).limit(at_most + 1)).mappings().all()
    more = len(rows) > at_most
    groups: dict[tuple[str, str], list[Any]] = {}
    for row in _stood(rows[:at_most]):
        groups.setdefault((row["quantity"], row["unit"]), []).append(row)
    found = [_summary(name, unit, group) for (name, unit), group in groups.items()]
    found.sort(key=lambda one: (-len(one.pairs), one.quantity))
    return Accuracy(tuple(found), more)


def _question(quantity: str, project: str) -> sa.Select[Any]:
    m, p = result_value.c, prediction_value.c
    question = (
        sa.select(
            m.quantity, m.unit, m.value, m.low.label("measured_low"),
            m.high.label("measured_high"), p.median, p.low, p.high, result.c.id.label("result_id"),
            result.c.number.label("result_number"), result.c.kind, result.c.measured_on,
            trial.c.code.label("trial"), trial.c.made_on, formula.c.code, formula.c.number,
            prediction.c.number.label("prediction_number"),
            prediction.c.made_on.label("predicted_on"),
        )
        .select_from(result_value)
        .join(result, result.c.id == m.result_id)
        .join(trial, trial.c.id == result.c.trial_id)
        .join(formula, formula.c.id == trial.c.formula_id)
        .join(prediction, prediction.c.formula_id == formula.c.id)
        .join(
            prediction_value,
            sa.and_(p.prediction_id == prediction.c.id, p.quantity == m.quantity),
        )
        .where(
            result.c.withdrawn == "", result.c.valid == 1, trial.c.withdrawn == "",
            formula.c.withdrawn == "", prediction.c.withdrawn == "",
            m.value.is_not(None), p.median.is_not(None),
        )
        .order_by(result.c.measured_on.desc(), trial.c.code.desc(), result.c.number.desc())
    )  # fmt: skip
    if quantity:
        question = question.where(m.quantity == quantity)
    if project:
        question = question.where(formula.c.project_id == project)
    return question


def _stood(rows: Iterable[Any]) -> list[Any]:
    """Return the rows, earliest first, with the one prediction of each that stood at the trial."""
    best: dict[tuple[str, str], Any] = {}
    for row in rows:
        key = (row["result_id"], row["quantity"])
        known = best.get(key)
        if known is None or _standing(row) > _standing(known):
            best[key] = row
    return list(best.values())[::-1]


def _standing(row: Any) -> tuple[bool, int]:
    """Order predictions: those made ahead by their number, the first of those made afterwards."""
    ahead = row["predicted_on"] <= row["made_on"]
    return ahead, row["prediction_number"] if ahead else -row["prediction_number"]


def _summary(quantity: str, unit: str, rows: Sequence[Any]) -> QuantityAccuracy:
    scores = _scores(rows)
    pairs = [_pair(row, score) for row, score in zip(rows, scores, strict=True)]
    count = inside = 0
    for n, pair in enumerate(pairs):
        if pair.ahead and pair.inside is not None:
            count, inside = count + 1, inside + pair.inside
        pairs[n] = replace(pair, coverage=inside / count if count else None)
    counted = [pair for pair in pairs if pair.ahead]
    ratios = [math.log(pair.ratio) for pair in counted if pair.ratio is not None and pair.ratio > 0]
    scored = [pair.crps for pair in counted if pair.crps is not None]
    return QuantityAccuracy(
        quantity, unit, tuple(pairs), count, inside, inside / count if count else None, LEVEL,
        _is_surprising(inside, count),
        math.exp(math.fsum(ratios) / len(ratios)) if ratios else None,
        math.fsum(scored) / len(scored) if scored else None,
    )  # fmt: skip


def _is_surprising(inside: int, count: int) -> bool:
    """Whether as few or fewer inside have a chance below 1 in 20 under the promise (binomial)."""
    if not count or inside >= LEVEL * count:
        return False
    if count > 1000:  # the sum below would be slow, and the normal limit is close
        spread = math.sqrt(count * LEVEL * (1 - LEVEL))
        return (LEVEL * count - inside) / spread > _Z
    chance = math.fsum(
        math.comb(count, k) * LEVEL**k * (1 - LEVEL) ** (count - k) for k in range(inside + 1)
    )
    return chance < 0.05


def _pair(row: Any, score: float | None) -> Pair:
    low, high, value, median = row["low"], row["high"], row["value"], row["median"]
    has_interval = low is not None and high is not None
    formula_name = f"{row['code']}@{row['number']}"
    return Pair(
        row["measured_on"],
        row["trial"],
        formula_name,
        f"{row['trial']}/{row['result_number']}",
        f"{formula_name}/{row['prediction_number']}",
        row["kind"],
        value,
        row["measured_low"],
        row["measured_high"],
        median,
        low,
        high,
        value / median if median else None,
        low <= value <= high if has_interval else None,
        score,
        row["predicted_on"] <= row["made_on"],
    )


def _scores(rows: Sequence[Any]) -> list[float | None]:
    usable = [n for n, row in enumerate(rows) if row["low"] is not None and row["high"] is not None]
    found: list[float | None] = [None] * len(rows)
    if usable:
        low, median, high, measured = (
            np.array([rows[n][key] for n in usable], dtype=np.float64)
            for key in ("low", "median", "high", "value")
        )
        scores = crps(_draws(low, median, high), measured, form="empirical")
        for n, score in zip(usable, scores, strict=True):
            found[n] = float(score)
    return found


def _draws(low: Array, median: Array, high: Array) -> Array:
    """Return quantiles of distributions with these medians and 90 % intervals, shape (199, n)."""
    from scipy.special import ndtri

    z = ndtri((np.arange(_QUANTILES) + 0.5) / _QUANTILES)[:, None]
    logarithmic = (low > 0) & (median > 0) & (high > 0)
    a, b, c = (
        np.where(logarithmic, np.log(np.where(logarithmic, x, 1.0)), x) for x in (low, median, high)
    )
    drawn = b + z * np.where(z > 0, c - b, b - a) / _Z
    return np.asarray(np.where(logarithmic, np.exp(np.minimum(drawn, 700.0)), drawn))
