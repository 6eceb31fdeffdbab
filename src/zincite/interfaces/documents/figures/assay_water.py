"""Water resistance: SPF of each subject before and after immersion, joined."""

from __future__ import annotations

from zincite.evaluation.assay.water_resistance import WaterResistance
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.scales import LinearScale, nice_ticks, tick_text

__all__ = ["water_pairs"]

_WIDTH, _HEIGHT, _TOP, _BOTTOM = 430.0, 300.0, 30.0, 262.0
_DRY, _WET = 130.0, 320.0


def water_pairs(result: WaterResistance, *, key: str = "water-pairs") -> str:
    """Return static and wet SPF, one line a subject; those that do not count are dashed.

    Parameters
    ----------
    result : WaterResistance
    key : str

    Returns
    -------
    str
        SVG.
    """
    pairs = [
        (item, item.spf_static, item.spf_wet)
        for item in result.subjects
        if item.spf_static is not None and item.spf_wet is not None
    ]
    top = max([*(max(dry, wet) for _, dry, wet in pairs), 1.0])
    scale = LinearScale(0.0, 1.06 * top, _BOTTOM, _TOP)
    parts = [svg.text(4, 13, "SPF of each subject")]
    for tick in nice_ticks(0, scale.high, 5):
        at = scale(tick)
        parts.append(svg.line(50, at, 400, at, stroke=svg.GRID))
        parts.append(svg.text(44, at + 4, tick_text(tick), size=11, anchor="end", fill=svg.MUTED))
    for item, dry, wet in pairs:
        stroke = svg.INK if item.used else svg.FAINT
        parts.append(
            svg.line(_DRY, scale(dry), _WET, scale(wet), stroke=stroke, width=0.8,
                     dash="" if item.used else "3 3")
        )  # fmt: skip
        for x, value in ((_DRY, dry), (_WET, wet)):
            parts.append(
                svg.circle(x, scale(value), 3.4, fill=stroke if item.used else svg.PAPER,
                           stroke=stroke)
            )  # fmt: skip
    means = (("static", _DRY, result.mean_spf_static), ("wet", _WET, result.mean_spf_wet))
    for name, x, mean in means:
        side = -1 if x == _DRY else 1
        parts += [
            svg.line(x - 14, scale(mean), x + 14, scale(mean), stroke=svg.OCHRE, width=3),
            svg.text(x + 20 * side, scale(mean) + 4, f"mean {number_text(mean, decimals=1)}",
                     size=11, anchor="end" if side < 0 else "start", fill=svg.OCHRE, halo=True),
            svg.text(x, _BOTTOM + 18, name, anchor="middle"),
        ]  # fmt: skip
    parts.append(
        svg.text(_WET, _BOTTOM + 33, f"after {result.immersion_min:g} min in water",
                 size=11, anchor="middle", fill=svg.MUTED)
    )  # fmt: skip
    return svg.picture(
        parts,
        width=_WIDTH,
        height=_HEIGHT,
        title="SPF before and after immersion",
        description=(
            f"Mean SPF {number_text(result.mean_spf_static, decimals=1)} static and "
            f"{number_text(result.mean_spf_wet, decimals=1)} wet of {result.n} subjects."
        ),
        key=key,
    )
