"""What a larger size has of the laboratory's: a dot for each quantity on a logarithmic axis."""

from __future__ import annotations

from zincite.evaluation.making.process.scale_state import QUANTITIES
from zincite.evaluation.making.process.scale_up import ScaleUp
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.scales import LogScale, log_ticks, tick_text

__all__ = ["scale_ratios"]

_ROW, _TOP = 22.0, 34.0
_INKS = ((svg.INK, True), (svg.OCHRE, True), (svg.INK, False), (svg.OCHRE, False))


def scale_ratios(found: ScaleUp, *, key: str = "scale-ratios") -> str:
    """Return each quantity's ratio to the laboratory at every size.

    Parameters
    ----------
    found : ScaleUp
    key : str

    Returns
    -------
    str
        SVG; the first four sizes are told apart by ink and filling.
    """
    rows = [
        (name, [s.state.ratio(k, found.lab) for s in found.scaled])
        for k, name, _ in (("diameter_m", "diameter", ""), *QUANTITIES)
    ]
    rows = [(name, ratios) for name, ratios in rows if any(ratios)]
    values = [r for _, ratios in rows for r in ratios if r]
    scale = LogScale(min(0.5, *values) / 1.5, max(2.0, *values) * 1.5, 156.0, 420.0)
    foot = _TOP + _ROW * len(rows)
    parts = _ground(scale, foot)
    for number, (name, ratios) in enumerate(rows):
        y = _TOP + _ROW * (number + 0.5)
        parts.append(svg.text(148, y + 4, name, anchor="end", size=11))
        for at, ratio in reversed(list(enumerate(ratios[: len(_INKS)]))):
            if ratio:
                parts.append(_dot(scale(ratio), y, at))
    names = []
    left = 156.0
    for at, item in enumerate(found.scaled[: len(_INKS)]):
        words = f"{number_text(item.state.batch_kg)} kg"
        parts += [_dot(left, 12, at), svg.text(left + 9, 16, words, size=11)]
        left += 26 + svg.text_width(words, 11)
        names.append(words)
    told = "; ".join(
        f"{name} {', '.join(number_text(r, digits=2) for r in ratios if r)}"
        for name, ratios in rows
    )
    return svg.picture(
        parts,
        width=430,
        height=foot + 40,
        title="Ratios to the laboratory",
        description=f"At {', '.join(names)}: {told}.",
        key=key,
    )


def _ground(scale: LogScale, foot: float) -> list[str]:
    parts = [svg.line(scale.start, foot, scale.end, foot, stroke=svg.MUTED)]
    for tick in log_ticks(scale.low, scale.high, 5):
        at = scale(tick)
        parts += [
            svg.line(at, _TOP, at, foot, stroke=svg.GRID),
            svg.text(at, foot + 15, tick_text(tick), anchor="middle", size=11, fill=svg.MUTED),
        ]
    parts += [
        svg.line(scale(1.0), _TOP - 6, scale(1.0), foot, stroke=svg.INK, width=1.4),
        svg.text((scale.start + scale.end) / 2, foot + 33, "ratio to the laboratory",
                 anchor="middle"),
    ]  # fmt: skip
    return parts


def _dot(x: float, y: float, number: int) -> str:
    ink, filled = _INKS[number]
    return svg.circle(x, y, 4.2, fill=ink if filled else svg.PAPER, stroke=ink)
