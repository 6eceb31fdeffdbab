"""Spectra of spots on plates, averaged per plate, with what saturation may hide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics.photoprotection import UV_GRID_NM

__all__ = ["SATURATION_PROBE", "Average", "PlateSpectra", "plate_spectra"]

Array = NDArray[np.float64]
Average = Literal["absorbance", "transmittance"]

SATURATION_PROBE = 1.0
"""How far saturated readings are raised to see what they may hide: ten times less light. A rule
of this package, no source. [-]"""

_LOWEST, _HIGHEST = -0.1, 10.0
"""Absorbances that a reading can have: a quarter more light than the blank, or none at all."""


@dataclass(frozen=True, slots=True)
class PlateSpectra:
    """Spectra averaged over the spots of each plate.

    Attributes
    ----------
    absorbance : ndarray, shape (plates, 111)
        On `UV_GRID_NM`, 0 or more. [-]
    raised : ndarray, shape (plates, 111)
        The same with saturated readings raised by `SATURATION_PROBE`.
    spots : tuple of int
        Spots read on each plate.
    saturated : tuple of int
        Saturated readings on each plate.
    notes : tuple of str
        What was done to the readings and which are lower bounds.
    """

    absorbance: Array
    raised: Array
    spots: tuple[int, ...]
    saturated: tuple[int, ...]
    notes: tuple[str, ...]

    @property
    def plates(self) -> int:
        """Number of plates."""
        return int(self.absorbance.shape[0])


def plate_spectra(
    absorbance: ArrayLike,
    *,
    saturated: ArrayLike | None = None,
    average: Average = "absorbance",
    what: str = "absorbance",
) -> PlateSpectra:
    """Average readings over the spots of each plate.

    Parameters
    ----------
    absorbance : array_like, shape (plates, spots, 111)
        -log10 of transmittance on `UV_GRID_NM`. A spot that was not read is nan throughout. [-]
    saturated : array_like of bool, shape of `absorbance`, optional
        Readings that are lower bounds, as the instrument saw no light.
    average : {"absorbance", "transmittance"}
        Mean of what over the spots; transmittance gives -log10 of the mean.
    what : str
        Name of the spectra in messages.

    Returns
    -------
    PlateSpectra

    Raises
    ------
    OutOfRangeError
        If the shape is another, a reading is missing or impossible, or a plate has no spot or no
        film.

    Notes
    -----
    A mean absorbance below 0, noise near 400 nm, is set to 0 and said so.
    """
    if average not in ("absorbance", "transmittance"):
        raise OutOfRangeError(
            f"average is {average!r}, expected 'absorbance' or 'transmittance' of the spots"
        )
    readings = _readings(absorbance, what)
    mask = _mask(saturated, readings, what)
    read = ~np.isnan(readings[:, :, 0])
    mean = _mean_over_spots(readings, read, average)
    bare = np.max(mean, axis=1) <= 0
    if bare.any():
        raise OutOfRangeError(
            f"{what} of plate {int(np.argmax(bare)) + 1} is 0 or less throughout, expected a film"
        )
    raised = _mean_over_spots(readings + SATURATION_PROBE * mask, read, average)
    notes = [*_saturation_notes(mask, read, what), *_negative_notes(mean, what)]
    return PlateSpectra(
        np.maximum(mean, 0.0),
        np.maximum(raised, 0.0),
        tuple(int(n) for n in read.sum(axis=1)),
        tuple(int(n) for n in mask.sum(axis=(1, 2))),
        tuple(notes),
    )


def _readings(absorbance: ArrayLike, what: str) -> Array:
    readings = np.asarray(absorbance, dtype=float)
    if readings.ndim != 3 or readings.shape[2] != UV_GRID_NM.size or 0 in readings.shape:
        raise OutOfRangeError(
            f"{what} has shape {readings.shape}, expected (plates, spots, {UV_GRID_NM.size}) "
            "on 290 to 400 nm at 1 nm"
        )
    missing = np.isnan(readings)
    partly = missing.any(axis=2) & ~missing.all(axis=2)
    if partly.any():
        plate, spot = np.argwhere(partly)[0]
        at = UV_GRID_NM[np.argmax(missing[plate, spot])]
        raise OutOfRangeError(
            f"{what} of plate {plate + 1}, spot {spot + 1} is missing at {at:g} nm, "
            "expected every wavelength or none"
        )
    if missing.all(axis=(1, 2)).any():
        plate = int(np.argmax(missing.all(axis=(1, 2))))
        raise OutOfRangeError(f"{what} of plate {plate + 1} has no spot, expected at least one")
    wrong = ~missing & ~((readings >= _LOWEST) & (readings <= _HIGHEST))
    if wrong.any():
        plate, spot, place = np.argwhere(wrong)[0]
        raise OutOfRangeError(
            f"{what} of plate {plate + 1}, spot {spot + 1} is {readings[plate, spot, place]:g} at "
            f"{UV_GRID_NM[place]:g} nm, expected an absorbance of {_LOWEST:g} to {_HIGHEST:g}"
        )
    return readings


def _mask(saturated: ArrayLike | None, readings: Array, what: str) -> NDArray[np.bool_]:
    if saturated is None:
        return np.zeros(readings.shape, dtype=bool)
    mask = np.asarray(saturated, dtype=bool)
    if mask.shape != readings.shape:
        raise OutOfRangeError(
            f"saturation mask of {what} has shape {mask.shape}, expected {readings.shape}"
        )
    return mask & ~np.isnan(readings)


def _mean_over_spots(readings: Array, read: NDArray[np.bool_], average: Average) -> Array:
    rows = []
    for plate, spots in zip(readings, read, strict=True):
        used = plate[spots]
        if average == "absorbance":
            rows.append(used.mean(axis=0))
        else:
            rows.append(-np.log10(np.mean(10.0**-used, axis=0)))
    return np.array(rows)


def _saturation_notes(mask: NDArray[np.bool_], read: NDArray[np.bool_], what: str) -> list[str]:
    if not mask.any():
        return []
    where = UV_GRID_NM[mask.any(axis=(0, 1))]
    total = int(read.sum()) * UV_GRID_NM.size
    return [
        f"{what}: {int(mask.sum())} of {total} readings are saturated, between {where[0]:g} and "
        f"{where[-1]:g} nm; they count as lower bounds"
    ]


def _negative_notes(mean: Array, what: str) -> list[str]:
    if not (mean < 0).any():
        return []
    where = UV_GRID_NM[(mean < 0).any(axis=0)]
    return [
        f"{what}: the mean of a plate falls to {mean.min():.3f} between {where[0]:g} and "
        f"{where[-1]:g} nm and counts as 0 there"
    ]
