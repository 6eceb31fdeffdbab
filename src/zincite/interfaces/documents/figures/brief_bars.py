"""Each requirement of the brief as an interval against its limit."""

from __future__ import annotations

import math
from collections.abc import Sequence

from zincite.evaluation.estimate import Exact
from zincite.evaluation.judgement import BriefLine
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.marks import verdict_mark
from zincite.interfaces.documents.numbers import (
    decimals_for,
    found_text,
    number_text,
    unit_text,
    with_unit,
)
from zincite.interfaces.documents.scales import LinearScale, LogScale, Scale

__all__ = ["brief_bar", "brief_bars", "limit_text"]

_ROW = 52.0
_DECADE = 8.0
"""An interval whose ends are further apart than this ratio is drawn on a logarithmic scale."""


def limit_text(line: BriefLine) -> str:
    """Return a limit as printed, such as "at least 30"."""
    return f"{line.sense} {with_unit(number_text(line.limit, digits=4), line.unit)}"


def _scale(line: BriefLine, left: float, right: float) -> Scale | None:
    """Return the row's own scale, None where nothing was found."""
    values = [line.limit]
    if isinstance(line.found, Exact):
        values += [] if line.found.value is None else [line.found.value]
    else:
        values += [line.found.low, line.found.median, line.found.high]
    values = [v for v in values if math.isfinite(v)]
    if len(values) < 2:
        return None
    low, high = min(values), max(values)
    if low > 0 and high / low > _DECADE:
        room = (high / low) ** 0.12
        return LogScale(low / room, high * room, left, right)
    room = 0.14 * (high - low) or 0.1 * abs(high) or 1.0
    return LinearScale(low - room, high + room, left, right)


def _drawn(line: BriefLine, left: float, right: float, y: float) -> list[str]:
    """Return the bar of one requirement between two places, centred at y."""
    scale = _scale(line, left, right)
    if scale is None:
        return [
            svg.line(left, y, right, y, stroke=svg.FAINT, dash="2 4"),
            svg.text(
                (left + right) / 2, y - 5, "not known", anchor="middle", size=11, fill=svg.MUTED
            ),
        ]
    at = scale(line.limit)
    bad = (left, at) if line.sense == "at least" else (at, right)
    parts = [
        svg.hatch(bad[0], y - 9, bad[1] - bad[0], 18),
        svg.line(left, y + 9, right, y + 9, stroke=svg.FAINT),
    ]
    ink = svg.INK if line.verdict == "passes" else svg.OCHRE
    if not isinstance(line.found, Exact):
        low, high = scale(line.found.low), scale(line.found.high)
        parts.append(svg.rect(low, y - 5, max(high - low, 1.5), 10, fill=ink, opacity=0.35))
        middle = scale(line.found.median)
        parts.append(svg.line(middle, y - 8, middle, y + 8, stroke=ink, width=3))
    elif line.found.value is not None:
        parts.append(svg.circle(scale(line.found.value), y, 5, fill=ink))
    parts.append(svg.line(at, y - 13, at, y + 13, stroke=svg.INK, width=1.4))
    return parts


def _words_below(line: BriefLine, left: float, right: float, y: float) -> list[str]:
    """Return the limit under its line and, where they have room, the interval's ends."""
    scale = _scale(line, left, right)
    if scale is None:
        return []
    parts: list[str] = []
    limit = number_text(line.limit, digits=4)
    half = svg.text_width(limit, 11) / 2
    at = min(max(scale(line.limit), left + half), right - half)
    parts.append(svg.text(at, y, limit, anchor="middle", size=11, weight="600"))
    taken = [(at - half, at + half)]
    ends: list[float] = []
    places = decimals_for(line.found)
    if not isinstance(line.found, Exact):
        ends = [line.found.low, line.found.high]
    elif line.found.value is not None:
        ends = [line.found.value]
    for value in ends:
        shown = number_text(value, decimals=places)
        half = svg.text_width(shown, 10) / 2
        place = min(max(scale(value), left + half), right - half)
        if any(place - half < b + 4 and place + half > a - 4 for a, b in taken):
            continue
        taken.append((place - half, place + half))
        parts.append(svg.text(place, y, shown, anchor="middle", size=10, fill=svg.MUTED))
    return parts


def _words(line: BriefLine) -> str:
    return f"{line.verdict}: {found_text(line.found)}, {limit_text(line)}"


def brief_bar(line: BriefLine, *, key: str) -> str:
    """Return one requirement as a bar: interval, best estimate as tick, limit as upright line.

    Parameters
    ----------
    line : BriefLine
    key : str
        Makes ids unique within a page.

    Returns
    -------
    str
        SVG; the hatched side is the side that misses.
    """
    parts = [*_drawn(line, 4, 216, 16), *_words_below(line, 4, 216, 42)]
    if line.unit and _scale(line, 0, 1) is not None:
        parts.append(svg.text(220, 29, unit_text(line.unit), size=10, fill=svg.MUTED))
    return svg.picture(
        parts, width=262, height=46, title=line.topic, description=_words(line), key=key
    )


def brief_bars(lines: Sequence[BriefLine], *, key: str = "brief") -> str:
    """Return the whole brief as one picture, a row for each requirement.

    Parameters
    ----------
    lines : sequence of BriefLine
    key : str

    Returns
    -------
    str
        SVG; each row has its own scale, so its numbers and unit are printed.
    """
    width, left, right = 760.0, 330.0, 590.0
    parts: list[str] = []
    for number, line in enumerate(lines):
        y = 26 + _ROW * number
        parts.append(verdict_mark(line.verdict, 10, y))
        parts.append(
            svg.text(
                26,
                y + 4,
                line.verdict,
                weight="600",
                fill=svg.INK if line.verdict == "passes" else svg.OCHRE,
            )
        )
        rows = svg.wrap(line.topic, right - left - 40)
        for row, words in enumerate(rows[:2]):
            parts.append(svg.text(112, y + 4 + 14 * row - 7 * (len(rows[:2]) - 1), words))
        parts += _drawn(line, left, right, y) + _words_below(line, left, right, y + 24)
        parts.append(svg.text(right + 14, y + 4, found_text(line.found), size=11.5))
        parts.append(svg.text(right + 14, y + 19, limit_text(line), size=10.5, fill=svg.MUTED))
        parts.append(svg.line(0, y + 34, width, y + 34, stroke=svg.GRID, width=0.7))
    return svg.picture(
        parts,
        width=width,
        height=max(_ROW * len(lines) + 16, 40),
        title="The brief, line by line",
        description="; ".join(f"{line.topic}: {_words(line)}" for line in lines) or "No brief.",
        key=key,
    )
