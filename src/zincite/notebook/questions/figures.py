"""Predicted and measured figures side by side, and whether they differ clearly."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy.engine import Connection

from zincite.errors import NotebookError
from zincite.notebook.predictions import PredictionRecord, get_prediction
from zincite.notebook.quantities import PredictedValue
from zincite.notebook.questions.readings import Reading, latest_of, readings_of

__all__ = ["Figure", "FigureChange", "measured_changes", "predicted_changes"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its interval.

    Attributes
    ----------
    value : float
    low, high : float or None
        None where there is no interval.
    source : str
        Prediction or result, such as "K-07@2/1" or "T-012/2".
    """

    value: float
    low: float | None
    high: float | None
    source: str


@dataclass(frozen=True, slots=True)
class FigureChange:
    """A figure of both sides.

    Attributes
    ----------
    quantity, unit : str
    kind : str
        The test that measured it, "" of a prediction: only figures of the same test are compared.
    first, second : Figure or None
        None where a side has none.
    difference, percent : float or None
        Second less first, and that as a share of the first. [unit], [%]
    clear : bool or None
        Whether the difference exceeds both intervals: they do not meet. None where a side has no
        interval.
    """

    quantity: str
    unit: str
    kind: str
    first: Figure | None
    second: Figure | None
    difference: float | None
    percent: float | None
    clear: bool | None


def _change(
    quantity: str, unit: str, kind: str, first: Figure | None, second: Figure | None
) -> FigureChange:
    if first is None or second is None:
        return FigureChange(quantity, unit, kind, first, second, None, None, None)
    difference = second.value - first.value
    percent = None if first.value == 0 else 100.0 * difference / abs(first.value)
    clear = None
    if None not in (first.low, first.high, second.low, second.high):
        clear = bool(first.high < second.low or second.high < first.low)  # type: ignore[operator]
    return FigureChange(quantity, unit, kind, first, second, difference, percent, clear)


def predicted_changes(connection: Connection, first: str, second: str) -> tuple[FigureChange, ...]:
    """Return the figures of the latest predictions of two versions.

    Parameters
    ----------
    connection : Connection
    first, second : str
        Versions such as "K-07@2".
    """
    sides = [_prediction(connection, name) for name in (first, second)]
    one, two = (
        {v.quantity: (v, side.called) for v in side.values} if side is not None else {}
        for side in sides
    )
    found = []
    for quantity in dict.fromkeys([*two, *one]):
        figures = [_figure(*side[quantity]) if quantity in side else None for side in (one, two)]
        unit = (two.get(quantity) or one[quantity])[0].unit
        found.append(_change(quantity, unit, "", figures[0], figures[1]))
    return tuple(found)


def _figure(value: PredictedValue, source: str) -> Figure | None:
    if value.median is None:
        return None
    return Figure(value.median, value.low, value.high, source)


def _prediction(connection: Connection, formula: str) -> PredictionRecord | None:
    try:
        found = get_prediction(connection, formula)
    except NotebookError:  # none was kept
        return None
    return None if found.withdrawn else found


def measured_changes(
    connection: Connection, first: Sequence[str], second: Sequence[str]
) -> tuple[FigureChange, ...]:
    """Return the measured figures of two sets of trials, the latest of each test.

    Parameters
    ----------
    connection : Connection
    first, second : sequence of str
        Ids of trials.
    """
    readings = readings_of(connection, [*first, *second])
    one, two = (_latest(r for id in side for r in readings[id]) for side in (first, second))
    found = []
    for kind, quantity in dict.fromkeys([*two, *one]):
        sides = [side.get((kind, quantity)) for side in (one, two)]
        unit = next(side.unit for side in reversed(sides) if side is not None)
        figures = [
            None if side is None else Figure(side.value, side.low, side.high, side.result)
            for side in sides
        ]
        found.append(_change(quantity, unit, kind, figures[0], figures[1]))
    return tuple(found)


def _latest(readings: Iterable[Reading]) -> dict[tuple[str, str], Reading]:
    groups: dict[tuple[str, str], list[Reading]] = {}
    for reading in readings:
        groups.setdefault((reading.kind, reading.quantity), []).append(reading)
    return {key: found for key, group in groups.items() if (found := latest_of(group)) is not None}
