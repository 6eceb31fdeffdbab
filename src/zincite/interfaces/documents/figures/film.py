"""The dried film: how its thickness is spread over the skin."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.prediction import Prediction
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart
from zincite.interfaces.documents.numbers import number_text

__all__ = ["film_thickness", "thin_tenth"]

Array = NDArray[np.float64]

_TENTH = 0.1


def thin_tenth(height: Array, density: Array) -> float:
    """Return the relative height below which the thinnest tenth of the film lies. [-]

    Parameters
    ----------
    height, density : ndarray, shape (n,)
        Relative height, rising and above 0, and its density.

    Returns
    -------
    float
        NaN where the tenth lies outside the heights given.

    Notes
    -----
    Below the first height the density is taken as a power of height, as a gamma density is there,
    so its part is height times density over (power + 1).
    """
    if height.size < 2 or not np.all(density[:2] > 0):
        return float("nan")
    power = float(np.log(density[1] / density[0]) / np.log(height[1] / height[0]))
    below = float(height[0] * density[0] / max(power + 1.0, 1e-3))
    steps = np.diff(height) * (density[1:] + density[:-1]) / 2
    share = below + np.concatenate([[0.0], np.cumsum(steps)])
    if below >= _TENTH:
        return float(height[0] * (_TENTH / below) ** (1.0 / max(power + 1.0, 1e-3)))
    if share[-1] < _TENTH:
        return float("nan")
    return float(np.interp(_TENTH, share, height))


def film_thickness(prediction: Prediction, *, key: str = "film") -> str:
    """Return the distribution of film thickness with its thinnest tenth.

    Parameters
    ----------
    prediction : Prediction
    key : str

    Returns
    -------
    str
        SVG.
    """
    height, density = prediction.film_height, prediction.film_density
    dry = prediction.dose.get("dry_thickness_um", float("nan"))
    finite = density[np.isfinite(density)]
    # a very uneven film rises without bound at 0; the picture is cut where it says nothing more
    top = min(1.15 * float(finite.max()), 3.0) if finite.size else 1.0
    chart = Chart((0.0, float(height[-1])), (0.0, top), label_room=18, top=44)
    chart.y_axis("density of relative height")
    chart.x_axis("local height ÷ mean height")
    tenth = thin_tenth(height, density)
    if np.isfinite(tenth):
        _fill_thin(chart, height, density, tenth, dry)
    chart.line(height, np.minimum(density, top), width=2.0)
    mean = "mean dry thickness" + (f"\n{number_text(dry, digits=2)} µm" if np.isfinite(dry) else "")
    chart.mark_x(1.0, mean, stroke=svg.INK, y=chart.top - 12)
    return chart.picture(
        title="Thickness of the dried film",
        description=(
            f"Density of local film height; mean dry thickness {number_text(dry, digits=2)} µm, "
            f"the thinnest tenth lies below {number_text(tenth, digits=2)} of the mean."
        ),
        key=key,
    )


def _fill_thin(chart: Chart, height: Array, density: Array, tenth: float, dry: float) -> None:
    inside = height <= tenth
    x = np.concatenate([[0.0], height[inside], [tenth]])
    edge = float(np.interp(tenth, height, density))
    y = np.concatenate([[float(density[0])], density[inside], [edge]])
    chart.band(x, np.zeros_like(x), y, fill=svg.OCHRE, opacity=0.85)
    words = [
        "thinnest tenth of the area:",
        f"below {number_text(100 * tenth, digits=2)} % of the mean",
    ]
    if np.isfinite(dry):
        words.append(f"= below {number_text(tenth * dry, digits=2)} µm")
    place = chart.x(float(chart.x_range[1]) * 0.45)
    level = chart.y(0.9 * edge)
    chart.add(svg.line(chart.x(0.9 * tenth), level, place - 5, level, stroke=svg.OCHRE, width=0.8))
    for row, content in enumerate(words):
        chart.add(
            svg.text(
                place,
                level + 14 * row,
                content,
                size=11.5,
                fill=svg.OCHRE,
                halo=True,
                weight="600" if row == 0 else None,
            )
        )
