"""Readings at an instrument's wavelengths to 290-400 nm at 1 nm: coverage, steps and gaps."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.assay.reading.axes import FIRST_NM, LAST_NM
from zincite.evaluation.assay.reading.readings import Column

__all__ = [
    "EDGE_NM",
    "GRID_NM",
    "MOST_GAP_NM",
    "SATURATION_ABSORBANCE",
    "Gap",
    "Native",
    "Spectrum",
    "on_grid",
]

GRID_NM: NDArray[np.float64] = np.arange(FIRST_NM, LAST_NM + 0.5)
GRID_NM.flags.writeable = False

SATURATION_ABSORBANCE = 3.5
"""Absorbance beyond which a reading counts as a lower bound (common practice, no source). [-]"""

MOST_GAP_NM = 2.0
"""Widest gap that is interpolated. [nm]"""

_MOST_STEP_NM = 5.0
EDGE_NM = 0.05
"""How far the first or last wavelength may miss 290 or 400 nm (monochromator setting). [nm]"""
_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch without readings that was interpolated.

    Attributes
    ----------
    spectrum : int
        Index of the spectrum.
    first_nm, last_nm : float
        First and last wavelength without a reading. [nm]
    """

    spectrum: int
    first_nm: float
    last_nm: float


@dataclass(slots=True)
class Spectrum:
    """A cleaned spectrum on 290-400 nm and what was done to it.

    Attributes
    ----------
    absorbance : ndarray, shape (111,)
        Absorbance. [-]
    transmittance : ndarray, shape (111,)
        Transmittance; printed values are kept to the digit where no interpolation was needed. [-]
    saturated : ndarray of bool, shape (111,)
        Where absorbance is only a lower bound.
    step_nm, first_nm, last_nm : float
        Median step within 290-400 nm, first and last wavelength of the file. [nm]
    interpolated : bool
        Whether wavelengths off the 1 nm grid made interpolation necessary.
    saturated_readings, clipped, repeated : int
        Readings out of range, set to the limit from 0 % or below, dropped as identical repeats.
    gaps : list of (float, float)
        First and last wavelength of each interpolated gap. [nm]
    """

    absorbance: NDArray[np.float64]
    transmittance: NDArray[np.float64]
    saturated: NDArray[np.bool_]
    step_nm: float
    first_nm: float
    last_nm: float
    interpolated: bool
    saturated_readings: int = 0
    clipped: int = 0
    repeated: int = 0
    gaps: list[tuple[float, float]] = field(default_factory=list)


@dataclass(slots=True)
class Native:
    """Readings in rising order of wavelength, in absorbance."""

    column: Column
    wavelength: NDArray[np.float64]
    absorbance: NDArray[np.float64]
    transmittance: NDArray[np.float64]
    bound: NDArray[np.bool_]
    position: NDArray[np.intp]
    clipped: int = 0
    repeated: int = 0

    def keep(self, mask: NDArray[np.bool_]) -> None:
        """Drop all readings but those of a mask."""
        self.wavelength = self.wavelength[mask]
        self.absorbance = self.absorbance[mask]
        self.transmittance = self.transmittance[mask]
        self.bound = self.bound[mask]
        self.position = self.position[mask]


def on_grid(native: Native) -> Spectrum:
    """Return readings on the 1 nm grid, interpolated linearly in absorbance where need be.

    Raises
    ------
    InputError
        If a step exceeds 5 nm or a gap 2 nm.
    """
    wavelength = native.wavelength
    steps = np.diff(wavelength)
    inside = (wavelength[1:] > FIRST_NM) & (wavelength[:-1] < LAST_NM)
    step = float(np.median(steps[inside]))
    if step > _MOST_STEP_NM + _TOLERANCE:
        native.column.block.view.grid.fail(
            f"{native.column.place} has steps of {step:g} nm, expected at most 5 nm"
        )
    finite = np.isfinite(native.absorbance)
    gaps = _gaps(native, finite, step)
    known, absorbance = wavelength[finite], native.absorbance[finite]
    values = np.interp(GRID_NM, known, absorbance)
    transmittance = 10.0**-values
    place = np.clip(np.searchsorted(known, GRID_NM - 1e-6), 0, known.size - 1)
    exact = np.abs(known[place] - GRID_NM) < 1e-6
    transmittance[exact] = native.transmittance[finite][place[exact]]
    values[exact] = absorbance[place[exact]]
    bound = native.bound[finite]
    left = np.clip(place - 1, 0, known.size - 1)
    saturated = np.where(exact, bound[place], bound[place] | bound[left])
    window = (wavelength >= FIRST_NM - EDGE_NM) & (wavelength <= LAST_NM + EDGE_NM)
    missing = np.zeros(GRID_NM.size, dtype=bool)
    for low, high in gaps:
        missing |= (low - step < GRID_NM) & (high + step > GRID_NM)
    return Spectrum(
        absorbance=values,
        transmittance=transmittance,
        saturated=saturated,
        step_nm=step,
        first_nm=float(wavelength[0]),
        last_nm=float(wavelength[-1]),
        interpolated=bool((~exact & ~missing).any()),
        saturated_readings=int((native.bound & window).sum()),
        gaps=gaps,
    )


def _gaps(native: Native, finite: NDArray[np.bool_], step: float) -> list[tuple[float, float]]:
    """Return gaps between 290 and 400 nm that may be interpolated; refuse wider ones."""
    wavelength = native.wavelength
    known = wavelength[finite]
    if known.size < 2 or known[0] > FIRST_NM + EDGE_NM or known[-1] < LAST_NM - EDGE_NM:
        found = f"{known[0]:g} to {known[-1]:g} nm" if known.size else "no wavelength"
        native.column.block.view.grid.fail(
            f"{native.column.place} has readings for {found} only, expected 290 to 400 nm"
        )
    gaps: list[tuple[float, float]] = []
    for index in np.flatnonzero(np.diff(known) > 1.5 * step):
        left, right = float(known[index]), float(known[index + 1])
        if right <= FIRST_NM or left >= LAST_NM:
            continue
        wide = right - left - step
        if wide > MOST_GAP_NM + _TOLERANCE:
            inside = (wavelength > left) & (wavelength < right)
            where = ""
            if inside.any():
                position = int(native.position[int(np.argmax(inside))])
                where = f" (from {native.column.origin(position)})"
            native.column.block.view.grid.fail(
                f"{native.column.place} has no readings between {left:g} and {right:g} nm{where}, "
                f"expected gaps of at most {MOST_GAP_NM:g} nm"
            )
        gaps.append((left + step, right - step))
    return gaps
