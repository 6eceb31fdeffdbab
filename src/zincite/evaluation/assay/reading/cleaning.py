"""One column of readings to absorbance on the 1 nm grid, saying each repair it makes.

All repairs happen in absorbance: it is the quantity that varies smoothly with wavelength and in
which a detector's limit is a lower bound.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.assay.reading.axes import FIRST_NM, LAST_NM
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.quantity import MOST_TRANSMITTANCE, Kind
from zincite.evaluation.assay.reading.readings import Column

__all__ = ["GRID_NM", "MOST_GAP_NM", "SATURATION_ABSORBANCE", "Gap", "Spectrum", "clean"]

GRID_NM: NDArray[np.float64] = np.arange(FIRST_NM, LAST_NM + 0.5)
GRID_NM.flags.writeable = False

SATURATION_ABSORBANCE = 3.5
"""Absorbance beyond which a reading counts as a lower bound (common practice, no source). [-]"""

MOST_GAP_NM = 2.0
"""Widest gap that is interpolated. [nm]"""

_MOST_STEP_NM = 5.0
_LEAST_TRANSMITTANCE = -0.005
_MOST_ABSORBANCE = 10.0
_EDGE_NM = 0.05
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
    over, under : int
        Readings printed as out of range; clipped readings.
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
class _Native:
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
        self.wavelength = self.wavelength[mask]
        self.absorbance = self.absorbance[mask]
        self.transmittance = self.transmittance[mask]
        self.bound = self.bound[mask]
        self.position = self.position[mask]


def clean(column: Column, kind: Kind, *, highest: float) -> Spectrum:
    """Return a column of readings as absorbance on the 1 nm grid.

    Parameters
    ----------
    column : Column
        Readings as printed.
    kind : Kind
        What they are: per cent, fraction or absorbance.
    highest : float
        Highest absorbance read in the file, the bound of a bare "OVER". [-]

    Raises
    ------
    InputError
        If a reading is impossible, a wavelength repeats with another reading, wavelengths are out
        of order, a gap exceeds 2 nm, a step exceeds 5 nm or 290-400 nm is not covered.

    Notes
    -----
    Steps below 1 nm: readings at whole wavelengths are taken as they are. Other steps: absorbance
    is interpolated linearly. No reading is extrapolated.
    """
    native = _native(column, kind, highest)
    _drop_repeats(native)
    _check_order(native)
    _check_coverage(native)
    spectrum = _on_grid(native)
    spectrum.clipped = native.clipped
    spectrum.repeated = native.repeated
    return spectrum


def _native(column: Column, kind: Kind, highest: float) -> _Native:
    values = column.values.copy()
    bound = np.zeros(values.size, dtype=bool)
    is_absorbance = kind is Kind.ABSORBANCE
    scale = 0.01 if kind is Kind.PERCENT else 1.0
    for position, beyond in column.beyond.items():
        if beyond.above != is_absorbance:
            text = shown(column.block.view.cell(column.block.lines[position], column.index))
            meaning = "no lower bound of absorbance" if is_absorbance else "above full scale"
            column.block.view.grid.fail(
                f"{column.origin(position)} holds {text}, which in {kind.value} is {meaning}, "
                "expected a reading"
            )
        bound[position] = True
        if is_absorbance:
            values[position] = highest if beyond.bound is None else beyond.bound
        elif beyond.bound is None:
            values[position] = 10.0**-SATURATION_ABSORBANCE / scale
        else:
            values[position] = beyond.bound * (0.01 / scale if beyond.percent else 1.0)
    if is_absorbance:
        _check_absorbance(column, values)
        transmittance = 10.0**-values
        absorbance, clipped = values, 0
    else:
        transmittance = values * scale
        clipped = _clip(column, transmittance, bound)
        absorbance = -np.log10(transmittance)
    with np.errstate(invalid="ignore"):
        bound |= absorbance > SATURATION_ABSORBANCE
    wavelength = np.asarray(column.block.wavelength_nm, dtype=float)
    order = np.arange(values.size)
    if column.block.direction < 0:
        order = order[::-1]
    return _Native(
        column,
        wavelength[order],
        absorbance[order],
        transmittance[order],
        bound[order],
        order,
        clipped,
    )


def _check_absorbance(column: Column, values: NDArray[np.float64]) -> None:
    lowest = -np.log10(MOST_TRANSMITTANCE)
    for bad, limit in (
        (values < lowest - _TOLERANCE, "above -0.02 (a transmittance of at most 105 %)"),
        (values > _MOST_ABSORBANCE, f"at most {_MOST_ABSORBANCE:g} (is it transmittance in %?)"),
    ):
        if bad.any():
            first = int(np.argmax(bad))
            column.block.view.grid.fail(
                f"{column.origin(first)} holds an absorbance of {values[first]:g}, expected {limit}"
            )


def _clip(column: Column, transmittance: NDArray[np.float64], bound: NDArray[np.bool_]) -> int:
    """Set transmittance at or below 0 to the detector's limit; return how many were."""
    for bad, limit in (
        (transmittance > MOST_TRANSMITTANCE + _TOLERANCE, "at most 105 %"),
        (transmittance < _LEAST_TRANSMITTANCE - _TOLERANCE, "no less than -0.5 % of noise"),
    ):
        if bad.any():
            first = int(np.argmax(bad))
            column.block.view.grid.fail(
                f"{column.origin(first)} holds a transmittance of {transmittance[first] * 100:g} %,"
                f" expected {limit}"
            )
    low = transmittance <= 0
    transmittance[low] = 10.0**-SATURATION_ABSORBANCE
    bound[low] = True
    return int(low.sum())


