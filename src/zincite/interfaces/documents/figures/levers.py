"""What moves SPF and white cast: bars to both sides of no change."""

from __future__ import annotations

import math
from collections.abc import Sequence

from zincite.evaluation.levers import Lever
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.names import short_change
from zincite.interfaces.documents.numbers import number_text, signed_text
from zincite.interfaces.documents.scales import LinearScale

__all__ = ["lever_chart"]

_WIDTH, _LABELS, _ROW, _TOP = 430.0, 124.0, 34.0, 44.0
_NUMBER_ROOM = 44.0
_MOST_ROWS = 10


def lever_chart(levers: Sequence[Lever], *, key: str = "levers") -> str:
    """Return the change of SPF and of white cast by each lever.

    Parameters
    ----------
    levers : sequence of Lever
        The largest first; at most ten are drawn.
    key : str

    Returns
    -------
    str
        SVG with two panels of bars, each with its number.
    """
    shown = list(levers)[:_MOST_ROWS]
    height = _TOP + _ROW * max(len(shown), 1) + 10
    parts = [_row_label(lever, _TOP + _ROW * row) for row, lever in enumerate(shown)]
    middle = _LABELS + (_WIDTH - _LABELS) / 2
    parts += _panel(
        "SPF, change", [v.spf_percent for v in shown], _LABELS, middle - 6, svg.INK, height
    )
    parts += _panel(
        "white cast, change",
        [v.white_cast_percent for v in shown],
        middle + 6,
        _WIDTH,
        svg.OCHRE,
        height,
    )
    if not shown:
        parts.append(svg.text(0, _TOP + 20, "no pigment, so no lever", fill=svg.MUTED))
    return svg.picture(
        parts,
        width=_WIDTH,
        height=height,
        title="Levers: what a change does",
        description="; ".join(
            f"{v.change}: SPF {signed_text(v.spf_percent)} %, "
            f"white cast {signed_text(v.white_cast_percent)} %"
            for v in shown
        )
        or "No lever.",
        key=key,
    )


def _row_label(lever: Lever, y: float) -> str:
    words = short_change(lever.change, lever.material).replace("1 % ", "1\u00a0% ")
    size, lines = 11.5, svg.wrap(words, _LABELS - 8, 11.5)
    if len(lines) > 2:
        size, lines = 10.0, svg.wrap(words, _LABELS - 8, 10.0)
    if len(lines) > 3:
        lines = [*lines[:2], f"{lines[2]}…"]
    step = 13.0 if size > 11 else 11.0
    first = y + _ROW / 2 + 4 - step / 2 * (len(lines) - 1)
    return "".join(
        svg.text(0, first + step * row, content, size=size) for row, content in enumerate(lines)
    )


def _panel(
    name: str, values: Sequence[float], left: float, right: float, fill: str, height: float
) -> list[str]:
    """Return one panel: title, zero line, bars and their numbers at the ends."""
    finite = [v for v in values if math.isfinite(v)]
    low, high = min([0.0, *finite]), max([0.0, *finite])
    if high == low:
        high = 1.0
    # numbers stand outside the bars, so each side that has bars keeps room for them
    inner_left = left + (_NUMBER_ROOM if low < 0 else 6)
    inner_right = right - (_NUMBER_ROOM if high > 0 else 6)
    scale = LinearScale(low, high, inner_left, inner_right)
    zero = scale(0.0)
    parts = [
        svg.text(left, 14, name, size=11.5, weight="600", fill=fill),
        svg.text(zero, 34, "0", size=10, anchor="middle", fill=svg.MUTED),
        svg.line(zero, _TOP - 4, zero, height - 6, stroke=svg.MUTED),
    ]
    for row, value in enumerate(values):
        y = _TOP + _ROW * row + _ROW / 2
        if not math.isfinite(value):
            parts.append(svg.text(zero + 5, y + 4, number_text(value), size=11, fill=svg.MUTED))
            continue
        end = scale(value)
        parts.append(svg.rect(min(zero, end), y - 8, abs(end - zero), 16, fill=fill, opacity=0.8))
        ahead = value >= 0
        parts.append(
            svg.text(
                end + (5 if ahead else -5),
                y + 4,
                f"{signed_text(value)} %",
                size=11,
                anchor="start" if ahead else "end",
                fill=fill,
            )
        )
    return parts
