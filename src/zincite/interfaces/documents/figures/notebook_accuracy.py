"""Predicted against measured over time: what was foreseen, what was found, how often it held."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart, Label
from zincite.interfaces.documents.numbers import number_text, unit_text
from zincite.interfaces.documents.quantity_words import quantity_words
from zincite.notebook.questions.accuracy import Pair, QuantityAccuracy

__all__ = ["accuracy_over_time", "coverage_over_time"]

_MOST = 60  # pairs in a picture; of more the latest
_WIDE = 8.0  # ratio of ends above which an axis is logarithmic


def accuracy_over_time(found: QuantityAccuracy, *, key: str) -> str:
    """Return predicted intervals and measured values in order of time, as SVG.

    Parameters
    ----------
    found : QuantityAccuracy
    key : str
        Of the picture within its page.
    """
    pairs = found.pairs[-_MOST:]
    values = [v for pair in pairs for v in _values(pair)]
    low, high = min(values), max(values)
    is_log = low > 0 and high / low > _WIDE
    margin = 0.08 * (high - low) or 0.1 * abs(high) or 1.0
    ends = (low / 1.2, high * 1.2) if is_log else (low - margin, high + margin)
    chart = Chart((-0.7, len(pairs) - 0.3), ends, y_log=is_log, label_room=104.0, width=560.0)
    name, unit = quantity_words(found.quantity), unit_text(found.unit)
    chart.y_axis(f"{name}, {unit}" if unit else name)
    _days(chart, pairs)
    for place, pair in enumerate(pairs):
        _draw(chart, place, pair)
    _name_last(chart, pairs)
    last = pairs[-1]
    return chart.picture(
        title=f"{name}: predicted and measured",
        description=f"{len(pairs)} pairs in order of time from {pairs[0].on} to {last.on}; "
        f"{found.inside_count} of {found.count} measured values lie inside the predicted interval. "
        f"The last: predicted {number_text(last.median)}, measured {number_text(last.measured)}.",
        key=key,
    )


def _values(pair: Pair) -> list[float]:
    known = (
        pair.median, pair.low, pair.high, pair.measured, pair.measured_low, pair.measured_high,
    )  # fmt: skip
    return [value for value in known if value is not None]


def _days(chart: Chart, pairs: Sequence[Pair]) -> None:
    """Draw the axis of pairs in order; their days stand where there is room."""
    chart.x_axis("pairs in order of time", ticks=[])
    taken = -1e9
    for place, pair in enumerate(pairs):
        at = chart.x(place)
        chart.add(svg.line(at, chart.bottom, at, chart.bottom + 4, stroke=svg.MUTED))
        half = svg.text_width(pair.on, 10.0) / 2
        if at - half > taken and at + half < chart.right + 30:
            chart.add(
                svg.text(at, chart.bottom + 16, pair.on, anchor="middle", size=10.0, fill=svg.MUTED)
            )
            taken = at + half + 8


def _draw(chart: Chart, place: int, pair: Pair) -> None:
    x = chart.x(place)
    if pair.low is not None and pair.high is not None:
        top, bottom = chart.y(pair.high), chart.y(pair.low)
        chart.add(
            svg.rect(x - 3.5, top, 7, bottom - top, fill=svg.MUTED,
                     opacity=0.32 if pair.ahead else 0.12)
        )  # fmt: skip
    middle = chart.y(pair.median)
    chart.add(svg.line(x - 5, middle, x + 5, middle, stroke=svg.MUTED, width=2.0))
    y = chart.y(pair.measured)
    if pair.measured_low is not None and pair.measured_high is not None:
        chart.add(svg.line(x, chart.y(pair.measured_low), x, chart.y(pair.measured_high)))
    # outside is told by shape: a filled disc, which a print in black shows too
    fill = svg.OCHRE if pair.inside is False else svg.PAPER
    chart.add(svg.circle(x, y, 3.4, fill=fill, stroke=svg.INK))


def _name_last(chart: Chart, pairs: Sequence[Pair]) -> None:
    last = pairs[-1]
    right = chart.x(len(pairs) - 1) + 6
    chart.labels.append(
        Label(chart.y(last.measured), "measured\n(filled: outside)", svg.INK, right)
    )
    told = "predicted, 90\u00a0%" if last.low is not None else "predicted"
    at = last.high if last.high is not None else last.median
    chart.labels.append(Label(chart.y(at), told, svg.MUTED, right))


def coverage_over_time(found: QuantityAccuracy, *, key: str) -> str:
    """Return how often the interval held so far, as SVG.

    Parameters
    ----------
    found : QuantityAccuracy
        With at least one pair that counts.
    key : str
    """
    counted = [pair for pair in found.pairs if pair.ahead and pair.coverage is not None]
    share = np.array([100.0 * (pair.coverage or 0.0) for pair in counted])
    numbers = np.arange(1, len(counted) + 1, dtype=np.float64)
    chart = Chart(
        (0.5, len(counted) + 0.5), (0.0, 100.0), label_room=104.0, width=560.0, height=200
    )
    chart.y_axis("inside so far, %")
    step = max(len(counted) // 6, 1)
    chart.x_axis(
        "predictions that were put to the test", [float(n) for n in numbers[step - 1 :: step]]
    )
    chart.mark_y(100.0 * found.promised, f"promised, {100 * found.promised:.0f}\u00a0%")
    chart.line(numbers, share, f"held, {share[-1]:.0f}\u00a0%", stroke=svg.OCHRE)
    if len(counted) == 1:
        chart.add(svg.circle(chart.x(1.0), chart.y(float(share[0])), 3.4, fill=svg.OCHRE))
    return chart.picture(
        title=f"{quantity_words(found.quantity)}: how often the interval held",
        description=f"{found.inside_count} of {found.count} measured values inside, "
        f"{share[-1]:.0f} % where {100 * found.promised:.0f} % were promised.",
        key=key,
    )
