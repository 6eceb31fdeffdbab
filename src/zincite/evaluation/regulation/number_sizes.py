"""Sizes of a grade by number, with the uncertainty that its card leaves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from zincite.formula.material import Grade
from zincite.physics.sizes import (
    histogram_nodes,
    lognormal_nodes,
    number_median_from_volume,
)
from zincite.sources import Evidence

__all__ = ["SIZE_UNCERTAINTY", "NumberSizes", "number_sizes", "size_range"]

SIZE_UNCERTAINTY = {True: (1.25, 0.20), False: (1.10, 0.10)}
"""Factor on the median and step of the geometric standard deviation, by "sizes are assumed".

The second pair is that of the nano decision; both are assumed, no source.
"""

_FIRST_PERCENTILE = -2.3263478740408408  # standard normal quantile of 0.01


@dataclass(frozen=True, slots=True)
class NumberSizes:
    """Sizes of a grade by number.

    Attributes
    ----------
    median_nm, first_percentile_nm : float
        D50 and D1 of the core diameters by number. [nm]
    vssa_m2_cm3 : float
        Volume-specific surface area of spheres with this distribution, 6 / d32. [m2/cm3]
    """

    median_nm: float
    first_percentile_nm: float
    vssa_m2_cm3: float


def number_sizes(grade: Grade, *, median_factor: float = 1.0, gsd_step: float = 0.0) -> NumberSizes:
    """Return number D50 and D1 and the volume-specific surface area of a grade.

    Parameters
    ----------
    grade : Grade
        Its core sizes count.
    median_factor, gsd_step : float
        Changes of the sizes and of a lognormal's geometric standard deviation. [-]

    Notes
    -----
    The surface area is that of smooth spheres, specific surface times density = 6 / d32; a
    measured one is larger where particles are rough or porous, smaller where they are sintered.

    Examples
    --------
    >>> sizes = number_sizes(Grade("zinc-oxide", 60.0, 1.5, weighting="number"))
    >>> round(sizes.median_nm), round(sizes.first_percentile_nm), round(sizes.vssa_m2_cm3)
    (60, 23, 66)
    """
    if grade.histogram_nm:
        nodes = histogram_nodes(
            grade.histogram_nm, grade.histogram_share, weighting=grade.weighting
        )
        order = np.argsort(nodes.diameter_nm)
        diameter = nodes.diameter_nm[order] * median_factor
        cumulated = np.cumsum(nodes.number_weight[order])
        pick = [int(np.searchsorted(cumulated, share - 1e-12)) for share in (0.5, 0.01)]
        surface = 6000.0 / (nodes.sauter_diameter_nm * median_factor)
        return NumberSizes(float(diameter[pick[0]]), float(diameter[pick[1]]), surface)
    gsd = max(grade.primary_gsd + gsd_step, 1.0)
    median = grade.primary_median_nm * median_factor
    nodes = lognormal_nodes(median, gsd, weighting=grade.weighting)
    if grade.weighting == "volume":
        median = number_median_from_volume(median, gsd)
    return NumberSizes(median, median * gsd**_FIRST_PERCENTILE, 6000.0 / nodes.sauter_diameter_nm)


def size_range(grade: Grade) -> tuple[NumberSizes, NumberSizes]:
    """Return smallest and largest sizes and surface areas within the size uncertainty."""
    factor, step = SIZE_UNCERTAINTY[grade.evidence is Evidence.ASSUMED]
    tries = [
        number_sizes(grade, median_factor=f, gsd_step=s)
        for f in (1.0 / factor, 1.0, factor)
        for s in (-step, 0.0, step)
    ]
    extremes = []
    for pick in (min, max):
        extremes.append(
            NumberSizes(
                pick(t.median_nm for t in tries),
                pick(t.first_percentile_nm for t in tries),
                pick(t.vssa_m2_cm3 for t in tries),
            )
        )
    return extremes[0], extremes[1]
