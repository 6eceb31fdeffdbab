"""Viscosity of an emulsion against its drops, and how fast drops and lumps settle by size."""

from __future__ import annotations

import numpy as np

from zincite.evaluation.making.emulsions.emulsion import EmulsionOutlook
from zincite.evaluation.making.emulsions.settling import MM_A_DAY, VISIBLE_MM_DAY, SettlingBody
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart
from zincite.interfaces.documents.numbers import number_text
from zincite.physics.colloids import hindrance, peclet_number, stokes_velocity_m_s

__all__ = ["settling_map", "viscosity_curves"]

_SIZES_UM = np.geomspace(0.1, 20.0, 81)
_SPEEDS = (1e-4, 1e-3, 1e-2, 1e-1, 1.0, 10.0, 100.0, 1e3)
_NARROW = 30.0  # of the axis, in % by mass, around the formula


def viscosity_curves(found: EmulsionOutlook, *, key: str = "emulsion-viscosity") -> str:
    """Return the models' viscosity against the drops' phase with the formula's point.

    Parameters
    ----------
    found : EmulsionOutlook
    key : str

    Returns
    -------
    str
        SVG, "" where no model gives a curve.
    """
    models = [m for m in found.viscosity.models if m.viscosity_mPas is not None]
    if not models:
        return ""
    oil_drops = found.phases.emulsion == "oil-in-water"
    own = found.phases.water_percent
    own = 100 - own if oil_drops else own
    low, high = max(5.0, own - _NARROW), min(85.0, own + _NARROW)
    point = models[0].viscosity_mPas or 1.0
    within = [m.curve_mPas[(m.drop_percent >= low) & (m.drop_percent <= high)] for m in models]
    finite = np.concatenate([c[np.isfinite(c)] for c in within])
    top = min(float(finite.max()), 30 * point)
    chart = Chart((low, high), (0.8 * float(finite.min()), 1.3 * top), y_log=True, label_room=110.0)
    chart.y_axis("viscosity, mPa s")
    phase = "oil phase" if oil_drops else "water phase"
    chart.x_axis(f"{phase}, % by mass")
    for number, model in enumerate(models):
        shown = (model.drop_percent >= low) & (model.drop_percent <= high)
        shown &= model.curve_mPas <= top
        chart.line(
            model.drop_percent[shown], model.curve_mPas[shown], model.model,
            stroke=svg.OCHRE if number == 0 else svg.INK, dash=svg.DASHES[number],
        )  # fmt: skip
    x, y = chart.x(own), chart.y(point)
    measured = found.viscosity.measured_mPas is not None
    chart.add(
        svg.circle(x, y, 4.5, fill=svg.INK if measured else svg.PAPER, stroke=svg.INK),
        svg.text(x - 8, y - 8, "measured" if measured else "start value, assumed",
                 anchor="end", size=11, fill=svg.INK, halo=True),
    )  # fmt: skip
    told = ", ".join(f"{m.model} {m.tied}" for m in models)
    return chart.picture(
        title="Viscosity against drops",
        description=f"Viscosity on a logarithmic scale against {phase}: {told}. The formula has "
        f"{number_text(own)} % and {number_text(point)} mPa s.",
        key=key,
    )


def settling_map(found: EmulsionOutlook, *, key: str = "settling") -> str:
    """Return speed against size for lumps and drops, with what the formula holds.

    Parameters
    ----------
    found : EmulsionOutlook
    key : str

    Returns
    -------
    str
        SVG, "" where nothing settles.
    """
    bodies = [b for b in found.settling.bodies if b.density_difference_kg_m3 != 0]
    if not bodies:
        return ""
    lump = next((b for b in bodies if b.is_lump), None)
    drop = next((b for b in bodies if not b.is_lump), None)
    lines = []
    if lump is not None:
        resistance = f"lumps, oil of {number_text(lump.medium_mPas, digits=2)}\u00a0mPa\u00a0s"
        lines.append((resistance, _speeds(lump), svg.OCHRE, ""))
        lines.append(("lumps, oil ten times thicker", _speeds(lump) / 10, svg.OCHRE, "7 3"))
    if drop is not None:
        way = "rise" if drop.density_difference_kg_m3 < 0 else "sink"
        lines.append((f"drops, they {way}", _speeds(drop), svg.INK, ""))
    values = np.concatenate([speed for _, speed, _, _ in lines])
    low, high = float(values.min()), max(float(values.max()), 2 * VISIBLE_MM_DAY)
    chart = Chart(
        (_SIZES_UM[0], _SIZES_UM[-1]), (low, high), x_log=True, y_log=True, label_room=112.0
    )
    ticks = [v for v in _SPEEDS if low <= v <= high]
    chart.y_axis("speed in this crowd, mm a day", ticks[:: max(1, len(ticks) // 6)])
    chart.x_axis("diameter, µm", [0.1, 0.2, 0.5, 1, 2, 5, 10, 20])
    chart.mark_y(VISIBLE_MM_DAY, "shows within weeks")
    for name, speed, ink, dash in lines:
        chart.line(_SIZES_UM, speed, name, stroke=ink, dash=dash)
    for body in bodies:
        _draw_body(chart, body)
    told = ", ".join(f"{b.name} {number_text(abs(b.hindered_mm_day))} mm a day" for b in bodies)
    return chart.picture(
        title="Settling map",
        description=f"Speed against size, both logarithmic: {told}.",
        key=key,
    )


def _speeds(body: SettlingBody) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Return the speed of bodies of this kind by size, upwards or downwards. [mm/d]"""
    size, difference = _SIZES_UM * 1e-6, abs(body.density_difference_kg_m3)
    lone = stokes_velocity_m_s(difference, size, body.medium_mPas * 1e-3) * MM_A_DAY
    found: np.ndarray[tuple[int, ...], np.dtype[np.float64]] = lone * hindrance(
        body.crowd, peclet_number(difference, size)
    )
    return found


def _draw_body(chart: Chart, body: SettlingBody) -> None:
    x, y = chart.x(body.diameter_um), chart.y(abs(body.hindered_mm_day))
    made = body.is_lump and "made" in body.name
    ink = svg.OCHRE if body.is_lump else svg.INK
    chart.add(svg.circle(x, y, 4.0, fill=svg.PAPER if made else ink, stroke=ink))
    if made:
        chart.add(svg.text(x + 7, y + 12, "as made", size=11, fill=ink, halo=True))
    elif not body.is_lump:
        chart.add(svg.text(x + 7, y + 12, "d32", size=11, fill=ink, halo=True))
