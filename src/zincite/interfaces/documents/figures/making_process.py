"""Heat of each way of making, and temperature windows of phases and steps."""

from __future__ import annotations

from collections.abc import Sequence

from zincite.evaluation.making.process.heat import HeatWay
from zincite.evaluation.making.process.windows import WindowLine
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.scales import LinearScale, nice_ticks, tick_text

__all__ = ["heat_bars", "temperature_windows"]

_ROW = 30.0
_WIDTH = 430.0


def _axis(scale: LinearScale, ticks: Sequence[float], foot: float, title: str) -> list[str]:
    parts = [svg.line(scale.start, foot, scale.end, foot, stroke=svg.MUTED)]
    for tick in ticks:
        at = scale(tick)
        parts.append(svg.line(at, 8, at, foot, stroke=svg.GRID))
        parts.append(svg.text(at, foot + 15, tick_text(tick), anchor="middle", size=11,
                              fill=svg.MUTED))  # fmt: skip
    parts.append(svg.text((scale.start + scale.end) / 2, foot + 33, title, anchor="middle"))
    return parts


def heat_bars(ways: Sequence[HeatWay], hot: HeatWay, *, key: str = "heat") -> str:
    """Return the heat of each way as bars, with what it saves against the hot way.

    Parameters
    ----------
    ways : sequence of HeatWay
    hot : HeatWay
        Against which savings count.
    key : str

    Returns
    -------
    str
        SVG.
    """
    most = max(1e3 * max(w.high for w in ways), 1.0)
    scale = LinearScale(0.0, 1.02 * most, 72.0, 290.0)
    foot = 10 + _ROW * len(ways)
    parts = _axis(scale, nice_ticks(0, most, 5), foot, "heat, kJ per kg of product")
    told = []
    for number, way in enumerate(ways):
        y = 10 + _ROW * number + _ROW / 2
        ink = svg.OCHRE if number == 0 else svg.INK
        heat, low, high = (1e3 * v for v in (way.MJ_kg, way.low, way.high))
        hollow = bool(way.solid)
        parts += [
            svg.text(66, y + 4, way.name, anchor="end", fill=ink),
            svg.rect(scale(0), y - 8, scale(heat) - scale(0), 16, fill="none" if hollow else ink,
                     stroke=ink if heat > 0 else None, opacity=None if hollow else 0.75),
            svg.line(scale(low), y, scale(high), y, stroke=svg.INK, width=2),
        ]  # fmt: skip
        saved = way.saving_percent(hot)
        words = f"{number_text(heat)} kJ/kg"
        if way is not hot and saved is not None:
            word = "saves" if saved >= 0 else "takes more:"
            words += f", {word} {number_text(abs(saved), decimals=0)}\u00a0%"
        parts.append(svg.text(scale(max(heat, high)) + 7, y + 4, words, size=11, halo=True))
        solid = f" ({', '.join(way.solid)} stays solid)" if hollow else ""
        told.append(f"{way.name} {words}{solid}")
    return svg.picture(
        parts,
        width=_WIDTH,
        height=foot + 42,
        title="Heat of each way of making",
        description="; ".join(told),
        key=key,
    )


def temperature_windows(lines: Sequence[WindowLine], *, key: str = "windows") -> str:
    """Return temperature windows as bars with the set point as a dot.

    Parameters
    ----------
    lines : sequence of WindowLine
        All in degC.
    key : str

    Returns
    -------
    str
        SVG.
    """
    ends = [v for w in lines for v in (w.low, w.high, w.set_point) if v is not None]
    low, high = min([15.0, *ends]) - 3, max([60.0, *ends]) + 5
    scale = LinearScale(low, high, 72.0, 278.0)
    foot = 10 + _ROW * len(lines)
    parts = _axis(scale, nice_ticks(low, high, 6), foot, "temperature, °C")
    told = []
    for number, line in enumerate(lines):
        y = 10 + _ROW * number + _ROW / 2
        parts.append(svg.text(66, y + 4, line.where, anchor="end"))
        parts += _window(line, scale, y)
        told.append(f"{line.where} {line.verdict}")
    return svg.picture(
        parts,
        width=_WIDTH,
        height=foot + 42,
        title="Temperature windows",
        description="; ".join(told),
        key=key,
    )


def _window(line: WindowLine, scale: LinearScale, y: float) -> list[str]:
    good = line.verdict == "inside"
    parts = []
    if line.verdict != "closed":
        left = scale(scale.low if line.low is None else line.low)
        right = scale(scale.high if line.high is None else line.high)
        parts.append(svg.rect(left, y - 7, right - left, 14, fill=svg.INK, opacity=0.16))
    for limit in (line.low, line.high):
        if limit is not None:
            at = scale(limit)
            parts.append(svg.line(at, y - 10, at, y + 10, stroke=svg.INK, width=1.6))
    if line.set_point is not None:
        ink = svg.INK if good else svg.OCHRE
        at = scale(line.set_point)
        parts.append(svg.circle(at, y, 5, fill=ink if good else svg.PAPER, stroke=ink))
    why = f" ({line.high_why})" if line.high_why and not good else ""
    words = f"{line.verdict}{why}"
    parts.append(svg.text(286, y + 4, words, size=11, fill=svg.INK if good else svg.OCHRE))
    return parts
