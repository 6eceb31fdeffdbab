"""A flow curve: viscosity against shear rate, both logarithmic, with the chosen fit."""

from __future__ import annotations

import numpy as np

from zincite.evaluation.assay.flow import FlowEvaluation, FlowFit
from zincite.evaluation.assay.reading import FlowFile
from zincite.evaluation.estimate import Estimate
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart, Label
from zincite.interfaces.documents.numbers import number_text

__all__ = ["flow_curve"]


def flow_curve(
    file: FlowFile,
    result: FlowEvaluation,
    fit: FlowFit,
    predicted: tuple[float, Estimate] | None = None,
    *,
    key: str = "flow",
) -> str:
    """Return the flow curve with its fit.

    Parameters
    ----------
    file : FlowFile
    result : FlowEvaluation
    fit : FlowFit
        The model that the data ask for.
    predicted : (float, Estimate), optional
        Shear rate [1/s] and predicted viscosity [mPa s].
    key : str

    Returns
    -------
    str
        SVG.
    """
    low, high = result.shear_rate_range_1_s
    rate = np.geomspace(low, high, 121)
    stress = fit.consistency_Pa_s_n.value * rate**fit.exponent.value
    if fit.yield_stress_Pa is not None:
        stress = stress + fit.yield_stress_Pa.value
    curve = 1e3 * stress / rate
    values = [*file.viscosity_mPas, *curve]
    if predicted is not None:
        values += [predicted[1].low, predicted[1].high]
    chart = Chart(
        (low / 1.3, high * 1.3),
        (0.7 * float(min(values)), 1.4 * float(max(values))),
        x_log=True,
        y_log=True,
        label_room=100.0,
    )
    chart.y_axis("viscosity, mPa s")
    chart.x_axis("shear rate, 1/s")
    if predicted is not None:
        _draw_prediction(chart, *predicted)
    chart.line(rate, curve, fit.model, stroke=svg.OCHRE)
    chart.add(
        *(
            svg.circle(chart.x(float(x)), chart.y(float(y)), 3.4, fill=svg.PAPER, stroke=svg.INK)
            for x, y in zip(file.shear_rate_1_s, file.viscosity_mPas, strict=True)
        )
    )
    told = ", ".join(
        f"{number_text(v)} mPa s at {k} per s" for k, v in result.viscosity_mPas.items() if v
    )
    return chart.picture(
        title="Flow curve",
        description=f"Viscosity against shear rate, both logarithmic: {told}. {fit.model}.",
        key=key,
    )


def _draw_prediction(chart: Chart, at: float, found: Estimate) -> None:
    x, top, bottom = chart.x(at), chart.y(found.high), chart.y(found.low)
    chart.add(
        svg.rect(x - 5, top, 10, bottom - top, fill=svg.MUTED, opacity=0.3),
        svg.line(x - 8, chart.y(found.median), x + 8, chart.y(found.median), stroke=svg.MUTED,
                 width=2.4),
    )  # fmt: skip
    chart.labels.append(Label(top, "predicted, 90\u00a0%, slow shear", svg.MUTED, x + 5))
