"""Dissolved zinc and aluminium against pH, and the shares of their species."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.making.water.ions_result import IonCurve, ShareCurve
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart
from zincite.interfaces.documents.numbers import number_text

__all__ = ["dissolved_against_ph", "shares_against_ph"]

Array = NDArray[np.float64]

_RAISED = str.maketrans("0123456789+-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_CHARGE = re.compile(r"([+-])(\d?)$")
_COUNT = re.compile(r"(?<=[A-Za-z)])\d+")
_LOWEST, _HIGHEST = 1e-3, 1e5
_POWERS = tuple(range(-3, 6))
_MOST_SHARES, _LEAST_SHARE = 6, 0.05


def _species_text(name: str) -> str:
    """Return a species with its charge raised and its counts lowered, as in print.

    Examples
    --------
    >>> _species_text("Zn(OH)4-2")
    'Zn(OH)₄²⁻'
    """
    charged = _CHARGE.sub(lambda m: (m.group(2) + m.group(1)).translate(_RAISED), name)
    return _COUNT.sub(lambda m: m.group().translate(_LOWERED), charged)


def dissolved_against_ph(
    curve: IonCurve,
    ph: float | None,
    window: tuple[float, float] | None,
    *,
    zinc: bool = True,
    aluminium: bool = True,
    key: str = "ions",
) -> str:
    """Return the SVG of dissolved metal against pH, logarithmic, with the pH asked about."""
    chart = Chart((5.0, 12.0), (_LOWEST, _HIGHEST), y_log=True, label_room=104.0)
    if window is not None:
        chart.region(*window, "window")
    chart.y_axis(
        "dissolved, mg/L",
        [10.0**power for power in _POWERS],
        [str(10**p) if 0 <= p <= 3 else f"10{str(p).translate(_RAISED)}" for p in _POWERS],
    )
    chart.x_axis("pH", [5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0])
    if aluminium:
        layers = (
            (curve.aluminium_mg_l, "Al, gibbsite", svg.FAINT),
            (curve.aluminium_amorphous_mg_l, "Al, fresh layer", svg.MUTED),
        )
        for values, name, stroke in layers:
            chart.line(curve.ph, *_kept(values, name), stroke=stroke, dash="2 3")
    own = curve.zinc_mg_l
    if zinc:
        stroke, dash = (svg.OCHRE, "") if own is None else (svg.INK, "7 3")
        chart.line(
            curve.ph, *_kept(curve.zinc_plain_mg_l, "Zn, plain water"), stroke=stroke, dash=dash
        )
    if own is not None:
        chart.line(curve.ph, *_kept(own, "Zn, this formula"), stroke=svg.OCHRE)
    _mark(chart, ph, chart.bottom - 8)
    shown = own if own is not None else curve.zinc_plain_mg_l if zinc else curve.aluminium_mg_l
    metal = "Zinc" if zinc else "Aluminium over gibbsite"
    told = (
        f"{number_text(float(np.interp(at, curve.ph, shown)))} at pH {at}" for at in (6, 7, 8, 9)
    )
    return chart.picture(
        title="Dissolved metal against pH",
        description=f"{metal} in mg/L: {', '.join(told)}.",
        key=f"{key}-dissolved",
    )


def _kept(values: Array, name: str) -> tuple[Array, str]:
    inside = (values >= _LOWEST) & (values <= _HIGHEST)
    return np.where(inside, values, np.nan), name


def _mark(chart: Chart, ph: float | None, y: float) -> None:
    if ph is not None and 5 <= ph <= 12:
        side = "end" if ph > 9 else "start"
        name = f"pH {number_text(ph, decimals=1)}"
        chart.mark_x(ph, name, stroke=svg.OCHRE, y=y, side=side)


def shares_against_ph(
    ph: Array, shares: Sequence[ShareCurve], at: float | None, *, key: str = "ions"
) -> str:
    """Return the SVG of the shares of a metal's species against pH, each named at its peak."""
    chart = Chart((5.0, 12.0), (0.0, 100.0), label_room=16.0, top=40.0)
    chart.y_axis("share of dissolved zinc, %", [0.0, 25.0, 50.0, 75.0, 100.0])
    chart.x_axis("pH", [5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0])
    seen = [one for one in shares if float(one.share.max()) >= _LEAST_SHARE]
    largest = sorted(seen, key=lambda s: -float(s.share.max()))[:_MOST_SHARES]
    for number, one in enumerate(largest):
        chart.line(ph, 100 * one.share, stroke=svg.INK, dash=svg.DASHES[number % len(svg.DASHES)])
    _mark(chart, at, chart.top - 4)
    taken: list[tuple[float, float]] = []
    for one in largest:
        peak = int(np.argmax(one.share))
        x = min(max(chart.x(float(ph[peak])), chart.left + 42), chart.right - 42)
        y = chart.y(100 * float(one.share[peak])) - 6
        if y < chart.top + 8:  # above the plot stands the pH asked about
            y += 20
        while any(abs(x - a) < 84 and abs(y - b) < 13 for a, b in taken):
            y += 13
        taken.append((x, y))
        name = _species_text(one.species)
        chart.add(svg.text(x, y, name, anchor="middle", size=11.0, fill=svg.INK, halo=True))
    return chart.picture(
        title="Forms of dissolved zinc against pH",
        description="Largest share of each form: "
        + ", ".join(
            f"{one.species} {100 * float(one.share.max()):.0f} % at pH "
            f"{float(ph[int(np.argmax(one.share))]):.1f}"
            for one in largest
        )
        + ".",
        key=f"{key}-shares",
    )
