"""Dots of single values with their mean and interval, limits, and what was predicted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from zincite.evaluation.estimate import Estimate
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.numbers import found_text, number_text
from zincite.interfaces.documents.scales import LinearScale, nice_ticks, tick_text

__all__ = ["Bar", "Dot", "DotRow", "dot_plot", "dot_rows"]

_WIDTH, _LEFT, _RIGHT = 430.0, 112.0, 420.0
_TOP, _ROW, _BAR_ROW, _FOOT = 40.0, 15.0, 24.0, 40.0
_SMALL = 11.0
_LONGEST = 16


@dataclass(frozen=True, slots=True)
class Dot:
    """One value; one that does not count is drawn hollow."""

    name: str
    value: float
    counts: bool = True


@dataclass(frozen=True, slots=True)
class Bar:
    """A mean with its interval."""

    name: str
    middle: float
    low: float | None = None
    high: float | None = None
    text: str = ""
    predicted: bool = False


@dataclass(frozen=True, slots=True)
class DotRow:
    """A row of a picture of groups: dots on one line, and bars under them."""

    name: str
    dots: tuple[float, ...]
    bars: tuple[Bar, ...]


def predicted_bar(found: Estimate) -> Bar:
    """Return the bar of a prediction."""
    return Bar("predicted, 90 %", found.median, found.low, found.high, found_text(found), True)


def _scale(values: Sequence[float | None]) -> LinearScale:
    finite = [v for v in values if v is not None and math.isfinite(v)] or [0.0, 1.0]
    low, high = min(finite), max(finite)
    room = 0.06 * (high - low) or 0.1 * max(abs(high), 1.0)
    return LinearScale(low - room, high + room, _LEFT, _RIGHT)


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…"


def _axis(scale: LinearScale, title: str, bottom: float, top: float) -> list[str]:
    parts = [svg.text(0, 13, title)]
    for tick in nice_ticks(scale.low, scale.high, 6):
        at = scale(tick)
        parts.append(svg.line(at, top, at, bottom, stroke=svg.GRID))
        parts.append(
            svg.text(at, bottom + 16, tick_text(tick), size=_SMALL, anchor="middle", fill=svg.MUTED)
        )
    return parts


def _limits(
    scale: LinearScale, limits: Sequence[tuple[float, str]], top: float, bottom: float
) -> list[str]:
    """Return dashed lines with their names above; names that would touch are left out."""
    parts: list[str] = []
    taken = -math.inf
    for at, name in sorted(limits):
        if not scale.low <= at <= scale.high:
            continue
        place = scale(at)
        parts.append(svg.line(place, top - 4, place, bottom, stroke=svg.OCHRE, dash="4 3"))
        half = svg.text_width(name, _SMALL) / 2
        centre = min(max(place, half), _WIDTH - half)
        if centre - half > taken + 4:
            parts.append(
                svg.text(centre, top - 8, name, size=_SMALL, anchor="middle", fill=svg.OCHRE)
            )
            taken = centre + half
    return parts


def _bar(bar: Bar, scale: LinearScale, y: float) -> list[str]:
    stroke = svg.MUTED if bar.predicted else svg.INK
    parts = []
    if bar.low is not None and bar.high is not None:
        left, right = scale(bar.low), scale(bar.high)
        height = 9.0 if bar.predicted else 5.0
        parts.append(
            svg.rect(
                left,
                y - height / 2,
                max(right - left, 1.5),
                height,
                fill=stroke,
                opacity=0.25 if bar.predicted else 0.45,
            )
        )
    at = scale(bar.middle)
    parts.append(svg.line(at, y - 7, at, y + 7, stroke=stroke, width=2.6))
    return parts


def dot_plot(
    dots: Sequence[Dot],
    bars: Sequence[Bar],
    *,
    axis: str,
    title: str,
    limits: Sequence[tuple[float, str]] = (),
    reach_limits: bool = False,
    key: str = "dots",
) -> str:
    """Return values row by row, with means and intervals below.

    Parameters
    ----------
    dots : sequence of Dot
    bars : sequence of Bar
        At least one.
    axis, title : str
        Quantity with its unit; title of the picture.
    limits : sequence of (float, str)
        Values to mark with their names.
    reach_limits : bool
        Whether the axis reaches all limits; else those beyond the values are not drawn.
    key : str
        Makes ids unique within a page.

    Returns
    -------
    str
        SVG.
    """
    ends = [end for bar in bars for end in (bar.middle, bar.low, bar.high)]
    if reach_limits:
        ends += [at for at, _ in limits]
    scale = _scale([*(dot.value for dot in dots), *ends])
    split = _TOP + _ROW * len(dots) + 6
    bottom = split + _BAR_ROW * len(bars) + 4
    parts = _axis(scale, axis, bottom, _TOP)
    parts += _limits(scale, limits, _TOP, bottom)
    for row, dot in enumerate(dots):
        y = _TOP + _ROW * (row + 0.5)
        fill = svg.INK if dot.counts else svg.PAPER
        parts.append(svg.text(0, y + 4, _short(dot.name), size=_SMALL, fill=svg.MUTED))
        parts.append(svg.circle(scale(dot.value), y, 3.6, fill=fill, stroke=svg.INK))
    parts.append(svg.line(0, split, _RIGHT, split, stroke=svg.GRID))
    for row, bar in enumerate(bars):
        y = split + _BAR_ROW * (row + 0.5) + 2
        stroke = svg.MUTED if bar.predicted else svg.INK
        parts.append(svg.text(0, y + 4, bar.name, size=_SMALL, fill=stroke, weight="600"))
        parts += _bar(bar, scale, y)
    return svg.picture(
        parts,
        width=_WIDTH,
        height=bottom + _FOOT - 16,
        title=title,
        description=_described(dots, bars, limits),
        key=key,
    )


def _described(
    dots: Sequence[Dot], bars: Sequence[Bar], limits: Sequence[tuple[float, str]]
) -> str:
    parts = [f"{bar.name}: {bar.text or number_text(bar.middle)}" for bar in bars]
    counted = [dot.value for dot in dots if dot.counts]
    if counted:
        parts.append(
            f"{len(counted)} values from {number_text(min(counted))} to {number_text(max(counted))}"
        )
    parts += [f"{dot.name} is not counted" for dot in dots if not dot.counts]
    parts += [f"limit {name} at {number_text(at)}" for at, name in limits]
    return "; ".join(parts) + "."


def dot_rows(
    rows: Sequence[DotRow],
    *,
    axis: str,
    title: str,
    limits: Sequence[tuple[float, str]] = (),
    key: str = "rows",
) -> str:
    """Return groups, one under the other: dots of each value, bars of mean and prediction.

    Parameters
    ----------
    rows : sequence of DotRow
    axis, title, limits, key
        As `dot_plot`.
    """
    every: list[float | None] = [x for row in rows for x in row.dots]
    for row in rows:
        every += [end for bar in row.bars for end in (bar.middle, bar.low, bar.high)]
    scale = _scale([*every, *(at for at, _ in limits)])
    heights = [
        max(
            18.0 + 16.0 * len(row.bars) + (10.0 if row.dots else 0.0),
            10.0 + 12.0 * len(_name_lines(row)),
        )
        for row in rows
    ]
    bottom = _TOP + sum(heights) + 4
    parts = _axis(scale, axis, bottom, _TOP)
    parts += _limits(scale, limits, _TOP, bottom)
    y = _TOP
    for row, height in zip(rows, heights, strict=True):
        parts += _row(row, scale, y, height)
        y += height
    return svg.picture(
        parts,
        width=_WIDTH,
        height=bottom + _FOOT - 16,
        title=title,
        description="; ".join(
            f"{row.name}: "
            + ", ".join(f"{bar.name} {bar.text or number_text(bar.middle)}" for bar in row.bars)
            for row in rows
        ),
        key=key,
    )


def _name_lines(row: DotRow) -> list[str]:
    words = [_short(word) for word in row.name.split()]
    return svg.wrap(" ".join(words), _LEFT - 12, _SMALL)[:4]


def _row(row: DotRow, scale: LinearScale, y: float, height: float) -> list[str]:
    lines = _name_lines(row)
    first = y + height / 2 + 4 - 6 * (len(lines) - 1)
    parts = [
        svg.text(0, first + 12 * n, line, size=_SMALL, weight="600") for n, line in enumerate(lines)
    ]
    at = y + 12
    if row.dots:
        parts += [svg.circle(scale(v), at, 3.2, fill="none", stroke=svg.INK) for v in row.dots]
        at += 13
    for bar in row.bars:
        parts += _bar(bar, scale, at)
        at += 16
    parts.append(svg.line(0, y + height, _RIGHT, y + height, stroke=svg.GRID))
    return parts
