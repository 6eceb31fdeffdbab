"""The oils of a formula by how fast they spread."""

from __future__ import annotations

from zincite.evaluation.making.emulsions.feel import FeelOutlook, SpreadingOil
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.scales import LinearScale, nice_ticks, tick_text

__all__ = ["cascade"]

_ROW, _TOP, _WIDTH = 26.0, 24.0, 430.0
_NAMES = 152.0


def cascade(found: FeelOutlook, *, key: str = "cascade") -> str:
    """Return the oils as bars, the fastest first, grouped by class.

    Parameters
    ----------
    found : FeelOutlook
        With some oil.
    key : str

    Returns
    -------
    str
        SVG.
    """
    most = max(oil.percent for oil in found.oils)
    scale = LinearScale(0.0, 1.05 * most, _NAMES, 336.0)
    parts: list[str] = []
    y, last = 4.0, None
    for oil in found.oils:
        if oil.spread_class != last:
            y += _TOP
            share = found.class_percent[oil.spread_class]
            name = oil.spread_class or "spreading not known"
            parts.append(svg.text(4, y - 6, f"{name}, {number_text(share)}\u00a0%", weight="600"))
            last = oil.spread_class
        parts += _bar(oil, scale, y)
        y += _ROW
    parts.append(svg.line(_NAMES, y + 4, 336, y + 4, stroke=svg.MUTED))
    for tick in nice_ticks(0, most, 4):
        at = scale(tick)
        parts.append(svg.line(at, y + 4, at, y + 8, stroke=svg.MUTED))
        parts.append(
            svg.text(at, y + 20, tick_text(tick), anchor="middle", size=11, fill=svg.MUTED)
        )
    parts.append(svg.text((_NAMES + 336) / 2, y + 38, "% of the formula", anchor="middle"))
    told = ", ".join(
        f"{oil.inci} {number_text(oil.percent)} % {oil.spread_class or 'not known'}"
        for oil in found.oils
    )
    return svg.picture(
        parts, width=_WIDTH, height=y + 46, title="Spreading cascade", description=f"{told}.",
        key=key,
    )  # fmt: skip


def _bar(oil: SpreadingOil, scale: LinearScale, y: float) -> list[str]:
    rows = svg.wrap(oil.inci, _NAMES - 14, 11)[:2]
    middle = y + _ROW / 2
    parts = [
        svg.text(_NAMES - 6, middle + 4 + 12 * (n - (len(rows) - 1) / 2), row, anchor="end",
                 size=11)
        for n, row in enumerate(rows)
    ]  # fmt: skip
    length = scale(oil.percent) - scale(0)
    if oil.spreading is None:
        parts.append(svg.hatch(_NAMES, y + 5, length, _ROW - 10))
        parts.append(svg.rect(_NAMES, y + 5, length, _ROW - 10, stroke=svg.FAINT))
        shown = ""
    else:
        parts.append(svg.rect(_NAMES, y + 5, length, _ROW - 10, fill=svg.OCHRE, opacity=0.75))
        shown = f"{number_text(oil.spreading.value)} mm²"
        shown += ", assumed" if oil.spreading.is_assumed else ""
    if oil.volatile:
        shown += ", volatile" if shown else "volatile"
    if shown:
        parts.append(svg.text(_NAMES + length + 5, middle + 4, shown, size=11, fill=svg.MUTED,
                              halo=True))  # fmt: skip
    return parts
