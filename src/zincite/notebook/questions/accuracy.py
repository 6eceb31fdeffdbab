"""Predicted against measured over time: what the predictions were worth."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.questions.readings import KEY_QUANTITIES
from zincite.notebook.questions.worth import (
    LEVEL,
    geometric_mean,
    interval_scores,
    too_few_inside,
)
from zincite.notebook.schema import (
    formula,
    prediction,
    prediction_value,
    result,
    result_value,
    trial,
)

__all__ = ["Accuracy", "Pair", "QuantityAccuracy", "accuracy"]

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
    """All pairs of one figure by one kind of test: plates and people do not measure the same.

    Attributes
    ----------
    quantity, unit : str
    kind : str
        The test, such as "uva" or "uva-pf".
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
        Geometric mean of measured over predicted, of the pairs that count; None where one of them
        is 0 or less.
    mean_crps : float or None
        In the unit of the figure.
    """

    quantity: str
    unit: str
    kind: str
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
        SPF and the other figures that a trial is known by first.
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
    groups: dict[tuple[str, str, str], list[Any]] = {}
    for row in _stood(rows[:at_most]):
        groups.setdefault((row["quantity"], row["unit"], row["kind"]), []).append(row)
    found = [_summary(*key, group) for key, group in groups.items()]
    order = {name: n for n, name in enumerate(KEY_QUANTITIES)}
    found.sort(key=lambda one: (order.get(one.quantity, len(order)), one.quantity, one.kind))
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


def _summary(quantity: str, unit: str, kind: str, rows: Sequence[Any]) -> QuantityAccuracy:
    scores = interval_scores(rows)
    pairs = [_pair(row, score) for row, score in zip(rows, scores, strict=True)]
    count = inside = 0
    for n, pair in enumerate(pairs):
        if pair.ahead and pair.inside is not None:
            count, inside = count + 1, inside + pair.inside
        pairs[n] = replace(pair, coverage=inside / count if count else None)
    counted = [pair for pair in pairs if pair.ahead]
    ratios = [0.0 if pair.ratio is None else pair.ratio for pair in counted]
    scored = [pair.crps for pair in counted if pair.crps is not None]
    return QuantityAccuracy(
        quantity, unit, kind, tuple(pairs), count, inside, inside / count if count else None, LEVEL,
        too_few_inside(inside, count),
        geometric_mean(ratios),
        sum(scored) / len(scored) if scored else None,
    )  # fmt: skip


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
