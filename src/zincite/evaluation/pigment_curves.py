"""Each pigment of a film for itself: its sizes and what it takes out of the light."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from zincite.evaluation.film import DriedFilm, optical_properties
from zincite.evaluation.parameters import ModelDraws
from zincite.evaluation.particles import grade_sizes
from zincite.evaluation.pigments import SPECTRUM_NM
from zincite.evaluation.prediction import PigmentCurve
from zincite.formula.ingredient_list import nano_decision
from zincite.formula.material import Grade
from zincite.physics.sizes import volume_median_from_number

__all__ = ["pigment_curves"]

Array = NDArray[np.float64]


def pigment_curves(film: DriedFilm, centre: ModelDraws) -> tuple[PigmentCurve, ...]:
    """Return each pigment's sizes, nano decision and optical depth alone, at one draw."""
    curves: list[PigmentCurve] = []
    for pigment in film.pigments:
        grade = pigment.material.grade
        if grade is None:
            continue
        depth, _, _ = optical_properties(replace(film, pigments=(pigment,)), centre, slice(None))
        decision = nano_decision(grade)
        diameter, density = _size_curve(pigment.optics.fitted or grade)
        fitted = pigment.optics.fitted
        note = (
            ""
            if fitted is None
            else f"optical size {fitted.primary_median_nm:.0f} nm fitted to the card's measured "
            f"extinction (misfit {pigment.optics.fit_error_percent:.0f} %)"
        )
        curves.append(
            PigmentCurve(
                pigment.material.id,
                pigment.percent,
                diameter,
                density,
                SPECTRUM_NM,
                depth[0],
                decision.verdict,
                100 * decision.number_fraction_below_100nm,
                note,
                _processed(pigment.material.id, centre),
            )
        )
    return tuple(curves)


def _processed(material: str, centre: ModelDraws) -> str:
    if material not in centre.grade_log_nm:
        return ""
    share, size = expit(centre.grade_logit[material][0]), np.exp(centre.grade_log_nm[material][0])
    return f"{100 * share:.0f} % in aggregates of {size:.0f} nm (by the process steps)"


def _size_curve(grade: Grade) -> tuple[Array, Array]:
    """Return the volume density per ln d of a grade's cores, for drawing."""
    if grade.histogram_nm:
        nodes = grade_sizes(grade)
        order = np.argsort(nodes.diameter_nm)
        return nodes.diameter_nm[order], nodes.volume_weight[order]
    median = grade.primary_median_nm
    if grade.weighting == "number":
        median = volume_median_from_number(median, grade.primary_gsd)
    sigma = max(np.log(grade.primary_gsd), 0.02)
    diameter = np.geomspace(median / 8, median * 8, 121)
    density = np.exp(-0.5 * (np.log(diameter / median) / sigma) ** 2) / (sigma * np.sqrt(2 * np.pi))
    return diameter, density
