"""One column of readings to absorbance on the 1 nm grid, saying each repair it makes.

All repairs happen in absorbance: it is the quantity that varies smoothly with wavelength and in
which a detector's limit is a lower bound.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.assay.reading.axes import FIRST_NM, LAST_NM
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.quantity import MOST_TRANSMITTANCE, Kind
from zincite.evaluation.assay.reading.readings import Column
from zincite.evaluation.assay.reading.regridding import (
    EDGE_NM,
    SATURATION_ABSORBANCE,
    Native,
    Spectrum,
    on_grid,
)

__all__ = ["clean"]

_LEAST_TRANSMITTANCE = -0.005
_MOST_ABSORBANCE = 10.0
_TOLERANCE = 1e-9


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
    spectrum = on_grid(native)
    spectrum.clipped = native.clipped
    spectrum.repeated = native.repeated
    return spectrum


def _native(column: Column, kind: Kind, highest: float) -> Native:
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
    return Native(
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


def _drop_repeats(native: Native) -> None:
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


def _check_order(native: Native) -> None:
    back = np.flatnonzero(np.diff(native.wavelength) < 0)
    if back.size:
        view, lines = native.column.block.view, native.column.block.lines
        index = int(back[0])
        line = lines[native.position[index + 1]]
        view.grid.fail(
            f"{view.line_name(line)} has {native.wavelength[index + 1]:g} nm beside "
            f"{native.wavelength[index]:g} nm out of order, expected wavelengths that rise or fall"
        )


def _check_coverage(native: Native) -> None:
    first, last = float(native.wavelength[0]), float(native.wavelength[-1])
    if first > FIRST_NM + EDGE_NM or last < LAST_NM - EDGE_NM:
        native.column.block.view.grid.fail(
            f"{native.column.place} covers {first:g} to {last:g} nm, expected 290 to 400 nm"
        )
