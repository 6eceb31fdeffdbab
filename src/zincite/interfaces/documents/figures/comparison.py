"""Several formulas in one picture: spectra over each other, white cast side by side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from zincite.evaluation.prediction import Prediction
from zincite.formula.brief import SKIN_CLASSES
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart
from zincite.interfaces.documents.figures.pigments import stroke_of
from zincite.interfaces.documents.figures.spectra import draw_uv_bands, transmittance_floor
from zincite.interfaces.documents.numbers import found_text
from zincite.interfaces.documents.scales import LinearScale, log_ticks, nice_ticks, tick_text

__all__ = ["compared_transmittance", "compared_white_cast"]


def compared_transmittance(predictions: Sequence[Prediction], *, key: str = "compared") -> str:
    """Return the transmittance of several formulas with their 90 % bands.

    Parameters
    ----------
    predictions : sequence of Prediction
        At least one.
    key : str

    Returns
    -------
    str
        SVG.
    """
    floor = transmittance_floor(*(p.spectra.low for p in predictions))
    chart = Chart((290, 400), (floor, 1.0), y_log=True)
    draw_uv_bands(chart)
    ticks = log_ticks(floor, 1.0, 6)
    chart.y_axis("transmittance, %", ticks, [tick_text(100 * v) for v in ticks])
    chart.x_axis("wavelength, nm", (290, 320, 340, 360, 380, 400))
    for place, prediction in enumerate(predictions):
        s, (stroke, dash) = prediction.spectra, stroke_of(place)
        chart.band(
            s.wavelength_nm,
            np.maximum(s.low, floor),
            np.maximum(s.high, floor),
            fill=stroke,
            opacity=0.10,
        )
        chart.line(
            s.wavelength_nm,
            np.maximum(s.transmittance, floor),
            prediction.formula.code,
            stroke=stroke,
            dash=dash,
        )
    return chart.picture(
        title="Transmittance of the films",
        description="; ".join(
            f"{p.formula.code}: SPF {found_text(p.spf)}, UVA-PF {found_text(p.uva_pf)}"
            for p in predictions
        ),
        key=key,
    )


def compared_white_cast(predictions: Sequence[Prediction], *, key: str = "compared-cast") -> str:
    """Return dE00 of each skin class, one row a formula, with 90 % intervals.

    Parameters
    ----------
    predictions : sequence of Prediction
    key : str

    Returns
    -------
    str
        SVG.
    """
    row, gap, top, left, right = 17.0, 12.0, 34.0, 150.0, 318.0
    highs = [p.white_cast[name].delta_e00.high for p in predictions for name in p.white_cast]
    most = max([v for v in highs if np.isfinite(v)], default=1.0)
    scale = LinearScale(0.0, 1.05 * most, left, right)
    height = top + len(SKIN_CLASSES) * (row * len(predictions) + gap) + 24
    parts = [svg.text(0, 13, "white cast, dE00 (90 % interval); further left is less")]
    for tick in nice_ticks(0, scale.high, 5):
        at = scale(tick)
        parts.append(svg.line(at, top - 8, at, height - 24, stroke=svg.GRID))
        parts.append(
            svg.text(at, height - 8, tick_text(tick), size=11, anchor="middle", fill=svg.MUTED)
        )
    y = top
    for name in SKIN_CLASSES:
        parts.append(svg.text(0, y + row / 2 + 4, name, weight="600"))
        for place, prediction in enumerate(predictions):
            parts += _cast_row(prediction, name, place, scale, y + row / 2)
            y += row
        y += gap
    return svg.picture(
        parts,
        width=430,
        height=height,
        title="White cast by skin class",
        description="; ".join(
            f"{name}: "
            + ", ".join(
                f"{p.formula.code} {found_text(p.white_cast[name].delta_e00)}"
                for p in predictions
                if name in p.white_cast
            )
            for name in SKIN_CLASSES
        ),
        key=key,
    )


def _cast_row(
    prediction: Prediction, name: str, place: int, scale: LinearScale, y: float
) -> list[str]:
    if name not in prediction.white_cast:
        return []
    stroke, _ = stroke_of(place)
    found = prediction.white_cast[name].delta_e00
    code = prediction.formula.code
    shown = code if len(code) <= 10 else code[:9] + "…"
    parts = [svg.text(84, y + 4, shown, size=11, fill=stroke)]
    if not np.isfinite(found.median):
        return [*parts, svg.text(scale.start, y + 4, "not known", size=11, fill=svg.MUTED)]
    low, high = scale(found.low), scale(found.high)
    parts.append(svg.rect(low, y - 3, max(high - low, 1.5), 6, fill=stroke, opacity=0.3))
    parts.append(svg.circle(scale(found.median), y, 4, fill=stroke))
    parts.append(svg.text(high + 6, y + 4, found_text(found), size=10.5, fill=stroke, halo=True))
    return parts
