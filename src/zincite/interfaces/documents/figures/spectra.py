"""Spectra of the film: transmittance and absorbance with their interval, and their sum."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.prediction import Prediction
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart, Label
from zincite.interfaces.documents.numbers import found_text, number_text
from zincite.interfaces.documents.scales import log_ticks, tick_text

__all__ = ["UV_BANDS", "absorbance", "cumulative_absorbance", "draw_uv_bands", "transmittance"]

Array = NDArray[np.float64]

UV_BANDS = ((290.0, 320.0, "UVB"), (320.0, 340.0, "UVA2"), (340.0, 400.0, "UVA1"))
"""Limits of the ultraviolet bands as in sunscreen testing. [nm]"""

_WAVELENGTH = "wavelength, nm"
_TICKS_NM = (290, 320, 340, 360, 380, 400)
_BROAD_SPECTRUM_NM = 370.0
_CRITICAL_SHARE = 0.9
_LEAST = 1e-6


def draw_uv_bands(chart: Chart) -> None:
    """Tint UVA2 between UVB and UVA1 and name the three."""
    for low, high, name in UV_BANDS:
        chart.region(low, high, name, fill=svg.TINT if name == "UVA2" else "none")


def _span(*curves: Array) -> tuple[float, float]:
    values = np.concatenate([np.asarray(c, dtype=float) for c in curves])
    values = values[np.isfinite(values)]
    return (float(values.min()), float(values.max())) if values.size else (0.0, 1.0)


def transmittance_floor(*curves: Array) -> float:
    """Return the lower end of a logarithmic transmittance axis: a third of a decade to spare."""
    low, _ = _span(*curves)
    return float(10.0 ** (np.floor(3 * np.log10(max(low, _LEAST))) / 3))


def transmittance(prediction: Prediction, *, key: str = "transmittance") -> str:
    """Return the transmittance of the film on a logarithmic scale.

    Parameters
    ----------
    prediction : Prediction
    key : str
        Makes ids unique within a page.

    Returns
    -------
    str
        SVG.
    """
    s = prediction.spectra
    floor = transmittance_floor(s.low, s.transmittance)
    chart = Chart((290, 400), (floor, 1.0), y_log=True)
    draw_uv_bands(chart)
    ticks = log_ticks(floor, 1.0, 6)
    chart.y_axis("transmittance, %", ticks, [tick_text(100 * v) for v in ticks])
    chart.x_axis(_WAVELENGTH, _TICKS_NM)
    chart.band(s.wavelength_nm, np.maximum(s.low, floor), np.maximum(s.high, floor))
    chart.line(s.wavelength_nm, np.maximum(s.transmittance, floor), "best estimate")
    _name_band(chart, s.low, s.high)
    return chart.picture(
        title="Transmittance of the film",
        description=(
            "Light that passes the film on skin relative to bare skin, 290 to 400 nm, logarithmic "
            f"scale, with 90 % band. {_at_words(s.wavelength_nm, 100 * s.transmittance, ' %')}"
        ),
        key=key,
    )


def absorbance(prediction: Prediction, *, key: str = "absorbance") -> str:
    """Return the absorbance spectrum of the film as SVG."""
    s = prediction.spectra
    middle, low, high = (
        -np.log10(np.maximum(curve, _LEAST)) for curve in (s.transmittance, s.high, s.low)
    )
    chart = Chart((290, 400), (0.0, 1.12 * max(_span(high, middle)[1], 0.1)))
    draw_uv_bands(chart)
    chart.y_axis("absorbance, −log10 of transmittance")
    chart.x_axis(_WAVELENGTH, _TICKS_NM)
    chart.band(s.wavelength_nm, low, high)
    chart.line(s.wavelength_nm, middle, "best estimate")
    _name_band(chart, low, high)
    return chart.picture(
        title="Absorbance of the film",
        description=(
            "Absorbance of the film on skin, 290 to 400 nm, with 90 % band. "
            + _at_words(s.wavelength_nm, middle, "")
        ),
        key=key,
    )


def _name_band(chart: Chart, low: Array, high: Array) -> None:
    """Name the interval band at its end beside the line."""
    ends = [chart.y(float(curve[-1])) for curve in (low, high) if np.isfinite(curve[-1])]
    if ends:
        chart.labels.append(Label(min(ends), "90 % interval", svg.MUTED, chart.right))


def _at_words(wavelength_nm: Array, values: Array, unit: str) -> str:
    """Return a few values of a spectrum in words, for those who cannot see it."""
    found = [
        f"{number_text(float(np.interp(at, wavelength_nm, values)))} {unit}".strip()
        + f" at {at} nm"
        for at in (300, 330, 360, 390)
    ]
    return "Best estimate " + ", ".join(found) + "."


def cumulative_absorbance(prediction: Prediction, *, key: str = "cumulative") -> str:
    """Return the share of absorbance up to each wavelength, with the critical wavelength.

    Parameters
    ----------
    prediction : Prediction
    key : str

    Returns
    -------
    str
        SVG.
    """
    s, found = prediction.spectra, prediction.critical_wavelength_nm
    chart = Chart((290, 400), (0.0, 1.0))
    ticks = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
    chart.y_axis("share of the absorbance from 290 nm, %", ticks, [f"{100 * t:.0f}" for t in ticks])
    chart.x_axis(_WAVELENGTH, _TICKS_NM)
    if np.isfinite([found.low, found.high]).all():
        left = chart.x(found.low)
        chart.add(
            svg.rect(
                left,
                chart.top,
                chart.x(found.high) - left,
                chart.bottom - chart.top,
                fill=svg.OCHRE,
                opacity=0.25,
            )
        )
    chart.mark_x(_BROAD_SPECTRUM_NM, "370 nm", side="end", y=chart.bottom - 10)
    chart.mark_y(_CRITICAL_SHARE, "90 % of the absorbance")
    chart.line(s.wavelength_nm, s.cumulative_absorbance)
    if np.isfinite(found.median):
        _mark_critical(chart, found.median, number_text(found.median, decimals=1))
    return chart.picture(
        title="Critical wavelength",
        description=(
            f"Cumulative absorbance reaches 90 % at the critical wavelength, {found_text(found)}, "
            "90 % interval in brackets; broad-spectrum rules ask for 370 nm."
        ),
        key=key,
    )


def _mark_critical(chart: Chart, wavelength_nm: float, shown: str) -> None:
    x, y = chart.x(wavelength_nm), chart.y(_CRITICAL_SHARE)
    chart.add(
        svg.line(x, y, x, chart.bottom, stroke=svg.OCHRE, width=1.4),
        svg.circle(x, y, 4, fill=svg.OCHRE),
    )
    for row, words in enumerate(("critical", "wavelength", f"{shown} nm")):
        chart.add(
            svg.text(
                chart.right + 11,
                chart.y(0.55) + 14 * row,
                words,
                size=11.5,
                fill=svg.OCHRE,
                weight="600" if row == 2 else None,
            )
        )
    chart.add(
        svg.line(x + 1, chart.y(0.55), chart.right + 8, chart.y(0.55), stroke=svg.OCHRE, width=0.6)
    )
