"""Spectra of plates: each plate thin, their mean bold, the prediction as a band."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart, Label
from zincite.interfaces.documents.figures.spectra import draw_uv_bands
from zincite.interfaces.documents.numbers import number_text
from zincite.physics.photoprotection import UV_GRID_NM
from zincite.workbench.assay.overlay import PredictedAbsorbance
from zincite.workbench.assay.plate_readings import PlateReadings

__all__ = ["plate_absorbance"]

Array = NDArray[np.float64]

_TICKS_NM = (290, 320, 340, 360, 380, 400)


def plate_absorbance(
    readings: PlateReadings,
    predicted: PredictedAbsorbance | None = None,
    *,
    name: str = "measured",
    mark_nm: float | None = None,
    key: str = "plates",
) -> str:
    """Return the absorbance of plates, before and where there is one after irradiation.

    Parameters
    ----------
    readings : PlateReadings
    predicted : PredictedAbsorbance, optional
        Band of the prediction.
    name : str
        Of the spectra where there is one state only.
    mark_nm : float, optional
        Critical wavelength to mark. [nm]
    key : str
        Makes ids unique within a page.

    Returns
    -------
    str
        SVG.
    """
    states = [(name if readings.after is None else "before", readings.before, svg.INK, "")]
    if readings.after is not None:
        states.append(("after", readings.after, svg.OCHRE, "7 3"))
    means = [(word, readings.plate_means(a), stroke, dash) for word, a, stroke, dash in states]
    tops = [float(np.nanmax(m)) for _, m, _, _ in means]
    if predicted is not None:
        tops.append(float(np.max(predicted.high)))
    chart = Chart((290, 400), (0.0, 1.12 * max(*tops, 0.1)), label_room=92.0)
    draw_uv_bands(chart)
    chart.y_axis("absorbance, −log10 of transmittance")
    chart.x_axis("wavelength, nm", _TICKS_NM)
    if predicted is not None:
        _draw_prediction(chart, predicted)
    for word, plates, stroke, dash in means:
        for plate in plates:
            chart.line(UV_GRID_NM, plate, stroke=stroke, dash=dash, width=0.6)
        chart.line(UV_GRID_NM, plates.mean(axis=0), word, stroke=stroke, dash=dash, width=2.2)
    if mark_nm is not None:
        chart.mark_x(mark_nm, f"{number_text(mark_nm, decimals=1)} nm", side="end",
                     stroke=svg.OCHRE, y=chart.bottom - 8)  # fmt: skip
    return chart.picture(
        title="Absorbance of the plates",
        description=_words(
            [(word, plates.mean(axis=0)) for word, plates, _, _ in means], predicted
        ),
        key=key,
    )


def _draw_prediction(chart: Chart, predicted: PredictedAbsorbance) -> None:
    x = predicted.wavelength_nm
    chart.band(x, predicted.low, predicted.high)
    chart.line(x, predicted.median, stroke=svg.MUTED, dash="2 3", width=1.2)
    end = chart.y(float(predicted.high[-1]))
    chart.labels.append(Label(end, "predicted, 90\u00a0%", svg.MUTED, chart.right))


def _words(means: Sequence[tuple[str, Array]], predicted: PredictedAbsorbance | None) -> str:
    parts = [
        f"{word}: "
        + ", ".join(
            f"{number_text(float(np.interp(at, UV_GRID_NM, mean)))} at {at} nm"
            for at in (300, 330, 360, 390)
        )
        for word, mean in means
    ]
    if predicted is not None:
        inside = np.mean((means[0][1] >= predicted.low) & (means[0][1] <= predicted.high))
        parts.append(f"{100 * inside:.0f} % of the mean lies in the predicted 90 % band")
    return "Mean absorbance of the plates, " + "; ".join(parts) + "."
