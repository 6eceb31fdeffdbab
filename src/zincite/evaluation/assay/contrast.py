"""Hiding power measured: the same film over the black and the white half of a card."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import InputError, OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.rules import formula_marks
from zincite.physics.colour import xyz_from_lab
from zincite.statistics.intervals import mean_interval

__all__ = ["ContrastRatio", "evaluate_contrast_ratio"]

METHOD = "contrast ratio on black and white cards, after ISO 6504-3"
_SCALES = ("Y", "L*")


@dataclass(frozen=True, slots=True)
class ContrastRatio:
    """Contrast ratio of a film.

    Attributes
    ----------
    method : str
    n : int
        Cards.
    ratios_percent : tuple of float
        Of each card, for a plot of raw points.
    mean_percent : float
    sd_percent, low_percent, high_percent : float or None
        Standard deviation and bounds of the mean; None for a single card.
    confidence : float
        Of the bounds, two-sided.
    valid : bool
        Whether there are at least two cards, so that there is an interval.
    reasons, marks : tuple of str
    """

    method: str
    n: int
    ratios_percent: tuple[float, ...]
    mean_percent: float
    sd_percent: float | None
    low_percent: float | None
    high_percent: float | None
    confidence: float
    valid: bool
    reasons: tuple[str, ...]
    marks: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = plain(self)
        return shown


def _luminous(readings: ArrayLike, scale: str, where: str) -> NDArray[np.float64]:
    values = np.asarray(readings, dtype=np.float64)
    top = 110.0  # white above the perfect one by fluorescence or calibration, not by another scale
    if values.ndim != 1 or values.size == 0:
        raise OutOfRangeError(f"readings over {where} have shape {values.shape}, expected a list")
    if not np.all((values >= 0) & (values <= top)):
        raise OutOfRangeError(f"a reading of {scale} over {where} is not from 0 to {top:g}")
    if scale == "Y":
        return values
    lab = np.stack([values, np.zeros_like(values), np.zeros_like(values)], axis=-1)
    return np.asarray(xyz_from_lab(lab, [100.0, 100.0, 100.0])[:, 1])


def evaluate_contrast_ratio(
    over_black: ArrayLike, over_white: ArrayLike, *, scale: str, confidence: float = 0.95
) -> ContrastRatio:
    """Evaluate the contrast ratio from readings over black and white.

    Parameters
    ----------
    over_black, over_white : array_like, shape (n_cards,)
        Readings of the film on the two halves of each card, specular gloss as measured.
    scale : str
        "Y" (0 to 100) or "L*".
    confidence : float
        Two-sided, between 0 and 1.

    Returns
    -------
    ContrastRatio

    Raises
    ------
    InputError
        If black reads above white on all cards (columns swapped).
    OutOfRangeError
        If lengths differ, a reading is out of range, white reads 0 or the scale is not known.

    Notes
    -----
    100 Y over black / Y over white of each card (ISO 6504-3, definition from memory); L* is turned
    into Y by CIE 15:2018, eq 8.3.

    Examples
    --------
    >>> evaluate_contrast_ratio([20.0], [80.0], scale="Y").mean_percent
    25.0
    """
    if scale not in _SCALES:
        raise OutOfRangeError(f"scale is {scale!r}, expected one of {', '.join(_SCALES)}")
    black, white = _luminous(over_black, scale, "black"), _luminous(over_white, scale, "white")
    if black.shape != white.shape:
        raise OutOfRangeError(
            f"{black.size} readings over black and {white.size} over white are given, expected "
            "one of each for every card"
        )
    if np.any(white <= 0):
        raise OutOfRangeError("a reading over white is 0, expected above 0")
    # a few percent above 100 is noise of a hiding film, more is another order of the columns
    if np.all(black > 1.05 * white):
        raise InputError(
            "every card reads brighter over black than over white, expected darker: are the two "
            "columns swapped?"
        )
    ratios = 100.0 * black / white
    marks = formula_marks("ISO 6504-3")
    shown = tuple(float(ratio) for ratio in ratios)
    if ratios.size == 1:
        reasons = ("1 card gives no interval",)
        return ContrastRatio(
            METHOD, 1, shown, shown[0], None, None, None, confidence, False, reasons, marks
        )
    found = mean_interval(ratios, confidence)
    return ContrastRatio(
        METHOD,
        found.n,
        shown,
        found.mean,
        found.sd,
        found.low,
        found.high,
        confidence,
        True,
        (),
        marks,
    )