def _drop_repeats(native: _Native) -> None:
    """Keep the first of identical repeats of a wavelength; refuse others by their rows."""
    view = native.column.block.view
    lines = native.column.block.lines
    first_at: dict[float, int] = {}
    keep = np.ones(native.wavelength.size, dtype=bool)
    order = np.argsort(native.position)
    for index in order:
        wavelength = float(native.wavelength[index])
        before = first_at.setdefault(wavelength, int(index))
        if before == index:
            continue
        readings = native.absorbance[[before, index]]
        if readings[0] != readings[1] and not np.isnan(readings).all():
            view.grid.fail(
                f"{view.line_name(lines[native.position[before]])} and "
                f"{view.line_name(lines[native.position[index]])} both give {wavelength:g} nm with "
                f"different readings in {native.column.place}, expected one reading per wavelength"
            )
        keep[index] = False
    native.repeated = int((~keep).sum())
    if native.repeated:
        native.keep(keep)


def _check_order(native: _Native) -> None:
    back = np.flatnonzero(np.diff(native.wavelength) < 0)
    if back.size:
        view, lines = native.column.block.view, native.column.block.lines
        index = int(back[0])
        line = lines[native.position[index + 1]]
        view.grid.fail(
            f"{view.line_name(line)} has {native.wavelength[index + 1]:g} nm beside "
            f"{native.wavelength[index]:g} nm out of order, expected wavelengths that rise or fall"
        )


def _check_coverage(native: _Native) -> None:
    first, last = float(native.wavelength[0]), float(native.wavelength[-1])
    if first > FIRST_NM + _EDGE_NM or last < LAST_NM - _EDGE_NM:
        native.column.block.view.grid.fail(
            f"{native.column.place} covers {first:g} to {last:g} nm, expected 290 to 400 nm"
        )


def _on_grid(native: _Native) -> Spectrum:
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
    on_grid = np.interp(GRID_NM, known, absorbance)
    transmittance = 10.0**-on_grid
    place = np.clip(np.searchsorted(known, GRID_NM - 1e-6), 0, known.size - 1)
    exact = np.abs(known[place] - GRID_NM) < 1e-6
    transmittance[exact] = native.transmittance[finite][place[exact]]
    on_grid[exact] = absorbance[place[exact]]
    bound = native.bound[finite]
    left = np.clip(place - 1, 0, known.size - 1)
    saturated = np.where(exact, bound[place], bound[place] | bound[left])
    window = (wavelength >= FIRST_NM - _EDGE_NM) & (wavelength <= LAST_NM + _EDGE_NM)
    missing = np.zeros(GRID_NM.size, dtype=bool)
    for low, high in gaps:
        missing |= (low - step < GRID_NM) & (high + step > GRID_NM)
    return Spectrum(
        absorbance=on_grid,
        transmittance=transmittance,
        saturated=saturated,
        step_nm=step,
        first_nm=float(wavelength[0]),
        last_nm=float(wavelength[-1]),
        interpolated=bool((~exact & ~missing).any()),
        saturated_readings=int((native.bound & window).sum()),
        gaps=gaps,
    )


def _gaps(native: _Native, finite: NDArray[np.bool_], step: float) -> list[tuple[float, float]]:
    """Return gaps between 290 and 400 nm that may be interpolated; refuse wider ones."""
    wavelength = native.wavelength
    known = wavelength[finite]
    if known.size < 2 or known[0] > FIRST_NM + _EDGE_NM or known[-1] < LAST_NM - _EDGE_NM:
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
