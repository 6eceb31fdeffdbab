"""Photostability in vitro: what is left of protection and absorbance after irradiation.

Common practice; no standard sets a method or a limit, so the limit is the user's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.absorbance_sums import (
    adjustment_coefficient,
    spf_in_vitro,
    uva_protection_factor,
)
from zincite.evaluation.assay.in_vitro_spectra import Average, PlateSpectra, plate_spectra
from zincite.evaluation.assay.lamps import LAMPS, lamp_labels, lamp_marks
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.plate_statistics import PlateMean, plate_mean
from zincite.physics.photoprotection import UV_GRID_NM

__all__ = ["FIGURES", "Photostability", "Verdict", "evaluate_photostability"]

Array = NDArray[np.float64]
Verdict = Literal["passes", "fails", "undecided", "no limit given"]

FIGURES = {
    "spf_in_vitro": "SPF in vitro",
    "uva_pf": "UVA-PF",
    "area_290_320": "area under absorbance, 290-320 nm",
    "area_320_400": "area under absorbance, 320-400 nm",
}
"""Figures whose loss is judged, with their printed names."""

_MATERIAL_POINTS = 1.0
"""Change of a loss by saturation, in percentage points, that spoils it; rule of this package."""


@dataclass(frozen=True, slots=True)
class Photostability:
    """Result before and after irradiation; losses are per plate, then averaged.

    Attributes
    ----------
    method, average : str
        Common practice, and mean of what over the spots of a plate.
    scaled_to_spf : float or None
        SPF to which each plate was scaled before; None for C = 1.
    before, after : dict of str to PlateMean
        By the names of `FIGURES`; areas in absorbance nm.
    loss_percent : dict of str to PlateMean
        Percent lost, negative for a gain.
    retained_percent : dict of str to float
        100 - mean loss.
    limit_percent : float or None
        Largest loss that the user accepts.
    verdicts : dict of str to str
        "passes", "fails", "undecided" (interval holds the limit) or "no limit given".
    valid : bool
        Whether losses have intervals and saturation does not matter.
    reasons, marks, notes : tuple of str
        Why not valid; what is assumed; what was done to the readings.
    lamps : tuple of dict
    """

    method: str
    average: str
    scaled_to_spf: float | None
    before: dict[str, PlateMean]
    after: dict[str, PlateMean]
    loss_percent: dict[str, PlateMean]
    retained_percent: dict[str, float]
    limit_percent: float | None
    verdicts: dict[str, Verdict]
    valid: bool
    reasons: tuple[str, ...]
    marks: tuple[str, ...]
    notes: tuple[str, ...]
    lamps: tuple[dict[str, str], ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return dict(plain(self))


def _area(absorbance: Array, low: float, high: float) -> Array:
    inside = (low <= UV_GRID_NM) & (high >= UV_GRID_NM)
    return np.asarray(np.trapezoid(absorbance[:, inside], axis=1))  # 1 nm steps


def _figures(absorbance: Array, c: Array) -> dict[str, Array]:
    scaled = c[:, None] * absorbance
    return {
        "spf_in_vitro": spf_in_vitro(scaled),
        "uva_pf": uva_protection_factor(scaled),
        "area_290_320": _area(scaled, 290, 320),
        "area_320_400": _area(scaled, 320, 400),
    }


def _losses(before: Array, after: Array, c: Array) -> dict[str, Array]:
    first, last = _figures(before, c), _figures(after, c)
    empty = [name for name, values in first.items() if not np.all(values > 0)]
    if empty:
        raise OutOfRangeError(
            f"{FIGURES[empty[0]]} of a plate is 0 before irradiation, expected a film that absorbs"
        )
    return {name: 100.0 * (1.0 - last[name] / first[name]) for name in first}


def _coefficients(before: Array, scale_to_spf: float | None) -> Array:
    if scale_to_spf is None:
        return np.ones(len(before))
    return np.array(
        [
            adjustment_coefficient(a, scale_to_spf, where=f"plate {number}")
            for number, a in enumerate(before, start=1)
        ]
    )


def _verdict(loss: PlateMean, most: float | None) -> Verdict:
    if most is None:
        return "no limit given"
    low = loss.mean if loss.low is None else loss.low
    high = loss.mean if loss.high is None else loss.high
    if high <= most:
        return "passes"
    return "fails" if low > most else "undecided"


def _saturation_reason(
    first: PlateSpectra, last: PlateSpectra, scale: float | None, losses: dict[str, Array]
) -> list[str]:
    if not sum(first.saturated) + sum(last.saturated):
        return []
    worst = 0.0
    # a bound before hides loss, one after feigns it: each on its own, and both
    for before, after in (
        (first.raised, last.absorbance),
        (first.absorbance, last.raised),
        (first.raised, last.raised),
    ):
        moved = _losses(before, after, _coefficients(before, scale))
        worst = max([worst, *(float(np.max(np.abs(moved[n] - losses[n]))) for n in losses)])
    if worst <= _MATERIAL_POINTS:
        return []
    return [
        f"saturated readings matter: ten times less light there would move a loss by {worst:.1f} "
        "percentage points"
    ]


def evaluate_photostability(
    before: ArrayLike,
    after: ArrayLike,
    *,
    saturated_before: ArrayLike | None = None,
    saturated_after: ArrayLike | None = None,
    scale_to_spf: float | None = None,
    limit_percent: float | None = None,
    average: Average = "absorbance",
) -> Photostability:
    """Compare the same plates before and after irradiation.

    Parameters
    ----------
    before, after : array_like, shape (plates, spots, 111)
        Absorbance on 290-400 nm at 1 nm; a spot that was not read is nan throughout. [-]
    saturated_before, saturated_after : array_like of bool, optional
        Readings that are lower bounds.
    scale_to_spf : float, optional
        Scale each plate to this SPF before irradiation, as ISO 24443 does; C = 1 if left out.
    limit_percent : float, optional
        Largest loss that is accepted, of every figure; no standard gives one. [%]
    average : {"absorbance", "transmittance"}
        Mean of what over the spots of a plate.

    Returns
    -------
    Photostability

    Raises
    ------
    OutOfRangeError
        If spectra, limit or SPF are impossible.

    Notes
    -----
    loss = 100 (1 - after/before) of each plate; mean and t interval (95 %) over plates. It passes
    where the whole interval is at most the limit. The areas are trapezoids over 290-320 nm and
    320-400 nm, in absorbance nm. Common practice, no source.
    """
    if limit_percent is not None and not 0 <= limit_percent <= 100:
        raise OutOfRangeError(f"largest loss is {limit_percent:g} %, expected 0 to 100 %")
    if np.shape(after) != np.shape(before):
        raise OutOfRangeError(
            f"spectra after irradiation have shape {np.shape(after)}, expected those of before, "
            f"{np.shape(before)}: the same spots of the same plates"
        )
    first = plate_spectra(
        before, saturated=saturated_before, average=average, what="absorbance before irradiation"
    )
    last = plate_spectra(
        after, saturated=saturated_after, average=average, what="absorbance after irradiation"
    )
    c = _coefficients(first.absorbance, scale_to_spf)
    losses = _losses(first.absorbance, last.absorbance, c)
    mean_losses = {name: plate_mean(values) for name, values in losses.items()}
    reasons = _saturation_reason(first, last, scale_to_spf, losses)
    if first.plates == 1:
        reasons.append("one plate has no interval, expected at least two")
    notes = [*first.notes, *last.notes]
    if scale_to_spf is None:
        notes.append("not scaled to an SPF (C = 1): SPF and UVA-PF are those of the plates")
    return Photostability(
        method="photostability in vitro, common practice",
        average=average,
        scaled_to_spf=scale_to_spf,
        before=_means(_figures(first.absorbance, c)),
        after=_means(_figures(last.absorbance, c)),
        loss_percent=mean_losses,
        retained_percent={name: 100.0 - loss.mean for name, loss in mean_losses.items()},
        limit_percent=limit_percent,
        verdicts={name: _verdict(loss, limit_percent) for name, loss in mean_losses.items()},
        valid=not reasons,
        reasons=tuple(reasons),
        marks=("method and figures: common practice, no source", *lamp_marks(LAMPS)),
        notes=tuple(notes),
        lamps=lamp_labels(LAMPS),
    )


def _means(figures: dict[str, Array]) -> dict[str, PlateMean]:
    return {name: plate_mean(values) for name, values in figures.items()}
