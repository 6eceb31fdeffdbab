"""Figures of dispersion: thickness of a mill base, ladder of dispersant, wet and flow points."""

from __future__ import annotations

import math

import numpy as np

from zincite.data.devices import Window
from zincite.evaluation.making.dispersion.ladder_result import LadderResult
from zincite.evaluation.making.dispersion.points import PointsResult
from zincite.evaluation.making.dispersion.slurry import Slurry
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.scales import LinearScale, nice_ticks, tick_text

__all__ = ["ladder_curve", "mill_base_curve", "points_bars"]

_THIN, _MIDDLE, _THICK = range(3)
_NO_WINDOW = Window(None, None)
_POINTS = 240
_SMALL, _ROW = 11.0, 34.0


def mill_base_curve(
    slurry: Slurry,
    solids_percent: float,
    *,
    name: str,
    window: Window = _NO_WINDOW,
    device: str = "",
    key: str = "mill-base",
) -> str:
    """Return the viscosity over the solids, as wetted and once dispersed.

    Parameters
    ----------
    slurry : Slurry
    solids_percent : float
        Where this mill base stands. [%]
    name : str
        What stands there.
    window : Window, optional
        Viscosities that the device works at. [mPa s]
    device : str
    key : str

    Returns
    -------
    str
        SVG.
    """
    critical = float(slurry.solids_percent(slurry.cpvc[_MIDDLE]))
    right = min(max(float(slurry.solids_percent(slurry.cpvc[_THIN])), solids_percent) + 2, 97.0)
    left = max(5 * math.floor(min(critical - 22, solids_percent - 6) / 5), 0)
    top = max(50.0 * slurry.oil_mPas, 3 * (window.high or 0.0), 2e3)
    chart = Chart((left, right), (0.7 * slurry.oil_mPas, top), y_log=True, label_room=112.0)
    low, high = window.low or 0.7 * slurry.oil_mPas, window.high
    if high is not None:
        chart.add(
            svg.rect(chart.left, chart.y(high), chart.right - chart.left,
                     chart.y(max(low, 0.7 * slurry.oil_mPas)) - chart.y(high), fill=svg.TINT)
        )  # fmt: skip
        chart.add(svg.text(chart.left + 6, chart.y(high) + 14, device, size=_SMALL, fill=svg.MUTED))
    chart.y_axis("viscosity, mPa s")
    chart.x_axis("powder by mass, %")
    solids = np.linspace(max(left, 0.5), right, _POINTS)
    phi = slurry.volume_fraction(solids)
    thin, thick = (np.minimum(slurry.in_device_mPas(phi, c), top) for c in (_THIN, _THICK))
    chart.band(solids, thin, thick, fill=svg.OCHRE, opacity=0.13)
    for found, label, stroke, dash in (
        (slurry.in_device_mPas(phi, _MIDDLE), "as wetted", svg.OCHRE, ""),
        (slurry.oil_mPas * slurry.dispersed(phi, _MIDDLE), "once dispersed", svg.INK, "7 3"),
    ):
        drawn = np.where((found <= top) & (solids <= critical), found, np.nan)
        chart.line(solids, drawn, label, stroke=stroke, dash=dash)
    chart.mark_x(critical, "CPVC", y=chart.bottom - 8)
    met = float(slurry.in_device_mPas(slurry.volume_fraction(solids_percent), _MIDDLE))
    if met <= top:
        chart.add(svg.circle(chart.x(solids_percent), chart.y(met), 4.5, fill=svg.OCHRE))
    chart.mark_x(
        solids_percent, f"{name}\n{number_text(solids_percent)} %", stroke=svg.OCHRE, dash="",
        y=chart.bottom - 21, side="end",
    )  # fmt: skip
    return chart.picture(
        title="Viscosity of the mill base over its solids",
        description=f"At {number_text(solids_percent)} % powder {number_text(met)} mPa s as "
        f"wetted; the oil fills the gaps up to {number_text(critical)} %.",
        key=key,
    )


def ladder_curve(result: LadderResult, *, key: str = "ladder") -> str:
    """Return the viscosity over the dispersant with the fitted minimum.

    Parameters
    ----------
    result : LadderResult
    key : str

    Returns
    -------
    str
        SVG.
    """
    x = [level.dispersant_percent for level in result.levels]
    eta = [level.viscosity_mPas for level in result.levels]
    room = 0.06 * (x[-1] - x[0])
    ends = (max(x[0] - room, 0.0) if x[0] > 0 else -room, x[-1] + room)
    chart = Chart(ends, (0.75 * min(eta), 1.3 * max(eta)), y_log=True, label_room=60.0)
    if result.interval_percent is not None:
        low, high = (min(max(end, ends[0]), ends[1]) for end in result.interval_percent)
        chart.region(low, high, "")
    chart.y_axis("viscosity, mPa s")
    chart.x_axis("dispersant, % of the pigment")
    if result.fit is not None:
        fitted = [level.dispersant_percent for level in result.levels if level.fitted]
        across = np.linspace(fitted[0], fitted[-1], 121)
        chart.line(across, np.exp(result.fit(across)), "fit", stroke=svg.OCHRE)
    if result.best_percent is not None:
        chart.mark_x(
            result.best_percent, f"{number_text(result.best_percent, decimals=2)} %",
            stroke=svg.OCHRE,
        )  # fmt: skip
    chart.add(
        *(svg.circle(chart.x(a), chart.y(b), 3.8, fill=svg.PAPER, stroke=svg.INK)
          for a, b in zip(x, eta, strict=True))
    )  # fmt: skip
    each = zip(x, eta, strict=True)
    told = ", ".join(f"{number_text(b)} mPa s at {number_text(a)} %" for a, b in each)
    return chart.picture(
        title="Viscosity over dispersant",
        description=f"Viscosity, logarithmic, over dispersant on the pigment: {told}.",
        key=key,
    )


def points_bars(result: PointsResult, *, key: str = "points") -> str:
    """Return a bar from wet point to flow point for each liquid, best first.

    Parameters
    ----------
    result : PointsResult
    key : str

    Returns
    -------
    str
        SVG.
    """
    width, left, right, top = 430.0, 10.0, 380.0, 26.0
    bottom = top + _ROW * len(result.liquids)
    scale = LinearScale(0.0, 1.08 * max(item.flow_g_100g for item in result.liquids), left, right)
    parts = [svg.text(left, 13, "liquid, g per 100 g of pigment")]
    for tick in nice_ticks(scale.low, scale.high, 6):
        at = scale(tick)
        parts.append(svg.line(at, top, at, bottom, stroke=svg.GRID))
        parts.append(
            svg.text(at, bottom + 16, tick_text(tick), size=_SMALL, anchor="middle", fill=svg.MUTED)
        )
    for row, item in enumerate(result.liquids):
        y = top + _ROW * row + 24
        wet, flow = scale(item.wet_g_100g), scale(item.flow_g_100g)
        stroke = svg.OCHRE if item.as_good_as_best or item.rank == 1 else svg.INK
        parts += [
            svg.text(left, y - 10, item.liquid, size=_SMALL, halo=True),
            svg.line(wet, y, flow, y, stroke=stroke, width=5.0),
            svg.text(flow + 6, y + 4, f"gap {number_text(item.gap_g_100g)}", size=_SMALL,
                     fill=stroke),
        ]  # fmt: skip
    told = ", ".join(f"{i.liquid} {number_text(i.gap_g_100g)} g" for i in result.liquids)
    return svg.picture(
        parts,
        width=width,
        height=bottom + 26,
        title="Wet point and flow point",
        description=f"Gap of flow point and wet point: {told}.",
        key=key,
    )
