"""Measured sizes: histogram, fitted distributions and the nano limit."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.assay.reading import SizeFile
from zincite.evaluation.assay.sizes import SizeEvaluation
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart
from zincite.interfaces.documents.numbers import number_text

__all__ = ["size_histogram"]

Array = NDArray[np.float64]

_NANO_NM = 100.0
_CURVE = 161


def _edges(middles: Array) -> Array:
    inner = np.sqrt(middles[1:] * middles[:-1])
    return np.concatenate([[middles[0] ** 2 / inner[0]], inner, [middles[-1] ** 2 / inner[-1]]])


def _lognormal(x: Array, median_nm: float, gsd: float) -> Array:
    """Return the density per ln d."""
    sigma = max(float(np.log(gsd)), 1e-3)
    z = np.log(x / median_nm) / sigma
    return np.asarray(np.exp(-0.5 * z**2) / (sigma * np.sqrt(2 * np.pi)))


def size_histogram(file: SizeFile, result: SizeEvaluation, *, key: str = "sizes") -> str:
    """Return the sizes as measured with their fits.

    Parameters
    ----------
    file : SizeFile
    result : SizeEvaluation
    key : str

    Returns
    -------
    str
        SVG: share per step of ln d, so that equal areas are equal shares.
    """
    edges = _edges(file.diameter_nm)
    density = file.share / np.diff(np.log(edges))
    seen = np.flatnonzero(file.share > 1e-4 * file.share.max())
    low, high = edges[seen[0]], edges[seen[-1] + 1]
    low, high = min(low, 0.8 * _NANO_NM), max(high, 1.25 * _NANO_NM)
    x = np.geomspace(low, high, _CURVE)
    fit = result.lognormal
    curves = [("one lognormal", _lognormal(x, fit.median_nm, fit.gsd), svg.OCHRE, "7 3")]
    mixed = _mixture(x, result)
    if mixed is not None:
        curves.append(("two lognormals", mixed, svg.OCHRE, ""))
    top = 1.1 * max(float(density.max()), *(float(c.max()) for _, c, _, _ in curves))
    chart = Chart((float(low), float(high)), (0.0, top), x_log=True, label_room=24.0)
    chart.y_axis(f"share by {result.weighting}, per ln d")
    chart.x_axis("diameter, nm")
    for left, right, height in zip(edges[:-1], edges[1:], density, strict=True):
        if height > 0 and right > low and left < high:
            x0, x1, y = chart.x(float(left)), chart.x(float(right)), chart.y(float(height))
            chart.add(
                svg.rect(x0, y, max(x1 - x0 - 0.6, 0.5), chart.bottom - y, fill=svg.INK,
                         opacity=0.22)
            )  # fmt: skip
    for name, curve, stroke, dash in curves:
        chart.line(x, curve, stroke=stroke, dash=dash)
        _name_at_peak(chart, x, curve, name)
    chart.mark_x(_NANO_NM, "100 nm", side="end")
    found = result.percentiles_nm[result.weighting]
    return chart.picture(
        title="Sizes as measured",
        description=(
            f"Share by {result.weighting} against diameter, logarithmic: d10 "
            f"{number_text(found['d10_nm'])}, d50 {number_text(found['d50_nm'])}, d90 "
            f"{number_text(found['d90_nm'])} nm; dashed the fitted lognormal, upright the nano "
            "limit of 100 nm."
        ),
        key=key,
    )


def _name_at_peak(chart: Chart, x: Array, curve: Array, name: str) -> None:
    """Write a name at the coarse flank of a curve, where the bars are low."""
    peak = int(np.argmax(curve))
    flank = peak + int(np.argmax(curve[peak:] < 0.75 * curve[peak]))
    at, y = chart.x(float(x[flank])), chart.y(float(curve[flank]))
    chart.add(svg.text(at + 8, y, name, size=11, fill=svg.OCHRE, halo=True))


def _mixture(x: Array, result: SizeEvaluation) -> Array | None:
    """Return the density of the two modes, None where it is not by the weighting measured."""
    split = result.aggregates
    if split is None or result.weighting != "volume":
        return None
    parts = (
        split.primary_median_nm,
        split.primary_gsd,
        split.aggregate_median_nm,
        split.aggregate_gsd,
    )
    if None in parts:
        return None
    fine_nm, fine_gsd, coarse_nm, coarse_gsd = (float(p or 0.0) for p in parts)
    share = split.aggregate_volume_fraction
    return np.asarray(
        (1 - share) * _lognormal(x, fine_nm, fine_gsd)
        + share * _lognormal(x, coarse_nm, coarse_gsd)
    )
