"""Spectra of plates before and after irradiation, brought together by plate and spot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from zincite.errors import InputError
from zincite.evaluation.assay.reading import SpectraFile, read_spectra
from zincite.workbench.assay.report import FileRead

__all__ = ["PlateReadings", "read_irradiated", "read_plates"]

Array = NDArray[np.float64]
Spots = dict[str, list[tuple[str, int]]]
"""Spot labels and spectrum numbers by plate, in file order."""


@dataclass(frozen=True, slots=True, eq=False)
class PlateReadings:
    """Absorbance of the same spots before and after irradiation.

    Attributes
    ----------
    plates : tuple of str
        Labels as printed.
    spots : tuple of tuple of str
        Labels of each plate's spots.
    before : ndarray, shape (plates, spots, 111)
        nan throughout where a plate has fewer spots. [-]
    saturated_before : ndarray of bool
    after, saturated_after : ndarray or None
        The same after irradiation, None where it was not measured.
    """

    plates: tuple[str, ...]
    spots: tuple[tuple[str, ...], ...]
    before: Array
    saturated_before: NDArray[np.bool_]
    after: Array | None = None
    saturated_after: NDArray[np.bool_] | None = None

    def plate_means(self, absorbance: Array) -> Array:
        """Return the mean absorbance of each plate's spots, shape (plates, 111). [-]"""
        return np.asarray(np.nanmean(absorbance, axis=1))


def read_plates(
    before: str | Path,
    after: str | Path | None = None,
    *,
    quantity: str | None = None,
    decimal: str | None = None,
) -> tuple[PlateReadings, tuple[FileRead, ...]]:
    """Return the spectra of one or two files.

    Parameters
    ----------
    before : str or Path
        Spectra before irradiation; a file whose headers name both states holds both.
    after : str or Path, optional
        The same plates and spots after irradiation.
    quantity, decimal : str, optional
        As `read_spectra`.

    Raises
    ------
    InputError
        If a file cannot be read, or plates and spots of the two do not match.
    """
    first = read_spectra(before, quantity=quantity, decimal=decimal)
    start = _spots(first, "before")
    read: tuple[FileRead, ...]
    if after is None:
        last, end = first, (_spots(first, "after") if "after" in first.conditions else None)
        both = end is not None
        read = (FileRead("before and after" if both else "before", first.name, first.understood),)
    else:
        last = read_spectra(after, quantity=quantity, decimal=decimal)
        end = _spots(last, "after")
        read = (
            FileRead("before", first.name, first.understood),
            FileRead("after", last.name, last.understood),
        )
    if end is not None:
        _check_match(last.name, start, end)
    readings, saturated = _stacked(first, start)
    plates = tuple(start)
    spots = tuple(tuple(label for label, _ in found) for found in start.values())
    if end is None:
        return PlateReadings(plates, spots, readings, saturated), read
    # in the order of the first file, whatever that of the second
    ordered = {
        plate: [(label, dict(end[plate])[label]) for label, _ in found]
        for plate, found in start.items()
    }
    return PlateReadings(plates, spots, readings, saturated, *_stacked(last, ordered)), read


def read_irradiated(
    path: str | Path, *, quantity: str | None = None, decimal: str | None = None
) -> tuple[PlateReadings, tuple[FileRead, ...]]:
    """Return the spectra of plates read once; of a file with both states those after irradiation.

    Parameters
    ----------
    path, quantity, decimal
        As `read_spectra`.
    """
    file = read_spectra(path, quantity=quantity, decimal=decimal)
    both = {"before", "after"} <= set(file.conditions)
    stated = next((c for c in ("after", "before") if c in file.conditions), "")
    found = _spots(file, stated or "before")
    spots = tuple(tuple(label for label, _ in on) for on in found.values())
    role = f"{stated} irradiation, of both states" if both else "spectra"
    return (
        PlateReadings(tuple(found), spots, *_stacked(file, found)),
        (FileRead(role, file.name, file.understood),),
    )


def _spots(file: SpectraFile, state: str) -> Spots:
    """Return the spectra of one state; those without a state count where no other has it."""
    other = {"before": "after", "after": "before"}[state]
    wanted = {state} if state in file.conditions else {""}
    found: Spots = {}
    for number, condition in enumerate(file.conditions):
        if condition in wanted:
            found.setdefault(file.plates[number], []).append((file.spots[number], number))
    if not found:
        _refuse(
            file.name,
            f"all its spectra are labelled {other} irradiation, expected those {state} (are the "
            "files swapped?)",
        )
    return found


def _check_match(name: str, before: Spots, after: Spots) -> None:
    if set(before) != set(after):
        _refuse(
            name,
            f"after irradiation it holds plates {', '.join(after)}, before there were "
            f"{', '.join(before)}, expected the same plates",
        )
    for plate, spots in before.items():
        had, has = [label for label, _ in spots], [label for label, _ in after[plate]]
        if set(had) != set(has):
            _refuse(
                name,
                f"plate {plate} has spots {', '.join(has)} after irradiation and "
                f"{', '.join(had)} before, expected the same spots",
            )


def _stacked(
    file: SpectraFile, spots: Mapping[str, list[tuple[str, int]]]
) -> tuple[Array, NDArray[np.bool_]]:
    most = max(len(found) for found in spots.values())
    absorbance = np.full((len(spots), most, file.values.shape[1]), np.nan)
    saturated = np.zeros(absorbance.shape, dtype=bool)
    values = file.absorbance
    for row, found in enumerate(spots.values()):
        for column, (_, number) in enumerate(found):
            absorbance[row, column] = values[number]
            saturated[row, column] = file.saturated[number]
    return absorbance, saturated


def _refuse(name: str, what: str) -> NoReturn:
    raise InputError(f"{name}: {what}")
