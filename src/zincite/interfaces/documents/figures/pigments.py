"""Pigments: their sizes, and how much of the film's optical depth each brings."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.prediction import PigmentCurve, Prediction
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart
from zincite.interfaces.documents.names import short_name
from zincite.interfaces.documents.numbers import number_text

__all__ = ["optical_depth", "pigment_sizes", "stroke_of"]

Array = NDArray[np.float64]

_NANO_LIMIT_NM = 100.0
_STROKES = (svg.INK, svg.OCHRE, svg.MUTED)


def stroke_of(place: int) -> tuple[str, str]:
    """Return colour and dash that tell the nth line apart, also in grey."""
    return _STROKES[place % len(_STROKES)], svg.DASHES[place % len(svg.DASHES)]


def pigment_sizes(prediction: Prediction, *, key: str = "sizes") -> str:
    """Return the primary sizes of each pigment on a logarithmic axis, the nano limit marked.

    Parameters
    ----------
    prediction : Prediction
    key : str

    Returns
    -------
    str
        SVG.
    """
    curves = [p for p in prediction.pigments if p.diameter_nm.size]
    low, high = _size_range(curves)
    peak = max((float(np.nanmax(p.volume_density)) for p in curves), default=1.0)
    chart = Chart((low, high), (0.0, 1.04 * peak), x_log=True, label_room=16, height=310)
    names = _peak_names(chart, curves)
    chart.top += 15.0 * max((row for _, _, row in names), default=0) + 34
    chart.region(low, min(_NANO_LIMIT_NM, high), "")
    chart.y_axis("volume share per unit of ln(diameter)")
    chart.x_axis("primary particle diameter, nm")
    if low < _NANO_LIMIT_NM < high:
        chart.mark_x(_NANO_LIMIT_NM, "nano below 100 nm", side="end")
    for place, curve in enumerate(curves):
        stroke, dash = stroke_of(place)
        chart.line(curve.diameter_nm, curve.volume_density, stroke=stroke, dash=dash)
    _name_peaks(chart, curves, names)
    words = "; ".join(
        f"{short_name(p.material)} {p.nano}, {number_text(p.number_below_100nm_percent, digits=2)} "
        "% of the particles by number below 100 nm"
        for p in prediction.pigments
    )
    return chart.picture(
        title="Primary particle sizes", description=words or "No pigment.", key=key
    )


def _peak_names(chart: Chart, curves: list[PigmentCurve]) -> list[tuple[float, str, int]]:
    """Return left edge, name and row of each curve's name, so that no two overlap."""
    found: list[tuple[float, str, int]] = []
    taken: list[tuple[float, float, int]] = []
    for curve in curves:
        name = f"{short_name(curve.material)}: {curve.nano}"
        width = svg.text_width(name, 11)
        middle = chart.x(float(curve.diameter_nm[int(np.nanargmax(curve.volume_density))]))
        left = min(max(middle - width / 2, chart.left), chart.right - width)
        row = 0
        while any(r == row and left < b + 8 and left + width > a - 8 for a, b, r in taken):
            row += 1
        taken.append((left, left + width, row))
        found.append((left, name, row))
    return found


def _name_peaks(
    chart: Chart, curves: list[PigmentCurve], names: list[tuple[float, str, int]]
) -> None:
    """Write the names over the plot, each with a thin line down to its peak."""
    words: list[str] = []
    for place, (curve, (left, name, row)) in enumerate(zip(curves, names, strict=True)):
        stroke, _ = stroke_of(place)
        at = int(np.nanargmax(curve.volume_density))
        x, y = chart.x(float(curve.diameter_nm[at])), chart.y(float(curve.volume_density[at]))
        base = chart.top - 12 - 15 * row
        chart.add(svg.line(x, base + 3, x, y - 3, stroke=stroke, width=0.6))
        words.append(svg.text(left, base, name, size=11, fill=stroke, halo=True))
    chart.add(*words)  # last, so that their halo opens the lines of the names above


def _size_range(curves: list[PigmentCurve]) -> tuple[float, float]:
    """Return the diameters that hold what can be seen of the curves, 100 nm always among them."""
    ends: list[float] = [80.0, 125.0]
    for curve in curves:
        seen = curve.diameter_nm[curve.volume_density > 0.005 * np.nanmax(curve.volume_density)]
        ends += [float(d) for d in (seen.min(), seen.max())] if seen.size else []
    return min(ends) / 1.1, max(ends) * 1.1


def optical_depth(prediction: Prediction, *, key: str = "depth") -> str:
    """Return each pigment's part of the even film's optical depth, 290 to 780 nm.

    Parameters
    ----------
    prediction : Prediction
    key : str

    Returns
    -------
    str
        SVG.
    """
    curves = prediction.pigments
    total = (
        sum((p.optical_depth for p in curves), np.zeros(0))
        if not curves
        else np.sum([p.optical_depth for p in curves], axis=0)
    )
    values = np.concatenate([np.zeros(0), *(p.optical_depth for p in curves), total])
    positive = values[np.isfinite(values) & (values > 0)]
    top = 1.4 * float(positive.max()) if positive.size else 1.0
    bottom = max(float(positive.min()) / 1.3, top / 3e3) if positive.size else 0.01
    chart = Chart((290, 780), (bottom, top), y_log=True, label_room=118)
    chart.region(290, 400, "UV")
    chart.region(400, 780, "visible", fill="none")
    chart.y_axis("optical depth of the even film (no unit)")
    chart.x_axis("wavelength, nm", (290, 400, 500, 600, 700, 780))
    if len(curves) > 1:
        chart.line(
            curves[0].depth_nm,
            np.maximum(total, bottom),
            "all pigments",
            width=2.6,
            stroke=svg.FAINT,
        )
    for place, curve in enumerate(curves):
        stroke, dash = stroke_of(place)
        chart.line(
            curve.depth_nm,
            np.maximum(curve.optical_depth, bottom),
            f"{short_name(curve.material)}, {number_text(curve.percent, digits=3)}\u00a0%",
            stroke=stroke,
            dash=dash,
        )
    return chart.picture(
        title="What each pigment brings",
        description="Optical depth of an even film of mean thickness. " + _depth_words(curves),
        key=key,
    )


def _depth_words(curves: tuple[PigmentCurve, ...]) -> str:
    return "; ".join(
        f"{short_name(p.material)} "
        + ", ".join(
            f"{number_text(float(np.interp(at, p.depth_nm, p.optical_depth)), digits=2)} at {at} nm"
            for at in (308, 360, 550)
        )
        for p in curves
    )
